"""Looks at fit tests: who stands where with which mask, and whether a test was done the way that counts.

A wearer stands with a mask by the tests of that mask in the size worn. A later failure or change of the
face ends an earlier pass. Each check returns the places it read and, for each thing wrong, a place and the
words for the placeholders of the requirement's text.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import field
from datetime import date

from progdoc.calc.due_dates import Record, ended_on, is_overdue, standing_record
from progdoc.core.late_dataclass import dataclass
from progdoc.core.numbers import long_date, number_text, stated_text
from progdoc.core.said import said, said_join, same
from progdoc.model.description.masks import Mask
from progdoc.model.description.people import FitTest, IssuedMask, Person, Recommendation, Result
from progdoc.model.description.words import label_of
from progdoc.rules.check_result import CheckResult, person_of, person_path
from progdoc.rules.facts import Facts
from progdoc.rules.in_force.figures import FitRules, fit_rules
from progdoc.rules.in_force.intervals import Cycle
from progdoc.rules.judged.figure_results import InForce
from progdoc.rules.lookup.fit_protocols import fit_protocols, is_quantitative, paragraph_of
from progdoc.rules.records.fit_records import fit_factor_of, passed
from progdoc.rules.records.protocol_checks import kind_words, protocols_for
from progdoc.rules.records.wearer_checks import latest_clearance
from progdoc.rules.requirement import Subject

__all__ = [
    "FIT_CHECKS",
    "FitState",
    "Wrong",
    "fit_rules_of",
    "fit_state",
    "newest_test",
    "of_newest_test",
    "place_of",
    "standing_tests",
    "tests_of",
    "worn_mask",
]

_SHORT = ("ambient-cnc-short-elastomeric", "ambient-cnc-short-filtering")  # Appendix A, Part I.C.4 and C.5, of 2019

Check = Callable[[Facts, Subject], CheckResult]


# ---- where a wearer stands ----------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class FitState:
    """Where a wearer stands with one issued mask: ok, none, other, kind, unordered, failed, changed or overdue.

    `kind`: passed, but by a kind of test that does not count there; `unordered`: passed and failed on one day.
    """

    state: str
    test: FitTest | None = None
    due: date | None = None
    cycle: Cycle | None = None  # how soon the test comes round again
    cites: dict[str, str] = field(default_factory=dict)  # who decided, where it was not the law


def tests_of(person: Person, issued: IssuedMask, as_of: date) -> list[FitTest]:
    """Return the tests up to a day that were done on a mask in the size issued."""
    known = (test for test in person.fit_tests if test.date <= as_of)
    return [t for t in known if t.mask == issued.mask and (t.size or issued.size) == issued.size]


def newest_test(person: Person, issued: IssuedMask, as_of: date) -> FitTest | None:
    """Return the newest test of a mask in the size issued, passed or not, or None."""
    return max(tests_of(person, issued, as_of), key=lambda test: (test.date, test.retest is True), default=None)


def fit_rules_of(facts: Facts, subject: Subject) -> FitRules:
    """Return what is in force for the fit tests of a worn mask."""
    return facts.about_work(subject, _fit_rules)


def _fit_rules(facts: Facts, subject: Subject) -> FitRules:
    ((_, mask),) = facts.relevant_to(subject).masks
    return fit_rules(facts.rules, mask, facts.tasks_of(subject))


def fit_state(person: Person, issued: IssuedMask, rules: FitRules, as_of: date) -> FitState:
    """Return where a wearer stands with the mask and size issued to them."""
    same = tests_of(person, issued, as_of)
    level = rules.level.number
    if not same:
        known = [test for test in person.fit_tests if test.date <= as_of]
        newest = max(known, key=lambda t: t.date, default=None)
        return FitState("none" if newest is None else "other", newest)
    lost = [t for t in same if passed(t, level) is False]
    won = [t for t in same if passed(t, level) and _came_last(t, lost)]
    unordered = {t.date: t for t in same if passed(t, level) and not _came_last(t, lost)}
    good = {t.date: t for t in won if _counts(t, rules)}
    failures = [t.date for t in lost]
    last_failure = max(failures, default=date.min)
    if last_failure in unordered and max(good, default=date.min) < last_failure:
        return FitState("unordered", unordered[last_failure])
    if won and not good:
        return FitState("kind", max(won, key=lambda t: t.date), cites=_cites(rules.by_instrument))
    if not good:
        return FitState("failed", max(same, key=lambda t: t.date), cites=rules.level.cites)
    records = [Record(day, rules.cycle(day).from_day(day)) for day in good]
    changes = [change.date for change in person.changes]
    standing = standing_record(records, [*failures, *changes], as_of)
    if standing is None:
        newest_day = max(good)
        failed_later = any(day > newest_day for day in failures)
        return FitState("failed" if failed_later else "changed", good[newest_day])
    cycle = rules.cycle(standing.done)
    overdue = is_overdue(standing.due, as_of)
    return FitState("overdue" if overdue else "ok", good[standing.done], standing.due, cycle, cycle.cites)


def _came_last(test: FitTest, lost: Iterable[FitTest]) -> bool:
    """Return whether nothing leaves open that a passed test came after every failed one of its day.

    Dates have no hour, so it has to be said; of two tests that are both said to be the later one nobody can tell.
    """
    same_day = [other for other in lost if other.date == test.date]
    return not same_day or (test.retest is True and not any(other.retest for other in same_day))


def _counts(test: FitTest, rules: FitRules) -> bool:
    """Return whether a test is of a kind that counts; one that names no protocol is not shown to be."""
    return rules.by_instrument is None or is_quantitative(test.protocol or "")


def _cites(found: InForce | None) -> dict[str, str]:
    return found.cites if found else {}


def standing_tests(person: Person, issued: IssuedMask, rules: FitRules, as_of: date) -> list[FitTest]:
    """Return every passed test of the mask and size issued that still counts on a day, the newest first."""
    same = tests_of(person, issued, as_of)
    level = rules.level.number
    lost = [t for t in same if passed(t, level) is False]
    endings = [t.date for t in lost] + [change.date for change in person.changes]
    won = [t for t in same if passed(t, level) and _counts(t, rules) and _came_last(t, lost)]
    good = [t for t in won if not is_overdue(rules.cycle(t.date).from_day(t.date), as_of)]
    return sorted((t for t in good if ended_on(t.date, endings, as_of) is None), key=lambda t: t.date, reverse=True)


def worn_mask(facts: Facts, subject: Subject) -> tuple[Person, Mask, IssuedMask]:
    """Return the wearer, the mask and the issue that a worn mask is about."""
    person = person_of(facts, subject)
    mask_id = subject.ids[1].partition(".")[2]
    issued = next(m for m in person.masks if m.mask == mask_id)
    return person, facts.masks[mask_id][1], issued


def _fit_state(facts: Facts, subject: Subject) -> FitState:
    person, _, issued = worn_mask(facts, subject)
    return fit_state(person, issued, fit_rules_of(facts, subject), facts.as_of)


def _newest(facts: Facts, subject: Subject) -> tuple[FitTest, str, Mask] | None:
    """Return the newest test of a worn mask with its place, and the mask."""
    person, mask, issued = worn_mask(facts, subject)
    test = newest_test(person, issued, facts.as_of)
    return None if test is None else (test, place_of(person, _tests_at(facts, subject), test), mask)


def _tests_at(facts: Facts, subject: Subject) -> str:
    return f"{person_path(facts, subject)}.fit_tests"


def _fit(state: str) -> Check:
    def check(facts: Facts, subject: Subject) -> CheckResult:
        person, mask, issued = worn_mask(facts, subject)
        found = facts.about(subject, _fit_state)
        path = f"{person_path(facts, subject)}.fit_tests"
        if found.state != state:
            return CheckResult((path,), shown=(place_of(person, path, found.test),) if found.test else ())
        words = {"wearer": label_of(person), "mask": label_of(mask), "size": issued.size or said("size not given")}
        if found.test is not None:
            words["last_date"] = long_date(found.test.date)
            words["last_mask"] = label_of(facts.masks[found.test.mask][1])
            words["last_size"] = found.test.size or said("size not given")
            words["protocol"] = found.test.protocol or said("not named")
        if found.due is not None:
            words["due_date"] = long_date(found.due)
        words |= found.cites
        return CheckResult((path,), ((path, words),))

    return check


# ---- the newest test, as it was done and written down --------------------------------------------------


Wrong = Callable[[FitTest, Mask], dict[str, str] | None]


def of_newest_test(
    wrong: Wrong,
    shown_by: Iterable[str] | Callable[[FitTest], Iterable[str]],
    unless: Callable[[FitTest, Mask], str] | None = None,
) -> Check:
    """Judge the newest test of a worn mask; an older one, which a newer one replaced, is history.

    What shows that it is in order stands in the fields `shown_by`, or in those it names for the test, as far as they
    are filled in. `unless` says why there is nothing to judge in a test of another kind.
    """

    def check(facts: Facts, subject: Subject) -> CheckResult:
        newest, path = facts.about(subject, _newest), facts.about(subject, _tests_at)
        if newest is None:
            return CheckResult((path,), nothing=said("No fit test of this mask and size is recorded."))
        test, place, mask = newest
        if (fault := wrong(test, mask)) is not None:
            return CheckResult((path,), ((place, {"tested": long_date(test.date), **fault}),))
        if why := unless(test, mask) if unless else "":
            return CheckResult((path,), nothing=why)
        names = shown_by(test) if callable(shown_by) else shown_by
        shown = tuple(f"{place}.{name}" for name in names if facts.is_stated(f"{place}.{name}"))
        return CheckResult((path,), shown=shown, nothing="" if shown else said("The record does not say so."))

    return check


def place_of(person: Person, path: str, test: FitTest) -> str:
    """Return where one fit test of a person stands."""
    return f"{path}[{next(i for i, known in enumerate(person.fit_tests) if known is test)}]"


def _qualitative(test: FitTest, _mask: Mask) -> str:
    return "" if is_quantitative(test.protocol or "") else said("The test gives no fit factor.")


def _not_screened(test: FitTest, _mask: Mask) -> str:
    if test.result is Result.FAIL:
        return said("The test was failed.")
    return said("The test needs no screening.") if is_quantitative(test.protocol or "") else ""


def _short(test: FitTest, _mask: Mask) -> str:
    return said("The shorter protocols have a rule of their own.") if test.protocol in _SHORT else ""


def _not_short(test: FitTest, _mask: Mask) -> str:
    return "" if test.protocol in _SHORT else said("None of the shorter protocols was used.")


def _no_factor(test: FitTest, _mask: Mask) -> str:
    if test.result is Result.FAIL:
        return said("The test was failed.")
    return said("No fit factor is recorded.") if fit_factor_of(test) is None else ""


def _factor(test: FitTest) -> tuple[str, ...]:
    """Return the field that the deciding fit factor comes from."""
    is_recorded = test.fit_factor is not None and test.fit_factor == fit_factor_of(test)
    return ("fit_factor",) if is_recorded else ("readings",)


def _record(test: FitTest) -> tuple[str, ...]:
    """Return the fields that make a record complete: a result, or the fit factor that tells it."""
    result = ("result",) if test.result is not None else _factor(test)
    recording = ("recording",) if _has_recording(test) else ()
    return ("protocol", "size", *result, *recording)


def _has_recording(test: FitTest) -> bool:
    """Whether a chart or printout belongs to the record: of each quantitative test, also one that says no factor."""
    return test.fit_factor is not None or is_quantitative(test.protocol or "")


def _record_short(test: FitTest, _mask: Mask) -> dict[str, str] | None:
    missing = [name for name in ("protocol", "size") if getattr(test, name) is None]
    if test.result is None and fit_factor_of(test) is None:
        missing.append("result")
    if _has_recording(test) and test.recording is None:
        missing.append("recording")
    return {"missing": said_join(map(same, missing), ", ")} if missing else None


def _no_fit_factor(test: FitTest, _mask: Mask) -> dict[str, str] | None:
    return {} if is_quantitative(test.protocol or "") and fit_factor_of(test) is None else None


def _unaccepted(test: FitTest, mask: Mask) -> dict[str, str] | None:
    if test.protocol is None or test.protocol in fit_protocols():
        return None
    return {"protocol": test.protocol, "known": said_join(map(same, protocols_for(mask, fit_protocols())), ", ")}


def _by_protocol_not_named(facts: Facts, subject: Subject) -> CheckResult:
    named = facts.description.procedures.fit_testing.protocols

    def not_named(test: FitTest, _mask: Mask) -> dict[str, str] | None:
        if test.protocol is None or test.protocol in named:
            return None
        return {"protocol": test.protocol, "named": said_join(named, ", ")}

    return of_newest_test(not_named, ("protocol",))(facts, subject)


def _unsuited(short: bool) -> Callable[[FitTest, Mask], dict[str, str] | None]:
    def wrong(test: FitTest, mask: Mask) -> dict[str, str] | None:
        name = test.protocol
        if name not in fit_protocols() or mask.facepiece is None or (name in _SHORT) is not short:
            return None
        known = protocols_for(mask, fit_protocols())
        if name is None or name in known:
            return None
        return {"protocol": name, "kind": kind_words(mask), "known": said_join(map(same, known), ", ")}

    return wrong


def _level_missed(facts: Facts, subject: Subject) -> CheckResult:
    level = fit_rules_of(facts, subject).level

    def below_level(test: FitTest, _mask: Mask) -> dict[str, str] | None:
        factor = fit_factor_of(test)
        if factor is None or factor >= level.number or test.result is Result.FAIL:
            return None
        return {"fit_factor": number_text(factor, "down"), "level": stated_text(level.number), **level.cites}

    return of_newest_test(below_level, _factor, _no_factor)(facts, subject)


def _unscreened(test: FitTest, _mask: Mask) -> dict[str, str] | None:
    name = test.protocol or ""
    if name not in fit_protocols() or is_quantitative(name) or test.screened is True or test.result is Result.FAIL:
        return None
    return {"protocol": name, "citation": paragraph_of(name, "screened_at")}


def _tested_before_clearance(facts: Facts, subject: Subject) -> CheckResult:
    person, _, issued = worn_mask(facts, subject)
    path = person_path(facts, subject)
    test = newest_test(person, issued, facts.as_of)
    paths = (f"{path}.fit_tests", f"{path}.medical")
    known = None if test is None else latest_clearance(person, test.date)
    if test is None or (known is not None and known.recommendation is not Recommendation.NOT_CLEARED):
        return CheckResult(paths)
    return CheckResult(paths, ((paths[0], {"tested": long_date(test.date)}),))


def _changed_on_day_of_test(facts: Facts, subject: Subject) -> CheckResult:
    """A change of the very day of the newest test may have come after it."""
    person, _, issued = worn_mask(facts, subject)
    path = person_path(facts, subject)
    test = newest_test(person, issued, facts.as_of)
    paths = (f"{path}.fit_tests", f"{path}.changes")
    if test is None or all(change.date != test.date for change in person.changes):
        return CheckResult(paths, shown=(place_of(person, paths[0], test),) if test else ())
    return CheckResult(paths, ((paths[1], {"last_date": long_date(test.date)}),))


FIT_CHECKS: dict[str, Check] = {
    "ever-fit-tested": _fit("none"),
    "tested-on-this-mask": _fit("other"),
    "not-failed": _fit("failed"),
    "order-of-tests-said": _fit("unordered"),
    "no-change-since-test": _fit("changed"),
    "no-change-on-day-of-test": _changed_on_day_of_test,
    "fit-test-not-overdue": _fit("overdue"),
    "tested-by-instrument": _fit("kind"),
    "cleared-before-fit-test": _tested_before_clearance,
    "fit-record-complete": of_newest_test(_record_short, _record),
    "fit-factor-recorded": of_newest_test(_no_fit_factor, _factor, _qualitative),
    "test-protocol-accepted": of_newest_test(_unaccepted, ("protocol",)),
    "test-protocol-named": _by_protocol_not_named,
    "test-protocol-suits-mask": of_newest_test(_unsuited(short=False), ("protocol",), _short),
    "short-protocol-suits-mask": of_newest_test(_unsuited(short=True), ("protocol",), _not_short),
    "pass-level-reached": _level_missed,
    "screened-before-test": of_newest_test(_unscreened, ("screened",), _not_screened),
}
