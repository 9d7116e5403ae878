"""Puts together what pages print of roles and of the firm's own rules."""

from __future__ import annotations

from progdoc.core.numbers import long_date
from progdoc.core.said import said, said_join
from progdoc.model.description.index import Index
from progdoc.model.description.program import Program
from progdoc.model.description.roles import Duty
from progdoc.rules.adoption import value_at
from progdoc.rules.in_force.rule_reach import rules_in
from progdoc.rules.judged.responsibility_results import DutyHeld, Responsibilities
from progdoc.rules.roles.named_roles import ASKS
from progdoc.rules.roles.role_duties import REST, duty_words, held, name_of, reach_in_words

__all__ = ["responsibilities"]


def responsibilities(program: Program, filled: frozenset[str]) -> Responsibilities:
    """Return who has which duty, and the rules by task. `filled`: the places where a role was put."""
    index = Index(program)
    bodies = {body.id: body.name for body in program.bodies}
    duties = []
    for duty in Duty:
        entries = held(program, duty)
        is_split = any(one.entry.reach for one in entries)
        for one in sorted(entries, key=lambda one: not one.entry.reach):
            names = said_join((name_of(program, holder) for holder in one.role.holders), ", ")
            since = said("since %(since)s", since=long_date(one.role.since)) if one.role.since else ""
            body = bodies.get(one.role.body or "", "")
            duties.append(
                DutyHeld(
                    duty,
                    reach_in_words(program, one.entry) or (REST if is_split else "everybody"),
                    one.role.title,
                    said_join(filter(None, (names, body, since)), ", "),
                    said_join((name_of(program, deputy) for deputy in one.role.deputies), ", "),
                    one.path,
                )
            )
    asked = ((duty, path) for duty, path in ASKS.items() if path in filled)
    told = {duty for duty, path in asked if value_at(program, path) == duty_words(program, duty)}
    rules = {task.id: tuple(rules_in(index, task)) for task in program.tasks} if program.house_rules else {}
    return Responsibilities(tuple(duties), frozenset(told), rules)
