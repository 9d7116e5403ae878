"""What the substance standards forbid or ask above Table 1 of 1910.134, mask by mask.

The standards' tables are data (`substance_standards.csv`, `butadiene_masks.csv`). An industry that nobody
named binds by the standards of all three.
"""

from __future__ import annotations

from collections.abc import Iterator

from progdoc.core.numbers import number_text
from progdoc.core.said import said, said_join
from progdoc.model.description.hazards import Hazard
from progdoc.model.description.masks import Facepiece, Filter, Mask, Mode, Particulate
from progdoc.model.description.quantities import Quantity
from progdoc.model.description.workplace import Gear, Industry, Task
from progdoc.rules.air import carcinogens
from progdoc.rules.air.asbestos import mask_serves_class
from progdoc.rules.judged.air_results import Assessment
from progdoc.rules.judged.figure_results import Law
from progdoc.rules.judged.mask_results import Credit
from progdoc.rules.judged.published import Substance
from progdoc.rules.lookup.conversion import in_limit_unit
from progdoc.rules.lookup.eye_irritants import irritant_by_class, irritant_by_standard
from progdoc.rules.lookup.facepieces import is_negative_pressure
from progdoc.rules.lookup.law_tables import apf_column, filter_class
from progdoc.rules.lookup.limits import industries_of
from progdoc.rules.lookup.standard_tables import SubstanceStandard, butadiene_masks, substance_standard
from progdoc.rules.reasons import Reason

__all__ = [
    "against_standards",
    "asks_for_hepa",
    "contradicts_no",
    "has_own_table",
    "highest_ppm",
    "irritates",
    "is_hepa",
    "particle_filters",
    "standards_of",
]

_BUTADIENE = "1-3-butadiene"
HALF = (Facepiece.HALF_MASK, Facepiece.QUARTER_MASK, Facepiece.FILTERING_FACEPIECE)
_HOODS = (Facepiece.HOOD, Facepiece.HELMET)
_PURIFYING = (Mode.AIR_PURIFYING, Mode.POWERED)


def standards_of(agent: Assessment, task: Task) -> tuple[SubstanceStandard, ...]:
    """Return the standards that govern an agent in a task."""
    found: list[SubstanceStandard] = []
    for industry in industries_of(task) if agent.substance else ():
        name = agent.substance.standard_in(industry) if agent.substance else ""
        rule = substance_standard(name, industry) if name else None
        if rule is not None and rule not in found:
            found.append(rule)
    return tuple(found)


def has_own_table(agent: Assessment) -> bool:
    """Say whether a standard's own table stands in for the protection factors (1910.1051(h)(3)(i))."""
    return agent.substance is not None and agent.substance.id == _BUTADIENE


def particle_filters(mask: Mask, fitted: list[Filter]) -> list[Particulate]:
    """Return the classes of all particle filters on a mask."""
    found = [part.particulate for part in fitted if part.particulate is not None]
    return [*found, mask.built_in_filter] if mask.built_in_filter is not None else found


def against_standards(
    law: Law, agent: Assessment, task: Task, mask: Mask, fitted: list[Filter], credit: Credit, path: str
) -> Iterator[Reason]:
    """Return what the standards of one agent hold against a mask."""
    rules = standards_of(agent, task)
    name = agent.hazard.agent
    if agent.substance and carcinogens.is_governed(agent.hazard, agent.substance):
        yield from _carcinogen(agent.substance, agent.hazard, task, mask, fitted, credit, path)
        return
    if not rules:
        if mask.facepiece in HALF and irritates(agent) and Gear.GAS_PROOF_GOGGLES not in task.gear:
            yield Reason("SEL-015", path, {"agent": name})
        return
    for rule in rules:
        words = {"agent": name, "standard": f"{rule.standard}{rule.respirator_paragraph}"}
        yield from _facepiece(agent, task, mask, rule, words, path)
        if mask.mode in _PURIFYING and agent.is_particle:
            yield from _hepa(agent, mask, fitted, rule, words, path)
    if has_own_table(agent) and mask.mode is not None and mask.facepiece is not None:
        yield from _butadiene(agent, mask, credit, path)
    fibres_cc = max((ratio.level.value for ratio in agent.ratios), default=None)
    powered_to = law.amount("asbestos-class-one", "f/cc")
    if not mask_serves_class(agent.hazard, task, agent.substance, mask, fibres_cc, powered_to):
        work = agent.hazard.asbestos
        described = (
            said("class %(work_class)s work", work_class=work.work_class)
            if work
            else said("work whose class nobody named (taken for class I)")
        )
        of_class = next((rule for rule in rules if rule.industry != Industry.GENERAL.value), rules[0])
        standard = f"{of_class.standard}{of_class.respirator_paragraph}"
        yield Reason("SEL-020", path, {"agent": name, "standard": standard, "work": described})


def _carcinogen(
    substance: Substance, hazard: Hazard, task: Task, mask: Mask, fitted: list[Filter], credit: Credit, path: str
) -> Iterator[Reason]:
    if not carcinogens.serves(hazard, substance, mask, fitted, credit.apf):
        wanted = carcinogens.wanted_masks(hazard, substance)
        citation = carcinogens.citation_of(hazard, task)
        yield Reason("SEL-026", path, {"agent": hazard.agent, "wanted": wanted, "citation": citation})


