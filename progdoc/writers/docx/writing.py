"""What one writing of a document carries along: names, numbering, and the parts outside the text."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import field
from itertools import count

from progdoc.core.late_dataclass import dataclass
from progdoc.writers.docx.bookmarks import Bookmarks
from progdoc.writers.docx.numbering import Numbering

__all__ = ["Picture", "Place", "Writing"]


@dataclass(frozen=True, slots=True)
class Picture:
    """A picture in the package: its relationship, and its own size.

    A drawing is there twice: as points for old programs, and as lines and letters in the document's own type.
    """

    relationship: str
    width_emu: int
    height_emu: int
    as_drawing: str = ""  # relationship


@dataclass(slots=True)
class Writing:
    bookmarks: Bookmarks
    numbering: Numbering
    link: Callable[[str], str]  # address → relationship
    picture: Callable[[bytes, str], Picture]  # points, and the drawing if it is one
    shows_citations: bool
    has_pages: bool  # the page of each bookmark will be known
    captions: dict[str, int] = field(default_factory=dict)  # how far Word has counted, by label
    drawings: Iterator[int] = field(default_factory=lambda: count(1))
    controls: Iterator[int] = field(default_factory=lambda: count(2001))  # 1001 is the contents'


@dataclass(frozen=True, slots=True)
class Place:
    """Where a block stands. Lengths in twentieths of a point."""

    width: int
    left: int = 0
    depth: int = 1  # of a heading here
    list_level: int = 0
    is_annex: bool = False
    starts_page: bool = False  # the first section after the contents
    before_table: bool = False  # whose words stand on the page of its first row

    @property
    def indent(self) -> str:
        """Return the paragraph property that keeps a block inside its list."""
        return f'<w:ind w:left="{self.left}"/>' if self.left else ""
