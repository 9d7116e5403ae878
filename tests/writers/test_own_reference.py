"""A firm's own Word styles restyle every kind of node; nothing but styles, lists, theme and fonts is taken."""

from __future__ import annotations

import re
import subprocess
from collections.abc import Callable
from dataclasses import replace
from io import BytesIO
from pathlib import Path
from zipfile import ZipFile

import pytest
from examples import some
from ooxml_integrity import check
from openxml_audit import OpenXmlValidator
from writers.docx_sample import long_program, program
from writers.libreoffice import LibreOffice
from writers.reference_docx import reference_bytes

from progdoc.core.look import Look
from progdoc.document.tree.nodes import Document, Figure
from progdoc.writers.docx import docx_bytes
from progdoc.writers.docx.own_reference import StylesError, own_reference
from progdoc.writers.docx.seen_styles import hiding_styles, printed_signs
from progdoc.writers.zip_bytes import stored_zip

STYLES, NUMBERING, DOCUMENT = "word/styles.xml", "word/numbering.xml", "word/document.xml"
THEME, FONTS = "word/theme/theme1.xml", "word/fontTable.xml"
_COLOUR = re.compile(r'(<w:color w:val|w:color|w:fill)="(?!auto)[0-9A-Fa-f]{6}"')


def _parts(data: bytes) -> dict[str, bytes]:
    with ZipFile(BytesIO(data)) as archive:
        return {name: archive.read(name) for name in archive.namelist()}


def _edited(part: str, change: Callable[[str], str], **more: bytes) -> bytes:
    parts = _parts(reference_bytes())
    parts[part] = change(parts[part].decode()).encode()
    return stored_zip({**parts, **{name.replace("__", "/"): data for name, data in more.items()}})


def _written(document: Document, reference: bytes) -> bytes:
    return docx_bytes(replace(document, look=Look(reference=own_reference(reference))))


def _magenta(styles: str) -> str:
    """Colour every style, and what no style colours."""
    painted = _COLOUR.sub(r'\1="FF00FF"', styles)
    return (
        painted.replace("<w:rPrDefault><w:rPr>", '<w:rPrDefault><w:rPr><w:color w:val="FF00FF"/>')
        .replace('<w:sz w:val="20"/><w:szCs w:val="20"/><w:lang', '<w:color w:val="FF00FF"/><w:sz w:val="20"/><w:lang')
        .replace('<w:color w:val="FF00FF"/><w:rFonts', "<w:rFonts")
    )


# ---- every kind of node -------------------------------------------------------------------------------


@pytest.mark.parametrize("draft", [True, False])
def test_no_colour_size_fill_line_or_font_is_set_beside_the_styles(draft: bool) -> None:
    """But the sign DRAFT across the sheet, which Word can't style: it is a drawing."""
    parts = _parts(docx_bytes(program(draft=draft)))
    direct = re.compile(
        r"<w:(?:color|sz|szCs|shd|rFonts|highlight|tblBorders|tcBorders|pBdr|tblCellMar|u|caps)\b[^>]*>"
    )
    text = {
        name: data.decode() for name, data in parts.items() if re.match(r"word/(?:document|header|footer)\d*\.", name)
    }
    assert len(text) == 5
    assert {name: found for name, data in text.items() if (found := direct.findall(data))} == {}
    drawn = set(re.findall(r'fillcolor="(#\w+)"', "".join(text.values())))
    assert drawn == ({"#d5d9dd"} if draft else set())


def test_a_reference_all_in_magenta_leaves_no_other_ink_on_paper(tmp_path: Path, office: LibreOffice) -> None:
    """Printed by LibreOffice: between paper and magenta lies no dot whose red or blue is less than full."""
    document = program(draft=False)
    document = replace(document, blocks=_without_pictures(document.blocks))
    data = _written(document, _edited(STYLES, _magenta))
    (paper,) = office.paper([data])
    subprocess.run(["pdftoppm", "-r", "40", paper, tmp_path / "page"], check=True)
    pages = sorted(tmp_path.glob("page*.ppm"))
    assert len(pages) >= 3
    for page in pages:
        _size, _most, dots = page.read_bytes().split(b"\n", 3)[1:]
        assert min(dots[0::3]) >= 250, page.name  # red
        assert min(dots[2::3]) >= 250, page.name  # blue
        assert min(dots[1::3]) < 60, page.name  # the ink takes the green away


