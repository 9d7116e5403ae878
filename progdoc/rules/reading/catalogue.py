"""Joins packs of requirements and picks what is in force on a date.

A pack is a folder of YAML under `progdoc/catalogue/` (its README shows the form), or a user's own folder: a later
pack adds requirements, replaces those whose code it repeats, and changes single keys of earlier ones. From the day
on which its entry is in force it stands in for the earlier one; before that day the earlier one still binds.
"""

from __future__ import annotations

import re
from collections import ChainMap
from collections.abc import Iterator, Mapping, MutableMapping, Sequence
from dataclasses import field, replace
from datetime import date
from functools import cache
from importlib.resources.abc import Traversable
from types import MappingProxyType
from typing import Any

from progdoc.core.citations import Citation, Source
from progdoc.core.data_text import data_text
from progdoc.core.diagnostics import Audience, Diagnostic, Location, Scope, Severity
from progdoc.core.errors import ResourceError
from progdoc.core.late_dataclass import dataclass
from progdoc.core.paragraphs import relettered
from progdoc.core.resources import catalogue_root
from progdoc.model.yaml.yaml_file import readable
from progdoc.model.yaml.yaml_values import entries_of, group_of, read_shipped
from progdoc.rules.in_force.law_values import law_on
from progdoc.rules.judged.borrowed_results import Confirmed
from progdoc.rules.judged.figure_results import Law, LawValue
from progdoc.rules.judged.published import LocalLimit
from progdoc.rules.lookup.telling_words import claims_approval
from progdoc.rules.reading.dated_values import Figures
from progdoc.rules.reading.pack import Entry, Pack, citation_of, read_pack, source_of
from progdoc.rules.reading.pack_faults import did_you_mean, pack_fault
from progdoc.rules.reading.pack_limits import limits_of
from progdoc.rules.reading.predicate_words import condition_words
from progdoc.rules.reading.rule_faults import rule_faults
from progdoc.rules.reading.rule_forms import WHO
from progdoc.rules.reading.rules_before import read_before
from progdoc.rules.reading.stricter import adopting_faults, loosening_faults, words_replaced
from progdoc.rules.requirement import STANDARD, Condition, NotForTheProgram, PackName, Proof, Requirement, bars_of

__all__ = [
    "Catalogue",
    "built_in_catalogue",
    "catalogue_with",
    "read_catalogue",
    "read_federal",
    "shipped_sources",
    "states_that_ship",
]


_LAW = "CFR"  # of the federal law, which no user's pack speaks for
_A_DAY = re.compile(r"\d{4}-\d\d-\d\d")


@dataclass(frozen=True, slots=True)
class Catalogue:
    """Everything that may be asked, in the order of the codes; of one code the later pack's word stands last."""

    packs: tuple[PackName, ...]
    requirements: tuple[Requirement, ...]
    not_for_the_program: tuple[NotForTheProgram, ...]
    sources: Mapping[str, Source]
    limits: tuple[LocalLimit, ...]  # of exposure, beside those of the federal tables
    values: tuple[LawValue, ...]  # the figures of the law; of one id the later pack's word stands last
    confirmed: Mapping[str, Confirmed]  # figures that are not law and that somebody has looked up, by id

    @property
    def pack(self) -> str:
        return "+".join(pack.name for pack in self.packs)

    @property
    def version(self) -> str:
        return "+".join(pack.version for pack in self.packs)

    def in_force(self, day: date) -> tuple[Requirement, ...]:
        """Return the requirements that bind on a day, one a code, each with what states ask in its place."""
        binding: dict[str, dict[str, Requirement]] = {}  # by code, then by the state that asks it; "" is everywhere
        for requirement in self.requirements:
            until = requirement.in_force_until
            if requirement.in_force_from <= day and (until is None or day <= until):
                binding.setdefault(requirement.code, {})[requirement.state] = requirement
        return tuple(_with_states(by_state) for by_state in binding.values())

    def confirmed_on(self, day: date) -> Mapping[str, Confirmed]:
        """Return the figures that somebody has looked up until a day."""
        return {name: one for name, one in self.confirmed.items() if one.date <= day.isoformat()}

    def law_on(self, day: date) -> Law:
        """Return the figures of the law that are in force on a day."""
        return law_on(self.values, day, self.limits)


def _with_states(by_state: dict[str, Requirement]) -> Requirement:
    """Return the rule that binds everywhere, with those of states; of states alone, the first with the others."""
    first, *others = sorted(by_state.values(), key=lambda requirement: requirement.state)
    return replace(first, in_states=tuple(others)) if others else first


