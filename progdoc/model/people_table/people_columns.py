"""The columns a table of people may have, the settings it is read by, and the faults it may show.

A medical entry has the same closed shape here as in YAML.
"""

from __future__ import annotations

from enum import StrEnum

from pydantic import Field

from progdoc.model.description.base import Described, said
from progdoc.model.description.scalars import Text, YesNo

__all__ = ["ALSO_CALLED", "COLUMNS", "CSV_FAULTS", "DateOrder", "PeopleFile"]

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
}


class DateOrder(StrEnum):
    """How dates with strokes or dots are to be read."""

    MONTH_FIRST = "month-first"
    DAY_FIRST = "day-first"


class PeopleFile(Described):
    """Where the table of people is, and how it is read."""

    csv: Text = Field(title="CSV", description="The file beside the description.", examples=["people.csv"])
    dates: DateOrder | None = said(
        "Dates", "Order of dates that are not written year first: month-first or day-first.", "month-first"
    )
    spare_columns: YesNo = said(
        "Spare columns", "Yes if the table has columns that are knowingly left out.", "yes", False
    )


# Kinds of cells: text as written; day; days (entries of a date each); yes-no; word (one of a list); words; numbers.
# Column: (list of records the value belongs to, "" for the person; its key there; kind)
COLUMNS: dict[str, tuple[str, str, str]] = {
    "id": ("", "id", "text"),
    "name": ("", "name", "text"),
    "job": ("", "job", "text"),
    "hair_rule_accepted": ("", "hair_rule_accepted", "day"),
    "hair_in_seal": ("", "hair_in_seal", "yes-no"),
    "clean_shaven": ("", "clean_shaven", "yes-no"),
    "spectacles": ("", "spectacles", "yes-no"),
    "lens_kit": ("", "lens_kit", "yes-no"),
    "mask": ("masks", "mask", "text"),
    "size": ("masks", "size", "text"),
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
