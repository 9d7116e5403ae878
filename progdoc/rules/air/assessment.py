"""Each hazard of each task, assessed: how many times over its limits the air is, or why nobody can tell.

Unknown is never harmless: a hazard that can't be assessed makes the air of its task immediately dangerous
(29 CFR 1910.134(d)(1)(iii)). Where a substance standard leaves that paragraph out, progdoc still treats it
so: our choice, the stricter one. A policy adds limits; it never makes an unknown level known.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import field, replace
from datetime import date

from progdoc.calc.exposure import hazard_ratio
from progdoc.core.late_dataclass import dataclass
from progdoc.core.numbers import number_text
from progdoc.core.said import said, said_choice, said_join, same
from progdoc.core.worked import Input, Rounding, Worked, followed
from progdoc.model.description.exposure_evidence import (
    Estimate,
    Judgment,
    LeadTask,
    ObjectiveData,
    Samples,
    SilicaTable1,
    Smoke,
    Unknown,
)
from progdoc.model.description.hazards import Form, Hazard, Peak
from progdoc.model.description.program import Program
from progdoc.model.description.quantities import unit_symbol
from progdoc.model.description.upkeep import CartridgeLoad
from progdoc.model.description.workplace import Task
from progdoc.rules.air import carcinogens
from progdoc.rules.air.asbestos import class_asks_for_mask, is_classed, unsaid_of_class
from progdoc.rules.air.coverage import short_of
from progdoc.rules.air.environmental import environmental_rule, open_about
from progdoc.rules.air.evidence import Evidence, aged, evidence_known, groundless, nonsense, own_unit
from progdoc.rules.air.floors import Floor, lead_floor, long_table_1_tasks, table_1_floor
from progdoc.rules.air.fractions import Measured, names_every_fraction
from progdoc.rules.air.home_paragraphs import at_home
from progdoc.rules.air.levels import level_against
from progdoc.rules.air.monitoring import monitoring_overdue
from progdoc.rules.air.no_level import NoLevel
from progdoc.rules.air.peaks import Found, highest_with_peaks, peaks_known, with_peaks
from progdoc.rules.air.regulated_areas import area_paragraph
from progdoc.rules.air.saturation import over_saturation
from progdoc.rules.air.smoke import smoke_floor
from progdoc.rules.air.working_levels import average_level, highest_level
from progdoc.rules.in_force.local_limits import local_limits
from progdoc.rules.in_force.rule_set import RuleSet, law_for
from progdoc.rules.in_force.strictest import danger_level, mask_share, policy_limits
from progdoc.rules.judged.air_results import Assessment, Bound, Level, Ratio
from progdoc.rules.judged.figure_results import Law
from progdoc.rules.judged.published import Limit, LimitKind, Substance
from progdoc.rules.lookup.answers_said import is_declared_unknown
from progdoc.rules.lookup.cartridges import needed_cartridge
from progdoc.rules.lookup.cited import cited
from progdoc.rules.lookup.law_tables import assigned_factors_for
from progdoc.rules.lookup.limits import OWN_LIMIT, binding_limits
from progdoc.rules.lookup.oils import is_oil
from progdoc.rules.lookup.standard_tables import has_cartridges_of_its_own
from progdoc.rules.lookup.substances import commonly_held, find_substance, is_limited_in_ppm
from progdoc.rules.reasons import Reason

__all__ = ["assess"]

_IMPLAUSIBLE = 1000.0
_HAIR = 1.0 + 1e-9  # what binary arithmetic adds to a level just at its limit
_BOILS_EARLY_C = 250.0  # where European law draws the line for volatile organics (2004/42/EC, 2(5)); from memory
_VOLATILE_MMHG = 1.0  # at 20 °C; our choice: from here on a mist is taken to come with vapour
_GASES = (Form.GAS, Form.VAPOUR, Form.MIST_AND_VAPOUR)
_PARTICLES = (Form.DUST, Form.FUME, Form.MIST, Form.FIBRES, Form.MIST_AND_VAPOUR)


@dataclass(slots=True)
class _Draft:
    """An assessment that is being made."""

    best_factor: float  # of the masks of the task by Table 1; 1 without any
    peaks: tuple[Peak, ...]  # measured by the day
    reasons: list[Reason] = field(default_factory=list)
    ratios: list[Ratio] = field(default_factory=list)
    undetermined: list[str] = field(default_factory=list)
    floor: Floor = field(default_factory=lambda: Floor(None))
    is_unknown: bool = False
    unknown_by: list[str] = field(default_factory=list)

    def unknown(self, code: str, path: str, words: dict[str, str] | None = None) -> None:
        self.is_unknown = True
        self.unknown_by.append(code)
        self.reasons.append(Reason(code, path, words or {}))


def assess(rules: RuleSet, as_of: date) -> dict[str, Assessment]:
    """Return an assessment of every hazard by its id."""
    program = rules.program
    tasks = {task.id: task for task in program.tasks}
    over_four_hours = long_table_1_tasks(program)
    found = {
        hazard.id: _assessment(
            rules, hazard, f"hazards[{i}]", tasks[hazard.task], as_of, hazard.task in over_four_hours
        )
        for i, hazard in enumerate(program.hazards)
    }
    estimated = Counter(_told_twice(assessment) for assessment in found.values())
    return {
        name: _questioned(assessment) if estimated[_told_twice(assessment)] > 1 else assessment
        for name, assessment in found.items()
    }


def _told_twice(assessment: Assessment) -> tuple[str, str]:
    """Return what two levels of one agent in one task have in common; other evidence has a key of its own."""
    evidence = assessment.hazard.exposure
    match evidence:
        case Estimate() | ObjectiveData():
            fractions = {evidence.fraction}
        case Samples():
            fractions = {sample.fraction for sample in evidence.results}
        case _:
            return assessment.hazard.task, f"hazards.{assessment.hazard.id}"
    return assessment.hazard.task, said_join(
        (assessment.name, *sorted(said_choice(one) for one in fractions if one)), ", "
    )


def _questioned(assessment: Assessment) -> Assessment:
    """Two levels are not added, the higher counts; but two sources add up in the air."""
    return replace(assessment, reasons=(*assessment.reasons, Reason("EXP-028", f"{assessment.path}.agent")))


def _assessment(
    rules: RuleSet, hazard: Hazard, path: str, task: Task, as_of: date, is_over_four_hours: bool
) -> Assessment:
    program, law = rules.program, law_for(rules, (task,))
    substance = find_substance(hazard.agent)
    draft = _Draft(_best_factor(program, task), peaks_known(hazard, as_of))
    binding = binding_limits(hazard, path, task, substance, local_limits(rules, hazard, task, substance))
    draft.reasons += binding.reasons
    draft.is_unknown = binding.is_unknown
    draft.unknown_by += [reason.code for reason in binding.reasons] if binding.is_unknown else []
    added = policy_limits(program, task, hazard, substance, binding.limits)
    limits = (*binding.limits, *added)
    evidence, faults = evidence_known(hazard, path, as_of)
    faults += nonsense(evidence, hazard, task, path)
    for fault in faults:
        draft.unknown(fault.code, fault.path, fault.words)
    if not faults:
        _judge(evidence, path, hazard, task, substance, binding.limits, added, is_over_four_hours, law, draft)
    _form(hazard, path, substance, draft)
    draft.reasons += groundless(evidence, path)
    draft.reasons += aged(rules, hazard, task, evidence, limits, path, as_of)
    unit = next((limit.unit for limit in limits if limit.value), own_unit(evidence))
    working = None if faults else highest_level(evidence, task, substance, unit)
    working = highest_with_peaks(working, draft.peaks, substance, unit)
    draft.reasons += over_saturation(hazard, path, substance, working, unit)
    by_highest = program.procedures.filter_changes.load is CartridgeLoad.HIGHEST
    load = working if faults or by_highest else average_level(evidence, task, substance, unit)
    share = mask_share(program, task, hazard, substance)
    highest = max((ratio.value for ratio in draft.ratios), default=0.0)
    if carcinogens.asks_for_mask(hazard, substance) and (hazard.carcinogen is None or not hazard.carcinogen.operation):
        draft.reasons.append(Reason("EXP-029", f"{path}.carcinogen.operation", {"agent": hazard.agent}))
    for name in unsaid_of_class(hazard) if is_classed(task, substance) else ():
        where = f"{path}.asbestos.{name}" if name else f"{path}.asbestos"
        missing = name.replace("_", " ") or said("its class")
        draft.reasons.append(Reason("ASB-001", where, {"agent": hazard.agent, "missing": missing}))
    if held := _not_described(program, hazard, substance):
        draft.reasons.append(Reason("EXP-034", f"{path}.agent", {"agent": hazard.agent, "held": said_join(held, ", ")}))
    agency = environmental_rule(task, substance)
    if agency is not None and (trouble := open_about(hazard.environmental_rule)):
        words = {"agent": hazard.agent, "rule": agency.rule, "asks": agency.asks, "trouble": trouble}
        draft.reasons.append(Reason("EXP-030", f"{path}.environmental_rule", words))
    is_asked = (
        draft.is_unknown
        or (draft.floor.apf or 0.0) > 1.0
        or class_asks_for_mask(hazard, task, substance)
        or carcinogens.asks_for_mask(hazard, substance)
        or area_paragraph(hazard, task, substance) != ""
    )
    is_over = is_asked or highest > share.value * _HAIR
    short = short_of(evidence, task) if any(r.limit.kind is LimitKind.TWA for r in draft.ratios) else {}
    if short:
        draft.reasons.append(Reason("EXP-042" if is_over else "EXP-043", f"{path}.exposure", short))
        draft.undetermined += [r.limit.in_words for r in draft.ratios if r.limit.kind is LimitKind.TWA and not is_over]
    found = Assessment(
        hazard=hazard,
        path=path,
        task=task,
        substance=substance,
        limits=limits,
        ratios=tuple(draft.ratios),
        floor=draft.floor.apf,
        floor_is_exclusive=draft.floor.is_exclusive,
        floor_basis=draft.floor.basis,
        is_unknown=draft.is_unknown,
        during_task=working.value if working else None,
        unit=unit,
        reasons=tuple(draft.reasons),
        is_gas=hazard.form in _GASES or _evaporates(hazard, substance),
        is_particle=hazard.form in _PARTICLES,
        is_over_limit=is_over,
        lower_bound=draft.floor.lower_bound_ug_m3,
        undetermined=tuple(dict.fromkeys(draft.undetermined)),
        danger=danger_level(program, task, hazard, substance),
        derived=working.derived if working else "",
        load=load.value if load else None,
        load_derived=load.derived if load else "",
        unknown_by=tuple(dict.fromkeys(draft.unknown_by)),
        needed_by_policy=_policy_behind(draft.ratios, added, share) if is_over and not is_asked else "",
    )
    cited_here = at_home(found.reasons, task, substance, limits)
    return replace(found, reasons=(*cited_here, *monitoring_overdue(found, as_of)))


def _not_described(program: Program, hazard: Hazard, substance: Substance | None) -> tuple[str, ...]:
    """Return what a product commonly holds, where not one of these agents is described in its task."""
    held = commonly_held(hazard.agent) if substance is None else ()
    described = {
        found.id for one in program.hazards if one.task == hazard.task and (found := find_substance(one.agent))
    }
    return () if any(agent.id in described for agent in held) else tuple(agent.name for agent in held)


def _policy_behind(ratios: Sequence[Ratio], added: Sequence[Limit], share: Bound) -> str:
    """Return the policy for whose limit, or share of a limit, a mask is needed; nothing if the law's is passed."""
    if any(ratio.value > _HAIR and ratio.limit not in added for ratio in ratios):
        return ""
    passed = max((ratio for ratio in ratios if ratio.value > _HAIR), key=lambda ratio: ratio.value, default=None)
    return passed.limit.citation if passed else share.origin


