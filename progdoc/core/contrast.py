"""How well letters of one colour can be read on another, as WCAG 2.2 reckons it."""

from __future__ import annotations

__all__ = ["LEAST_CONTRAST", "contrast"]

LEAST_CONTRAST = 4.5  # of text, WCAG 2.2, success criterion 1.4.3

_WEIGHTS = (0.2126, 0.7152, 0.0722)  # of red, green and blue in the relative luminance


def contrast(one: str, other: str) -> float:
    """Return the contrast ratio of two colours written as "#rrggbb", from 1 to 21.

    >>> contrast("#000000", "#ffffff")
    21.0
    """
    darker, lighter = sorted(map(_luminance, (one, other)))
    return round((lighter + 0.05) / (darker + 0.05), 9)


def _luminance(colour: str) -> float:
    parts = (int(colour[place : place + 2], 16) / 255 for place in (1, 3, 5))
    linear = (part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts)
    return sum(weight * part for weight, part in zip(_WEIGHTS, linear, strict=True))
