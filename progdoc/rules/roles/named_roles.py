"""Roles put where they are named: an id or title in a text becomes title and holders, a silent `by` tells who has it.

Whatever reads the description then sees who it is. What the firm writes in its own words stays as it is written.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from progdoc.model.description.fields import texts_in
from progdoc.model.description.program import Program
from progdoc.model.description.roles import Duty, Role
from progdoc.rules.adoption import value_at, with_value
from progdoc.rules.lookup.who_words import asks_who
from progdoc.rules.roles.role_duties import duty_words, holders_in_words, name_of

__all__ = ["ASKS", "with_roles"]

_WHO_SET_A_RULE = re.compile(r"house_rules\[\d+\]\.by$")
# The field that asks who does it, for each duty that has one; the officer's is the name on the cover.
ASKS = {
    Duty.SELECTION: "procedures.selection.by",
    Duty.FIT_TESTING: "procedures.fit_testing.done_by",
    Duty.CLEANING: "procedures.cleaning.by",
    Duty.INSPECTION: "procedures.inspection.by",
    Duty.REPAIR: "procedures.repair.by",
    Duty.FILTER_CHANGES: "procedures.filter_changes.particulate.by",
    Duty.TRAINING: "procedures.training.by",
    Duty.VOLUNTARY_USE: "procedures.voluntary_use.approved_by",
    Duty.EVALUATION: "procedures.evaluation.by",
}


def with_roles(program: Program) -> tuple[Program, dict[str, str]]:
    """Return a description in which roles are named in full, and the places so filled, with what fills each."""
    if not program.roles:
        return program, {}
    filled = {path: words for path, words in _filled(program) if value_at(program, path) is None}
    for path, words in {**dict(_named(program)), **dict(_holders(program)), **filled}.items():
        program = with_value(program, path, words)
    return program, dict.fromkeys(filled, "roles")


def _named(program: Program) -> Iterator[tuple[str, str]]:
    """Yield the texts that are to tell who and name a role, each with what it says in full."""
    known: dict[str, Role] = {}
    for role in program.roles:
        known |= {role.id.casefold(): role, role.title.casefold(): role}
    for path, text in texts_in(program, ""):
        called = known.get(" ".join(text.split()).casefold())
        if called is not None and (asks_who(path) or _WHO_SET_A_RULE.match(path)):
            yield path, holders_in_words(program, called)


def _holders(program: Program) -> Iterator[tuple[str, str]]:
    """Yield the name of everybody who is put down by id as a holder or deputy."""
    for i, role in enumerate(program.roles):
        for field in ("holders", "deputies"):
            for j, one in enumerate(getattr(role, field)):
                if (name := name_of(program, one)) != one:
                    yield f"roles[{i}].{field}[{j}]", name


def _filled(program: Program) -> Iterator[tuple[str, str]]:
    for duty, path in ASKS.items():
        if words := duty_words(program, duty):
            yield path, words
    officers = [role for role in program.roles if any(one.duty is Duty.ADMINISTRATION for one in role.duties)]
    if len(officers) == 1 and len(officers[0].holders) == 1:
        yield "officer.name", name_of(program, officers[0].holders[0])
        yield "officer.title", officers[0].title
