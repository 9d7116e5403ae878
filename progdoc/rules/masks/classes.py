"""The other direction: given only a task, which classes of mask would do, least burdensome first.

Every class is judged as if it were fitted as well as it can be: the best particle filter and cartridges for
the agents in the air, nothing else in the way. What then still speaks against it speaks against the class.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date

from progdoc.core.said import said, said_join, said_series, same
from progdoc.model.description.masks import Facepiece, Filter, Gas, HoodReport, Mask, Mode, Mount, Particulate
from progdoc.model.description.program import Program
from progdoc.model.description.quantities import Quantity
from progdoc.model.description.workplace import MaskUse
from progdoc.rules.judged.air_results import TaskAir
from progdoc.rules.judged.mask_results import ClassVerdict, MaskClass
from progdoc.rules.lookup.cartridges import NO_CARTRIDGE, ONLY_LABEL, Recommended, needed_cartridge, recommended
from progdoc.rules.lookup.facepieces import purifies
from progdoc.rules.lookup.law_tables import assigned_factors, filter_classes
from progdoc.rules.masks.selection import judge_mask, tests_are_qualitative
from progdoc.rules.masks.standard_cartridges import gases_named
from progdoc.rules.masks.standards import HALF, asks_for_hepa, irritates

__all__ = ["classes_for", "mask_classes"]

_NOT_OF_THE_CLASS = ("SEL-017", "SEL-021", "SEL-029")  # gear and eyes: asked of the mask that is chosen


def mask_classes() -> tuple[MaskClass, ...]:
    """Return the classes of Table 1, the one that burdens its wearer least first.

    The order is common practice, no source: light before heavy, then what needs a blower, a hose or a cylinder.
    """
    return (
        MaskClass("dust-mask", said("dust mask"), Facepiece.FILTERING_FACEPIECE, Mode.AIR_PURIFYING),
        MaskClass("quarter-mask", said("quarter mask"), Facepiece.QUARTER_MASK, Mode.AIR_PURIFYING),
        MaskClass("half-mask", said("half mask"), Facepiece.HALF_MASK, Mode.AIR_PURIFYING),
        MaskClass("powered-loose", said("powered loose-fitting facepiece"), Facepiece.LOOSE_FITTING, Mode.POWERED),
        MaskClass("powered-hood", said("powered hood or helmet without test evidence"), Facepiece.HOOD, Mode.POWERED),
        MaskClass("full-facepiece", said("full facepiece"), Facepiece.FULL_FACEPIECE, Mode.AIR_PURIFYING),
        MaskClass("powered-half-mask", said("powered half mask"), Facepiece.HALF_MASK, Mode.POWERED),
        MaskClass(
            "powered-hood-tested", said("powered hood or helmet with test evidence"), Facepiece.HOOD, Mode.POWERED, True
        ),
        MaskClass("powered-full-facepiece", said("powered full facepiece"), Facepiece.FULL_FACEPIECE, Mode.POWERED),
        *_airline_classes(),
        MaskClass(
            "scba", said("pressure-demand SCBA, full facepiece"), Facepiece.FULL_FACEPIECE, Mode.SCBA_PRESSURE_DEMAND
        ),
    )


def _airline_classes() -> Iterator[MaskClass]:
    flow, demand = Mode.AIRLINE_CONTINUOUS_FLOW, Mode.AIRLINE_PRESSURE_DEMAND
    yield MaskClass("airline-loose", said("continuous-flow airline, loose-fitting"), Facepiece.LOOSE_FITTING, flow)
    yield MaskClass("airline-half-mask", said("continuous-flow airline, half mask"), Facepiece.HALF_MASK, flow)
    yield MaskClass("airline-hood-tested", said("continuous-flow airline, tested hood"), Facepiece.HOOD, flow, True)
    yield MaskClass("airline-demand-half", said("pressure-demand airline, half mask"), Facepiece.HALF_MASK, demand)
    yield MaskClass("airline-full", said("continuous-flow airline, full facepiece"), Facepiece.FULL_FACEPIECE, flow)
    yield MaskClass(
        "airline-demand-full", said("pressure-demand airline, full facepiece"), Facepiece.FULL_FACEPIECE, demand
    )
    yield MaskClass(
        "airline-auxiliary",
        said("pressure-demand airline, full facepiece, with auxiliary air"),
        Facepiece.FULL_FACEPIECE,
        demand,
        auxiliary_air=True,
    )


def classes_for(program: Program, air: TaskAir) -> tuple[ClassVerdict, ...]:
    """Return a verdict on every class, least burdensome first."""
    without_our_own = replace(air, rules=replace(air.rules, by_mask={}))  # what is asked of one of them, no class is
    return tuple(_verdict(program, without_our_own, kind) for kind in mask_classes())


def _verdict(program: Program, air: TaskAir, kind: MaskClass) -> ClassVerdict:
    minutes = air.rules.any_mask.scba_minutes.amount("min")
    mask = Mask(
        id=kind.id,
        name=kind.name,
        facepiece=kind.facepiece,
        mode=kind.mode,
        hood_report=_assumed_report() if kind.has_evidence else None,
        hood_proven=kind.has_evidence,
        auxiliary_air=kind.auxiliary_air,
        for_blasting=kind.facepiece is Facepiece.HOOD,  # there are such hoods on a hose
        service_time=Quantity(minutes, "min", said("%(minutes)s min", minutes=same(f"{minutes:g}"))),
        built_in_filter=Particulate.P100 if kind.facepiece is Facepiece.FILTERING_FACEPIECE else None,
    )
    parts = list(_best_parts(air, mask))
    qualitative = tests_are_qualitative(program, kind.facepiece)
    verdict = judge_mask(air, mask, parts, MaskUse(mask=kind.id), air.path, qualitative)
    reasons = tuple(reason for reason in verdict.reasons if reason.code not in _NOT_OF_THE_CLASS)
    return ClassVerdict(kind, verdict.credit.apf, reasons, verdict.credit.note, tuple(_only_with(air, mask)))


def _assumed_report() -> HoodReport:
    most = max(cell.apf or 0 for cell in assigned_factors())
    # Nobody typed it, so that there is nothing to validate.
    return HoodReport.model_construct(title="assumed", by="assumed", date=date.min, tested_model="assumed", factor=most)


def _only_with(air: TaskAir, mask: Mask) -> Iterator[str]:
    """Say what a class needs beside the mask: eyes that it leaves open, a cartridge that only its own label tells."""
    if mask.facepiece in HALF:
        agents = dict.fromkeys(agent.hazard.agent for agent in air.agents if irritates(agent))
        if agents:
            yield said(
                "eye protection that stays off the seal (%(agents)s: irritating to the eyes)",
                agents=said_join(agents, said(" and ")),
            )
    if not purifies(mask):
        return
    by_standard = dict.fromkeys(agent.hazard.agent for agent in air.agents if asks_for_hepa(agent, air.task))
    if by_standard:
        is_powered = mask.mode is Mode.POWERED
        known = [one for one in filter_classes() if one.counts_as_hepa and one.is_for_powered is is_powered]
        yield said(
            "a filter of class %(classes)s, no lesser one (the standard of %(agents)s)",
            classes=said_series([same(one.name) for one in known], "or"),
            agents=said_join(by_standard, said(" and ")),
        )
    for agent in air.agents:
        needed = needed_cartridge(agent.substance) if agent.substance else None
        if agent.is_gas and recommended(agent.substance) is Recommended.UNLESS_BOUNDED:
            doubt = said("published recommendations, recalled and not read, name supplied air alone")
            yield said(
                "a cartridge whose maker gives a highest level for %(agent)s (%(doubt)s)",
                agent=agent.hazard.agent,
                doubt=doubt,
            )
        elif agent.is_gas and needed in (None, ONLY_LABEL):
            yield said("a cartridge whose own label names %(agent)s", agent=agent.hazard.agent)


def _best_parts(air: TaskAir, mask: Mask) -> Iterator[Filter]:
    """The best filter, and a cartridge for every gas that has one or whose standard names one; none in a dust mask."""
    if mask.facepiece is Facepiece.FILTERING_FACEPIECE or not purifies(mask):
        return
    best = Particulate.HEPA if mask.mode is Mode.POWERED else Particulate.P100
    yield Filter(id="best-filter", name=said("the best filter"), particulate=best)
    gases: set[Gas] = set()
    labelled: set[str] = set()
    for agent in air.agents:
        gases.update(map(Gas, gases_named(agent, air.task, mask)))
        if not agent.is_gas:
            continue
        needed = needed_cartridge(agent.substance) if agent.substance else None
        if recommended(agent.substance) is Recommended.SUPPLIED_AIR:
            continue
        if needed in (None, ONLY_LABEL):
            labelled.add(agent.hazard.agent)  # there may be a cartridge whose label names it
        elif needed != NO_CARTRIDGE:
            gases.add(Gas(needed))
    if gases or labelled:
        names = tuple(sorted(labelled))
        mount = Mount.FRONT_OR_BACK_CANISTER if Gas.CARBON_MONOXIDE in gases else None
        yield Filter(
            id="best-cartridge", name=said("the best cartridge"), gases=tuple(sorted(gases)), agents=names, mount=mount
        )
