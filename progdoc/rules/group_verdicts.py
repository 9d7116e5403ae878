"""What policies that bind one group ask of work that others do too: told for whom, and held against nobody else.

Masks are judged as they are for each group that a policy of the air or of masks binds apart; the air, as it would be
for everybody there: what comes in by that alone is a finding for the group, beside those for all. That a mask does not
do for a group is none as long as another one of the task does: the papers tell who wears which.
"""

from __future__ import annotations

from collections.abc import Container, Iterable, Iterator, Mapping, Sequence
from dataclasses import replace

from progdoc.core.diagnostics import Diagnostic
from progdoc.core.report import Status
from progdoc.core.said import said
from progdoc.model.description.words import label_of
from progdoc.model.description.workplace import Task
from progdoc.rules.evaluate import WORST_FIRST, evaluate
from progdoc.rules.facts import Facts
from progdoc.rules.in_force.figures import standby_persons
from progdoc.rules.in_force.strictest import longest_use
from progdoc.rules.judged.air_results import TaskAir
from progdoc.rules.judged.every_verdict import EveryVerdict
from progdoc.rules.judged.figure_results import InForce
from progdoc.rules.judged.mask_results import OfGroup, Selection
from progdoc.rules.mask_protection import with_filters
from progdoc.rules.masks.classes import classes_for
from progdoc.rules.records.dangling_words import ACCEPTED_IS_FOUND
from progdoc.rules.requirement import Requirement, Subject, Verdict

__all__ = ["for_groups", "of_groups", "with_groups"]

_OF_PEOPLE = ("wearer", "worn-mask", "leaver", "post-person", "empty-text-of-people")
_OF_DECLARED_USE = "use-declared-rightly"
_OF_MASKS = ("unit", "pair", "mask", "task", "air", "hose", "way-out", "danger")  # what keeps masks from protecting
_OF_AIR = ("program", "task", "hazard", "escape-mask")

Views = Mapping[Facts, Selection]  # what each mask is good for in each task, by what is in force for a group


def of_groups(
    facts: Facts, in_force: Sequence[Requirement]
) -> tuple[dict[Facts, EveryVerdict], dict[Facts, Selection]]:
    """Return how work stands for each group told apart, and for everybody (`facts` itself), and so what the masks do.

    Nothing where no policy for a group asks anything of air, masks or pieces.
    """
    if not facts.tells_work_apart:
        return {}, {}
    asked = [r for r in in_force if r.per not in _OF_PEOPLE and (r.per == "mask-use" or r.bars in _OF_MASKS)]
    # What people share is kept as the strictest of those asks whom it serves: for others it is good all the same.
    usual = facts.bound_by(facts.rules_of_crews, facts.selection)
    found = {own: evaluate(own, asked) for own in _apart(facts)}
    views = {own: with_filters(own, verdicts.open, in_force) for own, verdicts in found.items()}
    return found, {**views, facts: with_filters(usual, evaluate(usual, asked).open, in_force)}


# ---- findings -----------------------------------------------------------------------------------------


def with_groups(
    facts: Facts,
    in_force: Iterable[Requirement],
    verdicts: EveryVerdict,
    found: Mapping[Facts, EveryVerdict],
    views: Views,
) -> EveryVerdict:
    """Return the verdicts, with what is asked of work that a group does beside others."""
    asked = [r for r in in_force if r.per in _OF_AIR and r.proof.value != ACCEPTED_IS_FOUND]
    more: dict[tuple[str, Subject], list[tuple[str, Verdict]]] = {}
    for own, of_work in found.items():
        tasks = {t.id: those for _, t in facts.our_tasks for _, those in _apart_in(facts, (own,), t)}
        names = _names(facts, (group for groups in tasks.values() for group in groups))
        besides = _besides(facts, own, tasks, asked) if tasks else ()
        found_here = [one for one in besides if not _is_kept_beside(facts, one)]
        found_here += (one for one in of_work if _has_no_mask(facts, views[own], own, one))
        for one in found_here:
            more.setdefault((one.requirement.code, one.subject), []).append((names, one))
    told = {code for code, _ in more}
    return verdicts.judged_again(
        lambda requirement: requirement.code in told,
        lambda one: _joined(one, more.get((one.requirement.code, one.subject), ())),
    )


