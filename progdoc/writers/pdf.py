"""Writes a document as a tagged PDF (PDF/UA-1), set by the `typst` library with the layout `templates/page.typ`.

Needs no system library and no system font: the fonts are those that the library carries, so that the bytes are
the same on every machine. They hold the Latin, Greek, Cyrillic and Hebrew letters and the signs of the trade;
a character that none of them has is printed as the replacement character, and the title block says so.

Long tables take time and memory in proportion to their rows, about 1 ms and 0.2 MB a row: a roster of many thousand
rows is better read as CSV or HTML.
"""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from typing import Any

from progdoc.core.errors import ProgdocError
from progdoc.core.paper_language import ENGLISH, language_of
from progdoc.core.printable import printable
from progdoc.core.resources import templates_root
from progdoc.document.pictures.typesetter_fonts import own_fonts
from progdoc.document.tree.cross_references import SHORT_CONTENTS, before_contents, printed_contents
from progdoc.document.tree.nodes import Document
from progdoc.model.description.program import Paper
from progdoc.writers.set_apart import pdf_set_apart
from progdoc.writers.typst_data import TITLE_WIDTH, Data, TreeData, plain_table_data, text_data
from progdoc.writers.wording import (
    PAGE_AFTER,
    PAGE_BEFORE,
    alert_notices,
    control_lines,
    draft_word,
    foot_line,
    front_titles,
    history_titles,
    identity,
    key_titles,
    page_words,
    revision_words,
)

__all__ = ["compiled", "contents_data", "document_data", "pdf_bytes", "targets"]

_MISSING = re.compile(r'the text `"((?:[^"\\]|\\.)*)"` could not be displayed')
_ESCAPE = re.compile(r"\\u\{([0-9a-f]+)\}|\\(.)")
_ROUNDS = 8  # a character may only turn out to be missing once its neighbour is gone
_SAY_LOST = (
    "{n} characters that the fonts of this file do not have are printed as \ufffd; the Word document shows them."
)


def pdf_bytes(document: Document, places: Mapping[str, str] | None = None, *, apart: bool = False) -> bytes:
    """Return the document as a .pdf file; one that is kept when it is filled in, with fields.

    Parameters
    ----------
    document
        A tree that `references.resolved` has numbered.
    places
        The files in which other documents lie, by their ids, where they are not called as the documents are; in such
        a set of files forms are for the pen.
    apart
        Whether it is set in a process of its own, which leaves this one its memory.

    Raises
    ------
    ProgdocError
        If the layout and the data do not go together: a fault of ours.
    """
    is_fillable = bool(document.saves_as) and places is None
    tree = TreeData(document.shows_citations, document.has_cover, places=places or {}, is_fillable=is_fillable)
    data = document_data(document, tree) | {"contents": contents_data(document), "targets": targets(tree)}
    file = compiled(data, f"document {document.id!r}", apart)
    if not tree.widgets:
        return file
    from progdoc.writers.pdf_form.fillable_pdf import fillable_pdf  # only forms need it

    return fillable_pdf(file, tree.widgets, language_of(document.language))


def compiled(data: Data, name: str, apart: bool = False) -> bytes:
    """Return what the layout makes of the data of a file; `name` stands in its faults."""
    layout = (templates_root() / "page.typ").read_bytes()
    text = json.dumps(data, ensure_ascii=False)
    lost: set[str] = set()
    for _ in range(_ROUNDS):
        file, missing = _compiled(layout, text, lost, apart)
        if not missing:
            return file
        lost |= missing
    raise ProgdocError(f"{name}: the fonts of the PDF lack too many of its characters")


def _compiled(layout: bytes, text: str, lost: set[str], apart: bool) -> tuple[bytes, set[str]]:
    """Return the file, or the characters that no font has and that stand in its way."""
    shown = text.translate({ord(character): "\ufffd" for character in lost})
    inputs = {"document": shown, "lost": _SAY_LOST.format(n=len(lost)) if lost else ""}
    file, refusal = (pdf_set_apart(layout, inputs) if apart else None) or _set_here(layout, inputs)
    if not refusal:
        return file, set()
    missing = {character for found in _MISSING.findall(refusal) for character in _unescaped(found)}
    missing &= {character for character in shown if ord(character) > 0x7F}
    if not missing:
        raise ProgdocError(f"the PDF could not be set: {refusal}")
    return b"", missing


