"""Each hazard of each task, assessed: how many times over its limits the air is, or why nobody can tell.

Unknown is never harmless: a hazard that can't be assessed makes the air of its task immediately dangerous
(29 CFR 1910.134(d)(1)(iii)). Where a substance standard leaves that paragraph out, progdoc still treats it
so: our choice, the stricter one.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date

from progdoc.calc.due import due_date, is_overdue
from progdoc.calc.exposure import hazard_ratio
from progdoc.calc.shift_length import is_over_four_hours_of_table_1
from progdoc.core.numbers import long_date, text_of
from progdoc.core.worked import Input, Rounding, Worked
from progdoc.model.exposure import (
    NO_LIMIT,
    Averaging,
    Estimate,
    Form,
    Hazard,
    Judgment,
    LeadTask,
    ObjectiveData,
    OwnLimit,
    Samples,
    SilicaTable1,
    Unknown,
)
from progdoc.model.program import Program
from progdoc.model.quantities import in_unit, unit_symbol
from progdoc.model.workplace import Industry, Task
from progdoc.rules.levels import Level, NoLevel, in_limit_unit, level_against, level_during_task
from progdoc.rules.reasons import Reason
from progdoc.rules.substances import Limit, LimitKind, Substance, find_substance, limits_for, near_names
from progdoc.rules.tables import lead_tasks, silica_controls, silica_row, silica_rows

__all__ = ["Assessment", "Ratio", "assess"]

_SILICA = "silica-crystalline"
_OLD_MONTHS = 12  # our choice: evidence older than a year is looked at again
_IMPLAUSIBLE = 1000.0


@dataclass(frozen=True, slots=True)
class Ratio:
    """One level set against one limit."""

    limit: Limit
    level: Level
    value: float
    worked: Worked


@dataclass(frozen=True, slots=True)
class Assessment:
    """What is known of one agent in one task."""

    hazard: Hazard
    path: str
    task: Task
    substance: Substance | None
    limits: tuple[Limit, ...]  # in force here, the firm's own among them
    ratios: tuple[Ratio, ...]
    floor: float | None  # an APF that a table, a trigger task or a judgment sets; 0: no mask asked for
    floor_is_exclusive: bool  # the APF has to be over the floor
    floor_basis: str
    is_unknown: bool
    during_task: float | None  # highest level while working, in `unit`
    unit: str
    reasons: tuple[Reason, ...]
    lower_bound: float | None = None  # level assumed until assessed, in `unit`

    @property
    def hazard_ratio(self) -> float | None:
        return max((ratio.value for ratio in self.ratios), default=None)

    @property
    def governing(self) -> Ratio | None:
        return max(self.ratios, key=lambda ratio: ratio.value, default=None)

    @property
    def name(self) -> str:
        return self.substance.name if self.substance else self.hazard.agent

    @property
    def is_gas(self) -> bool:
        return self.hazard.form in (Form.GAS, Form.VAPOUR, Form.MIST_AND_VAPOUR)

    @property
    def is_particle(self) -> bool:
        return self.hazard.form in (Form.DUST, Form.FUME, Form.MIST, Form.FIBRES, Form.MIST_AND_VAPOUR)

    @property
    def is_over_limit(self) -> bool:
        """Whether a mask is needed for this agent: over a limit, asked for by a table, or not known."""
        ratio = self.hazard_ratio
        return self.is_unknown or (ratio is not None and ratio > 1.0) or bool(self.floor)


@dataclass(slots=True)
class _Draft:
    """An assessment that is being made."""

    reasons: list[Reason] = field(default_factory=list)
    ratios: list[Ratio] = field(default_factory=list)
    floor: float | None = None
    floor_is_exclusive: bool = False
    floor_basis: str = ""
    lower_bound: float | None = None
    is_unknown: bool = False

    def unknown(self, code: str, path: str, words: dict[str, str] | None = None) -> None:
        self.is_unknown = True
        self.reasons.append(Reason(code, path, words or {}))


def assess(program: Program, as_of: date) -> dict[str, Assessment]:
    """Return an assessment of every hazard by its id."""
    tasks = {task.id: task for task in program.tasks}
    over_four_hours = _long_table_1_tasks(program)
    return {
        hazard.id: _assessment(hazard, f"hazards[{i}]", tasks[hazard.task], as_of, hazard.task in over_four_hours)
        for i, hazard in enumerate(program.hazards)
    }


def _long_table_1_tasks(program: Program) -> frozenset[str]:
    """Tasks whose Table 1 column is the one for over 4 hours: durations of one person's tasks add up."""
    table_1 = {h.task for h in program.hazards if isinstance(h.exposure, SilicaTable1)}
    tasks = [task for task in program.tasks if task.id in table_1]
    together: dict[str, list[Task]] = {}
    for task in tasks:
        for person in task.people or ("",):
            together.setdefault(person, []).append(task)
    found = {task.id for task in tasks if task.duration is None}
    for shared in together.values():
        minutes = [in_unit(task.duration, "min") for task in shared if task.duration is not None]
        if minutes and is_over_four_hours_of_table_1(minutes):
            found.update(task.id for task in shared)
    return frozenset(found)


