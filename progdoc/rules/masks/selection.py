"""Which mask protects in which task, and every reason why another does not.

A task is judged once: its agents together give the protection factor a mask must have. Then each mask is
held against it. Reasons carry the code of the requirement they break; its text stands in the catalogue.
What nobody said about a mask or an agent is a reason too: protection has to be shown.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import date

from progdoc.calc.oxygen import OxygenCase
from progdoc.calc.protection import is_protective_enough
from progdoc.core.numbers import long_date, number_text
from progdoc.model.description.hazards import Form
from progdoc.model.description.masks import Facepiece, Filter, Mask, Mode
from progdoc.model.description.program import Program
from progdoc.model.description.quantities import in_unit
from progdoc.model.description.workplace import DoneBy, Gear, MaskUse, Task, Use
from progdoc.rules.air.assessment import assess
from progdoc.rules.air.hot_work import against_hot_work
from progdoc.rules.air.task_air import mixture_ratios, needed_for, task_air
from progdoc.rules.in_force.rule_set import RuleSet
from progdoc.rules.in_force.strictest import credit_cap, filter_is_below, task_rules
from progdoc.rules.judged.air_results import Assessment, TaskAir
from progdoc.rules.judged.figure_results import Setter
from progdoc.rules.judged.mask_results import Credit, MaskVerdict, MaximumUseConcentration, Selection
from progdoc.rules.judged.published import Limit
from progdoc.rules.lookup.cartridges import is_approved_for
from progdoc.rules.lookup.conversion import in_limit_unit
from progdoc.rules.lookup.facepieces import may_seal
from progdoc.rules.lookup.fit_protocols import fit_protocols
from progdoc.rules.lookup.withdrawal import is_withdrawn
from progdoc.rules.masks.charts import charts_of
from progdoc.rules.masks.credit import credit_of, maximum_use_concentrations
from progdoc.rules.masks.standards import against_standards, has_own_table, particle_filters, standard_duties
from progdoc.rules.reasons import Reason

__all__ = [
    "SEAL_BREAKERS",
    "is_for_idlh",
    "is_the_answer_to_danger",
    "judge_mask",
    "select",
    "tests_are_qualitative",
]

SEAL_BREAKERS = (Gear.SPECTACLES, Gear.SAFETY_GLASSES, Gear.GOGGLES, Gear.HOOD, Gear.HARD_HAT, Gear.FACE_SHIELD)
_MISTS = (Form.MIST, Form.MIST_AND_VAPOUR)
_HAIR = 1.0 + 1e-9

# Worst first: danger to life, then too little protection, then the wrong kind, then what is not shown.
_WORST_FIRST = (
    *("SEL-025", "SEL-001", "SEL-002", "SEL-022", "SEL-010", "SEL-004", "SEL-003", "SEL-019", "SEL-005", "SEL-024"),
    *(
        "SEL-012",
        "SEL-006",
        "SEL-007",
        "SEL-009",
        "SEL-013",
        "SEL-014",
        "SEL-026",
        "SEL-020",
        "SEL-016",
        "SEL-008",
        "SEL-023",
    ),
    *("POL-003", "POL-004", "POL-006", "POL-011", "SEL-011", "SEL-018", "SEL-017", "SEL-015", "SEL-021"),
)


def select(rules: RuleSet, as_of: date) -> Selection:
    """Assess every task and judge every mask that our people wear in it."""
    program = rules.program
    assessed = assess(rules, as_of)
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
        in_force = task_rules(rules, task)
        air[task.id] = task_air(task, f"tasks[{i}]", tuple(by_task.get(task.id, ())), altitudes, in_force, as_of)
        if task.done_by is not DoneBy.OUR_PEOPLE:
            continue
        for j, use in enumerate(task.masks):
            mask, key = masks[use.mask], (task.id, use.mask)
            fitted = [parts[part] for part in use.filters]
            qualitative = tests_are_qualitative(program, mask.facepiece)
            verdict = judge_mask(air[task.id], mask, fitted, use, f"tasks[{i}].masks[{j}]", qualitative)
            verdict = _withdrawn(verdict, as_of)
            verdicts[key] = _worse(verdicts.get(key), verdict)
            reasons[f"tasks.{task.id}", f"masks.{use.mask}"] = verdicts[key].reasons
    return Selection(
        air=air,
        masks=verdicts,
        reasons=reasons,
        charts={name: charts_of(one.agents, _worn(one.task, verdicts)) for name, one in air.items()},
        duties={name: standard_duties(agent, agent.task) for name, agent in assessed.items()},
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
    credit = credit_of(mask, most_by_taste, credit_cap(air.rules.policies, mask))
    passing = _passing(air, mask, fitted, path)
    stopped = [agent for agent in air.agents if agent.hazard.id not in passing]
    # In immediately dangerous air no concentration is one up to which a mask may be worn, (d)(3)(i)(B)(2).
    reaches = () if air.is_immediately_dangerous else stopped
    mucs = maximum_use_concentrations(reaches, credit, fitted, is_for_idlh(mask, air))
    serves_danger = is_the_answer_to_danger(mask, air)
    reasons = (
        *_against_danger(air, mask, path),
        *(() if serves_danger else _against_agents(air, mask, fitted, credit, mucs, passing, path)),
        *against_hot_work(air.task, mask, path),
        *_against_policies(air, mask, fitted, path),
        *_against_parts(mask, fitted, path),
        *_against_gear(air, mask, path),
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
    relevant = [a for a in air.agents if a.is_over_limit or a.undetermined or _is_asked(air)]
    yield from _not_said(air, mask, path)
    yield from _against_factor(air, mask, credit, mucs, path)
    yield from _against_form(air, mask, fitted, credit, passing, path)
    for agent in relevant:
        yield from against_standards(air.rules.law, agent, air.task, mask, fitted, credit, path)


def _is_asked(air: TaskAir) -> bool:
    """Whether somebody wants a mask against all of this air: named as `required_by`, or though no limit is passed."""
    return bool(air.task.required_by) or (air.task.use is Use.REQUIRED and not air.needs_mask)


def _sorted(reasons: Iterable[Reason]) -> tuple[Reason, ...]:
    """Worst first, each once: by the order of codes, cautions last, then as they came."""
    once: dict[tuple[str, str, str], Reason] = {}
    for reason in reasons:
        key = "" if reason.code == "SEL-012" else str(sorted(reason.words.items()))
        once.setdefault((reason.code, reason.path, key or reason.words.get("agent", "")), reason)
    return tuple(sorted(once.values(), key=lambda r: (r.is_caution, _WORST_FIRST.index(r.code))))


def is_for_idlh(mask: Mask, air: TaskAir) -> bool:
    """Full-facepiece pressure-demand SCBA of enough minutes, or airline with auxiliary air (d)(2)(i).

    Inside a burning building only the former (g)(4)(iii).
    """
    if mask.facepiece is not Facepiece.FULL_FACEPIECE or mask.escape_only:
        return False
    if mask.mode is Mode.SCBA_PRESSURE_DEMAND:
        minutes = 0.0 if mask.service_time is None else in_unit(mask.service_time, "min")
        return minutes >= air.rules.scba_minutes.amount("min")
    return mask.mode is Mode.AIRLINE_PRESSURE_DEMAND and mask.auxiliary_air and not air.task.structural_fire


def is_the_answer_to_danger(mask: Mask, air: TaskAir) -> bool:
    """Whether the air is immediately dangerous and the mask is one of the two kinds for it."""
    return air.is_immediately_dangerous and is_for_idlh(mask, air)


def _not_for_danger(air: TaskAir, mask: Mask, path: str) -> Reason:
    minutes = air.rules.scba_minutes
    if minutes.setter is Setter.POLICY and mask.service_time is not None:
        longer = mask.model_copy(update={"service_time": minutes.value})
        by_law = in_unit(mask.service_time, "min") >= air.rules.law.amount("scba-service-time", "min")
        if by_law and is_for_idlh(longer, air):
            words = {"policy": minutes.origin, "least": minutes.printed, "found": mask.service_time.printed}
            return Reason("POL-011", path, {**words, "citation": minutes.origin})
    cites = {"citation": air.danger_set_by} if air.danger_set_by else {}
    return Reason("SEL-001", path, {"danger": "; ".join(air.danger), **cites})


def _purifies(mask: Mask) -> bool:
    return mask.mode in (Mode.AIR_PURIFYING, Mode.POWERED)


def _not_said(air: TaskAir, mask: Mask, path: str) -> Iterator[Reason]:
    """Silence about the mask or the air: no protection is shown."""
    if mask.facepiece is None:
        yield Reason("SEL-018", path, {"because": "nobody says what kind of facepiece it has"})
    if mask.mode is None:
        yield Reason("SEL-018", path, {"because": "nobody says where its air comes from"})
    for agent in air.agents:
        name = agent.hazard.agent
        if agent.hazard.form is None and mask.mode is not None and _purifies(mask):
            words = {"because": f"nobody says in which form {name} is in the air"}
            yield Reason("SEL-018", path, words)
        for limit in agent.undetermined:
            yield Reason("SEL-018", path, {"because": f"nobody knows the level of {name} for the limit of {limit}"})


def _against_danger(air: TaskAir, mask: Mask, path: str) -> Iterator[Reason]:
    if mask.escape_only:
        yield Reason("SEL-010", path)
        return
    if air.is_immediately_dangerous and not is_for_idlh(mask, air):
        yield _not_for_danger(air, mask, path)
    elif air.oxygen is OxygenCase.EXCEPTION and _purifies(mask):
        yield Reason("SEL-002", path, {"citation": air.oxygen_set_by} if air.oxygen_set_by else {})
    if air.needs_enriched_air and air.needs_mask:
        yield Reason("SEL-022", path)


def _against_factor(
    air: TaskAir, mask: Mask, credit: Credit, mucs: tuple[MaximumUseConcentration, ...], path: str
) -> Iterator[Reason]:
    if mask.escape_only or mask.facepiece is None or mask.mode is None:
        return
    if credit.apf is None:
        yield Reason("SEL-004", path)
        return
    by_factor = tuple(agent for agent in air.agents if not has_own_table(agent))
    needed = needed_for(air.task, by_factor) if len(by_factor) < len(air.agents) else air.needed
    if not is_protective_enough(credit.apf, needed):
        above = "over " if needed.strictly_above else ""
        words = {
            "apf": number_text(credit.apf, "down"),
            "needed": f"{above}{number_text(needed.value, 'up')}{_who_asks(by_factor)}",
            "because": f" ({credit.note})" if credit.note else "",
            **_policy_alone(air, by_factor, credit),
        }
        yield Reason("SEL-003", path, words)
    for muc in mucs:
        if muc.passed_cap:
            cap = {"idlh": "IDLH value"}.get(muc.passed_cap, muc.passed_cap)
            more = f": {muc.derived}" if muc.derived else ""
            words = {"agent": muc.agent, "most": muc.cap_printed, "cap": cap, "more": more}
            yield Reason("SEL-005", path, words)


def _policy_alone(air: TaskAir, agents: Sequence[Assessment], credit: Credit) -> dict[str, str]:
    """Return the policy to cite where by the law's limits and factors the mask would do."""
    legal = tuple(replace(a, ratios=tuple(r for r in a.ratios if not _is_by_policy(r.limit))) for a in agents)
    if credit.uncapped is None or not is_protective_enough(credit.uncapped, needed_for(air.task, legal)):
        return {}
    if credit.cap is not None:
        return {"citation": credit.cap.origin}
    worst = max((r for a in agents for r in a.ratios if _is_by_policy(r.limit)), key=lambda r: r.value, default=None)
    return {"citation": worst.limit.citation} if worst else {}


