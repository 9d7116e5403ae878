"""The way out of a caution that is right as it stands: somebody answers for it, says why, and until when.

The form asks for these three; which finding is meant, of what, and on which ground, it knows itself.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from progdoc.app.record_events import Put, Way
from progdoc.core.diagnostics import Diagnostic, Severity
from progdoc.core.questions import Question
from progdoc.model.description.input_fields import ONE_MORE, Entry, Part, inputs_at

__all__ = ["ACCEPTED", "accepting", "with_what_is_accepted"]

_LIST = "accepted"
ACCEPTED = f"{_LIST}{ONE_MORE}"
_ASKED = ("reason", "by", "until")


def accepting(question: Question) -> Iterator[Part]:
    """Yield what is asked of whoever lets the cautions of a question stand; nothing where the law asks for more."""
    if not question.findings or question.is_missing:
        return
    for part in inputs_at(_LIST, {}):
        if isinstance(part, Entry):
            own = tuple(one for one in part.inputs if one.path.rpartition(".")[2] in _ASKED)
            # All three are needed in an entry; in a form that leaves it out none is.
            yield replace(part, inputs=own)


def with_what_is_accepted(question: Question, put: Put) -> Iterator[Put]:
    """Yield a change; one that accepts, once for each finding of the question, with what tells it from others."""
    if put.told != _LIST or put.way is not Way.ADD or not isinstance(put.entry, dict):
        yield put
        return
    for finding in question.findings:
        yield replace(put, entry={**_told_from_others(finding), **put.entry})


def _told_from_others(finding: Diagnostic) -> dict[str, str]:
    if finding.severity not in (Severity.CAUTION, Severity.ADVICE):
        raise ValueError("what the law requires can't be accepted")
    named = {"code": finding.code}
    named |= {"subject": finding.subject[-1]} if finding.subject else {}
    return named | ({"ground": finding.ground} if finding.ground else {})
