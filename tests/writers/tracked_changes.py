"""Reads a Word document's text with its tracked changes accepted or rejected, apart from progdoc's writer.

After ISO/IEC 29500-1, 17.13.5 (revisions): inserted and deleted runs, a marked paragraph end joins a paragraph
to the next one, a marked row goes with all its cells, a table without rows goes too. A cell's or the body's last
paragraph end can't go. Numbers that Word counts are not text; whoever compares documents types them out first.
"""

from __future__ import annotations

from collections.abc import Iterator
from io import BytesIO
from typing import Any
from zipfile import ZipFile

from lxml import etree

__all__ = ["text_of"]

_W = "{http://schemas.openxmlformats.org/wordprocessingml/2006/main}"
Lines = list[Any]  # a paragraph is a string, a table a list of rows, each a list of cells, each Lines


def text_of(data: bytes, keeps: str) -> Lines:
    """Return the body's text: `keeps` is "ins" to accept every change, "del" to reject every one."""
    with ZipFile(BytesIO(data)) as archive:
        root = etree.fromstring(archive.read("word/document.xml"))
    body = root.find(f"{_W}body")
    assert body is not None
    return _lines(body, keeps)


def _drops(element: Any, keeps: str) -> bool:
    return any(element.find(f"{_W}{kind}") is not None for kind in {"ins", "del"} - {keeps})


def _lines(parent: Any, keeps: str) -> Lines:
    found: Lines = []
    pending = ""
    for element in parent:
        if element.tag == f"{_W}p":
            pending += "".join(_words(element, keeps))
            mark = element.find(f"{_W}pPr/{_W}rPr")
            if mark is not None and _drops(mark, keeps):
                continue
            found.append(pending)
            pending = ""
        elif element.tag == f"{_W}tbl":
            if pending:  # the end of a paragraph before a table can't join it to anything
                found.append(pending)
                pending = ""
            rows = [row for row in element.iterfind(f"{_W}tr") if not _row_drops(row, keeps)]
            if rows:
                found.append([[_lines(cell, keeps) for cell in row.iterfind(f"{_W}tc")] for row in rows])
        elif element.tag == f"{_W}sdt":
            found += _lines(element.find(f"{_W}sdtContent"), keeps)
    if pending:
        found.append(pending)
    return [line for line in found if line]  # an empty paragraph is room, not text


def _row_drops(row: Any, keeps: str) -> bool:
    properties = row.find(f"{_W}trPr")
    return properties is not None and _drops(properties, keeps)


def _words(element: Any, keeps: str) -> Iterator[str]:
    for child in element:
        name = etree.QName(child).localname
        if name in ("ins", "del"):
            if name == keeps:
                yield from _words(child, keeps)
        elif name in ("hyperlink", "r"):
            yield from _words(child, keeps)
        elif name in ("t", "delText"):
            yield child.text or ""
        elif name == "br":
            yield "\n"
        elif name == "tab":
            yield "\t"
        elif name == "drawing":
            yield "[picture]"
