"""What a mask may be credited with, and up to which concentration it may be worn."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from math import inf

from progdoc.calc.fit import credited_protection_factor
from progdoc.calc.protection import MucCap, maximum_use_concentration, protection_margin
from progdoc.core.late_dataclass import dataclass
from progdoc.core.numbers import text_of
from progdoc.core.said import capital, said, said_join, same
from progdoc.core.worked import Input, Rounding, Step, Worked, followed, with_digits_to_follow
from progdoc.model.description.masks import Filter, Mask
from progdoc.model.description.quantities import Quantity, unit_symbol
from progdoc.rules.air.saturation import saturation_of
from progdoc.rules.judged.air_results import Assessment, Bound
from progdoc.rules.judged.mask_results import Credit, MaximumUseConcentration
from progdoc.rules.lookup.cartridges import bounds_of
from progdoc.rules.lookup.cited import cited
from progdoc.rules.lookup.conversion import in_limit_unit
from progdoc.rules.lookup.facepieces import is_negative_pressure
from progdoc.rules.lookup.hood_reports import factor_shown
from progdoc.rules.lookup.law_tables import assigned_factors_for

__all__ = ["credit_of", "maximum_use_concentrations"]


def credit_of(mask: Mask, most_by_taste: float | None, cap: Bound | None = None) -> Credit:
    """Return the factor of Table 1, lowered where fit tests, missing evidence or a policy do not support it.

    `most_by_taste`: what a qualitative fit test supports, where no other serves the mask.
    """
    table_1 = cited("protection-factors")
    if mask.facepiece is None or mask.mode is None or mask.escape_only:
        return Credit(None, "", table_1)
    shown = factor_shown(mask)
    cells = assigned_factors_for(mask.mode.value, mask.facepiece.value)
    usable = [c for c in cells if c.apf is not None and (not c.needs_maker_evidence or shown >= c.apf)]
    if not usable:
        return Credit(None, said("Table 1 assigns it no factor"), table_1)
    best = max(usable, key=lambda cell: cell.apf or 0)
    assigned = float(best.apf or 0)
    notes = [said("without the maker's evidence a hood counts as loose-fitting")] if len(cells) > len(usable) else []
    report = mask.hood_report
    if len(cells) > len(usable) and report is not None and report.factor is not None and report.factor < assigned:
        assigned = report.factor  # what the maker found is no less true for being little
        notes.append(said("the maker's own report shows no more"))
    credited = assigned
    if most_by_taste is not None:
        credited = credited_protection_factor(
            assigned, most_by_taste, is_qualitative=True, is_negative_pressure=is_negative_pressure(mask)
        )
    if credited < assigned:
        notes.append(
            said(
                "no instrument protocol for it is named, and qualitative tests support %(most_by_taste)s at "
                "most, (f)(6)",
                most_by_taste=same(f"{most_by_taste:g}"),
            )
        )
    by_instrument = None if credited == assigned else min(assigned, cap.value if cap else inf)
    if cap is not None and cap.value < credited:
        notes.append(said("no more by %(origin)s", origin=cap.origin))
        return Credit(
            cap.value,
            said_join(notes, "; "),
            said("%(citation)s; %(origin)s", citation=best.citation, origin=cap.origin),
            credited,
            cap,
            by_instrument,
        )
    return Credit(credited, said_join(notes, "; "), best.citation, credited, by_instrument=by_instrument)


def maximum_use_concentrations(
    agents: Sequence[Assessment], credit: Credit, fitted: Sequence[Filter], serves_idlh: bool = False
) -> tuple[MaximumUseConcentration, ...]:
    """Return the maximum use concentration for every agent that has a limit with a number.

    `serves_idlh`: the mask is one for immediately dangerous air, where the IDLH value bounds nothing.
    """
    if credit.apf is None:
        return ()
    found = (_muc(agent, credit, credit.apf, fitted, serves_idlh) for agent in agents)
    return tuple(muc for muc in found if muc is not None)


_CAP_NAMES = {
    MucCap.IDLH: said("IDLH"),
    MucCap.CARTRIDGE: said("cartridge limit"),
    MucCap.SATURATION: said("saturation"),
}


_MOST_DIGITS_READ = 5  # of a figure in a sentence; 0.0666666666667 is read by nobody


@dataclass(frozen=True, slots=True)
class _Cap:
    name: str
    value: float  # in the unit of the limit
    printed: str
    origin: str
    margin: tuple[float, str] | None  # cap ÷ level while working, and that sum in words


def _caps(agent: Assessment, fitted: Sequence[Filter], unit: str, serves_idlh: bool) -> list[_Cap]:
    """Return the IDLH value and the own limits of filters and cartridges."""
    given: list[tuple[str, Quantity, str]] = []
    if agent.danger is not None and not serves_idlh:
        given.append((MucCap.IDLH, Quantity(agent.danger.value, agent.danger.unit, ""), agent.danger.origin))
    given += [
        (MucCap.CARTRIDGE, most, origin)
        for part in fitted
        for most, origin in bounds_of(part, agent.hazard.agent, agent.substance, is_gas=agent.is_gas)
    ]
    held_ppm = saturation_of(agent.hazard, agent.substance)
    if held_ppm is not None:
        given.append(
            (MucCap.SATURATION, Quantity(held_ppm, "ppm", ""), said("all that air at 20 °C can hold as vapour"))
        )
    caps: list[_Cap] = []
    for name, cap, origin in given:
        value = in_limit_unit(cap, unit, agent.substance)
        level = agent.during_task and in_limit_unit(
            Quantity(agent.during_task, agent.unit, ""), cap.unit, agent.substance
        )
        # Air never holds more than its saturation: a level beyond it is in doubt, and the cap no measure of a margin.
        margin = None
        if level and name != MucCap.SATURATION:
            symbol = unit_symbol(cap.unit)
            top = Input(name, cap.value, symbol, "", Rounding.DOWN)
            words = _margin_words(top, Input("level", level, symbol, "", Rounding.UP))
            margin = (
                protection_margin(cap.value, level),
                said("%(cap_names)s %(words)s while working", cap_names=_CAP_NAMES[MucCap(name)], words=words),
            )
        if value is not None:
            caps.append(_Cap(name, value, text_of(cap.value, unit_symbol(cap.unit), "down"), origin, margin))
    return caps


def _margin_words(top: Input, below: Input) -> str:
    """Return two figures with the digits it takes to come to their ratio by hand.

    A ratio that comes out even, 150 of 10 ÷ 0.0666…, is never reached from below: there it is enough to come near it.
    """
    margin = Input("margin", top.value / below.value, "", "", Rounding.DOWN)
    near = replace(margin, rounding=Rounding.NEAREST)
    by_hand = [
        with_digits_to_follow((top, below), (Step(one, lambda numbers: numbers[0] / numbers[1]),))
        for one in ((margin, near) if near.printed == margin.printed else (margin,))
    ]
    shown = by_hand[0] if by_hand[0][0].digits <= _MOST_DIGITS_READ else by_hand[-1]
    return said_join((one.printed for one in shown), " ÷ ")


def _muc(
    agent: Assessment, credit: Credit, apf: float, fitted: Sequence[Filter], serves_idlh: bool
) -> MaximumUseConcentration | None:
    governing = agent.governing
    limit = governing.limit if governing else next((item for item in agent.limits if item.value), None)
    if limit is None or not limit.value or limit.value < 0.0:
        return None
    limit_value = governing.level.limit_value if governing else limit.value
    caps = _caps(agent, fitted, limit.unit, serves_idlh)
    lowest = {cap.name: cap for cap in sorted(caps, key=lambda cap: -cap.value)}
    values = {name: cap.value for name, cap in lowest.items()}
    most = maximum_use_concentration(
        apf, limit_value, values.get(MucCap.IDLH), values.get(MucCap.CARTRIDGE), values.get(MucCap.SATURATION)
    )
    if most.governed_by is not MucCap.SATURATION:  # then it is no matter for the page
        lowest.pop(MucCap.SATURATION, None)
    margins = [cap.margin for cap in lowest.values() if cap.margin is not None]
    if governing is not None and governing.value > 0.0:
        ratio = Input(said("hazard ratio"), governing.value, "", "", Rounding.UP)
        words = _margin_words(Input("APF", apf, "", "", Rounding.DOWN), ratio)
        margins.append((apf / governing.value, words))
    margin, margin_sum = min(margins, key=lambda one: one[0], default=(None, ""))
    # Over its IDLH value an agent makes the air immediately dangerous, where there is no such concentration at all.
    own = lowest.get(MucCap.CARTRIDGE)
    is_passed = own is not None and own.margin is not None and own.margin[0] < 1.0
    return MaximumUseConcentration(
        hazard=agent.hazard.id,
        agent=agent.hazard.agent,
        value=most.concentration,
        unit=limit.unit,
        governed_by=most.governed_by.value,
        margin=margin,
        margin_sum=margin_sum,
        worked=_worked(agent, credit, apf, limit_value, unit_symbol(limit.unit), limit.citation, lowest, most),
        passed_cap=own.printed if own and is_passed else "",
        derived=agent.derived,
    )


def _worked(
    agent: Assessment,
    credit: Credit,
    apf: float,
    limit_value: float,
    unit: str,
    limit_citation: str,
    caps: dict[str, _Cap],
    most: tuple[float, MucCap],
) -> Worked:
    held = said(", nor more than air can hold") if MucCap.SATURATION in caps else ""
    inputs = [
        Input(same("APF"), apf, "", credit.citation, Rounding.DOWN),
        Input(said("limit"), limit_value, unit, limit_citation, Rounding.DOWN),
        *(
            Input(words, caps[name].value, unit, caps[name].origin, Rounding.DOWN)
            for name, words in _CAP_NAMES.items()
            if name in caps
        ),
    ]
    under = "".join(f".{name}-{cap.value:g}" for name, cap in sorted(caps.items()))
    worked = Worked(
        id=f"hazards.{agent.hazard.id}.muc.{apf:g}{under}",
        name=said(
            "Maximum use concentration of %(agent)s with an APF of %(apf)s",
            agent=agent.hazard.agent,
            apf=same(f"{apf:g}"),
        ),
        value=most[0],
        unit=unit,
        formula=said("MUC = APF × limit, no more than IDLH and the cartridge's own limit%(held)s", held=held),
        inputs=tuple(inputs),
        citation=cited("maximum-use-concentration"),
        rounding=Rounding.DOWN,
        notes=(said("%(note)s.", note=capital(credit.note)),) if credit.note else (),
    )
    return followed(worked, lambda numbers: min(numbers[0] * numbers[1], *numbers[2:], inf))
