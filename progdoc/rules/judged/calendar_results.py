"""An entry of the firm's own calendar, as it stands on the day of evaluation."""

from __future__ import annotations

from datetime import date

from progdoc.core.late_dataclass import dataclass

__all__ = ["CalendarDay"]


@dataclass(frozen=True, slots=True)
class CalendarDay:
    """What comes round, when, by whose will, and by which day next."""

    what: str
    when: str  # in words; "" where nobody says
    set_by: str
    due: date | None  # None: nobody says when it was last done, or it goes by no calendar
