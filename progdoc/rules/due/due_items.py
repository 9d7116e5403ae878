"""What falls due, and when: for people, devices, air, the program itself.

Ids are stable: the same duty keeps its id through the years, so that a calendar entry is updated and not
doubled. An item without a day is due at once, because nothing is on record. Nothing here asks what day it is.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import date

from progdoc.calc.due_dates import is_overdue, months_after
from progdoc.core.late_dataclass import dataclass
from progdoc.rules.in_force.intervals import Cycle
from progdoc.rules.judged.due_results import Kind, Outlook, OutlookItem

__all__ = ["DueItem", "outlook", "rounds"]


@dataclass(frozen=True, slots=True)
class DueItem:
    """One thing to be done by a day."""

    id: str
    kind: Kind
    due: date | None  # the last day on which the record counts; None: at once
    what: str
    because: str  # what is on record, or why at once
    basis: str  # the paragraph, the policy, the maker, the professional, this program
    path: str
    subject: tuple[str, ...] = ()
    cycle: Cycle | None = None  # how it comes round again


def outlook(items: Iterable[DueItem], as_of: date, within_days: int) -> Outlook:
    """Sort what falls due into overdue, due within some days, and later."""
    ordered = sorted(items, key=lambda item: (item.due or date.min, list(Kind).index(item.kind), item.id))
    year_ends = months_after(as_of, 12)
    by_state: dict[str, list[OutlookItem]] = {"now": [], "overdue": [], "soon": [], "later": []}
    for item in ordered:
        seen = _seen(item, as_of, within_days, year_ends)
        by_state[seen.state].append(seen)
    return Outlook(
        as_of=as_of,
        within_days=within_days,
        year=tuple(months_after(as_of.replace(day=1), n) for n in range(13)),
        year_ends=year_ends,
        overdue=(*by_state["now"], *by_state["overdue"]),
        soon=tuple(by_state["soon"]),
        later=tuple(by_state["later"]),
    )


def _seen(item: DueItem, as_of: date, within_days: int, year_ends: date) -> OutlookItem:
    return OutlookItem(
        id=item.id,
        kind=item.kind,
        due=item.due,
        what=item.what,
        because=item.because,
        basis=item.basis,
        path=item.path,
        subject=item.subject,
        state=_state(item.due, as_of, within_days),
        comes_up=tuple(rounds(item, as_of, year_ends)),
    )


def _state(due: date | None, as_of: date, within_days: int) -> str:
    if due is None:
        return "now"
    if is_overdue(due, as_of):
        return "overdue"
    return "soon" if (due - as_of).days <= within_days else "later"


def rounds(item: DueItem, as_of: date, until: date) -> Iterator[date]:
    """Yield the days on which an item comes up to and on a last day, each round done on its due date.

    What is due at once or overdue comes up on the day of evaluation, and its next round counts from there.
    """
    day = max(item.due or as_of, as_of)
    while day <= until:
        yield day
        if item.cycle is None:
            return
        day = item.cycle.from_day(day)
