"""The Word file whose styles a document is written in: ours, or a firm's own.

Of a firm's file only styles, numbering, theme and the list of fonts are taken, into a copy of ours: no text, macro,
embedded object, picture or link comes along. It must have every style that we name; Word's own are known by their
names, whatever the language Word runs in calls them inside the file.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any
from zipfile import BadZipFile, ZipFile

from progdoc.core.errors import ProgdocError
from progdoc.core.resources import templates_root
from progdoc.writers.docx.looks import Looks, W
from progdoc.writers.zip_bytes import stored_zip, word_archive

__all__ = ["MOST_REFERENCE_BYTES", "StylesError", "own_reference", "recoloured", "reference_parts", "shipped_reference"]

MOST_REFERENCE_BYTES = 10_000_000
_MOST_OF_A_PART = 5_000_000
_STYLES, _NUMBERING = "word/styles.xml", "word/numbering.xml"
_TAKEN = {_STYLES: "styles", _NUMBERING: "numbering", "word/fontTable.xml": "fonts", "word/theme/theme1.xml": "theme"}
_LIST_NAMES = ("Headings", "Annexes", "Bullets", "Steps")  # in the order of their numbers, from 1 on
_AFTER_OURS = 100_000  # what a firm's file numbers otherwise stands behind all of ours
_HEADINGS = 4
# What the schema wants before the numbering among a paragraph's properties.
_BEFORE_NUMBERS = {W + name for name in ("keepNext", "keepLines", "pageBreakBefore", "framePr", "widowControl")}
_RELATION = "{http://schemas.openxmlformats.org/officeDocument/2006/relationships}"
_DRAWING = "{http://schemas.openxmlformats.org/drawingml/2006/main}"
# What names another style inside a style or a list.
_NAMING = frozenset(W + name for name in ("basedOn", "next", "link", "pStyle", "rStyle", "tblStyle", "styleLink"))
_NAMING |= {f"{W}numStyleLink"}

# Our colours by what they are for; the others (danger, caution, draft) are for everybody the same.
_OURS = {
    "accent": ("1F3A4D", "1B4F7A"),
    "soft": ("4A5560", "59636D"),
    "lines": ("8A949E", "B4BCC4"),
    "shade": ("EEF1F4", "E3E8EC", "F3F5F7"),
}


class StylesError(ProgdocError):
    """Why a Word file can't lend its styles; `missing` names styles that it lacks, as Word shows them."""

    def __init__(self, why: str, missing: tuple[str, ...] = ()) -> None:
        self.missing = missing
        super().__init__(why)


def shipped_reference() -> bytes:
    """Return the Word file that ships with progdoc."""
    return templates_root().joinpath("reference.docx").read_bytes()


def recoloured(styles: Any, colours: Mapping[str, str]) -> None:
    """Put a firm's colours in the place of ours in the styles of our own file."""
    ours = {old: colours[name][1:].upper() for name, olds in _OURS.items() if name in colours for old in olds}
    for element in styles.iter():
        names = (f"{W}val",) if element.tag == f"{W}color" else (f"{W}color", f"{W}fill")
        for name in names:
            if element.get(name) in ours:
                element.set(name, ours[element.get(name)])
    if "text" in colours:
        for style in styles.iter(f"{W}style"):
            if style.get(f"{W}styleId") == "Normal":
                ink = style.makeelement(f"{W}color", {f"{W}val": colours["text"][1:].upper()})
                style.find(f"{W}rPr").append(ink)


def own_reference(data: bytes) -> bytes:
    """Return a copy of our file with the styles, numbering, theme and fonts of a firm's.

    Raises
    ------
    StylesError
        If it is no Word file, holds more than styles can need, or lacks a style that we name.
    """
    ours, theirs = _parts(shipped_reference()), _parts(data)
    if _STYLES not in theirs or "word/document.xml" not in theirs:
        raise StylesError("it is no Word document (.docx)")
    taken = {name: _root(theirs[name], tag) for name, tag in _TAKEN.items() if name in theirs}
    for root in taken.values():
        _without_relations(root)
    shipped = {name: _root(ours[name], tag) for name, tag in _TAKEN.items()}
    styles = taken[_STYLES]
    missing = tuple(_missing(shipped[_STYLES], styles, taken.get(_NUMBERING)))
    if missing:
        raise StylesError("styles are missing", missing)
    numbering = _numbered(shipped[_NUMBERING], taken.get(_NUMBERING), styles)
    taken[_NUMBERING] = numbering
    _understood(styles, numbering)
    return stored_zip({**ours, **{name: _bytes(root) for name, root in taken.items()}})


