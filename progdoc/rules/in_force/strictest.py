"""The strictest of all rules that bind a task: the law's and those of policies, and who set it.

A policy may only tighten. One that asks for less than the law has no effect here; `policy_checks` finds it.
Where the law sets no value, any value tightens.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from datetime import date

from progdoc.calc.due_dates import due_date, is_overdue
from progdoc.model.description.hazards import Hazard
from progdoc.model.description.masks import Mask, Particulate
from progdoc.model.description.policies import Policy
from progdoc.model.description.program import Program
from progdoc.model.description.quantities import Quantity, in_unit
from progdoc.model.description.workplace import Task
from progdoc.rules.judged.air_results import Bound, Danger, TaskRules
from progdoc.rules.judged.published import Limit, Substance
from progdoc.rules.lookup.conversion import in_limit_unit
from progdoc.rules.lookup.law_tables import filter_class
from progdoc.rules.lookup.limits import stated_limit
from progdoc.rules.lookup.substances import find_substance

__all__ = [
    "AgeRule",
    "binds",
    "binds_agent",
    "credit_cap",
    "danger_level",
    "evidence_age",
    "filter_is_below",
    "mask_share",
    "origin_of",
    "policies_of",
    "policy_limits",
    "task_rules",
]

_LEAST_OXYGEN_PERCENT = 19.5  # 29 CFR 1910.134(b), oxygen deficient atmosphere
_SCBA_MINUTES = 30.0  # 29 CFR 1910.134(d)(2)(i)(A)
_SERIES = "NRP"


@dataclass(frozen=True, slots=True)
class AgeRule:
    """How old evidence may be."""

    text: str
    months: int
    days: int
    origin: str

    def is_passed(self, newest: date, as_of: date) -> bool:
        return is_overdue(due_date(newest, months=self.months, days=self.days), as_of)


def origin_of(policy: Policy) -> str:
    """Return who set a policy and where it is written."""
    return f"{policy.by}, {policy.source} (policy `{policy.id}`)"


def binds(policy: Policy, task: Task) -> bool:
    """Say whether a policy holds for a task. A task that names no site may be at any."""
    at_site = not policy.sites or not task.sites or bool(set(policy.sites) & set(task.sites))
    return at_site and (not policy.tasks or task.id in policy.tasks)


def binds_agent(policy: Policy, agent: str, substance: Substance | None) -> bool:
    """Say whether a policy names an agent, or names none and so means all."""
    if not policy.agents or agent.casefold() in {name.casefold() for name in policy.agents}:
        return True
    if substance is None:
        return False
    return any((named := find_substance(name)) is not None and named.id == substance.id for name in policy.agents)


def _binding(program: Program, task: Task, hazard: Hazard, substance: Substance | None) -> Iterator[Policy]:
    for policy in program.policies:
        if binds(policy, task) and binds_agent(policy, hazard.agent, substance):
            yield policy


def policies_of(program: Program, task: Task) -> tuple[Policy, ...]:
    """Return the policies that bind the masks of a task; one for an agent only where that agent is in its air."""
    if not program.policies:
        return ()
    agents = [(h.agent, find_substance(h.agent)) for h in program.hazards if h.task == task.id]
    return tuple(
        policy
        for policy in program.policies
        if binds(policy, task) and (not policy.agents or any(binds_agent(policy, *agent) for agent in agents))
    )


def policy_limits(
    program: Program, task: Task, hazard: Hazard, substance: Substance | None, legal: Iterable[Limit]
) -> tuple[Limit, ...]:
    """Return the limits that policies add for a hazard; one that is looser than a limit in force adds nothing."""
    found: list[Limit] = []
    for policy in _binding(program, task, hazard, substance):
        for wanted in policy.exposure_limits if policy.agents else ():
            name = substance.id if substance else hazard.agent
            limit = stated_limit(name, wanted.value, wanted.averaging, origin_of(policy), f"policy {policy.id}")
            if wanted.value.value > 0.0 and not _is_looser(limit, legal, substance):
                found.append(limit)
    return tuple(found)


def _is_looser(limit: Limit, legal: Iterable[Limit], substance: Substance | None) -> bool:
    for other in legal:
        mine = in_limit_unit(Quantity(limit.value or 0.0, limit.unit, ""), other.unit, substance)
        if other.kind is limit.kind and other.value is not None and mine is not None and mine > other.value:
            return True
    return False


def danger_level(program: Program, task: Task, hazard: Hazard, substance: Substance | None) -> Danger | None:
    """Return the lowest IDLH value that binds: NIOSH's, with its support, or a policy's."""
    known: list[Danger] = []
    if substance and substance.idlh and substance.idlh.value is not None:
        support = substance.idlh.support.replace("-", " ")
        known.append(Danger(substance.idlh.value, substance.idlh.unit, f"NIOSH value, {support}: verify"))
    for policy in _binding(program, task, hazard, substance):
        level = policy.immediately_dangerous_from
        if level is not None and level.value > 0.0 and policy.agents:
            known.append(Danger(level.value, level.unit, origin_of(policy)))
    if not known:
        return None
    first = known[0]

    def amount(danger: Danger) -> float:
        value = in_limit_unit(Quantity(danger.value, danger.unit, ""), first.unit, substance)
        return float("inf") if value is None else value

    return min(known, key=amount)


def mask_share(program: Program, task: Task, hazard: Hazard, substance: Substance | None) -> float:
    """Return the share of a limit from which a mask is worn; the law's is the limit itself."""
    shares = [
        policy.mask_from.value / 100.0
        for policy in _binding(program, task, hazard, substance)
        if policy.mask_from is not None
    ]
    return min([1.0, *shares])


