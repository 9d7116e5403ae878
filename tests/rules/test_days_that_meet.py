"""Two things on one day: which of them counts. A small change of the base program goes in as YAML, verdicts come out.

29 CFR 1910.134 says what follows what, and dates carry no hour: where two things share a day, the one that the law
puts second is taken to be the second.
"""

from __future__ import annotations

from itertools import permutations
from pathlib import Path
from typing import Any

import pytest
from programs.patching import catalogue_of, judged, judged_by, patched
from published_value import published

WEARER = ("people.jo-marsh",)
WORN = ("people.jo-marsh", "masks.half-mask")
TEST = {"mask": "half-mask", "size": "M", "protocol": "saccharin", "tester": "Ada Brook", "screened": "yes"}
SCAR = [{"date": "2026-05-01", "kind": "scar"}]


def statuses(folder: Path, subject: tuple[str, ...], changes: dict[str, Any], *codes: str) -> list[str]:
    found = judged_by(catalogue_of(codes), patched({"set": changes}), folder)
    known = {v.requirement.code: v.status.value for v in found.verdicts if v.subject.ids == subject}
    return [known[code] for code in codes]


def entry(day: str, *calls: str, recommendation: str = "cleared") -> dict[str, Any]:
    called = {"reevaluate": [{"date": call} for call in calls]} if calls else {}
    return {"date": day, "recommendation": recommendation, "copy_given": "yes", **called}


@published("29 CFR 1910.134(e)(7): another evaluation is provided when it is called for")
@pytest.mark.parametrize(
    ("medical", "status"),
    [
        ([entry("2026-02-03", "2026-03-02"), entry("2026-03-02")], "met"),  # seen again on the day of the call
        ([entry("2026-02-03", "2026-03-02"), entry("2026-03-03")], "met"),
        ([entry("2026-02-03", "2026-03-02"), entry("2026-03-01")], "gap"),
        ([entry("2026-02-03", "2026-02-03")], "gap"),  # its own recommendation does not answer it
        ([entry("2026-02-03", "2026-06-01")], "gap"),  # called for today
        ([entry("2026-02-03", "2026-06-02")], "met"),  # called for tomorrow
        ([entry("2026-02-03", "2026-03-02"), entry("2026-06-01")], "met"),  # seen again today
        ([entry("2026-02-03", "2026-03-02"), entry("2026-06-02")], "gap"),  # seen again tomorrow
    ],
)
def test_a_call_is_answered_by_a_recommendation_of_its_day_or_later(
    medical: list[dict[str, Any]], status: str, tmp_path: Path
) -> None:
    assert statuses(tmp_path, WEARER, {"people[0].medical": medical}, "MED-500") == [status]


def fit_tests(*results: tuple[str, str]) -> list[dict[str, Any]]:
    return [{"date": day, "result": result, **TEST} for day, result in results]


PASS, FAIL, RETEST = ("2026-02-17", "pass"), ("2026-02-17", "fail"), ("2026-02-17", "retest")
ORDERED = ("FIT-004", "FIT-005", "FIT-037")


def day_of_tests(*results: tuple[str, str]) -> list[dict[str, Any]]:
    marked = [(day, "pass" if result == "retest" else result) for day, result in results]
    tests = fit_tests(*marked)
    return [
        test | ({"retest": "yes"} if said == "retest" else {}) for test, (_, said) in zip(tests, results, strict=True)
    ]


@published(
    "29 CFR 1910.134, Appendix A, Part I.C.2(b)(7): after a failure the mask is refitted and the test done again"
)
@pytest.mark.parametrize(
    ("tests", "found"),
    [
        ((PASS, FAIL), ["met", "met", "gap"]),  # dates carry no hour: which came last has to be said
        ((RETEST, FAIL), ["met", "met", "met"]),
        ((RETEST, PASS, FAIL), ["met", "met", "met"]),
        ((PASS, FAIL, FAIL), ["met", "met", "gap"]),
        ((("2026-02-10", "pass"), PASS, FAIL), ["met", "met", "gap"]),  # an earlier pass ends with the failure
        ((PASS, FAIL, ("2026-03-02", "pass")), ["met", "met", "met"]),
        ((PASS, FAIL, ("2026-03-02", "fail")), ["gap", "met", "met"]),
        ((PASS, PASS), ["met", "met", "met"]),
    ],
)
def test_of_a_pass_and_a_failure_of_one_day_it_is_said_which_came_last(
    tests: tuple[tuple[str, str], ...], found: list[str], tmp_path: Path
) -> None:
    for i, order in enumerate(permutations(tests)):
        changes = {"people[0].fit_tests": day_of_tests(*order)}
        assert statuses(tmp_path, WORN, changes, *ORDERED) == found, (i, order)


def test_a_failure_that_is_said_to_be_the_later_test_counts(tmp_path: Path) -> None:
    passed, failed = fit_tests(PASS, FAIL)
    changes = {"people[0].fit_tests": [passed | {"retest": "yes"}, failed | {"retest": "yes"}]}
    assert statuses(tmp_path, WORN, changes, "FIT-037") == ["gap"]


def test_a_pass_of_unknown_order_sends_nobody_to_work(tmp_path: Path) -> None:
    found = judged(patched({"set": {"people[0].fit_tests": day_of_tests(PASS, FAIL)}}), tmp_path)
    pairs = [
        pair for pair in found.roster.all_pairs() if pair.person.id == "jo-marsh" and pair.task.id == "scrape-sashes"
    ]
    assert pairs and not any(choice.mask == "half-mask" for pair in pairs for choice in pair.good)
    assert "fit-test.jo-marsh.half-mask" in {item.id for item in found.due(60).overdue}


def test_a_test_without_a_result_ends_no_earlier_pass(tmp_path: Path) -> None:
    tests = [*fit_tests(("2026-02-17", "pass")), {"date": "2026-03-01", "mask": "half-mask", "size": "M"}]
    assert statuses(tmp_path, WORN, {"people[0].fit_tests": tests}, "FIT-004", "FIT-005") == ["met", "met"]


@pytest.mark.parametrize(
    ("tests", "failed", "changed"),
    [
        ([("2026-02-16", "fail"), ("2026-02-17", "pass")], "met", "gap"),  # the change ended it, not the failure
        ([("2026-02-17", "pass"), ("2026-02-18", "fail")], "gap", "met"),
        ([("2026-02-17", "pass")], "met", "gap"),
        ([("2026-02-17", "fail"), ("2026-06-02", "pass")], "gap", "met"),  # that retest is only planned
        ([("2026-02-17", "pass"), ("2026-05-01", "pass")], "met", "met"),  # tested on the day of the change
    ],
)
def test_what_ended_a_pass_is_what_is_told(
    tests: list[tuple[str, str]], failed: str, changed: str, tmp_path: Path
) -> None:
    changes = {"people[0].fit_tests": fit_tests(*tests), "people[0].changes": SCAR}
    assert statuses(tmp_path, WORN, changes, "FIT-004", "FIT-005") == [failed, changed]
