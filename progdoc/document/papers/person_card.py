"""A card for each person: which tasks, in which mask and size, until when, and what is due. Restricted."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import replace
from functools import partial
from typing import Any

from progdoc.core.paper_language import ENGLISH, Language, language_of, marked
from progdoc.core.said import as_own, said, said_in
from progdoc.document.blocks.answers import in_quotes
from progdoc.document.blocks.assignment_blocks import reasons_in_words, task_table
from progdoc.document.blocks.group_policy_blocks import lines_for_group
from progdoc.document.blocks.path_blocks import path_table, steps_of
from progdoc.document.blocks.record_blocks import due_table
from progdoc.document.blocks.responsibility_blocks import group_in_words
from progdoc.document.blocks.translation_blocks import read_first
from progdoc.document.papers.people_annex import WITHIN_DAYS
from progdoc.document.papers.written_program import is_draft
from progdoc.document.tree.cross_references import resolved
from progdoc.document.tree.nodes import (
    Block,
    Column,
    Document,
    Listing,
    ListItem,
    Notice,
    Paragraph,
    Row,
    Strong,
    Table,
    Text,
)
from progdoc.document.tree.spoken_text import spoken, spoken_cell
from progdoc.document.tree.tokens import choice_words
from progdoc.model.description.masks import Facepiece
from progdoc.model.description.people import Person
from progdoc.model.description.words import label_of
from progdoc.model.description.workplace import Task
from progdoc.rules.judged.assignment_results import Assignment
from progdoc.rules.judged.due_results import Kind, OutlookItem
from progdoc.rules.judged.result import Judged

__all__ = ["card_documents", "each_card"]

_SEALED = (
    marked("Do the seal check each time a mask goes on that seals to the face (29 CFR 1910.134(g)(1)(iii))."),
    marked("No hair, glasses or gear between its seal and your face (g)(1)."),
)
_MOST_ALIKE = 500
_TO_TELL = marked(
    "Tell the officer of a change of your face or weight, of trouble breathing, or of a mask that no longer suits"
    " you; you may choose another and be tested in it (f)(3), (f)(4), (e)(7)."
)
_TO_TELL_BY_CHOICE = marked("Tell the officer of trouble breathing, or of a mask that no longer suits you.")
_BY_CHOICE = marked(
    "Nobody requires a mask for your work. If you wear one: put it on as its maker shows, keep it clean, and take no"
    " other person's (Appendix D)."
)
_WORN_OUT = marked("A dust mask that is dirty, wet or damaged, or in which breathing gets harder, is thrown away.")
_MAKER_FIRST = marked("The maker's instructions come first.")


def card_documents(judged: Judged) -> dict[str, Document]:
    """Return a card for everybody, by the person's id."""
    return dict(each_card(judged))


def each_card(judged: Judged, elsewhere: frozenset[str] = frozenset()) -> Iterator[tuple[str, Document]]:
    """Yield a card for everybody after the person's id, each made when it is asked for.

    `elsewhere`: people, as subjects, who work at other sites alone, and are left out.
    """
    due: dict[str, list[OutlookItem]] = {}
    wearers: dict[str, list[str]] = {}
    for _, person in judged.index.present:
        for mask in dict.fromkeys(issued.mask for issued in person.masks):
            wearers.setdefault(mask, []).append(person.id)
    for item in judged.due(WITHIN_DAYS).items:
        for subject in item.subject:
            kind, _, name = subject.partition(".")
            concerned = [name] if kind == "people" else []
            if item.kind is Kind.WITHDRAWAL:  # of whatever mask, it is a matter of those who wear it
                concerned = wearers.get(name, [])
            for person_id in concerned:
                due.setdefault(person_id, []).append(item)
    draft, alike = is_draft(judged), _Alike()
    for _, person in (pair for pair in judged.index.present if f"people.{pair[1].id}" not in elsewhere):
        yield person.id, _card(judged, person, due.get(person.id, []), draft, alike)


class _Alike(dict[Any, tuple[Block, ...]]):
    """What cards of people who work alike say alike, as one object, which is printed once for all of them."""

    def once(
        self, key: tuple[Any, ...], card: Document, made: Callable[[], Iterable[Block]], tables: int = 0
    ) -> tuple[Block, ...]:
        """Return some blocks as they are on a card behind so many tables, made where nobody had the same before."""
        key = (*key, card.language, tables)
        found = self.get(key)
        if found is None:
            if len(self) > _MOST_ALIKE:  # few work alike: then it is the last ones who do
                self.clear()
            found = self[key] = _behind(tables, resolved(replace(card, blocks=tuple(made()))).blocks)
        return found


