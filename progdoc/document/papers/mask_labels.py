"""Cards for the pocket and labels for boxes and shelves: what is on them, in lines. They name workers: restricted.

A card is for one person, a label for one person's mask or for a kind of mask on the shelf. What changes by hand (the
day of a change) is left open. The code on a card holds its own lines and nothing else: no address, no health.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from progdoc.core.late_dataclass import dataclass
from progdoc.core.numbers import long_date
from progdoc.model.description.masks import Mask
from progdoc.model.description.people import IssuedMask, Person
from progdoc.model.description.words import label_of
from progdoc.rules.judged.due_results import Kind, OutlookItem
from progdoc.rules.judged.result import Judged

__all__ = ["Label", "labels"]

_YEAR = 365  # days; as the cards look ahead


@dataclass(frozen=True, slots=True)
class Label:
    """`lines` are name and value; an empty value is written in by hand. `is_card`: for the pocket, with a code."""

    title: str
    lines: tuple[tuple[str, str], ...]
    foot: str
    is_card: bool = False

    @property
    def plain(self) -> str:
        """Return what the code of a card holds: its words, a line each."""
        said = (f"{name}: {value}" for name, value in self.lines if value)
        return "\n".join((self.title, *said, self.foot))


def labels(judged: Judged, elsewhere: frozenset[str] = frozenset()) -> Iterator[Label]:
    """Yield the card of each person who wears a mask, then the labels of their boxes, then those of shelves.

    `elsewhere`: subjects that belong to other sites alone, and are left out.
    """
    tests = {item.subject: item for item in judged.due(_YEAR).items if item.kind is Kind.FIT_TEST}
    wearers = [person for _, person in judged.index.present if person.masks and f"people.{person.id}" not in elsewhere]
    foot = _foot(judged)
    for person in wearers:
        masks = tuple(("Mask", _worn(judged, person, one, tests)) for one in person.masks)
        yield Label(label_of(person), (*masks, ("Ask or call", _officer(judged))), foot, is_card=True)
    for person in wearers:
        for one in person.masks:
            yield Label(label_of(person), tuple(_box_lines(judged, person, one, tests)), foot)
    for _, mask in (pair for name, pair in judged.index.masks.items() if f"masks.{name}" not in elsewhere):
        yield Label(label_of(mask), tuple(_shelf_lines(judged, mask)), foot)


def _worn(judged: Judged, person: Person, issued: IssuedMask, tests: Mapping[tuple[str, ...], OutlookItem]) -> str:
    tested = _next_test(person, issued, tests)
    told = f"{_mask_of(judged, issued)}, size {issued.size}" if issued.size else _mask_of(judged, issued)
    return f"{told}; next fit test {tested}" if tested else told


def _box_lines(
    judged: Judged, person: Person, issued: IssuedMask, tests: Mapping[tuple[str, ...], OutlookItem]
) -> Iterator[tuple[str, str]]:
    yield "Mask", _mask_of(judged, issued)
    yield "Size", issued.size or ""
    tested = _next_test(person, issued, tests)
    if tested:
        yield "Next fit test", tested
    if judged.index.masks[issued.mask][1].filters:
        yield "Filter or cartridge changed on", ""


def _shelf_lines(judged: Judged, mask: Mask) -> Iterator[tuple[str, str]]:
    yield "Make and model", " ".join(filter(None, (mask.make, mask.model, mask.style)))
    if mask.sizes:
        yield "Sizes", ", ".join(mask.sizes)
    fitted = [label_of(judged.index.filters[part][1]) for part in mask.filters]
    if fitted:
        yield "Filters that fit", "; ".join(fitted)
    if judged.index.is_kept(mask):
        yield "Kept for", "emergencies"
        yield "Looked over on", ""
    if mask.withdrawn and mask.withdrawn.since <= judged.as_of:
        yield "Out of use", f"since {long_date(mask.withdrawn.since)}"


def _mask_of(judged: Judged, issued: IssuedMask) -> str:
    return label_of(judged.index.masks[issued.mask][1])


def _next_test(person: Person, issued: IssuedMask, tests: Mapping[tuple[str, ...], OutlookItem]) -> str:
    """Return until which day the fit test counts; nothing where none is needed."""
    item = tests.get((f"people.{person.id}", f"masks.{issued.mask}"))
    if item is None:
        return ""
    if item.due is None or item.state in ("now", "overdue"):
        return "now: not worn before it is passed"
    return f"by {long_date(item.due)}"


def _officer(judged: Judged) -> str:
    officer = judged.description.officer
    named = (judged.printed(officer.name, "officer.name"), judged.printed(officer.phone, "officer.phone"))
    return ", ".join(filter(None, named)) or "the officer"


def _foot(judged: Judged) -> str:
    firm = judged.printed(judged.description.organisation.name, "organisation.name")
    return " · ".join(filter(None, (firm, f"as of {long_date(judged.as_of)}")))
