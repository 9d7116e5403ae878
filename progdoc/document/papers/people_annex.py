"""The restricted annex: who may do what, what falls due, and the records of people. Never part of the program."""

from __future__ import annotations

from collections.abc import Sequence

from progdoc.core.numbers import counted, long_date
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

RESTRICTED_WORDS = (
    "This paper names people and what they are cleared for. Keep it locked; show each wearer their own entries,"
    " and the agency what it asks for (29 CFR 1910.134(m), 29 CFR 1910.1020). It holds no health answers."
)
_WITHIN_DAYS = 60


def annex_document(
    judged: Judged, within_days: int = _WITHIN_DAYS, elsewhere: frozenset[str] = frozenset()
) -> Document:
    """Return the annex: assignment matrix, reasons, what falls due, records.

    `elsewhere`: subjects that belong to other sites alone, of whose records nothing is told.
    """
    program = judged.description
    people = tuple(person for person in program.people if f"people.{person.id}" not in elsewhere)
    records: list[Block] = [table for table in _records(judged, people, elsewhere) if table]
    sections = [
        Section("assignment", "Who may do what", _assignment(judged.roster)),
        Section("due", "What falls due", _due(judged, within_days)),
        *_standing(judged, people, within_days),
        Section("records", "Records", tuple(records) or (_none("records.none", "No record is described."),)),
    ]
    notice = Notice("restricted", "caution", (_none("restricted.words", RESTRICTED_WORDS),))
    return resolved(
        Document(
            id="people",
            title="People annex",
            organisation=judged.printed(program.organisation.name, "organisation.name"),
            revision=judged.printed(program.program.revision, "program.revision"),
            as_of=judged.as_of,
            draft=is_draft(judged),
            blocks=(notice, *sections) if people or records else (notice, _none("people.none", "Nobody is described.")),
            officer=judged.printed(program.officer.name, "officer.name"),
            open_texts=judged.open_texts,
            paper=program.program.paper.value,
            shows_citations=program.program.citations,
        )
    )


def _none(node_id: str, words: str) -> Paragraph:
    return Paragraph(node_id, (Text(words),))


def _assignment(found: Roster) -> tuple[Block, ...]:
    if not found.tasks:
        return (_none("assignment.none", "No task with masks is described."),)
    words = (
        "By law medical clearance comes before the fit test, fit test and training before use. Whoever is not in order"
        " may not do the task in that mask; the reasons stand below, and the gap report says what to do."
    )
    pairs = list(found.all_pairs())
    named: dict[str, list[Assignment]] = {}
    for one in pairs:
        if one.is_named:
            named.setdefault(one.task.id, []).append(one)
    details = tuple(
        Section(f"assignment.{task.id}", label_of(task), (_named_for(task, named.get(task.id, [])),))
        for task in found.tasks
    )
    return (_none("assignment.words", words), *matrix_tables(pairs, found.tasks), *details)


def _named_for(task: Task, assignments: list[Assignment]) -> Block:
    if not assignments:
        return _none(f"may.{task.id}.nobody", "The task names nobody.")
    return task_table(f"may.{task.id}", f"Named for it: {label_of(task)}", assignments, by_person=True)


def _due(judged: Judged, within_days: int) -> tuple[Block, ...]:
    outlook = judged.due(within_days)
    picture = timeline(outlook)
    blocks: list[Block] = [picture] if picture else []
    if outlook.overdue:
        blocks.append(due_table("overdue", "Overdue", outlook.overdue))
    if outlook.soon:
        blocks.append(due_table("soon", f"Due within {counted(within_days, 'day')}", outlook.soon))
    if outlook.next:
        blocks.append(due_table("next", "The next of each kind", outlook.next))
    return tuple(blocks) or (_none("due.none", f"Nothing falls due that is known on {long_date(outlook.as_of)}."),)


def _standing(judged: Judged, people: Sequence[Person], within_days: int) -> tuple[Section, ...]:
    """Return what is next for whom on the way to a mask; of who left nothing."""
    due: dict[str, list[OutlookItem]] = {}
    for item in judged.due(within_days).items:
        for subject in item.subject:
            if subject.startswith("people."):
                due.setdefault(subject.partition(".")[2], []).append(item)
    found = ((person, steps_of(judged, person, due.get(person.id, []))) for person in people if person.left is None)
    table = standing_table(found)
    return (Section("standing", "Who is how far", (table,)),) if table.rows else ()


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
    shown = Section("fit-workings", "How the fit factors follow from their readings", workings) if workings else None
    return (*(table if table.rows else None for table in tables), *register_tables(judged, elsewhere), shown)
