"""Fit tests from raw readings to what they support, against Appendix A of 29 CFR 1910.134 and paragraph (f).

Counted readings, pass levels and the rule for the overall fit factor are the printed ones; Python's statistics
module is the reference for the harmonic mean.
"""

from __future__ import annotations

from datetime import date, timedelta
from pathlib import Path
from random import Random
from statistics import harmonic_mean

import pytest
from hypothesis import given
from hypothesis import strategies as st
from programs.patching import judged, patched
from published_value import published

from progdoc.calc.due_dates import months_after
from progdoc.model.description.masks import Mask
from progdoc.model.description.people import Change, FitTest, IssuedMask, Person
from progdoc.model.description.program import Program
from progdoc.model.description.scalars import PROTOCOLS
from progdoc.rules.in_force.figures import fit_rules, pass_level
from progdoc.rules.in_force.rule_set import rule_set
from progdoc.rules.lookup.fit_protocols import fit_protocols, reading_counts
from progdoc.rules.reading.catalogue import built_in_catalogue
from progdoc.rules.records.fit_checks import fit_state, standing_tests
from progdoc.rules.records.fit_records import (
    fit_factor_of,
    overall_factor,
    passed,
    readings_trouble,
    supports_only_ten,
)

HALF = Mask.model_validate({"id": "half-mask", "facepiece": "half-mask", "mode": "air-purifying"})
FULL = Mask.model_validate({"id": "half-mask", "facepiece": "full-facepiece", "mode": "air-purifying"})
POWERED = Mask.model_validate({"id": "half-mask", "facepiece": "full-facepiece", "mode": "powered"})
LAW = rule_set(built_in_catalogue().law_on(date(2026, 6, 1)), Program.model_validate({"format": 1}))
RULES = fit_rules(LAW, HALF, ())
ISSUED = IssuedMask(mask="half-mask", size="M")


def fit_test(**given_: object) -> FitTest:
    return FitTest.model_validate({"date": "2026-02-17", "mask": "half-mask", "size": "M", **given_})


@published("29 CFR 1910.134 Appendix A, Part I.C.2(b)(8)(i), Tables A-1, A-2, A-3, C.6(b): readings that count")
@pytest.mark.parametrize(
    ("protocol", "readings", "counted"),
    [
        ("generated-aerosol", 8, 7),
        ("ambient-cnc", 8, 7),
        ("ambient-cnc-short-elastomeric", 4, 4),
        ("ambient-cnc-short-filtering", 4, 4),
        ("controlled-negative-pressure", 9, 9),
        ("controlled-negative-pressure-redon", 5, 5),
    ],
)
def test_each_protocol_counts_its_readings(protocol: str, readings: int, counted: int) -> None:
    counts = reading_counts(protocol)
    assert (len(counts), sum(counts for _, counts in counts)) == (readings, counted)
    assert [name for name, is_counted in counts if not is_counted] == ["grimace"] * (readings - counted)


def test_the_grimace_is_left_out_whether_or_not_it_was_written_down() -> None:
    values = ["310", "280", "250", "265", "240", "300", "320"]
    with_grimace = fit_test(protocol="ambient-cnc", readings=[*values[:5], "9", *values[5:]])
    without = fit_test(protocol="ambient-cnc", readings=values)
    assert fit_factor_of(with_grimace) == fit_factor_of(without) == pytest.approx(harmonic_mean(map(float, values)))


@published("29 CFR 1910.134 Appendix A, Part I.C.2(b)(8)(iii)(D): number of tests over the sum of 1/ff")
def test_the_working_can_be_followed_by_hand() -> None:
    worked = overall_factor(
        fit_test(protocol="ambient-cnc-short-elastomeric", readings=["400", "400", "400", "100"]), "jo"
    )
    assert worked is not None
    assert worked.value == pytest.approx(4 / (3 / 400 + 1 / 100))
    assert worked.formula == "number of counted readings ÷ Σ(1/FF) = 4 ÷ (1/400 + 1/400 + 1/400 + 1/100)"
    assert worked.printed == "228"  # 228.57, never rounded up


@pytest.mark.parametrize("count", [0, 1, 3, 5, 6, 9, 10])
def test_a_wrong_number_of_readings_gives_no_factor(count: int) -> None:
    test = fit_test(protocol="ambient-cnc-short-elastomeric", readings=["300"] * count)
    assert fit_factor_of(test) is None
    assert bool(readings_trouble(test)) is (count > 0)


