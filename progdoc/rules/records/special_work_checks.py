"""What is said of spraying, of entry into confined spaces and of levels of protection, held against their sections."""

from __future__ import annotations

from collections.abc import Callable

from progdoc.calc.oxygen import OxygenCase
from progdoc.core.said import said
from progdoc.model.description.quantities import in_unit, is_no_time
from progdoc.model.description.special_work import EntryPurpose, Monitoring, ProtectionLevel
from progdoc.model.description.workplace import Industry
from progdoc.rules.air.declared_work import undescribed
from progdoc.rules.check_result import CheckResult, result_at
from progdoc.rules.facts import Facts
from progdoc.rules.judged.air_results import TaskAir
from progdoc.rules.lookup.answers_said import Said, said_by
from progdoc.rules.lookup.cited import cited
from progdoc.rules.lookup.facepieces import SCBA
from progdoc.rules.requirement import Subject

__all__ = ["SPECIAL_WORK_CHECKS"]


def _monitored(facts: Facts, subject: Subject) -> CheckResult:
    """Construction wants the air watched all the time, or a reason; general industry as often as it takes."""
    path, task = facts.tasks[subject.ids[0].partition(".")[2]]
    entry = task.entry
    if entry is None:
        return CheckResult((f"{path}.entry",), nothing=said("Nothing is said of an entry."))
    is_general = task.industry is Industry.GENERAL
    words = {"citation": cited(f"entry-monitoring-{'general' if is_general else 'construction'}")}
    place, because = f"{path}.entry.monitoring", f"{path}.entry.periodic_because"
    if entry.monitoring is Monitoring.PERIODIC and not is_general and entry.periodic_because is None:
        return CheckResult((place, because), ((because, words),))
    is_watched = entry.monitoring in (Monitoring.CONTINUOUS, Monitoring.PERIODIC)
    return result_at(place, None if is_watched else words)


def _level_d_suits(facts: Facts, subject: Subject) -> CheckResult:
    """Level D has no mask, so nothing in the air may call for one."""
    path, task = facts.tasks[subject.ids[0].partition(".")[2]]
    place = f"{path}.protection_level"
    if task.protection_level is not ProtectionLevel.D:
        return CheckResult((place,), nothing=said("Level D was not chosen."))
    return result_at(place, {} if facts.is_needed(task) else None)


def _may_be_entered(facts: Facts, subject: Subject) -> CheckResult:
    """Bad air in a shipyard's space is entered for rescue or to set up ventilation, watched all the time."""
    path, task = facts.tasks[subject.ids[0].partition(".")[2]]
    place = f"{path}.entry.purpose"
    trouble, words = _trouble(facts.selection.air[task.id])
    if not trouble:
        return CheckResult((place, f"{path}.oxygen"), nothing=said("Nothing shows that its air is bad."))
    entry = task.entry
    is_excused = entry is not None and entry.purpose in (EntryPurpose.RESCUE, EntryPurpose.VENTILATION)
    if entry is not None and is_excused and entry.monitoring is Monitoring.CONTINUOUS:
        return CheckResult((place, f"{path}.entry.monitoring"))
    return CheckResult((place,), ((place, {"trouble": trouble, **words}),))


def _trouble(air: TaskAir) -> tuple[str, dict[str, str]]:
    if air.oxygen in (OxygenCase.EXCEPTION, OxygenCase.IDLH):
        return said("the space may be short of oxygen"), {"citation": cited("shipyard-space-oxygen")}
    over = [agent for agent in air.agents if any(ratio.value > _OVER for ratio in agent.ratios)]
    if over:
        return said("%(agent)s is over a limit in the space", agent=over[0].hazard.agent), {}
    return (said("the air of the space is immediately dangerous"), {}) if air.danger else ("", {})


def _among_hazards(code: str, field: str) -> Callable[[Facts, Subject], CheckResult]:
    """What the answers on the work put into the air is among the hazards of the task."""

    def checked(facts: Facts, subject: Subject) -> CheckResult:
        path, task = facts.tasks[subject.ids[0].partition(".")[2]]
        found = [one for one in undescribed(task, facts.selection.air[task.id].agents) if one.code == code]
        return result_at(f"{path}.{field}", {"because": found[0].because} if found else None)

    return checked


