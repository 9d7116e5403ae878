"""Makes `templates/reference.docx`: the styles, numbering and settings that every Word document starts from.

Run `python tests/writers/reference_docx.py` after a change here; a test compares the committed file with what
this script makes. Whoever wants another look opens the file in Word and changes its styles: the writer
names styles and numbering by id and sets nothing else by hand.

Typeface: Arial, because Word on Windows and macOS has it and LibreOffice brings Liberation Sans, drawn to
the same widths, so that lines and pages break alike on all three. The colours are dark slate and greys that
keep apart in a grey print.
"""

from __future__ import annotations

from pathlib import Path

from progdoc.writers.zip_bytes import stored_zip

__all__ = ["reference_bytes"]

_W = 'xmlns:w="http://schemas.openxmlformats.org/wordprocessingml/2006/main"'
_HEAD = '<?xml version="1.0" encoding="UTF-8" standalone="yes"?>\n'
_OFFICE = "http://schemas.openxmlformats.org/officeDocument/2006"
_PACKAGE = "http://schemas.openxmlformats.org/package/2006"
_WML = "application/vnd.openxmlformats-officedocument.wordprocessingml"

SLATE, GREY, RULE, SHADE = "1F3A4D", "4A5560", "8A949E", "EEF1F4"


def _spacing(before: int, after: int, line: int = 252) -> str:
    return f'<w:spacing w:before="{before}" w:after="{after}" w:line="{line}" w:lineRule="auto"/>'


def _edge(side: str, size: int, space: int = 0, colour: str = RULE, line: str = "single") -> str:
    return f'<w:{side} w:val="{line}" w:sz="{size}" w:space="{space}" w:color="{colour}"/>'


def _size(half_points: int) -> str:
    return f'<w:sz w:val="{half_points}"/><w:szCs w:val="{half_points}"/>'


_NAMES_WORD_KNOWS = {
    "Normal",
    "Title",
    "TOC Heading",
    "List Bullet",
    "List Number",
    "List Continue",
    "Hyperlink",
}
_BOLD = "<w:b/><w:bCs/>"
_ITALIC = "<w:i/><w:iCs/>"
_KEEP = "<w:keepNext/><w:keepLines/>"
_SIGNS = "<w:rFonts {}/>".format(" ".join(f'w:{of}="Segoe UI Symbol"' for of in ("ascii", "hAnsi", "eastAsia", "cs")))


def _colour(name: str) -> str:
    return f'<w:color w:val="{name}"/>'


def _own(name: str) -> str:
    """Mark a style that Word does not know by name."""
    return "" if name[0].islower() or name in _NAMES_WORD_KNOWS else ' w:customStyle="1"'


def _paragraph_style(
    style_id: str, name: str, properties: str, run: str = "", follow: str = "", based: str = "Normal"
) -> str:
    kind = ' w:default="1"' if style_id == "Normal" else _own(name)
    parent = "" if style_id == "Normal" else f'<w:basedOn w:val="{based}"/>'
    after = f'<w:next w:val="{follow}"/>' if follow else ""
    return (
        f'<w:style w:type="paragraph"{kind} w:styleId="{style_id}"><w:name w:val="{name}"/>'
        f"{parent}{after}<w:qFormat/><w:pPr>{properties}</w:pPr><w:rPr>{run}</w:rPr></w:style>"
    )


def _character_style(style_id: str, name: str, run: str) -> str:
    return (
        f'<w:style w:type="character"{_own(name)} w:styleId="{style_id}"><w:name w:val="{name}"/>'
        f'<w:basedOn w:val="DefaultParagraphFont"/><w:qFormat/><w:rPr>{run}</w:rPr></w:style>'
    )


