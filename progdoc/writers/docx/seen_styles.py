"""Whether the styles of a firm's Word file change looks alone: what they may hold is a closed list.

Each style is looked at by itself, so that no two together can hide what neither hides alone: letters are dark, grounds
are light, nothing is too small to read, and no text leaves its place on the sheet.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from typing import Any

from progdoc.core.contrast import are_letters, draws_signs, is_ground
from progdoc.writers.docx.looks import W
from progdoc.writers.docx.own_reference import reference_parts, shipped_reference

__all__ = ["hiding_styles", "printed_signs"]

_WORD_NAMES = "http://schemas.openxmlformats.org/wordprocessingml/2006/main"
_DRAWING = "{http://schemas.openxmlformats.org/drawingml/2006/main}"
_GAP = "TableGap"  # the thin line between two tables, in which nothing is written
_LEAST_SIZE = 12.0  # half points: 6 pt
_OFF = ("0", "false", "off", "none")
_SAYS = re.compile(r"[^\W_]|[✓✔☑✅✗✘☒❌]")
_PRIVATE = re.compile("[\ue000-\uf8ff]")  # the signs of a font for bullets

# Of Word's properties those that change looks, or nothing, whatever they say.
_SPARED = frozenset(
    re.findall(
        r"\w+",
        """
        name aliases basedOn next link autoRedefine hidden uiPriority semiHidden unhideWhenUsed qFormat locked rsid
        personal personalCompose personalReply b bCs i iCs caps smallCaps kern lang noProof vertAlign u em snapToGrid
        bdr keepNext keepLines pageBreakBefore widowControl numPr numId ilvl suppressLineNumbers pBdr tabs tab top
        left bottom right between bar insideH insideV start end tl2br tr2bl suppressAutoHyphens kinsoku wordWrap
        overflowPunct topLinePunct autoSpaceDE autoSpaceDN adjustRightInd contextualSpacing mirrorIndents jc
        textAlignment outlineLvl tblStyleRowBandSize tblStyleColBandSize tblBorders tblCellMar tblLayout tblLook
        tcBorders tcMar vAlign cantSplit tblHeader hideMark rPr pPr tblPr trPr tcPr tblStylePr docDefaults rPrDefault
        pPrDefault nsid multiLevelType tmpl lvl lvlRestart pStyle isLgl suff lvlText lvlJc numFmt abstractNum
        styleLink numStyleLink rStyle
        """,
    )
)


def hiding_styles(reference: bytes) -> Iterator[str]:
    """Yield what is more than a look in the styles that a document uses, as the style's name and the property."""
    ours, parts = reference_parts(reference)
    dark = _theme_colours(parts.get("theme"))
    styles = parts["styles"]
    for element, name in (*_used(styles, ours), *((one, "list") for one in parts["numbering"].iter(f"{W}abstractNum"))):
        style_id = element.get(f"{W}styleId", "")
        for inner in element.iter():
            if inner is not element and not _is_look(inner, style_id, dark):
                yield f"{name}: {_tag(inner)} {' '.join(map(str, inner.attrib.values()))}".strip()
    for font in _fonts_of_theme(parts.get("theme")):
        yield f"theme: {font}"


def printed_signs(reference: bytes) -> Iterator[str]:
    """Yield what stands before the paragraphs of a list, where it is more than a number or a sign."""
    _named, parts = reference_parts(reference)
    _none, ours = reference_parts(shipped_reference())
    known = {"o", *(text.get(f"{W}val") for text in ours["numbering"].iter(f"{W}lvlText"))}  # Word's round bullet: o
    for text in parts["numbering"].iter(f"{W}lvlText"):
        shown = text.get(f"{W}val", "")
        if shown not in known and _SAYS.search(_PRIVATE.sub("", re.sub(r"%\d", "", shown))):
            yield shown


def _used(styles: Any, ours: frozenset[str]) -> Iterator[tuple[Any, str]]:
    """Yield the styles that a document uses, and those on which they are based, each with its name."""
    yield styles.find(f"{W}docDefaults"), "defaults"
    by_id = {style.get(f"{W}styleId"): style for style in styles.iter(f"{W}style")}
    left, seen = sorted(ours), set()
    while left:
        found = by_id.get(left.pop())
        if found is None or found.get(f"{W}styleId") in seen:
            continue
        seen.add(found.get(f"{W}styleId"))
        named, parent = found.find(f"{W}name"), found.find(f"{W}basedOn")
        left += [] if parent is None else [parent.get(f"{W}val")]
        yield found, "" if named is None else str(named.get(f"{W}val"))


def _tag(element: Any) -> str:
    return str(element.tag).rpartition("}")[2]


