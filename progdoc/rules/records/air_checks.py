"""Looks at breathing air as it is kept up: bounds that agree, tests in time, and where the air is drawn in."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

from progdoc.calc.due_dates import due_date, is_overdue
from progdoc.core.numbers import long_date
from progdoc.core.said import said
from progdoc.model.description.quantities import Dimension, in_unit
from progdoc.rules.check_result import CheckResult, result_at
from progdoc.rules.facts import Facts
from progdoc.rules.in_force.figures import IN_THE_MONTH, cylinder_due, cylinder_tests
from progdoc.rules.in_force.intervals import own, shortest
from progdoc.rules.lookup.answers_said import Said, said_by
from progdoc.rules.lookup.telling_words import drawn_from, is_told
from progdoc.rules.lookup.text_intervals import intervals_in, quantities_in
from progdoc.rules.requirement import Subject

__all__ = ["AIR_CHECKS", "beds_due"]

_BASE = "procedures.air_supply"
_OLD_DAYS = 366  # our own figure: the law sets no interval for an analysis
_HAIR = 1.0 + 1e-9  # feet come to metres with a tail
_MOST_MINUTES = 60  # our choice: an engine fills a line within minutes, and the law sets no interval


def _bounds_agree(facts: Facts, _subject: Subject) -> CheckResult:
    """The lowest share of oxygen is no higher than the highest."""
    supply, paths = facts.description.procedures.air_supply, (f"{_BASE}.oxygen_low", f"{_BASE}.oxygen_high")
    if supply.oxygen_low is None or supply.oxygen_high is None:
        return CheckResult(paths, nothing=said("Lowest and highest share are not both said."))
    if supply.oxygen_low.value <= supply.oxygen_high.value:
        return CheckResult(paths)
    return CheckResult(paths, ((paths[0], {"low": supply.oxygen_low.printed, "high": supply.oxygen_high.printed}),))


def _kept_up_in_time(facts: Facts, _subject: Subject) -> CheckResult:
    """The air was analysed within the time that the firm says itself; the law sets none."""
    supply, place = facts.description.procedures.air_supply, f"{_BASE}.tested"
    cycle = shortest(facts.as_of, own(supply.test_interval))
    if supply.tested is None or cycle is None:
        return CheckResult(
            (place, f"{_BASE}.test_interval"), nothing=said("The firm sets no interval for it, or no day is on record.")
        )
    due = cycle.from_day(supply.tested)
    return result_at(place, {"due": long_date(due)} if is_overdue(due, facts.as_of) else None)


def beds_due(facts: Facts) -> date | None:
    """Return by when beds and filters are changed again, by the interval that the firm tells; None where it is open."""
    compressor = facts.description.procedures.air_supply.compressor
    named = list(intervals_in(compressor.beds_and_filters or ""))
    if compressor.tag_date is None or not named:
        return None
    return max(due_date(compressor.tag_date, months=int(one.months), days=int(one.days)) for one in named)


def _beds_changed_in_time(facts: Facts, _subject: Subject) -> CheckResult:
    """Beds and filters were changed as often as the maker says, in the firm's words: the law asks for just that."""
    compressor, place = facts.description.procedures.air_supply.compressor, f"{_BASE}.compressor.tag_date"
    due = beds_due(facts)
    if compressor.tag_date is None or due is None:
        return CheckResult((place,), nothing=said("No interval is named for them, or no day is on the tag."))
    words = {"tag": long_date(compressor.tag_date), "due": long_date(due), "text": compressor.beds_and_filters or ""}
    return result_at(place, words if is_overdue(due, facts.as_of) else None)


def _intake_apart(facts: Facts, _subject: Subject) -> CheckResult:
    """The words on the intake put it beside nothing that gives off bad air."""
    path, text = f"{_BASE}.compressor.intake", facts.description.procedures.air_supply.compressor.intake
    if text is None or said_by(text) is not Said.ANSWER:
        return CheckResult((path,), nothing=said("No words say where the intake is."))
    found = drawn_from(text)
    return result_at(path, {"text": text, "found": found} if found else None)


def _monoxide_checked_often(facts: Facts, _subject: Subject) -> CheckResult:
    """Carbon monoxide, which comes and goes with an engine, is looked at often: by a figure, or in words."""
    compressor = facts.description.procedures.air_supply.compressor
    path, text = f"{_BASE}.compressor.co_checks", compressor.co_checks
    if compressor.co_every is not None:
        place, found = f"{_BASE}.compressor.co_every", compressor.co_every.printed
        is_seldom = not 0 < in_unit(compressor.co_every, "min") <= _MOST_MINUTES
        troubles = [(place, {"text": found, "trouble": said("that is no time, or seldom")})] if is_seldom else []
        if seldom := _seldom_in(text or ""):
            troubles.append((path, {"text": text or "", "trouble": seldom}))
        return CheckResult((place,), tuple(troubles))
    if text is None or said_by(text) is not Said.ANSWER:
        return CheckResult((path,), nothing=said("Nobody says how often it is checked, which is asked elsewhere."))
    if is_told("looked_at_often", text):
        return CheckResult((path,))
    return CheckResult((path,), ((path, {"text": text, "trouble": _seldom_in(text) or said("no time is named")}),))


def _seldom_in(text: str) -> str:
    """Return which words name a time that is seldom, from once a day on; "" where none do, or a time that is not."""
    if is_told("looked_at_often", text):
        return ""
    named = [one for one in intervals_in(text) if one.months or one.days >= 1]
    return said("“%(named)s” is seldom", named=named[0].words) if named else ""


