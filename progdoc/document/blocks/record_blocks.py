"""Records of people as tables: recommendations, examinations, trainings, what was read, faces; what falls due."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from progdoc.core.numbers import long_date
from progdoc.core.paper_language import ENGLISH, Language
from progdoc.core.said import said, said_choice, said_in, said_join
from progdoc.document.blocks.answers import in_quotes
from progdoc.document.tree.nodes import Column, Row, Table
from progdoc.document.tree.spoken_text import spoken_cell, text_cell
from progdoc.model.description.people import MedicalEntry, Person, Reevaluation, Topic, TrainingEntry
from progdoc.model.description.words import label_of
from progdoc.rules.judged.due_results import OutlookItem
from progdoc.rules.judged.result import Judged

__all__ = [
    "ANSWER",
    "due_table",
    "face_table",
    "medical_table",
    "reading_table",
    "surveillance_table",
    "training_table",
]

ANSWER = {True: said("yes"), False: said("no"), None: said("not recorded")}  # to a yes or no of a record


def due_table(node_id: str, caption: str, items: Iterable[OutlookItem], language: Language = ENGLISH) -> Table:
    """Return one row for each thing to be done, in the order in which to do it."""
    say = language.on("due").say
    rows = tuple(
        Row(
            f"{node_id}.{item.id}",
            (
                spoken_cell(language, language.date(item.due) if item.due else say("at once")),
                spoken_cell(language, said_in(language, item.what)),
                spoken_cell(language, said_in(language, item.because)),
                spoken_cell(language, said_in(language, in_quotes(item.basis))),
            ),
        )
        for item in items
    )
    columns = (
        Column(say("By"), 2),
        Column(say("What"), 5),
        Column(say("On record"), 4),
        Column(say("Asked by"), 3),
    )
    return Table(node_id, caption, columns, rows)


def medical_table(judged: Judged, people: Sequence[Person]) -> Table:
    """Return the recommendations, as far as the firm may know them."""
    rows = tuple(
        Row(
            f"medical.{person.id}.{n}",
            (
                text_cell(label_of(person)),
                text_cell(long_date(entry.date)),
                text_cell(said_choice(entry.recommendation)),
                text_cell(said_join((said_choice(limit) for limit in entry.limits), ", ") or "–"),
                text_cell(_open_medical(entry)),
                text_cell(ANSWER[entry.copy_given]),
            ),
        )
        for person in people
        for n, entry in judged.records_of(person.id).medical
    )
    columns = (
        Column(said("Person"), 3),
        Column(said("Recommendation of"), 3),
        Column(said("It says"), 3),
        Column(said("Limits on mask use"), 3),
        Column(said("Still to come"), 3),
        Column(said("Worker has a copy"), 2),
    )
    return Table("medical", said("Medical recommendations"), columns, rows)


def surveillance_table(judged: Judged, people: Sequence[Person]) -> tuple[Table, ...]:
    """Return the days of the examinations that standards of agents ask for, and nothing of what was found."""
    rows = tuple(
        Row(
            f"surveillance.{person.id}.{n}",
            (
                text_cell(label_of(person)),
                text_cell(entry.agent),
                text_cell(long_date(entry.date)),
                text_cell(said("declined") if entry.declined else "–"),
            ),
        )
        for person in people
        for n, entry in enumerate(person.surveillance)
        if entry.date <= judged.as_of
    )
    columns = (
        Column(said("Person"), 3),
        Column(said("For"), 3),
        Column(said("Examination of"), 3),
        Column(said("Offered, and"), 2),
    )
    return (Table("surveillance", said("Examinations for agents"), columns, rows),) if rows else ()


def _open_medical(entry: MedicalEntry) -> str:
    parts = [said("review by %(next_review)s", next_review=long_date(entry.next_review))] if entry.next_review else []
    parts += [said("a further examination")] if entry.follow_up_pending else []
    parts += [
        said("evaluation called for on %(date)s%(why)s", date=long_date(call.date), why=_why(call))
        for call in entry.reevaluate
    ]
    return said_join(parts, "; ") or "–"


def _why(call: Reevaluation) -> str:
    return said(" (%(because)s)", because=said_choice(call.because)) if call.because else ""


def _topics(entry: TrainingEntry) -> str:
    """Return how many of the seven topics, and which where some are missing."""
    taught = set(entry.topics)
    named = said_join((said_choice(topic) for topic in Topic if topic in taught), ", ")
    of_all = said("%(taught)s of %(all)s", taught=len(taught), all=len(Topic))
    return said("%(of_all)s: %(named)s", of_all=of_all, named=named) if taught and len(taught) < len(Topic) else of_all


def training_table(judged: Judged, people: Sequence[Person]) -> Table:
    """Return the trainings, newest first."""
    rows = tuple(
        Row(
            f"training.{person.id}.{n}",
            (
                text_cell(label_of(person)),
                text_cell(
                    said("%(day)s, elsewhere", day=long_date(entry.date)) if entry.elsewhere else long_date(entry.date)
                ),
                text_cell(entry.by or said("not recorded")),
                text_cell(_topics(entry)),
                text_cell(ANSWER[entry.knowledge_shown]),
                text_cell(entry.language or said("not recorded")),
            ),
        )
        for person in people
        for n, entry in judged.records_of(person.id).training
    )
    columns = (
        Column(said("Person"), 3),
        Column(said("Date"), 3),
        Column(said("By"), 3),
        Column(said("Topics of (k)(1)"), 2),
        Column(said("Knowledge shown"), 2),
        Column(said("Language"), 2),
    )
    return Table("training", said("Trainings"), columns, rows)


def reading_table(people: Sequence[Person]) -> Table:
    """Return who signed to have read which revision, the newest first."""
    rows = tuple(
        Row(
            f"reading.{person.id}.{n}",
            (text_cell(label_of(person)), text_cell(entry.revision), text_cell(long_date(entry.date))),
        )
        for person in people
        for n, entry in enumerate(sorted(person.has_read, key=lambda entry: entry.date, reverse=True))
    )
    return Table(
        "reading",
        said("Read and signed"),
        (Column(said("Person"), 3), Column(said("Revision"), 2), Column(said("Date"), 3)),
        rows,
    )


def face_table(people: Sequence[Person]) -> Table:
    """Return what is on record of hair, glasses and face, and whether the information of Appendix D was given."""
    rows = tuple(
        Row(
            f"face.{person.id}",
            (
                text_cell(label_of(person)),
                text_cell(_hair(person)),
                text_cell(_glasses(person)),
                text_cell(_changes(person)),
                text_cell(_information(person)),
            ),
        )
        for person in people
    )
    columns = (
        Column(said("Person"), 3),
        Column(said("Hair"), 4),
        Column(said("Glasses"), 3),
        Column(said("Changes of the face"), 3),
        Column(said("Appendix D given"), 3),
    )
    return Table("face", said("Hair, glasses, face, information"), columns, rows)


def _hair(person: Person) -> str:
    accepted = (
        said("rule accepted %(hair_rule_accepted)s", hair_rule_accepted=long_date(person.hair_rule_accepted))
        if person.hair_rule_accepted
        else ""
    )
    seen = (
        ""
        if person.hair_in_seal is None
        else said("in the seal when last looked at: %(answer)s", answer=ANSWER[person.hair_in_seal])
    )
    shaven = (
        ""
        if person.clean_shaven is None
        else said("clean-shaven when last looked at: %(answer)s", answer=ANSWER[person.clean_shaven])
    )
    return said_join((part for part in (accepted, seen, shaven) if part), "; ") or "–"


def _changes(person: Person) -> str:
    told = (said("%(kind)s, %(date)s", kind=said_choice(one.kind), date=long_date(one.date)) for one in person.changes)
    return said_join(told, "; ") or "–"


def _glasses(person: Person) -> str:
    told = ((said("needed"), person.spectacles), (said("lens kit"), person.lens_kit))
    return (
        said_join(
            (
                said("%(words)s: %(answer)s", words=words, answer=ANSWER[answer])
                for words, answer in told
                if answer is not None
            ),
            "; ",
        )
        or "–"
    )


def _information(person: Person) -> str:
    given = person.appendix_d
    return said_join((part for part in (long_date(given.date), given.how) if part), "; ") if given else "–"