def reference_parts(reference: bytes) -> tuple[frozenset[str], dict[str, Any]]:
    """Return the ids of the styles that we name, and the parts of a reference that is in use, by their short names."""
    named = _root(_parts(shipped_reference())[_STYLES], "styles").findall(f"{W}style")
    parts = _parts(reference)
    roots = {tag: _root(parts[name], tag) for name, tag in _TAKEN.items() if name in parts}
    return frozenset(style.get(f"{W}styleId") for style in named), roots


# ---- the package --------------------------------------------------------------------------------------


def _parts(data: bytes) -> dict[str, bytes]:
    """Return the parts of a package; of those that are taken no more than styles can need."""
    try:
        with word_archive(data) as archive:
            names = set(archive.namelist())
            wanted = names if len(names) < 100 else names & {*_TAKEN, "word/document.xml"}
            return {name: _part(archive, name) for name in sorted(wanted)}
    except BadZipFile as error:
        raise StylesError("it is no Word document (.docx), or damaged") from error


def _part(archive: ZipFile, name: str) -> bytes:
    with archive.open(name) as stream:
        content = stream.read(_MOST_OF_A_PART + 1 if name in _TAKEN else _MOST_OF_A_PART)
    if len(content) > _MOST_OF_A_PART:
        raise StylesError(f"its part {name} is over {_MOST_OF_A_PART:,} bytes")
    return content


def _root(content: bytes, tag: str) -> Any:
    from lxml import etree

    parser = etree.XMLParser(resolve_entities=False, no_network=True, remove_comments=True, remove_pis=True)
    try:
        root = etree.fromstring(content, parser)
    except etree.XMLSyntaxError as error:
        raise StylesError("it is damaged: its styles can't be read") from error
    if root.getroottree().docinfo.doctype or root.tag not in (W + tag, _DRAWING + tag):
        raise StylesError("its styles are not written as Word writes a .docx; save it anew as “Word document”")
    return root


def _bytes(root: Any) -> bytes:
    from lxml import etree

    written: bytes = etree.tostring(root, xml_declaration=True, encoding="UTF-8", standalone=True)
    return written


def _without_relations(root: Any) -> None:
    """Take out what leads to another part or out of the file: embedded fonts, pictures as bullets or as fills."""
    for element in list(root.iter()):
        if element.tag == f"{_DRAWING}blipFill":  # a theme must keep as many fills as it has
            plain = element.makeelement(f"{_DRAWING}solidFill", {})
            plain.append(element.makeelement(f"{_DRAWING}schemeClr", {"val": "phClr"}))
            element.getparent().replace(element, plain)
        elif element.tag in (f"{W}numPicBullet", f"{W}lvlPicBulletId") or any(
            name.startswith(_RELATION) for name in element.attrib
        ):
            element.getparent().remove(element)


# ---- styles -------------------------------------------------------------------------------------------


def _named(styles: Any) -> Iterator[tuple[tuple[str, str], Any]]:
    for style in styles.findall(f"{W}style"):
        name = style.find(f"{W}name")
        if name is not None:
            yield (style.get(f"{W}type", "paragraph"), name.get(f"{W}val", "").lower()), style


def _missing(ours: Any, theirs: Any, numbering: Any) -> Iterator[str]:
    """Give each of a firm's styles the id that we know it by; yield the names of those that are not there."""
    found, renamed = dict(_named(theirs)), {}
    for (kind, name), style in _named(ours):
        own, style_id = found.get((kind, name)), style.get(f"{W}styleId")
        if kind == "numbering" or (own is None and style.get(f"{W}default")):
            continue
        if own is None:
            shown = style.find(f"{W}name").get(f"{W}val")
            yield shown[0].upper() + shown[1:]
        elif own.get(f"{W}styleId") != style_id:
            renamed[own.get(f"{W}styleId")] = style_id
            own.set(f"{W}styleId", style_id)
    for element in _all(theirs, numbering):
        if element.tag in _NAMING and element.get(f"{W}val") in renamed:
            element.set(f"{W}val", renamed[element.get(f"{W}val")])


def _all(*roots: Any) -> Iterator[Any]:
    for root in roots:
        if root is not None:
            yield from root.iter()


