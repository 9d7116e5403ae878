"""What was handed out and given back, who left, what was done for the masks: logs, for the restricted annex alone."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date

from progdoc.core.numbers import long_date
from progdoc.core.said import said, said_choice, said_join
from progdoc.document.tree.nodes import Column, Row, Table
from progdoc.document.tree.spoken_text import text_cell
from progdoc.model.description.people import Person
from progdoc.model.description.words import label_of
from progdoc.rules.judged.result import Judged

__all__ = ["handed_out_table", "kept_table", "upkeep_table"]

_Told = tuple[date, str, str, str]


def handed_out_table(judged: Judged, people: Sequence[Person]) -> Table:
    """Return which masks were handed out and given back, and who left, the newest of each person first."""
    rows = tuple(
        Row(f"handed-out.{person.id}.{n}", (text_cell(label_of(person)), text_cell(long_date(day)), text_cell(words)))
        for person in people
        for n, (day, words) in enumerate(sorted(_of_person(judged, person), reverse=True))
    )
    columns = (Column(said("Person"), 3), Column(said("Date"), 3), Column(said("What"), 6))
    return Table("handed-out", said("Masks handed out and given back"), columns, rows)


def _of_person(judged: Judged, person: Person) -> Iterator[tuple[date, str]]:
    for issued in person.masks:
        kit = said(", with it: %(kit)s", kit=issued.kit) if issued.kit else ""
        if issued.since is not None:
            yield (
                issued.since,
                said("handed out: %(mask)s%(kit)s", mask=_mask(judged, issued.mask, issued.size), kit=kit),
            )
    for back in person.returned:
        yield back.date, said("given back: %(mask)s", mask=_mask(judged, back.mask, back.size))
    if person.left is not None:
        kept = said_join((_mask(judged, one.mask, one.size) for one in person.masks), "; ")
        yield (
            person.left,
            said("left; nothing is due for them, but not given back: %(kept)s", kept=kept)
            if kept
            else said("left; nothing is due for them"),
        )


def _mask(judged: Judged, mask: str, size: str | None) -> str:
    name = label_of(judged.index.masks[mask][1])
    return said("%(mask)s, size %(size)s", mask=name, size=size) if size else name


def kept_table(judged: Judged, people: Sequence[Person]) -> Table:
    """Return how long the records of those who left are kept."""
    rows = []
    for person in (one for one in people if one.left is not None):
        records = judged.records_of(person.id)
        until = records.medical_kept_until
        medical = (
            said("until %(until)s (%(kept_by)s)", until=long_date(until), kept_by=records.kept_by)
            if until and records.medical
            else said("none here")
        )
        newest = records.fit_tests[0].test.date if records.fit_tests else None
        tests = (
            said("of %(newest)s, until the next, (m)(2)(ii)", newest=long_date(newest)) if newest else said("none here")
        )
        left = long_date(person.left) if person.left else ""
        rows.append(Row(f"kept.{person.id}", tuple(map(text_cell, (label_of(person), left, medical, tests)))))
    columns = (
        Column(said("Person"), 3),
        Column(said("Left"), 3),
        Column(said("Medical records kept"), 5),
        Column(said("Fit test records"), 4),
    )
    return Table("kept", said("Records of those who left"), columns, tuple(rows))


def upkeep_table(judged: Judged) -> Table:
    """Return cleanings, changes of filters and consultations as they were recorded, newest first."""
    told = sorted(_upkeep(judged), key=lambda entry: (-entry[0].toordinal(), entry[1:]))
    rows = tuple(
        Row(f"upkeep.{n}", (text_cell(long_date(day)), *map(text_cell, words))) for n, (day, *words) in enumerate(told)
    )
    columns = (
        Column(said("Date"), 3),
        Column(said("What"), 6),
        Column(said("By"), 3),
        Column(said("Why, or what came up"), 4),
    )
    return Table("upkeep", said("Cleaning, changes of filters, consultations"), columns, rows)


def _upkeep(judged: Judged) -> Iterator[_Told]:
    index, procedures = judged.index, judged.description.procedures
    for cleaned in procedures.cleaning.done:
        masks = said_join((label_of(index.masks[mask][1]) for mask in cleaned.masks), ", ")
        yield cleaned.date, said("cleaned: %(masks)s", masks=masks), cleaned.by or said("not recorded"), "–"
    for changed in procedures.filter_changes.done:
        worn = said_join((said("“%(tasks)s”", tasks=label_of(index.tasks[task][1])) for task in changed.tasks), ", ")
        part = label_of(index.filters[changed.filter][1])
        what = (
            said("changed: %(filter)s, worn in %(tasks)s", filter=part, tasks=worn)
            if worn
            else said("changed: %(filter)s", filter=part)
        )
        yield changed.date, what, changed.by or said("not recorded"), changed.because or "–"
    for asked in procedures.evaluation.consultations:
        who = said_join((label_of(index.people[person][1]) for person in asked.who), ", ")
        about = said_join(map(said_choice, asked.consults), ", ")
        whom = who or said("wearers")
        what = (
            said("asked: %(who)s, about %(about)s", who=whom, about=about)
            if about
            else said("asked: %(who)s", who=whom)
        )
        yield asked.date, what, asked.by or said("not recorded"), asked.told or "–"
