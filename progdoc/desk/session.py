"""One sitting at the desk: the description as it lies on the disk, what was answered, and the way back.

The files are the one source. They are read anew for every page, so whoever edits them by hand sees it at once; an
answer is written at once, all of it or nothing, and only over what it was given on.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path

from progdoc.app.answering import Sheet, Typed, answered
from progdoc.app.check import Checked, check
from progdoc.app.compare import compare, compared_files
from progdoc.app.disk.compared_paths import versions_at
from progdoc.app.disk.description_files import check_path
from progdoc.app.disk.issued_folder import Issued, issue, last_issued
from progdoc.app.disk.recorded_description import put_back
from progdoc.core.diagnostics import Diagnostic
from progdoc.core.questions import Question
from progdoc.model.load import Loaded
from progdoc.rules.in_force.states_of_work import enforcing_states
from progdoc.rules.reading.catalogue import catalogue_with

__all__ = ["Done", "Sitting"]

_MOST_STEPS = 50  # that can be taken back


@dataclass(frozen=True, slots=True)
class Done:
    """One answer that was written: the files before and after."""

    told: str
    before: Mapping[str, bytes]
    after: Mapping[str, bytes]


@dataclass(slots=True)
class Sitting:
    """What the desk holds between two pages; nothing of it is a fact of the firm."""

    path: Path
    today: Callable[[], date]
    into: Path  # where revisions are issued
    rules: Sequence[Path] = ()
    done: list[Done] = field(default_factory=list)
    put_aside: set[tuple[str, tuple[str, ...]]] = field(default_factory=set)

    def checked(self) -> Checked:
        """Return the description as it stands on the disk now, judged."""
        return check_path(self.path, self.today(), self.rules)

    def next_question(self, checked: Checked) -> Question | None:
        """Return what is asked next; what was put aside comes last."""
        asked = checked.questions
        left = [question for question in asked if (question.id, question.subject) not in self.put_aside]
        return next(iter(left or asked), None)

    def tried(self, checked: Checked, sheet: Sheet, typed: Typed) -> Checked | list[Diagnostic]:
        """Return the description judged with an answer that is not written; or why it could not be taken."""
        recorded = answered(checked, sheet, typed, self._judged)
        return recorded if isinstance(recorded, list) else recorded.checked

    def _judged(self, loaded: Loaded) -> Checked:
        states = enforcing_states(loaded.program) if loaded.program else frozenset()
        return check(loaded, self.today(), *catalogue_with(self.rules, states))

    def answer(self, checked: Checked, sheet: Sheet, typed: Typed) -> Checked | list[Diagnostic]:
        """Write an answer; return the description judged with it, or why it was not taken."""
        recorded = answered(checked, sheet, typed, self._judged)
        if isinstance(recorded, list):
            return recorded
        if recorded.after:
            placed = put_back(self.path, recorded.before, recorded.after)
            if isinstance(placed, list):
                return placed
            self.done = [*self.done, Done(sheet.question.asks, recorded.before, recorded.after)][-_MOST_STEPS:]
        self.put_aside.discard((sheet.question.id, sheet.question.subject))
        return recorded.checked

    def issued(self) -> Path | None:
        """Return the revision that was issued last here; None where there is none."""
        return last_issued(self.into)

    def issue(self) -> Issued | list[Diagnostic]:
        """Freeze the description as it stands as a numbered revision."""
        return issue(self.path, self.into, self.today(), self.rules)

    def compared(self, before: Path) -> dict[str, bytes] | list[Diagnostic]:
        """Return the papers that compare a revision with the description as it stands."""
        sides = versions_at(before, self.path, self.today(), self.rules)
        return sides if isinstance(sides, list) else compared_files(compare(*sides))

    def take_back(self) -> Done | list[Diagnostic] | None:
        """Undo the last answer; None where there is none."""
        if not self.done:
            return None
        last = self.done[-1]
        placed = put_back(self.path, last.after, last.before)
        if isinstance(placed, list):
            return placed
        self.done.pop()
        return last
