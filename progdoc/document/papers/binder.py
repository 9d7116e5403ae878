"""All papers of a program in one order, as they go into a binder: behind numbered tabs, with a page of contents.

Takes the papers as they are and changes nothing in them. What names workers is another binder, which is kept apart.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace

from progdoc.core.late_dataclass import dataclass
from progdoc.core.paper_language import ENGLISH, marked
from progdoc.document.blocks.attachment_blocks import grouped_checksum
from progdoc.document.blocks.translation_blocks import in_each, more_languages
from progdoc.document.papers.people_annex import RESTRICTED_WORDS
from progdoc.document.tree.nodes import (
    Block,
    Cell,
    Column,
    Document,
    Figure,
    Inline,
    Link,
    Notice,
    Paragraph,
    Row,
    Strong,
    Table,
    Text,
)
from progdoc.model.description.program import Attachment
from progdoc.rules.judged.result import Judged

__all__ = [
    "Binder",
    "BoundPaper",
    "Tab",
    "Titles",
    "attachment_sheet",
    "contents_page",
    "public_binder",
    "restricted_binder",
]

_ABOUT = marked("Each paper has its place in this binder and pages of its own: the foot of each sheet tells both.")


@dataclass(frozen=True, slots=True)
class BoundPaper:
    """A paper in its place. `number` is that of its tab, or "3.2" where there are several; `file` its name in the
    folder, which sorts as the papers are bound."""

    number: str
    file: str
    document: Document


@dataclass(frozen=True, slots=True)
class Tab:
    """What lies behind one tab. A single paper needs no sheet before it that says what follows."""

    number: int
    title: str
    papers: tuple[BoundPaper, ...]

    @property
    def has_sheet(self) -> bool:
        return len(self.papers) > 1


@dataclass(frozen=True, slots=True)
class Titles:
    """What the columns of its lists are called, in each language of the firm."""

    number: str
    tab: str
    paper: str


@dataclass(frozen=True, slots=True)
class Binder:
    """`cover` has no blocks of its own but what the binder says of itself."""

    cover: Document
    tabs: tuple[Tab, ...]
    titles: Titles


def public_binder(
    judged: Judged, program: Document, annex: Document, groups: Mapping[str, Mapping[str, Document]]
) -> Binder:
    """Return the binder that everybody may read.

    Parameters
    ----------
    program, annex
        Each stands behind a tab of its own.
    groups
        The other papers, in their order, by the title of their tab and by their name there.
    """
    tabs = {program.title: {"program": program}, annex.title: {"annex": annex}, **groups}
    notes = (_said(f"about.{language.code}", language.say(_ABOUT)) for language in (ENGLISH, *more_languages(judged)))
    titles = Titles(in_each("No.", judged), in_each("Tab", judged), in_each("Paper", judged))
    title = f"{in_each('Binder', judged)}: {program.title}"
    return Binder(_cover(judged, program, title, tuple(notes)), tuple(_tabs(tabs)), titles)


def restricted_binder(
    judged: Judged, people: Mapping[str, Document], cards: Mapping[str, Document], volume: str, of: Document
) -> Binder:
    """Return the binder, or a volume of it, that names workers; `of` is the program that it belongs to.

    `people`: the annex by its name there, in each language of the firm's. `volume`: "2 / 3"; empty where there is one.
    """
    tabs = {in_each("People annex", judged): people} if people else {}
    words = (
        _said(f"restricted.{language.code}", language.say(RESTRICTED_WORDS))
        for language in (ENGLISH, *more_languages(judged))
    )
    title = in_each("Restricted binder", judged) + (f" ({volume})" if volume else "")
    titles = Titles(in_each("No.", judged), in_each("Tab", judged), in_each("Paper", judged))
    caution = Notice("restricted", "caution", tuple(words), in_each("Caution", judged))
    cover = _cover(judged, of, title, (caution,))
    return Binder(cover, tuple(_tabs({**tabs, in_each("Mask cards", judged): cards})), titles)


def contents_page(judged: Judged, binder: Binder, whole: str) -> Document:
    """Return the page that lists what lies in the folder of a binder; `whole` leads from there to all of it in one."""
    rows = (
        Row(
            f"contents.{paper.number}",
            (
                Cell((Text(paper.number),)),
                Cell((Strong((Text(tab.title),)),) if paper is tab.papers[0] else ()),
                Cell((Link(paper.file, (Text(paper.document.title),)),)),
            ),
        )
        for tab in binder.tabs
        for paper in tab.papers
    )
    columns = (Column(binder.titles.number, 1), Column(binder.titles.tab, 3), Column(binder.titles.paper, 6))
    words = in_each("All of it in one file, with pages through", judged)
    lead: tuple[Inline, ...] = (Text(f"{words}: "), Link(whole, (Text("binder.pdf"),)))
    return replace(
        binder.cover, id="contents", blocks=(Paragraph("whole", lead), Table("contents", "", columns, tuple(rows)))
    )


def attachment_sheet(
    judged: Judged, attachment: Attachment, name: str, checksum: str, picture: bytes, of: Document
) -> Document:
    """Return the sheet that stands for an attached file, with the file itself where that is a picture."""
    blocks: list[Block] = []
    for language in (ENGLISH, *more_languages(judged)):
        here = language.say("It is shown below." if picture else "Put its pages behind this sheet.")
        words = f"{language.say('Attached unchanged: %(file)s.', file=name)} {here}"
        blocks.append(_said(f"attached.{language.code}", words))
    blocks.append(_said("checksum", f"SHA-256: {grouped_checksum(checksum)}"))
    if picture:
        blocks.append(Figure("picture", "", attachment.title, "", picture))
    return replace(
        _cover(judged, of, attachment.title, tuple(blocks)), id=f"attachments.{attachment.id}", is_one_side=True
    )


def _cover(judged: Judged, of: Document, title: str, blocks: tuple[Block, ...]) -> Document:
    bare = replace(of, id="binder", title=title, blocks=blocks, history=(), alerts=(), contents_after="")
    framed_in = tuple(language.code for language in more_languages(judged))
    return replace(bare, has_cover=False, keywords=(), framed_in=framed_in)


def _tabs(groups: Mapping[str, Mapping[str, Document]]) -> Iterator[Tab]:
    filled = ((title, papers) for title, papers in groups.items() if papers)
    for number, (title, papers) in enumerate(filled, 1):
        yield Tab(number, title, tuple(_papers(number, papers.items())))


def _papers(tab: int, papers: Iterable[tuple[str, Document]]) -> Iterator[BoundPaper]:
    papers = list(papers)
    wide = len(str(len(papers)))
    for n, (name, document) in enumerate(papers, 1):
        is_alone = len(papers) == 1
        file = f"{tab:02}-{name}" if is_alone else f"{tab:02}-{n:0{max(wide, 2)}}-{name}"
        yield BoundPaper(f"{tab}" if is_alone else f"{tab}.{n}", file if "." in name else f"{file}.pdf", document)


def _said(identity: str, words: str) -> Paragraph:
    return Paragraph(identity, (Text(words),))