def _without_pictures(blocks: tuple[object, ...]) -> tuple[object, ...]:
    found = []
    for block in blocks:
        if isinstance(block, Figure):
            continue
        inner = getattr(block, "blocks", None)
        found.append(replace(block, blocks=_without_pictures(inner)) if inner else block)
    return tuple(found)


def test_a_style_is_there_for_every_name_in_the_text() -> None:
    named: set[str] = set()
    for document in (program(), long_program()):
        text = _parts(docx_bytes(document))
        for name in text:
            named |= set(
                re.findall(r'<w:(?:pStyle|rStyle|tblStyle) w:val="(\w+)"', text[name].decode("utf-8", "ignore"))
            )
    assert named <= set(re.findall(r'w:styleId="(\w+)"', _parts(reference_bytes())[STYLES].decode()))


@pytest.mark.parametrize("document", some([program(), long_program()], 2), ids=lambda document: document.id)
def test_readers_find_nothing_to_mend(document: Document, tmp_path: Path) -> None:
    target = tmp_path / "document.docx"
    target.write_bytes(_written(document, _edited(STYLES, _magenta)))
    assert [str(error) for error in OpenXmlValidator().validate(target).errors] == []
    assert [str(finding) for finding in check(target)] == []


def test_ours_as_a_firms_own_gives_the_same_text() -> None:
    one, other = _parts(_written(program(), reference_bytes())), _parts(docx_bytes(program()))
    assert one[DOCUMENT] == other[DOCUMENT]
    assert one.keys() == other.keys()


def test_a_document_of_ours_can_be_the_reference_of_the_next() -> None:
    """That is what the message tells whoever lacks styles."""
    again = _written(program(), _written(program(), docx_bytes(program())))
    assert _parts(again)[DOCUMENT] == _parts(docx_bytes(program()))[DOCUMENT]


def test_the_same_reference_gives_the_same_bytes() -> None:
    data = _edited(STYLES, _magenta)
    assert _written(program(), data) == _written(program(), data)


# ---- what a file must have ----------------------------------------------------------------------------


def test_missing_styles_are_all_named_as_word_shows_them() -> None:
    def without(styles: str) -> str:
        for name in ("heading 2", "Notice Danger", "Citation"):
            styles = re.sub(rf'<w:style (?:(?!</w:style>).)*<w:name w:val="{name}"/>.*?</w:style>', "", styles)
        return styles

    with pytest.raises(StylesError) as told:
        own_reference(_edited(STYLES, without))
    assert set(told.value.missing) == {"Heading 2", "Notice Danger", "Citation"}


@pytest.mark.parametrize(
    "data",
    [
        b"",
        b"PK\x03\x04 no more of it",
        b"\xd0\xcf\x11\xe0 an old .doc",
        stored_zip({"readme.txt": b"x"}),
        stored_zip({STYLES: b"<w:styles", DOCUMENT: b"<x/>"}),
        _edited(STYLES, lambda text: text.replace("wordprocessingml/2006/main", "wordprocessingml/strict")),
        _edited(STYLES, lambda text: text.replace('w:sz w:val="28"', 'w:sz w:val="large"')),
        _edited(STYLES, lambda text: text.replace("?>", '?><!DOCTYPE w:styles [<!ENTITY a "b">]>', 1)),
    ],
)  # fmt: skip
def test_what_is_no_word_file_is_refused(data: bytes) -> None:
    with pytest.raises(StylesError) as told:
        own_reference(data)
    assert told.value.missing == ()


def test_styles_based_on_one_another_in_a_ring_are_refused() -> None:
    ring = _edited(
        STYLES, lambda text: text.replace('w:styleId="Normal">', 'w:styleId="Normal"><w:basedOn w:val="Title"/>')
    )
    with pytest.raises(StylesError):
        own_reference(ring)


def test_a_part_without_end_is_refused() -> None:
    with pytest.raises(StylesError, match="bytes"):
        own_reference(_edited(STYLES, lambda text: text + " " * 6_000_000))


# ---- what is taken ------------------------------------------------------------------------------------


