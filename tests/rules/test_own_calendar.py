"""The firm's own calendar and register, looked at in every output: program, annex, due list, calendar file."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest
from programs.patching import judged_by, patched
from programs.whole import judged_whole, written_whole
from published_value import published

from progdoc.calc.calendar_days import first_day_in_months, last_weekday_until, weekday_after, window_end_after
from progdoc.core.report import Status
from progdoc.document.blocks.answers import in_quotes
from progdoc.document.blocks.unused_blocks import printed_words
from progdoc.document.papers.forms import form_documents
from progdoc.document.papers.people_annex import annex_document
from progdoc.rules.judged.due_results import Kind
from progdoc.rules.reading.catalogue import built_in_catalogue
from progdoc.writers.calendar import calendar_bytes

NAME = "fire-brigade"


@published("The calendar of 2026: 1 January a Thursday, 1 June a Monday; ISO 8601 for the week")
def test_days_of_the_week_are_those_of_the_calendar() -> None:
    assert weekday_after(date(2025, 12, 31), [3]) == date(2026, 1, 1)
    assert weekday_after(date(2026, 5, 31), [0]) == date(2026, 6, 1)
    assert last_weekday_until(date(2026, 10, 7), date(2026, 4, 7), [1]) == date(2026, 10, 6)
    assert last_weekday_until(date(2026, 6, 3), date(2026, 6, 1), [0]) == date(2026, 6, 8)  # none in between


@pytest.mark.parametrize(
    ("done", "first", "last", "due"),
    [
        ("2026-09-30", 1, 9, "2027-09-30"),
        ("2025-12-31", 1, 9, "2026-09-30"),
        ("2026-01-10", 11, 2, "2027-02-28"),  # over the turn of the year: done in the window of 2025
        ("2026-11-10", 11, 2, "2028-02-29"),
        ("2026-03-14", 3, 3, "2027-03-31"),
    ],
)
def test_a_window_is_for_one_time_a_year(done: str, first: int, last: int, due: str) -> None:
    assert window_end_after(date.fromisoformat(done), first, last) == date.fromisoformat(due)


def test_what_falls_due_out_of_season_waits_for_it() -> None:
    assert first_day_in_months(date(2026, 4, 1), 10, 3) == date(2026, 10, 1)
    assert first_day_in_months(date(2026, 3, 31), 10, 3) == date(2026, 3, 31)
    assert first_day_in_months(date(2026, 12, 1), 2, 3) == date(2027, 2, 1)


def test_each_entry_is_printed_in_its_section_and_in_the_year_and_falls_due() -> None:
    judged, written = judged_whole(NAME), written_whole(NAME)
    words, calendar = printed_words(written.program), calendar_bytes(judged.due(60), "Alder Ford").decode()
    due = {item.id: item.due for item in judged.due(60).items if item.kind is Kind.ROUTINE}
    for entry in judged.description.calendar:
        seen = judged.calendar[entry.id]
        assert words.count(seen.when.lower()) >= 2, entry.id
        assert in_quotes(seen.set_by).lower() in words, entry.id
        assert (seen.due is not None) == (f"calendar.{entry.id}" in due), entry.id
        assert seen.due is None or f"{seen.due:%Y%m%d}" in calendar, entry.id
    assert due["calendar.consult"] == date(2026, 10, 6)  # six months on is a Wednesday; the Tuesday before it
    assert due["calendar.beds"] == date(2026, 10, 1)  # due in September, out of season
    assert due["calendar.clinic"] == date(2027, 9, 30)


def test_a_practice_is_never_printed_as_law() -> None:
    for item in judged_whole(NAME).due(60).items:
        if item.kind is Kind.ROUTINE:
            assert "CFR" not in item.basis


def test_an_order_is_printed_where_it_is_read_and_on_the_form_of_the_test() -> None:
    program = printed_words(written_whole(NAME).program)
    forms = {name: printed_words(form) for name, form in form_documents(judged_whole(NAME)).items()}
    said = (
        "training before fit test",
        "medical clearance before fit test, within 60 days",
        "no smoking before fit test",
    )
    for words in said:
        assert program.count(words) >= 2, words  # with the policies, and in the section
        assert words in forms["fit-test-generated-aerosol"], words
    assert "reading the program before training" not in forms["fit-test-generated-aerosol"]


def test_a_step_that_is_awaited_falls_due_and_bars_once_it_is_late(tmp_path: Path) -> None:
    change = {"program": NAME, "drop": ["people[0].fit_tests"]}
    for cleared, state in (("2026-04-02", "soon"), ("2026-04-01", "overdue")):
        values = patched({**change, "set": {"people[0].medical[0].date": cleared}})
        judged = judged_by(built_in_catalogue(), values, tmp_path)
        [item] = [one for one in judged.due(60).items if one.id == "order.own-order.1.ann-reed"]
        assert item.state == state, cleared
        open_codes = {
            v.requirement.code for v in judged.verdicts if v.status is Status.GAP and v.requirement.bars == "person"
        }
        assert ("POL-014" in open_codes) is (state == "overdue")


def test_the_register_is_restricted_and_the_program_prints_counts() -> None:
    judged, program = judged_whole(NAME), printed_words(written_whole(NAME).program)
    restricted = printed_words(annex_document(judged))
    for secret in ("b-101", "s-05", "b-301", "recalled by the maker: lot 17", "low after a drill"):
        assert secret in restricted, secret
        assert secret not in program, secret
    for shown in ("2 × air set", "rack beside the compressor", "k-88"):
        assert shown in program, shown
    ids = {item.id for item in judged.due(60).items}
    assert {"flow-test.scba.set-1", "end.scba.set-1", "cylinder-end.scba.set-1", "use-by.hood.hood-1",
            "spare-cylinder.spare-1", "spare-end.spare-1", "lot.canister.K-88.0"} <= ids  # fmt: skip
    assert not any("set-5" in one or "spare-3" in one for one in ids)  # withdrawn: nothing falls due


def test_pieces_that_are_out_bar_the_mask_where_none_is_left(tmp_path: Path) -> None:
    """Recalled, away for a repair, past its life, and overdue on the bench: four sets, and nobody may go in."""
    changes = {
        "masks[0].units[0].withdrawn": {"since": "2026-05-01", "because": "Recalled"},
        "masks[0].units[1].repairs": [{"since": "2026-05-20", "what": "Alarm", "trained": "yes"}],
        "masks[0].units[2].end_of_life": "2026-05-31",
        "masks[0].units[3].flow_tests": [{"date": "2025-02-10", "passed": "yes"}],
    }

    def codes(left_out: str = "") -> set[str]:
        kept = {path: value for path, value in changes.items() if path != left_out}
        judged = judged_by(built_in_catalogue(), patched({"program": NAME, "set": kept}), tmp_path)
        return {reason.code for reason in judged.selection.masks["house-fire", "scba"].reasons}

    assert {"DEV-001", "DEV-007"} <= codes()
    for path in changes:
        assert not {"DEV-001", "DEV-007"} & codes(path), path