def _besides(
    facts: Facts, own: Facts, tasks: Mapping[str, tuple[str, ...]], asked: Iterable[Requirement]
) -> tuple[Verdict, ...]:
    """Return how the program, and its work, would stand if only this group did the tasks that it does beside others."""
    of_work = [requirement for requirement in asked if requirement.per != "program"]
    there = facts.bound_by(facts.rules, _in_tasks(facts, own, tasks))
    pairs = [(own.selection.air[task], facts.selection.air[task]) for task in tasks]
    is_other = any(_calls_for(theirs) != _calls_for(usual) for theirs, usual in pairs)  # else the program is the same
    of_program = evaluate(there, [one for one in asked if one.per == "program"]) if is_other else ()
    there.groups_by_task = facts.groups_by_task | {task: frozenset(groups) for task, groups in tasks.items()}
    return (*of_program, *evaluate(there, of_work))


def _calls_for(air: TaskAir) -> tuple[object, ...]:
    """Return what the air of a task makes the program speak of."""
    return air.is_worn, air.needs_mask, air.is_immediately_dangerous, air.oxygen, bool(air.to_find_out)


def _in_tasks(facts: Facts, own: Facts, tasks: Container[str]) -> Selection:
    """Return the air and the masks as they are for everybody, but for some tasks as for a group."""
    hazards = {hazard.id: hazard.task for hazard in facts.description.hazards}
    theirs, usual = own.selection, facts.selection
    return replace(
        usual,
        air={task: theirs.air[task] if task in tasks else air for task, air in usual.air.items()},
        masks={key: theirs.masks[key] if key[0] in tasks else worn for key, worn in usual.masks.items()},
        reasons={
            ids: theirs.reasons.get(ids, ()) if ids[0].removeprefix("tasks.") in tasks else held
            for ids, held in usual.reasons.items()
        },
        charts={task: theirs.charts[task] if task in tasks else chart for task, chart in usual.charts.items()},
        duties={one: theirs.duties[one] if hazards[one] in tasks else duty for one, duty in usual.duties.items()},
        escape={task: theirs.escape[task] if task in tasks else way for task, way in usual.escape.items()},
    )


def _is_kept_beside(facts: Facts, verdict: Verdict) -> bool:
    """Say whether a verdict asks only to call a mask required that some alone must wear: the papers tell them."""
    is_about_use = verdict.requirement.proof.value == _OF_DECLARED_USE
    return is_about_use and bool(facts.tasks[verdict.subject.ids[0].partition(".")[2]][1].masks)


def _has_no_mask(facts: Facts, selection: Selection, own: Facts, verdict: Verdict) -> bool:
    """Say whether a verdict is about a mask of a task that has none at all for a group that works there with others."""
    if verdict.requirement.per != "mask-use":
        return False
    _, task = facts.tasks[verdict.subject.ids[0].partition(".")[2]]
    is_shared = any(one is own for one, _ in _apart_in(facts, (own,), task))
    return is_shared and own.is_worn(task) and all(selection.masks[task.id, use.mask].bars for use in task.masks)


def _joined(verdict: Verdict, besides: Iterable[tuple[str, Verdict]]) -> Verdict:
    """Return a verdict as it is for everybody, or the worst of those for a group, with what is found for either."""
    for names, other in besides:
        known = {(one.location, one.what) for one in verdict.diagnostics}
        new = tuple(_told(names, one) for one in other.diagnostics if (one.location, one.what) not in known)
        if WORST_FIRST.index(other.status) < WORST_FIRST.index(verdict.status):
            verdict = other._replace(diagnostics=new)
        elif other.status is verdict.status is Status.GAP and new:
            verdict = verdict._replace(diagnostics=(*verdict.diagnostics, *new))
    return verdict