def test_macros_objects_links_and_text_stay_behind() -> None:
    relation = (
        '<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"><Relationship Id="rId90"'
        ' Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/attachedTemplate"'
        ' Target="https://far.example/t.dotm" TargetMode="External"/></Relationships>'
    )
    extra = {
        "word__vbaProject.bin": b"macro",
        "word__embeddings__oleObject1.bin": b"object",
        "word__media__image1.png": b"picture",
        "word___rels__settings.xml.rels": relation.encode(),
        "customXml__item1.xml": b"<secret/>",
    }
    data = _edited(DOCUMENT, lambda text: text.replace("<w:p/>", "<w:p><w:r><w:t>A secret.</w:t></w:r></w:p>"), **extra)
    parts = _parts(_written(program(), data))
    assert parts.keys() == _parts(docx_bytes(program())).keys()
    assert not any(b"far.example" in part or b"A secret." in part or b"macro" in part for part in parts.values())


def test_fonts_that_are_embedded_and_pictures_in_the_theme_stay_behind() -> None:
    r = 'xmlns:r="http://schemas.openxmlformats.org/officeDocument/2006/relationships"'
    embedded = f'<w:family w:val="swiss"/><w:embedRegular {r} r:id="rId1"/>'
    fonts = own_reference(_edited(FONTS, lambda text: text.replace('<w:family w:val="swiss"/>', embedded)))
    assert b"embedRegular" not in _parts(fonts)[FONTS]
    assert b"Liberation Sans" in _parts(fonts)[FONTS]
    fill = '<a:solidFill><a:schemeClr val="phClr"/></a:solidFill>'
    picture = f'<a:blipFill><a:blip {r} r:embed="rId1"/></a:blipFill>'
    theme = _parts(own_reference(_edited(THEME, lambda text: text.replace(fill, picture, 1))))[THEME].decode()
    assert "blip" not in theme
    assert theme.count("phClr") == _parts(reference_bytes())[THEME].decode().count("phClr")


def test_word_in_another_language_calls_styles_by_other_ids() -> None:
    """Common practice, no source: Word keeps the English names of its own styles, and writes ids in its language."""
    other = _edited(
        STYLES, lambda text: text.replace('"Heading1"', '"berschrift1"').replace('"ListBullet"', '"Aufzhlung"')
    )
    styles = _parts(own_reference(other))[STYLES].decode()
    assert "berschrift1" not in styles
    assert styles.count('w:styleId="Heading1"') == 1


def test_headings_that_count_otherwise_still_print_the_numbers_of_the_text() -> None:
    """References name numbers; a reference file without numbered headings can't take them away."""

    def uncounted(styles: str) -> str:
        return re.sub(r"<w:numPr>.*?</w:numPr>", "", styles)

    styles = _parts(own_reference(_edited(STYLES, uncounted)))[STYLES].decode()
    assert re.findall(r'<w:numPr><w:ilvl w:val="(\d)"/><w:numId w:val="1"/></w:numPr>', styles) == ["0", "1", "2", "3"]


def test_lists_of_a_firm_keep_their_signs_and_ours_are_added_where_they_lack() -> None:
    def signs(numbering: str) -> str:
        without = re.sub(r'<w:abstractNum w:abstractNumId="4">.*?</w:abstractNum>', "", numbering)
        own = without.replace('w:lvlText w:val="•"', 'w:lvlText w:val="»"')
        more = (
            '<w:abstractNum w:abstractNumId="9"><w:lvl w:ilvl="0"><w:pStyle w:val="Heading1"/></w:lvl></w:abstractNum>'
        )
        instance = '<w:num w:numId="12"><w:abstractNumId w:val="9"/></w:num>'
        return own.replace("<w:num ", f"{more}<w:num ", 1).replace("</w:numbering>", f"{instance}</w:numbering>")

    numbering = _parts(own_reference(_edited(NUMBERING, signs)))[NUMBERING].decode()
    assert 'w:lvlText w:val="»"' in numbering
    assert re.findall(r'w:abstractNumId="(\d+)"', numbering) == ["1", "2", "3", "4", "100009"]
    assert '<w:num w:numId="100012"><w:abstractNumId w:val="100009"/></w:num>' in numbering
    assert numbering.count('<w:pStyle w:val="Heading1"/>') == 1


# ---- looks alone --------------------------------------------------------------------------------------

