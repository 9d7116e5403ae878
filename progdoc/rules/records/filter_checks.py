"""Looks at filters and at change schedules: does what was written hold against what is known of the cartridge.

Each check returns the places it read and, for each thing wrong, a place and the words for the placeholders
of the requirement's text.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable

from progdoc.core.numbers import number_text
from progdoc.core.said import said, said_choice, said_join, same
from progdoc.model.description.cartridge_data import Indicator, ModelUse, ServiceData, StandardRule
from progdoc.model.description.masks import Facepiece, Mask
from progdoc.model.description.quantities import in_unit
from progdoc.model.description.upkeep import Basis, ChangeParticulateWhen, Schedule
from progdoc.model.description.words import label_of
from progdoc.model.description.workplace import MaskUse
from progdoc.rules.cartridge_life.life_estimate import gas_agents
from progdoc.rules.cartridge_life.schedule_sources import runs_by_indicator
from progdoc.rules.check_result import CheckResult, result_at
from progdoc.rules.facts import Facts
from progdoc.rules.judged.cartridge_results import BASIS_WORDS, CartridgeChange, KnownLife
from progdoc.rules.lookup.law_tables import filter_class
from progdoc.rules.lookup.substances import speaks_of_agent
from progdoc.rules.masks.standards import standards_of
from progdoc.rules.requirement import Subject

__all__ = ["FILTER_CHECKS"]

_BASE = "procedures.filter_changes.schedules"
_HAIR = 1.0 + 1e-9  # minutes come from hours times 60
_NO_BASIS = (Basis.ODOUR, Basis.HABIT)
_SEEN_ON_THE_PART = (Basis.INDICATOR, Basis.STANDARD)  # what is not described there can't be relied on
_EVIDENCE = {
    ServiceData: ("source", "reliance"),
    Indicator: ("approval", "shows", "read_when"),
    ModelUse: ("reliance",),
    StandardRule: ("paragraph", "is_shown_by"),
}


def _plan(facts: Facts, subject: Subject) -> Schedule:
    plan: Schedule = facts.value_at(subject.path)
    return plan


def _changes(facts: Facts, subject: Subject) -> list[CartridgeChange]:
    """Return the changes that a schedule covers."""
    found = facts.cartridge_changes.items()
    return [
        change
        for (task, mask, _), change in found
        if any(path == subject.path for path, _ in change.written)
        and (subject.kind != "in-task" or {f"tasks.{task}", f"masks.{mask}"} <= set(subject.ids))
    ]


def _own_rule(facts: Facts, task_id: str) -> tuple[str, ...]:
    """Return the gas agents of a task whose standards set the change themselves; none if one of them leaves it open.

    Such a standard does not call in 1910.134(d)(3)(iii)(B)(1)-(2): its own rule stands in its place.
    """
    air = facts.selection.air[task_id]
    agents = gas_agents(air)
    rules = [standards_of(agent, air.task) for agent in agents]
    is_set = all(found and not any(rule.calls_in_change_schedule for rule in found) for found in rules)
    return tuple(f"{agent.path}.agent" for agent in agents) if is_set else ()


def _ruled_by_standards(facts: Facts, plan: Schedule) -> tuple[str, ...]:
    of_each = [_own_rule(facts, task) for task in plan.tasks]
    return tuple(path for paths in of_each for path in paths) if all(of_each) else ()


# ---- what a schedule rests on -------------------------------------------------------------------------


def _no_schedule(facts: Facts, subject: Subject) -> CheckResult:
    """A gas or vapour cartridge that has to be worn has no indicator that covers it, no schedule and no other rule."""
    path, part = facts.filters[subject.ids[0].partition(".")[2]]
    planned: dict[str, list[str]] = {}
    for i, schedule in enumerate(facts.description.procedures.filter_changes.schedules):
        for task_id in schedule.tasks if schedule.filter == part.id else ():
            planned.setdefault(task_id, []).append(f"{_BASE}[{i}]")
    shown: list[str] = []
    faults: list[tuple[str, dict[str, str]]] = []
    for _, task in facts.relevant_to(subject).tasks:
        if _indicated(facts, task.id, part.id):
            shown += (f"{path}.esli_for", f"{path}.esli_suits")
        elif task.id in planned:
            shown += planned[task.id]
        elif own := _own_rule(facts, task.id):
            shown += own
        elif facts.is_worn(task) and _may_hold_gas(facts, task.id):
            faults.append((_BASE, {"task": label_of(task), "cartridge": label_of(part)}))
    return CheckResult((_BASE, f"{path}.esli_for"), tuple(faults), shown=tuple(dict.fromkeys(shown)))


def _may_hold_gas(facts: Facts, task: str) -> bool:
    """Whether gas or vapour is, or may be, in the air of a task; against dust alone no cartridge is ever spent."""
    agents = facts.selection.air[task].agents
    return not agents or any(agent.is_gas or agent.hazard.form is None for agent in agents)


def _indicated(facts: Facts, task: str, part: str) -> bool:
    """Whether the cartridge's indicator suits, and covers every vapour of the task; no vapour covers itself."""
    its_part = facts.filters[part][1]
    if not (its_part.esli_for and its_part.esli_suits):
        return False
    changes = [c for (its_task, _, its), c in facts.cartridge_changes.items() if (its_task, its) == (task, part)]
    return all(any(s.kind is Basis.INDICATOR and s.counts for s in change.sources) for change in changes)


