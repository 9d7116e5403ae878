"""A picture that somebody attached, made ready to be printed: measured, bounded, and freed of all that is beside it.

A photograph tells where and when it was taken, and by whom: of a PNG the picture alone is kept, and a JPEG is drawn
anew as a PNG. So every format prints the same one.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache

from progdoc.document.pictures.typesetter_fonts import own_fonts
from progdoc.writers.logo import MOST_LOGO_BYTES, LogoError, png_logo

__all__ = ["photo_png"]

_MOST_DOTS = 2000  # along either side, as of a mark
_JPEG = b"\xff\xd8\xff"
_SIZES = (*range(0xC0, 0xC4), *range(0xC5, 0xC8), *range(0xC9, 0xCC), *range(0xCD, 0xD0))  # ITU T.81, Table B.1: SOF
_ALONE = (0x01, *range(0xD0, 0xD9))  # markers that nothing belongs to
_WIDE_PT, _DOTS_PER_INCH = 468.0, 150.0  # as wide as the text of a Letter sheet, and sharp enough on paper
_PAGE = (
    b'#set page(width: auto, height: auto, margin: 0pt)\n#image(bytes(json(bytes(sys.inputs.picture))), format: "jpg",'
    b" width: float(sys.inputs.width) * 1pt)\n"
)


def photo_png(data: bytes) -> bytes:
    """Return a PNG of a picture.

    Raises
    ------
    LogoError
        If it is neither PNG nor JPEG, damaged, or too large: why, in words that go on from "it".
    """
    if len(data) > MOST_LOGO_BYTES:
        raise LogoError(f"it has {len(data):,} bytes, and {MOST_LOGO_BYTES:,} are the most")
    if data.startswith(_JPEG):
        return _drawn(data)
    try:
        return png_logo(data).png
    except LogoError as fault:
        raise LogoError("it is neither PNG nor JPEG") if "no PNG" in str(fault) else fault from None


@lru_cache(maxsize=32)
def _drawn(data: bytes) -> bytes:
    """Return a JPEG drawn anew, no wider than a sheet of paper has use for."""
    import typst  # only who prints a photograph loads it

    size = next(_measured(data), (0, 0))
    if not (0 < size[0] <= _MOST_DOTS and 0 < size[1] <= _MOST_DOTS):
        told = f"it is {size[0]} by {size[1]} dots" if size[0] else "it is damaged: it does not say how large it is"
        raise LogoError(f"{told}, and {_MOST_DOTS} by {_MOST_DOTS} are the most")
    width = min(_WIDE_PT, size[0] * 72.0 / _DOTS_PER_INCH)
    inputs = {"picture": str([*data]), "width": f"{width:g}"}
    try:
        png = typst.compile(_PAGE, format="png", ppi=_DOTS_PER_INCH, sys_inputs=inputs, font_paths=own_fonts())
    except typst.TypstError as fault:
        raise LogoError("it is damaged: the picture can't be read") from fault
    if not isinstance(png, bytes):
        raise TypeError("one photograph gives one picture")
    return png


def _measured(data: bytes) -> Iterator[tuple[int, int]]:
    """Yield width and height, where a JPEG says them (ITU T.81, B.2.2)."""
    place = 2
    while place + 9 < len(data) and data[place] == 0xFF:
        marker = data[place + 1]
        if marker == 0xFF or marker in _ALONE:
            place += 1 if marker == 0xFF else 2
            continue
        if marker in _SIZES:
            yield int.from_bytes(data[place + 7 : place + 9]), int.from_bytes(data[place + 5 : place + 7])
            return
        place += 2 + int.from_bytes(data[place + 2 : place + 4])
