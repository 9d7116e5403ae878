"""What falls due by the firm's own calendar, where it is known when it was last done, and by the order of policies."""

from __future__ import annotations

from collections.abc import Iterator

from progdoc.core.numbers import long_date
from progdoc.core.said import capital, said
from progdoc.rules.check_result import person_of
from progdoc.rules.due.due_items import DueItem
from progdoc.rules.facts import Facts
from progdoc.rules.in_force.intervals import own, shortest
from progdoc.rules.in_force.own_calendar import next_day, what_words, when_words
from progdoc.rules.in_force.policy_reach import origin_of
from progdoc.rules.judged.due_results import Kind
from progdoc.rules.judged.order_words import order_words, step_words
from progdoc.rules.policy.order_checks import awaited_steps
from progdoc.rules.records.calendar_checks import set_by
from progdoc.rules.subjects import SUBJECTS

__all__ = ["due_by_calendar"]


def due_by_calendar(facts: Facts) -> Iterator[DueItem]:
    """Yield each entry of the calendar of which the last day is known, with who set it."""
    for i, entry in enumerate(facts.description.calendar):
        due = next_day(entry)
        if due is None or entry.last_done is None:
            continue
        is_plain = entry.season is None and not entry.weekdays and entry.window is None
        yield DueItem(
            id=f"calendar.{entry.id}",
            kind=Kind.ROUTINE,
            due=due,
            what=capital(what_words(entry)),
            because=said(
                "last %(last_done)s; %(when_words)s", last_done=long_date(entry.last_done), when_words=when_words(entry)
            ),
            basis=set_by(facts, entry),
            path=f"calendar[{i}].last_done",
            subject=(f"calendar.{entry.id}",),
            cycle=shortest(due, own(entry.every)) if is_plain else None,
        )
    yield from _awaited(facts)


def _awaited(facts: Facts) -> Iterator[DueItem]:
    """Yield each step of a wearer that a policy wants within a time of another one."""
    if not any(policy.order for policy in facts.description.policies):
        return
    for subject in SUBJECTS["wearer"](facts):
        for one in awaited_steps(facts.of(person_of(facts, subject)), subject):
            yield DueItem(
                id=f"order.{one.policy.id}.{one.number}.{subject.ids[0].partition('.')[2]}",
                kind=Kind.ROUTINE,
                due=one.due,
                what=said(
                    "%(subject)s: %(step_words)s, by the order of a policy",
                    subject=subject.label,
                    step_words=step_words(one.rule.then),
                ),
                because=said(
                    "%(step_words)s %(since)s; %(order_words)s",
                    step_words=step_words(one.rule.first),
                    since=long_date(one.since),
                    order_words=order_words(one.rule),
                ),
                basis=origin_of(one.policy),
                path=one.path,
                subject=subject.ids,
            )
