"""What a policy asks before a fit test is asked before that of each mask: one test vouches for no other.

Tried for every step that may come first, by a wearer of two masks of whom either test broke the order, or both kept it.
Common practice, no source: who rests or trains before the test of one mask has not done so for another day's.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from programs.patching import judged_by, patched

from progdoc.rules.reading.catalogue import built_in_catalogue

MASKS = ("half-mask", "powered-mask")
KEPT, BROKEN = "2026-05-10", "2026-05-02"
OF_STEPS: dict[str, dict[str, Any]] = {  # the rule, and what puts the first step between the days of two tests
    "training": {"first": "training", "then": "fit-test", "after": "5 days"},
    "clearance": {"first": "medical-clearance", "then": "fit-test", "after": "5 days"},
    "reading": {"first": "reading-the-program", "then": "fit-test", "after": "5 days"},
    "smoking": {"first": "smoking", "then": "fit-test", "wait": "1 h"},
    "eating": {"first": "eating", "then": "fit-test", "wait": "1 h"},
}
DAY = "2026-05-01"


def _tested(mask: str, is_kept: bool, rests: bool) -> dict[str, Any]:
    by_taste = {"protocol": "saccharin", "screened": "yes"}
    by_figure = {"protocol": "ambient-cnc", "fit_factor": "1240", "recording": "appendix-d.pdf"}
    of_mask = {"mask": mask, "size": "M", "tester": "Ada Brook", "result": "pass"}
    rest = {"nothing_before": "2 h" if is_kept or not rests else "20 min"}
    return {
        **of_mask,
        **(by_taste if mask == "half-mask" else by_figure),
        **rest,
        "date": KEPT if is_kept or rests else BROKEN,
    }


@pytest.mark.parametrize("step", OF_STEPS)
def test_an_order_is_kept_for_each_mask(step: str, tmp_path: Path) -> None:
    rests, found = "wait" in OF_STEPS[step], {}
    for kept in ((True, True), (False, True), (True, False)):
        tests = [_tested(mask, is_kept, rests) for mask, is_kept in zip(MASKS, kept, strict=True)]
        change: dict[str, Any] = {
            "policies": [{"id": "host", "by": "Trust", "source": "Rules 4", "order": [OF_STEPS[step]]}],
            "people[0].masks": [{"mask": mask, "size": "M"} for mask in MASKS],
            "people[0].training[0].date": DAY,
            "people[0].medical[0].date": DAY,
            "people[0].has_read": [{"date": DAY, "revision": "2026.1"}],
        }
        for newest_last in (True, False):
            values = patched({"set": {**change, "people[0].fit_tests": tests if newest_last else tests[::-1]}})
            judged = judged_by(built_in_catalogue(), values, tmp_path)
            told = [one.location.path for one in judged.findings if one.code == "POL-014"]
            found[kept, newest_last] = [path for path in told if path.startswith("people[0]")]
            [person] = [one for _, one in judged.index.present if one.id == "jo-marsh"]
            [task] = [one for _, one in judged.index.our_tasks if one.id == "scrape-sashes"]
            good = {choice.mask for choice in judged.roster.assignment(person, task).good}
            assert good == {mask for mask, is_kept in zip(MASKS, kept, strict=True) if is_kept}, (kept, newest_last)
    for (kept, newest_last), paths in found.items():
        at = {True: (0, 1), False: (1, 0)}[newest_last]
        broken = [i for i, is_kept in zip(at, kept, strict=True) if not is_kept]
        assert [path.startswith(f"people[0].fit_tests[{i}]") for i, path in zip(broken, paths, strict=True)] == [
            True
        ] * len(broken)
