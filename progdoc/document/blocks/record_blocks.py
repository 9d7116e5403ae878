"""Records of people as tables: recommendations, fit tests with their working, trainings, what falls due."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from progdoc.core.numbers import long_date, number_text, stated_text
from progdoc.core.paper_language import ENGLISH, Language
from progdoc.document.blocks.answers import in_quotes
from progdoc.document.blocks.assignment_blocks import text_cell
from progdoc.document.tree.nodes import Block, Column, Formula, Row, Table
from progdoc.document.tree.spoken_text import spoken_cell
from progdoc.model.description.devices import Unit
from progdoc.model.description.people import FitTest, MedicalEntry, Person, Reevaluation, Topic, TrainingEntry
from progdoc.model.description.words import as_printed, label_of
from progdoc.rules.judged.due_results import OutlookItem
from progdoc.rules.judged.figure_results import Setter
from progdoc.rules.judged.record_results import FitRecord
from progdoc.rules.judged.result import Judged

__all__ = [
    "device_table",
    "due_table",
    "face_table",
    "fit_table",
    "fit_workings",
    "medical_table",
    "reading_table",
    "surveillance_table",
    "training_table",
]

_ANSWER = {True: "yes", False: "no", None: "not recorded"}


def due_table(node_id: str, caption: str, items: Iterable[OutlookItem], language: Language = ENGLISH) -> Table:
    """Return one row for each thing to be done, in the order in which to do it.

    What is to be done comes from the rules, in English; in another language its kind is said before it.
    """
    say, own = language.on("due").say, language.own
    rows = tuple(
        Row(
            f"{node_id}.{item.id}",
            (
                text_cell(language.date(item.due) if item.due else say("at once")),
                spoken_cell(language, f"{_kind_before(item, language)}{own(item.what)}"),
                spoken_cell(language, own(item.because)),
                spoken_cell(language, own(in_quotes(item.basis))),
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


def _kind_before(item: OutlookItem, language: Language) -> str:
    return f"{language.say(item.kind.value.replace('-', ' ')).capitalize()}: " if language.original else ""


def medical_table(judged: Judged, people: Sequence[Person]) -> Table:
    """Return the recommendations, as far as the firm may know them."""
    rows = tuple(
        Row(
            f"medical.{person.id}.{n}",
            (
                text_cell(label_of(person)),
                text_cell(long_date(entry.date)),
                text_cell(entry.recommendation.value.replace("-", " ")),
                text_cell(", ".join(limit.value.replace("-", " ") for limit in entry.limits) or "–"),
                text_cell(_open_medical(entry)),
                text_cell(_ANSWER[entry.copy_given]),
            ),
        )
        for person in people
        for n, entry in judged.records_of(person.id).medical
    )
    columns = (
        Column("Person", 3),
        Column("Recommendation of", 3),
        Column("It says", 3),
        Column("Limits on mask use", 3),
        Column("Still to come", 3),
        Column("Worker has a copy", 2),
    )
    return Table("medical", "Medical recommendations", columns, rows)


def surveillance_table(judged: Judged, people: Sequence[Person]) -> tuple[Table, ...]:
    """Return the days of the examinations that standards of agents ask for, and nothing of what was found."""
    rows = tuple(
        Row(
            f"surveillance.{person.id}.{n}",
            (
                text_cell(label_of(person)),
                text_cell(entry.agent),
                text_cell(long_date(entry.date)),
                text_cell("declined" if entry.declined else "–"),
            ),
        )
        for person in people
        for n, entry in enumerate(person.surveillance)
        if entry.date <= judged.as_of
    )
    columns = (Column("Person", 3), Column("For", 3), Column("Examination of", 3), Column("Offered, and", 2))
    return (Table("surveillance", "Examinations for agents", columns, rows),) if rows else ()


def _open_medical(entry: MedicalEntry) -> str:
    parts = [f"review by {long_date(entry.next_review)}"] if entry.next_review else []
    parts += ["a further examination"] if entry.follow_up_pending else []
    parts += [f"evaluation called for on {long_date(call.date)}{_why(call)}" for call in entry.reevaluate]
    return "; ".join(parts) or "–"


def _why(call: Reevaluation) -> str:
    return f" ({call.because.value.replace('-', ' ')})" if call.because else ""


def _tests(judged: Judged, people: Iterable[Person]) -> Iterable[tuple[Person, FitRecord]]:
    return ((person, record) for person in people for record in judged.records_of(person.id).fit_tests)


def fit_table(judged: Judged, people: Sequence[Person]) -> Table:
    """Return the fit tests with what 29 CFR 1910.134(m)(2)(i) asks of the record."""
    rows = tuple(_fit_row(judged, person, record) for person, record in _tests(judged, people))
    columns = (
        Column("Person", 3),
        Column("Date", 2),
        Column("Mask: make, model, style, size", 4),
        Column("Protocol", 3),
        Column("Result", 3),
        Column("Tester", 2),
        Column("Recording", 2),
    )
    return Table("fit-tests", "Fit tests", columns, rows)


def _fit_row(judged: Judged, person: Person, record: FitRecord) -> Row:
    test = record.test
    mask = judged.index.masks[test.mask][1]
    made = " ".join(part for part in (mask.make, mask.model, mask.style) if part) or label_of(mask)
    outcome = {True: "passed", False: "failed", None: "no result"}[record.is_passed]
    factor = "" if record.factor is None else f", fit factor {number_text(record.factor, 'down')}"
    by = "" if record.needed.setter is Setter.LAW else f" by {record.needed.origin}"
    number = f"{factor} (needs {stated_text(record.needed.number)}{by})" if factor else ""
    return Row(
        f"fit.{person.id}.{record.number}",
        (
            text_cell(label_of(person)),
            text_cell(long_date(test.date)),
            text_cell(f"{made}, {test.size or 'size not recorded'}"),
            text_cell("; ".join((record.protocol_name or test.protocol or "not recorded", *_conditions(test)))),
            text_cell(f"{outcome}{number}"),
            text_cell(test.tester or "not recorded"),
            text_cell(test.recording or "–"),
        ),
    )


def _conditions(test: FitTest) -> Iterator[str]:
    """Yield how a test was made, as far as it was recorded."""
    if test.filters:
        yield f"with {test.filters.value}"
    if test.gear:
        yield f"gear worn: {', '.join(gear.value.replace('-', ' ') for gear in test.gear)}"
    told = (
        ("screened", test.screened),
        ("unpowered", test.unpowered),
        ("in an enclosure", test.enclosure),
        ("reacted to the smoke without the mask", test.reacted_after),
        ("after a failed test of that day", test.retest),
    )
    yield from (f"{words}: {_ANSWER[answer]}" for words, answer in told if answer is not None)
    if test.nothing_before is not None:
        yield f"nothing eaten or smoked before it: {test.nothing_before.printed}"
    if test.readings:
        yield "readings " + ", ".join(number_text(reading, "down", 9) for reading in test.readings)


def fit_workings(judged: Judged, people: Sequence[Person]) -> tuple[Block, ...]:
    """Return how each overall fit factor follows from its readings, for whoever checks by hand."""
    found: list[Block] = []
    for person, record in _tests(judged, people):
        worked, test = record.worked, record.test
        if worked is not None:
            head = f"{label_of(person)}, {label_of(judged.index.masks[test.mask][1])}, {long_date(test.date)}"
            words = f"{head}: {worked.formula} = {worked.printed}. {' '.join(worked.notes)} {worked.citation}"
            found.append(Formula(f"fit.{person.id}.{record.number}.working", words))
    return tuple(found)


def _topics(entry: TrainingEntry) -> str:
    """Return how many of the seven topics, and which where some are missing."""
    taught = set(entry.topics)
    named = ", ".join(topic.value.replace("-", " ") for topic in Topic if topic in taught)
    return f"{len(taught)} of {len(Topic)}" + (f": {named}" if taught and len(taught) < len(Topic) else "")


def training_table(judged: Judged, people: Sequence[Person]) -> Table:
    """Return the trainings, newest first."""
    rows = tuple(
        Row(
            f"training.{person.id}.{n}",
            (
                text_cell(label_of(person)),
                text_cell(long_date(entry.date) + (", elsewhere" if entry.elsewhere else "")),
                text_cell(entry.by or "not recorded"),
                text_cell(_topics(entry)),
                text_cell(_ANSWER[entry.knowledge_shown]),
                text_cell(entry.language or "not recorded"),
            ),
        )
        for person in people
        for n, entry in judged.records_of(person.id).training
    )
    columns = (
        Column("Person", 3),
        Column("Date", 3),
        Column("By", 3),
        Column("Topics of (k)(1)", 2),
        Column("Knowledge shown", 2),
        Column("Language", 2),
    )
    return Table("training", "Trainings", columns, rows)


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
    return Table("reading", "Read and signed", (Column("Person", 3), Column("Revision", 2), Column("Date", 3)), rows)


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
        Column("Person", 3),
        Column("Hair", 4),
        Column("Glasses", 3),
        Column("Changes of the face", 3),
        Column("Appendix D given", 3),
    )
    return Table("face", "Hair, glasses, face, information", columns, rows)


def _hair(person: Person) -> str:
    accepted = f"rule accepted {long_date(person.hair_rule_accepted)}" if person.hair_rule_accepted else ""
    seen = "" if person.hair_in_seal is None else f"in the seal when last looked at: {_ANSWER[person.hair_in_seal]}"
    shaven = "" if person.clean_shaven is None else f"clean-shaven when last looked at: {_ANSWER[person.clean_shaven]}"
    return "; ".join(part for part in (accepted, seen, shaven) if part) or "–"


def _changes(person: Person) -> str:
    told = (f"{one.kind.value.replace('-', ' ')}, {long_date(one.date)}" for one in person.changes)
    return "; ".join(told) or "–"


def _glasses(person: Person) -> str:
    told = (("needed", person.spectacles), ("lens kit", person.lens_kit))
    return "; ".join(f"{words}: {_ANSWER[answer]}" for words, answer in told if answer is not None) or "–"


def _information(person: Person) -> str:
    given = person.appendix_d
    return "; ".join(part for part in (long_date(given.date), given.how) if part) if given else "–"


def device_table(judged: Judged, elsewhere: frozenset[str] = frozenset()) -> Table:
    """Return single masks with their inspections and cylinders: who looked, what was found, what had to be done.

    `elsewhere`: masks, as subjects, that are worn at other sites alone, and are left out.
    """
    rows = tuple(
        Row(
            f"devices.{mask.id}.{unit.id}.{n}",
            tuple(map(text_cell, (f"{label_of(mask)} {unit.serial or unit.id}", unit.place or "–", *told))),
        )
        for _, mask in judged.index.masks.values()
        if f"masks.{mask.id}" not in elsewhere
        for unit in mask.units
        for n, told in enumerate(_device_records(unit))
    )
    columns = (Column("Mask", 3), Column("Place", 3), Column("Date", 3), Column("By", 2), Column("Found, remedy", 5))
    return Table("devices", "Single masks: inspections and cylinders", columns, rows)


def _device_records(unit: Unit) -> Iterator[tuple[str, str, str]]:
    for one in sorted(unit.inspections, key=lambda entry: entry.date, reverse=True):
        result = as_printed(one.result) if one.result else ""
        charge = one.pressure and f"cylinder at {one.pressure.printed}"
        charge = one.gauge and f"gauge at {one.gauge.printed}" if charge is None else charge
        remedy = one.remedy and f"remedy: {one.remedy}"
        found = "; ".join(part for part in (result, charge, one.findings, remedy) if part)
        yield long_date(one.date), one.by or "not recorded", found or "not recorded"
    if unit.cylinder is not None:
        done, due = unit.cylinder.requalified, unit.cylinder.requalify_by
        until = f"; again by {long_date(due)}" if due else ""
        serial = unit.cylinder.serial or unit.cylinder.id
        yield long_date(done) if done else "not recorded", "–", f"cylinder {serial} requalified{until}"
    if not unit.inspections and unit.cylinder is None:
        yield "–", "–", "no inspection is on record"
