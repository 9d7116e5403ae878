"""What a paragraph of a Word document looks like once its styles, numbering and own settings are put together."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

__all__ = ["Look", "Looks", "W"]

W = "{http://schemas.openxmlformats.org/wordprocessingml/2006/main}"


@dataclass(frozen=True, slots=True)
class Look:
    """Lengths in twentieths of a point. `line`: in 240ths of the font's own, or exact."""

    size: float = 200.0
    is_bold: bool = False
    is_capitals: bool = False
    before: float = 0.0
    after: float = 0.0
    line: float = 240.0
    is_exact: bool = False
    left: float = 0.0
    right: float = 0.0
    first: float = 0.0  # of the first line, beside `left`
    is_numbered: bool = False  # its number stands in the room before `left`
    top_edge: float = 0.0
    bottom_edge: float = 0.0
    keeps_next: bool = False
    keeps_lines: bool = False
    starts_page: bool = False


class Looks:
    """The looks that a document's styles and numbering give."""

    def __init__(self, styles: Any, numbering: Any) -> None:
        self._styles = {style.get(f"{W}styleId"): style for style in styles.iter(f"{W}style")}
        self._known: dict[str, Look] = {}
        abstract = {level.get(f"{W}abstractNumId"): level for level in numbering.findall(f"{W}abstractNum")}
        self._levels: dict[tuple[str, str], Any] = {}
        for instance in numbering.findall(f"{W}num"):
            levels = abstract[instance.find(f"{W}abstractNumId").get(f"{W}val")].findall(f"{W}lvl")
            for level in levels:
                key = (instance.get(f"{W}numId"), level.get(f"{W}ilvl"))
                self._levels[key] = level.find(f"{W}pPr")

    def style(self, style_id: str) -> Look:
        """Return a style's look, that of the style it is based on included."""
        if style_id not in self._known:
            style = self._styles[style_id]
            parent = style.find(f"{W}basedOn")
            look = Look() if parent is None else self.style(parent.get(f"{W}val"))
            look = _after_run(look, style.find(f"{W}rPr"))
            self._known[style_id] = self._after_paragraph(look, style.find(f"{W}pPr"))
        return self._known[style_id]

    def paragraph(self, element: Any) -> Look:
        """Return the look of one paragraph of the text."""
        properties = element.find(f"{W}pPr")
        return self._after_paragraph(self.style(properties.find(f"{W}pStyle").get(f"{W}val")), properties)

    def run(self, element: Any, around: Look) -> Look:
        """Return the look of a run in a paragraph that looks like `around`."""
        properties = element.find(f"{W}rPr")
        if properties is None:
            return around
        style = properties.find(f"{W}rStyle")
        if style is not None:
            around = _after_run(around, self._styles[style.get(f"{W}val")].find(f"{W}rPr"))
        return _after_run(around, properties)

    def table_lines(self, properties: Any) -> dict[str, float]:
        """Return how thick a table's horizontal lines are, by side."""
        borders = properties.find(f"{W}tblBorders")
        if borders is None:
            style = self._styles[properties.find(f"{W}tblStyle").get(f"{W}val")]
            borders = style.find(f"{W}tblPr/{W}tblBorders")
        return {side: _thickness(borders.find(f"{W}{side}")) for side in ("top", "insideH", "bottom")}

    def _after_paragraph(self, look: Look, properties: Any) -> Look:
        if properties is None:
            return look
        numbered = properties.find(f"{W}numPr")
        if numbered is not None:
            key = tuple(numbered.find(f"{W}{name}").get(f"{W}val") for name in ("numId", "ilvl"))
            look = replace(self._after_paragraph(look, self._levels.get(key)), is_numbered=key[0] != "0")
        changes: dict[str, Any] = {}
        for element in properties:
            match element.tag.removeprefix(W):
                case "keepNext":
                    changes["keeps_next"] = True
                case "keepLines":
                    changes["keeps_lines"] = True
                case "pageBreakBefore":
                    changes["starts_page"] = True
                case "spacing":
                    changes["before"], changes["after"], changes["line"] = (
                        float(element.get(f"{W}{name}")) for name in ("before", "after", "line")
                    )
                    changes["is_exact"] = element.get(f"{W}lineRule") == "exact"
                case "ind":
                    changes |= _indents(element, look)
                case "pBdr":
                    changes["top_edge"], changes["bottom_edge"] = _edge(element, "top"), _edge(element, "bottom")
        return replace(look, **changes) if changes else look


def _indents(element: Any, look: Look) -> dict[str, float]:
    hanging, first = element.get(f"{W}hanging"), element.get(f"{W}firstLine")
    return {
        "left": float(element.get(f"{W}left", look.left)),
        "right": float(element.get(f"{W}right", look.right)),
        "first": -float(hanging) if hanging else float(first) if first else look.first,
    }


def _edge(borders: Any, side: str) -> float:
    """Return how much a border and its space add to the height."""
    edge = borders.find(f"{W}{side}")
    return 0.0 if edge is None else 20.0 * float(edge.get(f"{W}space")) + _thickness(edge)


def _thickness(line: Any) -> float:
    if line is None or line.get(f"{W}val") == "nil":
        return 0.0
    strokes = 3 if line.get(f"{W}val") == "double" else 1  # two lines and the gap between them
    return strokes * 2.5 * float(line.get(f"{W}sz"))


def _after_run(look: Look, properties: Any) -> Look:
    if properties is None:
        return look
    size = properties.find(f"{W}sz")
    return replace(
        look,
        size=look.size if size is None else 10.0 * float(size.get(f"{W}val")),
        is_bold=look.is_bold or properties.find(f"{W}b") is not None,
        is_capitals=look.is_capitals or properties.find(f"{W}caps") is not None,
    )
