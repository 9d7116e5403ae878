"""The change schedule of every gas cartridge in every task: the shortest of all sources, as moments of the day.

progdoc asserts no schedule that no source carries. Where the description names one, it is held against the
shortest source; where it names none, the computed one is a proposal and is called so.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace

from progdoc.calc.change_schedule import keepable_interval_min
from progdoc.core.numbers import interval_words, number_text
from progdoc.core.said import said
from progdoc.model.description.cartridge_data import ModelUse, ServiceData, StandardRule
from progdoc.model.description.masks import Filter, Mask, Mode
from progdoc.model.description.program import Program
from progdoc.model.description.quantities import in_unit
from progdoc.model.description.upkeep import Basis, Schedule
from progdoc.model.description.workplace import DoneBy, MaskUse
from progdoc.rules.air.shift_levels import worked_minutes
from progdoc.rules.cartridge_life.change_moments import change_moments, moments_words
from progdoc.rules.cartridge_life.life_estimate import cartridge_life, gas_agents
from progdoc.rules.cartridge_life.schedule_sources import (
    data_life,
    indicator_life,
    model_life,
    runs_by_indicator,
    standard_bounds,
    stated_bound,
)
from progdoc.rules.cartridge_life.vapours import boiling_point_c
from progdoc.rules.in_force.strictest import longest_use
from progdoc.rules.judged.air_results import TaskAir
from progdoc.rules.judged.cartridge_results import (
    BASIS_WORDS,
    CartridgeChange,
    CartridgeLife,
    KnownLife,
    Moment,
    ServiceLife,
)
from progdoc.rules.lookup.cartridges import is_gas_cartridge
from progdoc.rules.lookup.telling_words import left_to_the_nose

__all__ = ["WANDERS_BELOW_C", "cartridge_changes", "service_lives"]

_HAIR_MIN = 1e-9  # a change at the very end of the shift is none within it
WANDERS_BELOW_C = 65.0  # model.md: no reuse on another shift for vapours that boil lower
BASE = "procedures.filter_changes.schedules"


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
        if is_gas_cartridge(part):
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
    most = longest_use(air.rules.of(mask).policies)
    shortest = min([*counting, *([most.amount("min")] if most else [])], default=0.0)
    interval = keepable_interval_min(shortest) if carried and shortest > 0.0 else None
    day = program.procedures.filter_changes
    shift = worked_minutes(air.task)
    task_min = in_unit(air.task.duration, "min") if air.task.duration else None
    fits = interval is not None and task_min is not None and task_min <= interval
    moments = change_moments(interval, shift, day) if interval and not fits else ()
    lasts = interval is not None and (shift if task_min is None else task_min) <= interval
    in_use = min(shift if task_min is None else task_min, shift) if lasts else shift
    change = CartridgeChange(
        task=air.task,
        task_path=air.path,
        mask=mask,
        part=part,
        part_path=path,
        agents=tuple(agent.hazard.agent for agent in gas_agents(air)),
        life=life,
        sources=sources,
        written=written,
        carried=_carried(written, sources),
        most=most,
        moments=moments,
        shift_min=shift,
        in_use_min=in_use,
        changed_after_min=_changed_after(moments, interval, shift, in_use),
        interval_min=interval,
        words=moments_words(moments, interval, shift, task_min) if interval else "",
        wanders=_wanders(air),
    )
    return replace(change, carried=tuple(one for one in change.carried if not change.is_over_policy(one[1])))


def _carried(
    written: tuple[tuple[str, Schedule], ...], sources: tuple[KnownLife, ...]
) -> tuple[tuple[str, Schedule], ...]:
    lives = [source.minutes for source in sources if source.counts and source.minutes is not None]
    has_source = any(source.counts and not source.is_bound for source in sources)
    shortest = min(lives, default=None) if has_source else None
    if not has_source and any(source.is_unlikely for source in sources):
        return ()  # what it would rest on can hardly be right
    return tuple(
        (path, plan)
        for path, plan in written
        if plan.change
        and not left_to_the_nose(plan.change)
        and (
            shortest is None
            or (plan.after is not None and in_unit(plan.after, "min") <= shortest)
            or runs_by_indicator(plan, sources)
        )
    )


def _changed_after(
    moments: tuple[Moment, ...], interval_min: float | None, shift_min: float, in_use_min: float
) -> tuple[float, ...]:
    if moments:
        return tuple(moment.after_min for moment in moments)
    if interval_min is None or interval_min >= in_use_min:
        return ()
    count = int((shift_min - _HAIR_MIN) // interval_min)
    return tuple(interval_min * (i + 1) for i in range(count))


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
        yield data_life(data, f"{path}.service_data[{i}]", air, mask, life)
    relied_on = False
    for place, plan in written:
        relied_on = relied_on or plan.basis is Basis.MODEL
        for i, source in enumerate(plan.sources):
            if isinstance(source, ServiceData):
                yield data_life(source, f"{place}.sources[{i}]", air, mask, life)
            elif isinstance(source, ModelUse):
                relied_on = True
            elif isinstance(source, StandardRule) and (bound := stated_bound(source, f"{place}.sources[{i}]")):
                yield bound
    yield model_life(life, f"{path}.carbon", relied_on)
    yield from standard_bounds(air, mask)


def _wanders(air: TaskAir) -> bool | None:
    points = [boiling_point_c(agent) for agent in gas_agents(air)]
    if any(point is not None and point < WANDERS_BELOW_C for point in points):
        return True
    return None if None in points else False


# ---- a mask's cartridges in short ---------------------------------------------------------------------


def service_lives(changes: Mapping[tuple[str, str, str], CartridgeChange]) -> dict[tuple[str, str], ServiceLife]:
    """Return by task and mask how long the cartridges last; of several on one mask the shortest-lived counts."""
    by_mask: dict[tuple[str, str], list[CartridgeChange]] = {}
    for (task, mask, _), change in changes.items():
        by_mask.setdefault((task, mask), []).append(change)
    return {key: _service_life(min(found, key=_shortest_min)) for key, found in by_mask.items()}


def _shortest_min(change: CartridgeChange) -> float:
    return change.longest_use_min if change.longest_use_min is not None else 0.0


def _in_force(plan: Schedule) -> str:
    change = (plan.change or "").rstrip(".")
    return said("%(change)s; %(after)s at most", change=change, after=plan.after.printed) if plan.after else change


def _service_life(change: CartridgeChange) -> ServiceLife:
    governing = change.governing if change.has_source else None
    refused = [
        said("%(origin)s: %(why_not)s", origin=source.origin, why_not=source.why_not)
        for source in change.sources
        if not source.counts
    ]
    refused += [refusal.instead for refusal in change.life.refused]
    minutes = change.longest_use_min
    basis = (
        said("%(basis_words)s: %(origin)s", basis_words=BASIS_WORDS[governing.kind], origin=governing.origin)
        if governing
        else ""
    )
    if governing is not None and governing.minutes is not None and minutes is not None and minutes < governing.minutes:
        basis = said(
            "%(basis)s, %(minutes)s; our schedule is stricter", basis=basis, minutes=interval_words(governing.minutes)
        )
    settled = next((_in_force(plan) for _, plan in change.carried if plan.change), "")
    written = next((plan for _, plan in change.written if plan.basis is not None), None)
    if not basis and written is not None and written.basis is not None:
        basis = said(
            "%(basis_words)s, as described; there are no figures to compute with",
            basis_words=BASIS_WORDS[written.basis],
        )
    return ServiceLife(
        hours=None if minutes is None else float(number_text(minutes / 60.0, "down").replace(",", "")),
        basis=basis,
        schedule=settled or change.words or next((plan.change for _, plan in change.written if plan.change), ""),
        refused=tuple(dict.fromkeys(refused)),
    )
