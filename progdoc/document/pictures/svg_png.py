"""Drawings as picture files, for Word, which shows no SVG. The typesetter and its own fonts do the work.

Fonts of the machine are not used, so that the same drawing gives the same bytes everywhere. Nothing is drawn
before a Word document is asked for.
"""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache

from progdoc.document.pictures.typesetter_fonts import own_fonts
from progdoc.document.tree.nodes import Answer, Block, Document, Figure, Listing, Notice, Section

__all__ = ["png_of", "with_pictures"]

_DOTS_PER_INCH = 120.0  # sharp enough for lines and letters on paper, and quick to draw
_DOTS_OF_A_LOGO = 300.0  # per inch, for the little that it is
_PAGE = b'#set page(width: auto, height: auto, margin: 0pt)\n#image(bytes(sys.inputs.svg), format: "svg")\n'


@lru_cache(maxsize=256)
def png_of(svg: str, dots_per_inch: float = _DOTS_PER_INCH) -> bytes:
    """Return a drawing as PNG."""
    import typst  # only who asks for pictures loads it

    inputs = {"svg": svg}
    picture = typst.compile(_PAGE, format="png", ppi=dots_per_inch, sys_inputs=inputs, font_paths=own_fonts())
    if not isinstance(picture, bytes):
        raise TypeError("one drawing gives one picture")
    return picture


def with_pictures(document: Document) -> Document:
    """Return the document with a picture for every drawing that has none yet."""
    look = document.look
    if look.logo is not None and look.logo.svg and document.has_cover:
        look = replace(look, logo=replace(look.logo, png=png_of(look.logo.svg, _DOTS_OF_A_LOGO)))
    return replace(document, blocks=_drawn(document.blocks), look=look)


def _drawn(blocks: tuple[Block, ...]) -> tuple[Block, ...]:
    return tuple(map(_block, blocks))


def _block(block: Block) -> Block:
    match block:
        case Figure(png=b"") if block.svg:
            return replace(block, png=png_of(block.svg))
        case Section() | Notice() | Answer():
            return replace(block, blocks=_drawn(block.blocks))
        case Listing():
            return replace(block, items=tuple(replace(item, blocks=_drawn(item.blocks)) for item in block.items))
        case _:
            return block
