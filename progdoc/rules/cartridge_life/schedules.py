"""The change schedule of every gas cartridge in every task: the shortest of all sources, as moments of the day.

progdoc asserts no schedule that no source carries. Where the description names one, it is held against the
shortest source; where it names none, the computed one is a proposal and is called so.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from progdoc.calc.change_schedule import keepable_interval_min
from progdoc.core.numbers import number_text
from progdoc.core.worked import Worked
from progdoc.model.description.cartridge_data import ModelUse, ServiceData, StandardRule
from progdoc.model.description.masks import Filter, Mask, Mode
from progdoc.model.description.program import Program
from progdoc.model.description.quantities import in_unit
from progdoc.model.description.upkeep import Basis, Schedule
from progdoc.model.description.workplace import DoneBy, MaskUse, Task
from progdoc.rules.air.levels import worked_minutes
from progdoc.rules.air.task_air import TaskAir
from progdoc.rules.cartridge_life.change_moments import Moment, change_moments, moments_words
from progdoc.rules.cartridge_life.life_estimate import CartridgeLife, cartridge_life, gas_agents
from progdoc.rules.cartridge_life.schedule_sources import (
    KnownLife,
    data_life,
    indicator_life,
    model_life,
    standard_bounds,
    stated_bound,
)
from progdoc.rules.cartridge_life.vapours import boiling_point_c

__all__ = ["BASIS_WORDS", "CartridgeChange", "cartridge_changes", "service_life_of"]

_WANDERS_BELOW_C = 65.0  # model.md: no reuse on another shift for vapours that boil lower
BASE = "procedures.filter_changes.schedules"
BASIS_WORDS = {
    Basis.INDICATOR: "end-of-service-life indicator",
    Basis.MAKER: "maker's data",
    Basis.TEST: "test data",
    Basis.MODEL: "published model, an estimate",
    Basis.STANDARD: "rule of a substance standard",
    Basis.ODOUR: "odour, which is no basis",
    Basis.HABIT: "habit, which is no basis",
}


@dataclass(frozen=True, slots=True)
class CartridgeChange:
    """When one cartridge on one mask is changed in one task, and everything that says so."""

    task: Task
    task_path: str
    mask: Mask
    part: Filter
    part_path: str
    agents: tuple[str, ...]
    life: CartridgeLife
    sources: tuple[KnownLife, ...]
    written: tuple[tuple[str, Schedule], ...]  # schedules of the description that cover it, with their places
    moments: tuple[Moment, ...]  # changes within the shift; none where one cartridge lasts for the whole task
    interval_min: float | None  # None: no number, or too short to plan on
    words: str  # the computed schedule in a line, "" where there is none
    wanders: (
        bool | None
    )  # whether a vapour is too volatile for another shift; None where its boiling point is not known

    @property
    def governing(self) -> KnownLife | None:
        """The source with the shortest life; a bound governs only beside a source."""
        counting = [source for source in self.sources if source.counts and source.minutes is not None]
        return min(counting, key=lambda source: (source.minutes or 0.0, source.origin), default=None)

    @property
    def has_source(self) -> bool:
        return any(source.counts and not source.is_bound for source in self.sources)

    @property
    def shortest_min(self) -> float | None:
        return self.governing.minutes if self.governing else None

    @property
    def is_too_short(self) -> bool:
        """Whether the shortest source leaves less than a quarter of an hour."""
        return self.shortest_min is not None and self.interval_min is None

    @property
    def worked(self) -> tuple[Worked, ...]:
        found = [source.worked for source in self.sources if source.worked is not None]
        return (*found, self.life.worked) if self.life.worked and self.life.worked not in found else tuple(found)


def cartridge_changes(program: Program, air: Mapping[str, TaskAir]) -> dict[tuple[str, str, str], CartridgeChange]:
    """Return the change of every gas cartridge by task, mask and filter, in the order of the description."""
    masks = {mask.id: mask for mask in program.masks}
    parts = {part.id: (f"filters[{i}]", part) for i, part in enumerate(program.filters)}
    found: dict[tuple[str, str, str], CartridgeChange] = {}
    for task in program.tasks:
        here = air[task.id]
        if task.done_by is not DoneBy.OUR_PEOPLE or not gas_agents(here):
            continue
        for use in task.masks:
            for path, part in _gas_parts(use, masks[use.mask], parts):
                found[task.id, use.mask, part.id] = _change(program, here, masks[use.mask], path, part)
    return found


def _gas_parts(use: MaskUse, mask: Mask, parts: Mapping[str, tuple[str, Filter]]) -> Iterable[tuple[str, Filter]]:
    if mask.mode not in (Mode.AIR_PURIFYING, Mode.POWERED):
        return
    for part_id in use.filters:
        path, part = parts[part_id]
        if part.gases or part.agents:
            yield path, part


def _change(program: Program, air: TaskAir, mask: Mask, path: str, part: Filter) -> CartridgeChange:
    plans = program.procedures.filter_changes.schedules
    written = tuple(
        (f"{BASE}[{i}]", plan) for i, plan in enumerate(plans) if plan.filter == part.id and air.task.id in plan.tasks
    )
    life = cartridge_life(air, mask, part)
    sources = tuple(_sources(air, mask, path, part, written, life))
    counting = [source.minutes for source in sources if source.counts and source.minutes is not None]
    carried = any(source.counts and not source.is_bound and source.minutes is not None for source in sources)
    interval = keepable_interval_min(min(counting)) if carried and min(counting) > 0.0 else None
    day = program.procedures.filter_changes
    shift = worked_minutes(air.task)
    task_min = in_unit(air.task.duration, "min") if air.task.duration else None
    fits = interval is not None and task_min is not None and task_min <= interval
    moments = change_moments(interval, shift, day) if interval and not fits else ()
    return CartridgeChange(
        task=air.task,
        task_path=air.path,
        mask=mask,
        part=part,
        part_path=path,
        agents=tuple(agent.hazard.agent for agent in gas_agents(air)),
        life=life,
        sources=sources,
        written=written,
        moments=moments,
        interval_min=interval,
        words=moments_words(moments, interval, shift, task_min) if interval else "",
        wanders=_wanders(air),
    )


def _sources(
    air: TaskAir,
    mask: Mask,
    path: str,
    part: Filter,
    written: tuple[tuple[str, Schedule], ...],
    life: CartridgeLife,
) -> Iterable[KnownLife]:
    indicator = indicator_life(part, path, air)
    if indicator is not None:
        yield indicator
    for i, data in enumerate(part.service_data):
        yield data_life(data, f"{path}.service_data[{i}]", air, mask)
    relied_on = False
    for place, plan in written:
        relied_on = relied_on or plan.basis is Basis.MODEL
        for i, source in enumerate(plan.sources):
            if isinstance(source, ServiceData):
                yield data_life(source, f"{place}.sources[{i}]", air, mask)
            elif isinstance(source, ModelUse):
                relied_on = True
            elif isinstance(source, StandardRule) and (bound := stated_bound(source, f"{place}.sources[{i}]")):
                yield bound
    yield model_life(life, f"{path}.carbon", relied_on)
    yield from standard_bounds(air, mask)


def _wanders(air: TaskAir) -> bool | None:
    points = [boiling_point_c(agent) for agent in gas_agents(air)]
    if any(point is not None and point < _WANDERS_BELOW_C for point in points):
        return True
    return None if None in points else False


# ---- for `select` -------------------------------------------------------------------------------------


def service_life_of(
    changes: Mapping[tuple[str, str, str], CartridgeChange], task: str, mask: str
) -> dict[str, Any] | None:
    """Return hours, basis, schedule and refusals of a mask in a task as JSON values; None without gas cartridges.

    Of several cartridges on one mask the shortest-lived counts. Hours are rounded down.
    """
    found = [change for (its_task, its_mask, _), change in changes.items() if (its_task, its_mask) == (task, mask)]
    if not found:
        return None
    change = min(found, key=lambda each: each.shortest_min if each.shortest_min is not None else 0.0)
    governing = change.governing if change.has_source else None
    refused = [f"{source.origin}: {source.why_not}" for source in change.sources if not source.counts]
    refused += [refusal.instead for refusal in change.life.refused]
    minutes = governing.minutes if governing else None
    basis = f"{BASIS_WORDS[governing.kind]}: {governing.origin}" if governing else ""
    written = next((plan for _, plan in change.written if plan.basis is not None), None)
    if not basis and written is not None and written.basis is not None:
        basis = f"{BASIS_WORDS[written.basis]}, as described; there are no figures to compute with"
    return {
        "hours": None if minutes is None else float(number_text(minutes / 60.0, "down").replace(",", "")),
        "basis": basis,
        "schedule": change.words or next((plan.change for _, plan in change.written if plan.change), ""),
        "refused": list(dict.fromkeys(refused)),
    }
