"""How things stand in one judged description: a flat table of all that a comparison sets side by side.

Every entry has a key of stable ids, and knows on which places of the description it rests. What does not apply is
not in the table. Nothing is compared here.
"""

from __future__ import annotations

from collections.abc import Container, Iterator, Mapping
from dataclasses import field
from datetime import date

from progdoc.comparison.description_changes import Renames
from progdoc.comparison.places import Places
from progdoc.core.citations import Citation
from progdoc.core.diagnostics import Diagnostic, Scope, Severity
from progdoc.core.late_dataclass import dataclass
from progdoc.core.numbers import number_text
from progdoc.core.report import Status, is_accepted
from progdoc.rules.judged.air_results import TaskAir
from progdoc.rules.judged.assignment_results import Assignment
from progdoc.rules.judged.due_results import OutlookItem
from progdoc.rules.judged.figure_results import Figure
from progdoc.rules.judged.mask_results import MaskVerdict
from progdoc.rules.judged.result import Judged
from progdoc.rules.requirement import Verdict

__all__ = ["AIR_CITED", "AirStands", "DueStands", "DutyStands", "FigureStands", "Key", "MaskStands", "PersonStands"]
__all__ += ["RatioStands", "Stands", "Table", "people_standing", "standing"]

AIR_CITED = "29 CFR 1910.134(d)(1)(iii)"  # the air is identified and estimated
_CHOICE_CITED = "29 CFR 1910.134(d)(3)(i)(A)"

Key = tuple[str, ...]  # ("mask", "tasks.scrape-sashes", "masks.half-mask"), by the ids of the new side


@dataclass(frozen=True, slots=True)
class DutyStands:
    """A requirement and one subject."""

    code: str
    place: str  # by the ids of its own side
    status: Status
    told: str
    severity: Severity
    scope: Scope
    is_accepted: bool
    is_restricted: bool
    citation: str
    read: tuple[str, ...] = field(compare=False)  # by position; places by id are asked of the few that moved
    places: Places = field(compare=False)
    at_fault: tuple[str, ...] = field(default=(), compare=False)  # of what was read, what is silent or does not do

    @property
    def paths(self) -> frozenset[str]:
        return self.places.all(self.read)

    @property
    def is_open(self) -> bool:
        return self.status is not Status.MET

    @property
    def lowers(self) -> bool:
        return self.is_open and self.severity is not Severity.ADVICE and not self.is_accepted


@dataclass(frozen=True, slots=True)
class AirStands:
    """The air of one task, and the least that is worn in it."""

    place: str
    use: str
    use_rank: int
    is_dangerous: bool
    is_danger_shown: bool
    danger: str
    needed: float
    is_strictly_above: bool
    least: float | None  # the lowest factor worn; None: no mask
    is_known: bool  # no agent of the air is unknown
    paths: frozenset[str] = field(compare=False)
    worn_paths: frozenset[str] = field(compare=False)  # of the masks, on which the air does not rest

    @property
    def margin(self) -> float:
        """How many times the least that is worn covers what is needed."""
        return (self.least or 0.0) / self.needed if self.needed else float("inf")

    @property
    def needed_words(self) -> str:
        return f"{'over ' if self.is_strictly_above else ''}{number_text(self.needed, 'up')}"

    @property
    def least_words(self) -> str:
        return "no mask" if self.least is None else number_text(self.least, "down")


@dataclass(frozen=True, slots=True)
class RatioStands:
    """One agent in one task: how many times over its limit; None where nobody knows."""

    place: str
    task: str
    ratio: float | None
    is_unknown: bool
    citation: str
    paths: frozenset[str] = field(compare=False)

    @property
    def words(self) -> str:
        return "no figure" if self.ratio is None else f"{number_text(self.ratio, 'up')} times the limit"


@dataclass(frozen=True, slots=True)
class MaskStands:
    """One mask in one task."""

    place: str
    is_adequate: bool
    is_disproved: bool
    factor: float | None
    why_not: str
    is_required: bool
    citation: str
    paths: frozenset[str] = field(compare=False)

    @property
    def words(self) -> str:
        factor = "no factor" if self.factor is None else f"factor {number_text(self.factor, 'down')}"
        answer = "does not protect" if self.is_disproved else "not shown to protect"
        return f"{'protects' if self.is_adequate else answer}, {factor}"

    @property
    def told(self) -> str:
        return f"{self.words} ({self.why_not})" if self.why_not else self.words


@dataclass(frozen=True, slots=True)
class PersonStands:
    """One person and one task that names them."""

    place: str
    may: bool
    masks: tuple[str, ...]
    why_not: str
    citation: str
    paths: frozenset[str] = field(compare=False)

    @property
    def words(self) -> str:
        return "may do it" if self.may else f"barred: {self.why_not}" if self.why_not else "barred"


