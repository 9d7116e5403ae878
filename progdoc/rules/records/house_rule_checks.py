"""Looks at the firm's own rules: what they allow against the law, what breaks them, where two contradict each other."""

from __future__ import annotations

from collections.abc import Callable

from progdoc.core.numbers import number_text
from progdoc.core.said import said
from progdoc.model.description.exposure_evidence import Smoke
from progdoc.model.description.house_rules import Act, HouseRule, RuleKind
from progdoc.model.description.quantities import Dimension
from progdoc.model.description.words import label_of
from progdoc.rules.check_result import CheckResult, person_of, person_path
from progdoc.rules.facts import Facts
from progdoc.rules.in_force.rule_reach import holds_in, is_presumption, origin_of_rule, rules_in
from progdoc.rules.judged.air_results import TaskAir
from progdoc.rules.lookup.conversion import in_limit_unit
from progdoc.rules.lookup.telling_words import is_told, telling
from progdoc.rules.lookup.text_intervals import quantities_in
from progdoc.rules.requirement import Subject

__all__ = ["HOUSE_RULE_CHECKS"]

_MASK_IS_OFF = (Act.TAKING_OFF, Act.EATING_OR_DRINKING, Act.SMOKING)
_HAIR = 1.0 + 1e-9  # what changing units adds
_NOTHING = said("No rule of the firm holds here.")


def _has_reading(rule: HouseRule) -> bool:
    """Return whether a rule holds from a reading on, which whoever has the meter knows."""
    return rule.reading is not None or rule.index is not None


def _loosens(facts: Facts, subject: Subject) -> CheckResult:
    """No permission lets a mask come off where the air calls for it, or lets one be worn that a policy bars."""
    path, task = facts.tasks[subject.ids[0].partition(".")[2]]
    allowed = [(at, rule) for at, rule in rules_in(facts, task) if rule.rule is RuleKind.PERMITTED]
    air = facts.selection.air[task.id]
    faults: list[tuple[str, dict[str, str]]] = []
    for at, rule in allowed:
        words = {"rule": rule.says, "task": task.name, "asks": f"{at}.{'reading' if air.is_worn else 'tasks'}"}
        if rule.act in _MASK_IS_OFF and air.is_immediately_dangerous:
            faults.append((at, {**words, "trouble": said("its air counts as immediately dangerous")}))
        elif rule.act in _MASK_IS_OFF and air.is_worn and (trouble := _reading_trouble(rule, air)):
            faults.append((at, {**words, "trouble": trouble}))
        elif rule.act is Act.DANGEROUS_AIR:
            faults.append(
                (at, {**words, "trouble": said("what kills at once is found out by measuring, and allowed by no rule")})
            )
        elif rule.act is Act.WEARING:
            faults += [(at, {**words, **barred}) for barred in _barred_by_policy(facts, rule, task.id)]
    read = (path, *(at for at, _ in allowed))
    return CheckResult(read, tuple(faults), tuple(at for at, _ in allowed), "" if allowed else _NOTHING)


def _reading_trouble(rule: HouseRule, air: TaskAir) -> str:
    """Return why a reading does not show that no mask is called for, or nothing: it is a figure under each limit."""
    if rule.reading is None:
        return said("a mask must be worn in it, and no reading is named")
    levels = list(quantities_in(rule.reading, Dimension.CONCENTRATION))
    passed = telling("to_be_passed").search(rule.reading)
    if not levels or (passed and not is_told("denials", rule.reading[: passed.start()])):
        return said(
            "a mask must be worn in it, and “%(reading)s” names no level under which it may come off",
            reading=rule.reading,
        )
    known = [
        (value, limit.value, agent.name)
        for agent in air.agents
        for limit in agent.limits
        for level in levels
        if limit.value is not None and (value := in_limit_unit(level, limit.unit, agent.substance)) is not None
    ]
    over = next((name for value, limit, name in known if value > limit * _HAIR), "")
    if over:
        return said("“%(reading)s” lets it come off over a limit of %(over)s", reading=rule.reading, over=over)
    return (
        "" if known else said("“%(reading)s” can be held against no limit of what is in its air", reading=rule.reading)
    )


