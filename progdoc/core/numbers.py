"""Numbers, units and dates to text. Rounding never flatters: the caller says which way is the safe one."""

from __future__ import annotations

from datetime import date
from decimal import ROUND_CEILING, ROUND_FLOOR, ROUND_HALF_EVEN, Decimal
from functools import lru_cache

from progdoc.core.said import said_date, said_measure, said_number, said_plural, same

__all__ = ["counted", "interval_words", "long_date", "number_shown", "number_text", "stated_text", "text_of"]

_MODES = {"up": ROUND_CEILING, "down": ROUND_FLOOR, "nearest": ROUND_HALF_EVEN}
_MONTHS = [
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
]


@lru_cache(maxsize=4096)  # the same few numbers are printed again and again
def number_text(value: float, rounding: str = "nearest", digits: int = 3) -> str:
    """Return the number with `digits` significant digits, rounded the way that is named.

    >>> number_text(10.004, "up"), number_text(10.004, "down"), number_text(0.05)
    ('10.1', '10', '0.05')
    >>> number_text(12500.0), number_text(0.0)
    ('12,500', '0')
    >>> number_text(1.8 / 50.0 + 1e-17, "up"), number_text(0.1 + 0.2, "up")
    ('0.036', '0.3')
    """
    exact = Decimal(f"{float(value):.12g}")  # the noise of binary fractions is no reason to round up or down
    if exact == 0:
        return same("0")
    step = Decimal(1).scaleb(exact.adjusted() - digits + 1)
    shown = (exact / step).to_integral_value(rounding=_MODES[rounding]) * step
    text = f"{shown.normalize():,f}"
    return said_number(text.rstrip("0").rstrip(".") if "." in text else text)


def stated_text(value: float) -> str:
    """Return a number that somebody stated or counted: it is not rounded.

    >>> stated_text(1011), stated_text(2000.0), stated_text(0.125)
    ('1,011', '2,000', '0.125')
    """
    return number_text(value, digits=12)


def counted(number: float, one: str, more: str = "") -> str:
    """Return how many there are of a thing, one or more of it.

    >>> counted(1, "day"), counted(12, "day"), counted(0, "person", "people")
    ('1 day', '12 days', '0 people')
    """
    return said_plural(f"%(n)s {one}", f"%(n)s {more or f'{one}s'}", number, n=stated_text(number))


def text_of(value: float, unit: str, rounding: str = "nearest", digits: int = 3) -> str:
    """Return number and unit as one phrase.

    >>> text_of(50.0, "µg/m³"), text_of(4.8, "")
    ('50 µg/m³', '4.8')
    """
    number = number_text(value, rounding, digits)
    return said_measure(f"{number} {unit}") if unit else number


def number_shown(value: float, rounding: str = "nearest", digits: int = 3) -> float:
    """Return the number that a reader sees.

    >>> number_shown(12344.9, "up"), number_shown(2.0 / 3.0, "down", 4)
    (12400.0, 0.6666)
    """
    return float(number_text(value, rounding, digits).replace(",", ""))


@lru_cache(maxsize=2000)
def long_date(day: date) -> str:
    """Return a date that no reader can take for another one.

    >>> long_date(date(2026, 3, 1))
    '1 March 2026'
    """
    return said_date(f"{day.day} {_MONTHS[day.month - 1]} {day.year}", day)


def interval_words(minutes: float) -> str:
    """Return an interval as a crew says it.

    >>> interval_words(45.0), interval_words(1.0), interval_words(150.0), interval_words(240.0)
    ('45 minutes', '1 minute', '2 h 30 min', '4 h')
    """
    hours, rest = divmod(int(minutes), 60)
    if not hours:
        return counted(rest, "minute")
    return same(f"{hours} h {rest} min") if rest else text_of(hours, "h")
