"""What falls due as a calendar file, RFC 5545 (iCalendar): one all-day event for each item.

An event's UID comes from the item's stable id, so that importing a newer file moves the event and does not
double it; SEQUENCE and DTSTAMP grow with the day of evaluation, which makes the newer file win. Lines are
folded by bytes, as section 3.1 asks, and never inside a character. Events are marked private: they name people.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import date, timedelta
from itertools import chain, islice
from uuid import UUID, uuid5

from progdoc.core.paper_language import EDGE, ENGLISH, Language
from progdoc.core.printable import printable
from progdoc.core.said import said_in
from progdoc.rules.judged.due_results import Outlook, OutlookItem

__all__ = ["calendar_bytes", "calendar_parts", "event_uid", "folded"]

_MOST_OCTETS = 75  # RFC 5545, section 3.1, line break not counted
_OURS = UUID("5d2a3f0e-3b0a-5c0e-9d57-8c7a1f6c2b11")  # drawn once; changing it would double every event
_FIRST_DAY = date(2000, 1, 1)
_BEGIN = (
    "BEGIN:VCALENDAR",
    "VERSION:2.0",
    "PRODID:-//progdoc//what falls due//{code}",
    "CALSCALE:GREGORIAN",
    "METHOD:PUBLISH",
)
_AT_A_TIME = 500  # events


def calendar_bytes(
    outlook: Outlook, organisation: str, alarm_days: int | None = None, language: Language = ENGLISH
) -> bytes:
    """Return the calendar of everything that falls due, in UTF-8; an alarm so many days before each, if said."""
    return b"".join(calendar_parts(outlook, organisation, alarm_days, language))


def calendar_parts(
    outlook: Outlook, organisation: str, alarm_days: int | None = None, language: Language = ENGLISH
) -> Iterator[bytes]:
    """Yield the same, some events at a time."""
    events = (_event(item, outlook, organisation, alarm_days, language) for item in outlook.items)
    yield _lines(line.format(code=language.code.upper()) for line in _BEGIN)
    while some := list(islice(events, _AT_A_TIME)):
        yield _lines(chain.from_iterable(some))
    yield _lines(("END:VCALENDAR",))


def _lines(lines: Iterable[str]) -> bytes:
    return "".join([piece for line in lines for piece in folded(line)]).encode()


def event_uid(item_id: str, organisation: str) -> str:
    """Return an identifier that names neither person nor firm and never changes for the same item of a firm.

    >>> event_uid("training.jo-marsh", "Brook & Lintel") == event_uid("training.jo-marsh", "Brook & Lintel")
    True
    """
    return str(uuid5(_OURS, f"{organisation}\n{item_id}"))


def folded(line: str) -> Iterator[str]:
    """Yield a content line in pieces of at most 75 bytes, each but the first begun by a space.

    >>> list(folded("SUMMARY:" + "x" * 70))[1]
    ' xxx\\r\\n'
    """
    if line.isascii():
        if len(line) <= _MOST_OCTETS:
            yield f"{line}\r\n"
            return
        yield f"{line[:_MOST_OCTETS]}\r\n"
        for start in range(_MOST_OCTETS, len(line), _MOST_OCTETS - 1):
            yield f" {line[start : start + _MOST_OCTETS - 1]}\r\n"
        return
    room = _MOST_OCTETS
    piece, used = "", 0
    for character in line:
        size = len(character.encode("utf-8"))
        if used + size > room:
            yield f"{piece}\r\n"
            piece, used = " ", 1
        piece += character
        used += size
    yield f"{piece}\r\n"


def _event(
    item: OutlookItem, outlook: Outlook, organisation: str, alarm_days: int | None, language: Language
) -> Iterable[str]:
    state = item.state
    day = item.due or outlook.as_of
    say = language.say
    what, because, basis = (said_in(language, words) for words in (item.what, item.because, item.basis))
    if state in ("now", "overdue"):
        what = say("At once: %(what)s" if state == "now" else "Overdue: %(what)s", what=what)
    until = say("due %(day)s", day=language.date(item.due)) if item.due else say("due at once")
    details = f"{until}; {because}\n{basis}\n{say('As of %(day)s', day=language.date(outlook.as_of))}"
    sequence = (outlook.as_of - _FIRST_DAY).days
    return (
        "BEGIN:VEVENT",
        f"UID:{event_uid(item.id, organisation)}",
        f"DTSTAMP:{outlook.as_of:%Y%m%d}T000000Z",
        f"SEQUENCE:{max(sequence, 0)}",
        f"DTSTART;VALUE=DATE:{day:%Y%m%d}",
        f"DTEND;VALUE=DATE:{day + timedelta(days=1):%Y%m%d}",
        f"SUMMARY:{_text(what)}",
        f"DESCRIPTION:{_text(details)}",
        f"CATEGORIES:{_text(item.kind.value)}",
        "CLASS:PRIVATE",
        "TRANSP:TRANSPARENT",
        *(() if alarm_days is None else _alarm(alarm_days, what)),
        "END:VEVENT",
    )


def _alarm(days: int, words: str) -> Iterable[str]:
    """Return an alarm that shows the words so many days before an event (section 3.6.6)."""
    before = f"TRIGGER:-P{days}D"
    return ("BEGIN:VALARM", "ACTION:DISPLAY", before, f"DESCRIPTION:{_text(words)}", "END:VALARM")


def _text(value: str) -> str:
    r"""Return a text value with the signs escaped that would end it (section 3.3.11).

    >>> _text("size M; by Jo\nand Ada")
    'size M\\; by Jo\\nand Ada'
    """
    safe = printable(value.replace(EDGE, ""))
    for sign, escaped in (("\\", "\\\\"), (";", "\\;"), (",", "\\,"), ("\n", "\\n")):
        safe = safe.replace(sign, escaped)
    return safe
