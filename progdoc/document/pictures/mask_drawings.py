"""A mask as a plain drawing of its kind, and how its seal is checked: black lines put together from data.

Pieces are in `templates/pictures/masks.yaml`. No make is drawn, no word stands in a picture but the letter by which
the text beside it speaks of it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import cache, lru_cache
from html import escape
from typing import Any

from progdoc.core.resources import templates_root
from progdoc.model.description.masks import Facepiece, Filter, Mask, Mode, Mount
from progdoc.model.yaml.yaml_values import plain_of, read_shipped

__all__ = ["LETTERS", "check_pieces", "drawn", "known_pieces", "mask_pieces"]

LETTERS = "ABCDEFGH"
_WIDTH, _HEIGHT, _FOOT, _SCALE = 120, 130, 22, 0.8
_INK = "#1a1a1a"
_AIRLINE = (Mode.AIRLINE_DEMAND, Mode.AIRLINE_CONTINUOUS_FLOW, Mode.AIRLINE_PRESSURE_DEMAND)
_SCBA = (Mode.SCBA_DEMAND, Mode.SCBA_PRESSURE_DEMAND)
_STYLES = {
    "shapes": f'fill="#ffffff" stroke="{_INK}"',
    "lines": f'fill="none" stroke="{_INK}"',
    "over": f'fill="none" stroke="{_INK}"',
    "dark": f'fill="{_INK}"',
}


def mask_pieces(mask: Mask, filters: Sequence[Filter]) -> tuple[str, ...]:
    """Return what a worn mask is drawn with, the hindmost first; nothing where its kind is not known."""
    if mask.facepiece is None:
        return ()
    behind = ("cylinder",) if mask.mode in _SCBA else ()
    return (*behind, "head", "eyes", *_face(mask.facepiece), *_air(mask, filters))


def check_pieces(mask: Mask, filters: Sequence[Filter]) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Return the pictures of breathing out against the covered valve, and in against the covered way in."""
    whole = mask_pieces(mask, filters)
    if mask.facepiece is Facepiece.FILTERING_FACEPIECE:
        return (*whole, "hands-on-mask", "nothing-out"), (*whole, "hands-on-mask", "pulled-in")
    is_on_face = {"discs", "cartridges"} & set(whole)
    covered = "hands-on-filters" if is_on_face else "hand-on-valve"
    return (*whole, "hand-on-valve", "nothing-out"), (*whole, covered, "pulled-in")


def _face(facepiece: Facepiece) -> Iterator[str]:
    yield facepiece.value
    if _pieces()[facepiece.value].get("sees"):
        yield "eyes"


def _air(mask: Mask, filters: Sequence[Filter]) -> Iterator[str]:
    if mask.mode is Mode.POWERED:
        yield "powered"
    elif mask.mode in _AIRLINE:
        yield "airline"
    elif mask.mode in _SCBA:
        yield "demand-hose"
    elif filters:
        mounts = {part.mount for part in filters}
        if Mount.CHIN_CANISTER in mounts:
            yield "chin-canister"
        elif Mount.FRONT_OR_BACK_CANISTER in mounts:
            yield "canister"
        else:
            yield "cartridges" if any(part.gases for part in filters) else "discs"
    if mask.auxiliary_air:
        yield "auxiliary"


def known_pieces() -> frozenset[str]:
    """Return the names of all pieces that there are."""
    return frozenset(_pieces())


@lru_cache(maxsize=128)
def drawn(pictures: tuple[tuple[str, ...], ...]) -> str:
    """Return pictures beside each other as one SVG, each over its letter."""
    width, height = _WIDTH * len(pictures), _HEIGHT + _FOOT
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width * _SCALE:g}" height="{height * _SCALE:g}"'
        f' viewBox="0 0 {width} {height}" font-family="sans-serif" font-size="17" stroke-linejoin="round"'
        f' stroke-linecap="round" stroke-width="1.8">',
        f'<rect width="{width}" height="{height}" fill="#ffffff"/>',
    ]
    for n, pieces in enumerate(pictures):
        parts.append(f'<g transform="translate({n * _WIDTH} 0)">')
        parts += [line for piece in pieces for line in _paths(piece)]
        letter = escape(LETTERS[n])
        parts.append(f'<text x="60" y="{_HEIGHT + 17}" text-anchor="middle" fill="{_INK}">{letter}</text></g>')
    return "".join([*parts, "</svg>"])


def _paths(piece: str) -> Iterator[str]:
    for kind, paths in _pieces()[piece].items():
        if kind in _STYLES:
            yield from (f'<path d="{escape(path)}" {_STYLES[kind]}/>' for path in paths)


@cache
def _pieces() -> dict[str, dict[str, Any]]:
    file = templates_root() / "pictures" / "masks.yaml"
    found: dict[str, dict[str, Any]] = read_shipped(file, lambda top: plain_of(top["pieces"], {}))
    return found
