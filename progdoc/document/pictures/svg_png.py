"""Drawings as picture files, for Word, which shows no SVG. The typesetter and its own fonts do the work.

Fonts of the machine are not used, so that the same drawing gives the same bytes everywhere. Nothing is drawn
before a Word document is asked for.
"""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache

from progdoc.document.tree.nodes import Answer, Block, Document, Figure, Listing, Notice, Section

__all__ = ["png_of", "with_pictures"]

_DOTS_PER_INCH = 120.0  # sharp enough for lines and letters on paper, and quick to draw
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


def with_pictures(document: Document) -> Document:
    """Return the document with a picture for every drawing that has none yet."""
    return replace(document, blocks=_drawn(document.blocks))


def _drawn(blocks: tuple[Block, ...]) -> tuple[Block, ...]:
    return tuple(map(_block, blocks))


def _block(block: Block) -> Block:
    match block:
        case Figure(png=b""):
            return replace(block, png=png_of(block.svg))
        case Section() | Notice() | Answer():
            return replace(block, blocks=_drawn(block.blocks))
        case Listing():
            return replace(block, items=tuple(replace(item, blocks=_drawn(item.blocks)) for item in block.items))
        case _:
            return block
