"""What is ticked in a form before anybody has ticked it: what an answer can hardly be other than.

Nothing is proposed that is a duty or a fact of the air: only which thing is meant, where there is one alone, or where
the question is about it.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from progdoc.core.questions import Question
from progdoc.model.description.input_fields import ONE_MORE, Input, Kinds, pattern_of
from progdoc.model.description.program import Program

__all__ = ["proposed"]

Things = Mapping[str, tuple[tuple[str, str], ...]]  # by list: (id, what it is called)

_PROTOCOL = "people[].fit_tests[].protocol"
_WHERE_AND_WHO = ("tasks[].sites", "tasks[].people")


def proposed(
    program: Program, question: Question, inputs: Iterable[Input | Kinds], things: Things
) -> dict[str, tuple[str, ...]]:
    """Return what is ticked for a new answer, by its place."""
    about = dict(one.partition(".")[::2] for one in question.subject[:1])
    found: dict[str, tuple[str, ...]] = {}
    for one in inputs:
        if not isinstance(one, Input):
            continue
        pattern, known = pattern_of(one.path), things.get(one.things, ())
        is_new = ONE_MORE in one.path
        if is_new and one.things in about:
            found[one.path] = (about[one.things],)
        elif len(known) == 1 and (pattern in _WHERE_AND_WHO or (is_new and one.is_needed)):
            found[one.path] = (known[0][0],)
        elif is_new and pattern == _PROTOCOL and len(program.procedures.fit_testing.protocols) == 1:
            found[one.path] = tuple(program.procedures.fit_testing.protocols)
    return found
