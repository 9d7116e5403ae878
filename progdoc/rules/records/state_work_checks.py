"""What states ask of single kinds of work: dry blasting with lead, short peaks, stone rich in silica."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from progdoc.core.numbers import text_of
from progdoc.core.said import said
from progdoc.model.description.exposure_evidence import Averaging, ObjectiveData, Samples
from progdoc.model.description.quantities import Quantity, in_unit, unit_symbol
from progdoc.model.description.special_work import BlastWork
from progdoc.model.description.workplace import Industry, Task
from progdoc.rules.check_result import CheckResult
from progdoc.rules.facts import Facts
from progdoc.rules.judged.air_results import Assessment
from progdoc.rules.judged.figure_results import Law
from progdoc.rules.judged.published import LimitKind
from progdoc.rules.lookup.conversion import in_limit_unit
from progdoc.rules.requirement import Subject

__all__ = ["STATE_WORK_CHECKS"]

_LEAD = "lead"
_SHORT = (Averaging.STEL, Averaging.CEILING)
_OVER = 1.0 + 1e-9


# ---- dry blasting with lead ---------------------------------------------------------------------------


def _lead_blasting_short(facts: Facts, subject: Subject) -> CheckResult:
    """Before its air was assessed, blasting with lead in the air lasts no longer a day than a state lets it."""
    path, task = facts.tasks[subject.ids[0].partition(".")[2]]
    most = facts.law_of(task)["lead-blasting-time"]
    read = (f"{path}.blasting.work", f"{path}.duration")
    lead = _lead_in(facts, task)
    if most.value is None or lead is None:
        return CheckResult(read, nothing=said("No lead is in the air of blasting in construction there."))
    if isinstance(lead.hazard.exposure, Samples | ObjectiveData):
        return CheckResult(read, nothing=said("The exposure was assessed, so no time is set."))
    if task.duration is None:
        return CheckResult(read, ((read[1], {"found": said("nobody says how long")}),))
    longest = facts.law_of(task).amount("lead-blasting-time", "min")
    if in_unit(task.duration, "min") <= longest * _OVER:
        return CheckResult(read, shown=(read[1],))
    return CheckResult(read, ((read[1], {"found": task.duration.printed}),))


def _lead_in(facts: Facts, task: Task) -> Assessment | None:
    """Return the lead of a blasting task, unless somebody says that it is no construction, or only cleared up after."""
    work = task.blasting
    if work is None or work.work is BlastWork.CLEAN_UP or task.industry not in (None, Industry.CONSTRUCTION):
        return None
    agents = facts.selection.air[task.id].agents
    return next((agent for agent in agents if agent.substance and agent.substance.id.startswith(_LEAD)), None)


# ---- short peaks --------------------------------------------------------------------------------------

_AGAINST_PEAKS = (LimitKind.STEL, LimitKind.CEILING, LimitKind.EXCURSION, LimitKind.PEAK)
_GUIDES = (("small-limit", "peak-over-small-limit"), ("middle-limit", "peak-over-middle-limit"))


def _peaks_held_down(facts: Facts, subject: Subject) -> CheckResult:
    """A short sample lies further over the limit than a state takes for harmless; there is no STEL and no ceiling."""
    _, task = facts.tasks[subject.ids[0].partition(".")[2]]
    agent = next(a for a in facts.selection.air[task.id].agents if f"hazards.{a.hazard.id}" in subject.ids)
    read, law, peaks = (f"{agent.path}.exposure",), facts.law_of(task), list(_peaks(agent))
    if not peaks or any(limit.kind in _AGAINST_PEAKS for limit in agent.limits):
        return CheckResult(read, nothing=said("No short sample is told, or a STEL or a ceiling is there for it."))
    if law[_GUIDES[0][1]].value is None:
        return CheckResult(read, nothing=said("Nobody sets a guide for peaks there."))
    worst = ""
    for limit in agent.limits:
        if limit.kind is LimitKind.TWA and limit.value is not None:
            most = limit.value * _times(law, limit.value)
            levels = [in_limit_unit(peak, limit.unit, agent.substance) for peak in peaks]
            if any(level is not None and level > most * _OVER for level in levels):
                highest = max(peaks, key=lambda peak: peak.value).printed
                worst = said(
                    "%(highest)s, and the guide ends at %(most)s",
                    highest=highest,
                    most=text_of(most, unit_symbol(limit.unit)),
                )
    return CheckResult(read, ((read[0], {"found": worst}),) if worst else (), shown=() if worst else read)


def _times(law: Law, limit: float) -> float:
    """Return how many times a limit the air may reach for a short time: the more the smaller the limit is."""
    found = (times for most, times in _GUIDES if limit <= law.number(most))
    return law.number(next(found, "peak-over-large-limit"))


def _peaks(agent: Assessment) -> Iterator[Quantity]:
    if isinstance(agent.hazard.exposure, Samples):
        for sample in agent.hazard.exposure.results:
            if sample.averaging in _SHORT and not sample.below_detection:
                yield sample.concentration


STATE_WORK_CHECKS: dict[str, Callable[[Facts, Subject], CheckResult]] = {
    "lead-blasting-short": _lead_blasting_short,
    "peaks-held-down": _peaks_held_down,
}
