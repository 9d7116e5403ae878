"""What the law asks (a requirement) and how a description stands to it (a verdict)."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from datetime import date
from typing import Any, NamedTuple

from progdoc.core.citations import Citation
from progdoc.core.diagnostics import Audience, Diagnostic, Scope, Severity
from progdoc.core.late_dataclass import dataclass
from progdoc.core.report import Status
from progdoc.model.description.workplace import Industry

__all__ = [
    "BARS",
    "PARTS",
    "PATHS",
    "Condition",
    "Fact",
    "NotForTheProgram",
    "PackName",
    "Proof",
    "Requirement",
    "Subject",
    "Verdict",
    "adopted_values",
    "at_home",
    "bars_of",
    "is_under",
    "part_of",
    "prescribed",
]


@dataclass(frozen=True, slots=True)
class Fact:
    """Whether something holds; where that was read; and, if nobody said, what to ask."""

    holds: bool | None
    paths: tuple[str, ...] = ()
    ask: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Condition:
    """Names of predicates, joined: `kind` is all, any, not or fact."""

    kind: str
    name: str = ""
    parts: tuple[Condition, ...] = ()


@dataclass(frozen=True, slots=True)
class Proof:
    """What satisfies a requirement: one of the kinds in `proof.PROOFS`, and its arguments."""

    kind: str
    path: str = ""
    value: Any = None  # the text it is held against, or the texts; the name of a check
    parts: tuple[Proof, ...] = ()
    grounds: tuple[str, ...] = ()  # of a reason: the facts it rests on, keys of `grounds.GROUNDS`

    def singles(self) -> Iterator[Proof]:
        """Yield the single proofs that it is joined of."""
        if self.kind not in ("all", "any"):
            yield self
        for part in self.parts:
            yield from part.singles()


@dataclass(frozen=True, slots=True)
class PackName:
    """The pack that a requirement comes from, as reports print it."""

    name: str
    version: str
    title: str
    state: str = ""  # whose rules they are; "" where they bind everywhere
    read: str = ""  # the day on which its law was read, ISO; of several the first, "" where none is told


@dataclass(frozen=True, slots=True)
class Requirement:
    """One duty, as the catalogue words it."""

    code: str
    name: str
    citation: Citation
    also: tuple[Citation, ...]  # further paragraphs that the same duty answers
    in_force_from: date
    in_force_until: date | None
    per: str  # the kind of subject, a key of `subjects.SUBJECTS`
    when: str  # `applies` in words; "" where it always does
    applies: Condition
    proof: Proof
    severity: Severity
    scope: Scope
    audience: Audience
    duty: str  # what is asked, in our words
    what: str  # the trouble, with placeholders that the proof fills in
    why: str
    fix: str
    example: str  # YAML to type
    reads: tuple[str, ...]  # description paths, lists written "people[]"
    who: str  # who must do it
    pack: PackName
    adopting: tuple[tuple[str, Any], ...] | None = None  # by adopting; None: as the proof says
    bars: str = "nothing"  # what nobody may count on while it is open, a key of `BARS`
    differs: str = ""  # why it is lawful that a local rule asks for something else than the rule it stands in for
    state: str = ""  # whose rule it is: it binds the work done there, and the program of a firm with a place there
    in_place_of: str = ""  # the duty and paragraph of a rule that asks in other words, and that a local one replaces
    lettered: tuple[tuple[str, Citation], ...] = ()  # by state: the same paragraph under letters of its own
    in_states: tuple[Requirement, ...] = ()  # what states ask in its place, of one code: each binds its own work alone

    @property
    def citations(self) -> tuple[str, ...]:
        return (str(self.citation), *map(str, self.also))


@dataclass(frozen=True, slots=True)
class NotForTheProgram:
    """A paragraph that carries a duty which no written program can answer, and why."""

    citation: Citation
    reason: str


@dataclass(frozen=True, slots=True, order=True)
class Subject:
    """What a requirement is judged for: the program, a task, a mask in a task, a wearer …"""

    kind: str
    ids: tuple[str, ...]  # "tasks.scrape-sashes", "masks.half-mask"; empty for the program
    path: str  # where it stands in the description, "" for the program
    label: str  # as a foreman would say it


# Where each kind of subject stands in the description: what a path that begins with a dot is added to.
PATHS: dict[str, str] = {
    "program": "",
    "task": "tasks[]",
    "hazard": "hazards[]",
    "mask": "masks[]",
    "mask-use": "tasks[].masks[]",
    "escape-mask": "tasks[].escape_masks[]",
    "filter": "filters[]",
    "schedule": "procedures.filter_changes.schedules[]",
    "unit": "masks[].units[]",
    "spare-cylinder": "cylinders[]",
    "post": "posts[]",
    "calendar-entry": "calendar[]",
    "wearer": "people[]",
    "worn-mask": "people[].masks[]",
    "empty-text": "",
    "empty-text-of-people": "people[]",
}


# What a required duty bars while it is open, or while it can't be told whether it is kept. Every output goes by this
# word: it becomes a reason against a mask or its task in `mask_protection`; "danger" takes no mask's protection away.
BARS: Mapping[str, str] = {
    "nothing": "nobody and nothing",
    "person": "a person, alone or in one of their masks",
    "unit": "a single piece, and its mask where no other piece is left",
    "pair": "a mask in a task",
    "mask": "a mask wherever it is worn",
    "task": "every mask in a task",
    "air": "every mask that is fed with breathing air",
    "hose": "every mask at the end of a hose",
    "way-out": "the way out of a task, and so the work in it",
    "danger": "the going into immediately dangerous air, or into the space of a task",
}
_BY_KIND = {  # where an entry says nothing else
    ("wearer", "record"): "person",
    ("worn-mask", "record"): "person",
    ("unit", "record"): "unit",
    ("mask-use", "program"): "pair",
    ("mask-use", "record"): "pair",
    ("filter", "program"): "pair",
    ("schedule", "program"): "pair",
    ("hazard", "program"): "task",
    ("escape-mask", "program"): "way-out",
}


def bars_of(said: str | None, per: str, scope: Scope, severity: Severity) -> str:
    """Return what a duty bars: as its entry says, else by what it is judged for; what is not required bars nothing."""
    if severity is not Severity.REQUIRED:
        return "nothing"
    return said or _BY_KIND.get((per, scope.value), "nothing")


class Verdict(NamedTuple):
    """How one subject stands to one requirement, what was read to say so, and what is to be done.

    There are sixty of each wearer, and a named tuple is made in a fifth of the time of a frozen dataclass.
    """

    requirement: Requirement
    subject: Subject
    status: Status
    because: str
    paths: tuple[str, ...]  # every place that was read to say so
    evidence: tuple[str, ...] = ()  # the stated facts that show it; never empty for met
    diagnostics: tuple[Diagnostic, ...] = ()
    faults: tuple[str, ...] = ()  # of a gap: the places that are silent or say what does not do
    home: Citation | None = None  # the paragraph that binds where the work is done, where it is not the first one

    @property
    def citation(self) -> Citation:
        """The paragraph that asks this of this subject."""
        return self.home or self.requirement.citation


# ---- twins of one paragraph in the parts of title 29 --------------------------------------------------

STANDARD = "us-29cfr1910.134"
PARTS = {Industry.GENERAL: "1910", Industry.CONSTRUCTION: "1926", Industry.SHIPYARD: "1915"}
_SECTION = re.compile(r"us-29cfr(\d+)\.\d+")


def part_of(citation: Citation) -> str:
    """Return the part of the law whose twins a citation is one of; nothing for what binds everywhere.

    Construction and shipyards take the respirator standard over as it stands.
    """
    found = _SECTION.match(citation.source.id)
    return found[1] if found and citation.source.id != STANDARD else ""


def at_home(requirement: Requirement, industry: Industry) -> Citation:
    """Return the paragraph that asks for a duty in an industry: of twins, one section in each part, the one there.

    A duty of several standards of one part has no twins: the finding names the standard of its agent.
    """
    wanted, cited = PARTS[industry], (requirement.citation, *requirement.also)
    there = [citation for citation in cited if part_of(citation) == wanted]
    sections = {(part_of(citation), citation.source.id) for citation in cited if part_of(citation)}
    has_twins = len(sections) == len({part for part, _ in sections})
    is_away = part_of(requirement.citation) not in ("", wanted)
    return there[0] if there and is_away and has_twins else requirement.citation


# ---- what adopting a paragraph states -----------------------------------------------------------------

_PRESCRIBES: Mapping[str, Any] = {"yes": True, "no": False}
_TAKES_ITS_VALUE = ("includes", "at_most", "at_least")


def is_under(requirement: Requirement, paragraph: str) -> bool:
    """Whether a requirement stands under a paragraph of the standard.

    "(h)(2)(i)" stands under "(h)(2)", and so does "(h)(2)" itself.
    """
    for cited in (requirement.citation, *requirement.also):
        if cited.locator.startswith(paragraph) and cited.source.id == STANDARD:
            return True
    return False


def adopted_values(requirement: Requirement) -> tuple[tuple[str, Any], ...]:
    """Return the places and values by which a firm does what a requirement prescribes; none for a fact of the site."""
    return prescribed(requirement.proof, requirement.adopting)


def prescribed(proof: Proof, adopting: tuple[tuple[str, Any], ...] | None) -> tuple[tuple[str, Any], ...]:
    """Return the places and values of a proof that adopting states: those of `adopting`, or what the proof tells."""
    return tuple(_prescribed(proof)) if adopting is None else adopting


def _prescribed(proof: Proof) -> Iterator[tuple[str, Any]]:
    if proof.kind == "all":
        for part in proof.parts:
            yield from _prescribed(part)
    elif proof.kind in _PRESCRIBES:
        yield proof.path, _PRESCRIBES[proof.kind]
    elif proof.kind in _TAKES_ITS_VALUE:
        yield proof.path, proof.value
