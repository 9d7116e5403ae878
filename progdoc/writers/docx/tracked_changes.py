"""A marked tree as a Word document with tracked changes: whoever opens it accepts or rejects them.

The document is written like any other; then the marks in its text become what WordprocessingML has for them
(ISO/IEC 29500-1, 17.13.5): runs inside `w:ins` and `w:del`, marks on the ends of whole paragraphs, marks on
table rows together with all that is in them. What stands elsewhere now is `w:moveFrom` and `w:moveTo`, and a range
around each place with the name of both; a row only goes and comes, and the words in it move. Author and date come
from the caller.
"""

from __future__ import annotations

import copy
from collections.abc import Iterator
from itertools import count
from typing import Any

from progdoc.comparison.marks import (
    BLOCK_DELETED,
    BLOCK_END,
    BLOCK_INSERTED,
    BLOCK_MOVED_FROM,
    BLOCK_MOVED_TO,
    DELETED,
    INSERTED,
    MARK,
    TYPED,
    move_number,
    new_text,
)
from progdoc.document.tree.nodes import Document
from progdoc.writers.docx.looks import W
from progdoc.writers.docx.package import parts_of
from progdoc.writers.docx.word_text import printable
from progdoc.writers.zip_bytes import stored_zip

__all__ = ["redline_docx"]

_BODY = "word/document.xml"
_STARTS = {INSERTED: "ins", DELETED: "del"}
_MOVES = {BLOCK_MOVED_FROM: "moveFrom", BLOCK_MOVED_TO: "moveTo"}
_BLOCK_STARTS = {BLOCK_INSERTED: "ins", BLOCK_DELETED: "del", **_MOVES}
_SORTS = {"ins": "ins", "moveTo": "ins", "del": "del", "moveFrom": "del"}  # what accepting does to it
_CHANGES = tuple(W + kind for kind in _SORTS)
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
    from lxml import etree

    parts = parts_of(tree)
    root = etree.fromstring(parts[_BODY])
    body = root.find(f"{W}body")
    _drop_title_lines(body)
    tracking = _Tracking(printable(author), made)
    tracking.container(body)
    tracking.ranges()
    parts[_BODY] = etree.tostring(root, encoding="UTF-8", standalone=True)
    if MARK.search(parts[_BODY].decode()):  # of titles and the like, which no change can be tracked in
        _without_marks_in_attributes(root)
        parts[_BODY] = etree.tostring(root, encoding="UTF-8", standalone=True)
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
        self._blocks: list[str] = []  # the marks that stand alone around what comes now, the innermost last
        self._moved: dict[str, list[Any]] = {}  # by its mark: the paragraphs, tables and rows of one place of a move

    @property
    def _block(self) -> str:
        """The change that what comes now stands in."""
        return _BLOCK_STARTS[self._blocks[-1][0]] if self._blocks else ""

    def ranges(self) -> None:
        """Put around each place of a move the range that tells which other place belongs to it."""
        for mark, elements in self._moved.items():
            kind, number = _MOVES[mark[0]], str(next(self._numbers))
            start, end = (_new(elements[0], f"{kind}Range{side}") for side in ("Start", "End"))
            for name, value in (("id", number), ("name", f"move{move_number(mark)}")):
                start.set(W + name, value)
            start.set(f"{W}author", self._author)
            start.set(f"{W}date", self._made)
            end.set(f"{W}id", number)
            elements[0].addprevious(start)
            elements[-1].addnext(end)

    def _remember(self, element: Any, mark: str) -> None:
        if mark and mark[0] in _MOVES:
            self._moved.setdefault(mark, []).append(element)

    def container(self, parent: Any) -> None:
        """Track everything in a body or a cell.

        The end of a paragraph that goes joins it to the next one. Before a table and at the end of a cell there
        is none to join: a gap, a paragraph without words, is put there.
        """
        outside = len(self._blocks)
        for element in list(parent):
            if element.tag == f"{W}p" and self._is_lone_mark(element):
                parent.remove(element)
                continue
            self._remember(element, "".join(self._blocks[outside : outside + 1]))
            if element.tag == f"{W}p":
                self._paragraph(element)
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
        if mark is None or _sort(last) != _sort(mark) or last is paragraph[0]:
            return
        before = last.getprevious()
        if before.tag in _CHANGES:
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
        kinds = ("ins", "del") if _sort(mark) == "ins" else ("del", "ins")
        changes = [self._change(paragraph, kind) for kind in kinds]
        for change, kind in zip(changes, kinds, strict=True):
            change.append(_in_change(copy.deepcopy(letter), kind))
        last.addprevious(changes[0])
        last.addnext(changes[1])

    def _is_lone_mark(self, paragraph: Any) -> bool:
        text = "".join(node.text or "" for node in paragraph.iter(f"{W}t"))
        mark = MARK.fullmatch(text)
        if mark is None or text[0] not in (*_BLOCK_STARTS, BLOCK_END):
            return False
        if text == BLOCK_END:
            self._blocks.pop()
        else:
            self._blocks.append(text)
        return True

    def _paragraph(self, paragraph: Any) -> None:
        text = "".join(node.text or "" for node in paragraph.iter(f"{W}t"))
        if not self._blocks and MARK.search(text) is None:
            return  # most of a text stays as it is
        own = next((mark[0] for mark in MARK.finditer(text) if mark[0][0] in _BLOCK_STARTS), "")
        whole = self._block or (_BLOCK_STARTS[own[0]] if own else "")
        self._remember(paragraph, "" if self._blocks else own)
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
        around = self._blocks
        for row in table.findall(f"{W}tr"):
            mark = MARK.match(next((node.text or "" for node in row.iter(f"{W}t")), ""))
            own = [mark[0]] if mark is not None and mark[0][0] in _BLOCK_STARTS else []
            self._blocks = [*around, *own]
            self._remember(row, "".join(own))
            if self._block:
                properties = row.find(f"{W}trPr")
                if properties is None:
                    properties = _new(row, "trPr")
                    whole = _new(row, "cantSplit")  # the schema wants a property before a mark
                    whole.set(f"{W}val", "off")
                    properties.append(whole)
                    row.insert(0, properties)
                properties.append(self._change(row, _SORTS[self._block]))
            for cell in row.findall(f"{W}tc"):
                self.container(cell)
                last = cell.find(f"{W}p[last()]/{W}pPr/{W}rPr")
                if self._block and last is not None:  # the end of a cell goes with its row
                    last.getparent().remove(last)
        self._blocks = around

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
            mark = _STARTS.get(found[0], mark if found[0] == TYPED else whole)
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
    return None if marks is None else next((c for c in marks if c.tag in _CHANGES), None)


def _sort(change: Any) -> str:
    """Return what accepting does to a change, or to what is none: it comes, goes, or stays."""
    return _SORTS.get(change.tag.removeprefix(W), "")


def _first_change(paragraph: Any) -> Any:
    """Return the change that a paragraph's words begin with, if they begin with one."""
    words = (f"{W}r", *_CHANGES)
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
