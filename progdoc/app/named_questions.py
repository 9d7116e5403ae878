"""Questions that ask for what a finding says would help, where its own question does not ask for it.

“Correct the industry of the task” helps nobody whose page has no such field: the page leads to the question that has.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from progdoc.app.check import Checked
from progdoc.app.question_forms import Sheet
from progdoc.core.questions import Question
from progdoc.model.description.program import Program
from progdoc.rules.questions.asked_again import all_questions, fields_named
from progdoc.rules.reading.question_list import question_list

__all__ = ["questions_named"]


def questions_named(checked: Checked, sheet: Sheet) -> tuple[Question, ...]:
    """Return the questions about the same things that ask for the fields which the findings of a form name."""
    findings = sheet.question.findings
    description = checked.loaded.program
    asked = {step for one in sheet.inputs for step in re.findall(r"[a-z_]+", one.path)}
    named = {name for finding in findings for name in fields_named(finding)} - asked
    if description is None or not named:
        return ()
    about = {one for finding in findings for part in finding.subject for one in _with_its_own(description, part)}
    about |= {one for part in sheet.question.subject for one in _with_its_own(description, part)}
    return tuple(
        one
        for one in all_questions(description, question_list())
        if one.id != sheet.question.id
        and about.issuperset(one.subject)
        and not named.isdisjoint(field.path.rpartition(".")[2] for field in one.fields)
    )


def _with_its_own(description: Program, part: str) -> Iterator[str]:
    """Yield a thing, and what belongs to it: a task and what is in its air, a schedule and its filter."""
    yield part
    kind, _, name = part.partition(".")
    if kind == "tasks":
        yield from (f"hazards.{one.id}" for one in description.hazards if one.task == name)
    if kind == "hazards":
        yield from (f"tasks.{one.task}" for one in description.hazards if one.id == name)
    if kind == "schedules":
        schedules = description.procedures.filter_changes.schedules
        yield from (f"filters.{one.filter}" for one in schedules if one.id == name)
