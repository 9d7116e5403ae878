"""Looks at records: the few proofs that need more than one field and the day of evaluation.

Each check returns the places it read and, for each thing wrong, a place and the words for the placeholders
of the requirement's text. A medical reason never appears among the words: it is not in the description.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator

from progdoc.calc.oxygen import OxygenCase
from progdoc.core.said import said, said_choice, said_join
from progdoc.model.description.masks import Facepiece
from progdoc.model.description.workplace import DoneBy, OthersAre, Use
from progdoc.rules.air.regulated_areas import area_paragraph
from progdoc.rules.check_result import CheckResult, result_at
from progdoc.rules.facts import Facts
from progdoc.rules.lookup.facepieces import seals
from progdoc.rules.lookup.telling_words import is_told, own_people
from progdoc.rules.policy.group_policy_checks import GROUP_POLICY_CHECKS
from progdoc.rules.policy.order_checks import ORDER_CHECKS
from progdoc.rules.policy.policy_checks import POLICY_CHECKS
from progdoc.rules.reading.claim_checks import CLAIM_CHECKS
from progdoc.rules.reading.text_checks import TEXT_CHECKS
from progdoc.rules.reading.text_figures import TEXT_FIGURE_CHECKS
from progdoc.rules.records.agent_claims import AGENT_CLAIM_CHECKS
from progdoc.rules.records.air_checks import AIR_CHECKS
from progdoc.rules.records.air_supplier_checks import AIR_SUPPLIER_CHECKS
from progdoc.rules.records.alternative_checks import ALTERNATIVE_CHECKS
from progdoc.rules.records.approval_checks import APPROVAL_CHECKS
from progdoc.rules.records.assembly_checks import ASSEMBLY_CHECKS
from progdoc.rules.records.calendar_checks import CALENDAR_CHECKS
from progdoc.rules.records.change_words import CHANGE_WORD_CHECKS
from progdoc.rules.records.contradictions import CONTRADICTION_CHECKS
from progdoc.rules.records.control_checks import CONTROL_CHECKS
from progdoc.rules.records.dangling_words import DANGLING_WORD_CHECKS
from progdoc.rules.records.days_of_a_year import YEAR_CHECKS
from progdoc.rules.records.device_checks import DEVICE_CHECKS
from progdoc.rules.records.emergency_use_checks import EMERGENCY_USE_CHECKS
from progdoc.rules.records.entry_checks import ENTRY_CHECKS
from progdoc.rules.records.escape_checks import ESCAPE_CHECKS
from progdoc.rules.records.filter_checks import FILTER_CHECKS
from progdoc.rules.records.fit_checks import FIT_CHECKS
from progdoc.rules.records.fit_gear_checks import FIT_GEAR_CHECKS
from progdoc.rules.records.fit_record_checks import FIT_RECORD_CHECKS
from progdoc.rules.records.group_checks import GROUP_CHECKS
from progdoc.rules.records.hot_work_checks import HOT_WORK_CHECKS
from progdoc.rules.records.house_rule_checks import HOUSE_RULE_CHECKS
from progdoc.rules.records.industry_checks import industry_said_where_it_decides
from progdoc.rules.records.leaver_checks import LEAVER_CHECKS
from progdoc.rules.records.life_cycle_checks import LIFE_CYCLE_CHECKS
from progdoc.rules.records.mask_stock import STOCK_CHECKS
from progdoc.rules.records.name_checks import NAME_CHECKS
from progdoc.rules.records.own_text_checks import OWN_TEXT_CHECKS
from progdoc.rules.records.protocol_checks import PROTOCOL_CHECKS
from progdoc.rules.records.reading_checks import READING_CHECKS
from progdoc.rules.records.renewal_checks import RENEWAL_CHECKS
from progdoc.rules.records.rescue_checks import RESCUE_CHECKS
from progdoc.rules.records.role_checks import ROLE_CHECKS
from progdoc.rules.records.smoke_checks import SMOKE_CHECKS
from progdoc.rules.records.special_work_checks import SPECIAL_WORK_CHECKS
from progdoc.rules.records.state_work_checks import STATE_WORK_CHECKS
from progdoc.rules.records.surveillance_checks import SURVEILLANCE_CHECKS
from progdoc.rules.records.upkeep_checks import UPKEEP_CHECKS
from progdoc.rules.records.wearer_checks import WEARER_CHECKS, latest_clearance
from progdoc.rules.refused_evidence import charge_against
from progdoc.rules.requirement import Subject

__all__ = ["CHECKS", "latest_clearance"]

# ---- the workplace ------------------------------------------------------------------------------------


def _person_unknown_to_records(facts: Facts, subject: Subject) -> CheckResult:
    """A task in which a mask is required names nobody who does it."""
    path, task = facts.tasks[subject.ids[0].partition(".")[2]]
    return result_at(f"{path}.people", None if task.people else {})


def _nothing_assessed(facts: Facts, subject: Subject) -> CheckResult:
    """A task in which masks are worn has no hazard described."""
    path, task = facts.tasks[subject.ids[0].partition(".")[2]]
    return result_at(path, None if task.id in facts.hazards_by_task else {})


def _no_task_needs_judging(facts: Facts, _subject: Subject) -> CheckResult:
    """No task at all is described: nobody has looked for hazards."""
    return result_at("tasks", None if facts.description.tasks else {})


def _too_little_choice(facts: Facts, subject: Subject) -> CheckResult:
    """One model in one size is no choice; two of either are the least that can be called one (our reading)."""
    required = {use.mask for _, task in facts.our_tasks if facts.is_worn(task) for use in task.masks}
    offered: dict[Facepiece, dict[str, int]] = {}  # sizes by the place that offers them
    for path, mask in facts.relevant_to(subject).masks:
        if mask.facepiece is None or mask.escape_only or not seals(mask.facepiece):
            continue
        if mask.id not in required and not facts.is_kept(mask):
            continue  # worn by choice alone: whom it does not suit may leave it off
        offered.setdefault(mask.facepiece, {})[f"{path}.sizes"] = len(set(mask.sizes))
    read = tuple(path for places in offered.values() for path in places)
    faults = [
        (next(iter(places)), {"kind": said_choice(kind), "offered": _offered(places)})
        for kind, places in offered.items()
        if sum(places.values()) < _CHOICE
    ]
    return CheckResult(read, tuple(faults), tuple(path for places in offered.values() for path in _enough(places)))


def _offered(places: dict[str, int]) -> str:
    """Say what is offered of a kind, where that is too little; a size that nobody told is not called the only one."""
    if not all(places.values()):
        return said("one model is described, and not in which sizes it is kept")
    return said("only one model in one size is offered")


def _enough(places: dict[str, int]) -> Iterator[str]:
    """Yield as many places as it takes for a choice, those that offer most first."""
    found = 0
    for path, sizes in sorted(places.items(), key=lambda place: -place[1]):
        if found >= _CHOICE:
            return
        found += sizes
        yield path


def _filter_kind_unknown(facts: Facts, subject: Subject) -> CheckResult:
    part = facts.value_at(subject.path)
    known = part.particulate is not None or part.gases or part.agents
    return result_at(f"{subject.path}.particulate", None if known else {})


def _declared_voluntary(facts: Facts, subject: Subject) -> CheckResult:
    """A task is called voluntary, or mask-free, though its air calls for a mask or somebody asks for one."""
    path, task = facts.tasks[subject.ids[0].partition(".")[2]]
    advised = (
        said("%(advised_by)s advises one, and then it is required", advised_by=task.advised_by)
        if task.advised_by
        else ""
    )
    asked = said("%(required_by)s asks for a mask", required_by=task.required_by) if task.required_by else advised
    air = facts.selection.air[task.id]
    open_findings = dict.fromkeys(code for a in air.agents for code in a.unknown_by)
    because = asked
    if facts.is_needed(task):
        open_words = said(
            "nobody knows yet how bad its air is (%(open_findings)s)", open_findings=said_join(open_findings, ", ")
        )
        because = open_words if open_findings else said("its air calls for a mask")
    setters = [agent.needed_by_policy for agent in air.agents if agent.is_over_limit]
    setters += [air.danger_set_by] if air.danger else [air.oxygen_set_by] if air.oxygen is OxygenCase.EXCEPTION else []
    cites = {"citation": setters[0]} if setters and all(setters) and not asked else {}
    areas = [area_paragraph(agent.hazard, task, agent.substance) for agent in air.agents]
    if not asked and any(areas) and not open_findings and not air.is_immediately_dangerous:
        because, cites = said("it is done in a regulated area"), {"citation": next(filter(None, areas))}
    if task.use not in (Use.VOLUNTARY, Use.NONE) or not because:
        return result_at(f"{path}.use", None)
    return result_at(f"{path}.use", {"use": task.use.value, "because": because, **cites})


_UNDER_OUR_DIRECTION = (OthersAre.PEOPLE_OF_OURS, OthersAre.HIRED_BY_US)


def _our_people_in_work_of_others(facts: Facts, subject: Subject) -> CheckResult:
    """A task that nobody of the firm does names people of the firm: one of the two is wrong."""
    path, task = facts.tasks[subject.ids[0].partition(".")[2]]
    if task.done_by is DoneBy.OUR_PEOPLE:
        return CheckResult((f"{path}.done_by",), nothing=said("The firm's own people do it."))
    words = {"done_by": task.done_by.value}
    faults = [(f"{path}.people", words)] if task.people else []
    faults += [(f"{path}.others", words)] if task.others and own_people(task.others, facts.names_of_ours) else []
    faults += [(f"{path}.others_are", words)] if task.others_are in _UNDER_OUR_DIRECTION else []
    read = (f"{path}.people", f"{path}.others", f"{path}.others_are")
    return CheckResult(read, tuple(faults), (f"{path}.done_by",))


def _text_is_empty(facts: Facts, subject: Subject) -> CheckResult:
    """Such subjects are only the texts that hold the place of an answer; told is the one thing held against each."""
    return result_at(subject.path, {"charge": charge_against(subject.path, facts.empty_text_at[subject.path])})


def _official_text_undated(facts: Facts, _subject: Subject) -> CheckResult:
    """A text whose content the law binds is attached, and nobody says of what day it is, or it is called another."""
    procedures = facts.description.procedures
    appendices = {
        procedures.medical.questionnaire.attachment: "appendix_c",
        procedures.voluntary_use.appendix_d_attachment: "appendix_d",
    }
    texts = [(f"attachments[{i}]", one) for i, one in enumerate(facts.description.attachments) if one.id in appendices]
    faults = [
        (f"{path}.date", {"title": text.title, "trouble": said("has no date")})
        for path, text in texts
        if text.date is None
    ]
    faults += [
        (f"{path}.title", {"title": text.title, "trouble": said("is not called by the appendix that it stands for")})
        for path, text in texts
        if not is_told(appendices[text.id], f"{text.title} {_NOT_A_LETTER.sub(' ', text.file)}")
    ]
    return CheckResult(tuple(f"{path}.{name}" for path, _ in texts for name in ("date", "title")), tuple(faults))


_NOT_A_LETTER = re.compile("[^A-Za-z]")
_CHOICE = 2  # models or sizes

Check = Callable[[Facts, Subject], CheckResult]

CHECKS: dict[str, Check] = {
    "people-named": _person_unknown_to_records,
    "hazards-described": _nothing_assessed,
    "tasks-described": _no_task_needs_judging,
    "choice-offered": _too_little_choice,
    "filter-kind-given": _filter_kind_unknown,
    "use-declared-rightly": _declared_voluntary,
    "left-to-others": _our_people_in_work_of_others,
    "official-texts-dated": _official_text_undated,
    "industry-said-where-it-decides": industry_said_where_it_decides,
    "text-answers": _text_is_empty,
    "text-of-people-answers": _text_is_empty,
    **AGENT_CLAIM_CHECKS,
    **NAME_CHECKS,
    **ROLE_CHECKS,
    **GROUP_CHECKS,
    **HOUSE_RULE_CHECKS,
    **LIFE_CYCLE_CHECKS,
    **OWN_TEXT_CHECKS,
    **CONTROL_CHECKS,
    **AIR_SUPPLIER_CHECKS,
    **ALTERNATIVE_CHECKS,
    **FIT_GEAR_CHECKS,
    **AIR_CHECKS,
    **APPROVAL_CHECKS,
    **READING_CHECKS,
    **STOCK_CHECKS,
    **CONTRADICTION_CHECKS,
    **YEAR_CHECKS,
    **ASSEMBLY_CHECKS,
    **EMERGENCY_USE_CHECKS,
    **WEARER_CHECKS,
    **FIT_CHECKS,
    **PROTOCOL_CHECKS,
    **POLICY_CHECKS,
    **GROUP_POLICY_CHECKS,
    **ORDER_CHECKS,
    **FIT_RECORD_CHECKS,
    **UPKEEP_CHECKS,
    **RENEWAL_CHECKS,
    **FILTER_CHECKS,
    **CHANGE_WORD_CHECKS,
    **ESCAPE_CHECKS,
    **SURVEILLANCE_CHECKS,
    **HOT_WORK_CHECKS,
    **SPECIAL_WORK_CHECKS,
    **SMOKE_CHECKS,
    **STATE_WORK_CHECKS,
    **ENTRY_CHECKS,
    **RESCUE_CHECKS,
    **DANGLING_WORD_CHECKS,
    **LEAVER_CHECKS,
    **DEVICE_CHECKS,
    **CALENDAR_CHECKS,
    **TEXT_CHECKS,
    **CLAIM_CHECKS,
    **TEXT_FIGURE_CHECKS,
}