def irritates(agent: Assessment) -> bool:
    """Return whether an agent irritates the eyes.

    What the description says counts, but for a no that published data contradict; in its silence, the standard.
    """
    if agent.hazard.irritates_eyes is not None:
        return agent.hazard.irritates_eyes or bool(contradicts_no(agent))
    return bool(irritant_by_standard(agent.substance))


def contradicts_no(agent: Assessment) -> str:
    """Return who says that an agent irritates the eyes in this air, where its hazard says no; or nothing.

    A standard says it at any level; a classification is of the agent itself, and tells of air that is over its limit.
    """
    if agent.hazard.irritates_eyes is not False:
        return ""
    is_strong = agent.is_over_limit or agent.is_unknown or bool(agent.undetermined)
    return irritant_by_standard(agent.substance) or (irritant_by_class(agent.substance) if is_strong else "")


def _is_over(agent: Assessment, times: float | None) -> bool:
    """Return whether an agent is, or may be, over some times its limit; False where the standard names no such step."""
    return times is not None and ((agent.hazard_ratio or 0.0) > times or agent.is_unknown)


def _facepiece(
    agent: Assessment, task: Task, mask: Mask, rule: SubstanceStandard, words: dict[str, str], path: str
) -> Iterator[Reason]:
    if rule.air_purifying == "forbidden" and mask.mode in _PURIFYING:
        yield Reason("SEL-012", path, words)
    is_barred = rule.filtering_facepiece == "forbidden" or _is_over(agent, rule.filtering_facepiece_times)
    if mask.facepiece is Facepiece.FILTERING_FACEPIECE and is_barred:
        yield Reason("SEL-013", path, words)
    if mask.facepiece not in HALF:
        return
    barred = {
        "forbidden": True,
        "not-if-irritating": irritates(agent),
        "not-for-arsenic-trichloride": agent.is_gas or "trichloride" in agent.hazard.agent.casefold(),
        "with-gas-proof-goggles": Gear.GAS_PROOF_GOGGLES not in task.gear,
    }
    if barred.get(rule.half_mask, False):
        yield Reason("SEL-014", path, words)
    elif rule.half_mask == "not-if-irritating" and agent.hazard.irritates_eyes is None:
        yield Reason("SEL-021", path, words)


def _hepa(
    agent: Assessment, mask: Mask, fitted: list[Filter], rule: SubstanceStandard, words: dict[str, str], path: str
) -> Iterator[Reason]:
    if rule.particle_filter != "HEPA" and not _is_over(agent, rule.hepa_times):
        return
    found = particle_filters(mask, fitted)
    if found and not all(is_hepa(part) for part in found):
        yield Reason("SEL-016", path, {**words, "filter": said_join((part.value for part in found), ", ")})


def asks_for_hepa(agent: Assessment, task: Task) -> bool:
    """Return whether a standard of an agent in the air of a task takes no lesser particle filter than HEPA."""
    is_governed = agent.is_particle and not (agent.substance and carcinogens.is_governed(agent.hazard, agent.substance))
    return is_governed and any(
        rule.particle_filter == "HEPA" or _is_over(agent, rule.hepa_times) for rule in standards_of(agent, task)
    )


def is_hepa(part: Particulate) -> bool:
    found = filter_class(part.value)
    return found is not None and found.counts_as_hepa


def highest_ppm(agent: Assessment) -> float | None:
    """Return the highest level of an agent, of any averaging time; None where one of them is not known in ppm."""
    levels = [Quantity(ratio.level.value, ratio.level.unit, "") for ratio in agent.ratios]
    if agent.during_task is not None:
        levels.append(Quantity(agent.during_task, agent.unit, ""))
    converted = [in_limit_unit(level, "ppm", agent.substance) for level in levels]
    known = [level for level in converted if level is not None]
    return max(known) if agent.ratios and len(known) == len(converted) else None


def _butadiene(agent: Assessment, mask: Mask, credit: Credit, path: str) -> Iterator[Reason]:
    """Hold a mask against the standard's own table; qualitative fit tests still end a negative-pressure mask at 10."""
    ppm = highest_ppm(agent)
    most = _butadiene_most(mask)
    if is_negative_pressure(mask) and credit.apf is not None and credit.by_instrument is not None:
        most = min(most, credit.apf)  # times the limit of 1 ppm
    if most <= 0.0 or most < (float("inf") if ppm is None else ppm):
        level = said("an unknown concentration") if ppm is None else said("%(ppm)s ppm", ppm=number_text(ppm, "up"))
        words = {"agent": agent.hazard.agent, "level": level, "most": number_text(most, "down") if most else "no"}
        yield Reason("SEL-019", path, words)


def _butadiene_most(mask: Mask) -> float:
    """Return the highest concentration in ppm for which the table allows a mask; 0 if for none."""
    facepiece = apf_column(mask.facepiece.value) if mask.facepiece in _HOODS else str(mask.facepiece)
    # The table's "other positive pressure mode" takes in continuous flow with a half mask or full facepiece.
    is_sealed_flow = mask.mode is Mode.AIRLINE_CONTINUOUS_FLOW and mask.facepiece not in _HOODS
    mode = Mode.AIRLINE_PRESSURE_DEMAND if is_sealed_flow else mask.mode
    most = 0.0
    for row in butadiene_masks():
        if row.mode != mode or facepiece not in row.facepieces:
            continue
        if row.up_to_ppm is not None:
            most = max(most, row.up_to_ppm)
        elif mode is Mode.SCBA_PRESSURE_DEMAND or mask.auxiliary_air:
            most = float("inf")
    return most
