"""What a page tells beside its question: masks that would do, figures worked out, what is to be found out first."""

from __future__ import annotations

from collections.abc import Iterable

from progdoc.app.check import Checked
from progdoc.app.selection_lines import figures, gear_in_tests, selection_lines, short_limits
from progdoc.core.lines import Line
from progdoc.core.questions import Question

__all__ = ["about_task", "before_masks", "figures_of", "told_before", "with_reasons"]

_LEVEL = "level"  # the question at which it is told which evidence an agent needs
_FIT = "fit-test-of-person"  # the question at which it is told what a test is made in

_Told = list[tuple[Line, list[Line]]]  # lines, each with the reasons for what it says


def _tasks_of(checked: Checked, question: Question) -> list[str]:
    """Return the ids of the tasks that a question is about, or whose air."""
    hazards = {f"hazards.{one.id}": one.task for one in checked.judged.description.hazards} if checked.judged else {}
    named = [hazards.get(part) or part.removeprefix("tasks.") for part in question.subject]
    return [one for one, part in zip(named, question.subject, strict=True) if part.startswith(("tasks.", "hazards."))]


def about_task(checked: Checked, question: Question) -> list[_Told]:
    """Return which masks protect in the tasks that a question is about, and which kinds would."""
    return [with_reasons(next(iter(selection_lines(checked, task)))) for task in _tasks_of(checked, question)]


def with_reasons(lines: Iterable[Line]) -> _Told:
    """Return lines that say something, each with those that give its reasons."""
    found: _Told = []
    for line in lines:
        if line.kind == "why" and found:
            found[-1][1].append(line)
        else:
            found.append((line, []))
    return found


def before_masks(checked: Checked, question: Question) -> list[Question]:
    """Return what is not said of the air of the tasks that a question of masks is about."""
    tasks = set(_tasks_of(checked, question))
    return [
        one
        for one in checked.questions
        if one.is_danger and one.id != question.id and tasks.intersection(_tasks_of(checked, one))
    ]


def figures_of(checked: Checked, question: Question) -> tuple[tuple[str, tuple[str, ...]], ...]:
    """Return what is worked out for each task that a question is about, by its name."""
    names = checked.report.names
    asked = dict.fromkeys(_tasks_of(checked, question))
    return tuple((names.get(f"tasks.{task}", task), figures(checked, task)) for task in asked)


def told_before(checked: Checked, question: Question) -> tuple[str, ...]:
    """Return what is said before anybody looks for an answer: what would have to be found out, or tested, again."""
    told = {_LEVEL: short_limits, _FIT: gear_in_tests}.get(question.id)
    return told(checked, question.subject) if told else ()