def _is_look(element: Any, style_id: str, themes: Mapping[str, str]) -> bool:
    """Return whether a property changes looks alone; of Word's later ones, only how letters join."""
    tag, value = _tag(element), element.get(f"{W}val", "")
    if not str(element.tag).startswith(f"{{{_WORD_NAMES}}}"):
        return tag in ("ligatures", "numForm", "numSpacing", "cntxtAlts", "stylisticSets", "styleSet")
    if tag in _SPARED:
        return tag != "hidden" or element.getparent().tag == f"{W}style"  # from the list of styles; not of a row
    match tag:
        case "color":
            return _is_letter_colour(element, themes)
        case "shd":
            return _is_light(element, themes)
        case "sz" | "szCs":
            return _number(value) >= _LEAST_SIZE or style_id == _GAP
        case "highlight":
            return value in ("none", "white", "yellow", "lightGray")
        case "rFonts":
            return not any(draws_signs(str(font)) for font in element.attrib.values())
        case "spacing":
            return _is_readable_spacing(element, style_id)
        case "w":
            return _number(value) >= 80
        case "position":
            return abs(_number(value)) <= 12
        case "ind":
            return all(0 <= _number(str(width)) <= 4000 for width in element.attrib.values())
        case "tblInd":
            return -200 <= _number(element.get(f"{W}w", "")) <= 1000
        case "tblW" | "tcW" | "start" | "tblCellSpacing":
            return element.get(f"{W}type") in (None, "auto", "nil")
    return value in _OFF


def _number(text: str) -> float:
    return float(text) if re.fullmatch(r"-?\d{1,6}(\.\d{1,6})?", text) else -1e6


def _is_readable_spacing(element: Any, style_id: str) -> bool:
    """Return whether the room between letters, lines or paragraphs leaves each of them to be read."""
    given = {str(name).removeprefix(W): str(text) for name, text in element.attrib.items()}
    if "val" in given and not -10 <= _number(given["val"]) <= 200:
        return False
    if any(not 0 <= _number(given.get(name, "0")) <= 2880 for name in ("before", "after")):
        return False
    least = 200.0 if given.get("lineRule") != "exact" else 240.0
    return _number(given.get("line", "240")) >= least or style_id == _GAP


def _is_letter_colour(element: Any, themes: Mapping[str, str]) -> bool:
    found = [colour for colour in (element.get(f"{W}val", "auto"),) if colour != "auto"]
    if theme := element.get(f"{W}themeColor"):
        found.append(_shaded(themes.get(theme, ""), element.get(f"{W}themeShade"), element.get(f"{W}themeTint")))
    return all(re.fullmatch(r"[0-9A-Fa-f]{6}", colour) and are_letters(f"#{colour}") for colour in found)


def _is_light(element: Any, themes: Mapping[str, str]) -> bool:
    if element.get(f"{W}val") not in (None, "clear", "nil"):
        return False
    found = [colour for colour in (element.get(f"{W}fill", "auto"),) if colour != "auto"]
    if theme := element.get(f"{W}themeFill"):
        found.append(
            _shaded(themes.get(theme, ""), element.get(f"{W}themeFillShade"), element.get(f"{W}themeFillTint"))
        )
    return all(re.fullmatch(r"[0-9A-Fa-f]{6}", colour) and is_ground(f"#{colour}") for colour in found)


# ---- the theme ----------------------------------------------------------------------------------------

_IN_THEME = {
    "text1": "dk1", "dark1": "dk1", "text2": "dk2", "dark2": "dk2", "background1": "lt1", "light1": "lt1",
    "background2": "lt2", "light2": "lt2", "hyperlink": "hlink", "followedHyperlink": "folHlink",
    **{f"accent{n}": f"accent{n}" for n in range(1, 7)},
}  # fmt: skip
_OF_SYSTEM = {"windowText": "000000", "window": "FFFFFF"}


def _theme_colours(theme: Any) -> dict[str, str]:
    """Return the colours of a theme by the names that styles have for them, as six digits."""
    scheme = None if theme is None else theme.find(f".//{_DRAWING}clrScheme")
    found: dict[str, str] = {}
    for slot in () if scheme is None else scheme:
        colour = next(iter(slot), None)
        if colour is not None:
            value = str(colour.get("val", ""))
            found[_tag(slot)] = _OF_SYSTEM.get(value, "") if _tag(colour) == "sysClr" else value
    return {name: found.get(slot, "") for name, slot in _IN_THEME.items()}


def _shaded(colour: str, shade: str | None, tint: str | None) -> str:
    """Return a theme's colour darkened by a shade, or lightened by a tint, about as Word does it."""
    if not re.fullmatch(r"[0-9A-Fa-f]{6}", colour):
        return ""
    parts = [int(colour[place : place + 2], 16) for place in (0, 2, 4)]
    for share, towards in ((shade, 0), (tint, 255)):
        if share and re.fullmatch(r"[0-9A-Fa-f]{2}", share):
            kept = int(share, 16) / 255
            parts = [round(part * kept + towards * (1 - kept)) for part in parts]
    return "".join(f"{part:02X}" for part in parts)


def _fonts_of_theme(theme: Any) -> Iterator[str]:
    for font in () if theme is None else theme.iter(f"{_DRAWING}latin"):
        if draws_signs(str(font.get("typeface", ""))):
            yield str(font.get("typeface"))
