"""On which page each heading comes to stand, so that the contents are complete when the file is opened.

Word asks its reader before it fills in page numbers itself, so they are reckoned here: lines are broken by the
widths of Arial, blocks set one below the other as the reference document's styles say. Words and pages break alike
in LibreOffice (a test compares them); another program or another font may differ by a line, and then a refresh
of the contents puts the numbers right. Refuses nothing: what it does not know takes no room.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import field, replace
from typing import Any, NamedTuple

from progdoc.core.late_dataclass import dataclass
from progdoc.writers.docx.looks import Look, Looks, TableLook, W
from progdoc.writers.letter_widths import NATURAL_LINE, text_width

__all__ = ["Pages", "pages_of_bookmarks"]

# A line may end at a space, after a dash, after a hyphen before a letter, and between ")" and "(".
_PIECE = re.compile(r"\n|\t|[ ]+|[^ \n\t]+?(?:–+|-+(?!\d)|(?<=\))(?=\()|(?=[ \n\t]|\Z))")
_TAB = 567.0
_TWIP_EMU = 635
_FEWEST_LINES = 2  # of a paragraph at the foot or head of a page
_EDGE = 2.0  # programs round a letter's place differently: no word is trusted to fit to the last hair
_HAIR = 0.5  # a twentieth of a point is not a reason for a new page


@dataclass(frozen=True, slots=True)
class _Box:
    """A piece of the page: lines of one height, or one row of a table."""

    lines: int
    line: float
    before: float = 0.0
    after: float = 0.0
    head: float = 0.0  # border above the first line
    foot: float = 0.0
    spare: float = 0.0  # height that takes no room at the foot of a page; below zero: more is needed there
    keeps_next: bool = False
    is_whole: bool = True
    starts_page: bool = False
    repeated: float = 0.0  # height of the header that comes again above this row
    names: tuple[str, ...] = ()

    @property
    def height(self) -> float:
        return self.head + self.lines * self.line + self.foot

    @property
    def least(self) -> float:
        """Return the height of the part at its beginning that must stand together."""
        if self.is_whole or self.lines < 2 * _FEWEST_LINES:
            return self.height
        return self.head + _FEWEST_LINES * self.line


class Pages(NamedTuple):
    """On which page each bookmark comes to stand, and which stand first on theirs."""

    of: dict[str, int]
    first: set[str]


@dataclass(slots=True)
class _Page:
    """Where the setting of the text stands."""

    height: float
    number: int = 1
    used: float = 0.0
    found: dict[str, int] = field(default_factory=dict)
    first: set[str] = field(default_factory=set)
    after: float = 0.0  # asked for below what stands last; the larger of two spaces holds

    @property
    def room(self) -> float:
        return self.height - self.used + _HAIR

    def has_room(self, height: float) -> bool:
        return height <= self.room

    def turn(self) -> None:
        self.number += 1
        self.used = self.after = 0.0


def pages_of_bookmarks(body: Any, looks: Looks, width: float, height: float) -> Pages:
    """Return the page of every bookmark in the text, from the text's width and height on a page."""
    page = _Page(height)
    boxes = list(_boxes(body, looks, width))
    for n, box in enumerate(boxes):
        if page.used and (box.starts_page or not page.has_room(_together(boxes, n, page.after))):
            page.turn()
        _set(box, page)
    return Pages(page.found, page.first)


def _together(boxes: list[_Box], n: int, after: float) -> float:
    """Return the height from here to the end of what must not be parted from this box."""
    height = 0.0
    while boxes[n].keeps_next and n + 1 < len(boxes):
        height += max(after, boxes[n].before) + boxes[n].height
        after = boxes[n].after
        n += 1
    return height + max(after, boxes[n].before) + boxes[n].least - boxes[n].spare


