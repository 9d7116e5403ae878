"""Which question comes next: a pure function of the judged description.

First what is dangerous, in the order in which one thing rests on another (the air before the mask for it); then what
decides whether other duties apply, that which decides most first; then what the law asks for, that which settles most
first; last cautions and advice. Where adopting a paragraph states what others of its section ask, that comes before
them. Among equals the order of the program counts, and the ids of what is asked about: the
order in which a list was typed never does.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence

from progdoc.core.questions import Question

__all__ = ["in_order"]


def in_order(questions: Iterable[Question], rank: Mapping[str, int]) -> tuple[Question, ...]:
    """Return the questions as they are asked; `rank` is the place of each in the order of the program."""
    return tuple(_adopted_first(sorted(questions, key=lambda one: (_urgency(one, rank), _place(one, rank)))))


def _adopted_first(questions: Sequence[Question]) -> Iterator[Question]:
    """Yield the questions; the one that adopts a paragraph before what is asked of the same procedure.

    Whoever adopts it states most of what the others ask, and should not have typed it before.
    """
    adopting: dict[str, Question] = {}
    for question in questions:
        if question.adopts and not question.is_danger:
            known = adopting.setdefault(question.section, question)
            if len(question.adopts) < len(known.adopts):
                adopting[question.section] = question
    moved: set[str] = set()
    for question in questions:
        first = adopting.get(question.section)
        if first is not None and not question.is_danger and not question.subject and first.id not in moved:
            moved.add(first.id)
            yield first
        if question.id not in moved or question is not first:
            yield question


def _urgency(question: Question, rank: Mapping[str, int]) -> tuple[bool, bool, bool, int]:
    if question.is_danger:
        weight = _place(question, rank)[0]
    else:
        weight = -question.decides if question.decides else -len(question.findings)
    is_soft = not question.is_missing and not question.decides
    return (not question.is_danger, not question.decides or question.is_danger, is_soft, weight)


def _place(question: Question, rank: Mapping[str, int]) -> tuple[int, str, tuple[str, ...]]:
    return (rank.get(question.id, len(rank)), question.id, question.subject)
