"""Writes a binder as one tagged PDF: a cover with the contents, and each paper on sheets of its own.

Page numbers run through the file; the foot of a sheet also tells which paper it belongs to and which page of it.
A paper may lead into another one, and does so inside the file. Looks and limits are those of `pdf.py`.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from progdoc.core.paper_language import language_of
from progdoc.document.papers.binder import Binder, Tab, Titles
from progdoc.document.tree.cross_references import contents
from progdoc.document.tree.nodes import Cell, Column, Document, Reference, Row, Table, Text
from progdoc.writers.pdf import compiled, document_data, targets
from progdoc.writers.typst_data import Data, TreeData, text_data

__all__ = ["binder_pdf"]


def binder_pdf(binder: Binder) -> bytes:
    """Return the binder as a .pdf file; every paper in it wears its own look.

    Raises
    ------
    ProgdocError
        If the layout and the data do not go together: a fault of ours.
    """
    places = {document.id: f"#{number}/" for document, number, _ in _sheets(binder)}
    trees: list[TreeData] = []

    def bound(document: Document, number: str, level: int, outlined_to: int) -> Data:
        tree = TreeData(document.shows_citations, True, f"{number}/", places, outlined_to)
        tree.ids.add(f"{number}/")  # its title
        trees.append(tree)
        mark = language_of(document.language).say("part %(number)s", number=number) if number else ""
        return document_data(document, tree, level) | {"id": f"{number}/", "mark": mark}

    papers = [
        bound(document, number, level, 2 if level == 1 and document.has_cover else level)
        for document, number, level in _sheets(binder)
    ]
    cover = bound(binder.cover, "", 0, 0)
    data = cover | {"papers": papers, "contents": list(_contents(binder)), "targets": targets(*trees)}
    return compiled(data, f"binder {binder.cover.title!r}")


def _sheets(binder: Binder) -> Iterator[tuple[Document, str, int]]:
    """Yield the sheets before the tabs and the papers, in order, each with its number and the level of its title."""
    for tab in binder.tabs:
        if tab.has_sheet:
            yield _sheet(binder.cover, tab, binder.titles), f"{tab.number}", 1
        for paper in tab.papers:
            yield paper.document, paper.number, 2 if tab.has_sheet else 1


def _sheet(cover: Document, tab: Tab, titles: Titles) -> Document:
    rows = tuple(
        Row(
            f"papers.{paper.number}",
            (Cell((Text(paper.number),)), Cell((Reference("", paper.document.title, paper.document.id, True),))),
        )
        for paper in tab.papers
    )
    table = Table("papers", "", (Column(titles.number, 1), Column(titles.paper, 9)), rows)
    language = tab.papers[0].document.language
    return replace(cover, id=f"tab-{tab.number}", title=tab.title, blocks=(table,), is_one_side=True, language=language)


def _contents(binder: Binder) -> Iterator[Data]:
    for document, number, level in _sheets(binder):
        yield _line(level, number, document.title, f"{number}/")
        if level == 1 and document.has_cover:
            for entry in contents(document, 1):
                yield _line(2, entry.label, entry.title, f"{number}/{entry.id}")


def _line(level: int, label: str, title: str, target: str) -> Data:
    return {"level": level, "label": label, "title": text_data(title), "target": target}
