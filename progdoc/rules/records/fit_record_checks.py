"""Looks at how a fit test was done: its readings, irritant smoke, masks with air of their own, what it supports.

Silence is a caution where the law asks no such record, a contradiction of Appendix A is required.
"""

from __future__ import annotations

from collections.abc import Callable

from progdoc.calc.fit import credited_protection_factor
from progdoc.calc.protection import is_protective_enough
from progdoc.core.numbers import number_text
from progdoc.core.said import said, said_join, same
from progdoc.model.description.masks import Filter, Gas, Mask, Mode, Particulate
from progdoc.model.description.people import FitTest, Result
from progdoc.model.description.quantities import in_unit
from progdoc.model.description.words import label_of
from progdoc.rules.check_result import CheckResult, person_path
from progdoc.rules.facts import Facts
from progdoc.rules.in_force.figures import qualitative_credit
from progdoc.rules.lookup.facepieces import NEGATIVE_PRESSURE
from progdoc.rules.lookup.fit_protocols import fit_protocols, paragraph_of
from progdoc.rules.records.fit_checks import (
    Wrong,
    fit_rules_of,
    of_newest_test,
    place_of,
    standing_tests,
    worn_mask,
)
from progdoc.rules.records.fit_records import (
    overall_factor,
    readings_trouble,
    supports_only_ten,
)
from progdoc.rules.requirement import Subject

__all__ = ["CHANGED_FILTERS", "FIT_RECORD_CHECKS", "SMOKE_FILTERS"]

_SMOKE = "irritant-smoke"
SMOKE_FILTERS = (Particulate.HEPA, Particulate.N100, Particulate.R100, Particulate.P100)
CHANGED_FILTERS = (Particulate.HEPA, Particulate.P100)  # Appendix A, Part I.B.5(a)(1)


def _no_readings(test: FitTest, _mask: Mask) -> str:
    return "" if test.readings else said("No readings are recorded.")


def _one_factor(test: FitTest, mask: Mask) -> str:
    return _no_readings(test, mask) or (
        "" if test.fit_factor is not None else said("No fit factor is recorded beside them.")
    )


def _readings_unfit(test: FitTest, _mask: Mask) -> dict[str, str] | None:
    trouble = readings_trouble(test)
    return {"trouble": trouble} if trouble else None


def _factor_not_borne_out(test: FitTest, _mask: Mask) -> dict[str, str] | None:
    worked = overall_factor(test, "")
    if worked is None or test.fit_factor is None or int(test.fit_factor) <= int(worked.value):
        return None
    return {"recorded": number_text(test.fit_factor, "down"), "worked": worked.printed}


# ---- irritant smoke -----------------------------------------------------------------------------------


def _of_smoke(wrong: Wrong, *shown_by: str) -> Callable[[Facts, Subject], CheckResult]:
    def of_passed_smoke(test: FitTest, mask: Mask) -> dict[str, str] | None:
        return None if _no_smoke(test, mask) else wrong(test, mask)

    return of_newest_test(of_passed_smoke, shown_by, _no_smoke)


def _no_smoke(test: FitTest, _mask: Mask) -> str:
    if test.protocol != _SMOKE:
        return said("The test was not done with irritant smoke.")
    return said("The test was failed.") if test.result is Result.FAIL else ""


def _enclosed(test: FitTest, _mask: Mask) -> dict[str, str] | None:
    return {} if test.enclosure else None


def _fitted_with(test: FitTest, mask: Mask) -> Particulate | None:
    return test.filters or mask.built_in_filter


def _filter_too_coarse(test: FitTest, mask: Mask) -> dict[str, str] | None:
    part = _fitted_with(test, mask)
    allowed = SMOKE_FILTERS if mask.built_in_filter else CHANGED_FILTERS
    return None if part is None or part in allowed else {"filter": part.value}


def _no_reaction(test: FitTest, _mask: Mask) -> dict[str, str] | None:
    return {} if test.reacted_after is False else None


def _smoke_record_silent(test: FitTest, mask: Mask) -> dict[str, str] | None:
    missing = [name for name in ("enclosure", "reacted_after") if getattr(test, name) is None]
    missing += ["filters"] if _fitted_with(test, mask) is None else []
    return {"missing": said_join(map(same, missing), ", ")} if missing else None


# ---- what came before it ------------------------------------------------------------------------------


def _eaten_before(facts: Facts, subject: Subject) -> CheckResult:
    """Somebody ate or smoked too shortly before a test by taste."""
    least = facts.law_of().amount("nothing-before-taste-test", "min")

    def wrong(test: FitTest, _mask: Mask) -> dict[str, str] | None:
        asked, stated = paragraph_of(test.protocol or "", "nothing_before_at"), test.nothing_before
        if not asked or stated is None or in_unit(stated, "min") >= least or test.result is Result.FAIL:
            return None
        return {"stated": stated.printed, "citation": asked}

    def unless(test: FitTest, _mask: Mask) -> str:
        return "" if paragraph_of(test.protocol or "", "nothing_before_at") else said("The test was not done by taste.")

    return of_newest_test(wrong, ("nothing_before",), unless)(facts, subject)


