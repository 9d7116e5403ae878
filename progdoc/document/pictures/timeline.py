"""The coming year as a picture: a row for each kind of duty, a column for each month, a count in each place.

Read without colours: what is overdue is a filled square, what comes up a ring, and each holds its number. It
names nobody; the same is said in words for whoever can't see it.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date
from html import escape

from progdoc.core.numbers import long_date
from progdoc.core.paper_language import ENGLISH, Language
from progdoc.core.said import said, said_join
from progdoc.document.tree.nodes import Figure
from progdoc.rules.judged.due_results import Kind, Outlook, OutlookItem

__all__ = ["KIND_WORDS", "timeline"]

KIND_WORDS = {
    Kind.MEDICAL: said("Medical evaluations"),
    Kind.FIT_TEST: said("Fit tests"),
    Kind.TRAINING: said("Trainings"),
    Kind.INFORMATION: said("Appendix D information"),
    Kind.READING: said("Revisions to be read"),
    Kind.INSPECTION: said("Inspections"),
    Kind.CYLINDER: said("Cylinder requalifications"),
    Kind.FLOW_TEST: said("Flow tests"),
    Kind.LAST_DAY: said("Last days of devices"),
    Kind.WITHDRAWAL: said("Masks out of use"),
    Kind.AIR_TEST: said("Breathing air"),
    Kind.EXPOSURE: said("Exposure assessments"),
    Kind.EVALUATION: said("Program evaluation"),
    Kind.CORRECTION: said("Corrections"),
    Kind.ACCEPTANCE: said("Acceptances that end"),
    Kind.POLICY: said("Policies that begin"),
    Kind.ROUTINE: said("Own calendar"),
}
_EXAMINATIONS = said("Examinations, blood tests")
_APART = {Kind.MEDICAL: (_EXAMINATIONS,)}  # what an agent's own standard asks for, whoever wears a mask or not
_MONTHS = (
    said("Jan"), said("Feb"), said("Mar"), said("Apr"), said("May"), said("Jun"),
    said("Jul"), said("Aug"), said("Sep"), said("Oct"), said("Nov"), said("Dec"),
)  # fmt: skip
_LEFT, _TOP, _MONTH, _ROW, _WIDTH = 190, 40, 44, 34, 790
_OVERDUE = "overdue"
_KEY = said("Filled square: overdue. Ring: comes up in that month. The number says how many.")


def timeline(outlook: Outlook, node_id: str = "timeline", language: Language = ENGLISH) -> Figure | None:
    """Return the picture of the twelve months from the day of evaluation on, or None if nothing falls due."""
    counts = _counts(outlook)
    if not counts:
        return None
    return Figure(
        id=node_id,
        caption=said("What falls due until %(day)s", day=long_date(outlook.year_ends)),
        alternative=_in_words(counts, outlook.year),
        svg=_drawing(counts, outlook.year, language),
    )


def _counts(outlook: Outlook) -> dict[str, dict[str, int]]:
    """Return how many items come up, by what they are and month ("2026-03"), overdue ones apart."""
    found: dict[str, dict[str, int]] = {}
    for words in (word for kind in Kind for word in (KIND_WORDS[kind], *_APART.get(kind, ()))):
        of_kind: dict[str, int] = {}
        for item in outlook.items:
            if _what(item) == words:
                for place in _places(item, outlook.as_of):
                    of_kind[place] = of_kind.get(place, 0) + 1
        if of_kind:
            found[words] = of_kind
    return found


def _what(item: OutlookItem) -> str:
    """Return which row an item stands in: what a standard asks for is no evaluation for wearing a mask."""
    return _EXAMINATIONS if item.path.endswith(".surveillance") else KIND_WORDS[item.kind]


def _places(item: OutlookItem, as_of: date) -> Iterable[str]:
    is_overdue = item.state in ("now", "overdue")
    if is_overdue:
        yield _OVERDUE
    yield from (f"{day:%Y-%m}" for day in item.comes_up if not is_overdue or day > as_of)


def _in_words(counts: dict[str, dict[str, int]], months: Sequence[date]) -> str:
    rows = []
    for words, of_kind in counts.items():
        parts = [said("%(n)s overdue", n=of_kind[_OVERDUE])] if _OVERDUE in of_kind else []
        for month in months:
            if n := of_kind.get(f"{month:%Y-%m}"):
                named = {"month": _MONTHS[month.month - 1], "year": month.year}
                parts.append(said("%(n)s in %(month)s %(year)s", n=n, **named))
        rows.append(said("%(kind)s: %(parts)s.", kind=words, parts=said_join(parts, ", ")))
    return said_join(rows)


def _drawing(counts: dict[str, dict[str, int]], months: Sequence[date], language: Language) -> str:
    say = language.say
    height = _TOP + _ROW * len(counts) + 34
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {_WIDTH} {height}" font-family="sans-serif"'
        ' font-size="12" fill="#1a1a1a">',
        f'<rect width="{_WIDTH}" height="{height}" fill="#ffffff"/>',
        _label(_x(-1), _TOP - 16, say("overdue"), "middle"),
    ]
    for n, month in enumerate(months):
        name = say(_MONTHS[month.month - 1])
        year = f" {month.year % 100:02}" if month.month == 1 or n == 0 else ""
        parts.append(_label(_x(n), _TOP - 16, f"{name}{year}", "middle"))
    for row, (words, of_kind) in enumerate(counts.items()):
        middle = _TOP + _ROW * row + _ROW // 2
        stripe = "#f2f2f2" if row % 2 == 0 else "#ffffff"
        parts.append(f'<rect y="{middle - _ROW // 2}" width="{_WIDTH}" height="{_ROW}" fill="{stripe}"/>')
        parts.append(_label(8, middle + 4, say(words), "start"))
        if _OVERDUE in of_kind:
            parts.append(_mark(_x(-1), middle, of_kind[_OVERDUE], is_overdue=True))
        for n, month in enumerate(months):
            if f"{month:%Y-%m}" in of_kind:
                parts.append(_mark(_x(n), middle, of_kind[f"{month:%Y-%m}"], is_overdue=False))
    line = _x(-1) + _MONTH // 2
    parts.append(f'<path d="M{line} {_TOP - 30}V{height - 30}" stroke="#1a1a1a" stroke-dasharray="3 3"/>')
    parts.append(_label(8, height - 10, say(_KEY), "start"))
    return "".join([*parts, "</svg>"])


def _x(month: int) -> int:
    return _LEFT + _MONTH * (month + 1)


def _label(x: int, y: int, text: str, anchor: str) -> str:
    return f'<text x="{x}" y="{y}" text-anchor="{anchor}">{escape(text)}</text>'


def _mark(x: int, y: int, count: int, is_overdue: bool) -> str:
    half = 12 + 3 * max(0, len(str(count)) - 2)
    number = f'<text x="{x}" y="{y + 4}" text-anchor="middle" font-weight="bold"'
    if is_overdue:
        box = f'<rect x="{x - half}" y="{y - 12}" width="{2 * half}" height="24" fill="#1a1a1a"/>'
        return f'{box}{number} fill="#ffffff">{count}</text>'
    ring = (
        f'<rect x="{x - half}" y="{y - 12}" width="{2 * half}" height="24" rx="12" fill="#ffffff"'
        ' stroke="#1a1a1a" stroke-width="1.5"/>'
    )
    return f"{ring}{number}>{count}</text>"