@dataclass(frozen=True, slots=True)
class DueStands:
    """One thing that comes round."""

    place: str
    what: str
    due: date | None
    about: str
    is_restricted: bool
    citation: str
    paths: frozenset[str] = field(compare=False)


@dataclass(frozen=True, slots=True)
class FigureStands:
    """A figure in force: how much, and who set it."""

    place: str
    what: str
    words: str
    value: Figure
    is_stricter_lower: bool
    citation: str
    paths: frozenset[str] = field(compare=False)


Stands = DutyStands | AirStands | RatioStands | MaskStands | PersonStands | DueStands | FigureStands
Table = Mapping[Key, Stands]


def standing(judged: Judged, renames: Renames | None = None) -> Table:
    """Return how everything stands.

    Parameters
    ----------
    renames
        What the things of this side are called on the other, by their place.
    """
    places = Places(judged.description)
    called = renames or {}

    def key(kind: str, *parts: str) -> Key:
        return (kind, *(called.get(part, part) for part in parts))

    found: dict[Key, Stands] = {}
    for duty in _duties(judged, places):
        name = key("duty", duty.code, *duty.place.split(" ")[1:])
        known = found.get(name)
        if known is None or (isinstance(known, DutyStands) and duty.lowers > known.lowers):
            found[name] = duty
    selection = judged.selection
    masks: dict[str, list[MaskVerdict]] = {}
    for (task, _), verdict in selection.masks.items():
        masks.setdefault(task, []).append(verdict)
    for task, air in selection.air.items():
        worn = masks.get(task, [])
        found[key("air", f"tasks.{task}")] = _air(air, worn)
        for agent in air.agents:
            place = f"hazards.{agent.hazard.id}"
            cited = str(agent.governing.limit.citation) if agent.governing else AIR_CITED
            paths = frozenset((place, f"tasks.{task}.duration", f"tasks.{task}.shift", f"tasks.{task}.industry"))
            found[key("ratio", place)] = RatioStands(
                place, f"tasks.{task}", agent.hazard_ratio, agent.is_unknown, cited, paths
            )
        for verdict in worn:
            found[key("mask", f"tasks.{task}", f"masks.{verdict.mask.id}")] = _mask(judged, air, verdict)
    found |= {key("due", *_due_key(item.id, item.subject)): one for item, one in _due(judged, places)}
    found |= {key("figure", one.place): one for one in _figures(judged)}
    return found


# ---- duties -------------------------------------------------------------------------------------------


def _duties(judged: Judged, places: Places) -> Iterator[DutyStands]:
    accepted = {(d.code, d.location, d.subject) for d in judged.findings if is_accepted(d)}
    for verdict in judged.verdicts:
        if verdict.status is not Status.NOT_APPLICABLE:
            told = verdict.diagnostics
            is_accepted_now = bool(told) and all((d.code, d.location, d.subject) in accepted for d in told)
            yield _duty(verdict, places, is_accepted_now)
    for d in judged.findings:
        if d.code not in judged.known:
            yield _told_beside(d, places)


def _told_beside(d: Diagnostic, places: Places) -> DutyStands:
    """Return a finding that belongs to no requirement: of the form of the description."""
    place = " ".join((d.code, *(d.subject or (places.of(d.location.path),))))
    about = (d.code, place, Status.GAP, d.what, d.severity, d.scope, is_accepted(d), "people." in place, d.citation)
    return DutyStands(*about, (d.location.path,), places)


def _duty(verdict: Verdict, places: Places, is_accepted_now: bool) -> DutyStands:
    requirement, subject = verdict.requirement, verdict.subject
    first = verdict.diagnostics[0] if verdict.diagnostics else None
    ids = subject.ids or ((places.of(subject.path),) if subject.path else ())
    return DutyStands(
        code=requirement.code,
        place=" ".join((requirement.code, *ids)),
        status=verdict.status,
        told=first.what if first else requirement.duty,
        severity=first.severity if first else requirement.severity,
        scope=requirement.scope,
        is_accepted=is_accepted_now,
        is_restricted=any(part.startswith("people") for part in ids),
        citation=(first.citation if first else "") or str(requirement.citation),
        read=(*verdict.paths, *verdict.evidence, *verdict.faults),
        places=places,
        at_fault=verdict.faults,
    )


# ---- air and masks ------------------------------------------------------------------------------------

_AHEAD_DAYS = 60  # any number will do: how soon a thing is due is not compared, only when
_USES = {"": 0, "none": 1, "voluntary": 2, "required": 3}


