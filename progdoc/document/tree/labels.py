"""Labels of blocks in the language of their document: of notices, open points, annexes, tables, figures, lines to sign.

Writers have the English ones; a document in another language carries its own.
"""

from __future__ import annotations

from dataclasses import replace

from progdoc.core.paper_language import Language, marked
from progdoc.document.tree.nodes import Answer, Block, Figure, Listing, Notice, OpenPoint, Section, Signatures, Table

__all__ = ["ANNEX_LABEL", "NOTICE_LABELS", "OPEN_POINT_LABEL", "SIGNATURE_TITLES", "labelled"]

NOTICE_LABELS = {"danger": marked("Danger"), "caution": marked("Caution"), "note": marked("Note")}
ANNEX_LABEL, OPEN_POINT_LABEL = marked("Annex"), marked("Open point")
SIGNATURE_TITLES = (marked("Role"), marked("Name"), marked("Signature"), marked("Date"))


def labelled(blocks: tuple[Block, ...], language: Language) -> tuple[Block, ...]:
    """Return the blocks with their labels in a language."""
    return tuple(_labelled(block, language) for block in blocks) if language.original else blocks


def _labelled(block: Block, language: Language) -> Block:
    say = language.say
    match block:
        case Section():
            label = say(ANNEX_LABEL) if block.is_annex else ""
            return replace(block, label=label, blocks=labelled(block.blocks, language))
        case Answer():
            return replace(block, blocks=labelled(block.blocks, language))
        case OpenPoint():
            return replace(block, label=say(OPEN_POINT_LABEL))
        case Notice():
            label = say(NOTICE_LABELS.get(block.kind, NOTICE_LABELS["note"]))
            return replace(block, label=label, blocks=labelled(block.blocks, language))
        case Listing():
            items = (replace(item, blocks=labelled(item.blocks, language)) for item in block.items)
            return replace(block, items=tuple(items))
        case Table():
            return replace(block, label=say("Table"))
        case Figure():
            return replace(block, label=say("Figure"))
        case Signatures():
            return replace(block, titles=tuple(map(say, SIGNATURE_TITLES)))
        case _:
            return block
