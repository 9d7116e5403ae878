"""Whether letters can be read: how they stand out from a ground, as WCAG 2.2 reckons it; and fonts that have none."""

from __future__ import annotations

import re

__all__ = ["LEAST_CONTRAST", "are_letters", "contrast", "draws_signs", "is_ground"]

LEAST_CONTRAST = 4.5  # of text, WCAG 2.2, success criterion 1.4.3

_SIGNS = re.compile(r"wingdings|webdings|dingbats|marlett|barcode|blank|redact", re.IGNORECASE)
_WEIGHTS = (0.2126, 0.7152, 0.0722)  # of red, green and blue in the relative luminance


def contrast(one: str, other: str) -> float:
    """Return the contrast ratio of two colours written as "#rrggbb", from 1 to 21.

    >>> contrast("#000000", "#ffffff")
    21.0
    """
    darker, lighter = sorted(map(_luminance, (one, other)))
    return round((lighter + 0.05) / (darker + 0.05), 9)


def draws_signs(font: str) -> bool:
    """Return whether a font draws other signs in the place of letters.

    >>> draws_signs("Wingdings 2"), draws_signs("Segoe UI Symbol"), draws_signs("Arial")
    (True, False, False)
    """
    return bool(_SIGNS.search(font)) or font.strip("\"' ").casefold() == "symbol"


def are_letters(colour: str) -> bool:
    """Return whether letters of a colour can be read on white, and on whatever `is_ground`.

    >>> are_letters("#7a2e1f"), are_letters("#fefefe")
    (True, False)
    """
    return contrast(colour, "#ffffff") >= LEAST_CONTRAST


def is_ground(colour: str) -> bool:
    """Return whether a colour is so light that the palest letters still stand out by three to one.

    >>> is_ground("#e3e8ec"), is_ground("#7a2e1f")
    (True, False)
    """
    return contrast(colour, "#ffffff") <= LEAST_CONTRAST / 3.0


def _luminance(colour: str) -> float:
    parts = (int(colour[place : place + 2], 16) / 255 for place in (1, 3, 5))
    linear = (part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts)
    return sum(weight * part for weight, part in zip(_WEIGHTS, linear, strict=True))
