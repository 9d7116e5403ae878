"""Reads one pack of requirements: a folder of YAML, each fault with its file and line.

Refuses nothing itself: what is wrong goes on a list, so that whoever writes a pack sees all of it in one run.
What only makes sense beside the earlier packs (a code that is changed, a limit that is loosened) is judged in
`catalogue`.
"""

from __future__ import annotations

import difflib
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date
from importlib.resources.abc import Traversable
from typing import Any

import yaml

from progdoc.core.citations import Citation, Source
from progdoc.core.diagnostics import Diagnostic, Location, Severity

__all__ = ["ENTRY_KEYS", "PACK_FAULTS", "Entry", "Pack", "citation_of", "did_you_mean", "pack_fault", "read_pack"]

PACK_FAULTS: dict[str, tuple[str, str]] = {
    "PACK-001": ("rules-not-readable", "Rules that can't be read can't be checked against."),
    "PACK-002": ("rule-key-unknown", "A key that nobody reads would leave a part of the rule out, unseen."),
    "PACK-003": ("rule-incomplete", "A rule without it can't be judged, or can't be explained to whoever breaks it."),
    "PACK-004": ("rule-not-understood", "A rule that can be read in two ways could let something unsafe pass."),
    "PACK-005": ("changed-rule-unknown", "A change needs a rule of an earlier pack to change."),
    "PACK-006": ("rule-code-used-twice", "Two rules with one code can't be told apart in reports."),
    "PACK-007": ("rule-loosens-an-earlier-one", "A local rule may ask for more than the federal law, never for less."),
}
ENTRY_KEYS = (
    "code", "name", "citation", "also", "in_force", "until", "per", "applies", "proof", "severity",
    "scope", "audience", "who", "duty", "what", "why", "fix", "example", "reads", "figures",
)  # fmt: skip
_NEEDED = ("code", "name", "citation", "in_force", "proof", "duty", "what", "why", "fix")
_ABOUT_KEYS = ("pack", "version", "title", "sources")
_FILE_KEYS = ("source", "in_force", "requirements", "changes", "values", "not_for_the_program")
_VALUE_KEYS = (
    "id", "words", "value", "kind", "stricter", "citation", "in_force", "until",
    "policy", "program", "measured", "binds",
)  # fmt: skip
_SOURCE_KEYS = ("id", "short", "title", "publisher", "edition", "consulted")
_LOADER: Any = getattr(yaml, "CSafeLoader", yaml.SafeLoader)


@dataclass(frozen=True, slots=True)
class Entry:
    """One rule as written: its keys, completed by those of its file, and where it stands."""

    keys: Mapping[str, Any]
    place: Location
    is_change: bool


@dataclass(slots=True)
class Pack:
    """What a folder holds."""

    name: str = ""
    version: str = ""
    title: str = ""
    sources: dict[str, Source] = field(default_factory=dict)
    entries: list[Entry] = field(default_factory=list)
    values: list[Entry] = field(default_factory=list)  # the figures it sets
    spared: list[tuple[Citation, str]] = field(default_factory=list)
    faults: list[Diagnostic] = field(default_factory=list)


def pack_fault(code: str, place: Location, what: str, fix: str) -> Diagnostic:
    """Return a fault of a pack."""
    name, why = PACK_FAULTS[code]
    return Diagnostic(place, code, name, Severity.INVALID, what, why, fix)


def did_you_mean(word: object, known: Iterable[str]) -> str:
    """Return a question that names the nearest spelling, or nothing."""
    near = difflib.get_close_matches(str(word), list(known), 1, 0.6)
    return f" Did you mean `{near[0]}`?" if near else ""


def citation_of(text: str, sources: Mapping[str, Source]) -> Citation:
    """Read "us-29cfr1910.134 (f)(2)": the id of a source, and a place in it."""
    head, _, rest = text.partition(" ")
    return Citation(sources[head], rest)


def read_pack(folder: Traversable, earlier: Mapping[str, Source]) -> Pack:
    """Return what a folder holds; `earlier` are the sources that its citations may name beside its own."""
    pack = Pack(sources=dict(earlier))
    about = folder / "pack.yaml"
    if not about.is_file():
        place = Location(str(folder), 0, 0)
        what = f"{folder} holds no file `pack.yaml`: it is no folder of rules."
        pack.faults.append(pack_fault("PACK-001", place, what, "Name the folder, not a file in it; or write the file."))
        return pack
    _about(pack, about)
    for file in sorted((f for f in folder.iterdir() if f.name.endswith(".yaml")), key=lambda f: f.name):
        if file.name != "pack.yaml":
            _file(pack, file)
    return pack


