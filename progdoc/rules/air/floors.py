"""Protection that the law sets without a measured level: silica Table 1 and the lead tasks.

Refuses a row whose controls are not confirmed one by one, and never takes an assumed lower bound for the level.
"""

from __future__ import annotations

from collections.abc import Iterable

from progdoc.calc.shift_length import is_over_four_hours_of_table_1, lead_limit
from progdoc.core.late_dataclass import dataclass
from progdoc.core.numbers import number_text
from progdoc.core.said import said, said_choice, said_join, same
from progdoc.model.description.exposure_evidence import LeadTask, SilicaTable1
from progdoc.model.description.hazards import Hazard
from progdoc.model.description.program import Program
from progdoc.model.description.quantities import Quantity, in_unit
from progdoc.model.description.workplace import Industry, Task
from progdoc.rules.air.shift_levels import worked_minutes
from progdoc.rules.judged.published import Limit, LimitKind, Substance
from progdoc.rules.lookup.conversion import in_limit_unit
from progdoc.rules.lookup.law_tables import LeadTask as LeadRow
from progdoc.rules.lookup.law_tables import SilicaRow, lead_tasks, silica_controls, silica_row, silica_rows
from progdoc.rules.lookup.substances import limits_for
from progdoc.rules.reasons import Reason

__all__ = [
    "Floor",
    "is_assumed_lead",
    "is_lead_in_construction",
    "is_silica_in_construction",
    "lead_floor",
    "long_table_1_tasks",
    "table_1_floor",
]

_SILICA = "silica-crystalline"
_LEAD = "lead"


@dataclass(frozen=True, slots=True)
class Floor:
    """The smallest protection factor a rule allows; 0 where it asks for no mask."""

    apf: float | None
    basis: str = ""
    is_exclusive: bool = False  # the factor has to be over it
    lower_bound_ug_m3: float | None = None  # the level is assumed to be over this
    reasons: tuple[Reason, ...] = ()  # why there is no floor, or what to look at


def long_table_1_tasks(program: Program) -> frozenset[str]:
    """Return the tasks whose Table 1 column is the one for over 4 hours (1926.1153(c)(3)).

    Durations of all Table 1 tasks that one person may do add up. A task that names nobody may be anybody's,
    and an unknown duration may be long.
    """
    table_1 = {h.task for h in program.hazards if isinstance(h.exposure, SilicaTable1)}
    tasks = [task for task in program.tasks if task.id in table_1]
    anybody = [task for task in tasks if not task.people]
    people = sorted({person for task in tasks for person in task.people})
    groups = [[task for task in tasks if person in task.people] + anybody for person in people]
    return frozenset(task.id for group in (anybody, *groups) if _is_long(group) for task in group)


def _is_long(group: Iterable[Task]) -> bool:
    minutes = [0.0 if task.duration is None else in_unit(task.duration, "min") for task in group]
    return bool(minutes) and (0.0 in minutes or is_over_four_hours_of_table_1(minutes))


def table_1_floor(
    row: SilicaTable1,
    path: str,
    task: Task,
    substance: Substance | None,
    limits: tuple[Limit, ...],
    is_over_four_hours: bool,
) -> Floor:
    """Full use of a row stands in for sampling, for silica alone (1926.1153(c)(1), (e)(3))."""
    if substance is None or not is_silica_in_construction(task, substance):
        return Floor(None, reasons=(Reason("EXP-016", path),))
    name = row.row.lower().strip("() ")
    found = _row(name, row)
    if found is None:
        options = sorted(
            {
                said("option %(option)s, %(place)s", option=r.option, place=r.place)
                for r in silica_rows()
                if r.row == name
            }
        )
        known = said_join(options, "; ") if options else said("rows run from i to xviii")
        return Floor(None, reasons=(Reason("EXP-008", f"{path}.row", {"row": row.row, "known": known}),))
    wanted = (*found.controls, *found.general_controls)
    missing = [control for control in wanted if control not in row.controls_in_place]
    if missing:
        texts = silica_controls()
        names = said_join(
            (
                said("`%(control)s` (%(texts)s)", control=same(control), texts=texts[control].text)
                for control in missing
            ),
            "; ",
        )
        words = {"row": name, "missing": names}
        return Floor(None, reasons=(Reason("EXP-009", f"{path}.controls_in_place", words),))
    apf = float(found.apf_over_4_h if is_over_four_hours else found.apf_up_to_4_h)
    column = said("over 4 hours a shift") if is_over_four_hours else said("up to 4 hours a shift")
    basis = said(
        "%(place)s, %(column)s: %(citation)s",
        place=said_choice(row.place),
        column=column,
        citation=found.citation,
    )
    legal = _legal_ug_m3(substance)
    own = _stricter(limits, legal, substance)
    if own is None:
        return Floor(apf, basis)
    # The table promises no more than the law's limit behind the mask; a stricter limit needs that much more.
    share = legal / own[0]
    return Floor(
        max(apf, 1.0) * share,
        said(
            "%(basis)s; %(share)s times as much for %(own)s, our choice",
            basis=basis,
            share=number_text(share, "up"),
            own=own[1],
        ),
    )


