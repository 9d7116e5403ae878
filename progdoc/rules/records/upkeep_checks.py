"""Looks at use and upkeep: masks in fires, inspections of masks and cylinders, and evaluations of the program.

Each check returns the places it read and, for each thing wrong, a place and the words for the placeholders
of the requirement's text.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import date

from progdoc.calc.due_dates import is_overdue
from progdoc.core.numbers import long_date
from progdoc.core.said import said, said_join, same
from progdoc.model.description.masks import Facepiece, Mask, Mode
from progdoc.model.description.oversight import Finding
from progdoc.model.description.quantities import Dimension, in_unit
from progdoc.model.description.upkeep import Checks
from progdoc.model.description.words import label_of
from progdoc.rules.check_result import CheckResult, result_at
from progdoc.rules.facts import Facts
from progdoc.rules.in_force.figures import cylinder_due, evaluation_cycles, inspection_cycles
from progdoc.rules.in_force.intervals import Cycle, shortest
from progdoc.rules.judged.figure_results import Setter
from progdoc.rules.lookup.clauses import clauses_of
from progdoc.rules.lookup.facepieces import SCBA
from progdoc.rules.lookup.text_intervals import quantities_in
from progdoc.rules.requirement import Subject

__all__ = ["LOOKED_AT_AGAIN", "UPKEEP_CHECKS", "begins_on", "evaluated_on"]

# Our choice, where nobody sets an interval: no rule, and no basis of an overdue date.
LOOKED_AT_AGAIN = Cycle(12, 0, said("good practice: a program is looked at again after a year"))
_BATH = re.compile(r"\b(?:bleach|chlor|hypochlor|iodin)", re.IGNORECASE)
_AFTER_THE_BATH = re.compile(r"\b(?:rins|dry|dri|shak|drip|wip)", re.IGNORECASE)
_SECONDS = re.compile(r"\b(\w+)[ -]?(?:seconds?|secs?)\b", re.IGNORECASE)
_WITH_TUBE_OR_HOSE = tuple(mode for mode in Mode if mode is not Mode.AIR_PURIFYING)


# ---- fire-fighting ------------------------------------------------------------------------------------


def _mask_is_scba(facts: Facts, subject: Subject) -> CheckResult:
    path, mask = facts.masks[subject.ids[1].partition(".")[2]]
    is_scba = mask.mode in SCBA
    faults = () if is_scba else ((subject.path, {"task": label_of(facts.tasks[subject.ids[0].partition(".")[2]][1])}),)
    return CheckResult((subject.path, f"{path}.mode"), faults)


# ---- cleaning -----------------------------------------------------------------------------------------


def _disinfectant_strong(facts: Facts, _subject: Subject) -> CheckResult:
    """A bath of chlorine or iodine is named weaker, or shorter, than Appendix B-2 has it."""
    path, text = "procedures.cleaning.disinfectant", facts.description.procedures.cleaning.disinfectant
    if text is None or not _BATH.search(text):
        return CheckResult((path,), nothing=said("No bath of chlorine or iodine is named."))
    law = facts.law_of()
    least, minutes = law.amount("disinfection-chlorine", "ppm"), law.amount("disinfection-time", "min")
    told = [clause for clause in clauses_of(text) if not _AFTER_THE_BATH.search(clause)]
    weak = [
        found.printed
        for clause in told
        for dimension, unit, wanted in ((Dimension.CONCENTRATION, "ppm", least), (Dimension.DURATION, "min", minutes))
        for found in quantities_in(clause, dimension)
        if found.unit in (unit, "h") and in_unit(found, unit) < wanted
    ]
    weak += [found[0] for clause in told for found in _SECONDS.finditer(clause) if _seconds(found[1]) < minutes * 60]
    faults = ((path, {"text": text, "found": said_join(weak, ", ")}),) if weak else ()
    return CheckResult((path,), faults)


def _seconds(number: str) -> float:
    """Return seconds in figures; what is spelt out is taken for few."""
    return float(number) if number.isdigit() else 0.0


# ---- inspection ---------------------------------------------------------------------------------------


def _parts_of(mask: Mask) -> set[Checks]:
    """What an inspection of this mask has to look at (29 CFR 1910.134(h)(3)(ii)), as far as it has the part."""
    parts = {Checks.FUNCTION, Checks.FACEPIECE, Checks.STRAPS}
    if mask.facepiece not in (None, Facepiece.FILTERING_FACEPIECE):
        parts |= {Checks.CONNECTIONS, Checks.VALVES, Checks.RUBBER}
        if mask.mode in (Mode.AIR_PURIFYING, Mode.POWERED):
            parts.add(Checks.FILTERS)
    if mask.mode in _WITH_TUBE_OR_HOSE:
        parts.add(Checks.TUBE)
    return parts


def _inspection_looks_at_all(facts: Facts, subject: Subject) -> CheckResult:
    """The inspection covers every part that some mask in use has."""
    path = "procedures.inspection.checks"
    covered = facts.description.procedures.inspection.checks
    needed = {part for _, mask in facts.relevant_to(subject).masks for part in _parts_of(mask)}
    missing = [same(part.value) for part in Checks if part in needed and part not in covered]
    return result_at(path, {"missing": said_join(missing, ", ")} if missing else None)


def _unit_inspected(facts: Facts, subject: Subject) -> CheckResult:
    unit = facts.value_at(subject.path)
    dates = [entry.date for entry in unit.inspections if entry.date <= facts.as_of]
    path = f"{subject.path}.inspections"
    if not dates:
        return result_at(path, {"last": said("no inspection is recorded")})
    mask = facts.masks[subject.ids[0].partition(".")[2]][1]
    cycle = shortest(max(dates), inspection_cycles(facts.rules, mask, facts.tasks_around(mask)))
    if cycle is None or not is_overdue(cycle.from_day(max(dates)), facts.as_of):
        return CheckResult((path,))
    due = long_date(cycle.from_day(max(dates)))
    return result_at(
        path,
        {"last": said("last inspected %(dates)s, due %(due)s", dates=long_date(max(dates)), due=due), **cycle.cites},
    )


def _inspection_record_complete(facts: Facts, subject: Subject) -> CheckResult:
    unit = facts.value_at(subject.path)
    path = f"{subject.path}.inspections"
    missing = [] if unit.serial else ["serial"]
    if unit.inspections:
        newest = max(unit.inspections, key=lambda entry: entry.date)
        missing += [name for name in ("by", "findings", "remedy") if getattr(newest, name) is None]
    return result_at(path, {"missing": said_join(missing, ", ")} if missing else None)


def _cylinder_requalified(facts: Facts, subject: Subject) -> CheckResult:
    unit = facts.value_at(subject.path)
    path = f"{subject.path}.cylinder"
    if unit.cylinder is None or unit.cylinder.requalify_by is None:
        return result_at(path, {"due": said("no requalification date is recorded")})
    due = cylinder_due(facts.rules, facts.tasks_of(subject), unit.cylinder) or unit.cylinder.requalify_by
    return result_at(path, {"due": said("due %(due)s", due=long_date(due))} if is_overdue(due, facts.as_of) else None)


# ---- evaluation of the program ------------------------------------------------------------------------


def evaluated_on(facts: Facts) -> date | None:
    """Return the day from which the next evaluation counts: of the last one, or of the program's start before it.

    A new revision is no new start, or each renewal would put the evaluation off.
    """
    last = facts.description.procedures.evaluation.last
    if last is not None and last <= facts.as_of:
        return last
    begun = begins_on(facts)
    return begun if begun is not None and begun <= facts.as_of else None


def begins_on(facts: Facts) -> date | None:
    """Return from when the program is in force: of all its revisions the first day, which may lie ahead."""
    info = facts.description.program
    days = (info.effective, *(entry.date for entry in info.history))
    return min((day for day in days if day is not None), default=None)


def _evaluation_not_overdue(facts: Facts, _subject: Subject) -> CheckResult:
    """The interval that the firm set itself has not run out since the last evaluation, or since the start."""
    evaluation = facts.description.procedures.evaluation
    paths = ("procedures.evaluation.last", "procedures.evaluation.interval")
    done = evaluated_on(facts)
    if done is None:
        return CheckResult(paths, ((paths[0], {"last": said("no evaluation is recorded")}),))
    cycle = shortest(done, evaluation_cycles(facts.rules, ()))
    was_evaluated = done == evaluation.last
    if cycle is None or not is_overdue(cycle.from_day(done), facts.as_of):
        early = (
            ""
            if was_evaluated or cycle is None
            else said("It is not due before %(from_day)s.", from_day=long_date(cycle.from_day(done)))
        )
        return CheckResult(paths, nothing=early)
    since = said("last evaluated") if was_evaluated else said("in effect, and not evaluated, since")
    due = long_date(cycle.from_day(done))
    return CheckResult(
        paths,
        ((paths[0], {"last": said("%(since)s %(done)s, due %(due)s", since=since, done=long_date(done), due=due)}),),
    )


def _evaluation_not_long_ago(facts: Facts, subject: Subject) -> CheckResult:
    """Where nobody sets an interval, a year without an evaluation is pointed at."""
    paths = ("procedures.evaluation.last", "program.effective")
    done = evaluated_on(facts)
    if done is None or evaluation_cycles(facts.rules, facts.tasks_of(subject)):
        return CheckResult(paths, nothing=said("No day is known to count from, or somebody sets an interval."))
    if not is_overdue(LOOKED_AT_AGAIN.from_day(done), facts.as_of):
        was_evaluated = done == facts.description.procedures.evaluation.last
        early = "" if was_evaluated else said("The program has been in effect for less than a year.")
        return CheckResult(paths, shown=paths[:1] if was_evaluated else (), nothing=early)
    told = (
        said("last evaluated")
        if done == facts.description.procedures.evaluation.last
        else said("never evaluated, in effect since")
    )
    return CheckResult(
        paths, ((paths[0], {"last": said("The program was %(told)s %(done)s", told=told, done=long_date(done))}),)
    )


def _each_finding(wrong: Callable[[Finding, date], str]) -> Callable[[Facts, Subject], CheckResult]:
    def check(facts: Facts, _subject: Subject) -> CheckResult:
        path = "procedures.evaluation.findings"
        faults = []
        for i, finding in enumerate(facts.description.procedures.evaluation.findings):
            if finding.date <= facts.as_of and (trouble := wrong(finding, facts.as_of)):
                faults.append((f"{path}[{i}]", {"finding": finding.what.rstrip("."), "trouble": trouble}))
        return CheckResult((path,), tuple(faults))

    return check


def _no_correction(finding: Finding, _as_of: date) -> str:
    missing = [name for name in ("correction", "owner", "due") if getattr(finding, name) is None]
    return "" if finding.done is not None and finding.correction else said_join(missing, ", ")


def _asked_evaluation_not_overdue(facts: Facts, subject: Subject) -> CheckResult:
    """The interval that a pack or a policy sets has not run out; the firm's own is asked about elsewhere."""
    path, done = "procedures.evaluation.last", evaluated_on(facts)
    asked = [c for c in evaluation_cycles(facts.rules, facts.tasks_of(subject)) if c.setter is not Setter.FIRM]
    cycle = shortest(done or facts.as_of, asked)
    if cycle is None or (done is not None and not is_overdue(cycle.from_day(done), facts.as_of)):
        return result_at(path, None)
    told = said("No evaluation of the program is recorded")
    if done is not None:
        due = long_date(cycle.from_day(done))
        told = said(
            "The program was last evaluated, or put in force, on %(done)s, and was due again on %(due)s",
            done=long_date(done),
            due=due,
        )
    return result_at(path, {"last": told, "most": cycle.text, "asked_by": cycle.basis, "citation": cycle.basis})


def _correction_overdue(finding: Finding, as_of: date) -> str:
    if finding.due is None or (finding.done is not None and finding.done <= as_of):
        return ""
    return long_date(finding.due) if is_overdue(finding.due, as_of) else ""


def _done_before_found(finding: Finding, _as_of: date) -> str:
    return long_date(finding.done) if finding.done is not None and finding.done < finding.date else ""


UPKEEP_CHECKS: dict[str, Callable[[Facts, Subject], CheckResult]] = {
    "disinfectant-strong-enough": _disinfectant_strong,
    "mask-is-scba": _mask_is_scba,
    "inspection-looks-at-all-parts": _inspection_looks_at_all,
    "unit-inspected": _unit_inspected,
    "inspection-record-complete": _inspection_record_complete,
    "cylinder-requalified": _cylinder_requalified,
    "evaluation-not-overdue": _evaluation_not_overdue,
    "evaluation-as-asked": _asked_evaluation_not_overdue,
    "evaluation-not-long-ago": _evaluation_not_long_ago,
    "corrections-planned": _each_finding(_no_correction),
    "corrections-after-findings": _each_finding(_done_before_found),
    "corrections-not-overdue": _each_finding(_correction_overdue),
}