def _is_by_policy(limit: Limit) -> bool:
    return limit.note.startswith("policy ")


def _who_asks(agents: Iterable[Assessment]) -> str:
    """Name the policy behind the limit that governs, if it is one."""
    governing = max((g for a in agents if (g := a.governing) is not None), key=lambda r: r.value, default=None)
    return f", by {governing.limit.citation}" if governing and _is_by_policy(governing.limit) else ""


# ---- gas, vapour and particles ------------------------------------------------------------------------


def _passing(air: TaskAir, mask: Mask, fitted: list[Filter], path: str) -> dict[str, list[Reason]]:
    """Return the hazards that the filters of a mask do not stop, or are not shown to, whatever their level, and why."""
    if not _purifies(mask):
        return {}
    stopped_by = particle_filters(mask, fitted)
    gas_parts = [part for part in fitted if part.gases or part.agents]
    passing: dict[str, list[Reason]] = {}
    for agent in air.agents:
        words = {"agent": agent.hazard.agent}
        found = [Reason("SEL-007", path, words)] if agent.is_particle and not stopped_by else []
        found += _against_gas(agent, gas_parts, path, words) if agent.is_gas else []
        if found:
            passing[agent.hazard.id] = found
    return passing


def _against_form(
    air: TaskAir,
    mask: Mask,
    fitted: list[Filter],
    credit: Credit,
    passing: Mapping[str, list[Reason]],
    path: str,
) -> Iterator[Reason]:
    """Name what passes the filters, where that agent is over its limit or the air behind the mask would be."""
    asked = _is_asked(air)
    if not _purifies(mask) or not (air.needs_mask or asked):
        return
    series = [part.value for part in particle_filters(mask, fitted) if part.value.startswith("N")]
    for agent in air.agents if series else ():
        words = {"agent": agent.hazard.agent}
        if agent.hazard.oil:
            yield Reason("SEL-008", path, {**words, "filter": ", ".join(series)})
        elif agent.hazard.oil is None and agent.hazard.form in _MISTS:
            because = (
                f"nobody says whether the mist of {agent.hazard.agent} is oil, which filter {series[0]} cannot stand"
            )
            yield Reason("SEL-018", path, {"because": because})
    is_mixture_left = _behind_mask(air, set(passing), credit.apf or 1.0) > _HAIR
    summed = mixture_ratios(air.agents)
    for agent in air.agents:
        in_mixture = is_mixture_left and agent.name in summed
        counts = asked or in_mixture or agent.is_over_limit or agent.undetermined
        yield from passing.get(agent.hazard.id, ()) if counts else ()


