"""The calendar against RFC 5545, read back by the independent package `icalendar`."""

from __future__ import annotations

from datetime import date, timedelta

import icalendar
from hypothesis import given
from hypothesis import strategies as st
from published_value import published

from progdoc.core.printable import printable
from progdoc.rules.due.due_items import DueItem, outlook
from progdoc.rules.judged.due_results import Kind
from progdoc.writers.calendar import calendar_bytes, event_uid, folded

ON = date(2026, 6, 1)
texts = st.text(
    st.characters(exclude_categories=["Cs", "Cc"], exclude_characters="\u2028\u2029\ufffe\uffff"), max_size=200
)


def item(
    identity: str = "training.jo-marsh", due: date | None = ON, what: str = "Training", because: str = ""
) -> DueItem:
    return DueItem(identity, Kind.TRAINING, due, what, because, "29 CFR 1910.134(k)(5)", "people[0].training")


def events(data: bytes) -> list[icalendar.Event]:
    calendar = icalendar.Calendar.from_ical(data)
    assert calendar["VERSION"] == "2.0" and calendar["PRODID"]
    found = calendar.walk("VEVENT")
    assert all(not event.errors for event in found)
    return list(found)


def written(*items: DueItem, on: date = ON) -> bytes:
    return calendar_bytes(outlook(items, on, 60), "Brook & Lintel")


@published("RFC 5545, sections 3.6.1 and 3.8.2: an all-day event has dates and ends on the day after")
def test_an_event_is_one_whole_day() -> None:
    (event,) = events(written(item(due=date(2027, 2, 28))))
    assert event["DTSTART"].dt == date(2027, 2, 28)
    assert event["DTEND"].dt == date(2027, 3, 1)
    assert str(event["SUMMARY"]) == "Training"
    assert str(event["CLASS"]) == "PRIVATE"


@published("RFC 5545, sections 3.6.6 and 3.8.6.3: an alarm that shows words, so long before the event begins")
def test_an_alarm_rings_so_many_days_before() -> None:
    told = calendar_bytes(outlook([item(what="Training; of Jo")], ON, 60), "Brook & Lintel", 14)
    (event,) = events(told)
    (alarm,) = event.walk("VALARM")
    assert not alarm.errors and (str(alarm["ACTION"]), alarm["TRIGGER"].dt) == ("DISPLAY", timedelta(days=-14))
    assert str(alarm["DESCRIPTION"]) == str(event["SUMMARY"]) == "Training; of Jo"
    assert b"VALARM" not in written(item())


def test_what_is_overdue_or_due_at_once_says_so() -> None:
    found = {
        str(e["SUMMARY"]): e["DTSTART"].dt for e in events(written(item("a", None), item("b", ON - timedelta(days=9))))
    }
    assert found == {"At once: Training": ON, "Overdue: Training": ON - timedelta(days=9)}


@published("RFC 5545, sections 3.8.4.7, 3.8.7.2 and 3.8.7.4: the UID stays, SEQUENCE and DTSTAMP grow")
def test_a_later_file_moves_the_event_and_does_not_double_it() -> None:
    (first,) = events(written(item(due=date(2026, 12, 8))))
    (second,) = events(written(item(due=date(2027, 12, 1)), on=date(2026, 12, 2)))
    assert first["UID"] == second["UID"]
    assert second["SEQUENCE"] > first["SEQUENCE"]
    assert second["DTSTAMP"].dt > first["DTSTAMP"].dt


def test_identifiers_differ_by_item_and_firm_and_name_nobody() -> None:
    uids = {event_uid(i, f) for i in ("training.jo-marsh", "training.ravi-stone") for f in ("Brook", "Osterby")}
    assert len(uids) == 4
    assert not any("jo" in uid or "brook" in uid.lower() for uid in uids)


@published("RFC 5545, section 3.1: lines of at most 75 octets, CRLF, folding undone by removing CRLF and space")
@given(texts)
def test_folding_is_by_bytes_and_can_be_undone(text: str) -> None:
    pieces = list(folded(f"SUMMARY:{text}"))
    assert all(len(piece.removesuffix("\r\n").encode("utf-8")) <= 75 for piece in pieces)
    assert "".join(pieces).replace("\r\n ", "").removesuffix("\r\n") == f"SUMMARY:{text}"


@published("RFC 5545, section 3.3.11: backslash, semicolon, comma and line end are escaped in a text")
@given(texts, st.text(st.sampled_from('\\;,\n:"a é'), max_size=40))
def test_any_words_come_back_as_they_were(what: str, because: str) -> None:
    (event,) = events(written(item(due=date(2026, 9, 1), what=f"x{what}", because=because)))
    assert str(event["SUMMARY"]) == printable(f"x{what}")
    assert str(event["DESCRIPTION"]).split("; ", 1)[1].startswith(because)


@given(st.lists(st.one_of(st.none(), st.dates(date(2020, 1, 1), date(2040, 12, 30))), max_size=8))
def test_every_item_becomes_one_event_and_bytes_repeat(days: list[date | None]) -> None:
    items = [item(f"training.p{n}", day) for n, day in enumerate(days)]
    data = written(*items)
    found = events(data)
    assert len({event["UID"] for event in found}) == len(found) == len(items)
    assert data == written(*reversed(items))
    assert data.count(b"\n") == data.count(b"\r\n")


def test_nothing_due_is_still_a_calendar() -> None:
    assert events(written()) == []
