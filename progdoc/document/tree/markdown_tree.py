"""The Markdown that a template wrote to nodes.

Templates are written in Markdown because people edit them; it is parsed at once. What the parser does not
know (answers, tables and pictures made elsewhere, citations, cross-references) stands in the text as marker
characters and becomes nodes here. Raw HTML in a template stays plain text.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import field
from functools import lru_cache
from xml.etree.ElementTree import Element

from markdown import Markdown
from markdown.extensions.admonition import AdmonitionExtension
from markdown.extensions.attr_list import AttrListExtension
from markdown.extensions.sane_lists import SaneListExtension
from markdown.extensions.tables import TableExtension

from progdoc.core.errors import ProgdocError
from progdoc.core.late_dataclass import dataclass
from progdoc.document.tree.nodes import (
    Answer,
    Block,
    Cell,
    CitationMark,
    Column,
    Emphasis,
    Inline,
    LineBreak,
    Link,
    Listing,
    ListItem,
    Notice,
    Paragraph,
    Reference,
    Row,
    Section,
    Strong,
    Table,
)
from progdoc.document.tree.tokens import MARKERS, Tokens

__all__ = ["AnswerSlot", "Slots", "sections_of"]

_SHARES_OF_FACTS = (2, 9)  # of name and value
_KEPT = 128  # sections whose parsed text is kept: those of a few programs
_BEGIN = re.compile(f"{MARKERS['begin']}(.+?){MARKERS['stop']}")
_BLOCK = re.compile(f"{MARKERS['block']}(.+?){MARKERS['stop']}")
_INLINE = re.compile(f"([{MARKERS['cite']}{MARKERS['ref']}])(.+?){MARKERS['stop']}")


@dataclass(frozen=True, slots=True)
class AnswerSlot:
    """What an answer in the text stands for; without codes its blocks stand alone."""

    name: str  # the end of its id
    codes: tuple[str, ...]
    citations: tuple[str, ...]
    mark: str = ""  # printed behind its last words


@dataclass(slots=True)
class Slots:
    """What markers stand for: blocks by name, and answers by number."""

    blocks: Mapping[str, tuple[Block, ...]]
    answers: list[AnswerSlot] = field(default_factory=list)


def sections_of(markdown_text: str, tokens: Tokens, slots: Slots, language: str = "") -> tuple[Section, ...]:
    """Return the sections a template wrote; a section in which nothing is left is dropped.

    `language`: the tag of the template's own words, where it is another than that of the document.
    """
    return _Reader(tokens, slots, language).sections(_parsed(markdown_text))


@lru_cache(maxsize=_KEPT)
def _parsed(text: str) -> Element:
    """Return the element tree of a Markdown text, its inline signs resolved and raw HTML left as text.

    It is only read. Most sections of a second description of the same firm say the same: those are not parsed again.
    """
    # Named as text, each extension would be looked up among all installed packages, which takes longer than parsing.
    reader = Markdown(extensions=[AttrListExtension(), TableExtension(), SaneListExtension(), AdmonitionExtension()])
    reader.preprocessors.deregister("html_block")
    reader.inlinePatterns.deregister("html")
    lines = text.split("\n")
    for preprocessor in reader.preprocessors:
        lines = preprocessor.run(lines)
    root = reader.parser.parseDocument(lines).getroot()
    if root is None:
        raise ProgdocError("a template gave no Markdown at all")
    for processor in reader.treeprocessors:
        if processor is not reader.treeprocessors["prettify"]:
            root = processor.run(root) or root
    return root


@dataclass(slots=True)
class _Open:
    """A section that is being filled."""

    level: int
    id: str
    title: str
    starts_page: bool = False
    blocks: list[Block] = field(default_factory=list)


@dataclass(slots=True)
class _OpenAnswer:
    """An answer that is being filled."""

    slot: AnswerSlot
    id: str
    blocks: list[Block] = field(default_factory=list)


class _Reader:
    """Walks the element tree once, front to back."""

    def __init__(self, tokens: Tokens, slots: Slots, language: str) -> None:
        self._tokens = tokens
        self._language = language
        self._slots = slots
        self._counts: dict[str, int] = {}

    def sections(self, root: Element) -> tuple[Section, ...]:
        top = _Open(0, "", "")
        stack = [top]
        answers: list[_OpenAnswer] = []
        for element in root:
            if element.tag in ("h1", "h2", "h3", "h4"):
                if answers:
                    raise ProgdocError(f"template heading “{self._plain(element)}” stands inside an answer")
                self._open(element, stack)
                continue
            into = answers[-1] if answers else stack[-1]
            marker = (element.text or "").strip() if element.tag == "p" and not len(element) else ""
            if begin := _BEGIN.fullmatch(marker):
                slot = self._slots.answers[int(begin[1])]
                answers.append(_OpenAnswer(slot, f"{stack[-1].id}.{slot.name}"))
            elif marker == MARKERS["end"]:
                done = answers.pop()
                (answers[-1] if answers else stack[-1]).blocks.extend(self._answered(done))
            elif found := _BLOCK.fullmatch(marker):
                blocks = self._slots.blocks[found[1]]
                while any(isinstance(block, Section) for block in blocks) and stack[-1].level > 1:
                    self._close(stack)  # ready-made sections stand directly under the template's own
                (answers[-1] if answers else stack[-1]).blocks.extend(blocks)
            else:
                into.blocks.extend(self._block(element, into.id))
        while len(stack) > 1:
            self._close(stack)
        return tuple(block for block in top.blocks if isinstance(block, Section))

    def _open(self, element: Element, stack: list[_Open]) -> None:
        level = int(element.tag[1])
        while stack[-1].level >= level:
            self._close(stack)
        identity = element.get("id")
        if not identity:
            raise ProgdocError(f"template heading “{self._plain(element)}” needs an id: {{#id}}")
        stack.append(_Open(level, identity, self._plain(element), element.get("class") == "page"))

    def _answered(self, done: _OpenAnswer) -> list[Block]:
        """Return a finished answer, or its blocks alone where it answers nothing; an empty one is dropped."""
        blocks = _cited(done.blocks, done.slot.mark)
        if not blocks or not done.slot.codes:
            return blocks
        return [Answer(self._new_id(done.id), done.slot.codes, done.slot.citations, tuple(blocks))]

    def _close(self, stack: list[_Open]) -> None:
        done = stack.pop()
        if done.blocks:
            section = Section(done.id, done.title, tuple(done.blocks), starts_page=done.starts_page)
            stack[-1].blocks.append(section)

    def _new_id(self, stem: str) -> str:
        self._counts[stem] = self._counts.get(stem, 0) + 1
        return stem if self._counts[stem] == 1 else f"{stem}.{self._counts[stem]}"

    # ---- blocks -----------------------------------------------------------------------------------------

    def _block(self, element: Element, here: str) -> Iterator[Block]:
        if element.tag == "p":
            children = tuple(self._inlines(element))
            if children:
                yield Paragraph(element.get("id") or self._new_id(f"{here}.p"), children)
        elif element.tag in ("ul", "ol"):
            identity = element.get("id") or self._new_id(f"{here}.list")
            items = tuple(self._item(item, f"{identity}.item{i + 1}") for i, item in enumerate(element))
            yield Listing(identity, element.tag == "ol", items)
        elif element.tag == "table":
            yield self._table(element, element.get("id") or self._new_id(f"{here}.table"))
        elif element.tag == "div":
            kind = (element.get("class") or "admonition note").split()[-1]
            identity = self._new_id(f"{here}.{kind}")
            inner = (
                b for child in element if child.get("class") != "admonition-title" for b in self._block(child, identity)
            )
            yield Notice(identity, kind, tuple(inner))
        else:
            raise ProgdocError(f"templates have no use for <{element.tag}>")

    def _item(self, element: Element, identity: str) -> ListItem:
        inline_tags = ("strong", "em", "a", "br", "code")
        blocks: list[Block] = []
        loose = Element("p")
        loose.text = element.text
        for child in element:
            if child.tag in inline_tags:
                loose.append(child)
            else:
                if (loose.text or "").strip() or len(loose):
                    blocks.extend(self._block(loose, identity))
                    loose = Element("p")
                blocks.extend(self._block(child, identity))
        if (loose.text or "").strip() or len(loose):
            blocks.extend(self._block(loose, identity))
        return ListItem(identity, tuple(blocks))

    def _table(self, element: Element, identity: str) -> Table:
        titles = [self._plain(cell) for cell in element.iter("th")]
        rows = tuple(
            Row(f"{identity}.row{i + 1}", tuple(Cell(tuple(self._inlines(cell))) for cell in row.iter("td")))
            for i, row in enumerate(row for body in element.iter("tbody") for row in body.iter("tr"))
        )
        if not any(titles):  # a table of facts: its first column heads the rows
            columns = tuple(Column("", share) for share in _SHARES_OF_FACTS)
            return Table(identity, "", columns, rows, has_header=False)
        return Table(identity, "", tuple(Column(title) for title in titles), rows)

    # ---- inline -----------------------------------------------------------------------------------------

    def _inlines(self, element: Element) -> Iterator[Inline]:
        yield from self._words(element.text or "", first=True)
        for child in element:
            yield from self._inline(child)
            yield from self._words(child.tail or "")

    def _inline(self, child: Element) -> Iterator[Inline]:
        makers: dict[str, Callable[[tuple[Inline, ...]], Inline]] = {
            "strong": Strong,
            "em": Emphasis,
            "code": Emphasis,
        }
        if child.tag in makers:
            yield makers[child.tag](tuple(self._inlines(child)))
        elif child.tag == "a":
            yield Link(child.get("href", ""), tuple(self._inlines(child)))
        elif child.tag == "br":
            yield LineBreak()
        else:
            raise ProgdocError(f"templates have no use for <{child.tag}> in a line")

    def _words(self, words: str, first: bool = False) -> Iterator[Inline]:
        flat = re.sub(r"(?<!\s)\s*\n\s*", " ", words.lstrip() if first else words)
        place = 0
        for match in _INLINE.finditer(flat):
            before = flat[place : match.start()]
            yield from self._tokens.reveal(before.rstrip() if match[1] == MARKERS["cite"] else before, self._language)
            yield CitationMark(match[2]) if match[1] == MARKERS["cite"] else Reference(match[2])
            place = match.end()
        yield from self._tokens.reveal(flat[place:], self._language)

    def _plain(self, element: Element) -> str:
        """Return the words of an element without any look; user text in it takes its place."""
        return "".join(part.text for part in self._tokens.reveal("".join(element.itertext()).strip()))


def _cited(blocks: list[Block], mark: str) -> list[Block]:
    """Return the blocks with the citation set behind the last words, where the last block has words."""
    if not mark or not blocks:
        return blocks
    last = blocks[-1]
    if isinstance(last, Paragraph):
        return [*blocks[:-1], Paragraph(last.id, (*last.children, CitationMark(mark)))]
    if isinstance(last, Listing) and isinstance(last.items[-1].blocks[-1], Paragraph):
        item = last.items[-1]
        inner = _cited(list(item.blocks), mark)
        return [*blocks[:-1], Listing(last.id, last.ordered, (*last.items[:-1], ListItem(item.id, tuple(inner))))]
    return blocks
