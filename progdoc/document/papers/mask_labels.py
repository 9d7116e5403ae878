"""Cards for the pocket and labels for boxes and shelves: what is on them, in lines. They name workers: restricted.

A card is for one person, a label for one person's mask or for a kind of mask on the shelf. What changes by hand (the
day of a change) is left open. The code on a card holds its own lines and nothing else: no address, no health.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from progdoc.core.late_dataclass import dataclass
from progdoc.core.paper_language import ENGLISH, Language, language_of
from progdoc.document.blocks.translation_blocks import more_languages
from progdoc.document.tree.spoken_text import plain
from progdoc.model.description.masks import Mask
from progdoc.model.description.people import IssuedMask, Person
from progdoc.model.description.words import label_of
from progdoc.rules.judged.due_results import Kind, OutlookItem
from progdoc.rules.judged.result import Judged

__all__ = ["Label", "labels"]

_YEAR = 365  # days; as the cards look ahead


@dataclass(frozen=True, slots=True)
class Label:
    """`lines` are name and value; an empty value is written in by hand. `is_card`: for the pocket, with a code.

    `language`: its tag, as PDF calls it.
    """

    title: str
    lines: tuple[tuple[str, str], ...]
    foot: str
    is_card: bool = False
    language: str = ENGLISH.tag

    @property
    def plain(self) -> str:
        """Return what the code of a card holds: its words, a line each."""
        told = (f"{name}: {value}" for name, value in self.lines if value)
        return "\n".join((self.title, *told, self.foot))


def labels(judged: Judged, elsewhere: frozenset[str] = frozenset()) -> Iterator[Label]:
    """Yield the card of each person who wears a mask, then the labels of their boxes, then those of shelves.

    What is for one person is in that person's language, what is for everybody in each language of the firm.
    `elsewhere`: subjects that belong to other sites alone, and are left out.
    """
    tests = {item.subject: item for item in judged.due(_YEAR).items if item.kind is Kind.FIT_TEST}
    wearers = [person for _, person in judged.index.present if person.masks and f"people.{person.id}" not in elsewhere]
    for person in wearers:
        language = _language_of(person)
        masks = tuple((language.say("Mask"), _worn(judged, person, one, tests, language)) for one in person.masks)
        lines = (*masks, (language.say("Ask or call"), _officer(judged, language)))
        yield _label(judged, language, label_of(person), lines, is_card=True)
    for person in wearers:
        language = _language_of(person)
        for one in person.masks:
            yield _label(judged, language, label_of(person), _box_lines(judged, person, one, tests, language))
    for _, mask in (pair for name, pair in judged.index.masks.items() if f"masks.{name}" not in elsewhere):
        for language in (ENGLISH, *more_languages(judged)):
            yield _label(judged, language, label_of(mask), _shelf_lines(judged, mask, language))


def _language_of(person: Person) -> Language:
    return language_of(person.own_language or ENGLISH.code)


def _label(
    judged: Judged, language: Language, title: str, lines: Iterable[tuple[str, str]], is_card: bool = False
) -> Label:
    firm = judged.printed(judged.description.organisation.name, "organisation.name")
    foot = " · ".join(filter(None, (firm, language.say("as of %(day)s", day=language.date(judged.as_of)))))
    return Label(title, tuple((name, plain(value)) for name, value in lines), foot, is_card, language.tag)


def _worn(
    judged: Judged, person: Person, issued: IssuedMask, tests: Mapping[tuple[str, ...], OutlookItem], language: Language
) -> str:
    tested = _next_test(person, issued, tests, language)
    told = f"{_mask_of(judged, issued)} ({issued.size})" if issued.size else _mask_of(judged, issued)
    return language.say("%(mask)s; next fit test %(when)s", mask=told, when=tested) if tested else told


def _box_lines(
    judged: Judged, person: Person, issued: IssuedMask, tests: Mapping[tuple[str, ...], OutlookItem], language: Language
) -> Iterator[tuple[str, str]]:
    yield language.say("Mask"), _mask_of(judged, issued)
    yield language.say("Size"), issued.size or ""
    tested = _next_test(person, issued, tests, language)
    if tested:
        yield language.say("Next fit test"), tested
    if judged.index.masks[issued.mask][1].filters:
        yield language.say("Filter or cartridge changed on"), ""


def _shelf_lines(judged: Judged, mask: Mask, language: Language) -> Iterator[tuple[str, str]]:
    yield language.say("Make and model"), " ".join(filter(None, (mask.make, mask.model, mask.style)))
    if mask.sizes:
        yield language.say("Sizes"), ", ".join(mask.sizes)
    fitted = [label_of(judged.index.filters[part][1]) for part in mask.filters]
    if fitted:
        yield language.say("Filters that fit"), "; ".join(fitted)
    if judged.index.is_kept(mask):
        yield language.say("Kept for"), language.say("emergencies")
        yield language.say("Looked over on"), ""
    if mask.withdrawn and mask.withdrawn.since <= judged.as_of:
        yield language.say("Out of use"), language.say("since %(day)s", day=language.date(mask.withdrawn.since))


def _mask_of(judged: Judged, issued: IssuedMask) -> str:
    return label_of(judged.index.masks[issued.mask][1])


def _next_test(
    person: Person, issued: IssuedMask, tests: Mapping[tuple[str, ...], OutlookItem], language: Language
) -> str:
    """Return until which day the fit test counts; nothing where none is needed."""
    item = tests.get((f"people.{person.id}", f"masks.{issued.mask}"))
    if item is None:
        return ""
    if item.due is None or item.state in ("now", "overdue"):
        return language.say("now: not worn before it is passed")
    return language.say("by %(day)s", day=language.date(item.due))


def _officer(judged: Judged, language: Language) -> str:
    officer = judged.description.officer
    named = (judged.printed(officer.name, "officer.name"), judged.printed(officer.phone, "officer.phone"))
    return ", ".join(filter(None, named)) or language.say("the officer")
