"""Who may do which task: with which mask and size, or every reason why not.

A pair of person and task is held against the same requirements as the gap report, narrowed to that task and
to one of the masks issued for it: medical clearance, fit test and training before use, limits, lens kits. To
these come the reasons why a mask does not protect there. What is not known bars, as what is missing does.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from functools import cached_property

from progdoc.core.report import Status
from progdoc.core.said import said, said_join
from progdoc.model.description.masks import Facepiece, Mask
from progdoc.model.description.people import Person
from progdoc.model.description.words import label_of
from progdoc.model.description.workplace import Task, Use, label_in
from progdoc.rules.evaluate import Duties, duties, verdicts_on
from progdoc.rules.facts import Facts
from progdoc.rules.in_force.figures import FitRules, fit_rules
from progdoc.rules.judged.assignment_results import Assignment, Bar, Choice, Roster
from progdoc.rules.judged.every_verdict import EveryVerdict
from progdoc.rules.judged.mask_results import Selection
from progdoc.rules.lookup.facepieces import is_tight_fitting
from progdoc.rules.reasons import Reason
from progdoc.rules.records.escape_checks import usable_escape_masks
from progdoc.rules.records.fit_checks import fit_state
from progdoc.rules.requirement import Requirement, Subject, Verdict

__all__ = ["roster"]


_OF_THE_NAMED = ("PRG-004",)  # says of somebody that they work at a task


def roster(
    facts: Facts,
    in_force: tuple[Requirement, ...],
    verdicts: EveryVerdict,
    selection: Selection,
    of_groups: Mapping[Facts, Selection],
) -> Roster:
    """Return who may do which task, by the requirements of their records and the masks as they were judged.

    Parameters
    ----------
    of_groups
        The masks as they were judged for groups of people whom policies bind apart, by what is in force for them.
    """
    everybody = {facts: None, **dict.fromkeys(facts.by_group.values())}
    ours = tuple(task for _, task in facts.our_tasks)
    worn = {own: {task.id: task for task in ours if _has_to_do_with_masks(own, task)} for own in everybody}
    named: dict[str, tuple[Task, ...]] = {}
    for person, tasks in facts.tasks_by_person.items():
        masked = worn[facts.of(facts.people[person][1])]
        if found := {task.id: task for _, task in tasks if task.id in masked}:
            named[person] = tuple(found.values())
    return Roster(
        tuple(person for _, person in facts.present),
        tuple(task for task in ours if any(task.id in masked for masked in worn.values())),
        {"": tuple(worn[facts].values())} | {group: tuple(worn[own].values()) for group, own in facts.by_group.items()},
        named,
        _Judge(facts, in_force, verdicts, {**dict.fromkeys(everybody, selection), **of_groups}).assignment,
    )


def _has_to_do_with_masks(facts: Facts, task: Task) -> bool:
    """Return whether a mask is worn in a task, hangs at hand there, or should."""
    at_hand = task.escape_masks or facts.selection.escape[task.id].duties
    return bool(task.use in (None, Use.REQUIRED) or facts.is_needed(task) or task.masks or at_hand)


class _Judge:
    """Holds a person and a task against what binds their records."""

    def __init__(
        self,
        facts: Facts,
        in_force: tuple[Requirement, ...],
        verdicts: EveryVerdict,
        selections: Mapping[Facts, Selection],
    ) -> None:
        self.facts = facts
        self._verdicts = verdicts
        self._of_masks = {
            own: {key: _as_bars(found.bars) for key, found in selection.masks.items()}
            for own, selection in selections.items()
        }
        self._of_places = {
            own: {name: _as_bars((*way.bars, *selection.entry.get(name, ()))) for name, way in selection.escape.items()}
            for own, selection in selections.items()
        }
        binding = [r for r in in_force if r.bars == "person"]
        self._of_wearers = duties(r for r in binding if r.per == "wearer")
        self._kept: dict[tuple[str, str], Assignment] = {}
        self._of_fit_tests: dict[tuple[Facts, str, str], FitRules] = {}
        self._of_worn_masks = duties(r for r in binding if r.per == "worn-mask")

    @cached_property
    def _in_all(self) -> dict[str, Subject]:
        """People, and them in a mask, by place, as they were judged in all of their tasks."""
        kinds = dict.fromkeys(one.per for one in self._verdicts.requirements if one.bars == "person")
        found: dict[str, Subject] = {}
        for kind in kinds:
            for subject in self._verdicts.by_kind[kind].subjects:
                found.setdefault(subject.path, subject)
        return found

    @cached_property
    def _bars_in_all(self) -> dict[str, tuple[Bar, ...]]:
        """What bars them in all of their tasks, by the same places: nothing of most."""
        found: dict[str, tuple[Bar, ...]] = {}
        for verdict in self._verdicts.open:
            if verdict.requirement.bars == "person":
                path = verdict.subject.path
                found[path] = (*found.get(path, ()), *_bars_in(verdict))
        return found

    @cached_property
    def _named(self) -> dict[str, frozenset[str]]:
        return {task.id: frozenset(task.people) for _, task in self.facts.our_tasks}

    @cached_property
    def _escape_masks(self) -> dict[str, tuple[Mask, ...]]:
        return {task.id: usable_escape_masks(self.facts, task) for _, task in self.facts.our_tasks}

    def _fit_rules(self, facts: Facts, mask: Mask, task: Task) -> FitRules:
        """Return what is in force for the fit tests of a mask in a task, once for all who are bound alike."""
        key = (facts, mask.id, task.id)
        if key not in self._of_fit_tests:
            self._of_fit_tests[key] = fit_rules(facts.rules, mask, (task,))
        return self._of_fit_tests[key]

    def assignment(self, person: Person, task: Task) -> Assignment:
        """Return whether a person may do a task, and why not.

        Of those whom a task names it is kept: several papers ask, and they are as many as the description has words
        for. Of all others it is worked out anew.
        """
        key = (person.id, task.id)
        found = self._kept.get(key)
        if found is None:
            found = self._judged(person, task)
            if found.is_named:
                self._kept[key] = found
        return found

    def _judged(self, person: Person, task: Task) -> Assignment:
        required = self.facts.of(person).is_worn(task) or task.use is None
        allowed = {use.mask for use in task.masks}
        choices = tuple(self._choice(person, task, i) for i, m in enumerate(person.masks) if m.mask in allowed)
        choices += () if required else tuple(self._taken(person, task))
        is_named = person.id in self._named[task.id]
        bars = () if choices else self._bars(person, (), task, self._of_wearers, "")
        bars = tuple(bar for bar in bars if is_named or bar.code not in _OF_THE_NAMED)
        held_back = tuple(self._of_escape(person, task))
        if not choices and required and not (bars and is_named):
            what = said(
                "%(person)s has none of the masks that “%(task)s” allows.", person=label_of(person), task=label_of(task)
            )
            bars = (
                *bars,
                Bar("", what if task.masks else said("No mask is described for “%(task)s”.", task=label_of(task)), ""),
            )
        if held_back:
            choices = tuple(replace(choice, bars=tuple(sorted({*choice.bars, *held_back}))) for choice in choices)
        bars = (*bars, *held_back)
        at_hand = tuple(label_of(mask) for mask in self._escape_masks[task.id])
        reasons = _why_not(choices, bars)
        return Assignment(person, task, is_named, required, choices, bars, reasons, at_hand, bool(held_back))

    def _of_escape(self, person: Person, task: Task) -> Iterator[Bar]:
        """Yield why a person can't count on getting out; nobody works in such air, with a mask or without one."""
        yield from self._of_places[self.facts.of(person)][task.id]
        masks = self._escape_masks[task.id]
        if not masks or any(is_tight_fitting(mask) is False for mask in masks):
            return
        own = [i for i, issued in enumerate(person.masks) if any(mask.id == issued.mask for mask in masks)]
        found = [self._fits(person, task, index) for index in own]
        if not own:
            what = said(
                "%(person)s has none of the escape masks of “%(task)s”, and they seal to the face.",
                person=label_of(person),
                task=label_of(task),
            )
            yield Bar("", what, "")
        elif all(found):
            yield from (bar for bars in found for bar in bars)

    def _fits(self, person: Person, task: Task, index: int) -> tuple[Bar, ...]:
        ids = (f"masks.{person.masks[index].mask}",)
        return self._bars(person, ids, task, self._of_worn_masks, f".masks[{index}]")

    def _choice(self, person: Person, task: Task, index: int) -> Choice:
        issued = person.masks[index]
        mask = self.facts.masks[issued.mask][1]
        ids = (f"masks.{mask.id}",)
        own = self._bars(person, ids, task, self._of_wearers, "")
        worn = self._bars(person, ids, task, self._of_worn_masks, f".masks[{index}]")
        against = self._of_masks[self.facts.of(person)].get((task.id, mask.id), ())
        fit = fit_state(person, issued, self._fit_rules(self.facts.of(person), mask, task), self.facts.as_of)
        return Choice(
            mask=mask.id,
            label=label_in(task, mask),
            size=issued.size or "",
            fit_tested_until=fit.due if fit.state in ("ok", "overdue") else None,
            bars=tuple(sorted({*own, *worn, *against})),
        )

    def _taken(self, person: Person, task: Task) -> Iterator[Choice]:
        """Yield the dust masks that whoever wants one may take for a task that asks for none: nobody issues them."""
        issued = {own.mask for own in person.masks}
        for use in task.masks:
            _, mask = self.facts.masks[use.mask]
            if mask.facepiece is Facepiece.FILTERING_FACEPIECE and mask.id not in issued:
                own = self._bars(person, (f"masks.{mask.id}",), task, self._of_wearers, "")
                bars = sorted({*own, *self._of_masks[self.facts.of(person)].get((task.id, mask.id), ())})
                yield Choice(mask.id, label_in(task, mask), "", None, tuple(bars))

    def _bars(self, person: Person, masks: tuple[str, ...], task: Task, asked: Duties, place: str) -> tuple[Bar, ...]:
        path = f"{self.facts.people[person.id][0]}{place}"
        ids = (f"people.{person.id}", *masks, f"tasks.{task.id}")
        label = said_join(
            [label_of(person), *(label_of(self.facts.masks[m.partition(".")[2]][1]) for m in masks)], ", "
        )
        subject = Subject("in-task", ids, path, label if place else label_of(person))
        whole = self._in_all.get(path)
        if whole and self.facts.relevant_to(whole) == self.facts.relevant_to(subject):
            return self._bars_in_all.get(path, ())  # one task and one mask: that was judged with all of their work
        own = self.facts.of(person)
        return tuple(bar for verdict in verdicts_on(own, asked, subject) for bar in _bars_in(verdict))


def _why_not(choices: tuple[Choice, ...], bars: tuple[Bar, ...]) -> tuple[Bar, ...]:
    """Return every reason why not in a mask; none where some mask will do."""
    if any(not choice.bars for choice in choices):
        return ()
    if len(choices) == 1 and not bars:  # so are most: the very tuple, as each is asked for by every paper
        return choices[0].bars
    return tuple(sorted({bar for choice in choices for bar in choice.bars}.union(bars)))


def _bars_in(verdict: Verdict) -> Iterator[Bar]:
    requirement = verdict.requirement
    if verdict.status is Status.GAP:
        for diagnostic in verdict.diagnostics:
            yield Bar(requirement.code, diagnostic.what, diagnostic.citation)
    elif verdict.status is Status.UNDETERMINED:
        yield Bar(
            requirement.code,
            said("%(because)s %(duty)s", because=verdict.because, duty=requirement.duty),
            str(verdict.citation),
        )


def _as_bars(reasons: Iterable[Reason]) -> tuple[Bar, ...]:
    return tuple(dict.fromkeys(Bar(r.code, r.told, r.words.get("citation", "")) for r in reasons))
