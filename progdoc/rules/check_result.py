"""What a check of records found: the form that all checks share."""

from __future__ import annotations

from dataclasses import dataclass

__all__ = ["CheckResult", "result_at"]


@dataclass(frozen=True, slots=True)
class CheckResult:
    """The places that were read, and what is wrong: (place, words for the placeholders)."""

    paths: tuple[str, ...]
    faults: tuple[tuple[str, dict[str, str]], ...] = ()


def result_at(path: str, fault: dict[str, str] | None) -> CheckResult:
    """Return the result of a check that reads one place: the words of its fault, or None if it is in order."""
    return CheckResult((path,), () if fault is None else ((path, fault),))