@cache
def shipped_sources() -> Mapping[str, Source]:
    """Return the sources of `sources.yaml` by id: read once, for rules, questions and packs."""
    listed = read_shipped(
        catalogue_root() / "sources.yaml", lambda top: map(source_of, map(group_of, entries_of(top["sources"])))
    )
    return MappingProxyType({source.id: source for source in listed})


def read_catalogue(*packs: Traversable) -> Catalogue:
    """Return the requirements of packs that must be sound: the built-in one, and those of tests."""
    catalogue, faults = _joined(packs, checked=0)
    if faults:
        raise ResourceError("; ".join(f"{fault.location}: {fault.what}" for fault in faults))
    return catalogue


@cache
def built_in_catalogue() -> Catalogue:
    """Return the federal pack that ships with progdoc."""
    before: Catalogue | None = read_before("catalogue")
    return read_federal() if before is None else before


def read_federal() -> Catalogue:
    """Return the federal pack, read from its files."""
    return read_catalogue(_federal_root())


def catalogue_with(
    folders: Sequence[Traversable], states: frozenset[str] = frozenset()
) -> tuple[Catalogue, tuple[Diagnostic, ...]]:
    """Return the federal pack with those of some states and a user's own laid over it, and what is wrong with his."""
    shipped = _shipped(states)
    if not folders:
        return _catalogue_of(shipped), ()
    return _joined((_federal_root(), *shipped, *folders), checked=1 + len(shipped))


def states_that_ship() -> frozenset[str]:
    """Return the states of which something was read: each has a pack that ships with progdoc."""
    folders = (folder for folder in (catalogue_root() / "states").iterdir() if folder.is_dir())
    return frozenset(folder.name.replace("_", " ").title() for folder in folders)


def _shipped(states: frozenset[str]) -> tuple[Traversable, ...]:
    """Return the packs of states that ship with progdoc; most states have none yet."""
    folders = (catalogue_root() / "states" / state.casefold().replace(" ", "_") for state in sorted(states))
    return tuple(folder for folder in folders if folder.is_dir())


@cache
def _catalogue_of(shipped: tuple[Traversable, ...]) -> Catalogue:
    return read_catalogue(_federal_root(), *shipped) if shipped else built_in_catalogue()


def _federal_root() -> Traversable:
    return catalogue_root() / "us_federal"


@cache
def _federal_pack() -> Pack:
    """Return the entries that ship with progdoc: read once, however many packs are laid over them in turn."""
    return read_pack(_federal_root(), shipped_sources())


@dataclass(slots=True)
class _Laid:
    """What the packs that were read so far say in one place: everywhere, or in a state."""

    written: MutableMapping[str, Mapping[str, Any]] = field(default_factory=dict)  # by code, as the last pack has it
    # all that the packs say of a code, with the figures filled in
    plain: MutableMapping[str, tuple[Mapping[str, Any], ...]] = field(default_factory=dict)
    figures: Figures = field(default_factory=Figures)

    def of_state(self) -> _Laid:
        """Return what holds in a state of which no pack was read: all that holds everywhere."""
        return _Laid(ChainMap({}, self.written), ChainMap({}, self.plain), self.figures.of_state())


