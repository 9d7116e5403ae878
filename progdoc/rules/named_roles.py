"""Roles put where they are named: an id or title in a text becomes title and holders, a silent `by` tells who has it.

Whatever reads the description then sees who it is. What the firm writes in its own words stays as it is written.
"""

from __future__ import annotations

from collections.abc import Iterator

from progdoc.model.description.fields import texts_in
from progdoc.model.description.program import Program
from progdoc.model.description.roles import Duty, Role
from progdoc.rules.adoption import value_at, with_value
from progdoc.rules.lookup.who_words import asks_who
from progdoc.rules.role_duties import duty_words, holders_in_words, name_of

__all__ = ["ASKS", "with_roles"]

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


def with_roles(program: Program) -> tuple[Program, frozenset[str]]:
    """Return a description in which roles are named in full, and the places at which one stands."""
    if not program.roles:
        return program, frozenset()
    put = dict(_named(program))
    put |= {path: words for path, words in _filled(program) if value_at(program, path) is None}
    for path, words in put.items():
        program = with_value(program, path, words)
    return program, frozenset(put)


def _named(program: Program) -> Iterator[tuple[str, str]]:
    """Yield the texts that are to tell who and name a role, each with what it says in full."""
    known: dict[str, Role] = {}
    for role in program.roles:
        known |= {role.id.casefold(): role, role.title.casefold(): role}
    for path, text in texts_in(program, ""):
        called = known.get(" ".join(text.split()).casefold())
        if called is not None and asks_who(path):
            yield path, holders_in_words(program, called)


def _filled(program: Program) -> Iterator[tuple[str, str]]:
    for duty, path in ASKS.items():
        if words := duty_words(program, duty):
            yield path, words
    officers = [role for role in program.roles if any(one.duty is Duty.ADMINISTRATION for one in role.duties)]
    if len(officers) == 1 and len(officers[0].holders) == 1:
        yield "officer.name", name_of(program, officers[0].holders[0])
        yield "officer.title", officers[0].title