def _alarm_fitted(facts: Facts, subject: Subject) -> CheckResult:
    path, mask = facts.masks[subject.ids[1].partition(".")[2]]
    return result_at(f"{path}.low_air_alarm", None if mask.low_air_alarm else {})


def _alarm_not_denied(facts: Facts, subject: Subject) -> CheckResult:
    """A set for entry is said to have no alarm; that nobody speaks of it is asked in fires alone."""
    path, mask = facts.masks[subject.ids[0].partition(".")[2]]
    place = f"{path}.low_air_alarm"
    if mask.escape_only or mask.mode not in SCBA or mask.low_air_alarm is None:
        return CheckResult((place,), nothing=said("It is for getting out alone, or nothing is said of an alarm."))
    return result_at(place, None if mask.low_air_alarm else {})


def _air_lasts(facts: Facts, subject: Subject) -> CheckResult:
    """A task takes longer at a stretch than the rated time of the self-contained set worn in it."""
    _, task = facts.tasks[subject.ids[0].partition(".")[2]]
    if facts.selection.air[task.id].is_immediately_dangerous:
        return CheckResult(
            (f"{subject.path}.mask",), nothing=said("Its air is immediately dangerous, which is asked apart.")
        )
    return _stretch_in_set(facts, subject)


def _stretch_in_set(facts: Facts, subject: Subject) -> CheckResult:
    """Nobody stays at a stretch longer than the self-contained set is rated for."""
    path, task = facts.tasks[subject.ids[0].partition(".")[2]]
    place, mask = facts.masks[subject.ids[1].partition(".")[2]]
    stretch, field = (task.turn, "turn") if task.turn is not None else (task.duration, "duration")
    stated = (f"{place}.service_time", f"{path}.{field}")
    if mask.escape_only or mask.mode not in SCBA or mask.service_time is None or stretch is None:
        return CheckResult(
            stated, nothing=said("It is for getting out alone, or nobody says how long air or work lasts.")
        )
    if task.turn is not None and is_no_time(task.turn):
        return CheckResult(stated, ask=(stated[1],))
    lasts = in_unit(stretch, "min") <= in_unit(mask.service_time, "min") * _OVER
    words = {"work": f"{stretch.printed}{' at a stretch' if task.turn else ''}", "rated": mask.service_time.printed}
    return CheckResult(stated, () if lasts else ((stated[0], words),), shown=stated if lasts else ())


def _rated_time_can_be(facts: Facts, subject: Subject) -> CheckResult:
    """A rated time that is longer than all that approvals list is shown by something."""
    path, mask = facts.masks[subject.ids[0].partition(".")[2]]
    place, shown_by = f"{path}.service_time", f"{path}.service_time_shown_by"
    if mask.service_time is None:
        return CheckResult((place,), nothing=said("Its rated time is asked elsewhere."))
    longest = facts.law_of(*facts.tasks_of(subject)).amount("longest-rated-time", "min")
    if in_unit(mask.service_time, "min") <= longest * _OVER:
        return CheckResult((place,), shown=(place,))
    if mask.service_time_shown_by and said_by(mask.service_time_shown_by) is Said.ANSWER:
        return CheckResult((place, shown_by), shown=(place, shown_by))
    return CheckResult((place, shown_by), ((place, {"rated": mask.service_time.printed}),))


_OVER = 1.0 + 1e-9  # what binary arithmetic adds to a level just at its limit

SPECIAL_WORK_CHECKS: dict[str, Callable[[Facts, Subject], CheckResult]] = {
    "entry-monitored": _monitored,
    "level-d-suits": _level_d_suits,
    "shipyard-space-may-be-entered": _may_be_entered,
    "silica-of-abrasive-is-hazard": _among_hazards("BLA-005", "blasting.abrasive"),
    "toxic-dust-is-hazard": _among_hazards("BLA-006", "blasting.toxic"),
    "spray-is-hazard": _among_hazards("SPR-005", "spraying"),
    "spray-mist-is-hazard": _among_hazards("SPR-006", "spraying"),
    "low-air-alarm-fitted": _alarm_fitted,
    "alarm-not-denied": _alarm_not_denied,
    "air-lasts-the-work": _air_lasts,
    "air-lasts-in-danger": _stretch_in_set,
    "rated-time-can-be": _rated_time_can_be,
}