def _read(pack: Pack, file: Traversable) -> tuple[Any, Any]:
    """Return a file's values and its nodes; both None where it can't be read."""
    try:
        loader = _LOADER(file.read_text(encoding="utf-8"))
        node = loader.get_single_node()
        values = loader.construct_document(node) if node is not None else None
    except (OSError, UnicodeDecodeError) as error:
        pack.faults.append(pack_fault("PACK-001", Location(str(file), 0, 0), f"{error}.", "Save it as UTF-8 text."))
        return None, None
    except yaml.YAMLError as error:
        mark = getattr(error, "problem_mark", None)
        place = Location(str(file), mark.line + 1, mark.column + 1) if mark else Location(str(file), 0, 0)
        what = f"The YAML stops making sense here: {getattr(error, 'problem', None) or error}."
        pack.faults.append(pack_fault("PACK-001", place, what, "Look at colons, quotes and indents above this line."))
        return None, None
    if not isinstance(values, dict):
        what, fix = "The file has no keys at its top.", f"Begin with one of: {', '.join(_FILE_KEYS)}."
        pack.faults.append(pack_fault("PACK-004", Location(str(file), 1, 1), what, fix))
        return None, None
    pack.faults += _twice(file, node)
    return values, node


def _twice(file: Traversable, node: Any) -> Iterator[Diagnostic]:
    """Find keys that are written twice: YAML would keep the last and say nothing."""
    if isinstance(node, yaml.MappingNode):
        seen: set[str] = set()
        for key, value in node.value:
            if key.value in seen:
                place = Location(str(file), key.start_mark.line + 1, key.start_mark.column + 1)
                yield pack_fault("PACK-004", place, f"`{key.value}` is written twice.", "Keep one of the two.")
            seen.add(str(key.value))
            yield from _twice(file, value)
    elif isinstance(node, yaml.SequenceNode):
        for part in node.value:
            yield from _twice(file, part)


def _about(pack: Pack, file: Traversable) -> None:
    values, _ = _read(pack, file)
    if values is None:
        return
    place = Location(str(file), 1, 1)
    pack.faults += _unknown(values, _ABOUT_KEYS, place)
    for key, example in (("pack", "vermont"), ("version", '"1"')):
        if not values.get(key):
            pack.faults.append(pack_fault("PACK-003", place, f"`{key}` is missing.", f"Write `{key}: {example}`."))
    pack.name, pack.version = str(values.get("pack", "")), str(values.get("version", ""))
    pack.title = str(values.get("title", "")) or pack.name
    for extra in values.get("sources") or ():
        lacking = [key for key in _SOURCE_KEYS if key not in extra]
        pack.faults += _unknown(extra, _SOURCE_KEYS, place)
        if lacking:
            what = f"A source lacks {', '.join(f'`{key}`' for key in lacking)}."
            pack.faults.append(
                pack_fault("PACK-003", place, what, "Say where the rule is published, and when it was read.")
            )
        else:
            pack.sources[extra["id"]] = Source(**{key: str(extra[key]) for key in _SOURCE_KEYS})


def _file(pack: Pack, file: Traversable) -> None:
    values, node = _read(pack, file)
    if values is None:
        return
    top = Location(str(file), 1, 1)
    pack.faults += _unknown(values, _FILE_KEYS, top)
    for kind in ("requirements", "changes"):
        marks = _marks(file, node, kind)
        for entry, place in zip(values.get(kind) or (), marks, strict=True):
            if not isinstance(entry, dict):
                pack.faults.append(
                    pack_fault("PACK-004", place, "A rule is a group of keys.", "Begin it with `- code:`.")
                )
                continue
            faults = list(_entry_faults(entry, values, pack.sources, place, kind == "changes"))
            pack.faults += faults
            if not faults:
                pack.entries.append(Entry(_completed(entry, values, pack.sources), place, kind == "changes"))
    for figure, place in zip(values.get("values") or (), _marks(file, node, "values"), strict=True):
        faults = list(_value_faults(figure, values, pack.sources, place))
        pack.faults += faults
        if not faults:
            pack.values.append(Entry(_completed(figure, values, pack.sources), place, is_change=False))
    for spared, place in zip(
        values.get("not_for_the_program") or (), _marks(file, node, "not_for_the_program"), strict=True
    ):
        text = _full(str(spared.get("citation", "")), values.get("source"), pack.sources)
        if text is None or not spared.get("reason"):
            what = "A paragraph that no program answers needs `citation` and `reason`."
            pack.faults.append(pack_fault("PACK-003", place, what, "Name a paragraph of a known source, and say why."))
        else:
            pack.spared.append((citation_of(text, pack.sources), " ".join(spared["reason"].split())))