def _assessment(hazard: Hazard, path: str, task: Task, as_of: date, over_four_hours: bool) -> Assessment:
    substance = find_substance(hazard.agent)
    draft = _Draft()
    limits = _limits(hazard, path, task, substance, draft)
    unit = next((limit.unit for limit in limits if limit.value), _own_unit(hazard))
    if hazard.form is None:
        draft.reasons.append(Reason("EXP-002", f"{path}.form"))
    match hazard.exposure:
        case None | Unknown():
            draft.unknown("EXP-001", f"{path}.exposure")
        case SilicaTable1() as row:
            _table_1(row, f"{path}.exposure", task, substance, over_four_hours, draft)
        case LeadTask() as trigger:
            _lead_task(trigger, f"{path}.exposure", task, substance, draft)
        case Judgment() as judgment:
            draft.floor, draft.floor_basis = judgment.needed_apf, f"judged by {judgment.by}: {judgment.guidance}"
        case Samples() | ObjectiveData() | Estimate():
            _measured(hazard, path, task, substance, limits, draft)
    _age(hazard, path, as_of, draft)
    return Assessment(
        hazard=hazard,
        path=path,
        task=task,
        substance=substance,
        limits=limits,
        ratios=tuple(draft.ratios),
        floor=draft.floor,
        floor_is_exclusive=draft.floor_is_exclusive,
        floor_basis=draft.floor_basis,
        is_unknown=draft.is_unknown,
        during_task=level_during_task(hazard, substance, unit),
        unit=unit,
        reasons=tuple(draft.reasons),
        lower_bound=draft.lower_bound,
    )


def _own_unit(hazard: Hazard) -> str:
    match hazard.exposure:
        case Samples(results=results):
            return results[0].concentration.unit
        case ObjectiveData(concentration=level) | Estimate(concentration=level):
            return level.unit
        case _:
            return ""


# ---- limits -------------------------------------------------------------------------------------------


def _limits(hazard: Hazard, path: str, task: Task, substance: Substance | None, draft: _Draft) -> tuple[Limit, ...]:
    """Return the limits that bind: the law's, and the firm's own where it is not looser."""
    industry = task.industry or Industry.GENERAL
    legal = limits_for(substance, industry.value, hazard.form.value if hazard.form else "") if substance else ()
    own = hazard.limit
    if own == NO_LIMIT:
        if legal:
            draft.reasons.append(Reason("EXP-011", f"{path}.limit", {"own": NO_LIMIT, "legal": _in_words(legal[0])}))
        elif not isinstance(hazard.exposure, Judgment | Unknown | None):
            draft.unknown("EXP-004", f"{path}.exposure")
        return legal
    if isinstance(own, OwnLimit):
        return _with_own(own, legal, path, substance, hazard, industry, draft)
    if not legal and not isinstance(hazard.exposure, Judgment):
        near = near_names(hazard.agent)
        words = {"near": f" Did you mean: {'; '.join(near)}?" if near and substance is None else ""}
        draft.unknown("EXP-003", f"{path}.agent", words)
    return legal


def _with_own(
    own: OwnLimit,
    legal: tuple[Limit, ...],
    path: str,
    substance: Substance | None,
    hazard: Hazard,
    industry: Industry,
    draft: _Draft,
) -> tuple[Limit, ...]:
    kind = {Averaging.TWA: LimitKind.TWA, Averaging.STEL: LimitKind.STEL, Averaging.CEILING: LimitKind.CEILING}
    for limit in legal:
        mine = in_limit_unit(own.value, limit.unit, substance)
        if limit.kind is kind[own.averaging] and limit.value is not None and mine is not None and mine > limit.value:
            words = {"own": own.value.text, "legal": _in_words(limit)}
            draft.reasons.append(Reason("EXP-011", f"{path}.limit.value", words))
            return legal
    stricter = Limit(
        agent=substance.id if substance else hazard.agent,
        industry=industry.value,
        kind=kind[own.averaging],
        value=own.value.value,
        formula="",
        unit=own.value.unit,
        minutes={Averaging.TWA: 480.0, Averaging.STEL: 15.0, Averaging.CEILING: 0.0}[own.averaging],
        per_hours=None,
        fraction="",
        form="",
        mg_m3_as_printed="",
        is_skin=False,
        condition="",
        citation=own.source,
        note="the firm's own limit",
    )
    return (stricter, *legal)


def _in_words(limit: Limit) -> str:
    amount = limit.formula or text_of(limit.value or 0.0, unit_symbol(limit.unit))
    return f"{amount} {limit.kind.value} ({limit.citation})"


# ---- evidence -----------------------------------------------------------------------------------------