def _headings() -> str:
    looks = [(28, 320, 100, ""), (23, 220, 70, ""), (21, 180, 60, ""), (20, 160, 50, _ITALIC)]
    return "".join(
        _paragraph_style(
            f"Heading{level}",
            f"heading {level}",
            f'{_KEEP}<w:numPr><w:ilvl w:val="{level - 1}"/><w:numId w:val="1"/></w:numPr>'
            f'{_spacing(before, after, 252)}<w:outlineLvl w:val="{level - 1}"/>',
            f"{_BOLD}{slant}{_colour(SLATE)}{_size(size)}",
            "Normal",
        )
        for level, (size, before, after, slant) in enumerate(looks, 1)
    )


def _contents_styles() -> str:
    looks = [(0, 50, 10, _BOLD), (567, 0, 10, ""), (1134, 0, 10, "")]
    return "".join(
        _paragraph_style(
            f"TOC{level}",
            f"toc {level}",
            f'<w:keepLines/><w:tabs><w:tab w:val="left" w:pos="{indent + 567}"/>'
            '<w:tab w:val="right" w:leader="dot" w:pos="9632"/></w:tabs>'
            f'{_spacing(before, after, 252)}<w:ind w:left="{indent + 567}" w:hanging="567"/>',
            bold,
            "Normal",
        )
        for level, (indent, before, after, bold) in enumerate(looks, 1)
    )


def _paragraph_styles() -> str:
    running = f"{_colour(GREY)}{_size(16)}"
    right = '<w:tabs><w:tab w:val="right" w:pos="9632"/></w:tabs>'
    box = (
        _edge("top", 6, 5, GREY)
        + _edge("left", 36, 8, SLATE)
        + _edge("bottom", 6, 5, GREY)
        + _edge("right", 6, 6, GREY)
    )
    return "".join(
        [
            _paragraph_style("Normal", "Normal", f"<w:widowControl/>{_spacing(0, 80)}"),
            _headings(),
            _paragraph_style(
                "Title",
                "Title",
                f"{_KEEP}{_spacing(0, 200, 240)}",
                f"{_BOLD}{_colour(SLATE)}{_size(48)}",
                "Normal",
            ),
            _paragraph_style(
                "CoverOrganisation",
                "Cover Organisation",
                f"<w:keepNext/><w:pBdr>{_edge('top', 24, 12, SLATE)}</w:pBdr>{_spacing(240, 120)}",
                f"{_colour(GREY)}{_size(26)}",
                "Title",
            ),
            _paragraph_style(
                "TOCHeading",
                "TOC Heading",
                f"{_KEEP}{_spacing(240, 120)}",
                f"{_BOLD}{_colour(SLATE)}{_size(30)}",
                "Normal",
            ),
            _paragraph_style(
                "FrontHeading",
                "Front Heading",
                f"{_KEEP}{_spacing(280, 100)}",
                f"{_BOLD}{_colour(SLATE)}{_size(24)}",
                "Normal",
            ),
            _contents_styles(),
            _paragraph_style("ListBullet", "List Bullet", _spacing(0, 40)),
            _paragraph_style("ListNumber", "List Number", _spacing(0, 40)),
            _paragraph_style("ListContinue", "List Continue", _spacing(0, 40)),
            _paragraph_style("Caption", "caption", _spacing(80, 100), f"{_BOLD}{_colour(SLATE)}{_size(18)}", "Normal"),
            _paragraph_style("Picture", "Picture", f'{_spacing(120, 60, 240)}<w:jc w:val="left"/>'),
            _paragraph_style("TableText", "Table Text", _spacing(20, 20, 245), _size(18)),
            _paragraph_style(
                "TableHeading",
                "Table Heading",
                "<w:keepNext/>",
                f"{_BOLD}{_colour(SLATE)}",
                based="TableText",
            ),
            _paragraph_style("TableKey", "Table Key", "", f"{_BOLD}{_colour(SLATE)}", based="TableText"),
            _paragraph_style("DenseTableText", "Dense Table Text", _spacing(10, 10, 240), _size(15), based="TableText"),
            _paragraph_style("DenseTableKey", "Dense Table Key", "", _BOLD, based="DenseTableText"),
            _paragraph_style("FormText", "Form Text", "", _size(21), based="TableText"),
            _paragraph_style("FormKey", "Form Key", "", _BOLD, based="FormText"),
            _paragraph_style(
                "TableGap",
                "Table Gap",
                '<w:spacing w:before="0" w:after="0" w:line="160" w:lineRule="exact"/>',
                _size(8),
            ),
            _paragraph_style(
                "Formula",
                "Formula",
                f'<w:keepLines/><w:pBdr>{_edge("left", 12, 10)}</w:pBdr>{_spacing(40, 120)}<w:ind w:left="624"/>',
                _size(19),
            ),
            _paragraph_style(
                "OpenPoint",
                "Open Point",
                f"<w:keepLines/><w:pBdr>{box}</w:pBdr>"
                f'<w:shd w:val="clear" w:color="auto" w:fill="{SHADE}"/>'
                f'{_spacing(120, 0)}<w:ind w:left="227" w:right="142"/>',
            ),
            _paragraph_style(
                "NoticeHeading",
                "Notice Heading",
                f"{_KEEP}{_spacing(60, 40)}",
                f'{_BOLD}<w:caps/><w:spacing w:val="20"/>{_size(20)}',
            ),
            _paragraph_style("Header", "header", f"{right}{_spacing(0, 0, 250)}", running),
            _paragraph_style(
                "Footer",
                "footer",
                f"<w:pBdr>{_edge('top', 4, 6)}</w:pBdr>{right}{_spacing(0, 0, 250)}",
                running,
            ),
            _paragraph_style(
                "RunningHead", "Running Head", f"<w:pBdr>{_edge('bottom', 4, 6)}</w:pBdr>", based="Header"
            ),
        ]
    )