def test_a_reading_of_nothing_gives_no_factor() -> None:
    test = fit_test(protocol="ambient-cnc-short-elastomeric", readings=["300", "0", "300", "300"])
    assert fit_factor_of(test) is None
    assert "0 is no fit factor" in readings_trouble(test)


@published("29 CFR 1910.134(f)(7): 100 for half facepieces, 500 for full facepieces")
@pytest.mark.parametrize(
    ("mask", "factor", "wanted"),
    [(HALF, "100", True), (HALF, "99.9", False), (FULL, "500", True), (FULL, "499.9", False), (POWERED, "499", False)],
)
def test_the_number_decides_at_the_pass_level(mask: Mask, factor: str, wanted: bool) -> None:
    test = fit_test(protocol="ambient-cnc", fit_factor=factor, result="pass")
    assert passed(test, pass_level(LAW, mask, ()).number) is wanted


@given(st.floats(1, 100_000), st.floats(1, 100_000))
def test_a_recorded_factor_never_lifts_what_the_readings_give(reading: float, recorded: float) -> None:
    test = fit_test(
        protocol="ambient-cnc-short-elastomeric",
        readings=[f"{reading:.3f}"] * 4,
        fit_factor=f"{recorded:.3f}",
    )
    assert fit_factor_of(test) == pytest.approx(min(float(f"{reading:.3f}"), float(f"{recorded:.3f}")))


@published(
    "29 CFR 1910.134(f)(6), (f)(8): a qualitative test supports 10 at negative pressure; powered masks keep theirs"
)
@pytest.mark.parametrize("protocol", list(fit_protocols()))
@pytest.mark.parametrize(("mask", "binds"), [(HALF, True), (FULL, True), (POWERED, False)])
def test_a_qualitative_test_supports_ten_at_negative_pressure(protocol: str, mask: Mask, binds: bool) -> None:
    is_qualitative = fit_protocols()[protocol]["kind"] == "qualitative"
    assert supports_only_ten(fit_test(protocol=protocol), mask) is (is_qualitative and binds)


# ---- where a wearer stands ------------------------------------------------------------------------------

days = st.dates(date(2020, 1, 1), date(2030, 12, 31))
tests_passed = st.lists(days, max_size=5)


def person(good: list[date], bad: list[date] | None = None, changed: list[date] | None = None) -> Person:
    made = [fit_test(date=day, protocol="saccharin", screened="yes", result="pass") for day in good]
    made += [fit_test(date=day, protocol="saccharin", screened="yes", result="fail") for day in bad or []]
    changes = [Change.model_validate({"date": day, "kind": "dental"}) for day in changed or []]
    return Person(id="jo-marsh", masks=(ISSUED,), fit_tests=tuple(made), changes=tuple(changes))


@published("29 CFR 1910.134(f)(2): at least annually; the twelfth month's same day is the last one that counts")
@pytest.mark.parametrize(
    ("done", "on", "state"),
    [
        (date(2025, 6, 1), date(2026, 6, 1), "ok"),
        (date(2025, 6, 1), date(2026, 6, 2), "overdue"),
        (date(2024, 2, 29), date(2025, 2, 28), "ok"),
        (date(2024, 2, 29), date(2025, 3, 1), "overdue"),
    ],
)
def test_twelve_months_on_both_sides_of_the_day(done: date, on: date, state: str) -> None:
    assert fit_state(person([done]), ISSUED, RULES, on).state == state


@given(tests_passed, days)
def test_a_due_date_is_never_earlier_than_its_record(good: list[date], on: date) -> None:
    found = fit_state(person(good), ISSUED, RULES, on)
    if found.test is not None and found.due is not None:
        assert found.test.date <= on
        assert found.due == months_after(found.test.date, 12) > found.test.date


@given(st.lists(days, min_size=1, max_size=5), days, days)
def test_a_later_passed_test_never_shortens_validity(good: list[date], later: date, on: date) -> None:
    before = fit_state(person(good), ISSUED, RULES, on)
    after = fit_state(person([*good, later]), ISSUED, RULES, on)
    if before.due is not None:
        assert after.due is not None and after.due >= before.due


@given(st.lists(days, min_size=1, max_size=5), st.integers(1, 400), st.booleans())
def test_a_later_failure_or_a_change_of_the_face_ends_it(good: list[date], gap: int, by_failure: bool) -> None:
    event = max(good) + timedelta(days=gap)
    ended = person(good, bad=[event]) if by_failure else person(good, changed=[event])
    assert fit_state(ended, ISSUED, RULES, event).state == ("failed" if by_failure else "changed")
    assert standing_tests(ended, ISSUED, RULES, event) == []


