"""Which class of gas cartridge an agent needs, as far as it is known; the approval label has the last word."""

from __future__ import annotations

from enum import Enum
from functools import cache

from progdoc.core.said import said, said_choice, said_join
from progdoc.model.description.masks import Filter, Gas
from progdoc.model.description.quantities import Quantity
from progdoc.model.description.words import label_of
from progdoc.rules.judged.published import Substance
from progdoc.rules.lookup.approvals import holds_no_gas, schedule_covers
from progdoc.rules.lookup.substances import find_substance, is_named, mistaken_for
from progdoc.rules.lookup.table_files import table_rows

__all__ = [
    "NO_CARTRIDGE",
    "ONLY_LABEL",
    "Recommended",
    "bounds_of",
    "claim_trouble",
    "is_approved_for",
    "is_doubted",
    "is_gas_cartridge",
    "may_be_gas",
    "needed_cartridge",
    "recommended",
]

NO_CARTRIDGE = "none"
ONLY_LABEL = "label"


@cache
def _named() -> dict[str, str]:
    return {row["agent"]: row["cartridge"] for row in table_rows("cartridges")}


@cache
def _organic_vapours() -> frozenset[str]:
    return frozenset(row["cas"] for row in table_rows("organics") if not row["barred"])


def needed_cartridge(substance: Substance) -> str | None:
    """Return the class of cartridge (a value of `Gas`), "none" where no class serves, "label" where only
    the label of a particular cartridge tells, None where not known."""
    named = _named().get(substance.id)
    if named is not None:
        return named
    if substance.state == "gas":  # too volatile for plain carbon to be taken for granted
        return ONLY_LABEL
    return Gas.ORGANIC_VAPOUR.value if _organic_vapours() & set(substance.cas) else None


class Recommended(Enum):
    """What published recommendations, recalled and not read, name against an agent: a doubt, no bar."""

    NOTHING_KNOWN = said("nothing known")
    SUPPLIED_AIR = said("supplied air alone")
    UNLESS_BOUNDED = said("supplied air, and a cartridge that its maker bounds for that agent settles it")


@cache
def _of_supplied_air() -> dict[str, Recommended]:
    answers = {"yes": Recommended.UNLESS_BOUNDED, "": Recommended.SUPPLIED_AIR}
    return {row["agent"]: answers[row["bound_answers"]] for row in table_rows("supplied_air")}


def recommended(substance: Substance | None) -> Recommended:
    """Return whether recommendations name supplied air against an agent."""
    known = _of_supplied_air().get(substance.id) if substance is not None else None
    return known or Recommended.NOTHING_KNOWN


def is_doubted(part: Filter, agent: str, substance: Substance | None) -> bool:
    """Return whether a cartridge worn against an agent is in doubt, whatever its class and list of agents say."""
    found = recommended(substance)
    if found is Recommended.UNLESS_BOUNDED:
        return not any(bound.source and is_named((bound.agent,), agent, substance) for bound in part.most_for)
    return found is Recommended.SUPPLIED_AIR


def is_gas_cartridge(part: Filter) -> bool:
    """Return whether a part stops gas or vapour: by its class, or by an agent on its label that may be one.

    A particle filter whose label names dusts alone, lead on a P100 disc, is none: it is never spent by a vapour.
    """
    if part.gases or part.particulate is None:
        return bool(part.gases or part.agents)
    return any(may_be_gas(find_substance(agent)) for agent in part.agents)


def may_be_gas(substance: Substance | None) -> bool:
    """Return whether an agent may be in the air as gas or vapour; one that no table knows may."""
    return substance is None or substance.state != "solid" or needed_cartridge(substance) is not None


def is_approved_for(part: Filter, agent: str, substance: Substance | None) -> bool | None:
    """Return whether a cartridge is made for an agent; None where neither its class nor its label tells."""
    needed = needed_cartridge(substance) if substance else None
    if substance is not None and substance.is_simple_asphyxiant:
        return False  # what takes the place of oxygen is not the trouble: that the oxygen is gone is
    if is_named(part.agents, agent, substance) and not claim_trouble(part, substance):
        return True
    if substance is None:
        return None
    if needed == NO_CARTRIDGE:
        return False
    if needed in part.gases:
        return True
    # What a multi-gas cartridge stops, and what a cartridge for an agent without a class, stands on the label.
    return None if needed in (None, ONLY_LABEL) or Gas.MULTI_GAS in part.gases else False


def claim_trouble(part: Filter, substance: Substance | None) -> str:
    """Return why a cartridge can't be for an agent that is named for it, by its own approval or class; or nothing.

    An agent that no table knows may be what its label says.
    """
    needed = needed_cartridge(substance) if substance else None
    if needed is None or substance is None:
        return ""
    if holds_no_gas(part.approval):
        return said(
            "its number, “%(approval)s”, is for %(schedule_covers)s",
            approval=part.approval,
            schedule_covers=schedule_covers(part.approval or ""),
        )
    is_of_class = not part.gases or Gas.MULTI_GAS in part.gases or needed in part.gases or needed == ONLY_LABEL
    if is_of_class and needed != NO_CARTRIDGE:  # what no cartridge stops, one of many gases doesn't stop either
        return ""
    held = said_join((said_choice(gas) for gas in part.gases), said(" and ")) or said("not said")
    wanted = said("no cartridge of the usual classes") if needed == NO_CARTRIDGE else needed.replace("-", " ")
    return said(
        "its class is %(held)s, and %(substance)s takes %(wanted)s", held=held, substance=substance.name, wanted=wanted
    )


def bounds_of(
    part: Filter, agent: str, substance: Substance | None, *, is_gas: bool
) -> tuple[tuple[Quantity, str], ...]:
    """Return the highest concentrations in which a filter or cartridge may be worn against an agent, and who says so.

    What is said without an agent is of gas where the part stops gas, else of particles. A slip in the name of a bound
    is no way around it.
    """
    stops_gas = is_gas_cartridge(part)
    if is_gas and not stops_gas:
        return ()
    whose = said("the maker's, for %(part)s", part=label_of(part))
    found = [(part.most, whose)] if part.most is not None and stops_gas is is_gas else []
    found += [
        (bound.most, said("%(source)s, against %(agent)s", source=bound.source or whose, agent=bound.agent))
        for bound in part.most_for
        if is_named((bound.agent,), agent, substance)
        or (substance is not None and substance.name in mistaken_for(bound.agent))
    ]
    return tuple((most, origin) for most, origin in found if most.value > 0.0)
