"""Reads a completed renewal worksheet: which question was answered how, and what is still missing.

An answer counts only for what stood beside it when it was given. One that lacks a part is not taken and stays open; one
that can't be understood is a fault, and nothing is taken at all.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import field
from datetime import date
from typing import Any

from progdoc.app.file_faults import file_fault
from progdoc.app.filled_fields import filled_fields, on_one_line, shortened
from progdoc.core.diagnostics import Diagnostic, Location
from progdoc.core.late_dataclass import dataclass
from progdoc.document.papers.renewal_questions import SHEET_FIELD, SUMMARY_FIELD, Asked
from progdoc.model.description.renewal import RenewalQuestion
from progdoc.model.description.scalars import as_date
from progdoc.model.health_words import tells_of_health
from progdoc.rules.lookup.answers_said import Said, said_by
from progdoc.rules.lookup.telling_words import is_told

__all__ = ["Answer", "Answers", "answers_in"]

_MOST_LETTERS = 2_000  # of one answer
_OF_PEOPLE = (RenewalQuestion.PEOPLE, RenewalQuestion.NEW_PEOPLE)
_WITH_WORDS, _WITH_DAY = ("enter",), ("done", "until")


@dataclass(frozen=True, slots=True)
class Answer:
    """One question answered: what was chosen and what that means, with what stands beside and below it."""

    asked: Asked
    says: str
    means: str
    words: str = ""
    day: date | None = None
    rows: tuple[Mapping[str, str], ...] = ()


@dataclass(frozen=True, slots=True)
class Answers:
    """What a worksheet holds; `missing` says what its unfinished answers lack, `shown_otherwise` what was not taken."""

    given: tuple[Answer, ...] = ()
    missing: tuple[tuple[str, str], ...] = ()  # what is asked about, and the lack
    shown_otherwise: tuple[str, ...] = ()
    summary: str = ""


def answers_in(data: bytes, name: str, asked: Iterable[Asked], mark: str) -> Answers | list[Diagnostic]:
    """Return what a completed worksheet answers; or why it can't be read.

    Parameters
    ----------
    data
        A Word file, a PDF, or what a browser kept of the page.
    name
        What findings call it.
    asked
        What the renewal asks today.
    mark
        What the worksheet has to say of itself.
    """
    fields = filled_fields(data, ("renewal.",), "a worksheet")
    if isinstance(fields, str):
        fix = "Name the worksheet of `progdoc renew`: filled in as Word file or PDF, or as a browser kept it."
        return [_fault("RENEW-006", name, f"{name}: {fields}.", fix)]
    says = "; ".join(sorted(set(map(on_one_line, fields.pop(SHEET_FIELD, ())))))
    if says != mark:
        told = f"says “{shortened(says)}”" if says else "does not say which worksheet it is"
        fix = f"Read in the worksheet of this renewal: “{mark}”. Its first field is to be left as it is."
        return [_fault("RENEW-007", name, f"{name} {told}.", fix)]
    reading = _Reading(name, fields)
    questions = tuple(asked)
    given = [answer for one in questions if (answer := reading.answer(one)) is not None]
    summary = reading.text(SUMMARY_FIELD, "the line for the revision history")
    if reading.faults:
        return reading.faults
    otherwise = tuple(_shown_otherwise(fields, questions))
    return Answers(tuple(given), tuple(reading.missing), otherwise, summary)


def _fault(code: str, name: str, what: str, fix: str) -> Diagnostic:
    return file_fault(code, Location(name, 0, 0), what, fix)


def _shown_otherwise(fields: Mapping[str, tuple[str, ...]], questions: Iterable[Asked]) -> Iterator[str]:
    """Yield the things that are asked about and were shown otherwise when they were answered."""
    answered: dict[str, set[str]] = {}  # of each thing, the marks of what was shown
    for name, said in fields.items():
        of_renewal, question, thing, shown = (*name.split("."), "", "", "", "")[:4]
        if any(said):
            answered.setdefault(f"{of_renewal}.{question}.{thing}", set()).add(shown)
    for one in questions:
        if answered.get(one.thing, set()) - {one.shown}:
            yield one.named


@dataclass(slots=True)
class _Reading:
    """One reading: what stands in the fields, and what was found wrong or missing on the way."""

    name: str
    fields: Mapping[str, tuple[str, ...]]
    faults: list[Diagnostic] = field(default_factory=list)
    missing: list[tuple[str, str]] = field(default_factory=list)

    def answer(self, asked: Asked) -> Answer | None:
        says = self.text(asked.field("answer"), asked.named)
        words = self.text(asked.field("words"), asked.named, asked.question in _OF_PEOPLE)
        day = self._day(asked.field("date"), asked.named)
        rows = tuple(self._rows(asked))
        if not says:
            if words or day or rows:
                self.missing.append((asked.named, "something is written and no answer is chosen"))
            return None
        means = {answer["say"]: answer["means"] for answer in asked.plan["answers"]}.get(says)
        if means is None:
            choices = "; ".join(answer["say"] for answer in asked.plan["answers"])
            self._refuse(f"{asked.named}: “{shortened(says)}” is none of the answers", f"Choose one of: {choices}.")
            return None
        lacks = "".join(_lacks(means, asked, words, day, rows))
        if lacks or means == "open":
            self.missing.append((asked.named, f"“{says}”{lacks}"))
            return None
        return Answer(asked, says, means, words, day, rows)

    def text(self, name: str, where: str, of_people: bool = False) -> str:
        """Return what stands in a field on one line, "" where nothing does."""
        said = set(map(on_one_line, self.fields.get(name, ())))
        if len(said) > 1:
            self._refuse(f"{where}: the same field stands there twice, filled in differently", "Keep one of the two.")
        words = max(said, default="")
        if len(words) > _MOST_LETTERS:
            self._refuse(f"{where}: over {_MOST_LETTERS:,} letters in one field", "Say it in fewer words.")
        if of_people and tells_of_health(words):
            fix = "Take it out. Write what the person does, nothing of their health; what stands there is not repeated."
            self.faults.append(_fault("RENEW-009", self.name, "A field about people seems to tell of health.", fix))
        return words

    def _rows(self, asked: Asked) -> Iterator[Mapping[str, str]]:
        """Yield the lines in which anything is filled in."""
        for number in range(1, asked.plan.get("rows", 0) + 1):
            row: dict[str, Any] = {}
            for column in asked.plan["columns"]:
                place = asked.field(f"{number}.{column['id']}")
                where = f"{asked.named}, line {number}"
                if column.get("kind") == "date":
                    day = self._day(place, where)
                    row[column["id"]] = day.isoformat() if day else ""
                else:
                    row[column["id"]] = self.text(place, where, asked.question in _OF_PEOPLE)
            if any(row.values()):
                yield row

    def _day(self, name: str, where: str) -> date | None:
        said = self.text(name, where)
        if not said:
            return None
        try:
            return as_date(said)
        except ValueError:
            self._refuse(f"{where}: “{shortened(said)}” is no day", "Write it year first, such as 2027-01-31.")
            return None

    def _refuse(self, what: str, fix: str) -> None:
        self.faults.append(_fault("RENEW-008", self.name, f"{what}.", fix))


def _lacks(
    means: str, asked: Asked, words: str, day: date | None, rows: tuple[Mapping[str, str], ...]
) -> Iterator[str]:
    """Yield what an answer needs and has not."""
    first = asked.plan["columns"][0] if "columns" in asked.plan else {}
    is_held = asked.question is RenewalQuestion.EVALUATION and means != "open"
    if means in _WITH_WORDS and not words:
        yield ", and not what"
    if (means in _WITH_DAY or is_held) and day is None:
        yield ", and no day"
    if means == "rows" and not rows:
        yield ", and no line is filled in"
    if means == "rows" and not all(row[first["id"]] for row in rows):
        yield f", and a line without “{first['title']}”"
    if means == "settled" and rows:
        yield ", and lines are filled in below it"
    if means == "settled" and words and not _goes_with_it(asked, words):
        yield f", and “{shortened(words)}” stands beside it"
    if means == "settled" and day is not None and not is_held:
        yield ", and a day stands beside it"


def _goes_with_it(asked: Asked, words: str) -> bool:
    """Return whether words may stand beside an answer that settles: its reason, or elsewhere none to speak of."""
    fields = {one["id"]: one for one in asked.plan["fields"]}
    gives_a_reason = fields["words"].get("beside") == "settled"
    is_reason = said_by(words) is Said.ANSWER and not is_told("not_so", words)
    return is_reason if gives_a_reason else said_by(words) is not Said.ANSWER
