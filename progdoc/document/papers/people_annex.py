"""The restricted annex: who may do what, what falls due, and the records of people. Never part of the program."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence

from progdoc.core.numbers import counted, long_date
from progdoc.core.paper_language import ENGLISH, Language
from progdoc.core.said import as_own, said, said_join, same
from progdoc.document.blocks.assignment_blocks import matrix_tables, task_table
from progdoc.document.blocks.device_blocks import device_table, register_tables
from progdoc.document.blocks.fit_blocks import fit_table, fit_workings
from progdoc.document.blocks.life_blocks import handed_out_table, kept_table, upkeep_table
from progdoc.document.blocks.path_blocks import standing_table, steps_of
from progdoc.document.blocks.record_blocks import (
    due_table,
    face_table,
    medical_table,
    reading_table,
    surveillance_table,
    training_table,
)
from progdoc.document.blocks.translation_blocks import read_first
from progdoc.document.papers.written_program import is_draft
from progdoc.document.pictures.timeline import timeline
from progdoc.document.tree.cross_references import resolved
from progdoc.document.tree.nodes import (
    Block,
    Cell,
    Column,
    Document,
    Link,
    Notice,
    Paragraph,
    Row,
    Section,
    Table,
    Text,
)
from progdoc.model.description.people import Person
from progdoc.model.description.words import label_of
from progdoc.model.description.workplace import Task
from progdoc.rules.judged.assignment_results import Assignment, Roster
from progdoc.rules.judged.due_results import Kind, Outlook, OutlookItem
from progdoc.rules.judged.result import Judged

__all__ = ["RESTRICTED_WORDS", "WITHIN_DAYS", "annex_document", "annex_documents"]

RESTRICTED_WORDS = said(
    "This paper names people and what they are cleared for. Keep it locked; show each wearer their "
    "own entries, and the agency what it asks for (29 CFR 1910.134(m), 29 CFR 1910.1020). It holds "
    "no health answers."
)
WITHIN_DAYS = 60  # how far ahead the papers about people look
_TITLE = said("People annex")
_MOST_IN_A_PART = 250  # people


def annex_documents(
    judged: Judged, language: Language = ENGLISH, elsewhere: frozenset[str] = frozenset()
) -> Iterator[tuple[str, Document]]:
    """Yield the annex by the name of its file: one paper, or of many people one that leads to parts for some of them.

    Of ten thousand no browser shows all in one, and nobody looks for somebody there.
    """
    people = _not_elsewhere(judged, elsewhere)
    if len(people) <= _MOST_IN_A_PART:
        yield "people", annex_document(judged, language=language, elsewhere=elsewhere)
        return
    due = _by_person(judged.due(WITHIN_DAYS))
    parts = [people[start : start + _MOST_IN_A_PART] for start in range(0, len(people), _MOST_IN_A_PART)]
    yield "people", _leading_to(judged, parts, language, elsewhere)
    for number, some in enumerate(parts, 1):
        title = said_join((_TITLE, same(f" ({number}/{len(parts)})")), "")
        yield f"people/{number}", _annex(judged, some, due, WITHIN_DAYS, title, language, elsewhere)


def annex_document(
    judged: Judged,
    within_days: int = WITHIN_DAYS,
    language: Language = ENGLISH,
    elsewhere: frozenset[str] = frozenset(),
) -> Document:
    """Return the annex in one: assignment matrix, reasons, what falls due, records.

    `elsewhere`: subjects that belong to other sites alone, of whose records nothing is told.
    """
    return _annex(judged, None, _by_person(judged.due(within_days)), within_days, _TITLE, language, elsewhere)


def _not_elsewhere(judged: Judged, elsewhere: frozenset[str]) -> tuple[Person, ...]:
    return tuple(person for person in judged.description.people if f"people.{person.id}" not in elsewhere)


def _annex(
    judged: Judged,
    some: Sequence[Person] | None,
    due: _ByPerson,
    within_days: int,
    title: str,
    language: Language,
    elsewhere: frozenset[str] = frozenset(),
) -> Document:
    """Return the annex of all, or of some people alone."""
    people = _not_elsewhere(judged, elsewhere) if some is None else some
    here = [person for person in people if person.left is None]
    of_all = _of_the_firm(judged, elsewhere) if some is None else ()
    records = [table for table in (*_records(judged, people), *of_all, _workings(judged, people)) if table]
    if not (people or records):
        return _paper(judged, title, (_none("people.none", said("Nobody is described.")),), language, elsewhere)
    outlook = judged.due(within_days)
    items = dict(item for person in here for item in due.get(person.id, ()))
    falls_due = outlook.items if some is None else [items[number] for number in sorted(items)]
    sections = (
        Section("assignment", said("Who may do what"), _assignment(judged.roster, here, some is None, language)),
        Section("due", said("What falls due"), _due(outlook, falls_due, some is None, language)),
        *_standing(judged, due, here, language),
        Section(
            "records", said("Records"), tuple(records) or (_none("records.none", said("No record is described.")),)
        ),
    )
    return _paper(judged, title, sections, language, elsewhere)


# By the id of a person: what falls due for them, each with its number among all that does.
_ByPerson = Mapping[str, Sequence[tuple[int, OutlookItem]]]


def _by_person(outlook: Outlook) -> _ByPerson:
    found: dict[str, list[tuple[int, OutlookItem]]] = {}
    for number, item in enumerate(outlook.items):
        for subject in item.subject:
            if subject.startswith("people."):
                found.setdefault(subject.partition(".")[2], []).append((number, item))
    return found


def _leading_to(
    judged: Judged, parts: Sequence[Sequence[Person]], language: Language, elsewhere: frozenset[str]
) -> Document:
    """Return what is of the firm as a whole, and where each of its people is told of."""
    rows = tuple(
        Row(
            f"parts.{number}",
            (
                Cell((Link(f"people/{number}.html", (Text(same(str(number))),)),)),
                Cell((Text(as_own(label_of(some[0]))),)),
                Cell((Text(as_own(label_of(some[-1]))),)),
                Cell((Text(same(str(len(some)))),)),
            ),
        )
        for number, some in enumerate(parts, 1)
    )
    columns = (
        Column(said("Part"), 1),
        Column(said("First person"), 4),
        Column(said("Last person"), 4),
        Column(said("People"), 1, numeric=True),
    )
    words = said("The people stand in the order of the description, each in one part with all that is told of them.")
    table = Table("parts.all", said("Which part tells of whom"), columns, rows)
    records, outlook = tuple(_of_the_firm(judged, elsewhere)), judged.due(WITHIN_DAYS)
    of_no_person = [item for item in outlook.items if not any(one.startswith("people.") for one in item.subject)]
    sections = (
        Section("parts", said("Parts"), (_none("parts.words", words), table)),
        Section("due", said("What falls due"), _due(outlook, of_no_person, True, language)),
        *((Section("records", said("Records"), records),) if records else ()),
    )
    return _paper(judged, _TITLE, sections, language, elsewhere)


def _paper(
    judged: Judged, title: str, blocks: tuple[Block, ...], language: Language, elsewhere: frozenset[str]
) -> Document:
    program = judged.description
    notice = Notice("restricted", "caution", (_none("restricted.words", RESTRICTED_WORDS), *_of_one_site(elsewhere)))
    return resolved(
        Document(
            id="people",
            title=title,
            organisation=judged.printed(program.organisation.name, "organisation.name"),
            revision=judged.printed(program.program.revision, "program.revision"),
            as_of=judged.as_of,
            draft=is_draft(judged),
            blocks=(*read_first(judged, language), notice, *blocks),
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


def _assignment(found: Roster, people: Sequence[Person], is_whole: bool, language: Language) -> tuple[Block, ...]:
    if not found.tasks:
        return (_none("assignment.none", said("No task with masks is described.")),)
    words = said(
        "By law medical clearance comes before the fit test, fit test and training before use. Whoever "
        "is not in order may not do the task in that mask; the reasons stand below, and the gap report "
        "says what to do."
    )
    pairs = list(found.pairs_of(people))
    named: dict[str, list[Assignment]] = {}
    for one in pairs:
        if one.is_named:
            named.setdefault(one.task.id, []).append(one)
    details = tuple(
        Section(f"assignment.{task.id}", as_own(label_of(task)), (_named_for(task, named.get(task.id, []), language),))
        for task in found.tasks
        if is_whole or task.id in named
    )
    return (_none("assignment.words", words), *matrix_tables(pairs, found.tasks, language), *details)


def _named_for(task: Task, assignments: list[Assignment], language: Language) -> Block:
    if not assignments:
        return _none(f"may.{task.id}.nobody", said("The task names nobody."))
    caption = said("Named for it: %(task)s", task=label_of(task))
    return task_table(f"may.{task.id}", caption, assignments, True, language)


def _due(outlook: Outlook, items: Sequence[OutlookItem], has_picture: bool, language: Language) -> tuple[Block, ...]:
    """Return what falls due of these items; the picture is of all."""
    picture = timeline(outlook, language=language) if has_picture else None
    blocks: list[Block] = [picture] if picture else []
    if overdue := [item for item in items if item.state in ("now", "overdue")]:
        blocks.append(due_table("overdue", said("Overdue"), overdue, language))
    if soon := [item for item in items if item.state == "soon"]:
        caption = said("Due within %(time)s", time=counted(outlook.within_days, "day"))
        blocks.append(due_table("soon", caption, soon, language))
    later: dict[Kind, OutlookItem] = {}
    for item in items:
        if item.state == "later":
            later.setdefault(item.kind, item)
    if later:
        blocks.append(due_table("next", said("The next of each kind"), later.values(), language))
    return tuple(blocks) or (
        _none("due.none", said("Nothing falls due that is known on %(as_of)s.", as_of=long_date(outlook.as_of))),
    )


def _standing(judged: Judged, due: _ByPerson, people: Iterable[Person], language: Language) -> tuple[Section, ...]:
    """Return what is next for whom on the way to a mask; of who left nothing."""
    found = ((one, steps_of(judged, one, [item for _, item in due.get(one.id, ())], language)) for one in people)
    table = standing_table(found, language)
    return (Section("standing", said("Who is how far"), (table,)),) if table.rows else ()


def _records(judged: Judged, people: Sequence[Person]) -> Iterator[Block]:
    tables = (
        medical_table(judged, people),
        *surveillance_table(judged, people),
        fit_table(judged, people),
        training_table(judged, people),
        face_table(people),
        reading_table(people),
        handed_out_table(judged, people),
        kept_table(judged, people),
    )
    return (table for table in tables if table.rows)


def _of_the_firm(judged: Judged, elsewhere: frozenset[str]) -> Iterator[Block]:
    """Yield the records of devices and upkeep."""
    yield from (table for table in (device_table(judged, elsewhere), upkeep_table(judged)) if table.rows)
    yield from register_tables(judged, elsewhere)


def _workings(judged: Judged, people: Sequence[Person]) -> Section | None:
    workings = fit_workings(judged, people)
    title = said("How the fit factors follow from their readings")
    return Section("fit-workings", title, workings) if workings else None
