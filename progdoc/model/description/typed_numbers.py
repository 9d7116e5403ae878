"""Plain numbers as they are typed, or a sentence that says why one is none."""

from __future__ import annotations

import re

from progdoc.core.said import said
from progdoc.model.description.typed_text import one_text, short_text

__all__ = ["as_count", "as_number"]

_A_COUNT, _A_NUMBER = said("a whole number such as `8`"), said("a number such as `0.5`")


def as_count(value: object) -> int:
    """Return a whole number that was written as plain digits."""
    if isinstance(value, int) and not isinstance(value, bool):
        value = str(value)
    text = one_text(value, _A_COUNT)
    if re.fullmatch(r"0|[1-9][0-9]{0,8}", text):
        return int(text)
    raise ValueError(_number_trouble(text, whole=True))


def as_number(value: object) -> float:
    """Return a number, 0 or more, that was written as plain digits with at most one decimal point."""
    if isinstance(value, int | float) and not isinstance(value, bool):
        value = str(value)
    text = one_text(value, _A_NUMBER)
    if re.fullmatch(r"(?:0|[1-9][0-9]{0,11})(?:\.[0-9]{1,12})?", text):
        return float(text)
    raise ValueError(_number_trouble(text, whole=False))


def _number_trouble(text: str, whole: bool) -> str:
    """Say why a text is no plain number, and what to type."""
    shown, example = f"`{short_text(text)}`", "`8`" if whole else said("`8` or `0.5`")
    kind = said("whole number" if whole else "number")
    if not text:
        return said("An empty text stands here. Write a %(kind)s such as %(example)s.", kind=kind, example=example)
    if re.fullmatch(r"0[0-9]+(?:\.[0-9]+)?", text):
        better = re.sub("^0+(?=[0-9])", "", text)
        return said(
            "%(shown)s begins with a 0, which some programs read as another number. Write %(better)s.",
            shown=shown,
            better=f"`{better}`",
        )
    if re.fullmatch(r"[0-9]+(?::[0-9]+)+", text):
        return said(
            "%(shown)s looks like a time of day or a ratio. Write one %(kind)s such as %(example)s.",
            shown=shown,
            kind=kind,
            example=example,
        )
    if re.fullmatch(r"[0-9]+(?:[_' ][0-9]+)+", text):
        better = re.sub(r"[^0-9]", "", text)
        return said("%(shown)s has a sign between its digits. Write %(better)s.", shown=shown, better=f"`{better}`")
    if "," in text and re.fullmatch(r"[0-9,.]+", text):
        cure = said("digits alone" if whole else "digits with a decimal point")
        return said("%(shown)s has a comma, which can be read in two ways. Write %(cure)s.", shown=shown, cure=cure)
    if re.fullmatch(r"[-+]?[0-9.]+[eE][-+]?[0-9]+", text):
        return said("%(shown)s is written with a power of ten. Write the number out in digits.", shown=shown)
    if re.fullmatch(r"[0-9]+\.0+", text) and whole:
        return said(
            "%(shown)s has a decimal point where a whole number is asked. Write %(better)s.",
            shown=shown,
            better=f"`{text.partition('.')[0]}`",
        )
    if re.fullmatch(r"\.[0-9]+", text) and not whole:
        return said("%(shown)s has no digit before the point. Write %(better)s.", shown=shown, better=f"`0{text}`")
    if re.fullmatch(r"-[0-9.]+", text):
        return said("%(shown)s is below zero. Write a %(kind)s, 0 or more.", shown=shown, kind=kind)
    if re.fullmatch(r"\+[0-9.]+", text):
        return said("%(shown)s begins with a plus sign. Write %(better)s.", shown=shown, better=f"`{text[1:]}`")
    if re.fullmatch(r"0[xob][0-9a-fA-F]+", text):
        return said(
            "%(shown)s is a number of computers. Write it in ordinary digits, such as %(example)s.",
            shown=shown,
            example=example,
        )
    if re.fullmatch(r"[0-9]+(?:\.[0-9]+)?", text):
        if whole and "." in text:
            return said(
                "%(shown)s is no whole number. Write a whole number such as %(example)s.", shown=shown, example=example
            )
        return said("%(shown)s has more digits than such a number can have. Check it.", shown=shown)
    return said(
        "%(shown)s is no %(kind)s. Write digits alone, such as %(example)s.", shown=shown, kind=kind, example=example
    )
