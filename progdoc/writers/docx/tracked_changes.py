"""A marked tree as a Word document with tracked changes: whoever opens it accepts or rejects them.

The document is written like any other; then the marks in its text become what WordprocessingML has for them
(ISO/IEC 29500-1, 17.13.5): runs inside `w:ins` and `w:del`, marks on the ends of whole paragraphs, marks on
table rows together with all that is in them. Author and date come from the caller.
"""

from __future__ import annotations

import copy
from collections.abc import Iterator
from io import BytesIO
from itertools import count
from typing import Any
from zipfile import ZipFile

from progdoc.comparison.marks import (
    BLOCK_DELETED,
    BLOCK_END,
    BLOCK_INSERTED,
    DELETED,
    END,
    INSERTED,
    MARK,
    new_text,
)
from progdoc.document.tree.nodes import Document
from progdoc.writers.docx.looks import W
from progdoc.writers.docx.package import packed
from progdoc.writers.docx.word_text import printable
from progdoc.writers.zip_bytes import stored_zip

__all__ = ["redline_docx"]

_BODY = "word/document.xml"
_STARTS = {INSERTED: "ins", BLOCK_INSERTED: "ins", DELETED: "del", BLOCK_DELETED: "del"}
_BLOCK_STARTS = {BLOCK_INSERTED: "ins", BLOCK_DELETED: "del"}
_IN_DELETED = {f"{W}t": f"{W}delText", f"{W}instrText": f"{W}delInstrText"}
_SPACE = "{http://www.w3.org/XML/1998/namespace}space"


def redline_docx(tree: Document, author: str, made: str) -> bytes:
    """Return a .docx in which every mark of the tree is a tracked change.

    Parameters
    ----------
    tree
        What `redline.redline_tree` made of two documents.
    author
        Whose changes they are; Word shows the name beside each.
    made
        When, as 2026-11-24T00:00:00Z.
    """
    from docx.opc.oxml import serialize_part_xml
    from docx.oxml.parser import parse_xml

    with ZipFile(BytesIO(packed(tree))) as archive:
        parts = {name: archive.read(name) for name in archive.namelist()}
    root = parse_xml(parts[_BODY])
    body = root.find(f"{W}body")
    _drop_title_lines(body)
    _Tracking(printable(author), made).container(body)
    _without_marks_in_attributes(root)
    parts[_BODY] = serialize_part_xml(root)
    for name, data in parts.items():
        if name != _BODY and name.endswith(".xml") and MARK.search(text := data.decode()):
            parts[name] = new_text(text).encode()
    return stored_zip(parts)


def _without_marks_in_attributes(root: Any) -> None:
    for element in root.iter():
        for name, value in element.attrib.items():
            if MARK.search(value):
                element.set(name, new_text(value))


def _drop_title_lines(body: Any) -> None:
    """Take out the title block's own lines: they show one document alone, the tree's first table shows both."""
    lines = body.find(f"{W}tbl")
    body.remove(lines.getnext())
    body.remove(lines)


