"""The columns a table of people may have, the settings it is read by, and the faults it may show.

A medical entry has the same closed shape here as in YAML.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from enum import StrEnum
from typing import Any, get_args, get_origin

from pydantic import BaseModel

from progdoc.core.diagnostics import Audience, Diagnostic, Location, Scope, Severity
from progdoc.model.description.base import Described, said
from progdoc.model.description.devices import SpareCylinder
from progdoc.model.description.masks import Mask
from progdoc.model.description.scalars import Text, YesNo

__all__ = [
    "ALSO_CALLED",
    "COLUMNS",
    "CSV_FAULTS",
    "CYLINDER_COLUMNS",
    "DEVICES",
    "LISTS",
    "UNIT_COLUMNS",
    "DateOrder",
    "PeopleFile",
    "RowKind",
    "Target",
    "columns_of",
    "part_of",
    "table_fault",
    "unit_model",
]

CSV_FAULTS: dict[str, tuple[str, str]] = {
    "CSV-001": ("people-file-settings", "The lines beside `csv:` tell how the table of people is to be read."),
    "CSV-002": ("people-file-not-found", "Without the table nobody is known who wears a mask."),
    "CSV-003": ("people-file-unreadable", "From a table that is read wrongly, records land with the wrong person."),
    "CSV-004": ("no-id-column", "Two people may have one name; only an id tells them apart through the years."),
    "CSV-005": ("row-without-id", "A record that belongs to nobody would be left out of everything."),
    "CSV-006": ("date-order-not-declared", "1/12/2026 is one day in January or another in December."),
    "CSV-007": ("rows-contradict", "Two rows of one id say different things about one person."),
    "CSV-008": ("heading-misspelt", "A column under a misspelt heading would be left out, unseen."),
    "CSV-009": (
        "not-for-a-medical-entry",
        "Health answers belong to the health professional alone (29 CFR 1910.134(e)(4)(i), (e)(6)(i)); what was found"
        " is not repeated here.",
    ),
    "CSV-010": ("columns-not-read", "What stands in these columns has no part in the program."),
    "CSV-011": ("heading-used-twice", "Which of the two columns is meant cannot be told."),
    "CSV-012": (
        "columns-to-confirm",
        "What a heading means is guessed here and read only once you say so; the file beside the table remembers it.",
    ),
    "CSV-013": ("column-file-not-understood", "The file says which column is what; read wrongly, records get lost."),
    "CSV-014": ("sheet-not-told", "A sheet that nobody reads would leave its records out of the program, unseen."),
    "CSV-015": ("cells-merged", "Of merged cells only the first holds the value; the rows beside it would lose it."),
    "CSV-016": (
        "cell-without-value",
        "An error of the spreadsheet, or a formula never computed, says nothing.",
    ),
    "CSV-017": ("formulas-read", "What counts is the value that was stored when the spreadsheet was last saved."),
    "CSV-018": ("hidden-cells-read", "What is hidden on the screen is easily forgotten, and is a record all the same."),
    "CSV-019": ("row-repeated", "A record that stands twice was perhaps meant for somebody else; it counts once."),
    "CSV-020": ("record-of-nobody", "A record that belongs to no person or mask would be left out of everything."),
    "CSV-021": (
        "struck-or-noted",
        "What is struck out, or taken back in a note, is a record until it goes.",
    ),
}


class DateOrder(StrEnum):
    """How dates with strokes or dots are to be read."""

    MONTH_FIRST = "month-first"
    DAY_FIRST = "day-first"


class PeopleFile(Described):
    """Where the tables of people and their records are, and how they are read."""

    csv: Text | None = said("CSV", "The file beside the description, as CSV.", "people.csv")
    xlsx: Text | None = said("Workbook", "The file beside the description, as a workbook.", "people.xlsx")
    also: tuple[Text, ...] = said(
        "Also", "More tables beside it, CSV or workbooks: fit tests, trainings, single masks.", ["fit-tests.csv"], ()
    )
    dates: DateOrder | None = said(
        "Dates", "Order of dates that are not written year first: month-first or day-first.", "month-first"
    )
    spare_columns: YesNo = said(
        "Spare columns", "Yes if the table has columns that are knowingly left out.", "yes", False
    )


class RowKind(StrEnum):
    """What a row of a sheet is about."""

    PEOPLE = "people"  # a person, with records
    FIT_TESTS = "fit-tests"  # one fit test of somebody
    TRAINING = "training"  # one training of somebody
    UNITS = "units"  # one single mask, with its cylinder
    CYLINDERS = "cylinders"  # one cylinder in reserve


DEVICES = (RowKind.UNITS, RowKind.CYLINDERS)  # of which no row is about a person
LISTS = "lists"  # the hidden sheet of a workbook of ours that holds what may be chosen

Target = tuple[str, str, str]  # the list of records that a value belongs to, its key there, the kind of cell

# Kinds of cells: text as written; day; days (entries of a date each); yes-no; word (one of a list); words; numbers.
# Column: (list of records the value belongs to, "" for the person; its key there; kind)
COLUMNS: dict[str, Target] = {
    "id": ("", "id", "text"),
    "name": ("", "name", "text"),
    "group": ("", "group", "text"),
    "job": ("", "job", "text"),
    "own_language": ("", "own_language", "text"),
    "requested": ("", "requested", "day"),
    "consented": ("", "consented", "day"),
    "left": ("", "left", "day"),
    "hair_rule_accepted": ("", "hair_rule_accepted", "day"),
    "hair_in_seal": ("", "hair_in_seal", "yes-no"),
    "clean_shaven": ("", "clean_shaven", "yes-no"),
    "spectacles": ("", "spectacles", "yes-no"),
    "lens_kit": ("", "lens_kit", "yes-no"),
    "mask": ("masks", "mask", "text"),
    "size": ("masks", "size", "text"),
    "mask_since": ("masks", "since", "day"),
    "mask_kit": ("masks", "kit", "text"),
    "returned_date": ("returned", "date", "day"),
    "returned_mask": ("returned", "mask", "text"),
    "returned_size": ("returned", "size", "text"),
    "medical_date": ("medical", "date", "day"),
    "medical_recommendation": ("medical", "recommendation", "word"),
    "medical_limits": ("medical", "limits", "words"),
    "medical_next_review": ("medical", "next_review", "day"),
    "medical_follow_up_pending": ("medical", "follow_up_pending", "yes-no"),
    "medical_copy_given": ("medical", "copy_given", "yes-no"),
    "medical_reevaluate": ("medical", "reevaluate", "days"),
    "surveillance_agent": ("surveillance", "agent", "text"),
    "surveillance_date": ("surveillance", "date", "day"),
    "surveillance_declined": ("surveillance", "declined", "yes-no"),
    "change_date": ("changes", "date", "day"),
    "change_kind": ("changes", "kind", "word"),
    "fit_date": ("fit_tests", "date", "day"),
    "fit_mask": ("fit_tests", "mask", "text"),
    "fit_size": ("fit_tests", "size", "text"),
    "fit_protocol": ("fit_tests", "protocol", "word"),
    "fit_tester": ("fit_tests", "tester", "text"),
    "fit_screened": ("fit_tests", "screened", "yes-no"),
    "fit_result": ("fit_tests", "result", "word"),
    "fit_factor": ("fit_tests", "fit_factor", "text"),
    "fit_readings": ("fit_tests", "readings", "numbers"),
    "fit_filters": ("fit_tests", "filters", "text"),
    "fit_gear": ("fit_tests", "gear", "words"),
    "fit_unpowered": ("fit_tests", "unpowered", "yes-no"),
    "fit_enclosure": ("fit_tests", "enclosure", "yes-no"),
    "fit_reacted_after": ("fit_tests", "reacted_after", "yes-no"),
    "fit_retest": ("fit_tests", "retest", "yes-no"),
    "fit_nothing_before": ("fit_tests", "nothing_before", "text"),
    "fit_recording": ("fit_tests", "recording", "text"),
    "training_date": ("training", "date", "day"),
    "training_by": ("training", "by", "text"),
    "training_topics": ("training", "topics", "words"),
    "training_knowledge_shown": ("training", "knowledge_shown", "yes-no"),
    "training_language": ("training", "language", "text"),
    "training_elsewhere": ("training", "elsewhere", "yes-no"),
    "appendix_d_date": ("appendix_d", "date", "day"),
    "appendix_d_how": ("appendix_d", "how", "text"),
    "read_revision": ("has_read", "revision", "text"),
    "read_date": ("has_read", "date", "day"),
}
ALSO_CALLED = {
    "person_id": "id",
    "employee_id": "id",
    "full_name": "name",
    "employee_name": "name",
    "job_title": "job",
}


def _columns_of_parts(model: type[BaseModel]) -> Iterator[tuple[str, Target]]:
    """Yield the columns of a thing out of the fields that it has: a field more is a column more."""
    for name, field in model.model_fields.items():
        record = part_of(field.annotation)
        if record is None:
            is_list = get_origin(field.annotation) is tuple
            yield name, ("", name, "words" if is_list else _kind_of(field.annotation))
            continue
        for key, inner in record.model_fields.items():
            yield f"{name.removesuffix('s')}_{key}", (name, key, _kind_of(inner.annotation))


def unit_model() -> type[BaseModel]:
    """Return what is said of a single mask."""
    found = part_of(Mask.model_fields["units"].annotation)
    if found is None:
        raise TypeError("single masks have no parts")
    return found


def part_of(annotation: Any) -> type[BaseModel] | None:
    """Return the part that a field holds, or a list of; None where it holds values."""
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return annotation
    return next((found for part in get_args(annotation) if (found := part_of(part)) is not None), None)


def _kind_of(annotation: Any) -> str:
    if isinstance(annotation, type):
        kinds = ((date, "day"), (bool, "yes-no"), (StrEnum, "word"))
        return next((kind for base, kind in kinds if issubclass(annotation, base)), "text")
    return next((kind for part in get_args(annotation) if (kind := _kind_of(part)) != "text"), "text")


UNIT_COLUMNS: dict[str, Target] = {"mask": ("", "mask", "text"), **dict(_columns_of_parts(unit_model()))}
CYLINDER_COLUMNS: dict[str, Target] = dict(_columns_of_parts(SpareCylinder))
_EVENTS = {RowKind.FIT_TESTS: ("fit_tests", "fit_"), RowKind.TRAINING: ("training", "training_")}


def columns_of(rows: RowKind) -> dict[str, Target]:
    """Return the columns of a sheet by their names; one of events has short ones too: `date` beside `fit_date`."""
    if rows is RowKind.PEOPLE:
        return COLUMNS
    if rows is RowKind.UNITS:
        return UNIT_COLUMNS
    if rows is RowKind.CYLINDERS:
        return CYLINDER_COLUMNS
    group, prefix = _EVENTS[rows]
    whose = {"id": COLUMNS["id"], "name": COLUMNS["name"]}
    own = {name: target for name, target in COLUMNS.items() if target[0] == group}
    return {**whose, **own, **{name.removeprefix(prefix): target for name, target in own.items()}}


def table_fault(code: str, place: Location, what: str, fix: str, severity: Severity = Severity.INVALID) -> Diagnostic:
    """Return a finding about a table; advice too is for those who may read names."""
    name, why = CSV_FAULTS[code]
    found = Diagnostic(place, code, name, severity, what, why, fix)
    if severity is Severity.INVALID:
        return found
    return replace(found, scope=Scope.RECORD, audience=Audience.RESTRICTED)
