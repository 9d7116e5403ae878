"""How wide words are in Arial, to tell where lines break. Liberation Sans is drawn to the same widths.

The numbers are the advance widths in the font's own metrics table (hmtx of Liberation Sans 2, SIL Open Font
License), in thousandths of the type size.
"""

from __future__ import annotations

from functools import lru_cache
from unicodedata import normalize

__all__ = ["NATURAL_LINE", "text_width"]

NATURAL_LINE = 1.149  # of the type size: ascent, descent and line gap of the same font
_FIRST = 32
_REGULAR = (
    "278 278 355 556 556 889 667 191 333 333 389 584 278 333 278 278 556 556 556 556 556 556 556 556 556 556 278 278 "
    "584 584 584 556 1015 667 667 722 722 667 611 778 722 278 500 667 556 833 722 778 667 778 722 667 611 722 667 "
    "944 667 667 611 278 278 278 469 556 333 556 556 500 556 556 278 556 556 222 222 500 222 833 556 556 556 556 "
    "333 500 278 556 500 722 500 500 500 334 260 334 584"
)
_BOLD = (
    "278 333 474 556 556 889 722 238 333 333 389 584 278 333 278 278 556 556 556 556 556 556 556 556 556 556 333 333 "
    "584 584 584 611 975 722 722 722 722 667 611 778 722 278 556 722 611 833 722 778 667 778 722 667 611 722 667 "
    "944 667 667 611 333 278 333 584 556 333 556 611 556 611 556 333 611 611 278 278 556 278 889 611 611 611 611 "
    "389 556 333 611 556 778 556 556 500 389 280 389 584"
)
_OTHERS = {"µ": 576, "³": 333, "²": 333, "°": 400, "—": 1000, "…": 1000, "’": 222, "‘": 222, "“": 333, "”": 333}
_OTHERS |= {"•": 350, "·": 278, "×": 584, "÷": 549, "≥": 549, "≤": 549, "−": 584, "½": 834, "\u00a0": 278}
_OTHERS |= {"¿": 611, "¡": 333, "í": 278, "ª": 370, "º": 365}
_ANY_OTHER = 556
_ACCENTED = "ÁÉÍÓÚÜÑáéíóúüñ"  # as wide as the letter without its accent


def _widths(ascii_widths: str) -> dict[str, int]:
    plain = {chr(_FIRST + n): int(width) for n, width in enumerate(ascii_widths.split())}
    return plain | {letter: plain[normalize("NFD", letter)[0]] for letter in _ACCENTED} | _OTHERS


_BY_WEIGHT = {False: _widths(_REGULAR), True: _widths(_BOLD)}


def text_width(text: str, size: float, is_bold: bool) -> float:
    """Return the width of words set on one line, in the unit of `size`.

    >>> round(text_width("mask", 10.0, is_bold=False), 2)
    23.89
    >>> text_width("año", 10.0, is_bold=True) == text_width("ano", 10.0, is_bold=True)
    True
    """
    return size * _thousandths(text, is_bold) / 1000


@lru_cache(maxsize=8192)  # the same words come again and again
def _thousandths(text: str, is_bold: bool) -> int:
    widths = _BY_WEIGHT[is_bold]
    return sum([widths.get(letter, _ANY_OTHER) for letter in text])