@given(tests_passed, st.lists(days, max_size=3), st.lists(days, max_size=2), days, st.randoms())
def test_the_order_of_records_changes_nothing(
    good: list[date], bad: list[date], changed: list[date], on: date, chance: Random
) -> None:
    one = person(good, bad, changed)
    mixed = list(one.fit_tests)
    chance.shuffle(mixed)
    other = one.model_copy(update={"fit_tests": tuple(mixed)})
    first, second = fit_state(one, ISSUED, RULES, on), fit_state(other, ISSUED, RULES, on)
    assert (first.state, first.due) == (second.state, second.due)


def test_a_quantitative_test_keeps_its_credit_when_a_qualitative_one_follows() -> None:
    both = Person(
        id="jo-marsh",
        masks=(ISSUED,),
        fit_tests=(
            fit_test(date="2026-01-10", protocol="ambient-cnc", fit_factor="2000", recording="a.pdf"),
            fit_test(date="2026-02-10", protocol="saccharin", screened="yes", result="pass"),
        ),
    )
    standing = standing_tests(both, ISSUED, fit_rules(LAW, FULL, ()), date(2026, 6, 1))
    assert [supports_only_ten(test, FULL) for test in standing] == [True, False]


@published(
    "29 CFR 1910.134 Appendix A, Part I.B.2(a), B.3(a), B.4(a), B.5(b): each protocol has a screening of its own"
)
@pytest.mark.parametrize(
    ("protocol", "paragraph"),
    [
        ("isoamyl-acetate", "I.B.2(a)"),
        ("saccharin", "I.B.3(a)"),
        ("denatonium", "I.B.4(a)"),
        ("irritant-smoke", "I.B.5(b)"),
    ],
)
def test_a_missing_screening_cites_the_paragraph_of_its_protocol(protocol: str, paragraph: str, tmp_path: Path) -> None:
    changed = {"set": {"people[0].fit_tests[0].protocol": protocol}, "drop": ["people[0].fit_tests[0].screened"]}
    found = [d for d in judged(patched(changed), tmp_path).findings if d.code == "FIT-060"]
    assert [d.citation for d in found] == [f"29 CFR 1910.134, Appendix A, Part {paragraph}"]


def test_the_names_that_an_editor_offers_are_the_protocols_of_the_catalogue() -> None:
    assert set(PROTOCOLS) == set(fit_protocols())
    (asked,) = [r for r in built_in_catalogue().requirements if r.code == "FIT-026"]
    assert all(name in asked.fix for name in PROTOCOLS)


@published("29 CFR 1910.134(f)(6): a qualitative test supports a factor of 10")
@pytest.mark.parametrize(
    ("protocols", "level", "names_an_instrument"),
    [([], "1 mg/m3", True), (["saccharin"], "1 mg/m3", True), (["saccharin"], "10 mg/m3", False)],
)
def test_where_only_the_kind_of_test_limits_a_mask_the_cure_says_so(
    tmp_path: Path, protocols: list[str], level: str, names_an_instrument: bool
) -> None:
    full = {"masks[0].facepiece": "full-facepiece", "procedures.fit_testing.protocols": protocols}
    values = patched({"set": {**full, "hazards[0].exposure.results[0].concentration": level}})
    (told,) = [d for d in judged(values, tmp_path).findings if d.code == "SEL-003"]
    assert ("controlled-negative-pressure" in told.fix) is names_an_instrument
    assert "ambient-cnc-short-filtering" not in told.fix  # it works on dust masks alone
    by_instrument = {**full, "procedures.fit_testing.protocols": ["ambient-cnc"]}
    named = patched({"set": {**by_instrument, "hazards[0].exposure.results[0].concentration": "1 mg/m3"}})
    assert "SEL-003" not in {d.code for d in judged(named, tmp_path).findings}


def test_no_protocol_is_proposed(tmp_path: Path) -> None:
    silent = judged(patched({"drop": ["procedures.fit_testing.protocols"]}), tmp_path)
    (told,) = [d for d in silent.findings if d.code == "FIT-026"]
    assert "protocols: […]" in told.fix


def test_what_shows_a_fit_test_in_order_is_what_its_record_states(tmp_path: Path) -> None:
    found = judged(patched({}), tmp_path)
    of_fit_tests = [v for v in found.verdicts if v.requirement.code.startswith("FIT")]
    shown = {path for verdict in of_fit_tests for path in verdict.evidence if ".fit_tests[" in path}
    assert shown
    assert {path for path in shown if not found.index.is_stated(path)} == set()
