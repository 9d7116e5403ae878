"""What was filled into a form of ours, wherever: in Word's content controls, or as a browser kept the page."""

from __future__ import annotations

from collections.abc import Iterable

from progdoc.writers.docx.filled_controls import filled_controls
from progdoc.writers.form_error import FormError
from progdoc.writers.html_saving import saved_fields

__all__ = ["filled_fields", "on_one_line", "shortened"]

_LONGEST_SHOWN = 60


def filled_fields(data: bytes, of: Iterable[str], called: str) -> dict[str, tuple[str, ...]] | str:
    """Return what stands in each field, once for each time it is there; or why nothing can be read.

    Parameters
    ----------
    of
        How the name of one field at least has to begin.
    called
        What is wanted, in words: "a worksheet".
    """
    if data.startswith(b"PK"):
        try:
            found = filled_controls(data)
        except FormError as error:
            return str(error)
    else:
        saved = saved_fields(data)
        if saved is None:
            return f"it is neither a Word file (.docx) nor what a browser kept of {called}"
        found = {name: (text,) for name, text in saved.items()}
    if any(name.startswith(tuple(of)) for name in found):
        return found
    return f"no named field of {called} is in it; some word processors drop the names of fields when they save"


def on_one_line(text: str) -> str:
    """Return a text with every break and sign that can't be printed as one blank."""
    return " ".join("".join(c if c.isprintable() else " " for c in text).split())


def shortened(text: str) -> str:
    """Return as much of a text as a message repeats."""
    return text if len(text) <= _LONGEST_SHOWN else f"{text[: _LONGEST_SHOWN - 3]}…"