def _character_styles() -> str:
    return (
        '<w:style w:type="character" w:default="1" w:styleId="DefaultParagraphFont">'
        '<w:name w:val="Default Paragraph Font"/><w:uiPriority w:val="1"/><w:semiHidden/></w:style>'
        + _character_style("Hyperlink", "Hyperlink", f'{_colour("1B4F7A")}<w:u w:val="single"/>')
        + _character_style("InternalReference", "Internal Reference", _colour("1B4F7A"))
        + _character_style("Citation", "Citation", f"{_colour('59636D')}{_size(15)}")
        + _character_style("TickBox", "Tick Box", f"{_SIGNS}{_size(26)}")  # large enough for a tick by hand
        + _character_style("DraftMark", "Draft Mark", f"{_BOLD}{_colour('000000')}{_size(20)}")
    )


def _table_style(style_id: str, name: str, based: str, borders: str, margins: str = "", parts: str = "") -> str:
    return (
        f'<w:style w:type="table" w:customStyle="1" w:styleId="{style_id}"><w:name w:val="{name}"/>'
        f'<w:basedOn w:val="{based}"/><w:qFormat/><w:tblPr><w:tblBorders>{borders}</w:tblBorders>{margins}</w:tblPr>'
        f"{parts}</w:style>"
    )


def _cell_margins(top: int, left: int, bottom: int, right: int) -> str:
    given = (("top", top), ("left", left), ("bottom", bottom), ("right", right))
    sides = "".join(f'<w:{side} w:w="{width}" w:type="dxa"/>' for side, width in given)
    return f"<w:tblCellMar>{sides}</w:tblCellMar>"


def _filled(part: str, fill: str) -> str:
    """Return what only the first row or the first column of a table looks like."""
    return (
        f'<w:tblStylePr w:type="{part}"><w:tcPr><w:shd w:val="clear" w:color="auto" w:fill="{fill}"/></w:tcPr>'
        "</w:tblStylePr>"
    )


