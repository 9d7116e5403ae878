"""Which mask protects in which task, and every reason why another does not.

A task is judged once: its agents together give the protection factor a mask must have. Then each mask is
held against it. Reasons carry the code of the requirement they break; its text stands in the catalogue.
What nobody said about a mask or an agent is a reason too: protection has to be shown.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from datetime import date

from progdoc.core.numbers import long_date
from progdoc.core.said import said, same
from progdoc.model.description.masks import Facepiece, Filter, Mask, Mode
from progdoc.model.description.program import Program
from progdoc.model.description.quantities import in_unit
from progdoc.model.description.workplace import DoneBy, MaskUse, Task
from progdoc.rules.air.assessment import assess
from progdoc.rules.air.blasting import against_blasting
from progdoc.rules.air.hot_work import against_hot_work
from progdoc.rules.air.task_air import task_air
from progdoc.rules.air.work_masks import against_special_work
from progdoc.rules.in_force.rule_set import RuleSet
from progdoc.rules.in_force.strictest import credit_cap, task_rules
from progdoc.rules.judged.air_results import Assessment, TaskAir
from progdoc.rules.judged.mask_results import Credit, MaskVerdict, MaximumUseConcentration, Selection
from progdoc.rules.lookup.facepieces import purifies, seals
from progdoc.rules.lookup.fit_protocols import fit_protocols
from progdoc.rules.lookup.withdrawal import is_withdrawn
from progdoc.rules.masks.charts import chart_of
from progdoc.rules.masks.credit import credit_of, maximum_use_concentrations
from progdoc.rules.masks.danger import against_danger, is_for_idlh, is_the_answer_to_danger
from progdoc.rules.masks.day_dose import sums_of_days, with_days
from progdoc.rules.masks.decided_by import cite_policies
from progdoc.rules.masks.escape import escape_from
from progdoc.rules.masks.factor import against_factor
from progdoc.rules.masks.filtering import against_form, let_through
from progdoc.rules.masks.fittings import against_gear, against_parts
from progdoc.rules.masks.policy_bars import against_policies
from progdoc.rules.masks.standard_cartridges import against_cartridges
from progdoc.rules.masks.standard_duties import standard_duties
from progdoc.rules.masks.standards import against_standards
from progdoc.rules.reasons import Reason

__all__ = ["judge_mask", "select", "tests_are_qualitative"]

# Worst first: danger to life, then too little protection, then the wrong kind, then what is not shown.
_WORST_FIRST = (
    *("SEL-025", "SEL-001", "SEL-002", "SEL-022", "SEL-010", "SEL-004", "SEL-003", "SEL-019", "SEL-005", "SEL-024"),
    *(
        "BLA-002",
        "BLA-003",
        "BRG-001",
        "SEL-012",
        "SEL-006",
        "SEL-007",
        "SEL-009",
        "SEL-013",
        "SEL-014",
        "SEL-026",
        "SEL-027",
        "SEL-028",
        "SEL-020",
        "SEL-016",
        "SEL-008",
        "SEL-023",
    ),
    *(
        "POL-003",
        "POL-004",
        "POL-006",
        "POL-011",
        "POL-012",
        "SEL-011",
        "SEL-018",
        "SEL-029",
        "SEL-017",
        "SEL-015",
        "SEL-021",
        "HAZ-001",
    ),
)


_HAIR = 1.0 + 1e-9  # what changing units adds to a flow just at its limit


def select(rules: RuleSet, as_of: date) -> Selection:
    """Assess every task and judge every mask that our people wear in it; each reason cites who decided it."""
    return cite_policies(rules, lambda bound: _selected(bound, as_of))


def _selected(rules: RuleSet, as_of: date) -> Selection:
    assessed = assess(rules, as_of)
    alone = _judged(rules, assessed, as_of)
    of_the_day = with_days(rules.program, assessed, alone)
    found = alone if of_the_day is assessed else _judged(rules, of_the_day, as_of)
    return replace(found, days=sums_of_days(assessed, found))


def _judged(rules: RuleSet, assessed: Mapping[str, Assessment], as_of: date) -> Selection:
    program = rules.program
    masks = {mask.id: mask for mask in program.masks}
    parts = {part.id: part for part in program.filters}
    sites = {site.id: site.altitude for site in program.organisation.sites}
    reasons: dict[tuple[str, ...], tuple[Reason, ...]] = {
        (f"tasks.{a.task.id}", f"hazards.{a.hazard.id}"): a.reasons
        for a in assessed.values()
        if a.task.done_by is DoneBy.OUR_PEOPLE
    }
    air: dict[str, TaskAir] = {}
    verdicts: dict[tuple[str, str], MaskVerdict] = {}
    by_task: dict[str, list[Assessment]] = {}
    for assessment in assessed.values():
        by_task.setdefault(assessment.task.id, []).append(assessment)
    for i, task in enumerate(program.tasks):
        altitudes = [sites[site] for site in task.sites]
        in_force = task_rules(rules, task, [masks[use.mask] for use in task.masks])
        air[task.id] = task_air(task, f"tasks[{i}]", tuple(by_task.get(task.id, ())), altitudes, in_force, as_of)
        if task.done_by is not DoneBy.OUR_PEOPLE:
            continue
        for j, use in enumerate(task.masks):
            mask, key = masks[use.mask], (task.id, use.mask)
            fitted = [parts[part] for part in use.filters]
            there = tuple(agent for agent in air[task.id].agents if agent.hazard.id in use.against)
            around = task_air(task, f"tasks[{i}]", there, altitudes, in_force, as_of) if there else air[task.id]
            qualitative = tests_are_qualitative(program, mask.facepiece)
            verdict = judge_mask(around, mask, fitted, use, f"tasks[{i}].masks[{j}]", qualitative)
            verdict = _withdrawn(verdict, as_of)
            verdicts[key] = _worse(verdicts.get(key), verdict)
            reasons[f"tasks.{task.id}", f"masks.{use.mask}"] = verdicts[key].reasons
    return Selection(
        air=air,
        masks=verdicts,
        reasons=reasons,
        charts={name: chart_of(one.agents, _worn(one.task, verdicts)) for name, one in air.items()},
        duties={
            name: standard_duties(agent, [masks[use.mask] for use in agent.task.masks])
            for name, agent in assessed.items()
        },
        escape={name: escape_from(one, rules, as_of) for name, one in air.items()},
    )


def _worn(task: Task, verdicts: Mapping[tuple[str, str], MaskVerdict]) -> list[MaskVerdict]:
    return [verdicts[task.id, use.mask] for use in task.masks if (task.id, use.mask) in verdicts]


def _worse(one: MaskVerdict | None, other: MaskVerdict) -> MaskVerdict:
    """Join the verdicts on one mask named twice in a task, with different filters: it has to do with each."""
    if one is None:
        return other
    base = other if one.is_adequate else one
    return replace(base, reasons=_sorted((*one.reasons, *other.reasons)))


def _withdrawn(verdict: MaskVerdict, as_of: date) -> MaskVerdict:
    """From the day of its withdrawal a mask is good for nothing, whatever it is."""
    gone = verdict.mask.withdrawn
    if gone is None or not is_withdrawn(verdict.mask, as_of):
        return verdict
    reason = Reason("SEL-025", verdict.path, {"since": long_date(gone.since), "because": gone.because})
    return replace(verdict, mucs=(), reasons=_sorted((reason, *verdict.reasons)))


def tests_are_qualitative(program: Program, facepiece: Facepiece | None) -> bool:
    """Whether no quantitative fit test in use serves a facepiece, so that credit ends at 10, (f)(6)."""
    used = [fit_protocols().get(name) for name in program.procedures.fit_testing.protocols]
    return not any(p is not None and p["kind"] == "quantitative" and facepiece in p["masks"] for p in used)


# ---- one mask in one task -----------------------------------------------------------------------------


def judge_mask(
    air: TaskAir, mask: Mask, fitted: list[Filter], use: MaskUse, path: str, qualitative_only: bool
) -> MaskVerdict:
    """Hold a mask with its filters against the air of a task; all reasons are given, not the first."""
    most_by_taste = air.rules.qualitative_credit.number if qualitative_only else None
    credit = credit_of(mask, most_by_taste, credit_cap(air.rules.of(mask).policies, mask))
    passing = let_through(air, mask, fitted, path)
    stopped = [agent for agent in air.agents if agent.hazard.id not in passing]
    # In immediately dangerous air no concentration is one up to which a mask may be worn, (d)(3)(i)(B)(2).
    reaches = () if air.is_immediately_dangerous else stopped
    mucs = maximum_use_concentrations(reaches, credit, fitted, is_for_idlh(mask, air))
    serves_danger = is_the_answer_to_danger(mask, air)
    reasons = (
        *against_danger(air, mask, path),
        *(() if serves_danger else _against_agents(air, mask, fitted, credit, mucs, passing, path)),
        *against_hot_work(air.task, mask, path),
        *against_blasting(air, mask, path),
        *against_special_work(air, mask, path),
        *against_policies(air, mask, fitted, path),
        *against_parts(mask, fitted, path),
        *against_gear(air, mask, path),
    )
    passes = tuple(dict.fromkeys(a.hazard.agent for a in air.agents if a.hazard.id in passing))
    return MaskVerdict(mask, use, path, credit, mucs, _sorted(reasons), passes)


def _against_agents(
    air: TaskAir,
    mask: Mask,
    fitted: list[Filter],
    credit: Credit,
    mucs: tuple[MaximumUseConcentration, ...],
    passing: Mapping[str, list[Reason]],
    path: str,
) -> Iterator[Reason]:
    """What the agents of the air ask; a mask for immediately dangerous air is asked none of it there, (d)(2)(i)."""
    together = air.over_together
    relevant = [a for a in air.agents if a.is_over_limit or a.undetermined or air.is_asked_for or a.name in together]
    yield from _not_said(air, mask, path)
    yield from against_factor(air, mask, credit, mucs, path)
    yield from against_form(air, mask, fitted, credit, passing, path)
    for agent in relevant:
        yield from against_standards(air.rules.law, agent, air.task, mask, fitted, credit, path)
        yield from against_cartridges(agent, air.task, mask, fitted, path)


def _sorted(reasons: Iterable[Reason]) -> tuple[Reason, ...]:
    """Worst first, each once: by the order of codes, cautions last, then as they came."""
    once: dict[tuple[str, str, str], Reason] = {}
    for reason in reasons:
        key = "" if reason.code == "SEL-012" else str(sorted(reason.words.items()))
        once.setdefault((reason.code, reason.path, key or reason.words.get("agent", "")), reason)
    return tuple(sorted(once.values(), key=lambda r: (r.is_caution, _WORST_FIRST.index(r.code))))


def _not_said(air: TaskAir, mask: Mask, path: str) -> Iterator[Reason]:
    """Silence about the mask or the air: no protection is shown."""
    if mask.facepiece is None:
        yield Reason("SEL-018", path, {"because": said("nobody says what kind of facepiece it has")})
    if mask.mode is None:
        yield Reason("SEL-018", path, {"because": said("nobody says where its air comes from")})
    if mask.mode is Mode.POWERED and mask.facepiece is not None and mask.blower_flow is not None:
        kind = "tight-fitting" if seals(mask.facepiece) else "loose-fitting"
        least = air.rules.law.amount(f"blower-{kind}", "L/min")
        if in_unit(mask.blower_flow, "L/min") * _HAIR < least:
            told = said(
                "its blower moves %(blower_flow)s, and a %(kind)s one is taken to need %(least)s L/min",
                blower_flow=mask.blower_flow.printed,
                kind=kind,
                least=same(f"{least:g}"),
            )
            yield Reason("SEL-018", path, {"because": told})
    for agent in air.agents:
        name = agent.hazard.agent
        if agent.hazard.form is None and mask.mode is not None and purifies(mask):
            words = {"because": said("nobody says in which form %(name)s is in the air", name=name)}
            yield Reason("SEL-018", path, words)
        for limit in agent.undetermined:
            yield Reason(
                "SEL-018",
                path,
                {
                    "because": said(
                        "nobody knows the level of %(name)s for the limit of %(limit)s", name=name, limit=limit
                    )
                },
            )
