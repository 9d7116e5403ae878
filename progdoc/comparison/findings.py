"""Findings that appeared, vanished or changed, told apart by code and subject.

Where the description stayed the same, other findings come from other rules or from another day.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from typing import Any

from progdoc.comparison.changes import Cause, Change, Danger, Direction, Kind, Topic, towards
from progdoc.comparison.description_changes import Renames
from progdoc.core.diagnostics import Audience, Diagnostic, Severity
from progdoc.core.late_dataclass import dataclass
from progdoc.core.report import is_accepted

__all__ = ["changed_by_rules", "changed_by_time", "changed_findings"]

_INDEX = re.compile(r"\[\d+\]")


def changed_by_rules(then: Iterable[Mapping[str, Any]], now: Iterable[Diagnostic]) -> tuple[Change, ...]:
    """Return how findings on one description, judged for one day, changed with the rules.

    Parameters
    ----------
    then
        The findings of the report that a revision was issued with, as `gaps.json` has them.
    now
        The findings of today's rules.
    """
    told = [
        _Finding(
            code=str(entry["code"]),
            subject=tuple(map(str, entry["subject"])),
            what=str(entry["what"]),
            severity=str(entry["severity"]),
            is_accepted=bool(entry["accepted"]),
            is_restricted=entry["audience"] == Audience.RESTRICTED,
            citation=str(entry.get("citation", "")),
        )
        for entry in then
    ]
    return tuple(replace(c, cause=Cause.RULES) for c in _compared(told, [_finding(d) for d in now], {}))


def changed_by_time(then: Iterable[Diagnostic], now: Iterable[Diagnostic]) -> tuple[Change, ...]:
    """Return how findings on one description, by one set of rules, changed from one day to another."""
    return tuple(replace(change, cause=Cause.TIME) for change in changed_findings(then, now, {}))


@dataclass(frozen=True, slots=True)
class _Finding:
    code: str
    subject: tuple[str, ...]
    what: str
    severity: str
    is_accepted: bool
    is_restricted: bool
    citation: str

    @property
    def place(self) -> str:
        return " ".join((self.code, *self.subject))

    @property
    def lowers(self) -> bool:
        return self.severity in (Severity.REQUIRED, Severity.CAUTION, Severity.INVALID) and not self.is_accepted

    def change(self, kind: Kind, direction: Direction) -> Change:
        old, new = ("", self.what) if kind is Kind.FINDING_APPEARED else (self.what, "")
        kept = direction if self.lowers else Direction.NEUTRAL
        return Change(
            kind, self.place, f"finding {self.code}", old, new, kept, self.is_restricted,
            topic=Topic.DUTY, danger=_danger(kept, self.severity), citation=self.citation,
        )  # fmt: skip


def _danger(direction: Direction, severity: str) -> Danger:
    if direction is not Direction.LESS:
        return Danger.NONE
    return Danger.LOST if severity == Severity.REQUIRED else Danger.DOUBT


def _finding(d: Diagnostic) -> _Finding:
    names_a_worker = d.audience is Audience.RESTRICTED or any(part.startswith("people.") for part in d.subject)
    return _Finding(d.code, d.subject, d.what, d.severity, is_accepted(d), names_a_worker, d.citation)


def changed_findings(old: Iterable[Diagnostic], new: Iterable[Diagnostic], renames: Renames) -> Iterator[Change]:
    """Yield how findings changed between two descriptions."""
    return _compared([_finding(d) for d in old], [_finding(d) for d in new], renames)


def _compared(old: list[_Finding], new: list[_Finding], renames: Renames) -> Iterator[Change]:
    """Pair findings of one code and subject: first those that say the same, then the others in turn."""
    olds: dict[str, list[_Finding]] = {}
    for finding in old:
        subject = (renames.get(part, part) for part in finding.subject)
        olds.setdefault(" ".join((finding.code, *subject)), []).append(finding)
    news: dict[str, list[_Finding]] = {}
    for finding in new:
        news.setdefault(finding.place, []).append(finding)
    for key in sorted(olds.keys() | news.keys()):
        left, came = list(olds.get(key, ())), []
        for finding in news.get(key, ()):
            same = next((f for f in left if _same(f) == _same(finding)), None)
            if same is None:
                came.append(finding)
            else:
                left.remove(same)
        left.sort(key=lambda f: f.what)
        came.sort(key=lambda f: f.what)
        both = min(len(left), len(came))
        for one, other in zip(left[:both], came[:both], strict=True):
            direction = towards(one.lowers, other.lowers, Direction.LESS)
            was = one.place if one.place != other.place else ""
            yield Change(
                Kind.FINDING_CHANGED, other.place, f"finding {other.code}", one.what, other.what, direction,
                other.is_restricted, was=was, topic=Topic.DUTY, danger=_danger(direction, other.severity),
                citation=other.citation,
            )  # fmt: skip
        yield from (finding.change(Kind.FINDING_VANISHED, Direction.MORE) for finding in left[both:])
        yield from (finding.change(Kind.FINDING_APPEARED, Direction.LESS) for finding in came[both:])


def _same(finding: _Finding) -> tuple[str, str, bool]:
    """What makes two findings one: places in the description move when a list grows, and say nothing."""
    return _INDEX.sub("[]", finding.what), finding.severity, finding.is_accepted
