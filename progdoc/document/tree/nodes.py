"""What a document is, whatever the format it is printed in.

A tree of frozen values. Ids are stable: they come from the template, the requirement or the description,
never from a position, so that two revisions can be compared node by node. Writers walk the tree and know
no rule; a test proves that every writer handles every type listed in `INLINES` and `BLOCKS`.
"""

from __future__ import annotations

from dataclasses import field
from datetime import date
from enum import StrEnum

from progdoc.core.late_dataclass import dataclass
from progdoc.core.look import PLAIN, Look
from progdoc.core.paper_language import marked

__all__ = [
    "BLOCKS",
    "INLINES",
    "NOT_SETTLED",
    "Answer",
    "Block",
    "Cell",
    "CitationMark",
    "Column",
    "Document",
    "Emphasis",
    "FieldKind",
    "Figure",
    "FormField",
    "Formula",
    "Inline",
    "LineBreak",
    "Link",
    "ListItem",
    "Listing",
    "Notice",
    "OpenPoint",
    "Paragraph",
    "Reference",
    "RevisionEntry",
    "Row",
    "Section",
    "Signatures",
    "Strong",
    "Table",
    "Text",
]

# ---- inline -------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Text:
    """Words. `path` is the place in the description they came from, empty for the template's own words.

    `language` is the tag of their language where it is another than that of the document.
    """

    text: str
    path: str = ""
    language: str = ""


NOT_SETTLED = marked("not settled yet")  # printed in place of a text that only holds the place of an answer


@dataclass(frozen=True, slots=True)
class Strong:
    children: tuple[Inline, ...]


@dataclass(frozen=True, slots=True)
class Emphasis:
    children: tuple[Inline, ...]


@dataclass(frozen=True, slots=True)
class Link:
    """A way out of the document: another file of the set (relative) or a published place (https)."""

    href: str
    children: tuple[Inline, ...]


@dataclass(frozen=True, slots=True)
class Reference:
    """A way to another node, of this document or of one beside it. `text` is what is printed: "4.2 Fit testing"."""

    target: str
    text: str = ""  # filled in by `cross_references.resolved`
    document: str = ""  # the id of another document that holds the target; filled in likewise
    has_page: bool = False  # where there are pages, the one it leads to is printed behind it

    def address(self, ending: str) -> str:
        """Return where it leads to from a file of this ending.

        >>> Reference("medical").address("html"), Reference("matrix", document="annex").address("html")
        ('#medical', 'annex.html#matrix')
        """
        return f"{self.document}.{ending}#{self.target}" if self.document else f"#{self.target}"


@dataclass(frozen=True, slots=True)
class CitationMark:
    """The paragraph of law that the words before it answer; printed in small brackets, or not at all."""

    text: str


@dataclass(frozen=True, slots=True)
class LineBreak:
    pass


class FieldKind(StrEnum):
    """What is filled in: a line of words, several lines, a date, one of listed words, a box to tick."""

    LINE = "line"
    LINES = "lines"
    DATE = "date"
    CHOICE = "choice"
    BOX = "box"


@dataclass(frozen=True, slots=True)
class FormField:
    """A place to fill in, by hand or on the screen; stands in a paragraph or a cell.

    `label` is for those who do not see the words around it. `value` is what stands there already: of a choice one
    of the choices, of a box anything for ticked, of a date YYYY-MM-DD.
    """

    id: str
    label: str
    kind: FieldKind = FieldKind.LINE
    choices: tuple[str, ...] = ()
    value: str = ""
    lines: int = 3  # of a field of several
    is_fixed: bool = False  # it says what the paper is: nobody types into it


Inline = Text | Strong | Emphasis | Link | Reference | CitationMark | LineBreak | FormField
INLINES = (Text, Strong, Emphasis, Link, Reference, CitationMark, LineBreak, FormField)

# ---- blocks -------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Paragraph:
    id: str
    children: tuple[Inline, ...]


@dataclass(frozen=True, slots=True)
class ListItem:
    id: str
    blocks: tuple[Block, ...]


@dataclass(frozen=True, slots=True)
class Listing:
    """A list; an ordered one starts at 1 again."""

    id: str
    ordered: bool
    items: tuple[ListItem, ...]


@dataclass(frozen=True, slots=True)
class Column:
    title: str
    share: int = 1  # of the table's width
    numeric: bool = False  # set right


@dataclass(frozen=True, slots=True)
class Cell:
    children: tuple[Inline, ...]


