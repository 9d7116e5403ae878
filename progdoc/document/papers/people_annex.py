"""The restricted annex: who may do what, what falls due, and the records of people. Never part of the program."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from progdoc.core.numbers import counted, long_date
from progdoc.core.paper_language import ENGLISH, Language
from progdoc.core.said import as_own, said
from progdoc.document.blocks.assignment_blocks import matrix_tables, task_table
from progdoc.document.blocks.device_blocks import register_tables
from progdoc.document.blocks.life_blocks import handed_out_table, kept_table, upkeep_table
from progdoc.document.blocks.path_blocks import standing_table, steps_of
from progdoc.document.blocks.record_blocks import (
    device_table,
    due_table,
    face_table,
    fit_table,
    fit_workings,
    medical_table,
    reading_table,
    surveillance_table,
    training_table,
)
from progdoc.document.blocks.translation_blocks import read_first
from progdoc.document.papers.written_program import is_draft
from progdoc.document.pictures.timeline import timeline
from progdoc.document.tree.cross_references import resolved
from progdoc.document.tree.nodes import Block, Document, Notice, Paragraph, Section, Text
from progdoc.model.description.people import Person
from progdoc.model.description.words import label_of
from progdoc.model.description.workplace import Task
from progdoc.rules.judged.assignment_results import Assignment, Roster
from progdoc.rules.judged.due_results import OutlookItem
from progdoc.rules.judged.result import Judged

__all__ = ["RESTRICTED_WORDS", "annex_document"]

RESTRICTED_WORDS = said(
    "This paper names people and what they are cleared for. Keep it locked; show each wearer their "
    "own entries, and the agency what it asks for (29 CFR 1910.134(m), 29 CFR 1910.1020). It holds "
    "no health answers."
)
_WITHIN_DAYS = 60


def annex_document(
    judged: Judged,
    within_days: int = _WITHIN_DAYS,
    language: Language = ENGLISH,
    elsewhere: frozenset[str] = frozenset(),
) -> Document:
    """Return the annex: assignment matrix, reasons, what falls due, records.

    `elsewhere`: subjects that belong to other sites alone, of whose records nothing is told.
    """
    program = judged.description
    people = tuple(person for person in program.people if f"people.{person.id}" not in elsewhere)
    records: list[Block] = [table for table in _records(judged, people, elsewhere) if table]
    sections = [
        Section("assignment", said("Who may do what"), _assignment(judged.roster, language)),
        Section("due", said("What falls due"), _due(judged, within_days, language)),
        *_standing(judged, people, within_days, language),
        Section(
            "records", said("Records"), tuple(records) or (_none("records.none", said("No record is described.")),)
        ),
    ]
    body = sections if people or records else (_none("people.none", said("Nobody is described.")),)
    notice = Notice("restricted", "caution", (_none("restricted.words", RESTRICTED_WORDS), *_of_one_site(elsewhere)))
    return resolved(
        Document(
            id="people",
            title=said("People annex"),
            organisation=judged.printed(program.organisation.name, "organisation.name"),
            revision=judged.printed(program.program.revision, "program.revision"),
            as_of=judged.as_of,
            draft=is_draft(judged),
            blocks=(*read_first(judged, language), notice, *body),
            language=language.tag,
            officer=judged.printed(program.officer.name, "officer.name"),
            open_texts=judged.open_texts,
            paper=program.program.paper.value,
            shows_citations=program.program.citations,
        )
    )


def _of_one_site(elsewhere: frozenset[str]) -> Iterator[Block]:
    """Yield what a paper of one site leaves out: it would pass for that of the whole firm."""
    if elsewhere:
        words = said("Of one site alone: whoever works only at others is left out, and their work.")
        yield _none("restricted.site", words)


def _none(node_id: str, words: str) -> Paragraph:
    return Paragraph(node_id, (Text(words),))


def _assignment(found: Roster, language: Language) -> tuple[Block, ...]:
    if not found.tasks:
        return (_none("assignment.none", said("No task with masks is described.")),)
    words = said(
        "By law medical clearance comes before the fit test, fit test and training before use. Whoever "
        "is not in order may not do the task in that mask; the reasons stand below, and the gap report "
        "says what to do."
    )
    pairs = list(found.all_pairs())
    named: dict[str, list[Assignment]] = {}
    for one in pairs:
        if one.is_named:
            named.setdefault(one.task.id, []).append(one)
    details = tuple(
        Section(f"assignment.{task.id}", as_own(label_of(task)), (_named_for(task, named.get(task.id, []), language),))
        for task in found.tasks
    )
    return (_none("assignment.words", words), *matrix_tables(pairs, found.tasks, language), *details)


def _named_for(task: Task, assignments: list[Assignment], language: Language) -> Block:
    if not assignments:
        return _none(f"may.{task.id}.nobody", said("The task names nobody."))
    caption = said("Named for it: %(task)s", task=label_of(task))
    return task_table(f"may.{task.id}", caption, assignments, True, language)


def _due(judged: Judged, within_days: int, language: Language) -> tuple[Block, ...]:
    outlook = judged.due(within_days)
    picture = timeline(outlook, language=language)
    blocks: list[Block] = [picture] if picture else []
    if outlook.overdue:
        blocks.append(due_table("overdue", said("Overdue"), outlook.overdue, language))
    if outlook.soon:
        caption = said("Due within %(time)s", time=counted(within_days, "day"))
        blocks.append(due_table("soon", caption, outlook.soon, language))
    if outlook.next:
        blocks.append(due_table("next", said("The next of each kind"), outlook.next, language))
    return tuple(blocks) or (
        _none("due.none", said("Nothing falls due that is known on %(as_of)s.", as_of=long_date(outlook.as_of))),
    )


def _standing(judged: Judged, people: Sequence[Person], within_days: int, language: Language) -> tuple[Section, ...]:
    """Return what is next for whom on the way to a mask; of who left nothing."""
    due: dict[str, list[OutlookItem]] = {}
    for item in judged.due(within_days).items:
        for subject in item.subject:
            if subject.startswith("people."):
                due.setdefault(subject.partition(".")[2], []).append(item)
    present = (person for person in people if person.left is None)
    found = ((person, steps_of(judged, person, due.get(person.id, []), language)) for person in present)
    table = standing_table(found, language)
    return (Section("standing", said("Who is how far"), (table,)),) if table.rows else ()


def _records(judged: Judged, people: Sequence[Person], elsewhere: frozenset[str]) -> tuple[Block | None, ...]:
    tables = (
        medical_table(judged, people),
        *surveillance_table(judged, people),
        fit_table(judged, people),
        training_table(judged, people),
        face_table(people),
        reading_table(people),
        handed_out_table(judged, people),
        kept_table(judged, people),
        device_table(judged, elsewhere),
        upkeep_table(judged),
    )
    workings = fit_workings(judged, people)
    shown = (
        Section("fit-workings", said("How the fit factors follow from their readings"), workings) if workings else None
    )
    return (*(table if table.rows else None for table in tables), *register_tables(judged, elsewhere), shown)
