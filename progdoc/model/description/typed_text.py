"""Texts and ids as they are typed, or a sentence that says why one is none."""

from __future__ import annotations

import re
import unicodedata

__all__ = ["ID", "LONGEST_ID", "as_id", "as_text", "one_text", "short_text"]

ID = re.compile(r"[a-z0-9]+(?:-[a-z0-9]+)*")
LONGEST_ID = 60


def one_text(value: object, kind: str) -> str:
    """Return the text of a scalar; a list or a group of values is none."""
    if isinstance(value, str):
        return value.strip()
    if value is None:
        raise ValueError(f"Nothing is written here. Write {kind}, or delete the line.")
    if isinstance(value, list):
        raise ValueError(f"A list stands here. Write {kind} on the same line, after the colon.")
    raise ValueError(f"A group of values stands here. Write {kind} on the same line, after the colon.")


def short_text(text: str) -> str:
    """Return a text in one line, cut off where it is long, to be shown in a message."""
    flat = " ".join(text.split())
    return flat if len(flat) <= 40 else flat[:37] + "…"


def as_id(value: object) -> str:
    """Return an id, or show how it would be spelt.

    >>> as_id("half-p100")
    'half-p100'
    """
    text = one_text(value, "an id such as `half-p100`")
    if ID.fullmatch(text) and len(text) <= LONGEST_ID:
        return text
    ascii_text = unicodedata.normalize("NFKD", text).encode("ascii", "ignore").decode().lower()
    better = re.sub(r"[^a-z0-9]+", "-", ascii_text)[:LONGEST_ID].strip("-")
    reason = "is too long for an id" if ID.fullmatch(text) else "is not spelt like an id"
    cure = f"Write `{better}`" if better else "Write for example `half-p100`"
    raise ValueError(
        f"`{short_text(text)}` {reason}. {cure}: small letters a to z and digits, joined by single hyphens, "
        f"{LONGEST_ID} characters at most."
    )


def as_text(value: object) -> str:
    """Return a text without the space around it; a tab inside becomes a space."""
    text = one_text(value, "a text").replace("\t", " ")
    if not text:
        raise ValueError("An empty text stands here. Write a text, or delete the line.")
    bad = "" if text.isprintable() else next(filter(_is_control, text), "")
    if bad:
        raise ValueError(f"The text holds a control character (U+{ord(bad):04X}). Delete it and type the text anew.")
    return text


def _is_control(character: str) -> bool:
    return character != "\n" and unicodedata.category(character) in ("Cc", "Cs", "Zl", "Zp")
