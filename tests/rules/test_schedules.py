"""Change schedules: the shortest of all sources, bounds of substance standards, and moments a crew can keep."""

from __future__ import annotations

import copy
from datetime import date
from itertools import pairwise
from typing import Any

import pytest
from document.said_fields import judged_values
from hypothesis import given
from hypothesis import strategies as st
from programs.patching import PROGRAMS, catalogue_of, checked_by, read_as_text
from published_value import published
from rules.workplaces import selected

from progdoc.core.diagnostics import Severity
from progdoc.model.description.clock import as_clock_time
from progdoc.model.description.program import Program
from progdoc.model.description.upkeep import Basis, FilterChanges
from progdoc.rules.cartridge_life.change_moments import change_moments, moments_words
from progdoc.rules.cartridge_life.schedules import cartridge_changes, service_lives
from progdoc.rules.judged.cartridge_results import CartridgeChange, ServiceLife

TEXT = (PROGRAMS / "varnishing.yaml").read_text(encoding="utf-8")
SHEET = {
    "kind": "maker-data",
    "agents": ["toluene"],
    "concentration": "300 ppm",
    "flow": "40 L/min",
    "humidity": "50 %",
    "temperature": "77 F",
    "life": "3 h",
    "source": "Sheet SL-7",
}
DAY = FilterChanges.model_validate(
    {"shift_starts": "08:00", "breaks": [{"name": "lunch break", "at": "12:00"}, {"name": "tea", "at": "10:00"}]}
)
ONLY_TEA = FilterChanges.model_validate({"shift_starts": "08:00", "breaks": [{"name": "tea", "at": "10:00"}]})


def varnishing(**sheet: Any) -> dict[str, Any]:
    values: dict[str, Any] = copy.deepcopy(read_as_text(TEXT))
    values["filters"][0]["service_data"] = [SHEET | sheet] if sheet else []
    return values


def changed(values: dict[str, Any]) -> dict[tuple[str, str, str], CartridgeChange]:
    program = Program.model_validate(values)
    return cartridge_changes(program, selected(program, date(2026, 6, 1)).air)


def only(values: dict[str, Any]) -> CartridgeChange:
    (change,) = changed(values).values()
    return change


@published("29 CFR 1910.134(d)(3)(iii)(B)(1), (2): an indicator says when, or a schedule does")
@pytest.mark.parametrize(
    ("agent", "form", "status"), [("toluene", "vapour", "met"), ("xylene", "vapour", "gap"), ("lead", "dust", "gap")]
)
def test_an_indicator_for_what_is_not_in_the_air_says_nothing_of_when(agent: str, form: str, status: str) -> None:
    values = varnishing()
    values["hazards"][0] |= {"agent": agent, "form": form}
    values["filters"][0] |= {"esli_for": ["toluene"], "esli_suits": "yes"}
    schedule = values["procedures"]["filter_changes"]["schedules"][0]
    schedule["basis"] = "end-of-service-life-indicator"
    del schedule["after"], schedule["sources"]
    (verdict,) = judged_values(values, catalogue_of({"FLT-002"})).verdicts
    assert verdict.status == status


# ---- sources ------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("life", "kind", "minutes"), [("3 h", Basis.MAKER, 180.0), ("5 h", Basis.MODEL, 242.9)])
def test_the_shortest_source_governs(life: str, kind: Basis, minutes: float) -> None:
    found = only(varnishing(life=life))
    assert found.governing is not None and found.governing.kind is kind
    assert found.shortest_min == pytest.approx(minutes, abs=0.5)


def test_makers_data_at_no_flow_do_not_count() -> None:
    found = only(varnishing(flow="0 L/min", life="40 h"))
    maker = next(source for source in found.sources if source.kind is Basis.MAKER)
    assert not maker.counts and maker.minutes is None


@published("AIHA rule of thumb (ch. 36): twice the flow, half as long")
def test_makers_data_are_carried_over_and_never_stretched() -> None:
    def minutes(**sheet: str) -> float | None:
        return next(source for source in only(varnishing(**sheet)).sources if source.kind is Basis.MAKER).minutes

    assert minutes(concentration="3000 ppm", life="1 h") == pytest.approx(60.0)
    assert minutes(concentration="3000 ppm", flow="80 L/min", life="1 h") == pytest.approx(60.0)
    assert minutes(flow="20 L/min") == pytest.approx(90.0)
    assert minutes(concentration="150 ppm") == pytest.approx(90.0)
    assert minutes(temperature="59 F") == pytest.approx(180.0 * 0.9)


@pytest.mark.parametrize(("tested", "enters"), [("299 ppm", True), ("300 ppm", False), ("301 ppm", False)])
def test_the_concentration_enters_the_formula_only_where_it_shortens_the_life(tested: str, enters: bool) -> None:
    """Our air has 300 ppm."""
    (maker,) = [source for source in only(varnishing(concentration=tested)).sources if source.kind is Basis.MAKER]
    assert maker.worked is not None
    assert ("concentration in the test ÷ our concentration" in maker.worked.formula) is enters


