"""Due dates: the month rule at its corners, both sides of a due date, and what ends a record."""

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st
from published_value import published

from progdoc.calc.due_dates import Record, days_until, due_date, ended_on, is_overdue, months_after, standing_record
from progdoc.core.errors import DomainError

days = st.dates(date(1990, 1, 1), date(2090, 12, 31))
months = st.integers(0, 600)


def test_end_of_january_goes_to_the_end_of_february():
    assert months_after(date(2026, 1, 31), 1) == date(2026, 2, 28)
    assert months_after(date(2028, 1, 31), 1) == date(2028, 2, 29)


def test_leap_day_goes_to_the_last_day_of_february():
    assert months_after(date(2024, 2, 29), 12) == date(2025, 2, 28)
    assert months_after(date(2024, 2, 29), 48) == date(2028, 2, 29)


@pytest.mark.parametrize("year", [1900, 2000, 2100])
def test_century_years_follow_the_calendar(year):
    last = 29 if year == 2000 else 28
    assert months_after(date(year - 1, 8, 31), 6) == date(year, 2, last)


@published("29 CFR 1910.134(k)(4): previous training repeated no later than 12 months from its date")
def test_twelve_months_count_to_the_anniversary_and_not_a_day_longer():
    due = due_date(date(2025, 3, 1), months=12)
    assert due == date(2026, 3, 1)
    assert not is_overdue(due, date(2026, 2, 28))
    assert not is_overdue(due, date(2026, 3, 1))
    assert is_overdue(due, date(2026, 3, 2))


@given(days, months)
def test_months_move_by_whole_months_and_never_into_the_next(day, count):
    later = months_after(day, count)
    assert (later.year - day.year) * 12 + later.month - day.month == count
    assert later.day <= day.day
    assert later.day == day.day or (later + timedelta(days=1)).day == 1


@given(days, st.integers(0, 300), st.integers(0, 300))
def test_steps_of_months_add_up_on_days_every_month_has(day, first, second):
    safe = day.replace(day=min(day.day, 28))
    assert months_after(months_after(safe, first), second) == months_after(safe, first + second)


@given(days, days, months)
def test_a_later_day_never_falls_due_earlier(one, other, count):
    early, late = sorted((one, other))
    assert months_after(early, count) <= months_after(late, count)


@given(days, days)
def test_days_left_and_overdue_agree(due, as_of):
    assert is_overdue(due, as_of) == (days_until(due, as_of) < 0)
    assert as_of + timedelta(days=days_until(due, as_of)) == due


@pytest.mark.parametrize(("count", "extra"), [(0, 0), (-1, 0), (0, -1), (12, -1)])
def test_an_interval_needs_length(count, extra):
    with pytest.raises(DomainError, match="interval"):
        due_date(date(2026, 1, 1), months=count, days=extra)


def test_the_end_of_the_calendar_is_refused_in_words():
    with pytest.raises(DomainError, match="9999"):
        months_after(date(9999, 6, 1), 12)
    with pytest.raises(DomainError, match="9999"):
        due_date(date(9999, 12, 31), days=1)
    with pytest.raises(DomainError, match="months"):
        months_after(date(2026, 1, 1), -1)


def yearly(*done):
    return [Record(day, due_date(day, months=12)) for day in done]


def test_a_later_failure_ends_an_earlier_pass():
    records = yearly(date(2026, 1, 5))
    assert standing_record(records, [date(2026, 5, 1)], date(2026, 4, 30)) == records[0]
    assert standing_record(records, [date(2026, 5, 1)], date(2026, 5, 1)) is None
    assert ended_on(date(2026, 1, 5), [date(2026, 5, 1)], date(2026, 5, 1)) == date(2026, 5, 1)


def test_an_earlier_failure_or_one_of_the_same_day_does_not_end_a_pass():
    records = yearly(date(2026, 5, 1))
    assert standing_record(records, [date(2026, 4, 1), date(2026, 5, 1)], date(2026, 6, 1)) == records[0]


def test_a_pass_after_the_ending_event_stands_again():
    records = yearly(date(2026, 1, 5), date(2026, 5, 9))
    assert standing_record(records, [date(2026, 5, 1)], date(2026, 6, 1)) == records[1]


def test_a_test_planned_for_later_is_no_proof_yet():
    assert standing_record(yearly(date(2026, 9, 1)), [], date(2026, 6, 1)) is None


def test_an_overdue_record_is_still_the_one_to_name():
    records = yearly(date(2023, 2, 1))
    assert standing_record(records, [], date(2026, 1, 1)) == records[0]


def test_a_due_date_before_the_record_is_refused():
    with pytest.raises(DomainError, match="due 2025-01-01 before done 2026-01-01"):
        standing_record([Record(date(2026, 1, 1), date(2025, 1, 1))], [], date(2026, 2, 1))


records_of_any_length = st.builds(
    lambda done, length: Record(done, done + timedelta(days=length)), days, st.integers(1, 900)
)


@given(st.lists(records_of_any_length, min_size=1), records_of_any_length, st.lists(days), days)
def test_a_later_pass_never_shortens_what_stands(records, extra, endings, as_of):
    before = standing_record(records, endings, as_of)
    after = standing_record([*records, extra], endings, as_of)
    assert before is None or (after is not None and after.due >= before.due)


@given(st.lists(records_of_any_length), st.lists(days), days, days)
def test_one_more_ending_event_never_lengthens_what_stands(records, endings, event, as_of):
    before = standing_record(records, endings, as_of)
    after = standing_record(records, [*endings, event], as_of)
    assert after is None or (before is not None and after.due <= before.due)


@given(st.lists(records_of_any_length), st.lists(days), days)
def test_order_of_the_lists_does_not_matter(records, endings, as_of):
    there = standing_record(records, endings, as_of)
    assert standing_record(records[::-1], endings[::-1], as_of) == there
