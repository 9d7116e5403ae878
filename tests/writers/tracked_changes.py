"""Reads a Word document's text with its tracked changes accepted or rejected, apart from progdoc's writer.

After ISO/IEC 29500-1, 17.13.5 (revisions): inserted, deleted and moved runs, a marked paragraph end joins a paragraph
to the next one, a marked row goes with all its cells, a table without rows goes too. A cell's or the body's last
paragraph end can't go. The pages that the contents and references lead to, fields that no redline has, are left out.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from io import BytesIO
from typing import Any
from zipfile import ZipFile

from lxml import etree

from progdoc.writers.wording import PAGE_AFTER, PAGE_BEFORE

__all__ = ["text_of"]

_W = "{http://schemas.openxmlformats.org/wordprocessingml/2006/main}"
_PAGE = re.compile(re.escape(PAGE_BEFORE) + r"\d+" + re.escape(PAGE_AFTER))
_SORTS = {"ins": "ins", "moveTo": "ins", "del": "del", "moveFrom": "del"}  # a place that something moved to is put in
_ANNEXES = "2"  # the numbering instance that letters annexes
_CONTENTS_PAGE = re.compile(r"\t\d+$")
Lines = list[Any]  # a paragraph is a string, a table a list of rows, each a list of cells, each Lines


def text_of(data: bytes, keeps: str = "ins", counted: bool = False) -> Lines:
    """Return the body's text: `keeps` is "ins" to accept every change, "del" to reject every one.

    With `counted`, the numbers that Word counts before headings are put in, as it prints them.
    """
    with ZipFile(BytesIO(data)) as archive:
        root = etree.fromstring(archive.read("word/document.xml"))
    body = root.find(f"{_W}body")
    assert body is not None
    return _Reader(keeps, counted).lines(body)


class _Reader:
    def __init__(self, keeps: str, counted: bool) -> None:
        self.keeps, self.counted = keeps, counted
        self.counts: dict[bool, list[int]] = {False: [0] * 4, True: [0] * 4}

    def lines(self, parent: Any) -> Lines:
        found: Lines = []
        pending = ""
        for element in parent:
            if element.tag == f"{_W}p":
                pending += self.number(element) + "".join(_words(element, self.keeps))
                if not _drops(element.find(f"{_W}pPr/{_W}rPr"), self.keeps):
                    found.append(_PAGE.sub("", pending))
                    pending = ""
            elif element.tag == f"{_W}sdt":
                listed = self.lines(element.find(f"{_W}sdtContent"))
                found += [_CONTENTS_PAGE.sub("", line).replace("\t", " ") for line in listed]
            elif element.tag == f"{_W}tbl":
                found.append(pending)  # the end of a paragraph before a table can't join it to anything
                pending = ""
                rows = [row for row in element.iterfind(f"{_W}tr") if not _drops(row.find(f"{_W}trPr"), self.keeps)]
                if rows:
                    found.append([[self.lines(cell) for cell in row.iterfind(f"{_W}tc")] for row in rows])
        found.append(pending)
        return [line for line in found if line]  # an empty paragraph is room, not text

    def number(self, paragraph: Any) -> str:
        style = paragraph.find(f"{_W}pPr/{_W}pStyle")
        heading = re.fullmatch(r"Heading(\d)", "" if style is None else style.get(f"{_W}val"))
        instance = paragraph.find(f"{_W}pPr/{_W}numPr/{_W}numId")
        instance = None if instance is None else instance.get(f"{_W}val")
        if not self.counted or not heading or instance == "0":
            return ""
        depth, is_annex = int(heading[1]), instance == _ANNEXES
        counts = self.counts[is_annex]
        counts[depth - 1 :] = [counts[depth - 1] + 1] + [0] * (4 - depth)
        label = ".".join(map(str, counts[:depth]))
        if is_annex:
            label = re.sub(r"^\d+", lambda found: chr(ord("A") + int(found[0]) - 1), label)
        return f"Annex {label} " if is_annex and depth == 1 else f"{label} "


def _drops(properties: Any, keeps: str) -> bool:
    goes = [name for name, sort in _SORTS.items() if sort != keeps]
    return properties is not None and any(properties.find(_W + name) is not None for name in goes)


def _words(element: Any, keeps: str) -> Iterator[str]:
    for child in element:
        name = etree.QName(child).localname
        if name in _SORTS:
            if _SORTS[name] == keeps:
                yield from _words(child, keeps)
        elif name in ("hyperlink", "r"):
            yield from _words(child, keeps)
        elif name in ("t", "delText"):
            yield child.text or ""
        elif name == "br":
            yield "" if child.get(f"{_W}type") == "page" else "\n"
        elif name == "tab":
            yield "\t"
        elif name == "drawing":
            yield "[picture]"
