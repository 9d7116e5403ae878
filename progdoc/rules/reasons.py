"""Why something does not do, in the form in which the computations hand it to the catalogue."""

from __future__ import annotations

from dataclasses import dataclass, field

__all__ = ["Reason"]


@dataclass(frozen=True, slots=True)
class Reason:
    """The requirement that is broken, where, and the words for the placeholders of its text."""

    code: str
    path: str
    words: dict[str, str] = field(default_factory=dict)
