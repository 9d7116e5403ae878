"""What a fault of form may say: of somebody's health nothing to anybody, of the workers nothing in public.

Where a description can't be understood, nobody can tell what stands where. So whatever a fault repeats from among the
people, or from a place that no description has, is for those who may read names; and what names an illness, for nobody.
"""

from __future__ import annotations

import re
from dataclasses import replace

from progdoc.core.diagnostics import Audience, Diagnostic, Severity
from progdoc.core.said import said
from progdoc.model.description.program import Program
from progdoc.model.health_words import tells_of_health

__all__ = ["guarded", "is_of_people"]

_PERSON = re.compile(r"people(?:\[\d+\])?")
_TOP = re.compile(r"[^.\[]+")
_PARTS = re.compile(r"[_\W]+")


def is_of_people(path: str) -> bool:
    """Whether a place is among the people, or names some of them.

    >>> is_of_people("people[3].name"), is_of_people("tasks[0].people[1]"), is_of_people("tasks[0].name")
    (True, True, False)
    """
    return path.partition("[")[0].partition(".")[0] == "people" or ".people[" in path or path.endswith(".people")


def guarded(fault: Diagnostic) -> Diagnostic:
    """Return a fault as it may be told, for those who may read it."""
    path = fault.location.path
    is_placed = path.partition("[")[0].partition(".")[0] in Program.model_fields
    may_name = is_of_people(path) or (not is_placed and bool(path or fault.location.line))
    if fault.severity is not Severity.INVALID:
        return fault
    told = replace(fault, audience=Audience.RESTRICTED) if may_name else fault
    if not any(tells_of_health(_PARTS.sub(" ", text)) for text in (fault.what, fault.fix, path)):
        return told
    known = _PERSON.match(path) or (_TOP.match(path) if is_placed else None)
    return replace(
        told,
        location=replace(fault.location, path=known[0] if known else ""),
        what=said("What stands here seems to tell of somebody's health, and is not repeated."),
        fix=said("Take it out. The health professional alone keeps such answers."),
    )