def _set(box: _Box, page: _Page) -> None:
    """Put a box on the page, and on the following ones as far as it goes."""
    if not page.used:
        page.first.update(box.names)
    if page.used:
        page.used += max(page.after, box.before)
    elif box.starts_page:
        page.used += box.before
    elif page.number > 1:
        page.used += box.repeated
    for name in box.names:
        page.found[name] = page.number
    page.used += box.head
    left = box.lines
    while not box.is_whole and not page.has_room(left * box.line + box.foot - box.spare):
        fitting = min(int((page.room + box.spare) // box.line), left - _FEWEST_LINES)
        left -= max(fitting, 0)
        page.turn()
    page.used += left * box.line + box.foot
    page.after = box.after


def _boxes(parent: Any, looks: Looks, width: float) -> Iterator[_Box]:
    for element in parent:
        match element.tag.removeprefix(W):
            case "p":
                yield _paragraph(element, looks, width)
            case "tbl":
                yield from _table(element, looks)
            case "sdt":
                yield from _boxes(element.find(f"{W}sdtContent"), looks, width)


def _paragraph(element: Any, looks: Looks, width: float) -> _Box:
    look = looks.paragraph(element)
    line = look.line if look.is_exact else round(look.size * NATURAL_LINE * look.line / 240)
    pictures = [int(extent.get("cy")) / _TWIP_EMU for extent in element.iter("{*}extent")]
    lines = _line_count(element, look, looks, width - look.left - look.right)
    if pictures:
        line = max(pictures)
    return _Box(
        lines,
        line,
        before=look.before,
        after=look.after,
        head=look.top_edge,
        foot=look.bottom_edge,
        spare=0.0 if look.is_exact else look.size * NATURAL_LINE * (look.line / 240 - 1),
        keeps_next=look.keeps_next,
        is_whole=look.keeps_lines or lines == 1,
        starts_page=look.starts_page,
        names=tuple(mark.get(f"{W}name") for mark in element.iter(f"{W}bookmarkStart")),
    )


def _line_count(element: Any, look: Look, looks: Looks, width: float) -> int:
    """Return how many lines the words take: broken at spaces and after hyphens, as many to a line as go."""
    lines, used, word = 1, 0.0 if look.is_numbered else look.first, 0.0
    pending = 0.0  # spaces before the word; they may hang over the end of a line
    texts = list(_texts(element, look, looks))
    if _goes_on_one(texts, width - _EDGE - used):
        return 1
    for text, run_look in texts:
        for piece in _PIECE.findall(text):
            if piece == "\n":
                lines, used, word, pending = lines + 1, 0.0, 0.0, 0.0
            elif piece == "\t":
                used, word, pending = (used + pending) // _TAB * _TAB + _TAB, 0.0, 0.0
            elif piece[0] == " ":
                pending += text_width(piece, run_look.size, run_look.is_bold)
                word = 0.0
            else:
                piece_width = text_width(piece, run_look.size, run_look.is_bold)
                if used + pending + piece_width > width - _EDGE and used > 0:
                    # A word set in two looks is not torn between them.
                    lines, used = lines + 1, word
                    pending = 0.0
                used += pending + piece_width
                pending = 0.0
                word = 0.0 if piece[-1] in "-–)" else word + piece_width
    return lines


def _goes_on_one(texts: list[tuple[str, Look]], room: float) -> bool:
    """Say whether words are sure to go on one line: most of a table's cells do, and need not be taken apart."""
    for text, look in texts:
        room -= text_width(text, look.size, look.is_bold)
        if room < _HAIR or "\n" in text or "\t" in text:
            return False
    return True


def _texts(element: Any, look: Look, looks: Looks) -> Iterator[tuple[str, Look]]:
    for run in element.iter(f"{W}r"):
        run_look = looks.run(run, look)
        for part in run:
            match part.tag.removeprefix(W):
                case "t":
                    yield (part.text or "").upper() if run_look.is_capitals else part.text or "", run_look
                case "br":
                    yield "\n", run_look
                case "tab":
                    yield "\t", run_look


def _table(table: Any, looks: Looks) -> Iterator[_Box]:
    look = looks.table(table.find(f"{W}tblPr/{W}tblStyle").get(f"{W}val"))
    rows = table.findall(f"{W}tr")
    repeated = 0.0
    for n, row in enumerate(rows):
        above = look.top_line if n == 0 else look.inner_line
        below = look.bottom_line if n == len(rows) - 1 else 0.0
        properties = row.find(f"{W}trPr")
        if properties is None:  # a notice: its frame may break between its blocks
            yield from _notice(row, looks, look)
            continue
        height = max(_cell_height(cell, looks, look) for cell in row.findall(f"{W}tc"))
        asked = properties.find(f"{W}trHeight")
        if asked is not None:
            height = max(height, float(asked.get(f"{W}val")) - above)
        is_header = properties.find(f"{W}tblHeader") is not None
        keeps = is_header or row.find(f"{W}tc/{W}p/{W}pPr/{W}keepNext") is not None
        closing = below - look.bottom_line  # the line below a table is drawn wherever a page ends in it
        yield _Box(1, height, head=above, foot=below, spare=closing, keeps_next=keeps, repeated=repeated)
        repeated = look.top_line + height if is_header else repeated


def _notice(row: Any, looks: Looks, frame: TableLook) -> Iterator[_Box]:
    cell = row.find(f"{W}tc")
    width = float(cell.find(f"{W}tcPr/{W}tcW").get(f"{W}w")) - frame.sides
    *boxes, last = _boxes(cell, looks, width)
    yield _Box(1, frame.top, head=frame.top_line, keeps_next=True)
    yield from boxes
    yield replace(last, keeps_next=True)
    yield _Box(1, frame.bottom, foot=frame.bottom_line)


def _cell_height(cell: Any, looks: Looks, table: TableLook) -> float:
    width = float(cell.find(f"{W}tcPr/{W}tcW").get(f"{W}w")) - table.sides
    boxes = [_paragraph(element, looks, width) for element in cell.findall(f"{W}p")]
    return table.top + table.bottom + sum(box.before + box.height + box.after for box in boxes)