def _rests_on_data(facts: Facts, subject: Subject) -> CheckResult:
    plan = _plan(facts, subject)
    path = f"{subject.path}.{'basis' if plan.basis or not plan.sources else 'sources'}"
    if own := _ruled_by_standards(facts, plan):
        return CheckResult((path,), shown=own)
    if plan.basis in _NO_BASIS:
        return result_at(
            path, {"found": said(": “%(basis)s” is none", basis=said_choice(plan.basis)) if plan.basis else ""}
        )
    return result_at(path, None if plan.basis or plan.sources else {"found": ""})


def _data_described(facts: Facts, subject: Subject) -> CheckResult:
    """Every source has its evidence; a basis in words has its data and reliance."""
    plan = _plan(facts, subject)
    if _ruled_by_standards(facts, plan) and not (plan.basis or plan.sources):
        return CheckResult((subject.path,), nothing=said("The standards of these agents set the change themselves."))
    missing = [
        f"sources[{i}].{name}"
        for i, source in enumerate(plan.sources)
        for name in _EVIDENCE[type(source)]
        if getattr(source, name) is None
    ]
    if not plan.sources:
        missing = [name for name in ("data", "reliance") if getattr(plan, name) is None]
    place = f"{subject.path}.{missing[0]}" if missing else subject.path
    return result_at(place, {"missing": said_join(map(same, missing), ", ")} if missing else None)


def _longest_time_stated(facts: Facts, subject: Subject) -> CheckResult:
    """The schedule says the longest time in use, unless an indicator says when."""
    plan, path = _plan(facts, subject), f"{subject.path}.after"
    if plan.after is not None:
        return CheckResult((path,))
    if _is_indicated(facts, subject):
        return CheckResult((path,), shown=(f"{facts.filters[plan.filter][0]}.esli_for",))
    return result_at(path, {})


def _is_indicated(facts: Facts, subject: Subject) -> bool:
    changes = _changes(facts, subject)
    return bool(changes) and all(runs_by_indicator(_plan(facts, subject), change.sources) for change in changes)


def _within_shortest(facts: Facts, subject: Subject) -> CheckResult:
    """The schedule is no longer than the shortest source of any task and mask it covers."""
    plan = _plan(facts, subject)
    path = f"{subject.path}.after"
    after = in_unit(plan.after, "min") if plan.after else None
    if after is None and _is_indicated(facts, subject):
        return CheckResult((path,), nothing=said("The indicator says when, not a number of hours."))
    if after is None:
        return CheckResult((path,), ask=(path,))
    if not any(
        change.governing is not None and change.governing.minutes is not None for change in _changes(facts, subject)
    ):
        return CheckResult((path,), nothing=said("No source gives a service life in figures."))
    faults = []
    for change in _changes(facts, subject):
        shortest = change.governing
        if shortest is not None and shortest.minutes is not None and after > shortest.minutes * _HAIR:
            hours = number_text(shortest.minutes / 60.0, "down")
            words = {
                "after": plan.after.printed if plan.after else "",
                "task": label_of(change.task),
                "shortest": said(
                    "%(hours)s h by %(basis_words)s (%(origin)s)",
                    hours=hours,
                    basis_words=BASIS_WORDS[shortest.kind],
                    origin=shortest.origin,
                ),
                "do": _do(change),
            }
            faults.append((path, words))
    return CheckResult((path,), tuple({str(fault): fault for fault in faults}.values()))