def _barred_by_policy(facts: Facts, rule: HouseRule, task: str) -> list[dict[str, str]]:
    found = []
    for mask in rule.masks:
        reasons = facts.selection.reasons.get((f"tasks.{task}", f"masks.{mask}"), ())
        of_policies = [reason for reason in reasons if reason.code.startswith("POL-")]
        if of_policies:
            setter = of_policies[0].words.get("policy") or said("a policy")
            found.append({"trouble": said("%(setter)s bars that mask", setter=setter), "citation": setter})
    return found


def _breaks(facts: Facts, subject: Subject) -> CheckResult:
    """No task names a mask that a rule of the firm bars from it."""
    path, (_, task) = subject.path, facts.tasks[subject.ids[0].partition(".")[2]]
    mask = subject.ids[1].partition(".")[2]
    about = [
        (at, rule)
        for at, rule in rules_in(facts, task)
        if rule.rule is RuleKind.PROHIBITED and rule.act is Act.WEARING and not _has_reading(rule)
    ]
    broken = [(at, rule) for at, rule in about if not rule.masks or mask in rule.masks]
    faults = [(path, {"rule": rule.says, "citation": origin_of_rule(rule)}) for _, rule in broken]
    return CheckResult(
        (path, *(at for at, _ in about)), tuple(faults), tuple(at for at, _ in about), "" if about else _NOTHING
    )


def _presumed(facts: Facts, subject: Subject) -> CheckResult:
    """No task says that its air is not immediately dangerous where the firm takes it to be."""
    path, task = facts.tasks[subject.ids[0].partition(".")[2]]
    rules = [
        (f"house_rules[{i}]", rule)
        for i, rule in enumerate(facts.description.house_rules)
        if is_presumption(rule) and holds_in(facts, rule, task)
    ]
    place = f"{path}.immediately_dangerous"
    faults = [
        (place, {"rule": rule.says, "citation": origin_of_rule(rule)})
        for _, rule in rules
        if task.immediately_dangerous is False
    ]
    return CheckResult(
        (place, *(at for at, _ in rules)), tuple(faults), tuple(at for at, _ in rules), "" if rules else _NOTHING
    )


def _against_each_other(facts: Facts, _subject: Subject) -> CheckResult:
    """What one rule forbids no other allows at the same place."""
    rules = [(f"house_rules[{i}]", rule) for i, rule in enumerate(facts.description.house_rules)]
    faults = [
        (at, {"allowed": rule.says, "forbidden": other.says})
        for at, rule in rules
        if rule.rule is RuleKind.PERMITTED
        for _, other in rules
        if other.rule is RuleKind.PROHIBITED and other.act is rule.act and _meet(rule, other)
    ]
    return CheckResult(tuple(at for at, _ in rules), tuple(faults), tuple(at for at, _ in rules))


def _meet(one: HouseRule, other: HouseRule) -> bool:
    """Return whether two rules of one act hold at a place in common; two readings are left to who reads them."""
    if Act.OTHER in (one.act, other.act) or _has_reading(one) or _has_reading(other):
        return False
    pairs = ((getattr(one, name), getattr(other, name)) for name in ("events", "sites", "tasks", "groups", "masks"))
    return all(not mine or not theirs or not set(mine).isdisjoint(theirs) for mine, theirs in pairs)