def _marks(file: Traversable, node: Any, key: str) -> list[Location]:
    """Return where the entries of a list begin."""
    entries = next((value.value for name, value in node.value if name.value == key and value.value), ())
    return [Location(str(file), e.start_mark.line + 1, e.start_mark.column + 1) for e in entries]


def _unknown(values: Mapping[str, Any], known: Iterable[str], place: Location) -> Iterator[Diagnostic]:
    for key in values:
        if key not in known:
            what = f"`{key}` is not a key that is known here.{did_you_mean(key, known)}"
            yield pack_fault("PACK-002", place, what, f"Take it out, or use one of: {', '.join(known)}.")


def _entry_faults(
    entry: Mapping[str, Any], content: Mapping[str, Any], sources: Mapping[str, Source], place: Location, change: bool
) -> Iterator[Diagnostic]:
    yield from _unknown(entry, ENTRY_KEYS, place)
    needed = ("code", "in_force") if change else _NEEDED
    yield from _common_faults(entry, content, sources, place, needed, str(entry.get("code", "A rule")))


def _value_faults(
    entry: Any, content: Mapping[str, Any], sources: Mapping[str, Source], place: Location
) -> Iterator[Diagnostic]:
    if not isinstance(entry, dict):
        yield pack_fault("PACK-004", place, "A figure is a group of keys.", "Begin it with `- id:`.")
        return
    yield from _unknown(entry, _VALUE_KEYS, place)
    yield from _common_faults(
        entry, content, sources, place, ("id", "citation", "in_force"), str(entry.get("id", "A figure"))
    )


def _common_faults(
    entry: Mapping[str, Any],
    content: Mapping[str, Any],
    sources: Mapping[str, Source],
    place: Location,
    needed: Iterable[str],
    name: str,
) -> Iterator[Diagnostic]:
    given = {"in_force": content.get("in_force"), **entry}
    lacking = [key for key in needed if given.get(key) in (None, "", [])]
    if lacking:
        what = f"{name} lacks {', '.join(f'`{key}`' for key in lacking)}."
        yield pack_fault("PACK-003", place, what, "Write it, after the pattern of the federal rules.")
    for key in ("in_force", "until"):
        if given.get(key) is not None and not isinstance(given[key], date):
            yield pack_fault("PACK-004", place, f"`{key}: {given[key]}` is not a day.", "Write it as 2026-01-31.")
    for text in (entry.get("citation"), *(entry.get("also") or ())):
        if text is not None and _full(str(text), content.get("source"), sources) is None:
            named = str(content.get("source") or text.partition(" ")[0])
            what = f"“{text}” leads to no source: `{named}` is not known.{did_you_mean(named, sources)}"
            fix = "Write `source:` at the top of the file, and list the source in pack.yaml under `sources`."
            yield pack_fault("PACK-004", place, what, fix)


def _full(text: str, source: Any, sources: Mapping[str, Source]) -> str | None:
    """Return a citation with its source in front, or None where the source is not known."""
    if text.partition(" ")[0] in sources:
        return text
    return f"{source} {text}" if source in sources else None


def _completed(
    entry: Mapping[str, Any], content: Mapping[str, Any], sources: Mapping[str, Source]
) -> Mapping[str, Any]:
    """Return an entry that needs its file no more: citations name their source, and it has its day."""
    keys = {"in_force": content.get("in_force"), **entry}
    if "citation" in entry:
        keys["citation"] = _full(str(entry["citation"]), content.get("source"), sources)
    if "also" in entry:
        keys["also"] = [_full(str(text), content.get("source"), sources) for text in entry["also"]]
    return keys
