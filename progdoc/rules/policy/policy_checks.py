"""Holds the policies against the law and the procedures against the policies.

Each parameter has a declared direction. A policy on the wrong side of the law's value is refused with both
values; a procedure on the wrong side of a policy is a breach that names who set it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any

from progdoc.model.description.policies import Policy
from progdoc.model.description.procedures import HairRule
from progdoc.model.description.quantities import Dimension, Quantity, in_unit, is_comparable, parse_quantity
from progdoc.model.description.workplace import Use
from progdoc.rules.check_result import CheckResult
from progdoc.rules.facts import Facts
from progdoc.rules.in_force.strictest import binds, binds_agent
from progdoc.rules.judged.air_results import TaskAir
from progdoc.rules.lookup.conversion import in_limit_unit
from progdoc.rules.lookup.fit_protocols import is_quantitative
from progdoc.rules.lookup.law_tables import assigned_factors_for
from progdoc.rules.requirement import Subject

__all__ = ["PARAMETERS", "POLICY_CHECKS", "Parameter"]

_DAYS_IN_MONTH = 365 / 12


@dataclass(frozen=True, slots=True)
class Parameter:
    """A rule that a policy may tighten: which way is stricter, what the law says, where the program answers."""

    name: str  # field of a policy
    words: str
    stricter: str  # "lower", "higher", "yes" or "no"
    dimension: Dimension | None  # None: a bare number, or yes or no
    legal: str  # "" where the law sets no value
    law: str
    path: str = ""  # of the procedure that has to keep it


_L = "29 CFR 1910.134"
PARAMETERS: tuple[Parameter, ...] = (
    Parameter("mask_from", "share of a limit for masks", "lower", Dimension.PERCENT, "", ""),
    Parameter("dust_masks", "dust masks", "no", None, "", ""),
    Parameter("air_purifying", "air-purifying masks", "no", None, "", ""),
    Parameter("least_oxygen", "least oxygen", "higher", Dimension.PERCENT, "19.5 %", f"{_L}(b)"),
    Parameter("scba_service_time", "SCBA service time", "higher", Dimension.DURATION, "30 min", f"{_L}(d)(2)(i)(A)"),
    Parameter("evidence_interval", "time between judgments of the air", "lower", Dimension.INTERVAL, "", ""),
    Parameter("quantitative_only", "quantitative fit tests only", "yes", None, "", ""),
    Parameter("fit_test_interval", "time between fit tests", "lower", Dimension.INTERVAL, "12 months", f"{_L}(f)(2)",
              "procedures.fit_testing.interval"),
    Parameter("half_mask_pass", "fit factor for half masks", "higher", None, "100", f"{_L}(f)(7)",
              "procedures.fit_testing.half_mask_pass"),
    Parameter("full_facepiece_pass", "fit factor for full facepieces", "higher", None, "500", f"{_L}(f)(7)",
              "procedures.fit_testing.full_facepiece_pass"),
    Parameter("clean_shaven", "clean-shaven wearers", "yes", None, "", ""),
    Parameter("training_interval", "time between trainings", "lower", Dimension.INTERVAL, "12 months", f"{_L}(k)(5)",
              "procedures.training.interval"),
    Parameter("evaluation_interval", "time between evaluations", "lower", Dimension.INTERVAL, "", "",
              "procedures.evaluation.interval"),
    Parameter("emergency_inspection_interval", "time between inspections of emergency masks", "lower",
              Dimension.INTERVAL, "1 month", f"{_L}(h)(3)(i)(B)", "procedures.inspection.emergency_interval"),
    Parameter("voluntary_use", "voluntary use", "no", None, "", ""),
    Parameter("standby", "people standing by outside", "higher", None, "1", f"{_L}(g)(3)(i)",
              "procedures.emergencies.idlh.standby"),
    Parameter("carbon_monoxide", "carbon monoxide in breathing air", "lower", Dimension.CONCENTRATION, "10 ppm",
              f"{_L}(i)(1)(ii)(C)", "procedures.air_supply.carbon_monoxide"),
    Parameter("oil_in_air", "oil in breathing air", "lower", Dimension.CONCENTRATION, "5 mg/m3",
              f"{_L}(i)(1)(ii)(B)", "procedures.air_supply.oil"),
    Parameter("recharge_at", "pressure at which cylinders are recharged", "higher", Dimension.PERCENT, "90 %",
              f"{_L}(h)(3)(iii)", "procedures.inspection.recharge_at"),
    Parameter("cartridge_change", "longest use of a gas cartridge", "lower", Dimension.DURATION, "", ""),
)  # fmt: skip

Found = tuple[str, dict[str, str]]


def _printed(value: Any) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, Quantity):
        return value.text
    return f"{value:g}" if isinstance(value, int | float) else str(value)


def _days(value: Quantity) -> float:
    is_calendar = value.unit in ("month", "year")
    return in_unit(value, "month") * _DAYS_IN_MONTH if is_calendar else in_unit(value, "day")


def _excess(one: Any, other: Any, dimension: Dimension | None) -> float | None:
    """Return how far one value lies above another; None where they cannot be compared."""
    if dimension is Dimension.INTERVAL:
        return _days(one) - _days(other)
    if isinstance(one, Quantity) and isinstance(other, Quantity):
        return in_unit(one, other.unit) - other.value if is_comparable(one, other) else None
    return float(one) - float(other)


def is_looser(parameter: Parameter, value: Any, than: Any) -> bool:
    """Say whether a value asks for less than another; what cannot be compared counts as looser."""
    if parameter.stricter in ("yes", "no"):
        return bool(than is (parameter.stricter == "yes") and value is not than)
    over = _excess(value, than, parameter.dimension)
    return over is None or (over > 0 if parameter.stricter == "lower" else over < 0)


# ---- policies against the law -------------------------------------------------------------------------


def _not_looser(facts: Facts, _subject: Subject) -> CheckResult:
    faults = [fault for i, policy in enumerate(facts.description.policies) for fault in _looser(facts, policy, i)]
    return CheckResult(("policies",), tuple(faults))


def _looser(facts: Facts, policy: Policy, index: int) -> Iterator[Found]:
    for parameter in PARAMETERS:
        value = getattr(policy, parameter.name)
        if value is None or not parameter.legal:
            continue
        legal: Any = (
            parse_quantity(parameter.legal, parameter.dimension) if parameter.dimension else float(parameter.legal)
        )
        if is_looser(parameter, value, legal):
            words = {"value": _printed(value), "legal": parameter.legal, "law": parameter.law}
            yield _fault(policy, f"policies[{index}].{parameter.name}", parameter.words, words)
    yield from _looser_credits(policy, index)
    for j in range(len(policy.exposure_limits)):
        yield from _looser_limit(facts, policy, f"policies[{index}].exposure_limits[{j}]", j)
    yield from _looser_danger(facts, policy, f"policies[{index}].immediately_dangerous_from")


def _fault(policy: Policy, path: str, parameter: str, words: dict[str, str]) -> Found:
    return path, {"policy": policy.id, "by": policy.by, "parameter": parameter, **words}


def _looser_credits(policy: Policy, index: int) -> Iterator[Found]:
    for j, credit in enumerate(policy.protection_credits):
        modes = [credit.mode.value] if credit.mode else []
        cells = [cell.apf for mode in modes for cell in assigned_factors_for(mode, credit.facepiece.value)]
        highest = max((apf for apf in cells if apf is not None), default=None)
        if highest is not None and credit.most > highest:
            words = {"value": _printed(credit.most), "legal": str(highest), "law": f"{_L}(d)(3)(i)(A), Table 1"}
            yield _fault(policy, f"policies[{index}].protection_credits[{j}].most", "a protection factor of", words)


def _bound_agents(facts: Facts, policy: Policy) -> Iterator[tuple[TaskAir, Any]]:
    for air in facts.selection.air.values():
        for agent in air.agents if binds(policy, air.task) else ():
            if binds_agent(policy, agent.hazard.agent, agent.substance):
                yield air, agent


def _looser_limit(facts: Facts, policy: Policy, path: str, index: int) -> Iterator[Found]:
    wanted = policy.exposure_limits[index]
    if wanted.value.value <= 0.0:
        words = {"value": wanted.value.text, "legal": "a limit above zero", "law": "29 CFR 1910.1000(a)"}
        yield _fault(policy, f"{path}.value", "a limit of", words)
        return
    for _, agent in _bound_agents(facts, policy) if policy.agents else ():
        for limit in agent.limits:
            mine = in_limit_unit(wanted.value, limit.unit, agent.substance)
            is_same = limit.kind.value == wanted.averaging.value and not limit.note.startswith("policy ")
            if is_same and limit.value is not None and mine is not None and mine > limit.value:
                words = {"value": wanted.value.text, "legal": limit.in_words, "law": limit.citation}
                yield _fault(policy, f"{path}.value", f"a limit of {agent.hazard.agent} of", words)
                return


def _looser_danger(facts: Facts, policy: Policy, path: str) -> Iterator[Found]:
    level = policy.immediately_dangerous_from
    for _, agent in _bound_agents(facts, policy) if level is not None and policy.agents else ():
        idlh = agent.substance.idlh if agent.substance else None
        if level is None or idlh is None or idlh.value is None:
            continue
        mine = in_limit_unit(level, idlh.unit, agent.substance)
        if mine is not None and mine > idlh.value:
            words = {"value": level.text, "legal": f"{idlh.value:g} {idlh.unit}", "law": "NIOSH"}
            yield _fault(policy, path, f"an IDLH value of {agent.hazard.agent} of", words)
            return


# ---- the program against the policies -----------------------------------------------------------------


def _kept(facts: Facts, _subject: Subject) -> CheckResult:
    faults: list[Found] = []
    for i, policy in enumerate(facts.description.policies):
        for parameter in PARAMETERS:
            wanted = getattr(policy, parameter.name)
            if wanted is None:
                continue
            if parameter.path:
                value = facts.value_at(parameter.path)
                if value is not None and is_looser(parameter, value, wanted):
                    faults.append((parameter.path, _breach(policy, parameter.words, value, wanted)))
            for path, value in _OTHER.get(parameter.name, _nothing)(facts, policy):
                faults.append((path or f"policies[{i}]", _breach(policy, parameter.words, value, wanted)))
    return CheckResult(("policies",), tuple(faults))


def _breach(policy: Policy, parameter: str, value: Any, wanted: Any) -> dict[str, str]:
    return {
        "policy": policy.id,
        "origin": f"{policy.by}, {policy.source}",
        "parameter": f"{parameter[:1].upper()}{parameter[1:]}",
        "value": _printed(value),
        "wanted": _printed(wanted),
    }


def _nothing(_facts: Facts, _policy: Policy) -> Iterator[tuple[str, str]]:
    return iter(())


def _qualitative_protocols(facts: Facts, policy: Policy) -> Iterator[tuple[str, str]]:
    named = facts.description.procedures.fit_testing.protocols
    qualitative = [name for name in named if not is_quantitative(name)]
    if policy.quantitative_only and qualitative:
        yield "procedures.fit_testing.protocols", ", ".join(qualitative)


def _hair(facts: Facts, policy: Policy) -> Iterator[tuple[str, str]]:
    rule = facts.description.procedures.use.hair
    if policy.clean_shaven and rule is not None and rule is not HairRule.CLEAN_SHAVEN:
        yield "procedures.use.hair", rule.value


def _voluntary(facts: Facts, policy: Policy) -> Iterator[tuple[str, str]]:
    if policy.voluntary_use is not False:
        return
    if facts.description.procedures.voluntary_use.allowed and not (policy.sites or policy.tasks or policy.agents):
        yield "procedures.voluntary_use.allowed", "yes"
    for path, task in facts.our_tasks:
        if task.use is Use.VOLUNTARY and binds(policy, task):
            yield f"{path}.use", f"voluntary in “{task.name}”"


def _changes(facts: Facts, policy: Policy) -> Iterator[tuple[str, str]]:
    """Cartridges that stay longer in use than the policy lets them, in a task that it binds."""
    if policy.cartridge_change is None:
        return
    bound = {path_task[1].id for path_task in facts.our_tasks if binds(policy, path_task[1])}
    for i, schedule in enumerate(facts.description.procedures.filter_changes.schedules):
        over = schedule.after is not None and in_unit(schedule.after, "min") > in_unit(policy.cartridge_change, "min")
        if over and bound & set(schedule.tasks):
            yield f"procedures.filter_changes.schedules[{i}].after", schedule.after.text if schedule.after else ""


_OTHER: dict[str, Callable[[Facts, Policy], Iterator[tuple[str, str]]]] = {
    "quantitative_only": _qualitative_protocols,
    "clean_shaven": _hair,
    "voluntary_use": _voluntary,
    "cartridge_change": _changes,
}


def _limits_name_agents(facts: Facts, _subject: Subject) -> CheckResult:
    faults: list[Found] = []
    for i, policy in enumerate(facts.description.policies):
        for field, words in (("exposure_limits", "a limit"), ("immediately_dangerous_from", "an IDLH value")):
            if getattr(policy, field) and not policy.agents:
                faults.append((f"policies[{i}].{field}", {"policy": policy.id, "parameter": words}))
    return CheckResult(("policies",), tuple(faults))


POLICY_CHECKS: dict[str, Callable[[Facts, Subject], CheckResult]] = {
    "policies-not-looser": _not_looser,
    "policies-kept": _kept,
    "policy-limits-name-agents": _limits_name_agents,
}