# ---- what was fitted ----------------------------------------------------------------------------------


def _fitted_unsuited(facts: Facts, subject: Subject) -> CheckResult:
    """What was on the mask is not what the protocol wants there: a class of filter, or a cartridge for its odour."""

    def wrong(test: FitTest, mask: Mask) -> dict[str, str] | None:
        rule = fit_protocols().get(test.protocol or "", {})
        words = {
            "wanted": said(rule.get("fitted_with", "")),
            "citation": paragraph_of(test.protocol or "", "fitted_at"),
        }
        part = _fitted_with(test, mask)
        if "fitted_classes" in rule and part is not None and part.value not in rule["fitted_classes"]:
            is_fine = mask.built_in_filter is part and part in SMOKE_FILTERS  # a dust mask can't change its filter
            return None if is_fine else {**words, "found": said("a filter of class %(part)s", part=part.value)}
        parts = [facts.filters[name][1] for name in mask.filters if name in facts.filters]
        if "fitted_gas" in rule and parts and not any(_stops(part, rule["fitted_gas"]) for part in parts):
            return {**words, "found": said("a mask among whose filters none stops organic vapour")}
        return None

    return of_newest_test(wrong, ("filters", "protocol"), _nothing_to_fit)(facts, subject)


def _stops(part: Filter, gas: str) -> bool:
    return gas in part.gases or Gas.MULTI_GAS in part.gases


def _nothing_to_fit(test: FitTest, mask: Mask) -> str:
    rule = fit_protocols().get(test.protocol or "", {})
    if "fitted_classes" in rule:
        return "" if _fitted_with(test, mask) else said("Which filter was fitted is not recorded.")
    if "fitted_gas" in rule:
        return "" if mask.filters else said("Which filters fit this mask is not said.")
    return said("The protocol leaves the filter open, or a check of its own looks at it.")


# ---- what the test supports ---------------------------------------------------------------------------


def _no_air_of_its_own(test: FitTest, mask: Mask) -> str:
    if test.result is Result.FAIL:
        return said("The test was failed.")
    return said("This mask brings no air of its own.") if mask.mode in (None, Mode.AIR_PURIFYING) else ""


def _air_was_on(test: FitTest, mask: Mask) -> dict[str, str] | None:
    has_air = mask.mode not in (None, Mode.AIR_PURIFYING)
    return {} if has_air and test.unpowered is False and test.result is not Result.FAIL else None


def _supports_too_little(facts: Facts, subject: Subject) -> CheckResult:
    """A task needs more than the standing tests of a negative-pressure mask support, though the mask itself would do.

    A quantitative test that still counts keeps its credit when a qualitative one follows.
    """
    person, mask, issued = worn_mask(facts, subject)
    path = f"{person_path(facts, subject)}.fit_tests"
    standing = standing_tests(person, issued, fit_rules_of(facts, subject), facts.as_of)
    if not standing:
        return CheckResult((path,), nothing=said("No passed fit test of this mask and size counts."))
    shown = tuple(place_of(person, path, test) for test in standing[:1])
    if not all(supports_only_ten(test, mask) for test in standing):
        best = next(test for test in standing if not supports_only_ten(test, mask))
        return CheckResult((path,), shown=(place_of(person, path, best),))
    most = qualitative_credit(facts.rules, facts.tasks_of(subject)).number
    faults = []
    for _, task in facts.relevant_to(subject).tasks:
        verdict = facts.selection.masks.get((task.id, mask.id))
        factor = verdict.credit.apf if verdict else None
        air = facts.selection.air[task.id]
        if factor is None or not is_protective_enough(factor, air.needed):
            continue  # whoever wears it there: the mask itself does not do
        credit = credited_protection_factor(
            factor, most, is_qualitative=True, is_negative_pressure=mask.mode in NEGATIVE_PRESSURE
        )
        if not is_protective_enough(credit, air.needed):
            above = "over " if air.needed.strictly_above else ""
            words = {"task": label_of(task), "needed": f"{above}{number_text(air.needed.value, 'up')}"}
            faults.append((path, {**words, "credit": number_text(credit, "down")}))
    return CheckResult((path,), tuple(faults), shown)


FIT_RECORD_CHECKS: dict[str, Callable[[Facts, Subject], CheckResult]] = {
    "readings-fit-protocol": of_newest_test(_readings_unfit, ("readings",), _no_readings),
    "fit-factor-borne-out": of_newest_test(_factor_not_borne_out, ("fit_factor", "readings"), _one_factor),
    "nothing-eaten-before-test": _eaten_before,
    "fitted-as-protocol-asks": _fitted_unsuited,
    "smoke-not-enclosed": _of_smoke(_enclosed, "enclosure"),
    "smoke-filter-fine-enough": _of_smoke(_filter_too_coarse, "filters"),
    "smoke-reacted-after": _of_smoke(_no_reaction, "reacted_after"),
    "smoke-record-complete": _of_smoke(_smoke_record_silent, "enclosure", "reacted_after"),
    "tested-unpowered": of_newest_test(_air_was_on, ("unpowered",), _no_air_of_its_own),
    "fit-test-supports-task": _supports_too_little,
}