def _behind_mask(air: TaskAir, passing: set[str], apf: float) -> float:
    """Return the mixture sum behind a mask: agents it stops divided by its factor, the others in full."""
    total: dict[str, float] = {}
    for agent in air.agents:
        for ratio in mixture_ratios((agent,)).values():
            behind = ratio if agent.hazard.id in passing else ratio / apf
            total[agent.name] = max(total.get(agent.name, 0.0), behind)
    return sum(total[name] for name in sorted(total)) if len(total) > 1 else 0.0


def _against_gas(agent: Assessment, gas_parts: list[Filter], path: str, words: dict[str, str]) -> list[Reason]:
    barred = agent.substance.air_purifying_barred_by if agent.substance else ""
    if barred:
        return [Reason("SEL-012", path, {**words, "standard": barred})]
    if not gas_parts:
        return [Reason("SEL-006", path, words)]
    named = {**words, "cartridge": ", ".join(part.name or part.id for part in gas_parts)}
    answers = [is_approved_for(part, agent.hazard.agent, agent.substance) for part in gas_parts]
    if not any(answers):
        return [Reason("SEL-011" if None in answers else "SEL-009", path, named)]
    if agent.during_task is not None and any(
        part.most is not None and in_limit_unit(part.most, agent.unit, agent.substance) is None for part in gas_parts
    ):
        because = f"its cartridge's limit cannot be compared with the level of {agent.hazard.agent}"
        return [Reason("SEL-018", path, {"because": because})]
    return []


