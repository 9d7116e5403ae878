"""Wearers of whom the same is recorded stand the same to a duty: one is judged, and all who are like them with it.

A crew is trained in one go, and nothing is recorded yet of many. What each duty reads of a wearer is listed here, in
parts of their record. Whatever else a verdict rests on is the same for everybody, or goes by the tasks and masks that
are relevant, and by the policies that bind their group: each is one object for all who have the same. Who reads
anything else (a name, what is said of somebody elsewhere) is not listed: that is judged for each. So is whatever is
open, as the words of a finding name the wearer.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from typing import Any, NamedTuple

from progdoc.core.late_dataclass import dataclass
from progdoc.model.description.base import Described
from progdoc.rules.check_result import person_of, person_path
from progdoc.rules.facts import Facts
from progdoc.rules.judged.every_verdict import Form, OfKind, Told, is_open
from progdoc.rules.reading.conditions import OF_ONE_THING, TELLS_ITS_PLACE
from progdoc.rules.requirement import Condition, Proof, Requirement, Subject, Verdict

__all__ = ["OF_WEARERS", "judged_alike", "parts_read"]

OF_WEARERS = ("wearer", "worn-mask")  # the kinds of subject that people are judged as

_TEST = ("fit_tests", "masks")
_STATE = (*_TEST, "changes")

# What the checks read of a wearer's record beside their tasks, their masks and what is the same for everybody.
_READ_BY_CHECK: Mapping[str, tuple[str, ...]] = {
    "recommendation-on-file": ("medical",),
    "cleared": ("medical",),
    "no-follow-up-pending": ("medical",),
    "review-not-overdue": ("medical",),
    "copy-given": ("medical",),
    "limits-named": ("medical",),
    "evaluated-again-when-called-for": ("medical",),
    "heat-and-time-weighed": ("medical",),
    "limits-kept": ("medical", "masks"),
    "ever-trained": ("training",),
    "training-not-overdue": ("training",),
    "topics-covered": ("training",),
    "knowledge-shown": ("training",),
    "language-of-the-wearer": ("training",),
    "hair-as-policy-asks": ("hair_rule_accepted", "hair_in_seal", "clean_shaven"),
    "shaven-by-own-rule": ("clean_shaven",),
    "mask-issued": ("masks",),
    "masks-do-for-group": ("masks",),
    "issued-mask-has-a-task": ("masks",),
    "escape-mask-issued": ("masks",),
    "tested-mask-issued": _TEST,
    "size-in-stock": ("masks",),
    "appendix-d-given": ("appendix_d",),
    "revision-read": ("has_read",),
    "read-revision-known": ("has_read",),
    "record-figures-can-be": ("fit_tests",),
    "surveillance-offered": ("surveillance",),
    "unread-surveillance-asked": ("surveillance",),
    "hours-fit-into-a-year": (),
    "named-though-not-covered": ("group",),
    "group-kept-out": ("group",),
    "choice-of-group": ("group",),
    "choice-as-promised": (*_STATE, "medical"),
    "consent-signed": ("group", "consented", "medical"),
    "way-in-order": ("masks", "requested", "medical", "returned"),
    "given-by-somebody-known": ("fit_tests", "training"),
    "order-kept": ("fit_tests", "training", "medical", "has_read"),
    "gear-worn-in-the-test": _TEST,
    "ever-fit-tested": _STATE,
    "tested-on-this-mask": _STATE,
    "not-failed": _STATE,
    "order-of-tests-said": _STATE,
    "no-change-since-test": _STATE,
    "fit-test-not-overdue": _STATE,
    "tested-by-instrument": _STATE,
    "no-change-on-day-of-test": _STATE,
    "cleared-before-fit-test": (*_TEST, "medical"),
    "fit-record-complete": _TEST,
    "fit-factor-recorded": _TEST,
    "fit-factor-borne-out": _TEST,
    "fit-test-supports-task": _STATE,
    "fitted-as-protocol-asks": _TEST,
    "nothing-eaten-before-test": _TEST,
    "pass-level-reached": _TEST,
    "readings-fit-protocol": _TEST,
    "screened-before-test": _TEST,
    "short-protocol-suits-mask": _TEST,
    "smoke-filter-fine-enough": _TEST,
    "smoke-not-enclosed": _TEST,
    "smoke-reacted-after": _TEST,
    "smoke-record-complete": _TEST,
    "test-protocol-accepted": _TEST,
    "test-protocol-named": _TEST,
    "test-protocol-suits-mask": _TEST,
    "tested-unpowered": _TEST,
}
# The same of the facts that decide whether a duty applies; those of work alone read nothing of a record.
_READ_BY_FACT: Mapping[str, tuple[str, ...]] = {
    "in-use": (),
    "recommendation-on-record": ("medical",),
    "fit-tested": ("fit_tests",),
    "fit-tested-on-this-mask": _TEST,
    "wears-spectacles": ("spectacles",),
    "hair-looked-at": ("hair_in_seal",),
}


@dataclass(frozen=True, slots=True)
class _Group:
    """Duties that read the same parts of a record, by their places in the list of all."""

    parts: tuple[str, ...]
    numbers: tuple[int, ...]


class _Known(NamedTuple):
    """How one wearer stood to a group of duties, ready to be told of others; and the duties that each is held to."""

    told: tuple[tuple[int, Told], ...]
    each: tuple[int, ...]


class _Numbers:
    """Numbers of all that is said under the parts of some records: two are equal where all is said alike in both."""

    def __init__(self) -> None:
        self._of_what: dict[Any, int] = {}
        self._of_object: dict[tuple[str, int], tuple[Any, int]] = {}  # a record that many share is compared once

    def __getitem__(self, part: tuple[str, Any]) -> int:
        name, value = part
        if not value or not isinstance(value, (tuple, Described)):
            return self._of_what.setdefault(part, len(self._of_what))
        key = (name, id(value))
        if key not in self._of_object:
            self._of_object[key] = value, self._of_what.setdefault((name, _exactly(value)), len(self._of_what))
        return self._of_object[key][1]


class _Rows:
    """What is told of wearers, each of it and each row of it as one object, however many stand so."""

    def __init__(self) -> None:
        self._told: dict[tuple[Any, ...], Told] = {}
        self._rows: dict[tuple[int, ...], tuple[Told | None, ...]] = {}

    def told(self, number: int, verdict: Verdict, place: str) -> Told:
        """Return what is told of all who stand as one does whose record lies at a place."""
        paths, evidence = _form(verdict.paths, place), _form(verdict.evidence, place)
        key = (number, id(verdict.requirement), verdict.status, verdict.because, paths, evidence, verdict.home)
        known = self._told.get(key)
        return known or self._told.setdefault(key, Told(verdict, paths, evidence))

    def row(self, told: Sequence[Told | None]) -> tuple[Told | None, ...]:
        return self._rows.setdefault(tuple(map(id, told)), tuple(told))


def judged_alike(
    facts: Facts,
    rules: Sequence[Sequence[Requirement]],
    subjects: Sequence[Subject],
    judge: Callable[[Sequence[int], Subject], Iterable[Verdict]],
) -> OfKind:
    """Return the verdicts on some wearers or worn masks.

    Parameters
    ----------
    rules
        For each duty all rules of which one may bind: it reads what any of them reads.
    judge
        Holds some of the duties, by their numbers, against a subject.
    """
    groups, alone = _grouped([parts_read(one) for one in rules])
    names = sorted({name for group in groups for name in group.parts})
    numbers = _Numbers()
    known: dict[tuple[Any, ...], _Known] = {}
    whole: dict[tuple[Any, ...], tuple[list[Told | None], list[int]]] = {}  # the same of all groups together
    rows = _Rows()
    places: list[str] = []
    found: list[tuple[Told | None, ...]] = []
    own: list[dict[int, Verdict]] = [{} for _ in rules]
    for i, subject in enumerate(subjects):
        path, person = person_path(facts, subject), person_of(facts, subject)
        record = person.__dict__
        places.append(path)
        who = (facts.of(person), facts.relevant_to(subject), subject.ids[1:], subject.path[len(path) :])
        said = [numbers[name, record[name]] for name in names]
        everything = (who, *said)
        new: list[tuple[tuple[Any, ...], _Group]] = []
        if everything in whole:
            shared, each = whole[everything]
        else:
            by_name = dict(zip(names, said, strict=True))
            shared, each = [None] * len(rules), list(alone)
            for group in groups:
                key = (group.numbers[0], who, *[by_name[name] for name in group.parts])
                alike = known.get(key)
                if alike is None:
                    new.append((key, group))
                    each += group.numbers
                    continue
                each += alike.each
                for number, told in alike.told:
                    shared[number] = told
            if not new:
                whole[everything] = (shared, each)
        row = shared.copy()
        for number, verdict in zip(each, judge(each, subject), strict=True):
            if is_open(verdict):
                own[number][i] = verdict
            else:
                row[number] = rows.told(number, verdict, path)
        for key, group in new:
            told_of = [(number, row[number]) for number in group.numbers]
            known[key] = _Known(
                tuple((number, told) for number, told in told_of if told is not None),
                tuple(number for number, told in told_of if told is None),
            )
        found.append(rows.row(row))
    return OfKind(subjects, places, found, own)


def parts_read(rules: Iterable[Requirement]) -> tuple[str, ...] | None:
    """Return which parts of a wearer's record decide on a duty; None where it goes by who they are, or is not known."""
    parts: set[str] = set()
    for rule in rules:
        read = [*_of_condition(rule.applies), *(_of_proof(rule, proof) for proof in rule.proof.singles())]
        for names in read:
            if names is None:
                return None
            parts.update(names)
    return tuple(sorted(parts))