def _notice_styles() -> str:
    """Notices are frames of one cell; they are told apart without colour."""
    edges = [
        ("Danger", "000000", (("double", 12), ("single", 48), ("double", 12), ("double", 12))),
        ("Caution", "3A444D", (("single", 8), ("single", 36), ("single", 8), ("single", 8))),
        ("Note", "6B7680", (("nil", 0), ("single", 18), ("nil", 0), ("nil", 0))),
    ]
    return "".join(
        _table_style(
            f"Notice{kind}",
            f"Notice {kind}",
            "TableNormal",
            "".join(
                _edge(side, size, 0, ink, line)
                for side, (line, size) in zip(("top", "left", "bottom", "right"), looks, strict=True)
            ),
            _cell_margins(57, 198, 0, 170),
        )
        for kind, ink, looks in edges
    )


def _table_styles() -> str:
    # The bottom line is as thin as those between rows: where it is thicker, LibreOffice 7.4 can lose the rest of a
    # table whose first row ends within the difference of a page's foot.
    borders = _edge("top", 8, 0, SLATE) + _edge("bottom", 4, 0, SLATE) + _edge("insideH", 4, 0, "B4BCC4")
    fills = _filled("firstRow", "E3E8EC") + _filled("firstCol", "F3F5F7")
    sides = (("top", 8), ("left", 4), ("bottom", 6), ("right", 4), ("insideH", 6), ("insideV", 4))
    grid = "".join(_edge(side, size, 0, SLATE) for side, size in sides)
    return (
        '<w:style w:type="table" w:default="1" w:styleId="TableNormal"><w:name w:val="Normal Table"/>'
        '<w:uiPriority w:val="99"/><w:semiHidden/><w:tblPr><w:tblInd w:w="0" w:type="dxa"/>'
        '<w:tblCellMar><w:left w:w="108" w:type="dxa"/><w:right w:w="108" w:type="dxa"/></w:tblCellMar>'
        "</w:tblPr></w:style>"
        + _table_style("ProgramTable", "Program Table", "TableNormal", borders, _cell_margins(28, 85, 28, 85), fills)
        + _table_style("SigningTable", "Signing Table", "ProgramTable", grid, parts=fills)
        + _notice_styles()
        + '<w:style w:type="numbering" w:default="1" w:styleId="NoList"><w:name w:val="No List"/>'
        "<w:semiHidden/></w:style>"
    )


def _styles() -> str:
    defaults = (
        '<w:docDefaults><w:rPrDefault><w:rPr><w:rFonts w:ascii="Arial" w:hAnsi="Arial" w:eastAsia="Arial" '
        f'w:cs="Arial"/>{_size(20)}<w:lang w:val="en-US" w:eastAsia="en-US" w:bidi="ar-SA"/></w:rPr>'
        f"</w:rPrDefault><w:pPrDefault><w:pPr>{_spacing(0, 0)}</w:pPr></w:pPrDefault></w:docDefaults>"
    )
    return f"{_HEAD}<w:styles {_W}>{defaults}{_paragraph_styles()}{_character_styles()}{_table_styles()}</w:styles>"


def _level(level: int, form: str, text: str, left: int, hanging: int, link: str = "") -> str:
    linked = f'<w:pStyle w:val="{link}"/>' if link else ""
    return (
        f'<w:lvl w:ilvl="{level}"><w:start w:val="1"/><w:numFmt w:val="{form}"/>{linked}'
        f'<w:lvlText w:val="{text}"/><w:lvlJc w:val="left"/><w:pPr><w:tabs><w:tab w:val="num" '
        f'w:pos="{left}"/></w:tabs><w:ind w:left="{left}" w:hanging="{hanging}"/></w:pPr></w:lvl>'
    )


def _abstract(number: int, name: str, kind: str, levels: list[str]) -> str:
    return (
        f'<w:abstractNum w:abstractNumId="{number}"><w:nsid w:val="5A1E000{number}"/>'
        f'<w:multiLevelType w:val="{kind}"/><w:tmpl w:val="5A1E010{number}"/><w:name w:val="{name}"/>'
        f"{''.join(levels)}</w:abstractNum>"
    )


