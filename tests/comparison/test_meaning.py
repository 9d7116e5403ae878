"""What changes mean for protection. Figures follow from 29 CFR 1926.62(c) (lead, 50 µg/m³) and 1910.134, Table 1."""

from __future__ import annotations

import copy
import json
import re
from pathlib import Path
from typing import Any

from comparison.trial import AS_OF, base, compared, descriptions, issued, meant, program_of
from examples import examples
from hypothesis import HealthCheck, Phase, given

from progdoc.app.compare import compared_files, meaning_of
from progdoc.comparison.causes import Edits
from progdoc.comparison.changes import Cause, Change, Danger, Direction, Kind, Topic, mirrored
from progdoc.comparison.related import related
from progdoc.comparison.told_changes import because

_FEW = examples(
    3,
    phases=[Phase.explicit, Phase.reuse, Phase.generate],  # each example judges two programs
    suppress_health_check=[HealthCheck.too_slow],
)


def _meaning(old: Any, new: Any) -> dict[str, Change]:
    return {f"{c.place} {c.what}": c for c in meant(old, new).meaning}


def test_edits_of_one_list_that_move_an_effect_are_named_together() -> None:
    new = base()
    results = new["hazards"][0]["exposure"]["results"]
    results.append({**results[0], "date": "2026-03-11"})
    old = copy.deepcopy(new)
    for result in results:
        result["concentration"] = "900 ug/m3"
    (needed,) = (c for c in meant(old, new).meaning if c.what == "protection factor needed")
    assert len(needed.causes) == 2
    assert "(2 changed, such as 120 ug/m3 → 900 ug/m3)" in because(needed, {}, 60)


def test_what_things_refer_to_is_asked_for_a_cause_before_anything_is_guessed() -> None:
    program = program_of(base())
    task, hazard = f"tasks.{program.hazards[0].task}", f"hazards.{program.hazards[0].id}"
    edit = Change(Kind.REWORDED, f"{task}.effort", "effort", "moderate", "heavy")
    far = [Change(Kind.REWORDED, f"organisation.note{i}", "note", "a", "b") for i in range(5)]
    assert Edits([edit, *far], related(program)).behind([f"{hazard}.agent"]) == (edit,)
    assert Edits(far, related(program)).behind([f"{hazard}.agent"]) == ()


def test_a_year_in_which_everything_was_done_again_opens_no_danger() -> None:
    """Both revisions were issued, each on its day; judged a year after the first one, half of its records ran out."""
    old = base()
    new = json.loads(re.sub(r"\b(20\d\d)(?=-\d\d-\d\d)", lambda year: str(int(year[0]) + 1), json.dumps(old)))
    new["program"]["revision"] = "2027.1"
    new["program"]["history"] = [*old["program"]["history"], {**new["program"]["history"][0], "revision": "2027.1"}]
    day = AS_OF.replace(year=AS_OF.year + 1)
    meaning = meaning_of(issued(old, AS_OF, day), issued(new, day, day))
    assert [c for c in meaning.meaning if c.direction is Direction.LESS] == []
    assert len(meaning.kept_up) > 5
    assert {c.cause for c in meaning.kept_up} == {Cause.TIME}


@_FEW
@given(descriptions())
def test_a_description_compared_with_itself_is_empty(values: Any) -> None:
    assert meant(values, values).is_empty


@_FEW
@given(descriptions(), descriptions())
def test_edits_are_mirrored_and_no_protection_is_lost_both_ways(old: Any, new: Any) -> None:
    forth, back = meant(old, new), meant(new, old)
    assert mirrored(forth.description) == tuple(sorted(back.description, key=back.description.index))
    standing = (Topic.AIR, Topic.MASK, Topic.PERSON, Topic.FIGURE)
    lost = [
        {(c.was or c.place, c.what) for c in side.meaning if c.direction is Direction.LESS and c.topic in standing}
        for side in (forth, back)
    ]
    assert not lost[0] & {(c.place, c.what) for c in back.meaning if c.direction is Direction.LESS}


