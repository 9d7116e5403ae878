"""The document tree as plain data, in the words that the layout `templates/page.typ` reads.

Nothing of the tree is ever written as markup: it travels as JSON, and the layout sets its strings as text. So
there is nothing to escape, and nothing that a user may type is run. Knows nothing of looks but one thing the
layout can't find out: where a word is longer than its line, or a row too tall to stay in one piece.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Mapping, Sequence
from dataclasses import field
from typing import Any, assert_never

from progdoc.core.late_dataclass import dataclass
from progdoc.core.printable import printable
from progdoc.document.tree.cross_references import section_label
from progdoc.document.tree.nodes import (
    Answer,
    Block,
    Cell,
    CitationMark,
    Emphasis,
    FieldKind,
    Figure,
    FormField,
    Formula,
    Inline,
    LineBreak,
    Link,
    Listing,
    Notice,
    OpenPoint,
    Paragraph,
    Reference,
    Row,
    Section,
    Signatures,
    Strong,
    Table,
    Text,
)
from progdoc.writers.allowed_links import is_allowed_href
from progdoc.writers.column_widths import column_widths
from progdoc.writers.inline_svg import inline_svg
from progdoc.writers.pdf_form.field_places import PLACE, Widget
from progdoc.writers.wording import NOTICE_LABELS, OPEN_POINT_LABEL, SIGNATURE_TITLES, leads_on, ticked

__all__ = ["TITLE_WIDTH", "Data", "TreeData", "plain_table_data", "text_data"]

# Widths in em of the text's own size, narrower than they are: a word is rather broken too early than cut off.
_TEXT_WIDTH = 36.0
_HEADING_WIDTH = 22.0
TITLE_WIDTH = 17.0
_TABLE_WIDTH = 46.0
_CELL_EDGES = 1.0
_DENSE = 8.3 / 9.5  # of the type of other tables: `templates/page.typ`
_SIGNING_WIDTH = 10.0  # of role and name
_NARROW, _WIDE = frozenset("fijlrstI.,:;!'|()[]/"), frozenset("mwMW@%—…")
_LAST_LATIN = "\u024f"
_TYPICAL_LETTER = 0.55
_TALLEST_WHOLE_ROW = 30  # lines; a taller row may run over a page's end, or it would be cut off there
_LONGEST_ADDRESS = 2000
_WORD = re.compile(r"[^ \n-]+")
_SVG = '<svg xmlns="http://www.w3.org/2000/svg" '

Data = dict[str, Any]


def text_data(text: str, room: float = _TEXT_WIDTH) -> str:
    """Return text for the layout, with places to break a word that is wider than `room`, in em.

    >>> text_data("ab cdefgh", 2.0).split("\\u200b")
    ['ab cde', 'fgh']
    """
    clean = printable(text).replace("\t", " ").replace("\xad", "")  # typst fails at a link that a soft hyphen ends
    if len(clean) <= room:  # no letter is wider than an em
        return clean
    return _WORD.sub(lambda word: _breakable(word[0], room), clean)


def _breakable(word: str, room: float) -> str:
    if len(word) <= room or sum(map(_width, word)) <= room:
        return word
    pieces, width = [""], 0.0
    for letter in word:
        width += _width(letter)
        if width > room and pieces[-1]:
            pieces.append("")
            width = _width(letter)
        pieces[-1] += letter
    return "\u200b".join(pieces)


def _width(letter: str) -> float:
    if letter in _NARROW:
        return 0.4
    if letter in _WIDE or letter > _LAST_LATIN:
        return 1.0
    return 0.58 if letter.isascii() and not letter.isupper() else 0.8


@dataclass(slots=True)
class TreeData:
    """Turns blocks into data, and gathers which places are there and which are pointed at."""

    shows_citations: bool
    has_pages: bool = False  # a reference that asks for it gets the page it leads to
    prefix: str = ""  # before each id, where several papers are bound into one file
    places: Mapping[str, str] = field(default_factory=dict)  # where other papers are, by their ids: "#2/"
    outlined_to: int = 9  # the deepest level of headings that the contents tell
    is_fillable: bool = False  # whether a field is a place for `pdf_form`, with a number
    widgets: list[Widget] = field(default_factory=list)  # by their numbers
    ids: set[str] = field(default_factory=set)
    wanted: set[str] = field(default_factory=set)

    def blocks(self, blocks: tuple[Block, ...], level: int = 1) -> list[Data]:
        """Return the blocks as data; `level` is that of a heading here."""
        return [self._block(block, level) for block in blocks]

    def _block(self, block: Block, level: int) -> Data:
        data: Data = {"type": type(block).__name__, "id": self._known(block.id)}
        match block:
            case Section():
                data |= {"level": level, "label": section_label(block), "title": text_data(block.title, _HEADING_WIDTH)}
                inside = self.blocks(block.blocks, level + 1)
                is_told = level <= self.outlined_to
                return data | {"starts-page": block.starts_page, "outlined": is_told, "blocks": inside}
            case Paragraph():
                return data | {"words": self._words(block.children), "leading": leads_on(block)}
            case Listing():
                items = [
                    {"id": self._known(item.id), "blocks": self.blocks(item.blocks, level)} for item in block.items
                ]
                return data | {"ordered": block.ordered, "items": items}
            case Table():
                return data | self._table(block)
            case Figure():
                return data | _figure(block)
            case Formula():
                return data | {"text": text_data(block.text)}
            case OpenPoint():
                label, code = block.label or OPEN_POINT_LABEL, self._link(block.href, [text_data(block.code)])
                return data | {"label": label, "code": code, "text": text_data(block.text)}
            case Notice():
                kind = block.kind if block.kind in NOTICE_LABELS else "note"
                return data | {
                    "kind": kind,
                    "label": block.label or NOTICE_LABELS[kind],
                    "blocks": self.blocks(block.blocks, level),
                }
            case Answer():
                return data | {"blocks": self.blocks(block.blocks, level)}
            case Signatures():
                lines = [
                    [text_data(role, _SIGNING_WIDTH), text_data(name, _SIGNING_WIDTH)] for role, name in block.lines
                ]
                return data | {"titles": block.titles or SIGNATURE_TITLES, "lines": lines}
            case _:
                assert_never(block)

    # ---- tables -------------------------------------------------------------------------------------------

    def _table(self, table: Table) -> Data:
        shares = column_widths(table.columns, _TABLE_WIDTH, _DENSE if table.is_dense else 1.0, _CELL_EDGES)
        rooms = _rooms(shares)
        # The layout hyphenates titles, which are ours; only what no hyphen could help is broken here.
        titles = [text_data(column.title, 2 * room) for column, room in zip(table.columns, rooms, strict=True)]
        return {
            "caption": text_data(table.caption),
            "label": table.label or "Table",
            "number": table.number,
            "shares": [round(share, 3) for share in shares],
            "numeric": [column.numeric for column in table.columns],
            "dense": table.is_dense,
            "whole": table.is_whole,
            "titles": titles if table.has_header else [],
            "rows": [self._row(row, rooms) for row in table.rows],
        }

    def _row(self, row: Row, rooms: list[float]) -> Data:
        cells = (*row.cells, *[Cell(())] * (len(rooms) - len(row.cells)))
        words = [self._words(cell.children, room) for cell, room in zip(cells, rooms, strict=True)]
        height = max(_height(one, room) for one, room in zip(words, rooms, strict=True))
        return {"id": self._known(row.id), "cells": words, "whole": height <= _TALLEST_WHOLE_ROW}

    # ---- words --------------------------------------------------------------------------------------------

    def _words(self, children: tuple[Inline, ...], room: float = _TEXT_WIDTH, linked: bool = False) -> list[Any]:
        words: list[Any] = []
        for child in children:
            words += self._inline(child, room, linked)
        return words

    def _inline(self, node: Inline, room: float, linked: bool) -> list[Any]:
        """Return a node as strings and marked words. `linked`: inside a link, which can't hold another one."""
        match node:
            case Text():
                words = _lines(text_data(node.text, room))
                return [_in_tongue(node.language, words)] if node.language else words
            case Strong():
                return [{"type": "Strong", "words": self._words(node.children, room, linked)}]
            case Emphasis():
                return [{"type": "Emphasis", "words": self._words(node.children, room, linked)}]
            case Link():
                if linked or not is_allowed_href(node.href):
                    return self._words(node.children, room, linked)
                return self._link(node.href, self._words(node.children, room, linked=True))
            case Reference():
                words = _lines(text_data(node.text or node.target, room))
                href = self._address(node)
                found = words if linked else self._link(href, words)
                if node.has_page and self.has_pages and href.startswith("#") and not linked:
                    self.wanted.add(href[1:])
                    found += [{"type": "PageOf", "target": href[1:]}]
                return found
            case CitationMark():
                return [{"type": "CitationMark", "text": text_data(node.text, room)}] if self.shows_citations else []
            case LineBreak():
                return [{"type": "LineBreak"}]
            case FormField():
                self._known(node.id)
                return self._field(node, room)
            case _:
                assert_never(node)

    def _field(self, field: FormField, room: float) -> list[Any]:
        """Return what is filled in already, or room for a pen; where it is to be typed, as places for that."""
        match field.kind:
            case FieldKind.BOX:
                return self._place(field, [_box(bool(field.value))])
            case FieldKind.CHOICE:
                choices: list[Any] = []
                for number, choice in enumerate(field.choices):
                    box = self._place(field, [_box(choice == field.value)], number)
                    choices += [*box, f"\u00a0{text_data(choice, room)}   "]
                return choices
            case _ if field.value:
                return self._place(field, _lines(text_data(field.value, room)))
            case _:
                lines = field.lines if field.kind is FieldKind.LINES else 1
                return self._place(field, [{"type": "Room", "lines": lines}])

    def _place(self, field: FormField, words: list[Any], choice: int = 0) -> list[Any]:
        if not self.is_fillable:
            return words
        self.widgets.append(Widget(field, choice))
        is_box = field.kind in (FieldKind.BOX, FieldKind.CHOICE)
        return [{"type": "Field", "href": f"{PLACE}{len(self.widgets) - 1}", "is-box": is_box, "words": words}]

    def _known(self, identity: str) -> str:
        """Return what a place is called in the file, and remember that it is there."""
        name = f"{self.prefix}{identity}"
        self.ids.add(name)
        return name

    def _address(self, node: Reference) -> str:
        """Return where a reference leads: to a place in this file, or to another file."""
        if not node.document:
            return f"#{self.prefix}{node.target}"
        place = self.places.get(node.document, f"{node.document}.pdf")
        return f"{place}{node.target}" if place.startswith("#") else place

    def _link(self, href: str, words: list[Any]) -> list[Any]:
        """Return the words as a link; as they are where none can be: typst fails at one that shows nothing."""
        if not any(_shows(text) for text in _flat(words) if text is not None):
            return words
        if href.startswith("#"):
            self.wanted.add(href[1:])
            return [{"type": "Reference", "target": href[1:], "words": words}]
        if not is_allowed_href(href) or len(href) > _LONGEST_ADDRESS:
            return words
        return [{"type": "Link", "href": href, "words": words}]


