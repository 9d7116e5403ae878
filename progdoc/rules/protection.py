"""What a mask may be credited with, and up to which concentration it may be worn."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from progdoc.calc.fit import credited_protection_factor
from progdoc.calc.protection import maximum_use_concentration, protection_margin
from progdoc.core.numbers import text_of
from progdoc.core.worked import Input, Rounding, Worked
from progdoc.model.masks import Filter, Mask, Mode
from progdoc.model.quantities import Quantity, in_unit, is_comparable, unit_symbol
from progdoc.rules.exposure import Assessment
from progdoc.rules.tables import assigned_factors_for

__all__ = ["Credit", "MaskCeiling", "ceilings", "credit_of"]

_QUALITATIVE_CREDIT = 10.0  # 29 CFR 1910.134(f)(6): fit factor 100 and the usual safety factor of ten


@dataclass(frozen=True, slots=True)
class Credit:
    """The assigned protection factor a mask may be credited with, and why it is not more."""

    apf: float | None  # None: no factor is assigned, so the mask is not usable
    note: str
    citation: str


@dataclass(frozen=True, slots=True)
class MaskCeiling:
    """The maximum use concentration of a mask for one agent and limit."""

    agent: str
    value: float
    unit: str
    governed_by: str
    margin: float | None  # None: the level is not known
    worked: Worked

    @property
    def printed(self) -> str:
        return text_of(self.value, unit_symbol(self.unit), "down")


def credit_of(mask: Mask, qualitative_only: bool) -> Credit:
    """Return the factor of Table 1 by mode and facepiece, lowered where fit tests or evidence do not support it."""
    if mask.facepiece is None or mask.mode is None or mask.escape_only:
        return Credit(None, "", "29 CFR 1910.134(d)(3)(i)(A), Table 1")
    cells = assigned_factors_for(mask.mode.value, mask.facepiece.value)
    usable = [c for c in cells if c.apf is not None and (not c.needs_maker_evidence or mask.hood_evidence)]
    if not usable:
        return Credit(None, "Table 1 assigns it no factor", "29 CFR 1910.134(d)(3)(i)(A), Table 1")
    best = max(usable, key=lambda cell: cell.apf or 0)
    assigned = float(best.apf or 0)
    if len(cells) > len(usable):
        return Credit(assigned, "without the maker's evidence a hood counts as loose-fitting", best.citation)
    negative = mask.mode in (Mode.AIR_PURIFYING, Mode.AIRLINE_DEMAND, Mode.SCBA_DEMAND)
    credited = credited_protection_factor(
        assigned, _QUALITATIVE_CREDIT, is_qualitative=qualitative_only, is_negative_pressure=negative
    )
    note = "qualitative fit tests support 10 at most, (f)(6)" if credited < assigned else ""
    return Credit(credited, note, best.citation)


def ceilings(agents: Sequence[Assessment], credit: Credit, fitted: Sequence[Filter]) -> tuple[MaskCeiling, ...]:
    """Return the maximum use concentration for every agent that has a limit with a number."""
    if credit.apf is None:
        return ()
    return tuple(ceiling for agent in agents if (ceiling := _ceiling(agent, credit.apf, fitted)) is not None)


def _ceiling(agent: Assessment, apf: float, fitted: Sequence[Filter]) -> MaskCeiling | None:
    governing = agent.governing
    limit = governing.limit if governing else next((item for item in agent.limits if item.value), None)
    if limit is None or limit.value is None:
        return None
    limit_value = governing.level.limit_value if governing else limit.value
    idlh = (
        _as(agent.substance.idlh.value, agent.substance.idlh.unit, limit.unit)
        if agent.substance and agent.substance.idlh
        else None
    )
    caps = [part.most for part in fitted if part.most is not None and part.gases and agent.is_gas]
    known = [c for c in (_as(cap.value, cap.unit, limit.unit) for cap in caps) if c is not None]
    cartridge = min(known, default=None)
    most = maximum_use_concentration(apf, limit_value, idlh, cartridge)
    during = _as(agent.during_task, agent.unit, limit.unit) if agent.during_task is not None and agent.unit else None
    level = max(
        (
            x
            for x in (
                during if most.governed_by != "protection-factor" else None,
                governing.level.value if governing else None,
            )
            if x is not None
        ),
        default=None,
    )
    margin = protection_margin(most.concentration, level) if level else None
    unit = unit_symbol(limit.unit)
    inputs = [
        Input("APF", apf, "", "29 CFR 1910.134(d)(3)(i)(A), Table 1"),
        Input("limit", limit_value, unit, limit.citation),
    ]
    if idlh is not None and agent.substance and agent.substance.idlh:
        inputs.append(
            Input("IDLH", idlh, unit, f"NIOSH value, {agent.substance.idlh.support.replace('-', ' ')}: verify")
        )
    if cartridge is not None:
        inputs.append(Input("cartridge limit", cartridge, unit, "the maker's"))
    worked = Worked(
        id=f"hazards.{agent.hazard.id}.muc.{apf:g}",
        name=f"Maximum use concentration of {agent.hazard.agent} with an APF of {apf:g}",
        value=most.concentration,
        unit=unit,
        formula="MUC = APF × limit, no more than IDLH and the cartridge's own limit",
        inputs=tuple(inputs),
        citation="29 CFR 1910.134(d)(3)(i)(B)",
        rounding=Rounding.DOWN,
    )
    return MaskCeiling(agent.hazard.agent, most.concentration, limit.unit, most.governed_by.value, margin, worked)


def _as(value: float | None, unit: str, wanted: str) -> float | None:
    if value is None or not unit:
        return None
    quantity = Quantity(value, unit, "")
    return in_unit(quantity, wanted) if is_comparable(quantity, Quantity(1.0, wanted, "")) else None