def _best_factor(program: Program, task: Task) -> float:
    """Return the highest factor that Table 1 gives a mask of the task: up to there its air may be lawful."""
    worn = {use.mask for use in task.masks}
    masks = [mask for mask in program.masks if mask.id in worn and mask.mode and mask.facepiece]
    cells = [cell for m in masks if m.mode and m.facepiece for cell in assigned_factors_for(m.mode, m.facepiece)]
    return max((float(cell.apf) for cell in cells if cell.apf is not None), default=1.0)


def _judge(
    evidence: Evidence | None,
    path: str,
    hazard: Hazard,
    task: Task,
    substance: Substance | None,
    limits: tuple[Limit, ...],
    added: tuple[Limit, ...],
    is_over_four_hours: bool,
    law: Law,
    draft: _Draft,
) -> None:
    place = f"{path}.exposure"
    match evidence:
        case Unknown() if is_declared_unknown(evidence):
            draft.is_unknown = True  # said, with the reason: an answer, and the air is immediately dangerous by it
        case None | Unknown():
            draft.unknown("EXP-001", place)
        case SilicaTable1():
            draft.floor = table_1_floor(evidence, place, task, substance, (*limits, *added), is_over_four_hours)
        case LeadTask():
            draft.floor = lead_floor(evidence, place, task, substance, (*limits, *added))
        case Judgment():
            basis = said("judged by %(by)s: %(guidance)s", by=evidence.by, guidance=evidence.guidance)
            draft.floor = Floor(evidence.needed_apf, basis)
            if added:
                draft.undetermined += [limit.in_words for limit in added]
        case Smoke():
            draft.floor = smoke_floor(evidence, law)
        case Samples() | ObjectiveData() | Estimate():
            ceiling_min = law.amount("ceiling-averaging", "min")
            _measured(evidence, hazard, path, task, substance, limits, added, ceiling_min, draft)
    draft.reasons += draft.floor.reasons
    if not isinstance(evidence, SilicaTable1 | LeadTask):
        return
    if draft.floor.apf is None:
        draft.is_unknown = True
        draft.unknown_by += [reason.code for reason in draft.floor.reasons]
    # A table speaks of the 8-hour limit; what anybody else asks over a shorter time it leaves open.
    others = [limit for limit in (*limits, *added) if limit in added or limit.note == OWN_LIMIT]
    draft.undetermined += [limit.in_words for limit in others if limit.kind is not LimitKind.TWA]


