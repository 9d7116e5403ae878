"""Two things on one day: which of them counts. A small change of the base program goes in as YAML, verdicts come out.

29 CFR 1910.134 says what follows what, and dates carry no hour: where two things share a day, the one that the law
puts second is taken to be the second.
"""

from __future__ import annotations

from itertools import permutations
from pathlib import Path
from typing import Any

import pytest
from programs.patching import judged, patched
from published_value import published

WEARER = ("people.jo-marsh",)
WORN = ("people.jo-marsh", "masks.half-mask")
TEST = {"mask": "half-mask", "size": "M", "protocol": "saccharin", "tester": "Ada Brook", "screened": "yes"}
SCAR = [{"date": "2026-05-01", "kind": "scar"}]


def statuses(folder: Path, subject: tuple[str, ...], changes: dict[str, Any], *codes: str) -> list[str]:
    found = judged(patched({"set": changes}), folder)
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


@published("29 CFR 1910.134, Appendix A, Part I.A.11 and I.B.2(b)(8): after a failure the test is done again")
@pytest.mark.parametrize("tests", list(permutations([("2026-02-17", "pass"), ("2026-02-17", "fail")])))
def test_a_pass_on_the_day_of_a_failure_is_the_retest(tests: tuple[tuple[str, str], ...], tmp_path: Path) -> None:
    found = statuses(tmp_path, WORN, {"people[0].fit_tests": fit_tests(*tests)}, "FIT-004", "FIT-005")
    assert found == ["met", "met"]


def test_a_test_without_a_result_ends_no_earlier_pass(tmp_path: Path) -> None:
    tests = [*fit_tests(("2026-02-17", "pass")), {"date": "2026-03-01", "mask": "half-mask", "size": "M"}]
    assert statuses(tmp_path, WORN, {"people[0].fit_tests": tests}, "FIT-004", "FIT-005") == ["met", "met"]


@pytest.mark.parametrize(
    ("tests", "failed", "changed"),
    [
        ([("2026-02-17", "fail"), ("2026-02-17", "pass")], "met", "gap"),  # the change ended it, not the failure
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
