"""What a firm is asked: the findings, gathered under the one answer that settles them.

A finding says what is wrong, a question what to answer. Their order is made by the rules; here is only what each
renderer shows of one.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

from progdoc.core.diagnostics import Audience, Diagnostic, Location, Scope, Severity
from progdoc.core.late_dataclass import dataclass

__all__ = ["AskedField", "Question", "missing_answers", "public_questions"]

_FEW = 2
_CHOICES = "one of: "
_KEY = re.compile(r"(?:- )?[a-z_0-9]+:")


@dataclass(frozen=True, slots=True)
class AskedField:
    """One place that an answer fills, and what the model says may be typed there."""

    path: str  # "tasks[0].use"
    title: str
    kind: str  # yes-no, choice, text, date, number, quantity or group
    is_list: bool
    choices: tuple[str, ...]
    examples: tuple[str, ...]
    description: str


@dataclass(frozen=True, slots=True)
class Question:
    """One thing to answer, for one subject or for several that lack the same."""

    id: str  # "cleaning"
    section: str  # of the program, where the answer is printed
    subject: tuple[str, ...]  # ids: "tasks.scrape-sashes"; empty for the program
    names: tuple[str, ...]  # what the firm calls them
    asks: str
    why: str
    cites: tuple[str, ...]
    fields: tuple[AskedField, ...]  # that are not answered yet, or not as the law needs it
    findings: tuple[Diagnostic, ...]  # that the answer settles
    adopts: str = ""  # the paragraph whose adopting answers a part of it: "(h)(1)"
    blank: str = ""  # lines that lead to its first place, for where no finding shows what to type
    adopted_at: str = ""  # and where that is typed: "procedures.cleaning.adopt"
    is_danger: bool = False  # until it is answered, somebody may be in bad air unprotected
    prompts: tuple[str, ...] = ()  # what to think of before it is answered
    decides: int = 0  # so many duties can't be told to apply before it is answered

    @property
    def where(self) -> Location:
        """The first place to type at."""
        return min(finding.location for finding in self.findings)

    @property
    def settles(self) -> tuple[str, ...]:
        """The codes of its findings, each once."""
        return tuple(sorted({finding.code for finding in self.findings}))

    @property
    def is_missing(self) -> bool:
        """Whether the law asks for the answer; others are cautions and advice."""
        return any(finding.severity is Severity.REQUIRED for finding in self.findings)

    @property
    def scopes(self) -> frozenset[Scope]:
        """What lacks the answer by law: the program, records, or both."""
        return frozenset(finding.scope for finding in self.findings if finding.severity is Severity.REQUIRED)

    @property
    def told_in_full(self) -> tuple[Diagnostic, ...]:
        """Its findings where the question alone does not say what is wrong: of dangers and cautions, and a few.

        Of many that are alike, the first: one fault of a record of three people is not told by asking for the record.
        """
        if not self.is_missing or self.is_danger or len(self.findings) <= _FEW:
            return self.findings
        return self.findings[:1] if len(self.settles) == 1 else ()

    def to_do(self, told: Sequence[Diagnostic]) -> tuple[str, ...]:
        """Return what to do, each once, of the findings that are told: where no lines to copy tell it."""
        asked = self.findings[:1] if self._has_no_lines(told) else told
        return tuple(dict.fromkeys(filter(None, map(_to_do, asked))))

    def _has_no_lines(self, told: Sequence[Diagnostic]) -> bool:
        return not told and not any("\n" in finding.fix for finding in self.findings)

    def lines_beside(self, told: Sequence[Diagnostic]) -> tuple[str, ...]:
        """Return the lines to type, where they are more than the place at which something is to be done."""
        return () if self._has_no_lines(told) else self.to_type

    @property
    def to_type(self) -> tuple[str, ...]:
        """The lines to type: those of its findings, each place once; of several subjects, those of the first."""
        first = self.subject[:1]
        findings = [f for f in self.findings if not first or len(self.subject) == 1 or first[0] in f.subject]
        tree: dict[str, _Lines] = {}
        for finding in findings or self.findings:
            _laid_in(tree, finding.fix.split("\n")[1:])
        if not tree and self.blank:
            _laid_in(tree, self.blank.split("\n"))
        return tuple(_lines_of(tree))


def _to_do(finding: Diagnostic) -> str:
    """Return what to do where no lines to copy tell it, or where it names what may be written."""
    words, _, lines = finding.fix.partition("\n")
    return "" if lines and _CHOICES not in words else words


def missing_answers(questions: Iterable[Question]) -> int:
    """Return how many answers the law asks for that are not given."""
    return sum(question.is_missing for question in questions)


def public_questions(questions: Iterable[Question]) -> tuple[tuple[Question, ...], tuple[Question, ...]]:
    """Return the questions without anything that names people, and those that are left out because they do."""
    told: list[Question] = []
    withheld: list[Question] = []
    for question in questions:
        names_people = any(part.startswith("people.") for part in question.subject)
        public = tuple(f for f in question.findings if f.audience is Audience.PUBLIC and not names_people)
        copy = replace(question, findings=public)
        told += [copy] if public else []
        if (question.is_missing and not copy.is_missing) or not public:  # what is missing stays counted
            withheld.append(replace(question, findings=tuple(f for f in question.findings if f not in public)))
    return tuple(told), tuple(withheld)


# ---- lines of several examples, laid into one another ----------------------------------------------------


@dataclass(slots=True)
class _Lines:
    """A line and what stands indented under it, by their keys."""

    text: str
    inner: dict[str, _Lines]


def _laid_in(tree: dict[str, _Lines], lines: list[str]) -> None:
    """Lay the lines of an example into those that are there: of a key that is known, only what is under it is new."""
    above: list[tuple[int, dict[str, _Lines]]] = [(-1, tree)]
    for line in lines:
        text = line.strip()
        depth = len(line) - len(line.lstrip())
        while above[-1][0] >= depth:
            above.pop()
        found = _KEY.match(text)
        is_entry = text.startswith("- ")  # an entry of a list is known by its whole line
        key = text if is_entry or not found else found[0]
        known = above[-1][1].setdefault(key, _Lines(text, {}))
        above.append((depth, known.inner))


def _lines_of(tree: dict[str, _Lines], indent: str = "") -> Iterator[str]:
    for line in tree.values():
        yield indent + line.text
        yield from _lines_of(line.inner, f"{indent}  ")
