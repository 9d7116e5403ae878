"""Whether a condition of the catalogue holds for a subject: named facts, joined by all, any and not."""

from __future__ import annotations

from progdoc.rules.facts import Facts
from progdoc.rules.reading.predicates import PREDICATES
from progdoc.rules.requirement import Condition, Fact, Subject
from progdoc.rules.subjects import PROGRAM

__all__ = ["OF_ONE_THING", "TELLS_ITS_PLACE", "holds", "program_facts"]

# Facts that look at one kind of thing, so that no rule for another kind may name them.
OF_ONE_THING = {
    "issue-given": "mask",
    "has-indicator": "filter",
    "hot-work": "task",
    "controls-feasible": "task",
    "silica-table-1-used": "hazard",
    "lead-task-used": "hazard",
    "recommendation-on-record": "wearer",
    "fit-tested": "worn-mask",
    "fit-tested-on-this-mask": "worn-mask",
    "wears-spectacles": "wearer",
    "hair-looked-at": "wearer",
    "r-series-in-oil": "mask-use",
}

# Facts of tasks and masks that yet name the place of whom they are asked about: not shared within a crew.
TELLS_ITS_PLACE = ("in-use",)


def holds(facts: Facts, subject: Subject, condition: Condition) -> Fact:
    """Return whether a condition holds for a subject, by Kleene's three-valued logic."""
    if condition.kind == "fact":
        is_of_work = condition.name not in OF_ONE_THING and condition.name not in TELLS_ITS_PLACE
        return (facts.about_work if is_of_work else facts.about)(subject, PREDICATES[condition.name])
    if condition.kind == "not":
        inner = holds(facts, subject, condition.parts[0])
        return Fact(None if inner.holds is None else not inner.holds, inner.paths, inner.ask)
    stop = condition.kind == "any"  # the answer that settles an any (true) or an all (false)
    paths: list[str] = []
    ask: list[str] = []
    for part in condition.parts:
        fact = holds(facts, subject, part)
        paths.extend(fact.paths)
        if fact.holds is stop:
            return Fact(stop, tuple(paths))
        if fact.holds is None and (stop or not ask):  # of an all, the first open part decides whether the rest matters
            ask.extend(fact.ask)
    return Fact(None if ask else not stop, tuple(paths), tuple(dict.fromkeys(ask)))


def program_facts(facts: Facts) -> dict[str, Fact]:
    """Return by name how every fact stands that can be asked of the program as a whole."""
    return {name: facts.about(PROGRAM, answer) for name, answer in PREDICATES.items() if name not in OF_ONE_THING}
