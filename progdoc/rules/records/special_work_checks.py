"""What is said of spraying, of entry into confined spaces and of levels of protection, held against their sections."""

from __future__ import annotations

from collections.abc import Callable

from progdoc.model.description.special_work import Monitoring, ProtectionLevel
from progdoc.model.description.workplace import Industry
from progdoc.rules.check_result import CheckResult, result_at
from progdoc.rules.facts import Facts
from progdoc.rules.lookup.cited import cited
from progdoc.rules.requirement import Subject

__all__ = ["SPECIAL_WORK_CHECKS"]


def _monitored(facts: Facts, subject: Subject) -> CheckResult:
    """Construction wants the air watched all the time, or a reason; general industry as often as it takes."""
    path, task = facts.tasks[subject.ids[0].partition(".")[2]]
    entry = task.entry
    if entry is None:
        return CheckResult((f"{path}.entry",), nothing="Nothing is said of an entry.")
    is_general = task.industry is Industry.GENERAL
    words = {"citation": cited(f"entry-monitoring-{'general' if is_general else 'construction'}")}
    place, basis = f"{path}.entry.monitoring", f"{path}.entry.monitoring_basis"
    if entry.monitoring is Monitoring.PERIODIC and not is_general and entry.monitoring_basis is None:
        return CheckResult((place, basis), ((basis, words),))
    is_watched = entry.monitoring in (Monitoring.CONTINUOUS, Monitoring.PERIODIC)
    return result_at(place, None if is_watched else words)


def _level_d_suits(facts: Facts, subject: Subject) -> CheckResult:
    """Level D has no mask, so nothing in the air may call for one."""
    path, task = facts.tasks[subject.ids[0].partition(".")[2]]
    place = f"{path}.protection_level"
    if task.protection_level is not ProtectionLevel.D:
        return CheckResult((place,), nothing="Level D was not chosen.")
    return result_at(place, {} if facts.is_needed(task) else None)


SPECIAL_WORK_CHECKS: dict[str, Callable[[Facts, Subject], CheckResult]] = {
    "entry-monitored": _monitored,
    "level-d-suits": _level_d_suits,
}