def _analysed_lately(facts: Facts, _subject: Subject) -> CheckResult:
    """Where the firm sets no interval of its own, no analysis of the air in use is older than our own figure."""
    supply = facts.description.procedures.air_supply
    days = [(f"{_BASE}.tested", supply.tested)] if supply.test_interval is None else []
    days += [(f"{_BASE}.suppliers[{i}].tested", one.tested) for i, one in enumerate(supply.suppliers)]
    stated = [(path, day) for path, day in days if day is not None]
    faults = tuple((path, {"tested": long_date(day)}) for path, day in stated if (facts.as_of - day).days > _OLD_DAYS)
    nothing = "" if stated else said("No day of an analysis is said, or an interval is.")
    return CheckResult(tuple(path for path, _ in days), faults, nothing=nothing)


def _hose_as_approved(facts: Facts, _subject: Subject) -> CheckResult:
    """The longest hose in use is no longer than the approval of the mask allows."""
    supply, paths = facts.description.procedures.air_supply, (f"{_BASE}.hose_length", f"{_BASE}.hose_most")
    missing = tuple(
        (path, {"trouble": told})
        for path, value, told in (
            (paths[0], supply.hose_length, said("nobody says how long the longest hose is")),
            (paths[1], supply.hose_most, said("nobody says how long a hose the approval allows")),
        )
        if value is None
    )
    if supply.hose_length is None or supply.hose_most is None:
        return CheckResult(paths, missing[:1])
    if supply.hose_length.value <= 0.0:
        return CheckResult(
            paths,
            (
                (
                    paths[0],
                    {"trouble": said("%(hose_length)s is no length of a hose", hose_length=supply.hose_length.printed)},
                ),
            ),
        )
    limit = facts.rules.law["longest-hose"]
    if in_unit(supply.hose_most, "m") > facts.rules.law.amount(limit.id, "m") * _HAIR:
        told = said(
            "the approval is said to allow %(hose_most)s, and none covers more than %(limit)s",
            hose_most=supply.hose_most.printed,
            limit=limit.text,
        )
        return CheckResult(
            paths, ((paths[1], {"trouble": said("%(told)s (%(citation)s)", told=told, citation=limit.citation)}),)
        )
    longest, most = in_unit(supply.hose_length, "m"), in_unit(supply.hose_most, "m")
    if longest > most * _HAIR:
        told = said(
            "the longest hose is %(hose_length)s, and the approval allows %(hose_most)s",
            hose_length=supply.hose_length.printed,
            hose_most=supply.hose_most.printed,
        )
        return CheckResult(paths, ((paths[0], {"trouble": told}),))
    in_words = quantities_in(supply.flow or "", Dimension.LENGTH)
    longer = next((one for one in in_words if in_unit(one, "m") > longest * _HAIR), None)
    if longer is None:
        return CheckResult(paths)
    told = said(
        "“%(flow)s” tells of %(longer)s, and the longest hose is stated with %(hose_length)s",
        flow=supply.flow,
        longer=longer.printed,
        hose_length=supply.hose_length.printed,
    )
    return CheckResult(paths, ((f"{_BASE}.flow", {"trouble": told}),))


def _test_span(facts: Facts, subject: Subject) -> CheckResult:
    """From the test of a cylinder to the next there is no longer than most of them have."""
    unit, path = facts.value_at(subject.path), f"{subject.path}.cylinder"
    cylinder = unit.cylinder
    if cylinder is None or cylinder.requalified is None or cylinder.requalify_by is None:
        return CheckResult((path,), nothing=said("The days of both tests are not said."))
    bound = facts.tasks_of(subject)
    cycle = shortest(cylinder.requalified, cylinder_tests(facts.rules, bound))
    late = None if cycle is None else (cylinder.requalify_by - cycle.from_day(cylinder.requalified)).days
    if late is None or late <= IN_THE_MONTH:
        return CheckResult((path,))
    if cylinder_due(facts.rules, bound, cylinder) != cylinder.requalify_by:
        return CheckResult((path,), nothing=said("It is longer than any kind of cylinder has, which is told apart."))
    words = {"tested": long_date(cylinder.requalified), "next": long_date(cylinder.requalify_by)}
    return CheckResult((path,), ((f"{path}.requalify_by", words),))


def _test_span_of_no_kind(facts: Facts, subject: Subject) -> CheckResult:
    """The next test of a cylinder is no later than the longest interval of any kind, from the last or from today."""
    unit, path = facts.value_at(subject.path), f"{subject.path}.cylinder"
    cylinder = unit.cylinder
    if cylinder is None or cylinder.requalify_by is None:
        return CheckResult((path,), nothing=said("By when it is tested again is asked elsewhere."))
    since = cylinder.requalified if cylinder.requalified is not None else facts.as_of
    tested = cylinder.model_copy(update={"requalified": since})
    latest = cylinder_due(facts.rules, facts.tasks_of(subject), tested)
    if latest is None or latest == cylinder.requalify_by:
        return CheckResult((path,), shown=(f"{path}.requalify_by",))
    told = (
        said("tested on %(since)s", since=long_date(since))
        if cylinder.requalified is not None
        else said("the day of its last test is not said")
    )
    words = {"tested": told, "next": long_date(cylinder.requalify_by), "latest": long_date(latest)}
    return CheckResult((path,), ((f"{path}.requalify_by", words),))


AIR_CHECKS: dict[str, Callable[[Facts, Subject], CheckResult]] = {
    "oxygen-bounds-agree": _bounds_agree,
    "air-analysed-lately": _analysed_lately,
    "air-kept-up-in-time": _kept_up_in_time,
    "intake-apart": _intake_apart,
    "hose-as-approved": _hose_as_approved,
    "monoxide-checked-often": _monoxide_checked_often,
    "cylinder-test-span": _test_span,
    "cylinder-test-span-of-some-kind": _test_span_of_no_kind,
    "beds-changed-in-time": _beds_changed_in_time,
}
