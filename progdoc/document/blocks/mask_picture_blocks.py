"""For each task, the masks that protect in it as plain drawings of their kind, and the check of their seal."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence

from progdoc.core.paper_language import ENGLISH, Language, marked
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
_MOST_LINES = 3  # to sign on; a larger crew signs on the back, or on the sheet of a training
_COVERED = {
    "hand-on-valve": marked("a hand covers the valve"),
    "hands-on-filters": marked("both hands cover the filters"),
    "hands-on-mask": marked("both hands cover the mask"),
}
_WITH_AIR = {
    Mode.POWERED: marked("%(mask)s with a blower"),
    Mode.AIRLINE_DEMAND: marked("%(mask)s on an airline"),
    Mode.AIRLINE_CONTINUOUS_FLOW: marked("%(mask)s on an airline"),
    Mode.AIRLINE_PRESSURE_DEMAND: marked("%(mask)s on an airline"),
    Mode.SCBA_DEMAND: marked("%(mask)s with air carried on the back"),
    Mode.SCBA_PRESSURE_DEMAND: marked("%(mask)s with air carried on the back"),
}


def mask_picture_blocks(judged: Judged, language: Language = ENGLISH) -> dict[str, tuple[Block, ...]]:
    """Return "pictures.ID" for every task: a figure and the words for its letters; nothing where no mask protects."""
    failing = masks_that_fail(judged)
    tasks = (task for _, task in judged.index.tasks.values())
    return {f"pictures.{task.id}": tuple(_pictures(judged, task, failing.keys(), language)) for task in tasks}


def explained_blocks(judged: Judged, language: Language = ENGLISH) -> dict[str, tuple[Block, ...]]:
    """Return "explained.TASK": where wearers sign that the page was explained, in which language, by whom.

    There is a place for each person who is named for the task, two in a line: a page that hangs on a wall has one side.
    """
    say = language.say
    by, tongue, day = (say("Explained by"), 4), (say("In which language"), 3), (say("Date"), 2)
    alone = (by, tongue, (say("To whom"), 4), (say("Signature"), 4), day)
    in_pairs = (by, tongue, (say("Name and signature"), 4), (say("Name and signature"), 4), day)
    return {
        f"explained.{task.id}": (
            _lines(in_pairs, (len(task.people) + 1) // 2) if task.people[1:] else _lines(alone, 1),
        )
        for _, task in judged.index.tasks.values()
    }


def _lines(titles: Sequence[tuple[str, int]], many: int) -> Table:
    rows = tuple(
        Row(
            f"explained.line.{line}",
            tuple(Cell((FormField(f"explained.{line}.{n}", title),)) for n, (title, _) in enumerate(titles, 1)),
        )
        for line in range(1, min(many, _MOST_LINES) + 1)
    )
    return Table("explained", "", tuple(Column(title, share) for title, share in titles), rows, is_whole=True)


def _pictures(judged: Judged, task: Task, failing: Collection[tuple[str, str]], language: Language) -> Iterator[Block]:
    index, say = judged.index, language.say
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
    words: list[Inline] = []
    said: list[str] = []
    for letter, one in zip(LETTERS, masks, strict=False):
        told = _told(judged, *one, language)
        words += [Strong((Text(letter),)), Text(f" {told}. ")]
        said.append(f"{letter}: {told}.")
    sealing = next((one for one in masks if one[0].id not in judged.loose_fitting), None)
    is_ours = judged.description.procedures.use.seal_check.adopt is SealCheckMethod.APPENDIX_B1
    if sealing and is_ours and judged.selection.air[task.id].is_worn:
        out, pulled = check_pieces(*sealing)
        first, second = LETTERS[len(pictures)], LETTERS[len(pictures) + 1]
        words += [Strong((Text(f"{first}, {second}"),)), Text(f" {say('Check of the seal, out and in.')}")]
        said.append(
            f"{first}: "
            + say(
                "The check, breathing out: %(covered)s; arrows at the edge are struck out, for no air escapes.",
                covered=say(_covered(out)),
            )
        )
        said.append(
            f"{second}: "
            + say(
                "The check, breathing in: %(covered)s; arrows lead inward, for the mask stays pulled in.",
                covered=say(_covered(pulled)),
            )
        )
        pictures += [out, pulled]
    yield Figure(f"pictures.{task.id}", "", " ".join(said), drawn(tuple(pictures)))
    yield Paragraph(f"pictures.{task.id}.words", tuple(words))


def _told(judged: Judged, mask: Mask, filters: tuple[Filter, ...], language: Language) -> str:
    """Return what kind of mask it is, and the colour of what is fitted to it."""
    say = language.say
    if mask.facepiece is Facepiece.FILTERING_FACEPIECE:
        kind = say("dust mask")
    else:
        kind = say(choice_words(mask.facepiece)) if mask.facepiece else ""
        if mask.mode and mask.mode is not Mode.AIR_PURIFYING:
            kind = say(_WITH_AIR[mask.mode], mask=kind)
        elif any(part.gases for part in filters):
            kind = say("%(mask)s with cartridges", mask=kind)
        elif filters:
            kind = say("%(mask)s with filters", mask=kind)
    kind = f"{kind[:1].upper()}{kind[1:]}"
    colours = language.series([say(colour) for colour in _colours(judged, filters)])
    if not colours:
        return kind
    return say("%(mask)s, filter colour %(colours)s (the label decides)", mask=kind, colours=colours)


def _colours(judged: Judged, filters: tuple[Filter, ...]) -> tuple[str, ...]:
    found = dict.fromkeys(colour for part in filters for colour in judged.filter_colours.get(part.id, ()))
    return tuple(found) if all(part.id in judged.filter_colours for part in filters) else ()


def _covered(pieces: tuple[str, ...]) -> str:
    return next(words for piece, words in _COVERED.items() if piece in pieces)
