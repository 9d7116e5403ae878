"""What changes mean for protection. Figures follow from 29 CFR 1926.62(c) (lead, 50 µg/m³) and 1910.134, Table 1."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from comparison.trial import base, compared, descriptions
from examples import examples
from hypothesis import HealthCheck, Phase, given

from progdoc.app.compare import compared_files
from progdoc.comparison.changes import Change, Direction, Kind, mirrored

_FEW = examples(
    3,
    phases=[Phase.explicit, Phase.reuse, Phase.generate],  # each example judges and writes two programs
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.function_scoped_fixture],
)


def _meaning(old: Any, new: Any, folder: Path) -> dict[str, Change]:
    return {f"{c.place} {c.what}": c for c in compared(old, new, folder).comparison.meaning}


@_FEW
@given(descriptions())
def test_a_description_compared_with_itself_is_empty(tmp_path: Path, values: Any) -> None:
    assert compared(values, values, tmp_path).comparison.is_empty


@_FEW
@given(descriptions(), descriptions())
def test_the_other_way_round_is_the_mirror_image(tmp_path: Path, old: Any, new: Any) -> None:
    forth, back = compared(old, new, tmp_path).comparison, compared(new, old, tmp_path).comparison
    assert mirrored(forth.meaning) == back.meaning
    assert mirrored(forth.description) == back.description
    assert mirrored(forth.text) == back.text
    assert (forth.words_put_in, forth.words_taken_out) == (back.words_taken_out, back.words_put_in)


def test_worse_air_is_less_protection_behind_the_same_mask(tmp_path: Path) -> None:
    new = base()
    new["hazards"][0]["exposure"]["results"][0].update(concentration="1200 ug/m3", duration="480 min")
    found = _meaning(base(), new, tmp_path)
    ratio = found["hazards.sash-lead hazard ratio"]
    assert (ratio.old, ratio.new) == ("2.1 times the limit", "24 times the limit")  # 105 and 1200 over 50 µg/m³
    assert ratio.direction is Direction.LESS
    assert found["tasks.scrape-sashes.needed protection factor needed"].new == "24"
    verdict = found["tasks.scrape-sashes.masks.half-mask verdict on the mask"]  # Table 1: a half mask has 10
    assert (verdict.old, verdict.new) == ("protects, factor 10", "does not protect, factor 10")
    assert verdict.direction is Direction.LESS
    assert any(c.kind is Kind.FINDING_APPEARED and c.place.startswith("SEL-003") for c in found.values())


def test_a_longer_time_between_fit_tests_is_less_protection(tmp_path: Path) -> None:
    old = base()
    old["procedures"]["fit_testing"]["interval"] = "6 months"
    found = _meaning(old, base(), tmp_path)
    assert found["procedures.fit_testing.interval time between fit tests"].direction is Direction.LESS


def test_a_policy_that_went_is_less_protection(tmp_path: Path) -> None:
    old = base()
    old["policies"] = [{"id": "host", "by": "Northbridge Diocese", "source": "Rules 2026", "half_mask_pass": "200"}]
    assert _meaning(old, base(), tmp_path)["policies.host policy"].direction is Direction.LESS
    assert _meaning(base(), old, tmp_path)["policies.host policy"].direction is Direction.MORE


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
    assert summary.index("may lower protection") < summary.index("Besides:")
    assert "LESS PROTECTION" in files["comparison.html"].decode()
    value = json.loads(files["comparison.json"])
    assert (value["format"], value["changed"]) == ("progdoc-comparison/1", True)
