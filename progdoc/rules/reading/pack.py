"""Reads one pack of requirements: a folder of YAML, each fault with its file and line.

Refuses nothing itself: what is wrong goes on a list, so that whoever writes a pack sees all of it in one run.
What only makes sense beside the earlier packs (a code that is changed, a limit that is loosened) is judged in
`catalogue`.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import field, replace
from importlib.resources.abc import Traversable
from typing import Any, TypeVar

from progdoc.core.citations import Citation, Source
from progdoc.core.data_text import data_text
from progdoc.core.diagnostics import Diagnostic, Location
from progdoc.core.late_dataclass import dataclass
from progdoc.model.yaml.yaml_file import Bounds, os_reason, read_file, readable
from progdoc.model.yaml.yaml_syntax import shown
from progdoc.model.yaml.yaml_tree import Node
from progdoc.model.yaml.yaml_values import ShapeError, day_of, entries_of, group_of, line_of, text_of
from progdoc.rules.borrowed_values import figure_in_use
from progdoc.rules.judged.borrowed_results import Confirmed
from progdoc.rules.lookup.answers_said import Said, said_by
from progdoc.rules.lookup.states import states_in
from progdoc.rules.reading.pack_faults import did_you_mean, pack_fault, unreadable, wrong_shape
from progdoc.rules.reading.pack_texts import pack_texts
from progdoc.rules.reading.rule_forms import ENTRY_KEYS, LIMIT_KEYS, PRINTED_KEYS, VALUE_KEYS

__all__ = ["Entry", "Pack", "citation_of", "read_pack", "source_of"]

T = TypeVar("T")

_NEEDED = ("code", "name", "citation", "in_force", "proof", "duty", "what", "why", "fix")
_ABOUT_KEYS = ("pack", "version", "title", "state", "letters", "sources")
_VALUE_NEEDED = ("id", "citation", "in_force")
_LIMIT_NEEDED = ("agent", "kind", "value", "citation", "in_force")
_FILE_KEYS = ("source", "in_force", "requirements", "changes", "values", "limits", "not_for_the_program", "confirmed")
_SOURCE_KEYS = ("id", "short", "title", "publisher", "edition", "consulted")
_UNANSWERED_KEYS = ("citation", "reason")
_CONFIRMED_KEYS = ("id", "value", "source", "date", "by")
_ASKED = {"source": "where it was looked up", "by": "who looked it up"}

# A pack of rules is small; the federal one is a twentieth of this.
_MOST_BYTES = 5_000_000
_MOST_VALUES = 100_000


@dataclass(frozen=True, slots=True)
class Entry:
    """One rule as written: its keys, completed by those of its file, and where it and each of them stands."""

    keys: Mapping[str, Any]
    place: Location
    is_change: bool
    nodes: Mapping[str, Node] = field(default_factory=dict)

    def at(self, key: str) -> Location:
        node = self.nodes.get(key)
        return self.place if node is None else Location(self.place.file, node.line, node.column)


@dataclass(slots=True)
class Pack:
    """What a folder holds."""

    name: str = ""
    version: str = ""
    title: str = ""
    state: str = ""  # whose rules they are, a name of `lookup/states.py`; "" where they bind everywhere
    letters: str = ""  # the source in which the state has the respirator standard under letters of its own, if it has
    sources: dict[str, Source] = field(default_factory=dict)
    entries: list[Entry] = field(default_factory=list)
    values: list[Entry] = field(default_factory=list)  # the figures it sets
    limits: list[Entry] = field(default_factory=list)  # of exposure
    not_for_the_program: list[tuple[Citation, str]] = field(default_factory=list)
    confirmed: list[Confirmed] = field(default_factory=list)  # figures that somebody has looked up
    texts: Mapping[str, Mapping[str, str]] = field(default_factory=dict)  # by language: what its texts are there
    faults: list[Diagnostic] = field(default_factory=list)


@dataclass(frozen=True, slots=True)
class _File:
    """One file of a pack while it is read, with what its entries take from it."""

    pack: Pack
    name: str
    source: str = ""
    in_force: Any = None

    def report(self, code: str, node: Node, what: str, fix: str) -> None:
        self.pack.faults.append(pack_fault(code, self.place(node), what, fix))

    def place(self, node: Node) -> Location:
        return Location(self.name, node.line, node.column)

    def taken(self, key: str, node: Node | None, read: Callable[[Node], T]) -> T | None:
        """Return what `read` makes of a value; None where nothing is said, or where it is reported."""
        if node is None or node.content is None:
            return None
        try:
            return read(node)
        except ShapeError as wrong:
            self.pack.faults.append(wrong_shape(self.name, key, wrong))
            return None

    def known(self, group: Mapping[str, Node], keys: Iterable[str]) -> None:
        """Report the keys of a group that nobody reads."""
        for key, node in group.items():
            if key not in keys:
                what = f"`{key}` is not a key that is known here.{did_you_mean(key, keys)}"
                place = Location(self.name, node.key_line, node.key_column)
                fix = f"Take it out, or use one of: {', '.join(keys)}."
                self.pack.faults.append(pack_fault("PACK-002", place, what, fix))

    def groups(self, key: str, node: Node | None) -> Iterator[tuple[Node, dict[str, Node]]]:
        """Yield the entries of a list of groups."""
        for entry in self.taken(key, node, entries_of) or ():
            group = self.taken(key, entry, group_of)
            if group is not None:
                yield entry, group

    def cited(self, text: str) -> str | None:
        """Return a citation with its source in front, or None where the source is not known."""
        if text.partition(" ")[0] in self.pack.sources:
            return text
        return f"{self.source} {text}" if self.source in self.pack.sources else None


def citation_of(text: str, sources: Mapping[str, Source]) -> Citation:
    """Read "us-29cfr1910.134 (f)(2)": the id of a source, and a place in it."""
    head, _, rest = text.partition(" ")
    return Citation(sources[head], rest)


def source_of(group: Mapping[str, Node]) -> Source:
    """Read a source, all of whose keys are there."""
    return Source(**{key: line_of(group[key]) for key in _SOURCE_KEYS})


def read_pack(folder: Traversable, earlier: Mapping[str, Source], is_local: bool = False) -> Pack:
    """Return what a folder holds; `earlier` are the sources that its citations may name beside its own.

    A local pack brings its translations along; those of ours are read once a language is asked for.
    """
    pack = Pack(sources=dict(earlier))
    name = readable(str(folder))
    try:
        is_pack = (folder / "pack.yaml").is_file()
        held = sorted(folder.iterdir(), key=lambda f: f.name) if is_pack else []
        inner = [f for f in held if f.is_dir()]
        files = [f for f in held if f.name.endswith(".yaml") and f not in inner]
        translated = [f for f in held if is_local and f.name.endswith(".po") and f not in inner]
    except OSError as error:
        what = f"{name} cannot be read: {os_reason(error)}."
        pack.faults.append(pack_fault("PACK-001", Location(name, 0, 0), what, "Name a folder that you may read."))
        return pack
    if not is_pack:
        what = f"{name} holds no file `pack.yaml`: it is no folder of rules."
        fix = "Name the folder, not a file in it; or write the file."
        pack.faults.append(pack_fault("PACK-001", Location(name, 0, 0), what, fix))
        return pack
    for one in (f for f in inner if not f.name.startswith((".", "__"))):  # those of the machine hold no rules
        what = f"{readable(str(one))} is a folder inside a pack: no rule in it is read."
        fix = "Put its files beside pack.yaml, or name it with a `--rules` of its own."
        pack.faults.append(pack_fault("PACK-002", Location(readable(str(one)), 0, 0), what, fix))
    bounds = Bounds(_MOST_BYTES, _MOST_VALUES)
    pack.texts, wrong = pack_texts(translated, bounds)
    pack.faults += wrong
    for file in sorted(files, key=lambda f: f.name != "pack.yaml"):  # its sources are named by the others
        named = readable(str(file))
        tree = read_file(file, named, bounds)
        pack.faults += map(unreadable, tree.diagnostics)
        if tree.is_complete:
            (_about if file.name == "pack.yaml" else _rules)(_File(pack, named), tree.top)
    return pack


def _about(file: _File, top: Mapping[str, Node]) -> None:
    pack = file.pack
    earlier = dict(pack.sources)
    file.known(top, _ABOUT_KEYS)
    said = {key: file.taken(key, top.get(key), line_of) or "" for key in ("pack", "version", "title")}
    for key, example in (("pack", "vermont"), ("version", '"1"')):
        if not said[key]:
            place = Location(file.name, 1, 1)
            pack.faults.append(pack_fault("PACK-003", place, f"`{key}` is missing.", f"Write `{key}: {example}`."))
    pack.state = _state(file, top.get("state"))
    pack.name, pack.version = said["pack"], said["version"]
    pack.title = data_text(said["title"], pack.texts) or said["pack"]
    for node, group in file.groups("sources", top.get("sources")):
        file.known(group, _SOURCE_KEYS)
        lacking = [key for key in _SOURCE_KEYS if key not in group or group[key].content is None]
        if lacking:
            what = f"A source lacks {', '.join(f'`{key}`' for key in lacking)}."
            file.report("PACK-003", node, what, "Say where the rule is published, and when it was read.")
        elif source := file.taken("sources", node, lambda each: source_of(group_of(each))):
            if taken := next((one for one in earlier.values() if _is_taken(source, one)), None):
                what = f"{shown(source.id)} goes by the id or the name of {taken.short}, which an earlier pack brings."
                file.report("PACK-004", node, what, "Cite that source by its id, or name this one by what it is.")
            else:
                pack.sources[source.id] = source
    letters, pack.letters = top.get("letters"), file.taken("letters", top.get("letters"), line_of) or ""
    if letters is not None and (not pack.state or pack.letters not in pack.sources):
        fix = "Name an id of `sources`, and the `state:` whose letters they are."
        file.report("PACK-004", letters, f"{shown(pack.letters)} is no source of a state.", fix)
        pack.letters = ""


def _is_taken(source: Source, earlier: Source) -> bool:
    """Return whether a citation of the one would lead whoever reads it to the other."""
    names = {_plain(name) for name in (source.short, source.title)}
    is_other = replace(source, consulted="") != replace(earlier, consulted="")
    return is_other and (
        source.id == earlier.id or not names.isdisjoint({_plain(earlier.short), _plain(earlier.title)})
    )


def _plain(name: str) -> str:
    return "".join(filter(str.isalnum, name.casefold()))


def _state(file: _File, node: Node | None) -> str:
    said = file.taken("state", node, line_of) or ""
    found = list(states_in(said))
    if not said or node is None or len(found) == 1:
        return found[0] if found else ""
    file.report("PACK-004", node, f"{shown(said)} is no state of the list.", "Write its name: California.")
    return ""


def _rules(file: _File, top: Mapping[str, Node]) -> None:
    file.known(top, _FILE_KEYS)
    source, in_force = (
        file.taken("source", top.get("source"), text_of),
        file.taken("in_force", top.get("in_force"), day_of),
    )
    file = _File(file.pack, file.name, source or "", in_force)
    for kind in ("requirements", "changes"):
        for node, group in file.groups(kind, top.get(kind)):
            needed = ("code", "in_force") if kind == "changes" else _NEEDED
            if entry := _entry(file, node, group, ENTRY_KEYS, needed, kind == "changes"):
                file.pack.entries.append(entry)
    for node, group in file.groups("values", top.get("values")):
        if entry := _entry(file, node, group, VALUE_KEYS, _VALUE_NEEDED):
            file.pack.values.append(entry)
    for node, group in file.groups("limits", top.get("limits")):
        if entry := _entry(file, node, group, LIMIT_KEYS, _LIMIT_NEEDED):
            file.pack.limits.append(entry)
    for node, group in file.groups("not_for_the_program", top.get("not_for_the_program")):
        file.known(group, _UNANSWERED_KEYS)
        citation, reason = (file.taken(key, group.get(key), line_of) for key in _UNANSWERED_KEYS)
        text = file.cited(citation or "")
        if text is None or not citation or not reason:
            what = "A paragraph that no program answers needs `citation` and `reason`."
            file.report("PACK-003", node, what, "Name a paragraph of a known source, and say why.")
        else:
            file.pack.not_for_the_program.append(
                (citation_of(text, file.pack.sources), data_text(reason, file.pack.texts))
            )
    for node, group in file.groups("confirmed", top.get("confirmed")):
        _confirm(file, node, group)


def _confirm(file: _File, node: Node, group: Mapping[str, Node]) -> None:
    """Take a figure as looked up if it is one of ours and the same; another value is not for a pack to mend."""
    file.known(group, _CONFIRMED_KEYS)
    said = {key: file.taken(key, group.get(key), line_of) or "" for key in _CONFIRMED_KEYS}
    if lacking := [key for key in _CONFIRMED_KEYS if not said[key]]:
        what = f"A confirmed figure lacks {', '.join(f'`{key}`' for key in lacking)}."
        file.report("PACK-003", node, what, "Write what was looked up, where, when and by whom.")
        return
    for key in ("source", "by"):
        if said_by(said[key]) is not Said.ANSWER:
            what = f"{shown(said[key])} does not say {_ASKED[key]}."
            file.report("PACK-004", group[key], what, "Write it, or take the figure out.")
            return
    if file.taken("date", group["date"], day_of) is None:
        return
    ours = figure_in_use(said["id"])
    if ours is None:
        what = f"{shown(said['id'])} is no figure that is borrowed here."
        file.report("PACK-004", group["id"], what, "`progdoc unconfirmed` lists the ids.")
    elif _bare(ours) != _bare(said["value"]):
        what = f"{shown(said['value'])} is not the figure in use, which is {ours}."
        fix = "Report it, so that it is mended; until then set a stricter value by a policy."
        file.report("PACK-004", group["value"], what, fix)
    else:
        file.pack.confirmed.append(Confirmed(**said))


def _bare(figure: str) -> str:
    """Return a figure without what people write in different ways."""
    return figure.casefold().replace(" ", "").replace(",", "").replace("³", "3").replace("²", "2").replace("µ", "u")


def _entry(
    file: _File,
    node: Node,
    group: Mapping[str, Node],
    known: Mapping[str, Callable[[Node], Any]],
    needed: Iterable[str],
    is_change: bool = False,
) -> Entry | None:
    """Return a rule or a figure that needs its file no more: citations name their source, and it has its day."""
    before = len(file.pack.faults)
    file.known(group, known)
    said = {key: inner for key, inner in group.items() if key in known and inner.content is not None}
    keys: dict[str, Any] = {key: file.taken(key, inner, known[key]) for key, inner in said.items()}
    keys |= {key: data_text(keys[key], file.pack.texts) for key in PRINTED_KEYS if keys.get(key)}
    keys.setdefault("in_force", file.in_force)
    lacking = [key for key in needed if (key not in said or said[key].content in ("", [], {})) and not keys.get(key)]
    lacking += [key for key, inner in said.items() if key not in lacking and not str(inner.content).strip()]
    if lacking:
        named = keys.get("code") or keys.get("id") or keys.get("agent") or "An entry"
        what = f"{named} lacks {', '.join(f'`{key}`' for key in lacking)}."
        file.report("PACK-003", node, what, "Write it, after the pattern of the federal rules.")
    if text := keys.get("citation"):
        keys["citation"] = _cited(file, said["citation"], text)
    if texts := keys.get("also"):
        keys["also"] = tuple(_cited(file, said["also"], text) for text in texts)
    if len(file.pack.faults) > before:
        return None
    return Entry(keys, file.place(node), is_change, said)


def _cited(file: _File, node: Node, text: str) -> str:
    full = file.cited(text)
    if full is None:
        named = file.source or text.partition(" ")[0]
        what = f"{shown(text)} leads to no source: `{named}` is not known.{did_you_mean(named, file.pack.sources)}"
        fix = "Write `source:` at the top of the file, and list the source in pack.yaml under `sources`."
        file.report("PACK-004", node, what, fix)
    return full or text