def evidence_age(program: Program, hazard: Hazard) -> tuple[AgeRule, ...]:
    """Return how old the evidence of a hazard may be by the policies that bind it."""
    if not program.policies:
        return ()
    task = next(task for task in program.tasks if task.id == hazard.task)
    found: list[AgeRule] = []
    for policy in _binding(program, task, hazard, find_substance(hazard.agent)):
        interval = policy.evidence_interval
        if interval is None:
            continue
        is_calendar = interval.unit in ("month", "year")
        months = int(in_unit(interval, "month")) if is_calendar else 0
        days = 0 if is_calendar else int(in_unit(interval, "day"))
        found.append(AgeRule(interval.text, months, days, origin_of(policy)))
    return tuple(found)


def credit_cap(policies: Iterable[Policy], mask: Mask) -> Bound | None:
    """Return the most that policies let a mask be credited with."""
    caps = [
        Bound(max(credit.most, 1.0), origin_of(policy))
        for policy in policies
        for credit in policy.protection_credits
        if credit.facepiece is mask.facepiece and credit.mode in (None, mask.mode)
    ]
    return min(caps, key=lambda cap: (cap.value, cap.origin), default=None)


def _strictest(law: Bound, policies: Iterable[Policy], value: Callable[[Policy], float | None]) -> Bound:
    """Return the highest of the law's value and the policies'; the law wins a tie."""
    found = law
    for policy in policies:
        wanted = value(policy)
        if wanted is not None and wanted > found.value:
            found = Bound(wanted, origin_of(policy))
    return found


def task_rules(policies: Iterable[Policy]) -> TaskRules:
    """Return the strictest rules for the masks of a task."""
    policies = tuple(policies)
    return TaskRules(
        least_oxygen_percent=_strictest(
            Bound(_LEAST_OXYGEN_PERCENT, "29 CFR 1910.134(b)"),
            policies,
            lambda p: p.least_oxygen.value if p.least_oxygen else None,
        ),
        scba_minutes=_strictest(
            Bound(_SCBA_MINUTES, "29 CFR 1910.134(d)(2)(i)(A)"),
            policies,
            lambda p: in_unit(p.scba_service_time, "min") if p.scba_service_time else None,
        ),
        dust_masks_barred_by=tuple(origin_of(p) for p in policies if p.dust_masks is False),
        air_purifying_barred_by=tuple(origin_of(p) for p in policies if p.air_purifying is False),
        least_filters=tuple((p.least_filter, origin_of(p)) for p in policies if p.least_filter is not None),
        policies=policies,
    )


def filter_is_below(fitted: Particulate, wanted: Particulate) -> bool:
    """Say whether a filter class falls short of another: by series (N under R under P) or by efficiency.

    HEPA, the class of powered masks, has no series and stands beside the 100 class.

    >>> filter_is_below(Particulate.N100, Particulate.P95), filter_is_below(Particulate.P100, Particulate.N99)
    (True, False)
    """
    mine, least = filter_class(fitted.value), filter_class(wanted.value)
    if mine is None or least is None:
        return True
    if mine.min_efficiency_percent < least.min_efficiency_percent:
        return True
    return bool(mine.series and least.series) and _SERIES.index(mine.series) < _SERIES.index(least.series)
