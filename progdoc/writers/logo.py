"""A firm's mark, from the file it was given in: measured, bounded, freed of all that is no part of the picture.

Refuses with words for whoever made the file: `LogoError`.
"""

from __future__ import annotations

import re
import zlib
from collections.abc import Iterator
from xml.etree import ElementTree

from progdoc.core.errors import ProgdocError
from progdoc.core.look import TALLEST_LOGO_MM, WIDEST_LOGO_MM, Logo
from progdoc.writers.inline_svg import inline_svg

__all__ = ["MOST_LOGO_BYTES", "LogoError", "png_logo", "svg_logo"]

MOST_LOGO_BYTES = 500_000
_MOST_DOTS = 2000  # along either side
_MM_PER_INCH, _DOTS_PER_INCH = 25.4, 96.0  # of a CSS pixel

_SVG = "{http://www.w3.org/2000/svg}"
# What a plain mark is drawn with. None of these can run, fetch, or draw a part over and over.
_SHAPES = ("path", "rect", "circle", "ellipse", "line", "polyline", "polygon", "text", "tspan")
_DRAWN = {"svg", "g", "defs", "linearGradient", "radialGradient", "stop", "clipPath", "mask", *_SHAPES}
_LEFT_OUT = frozenset({"metadata", "title", "desc"})  # drawing programs leave them; they show nothing
_MOST_ELEMENTS, _DEEPEST = 5000, 60
_NUMBER = re.compile(r"\s*([0-9]+(?:\.[0-9]+)?)(?:px|mm|cm|pt|in)?\s*")

_SIGNATURE = b"\x89PNG\r\n\x1a\n"
_KEPT_CHUNKS = (b"IHDR", b"PLTE", b"tRNS", b"IDAT", b"IEND")
_SAMPLES = {0: 1, 2: 3, 3: 1, 4: 2, 6: 4}  # in a dot, by the kind of colour
_DEPTHS = {0: (1, 2, 4, 8, 16), 2: (8, 16), 3: (1, 2, 4, 8), 4: (8, 16), 6: (8, 16)}
_FILTERS = 5  # ways in which a line of a PNG may be written


class LogoError(ProgdocError):
    """Why a file can't be the firm's mark."""


def svg_logo(data: bytes) -> Logo:
    """Return a mark from a drawing."""
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise LogoError("it is not written in UTF-8") from error
    if "<!ENTITY" in text:
        raise LogoError("it declares entities of its own, which can hide anything")
    try:
        root = ElementTree.fromstring(text)
    except ElementTree.ParseError as error:
        raise LogoError(f"it is not well-formed SVG ({error})") from error
    if root.tag != f"{_SVG}svg":
        raise LogoError("it is no SVG drawing")
    _plain(root)
    width, height = _measured(root)
    size = _fitted(width, height)
    root.attrib.setdefault("viewBox", f"0 0 {width:g} {height:g}")
    root.set("width", f"{size[0]:.4g}mm")
    root.set("height", f"{size[1]:.4g}mm")
    ElementTree.register_namespace("", _SVG[1:-1])
    svg = ElementTree.tostring(root, encoding="unicode")
    try:
        inline_svg(svg, "page--logo", "Logo", "")
    except ProgdocError as error:
        raise LogoError(str(error).partition(": ")[2]) from error
    return Logo(*size, svg=svg)


def _plain(root: ElementTree.Element) -> None:
    """Take out what drawing programs leave in their files; refuse what a plain mark has no use for."""
    left, count = [(root, 1)], 0
    while left:
        element, depth = left.pop()
        for child in list(element):
            count += 1
            if count > _MOST_ELEMENTS or depth > _DEEPEST:
                raise LogoError(f"it has over {_MOST_ELEMENTS} parts, or parts within parts over {_DEEPEST} deep")
            name = child.tag.removeprefix(_SVG) if isinstance(child.tag, str) else "metadata"
            if "}" in name or name in _LEFT_OUT:
                element.remove(child)
            elif name not in _DRAWN:
                raise LogoError(f"it holds <{name}>, and a mark may hold plain shapes, text and gradients only")
            else:
                left.append((child, depth + 1))
        for attribute in [name for name in element.attrib if "}" in name]:
            del element.attrib[attribute]


