"""One sitting at the desk: the description as it lies on the disk, what was answered, and the way back.

The files are the one source. Whoever edits them by hand sees it on the next page; an answer is written at once, all of
it or nothing, and only over what it was given on.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import field
from datetime import date
from functools import partial
from pathlib import Path
from threading import RLock

from progdoc.app.answering import answered, answered_for
from progdoc.app.answers_given import first_questions
from progdoc.app.attaching import attached
from progdoc.app.check import Checked
from progdoc.app.compare import compare, compared_files
from progdoc.app.disk.compared_paths import versions_at
from progdoc.app.disk.description_files import check_path, judged_by, state_of_files
from progdoc.app.disk.issued_folder import Issued, all_issued, issue
from progdoc.app.disk.recorded_description import put_back
from progdoc.app.question_forms import Sheet, Typed
from progdoc.app.record import Recorded, record
from progdoc.app.record_events import Event
from progdoc.app.record_meaning import Meaning
from progdoc.core.diagnostics import Diagnostic
from progdoc.core.late_dataclass import dataclass
from progdoc.core.questions import Question

__all__ = ["Done", "News", "Sitting"]

_MOST_STEPS = 50  # that can be taken back


@dataclass(frozen=True, slots=True)
class Done:
    """One answer that was written: the files before and after."""

    told: str
    before: Mapping[str, bytes]
    after: Mapping[str, bytes]


@dataclass(frozen=True, slots=True)
class News:
    """What the last answer came to; told once, on the next page."""

    meaning: Meaning
    stays: Question | None  # what was asked is open all the same


def _is_said(asked: Question, places: Sequence[str]) -> bool:
    """Whether something was just written at every place that a question asks for."""
    return all(field.path in places for field in asked.fields)


def _heard(typed: Typed) -> Typed:
    """Return what was typed, without the button that sent it."""
    return {name: values for name, values in typed.items() if name not in ("again", "aside")}


@dataclass(slots=True)
class Sitting:
    """What the desk holds between two pages; nothing of it is a fact of the firm."""

    path: Path
    day: Callable[[], date]  # of the page that is asked for
    into: Path  # where revisions are issued
    rules: Sequence[Path] = ()
    done: list[Done] = field(default_factory=list)
    put_aside: set[tuple[str, str]] = field(default_factory=set)  # question, and which of what it is about
    rest: tuple[str, frozenset[str]] = ("", frozenset())  # the question answered last, and for what it was not
    news: News | None = None
    _judged: tuple[object, Checked] | None = None  # by what the files are told to be as they were; as they were judged
    _tried: tuple[Checked, Question, Typed, Recorded | list[Diagnostic]] | None = None  # on what, and what came of it
    _one_at_a_time: RLock = field(default_factory=RLock)  # two windows write one after the other

    def checked(self) -> Checked:
        """Return the description as it stands on the disk now, judged."""
        with self._one_at_a_time:
            if self._judged is None or self._judged[0] != self._state(self._judged[1]):
                self._hold(check_path(self.path, self.day(), self.rules))
            assert self._judged is not None
            return self._judged[1]

    def _hold(self, checked: Checked) -> None:
        self._judged = (self._state(checked), checked)

    def _state(self, checked: Checked) -> object:
        return self.day(), state_of_files(self.path, checked.loaded, self.rules)

    # ---- what is asked --------------------------------------------------------------------------------

    def next_question(self, checked: Checked) -> Question | None:
        """Return what is asked next: the last one for the rest first; what was put aside comes last."""
        asked = (*first_questions(checked), *checked.questions)
        left = [question for question in asked if not self.is_aside(question)]
        name, about = self.rest
        left.sort(key=lambda question: not (question.id == name and about.intersection(question.subject)))
        return next(iter(left or asked), None)

    def is_aside(self, question: Question) -> bool:
        """Whether somebody looked at a question and could not answer it yet."""
        return self._marks(question) <= self.put_aside

    def lay_aside(self, question: Question) -> None:
        """Leave a question for later."""
        self.put_aside |= self._marks(question)

    @staticmethod
    def _marks(question: Question) -> set[tuple[str, str]]:
        return {(question.id, one) for one in question.subject or ("",)}

    # ---- what is answered -----------------------------------------------------------------------------

    def tried(self, checked: Checked, sheet: Sheet, typed: Typed) -> Recorded | list[Diagnostic]:
        """Return what becomes of the description with an answer, unwritten; or why it could not be taken."""
        recorded = answered(checked, sheet, typed, self._judge())
        self._tried = (checked, sheet.question, _heard(typed), recorded)
        return recorded

    def answer(self, checked: Checked, sheet: Sheet, typed: Typed) -> Checked | list[Diagnostic]:
        """Write an answer; return what it makes of the description, or why it was not taken: nothing, if empty."""
        before = self._tried
        if before and before[0] is checked and before[1:3] == (sheet.question, _heard(typed)):
            recorded = before[3]  # it was judged while it was typed
        else:
            recorded = answered(checked, sheet, typed, self._judge())
        self._tried = None
        if isinstance(recorded, list):
            return recorded
        if sheet.question.findings and not recorded.after:
            return []  # what is open stays so: going on would hide that nothing was said
        faults = self._written(recorded, sheet.question.asks)
        if faults:
            return faults
        asked = sheet.question
        said_of = {(asked.id, one) for one in answered_for(sheet, typed)}
        self.put_aside -= said_of
        self.rest = (asked.id, frozenset(asked.subject) - {one for _, one in said_of})
        left = [one for one in recorded.checked.questions if one.id == asked.id and self._marks(one) & said_of]
        # The answer settles nothing, or just its own places are still asked for: the next question is another.
        stays = next((one for one in left if one.settles == asked.settles or _is_said(one, recorded.entered)), None)
        if stays is not None:
            self.put_aside |= said_of
        self.news = News(recorded.meaning, stays)
        return recorded.checked

    def record(self, event: Event) -> Recorded | list[Diagnostic]:
        """Write down what happened today; or return why it can't be."""
        checked = self.checked()
        recorded = record(checked, [event], self.day(), self._judge(), self.path.is_dir())
        return recorded if isinstance(recorded, list) else self._written(recorded, event.kind) or recorded

    def attach(self, title: str, name: str, data: bytes) -> Recorded | list[Diagnostic]:
        """Put a file beside the description and name it there; or return why it can't be."""
        folder = self.path if self.path.is_dir() else self.path.parent
        taken = {entry.name.casefold() for entry in folder.iterdir()}
        ending = name.rpartition(".")[2].lower()
        recorded = attached(self.checked(), title, ending, data, self.day(), taken, self._judge())
        return recorded if isinstance(recorded, list) else self._written(recorded, title) or recorded

    def _judge(self) -> Callable[..., Checked]:
        return partial(judged_by, as_of=self.day(), rules=self.rules)

    def _written(self, recorded: Recorded, told: str) -> list[Diagnostic]:
        """Put changed files in their places; return why not, or nothing."""
        with self._one_at_a_time:
            if recorded.after:
                placed = put_back(self.path, recorded.before, recorded.after)
                if isinstance(placed, list):
                    return placed
                self.done = [*self.done, Done(told, recorded.before, recorded.after)][-_MOST_STEPS:]
                self._hold(recorded.checked)
        return []

    def take_back(self) -> Done | list[Diagnostic] | None:
        """Undo the last answer; None where there is none."""
        with self._one_at_a_time:
            if not self.done:
                return None
            last = self.done[-1]
            stood = {name: last.after[name] for name in last.before}  # a file that was begun stays, unnamed
            placed = put_back(self.path, stood, last.before)
            if isinstance(placed, list):
                return placed
            self.done.pop()
            self.news = None
            return last

    def take_news(self) -> News | None:
        """Return what the last answer came to, once."""
        news, self.news = self.news, None
        return news

    # ---- what is issued -------------------------------------------------------------------------------

    def issued(self) -> list[str]:
        """Return the names of the revisions that were issued here, the oldest first."""
        return [folder.name for folder in all_issued(self.into)]

    def issue(self) -> Issued | list[Diagnostic]:
        """Freeze the description as it stands as a numbered revision."""
        return issue(self.path, self.into, self.day(), self.rules)

    def compared(self, before: str, after: str | None = None) -> dict[str, bytes] | list[Diagnostic]:
        """Return the papers that compare a revision with a later one, or with the description as it stands."""
        sides = versions_at(self.into / before, self.into / after if after else self.path, self.day(), self.rules)
        return sides if isinstance(sides, list) else compared_files(compare(*sides))