def _within_estimate(facts: Facts, subject: Subject) -> CheckResult:
    """Where nothing with a figure counts, the schedule is no longer than the model's estimate on assumed carbon."""
    plan = _plan(facts, subject)
    path = f"{subject.path}.after"
    after = in_unit(plan.after, "min") if plan.after else None
    faults = []
    held = False
    for change in _changes(facts, subject) if after is not None else ():
        estimates = [
            s.minutes for s in change.sources if s.kind is Basis.MODEL and not s.counts and s.minutes is not None
        ]
        held = held or (change.governing is None and bool(estimates))
        if change.governing is None and estimates and after is not None and after > min(estimates) * _HAIR:
            estimate = said("%(estimates)s min", estimates=number_text(min(estimates), "down"))
            words = {
                "after": plan.after.printed if plan.after else "",
                "task": label_of(change.task),
                "estimate": estimate,
            }
            faults.append((path, words))
    if not held:
        return CheckResult((path,), nothing=said("A figure that counts decides, not the model's estimate."))
    asked = (path, f"{subject.path}.sources")  # where a figure that counts is written
    return CheckResult(asked, tuple({str(fault): fault for fault in faults}.values()))


def _do(change: CartridgeChange) -> str:
    if change.is_too_short or not change.words:
        return said("These cartridges last less than a quarter of an hour here: use supplied air or more carbon")
    return said("Change %(change)s", change=change.words)


def _source_holds(facts: Facts, subject: Subject) -> CheckResult:
    """Every source that the schedule names tells something of this cartridge in this air."""
    plan = _plan(facts, subject)
    faults: list[tuple[str, dict[str, str]]] = []
    for change in _changes(facts, subject):
        for source in change.sources:
            if source.counts or not _is_told(plan, subject.path, source, change):
                continue
            words = {
                "task": label_of(change.task),
                "source": said(
                    "%(basis_words)s (%(origin)s)", basis_words=BASIS_WORDS[source.kind], origin=source.origin
                ),
                "why": source.why_not,
                "instead": _SLIP if source.is_unlikely else _instead(change, source.kind),
            }
            faults.append((source.path if source.path.startswith(subject.path) else f"{subject.path}.basis", words))
    if plan.basis is None and not plan.sources:
        return CheckResult((f"{subject.path}.basis",), nothing=said("The schedule names no source."))
    return CheckResult((f"{subject.path}.basis", f"{subject.path}.sources"), tuple(faults))


_SLIP = said("Copy the figure again with its unit; if it is right, write the maker's data of the carbon beside it.")


def _is_told(plan: Schedule, path: str, source: KnownLife, change: CartridgeChange) -> bool:
    """Whether the schedule names a source: its own, of the kind of its basis, or the only data of that kind there are.

    Data beside the cartridge are for the agents that they name; a text that names ours speaks of others.
    """
    named = {plan.basis, *(Basis(one.kind) for one in plan.sources)}
    if source.path.startswith(f"{path}."):
        return True
    if source.kind in (Basis.MODEL, Basis.INDICATOR) or source.kind not in named:
        return source.kind in named
    others = any(one.kind is source.kind and one.counts for one in change.sources)
    text = said("%(data)s; %(reliance)s", data=plan.data or "", reliance=plan.reliance or "")
    return not others and (source.is_unlikely or not all(speaks_of_agent(text, agent) for agent in change.agents))


def _basis_counts(facts: Facts, subject: Subject) -> CheckResult:
    """What the schedule declares as its basis is among what its hours rest on, as the program's table shows it."""
    plan, path = _plan(facts, subject), f"{subject.path}.basis"
    declared = [kind for kind in (plan.basis, *(Basis(source.kind) for source in plan.sources)) if kind]
    faults: dict[str, tuple[str, dict[str, str]]] = {}
    for change in _changes(facts, subject):
        counting = dict.fromkeys(source.kind for source in change.sources if source.counts)
        described = {source.kind for source in change.sources}  # where one of them does not hold, that is told apart
        for kind in declared:
            if kind in described or kind in _NO_BASIS or not (counting or kind in _SEEN_ON_THE_PART):
                continue
            relied = said_join((BASIS_WORDS[known] for known in counting), ", ") or said("nothing that is described")
            words = {"declared": BASIS_WORDS[kind], "relied": relied, "task": label_of(change.task)}
            faults[f"{kind} {change.task.id}"] = (path if plan.basis else f"{subject.path}.sources", words)
    nothing = "" if declared else said("The schedule declares no basis.")
    return CheckResult((path, f"{subject.path}.sources"), tuple(faults.values()), nothing=nothing)


def _instead(change: CartridgeChange, kind: Basis) -> str:
    words = [refusal.instead for refusal in change.life.refused] if kind is Basis.MODEL else []
    return said_join(dict.fromkeys(words), " ") or said("Ask the maker for service data on your agents and conditions.")