# ---- levels against limits ----------------------------------------------------------------------------


def _measured(
    evidence: Measured,
    hazard: Hazard,
    path: str,
    task: Task,
    substance: Substance | None,
    limits: tuple[Limit, ...],
    added: tuple[Limit, ...],
    ceiling_min: float,
    draft: _Draft,
) -> None:
    found: list[Found] = [
        (limit, level_against(limit, evidence, task, substance, ceiling_min))
        for limit in (*limits, *added)
        if limit.kind is not LimitKind.ACTION_LEVEL and limit.value is not None
    ]
    found, about_peaks = with_peaks(found, hazard, evidence, draft.peaks, path, substance)
    draft.reasons += about_peaks
    for limit in limits:
        if limit.value is None:
            draft.unknown("EXP-014", f"{path}.limit", {"limit": limit.formula, "source": limit.citation})
    has_level = any(isinstance(level, Level) for limit, level in found if limit not in added)
    for limit, level in found:
        if isinstance(level, Level):
            ratio = _ratio(hazard, path, task, limit, level)
            is_lawful = not level.is_worst_reading or ratio.value <= draft.best_factor * _HAIR
            if level.is_worst_reading and is_lawful:
                draft.reasons.append(Reason("EXP-005", f"{path}.exposure"))
            if is_lawful:
                draft.ratios.append(ratio)
                continue
            level = NoLevel("EXP-005")
        if level.at_least is not None:
            draft.ratios.append(_ratio(hazard, path, task, limit, level.at_least))
        is_other = level.code == "EXP-033" or (level.code == "EXP-006" and limit.kind is not LimitKind.TWA)
        is_extra = limit in added or (is_other and has_level)
        if is_extra:
            draft.undetermined.append(limit.in_words)
            draft.reasons.append(Reason(level.code, f"{path}.exposure", level.words))
        else:
            draft.unknown(level.code, f"{path}.exposure", level.words)
    draft.reasons = list({(r.code, tuple(sorted(r.words.items()))): r for r in draft.reasons}.values())
    _plausible(evidence, path, limits, draft)


