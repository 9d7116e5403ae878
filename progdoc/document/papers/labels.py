"""What stands on small cards to cut out: one to carry for each wearer, one for the box of each mask, one for a shelf.

All of it stands in the people's papers too, in the same words and with the same days. A card permits nothing: what
somebody may not start is told on it.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum

from progdoc.core.numbers import long_date
from progdoc.model.description.masks import Mask
from progdoc.model.description.people import IssuedMask, Person
from progdoc.model.description.words import label_of
from progdoc.rules.judged.due_results import Kind, OutlookItem
from progdoc.rules.judged.result import Judged

__all__ = ["Label", "LabelKind", "labels_of"]

_AHEAD_DAYS = 365


class LabelKind(StrEnum):
    """Where a card goes; the word is the heading above those of its kind."""

    WALLET = "Cards to carry"
    BOX = "Labels for boxes"
    SHELF = "Labels for shelves"


@dataclass(frozen=True, slots=True)
class Label:
    """One card: what it is called, what it tells, and what is written on it by hand."""

    kind: LabelKind
    id: str
    title: str
    lines: tuple[str, ...]
    by_hand: tuple[str, ...] = ()

    @property
    def plain_text(self) -> str:
        """Return what it tells, for a machine to read."""
        return "\n".join((self.title, *self.lines))


def labels_of(judged: Judged) -> Iterator[Label]:
    """Yield a card for everybody who has a mask, a label for each mask that was handed out, one for each kind."""
    due = {item.id: item for item in judged.due(_AHEAD_DAYS).items}
    wearers = [person for _, person in judged.index.present if person.masks]
    for person in wearers:
        yield _to_carry(judged, person, due)
    for person in wearers:
        for worn in person.masks:
            yield _for_box(judged, person, worn, due)
    for _, mask in judged.index.masks.values():
        yield _for_shelf(judged, mask)


def _to_carry(judged: Judged, person: Person, due: dict[str, OutlookItem]) -> Label:
    masks = (f"{_mask(judged, worn)}: {_fit_test(judged, person, worn, due)}" for worn in person.masks)
    training = due.get(f"{Kind.TRAINING.value}.{person.id}")
    barred = [label_of(one.task) for one in judged.roster.of_person(person) if not one.may]
    lines = (  # first what a code can't lose, however much there is to tell
        *((f"May not start: {'; '.join(barred)}",) if barred else ()),
        *dict.fromkeys(masks),
        *((f"Training: {_by(training)}",) if training else ()),
        f"As of {long_date(judged.as_of)}",
    )
    return Label(LabelKind.WALLET, f"carry.{person.id}", label_of(person), lines)


def _for_box(judged: Judged, person: Person, worn: IssuedMask, due: dict[str, OutlookItem]) -> Label:
    mask = judged.index.masks[worn.mask][1]
    fitted = [label_of(judged.index.filters[name][1]) for name in mask.filters if name in judged.index.filters]
    lines = (_mask(judged, worn), _capital(_fit_test(judged, person, worn, due)), f"As of {long_date(judged.as_of)}")
    by_hand = (*(("Cartridge or filter changed on",) if fitted else ()), "Cleaned on")
    return Label(LabelKind.BOX, f"box.{person.id}.{worn.mask}", label_of(person), lines, by_hand)


def _for_shelf(judged: Judged, mask: Mask) -> Label:
    if mask.withdrawn is not None:
        lines: tuple[str, ...] = (f"Out of use since {long_date(mask.withdrawn.since)}: not to be handed out",)
        return Label(LabelKind.SHELF, f"shelf.{mask.id}", label_of(mask), lines)
    made = " ".join(part for part in (mask.make, mask.model, mask.style) if part)
    fitted = [label_of(judged.index.filters[name][1]) for name in mask.filters if name in judged.index.filters]
    lines = (
        *((made,) if made else ()),
        *((f"Sizes: {', '.join(mask.sizes)}",) if mask.sizes else ()),
        *((f"With: {'; '.join(fitted)}",) if fitted else ()),
    )
    return Label(LabelKind.SHELF, f"shelf.{mask.id}", label_of(mask), lines)


def _mask(judged: Judged, worn: IssuedMask) -> str:
    size = "" if not worn.size else f", {worn.size}" if "size" in worn.size else f", size {worn.size}"
    return f"{label_of(judged.index.masks[worn.mask][1])}{size}"


def _fit_test(judged: Judged, person: Person, worn: IssuedMask, due: dict[str, OutlookItem]) -> str:
    if worn.mask in judged.loose_fitting:
        return "needs no fit test"
    item = due.get(f"{Kind.FIT_TEST.value}.{person.id}.{worn.mask}")
    return f"next fit test {_by(item)}" if item else "no fit test due"


def _by(item: OutlookItem) -> str:
    if item.due is None:
        return "at once"
    return f"overdue since {long_date(item.due)}" if item.state == "overdue" else f"by {long_date(item.due)}"


def _capital(words: str) -> str:
    return words[:1].upper() + words[1:]
