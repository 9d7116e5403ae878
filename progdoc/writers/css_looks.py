"""What a firm's stylesheet may change, as a closed list: colours, letters, lines and the room around them.

Each bound is such that whatever stands on the page can be read, however rules fall together: letters are dark and
grounds are light, nothing is smaller than a reader sees, and nothing leaves its place or covers another's.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping

from progdoc.core.contrast import are_letters, draws_signs, is_ground

__all__ = ["changes_looks"]

_LENGTH = re.compile(r"([+-]?(?:\d{1,4}(?:\.\d{1,4})?|\.\d{1,4}))(px|pt|mm|cm|in|rem|em|ch|ex|%|)")
_PIXELS = {"px": 1.0, "pt": 4 / 3, "mm": 3.78, "cm": 37.8, "in": 96.0, "rem": 16.0, "em": 16.0, "ch": 8.0, "ex": 8.0}
_HEX = re.compile(r"#([0-9a-f]{3}|[0-9a-f]{6})")
_RGB = re.compile(r"rgb\((\d{1,3}), ?(\d{1,3}), ?(\d{1,3})\)")
_WORD = re.compile(r"[a-z][a-z0-9-]*|\d{1,3}")
_NAMED = {"black": "#000000", "white": "#ffffff", "navy": "#000080", "maroon": "#800000", "darkred": "#8b0000",
          "darkblue": "#00008b", "darkgreen": "#006400", "darkslategray": "#2f4f4f", "midnightblue": "#191970",
          "whitesmoke": "#f5f5f5", "ivory": "#fffff0", "snow": "#fffafa", "ghostwhite": "#f8f8ff"}  # fmt: skip
_TAKEN_OVER = ("inherit", "initial", "unset", "revert")
_STRUCK = ("line-through", "blink")


def changes_looks(name: str, value: str) -> bool:
    """Return whether a declaration changes looks alone.

    >>> changes_looks("color", "#333"), changes_looks("color", "#fefefe"), changes_looks("margin-left", "-200vw")
    (True, False, False)
    """
    plain = value.lower().replace("!important", "").strip()
    held = _KEPT.get(name)
    return held is not None and bool(plain) and (plain in _TAKEN_OVER or held(plain))


def _pixels(text: str) -> tuple[float, str] | None:
    found = _LENGTH.fullmatch(text)
    if found is None or (not found[2] and float(found[1]) != 0.0):
        return None
    return (float(found[1]), "%") if found[2] == "%" else (float(found[1]) * _PIXELS.get(found[2], 0.0), "px")


def _between(
    low: float, high: float, share: tuple[float, float] = (1.0, 0.0), words: str = ""
) -> Callable[[str], bool]:
    """Return a look at lengths: in pixels, in percent, or one of some words."""

    def each(part: str) -> bool:
        found = _pixels(part)
        if found is None:
            return part in words.split()
        return share[0] <= found[0] <= share[1] if found[1] == "%" else low <= found[0] <= high

    return lambda value: all(map(each, value.split()))


def _colour(text: str) -> str:
    """Return a colour as "#rrggbb", "" where it can't be told."""
    if found := _HEX.fullmatch(text):
        return f"#{found[1] if len(found[1]) == 6 else ''.join(2 * sign for sign in found[1])}"
    if found := _RGB.fullmatch(text):
        return "#" + "".join(f"{min(int(part), 255):02x}" for part in found.groups())
    return _NAMED.get(text, "")


def _letters(value: str) -> bool:
    return value == "currentcolor" or bool((colour := _colour(value)) and are_letters(colour))


def _ground(value: str) -> bool:
    return value in ("none", "transparent") or bool((colour := _colour(value)) and is_ground(colour))


def _words(value: str) -> bool:
    return all(_WORD.fullmatch(part) and part not in _STRUCK for part in value.split())


