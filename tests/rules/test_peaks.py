"""Times over an acceptable ceiling of Table Z-2: allowed up to its height and minutes, and no further."""

from __future__ import annotations

import csv
from pathlib import Path
from typing import Any

import pytest
from published_value import published
from rules.workplaces import DAY, air_of, codes, sample, samples

from progdoc.rules.judged.air_results import Assessment
from progdoc.rules.judged.published import LimitKind

TABLE = Path(__file__).parents[1] / "published" / "29cfr1910.1000-table-z2.csv"
ROWS = [row for row in csv.DictReader(TABLE.read_text(encoding="utf-8").splitlines()) if row["peak_minutes"]]
OPEN = [
    row for row in ROWS if not row["agent"].startswith(("Benzene", "Beryllium"))
]  # these have standards of their own


def peak(level: str, minutes: float, span: str = "8 h", **more: Any) -> dict[str, Any]:
    return {"concentration": level, "duration": f"{minutes} min", "span": span, "date": "2026-05-01", **more}


def assessed(*peaks: dict[str, Any], agent: str = "toluene", industry: str = "general", **more: Any) -> Assessment:
    exposure = samples(sample("10 ppm"), sample("20 ppm", 10, averaging="ceiling"))
    hazard = {"agent": agent, "form": "vapour", "exposure": exposure, "peaks": list(peaks), **more}
    return air_of([hazard], task={"industry": industry}).agents[0]


def ratio(found: Assessment, kind: LimitKind) -> float:
    return next(each.value for each in found.ratios if each.limit.kind is kind)


@published("29 CFR 1910.1000(b)(2) and Table Z-2: height, minutes and hours of every peak")
@pytest.mark.parametrize("row", OPEN, ids=lambda row: row["agent"])
def test_the_ceiling_counts_as_kept_up_to_the_height_and_the_minutes_of_the_table(row: dict[str, str]) -> None:
    top, minutes = float(row["values"].split()[-1]), float(row["peak_minutes"])
    hours = float(row["within_hours"] or 8.0)

    def found(level: float, length: float, within: float) -> Assessment:
        one = peak(f"{level} {row['unit']}", length, f"{within} h", otherwise_none="yes")
        return assessed(one, agent=row["agent"])

    within = found(top, minutes, hours)
    assert ratio(within, LimitKind.CEILING) == pytest.approx(1.0)
    assert ratio(within, LimitKind.PEAK) == pytest.approx(1.0)
    assert not {"EXP-037", "EXP-035"} & set(codes(within))
    for beyond in (found(top * 1.01, minutes, hours), found(top, minutes + 0.5, hours)):
        (allowed,) = [reason.words["allowed"] for reason in beyond.reasons if reason.code == "EXP-035"]
        assert f" for {minutes:g} minutes within {hours:g} h" in allowed
        assert ratio(beyond, LimitKind.CEILING) > 1.0
    assert "EXP-035" in codes(found(top, minutes, hours / 2.0))  # it may come twice in the hours of the table


@published("29 CFR 1910.1000, Table Z-2: toluene 200 ppm, ceiling 300 ppm, peak 500 ppm for 10 minutes")
def test_a_ceiling_passed_without_its_minutes_is_an_open_question_and_counts_in_full() -> None:
    exposure = samples(sample("100 ppm"), sample("400 ppm", 10, averaging="ceiling"))
    silent = assessed(exposure=exposure)
    assert "EXP-037" in codes(silent)
    assert ratio(silent, LimitKind.CEILING) == pytest.approx(400.0 / 300.0)
    told = assessed(peak("400 ppm", 8), exposure=exposure)
    assert not {"EXP-037", "EXP-035"} & set(codes(told))
    assert ratio(told, LimitKind.CEILING) == 1.0
    assert not told.is_over_limit
    higher = assessed(peak("350 ppm", 8), exposure=exposure)  # the sample is no peak that was described
    assert "EXP-037" in codes(higher)
    assert higher.is_over_limit


def test_beyond_the_table_the_mask_answers_for_the_peak_against_the_ceiling() -> None:
    found = assessed(peak("450 ppm", 12))
    assert found.governing is not None
    assert (found.governing.limit.kind, found.governing.value) == (LimitKind.CEILING, pytest.approx(1.5))
    assert "450 ppm, 12 min over the ceiling within 8 h" in found.governing.level.basis
    assert found.is_over_limit


def test_a_longer_span_than_the_tables_holds_all_of_its_minutes() -> None:
    assert "EXP-035" not in codes(assessed(peak("250 ppm", 5, "8 h"), agent="trichloroethylene"))
    assert "EXP-035" in codes(assessed(peak("250 ppm", 5, "1 h"), agent="trichloroethylene"))
    assert "EXP-035" not in codes(assessed(peak("250 ppm", 2.5, "1 h"), agent="trichloroethylene"))


@published("29 CFR 1910.1000, Table Z-2: hydrogen sulfide, 50 ppm for 10 minutes, only without other exposure")
def test_hydrogen_sulfide_may_peak_only_alone() -> None:
    for alone, is_beyond in (({"otherwise_none": "yes"}, False), ({"otherwise_none": "no"}, True), ({}, True)):
        found = assessed(peak("40 ppm", 8, **alone), agent="hydrogen sulfide", form="gas")
        assert ("EXP-035" in codes(found)) is is_beyond


def test_in_the_other_industries_there_are_no_such_peaks() -> None:
    for industry in ("construction", "shipyard"):
        found = assessed(peak("450 ppm", 12), industry=industry)
        assert not {"EXP-037", "EXP-035"} & set(codes(found))
        assert found.during_task == 450.0  # it may still be dangerous


def test_a_peak_is_the_highest_level_and_no_load() -> None:
    found = assessed(peak("450 ppm", 8))
    assert (found.during_task, found.load) == (450.0, 10.0)


def test_a_peak_that_has_not_come_or_cannot_be_counts_for_nothing() -> None:
    late = assessed(peak("450 ppm", 12) | {"date": DAY.replace(year=DAY.year + 1).isoformat()})
    assert not {"EXP-037", "EXP-035"} & set(codes(late))
    assert late.during_task == 20.0
    for wrong in (peak("450 ppm", 0), peak("450 ppm", 90, "1 h")):
        assert "EXP-022" in codes(assessed(wrong))


def test_a_peak_in_another_kind_of_unit_is_asked_about() -> None:
    assert "EXP-013" in codes(assessed(peak("3 f/cc", 8)))


@published("29 CFR 1910.1000, Table Z-2: toluene, ceiling 300 ppm, 500 ppm for 10 minutes")
def test_peaks_that_are_too_short_for_a_measured_average_do_not_explain_it() -> None:
    exposure = samples(sample("450 ppm", 60, rest_of_shift="zero"), sample("250 ppm", 10, averaging="ceiling"))
    told = assessed(peak("500 ppm", 10), exposure=exposure)  # at the most 333 ppm over the hour
    assert "EXP-037" in codes(told)
    assert ratio(told, LimitKind.CEILING) == pytest.approx(1.5)
    low = samples(sample("330 ppm", 60, rest_of_shift="zero"), sample("250 ppm", 10, averaging="ceiling"))
    assert "EXP-037" not in codes(assessed(peak("500 ppm", 10), exposure=low))
