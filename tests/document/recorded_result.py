"""Prints a judged description in a process that has no rules to ask: what `test_judged_is_complete` starts.

Run as a program with the file of a recorded result. Every room of the rules but the result's own types is out of
reach there, and every calculation fails: whatever paper still asks one of them ends the run.
"""

from __future__ import annotations

import pickle
import sys
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from importlib.abc import MetaPathFinder
from importlib.machinery import ModuleSpec
from types import FunctionType, ModuleType
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from progdoc.rules.judged.result import Judged

__all__ = ["DAYS", "papers", "recorded"]

DAYS = (60, 365)  # looked ahead by the papers
_TYPES = ("progdoc.rules.judged", "progdoc.rules.requirement", "progdoc.rules.reasons")


@dataclass(frozen=True)
class Recorded:
    """Answers that were asked for once, in place of what works them out."""

    answers: dict[tuple[Any, ...], Any]

    def __call__(self, *asked: Any) -> Any:
        return self.answers[tuple(getattr(thing, "id", thing) for thing in asked)]


def recorded(judged: Judged) -> Judged:
    """Return the same result with every field that is a function answered beforehand."""
    roster = judged.roster
    pairs = {(person.id, task.id): roster.assignment(person, task) for person in roster.people for task in roster.tasks}
    return replace(
        judged,
        roster=replace(roster, assignment=Recorded(pairs)),
        due=Recorded({(days,): judged.due(days) for days in DAYS}),
        records_of=Recorded({(person.id,): judged.records_of(person.id) for person in judged.description.people}),
        classes_for=Recorded({(task.id,): judged.classes_for(task.id) for task in judged.description.tasks}),
    )


def papers(judged: Judged) -> Iterator[tuple[str, str]]:
    """Yield everything that is made of one judged description, by name."""
    from progdoc.comparison.meaning import changed_meaning
    from progdoc.document.blocks.annex_blocks import matrix_rows
    from progdoc.document.papers.forms import form_documents
    from progdoc.document.papers.gap_report import gap_document
    from progdoc.document.papers.handouts import handout_documents
    from progdoc.document.papers.mask_labels import labels
    from progdoc.document.papers.people_annex import annex_document
    from progdoc.document.papers.person_card import card_documents
    from progdoc.document.papers.renewal_questions import asked_of
    from progdoc.document.papers.renewal_sheet import Since, renewal_sheet
    from progdoc.document.papers.task_page import task_documents
    from progdoc.document.papers.training_kit import training_documents
    from progdoc.document.papers.written_program import written_program
    from progdoc.document.templating.templates import shipped_templates
    from progdoc.writers.assignment_csv import assignment_csv
    from progdoc.writers.calendar import calendar_bytes
    from progdoc.writers.due_formats import due_csv, due_json, due_lines

    written = written_program(judged, shipped_templates())
    yield "program", repr(written.program)
    yield "annex", repr(written.annex)
    yield "matrix", repr(matrix_rows(judged, written.answers))
    yield "handouts", repr(handout_documents(judged))
    yield "training", repr(training_documents(judged))
    yield "labels", repr(list(labels(judged)))
    yield "gaps", repr(gap_document(judged.report("1", written.answers), "", False, "Letter"))
    yield "people", repr(annex_document(judged))
    points = frozenset(one.point for one in asked_of(judged))
    yield "renewal", repr(renewal_sheet(judged, "2", "Revision 2", Since(), "answers.json", points))
    yield "meaning", repr(changed_meaning(judged.description, judged.description, judged, judged))
    yield "assignments", repr(assignment_csv(judged))
    for form in (due_csv, due_json):
        yield form.__name__, repr(form(judged.due(60)))
    yield "due", repr(list(due_lines(judged.due(60))))
    yield "calendar", repr(calendar_bytes(judged.due(60), "firm"))
    for of_each in (card_documents, task_documents, form_documents):
        yield from ((f"{of_each.__name__} {name}", repr(document)) for name, document in of_each(judged).items())


@dataclass(frozen=True)
class _OutOfReach(MetaPathFinder):
    """Lets nobody import what lies below a package, but for some of it."""

    package: str
    but_for: tuple[str, ...] = ()

    def find_spec(self, name: str, _path: Sequence[str] | None, _target: ModuleType | None = None) -> ModuleSpec | None:
        if name.startswith(f"{self.package}.") and not name.startswith(self.but_for or "-"):
            raise ImportError(f"{name} is asked for while something is printed")
        return None


def _forbid_calculations() -> None:
    """Take the calculations away, those that came in beside their own types too."""

    def forbidden(*_arguments: Any, **_more: Any) -> Any:
        raise AssertionError("a calculation is done while something is printed")

    sys.meta_path.insert(0, _OutOfReach("progdoc.calc"))
    for name, module in sys.modules.items():
        if name.startswith("progdoc.calc."):
            for own in [key for key, value in vars(module).items() if isinstance(value, FunctionType)]:
                setattr(module, own, forbidden)


if __name__ == "__main__":
    from pathlib import Path

    sys.meta_path.insert(0, _OutOfReach("progdoc.rules", _TYPES))
    judged = pickle.loads(Path(sys.argv[1]).read_bytes())
    _forbid_calculations()
    sys.stdout.buffer.write(pickle.dumps(dict(papers(judged))))
