"""The strictest of all rules that bind a task: the law's and those of policies, and who set it.

A policy may only tighten. One that asks for less than the law has no effect here; `policy_checks` finds it.
Where the law sets no value, any value tightens.
"""

from __future__ import annotations

from collections.abc import Iterable

from progdoc.core.said import said
from progdoc.model.description.hazards import Hazard
from progdoc.model.description.masks import Mask, Particulate
from progdoc.model.description.policies import Policy
from progdoc.model.description.program import Program
from progdoc.model.description.quantities import Quantity
from progdoc.model.description.workplace import Task
from progdoc.rules.in_force.figures import least_oxygen, qualitative_credit, scba_minutes
from progdoc.rules.in_force.policy_reach import origin_of, policies_for_agent
from progdoc.rules.in_force.rule_set import RuleSet, binding, law_for
from progdoc.rules.judged.air_results import Bound, Danger, MaskRules, TaskRules
from progdoc.rules.judged.figure_results import InForce, Setter
from progdoc.rules.judged.published import Limit, Substance
from progdoc.rules.lookup.conversion import in_limit_unit
from progdoc.rules.lookup.law_tables import filter_class
from progdoc.rules.lookup.limits import is_alike, stated_limit

__all__ = [
    "credit_cap",
    "danger_level",
    "filter_is_below",
    "longest_use",
    "mask_share",
    "policy_limits",
    "task_rules",
]

_SERIES = "NRP"


def policy_limits(
    program: Program, task: Task, hazard: Hazard, substance: Substance | None, legal: Iterable[Limit]
) -> tuple[Limit, ...]:
    """Return the limits that policies add for a hazard; one that is looser than a limit in force adds nothing."""
    found: list[Limit] = []
    for policy in policies_for_agent(program, task, hazard, substance):
        for wanted in policy.exposure_limits if policy.agents else ():
            name = substance.id if substance else hazard.agent
            limit = stated_limit(name, wanted, origin_of(policy), said("policy %(policy)s", policy=policy.id))
            if wanted.value.value > 0.0 and not _is_looser(limit, legal, substance):
                found.append(limit)
    return tuple(found)


def _is_looser(limit: Limit, legal: Iterable[Limit], substance: Substance | None) -> bool:
    for other in legal:
        mine = in_limit_unit(Quantity(limit.value or 0.0, limit.unit, ""), other.unit, substance)
        if is_alike(limit, other) and other.value is not None and mine is not None and mine > other.value:
            return True
    return False


def danger_level(program: Program, task: Task, hazard: Hazard, substance: Substance | None) -> Danger | None:
    """Return the lowest IDLH value that binds: NIOSH's, or a policy's."""
    known: list[Danger] = []
    if substance and substance.idlh and substance.idlh.value is not None:
        known.append(Danger(substance.idlh.value, substance.idlh.unit, said("NIOSH value")))
    for policy in policies_for_agent(program, task, hazard, substance):
        level = policy.immediately_dangerous_from
        if level is not None and level.value > 0.0 and policy.agents:
            known.append(Danger(level.value, level.unit, origin_of(policy), is_by_policy=True))
    if not known:
        return None
    first = known[0]

    def amount(danger: Danger) -> float:
        value = in_limit_unit(Quantity(danger.value, danger.unit, ""), first.unit, substance)
        return float("inf") if value is None else value

    return min(known, key=amount)


def mask_share(program: Program, task: Task, hazard: Hazard, substance: Substance | None) -> Bound:
    """Return the share of a limit from which a mask is worn; the law's is the limit itself."""
    shares = [
        Bound(policy.mask_from.value / 100.0, origin_of(policy))
        for policy in policies_for_agent(program, task, hazard, substance)
        if policy.mask_from is not None
    ]
    return min([Bound(1.0, ""), *shares], key=lambda share: share.value)


def credit_cap(policies: Iterable[Policy], mask: Mask) -> Bound | None:
    """Return the most that policies let a mask be credited with."""
    caps = [
        Bound(max(credit.most, 1.0), origin_of(policy))
        for policy in policies
        for credit in policy.protection_credits
        if credit.facepiece is mask.facepiece and credit.mode in (None, mask.mode)
    ]
    return min(caps, key=lambda cap: (cap.value, cap.origin), default=None)


def longest_use(policies: Iterable[Policy]) -> InForce | None:
    """Return the shortest of the times for which policies let a gas cartridge stay in use; None where none says."""
    asked = [
        InForce(policy.cartridge_change, policy.cartridge_change.printed, origin_of(policy), Setter.POLICY)
        for policy in policies
        if policy.cartridge_change is not None
    ]
    return min(asked, key=lambda found: found.amount("min"), default=None)


def task_rules(rules: RuleSet, task: Task, masks: Iterable[Mask]) -> TaskRules:
    """Return the strictest rules for the air of a task and for the masks in it."""
    return TaskRules(
        law=law_for(rules, (task,)),
        least_oxygen_percent=least_oxygen(rules, (task,)),
        qualitative_credit=qualitative_credit(rules, (task,)),
        any_mask=_mask_rules(rules, task, ()),
        by_mask={mask.id: _mask_rules(rules, task, (mask,)) for mask in masks},
    )


def _mask_rules(rules: RuleSet, task: Task, masks: tuple[Mask, ...]) -> MaskRules:
    """Return the strictest rules for these masks in a task; for none, those for any."""
    policies = binding(rules, (task,), masks)
    return MaskRules(
        scba_minutes=scba_minutes(rules, (task,), masks),
        dust_masks_barred_by=tuple(origin_of(p) for p in policies if p.dust_masks is False),
        air_purifying_barred_by=tuple(origin_of(p) for p in policies if p.air_purifying is False),
        choice_barred_by=tuple(origin_of(p) for p in policies if p.voluntary_use is False),
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