def _set_here(layout: bytes, inputs: dict[str, str]) -> tuple[bytes, str]:
    """Return the file, or what the typesetter says against it."""
    import typst

    try:
        return typst.compile(layout, format="pdf", font_paths=own_fonts(), pdf_standards="ua-1", sys_inputs=inputs), ""
    except typst.TypstError as error:
        return b"", error.diagnostic


def _unescaped(text: str) -> str:
    return _ESCAPE.sub(lambda found: chr(int(found[1], 16)) if found[1] else found[2], text)


def document_data(document: Document, tree: TreeData, level: int = 0) -> Data:
    """Return a document as the layout reads it; `level` is that of its title as a heading, of one that stands alone 0.

    What is said of all the places in a file is not in it: `contents` and `targets`.
    """
    blocks = tree.blocks(document.blocks, level + 1)
    language, _, region = document.language.partition("-")
    whole = printed_contents(document) if document.has_cover else ()
    return {
        "title": text_data(document.title, TITLE_WIDTH),
        "level": level,
        "organisation": text_data(document.organisation),
        "subject": printable(identity(document)),
        "keywords": [printable(keyword) for keyword in document.keywords],
        "date": [document.as_of.year, document.as_of.month, document.as_of.day],
        "language": language,
        "region": region or None,
        "close": document.is_one_side and document.language != ENGLISH.tag,  # others take more room to say the same
        "paper": "a4" if document.paper == Paper.A4 else "us-letter",
        "draft": document.draft,
        "one-side": document.is_one_side,
        "revision": text_data(revision_words(document)),
        "header": text_data(document.look.header or document.organisation),
        "footer": text_data(foot_line(document)),
        "own-footer": text_data(document.look.footer),
        "colours": dict(document.look.colours),
        "logo": _logo(document),
        "control": plain_table_data((), (3, 7), lines) if (lines := control_lines(document)) else None,
        "alerts": tree.blocks(alert_notices(document)),
        "history": _history(document),
        "short-contents": len(whole) <= SHORT_CONTENTS,
        "blocks": blocks,
        "before-contents": before_contents(document),
        "contents-flow": bool(document.contents_after),
        "page-of": [PAGE_BEFORE, PAGE_AFTER],
        "page-words": page_words(document),
        "draft-word": draft_word(document),
        "key-titles": key_titles(document),
        "front-titles": front_titles(document),
    }


def targets(*trees: TreeData) -> dict[str, bool]:
    """Return the places in a file that something in it leads to."""
    wanted, ids = (set[str]().union(*found) for found in zip(*((t.wanted, t.ids) for t in trees), strict=True))
    return dict.fromkeys(sorted(wanted & ids), True)


def _logo(document: Document) -> Data | None:
    """Return the firm's mark for a cover, named after the firm."""
    logo = document.look.logo
    if logo is None or not document.has_cover:
        return None
    content: Data = {"format": "svg", "bytes": logo.svg} if logo.svg else {"format": "png", "bytes": [*logo.png]}
    name = printable(document.organisation) or "Logo"
    return content | {"width": logo.width_mm, "height": logo.height_mm, "alternative": name}


def _history(document: Document) -> Any:
    if not (document.has_cover and document.history):
        return None
    entries = tuple((entry.revision, entry.date, entry.by, entry.summary) for entry in document.history)
    return plain_table_data(history_titles(document), (2, 3, 4, 9), entries)


def contents_data(document: Document) -> list[Data]:
    """Return the lines of a document's contents; none where it has no cover."""
    entries = printed_contents(document) if document.has_cover else ()
    return [
        {
            "level": entry.level,
            "label": entry.label,
            "title": text_data(entry.title),
            "target": entry.id,
        }
        for entry in entries
    ]
