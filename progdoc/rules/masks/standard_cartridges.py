"""Which cartridges and canisters the standard of an agent lets a mask clean the air with, and up to which level.

A standard that names kinds (`standard_cartridges.csv`) binds in the masks and the forms it names; where none of
its rows speaks of a mask, the rules for any cartridge hold alone.
"""

from __future__ import annotations

from collections.abc import Iterator

from progdoc.core.numbers import number_text
from progdoc.core.said import said, said_join
from progdoc.model.description.masks import Facepiece, Filter, Mask
from progdoc.model.description.words import label_of
from progdoc.model.description.workplace import Task
from progdoc.rules.judged.air_results import Assessment
from progdoc.rules.lookup.standard_tables import CartridgeRow, cartridge_rows
from progdoc.rules.lookup.substances import is_named
from progdoc.rules.masks.standards import highest_ppm, is_hepa, particle_filters, standards_of
from progdoc.rules.reasons import Reason

__all__ = ["against_cartridges", "gases_named"]


def against_cartridges(agent: Assessment, task: Task, mask: Mask, fitted: list[Filter], path: str) -> Iterator[Reason]:
    """Return what the standards of an agent hold against the cartridges fitted to a mask."""
    name = agent.hazard.agent
    for rule in standards_of(agent, task):
        rows = [row for row in cartridge_rows(rule.agent, rule.industry) if _speaks_of(row, agent, mask)]
        is_own_filter = mask.facepiece is Facepiece.FILTERING_FACEPIECE and not agent.is_gas
        if not rows or not (fitted or is_own_filter):
            continue  # no rule of its own, or nothing fitted against a gas: that is told by itself
        gas_parts = [part for part in fitted if part.gases or part.agents]
        unsaid = [part for part in gas_parts if part.mount is None and any(row.mounts for row in rows)]
        if unsaid:
            words = said_join(map(label_of, unsaid), ", ")
            because = said(
                "nobody says how %(words)s sits on the mask, and the standard of %(name)s goes by that",
                words=words,
                name=name,
            )
            yield Reason("SEL-018", path, {"because": because})
            continue
        kinds = [row for row in rows if _is_of(row, agent, mask, fitted, gas_parts)]
        if not any(_reaches(row, agent) for row in kinds):
            yield Reason("SEL-027", path, _words(agent, rows, kinds))


def gases_named(agent: Assessment, task: Task, mask: Mask) -> tuple[str, ...]:
    """Return the gases against which the standards of an agent ask for a cartridge in a mask."""
    rows = (row for rule in standards_of(agent, task) for row in cartridge_rows(rule.agent, rule.industry))
    return tuple(gas for row in rows if _speaks_of(row, agent, mask) for gas in row.gases)


def _speaks_of(row: CartridgeRow, agent: Assessment, mask: Mask) -> bool:
    stated = (
        (row.modes, mask.mode),
        (row.facepieces, mask.facepiece),
        (row.forms, agent.hazard.form),
    )
    return all(not named or value in named for named, value in stated)


def _is_of(row: CartridgeRow, agent: Assessment, mask: Mask, fitted: list[Filter], gas_parts: list[Filter]) -> bool:
    if row.mounts and not all(part.mount in row.mounts for part in gas_parts):
        return False
    if row.gases and not any(_stops(part, row.gases, agent) for part in gas_parts):
        return False
    return not row.particulate or any(is_hepa(part) for part in particle_filters(mask, fitted))


def _stops(part: Filter, gases: tuple[str, ...], agent: Assessment) -> bool:
    return any(gas in gases for gas in part.gases) or is_named(part.agents, agent.hazard.agent, agent.substance)


def _reaches(row: CartridgeRow, agent: Assessment) -> bool:
    if row.up_to_ppm is None:
        return True
    level = highest_ppm(agent)
    return level is not None and level <= row.up_to_ppm


def _words(agent: Assessment, rows: list[CartridgeRow], kinds: list[CartridgeRow]) -> dict[str, str]:
    level = highest_ppm(agent)
    air = said("air of unknown level") if level is None else said("%(level)s ppm", level=number_text(level, "up"))
    because = (
        said("what is fitted is not let in at %(air)s", air=air) if kinds else said("what is fitted is of another kind")
    )
    wanted = said_join(dict.fromkeys(row.words for row in rows), said(" or "))
    return {"agent": agent.hazard.agent, "because": because, "wanted": wanted, "citation": rows[0].citation}
