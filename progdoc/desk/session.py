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
from progdoc.app.disk.description_files import check_path
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
    today: Callable[[], date]
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

    def answer(self, checked: Checked, sheet: Sheet, typed: Typed) -> Checked | list[Diagnostic]:
        """Write an answer; return the description judged with it, or why it was not taken."""
        recorded = answered(checked, sheet, typed, lambda loaded: check(loaded, self.today()))
        if isinstance(recorded, list):
            return recorded
        if recorded.after:
            placed = put_back(self.path, recorded.before, recorded.after)
            if isinstance(placed, list):
                return placed
            self.done = [*self.done, Done(sheet.question.asks, recorded.before, recorded.after)][-_MOST_STEPS:]
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