def _measured(root: ElementTree.Element) -> tuple[float, float]:
    box = re.split(r"[\s,]+", root.get("viewBox", "").strip())
    sides = box[2:] if len(box) == 4 else [root.get("width", ""), root.get("height", "")]
    found = [_NUMBER.fullmatch(side) for side in sides]
    measured = [float(match[1]) if match else 0.0 for match in found]
    if not all(0 < side < 1e6 for side in measured):
        raise LogoError("it does not say how wide and how high it is (`viewBox`, or `width` and `height`)")
    return measured[0], measured[1]


def _fitted(width: float, height: float, most: float = 1e9) -> tuple[float, float]:
    """Return the size in millimetres, as large as the cover has room for, and no larger than `most` times its own."""
    scale = min(WIDEST_LOGO_MM / width, TALLEST_LOGO_MM / height, most)
    return width * scale, height * scale


# ---- PNG ----------------------------------------------------------------------------------------------


def png_logo(data: bytes) -> Logo:
    """Return a mark from a picture; what the file tells beside the picture is left out."""
    if not data.startswith(_SIGNATURE):
        raise LogoError("it is no PNG picture")
    chunks = list(_chunks(data))
    kinds = [kind for kind, _ in chunks]
    if kinds[:1] != [b"IHDR"] or len(chunks[0][1]) != 13 or kinds[-1] != b"IEND":
        raise LogoError("it is damaged, or only a part of a PNG picture")
    header = chunks[0][1]
    width, height = int.from_bytes(header[:4]), int.from_bytes(header[4:8])
    depth, colour, *_, interlaced = header[8:]
    if not (0 < width <= _MOST_DOTS and 0 < height <= _MOST_DOTS):
        raise LogoError(f"it is {width} by {height} dots, and {_MOST_DOTS} by {_MOST_DOTS} are the most")
    if depth not in _DEPTHS.get(colour, ()):
        raise LogoError("it is damaged: no PNG has such colours")
    if interlaced:
        raise LogoError("it is interlaced; save it without that")
    line = (width * depth * _SAMPLES[colour] + 7) // 8 + 1
    _whole(b"".join(content for kind, content in chunks if kind == b"IDAT"), line, height)
    if colour == 3 and b"PLTE" not in kinds:
        raise LogoError("it is damaged: its colours are missing")
    own = _MM_PER_INCH / _DOTS_PER_INCH  # a small picture is not blown up
    return Logo(*_fitted(width, height, own), png=_SIGNATURE + b"".join(_chunk(*c) for c in chunks if _is_kept(c)))


def _is_kept(chunk: tuple[bytes, bytes]) -> bool:
    return chunk[0] in _KEPT_CHUNKS


def _chunks(data: bytes) -> Iterator[tuple[bytes, bytes]]:
    place = len(_SIGNATURE)
    while place < len(data):
        length = int.from_bytes(data[place : place + 4])
        kind, content = data[place + 4 : place + 8], data[place + 8 : place + 8 + length]
        told = data[place + 8 + length : place + 12 + length]
        if len(content) != length or zlib.crc32(kind + content).to_bytes(4) != told:
            raise LogoError("it is damaged, or only a part of a PNG picture")
        yield kind, content
        if kind == b"IEND":
            return
        place += 12 + length


def _chunk(kind: bytes, content: bytes) -> bytes:
    return len(content).to_bytes(4) + kind + content + zlib.crc32(kind + content).to_bytes(4)


def _whole(packed: bytes, line: int, height: int) -> None:
    """Refuse a picture that unpacks to more or less than its own size."""
    try:
        unpacked = zlib.decompressobj().decompress(packed, line * height + 1)
    except zlib.error as error:
        raise LogoError("it is damaged: the picture can't be unpacked") from error
    if len(unpacked) != line * height or any(way >= _FILTERS for way in unpacked[::line]):
        raise LogoError("it is damaged: the picture is not as large as it says")
