"""Areas that a standard regulates, in which everybody wears a mask against its agent, whatever was sampled."""

from __future__ import annotations

from progdoc.model.description.hazards import Hazard
from progdoc.model.description.workplace import Task
from progdoc.rules.judged.published import Substance
from progdoc.rules.lookup.limits import industries_of
from progdoc.rules.lookup.table_files import table_rows

__all__ = ["area_paragraph"]


def area_paragraph(hazard: Hazard, task: Task, substance: Substance | None) -> str:
    """Return the paragraph by which whoever enters wears a mask; nothing where it is no such area."""
    if substance is None or not hazard.regulated_area:
        return ""
    for row in table_rows("regulated_areas"):
        if row["agent"] == substance.id and set(industries_of(task)) & set(row["industries"].split(";")):
            return row["citation"]
    return ""
