"""The figures that are not law and on which a program rests: for a hygienist to confirm, once, by a pack."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from progdoc.core.numbers import text_of
from progdoc.core.said import said, said_agent, said_join, said_measure
from progdoc.model.description.quantities import unit_symbol
from progdoc.rules.cartridge_life.vapours import breathes_by_effort
from progdoc.rules.judged.borrowed_results import Borrowed, Confirmed
from progdoc.rules.judged.cartridge_results import CartridgeChange
from progdoc.rules.judged.mask_results import Selection
from progdoc.rules.judged.published import Substance
from progdoc.rules.lookup.substances import find_substance
from progdoc.rules.lookup.table_files import table_rows

__all__ = ["borrowed_values", "figure_in_use"]

SATURATION = "saturation"  # both what ends a maximum use concentration and who uses the figure


def borrowed_values(
    selection: Selection, changes: Iterable[CartridgeChange], confirmed: Mapping[str, Confirmed]
) -> tuple[Borrowed, ...]:
    """Return every figure in use that nobody has confirmed, in the order of the tasks."""
    found: dict[str, Borrowed] = {}
    for one in (*_dangers(selection), *_of_estimates(changes), *_of_groups(selection), *_of_saturation(selection)):
        if one.id in confirmed:
            continue
        known = found.get(one.id)
        tasks = dict.fromkeys((*(known.used_in if known else ()), *one.used_in))
        found[one.id] = Borrowed(one.id, one.what, one.value, one.source, one.support, tuple(tasks))
    return tuple(found.values())


def figure_in_use(identity: str) -> str | None:
    """Return the value that progdoc uses for an id, as a pack confirms it; None for an id that there is not."""
    if identity.startswith("idlh-"):
        substance = find_substance(identity.removeprefix("idlh-"))
        return _idlh_text(substance) if substance and substance.idlh and substance.idlh.value is not None else None
    return next((_value(row) for row in table_rows("borrowed") if row["id"] == identity), None)


def _dangers(selection: Selection) -> Iterator[Borrowed]:
    for air in selection.air.values():
        for agent in air.agents:
            substance, danger = agent.substance, agent.danger
            if substance and substance.idlh and danger and not danger.is_by_policy:
                yield Borrowed(
                    f"idlh-{substance.id}",
                    said("IDLH value of %(substance)s", substance=said_agent(substance.name)),
                    _idlh_text(substance),
                    said_join(substance.idlh.sources, "; ") or "NIOSH",
                    substance.idlh.support,
                    (air.task.name,),
                )


def _idlh_text(substance: Substance) -> str:
    value = substance.idlh
    return text_of(value.value, unit_symbol(value.unit)) if value and value.value is not None else ""


def _of_estimates(changes: Iterable[CartridgeChange]) -> Iterator[Borrowed]:
    for change in changes:
        if change.life.estimate is None:
            continue
        yield from _rows(("model",), change.task.name)
        if change.life.assumed:
            yield from _rows(("assumed-carbon",), change.task.name)
        if change.task.effort is not None and breathes_by_effort(change.task):
            yield from _rows(("breathing",), change.task.name, f"breathing-{change.task.effort.value}")


def _of_groups(selection: Selection) -> Iterator[Borrowed]:
    for air in selection.air.values():
        if any(ratio.level.is_of_group for agent in air.agents for ratio in agent.ratios):
            yield from _rows(("group",), air.task.name)


def _of_saturation(selection: Selection) -> Iterator[Borrowed]:
    for (task, _), verdict in selection.masks.items():
        air = selection.air[task]
        capped = {muc.agent for muc in verdict.mucs if muc.governed_by == SATURATION}
        for agent in air.agents:
            if agent.substance is not None and agent.hazard.agent in capped:
                yield from _rows((SATURATION,), air.task.name, f"vapour-pressure-{agent.substance.id}")


def _rows(used_by: tuple[str, ...], task: str, only: str = "") -> Iterator[Borrowed]:
    for row in table_rows("borrowed"):
        if row["used_by"] in used_by and only in ("", row["id"]):
            yield Borrowed(row["id"], row["what"], _value(row), row["source"], row["support"], (task,))


def _value(row: Mapping[str, str]) -> str:
    return said_measure(f"{row['value']} {row['unit']}".rstrip())