def _told(names: str, diagnostic: Diagnostic) -> Diagnostic:
    if names in diagnostic.what:
        return diagnostic
    return replace(diagnostic, what=said("For %(whom)s: %(what)s", whom=names, what=diagnostic.what))


def _names(facts: Facts, groups: Iterable[str]) -> str:
    wanted = set(groups)
    return ", ".join(label_of(group) for group in facts.description.groups if group.id in wanted)


# ---- what papers tell ---------------------------------------------------------------------------------


def for_groups(facts: Facts, selection: Selection, views: Views) -> dict[str, tuple[OfGroup, ...]]:
    """Return by task what is otherwise for a group of those who do it than for the rest."""
    found = {task.id: tuple(_for_groups(facts, selection, views, task)) for _, task in facts.our_tasks}
    return {task: those for task, those in found.items() if those}


def _for_groups(facts: Facts, selection: Selection, views: Views, task: Task) -> Iterator[OfGroup]:
    for own, groups in _apart_in(facts, _apart(facts), task):
        air, usual = own.selection.air[task.id], facts.selection.air[task.id]
        keys = dict.fromkeys((task.id, use.mask) for use in task.masks)
        pairs = [(views[own].masks[key], selection.masks[key]) for key in keys]
        known = {agent.hazard.id: agent.limits for agent in usual.agents}
        limits = [(a.hazard.agent, limit) for a in air.agents for limit in a.limits if limit not in known[a.hazard.id]]

        def would_do(there: TaskAir) -> tuple[str, ...]:
            return tuple(one.kind.name for one in classes_for(facts.description, there) if one.would_do)

        found = OfGroup(
            groups=groups,
            names=_names(facts, groups),
            masks_for=tuple(dict.fromkeys(a.needed_by_policy for a in air.agents if a.needed_by_policy))
            if air.is_worn and not usual.is_worn
            else (),
            is_danger=air.is_immediately_dangerous and not usual.is_immediately_dangerous,
            standby=_standby(own, facts, task),
            limits=tuple(limits),
            credits=tuple(one for one, other in pairs if not one.bars and one.credit.cap != other.credit.cap),
            barred=tuple(one for one, other in pairs if one.bars and not other.bars),
            changes=tuple(_changes(own, facts, task)),
            classes=tuple(name for name in would_do(usual) if name not in would_do(air)),
        )
        if found.says_anything:
            yield found


def _standby(own: Facts, facts: Facts, task: Task) -> InForce | None:
    theirs = standby_persons(own.rules, task)
    is_more = theirs.number > standby_persons(facts.rules_of_crews, task).number
    return theirs if is_more and own.selection.air[task.id].is_immediately_dangerous else None


def _changes(own: Facts, facts: Facts, task: Task) -> Iterator[tuple[str, InForce]]:
    """Yield each gas cartridge of a task that the group may use for less long than others, and for how long."""
    rules = own.selection.air[task.id].rules
    for (_, mask, part), change in ((key, one) for key, one in facts.cartridge_changes.items() if key[0] == task.id):
        asked = longest_use(rules.of(facts.masks[mask][1]).policies)
        if asked is not None and (change.most is None or asked.amount("min") < change.most.amount("min")):
            yield label_of(facts.filters[part][1]), asked


def _apart(facts: Facts) -> list[Facts]:
    return list(dict.fromkeys(facts.by_group.values())) if facts.tells_work_apart else []


def _apart_in(facts: Facts, views: Iterable[Facts], task: Task) -> Iterator[tuple[Facts, tuple[str, ...]]]:
    """Yield the groups that do a task beside others and whom policies bind there that do not bind all of the crew."""
    crew = facts.groups_by_task[task.id]
    for_all = {policy.id for policy in facts.rules_of_crews.policies[task.id]}
    for own in views:
        groups = tuple(group for group, theirs in facts.by_group.items() if theirs is own and group in crew)
        if groups and any(policy.groups and policy.id not in for_all for policy in own.rules.policies[task.id]):
            yield own, groups
