"""What a paragraph of a Word document looks like once its styles, numbering and own settings are put together."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from progdoc.core.late_dataclass import dataclass

__all__ = ["Look", "Looks", "TableLook", "W"]

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


@dataclass(frozen=True, slots=True)
class TableLook:
    """How thick a table's horizontal lines are, and the margins of its cells."""

    top_line: float = 0.0
    inner_line: float = 0.0
    bottom_line: float = 0.0
    top: float = 0.0
    left: float = 0.0
    bottom: float = 0.0
    right: float = 0.0

    @property
    def sides(self) -> float:
        return self.left + self.right


class Looks:
    """The looks that a document's styles and numbering give."""

    def __init__(self, styles: Any, numbering: Any) -> None:
        defaults = (styles.find(f"{W}docDefaults/{W}{kind}Default/{W}{kind}") for kind in ("rPr", "pPr"))
        run, paragraph = defaults
        self._levels: dict[tuple[str, str], Any] = {}
        self._plain = self._after_paragraph(_after_run(Look(), run), paragraph)
        self._styles = {style.get(f"{W}styleId"): style for style in styles.iter(f"{W}style")}
        self._known: dict[str, Look] = {}
        abstract = {level.get(f"{W}abstractNumId"): level for level in numbering.findall(f"{W}abstractNum")}
        for instance in numbering.findall(f"{W}num"):
            definition = abstract.get(instance.find(f"{W}abstractNumId").get(f"{W}val"))
            for level in () if definition is None else definition.findall(f"{W}lvl"):
                key = (instance.get(f"{W}numId"), level.get(f"{W}ilvl"))
                self._levels[key] = level.find(f"{W}pPr")

    def style(self, style_id: str) -> Look:
        """Return a style's look, that of the style it is based on included."""
        if style_id not in self._known:
            style = self._styles[style_id]
            parent = style.find(f"{W}basedOn")
            parent_id = "" if parent is None else parent.get(f"{W}val")
            look = self.style(parent_id) if parent_id in self._styles else self._plain
            look = _after_run(look, style.find(f"{W}rPr"))
            self._known[style_id] = self._after_paragraph(look, style.find(f"{W}pPr"))
        return self._known[style_id]

    def paragraph(self, element: Any) -> Look:
        """Return the look of one paragraph of the text."""
        properties = element.find(f"{W}pPr")
        look = self.style(properties.find(f"{W}pStyle").get(f"{W}val"))
        return self._after_paragraph(look, properties) if len(properties) > 1 else look

    def run(self, element: Any, around: Look) -> Look:
        """Return the look of a run in a paragraph that looks like `around`."""
        properties = element.find(f"{W}rPr")
        if properties is None:
            return around
        style = properties.find(f"{W}rStyle")
        if style is not None:
            around = _after_run(around, self._styles[style.get(f"{W}val")].find(f"{W}rPr"))
        return _after_run(around, properties)

    def table(self, style_id: str) -> TableLook:
        """Return the look that a table's style gives, that of the style it is based on included."""
        style = self._styles[style_id]
        parent = style.find(f"{W}basedOn")
        parent_id = "" if parent is None else parent.get(f"{W}val")
        look = self.table(parent_id) if parent_id in self._styles else TableLook()
        changes: dict[str, float] = {}
        borders, margins = (style.find(f"{W}tblPr/{W}{name}") for name in ("tblBorders", "tblCellMar"))
        for side, name in (("top", "top_line"), ("insideH", "inner_line"), ("bottom", "bottom_line")):
            line = None if borders is None else borders.find(f"{W}{side}")
            if line is not None:
                changes[name] = _thickness(line)
        for side in ("top", "left", "bottom", "right"):
            margin = None if margins is None else margins.find(f"{W}{side}")
            if margin is not None:
                changes[side] = _length(margin, "w", 0.0)
        return replace(look, **changes)

    def _after_paragraph(self, look: Look, properties: Any) -> Look:
        if properties is None:
            return look
        numbered = properties.find(f"{W}numPr")
        if numbered is not None:
            found = (numbered.find(f"{W}{name}") for name in ("numId", "ilvl"))
            instance, level = ("0" if value is None else value.get(f"{W}val") for value in found)
            level_look = self._after_paragraph(look, self._levels.get((instance, level)))
            look = replace(level_look, is_numbered=instance != "0")
        changes: dict[str, Any] = {}
        for element in properties:
            match element.tag.removeprefix(W):
                case "keepNext":
                    changes["keeps_next"] = _is_on(element)
                case "keepLines":
                    changes["keeps_lines"] = _is_on(element)
                case "pageBreakBefore":
                    changes["starts_page"] = _is_on(element)
                case "spacing":
                    for name in ("before", "after", "line"):
                        changes[name] = _length(element, name, getattr(look, name))
                    if element.get(f"{W}line"):
                        changes["is_exact"] = element.get(f"{W}lineRule") == "exact"
                case "ind":
                    changes |= _indents(element, look)
                case "pBdr":
                    changes["top_edge"], changes["bottom_edge"] = _edge(element, "top"), _edge(element, "bottom")
        return replace(look, **changes) if changes else look


def _indents(element: Any, look: Look) -> dict[str, float]:
    hanging, first = element.get(f"{W}hanging"), element.get(f"{W}firstLine")
    return {
        "left": _length(element, "left", _length(element, "start", look.left)),
        "right": _length(element, "right", _length(element, "end", look.right)),
        "first": -float(hanging) if hanging else float(first) if first else look.first,
    }


def _length(element: Any, name: str, otherwise: float) -> float:
    return float(element.get(f"{W}{name}", otherwise))


def _is_on(element: Any) -> bool:
    """Return whether a property that is there holds: a style may also take it back."""
    return element is not None and element.get(f"{W}val", "1") not in ("0", "false", "off")


def _edge(borders: Any, side: str) -> float:
    """Return how much a border and its space add to the height."""
    edge = borders.find(f"{W}{side}")
    return 0.0 if edge is None else 20.0 * float(edge.get(f"{W}space", 0.0)) + _thickness(edge)


def _thickness(line: Any) -> float:
    if line.get(f"{W}val") in ("nil", "none"):
        return 0.0
    strokes = 3 if line.get(f"{W}val") == "double" else 1  # two lines and the gap between them
    return strokes * 2.5 * float(line.get(f"{W}sz", 0.0))


def _after_run(look: Look, properties: Any) -> Look:
    if properties is None:
        return look
    size, bold, capitals = (properties.find(f"{W}{name}") for name in ("sz", "b", "caps"))
    if size is None and bold is None and capitals is None:
        return look
    return replace(
        look,
        size=look.size if size is None else 10.0 * float(size.get(f"{W}val")),
        is_bold=look.is_bold if bold is None else _is_on(bold),
        is_capitals=look.is_capitals if capitals is None else _is_on(capitals),
    )
