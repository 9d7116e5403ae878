"""What was filled into a form of ours, wherever: in Word's content controls, a PDF, or as a browser kept the page."""

from __future__ import annotations

from collections.abc import Iterable

from progdoc.writers.docx.filled_controls import filled_controls
from progdoc.writers.form_error import FormError
from progdoc.writers.html_saving import saved_fields
from progdoc.writers.pdf_form.filled_pdf import filled_pdf
from progdoc.writers.pdf_form.pdf_file import begins_as_pdf

__all__ = ["filled_fields", "kind_of_file", "on_one_line", "shortened"]

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
    found: dict[str, tuple[str, ...]] | None
    lost = "some word processors drop the names of fields when they save"
    try:
        match kind_of_file(data):
            case "docx":
                found = filled_controls(data)
            case "pdf":
                found = filled_pdf(data)
                lost = "a PDF that was printed, or flattened, has no fields any more"
            case _:
                found = _of_a_page(data)
    except FormError as error:
        return str(error)
    if found is None:
        return f"it is neither a Word file (.docx) or a PDF, nor what a browser kept of {called}"
    if any(name.startswith(tuple(of)) for name in found):
        return found
    return f"no named field of {called} is in it; {lost}"


def kind_of_file(data: bytes) -> str:
    """Return the usual ending of a file that came back filled in, by how it begins."""
    return "docx" if data.startswith(b"PK") else "pdf" if begins_as_pdf(data) else "json"


def _of_a_page(data: bytes) -> dict[str, tuple[str, ...]] | None:
    saved = saved_fields(data)
    return None if saved is None else {name: (text,) for name, text in saved.items()}


def on_one_line(text: str) -> str:
    """Return a text with every break and sign that can't be printed as one blank."""
    return " ".join("".join(c if c.isprintable() else " " for c in text).split())


def shortened(text: str) -> str:
    """Return as much of a text as a message repeats."""
    return text if len(text) <= _LONGEST_SHOWN else f"{text[: _LONGEST_SHOWN - 3]}…"