def _plausible(evidence: Measured, path: str, limits: Sequence[Limit], draft: _Draft) -> None:
    """Ask about levels a thousand times off their limit, and about dust limits for two fractions."""
    ratios = [ratio.value for ratio in draft.ratios]
    detected = not isinstance(evidence, Samples) or any(not sample.below_detection for sample in evidence.results)
    if ratios and (max(ratios) > _IMPLAUSIBLE or (detected and max(ratios) < 1.0 / _IMPLAUSIBLE)):
        draft.reasons.append(Reason("EXP-017", f"{path}.exposure", {"ratio": number_text(max(ratios), "up")}))
    if {"respirable", "total"} <= {limit.fraction for limit in limits} and not names_every_fraction(evidence):
        draft.reasons.append(Reason("EXP-025", f"{path}.exposure"))


def _ratio(hazard: Hazard, path: str, task: Task, limit: Limit, level: Level) -> Ratio:
    value = hazard_ratio(level.value, level.limit_value)
    unit = unit_symbol(level.unit)
    kind = said(limit.kind.value)
    which = "-".join(filter(None, (kind.lower(), limit.fraction, limit.form, limit.industry, limit.note)))
    worked = Worked(
        id=f"hazards.{hazard.id}.hazard-ratio.{''.join(c if c.isalnum() else '-' for c in which)}",
        name=said("Hazard ratio of %(agent)s in “%(task)s” (%(kind)s)", agent=hazard.agent, task=task.name, kind=kind),
        value=value,
        unit="",
        formula=said("hazard ratio = concentration ÷ limit"),
        inputs=(
            Input(
                said("concentration"),
                level.value,
                unit,
                said("%(basis)s (`%(path)s.exposure`)", basis=level.basis, path=same(path)),
                Rounding.UP,
            ),
            Input(said("limit"), level.limit_value, unit, limit.citation, Rounding.DOWN),
        ),
        citation=cited("hazard-ratio"),
        rounding=Rounding.UP,
        notes=level.notes,
    )
    return Ratio(limit, level, value, followed(worked, lambda numbers: numbers[0] / numbers[1]))