@pytest.mark.parametrize(
    ("sheet", "why"),
    [
        ({"agents": ["xylene"]}, "does not name toluene"),
        ({"concentration": "300 f/cc"}, "not given in ppm"),
        ({"life": "0 h"}, "zero"),
    ],
)
def test_data_that_do_not_cover_the_air_do_not_count(sheet: dict[str, Any], why: str) -> None:
    source = next(source for source in only(varnishing(**sheet)).sources if source.kind is Basis.MAKER)
    assert source.minutes is None
    assert why in source.why_not


def test_assumed_carbon_does_not_outvote_the_makers_figure() -> None:
    values = varnishing(life="3 h")
    del values["filters"][0]["carbon"]
    del values["procedures"]["filter_changes"]["schedules"]
    found = only(values)
    assert found.governing is not None and found.governing.kind is Basis.MAKER


def without_carbon(**sheet: Any) -> dict[str, Any]:
    """A maker's figure beside a cartridge of which nobody describes the carbon, and a schedule that rests on it."""
    values = varnishing(**sheet)
    del values["filters"][0]["carbon"]
    plan = values["procedures"]["filter_changes"]["schedules"][0]
    del plan["sources"]
    plan |= {"basis": "maker-data", "data": "The maker's sheet SL-7", "reliance": "The same cartridge", "after": "6 h"}
    return values


def told_of(values: dict[str, Any]) -> set[str]:
    catalogue = catalogue_of(("FLT-009", "FLT-010", "FLT-016"))
    return {one.code for one in checked_by(catalogue, values).report.findings if one.severity is Severity.REQUIRED}


@pytest.mark.parametrize("life", ["18 h", "21 h", "39 h", "100 h", "900 h"])
def test_nothing_rests_on_a_makers_figure_that_no_cartridge_reaches(life: str) -> None:
    values = without_carbon(life=life)
    found = only(values)
    maker = next(source for source in found.sources if source.kind is Basis.MAKER)
    assert maker.is_unlikely and maker.minutes is None and found.governing is None and not found.carried, maker
    assert told_of(values) == {"FLT-010", "FLT-016"}


@pytest.mark.parametrize("life", ["6 h", "8 h", "16 h"])
def test_a_good_cartridge_is_credited_with_its_makers_figure(life: str) -> None:
    """Two of 80 g last about ten times as long as the one that is assumed where nobody describes them."""
    assert told_of(without_carbon(life=life)) == set()


HUGE = [{"mass": "800 g"}, {"cartridges": "20"}, {"mass": "2100 g", "bed_area": "480 cm2"}, {"density": "3 g/cm3"},
    {"micropore_volume": "4 cm3/g"}, {"bed_area": "900 cm2"}]  # fmt: skip


@pytest.mark.parametrize("carbon", HUGE, ids=str)
def test_nothing_is_worked_out_from_carbon_that_no_mask_carries(carbon: dict[str, str]) -> None:
    values = varnishing()
    values["filters"][0]["carbon"] |= carbon
    values["procedures"]["filter_changes"]["schedules"][0]["after"] = "12 h"
    found = only(values)
    assert found.life.life_min is None and found.governing is None and not found.carried
    assert told_of(values) == {"FLT-010"}


@pytest.mark.parametrize(
    ("text", "codes"),
    [("Sheet SL-7, toluene at 300 ppm", set()), ("Sheet SL-7 on methylbenzene", set()), ("Sheet SL-7", {"FLT-010"})],
)
def test_data_for_other_vapours_alone_carry_no_schedule(text: str, codes: set[str]) -> None:
    values = without_carbon(agents=["acetone"], life="8 h")
    values["tasks"][0].pop("humidity_high")  # no estimate stands beside it
    values["procedures"]["filter_changes"]["schedules"][0]["data"] = text
    assert told_of(values) == codes
    values["filters"][0]["service_data"].append(SHEET | {"life": "8 h"})
    values["tasks"][0]["humidity_high"] = "50 %"
    assert told_of(values) == set()  # of several sheets that of our vapour counts


@published("29 CFR 1910.1028(g)(2)(ii): changed at the end of service life or at the start of each shift")
def test_a_substance_standard_bounds_every_other_source() -> None:
    values = varnishing(agents=["benzene"], concentration="10 ppm", life="20 h")
    values["hazards"][0]["agent"] = "benzene"
    values["hazards"][0]["exposure"]["concentration"] = "10 ppm"
    found = only(values)
    assert found.governing is not None and found.governing.kind is Basis.STANDARD
    assert (found.shortest_min, found.words) == (480.0, "at the end of every shift")


@published("29 CFR 1910.1051(h)(3)(i), Table 1: above 5 and up to 10 ppm, every three hours")
def test_butadiene_is_changed_by_its_own_table() -> None:
    values = varnishing(agents=["1,3-butadiene"], concentration="7 ppm", life="20 h")
    values["hazards"][0]["agent"] = "1,3-butadiene"
    values["hazards"][0]["exposure"]["concentration"] = "7 ppm"
    assert only(values).shortest_min == 180.0