def test_worse_air_is_less_protection_behind_the_same_mask() -> None:
    new = base()
    new["hazards"][0]["exposure"]["results"][0].update(concentration="1200 ug/m3", duration="480 min")
    found = _meaning(base(), new)
    ratio = found["hazards.sash-lead hazard ratio"]
    assert (ratio.old, ratio.new) == ("2.1 times the limit", "24 times the limit")  # 105 and 1200 over 50 µg/m³
    assert ratio.direction is Direction.LESS
    assert found["tasks.scrape-sashes.needed protection factor needed"].new == "24"
    verdict = found["tasks.scrape-sashes.masks.half-mask verdict on the mask"]  # Table 1: a half mask has 10
    assert (verdict.old, verdict.new) == ("protects, factor 10", "does not protect, factor 10 (SEL-003)")
    assert (verdict.direction, verdict.danger) == (Direction.LESS, Danger.BREATHED)
    assert any(c.kind is Kind.FINDING_APPEARED and c.place.startswith("SEL-003") for c in found.values())
    edited = {"hazards.sash-lead.exposure.results.[2026-03-10 TWA].concentration"}
    assert edited <= {cause.place for cause in verdict.causes}


def test_more_air_behind_a_mask_that_grew_with_it_is_no_less_protection() -> None:
    """2.1 times the limit under a factor of 10, then 24 times under 50 (full facepiece, Table 1)."""
    new = base()
    new["hazards"][0]["exposure"]["results"][0].update(concentration="480 ug/m3", duration="480 min")
    needed = _meaning(base(), new)["tasks.scrape-sashes.needed protection factor needed"]
    assert needed.direction is Direction.LESS  # the half mask is left
    for mask in new["tasks"][0]["masks"]:
        mask["mask"] = "powered-mask"
    needed = _meaning(base(), new)["tasks.scrape-sashes.needed protection factor needed"]
    assert needed.direction is not Direction.MORE


def test_a_longer_time_between_fit_tests_is_less_protection() -> None:
    old = base()
    old["procedures"]["fit_testing"]["interval"] = "6 months"
    found = _meaning(old, base())
    assert found["figures.fit-test-interval figure in force: time between fit tests"].direction is Direction.LESS


def test_a_policy_that_went_is_less_protection() -> None:
    old = base()
    old["policies"] = [{"id": "host", "by": "Northbridge Diocese", "source": "Rules 2026", "half_mask_pass": "200"}]
    assert _meaning(old, base())["policies.host policy"].direction is Direction.LESS
    assert _meaning(base(), old)["policies.host policy"].direction is Direction.MORE


def test_people_who_gained_or_lost_a_task_stand_in_the_restricted_part_alone(tmp_path: Path) -> None:
    new = base()
    new["tasks"][0]["people"] = ["jo-marsh"]
    result = compared(base(), new, tmp_path)
    lost = next(c for c in result.comparison.meaning if c.place == "people.ravi-stone.tasks.scrape-sashes")
    assert (lost.kind, lost.is_restricted) == (Kind.REMOVED, True)
    files = compared_files(result, "Ada Brook")
    public = [data for name, data in files.items() if not name.startswith("restricted/")]
    assert not any(b"Ravi" in data or b"ravi" in data for data in public)
    assert "Ravi Stone" in files["restricted/comparison.html"].decode()
    assert json.loads(files["comparison.json"])["restricted"]["changes"] >= 2


def test_what_lowers_protection_stands_first_and_is_marked(tmp_path: Path) -> None:
    new = base()
    new["hazards"][0]["exposure"]["results"][0]["concentration"] = "480 ug/m3"
    new["organisation"]["trade"] = "Joinery"
    result = compared(base(), new, tmp_path)
    assert result.comparison.meaning[0].direction is Direction.LESS
    files = compared_files(result, "Ada Brook")
    summary = files["summary.md"].decode()
    assert summary.index("Less protected") < summary.index("The rest")
    assert "<strong>less protection</strong>" in files["comparison.html"].decode()
    value = json.loads(files["comparison.json"])
    assert (value["format"], value["changed"]) == ("progdoc-comparison/1", True)
    assert files["figures.csv"].decode("utf-8-sig").splitlines()[0] == "Where,What,Old,New,Means,Because,Paragraph"