class _Tracking:
    """One pass through the text in reading order: what is marked here, and the number of the next change."""

    def __init__(self, author: str, made: str) -> None:
        self._author, self._made = author, made
        self._numbers = count(1)
        self._block = ""  # "ins" or "del" between two marks that stand alone

    def container(self, parent: Any) -> None:
        """Track everything in a body or a cell.

        The end of a paragraph that goes joins it to the next one. Before a table and at the end of a cell there
        is none to join: a gap, a paragraph without words, is put there.
        """
        for element in list(parent):
            if element.tag == f"{W}p":
                if not self._is_lone_mark(element):
                    self._paragraph(element)
                else:
                    parent.remove(element)
            elif element.tag == f"{W}tbl":
                self._table(element)
        blocks = [element for element in parent if element.tag in (f"{W}p", f"{W}tbl")]
        pairs = list(zip(blocks, [*blocks[1:], None], strict=True))
        for block, following in reversed(pairs):  # parting changes how a paragraph begins, so the last comes first
            is_table = block.tag == f"{W}tbl"
            ends_marked = not is_table and _end_mark(block) is not None
            if following is None:
                needs_gap = not self._block and (is_table or ends_marked)
            else:
                needs_gap = ends_marked and following.tag == f"{W}tbl"
            if needs_gap:
                block.addnext(_gap(parent))
            elif following is not None and not ends_marked and following.tag == block.tag == f"{W}p":
                self._part_from(block, following)

    def _part_from(self, paragraph: Any, following: Any) -> None:
        """Let a paragraph not end in the kind of change that the next paragraph is or begins with.

        Readers join two neighbouring changes of a kind to one, and some take the end between them for part of it.
        """
        mark = _end_mark(following)
        if mark is None:
            mark = _first_change(following)
        last = paragraph[-1]
        if mark is None or last.tag != mark.tag or last is paragraph[0]:
            return
        before = last.getprevious()
        if before.tag in (f"{W}ins", f"{W}del"):
            last.addnext(before)
            return
        text = before[-1] if before.tag == f"{W}r" and len(before) else None
        if text is None or text.tag != f"{W}t" or not text.text:
            return
        letter = copy.deepcopy(before)  # the last letter goes out and comes in again, on either side of the change
        for content in letter.findall(f"{W}t")[:-1]:
            letter.remove(content)
        letter[-1].text = text.text[-1]
        text.text = text.text[:-1]
        kinds = ("ins", "del") if mark.tag == f"{W}ins" else ("del", "ins")
        changes = [self._change(paragraph, kind) for kind in kinds]
        for change, kind in zip(changes, kinds, strict=True):
            change.append(_in_change(copy.deepcopy(letter), kind))
        last.addprevious(changes[0])
        last.addnext(changes[1])

    def _is_lone_mark(self, paragraph: Any) -> bool:
        text = "".join(node.text or "" for node in paragraph.iter(f"{W}t"))
        if text not in (*_BLOCK_STARTS, BLOCK_END):
            return False
        self._block = _BLOCK_STARTS.get(text, "")
        return True

    def _paragraph(self, paragraph: Any) -> None:
        text = "".join(node.text or "" for node in paragraph.iter(f"{W}t"))
        whole = self._block or next((kind for mark, kind in _BLOCK_STARTS.items() if mark in text), "")
        if whole:
            properties = paragraph.find(f"{W}pPr")
            look = properties.find(f"{W}rPr")
            if look is None:
                look = _new(properties, "rPr")
                properties.append(look)
            look.insert(0, self._change(paragraph, whole))
        mark = whole
        for run in list(paragraph.iter(f"{W}r")):
            mark = self._run(run, mark, whole)

    def _run(self, run: Any, mark: str, whole: str) -> str:
        """Put a run in its changes, cut where a mark stands; return the mark under which the next one begins."""
        pieces: list[tuple[str, Any]] = []
        for kind, content in _pieces(run, mark, whole):
            if content is None:
                mark = kind
            elif pieces and pieces[-1][0] == kind:
                pieces[-1][1].append(content)
            else:
                piece = _new(run, "r")
                look = run.find(f"{W}rPr")
                if look is not None:
                    piece.append(copy.deepcopy(look))
                piece.append(content)
                pieces.append((kind, piece))
        for kind, piece in pieces:
            before = run.getprevious()
            if kind and before is not None and before.tag == W + kind:
                before.append(_in_change(piece, kind))
            elif kind:
                change = self._change(run, kind)
                change.append(_in_change(piece, kind))
                run.addprevious(change)
            else:
                run.addprevious(piece)
        run.getparent().remove(run)
        return mark

    def _table(self, table: Any) -> None:
        around = self._block
        for row in table.findall(f"{W}tr"):
            first = next((node.text or "" for node in row.iter(f"{W}t")), "")
            self._block = around or _BLOCK_STARTS.get(first[:1], "")
            if self._block:
                properties = row.find(f"{W}trPr")
                if properties is None:
                    properties = _new(row, "trPr")
                    whole = _new(row, "cantSplit")  # the schema wants a property before a mark
                    whole.set(f"{W}val", "off")
                    properties.append(whole)
                    row.insert(0, properties)
                properties.append(self._change(row, self._block))
            for cell in row.findall(f"{W}tc"):
                self.container(cell)
                last = cell.find(f"{W}p[last()]/{W}pPr/{W}rPr")
                if self._block and last is not None:  # the end of a cell goes with its row
                    last.getparent().remove(last)
            self._block = around

    def _change(self, near: Any, kind: str) -> Any:
        change = _new(near, kind)
        change.set(f"{W}id", str(next(self._numbers)))
        change.set(f"{W}author", self._author)
        change.set(f"{W}date", self._made)
        return change


def _pieces(run: Any, mark: str, whole: str) -> Iterator[tuple[str, Any]]:
    """Yield the run's contents, each with the change it stands in; at last that change alone."""
    for content in list(run):
        if content.tag == f"{W}rPr":
            continue
        if content.tag != f"{W}t":
            yield mark, content
            continue
        text, place = content.text or "", 0
        for found in MARK.finditer(text):
            if found.start() > place:
                yield mark, _text(content, text[place : found.start()])
            mark = whole if found[0] in (END, BLOCK_END) else _STARTS.get(found[0], mark)
            place = found.end()
        if place < len(text):
            yield mark, _text(content, text[place:])
    yield mark, None


def _text(near: Any, words: str) -> Any:
    node = _new(near, "t")
    node.set(_SPACE, "preserve")
    node.text = words
    return node


def _in_change(run: Any, kind: str) -> Any:
    if kind == "del":
        for content in run:
            content.tag = _IN_DELETED.get(content.tag, content.tag)
    return run


def _end_mark(paragraph: Any) -> Any:
    """Return the change of a paragraph's end, if it has one."""
    marks = paragraph.find(f"{W}pPr/{W}rPr")
    return None if marks is None else next((c for c in marks if c.tag in (f"{W}ins", f"{W}del")), None)


def _first_change(paragraph: Any) -> Any:
    """Return the change that a paragraph's words begin with, if they begin with one."""
    words = (f"{W}r", f"{W}ins", f"{W}del")
    first = next((element for element in paragraph.iter(*words) if element.getparent().tag != f"{W}rPr"), None)
    return None if first is None or first.tag == f"{W}r" else first


def _gap(near: Any) -> Any:
    paragraph = _new(near, "p")
    properties = _new(near, "pPr")
    style = _new(near, "pStyle")
    style.set(f"{W}val", "TableGap")
    properties.append(style)
    paragraph.append(properties)
    return paragraph


def _new(near: Any, name: str) -> Any:
    return near.makeelement(W + name, {})
