"""Texts and ids as they are typed, or a sentence that says why one is none."""

from __future__ import annotations

import re
import unicodedata

from progdoc.core.said import said, same

__all__ = ["ID", "LONGEST_ID", "as_id", "as_text", "one_text", "short_text"]

ID = re.compile(r"[a-z0-9]+(?:-[a-z0-9]+)*")
LONGEST_ID = 60
_A_TEXT, _AN_ID = said("a text"), said("an id such as `half-p100`")


def one_text(value: object, kind: str) -> str:
    """Return the text of a scalar; a list or a group of values is none."""
    if isinstance(value, str):
        return value.strip()
    if value is None:
        raise ValueError(said("Nothing is written here. Write %(kind)s, or delete the line.", kind=kind))
    if isinstance(value, list):
        raise ValueError(said("A list stands here. Write %(kind)s on the same line, after the colon.", kind=kind))
    raise ValueError(
        said("A group of values stands here. Write %(kind)s on the same line, after the colon.", kind=kind)
    )


def short_text(text: str) -> str:
    """Return a text in one line, cut off where it is long, to be shown in a message."""
    flat = " ".join(text.split())
    return flat if len(flat) <= 40 else flat[:37] + "…"


def as_id(value: object) -> str:
    """Return an id, or show how it would be spelt.

    >>> as_id("half-p100")
    'half-p100'
    """
    text = one_text(value, _AN_ID)
    if ID.fullmatch(text) and len(text) <= LONGEST_ID:
        return text
    ascii_text = unicodedata.normalize("NFKD", text).encode("ascii", "ignore").decode().lower()
    better = re.sub(r"[^a-z0-9]+", "-", ascii_text)[:LONGEST_ID].strip("-")
    shown = f"`{short_text(text)}`"
    raise ValueError(
        said(
            "%(reason)s. %(cure)s: small letters a to z and digits, joined by single hyphens, %(most)s characters at"
            " most.",
            reason=said(
                "%(shown)s is too long for an id" if ID.fullmatch(text) else "%(shown)s is not spelt like an id",
                shown=shown,
            ),
            cure=said("Write %(better)s", better=f"`{better}`") if better else said("Write for example `half-p100`"),
            most=LONGEST_ID,
        )
    )


def as_text(value: object) -> str:
    """Return a text without the space around it; a tab inside becomes a space."""
    text = one_text(value, _A_TEXT).replace("\t", " ")
    if not text:
        raise ValueError(said("An empty text stands here. Write a text, or delete the line."))
    bad = "" if text.isprintable() else next(filter(_is_control, text), "")
    if bad:
        code = same(f"U+{ord(bad):04X}")
        raise ValueError(
            said("The text holds a control character (%(code)s). Delete it and type the text anew.", code=code)
        )
    return text


def _is_control(character: str) -> bool:
    return character != "\n" and unicodedata.category(character) in ("Cc", "Cs", "Zl", "Zp")