def _joined(folders: Sequence[Traversable], checked: int) -> tuple[Catalogue, tuple[Diagnostic, ...]]:
    """Join packs; from the pack with the number `checked` on, what each rule says is looked at too."""
    law = sources = shipped_sources()  # `law`: those that ship
    everywhere = _Laid()
    laid = {"": everywhere}  # by state: what its pack says is laid over the rest there, and heard nowhere else
    limits: list[LocalLimit] = []
    found: dict[tuple[str, int, date], Requirement] = {}
    not_for_the_program: dict[Citation, NotForTheProgram] = {}
    names: list[PackName] = []
    confirmed: dict[str, Confirmed] = {}
    letters: dict[str, Source] = {}  # by state
    of_law: frozenset[str] = frozenset()  # the codes that ship
    faults: list[Diagnostic] = []
    for number, folder in enumerate(folders):
        known = sources
        is_local = 0 < checked <= number
        pack = _federal_pack() if folder == _federal_root() else read_pack(folder, sources, is_local)
        faults += [*pack.faults, *(_names_taken(pack, folder, names[:checked]) if is_local else ())]
        letters |= {pack.state: pack.sources[pack.letters]} if pack.letters else {}
        confirmed |= {one.id: one for one in pack.confirmed}
        sources = pack.sources
        law = law if is_local else sources
        cited = _in_words_of(pack, law, sources) if is_local else sources
        names.append(PackName(pack.name, pack.version, pack.title, pack.state, _read_on(pack, known)))
        here = laid.setdefault(pack.state, everywhere.of_state())
        entries, more = _laid_over(here.written, pack, of_law if is_local else frozenset())
        added, wrong_limits = limits_of(pack, cited, is_local)
        limits += added
        faults += [*more, *wrong_limits]
        # What a state asks beside the earlier rules is a rule of its own, often a softer one, and sets no figure.
        setting = [entry for entry in entries if not pack.state or entry.keys["code"] in here.written]
        entries += here.figures.moved(here.written, entries, here.figures.add(pack, setting, cited))
        resolved = [whole for rule in entries for whole in here.figures.resolved(rule)]
        for entry in resolved:
            if is_local:
                wrong = _faults_beside(entry, here.plain)
                faults += wrong
                if wrong:
                    continue
            requirement = _requirement(entry.keys, sources, cited, names[-1], pack.state)
            if is_local:
                requirement = replace(requirement, in_place_of=_replaced(requirement, here.plain, sources))
            found[requirement.code, number, requirement.in_force_from] = requirement
        for entry in resolved:
            here.plain[entry.keys["code"]] = (*here.plain.get(entry.keys["code"], ()), entry.keys)
        of_law |= frozenset() if is_local else {entry.keys["code"] for entry in entries}
        here.written.update({entry.keys["code"]: entry.keys for entry in entries})
        not_for_the_program |= {place: NotForTheProgram(place, why) for place, why in pack.not_for_the_program}
    catalogue = Catalogue(
        packs=tuple(names),
        requirements=tuple(_lettered(found[key], letters) for key in sorted(found)),
        not_for_the_program=tuple(not_for_the_program[key] for key in sorted(not_for_the_program)),
        sources=sources,
        limits=tuple(limits),
        values=tuple(value for place, one in laid.items() for value in one.figures.all if value.state == place),
        confirmed=confirmed,
    )
    return catalogue, (*faults, *everywhere.figures.faults)


def _names_taken(pack: Pack, folder: Traversable, shipped: Sequence[PackName]) -> Iterator[Diagnostic]:
    """Yield that a pack goes by the name of one that ships: its rules would pass for the law's."""
    place = Location(f"{readable(str(folder))}/pack.yaml", 1, 1)
    if claims_approval(pack.title):
        what = f"The title says “{pack.title}”, which no pack of rules can say."
        yield pack_fault("PACK-004", place, what, "Say whose rules they are.")
    if _LAW in pack.title:
        what = f"The title says “{pack.title}”, which is the name of a law and not of a pack."
        yield pack_fault("PACK-004", place, what, "Say whose rules they are; each may cite the law.")
    if pack.name and {pack.name, pack.title} & {name for one in shipped for name in (one.name, one.title)}:
        what = f"`{pack.name}` has the name or the title of rules that ship with progdoc."
        yield pack_fault("PACK-004", place, what, "Give it a name and a title of its own.")


def _in_words_of(pack: Pack, law: Mapping[str, Source], sources: Mapping[str, Source]) -> dict[str, Source]:
    """Return sources as a user's pack cites them: what it says of a law that ships are its words, not the law's."""
    of_law = (source for name, source in sources.items() if name in law or _LAW in source.short)
    return {**sources, **{one.id: replace(one, short=f"{pack.title}, on {one.short}") for one in of_law}}


def _read_on(pack: Pack, known: Mapping[str, Source]) -> str:
    """Return the first of the days on which the sources that a pack brings were read."""
    told = (_A_DAY.match(source.consulted) for name, source in pack.sources.items() if name not in known)
    return min((day[0] for day in told if day), default="")


def _lettered(requirement: Requirement, letters: Mapping[str, Source]) -> Requirement:
    """Return a federal rule with its paragraph as states cite it that have the standard under letters of their own."""
    cited = requirement.citation
    place = relettered(cited.locator) if letters and not requirement.state and cited.source.id == STANDARD else ""
    by_state = tuple((state, Citation(source, place)) for state, source in letters.items()) if place else ()
    return replace(requirement, lettered=by_state) if by_state else requirement


