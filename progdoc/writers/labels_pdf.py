"""Writes cards and labels as a tagged PDF to print and cut out, laid out by `templates/labels.typ`.

The code on a card is a QR code (ISO/IEC 18004) of the card's own words; nothing is looked up by it, and no service
has a part in it.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Sequence
from io import BytesIO

from progdoc.core.errors import ProgdocError
from progdoc.core.printable import printable
from progdoc.core.resources import templates_root
from progdoc.document.papers.mask_labels import Label
from progdoc.document.pictures.typesetter_fonts import own_fonts
from progdoc.document.tree.nodes import Document
from progdoc.model.description.program import Paper
from progdoc.writers.typst_data import Data, text_data

__all__ = ["labels_pdf"]

_MOST_IN_A_CODE = 600  # letters; a denser code is hard to read from a small card
_WIDTH = 22.0  # of a line, in em of its type


def labels_pdf(title: str, notice: str, sheets: Iterable[tuple[str, Sequence[Label]]], of: Document) -> bytes:
    """Return the labels as a .pdf file; `of` is the program that they belong to, `notice` stands at the foot.

    Raises
    ------
    ProgdocError
        If the layout and the data do not go together: a fault of ours.
    """
    import typst

    data = {
        "title": printable(f"{title}: {of.title}"),
        "organisation": printable(of.organisation),
        "date": [of.as_of.year, of.as_of.month, of.as_of.day],
        "paper": "a4" if of.paper == Paper.A4 else "us-letter",
        "notice": printable(notice),
        "sheets": [{"title": title, "cards": [_card(one) for one in cards]} for title, cards in sheets],
    }
    layout = (templates_root() / "labels.typ").read_bytes()
    inputs = {"document": json.dumps(data, ensure_ascii=False)}
    try:
        file: bytes = typst.compile(
            layout, format="pdf", font_paths=own_fonts(), pdf_standards="ua-1", sys_inputs=inputs
        )
    except typst.TypstError as error:
        raise ProgdocError(f"the labels could not be set: {error.diagnostic}") from error
    return file


def _card(label: Label) -> Data:
    return {
        "lang": label.language.partition("-")[0],
        "title": text_data(label.title, _WIDTH),
        "lines": [[text_data(name, _WIDTH), text_data(value, _WIDTH)] for name, value in label.lines],
        "foot": text_data(label.foot, _WIDTH * 2),
        "plain": printable(label.plain),
        "code": _code(label.plain) if label.is_card else "",
    }


def _code(words: str) -> str:
    """Return a code of the words as a drawing; nothing where there are too many for a small card."""
    import segno  # only who prints cards loads it

    if len(words) > _MOST_IN_A_CODE:
        return ""
    file = BytesIO()
    segno.make(words, error="m", micro=False, encoding="utf-8").save(
        file, kind="svg", border=2, xmldecl=False, svgns=True
    )
    return file.getvalue().decode()