def _of_condition(condition: Condition) -> Iterator[tuple[str, ...] | None]:
    if condition.kind == "fact":
        is_of_work = condition.name not in OF_ONE_THING and condition.name not in TELLS_ITS_PLACE
        yield () if is_of_work else _READ_BY_FACT.get(condition.name)
    for part in condition.parts:
        yield from _of_condition(part)


def _of_proof(rule: Requirement, proof: Proof) -> tuple[str, ...] | None:
    if proof.kind == "check":
        return _READ_BY_CHECK.get(proof.value)
    if proof.kind == "reason":
        return None
    field = re.match(r"\.(\w+)", proof.path)
    if field is None:
        return ()  # of the program
    return ("masks",) if rule.per == "worn-mask" else (field[1],)


def _grouped(parts: Sequence[tuple[str, ...] | None]) -> tuple[list[_Group], list[int]]:
    """Return the duties that may be shared, those together that read the same, and the numbers of all others."""
    numbers: dict[tuple[str, ...], list[int]] = {}
    for number, names in enumerate(parts):
        if names is not None:
            numbers.setdefault(names, []).append(number)
    groups = [_Group(names, tuple(those)) for names, those in numbers.items()]
    return groups, [number for number, names in enumerate(parts) if names is None]


def _exactly(value: Any) -> Any:
    """Return what is equal for two parts of records only if all is said in both alike: a default is not said."""
    if isinstance(value, tuple):
        return tuple([_exactly(one) for one in value])
    if isinstance(value, Described):
        said = value.model_fields_set  # all else of a part of its kind is a default
        return (type(value), *[(name, _exactly(one)) for name, one in value.__dict__.items() if name in said])
    return value


def _form(places: Iterable[str], path: str) -> Form:
    return tuple([(place.startswith(path), place.removeprefix(path)) for place in places])
