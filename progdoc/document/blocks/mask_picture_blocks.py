"""For each task, the masks that protect in it as plain drawings of their kind, and the check of their seal."""

from __future__ import annotations

from collections.abc import Collection, Iterator

from progdoc.document.blocks.selection_blocks import masks_that_fail
from progdoc.document.pictures.mask_drawings import LETTERS, check_pieces, drawn, mask_pieces
from progdoc.document.tree.nodes import (
    Block,
    Cell,
    Column,
    Figure,
    FormField,
    Inline,
    Paragraph,
    Row,
    Strong,
    Table,
    Text,
)
from progdoc.document.tree.tokens import choice_words
from progdoc.model.description.masks import Facepiece, Filter, Mask, Mode
from progdoc.model.description.procedures import SealCheckMethod
from progdoc.model.description.workplace import Task
from progdoc.rules.judged.result import Judged

__all__ = ["explained_blocks", "mask_picture_blocks"]

_MOST_MASKS = 3
_CHECKS = {
    "hand-on-valve": "a hand covers the valve",
    "hands-on-filters": "both hands cover the filters",
    "hands-on-mask": "both hands cover the mask",
}
_AIR = {
    Mode.POWERED: " with a blower",
    Mode.AIRLINE_DEMAND: " on an airline",
    Mode.AIRLINE_CONTINUOUS_FLOW: " on an airline",
    Mode.AIRLINE_PRESSURE_DEMAND: " on an airline",
    Mode.SCBA_DEMAND: " with air carried on the back",
    Mode.SCBA_PRESSURE_DEMAND: " with air carried on the back",
}
_OUT = "The check, breathing out: {covered}; arrows at the edge are struck out, for no air escapes."
_IN = "The check, breathing in: {covered}; arrows lead inward, for the mask stays pulled in."


def mask_picture_blocks(judged: Judged) -> dict[str, tuple[Block, ...]]:
    """Return "pictures.ID" for every task: a figure and the words for its letters; nothing where no mask protects."""
    failing = masks_that_fail(judged)
    return {
        f"pictures.{task.id}": tuple(_pictures(judged, task, failing.keys())) for _, task in judged.index.tasks.values()
    }


def explained_blocks() -> dict[str, tuple[Block, ...]]:
    """Return "explained": the line on which a wearer signs that the page was explained, in which language, by whom."""
    titles = (("Explained by", 4), ("In which language", 3), ("To whom", 4), ("Signature", 4), ("Date", 2))
    cells = (Cell((FormField(f"explained.{n}", title),)) for n, (title, _) in enumerate(titles, 1))
    columns = tuple(Column(title, share) for title, share in titles)
    return {"explained": (Table("explained", "", columns, (Row("explained.line", tuple(cells)),), is_whole=True),)}


def _pictures(judged: Judged, task: Task, failing: Collection[tuple[str, str]]) -> Iterator[Block]:
    index = judged.index
    shown: dict[tuple[str, ...], tuple[Mask, tuple[Filter, ...]]] = {}
    for use in task.masks:
        mask, filters = index.masks[use.mask][1], tuple(index.filters[part][1] for part in use.filters)
        pieces = mask_pieces(mask, filters)
        if pieces and (task.id, mask.id) not in failing:
            shown.setdefault((*pieces, *_colours(judged, filters)), (mask, filters))
    masks = list(shown.values())[:_MOST_MASKS]
    if not masks:
        return
    pictures = [mask_pieces(*one) for one in masks]
    told = [_told(judged, *one) for one in masks]
    words: list[Inline] = []
    for letter, (kind, colours) in zip(LETTERS, told, strict=False):
        words += [Strong((Text(letter),)), Text(f" {kind}{colours}. ")]
    said = [f"{letter}: {kind}{colours}." for letter, (kind, colours) in zip(LETTERS, told, strict=False)]
    sealing = next((one for one in masks if one[0].id not in judged.loose_fitting), None)
    is_ours = judged.description.procedures.use.seal_check.adopt is SealCheckMethod.APPENDIX_B1
    if sealing and is_ours and judged.selection.air[task.id].is_worn:
        out, pulled = check_pieces(*sealing)
        first, second = LETTERS[len(pictures)], LETTERS[len(pictures) + 1]
        words += [Strong((Text(f"{first}, {second}"),)), Text(" Check of the seal, out and in.")]
        said += [f"{first}: {_OUT.format(covered=_covered(out))}", f"{second}: {_IN.format(covered=_covered(pulled))}"]
        pictures += [out, pulled]
    yield Figure(f"pictures.{task.id}", "", " ".join(said), drawn(tuple(pictures)))
    yield Paragraph(f"pictures.{task.id}.words", tuple(words))


def _told(judged: Judged, mask: Mask, filters: tuple[Filter, ...]) -> tuple[str, str]:
    """Return what kind of mask it is, and the colour of what is fitted to it."""
    kind = choice_words(mask.facepiece).capitalize() if mask.facepiece else ""
    if mask.facepiece is Facepiece.FILTERING_FACEPIECE:
        kind = "Dust mask"
    elif mask.mode and mask.mode is not Mode.AIR_PURIFYING:
        kind += _AIR[mask.mode]
    elif filters:
        kind += " with cartridges" if any(part.gases for part in filters) else " with filters"
    colours = _colours(judged, filters)
    return kind, f", filter colour {' and '.join(colours)} (the label decides)" if colours else ""


def _colours(judged: Judged, filters: tuple[Filter, ...]) -> tuple[str, ...]:
    found = dict.fromkeys(colour for part in filters for colour in judged.filter_colours.get(part.id, ()))
    return tuple(found) if all(part.id in judged.filter_colours for part in filters) else ()


def _covered(pieces: tuple[str, ...]) -> str:
    return next(words for piece, words in _CHECKS.items() if piece in pieces)