def _laid_over(
    written: Mapping[str, Mapping[str, Any]], pack: Pack, of_law: frozenset[str]
) -> tuple[list[Entry], list[Diagnostic]]:
    """Return a pack's entries, each whole: a change is laid over what it changes.

    `of_law` are the codes whose words a user's pack leaves as they are.
    """
    entries: list[Entry] = []
    faults: list[Diagnostic] = []
    seen: dict[str, list[Mapping[str, Any]]] = {}
    for entry in pack.entries:
        code = entry.keys["code"]
        if any(_overlap(entry.keys, other) for other in seen.get(code, ())):
            what = f"{code} stands in this pack twice for the same time."
            fix = "Give the older one `until:`, or the new rule a code of its own."
            faults.append(pack_fault("PACK-006", entry.place, what, fix))
            continue
        if entry.is_change and code not in written:
            what = f"{code} is in none of the earlier packs.{did_you_mean(code, written)}"
            fix = "Name a code that `progdoc explain` knows, or write a whole rule under `requirements`."
            faults.append(pack_fault("PACK-005", entry.place, what, fix))
            continue
        seen.setdefault(code, []).append(entry.keys)
        older = written.get(code)
        keys = {**older, **entry.keys} if older and entry.is_change else dict(entry.keys)
        if older:
            keys["also"] = _still_answered(older, keys)
            if "bars" in older:
                keys["bars"] = older["bars"]  # no local rule takes away what an open duty bars
        whole = Entry(keys, entry.place, entry.is_change, entry.nodes)
        if older:
            faults += words_replaced(whole, older, code in of_law)
        entries.append(whole)
    return entries, faults


def _still_answered(older: Mapping[str, Any], keys: Mapping[str, Any]) -> list[str]:
    """A rule that takes another's place answers the other's paragraphs as well."""
    cited = dict.fromkeys((*keys.get("also", ()), older["citation"], *older.get("also", ())))
    return [text for text in cited if text != keys["citation"]]


def _faults_beside(entry: Entry, plain: Mapping[str, Sequence[Mapping[str, Any]]]) -> list[Diagnostic]:
    """Return what is wrong with a rule beside those of the earlier packs."""
    last = {code: versions[-1] for code, versions in plain.items()}
    stood_in_for = [older for older in plain.get(entry.keys["code"], ()) if _overlap(entry.keys, older)]
    looser = [fault for older in stood_in_for for fault in loosening_faults(entry, older)]
    wrong = [*rule_faults(entry, last), *dict.fromkeys(looser)]
    return wrong or [*adopting_faults(entry, last)]


def _overlap(one: Mapping[str, Any], other: Mapping[str, Any]) -> bool:
    first, second = sorted((one, other), key=lambda keys: keys["in_force"])
    return bool(first.get("until") is None or second["in_force"] <= first["until"])


# ---- an entry to a requirement --------------------------------------------------------------------------


def _requirement(
    keys: Mapping[str, Any], sources: Mapping[str, Source], cited: Mapping[str, Source], pack: PackName, state: str
) -> Requirement:
    """Return a rule: it cites the sources as `cited` has them, and answers the paragraphs of `sources` as well."""
    proof: Proof = keys["proof"]
    applies: Condition = keys.get("applies", Condition("all"))
    text: str = keys["citation"]
    in_law = () if citation_of(text, cited) == citation_of(text, sources) else (text,)  # the paragraph stays answered
    try:
        return Requirement(
            code=keys["code"],
            name=keys["name"],
            citation=citation_of(keys["citation"], cited),
            also=tuple(citation_of(text, sources) for text in (*in_law, *keys.get("also", ()))),
            in_force_from=keys["in_force"],
            in_force_until=keys.get("until"),
            per=keys.get("per", "program"),
            when=condition_words(applies),
            applies=applies,
            proof=proof,
            severity=(severity := Severity(keys.get("severity", "required"))),
            scope=(scope := Scope(keys.get("scope", "program"))),
            bars=bars_of(keys.get("bars"), keys.get("per", "program"), scope, severity),
            audience=Audience(keys.get("audience", "public")),
            duty=keys["duty"],
            what=keys["what"],
            why=keys["why"],
            fix=keys["fix"],
            example=keys.get("example", ""),
            reads=tuple(sorted({*keys.get("reads", ()), *_paths(proof)})),
            who=keys.get("who") or data_text(WHO),
            pack=pack,
            adopting=keys.get("adopting"),
            differs=keys.get("differs", ""),
            state=state,
        )
    except ValueError as fault:  # a weight or a reader that is not known; of a user's pack it has been reported before
        raise ResourceError(f"{keys['code']} of the catalogue: {fault}") from fault


def _replaced(
    requirement: Requirement, plain: Mapping[str, Sequence[Mapping[str, Any]]], sources: Mapping[str, Source]
) -> str:
    """Return the duty and the paragraph of the last rule of that code that asks in other words; "" without one."""
    older = [one for one in plain.get(requirement.code, ()) if one["duty"] != requirement.duty]
    return f"{older[-1]['duty']} [{citation_of(older[-1]['citation'], sources)}]" if older else ""


def _paths(proof: Proof) -> Iterator[str]:
    if proof.path and not proof.path.startswith("."):
        yield proof.path
    for part in proof.parts:
        yield from _paths(part)
