"""What is in force for people of one group and not for others: the same description, judged once for each.

A policy that names groups binds its people and nobody else. Whoever is asked about is asked about in `Facts.of`; what
everybody shares, and work whoever does it, in the facts themselves.
"""

from __future__ import annotations

from collections.abc import Iterable

from progdoc.model.description.policies import Policy
from progdoc.model.description.program import Program
from progdoc.rules.facts import Facts
from progdoc.rules.in_force.policy_reach import binding_group, groups_told_apart
from progdoc.rules.in_force.rule_set import rule_set
from progdoc.rules.masks.selection import select

__all__ = ["tell_groups_apart"]

# What a policy asks of the air and of masks, and besides of the work; whatever else leaves it as it is for everybody.
_AT_WORK = ("emergency_inspection_interval", "flow_test_interval", "recharge_at", "standby")
_OF_THE_AIR = (
    *("exposure_limits", "immediately_dangerous_from", "mask_from", "protection_credits", "dust_masks", "least_filter"),
    *("air_purifying", "least_oxygen", "scba_service_time", "evidence_interval", "voluntary_use", "cartridge_change"),
)


def tell_groups_apart(facts: Facts, standing: Program) -> None:
    """Let the facts know what is in force for each group that a policy names, and for everybody else.

    Parameters
    ----------
    standing
        The description with its policies as they stand on the day, the groups they name among them.
    """
    alike = groups_told_apart(standing)
    is_of_air = any(policy.groups and _asks(policy, _OF_THE_AIR) for policy in standing.policies)
    is_of_work = any(policy.groups and _asks(policy, _AT_WORK) for policy in standing.policies)
    facts.tells_work_apart = is_of_air or is_of_work
    for groups in dict.fromkeys((("",), *alike.values())) if alike else ():
        rules = rule_set(facts.rules.law, binding_group(standing, groups[0]))
        own = facts.bound_by(rules, select(rules, facts.as_of) if is_of_air else facts.selection)
        if groups != ("",):  # a schedule is one for all who use the cartridge: the papers tell for whom it ends sooner
            own.cartridge_changes = facts.cartridge_changes
        facts.by_group |= dict.fromkeys(groups, own)


def _asks(policy: Policy, names: Iterable[str]) -> bool:
    return any(getattr(policy, name) not in (None, ()) for name in names)