def _behind(tables: int, blocks: tuple[Block, ...]) -> tuple[Block, ...]:
    """Return blocks that begin a card as they are behind so many tables."""
    if not tables:
        return blocks
    return tuple(
        replace(one, number=one.number + tables) if isinstance(one, Table) and one.number else one for one in blocks
    )


def _card(judged: Judged, person: Person, due: list[OutlookItem], draft: bool, alike: _Alike) -> Document:
    program = judged.description
    assignments = judged.roster.of_person(person)
    language = language_of(person.own_language or ENGLISH.code)
    say = language.say
    blocks: list[Block] = [*read_first(judged, language), _facts_table(judged, person, language)]
    before_due = len(blocks)
    if due:
        blocks.append(due_table("due", say("What is due for you"), due, language))
    frame = Document(
        id=f"people.{person.id}",
        title=say("Mask card: %(who)s", who=label_of(person)),
        organisation=judged.printed(program.organisation.name, "organisation.name"),
        revision=judged.printed(program.program.revision, "program.revision"),
        as_of=judged.as_of,
        draft=draft,
        blocks=tuple(blocks),
        officer=judged.printed(program.officer.name, "officer.name"),
        open_texts=judged.open_texts,
        paper=program.program.paper.value,
        shows_citations=program.program.citations,
        language=language.tag,
    )
    steps = steps_of(judged, person, due, language)
    way = alike.once(("way", steps), frame, lambda: (path_table(steps, language),)) if steps else ()
    answers = tuple([(one.task.id, one.good, one.may, one.escape_masks) for one in assignments])
    may = alike.once(("may", answers), frame, lambda: (_may_do(assignments, language),), len(way))
    reasons: list[Block] = []
    for one in assignments:
        told = tuple([said_in(language, words) for words in reasons_in_words(one)])
        reasons += alike.once(("why", one.task.id, told), frame, partial(_why_not, one.task, told, language))
    tasks = tuple(task.id for _, task in judged.index.tasks_by_person.get(person.id, ()))
    masks, hair = tuple(issued.mask for issued in person.masks), _hair(judged, person, language)
    own_words = (*hair, *_of_group(judged, person, language))
    made = partial(_reminders, judged, person, own_words, language)
    remember = alike.once(("remember", tasks, masks, own_words), frame, made)
    card = resolved(frame)
    own, behind = card.blocks[:before_due], _behind(len(way) + bool(assignments), card.blocks[before_due:])
    return replace(
        card,
        blocks=(*own, *way, *may, *reasons, *behind, *remember),
        repeats=tuple([block.id for block in (*way, *may, *reasons, *remember)]),
    )


def _may_do(assignments: Sequence[Assignment], language: Language) -> Block:
    if not assignments:
        return Paragraph("may.nothing", (Text(language.say("No task with masks names you.")),))
    return task_table("may", language.say("What you may do"), assignments, by_person=False, language=language)


def _reminders(judged: Judged, person: Person, own_words: tuple[str, ...], language: Language) -> Iterator[Block]:
    is_by_choice = _is_by_choice(judged, person)
    of_masks = _of_choice(judged, person) if is_by_choice else ()
    to_tell = _TO_TELL_BY_CHOICE if is_by_choice else _TO_TELL
    told = map(language.say, (*of_masks, to_tell, _MAKER_FIRST))
    reminders = (*(() if is_by_choice else _of_masks(judged, person, language)), *told, *own_words)
    items = tuple(
        ListItem(f"remember.{n}", (Paragraph(f"remember.{n}.words", spoken(language, words)),))
        for n, words in enumerate(reminders, 1)
    )
    yield Notice("remember", "note", (Listing("remember.list", False, items),))


def _why_not(task: Task, reasons: tuple[str, ...], language: Language) -> Iterator[Block]:
    """Yield for a task that the person may not do what stands in the way, a line each."""
    identity = f"why-not.{task.id}"
    if reasons:
        lead = language.say("What stands in the way of “%(task)s”:", task=language.own(label_of(task)))
        yield Paragraph(f"{identity}.lead", (Strong(spoken(language, lead)),))
        items = (
            ListItem(f"{identity}.{n}", (Paragraph(f"{identity}.{n}.words", spoken(language, words)),))
            for n, words in enumerate(reasons, 1)
        )
        yield Listing(f"{identity}.list", False, tuple(items))