def _measured(
    hazard: Hazard, path: str, task: Task, substance: Substance | None, limits: tuple[Limit, ...], draft: _Draft
) -> None:
    numeric = [limit for limit in limits if limit.kind is not LimitKind.ACTION_LEVEL]
    for limit in numeric:
        if limit.value is None:
            draft.unknown("EXP-014", f"{path}.limit", {"limit": limit.formula, "source": limit.citation})
            continue
        found = level_against(limit, hazard, task, substance)
        if isinstance(found, NoLevel):
            if found.code == "EXP-006" and any(other.kind is LimitKind.TWA for other in numeric):
                draft.reasons.append(Reason("EXP-006", f"{path}.exposure", found.words))
            else:
                draft.unknown(found.code, f"{path}.exposure", found.words)
            continue
        draft.ratios.append(_ratio(hazard, path, task, limit, found))
    worst = max((ratio.value for ratio in draft.ratios), default=0.0)
    if worst > _IMPLAUSIBLE:
        draft.reasons.append(Reason("EXP-017", f"{path}.exposure", {"ratio": f"{worst:,.0f}"}))


def _ratio(hazard: Hazard, path: str, task: Task, limit: Limit, level: Level) -> Ratio:
    value = hazard_ratio(level.value, level.limit_value)
    unit = unit_symbol(level.unit)
    worked = Worked(
        id=f"hazards.{hazard.id}.hazard-ratio.{limit.kind.value.lower()}",
        name=f"Hazard ratio of {hazard.agent} in “{task.name}” ({limit.kind.value})",
        value=value,
        unit="",
        formula="hazard ratio = concentration ÷ limit",
        inputs=(
            Input("concentration", level.value, unit, f"{level.basis} (`{path}.exposure`)", Rounding.UP),
            Input("limit", level.limit_value, unit, limit.citation),
        ),
        citation="29 CFR 1910.134(d)(3)(i)(A)",
        rounding=Rounding.UP,
        notes=level.notes,
    )
    return Ratio(limit, level, value, worked)


def _table_1(
    row: SilicaTable1, path: str, task: Task, substance: Substance | None, over_four_hours: bool, draft: _Draft
) -> None:
    """Full use of a row stands in for sampling, for silica alone (1926.1153(c)(1), (e)(3))."""
    if substance is None or substance.id != _SILICA or task.industry is not Industry.CONSTRUCTION:
        draft.unknown("EXP-016", path)
        return
    found = silica_row(row.row, int(row.option or 1), row.place.value)
    if found is None:
        options = sorted({f"option {r.option}, {r.place}" for r in silica_rows() if r.row == row.row})
        known = "; ".join(options) if options else "rows run from i to xviii"
        draft.unknown("EXP-008", f"{path}.row", {"row": row.row, "known": known})
        return
    wanted = (*found.controls, *found.general_controls)
    missing = [control for control in wanted if control not in row.controls_in_place]
    if missing:
        texts = silica_controls()
        names = "; ".join(f"`{control}` ({texts[control].text})" for control in missing)
        draft.unknown("EXP-009", f"{path}.controls_in_place", {"row": row.row, "missing": names})
        return
    draft.floor = float(found.apf_over_4_h if over_four_hours else found.apf_up_to_4_h)
    column = "over 4 hours a shift" if over_four_hours else "up to 4 hours a shift"
    draft.floor_basis = f"Table 1 row ({row.row}), {row.place.value}, {column}: {found.citation}"


def _lead_task(trigger: LeadTask, path: str, task: Task, substance: Substance | None, draft: _Draft) -> None:
    """Until the air is assessed the law assumes a level; above group i that is a lower bound."""
    if substance is None or substance.id != "lead" or task.industry is not Industry.CONSTRUCTION:
        draft.unknown("EXP-015", path)
        return
    row = next(row for row in lead_tasks() if row.group == trigger.group)
    draft.floor = float(row.apf_needed.removeprefix("over "))
    draft.floor_is_exclusive = row.apf_needed.startswith("over ")
    draft.floor_basis = f"assumed until assessed: {row.note} ({row.citation})"
    draft.lower_bound = row.assumed_over_ug_m3
    if trigger.group == "ii":
        draft.reasons.append(Reason("EXP-019", path))


def _age(hazard: Hazard, path: str, as_of: date, draft: _Draft) -> None:
    days: Iterable[date | None] = ()
    match hazard.exposure:
        case Samples(results=results):
            days = [sample.date for sample in results]
        case ObjectiveData(date=day) | Estimate(date=day) | Judgment(date=day) | SilicaTable1(date=day):
            days = [day]
        case _:
            return
    known = [day for day in days if day is not None]
    if not known:
        draft.reasons.append(Reason("EXP-020", f"{path}.exposure"))
    elif is_overdue(due_date(max(known), months=_OLD_MONTHS), as_of):
        draft.reasons.append(Reason("EXP-012", f"{path}.exposure", {"last_date": long_date(max(known))}))
