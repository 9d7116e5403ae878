"""By what a form is known again when it comes back filled in: a mark in its first field, and the names of its fields.

The mark says which form it is, of which firm and revision, and ends with letters worked out from that and from the
names of all fields. So a form of another firm is told from ours, and one that lacks fields from a whole one.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable

from progdoc.core.late_dataclass import dataclass

__all__ = ["MARK_FIELD", "Mark", "field_name", "form_mark", "mark_in"]

MARK_FIELD = "form.mark"
_LONGEST_NAME = 64  # of a field, in Word
_LETTERS = 8
_VERSION, _REVISION = ", version ", "; revision "


@dataclass(frozen=True, slots=True)
class Mark:
    """What a form says of itself."""

    form: str
    version: str
    firm: str
    revision: str


def form_mark(form: str, version: str, firm: str, revision: str, fields: Iterable[str]) -> str:
    """Return the mark of a form with these fields."""
    head = f"{form}{_VERSION}{version}; {' '.join(firm.split())}{_REVISION}{' '.join(revision.split())}"
    return f"{head}; {_letters(head, fields)}"


def mark_in(text: str, fields: Iterable[str]) -> Mark | None:
    """Return what a mark says; None where it is none, or not that of a form with these fields.

    >>> fields = ["session.date", "session.trainer"]
    >>> mark_in(form_mark("training", "1", "Lime & Sash; Co", "3", fields), fields)
    Mark(form='training', version='1', firm='Lime & Sash; Co', revision='3')
    >>> mark_in(form_mark("training", "1", "Lime & Sash", "3", fields), fields[:1]) is None
    True
    """
    head, _, letters = text.rpartition("; ")
    form, is_form, rest = head.partition(_VERSION)
    version, is_version, rest = rest.partition("; ")
    firm, is_firm, revision = rest.rpartition(_REVISION)
    if not (is_form and is_version and is_firm) or letters != _letters(head, fields):
        return None
    return Mark(form, version, firm, revision)


def _letters(head: str, fields: Iterable[str]) -> str:
    told = "\n".join((head, *sorted(set(fields))))
    return hashlib.sha256(told.encode()).hexdigest()[:_LETTERS]


def field_name(identity: str) -> str:
    """Return a name that Word keeps whole: a longer one is cut, and told apart by letters worked out from all of it."""
    if len(identity) <= _LONGEST_NAME:
        return identity
    letters = hashlib.sha256(identity.encode()).hexdigest()[:_LETTERS]
    return f"{identity[: _LONGEST_NAME - _LETTERS - 1]}-{letters}"
