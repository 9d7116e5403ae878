"""Which mask protects in which task, and every reason why another does not.

A task is judged once: its agents together give the protection factor a mask must have. Then each mask is
held against it. Reasons carry the code of the requirement they break; its text stands in the catalogue.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date

from progdoc.calc.oxygen import AltitudeRow, OxygenCase, oxygen_case
from progdoc.calc.protection import NeededFactor, is_protective_enough, needed_protection_factor
from progdoc.core.numbers import number_text, text_of
from progdoc.core.worked import Input, Rounding, Worked
from progdoc.model.masks import Facepiece, Filter, Mask, Mode, Particulate
from progdoc.model.program import Program
from progdoc.model.quantities import Quantity, in_unit, is_comparable, unit_symbol
from progdoc.model.workplace import DoneBy, Gear, MaskUse, Task
from progdoc.rules.cartridges import is_approved_for
from progdoc.rules.exposure import Assessment, assess
from progdoc.rules.fit_protocols import is_quantitative
from progdoc.rules.protection import Credit, MaskCeiling, ceilings, credit_of
from progdoc.rules.reasons import Reason
from progdoc.rules.substances import LimitKind
from progdoc.rules.tables import filter_class, oxygen_ranges, substance_standard

__all__ = ["MaskVerdict", "Selection", "TaskAir", "judge_mask", "select"]

_MIN_OXYGEN_PERCENT = 19.5  # 29 CFR 1910.134(b), oxygen deficient atmosphere
_SCBA_MINUTES = 30.0  # 29 CFR 1910.134(d)(2)(i)(A)
_SEAL_BREAKERS = (Gear.SPECTACLES, Gear.SAFETY_GLASSES, Gear.GOGGLES, Gear.HOOD, Gear.HARD_HAT, Gear.FACE_SHIELD)


@dataclass(frozen=True, slots=True)
class TaskAir:
    """The air of a task, all its agents together."""

    task: Task
    path: str
    agents: tuple[Assessment, ...]
    needed: NeededFactor
    mixture: Worked | None
    danger: tuple[str, ...]  # why the air counts as immediately dangerous; empty if it does not
    oxygen: OxygenCase | None  # None: nobody said

    @property
    def is_immediately_dangerous(self) -> bool:
        return bool(self.danger)

    @property
    def needs_mask(self) -> bool:
        """Whether the air alone calls for a mask."""
        over = not is_protective_enough(1.0, self.needed)
        return self.is_immediately_dangerous or over or any(a.is_over_limit for a in self.agents)


@dataclass(frozen=True, slots=True)
class MaskVerdict:
    """One mask in one task: what it is good for there, and all that speaks against it."""

    mask: Mask
    use: MaskUse
    path: str
    credit: Credit
    ceilings: tuple[MaskCeiling, ...]
    reasons: tuple[Reason, ...]

    @property
    def margin(self) -> float | None:
        """How many times the air's level fits into the mask's maximum use concentration; the smallest counts."""
        return min((c.margin for c in self.ceilings if c.margin is not None), default=None)


@dataclass(frozen=True, slots=True)
class Selection:
    """The air of every task and a verdict on every mask worn in it."""

    air: Mapping[str, TaskAir]
    masks: Mapping[tuple[str, str], MaskVerdict]
    reasons: Mapping[tuple[str, ...], tuple[Reason, ...]]  # by the ids of a subject

    def is_needed(self, task: str) -> bool:
        return self.air[task].needs_mask


def select(program: Program, as_of: date) -> Selection:
    """Assess every task and judge every mask that our people wear in it."""
    assessed = assess(program, as_of)
    masks = {mask.id: mask for mask in program.masks}
    parts = {part.id: part for part in program.filters}
    sites = {site.id: site.altitude for site in program.organisation.sites}
    qualitative_only = _tests_are_qualitative(program)
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
        here = _air(task, f"tasks[{i}]", tuple(by_task.get(task.id, ())), altitudes)
        air[task.id] = here
        if task.done_by is not DoneBy.OUR_PEOPLE:
            continue
        for j, use in enumerate(task.masks):
            fitted = [parts[part] for part in use.filters]
            verdict = judge_mask(here, masks[use.mask], fitted, use, f"tasks[{i}].masks[{j}]", qualitative_only)
            verdicts[task.id, use.mask] = verdict
            reasons[f"tasks.{task.id}", f"masks.{use.mask}"] = verdict.reasons
    return Selection(air, verdicts, reasons)


def _tests_are_qualitative(program: Program) -> bool:
    """Whether no quantitative fit test is used, so that credit ends at 10 (29 CFR 1910.134(f)(6))."""
    return not any(is_quantitative(name) for name in program.procedures.fit_testing.protocols)


# ---- the air of a task --------------------------------------------------------------------------------


def _air(task: Task, path: str, agents: tuple[Assessment, ...], altitudes: list[Quantity | None]) -> TaskAir:
    mixture = _mixture(task, agents)
    ratios = [ratio.value for agent in agents for ratio in agent.ratios]
    if mixture is not None:
        ratios.append(mixture.value)
    floors = [a.floor for a in agents if a.floor is not None and not a.floor_is_exclusive and a.floor > 0]
    bounds = [a.floor for a in agents if a.floor is not None and a.floor_is_exclusive]
    needed = (
        needed_protection_factor([*ratios, *floors], bounds) if ratios or floors or bounds else NeededFactor(0.0, False)
    )
    oxygen = _oxygen(task, altitudes)
    return TaskAir(task, path, agents, needed, mixture, tuple(_dangers(task, agents, oxygen)), oxygen)


def _mixture(task: Task, agents: tuple[Assessment, ...]) -> Worked | None:
    """The sum of the 8-hour hazard ratios of all agents that nobody gave a reason to leave out."""
    parts = [
        ratio
        for agent in agents
        if agent.hazard.acts_elsewhere is None
        for ratio in agent.ratios
        if ratio.limit.kind is LimitKind.TWA
    ]
    worst: dict[str, float] = {}
    for ratio in parts:
        worst[ratio.limit.agent] = max(worst.get(ratio.limit.agent, 0.0), ratio.value)
    if len(worst) < 2:
        return None
    return Worked(
        id=f"tasks.{task.id}.mixture",
        name=f"Mixture in “{task.name}”",
        value=sum(worst.values()),
        unit="",
        formula="mixture sum Em = C₁ ÷ L₁ + C₂ ÷ L₂ + …",
        inputs=tuple(
            Input(f"hazard ratio of {agent}", value, "", "worked above", Rounding.UP) for agent, value in worst.items()
        ),
        citation="29 CFR 1910.1000(d)(2)(i)",
        rounding=Rounding.UP,
        notes=("In construction this is good practice, applied by progdoc as the stricter choice.",),
    )


def _oxygen(task: Task, altitudes: list[Quantity | None]) -> OxygenCase | None:
    if task.oxygen is None or task.oxygen.lowest is None:
        return None
    highest = max((in_unit(a, "ft") for a in altitudes if a is not None), default=0.0)
    rows = [AltitudeRow(row.up_to_ft, row.oxygen_min_percent) for row in oxygen_ranges()]
    return oxygen_case(task.oxygen.lowest.value, highest, _MIN_OXYGEN_PERCENT, rows)


def _dangers(task: Task, agents: tuple[Assessment, ...], oxygen: OxygenCase | None) -> Iterator[str]:
    if task.immediately_dangerous:
        yield "the description says so"
    if oxygen is OxygenCase.IDLH:
        yield "oxygen may fall below 19.5 %"
    if oxygen is None and task.confined_space:
        yield "nobody measured the oxygen of this confined space"
    for agent in agents:
        if agent.is_unknown:
            yield f"how much {agent.hazard.agent} is in the air is not known"
        limit = agent.substance.idlh if agent.substance else None
        if limit is None or limit.value is None or agent.during_task is None or not agent.unit:
            continue
        level = _in_unit(agent.during_task, agent.unit, limit.unit)
        if level is not None and level >= limit.value:
            yield f"{agent.hazard.agent} may reach its IDLH value of {text_of(limit.value, unit_symbol(limit.unit))}"


def _in_unit(value: float, unit: str, wanted: str) -> float | None:
    quantity = Quantity(value, unit, "")
    return in_unit(quantity, wanted) if is_comparable(quantity, Quantity(1.0, wanted, "")) else None


# ---- one mask in one task -----------------------------------------------------------------------------


def judge_mask(
    air: TaskAir, mask: Mask, fitted: list[Filter], use: MaskUse, path: str, qualitative_only: bool
) -> MaskVerdict:
    """Hold a mask with its filters against the air of a task; all reasons are given, not the first."""
    credit = credit_of(mask, qualitative_only)
    limits = ceilings(air.agents, credit, fitted)
    reasons = (
        *_against_danger(air, mask, path),
        *_against_factor(air, mask, credit, limits, path),
        *_against_form(air, mask, fitted, path),
        *_against_standards(air, mask, fitted, path),
        *_against_gear(air, mask, path),
    )
    return MaskVerdict(mask, use, path, credit, limits, reasons)


def _is_for_idlh(mask: Mask) -> bool:
    """Full-facepiece pressure-demand SCBA of 30 minutes, or airline with auxiliary air (d)(2)(i)."""
    if mask.facepiece is not Facepiece.FULL_FACEPIECE:
        return False
    if mask.mode is Mode.SCBA_PRESSURE_DEMAND:
        return mask.service_time is not None and in_unit(mask.service_time, "min") >= _SCBA_MINUTES
    return mask.mode is Mode.AIRLINE_PRESSURE_DEMAND and mask.auxiliary_air


def _purifies(mask: Mask) -> bool:
    return mask.mode in (Mode.AIR_PURIFYING, Mode.POWERED)


def _against_danger(air: TaskAir, mask: Mask, path: str) -> Iterator[Reason]:
    if mask.escape_only:
        yield Reason("SEL-010", path)
        return
    if air.is_immediately_dangerous and not _is_for_idlh(mask):
        yield Reason("SEL-001", path, {"danger": "; ".join(air.danger)})
    elif air.oxygen is OxygenCase.EXCEPTION and _purifies(mask):
        yield Reason("SEL-002", path)


def _against_factor(
    air: TaskAir, mask: Mask, credit: Credit, limits: tuple[MaskCeiling, ...], path: str
) -> Iterator[Reason]:
    if mask.escape_only or mask.facepiece is None or mask.mode is None:
        return
    if credit.apf is None:
        yield Reason("SEL-004", path)
        return
    if not is_protective_enough(credit.apf, air.needed):
        above = "over " if air.needed.strictly_above else ""
        words = {
            "apf": number_text(credit.apf, "down"),
            "needed": f"{above}{number_text(air.needed.value, 'up')}",
            "because": f" ({credit.note})" if credit.note else "",
        }
        yield Reason("SEL-003", path, words)
    for ceiling in limits:
        if ceiling.margin is not None and ceiling.margin < 1.0 and ceiling.governed_by != "protection-factor":
            words = {"agent": ceiling.agent, "most": ceiling.printed, "cap": ceiling.governed_by}
            yield Reason("SEL-005", path, words)


def _against_form(air: TaskAir, mask: Mask, fitted: list[Filter], path: str) -> Iterator[Reason]:
    if not _purifies(mask) or not air.needs_mask:
        return
    stops_particles = [part.particulate for part in fitted if part.particulate is not None]
    if mask.built_in_filter is not None:
        stops_particles.append(mask.built_in_filter)
    gas_parts = [part for part in fitted if part.gases or part.agents]
    for agent in air.agents:
        words = {"agent": agent.hazard.agent}
        if agent.is_gas:
            yield from _against_gas(agent, gas_parts, path, words)
        if agent.is_particle and not stops_particles:
            yield Reason("SEL-007", path, words)
        if agent.hazard.oil and any(found.value.startswith("N") for found in stops_particles):
            yield Reason("SEL-008", path, {**words, "filter": ", ".join(f.value for f in stops_particles)})


def _against_gas(agent: Assessment, gas_parts: list[Filter], path: str, words: dict[str, str]) -> Iterator[Reason]:
    barred = agent.substance.air_purifying_barred_by if agent.substance else ""
    if barred:
        yield Reason("SEL-012", path, {**words, "standard": barred})
    elif not gas_parts:
        yield Reason("SEL-006", path, words)
    else:
        answers = [is_approved_for(part, agent.hazard.agent, agent.substance) for part in gas_parts]
        if not any(answers):
            code = "SEL-011" if None in answers else "SEL-009"
            yield Reason(code, path, {**words, "cartridge": ", ".join(p.name or p.id for p in gas_parts)})


def _against_standards(air: TaskAir, mask: Mask, fitted: list[Filter], path: str) -> Iterator[Reason]:
    """What a substance standard forbids or asks above Table 1."""
    half = mask.facepiece in (Facepiece.HALF_MASK, Facepiece.QUARTER_MASK, Facepiece.FILTERING_FACEPIECE)
    for agent in air.agents:
        if not (agent.is_over_limit or air.task.required_by):
            continue
        name = agent.substance.standard_in(air.task.industry.value) if agent.substance and air.task.industry else ""
        rule = substance_standard(name, air.task.industry.value) if name and air.task.industry else None
        words = {"agent": agent.hazard.agent, "standard": f"{name}{rule.respirator_paragraph}" if rule else name}
        if rule is None:
            if half and agent.hazard.irritates_eyes:
                yield Reason("SEL-015", path, words)
            continue
        if rule.air_purifying == "forbidden" and _purifies(mask):
            yield Reason("SEL-012", path, words)
        if rule.filtering_facepiece == "forbidden" and mask.facepiece is Facepiece.FILTERING_FACEPIECE:
            yield Reason("SEL-013", path, words)
        if half and (
            rule.half_mask == "forbidden" or (rule.half_mask == "not-if-irritating" and agent.hazard.irritates_eyes)
        ):
            yield Reason("SEL-014", path, words)
        if rule.particle_filter == "HEPA" and agent.is_particle and _purifies(mask):
            found = [p.particulate for p in fitted if p.particulate] + (
                [mask.built_in_filter] if mask.built_in_filter else []
            )
            if found and not all(_is_hepa(part) for part in found):
                yield Reason("SEL-016", path, {**words, "filter": ", ".join(part.value for part in found)})


def _is_hepa(part: Particulate) -> bool:
    found = filter_class(part.value)
    return found is not None and found.counts_as_hepa


def _against_gear(air: TaskAir, mask: Mask, path: str) -> Iterator[Reason]:
    if mask.facepiece in (Facepiece.HOOD, Facepiece.HELMET, Facepiece.LOOSE_FITTING):
        return
    worn = [gear for gear in air.task.gear if gear in _SEAL_BREAKERS]
    if worn and air.task.gear_clear_of_seal is not True:
        yield Reason("SEL-017", path, {"gear": ", ".join(gear.value.replace("-", " ") for gear in worn)})