def _line(value: str) -> bool:
    """Return whether the parts of a border are a thin line, however coloured."""
    sides = re.sub(r",\s+", ",", value).split()
    return all(_between(0, 20)(part) or _colour(part.replace(",", ", ")) or _WORD.fullmatch(part) for part in sides)


def _family(value: str) -> bool:
    return "(" not in value and not any(map(draws_signs, value.split(",")))


def _letter_size(value: str) -> bool:
    """Return whether a size is large enough by itself: a share of what is around it shrinks with each part within."""
    is_share = value.endswith("%") or (value.endswith("em") and not value.endswith("rem"))
    return not is_share and _between(9, 80, words="small medium large x-large")(value)


def _one_of(*known: str) -> Callable[[str], bool]:
    return lambda value: value in known


def _number(low: float, high: float) -> Callable[[str], bool]:
    def within(value: str) -> bool:
        return bool(re.fullmatch(r"\d{1,4}(?:\.\d{1,4})?", value)) and low <= float(value) <= high

    return within


def _either(*looks: Callable[[str], bool]) -> Callable[[str], bool]:
    return lambda value: any(look(value) for look in looks)


def _each(names: str, look: Callable[[str], bool]) -> dict[str, Callable[[str], bool]]:
    return dict.fromkeys(names.split(), look)


_ROOM = _between(0, 100, (0, 15), "auto normal")
_ENDS = [f"-{way}{end}" for way in ("block", "inline") for end in ("", "-start", "-end")]
_SIDES = ("", "-top", "-right", "-bottom", "-left", *_ENDS)
_KEPT: Mapping[str, Callable[[str], bool]] = {
    **_each("color caret-color accent-color text-decoration-color", _letters),
    **_each("background background-color", _ground),
    **{f"{kind}{side}": _ROOM for kind in ("margin", "padding") for side in _SIDES},
    **_each("gap row-gap column-gap border-spacing", _ROOM),
    **{f"border{side}{part}": _line for side in _SIDES for part in ("", "-style", "-width", "-color")},
    **_each("column-rule column-rule-style column-rule-width column-rule-color", _line),
    "border-radius": _between(0, 100, (0, 50)),
    "font-family": _family,
    "font-size": _letter_size,
    "line-height": _either(_number(1, 3), _one_of("normal")),
    **_each("letter-spacing word-spacing", _between(-0.5, 6, words="normal")),
    "text-indent": _between(0, 64),
    **_each("width min-width", _between(150, 640, (25, 100), "auto fit-content")),
    "max-width": _between(150, 4000, (25, 100), "none fit-content"),
    **_each("text-decoration-thickness text-underline-offset", _between(0, 10, words="auto from-font")),
    "size": _either(_words, _between(500, 4000)),  # of a sheet
    "display": _one_of("block", "list-item", "flow-root"),  # cells in one line would make one figure of two
    "white-space": _one_of("normal", "pre-wrap", "pre-line", "break-spaces"),
    "opacity": _number(1, 1),
    **_each("orphans widows column-count", _number(1, 4)),
    **_each("font-style font-weight font-kerning font-stretch font-synthesis font-optical-sizing", _words),
    **_each("font-variant font-variant-caps font-variant-numeric font-variant-ligatures font-feature-settings", _words),
    **_each("text-align text-align-last text-transform text-decoration text-decoration-line", _words),
    **_each("text-decoration-style text-wrap text-rendering text-justify vertical-align hyphens", _words),
    **_each("list-style list-style-type list-style-position overflow-wrap word-break line-break", _words),
    **_each("float clear justify-content justify-items justify-self align-content align-items align-self", _words),
    **_each("border-collapse caption-side table-layout cursor box-sizing scroll-behavior column-span", _words),
    **_each("break-before break-after break-inside page-break-before page-break-after page-break-inside", _words),
    **_each("print-color-adjust -webkit-print-color-adjust -webkit-font-smoothing -webkit-hyphens", _words),
}
