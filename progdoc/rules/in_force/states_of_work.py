"""In which states work is done: a rule, a figure or a limit of a state binds the work done there, and no other."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from progdoc.model.description.program import Authority, Program
from progdoc.model.description.workplace import Task
from progdoc.rules.lookup.states import EVERYBODY, states_in, tells_whose_law

__all__ = ["binds_in", "enforcing_states", "only_state", "states_of"]


def states_of(program: Program, task: Task) -> frozenset[str]:
    """Return the states in which a task may be done; where its sites name none, that of the firm; empty if unsaid."""
    sites = [site for site in program.organisation.sites if not task.sites or site.id in task.sites]
    named = [site.state for site in sites if site.state] or [program.program.jurisdiction.state or ""]
    return frozenset(state for text in named for state in states_in(text))


def enforcing_states(program: Program) -> frozenset[str]:
    """Return the states whose plan covers the firm at one of its places; none where it says why federal law does."""
    place = program.program.jurisdiction
    if place.authority is Authority.FEDERAL and tells_whose_law(place.because):
        return frozenset()
    return frozenset(state for state, covers in _named(program) if covers == EVERYBODY)


def _named(program: Program) -> Iterator[tuple[str, str]]:
    """Yield the states that the firm and its sites name, each with whom its plan covers."""
    for text in (program.program.jurisdiction.state, *(site.state for site in program.organisation.sites)):
        yield from states_in(text or "").items()


def only_state(program: Program, tasks: Iterable[Task]) -> str:
    """Return the state in which all of some work is done; of no task, all of the firm's; "" where it is several."""
    places = [states_of(program, task) for task in tasks] or [frozenset(name for name, _ in _named(program))]
    found = frozenset().union(*places)
    return next(iter(found)) if len(found) == 1 and all(places) else ""


def binds_in(state: str, program: Program, tasks: Iterable[Task]) -> bool:
    """Say whether a state's rule binds some work; of no task, the firm as a whole, by any place it has there.

    Where nobody says in which state the work is done it binds, as its limits do.
    """
    places = [states_of(program, task) for task in tasks] or [frozenset(name for name, _ in _named(program))]
    return any(not found or state in found for found in places)