def _numbering() -> str:
    dotted = [".".join(f"%{n}" for n in range(1, level + 2)) for level in range(9)]
    indents = [567, 680, 794, 964, 1134, 1304, 1474, 1644, 1814]
    headings = [
        _level(n, "decimal", dotted[n], indents[n], indents[n], f"Heading{n + 1}" if n < 4 else "") for n in range(9)
    ]
    annexes = [_level(0, "upperLetter", "Annex %1", 1474, 1474)]
    annexes += [_level(n, "decimal", dotted[n], indents[n], indents[n]) for n in range(1, 9)]
    marks = ["•", "–", "▪"]
    bullets = [_level(n, "bullet", marks[n % 3], 340 * (n + 1), 340) for n in range(9)]
    forms = ["decimal", "lowerLetter", "lowerRoman"]
    steps = [_level(n, forms[n % 3], f"%{n + 1}.", 340 * (n + 1), 340) for n in range(9)]
    lists = (
        _abstract(1, "Headings", "multilevel", headings)
        + _abstract(2, "Annexes", "multilevel", annexes)
        + _abstract(3, "Bullets", "hybridMultilevel", bullets)
        + _abstract(4, "Steps", "hybridMultilevel", steps)
    )
    used = "".join(f'<w:num w:numId="{n}"><w:abstractNumId w:val="{n}"/></w:num>' for n in (1, 2))
    return f"{_HEAD}<w:numbering {_W}>{lists}{used}</w:numbering>"


_SETTINGS = (
    f'{_HEAD}<w:settings {_W}><w:zoom w:percent="100"/><w:defaultTabStop w:val="567"/>'
    '<w:characterSpacingControl w:val="doNotCompress"/><w:compat>'
    '<w:compatSetting w:name="compatibilityMode" w:uri="http://schemas.microsoft.com/office/word" '
    'w:val="15"/></w:compat><w:themeFontLang w:val="en-US"/></w:settings>'
)
_FONTS = (
    f'{_HEAD}<w:fonts {_W}><w:font w:name="Arial"><w:altName w:val="Liberation Sans"/>'
    '<w:panose1 w:val="020B0604020202020204"/><w:charset w:val="00"/><w:family w:val="swiss"/>'
    '<w:pitch w:val="variable"/></w:font></w:fonts>'
)
_DOCUMENT = (
    f'{_HEAD}<w:document {_W}><w:body><w:p/><w:sectPr><w:pgSz w:w="12240" w:h="15840"/>'
    '<w:pgMar w:top="1440" w:right="1304" w:bottom="1304" w:left="1304" w:header="624" w:footer="567" '
    'w:gutter="0"/></w:sectPr></w:body></w:document>'
)
_CORE = (
    f'{_HEAD}<cp:coreProperties xmlns:cp="{_PACKAGE}/metadata/core-properties" '
    'xmlns:dc="http://purl.org/dc/elements/1.1/" xmlns:dcterms="http://purl.org/dc/terms/" '
    'xmlns:xsi="http://www.w3.org/2001/XMLSchema-instance"><dc:title>Reference</dc:title>'
    "</cp:coreProperties>"
)
_APP = f'{_HEAD}<Properties xmlns="{_OFFICE}/extended-properties"><Application>progdoc</Application></Properties>'


_DRAWING = "http://schemas.openxmlformats.org/drawingml/2006/main"


