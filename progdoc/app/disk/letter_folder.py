"""Writes letters about what falls due into a new folder, under `restricted/`, for nobody else to read."""

from __future__ import annotations

from pathlib import Path

from progdoc.app.disk.new_folder import Placed, write_new
from progdoc.app.due import letters_of
from progdoc.app.file_faults import file_fault
from progdoc.core.diagnostics import Diagnostic, Location
from progdoc.model.yaml.yaml_file import readable
from progdoc.rules.judged.plan_results import DayPlan

__all__ = ["write_letters"]


def write_letters(folder: Path, plan: DayPlan) -> Placed | list[Diagnostic]:
    """Write a letter for each person, and for the clinic, the trainer and the tester; return why none was written."""
    letters = letters_of(plan)
    if not letters:
        place = Location(readable(str(folder)), 0, 0)
        return [file_fault("LETTER-003", place, "Nothing is due for anybody.", "Look further ahead: `--within 90`.")]
    return write_new(folder, letters, "LETTER", may_hold_more=False, owner_only=True)