def plain_table_data(titles: tuple[str, ...], shares: tuple[int, ...], lines: tuple[tuple[str, ...], ...]) -> Data:
    """Return a table of plain text for the title block; without titles its first column heads the rows."""
    rooms = _rooms(shares)
    rows = [
        {
            "id": "",
            "cells": [_lines(text_data(value, room)) for value, room in zip(line, rooms, strict=True)],
            "whole": True,
        }
        for line in lines
    ]
    return {
        "type": "Table",
        "id": "",
        "caption": "",
        "label": "",
        "number": 0,
        "shares": shares,
        "numeric": [False] * len(shares),
        "dense": False,
        "whole": False,
        "titles": titles,
        "rows": rows,
    }


def _figure(figure: Figure) -> Data:
    """Return the drawing, checked and cleaned as for a page of HTML, made a file of its own again; or the picture."""
    shown: Data = {"format": "png", "bytes": [*figure.png]}
    if figure.svg:
        drawing = inline_svg(figure.svg, figure.id, figure.caption or "Figure", figure.alternative)
        shown = {"format": "svg", "bytes": drawing.replace("<svg ", _SVG, 1)}
    return shown | {
        "caption": text_data(figure.caption),
        "label": figure.label or "Figure",
        "number": figure.number,
        "alternative": printable(figure.alternative),
        "words": text_data(figure.alternative),
    }


