"""How soon personal samples are repeated under a substance's own standard, and whether that time has run out."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from functools import cache
from typing import Any

from progdoc.calc.due_dates import is_overdue
from progdoc.core.numbers import long_date
from progdoc.model.description.hazards import Averaging, Samples
from progdoc.model.description.quantities import Quantity
from progdoc.rules.in_force.intervals import Cycle
from progdoc.rules.judged.air_results import Assessment, Ratio
from progdoc.rules.judged.published import Limit, LimitKind
from progdoc.rules.lookup.conversion import in_limit_unit
from progdoc.rules.lookup.limits import industries_of
from progdoc.rules.lookup.table_files import table_entries
from progdoc.rules.reasons import Reason

__all__ = ["monitoring_cycles", "monitoring_overdue", "monitoring_rules"]


@cache
def monitoring_rules() -> dict[str, dict[str, Any]]:
    """Return by standard how soon sampling is repeated, as `catalogue/tables/monitoring.yaml` lists it."""
    return {entry["standard"]: entry for entry in table_entries("monitoring", "monitoring")}


def monitoring_cycles(agent: Assessment) -> tuple[Cycle, ...]:
    """Return the interval of the agent's own standard for the level that samples found, if it was read for one."""
    if not isinstance(agent.hazard.exposure, Samples):
        return ()
    standards = [agent.substance.standard_in(one) for one in industries_of(agent.task)] if agent.substance else []
    rules = (monitoring_rules().get(standard) for standard in standards)
    return tuple(cycle for rule in rules if rule for cycle in _cycles(agent, rule))


def _cycles(agent: Assessment, rule: dict[str, Any]) -> tuple[Cycle, ...]:
    levels = [ratio for ratio in agent.ratios if ratio.limit.kind is LimitKind.TWA]
    if any(ratio.value > 1.0 for ratio in levels):
        return (_cycle(rule["over_limit_months"], rule["over_limit_citation"]),)
    if any(_reaches(ratio, limit, agent) for ratio in levels for limit in agent.limits):
        return (_cycle(rule["action_level_months"], rule["action_level_citation"]),)
    return ()


def monitoring_overdue(agent: Assessment, as_of: date) -> Iterator[Reason]:
    """Yield that the samples of an agent were not repeated in time, or that nothing shows when they were taken."""
    evidence = agent.hazard.exposure
    days = [
        one.date
        for one in (evidence.results if isinstance(evidence, Samples) else ())
        if one.date and one.averaging is Averaging.TWA
    ]
    newest = max((day for day in days if day <= as_of), default=None)
    for cycle in monitoring_cycles(agent):
        if newest is None or is_overdue(cycle.from_day(newest), as_of):
            last = f"last sampled {long_date(newest)}" if newest else "sampled on no stated day"
            words = {"last": last, "most": cycle.text, "citation": cycle.basis}
            yield Reason("EXP-031", f"{agent.path}.exposure", words)


def _cycle(months: int, citation: str) -> Cycle:
    return Cycle(months, 0, citation, text=f"{months} months")


def _reaches(ratio: Ratio, limit: Limit, agent: Assessment) -> bool:
    """Return whether a level reaches the action level, where `limit` is one."""
    if limit.kind is not LimitKind.ACTION_LEVEL or limit.value is None:
        return False
    level = in_limit_unit(Quantity(ratio.level.value, ratio.level.unit, ""), limit.unit, agent.substance)
    return level is not None and level >= limit.value
