"""What a state's pack binds: the work done in that state, and no other; its limits bind a hazard by its task."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from progdoc.model.description.hazards import Hazard
from progdoc.model.description.program import Authority, Program
from progdoc.model.description.workplace import Task
from progdoc.rules.in_force.rule_set import RuleSet
from progdoc.rules.judged.published import Limit, Substance
from progdoc.rules.lookup.answers_said import Said, said_by
from progdoc.rules.lookup.limits import industries_of
from progdoc.rules.lookup.states import EVERYBODY, states_in

__all__ = ["binds_in", "enforcing_states", "local_limits", "states_of"]


def states_of(program: Program, task: Task) -> frozenset[str]:
    """Return the states in which a task may be done; where its sites name none, that of the firm; empty if unsaid."""
    sites = [site for site in program.organisation.sites if not task.sites or site.id in task.sites]
    named = [site.state for site in sites if site.state] or [program.program.jurisdiction.state or ""]
    return frozenset(state for text in named for state in states_in(text))


def enforcing_states(program: Program) -> frozenset[str]:
    """Return the states whose plan covers the firm at one of its places; none where it says why federal law does."""
    place = program.program.jurisdiction
    if place.authority is Authority.FEDERAL and place.because is not None and said_by(place.because) is Said.ANSWER:
        return frozenset()
    return frozenset(state for state, covers in _named(program) if covers == EVERYBODY)


def _named(program: Program) -> Iterator[tuple[str, str]]:
    """Yield the states that the firm and its sites name, each with whom its plan covers."""
    for text in (program.program.jurisdiction.state, *(site.state for site in program.organisation.sites)):
        yield from states_in(text or "").items()


def binds_in(state: str, program: Program, tasks: Iterable[Task]) -> bool:
    """Say whether a state's rule binds some work; of no task, the firm as a whole, by any place it has there.

    Where nobody says in which state the work is done it binds, as its limits do.
    """
    places = [states_of(program, task) for task in tasks] or [frozenset(name for name, _ in _named(program))]
    return any(not found or state in found for found in places)


def local_limits(rules: RuleSet, hazard: Hazard, task: Task, substance: Substance | None) -> tuple[Limit, ...]:
    """Return the packs' limits for one hazard. Where nobody says in which state the work is done, all of them bind."""
    if not rules.law.limits:
        return ()
    states, industries = states_of(rules.program, task), industries_of(task)
    form = hazard.form.value if hazard.form else ""
    called = {hazard.agent.casefold(), *([substance.id] if substance else [])}
    return tuple(
        one.limit
        for one in rules.law.limits
        if (not one.state or not states or one.state in states)
        and (not one.limit.industry or one.limit.industry in industries)
        and (not one.limit.form or not form or one.limit.form == form)
        and not called.isdisjoint(one.names)
    )