def _box(is_ticked: bool) -> Data:
    return {"type": "Box", "text": ticked(is_ticked)}


def _in_tongue(tag: str, words: list[Any]) -> Data:
    language, _, region = tag.partition("-")
    return {"type": "Tongue", "language": language, "region": region or None, "words": words}


def _shows(text: str) -> bool:
    """Return whether any of it can be seen."""
    return any(unicodedata.category(letter)[0] in "LNPS" for letter in text)


def _lines(text: str) -> list[Any]:
    words: list[Any] = []
    for line in text.split("\n"):
        words += [{"type": "LineBreak"}, line]
    return words[1:]


def _rooms(shares: Sequence[float]) -> list[float]:
    """Return how wide the columns are inside."""
    return [max(_TABLE_WIDTH * share / sum(shares) - _CELL_EDGES, 1.0) for share in shares]


def _height(words: list[Any], room: float) -> float:
    """Return about how many lines the words take in a column."""
    texts = _flat(words)
    letters = sum(len(text) for text in texts if text is not None)
    return 1 + texts.count(None) + letters * _TYPICAL_LETTER / room


def _flat(words: list[Any]) -> list[str | None]:
    """Return the strings among marked words, and None for a line's end."""
    flat: list[str | None] = []
    for word in words:
        if isinstance(word, str):
            flat.append(word)
        elif word["type"] == "LineBreak":
            flat.append(None)
        elif word["type"] == "Room":
            flat += [None] * 2 * word["lines"]
        else:
            flat += _flat(word.get("words", [word.get("text", "")]))
    return flat