def test_a_standards_rule_alone_is_no_data() -> None:
    values = varnishing()
    values["hazards"][0]["agent"] = "benzene"
    found = only(values)
    assert not found.has_source
    assert found.words == ""


def test_low_boilers_and_unknown_ones_are_not_put_by() -> None:
    values = varnishing()
    for agent, wanders in (("toluene", False), ("acetone", True), ("bone oil", None)):
        values["hazards"][0]["agent"] = agent
        assert only(values).wanders is wanders


def test_select_gets_hours_basis_schedule_and_refusals() -> None:
    found = service_lives(changed(varnishing(life="3 h")))["varnish", "half-mask"]
    assert found == ServiceLife(
        hours=3.0,
        basis="maker's data: Sheet SL-7",
        schedule="at the morning break, 10:00; at the lunch break, 12:00; at the afternoon break, 14:30; "
        "and at the end of every shift",
        refused=(),
    )
    assert service_lives({}) == {}


def test_a_schedule_that_is_longer_than_a_policys_time_or_says_none_is_over_it() -> None:
    host = {"id": "host", "by": "Northbridge Diocese", "source": "Rules 2026", "cartridge_change": "2 h"}
    for after, is_over in (("2 h", False), ("121 min", True), ("", True)):
        values = varnishing() | {"policies": [host]}
        schedule = values["procedures"]["filter_changes"]["schedules"][0]
        schedule.pop("after")
        schedule |= {"after": after} if after else {}
        change = only(values)
        ((_, plan),) = change.written
        assert change.is_over_policy(plan) is is_over, after
    ((_, unbound),) = only(varnishing()).written
    assert not only(varnishing()).is_over_policy(unbound)


# ---- moments ------------------------------------------------------------------------------------------


def test_changes_fall_on_pauses_and_else_on_the_clock() -> None:
    words = moments_words(change_moments(240.0, 480.0, DAY), 240.0, 480.0, None)
    assert words == "at the lunch break, 12:00; and at the end of every shift"
    assert [m.clock for m in change_moments(105.0, 480.0, DAY)] == ["09:45", "11:30", "13:15", "15:00"]
    assert moments_words((), 480.0, 480.0, None) == "at the end of every shift"


def test_a_pause_after_just_half_of_the_interval_serves() -> None:
    """The tea at 10:00 is two hours after the beginning: half of four, and less than half of four and a half."""
    assert [m.clock for m in change_moments(240.0, 420.0, ONLY_TEA)] == ["10:00", "14:00"]
    assert [m.clock for m in change_moments(255.0, 420.0, ONLY_TEA)] == ["12:15"]


def test_a_pause_after_midnight_is_a_pause_of_the_shift_before() -> None:
    night = FilterChanges.model_validate({"shift_starts": "22:00", "breaks": [{"name": "meal", "at": "02:00"}]})
    (meal,) = change_moments(240.0, 480.0, night)
    assert (meal.after_min, meal.name, meal.clock) == (240.0, "meal", "02:00")


def test_without_a_pause_changes_fall_on_quarters_of_an_hour_and_none_where_the_interval_is_shorter() -> None:
    no_pause = FilterChanges.model_validate({"shift_starts": "08:00"})
    assert [m.clock for m in change_moments(100.0, 300.0, no_pause)] == ["09:30", "11:00", "12:30"]
    assert change_moments(14.0, 300.0, no_pause) == ()


def test_only_our_people_at_a_gas_have_cartridges_to_change() -> None:
    assert changed(varnishing())
    values = varnishing()
    values["tasks"][0]["done_by"] = "others"
    assert changed(values) == {}
    values = varnishing()
    values["hazards"][0] |= {"agent": "lead", "form": "dust"}
    assert changed(values) == {}


def test_without_the_hours_of_the_day_the_interval_stands() -> None:
    assert change_moments(90.0, 480.0, FilterChanges()) == ()
    assert moments_words((), 90.0, 480.0, None).startswith("1 h 30 min after opening")


@given(st.integers(1, 40), st.integers(60, 900), st.integers(0, 1439), st.lists(st.integers(0, 1439), max_size=5))
def test_no_cartridge_is_in_use_longer_than_the_interval(steps: int, shift: int, start: int, pauses: list[int]) -> None:
    def clock(minute: int) -> str:
        return f"{minute // 60:02d}:{minute % 60:02d}"

    day = FilterChanges.model_validate(
        {"shift_starts": clock(start), "breaks": [{"name": "pause", "at": clock(minute)} for minute in pauses]}
    )
    moments = [0.0, *(m.after_min for m in change_moments(15.0 * steps, shift, day)), float(shift)]
    assert all(0.0 <= later - earlier <= 15.0 * steps for earlier, later in pairwise(moments))


@pytest.mark.parametrize(
    ("text", "says"), [("12", "12:00"), ("1:30 pm", "13:30"), ("25:00", "24-hour clock"), ("12.30", "24-hour clock")]
)
def test_a_time_of_day_in_another_form_is_refused_with_its_cure(text: str, says: str) -> None:
    with pytest.raises(ValueError, match=says):
        as_clock_time(text)
