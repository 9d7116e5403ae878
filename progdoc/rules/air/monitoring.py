"""How soon personal samples are repeated under a substance's own standard, and whether that time has run out."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import date
from functools import cache
from typing import Any

from progdoc.calc.due_dates import is_overdue
from progdoc.core.numbers import counted, long_date
from progdoc.core.said import said
from progdoc.model.description.exposure_evidence import Averaging, Samples
from progdoc.model.description.quantities import Quantity
from progdoc.rules.in_force.intervals import Cycle
from progdoc.rules.judged.air_results import Assessment, Ratio
from progdoc.rules.judged.published import Limit, LimitKind
from progdoc.rules.lookup.conversion import in_limit_unit
from progdoc.rules.lookup.limits import industries_of
from progdoc.rules.lookup.table_files import table_entries
from progdoc.rules.reasons import Reason

__all__ = ["monitoring_cycles", "monitoring_overdue", "monitoring_rules", "recalled_monitoring"]


@cache
def monitoring_rules() -> dict[str, dict[str, Any]]:
    """Return by standard how soon sampling is repeated, as `catalogue/tables/monitoring.yaml` lists it."""
    return {entry["standard"]: entry for entry in table_entries("monitoring", "monitoring")}


@cache
def _recalled_rules() -> dict[str, dict[str, Any]]:
    return {entry["standard"]: entry for entry in table_entries("monitoring", "recalled")}


def monitoring_cycles(agent: Assessment) -> tuple[Cycle, ...]:
    """Return the interval of the agent's own standard for the level that samples found, if it was read for one."""
    return tuple(
        _cycle(rule[f"{level}_months"], rule[f"{level}_citation"]) for level, rule in _of(agent, monitoring_rules())
    )


def _of(agent: Assessment, rules: Mapping[str, dict[str, Any]]) -> Iterator[tuple[str, dict[str, Any]]]:
    """Yield the rules of the agent's standards with the level that samples found: `over_limit` or `action_level`."""
    if not isinstance(agent.hazard.exposure, Samples) or agent.substance is None:
        return
    levels = [ratio for ratio in agent.ratios if ratio.limit.kind is LimitKind.TWA]
    is_over = any(ratio.value > 1.0 for ratio in levels)
    if not is_over and not any(_reaches(ratio, limit, agent) for ratio in levels for limit in agent.limits):
        return
    for industry in industries_of(agent.task):
        if (rule := rules.get(agent.substance.standard_in(industry) or "")) is not None:
            yield "over_limit" if is_over else "action_level", rule


def recalled_monitoring(agent: Assessment) -> tuple[Cycle, ...]:
    """Return the interval of a standard that is recalled and not read: a reason to look it up, never a day."""
    return tuple(_cycle(rule[f"{level}_months"], rule["paragraph"]) for level, rule in _of(agent, _recalled_rules()))


def monitoring_overdue(agent: Assessment, as_of: date) -> Iterator[Reason]:
    """Yield that the samples of an agent were not repeated in time, or that nothing shows when they were taken.

    Where the interval is only recalled, yield that the paragraph is to be looked up.
    """
    evidence = agent.hazard.exposure
    days = [
        one.date
        for one in (evidence.results if isinstance(evidence, Samples) else ())
        if one.date and one.averaging is Averaging.TWA
    ]
    newest = max((day for day in days if day <= as_of), default=None)
    last = said("last sampled %(newest)s", newest=long_date(newest)) if newest else said("sampled on no stated day")
    for code, cycles in (("EXP-031", monitoring_cycles(agent)), ("EXP-054", recalled_monitoring(agent))):
        for cycle in cycles:
            if newest is None or is_overdue(cycle.from_day(newest), as_of):
                words = {"last": last, "most": cycle.text, "citation": cycle.basis}
                yield Reason(code, f"{agent.path}.exposure", words)


def _cycle(months: int, citation: str) -> Cycle:
    return Cycle(months, 0, citation, text=counted(months, "month"))


def _reaches(ratio: Ratio, limit: Limit, agent: Assessment) -> bool:
    """Return whether a level reaches the action level, where `limit` is one."""
    if limit.kind is not LimitKind.ACTION_LEVEL or limit.value is None:
        return False
    level = in_limit_unit(Quantity(ratio.level.value, ratio.level.unit, ""), limit.unit, agent.substance)
    return level is not None and level >= limit.value