def _theme() -> str:
    """Return the plainest theme: Word expects one; no style of ours refers to it."""
    names = ["dk1", "lt1", "dk2", "lt2", *(f"accent{n}" for n in range(1, 7)), "hlink", "folHlink"]
    values = ["000000", "FFFFFF", SLATE, SHADE, SLATE, GREY, RULE, "59636D", "B4BCC4", "1B4F7A"]
    values += ["1B4F7A", "4A3B6B"]
    colours = "".join(
        f'<a:{name}><a:srgbClr val="{value}"/></a:{name}>' for name, value in zip(names, values, strict=True)
    )
    face = '<a:latin typeface="Arial"/><a:ea typeface=""/><a:cs typeface=""/>'
    fill = '<a:solidFill><a:schemeClr val="phClr"/></a:solidFill>'
    line = f'<a:ln w="6350">{fill}</a:ln>'
    effect = "<a:effectStyle><a:effectLst/></a:effectStyle>"
    return (
        f'{_HEAD}<a:theme xmlns:a="{_DRAWING}" name="Program"><a:themeElements>'
        f'<a:clrScheme name="Program">{colours}</a:clrScheme><a:fontScheme name="Program">'
        f"<a:majorFont>{face}</a:majorFont><a:minorFont>{face}</a:minorFont></a:fontScheme>"
        f'<a:fmtScheme name="Program"><a:fillStyleLst>{fill * 3}</a:fillStyleLst>'
        f"<a:lnStyleLst>{line * 3}</a:lnStyleLst><a:effectStyleLst>{effect * 3}</a:effectStyleLst>"
        f"<a:bgFillStyleLst>{fill * 3}</a:bgFillStyleLst></a:fmtScheme></a:themeElements></a:theme>"
    )


def _relations(pairs: list[tuple[str, str]]) -> str:
    rows = "".join(
        f'<Relationship Id="rId{n}" Type="{kind}" Target="{target}"/>' for n, (kind, target) in enumerate(pairs, 1)
    )
    return f'{_HEAD}<Relationships xmlns="{_PACKAGE}/relationships">{rows}</Relationships>'


def _content_types() -> str:
    parts = [
        ("/word/document.xml", f"{_WML}.document.main+xml"),
        ("/word/styles.xml", f"{_WML}.styles+xml"),
        ("/word/numbering.xml", f"{_WML}.numbering+xml"),
        ("/word/settings.xml", f"{_WML}.settings+xml"),
        ("/word/fontTable.xml", f"{_WML}.fontTable+xml"),
        ("/word/theme/theme1.xml", "application/vnd.openxmlformats-officedocument.theme+xml"),
        ("/docProps/core.xml", "application/vnd.openxmlformats-package.core-properties+xml"),
        ("/docProps/app.xml", "application/vnd.openxmlformats-officedocument.extended-properties+xml"),
    ]
    rows = "".join(f'<Override PartName="{name}" ContentType="{kind}"/>' for name, kind in parts)
    return (
        f'{_HEAD}<Types xmlns="{_PACKAGE}/content-types"><Default Extension="rels" '
        'ContentType="application/vnd.openxmlformats-package.relationships+xml"/>'
        f'<Default Extension="xml" ContentType="application/xml"/>{rows}</Types>'
    )


def reference_bytes() -> bytes:
    """Return the reference document, the same bytes every time."""
    package = [
        (f"{_OFFICE}/relationships/officeDocument", "word/document.xml"),
        (f"{_PACKAGE}/relationships/metadata/core-properties", "docProps/core.xml"),
        (f"{_OFFICE}/relationships/extended-properties", "docProps/app.xml"),
    ]
    document = [
        (f"{_OFFICE}/relationships/{kind}", f"{kind}.xml") for kind in ("styles", "numbering", "settings", "fontTable")
    ]
    document.append((f"{_OFFICE}/relationships/theme", "theme/theme1.xml"))
    parts = {
        "[Content_Types].xml": _content_types(),
        "_rels/.rels": _relations(package),
        "docProps/app.xml": _APP,
        "docProps/core.xml": _CORE,
        "word/_rels/document.xml.rels": _relations(document),
        "word/document.xml": _DOCUMENT,
        "word/fontTable.xml": _FONTS,
        "word/numbering.xml": _numbering(),
        "word/settings.xml": _SETTINGS,
        "word/styles.xml": _styles(),
        "word/theme/theme1.xml": _theme(),
    }
    return stored_zip({name: text.encode() for name, text in parts.items()})


if __name__ == "__main__":
    target = Path(__file__).resolve().parents[2] / "templates" / "reference.docx"
    target.write_bytes(reference_bytes())
