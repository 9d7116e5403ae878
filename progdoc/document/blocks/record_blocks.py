"""Records of people as tables: recommendations, fit tests with their working, trainings, what falls due."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from progdoc.core.numbers import long_date, number_text, stated_text
from progdoc.core.paper_language import ENGLISH, Language
from progdoc.core.said import said, said_choice, said_in, said_join, same
from progdoc.document.blocks.answers import in_quotes
from progdoc.document.tree.nodes import Block, Column, Formula, Row, Table
from progdoc.document.tree.spoken_text import spoken_cell, text_cell
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

_ANSWER = {True: said("yes"), False: said("no"), None: said("not recorded")}


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
        Column(say("By"), 3),
        Column(say("What"), 6),
        Column(say("On record"), 4),
        Column(say("Asked by"), 4),
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
                text_cell(_ANSWER[entry.copy_given]),
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


def _tests(judged: Judged, people: Iterable[Person]) -> Iterable[tuple[Person, FitRecord]]:
    return ((person, record) for person in people for record in judged.records_of(person.id).fit_tests)


def fit_table(judged: Judged, people: Sequence[Person]) -> Table:
    """Return the fit tests with what 29 CFR 1910.134(m)(2)(i) asks of the record."""
    rows = tuple(_fit_row(judged, person, record) for person, record in _tests(judged, people))
    columns = (
        Column(said("Person"), 3),
        Column(said("Date"), 3),
        Column(said("Mask: make, model, style, size"), 3),
        Column(said("Protocol"), 4),
        Column(said("Result"), 3),
        Column(said("Tester"), 2),
        Column(said("Recording"), 3),
    )
    return Table("fit-tests", said("Fit tests"), columns, rows)


def _fit_row(judged: Judged, person: Person, record: FitRecord) -> Row:
    test = record.test
    mask = judged.index.masks[test.mask][1]
    made = said_join((part for part in (mask.make, mask.model, mask.style) if part), " ") or label_of(mask)
    outcome = {True: said("passed"), False: said("failed"), None: said("no result")}[record.is_passed]
    factor = "" if record.factor is None else said(", fit factor %(factor)s", factor=number_text(record.factor, "down"))
    by = "" if record.needed.setter is Setter.LAW else said(" by %(origin)s", origin=record.needed.origin)
    number = (
        said("%(factor)s (needs %(number)s%(by)s)", factor=factor, number=stated_text(record.needed.number), by=by)
        if factor
        else ""
    )
    return Row(
        f"fit.{person.id}.{record.number}",
        (
            text_cell(label_of(person)),
            text_cell(long_date(test.date)),
            text_cell(said("%(made)s, %(size)s", made=made, size=test.size or said("size not recorded"))),
            text_cell(said_join((_protocol(record), *_conditions(test)), "; ")),
            text_cell(said("%(outcome)s%(number)s", outcome=outcome, number=number)),
            text_cell(test.tester or said("not recorded")),
            text_cell(test.recording or "–"),
        ),
    )


def _protocol(record: FitRecord) -> str:
    return said(record.protocol_name) if record.protocol_name else record.test.protocol or said("not recorded")


def _conditions(test: FitTest) -> Iterator[str]:
    """Yield how a test was made, as far as it was recorded."""
    if test.filters:
        yield said("with %(filters)s", filters=same(test.filters.value))
    if test.gear:
        yield said("gear worn: %(gear)s", gear=said_join((said_choice(gear) for gear in test.gear), ", "))
    told = (
        (said("screened"), test.screened),
        (said("unpowered"), test.unpowered),
        (said("in an enclosure"), test.enclosure),
        (said("reacted to the smoke without the mask"), test.reacted_after),
        (said("after a failed test of that day"), test.retest),
    )
    yield from (
        said("%(words)s: %(answer)s", words=words, answer=_ANSWER[answer])
        for words, answer in told
        if answer is not None
    )
    if test.nothing_before is not None:
        yield said("nothing eaten or smoked before it: %(time)s", time=test.nothing_before.printed)
    if test.readings:
        numbers = said_join((number_text(reading, "down", 9) for reading in test.readings), ", ")
        yield said("readings %(numbers)s", numbers=numbers)


def fit_workings(judged: Judged, people: Sequence[Person]) -> tuple[Block, ...]:
    """Return how each overall fit factor follows from its readings, for whoever checks by hand."""
    found: list[Block] = []
    for person, record in _tests(judged, people):
        worked, test = record.worked, record.test
        if worked is not None:
            head = said(
                "%(person)s, %(masks)s, %(date)s",
                person=label_of(person),
                masks=label_of(judged.index.masks[test.mask][1]),
                date=long_date(test.date),
            )
            words = said(
                "%(head)s: %(formula)s = %(worked)s. %(notes)s %(citation)s",
                head=head,
                formula=worked.formula,
                worked=worked.printed,
                notes=said_join(worked.notes, " "),
                citation=worked.citation,
            )
            found.append(Formula(f"fit.{person.id}.{record.number}.working", words))
    return tuple(found)


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
                text_cell(_ANSWER[entry.knowledge_shown]),
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
        else said("in the seal when last looked at: %(answer)s", answer=_ANSWER[person.hair_in_seal])
    )
    shaven = (
        ""
        if person.clean_shaven is None
        else said("clean-shaven when last looked at: %(answer)s", answer=_ANSWER[person.clean_shaven])
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
                said("%(words)s: %(answer)s", words=words, answer=_ANSWER[answer])
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


def device_table(judged: Judged, elsewhere: frozenset[str] = frozenset()) -> Table:
    """Return single masks with their inspections and cylinders: who looked, what was found, what had to be done.

    `elsewhere`: masks, as subjects, that are worn at other sites alone, and are left out.
    """
    rows = tuple(
        Row(
            f"devices.{mask.id}.{unit.id}.{n}",
            tuple(
                map(
                    text_cell,
                    (
                        said("%(mask)s %(serial)s", mask=label_of(mask), serial=unit.serial or unit.id),
                        unit.place or "–",
                        *told,
                    ),
                )
            ),
        )
        for _, mask in judged.index.masks.values()
        if f"masks.{mask.id}" not in elsewhere
        for unit in mask.units
        for n, told in enumerate(_device_records(unit))
    )
    columns = (
        Column(said("Mask"), 3),
        Column(said("Place"), 3),
        Column(said("Date"), 3),
        Column(said("By"), 2),
        Column(said("Found, remedy"), 5),
    )
    return Table("devices", said("Single masks: inspections and cylinders"), columns, rows)


def _device_records(unit: Unit) -> Iterator[tuple[str, str, str]]:
    for one in sorted(unit.inspections, key=lambda entry: entry.date, reverse=True):
        result = as_printed(one.result) if one.result else ""
        charge = one.pressure and said("cylinder at %(pressure)s", pressure=one.pressure.printed)
        charge = one.gauge and said("gauge at %(gauge)s", gauge=one.gauge.printed) if charge is None else charge
        remedy = one.remedy and said("remedy: %(remedy)s", remedy=one.remedy)
        found = said_join((part for part in (result, charge, one.findings, remedy) if part), "; ")
        yield long_date(one.date), one.by or said("not recorded"), found or said("not recorded")
    if unit.cylinder is not None:
        done, due = unit.cylinder.requalified, unit.cylinder.requalify_by
        until = said("; again by %(due)s", due=long_date(due)) if due else ""
        serial = unit.cylinder.serial or unit.cylinder.id
        yield (
            long_date(done) if done else said("not recorded"),
            "–",
            said("cylinder %(serial)s requalified%(until)s", serial=serial, until=until),
        )
    if not unit.inspections and unit.cylinder is None:
        yield "–", "–", said("no inspection is on record")