_RUN = {
    "vanish": '<w:vanish/>', "hidden from pages": '<w:webHidden/>', "never shown": '<w:specVanish/>',
    "white": '<w:color w:val="FFFFFF"/>', "pale": '<w:color w:val="C0C0C0"/>', "tiny": '<w:sz w:val="2"/>',
    "white by theme": '<w:color w:val="000000" w:themeColor="background1"/>', "struck": '<w:strike/>',
    "struck twice": '<w:dstrike/>', "narrow": '<w:w w:val="1"/>', "on one spot": '<w:spacing w:val="-500"/>',
    "off the line": '<w:position w:val="4000"/>', "black ground": '<w:shd w:val="clear" w:fill="000000"/>',
    "marked black": '<w:highlight w:val="black"/>', "signs": '<w:rFonts w:ascii="Wingdings" w:hAnsi="Wingdings"/>',
    "embossed": '<w:emboss/>', "backwards": '<w:rtl/>', "patterned": '<w:shd w:val="solid" w:color="000000"/>',
}  # fmt: skip
_PARAGRAPH = {
    "framed off the sheet": '<w:framePr w:x="-20000" w:y="1"/>',
    "one line": '<w:spacing w:line="1" w:lineRule="exact"/>',
    "far right": '<w:ind w:left="20000"/>',
    "far left": '<w:ind w:left="-9000"/>',
    "hanging": '<w:ind w:hanging="9000"/>',
    "sideways": '<w:textDirection w:val="btLr"/>',
    "far below": '<w:spacing w:before="31000"/>',
}
_NAMED = ("Normal", "OpenPoint", "TableText", "DraftMark", "RunningHead", "ProgramTable", "NoticeDanger", "docDefaults")


def _with(name: str, run: str, paragraph: str) -> bytes:
    """Return a reference in which one style, or what all have, is changed."""
    end = "</w:docDefaults>" if name == "docDefaults" else "</w:style>"
    more = f"{f'<w:pPr>{paragraph}</w:pPr>' if paragraph else ''}{f'<w:rPr>{run}</w:rPr>' if run else ''}"

    def change(styles: str) -> str:
        begin = styles.index("<w:docDefaults>" if name == "docDefaults" else f'w:styleId="{name}"')
        at = styles.index(end, begin)
        return f"{styles[:at]}{more}{styles[at:]}"

    return own_reference(_edited(STYLES, change))


def test_styles_change_looks_alone() -> None:
    """Every way in every style: a Word document is what is signed, and a style could hide an open point in it."""
    assert list(hiding_styles(own_reference(reference_bytes()))) == []
    for name in _NAMED:
        for what, run in _RUN.items():
            assert list(hiding_styles(_with(name, run, ""))), (name, what)
        for what, paragraph in _PARAGRAPH.items():
            assert list(hiding_styles(_with(name, "", paragraph))), (name, what)
        assert list(hiding_styles(_with(name, '<w:vanish w:val="0"/><w:strike w:val="false"/>', ""))) == []


def test_styles_that_nothing_is_written_in_and_looks_are_not_told() -> None:
    looks = '<w:color w:val="7A2E1F"/><w:sz w:val="24"/><w:rFonts w:ascii="Georgia" w:hAnsi="Georgia"/><w:i/>'
    assert list(hiding_styles(_with("Heading1", looks, '<w:jc w:val="center"/><w:ind w:left="300"/>'))) == []
    theme = '<w:color w:val="1F3A4D" w:themeColor="text1" w:themeTint="D9"/>'
    assert list(hiding_styles(_with("Heading1", theme, ""))) == []
    hidden = '<w:style w:type="paragraph" w:styleId="zBottom"><w:name w:val="z"/><w:rPr><w:vanish/></w:rPr></w:style>'
    data = _edited(STYLES, lambda styles: styles.replace("</w:styles>", f"{hidden}</w:styles>"))
    assert list(hiding_styles(own_reference(data))) == []


def test_what_stands_before_the_paragraphs_of_a_list_says_nothing() -> None:
    assert list(printed_signs(own_reference(reference_bytes()))) == []

    def signs(words: str) -> list[str]:
        change = f'<w:numFmt w:val="bullet"/><w:lvlText w:val="{words}"/>'
        pattern = r'<w:numFmt w:val="bullet"/><w:lvlText w:val="[^"]*"/>'
        return list(printed_signs(own_reference(_edited(NUMBERING, lambda text: re.sub(pattern, change, text)))))

    assert set(signs("APPROVED: ")) == {"APPROVED: "}
    assert set(signs("✓")) == {"✓"}
    assert signs("–") == signs("o") == signs("\uf0b7") == []
