"""Fit tests as a table, and how each overall fit factor follows from its readings."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from progdoc.core.numbers import long_date, number_text, stated_text
from progdoc.core.said import said, said_choice, said_join, same
from progdoc.document.blocks.record_blocks import ANSWER
from progdoc.document.tree.nodes import Block, Column, Formula, Row, Table
from progdoc.document.tree.spoken_text import text_cell
from progdoc.model.description.people import FitTest, Person
from progdoc.model.description.words import label_of
from progdoc.rules.judged.figure_results import Setter
from progdoc.rules.judged.record_results import FitRecord
from progdoc.rules.judged.result import Judged

__all__ = ["fit_table", "fit_workings"]


def _tests(judged: Judged, people: Iterable[Person]) -> Iterable[tuple[Person, FitRecord]]:
    return ((person, record) for person in people for record in judged.records_of(person.id).fit_tests)


def fit_table(judged: Judged, people: Sequence[Person]) -> Table:
    """Return the fit tests with what 29 CFR 1910.134(m)(2)(i) asks of the record."""
    rows = tuple(_fit_row(judged, person, record) for person, record in _tests(judged, people))
    columns = (
        Column(said("Person"), 3),
        Column(said("Date"), 2),
        Column(said("Mask: make, model, style, size"), 4),
        Column(said("Protocol"), 3),
        Column(said("Result"), 3),
        Column(said("Tester"), 2),
        Column(said("Recording"), 2),
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
        said("%(words)s: %(answer)s", words=words, answer=ANSWER[answer])
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
