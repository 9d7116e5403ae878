"""The text of a firm's own section to nodes: paragraphs, lists, tables, headings, strong words, and nothing else.

Read line by line, by signs at the beginning of a line that people who type lists use anyway. What is none of these is
text, letter for letter: there is no link, no picture by address, no raw HTML to be had. No word is ever lost: a list
that does not count from 1 in ones, and a table without its line of dashes, stay as they were typed.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import field

from progdoc.core.late_dataclass import dataclass
from progdoc.document.tree.nodes import (
    Block,
    Cell,
    Column,
    Figure,
    Inline,
    Listing,
    ListItem,
    Paragraph,
    Row,
    Section,
    Strong,
    Table,
    Text,
)

__all__ = ["own_text_blocks"]

_HEADING = re.compile(r"(#{1,6}) (?=\S)")
_POINT = re.compile(r"( *)(?:([-*•])|([0-9]{1,3})[.)]) (?=\S)")
_FIGURE = re.compile(r"figure: ([a-z0-9-]+)")
_DASHES = re.compile(r":?-+:?")
_DEEPEST_LIST, _DEEPEST_HEADING = 3, 2


def own_text_blocks(text: str, base: str, path: str, figures: Mapping[str, Figure]) -> tuple[Block, ...]:
    """Return a text as blocks; its headings become sections, its figures stand where it names them, the others last.

    `base`: what the ids of the blocks begin with; `path`: where the text stands in the description.
    """
    reader = _Reader(base, path, dict(figures))
    for lines in _groups(text):
        reader.take(lines)
    reader.take_left_figures()
    return reader.done()


def _groups(text: str) -> Iterator[list[str]]:
    """Yield the lines between empty lines; the space before them stays, since it tells what belongs to what."""
    group: list[str] = []
    for line in text.split("\n"):
        if line.strip():
            group.append(line.rstrip())
        elif group:
            yield group
            group = []
    if group:
        yield group


@dataclass(slots=True)
class _Item:
    words: list[str]
    inner: list[_List] = field(default_factory=list)


@dataclass(slots=True)
class _List:
    indent: int
    ordered: bool
    items: list[_Item] = field(default_factory=list)


@dataclass(slots=True)
class _Part:
    """A heading that is being filled, or the text before the first."""

    level: int
    title: str
    blocks: list[Block] = field(default_factory=list)


class _Reader:
    def __init__(self, base: str, path: str, figures: dict[str, Figure]) -> None:
        self._base, self._path, self._figures = base, path, figures
        self._parts = [_Part(0, "")]
        self._counts: dict[str, int] = {}
        self._lists: list[_List] = []  # the open ones, the outermost first

    # ---- lines ------------------------------------------------------------------------------------------

    def take(self, lines: list[str]) -> None:
        """Read lines that no empty line parts."""
        words: list[str] = []  # of the paragraph that is open
        rest = iter(range(len(lines)))
        for n in rest:
            line = lines[n]
            rows = _rows_at(lines, n)
            heading, figure, point = _HEADING.match(line), _FIGURE.fullmatch(line.strip()), _POINT.match(line)
            if rows:
                self._close(words)
                self._add(self._table(rows))
                for _ in range(len(rows)):  # and the line of dashes
                    next(rest)
            elif heading:
                self._close(words)
                self._open(len(heading[1]), line[heading.end() :].strip(" #"))
            elif figure and figure[1] in self._figures:
                self._close(words)
                self._add(self._figures.pop(figure[1]))
            elif point and self._point(point, line[point.end() :], words):
                words = []
            elif self._lists and not words and (line.startswith(" ") or n > 0):
                self._lists[-1].items[-1].words.append(line.strip())
            else:
                self._end_lists()
                words.append(line.strip())
        if words:
            self._close(words)

    def _close(self, words: list[str]) -> None:
        """End the open paragraph and the open lists."""
        self._end_lists()
        if words:
            self._add(Paragraph(self._id("p"), self._inlines(" ".join(words))))
            words.clear()

    def _point(self, point: re.Match[str], text: str, words: list[str]) -> bool:
        """Take a line as an item of a list, and tell whether it is one."""
        indent, number = len(point[1]), point[3]
        ordered = number is not None
        depth = sum(one.indent < indent for one in self._lists)
        depth = min(depth, _DEEPEST_LIST - 1) if self._lists else 0
        same = self._lists[depth] if depth < len(self._lists) else None
        goes_on = same is not None and same.ordered == ordered
        if ordered and int(number) != (len(same.items) + 1 if goes_on and same else 1):
            return False
        if words:
            self._close(words)
            depth, goes_on = 0, False
        if goes_on and same is not None:
            del self._lists[depth + 1 :]
            same.items.append(_Item([text]))
            return True
        opened = _List(indent, ordered, [_Item([text])])
        if depth:
            del self._lists[depth:]
            self._lists[-1].items[-1].inner.append(opened)
        else:
            self._end_lists()
        self._lists.append(opened)
        return True

    def _end_lists(self) -> None:
        if self._lists:
            self._add(self._listing(self._lists[0], self._id("list")))
            self._lists.clear()

    # ---- nodes ------------------------------------------------------------------------------------------

    def _id(self, kind: str) -> str:
        self._counts[kind] = self._counts.get(kind, 0) + 1
        return f"{self._base}.{kind}{self._counts[kind]}"

    def _add(self, block: Block) -> None:
        self._parts[-1].blocks.append(block)

    def _open(self, signs: int, title: str) -> None:
        deepest = max((part.level for part in self._parts), default=0)
        self._shut(min(signs, _DEEPEST_HEADING, deepest + 1))
        self._parts.append(_Part(min(signs, _DEEPEST_HEADING, self._parts[-1].level + 1), title))

    def _shut(self, level: int) -> None:
        """End the parts at this level and below it."""
        while self._parts[-1].level >= level:
            done = self._parts.pop()
            self._add(Section(self._id("part"), done.title, tuple(done.blocks)))

    def _listing(self, one: _List, identity: str) -> Listing:
        items = []
        for n, item in enumerate(one.items, 1):
            name = f"{identity}.item{n}"
            blocks: list[Block] = [Paragraph(f"{name}.p", self._inlines(" ".join(item.words)))]
            blocks += [self._listing(inner, f"{name}.list{k}") for k, inner in enumerate(item.inner, 1)]
            items.append(ListItem(name, tuple(blocks)))
        return Listing(identity, one.ordered, tuple(items))

    def _table(self, rows: list[list[str]]) -> Table:
        identity, titles = self._id("table"), rows[0]
        body = tuple(
            Row(f"{identity}.row{n}", tuple(Cell(self._inlines(cell)) for cell in _filled(row, len(titles))))
            for n, row in enumerate(rows[1:], 1)
        )
        return Table(identity, "", tuple(Column(title.replace("**", "")) for title in titles), body)

    def _inlines(self, words: str) -> tuple[Inline, ...]:
        """Return words with those between two pairs of stars strong; a pair without its second stays as it is."""
        parts = words.split("**")
        if len(parts) % 2 == 0:
            parts[-2:] = [f"{parts[-2]}**{parts[-1]}"]
        return tuple(
            Strong((Text(part, self._path),)) if n % 2 else Text(part, self._path)
            for n, part in enumerate(parts)
            if part
        )

    # ---- the whole --------------------------------------------------------------------------------------

    def take_left_figures(self) -> None:
        """Put the figures that no line names behind the text."""
        self._end_lists()
        for figure in self._figures.values():
            self._add(figure)

    def done(self) -> tuple[Block, ...]:
        self._end_lists()
        self._shut(1)
        return tuple(self._parts[0].blocks)


def _rows_at(lines: list[str], n: int) -> list[list[str]]:
    """Return the cells of a table that begins at a line, its titles first; nothing where none does."""
    if not lines[n].lstrip().startswith("|") or n + 1 >= len(lines):
        return []
    titles, dashes = _cells(lines[n]), _cells(lines[n + 1])
    if not lines[n + 1].lstrip().startswith("|") or not all(map(_DASHES.fullmatch, dashes)):
        return []
    rows = [titles]
    for line in lines[n + 2 :]:
        if not line.lstrip().startswith("|"):
            break
        rows.append(_cells(line))
    if len(rows) == 1:
        return []
    width = max(map(len, rows))
    rows[0] = _filled(rows[0], width)
    return rows


def _cells(line: str) -> list[str]:
    """Return the cells of a row; a bar that belongs to a cell is written behind a backslash.

    >>> _cells(r"| a \\| b | c |")
    ['a | b', 'c']
    """
    inner = line.strip().replace("\\|", "\0").removeprefix("|").removesuffix("|")
    return [cell.strip().replace("\0", "|") for cell in inner.split("|")]


def _filled(row: list[str], width: int) -> list[str]:
    return [*row, *[""] * (width - len(row))]
