"""Who may do which task: with which mask and size, or every reason why not.

A pair of person and task is held against the same requirements as the gap report, narrowed to that task and
to one of the masks issued for it: medical clearance, fit test and training before use, limits, lens kits. To
these come the reasons why a mask does not protect there. What is not known bars, as what is missing does.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from functools import cached_property

from progdoc.core.diagnostics import Scope, Severity
from progdoc.core.report import Status
from progdoc.model.description.people import Person
from progdoc.model.description.words import label_of
from progdoc.model.description.workplace import Task, Use
from progdoc.rules.evaluate import verdict_on
from progdoc.rules.facts import Facts
from progdoc.rules.in_force.figures import fit_rules
from progdoc.rules.judged.assignment_results import Assignment, Bar, Choice, Roster
from progdoc.rules.judged.mask_results import MaskVerdict, Selection
from progdoc.rules.records.fit_checks import fit_state
from progdoc.rules.requirement import Requirement, Subject, Verdict

__all__ = ["roster"]


def roster(
    facts: Facts, verdicts: tuple[Verdict, ...], in_force: tuple[Requirement, ...], selection: Selection
) -> Roster:
    """Return who may do which task, by the verdicts on a description, the requirements they are from and its masks."""
    tasks = (task for _, task in facts.our_tasks)
    worn = tuple(t for t in tasks if t.use in (None, Use.REQUIRED) or facts.is_needed(t) or t.masks)
    named: dict[str, tuple[Task, ...]] = {}
    for task in worn:
        for person in dict.fromkeys(task.people):
            named[person] = (*named.get(person, ()), task)
    return Roster(facts.description.people, worn, named, _Judge(facts, verdicts, in_force, selection).assignment)


class _Judge:
    """Holds a person and a task against what binds their records."""

    def __init__(
        self, facts: Facts, verdicts: tuple[Verdict, ...], in_force: tuple[Requirement, ...], selection: Selection
    ) -> None:
        self.facts = facts
        self._masks = selection.masks
        self._verdicts = verdicts
        binding = [r for r in in_force if r.severity is Severity.REQUIRED and r.scope is Scope.RECORD]
        self._of_wearers = [r for r in binding if r.per == "wearer"]
        self._of_worn_masks = [r for r in binding if r.per == "worn-mask"]

    @cached_property
    def _of_masks(self) -> dict[tuple[str, str], tuple[Bar, ...]]:
        return _bars_of_masks(self.facts, self._verdicts, self._masks)

    @cached_property
    def _named(self) -> dict[str, frozenset[str]]:
        return {task.id: frozenset(task.people) for _, task in self.facts.our_tasks}

    def assignment(self, person: Person, task: Task) -> Assignment:
        """Return whether a person may do a task, and why not."""
        required = self.facts.is_worn(task) or task.use is None
        allowed = {use.mask for use in task.masks}
        choices = tuple(self._choice(person, task, i) for i, m in enumerate(person.masks) if m.mask in allowed)
        bars = () if choices else self._bars(person, (), task, self._of_wearers, "")
        if not choices and required and not bars:
            what = f"{label_of(person)} has none of the masks that “{label_of(task)}” allows."
            bars = (Bar("", what if task.masks else f"No mask is described for “{label_of(task)}”.", ""),)
        return Assignment(person, task, person.id in self._named[task.id], required, choices, bars)

    def _choice(self, person: Person, task: Task, index: int) -> Choice:
        issued = person.masks[index]
        mask = self.facts.masks[issued.mask][1]
        ids = (f"masks.{mask.id}",)
        own = self._bars(person, ids, task, self._of_wearers, "")
        worn = self._bars(person, ids, task, self._of_worn_masks, f".masks[{index}]")
        fit = fit_state(person, issued, fit_rules(self.facts.rules, mask, (task,)), self.facts.as_of)
        return Choice(
            mask=mask.id,
            label=label_of(mask),
            size=issued.size or "",
            fit_tested_until=fit.due if fit.state in ("ok", "overdue") else None,
            bars=tuple(sorted({*own, *worn, *self._of_masks.get((task.id, mask.id), ())})),
        )

    def _bars(
        self, person: Person, masks: tuple[str, ...], task: Task, requirements: Iterable[Requirement], place: str
    ) -> tuple[Bar, ...]:
        path = f"{self.facts.people[person.id][0]}{place}"
        label = ", ".join([label_of(person), *(label_of(self.facts.masks[m.partition(".")[2]][1]) for m in masks)])
        ids = (f"people.{person.id}", *masks, f"tasks.{task.id}")
        subject = Subject("in-task", ids, path, label if place else label_of(person))
        verdicts = (verdict_on(self.facts, requirement, subject) for requirement in requirements)
        return tuple(bar for verdict in verdicts for bar in _bars_in(verdict))


def _bars_in(verdict: Verdict) -> Iterator[Bar]:
    requirement = verdict.requirement
    if verdict.status is Status.GAP:
        for diagnostic in verdict.diagnostics:
            yield Bar(requirement.code, diagnostic.what, diagnostic.citation)
    elif verdict.status is Status.UNDETERMINED:
        yield Bar(requirement.code, f"{verdict.because} {requirement.duty}", str(requirement.citation))


def _bars_of_masks(
    facts: Facts, verdicts: Iterable[Verdict], masks: Mapping[tuple[str, str], MaskVerdict]
) -> dict[tuple[str, str], tuple[Bar, ...]]:
    """Return by task and mask why nobody may wear it there: it is not shown to protect, or each one of it is barred."""
    of_uses: dict[tuple[str, str], list[Bar]] = {}
    of_units: dict[tuple[str, ...], list[Bar]] = {}
    for verdict in verdicts:
        requirement, ids = verdict.requirement, verdict.subject.ids
        if requirement.severity is not Severity.REQUIRED:
            continue
        if requirement.per == "mask-use":
            of_uses.setdefault((ids[0], ids[1]), []).extend(_bars_in(verdict))
        elif requirement.per == "unit" and requirement.scope is Scope.RECORD:
            of_units.setdefault(ids, []).extend(_bars_in(verdict))
    found: dict[tuple[str, str], tuple[Bar, ...]] = {}
    for _, task in facts.our_tasks:
        for use in task.masks:
            told = [r for r in masks[task.id, use.mask].reasons if r.told]
            bars = of_uses.get((f"tasks.{task.id}", f"masks.{use.mask}"), [])
            bars = [*bars, *(Bar(r.code, r.told, r.words.get("citation", "")) for r in told)]
            units = [of_units.get((f"masks.{use.mask}", f"units.{u.id}"), []) for u in facts.masks[use.mask][1].units]
            if units and all(units):
                bars += [bar for of_unit in units for bar in of_unit]
            found[task.id, use.mask] = tuple(dict.fromkeys(bars))
    return found
