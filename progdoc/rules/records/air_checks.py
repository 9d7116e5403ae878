"""Looks at breathing air as it is kept up: bounds that agree, tests in time, and where the air is drawn in."""

from __future__ import annotations

from collections.abc import Callable

from progdoc.calc.due_dates import due_date, is_overdue
from progdoc.core.numbers import long_date
from progdoc.model.description.quantities import Dimension, in_unit
from progdoc.rules.check_result import CheckResult, result_at
from progdoc.rules.facts import Facts
from progdoc.rules.in_force.figures import cylinder_tests
from progdoc.rules.in_force.intervals import own, shortest
from progdoc.rules.lookup.answers_said import Said, said_by
from progdoc.rules.lookup.telling_words import drawn_from, is_told
from progdoc.rules.lookup.text_intervals import intervals_in, quantities_in
from progdoc.rules.requirement import Subject

__all__ = ["AIR_CHECKS"]

_BASE = "procedures.air_supply"
_HAIR = 1.0 + 1e-9  # feet come to metres with a tail
_MINUTES_OF_A_DAY = 1440
_IN_THE_MONTH = 31  # a test is stamped with its month


def _bounds_agree(facts: Facts, _subject: Subject) -> CheckResult:
    """The lowest share of oxygen is no higher than the highest."""
    supply, paths = facts.description.procedures.air_supply, (f"{_BASE}.oxygen_low", f"{_BASE}.oxygen_high")
    if supply.oxygen_low is None or supply.oxygen_high is None:
        return CheckResult(paths, nothing="Lowest and highest share are not both said.")
    if supply.oxygen_low.value <= supply.oxygen_high.value:
        return CheckResult(paths)
    return CheckResult(paths, ((paths[0], {"low": supply.oxygen_low.printed, "high": supply.oxygen_high.printed}),))


def _kept_up_in_time(facts: Facts, _subject: Subject) -> CheckResult:
    """The air was analysed, and beds and filters were changed, within the time that the firm says itself."""
    supply = facts.description.procedures.air_supply
    compressor = supply.compressor
    faults, shown = [], []
    cycle = shortest(facts.as_of, own(supply.test_interval))
    if supply.tested is not None and cycle is not None:
        shown.append(f"{_BASE}.tested")
        due = cycle.from_day(supply.tested)
        if is_overdue(due, facts.as_of):
            faults.append((f"{_BASE}.tested", {"what": "the air", "done": "analysed", "due": long_date(due)}))
    named = list(intervals_in(compressor.beds_and_filters or ""))
    if compressor.tag_date is not None and named:
        place = f"{_BASE}.compressor.tag_date"
        shown.append(place)
        due = max(due_date(compressor.tag_date, months=int(one.months), days=int(one.days)) for one in named)
        if is_overdue(due, facts.as_of):
            faults.append((place, {"what": "the bed or filter", "done": "changed", "due": long_date(due)}))
    nothing = "" if shown else "The firm sets no interval for them, or no day is on record."
    return CheckResult((f"{_BASE}.tested", f"{_BASE}.test_interval"), tuple(faults), tuple(shown), nothing)


def _intake_apart(facts: Facts, _subject: Subject) -> CheckResult:
    """The words on the intake put it beside nothing that gives off bad air."""
    path, text = f"{_BASE}.compressor.intake", facts.description.procedures.air_supply.compressor.intake
    if text is None or said_by(text) is not Said.ANSWER:
        return CheckResult((path,), nothing="No words say where the intake is.")
    found = drawn_from(text)
    return result_at(path, {"text": text, "found": found} if found else None)


def _monoxide_checked_often(facts: Facts, _subject: Subject) -> CheckResult:
    """Carbon monoxide, which comes and goes with an engine, is looked at often: by a figure, or in words."""
    compressor = facts.description.procedures.air_supply.compressor
    path, text = f"{_BASE}.compressor.co_checks", compressor.co_checks
    if compressor.co_every is not None:
        place, found = f"{_BASE}.compressor.co_every", compressor.co_every.printed
        is_seldom = not 0 < in_unit(compressor.co_every, "min") <= _MINUTES_OF_A_DAY
        return result_at(place, {"text": found, "trouble": "that is no time, or seldom"} if is_seldom else None)
    if text is None or said_by(text) is not Said.ANSWER:
        return CheckResult((path,), nothing="Nobody says how often it is checked, which is asked elsewhere.")
    if is_told("looked_at_often", text):
        return CheckResult((path,))
    named = [one for one in intervals_in(text) if one.months or one.days > 1]
    trouble = f"“{named[0].words}” is seldom" if named else "no time is named"
    return CheckResult((path,), ((path, {"text": text, "trouble": trouble}),))


def _hose_as_approved(facts: Facts, _subject: Subject) -> CheckResult:
    """The longest hose in use is no longer than the approval of the mask allows."""
    supply, paths = facts.description.procedures.air_supply, (f"{_BASE}.hose_length", f"{_BASE}.hose_most")
    missing = tuple(
        (path, {"trouble": told})
        for path, value, told in (
            (paths[0], supply.hose_length, "nobody says how long the longest hose is"),
            (paths[1], supply.hose_most, "nobody says how long a hose the approval allows"),
        )
        if value is None
    )
    if supply.hose_length is None or supply.hose_most is None:
        return CheckResult(paths, missing[:1])
    longest, most = in_unit(supply.hose_length, "m"), in_unit(supply.hose_most, "m")
    if longest > most * _HAIR:
        told = f"the longest hose is {supply.hose_length.printed}, and the approval allows {supply.hose_most.printed}"
        return CheckResult(paths, ((paths[0], {"trouble": told}),))
    in_words = quantities_in(supply.flow or "", Dimension.LENGTH)
    longer = next((one for one in in_words if in_unit(one, "m") > longest * _HAIR), None)
    if longer is None:
        return CheckResult(paths)
    told = (
        f"“{supply.flow}” tells of {longer.printed}, and the longest hose is stated with {supply.hose_length.printed}"
    )
    return CheckResult(paths, ((f"{_BASE}.flow", {"trouble": told}),))


def _test_span(facts: Facts, subject: Subject) -> CheckResult:
    """From the test of a cylinder to the next there is no longer than most of them have."""
    unit, path = facts.value_at(subject.path), f"{subject.path}.cylinder"
    cylinder = unit.cylinder
    if cylinder is None or cylinder.requalified is None or cylinder.requalify_by is None:
        return CheckResult((path,), nothing="The days of both tests are not said.")
    cycle = shortest(cylinder.requalified, cylinder_tests(facts.rules, facts.tasks_of(subject)))
    late = None if cycle is None else (cylinder.requalify_by - cycle.from_day(cylinder.requalified)).days
    if late is None or late <= _IN_THE_MONTH:
        return CheckResult((path,))
    words = {"tested": long_date(cylinder.requalified), "next": long_date(cylinder.requalify_by)}
    return CheckResult((path,), ((f"{path}.requalify_by", words),))


AIR_CHECKS: dict[str, Callable[[Facts, Subject], CheckResult]] = {
    "oxygen-bounds-agree": _bounds_agree,
    "air-kept-up-in-time": _kept_up_in_time,
    "intake-apart": _intake_apart,
    "hose-as-approved": _hose_as_approved,
    "monoxide-checked-often": _monoxide_checked_often,
    "cylinder-test-span": _test_span,
}
