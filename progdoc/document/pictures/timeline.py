"""The coming year as a picture: a row for each kind of duty, a column for each month, a count in each place.

Read without colours: what is overdue is a filled square, what comes up a ring, and each holds its number. It
names nobody; the same is said in words for whoever can't see it.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date
from html import escape

from progdoc.core.numbers import long_date
from progdoc.core.said import said, said_join, same
from progdoc.document.tree.nodes import Figure
from progdoc.rules.judged.due_results import Kind, Outlook, OutlookItem

__all__ = ["KIND_WORDS", "timeline"]

KIND_WORDS = {
    Kind.MEDICAL: said("Medical evaluations"),
    Kind.FIT_TEST: said("Fit tests"),
    Kind.TRAINING: "Trainings",
    Kind.INFORMATION: said("Appendix D information"),
    Kind.READING: said("Revisions to be read"),
    Kind.INSPECTION: "Inspections",
    Kind.CYLINDER: said("Cylinder requalifications"),
    Kind.FLOW_TEST: said("Flow tests"),
    Kind.LAST_DAY: said("Last days of devices"),
    Kind.WITHDRAWAL: said("Masks out of use"),
    Kind.AIR_TEST: said("Breathing air"),
    Kind.EXPOSURE: said("Exposure assessments"),
    Kind.EVALUATION: said("Program evaluation"),
    Kind.CORRECTION: "Corrections",
    Kind.ACCEPTANCE: said("Acceptances that end"),
    Kind.POLICY: said("Policies that begin"),
    Kind.ROUTINE: said("Own calendar"),
}
_MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
_LEFT, _TOP, _MONTH, _ROW, _WIDTH = 190, 40, 44, 34, 790
_OVERDUE = "overdue"
_KEY = said("Filled square: overdue. Ring: comes up in that month. The number says how many.")


def timeline(outlook: Outlook, node_id: str = "timeline") -> Figure | None:
    """Return the picture of the twelve months from the day of evaluation on, or None if nothing falls due."""
    counts = _counts(outlook)
    if not counts:
        return None
    return Figure(
        id=node_id,
        caption=said("What falls due until %(year_ends)s", year_ends=long_date(outlook.year_ends)),
        alternative=_in_words(counts, outlook.year),
        svg=_drawing(counts, outlook.year),
    )


def _counts(outlook: Outlook) -> dict[Kind, dict[str, int]]:
    """Return how many items come up, by kind and month ("2026-03"), overdue ones apart."""
    found: dict[Kind, dict[str, int]] = {}
    for kind in Kind:
        of_kind: dict[str, int] = {}
        for item in outlook.items:
            if item.kind is kind:
                for place in _places(item, outlook.as_of):
                    of_kind[place] = of_kind.get(place, 0) + 1
        if of_kind:
            found[kind] = of_kind
    return found


def _places(item: OutlookItem, as_of: date) -> Iterable[str]:
    is_overdue = item.state in ("now", "overdue")
    if is_overdue:
        yield _OVERDUE
    yield from (f"{day:%Y-%m}" for day in item.comes_up if not is_overdue or day > as_of)


def _in_words(counts: dict[Kind, dict[str, int]], months: Sequence[date]) -> str:
    rows = []
    for kind, of_kind in counts.items():
        parts = [said("%(of_kind)s overdue", of_kind=of_kind[_OVERDUE])] if _OVERDUE in of_kind else []
        parts += [
            said(
                "%(of_kind)s in %(months)s %(year)s",
                of_kind=of_kind[f"{month:%Y-%m}"],
                months=_MONTHS[month.month - 1],
                year=month.year,
            )
            for month in months
            if f"{month:%Y-%m}" in of_kind
        ]
        rows.append(said("%(kind_words)s: %(parts)s.", kind_words=KIND_WORDS[kind], parts=said_join(parts, ", ")))
    return said_join(rows, " ")


def _drawing(counts: dict[Kind, dict[str, int]], months: Sequence[date]) -> str:
    height = _TOP + _ROW * len(counts) + 34
    parts = [
        said(
            '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %(width)s %(height)s" '
            'font-family="sans-serif" font-size="12" fill="#1a1a1a">',
            width=_WIDTH,
            height=height,
        ),
        said('<rect width="%(width)s" height="%(height)s" fill="#ffffff"/>', width=_WIDTH, height=height),
        _label(_x(-1), _TOP - 16, "overdue", "middle"),
    ]
    for n, month in enumerate(months):
        name = _MONTHS[month.month - 1]
        year = said(" %(year)s", year=same(f"{month.year % 100:02}")) if month.month == 1 or n == 0 else ""
        parts.append(_label(_x(n), _TOP - 16, f"{name}{year}", "middle"))
    for row, (kind, of_kind) in enumerate(counts.items()):
        middle = _TOP + _ROW * row + _ROW // 2
        stripe = "#f2f2f2" if row % 2 == 0 else "#ffffff"
        parts.append(
            said(
                '<rect y="%(middle)s" width="%(width)s" height="%(row)s" fill="%(stripe)s"/>',
                middle=middle - _ROW // 2,
                width=_WIDTH,
                row=_ROW,
                stripe=stripe,
            )
        )
        parts.append(_label(8, middle + 4, KIND_WORDS[kind], "start"))
        if _OVERDUE in of_kind:
            parts.append(_mark(_x(-1), middle, of_kind[_OVERDUE], is_overdue=True))
        for n, month in enumerate(months):
            if f"{month:%Y-%m}" in of_kind:
                parts.append(_mark(_x(n), middle, of_kind[f"{month:%Y-%m}"], is_overdue=False))
    line = _x(-1) + _MONTH // 2
    parts.append(
        said(
            '<path d="M%(line)s %(top)sV%(height)s" stroke="#1a1a1a" stroke-dasharray="3 3"/>',
            line=line,
            top=_TOP - 30,
            height=height - 30,
        )
    )
    parts.append(_label(8, height - 10, _KEY, "start"))
    return "".join([*parts, "</svg>"])


def _x(month: int) -> int:
    return _LEFT + _MONTH * (month + 1)


def _label(x: int, y: int, text: str, anchor: str) -> str:
    return said(
        '<text x="%(x)s" y="%(y)s" text-anchor="%(anchor)s">%(escape)s</text>',
        x=x,
        y=y,
        anchor=anchor,
        escape=escape(text),
    )


def _mark(x: int, y: int, count: int, is_overdue: bool) -> str:
    half = 12 + 3 * max(0, len(str(count)) - 2)
    number = said('<text x="%(x)s" y="%(y)s" text-anchor="middle" font-weight="bold"', x=x, y=y + 4)
    if is_overdue:
        box = said(
            '<rect x="%(x)s" y="%(y)s" width="%(what)s" height="24" fill="#1a1a1a"/>',
            x=x - half,
            y=y - 12,
            what=2 * half,
        )
        return said('%(box)s%(number)s fill="#ffffff">%(count)s</text>', box=box, number=number, count=count)
    ring = said(
        '<rect x="%(x)s" y="%(y)s" width="%(what)s" height="24" rx="12" fill="#ffffff" stroke="#1a1a1a" '
        'stroke-width="1.5"/>',
        x=x - half,
        y=y - 12,
        what=2 * half,
    )
    return f"{ring}{number}>{count}</text>"
