"""The exposure limits of a state's pack: they bind a hazard by its task."""

from __future__ import annotations

from progdoc.model.description.hazards import Hazard
from progdoc.model.description.workplace import Task
from progdoc.rules.in_force.rule_set import RuleSet
from progdoc.rules.in_force.states_of_work import states_of
from progdoc.rules.judged.published import Limit, Substance
from progdoc.rules.lookup.limits import industries_of

__all__ = ["local_limits"]


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
