"""The days for which a description can be judged."""

from __future__ import annotations

TYPE_CHECKING = False  # without `typing`, which the help would import for it
if TYPE_CHECKING:
    from datetime import date

__all__ = ["FIRST_DAY", "LAST_DAY", "can_be_judged_for"]

# The newest of the federal rules is in force since this day: before it some would bind nobody, and silence would pass.
FIRST_DAY, LAST_DAY = "2019-09-26", "2100-12-31"


def can_be_judged_for(day: date) -> bool:
    """Return whether the rules of a day are known.

    >>> from datetime import date
    >>> can_be_judged_for(date(2026, 11, 24)), can_be_judged_for(date(2010, 1, 1))
    (True, False)
    """
    return FIRST_DAY <= day.isoformat() <= LAST_DAY
