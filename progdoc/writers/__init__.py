"""Document tree → bytes, one module a format. A writer only walks the tree: it knows no rule of the law.

Each writer imports its libraries when it is first called, so that a command which writes nothing stays quick.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from progdoc.document.tree.nodes import Document

__all__ = ["WRITERS", "WRITERS_BESIDE_MANY"]


def _markdown(document: Document) -> bytes:
    from progdoc.writers.markdown import markdown_bytes

    return markdown_bytes(document)


def _html(document: Document) -> bytes:
    from progdoc.writers.html import html_bytes

    return html_bytes(document, _stylesheet())


@cache
def _stylesheet() -> str:
    """Return the shipped stylesheet, read once: there is a page for everybody."""
    from progdoc.core.resources import templates_root

    return (templates_root() / "style.css").read_text(encoding="utf-8")


def _docx(document: Document) -> bytes:
    from progdoc.document.pictures.svg_png import with_pictures
    from progdoc.writers.docx import docx_bytes

    return docx_bytes(with_pictures(document))


def _pdf(document: Document) -> bytes:
    from progdoc.writers.pdf import pdf_bytes

    return pdf_bytes(document)


def _pdf_apart(document: Document) -> bytes:
    from progdoc.writers.pdf import pdf_bytes

    return pdf_bytes(document, apart=True)


WRITERS: dict[str, Callable[[Document], bytes]] = {"md": _markdown, "html": _html, "docx": _docx, "pdf": _pdf}
WRITERS_BESIDE_MANY = {**WRITERS, "pdf": _pdf_apart}  # where what is held of many people leaves little room