def _understood(styles: Any, numbering: Any) -> None:
    """Refuse measures that nobody can read, and styles that are based on themselves."""
    try:
        looks = Looks(styles, numbering)
        for style in styles.findall(f"{W}style"):
            kind, style_id = style.get(f"{W}type"), style.get(f"{W}styleId")
            if kind == "paragraph":
                looks.style(style_id)
            elif kind == "table":
                looks.table(style_id)
    except (ValueError, TypeError, KeyError, AttributeError, RecursionError) as error:
        raise StylesError("its styles hold measures that can't be read; save it anew in Word") from error


# ---- numbering ----------------------------------------------------------------------------------------


def _numbered(ours: Any, theirs: Any, styles: Any) -> Any:
    """Return our numbering with a firm's look of the lists that are ours by name, and its other lists behind them.

    What is printed must be the number that references name. So headings count as ours do, or in our way.
    """
    own = [] if theirs is None else theirs.findall(f"{W}abstractNum")
    by_name = {found.get(f"{W}val"): one for one in own if (found := one.find(f"{W}name")) is not None}
    mapped: dict[str, str] = {}
    definitions = []
    for number, (name, shipped) in enumerate(zip(_LIST_NAMES, ours.findall(f"{W}abstractNum"), strict=True), 1):
        found = by_name.get(name)
        if found is not None and _forms(found) == _forms(shipped):
            mapped[found.get(f"{W}abstractNumId")] = str(number)
            found.set(f"{W}abstractNumId", str(number))
            definitions.append(found)
        else:
            definitions.append(shipped)
    for other in (one for one in own if one not in definitions):
        number = other.get(f"{W}abstractNumId")
        mapped[number] = str(int(number) + _AFTER_OURS)
        other.set(f"{W}abstractNumId", mapped[number])
        for link in list(other.iter(f"{W}pStyle")):
            link.getparent().remove(link)
        definitions.append(other)
    instances = ours.findall(f"{W}num") + _instances(theirs, mapped)
    for element in list(ours):
        ours.remove(element)
    ours.extend(sorted(definitions, key=lambda one: int(one.get(f"{W}abstractNumId"))))
    ours.extend(instances)
    _count_in_styles(styles)
    return ours


def _instances(theirs: Any, mapped: Mapping[str, str]) -> list[Any]:
    found = []
    for instance in () if theirs is None else theirs.findall(f"{W}num"):
        target = instance.find(f"{W}abstractNumId")
        if target is not None and target.get(f"{W}val") in mapped:
            target.set(f"{W}val", mapped[target.get(f"{W}val")])
            instance.set(f"{W}numId", str(int(instance.get(f"{W}numId")) + _AFTER_OURS))
            found.append(instance)
    return found


def _forms(definition: Any) -> list[tuple[str, str]]:
    """Return how a list counts: form and text of each level; a bullet's own sign is a matter of looks."""

    def value(level: Any, name: str) -> str:
        found = level.find(W + name)
        return "" if found is None else str(found.get(f"{W}val", ""))

    forms = [(value(level, "numFmt"), value(level, "lvlText")) for level in definition.findall(f"{W}lvl")]
    return [(form, "" if form == "bullet" else text) for form, text in forms]


def _count_in_styles(styles: Any) -> None:
    """Let the styles of headings count as the tree does, and those of other paragraphs as they did."""
    headings = [f"Heading{level}" for level in range(1, _HEADINGS + 1)]
    for style in styles.findall(f"{W}style"):
        properties = style.find(f"{W}pPr")
        style_id = style.get(f"{W}styleId")
        numbered = None if properties is None else properties.find(f"{W}numPr")
        instance = None if numbered is None else numbered.find(f"{W}numId")
        if style_id in headings and style.get(f"{W}type") == "paragraph":
            _count_as_heading(style, headings.index(style_id))
        elif instance is not None and instance.get(f"{W}val") != "0":
            instance.set(f"{W}val", str(int(instance.get(f"{W}val")) + _AFTER_OURS))


def _count_as_heading(style: Any, level: int) -> None:
    properties = style.find(f"{W}pPr")
    if properties is None:
        properties = style.makeelement(f"{W}pPr", {})
        run = style.find(f"{W}rPr")
        style.append(properties) if run is None else run.addprevious(properties)
    numbered = properties.find(f"{W}numPr")
    if numbered is None:
        numbered = properties.makeelement(f"{W}numPr", {})
        before = [element for element in properties if element.tag in _BEFORE_NUMBERS]
        properties.insert(len(before), numbered)
    for child in list(numbered):
        numbered.remove(child)
    for name, value in (("ilvl", level), ("numId", 1)):
        numbered.append(numbered.makeelement(W + name, {f"{W}val": str(value)}))