def _not_reused(facts: Facts, subject: Subject) -> CheckResult:
    """No cartridge is worn again on another day where its vapours may have wandered to the clean side."""
    plan = _plan(facts, subject)
    path = f"{subject.path}.reused"
    if plan.reused is None:
        return CheckResult((path,), ask=(path,))
    if not plan.reused:
        return CheckResult((path,))
    faults = []
    for change in _changes(facts, subject):
        if change.wanders is not False:
            why = said("boil under 65 °C") if change.wanders else said("have no boiling point at hand")
            words = {"agents": said_join(change.agents, ", "), "why": said("some of its vapours %(why)s", why=why)}
        elif not plan.sealed:
            words = {"agents": said_join(change.agents, ", "), "why": said("it is not kept sealed in between")}
        else:
            continue
        faults.append((path, words))
    return CheckResult((path, f"{subject.path}.sealed"), tuple(faults))


def _carbon_known(facts: Facts, subject: Subject) -> CheckResult:
    """The estimate that a schedule rests on was made with the maker's carbon data."""
    faults: dict[str, dict[str, str]] = {}
    for change in _changes(facts, subject):
        governing = change.governing
        if governing is not None and governing.kind is Basis.MODEL and change.life.assumed:
            faults[f"{change.part_path}.carbon"] = {
                "cartridge": label_of(change.part),
                "assumed": said_join(change.life.assumed, "; "),
            }
    by_model = [c for c in _changes(facts, subject) if c.governing is not None and c.governing.kind is Basis.MODEL]
    if not by_model:
        return CheckResult((f"{subject.path}.filter",), nothing=said("The schedule does not rest on the model."))
    return CheckResult(
        (f"{subject.path}.filter",), tuple(faults.items()), tuple(f"{change.part_path}.carbon" for change in by_model)
    )


# ---- particle filters ---------------------------------------------------------------------------------


def _r_series_one_shift(facts: Facts, subject: Subject) -> CheckResult:
    """An R-series filter that meets oil is changed each shift."""
    path = "procedures.filter_changes.particulate.when"
    task_id, mask_id = (part.partition(".")[2] for part in subject.ids)
    task = facts.tasks[task_id][1]
    use: MaskUse = facts.value_at(subject.path)  # of a mask named twice, the one that is meant
    classes = [facts.filters[part][1].particulate for part in use.filters]
    classes.append(facts.masks[mask_id][1].built_in_filter)
    found = [row for c in classes if c is not None and (row := filter_class(c.value)) is not None and row.series == "R"]
    if not found:
        return CheckResult((path,), nothing=said("No filter of the R series is worn here."))
    if _at_end_of_shift(facts):
        return CheckResult((path,))
    return result_at(path, {"filter": said_join((row.name for row in found), ", "), "task": label_of(task)})


def _disposables_discarded(facts: Facts, subject: Subject) -> CheckResult:
    path = "procedures.filter_changes.particulate.when"
    worn = {use.mask for _, task in facts.our_tasks if facts.is_worn(task) for use in task.masks}
    masks = [mask for _, mask in facts.masks.values() if mask.id in worn and _is_disposable(mask)]
    if not masks:
        return CheckResult((path,), nothing=said("No disposable mask has to be worn."))
    return result_at(
        path, {"masks": said_join(map(label_of, masks), ", ")} if masks and not _at_end_of_shift(facts) else None
    )


def _is_disposable(mask: Mask) -> bool:
    return mask.disposable or mask.facepiece is Facepiece.FILTERING_FACEPIECE


def _at_end_of_shift(facts: Facts) -> bool:
    when: Iterable[ChangeParticulateWhen] = facts.description.procedures.filter_changes.particulate.when
    return ChangeParticulateWhen.END_OF_SHIFT in when


FILTER_CHECKS: dict[str, Callable[[Facts, Subject], CheckResult]] = {
    "change-scheduled": _no_schedule,
    "schedule-rests-on-data": _rests_on_data,
    "schedule-data-described": _data_described,
    "schedule-longest-time": _longest_time_stated,
    "schedule-within-estimate": _within_estimate,
    "schedule-within-shortest": _within_shortest,
    "schedule-source-holds": _source_holds,
    "schedule-basis-counts": _basis_counts,
    "cartridge-not-reused": _not_reused,
    "carbon-known": _carbon_known,
    "r-series-one-shift": _r_series_one_shift,
    "disposables-discarded": _disposables_discarded,
}