def _is_by_choice(judged: Judged, person: Person) -> bool:
    """Whether somebody wears masks by choice alone, and no test of their fit is asked for by anybody.

    Seal checks, fit tests and leaving the area are duties of required use, 29 CFR 1910.134(c)(2).
    """
    tasks = [task for _, task in judged.index.tasks_by_person.get(person.id, ()) if task.masks]
    airs = [judged.selection.air[task.id] for task in tasks]
    is_asked = judged.description.procedures.voluntary_use.fit_tested or judged.figures.hair_rules.get(person.id)
    return bool(airs) and all(air.is_by_choice and not air.is_worn for air in airs) and not is_asked


def _of_choice(judged: Judged, person: Person) -> Iterator[str]:
    tasks = [task for _, task in judged.index.tasks_by_person.get(person.id, ())]
    names = {issued.mask for issued in person.masks} | {use.mask for task in tasks for use in task.masks}
    yield _BY_CHOICE
    if any(judged.index.masks[name][1].facepiece is Facepiece.FILTERING_FACEPIECE for name in names):
        yield _WORN_OUT


def _of_masks(judged: Judged, person: Person, language: Language) -> Iterator[str]:
    """Yield what to mind with the masks that somebody has or works in; a hood has no seal, an air set no filter."""
    tasks = [task for _, task in judged.index.tasks_by_person.get(person.id, ())]
    names = {issued.mask for issued in person.masks} | {use.mask for task in tasks for use in task.masks}
    masks = [judged.index.masks[name][1] for name in sorted(names)]
    say = language.say
    yield say("Look the mask over before each use (29 CFR 1910.134(h)(3)).")
    if not masks or any(mask.id not in judged.loose_fitting for mask in masks):
        yield from map(say, _SEALED)
    if any(use.filters for task in tasks for use in task.masks):
        yield say(
            "Leave the area to wash, to change filters or mask, or when you smell, taste or feel a leak, or breathing"
            " gets harder (g)(2)(ii)."
        )
    else:
        yield say(
            "Leave the area to wash, to change the mask, or when you smell, taste or feel a leak, or breathing gets"
            " harder (g)(2)(ii)."
        )
    if any(mask.low_air_alarm for mask in masks):
        yield say("Leave at once when the low-air alarm sounds.")


def _hair(judged: Judged, person: Person, language: Language) -> tuple[str, ...]:
    """Return who wants the person clean-shaven, beyond what the law asks."""
    found = judged.figures.hair_rules.get(person.id)
    if not found:
        return ()
    return (language.say("Come to work clean-shaven (%(origin)s).", origin=said_in(language, in_quotes(found.origin))),)


def _of_group(judged: Judged, person: Person, language: Language) -> Iterator[str]:
    """Yield what is otherwise for the person's group in their tasks than for others there."""
    for _, task in judged.index.tasks_by_person.get(person.id, ()):
        for group in judged.for_groups.get(task.id, ()):
            for words in lines_for_group(group) if person.group in group.groups else ():
                told = said("In “%(task)s”, for you: %(what)s", task=label_of(task), what=words)
                yield said_in(language, told)


def _facts_table(judged: Judged, person: Person, language: Language) -> Table:
    say, own = language.say, language.own
    entry = judged.records_of(person.id).clearance
    masks = "; ".join(own(f"{label_of(judged.index.masks[m.mask][1])} {m.size or ''}".strip()) for m in person.masks)
    program = judged.description
    group = next(
        (said_in(language, as_own(group_in_words(one, program))) for one in program.groups if one.id == person.group),
        "",
    )
    cleared = say("no recommendation on record")
    if entry is not None:
        cleared = f"{say(choice_words(entry.recommendation))}, {language.date(entry.date)}"
        limits = ", ".join(say(choice_words(limit)) for limit in entry.limits)
        cleared += f"; {say('limits: %(limits)s', limits=limits)}" if limits else ""
    lines = (
        ("name", say("Name"), own(label_of(person))),
        *((("job", say("Job"), own(person.job)),) if person.job else ()),
        *((("group", say("Group"), group),) if group else ()),
        ("masks", say("Masks issued"), masks or say("none")),
        ("cleared", say("Medical recommendation"), cleared),
        ("officer", say("Ask or tell"), own(_officer(judged)) or say("the officer")),
    )
    rows = tuple(
        Row(f"who.{key}", (spoken_cell(language, title), spoken_cell(language, words))) for key, title, words in lines
    )
    return Table("who", "", (Column("", 2), Column("", 6)), rows, has_header=False)


def _officer(judged: Judged) -> str:
    officer = judged.description.officer
    return ", ".join(part for part in (officer.name, officer.phone) if part)
