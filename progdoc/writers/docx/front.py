"""What stands before the text: title block, revision history, contents."""

from __future__ import annotations

from collections.abc import Iterator

from progdoc.document.tree.cross_references import SHORT_CONTENTS, ContentsEntry, printed_contents
from progdoc.document.tree.nodes import Document
from progdoc.writers.docx.blocks import drawing, elements
from progdoc.writers.docx.pagination import Pages
from progdoc.writers.docx.table_xml import plain_table, table
from progdoc.writers.docx.word_text import field_ends, page_field, paragraph, run
from progdoc.writers.docx.writing import Place, Writing
from progdoc.writers.wording import alert_notices, control_lines, front_titles, history_titles

__all__ = ["contents_field", "fill_pages", "title_block"]

_CONTENTS = "_Contents"  # the bookmark on their heading

_PAGE_ASKED, _NO_PAGE = "> PAGEREF ", ">0</w:t>"  # as `page_field` writes it
_HEADING = '<w:pStyle w:val="TOCHeading"/>'
_TURNED = f"{_HEADING}<w:pageBreakBefore/>"
_ANNEX_INDENT = (  # "Annex A" is wider than a number
    '<w:tabs><w:tab w:val="clear" w:pos="567"/><w:tab w:val="left" w:pos="1304"/></w:tabs>'
    '<w:ind w:left="1304" w:hanging="1304"/>'
)
_EMU_PER_MM = 36_000


def title_block(document: Document, writing: Writing, place: Place) -> Iterator[str]:
    """Yield what says which paper this is, and what must be read first; on a cover, the revision history."""
    logo = document.look.logo
    if logo is not None and document.has_cover:
        width, height = int(logo.width_mm * _EMU_PER_MM), int(logo.height_mm * _EMU_PER_MM)
        shown = drawing(writing.picture(logo.png, ""), width, height, document.organisation or "Logo", writing)
        yield paragraph("Picture", shown, "<w:keepNext/>")
    if document.organisation:
        yield paragraph("CoverOrganisation", run(document.organisation))
    yield paragraph("Title", run(document.title))
    if lines := control_lines(document):
        yield from table(plain_table((), (3, 7), lines), writing, place)
    yield from elements(alert_notices(document), writing, place)
    if document.has_cover and document.history:
        yield paragraph("FrontHeading", run(front_titles(document)[0]))
        entries = [(entry.revision, entry.date, entry.by, entry.summary) for entry in document.history]
        yield from table(plain_table(history_titles(document), (2, 3, 4, 9), entries), writing, place)


def contents_field(document: Document, writing: Writing) -> Iterator[str]:
    """Yield the contents as a field whose result is already there: nobody opens an empty page."""
    entries = printed_contents(document)
    if not entries:
        return
    depth = max(entry.level for entry in entries)
    opening, closing = field_ends(f'TOC \\o "1-{depth}" \\h \\z \\u')
    is_short = len(entries) <= SHORT_CONTENTS
    page_break = "" if is_short else "<w:pageBreakBefore/>"
    # They stand behind what is before them where there is room, and never on two pages.
    keep = "<w:keepNext/>" if is_short else ""
    first, *rest = [_entry(entry, writing, keep if entry is not entries[-1] else "") for entry in entries]
    first = first.replace("</w:pPr>", f"</w:pPr>{opening}", 1)
    last = paragraph("TableGap", closing)
    title = f'<w:bookmarkStart w:id="0" w:name="{_CONTENTS}"/>{run(front_titles(document)[1])}<w:bookmarkEnd w:id="0"/>'
    heading = paragraph("TOCHeading", title, page_break)
    yield (
        '<w:sdt><w:sdtPr><w:id w:val="1001"/><w:docPartObj><w:docPartGallery w:val="Table of Contents"/>'
        "<w:docPartUnique/></w:docPartObj></w:sdtPr><w:sdtContent>"
        f"{heading}{first}{''.join(rest)}{last}</w:sdtContent></w:sdt>"
    )


def fill_pages(text: str, pages: Pages) -> str:
    """Return the text with the pages in the fields that ask for them, once it is set.

    Where the contents come to stand on a page of their own their heading begins it: LibreOffice keeps a heading with
    the next paragraph, but not with a list that is a field.
    """
    if _CONTENTS in pages.first and _TURNED not in text:
        text = text.replace(_HEADING, _TURNED, 1)
    before, *asked = text.split(_PAGE_ASKED)
    filled = (one.replace(_NO_PAGE, f">{pages.of[one.partition(' ')[0]]}</w:t>", 1) for one in asked)
    return _PAGE_ASKED.join([before, *filled])


def _entry(entry: ContentsEntry, writing: Writing, keep: str) -> str:
    is_annex = entry.number.isalpha()
    label = entry.label
    name = writing.bookmarks.name(entry.id)
    words = run(f"{label}\t{entry.title}" if label else entry.title)
    page = run("\t") + page_field(name)
    link = f'<w:hyperlink w:anchor="{name}" w:history="1">{words}{page}</w:hyperlink>'
    return paragraph(f"TOC{entry.level}", link, keep + (_ANNEX_INDENT if is_annex else ""))
