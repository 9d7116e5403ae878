"""What satisfies a requirement: a closed list of ways to look at the description.

Each kind returns the faults it found. No fault means met. A field that is silent is a fault; a field that
contradicts the law is a fault that quotes both.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

from progdoc.model.description.quantities import Quantity, alike, in_unit, is_comparable
from progdoc.model.description.words import as_written
from progdoc.rules.facts import Facts
from progdoc.rules.reading.checks import CHECKS
from progdoc.rules.requirement import Proof, Requirement, Subject

__all__ = ["PROOFS", "Fault", "faults_of"]

_DAYS = {"day": 1, "week": 7}
_CALENDAR = ("month", "months", "year", "years")
_DAYS_IN_MONTH = 365 / 12  # 30 days pass for a month and 365 for a year, 31 and 366 do not


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing that does not satisfy: where, what it says, what would do; and words for the placeholders."""

    path: str
    detail: str = ""
    words: dict[str, str] = field(default_factory=dict)


def faults_of(facts: Facts, requirement: Requirement, subject: Subject) -> tuple[list[Fault], list[str]]:
    """Return the faults of one requirement for one subject, and the paths that were read."""
    read: list[str] = []
    faults = _faults(facts, requirement, subject, requirement.proof, read)
    return faults, read


def _faults(facts: Facts, requirement: Requirement, subject: Subject, proof: Proof, read: list[str]) -> list[Fault]:
    if proof.kind == "all":
        return [f for part in proof.parts for f in _faults(facts, requirement, subject, part, read)]
    if proof.kind == "any":
        each = [_faults(facts, requirement, subject, part, read) for part in proof.parts]
        return [] if not all(each) else each[0]
    if proof.kind in ("check", "reason"):
        return _checked(facts, requirement, subject, proof, read)
    path = subject.path + proof.path if proof.path.startswith(".") else proof.path
    read.append(path)
    value = facts.value_at(path)
    if value is None:
        return [Fault(path, f"nothing is said under `{path}`")]
    detail = PROOFS[proof.kind](value, proof.value)
    return [Fault(path, f"`{path}` says “{as_written(value)}”; {detail}")] if detail else []


def _checked(facts: Facts, requirement: Requirement, subject: Subject, proof: Proof, read: list[str]) -> list[Fault]:
    if proof.kind == "reason":
        reasons = [r for r in facts.reasons(subject) if r.code == requirement.code]
        read.append(subject.path)
        return [Fault(r.path, words=r.words) for r in reasons]
    result = CHECKS[proof.value](facts, subject)
    read.extend(result.paths)
    return [Fault(path, words=words) for path, words in result.faults]


def _given(_value: Any, _wanted: Any) -> str:
    return ""


def _yes(value: Any, _wanted: Any) -> str:
    return "" if value is True else "the law needs yes"


def _no(value: Any, _wanted: Any) -> str:
    return "" if value is False else "the law needs no"


def _includes(value: Any, wanted: Any) -> str:
    missing = [item for item in wanted if item not in {as_written(v) for v in value}]
    return f"missing: {', '.join(missing)}" if missing else ""


def _one_of(value: Any, wanted: Any) -> str:
    return "" if as_written(value) in wanted else f"only these do: {', '.join(wanted)}"


def _at_most(value: Any, wanted: Any) -> str:
    over = _excess(value, wanted)
    if over is None:
        return f"the law allows at most {wanted}: write it in that unit"
    return f"the law allows at most {wanted}" if over > 0 else ""


def _at_least(value: Any, wanted: Any) -> str:
    over = _excess(value, wanted)
    if over is None:
        return f"the law needs at least {wanted}: write it in that unit"
    return f"the law needs at least {wanted}" if over < 0 else ""


def _excess(value: Any, wanted: Any) -> float | None:
    """Return how far a value lies above another, or None where the two cannot be compared."""
    if not isinstance(value, Quantity):
        return float(value) - float(wanted)
    if value.unit in _DAYS and str(wanted).endswith(_CALENDAR):
        limit = alike(wanted, Quantity(1.0, "month", ""))
        return value.value * _DAYS[value.unit] - in_unit(limit, "month") * _DAYS_IN_MONTH
    limit = alike(wanted, value)
    return in_unit(value, limit.unit) - limit.value if is_comparable(value, limit) else None


PROOFS: dict[str, Callable[[Any, Any], str]] = {
    "given": _given,
    "yes": _yes,
    "no": _no,
    "includes": _includes,
    "one_of": _one_of,
    "at_most": _at_most,
    "at_least": _at_least,
}