# ---- policies, parts and gear -------------------------------------------------------------------------


def _against_policies(air: TaskAir, mask: Mask, fitted: list[Filter], path: str) -> Iterator[Reason]:
    for origin in air.rules.dust_masks_barred_by if mask.facepiece is Facepiece.FILTERING_FACEPIECE else ():
        yield Reason("POL-004", path, {"policy": origin, "citation": origin})
    for origin in air.rules.air_purifying_barred_by if _purifies(mask) else ():
        yield Reason("POL-006", path, {"policy": origin, "citation": origin})
    if not _purifies(mask) or not any(agent.is_particle for agent in air.agents):
        return
    for wanted, origin in air.rules.least_filters:
        below = [part.value for part in particle_filters(mask, fitted) if filter_is_below(part, wanted)]
        if below:
            asked = {"policy": origin, "least": wanted.value, "citation": origin}
            yield Reason("POL-003", path, {**asked, "filter": ", ".join(below)})


def _against_parts(mask: Mask, fitted: list[Filter], path: str) -> Iterator[Reason]:
    """A filter that is not among those said to fit the mask voids its approval (d)(1)(ii); a dust mask takes none."""
    takes_none = mask.facepiece is Facepiece.FILTERING_FACEPIECE
    strange = [part for part in fitted if takes_none or (mask.filters and part.id not in mask.filters)]
    if strange:
        yield Reason("SEL-023", path, {"filter": ", ".join(part.name or part.id for part in strange)})


def _against_gear(air: TaskAir, mask: Mask, path: str) -> Iterator[Reason]:
    if not may_seal(mask):
        return
    worn = [gear for gear in air.task.gear if gear in SEAL_BREAKERS]
    if worn and air.task.gear_clear_of_seal is not True:
        yield Reason("SEL-017", path, {"gear": ", ".join(gear.value.replace("-", " ") for gear in worn)})
