"""A drawing as a picture file, for Word, which shows no SVG. The typesetter and its own fonts do the work.

Fonts of the machine are not used, so that the same drawing gives the same bytes everywhere.
"""

from __future__ import annotations

from functools import lru_cache

__all__ = ["png_of"]

_DOTS_PER_INCH = 200.0
_PAGE = b'#set page(width: auto, height: auto, margin: 0pt)\n#image(bytes(sys.inputs.svg), format: "svg")\n'


@lru_cache(maxsize=256)
def png_of(svg: str) -> bytes:
    """Return a drawing as PNG."""
    import typst  # only who asks for pictures loads it

    inputs = {"svg": svg}
    picture = typst.compile(_PAGE, format="png", ppi=_DOTS_PER_INCH, sys_inputs=inputs, ignore_system_fonts=True)
    if not isinstance(picture, bytes):
        raise TypeError("one drawing gives one picture")
    return picture
