"""All verdicts on a description: how each subject stands to each duty.

Wearers are many, and most of them stand alike. What is told of all who do is kept once, and made a verdict on one of
them when somebody asks for it; whatever is open is kept of each, as its words name the wearer. Whoever only asks how
matters stand goes by `alike` and `open`, and never by all of them.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import chain
from typing import NamedTuple

from progdoc.core.report import Status
from progdoc.rules.requirement import Requirement, Subject, Verdict

__all__ = ["Alike", "EveryVerdict", "Form", "OfKind", "Told", "is_open"]

# Places, each with whether it lies in the record of whom it is told of, and is written from there.
Form = tuple[tuple[bool, str], ...]


class Told(NamedTuple):
    """How one subject stands to a duty, ready to be told of all who are like it; nothing of it is open."""

    verdict: Verdict
    paths: Form
    evidence: Form

    def of(self, subject: Subject, place: str) -> Verdict:
        """Return the verdict on one of them, whose record stands at a place."""
        one = self.verdict
        paths, evidence = _placed(self.paths, place), _placed(self.evidence, place)
        return tuple.__new__(
            Verdict, (one.requirement, subject, one.status, one.because, paths, evidence, (), (), one.home)
        )


def _placed(form: Form, place: str) -> tuple[str, ...]:
    return tuple([place + path if is_own else path for is_own, path in form])


class Alike(NamedTuple):
    """How some subjects stand to one duty, all of them alike: the verdict on the first, and the numbers of all."""

    verdict: Verdict
    numbers: Sequence[int]
    of: OfKind

    @property
    def many(self) -> int:
        return len(self.numbers)


def is_open(verdict: Verdict) -> bool:
    """Whether anything is to be told of a verdict: of many people most is met, or does not apply."""
    return verdict.status is Status.GAP or verdict.status is Status.UNDETERMINED


# For each duty what is told of a subject, or None where it has a verdict of its own.
_Row = tuple[Told | None, ...]


@dataclass(frozen=True)
class OfKind:
    """The verdicts on all subjects of one kind, duty by duty.

    `rows` has one row for each subject, the same object for all who stand alike; `own` for each duty the verdicts of
    those that have their own, by their numbers.
    """

    subjects: Sequence[Subject]
    places: Sequence[str]
    rows: Sequence[_Row]
    own: Sequence[Mapping[int, Verdict]]

    @classmethod
    def each(cls, subjects: Sequence[Subject], verdicts: Iterable[Iterable[Verdict]], duties: int) -> OfKind:
        """Return the verdicts on subjects of which each is judged for itself."""
        row: _Row = (None,) * duties
        columns = zip(*verdicts, strict=True) if subjects else [()] * duties
        own = [dict(enumerate(column)) for column in columns]
        return cls(subjects, [one.path for one in subjects], [row] * len(subjects), own)

    def of_duty(self, number: int) -> Iterator[Verdict]:
        """Yield the verdicts on one duty, subject by subject."""
        own = self.own[number]
        if len(own) == len(self.subjects):
            yield from own.values()
            return
        for i, (row, subject, place) in enumerate(zip(self.rows, self.subjects, self.places, strict=True)):
            told = row[number]
            yield own[i] if told is None else told.of(subject, place)

    def alike(self, number: int) -> Iterator[Alike]:
        """Yield the same, once for all that stand alike, in the order of the first of them."""
        groups: dict[int, tuple[Told, list[list[int]]]] = {}
        for row, members in self._classes:
            told = row[number]
            if told is not None:
                groups.setdefault(id(told), (told, []))[1].append(members)
        shared: list[tuple[int, Told | None, Sequence[int]]] = [
            (min(part[0] for part in parts), told, parts[0] if len(parts) == 1 else list(chain.from_iterable(parts)))
            for told, parts in groups.values()
        ]
        alone: Iterator[tuple[int, Told | None, Sequence[int]]] = ((i, None, (i,)) for i in self.own[number])
        for first, stands, numbers in sorted(chain(shared, alone), key=lambda one: one[0]):
            verdict = stands.of(self.subjects[first], self.places[first]) if stands else self.own[number][first]
            yield Alike(verdict, numbers, self)

    @cached_property
    def members(self) -> list[tuple[tuple[str, ...], str]]:
        """Each subject by its ids and the place of its record."""
        return [(subject.ids, place) for subject, place in zip(self.subjects, self.places, strict=True)]

    @cached_property
    def _classes(self) -> list[tuple[_Row, list[int]]]:
        """Each row, and the numbers of the subjects that stand so."""
        found: dict[int, tuple[_Row, list[int]]] = {}
        for i, row in enumerate(self.rows):
            found.setdefault(id(row), (row, []))[1].append(i)
        return list(found.values())


@dataclass(frozen=True, eq=False)
class EveryVerdict(Collection[Verdict]):
    """One verdict for each requirement and subject, in the order of the requirements."""

    requirements: Sequence[Requirement]
    by_kind: Mapping[str, OfKind]

    @cached_property
    def _columns(self) -> list[tuple[OfKind, int]]:
        """For each requirement the verdicts of its kind, and its number among the duties of that kind."""
        met: dict[str, int] = {}
        columns = []
        for requirement in self.requirements:
            number = met[requirement.per] = met.get(requirement.per, -1) + 1
            columns.append((self.by_kind[requirement.per], number))
        return columns

    def __len__(self) -> int:
        return sum(len(kind.subjects) for kind, _ in self._columns)

    def __iter__(self) -> Iterator[Verdict]:
        return (verdict for kind, number in self._columns for verdict in kind.of_duty(number))

    def __contains__(self, verdict: object) -> bool:
        return any(verdict == one for one in self)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Collection) and len(self) == len(other) and tuple(self) == tuple(other)

    def alike(self) -> Iterator[Alike]:
        """Yield how matters stand, duty by duty, once for all subjects that stand alike."""
        return iter(self._alike)

    @cached_property
    def _alike(self) -> tuple[Alike, ...]:
        return tuple(one for kind, number in self._columns for one in kind.alike(number))  # a document asks eight times

    @cached_property
    def open(self) -> tuple[Verdict, ...]:
        """The verdicts of which anything is to be told."""
        return tuple(one for kind, number in self._columns for one in kind.own[number].values() if is_open(one))

    def judged_again(
        self, is_meant: Callable[[Requirement], bool], judge: Callable[[Verdict], Verdict]
    ) -> EveryVerdict:
        """Return the same with other verdicts on some duties."""
        by_kind = dict(self.by_kind)
        for requirement, (kind, number) in zip(self.requirements, self._columns, strict=True):
            if is_meant(requirement):
                own = list(by_kind[requirement.per].own)
                own[number] = dict(enumerate(map(judge, kind.of_duty(number))))
                by_kind[requirement.per] = replace(by_kind[requirement.per], own=own)
        return replace(self, by_kind=by_kind)