def _air(air: TaskAir, worn: list[MaskVerdict]) -> AirStands:
    task = air.task
    use = task.use.value if task.use else ""
    place = f"tasks.{task.id}"
    agents = (f"hazards.{agent.hazard.id}" for agent in air.agents)
    sites = (f"organisation.sites.{site}" for site in task.sites)
    own = (f"{place}.{name}" for name in type(task).model_fields if name not in ("masks", "people", "controls"))
    return AirStands(
        place=place,
        use=use or "not said",
        use_rank=_USES[use],
        is_dangerous=air.is_immediately_dangerous,
        is_danger_shown=air.is_danger_shown,
        danger="; ".join(air.danger),
        needed=air.needed.value,
        is_strictly_above=air.needed.strictly_above,
        least=min((verdict.credit.apf or 0.0 for verdict in worn), default=None),
        is_known=not any(agent.is_unknown for agent in air.agents),
        paths=frozenset((*own, *agents, *sites)),
        worn_paths=frozenset((f"{place}.masks", *(f"masks.{verdict.mask.id}" for verdict in worn))),
    )


def _mask(judged: Judged, air: TaskAir, verdict: MaskVerdict) -> MaskStands:
    against = [reason for reason in verdict.reasons if not reason.is_caution]
    cited: Citation | None = judged.known[against[0].code].citation if against else None
    agents = (f"hazards.{agent.hazard.id}" for agent in air.agents)
    task, mask = f"tasks.{air.task.id}", f"masks.{verdict.mask.id}"
    own = (f"{task}.masks", mask, *(f"filters.{name}" for name in verdict.use.filters))
    around = (f"{task}.oxygen", f"{task}.use", f"{task}.duration", "procedures.fit_testing.protocols")
    return MaskStands(
        place=f"{task} {mask}",
        is_adequate=verdict.is_adequate,
        is_disproved=verdict.is_disproved,
        factor=verdict.credit.apf,
        why_not=", ".join(dict.fromkeys(reason.code for reason in against)),
        is_required=air.is_worn,
        citation=str(cited) if cited else _CHOICE_CITED,
        paths=frozenset((*agents, *own, *around)),
    )


# ---- people, days, figures ----------------------------------------------------------------------------


def people_standing(judged: Judged, renames: Renames, touched: Container[str]) -> Table:
    """Return who may do which of their tasks, of the people, tasks and masks that were touched: each pair is dear."""
    found: dict[Key, Stands] = {}
    roster = judged.roster
    for person in roster.people:
        who = renames.get(f"people.{person.id}", f"people.{person.id}")
        for task in roster.named.get(person.id, ()):
            masks = [renames.get(f"masks.{use.mask}", f"masks.{use.mask}") for use in task.masks]
            what = renames.get(f"tasks.{task.id}", f"tasks.{task.id}")
            if any(place in touched for place in (who, what, *masks)):
                found["person", who, what] = _person(roster.assignment(person, task), renames)
    return found


def _person(one: Assignment, renames: Renames) -> PersonStands:
    reasons = () if one.may else one.reasons
    who, task = f"people.{one.person.id}", f"tasks.{one.task.id}"
    good = (renames.get(f"masks.{choice.mask}", f"masks.{choice.mask}") for choice in one.good)
    return PersonStands(
        place=f"{who} {task}",
        may=one.may,
        masks=tuple(good),
        why_not=" ".join(dict.fromkeys(bar.what for bar in reasons)),
        citation=reasons[0].citation if reasons else "29 CFR 1910.134(c)(1)",
        paths=frozenset((who, task, *(f"masks.{use.mask}" for use in one.task.masks))),
    )


def _due_key(identity: str, subject: tuple[str, ...]) -> tuple[str, ...]:
    """Return a duty's name without the ids in it, and those ids as places."""
    ids = [part.partition(".")[2] for part in subject]
    parts = [part for part in identity.split(".") if part not in ids]
    return (".".join(parts), *subject)


def _due(judged: Judged, places: Places) -> Iterator[tuple[OutlookItem, DueStands]]:
    for item in judged.due(_AHEAD_DAYS).items:
        names_a_worker = any(part.startswith("people.") for part in item.subject)
        paths = places.all((item.path,))
        yield item, DueStands(
            item.id, item.what, item.due, item.subject[0] if item.subject else "program", names_a_worker, item.basis,
            paths,
        )  # fmt: skip


def _figures(judged: Judged) -> Iterator[FigureStands]:
    figures = judged.figures
    for name, held in figures.in_force.items():
        law = figures.law[name]
        paths = frozenset({law.program} - {""}) | frozenset(
            f"policies.{policy.id}.{law.policy}" for policy in judged.description.policies if law.policy
        )
        yield FigureStands(
            place=f"figures.{name}",
            what=law.words,
            words=f"{held.printed} ({held.origin})",
            value=held.value,
            is_stricter_lower=law.stricter.value in ("lower", "no"),
            citation=law.citation,
            paths=paths,
        )