def _row(name: str, row: SilicaTable1) -> SilicaRow | None:
    return silica_row(name, int(row.option or 1), row.place.value) if (row.option or 1.0).is_integer() else None


def _legal_ug_m3(substance: Substance) -> float:
    """Return the law's 8-hour limit in construction, the one behind both tables."""
    printed = limits_for(substance, Industry.CONSTRUCTION.value)
    return min(
        value
        for limit in printed
        if limit.kind is LimitKind.TWA
        and limit.value is not None
        and (value := in_limit_unit(Quantity(limit.value, limit.unit, ""), "ug/m3", substance))
    )


def _stricter(limits: Iterable[Limit], legal_ug_m3: float, substance: Substance) -> tuple[float, str] | None:
    """Return the lowest 8-hour limit under the law's, in µg/m³, and whose it is."""
    found: list[tuple[float, str]] = []
    for limit in limits:
        if limit.kind is LimitKind.TWA and limit.value:
            value = in_limit_unit(Quantity(limit.value, limit.unit, ""), "ug/m3", substance)
            if value is not None and value < legal_ug_m3:
                found.append((value, limit.citation))
    return min(found, default=None)


def is_lead_in_construction(task: Task, substance: Substance | None) -> bool:
    """Return whether 29 CFR 1926.62 binds, which assumes levels until the air is assessed."""
    return substance is not None and substance.id == _LEAD and task.industry is Industry.CONSTRUCTION


def is_silica_in_construction(task: Task, substance: Substance | None) -> bool:
    """Return whether 29 CFR 1926.1153 binds, whose Table 1 stands in for sampling."""
    return substance is not None and substance.id == _SILICA and task.industry is Industry.CONSTRUCTION


def is_assumed_lead(hazard: Hazard, task: Task, substance: Substance | None) -> bool:
    """Return whether a level of lead stands that the law assumes, and the air is still to be assessed."""
    return isinstance(hazard.exposure, LeadTask) and is_lead_in_construction(task, substance)


def _lead_row(trigger: LeadTask) -> LeadRow:
    """Return the row of the group that was named, or of the listed task where that stands in a stricter group."""
    named = trigger.task.strip().casefold()
    rows = [row for row in lead_tasks() if row.group == trigger.group or named in (row.id, row.task.casefold())]
    return max(rows, key=lambda row: row.assumed_over_ug_m3)


def lead_floor(
    trigger: LeadTask, path: str, task: Task, substance: Substance | None, limits: tuple[Limit, ...]
) -> Floor:
    """Until the air is assessed the law assumes a level; above group i that is a lower bound (1926.62(d)(2))."""
    if substance is None or not is_lead_in_construction(task, substance):
        return Floor(None, reasons=(Reason("EXP-015", path),))
    row = _lead_row(trigger)
    is_exclusive = row.apf_needed.startswith("over ")
    apf = float(row.apf_needed.removeprefix("over "))
    basis = said("assumed until assessed: %(note)s (%(citation)s)", note=row.note, citation=row.citation)
    legal = _legal_ug_m3(substance)
    own = _stricter(limits, legal, substance)
    worked_h = worked_minutes(task) / 60.0
    lowest = min(own[0] if own else legal, lead_limit(legal, worked_h))
    if lowest < legal and (is_exclusive or own is not None):
        # "Ten times the limit" follows the limit of the day; levels in µg/m³, and other people's limits, do not.
        assumed = row.assumed_over_ug_m3 if is_exclusive else row.assumed_up_to_ug_m3
        apf = max(apf, (assumed or apf * legal) / lowest)
        basis = said(
            "%(basis)s, against %(lowest)s µg/m³%(own)s",
            basis=basis,
            lowest=number_text(lowest, "down"),
            own=said(" (%(own)s)", own=own[1]) if own else "",
        )
    reasons = (Reason("EXP-039", path), *((Reason("EXP-019", path),) if trigger.group == "ii" else ()))
    return Floor(apf, basis, is_exclusive, row.assumed_over_ug_m3, reasons)
