"""One sitting at the desk: the description as it lies on the disk, what was answered, and the way back.

The files are the one source. Whoever edits them by hand sees it on the next page; an answer is written at once, all of
it or nothing, and only over what it was given on.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from functools import partial
from pathlib import Path

from progdoc.app.answering import Sheet, Typed, answered
from progdoc.app.check import Checked
from progdoc.app.compare import compare, compared_files
from progdoc.app.disk.compared_paths import versions_at
from progdoc.app.disk.description_files import check_path, judged_by, state_of_files
from progdoc.app.disk.issued_folder import Issued, issue, last_issued
from progdoc.app.disk.recorded_description import put_back
from progdoc.core.diagnostics import Diagnostic
from progdoc.core.questions import Question

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
    day: Callable[[], date]  # of the page that is asked for
    into: Path  # where revisions are issued
    rules: Sequence[Path] = ()
    done: list[Done] = field(default_factory=list)
    put_aside: set[tuple[str, tuple[str, ...]]] = field(default_factory=set)
    _judged: tuple[object, Checked] | None = None  # by what the files are told to be as they were; as they were judged

    def checked(self) -> Checked:
        """Return the description as it stands on the disk now, judged."""
        if self._judged is None or self._judged[0] != self._state(self._judged[1]):
            self._hold(check_path(self.path, self.day(), self.rules))
        assert self._judged is not None
        return self._judged[1]

    def _hold(self, checked: Checked) -> None:
        self._judged = (self._state(checked), checked)

    def _state(self, checked: Checked) -> object:
        return self.day(), state_of_files(self.path, checked.loaded, self.rules)

    def next_question(self, checked: Checked) -> Question | None:
        """Return what is asked next; what was put aside comes last."""
        asked = checked.questions
        left = [question for question in asked if (question.id, question.subject) not in self.put_aside]
        return next(iter(left or asked), None)

    def tried(self, checked: Checked, sheet: Sheet, typed: Typed) -> Checked | list[Diagnostic]:
        """Return the description judged with an answer that is not written; or why it could not be taken."""
        recorded = answered(checked, sheet, typed, partial(judged_by, as_of=self.day(), rules=self.rules))
        return recorded if isinstance(recorded, list) else recorded.checked

    def answer(self, checked: Checked, sheet: Sheet, typed: Typed) -> Checked | list[Diagnostic]:
        """Write an answer; return the description judged with it, or why it was not taken."""
        recorded = answered(checked, sheet, typed, partial(judged_by, as_of=self.day(), rules=self.rules))
        if isinstance(recorded, list):
            return recorded
        if recorded.after:
            placed = put_back(self.path, recorded.before, recorded.after)
            if isinstance(placed, list):
                return placed
            self.done = [*self.done, Done(sheet.question.asks, recorded.before, recorded.after)][-_MOST_STEPS:]
            self._hold(recorded.checked)
        self.put_aside.discard((sheet.question.id, sheet.question.subject))
        return recorded.checked

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

    def issued(self) -> Path | None:
        """Return the revision that was issued last here; None where there is none."""
        return last_issued(self.into)

    def issue(self) -> Issued | list[Diagnostic]:
        """Freeze the description as it stands as a numbered revision."""
        return issue(self.path, self.into, self.day(), self.rules)

    def compared(self, before: Path) -> dict[str, bytes] | list[Diagnostic]:
        """Return the papers that compare a revision with the description as it stands."""
        sides = versions_at(before, self.path, self.day(), self.rules)
        return sides if isinstance(sides, list) else compared_files(compare(*sides))
