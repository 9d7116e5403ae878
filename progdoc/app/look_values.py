"""What a firm's look.yaml says: colours, what stands at the head and foot of each sheet, the paper."""

from __future__ import annotations

import re
from collections.abc import Mapping

from progdoc.app.file_faults import file_fault
from progdoc.core.contrast import LEAST_CONTRAST, contrast
from progdoc.core.diagnostics import Diagnostic, Location
from progdoc.core.look import Look
from progdoc.core.unread import Unread
from progdoc.model.description.program import Paper
from progdoc.model.yaml.yaml_file import Bounds, read_content
from progdoc.model.yaml.yaml_syntax import shown
from progdoc.model.yaml.yaml_tree import Node
from progdoc.rules.reading.pack_faults import did_you_mean

__all__ = ["COLOURS", "look_values"]

# What each colour is for, in the words of the messages; the value is ours.
COLOURS = {
    "text": ("the text", "#1c2328"),
    "accent": ("headings, rules and links", "#1f3a4d"),
    "soft": ("small print", "#4a5560"),
    "lines": ("thin lines", "#8a949e"),
    "shade": ("what lies behind the heads of tables", "#e3e8ec"),
    "alert": ("warnings on the screen", "#8c2f12"),
}
_LETTERS_ON_WHITE = ("text", "accent", "soft", "alert")
_LETTERS_ON_SHADE = ("text", "accent", "soft")
_KEYS = ("colours", "header", "footer", "paper")
_LONGEST = {"header": 80, "footer": 120}
_COLOUR = re.compile(r"#?([0-9a-fA-F]{6})")
_DARKER = 0.95
_MOST_BYTES = 100_000


class _Reading:
    """One reading of look.yaml: what was found, and every fault."""

    def __init__(self, file: str) -> None:
        self.file = file
        self.faults: list[Diagnostic] = []

    def refuse(self, code: str, line: int, column: int, what: str, fix: str) -> None:
        self.faults.append(file_fault(code, Location(self.file, line, column), what, fix))

    def known(self, group: Mapping[str, Node], keys: tuple[str, ...]) -> None:
        for key, node in group.items():
            if key not in keys:
                what = f"`{key}` is not a key that is known here.{did_you_mean(key, keys)}"
                fix = f"Take it out, or use one of: {', '.join(keys)}."
                self.refuse("LOOK-004", node.key_line, node.key_column, what, fix)

    def colours(self, node: Node | None) -> dict[str, str]:
        if node is None or node.content is None:
            return {}
        if not isinstance(node.content, dict):
            fix = 'Write one colour a line below it, such as `accent: "#1f3a4d"`.'
            self.refuse("LOOK-004", node.line, node.column, "`colours` holds no group of colours.", fix)
            return {}
        self.known(node.content, tuple(COLOURS))
        named = {name: value for name, value in node.content.items() if name in COLOURS}
        found = {name: self._colour(name, value) for name, value in named.items()}
        return {name: colour for name, colour in found.items() if colour}

    def _colour(self, name: str, node: Node) -> str:
        found = _COLOUR.fullmatch(node.content) if isinstance(node.content, str) else None
        if found:
            return f"#{found[1].lower()}"
        fix = f'Write six digits from 0 to 9 and a to f in quotes, such as `{name}: "{COLOURS[name][1]}"`.'
        what = f"`{name}` is no colour: {shown(str(node.content))}."
        if node.content is None:
            what = f"`{name}` says nothing; behind a # that stands outside quotes all is a comment."
        elif not isinstance(node.content, str):
            what = f"`{name}` holds no single colour."
        self.refuse("LOOK-004", node.line, node.column, what, fix)
        return ""

    def line(self, key: str, node: Node | None) -> str:
        if node is None or node.content is None:
            return ""
        if not isinstance(node.content, str):
            self.refuse("LOOK-004", node.line, node.column, f"`{key}` holds no single text.", f"Write `{key}: a line`.")
            return ""
        text = " ".join(node.content.split())
        if len(text) > _LONGEST[key]:
            what = f"`{key}` has {len(text)} letters, and {_LONGEST[key]} fit on a line of the sheet."
            self.refuse("LOOK-004", node.line, node.column, what, "Write less.")
        return text

    def paper(self, node: Node | None) -> str:
        if node is None or node.content is None:
            return ""
        said = node.content if isinstance(node.content, str) else "a list or a group"
        found = [paper.value for paper in Paper if paper.value.lower() == said.strip().lower()]
        if not found:
            what, fix = (
                f"`paper` is no sheet that is known here: {shown(said)}.",
                "Write `paper: Letter` or `paper: A4`.",
            )
            self.refuse("LOOK-004", node.line, node.column, what, fix)
        return "".join(found)

    def contrasts(self, colours: Mapping[str, str], places: Mapping[str, Node]) -> None:
        """Refuse letters that many people could not read."""
        shade = colours.get("shade", COLOURS["shade"][1])
        for name in _LETTERS_ON_WHITE:
            ink = colours.get(name, COLOURS[name][1])
            if name in colours and contrast(ink, "#ffffff") < LEAST_CONTRAST:
                darkest = shade if name in _LETTERS_ON_SHADE else "#ffffff"
                fix = f'Write a darker one, such as `{name}: "{_darkened(ink, darkest)}"`.'
                self._pale(name, ink, "white paper", "#ffffff", places[name], fix)
            elif name in _LETTERS_ON_SHADE and contrast(ink, shade) < LEAST_CONTRAST:
                where = places[name if name in colours else "shade"] if {name, "shade"} & set(colours) else None
                if where is not None:
                    fix = f'Write a lighter shade, such as `shade: "{COLOURS["shade"][1]}"`, or a darker `{name}`.'
                    self._pale(name, ink, f"the shade {shade}", shade, where, fix)

    def _pale(self, name: str, ink: str, ground: str, under: str, node: Node, fix: str) -> None:
        told = contrast(ink, under)
        what = (
            f"{COLOURS[name][0].capitalize()} in `{name}` {ink} can hardly be read on {ground}: the contrast is "
            f"{int(told * 100) / 100:.2f}, and {LEAST_CONTRAST} is the least for text (WCAG 2.2, 1.4.3)."
        )
        self.refuse("LOOK-005", node.line, node.column, what, fix)


def look_values(content: bytes | Unread, file: str) -> tuple[Look, list[Diagnostic]]:
    """Return what look.yaml says, and everything that is wrong with it."""
    tree = read_content(content, file, Bounds(most_bytes=_MOST_BYTES))
    reading = _Reading(file)
    reading.known(tree.top, _KEYS)
    node = tree.top.get("colours")
    colours = reading.colours(node)
    places = node.content if node is not None and isinstance(node.content, dict) else {}
    reading.contrasts(colours, places)
    header, footer = (reading.line(key, tree.top.get(key)) for key in ("header", "footer"))
    look = Look(colours=colours, header=header, footer=footer, paper=reading.paper(tree.top.get("paper")))
    return look, [*tree.diagnostics, *reading.faults]


def _darkened(colour: str, under: str) -> str:
    """Return the colour as much darker as it takes to be read."""
    parts = [int(colour[place : place + 2], 16) for place in (1, 3, 5)]
    while contrast(colour, under) < LEAST_CONTRAST and any(parts):
        parts = [int(part * _DARKER) for part in parts]
        colour = "#" + "".join(f"{part:02x}" for part in parts)
    return colour