@dataclass(frozen=True, slots=True)
class Row:
    id: str
    cells: tuple[Cell, ...]


@dataclass(frozen=True, slots=True)
class Table:
    """A table. Without a header its first column heads the rows (document control, key and value).

    A dense one is for looking things up, not for reading through: set in small type.
    """

    id: str
    caption: str  # printed with a number, "" for no caption
    columns: tuple[Column, ...]
    rows: tuple[Row, ...]
    has_header: bool = True
    number: int = 0  # filled in by `references.resolved` where there is a caption
    is_dense: bool = False
    is_whole: bool = False  # a short one that is read at one look: it stands on one page
    label: str = ""  # before its number; "" for that in English


@dataclass(frozen=True, slots=True)
class Figure:
    """A picture as SVG for the screen and PNG for Word, and the same said in words.

    One that somebody attached is a PNG alone, without SVG, and lies in the package as `file`.
    """

    id: str
    caption: str
    alternative: str
    svg: str
    png: bytes = b""
    number: int = 0
    file: str = ""
    label: str = ""  # before its number; "" for that in English


@dataclass(frozen=True, slots=True)
class Formula:
    """A line of working, set apart."""

    id: str
    text: str


@dataclass(frozen=True, slots=True)
class OpenPoint:
    """A place where the description is silent: stands out on the page and links to its gap."""

    id: str
    code: str
    text: str  # what is missing
    href: str  # of its gap in the gap report
    label: str = ""  # "" for that in English


@dataclass(frozen=True, slots=True)
class Notice:
    """Words that must not be overlooked. `kind`: danger, caution or note."""

    id: str
    kind: str
    blocks: tuple[Block, ...]
    label: str = ""  # "" for that of its kind in English


@dataclass(frozen=True, slots=True)
class Answer:
    """Blocks that answer requirements: printed as if they stood alone, but they know what they answer."""

    id: str
    codes: tuple[str, ...]
    citations: tuple[str, ...]
    blocks: tuple[Block, ...]


@dataclass(frozen=True, slots=True)
class Signatures:
    """Lines to sign on: who (role), name as known, and room for signature and date."""

    id: str
    lines: tuple[tuple[str, str], ...]  # (role, name)
    titles: tuple[str, ...] = ()  # of the four columns; () for those in English


@dataclass(frozen=True, slots=True)
class Section:
    """A headed part. `number` ("4.2", "A") is filled in by `references.resolved`."""

    id: str
    title: str
    blocks: tuple[Block, ...]
    is_annex: bool = False  # lettered at the top
    number: str = ""
    starts_page: bool = False  # on paper
    is_folded: bool = False  # on a screen shut until it is asked for, on paper open
    label: str = ""  # before the letter of an annex; "" for that in English


Block = Section | Paragraph | Listing | Table | Figure | Formula | OpenPoint | Notice | Answer | Signatures
BLOCKS = (Section, Paragraph, Listing, Table, Figure, Formula, OpenPoint, Notice, Answer, Signatures)


@dataclass(frozen=True, slots=True)
class RevisionEntry:
    revision: str
    date: str
    by: str
    summary: str


@dataclass(frozen=True, slots=True)
class Document:
    """A whole document: what the cover, the header and the properties say, and its sections."""

    id: str  # "program", "gaps", "tasks.scrape-paint"
    title: str
    organisation: str
    revision: str  # "" where the document has none of its own
    as_of: date
    draft: bool  # marks every page DRAFT
    blocks: tuple[Block, ...]  # sections, or bare blocks in a short document
    effective: str = ""
    officer: str = ""
    history: tuple[RevisionEntry, ...] = ()
    has_cover: bool = False  # title block, document control, revision history, contents
    paper: str = "Letter"  # or "A4"
    language: str = "en-US"
    shows_citations: bool = True
    keywords: tuple[str, ...] = field(default=())
    is_one_side: bool = False  # a page to hang up: what its foot tells anyway stands nowhere else
    contents_after: str = ""  # the section below which the contents stand; before all where there is none
    alerts: tuple[str, ...] = ()  # what anybody must read first, in danger letters under the title
    look: Look = PLAIN  # the firm's own, where it has one
    is_ahead: bool = False  # looks forward to its day, on which nobody evaluates anything yet
    open_texts: frozenset[str] = frozenset()  # the places whose text only holds the place of an answer
    repeats: tuple[str, ...] = ()  # ids of blocks that other documents hold too, as the same objects
    saves_as: str = ""  # the name under which a browser keeps what was filled in; "" for a page without that
