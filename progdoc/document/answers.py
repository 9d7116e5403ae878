"""How a requirement stands, for one place of the document: printed, open, or absent."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from progdoc.core.diagnostics import Audience, Scope
from progdoc.core.report import Status
from progdoc.document.nodes import Block, OpenPoint, Section
from progdoc.rules.requirement import Verdict

__all__ = ["Standing", "Verdicts", "answered_in", "open_points"]

GAPS = "gaps"  # the gap report's name; each writer's set adds its own ending


@dataclass(frozen=True, slots=True)
class Standing:
    """What a place in the document prints: `prints` its text, or the open points, or nothing."""

    prints: bool
    open: tuple[Verdict, ...]


class Verdicts:
    """The verdicts on the written program by code, and by code and subject. Records of people have no place in it."""

    def __init__(self, verdicts: Iterable[Verdict]) -> None:
        self._by_code: dict[str, list[Verdict]] = {}
        for verdict in verdicts:
            self._by_code.setdefault(verdict.requirement.code, []).append(verdict)

    def of(self, code: str, subject: str = "") -> list[Verdict]:
        """Return the verdicts of a code; with a subject ("tasks.scrape-sashes") only those it is part of."""
        if code not in self._by_code:
            return []
        return [v for v in self._by_code[code] if not subject or subject in v.subject.ids]

    def standing(self, codes: Iterable[str], subject: str = "") -> Standing:
        """Return how the requirements of one place stand together: any open one keeps the text from print."""
        found = [verdict for code in codes for verdict in self.of(code, subject)]
        lacking = tuple(v for v in found if v.status in (Status.GAP, Status.UNDETERMINED) and _is_public(v))
        return Standing(not lacking and any(v.status is Status.MET for v in found), lacking)


def _is_public(verdict: Verdict) -> bool:
    requirement = verdict.requirement
    return requirement.scope is Scope.PROGRAM and requirement.audience is Audience.PUBLIC


def open_points(verdicts: Iterable[Verdict], place: str) -> tuple[OpenPoint, ...]:
    """Return one open point for each verdict, linked to its gap."""
    return tuple(
        OpenPoint(
            f"{place}.open.{'.'.join((v.requirement.code, *v.subject.ids))}",
            v.requirement.code,
            v.because if v.status is Status.UNDETERMINED else "; ".join(d.what for d in v.diagnostics),
            f"{GAPS}#{v.requirement.code}",
        )
        for v in verdicts
    )


def answered_in(sections: Iterable[Section]) -> Mapping[str, tuple[str, ...]]:
    """Return, for every code, the ids of the sections that answer it, read from the tree itself."""
    found: dict[str, dict[str, None]] = {}

    def walk(block: Block, section: str) -> None:
        here = block.id if isinstance(block, Section) else section
        for code in getattr(block, "codes", ()):
            found.setdefault(code, {})[here] = None
        for inner in (*getattr(block, "blocks", ()), *getattr(block, "items", ())):
            walk(inner, here)

    for section in sections:
        walk(section, section.id)
    return {code: tuple(ids) for code, ids in sorted(found.items())}