def _kept_out(facts: Facts, subject: Subject) -> CheckResult:
    """Nobody is named for a task that a rule forbids their group to enter, whatever is read."""
    path, group = f"{person_path(facts, subject)}.group", person_of(facts, subject).group
    names = {one.id: one.name for one in facts.description.groups}
    forbidding = [
        (at, rule, task)
        for _, task in facts.relevant_to(subject).tasks
        for at, rule in rules_in(facts, task)
        if rule.rule is RuleKind.PROHIBITED and rule.act is Act.ENTERING and not _has_reading(rule)
    ]
    if group is None or not forbidding:
        return CheckResult((path,), nothing=said("No rule keeps a group out of what they do."))
    faults = [
        (path, {"group": names[group], "rule": rule.says, "task": task.name})
        for _, rule, task in forbidding
        if group in rule.groups
    ]
    return CheckResult((path,), tuple(faults), tuple(dict.fromkeys((path, *(at for at, _, _ in forbidding)))))


def _hold_somewhere(facts: Facts, _subject: Subject) -> CheckResult:
    """Each rule holds in some task."""
    program = facts.description
    rules = [(f"house_rules[{i}]", rule) for i, rule in enumerate(program.house_rules)]
    idle = [(at, rule) for at, rule in rules if not any(holds_in(facts, rule, task) for task in program.tasks)]
    faults = [(at, {"rule": rule.says}) for at, rule in idle]
    return CheckResult(tuple(at for at, _ in rules), tuple(faults), tuple(at for at, _ in rules))


def _index_kept(facts: Facts, subject: Subject) -> CheckResult:
    """No work goes on in smoke over the index from which a rule forbids to enter."""
    path, task = facts.tasks[subject.ids[0].partition(".")[2]]
    rules = [
        (at, rule)
        for at, rule in rules_in(facts, task)
        if rule.rule is RuleKind.PROHIBITED and rule.act is Act.ENTERING and rule.index is not None
    ]
    read = [
        (f"hazards[{i}].exposure.index", hazard.exposure.index)
        for i, hazard in enumerate(facts.description.hazards)
        if hazard.task == task.id and isinstance(hazard.exposure, Smoke) and hazard.exposure.index is not None
    ]
    places = (path, *(at for at, _ in rules), *(at for at, _ in read))
    if not rules or not read:
        return CheckResult(places, nothing=said("No rule goes by an index here, or none was read."))
    faults = tuple(
        (at, {"rule": rule.says, "index": number_text(index), "most": number_text(rule.index), "task": task.name})
        for at, index in read
        for _, rule in rules
        if rule.index is not None and index > rule.index
    )
    return CheckResult(places, faults, tuple(at for at, _ in rules))


def _kept_in_emergencies(facts: Facts, _subject: Subject) -> CheckResult:
    """No mask for an emergency is one that a rule bars from the tasks in which it may come."""
    barring = [
        (f"house_rules[{i}]", rule)
        for i, rule in enumerate(facts.description.house_rules)
        if rule.rule is RuleKind.PROHIBITED and rule.act is Act.WEARING and not _has_reading(rule)
    ]
    faults, read = [], []
    for i, emergency in enumerate(facts.description.procedures.emergencies.foreseeable):
        tasks = [facts.tasks[name][1] for name in emergency.tasks]
        for j, mask in enumerate(emergency.masks):
            at = f"procedures.emergencies.foreseeable[{i}].masks[{j}]"
            read.append(at)
            faults += [
                (at, {"rule": rule.says, "mask": label_of(facts.masks[mask][1]), "emergency": emergency.what})
                for _, rule in barring
                if (not rule.masks or mask in rule.masks) and any(holds_in(facts, rule, task) for task in tasks)
            ]
    nothing = "" if barring and read else said("No rule bars a mask, or no emergency names one.")
    return CheckResult((*read, *(at for at, _ in barring)), tuple(faults), tuple(read), nothing)


HOUSE_RULE_CHECKS: dict[str, Callable[[Facts, Subject], CheckResult]] = {
    "permission-keeps-the-law": _loosens,
    "prohibition-kept": _breaks,
    "presumption-kept": _presumed,
    "group-kept-out": _kept_out,
    "rules-hold-somewhere": _hold_somewhere,
    "rules-agree": _against_each_other,
    "index-of-a-rule-kept": _index_kept,
    "prohibition-kept-in-emergencies": _kept_in_emergencies,
}