# ---- form ---------------------------------------------------------------------------------------------


def _evaporates(hazard: Hazard, substance: Substance | None) -> bool:
    """Whether the agent is in the air as gas or vapour though only particles were described.

    An agent for which there is a class of gas cartridge is one, whatever is known of its vapour pressure; so is one
    that the law counts in ppm, or that boils early. Of an agent whose own standard says by its state which filters and
    cartridges it takes (MDA, a solid limited in ppm), the standard decides.
    """
    if substance is None or hazard.form is None or hazard.form in _GASES:
        return False
    volatile = (substance.vapour_pressure_mmhg_20c or 0.0) >= _VOLATILE_MMHG
    boils_early = substance.boiling_point_c is not None and substance.boiling_point_c <= _BOILS_EARLY_C
    is_gas = substance.state == "gas" or needed_cartridge(substance) is not None
    counted = is_limited_in_ppm(substance) and not has_cartridges_of_its_own(substance.id)
    return volatile or boils_early or is_gas or counted


def _form(hazard: Hazard, path: str, substance: Substance | None, draft: _Draft) -> None:
    if hazard.form is None:
        draft.reasons.append(Reason("EXP-002", f"{path}.form"))
    elif _evaporates(hazard, substance):
        draft.reasons.append(Reason("EXP-023", f"{path}.form", {"form": hazard.form.value}))
    if hazard.oil is False and is_oil(hazard, substance):
        draft.reasons.append(Reason("EXP-053", f"{path}.oil"))
