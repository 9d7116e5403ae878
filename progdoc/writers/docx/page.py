"""The page around the text: paper, header and footer, and DRAFT on every page of a draft."""

from __future__ import annotations

from progdoc.core.late_dataclass import dataclass
from progdoc.document.tree.nodes import Document
from progdoc.model.description.program import Paper
from progdoc.writers.docx.word_text import field, paragraph, run
from progdoc.writers.wording import draft_word, foot_line, page_words, revision_words

__all__ = ["Sheet", "footer", "header", "paper", "section_properties"]

_SIDE_MARGIN = 1304  # 23 mm
_TOP_MARGIN = 1474  # 26 mm, for two lines of header
_BOTTOM_MARGIN = 1134  # 20 mm
_ONE_SIDE = (1021, 737, 964)  # of a page to hang up, which has no running head: 18, 13 and 17 mm
_DRAFT_SHAPE = (
    '<w:r><w:pict><v:shapetype id="_x0000_t136" coordsize="21600,21600" o:spt="136" adj="10800" '
    'path="m@7,l@8,m@5,21600l@6,21600e"><v:formulas><v:f eqn="sum #0 0 10800"/><v:f eqn="prod #0 2 1"/>'
    '<v:f eqn="sum 21600 0 @1"/><v:f eqn="sum 0 0 @2"/><v:f eqn="sum 21600 0 @3"/><v:f eqn="if @0 @3 0"/>'
    '<v:f eqn="if @0 21600 @1"/><v:f eqn="if @0 0 @2"/><v:f eqn="if @0 @4 21600"/>'
    '<v:f eqn="mid @5 @6"/><v:f eqn="mid @8 @5"/><v:f eqn="mid @7 @8"/><v:f eqn="mid @6 @7"/>'
    '<v:f eqn="sum @6 0 @5"/></v:formulas><v:path textpathok="t" o:connecttype="custom" '
    'o:connectlocs="@9,0;@10,10800;@11,21600;@12,10800" o:connectangles="270,180,90,0"/>'
    '<v:textpath on="t" fitshape="t"/></v:shapetype>'
    '<v:shape id="DraftMark{number}" o:spid="_x0000_s{shape}" type="#_x0000_t136" alt="{word}" '
    'style="position:absolute;margin-left:0;margin-top:0;width:400pt;height:135pt;rotation:315;'
    "z-index:-251658752;mso-position-horizontal:center;mso-position-horizontal-relative:margin;"
    'mso-position-vertical:center;mso-position-vertical-relative:margin" o:allowincell="f" '
    'fillcolor="#d5d9dd" stroked="f"><v:fill opacity=".55"/>'
    '<v:textpath style="font-family:&quot;Arial&quot;;font-size:1pt;font-weight:bold" string="{word}"/>'
    "</v:shape></w:pict></w:r>"
)


@dataclass(frozen=True, slots=True)
class Sheet:
    """A sheet, in twentieths of a point."""

    width: int
    height: int
    side: int = _SIDE_MARGIN
    top: int = _TOP_MARGIN
    bottom: int = _BOTTOM_MARGIN

    @property
    def text_width(self) -> int:
        return self.width - 2 * self.side

    @property
    def text_height(self) -> int:
        return self.height - self.top - self.bottom


def paper(document: Document) -> Sheet:
    """Return the sheet that the document asks for."""
    size = (11906, 16838) if document.paper == Paper.A4 else (12240, 15840)
    return Sheet(*size, *_ONE_SIDE) if document.is_one_side else Sheet(*size)


def header(document: Document, is_first: bool) -> list[str]:
    """Return the header's paragraphs. The first page has its title block and repeats nothing."""
    draft = run(draft_word(document), '<w:rStyle w:val="DraftMark"/>') if document.draft else ""
    mark = (
        _DRAFT_SHAPE.format(number=int(is_first) + 1, shape=2049 + int(is_first), word=draft_word(document))
        if draft
        else ""
    )
    revision = run(revision_words(document))
    between = run("\t")
    if is_first:
        return [paragraph("Header", f"{mark}{between}{draft}")]
    firm = run(document.look.header or document.organisation)
    return [
        paragraph("Header", f"{mark}{firm}{between}{revision}"),
        paragraph("RunningHead", f"{run(document.title)}{between}{draft}"),
    ]


def footer(document: Document) -> list[str]:
    """Return the footer's paragraphs: which revision, in effect from when, page x of y; and the firm's own line."""
    page, of = page_words(document)
    pages = run(f"\t{page} ") + field("PAGE", "1") + run(f" {of} ") + field("NUMPAGES", "1")
    own = [paragraph("Footer", run(document.look.footer))] if document.look.footer else []
    return [paragraph("Footer", run(foot_line(document)) + pages), *own]


def section_properties(sheet: Sheet, headers: dict[str, str], footers: dict[str, str]) -> str:
    """Return the section's end. `headers` and `footers` give a relationship for "first" and "default"."""
    references = "".join(
        f'<w:{part}Reference w:type="{kind}" r:id="{relationship}"/>'
        for part, given in (("header", headers), ("footer", footers))
        for kind, relationship in given.items()
    )
    return (
        f'<w:sectPr>{references}<w:pgSz w:w="{sheet.width}" w:h="{sheet.height}"/>'
        f'<w:pgMar w:top="{sheet.top}" w:right="{sheet.side}" w:bottom="{sheet.bottom}" w:left="{sheet.side}" '
        f'w:header="{min(624, sheet.top // 2)}" w:footer="{min(567, sheet.bottom // 2)}" w:gutter="0"/>'
        "<w:titlePg/></w:sectPr>"
    )
