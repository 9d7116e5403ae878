"""The closed list of facts that the catalogue may name to say when a requirement applies.

Each answers true, false, or None where the description does not say; None never passes for false. Those about the work
and about records stand here, the others beside: `mask_predicates.py`, `procedure_predicates.py`,
`standard_predicates.py`, `in_force_predicates.py`.
"""

from __future__ import annotations

from collections.abc import Callable

from progdoc.model.description.workplace import DoneBy, Gear, Task, Use, WhyMasks
from progdoc.rules.air.hot_work import asks_for_mask, is_with_beryllium
from progdoc.rules.check_result import person_of
from progdoc.rules.facts import Facts
from progdoc.rules.reading.asked_of import Predicate, any_of, at_place, equals, given, of_tasks
from progdoc.rules.reading.checks import latest_clearance
from progdoc.rules.reading.in_force_predicates import IN_FORCE_PREDICATES
from progdoc.rules.reading.mask_predicates import MASK_PREDICATES
from progdoc.rules.reading.procedure_predicates import PROCEDURE_PREDICATES
from progdoc.rules.reading.standard_predicates import STANDARD_PREDICATES
from progdoc.rules.records.fit_checks import newest_test, worn_mask
from progdoc.rules.requirement import Fact, Subject

__all__ = ["PREDICATES"]

_FAR_FROM_SEAL = {Gear.NONE, Gear.GLOVES, Gear.EAR_PLUGS, Gear.APRON}


_LIST_OF_READERS = "program.read_and_signed"


def _readings_recorded(facts: Facts, _subject: Subject) -> Fact:
    """Whether a list is kept of who has read which revision, or somebody stands on one."""
    readers = tuple(f"{path}.has_read" for path, person in facts.people.values() if person.has_read)
    return Fact(bool(readers) or bool(facts.description.program.read_and_signed), (*readers, _LIST_OF_READERS))


def _required_use(facts: Facts, subject: Subject) -> Fact:
    """Somebody asks for a mask, a limit is passed whatever was declared, or a mask is kept for emergencies."""
    if subject.kind not in ("task", "hazard", "mask-use", "escape-mask"):
        kept = [path for path, mask in facts.relevant_to(subject).masks if facts.is_kept(mask)]
        if kept:
            return Fact(True, tuple(f"{path}.emergency" for path in kept))
    tasks = [pair for pair in facts.relevant_to(subject).tasks if pair[1].done_by is DoneBy.OUR_PEOPLE]
    declared = of_tasks("use", equals(Use.REQUIRED))(facts, subject)
    if any(facts.is_needed(task) for _, task in tasks):
        return Fact(True, declared.paths)
    return declared


def _voluntary_use(facts: Facts, subject: Subject) -> Fact:
    return of_tasks("use", equals(Use.VOLUNTARY))(facts, subject)


def _in_use(facts: Facts, subject: Subject) -> Fact:
    return Fact(bool(facts.relevant_to(subject).tasks), (subject.path,))


def _hot_work(test: Callable[[Task], bool]) -> Predicate:
    return lambda facts, subject: any_of(
        (f"{path}.hot_work", test(task)) for path, task in facts.relevant_to(subject).tasks
    )


def _immediately_dangerous(facts: Facts, subject: Subject) -> Fact:
    """The air may kill or disable at once: declared, or read from oxygen and level; open while a figure is missing."""
    answers: list[tuple[str, bool | None]] = []
    for path, task in facts.relevant_to(subject).tasks:
        if task.done_by is not DoneBy.OUR_PEOPLE:
            continue
        air = facts.selection.air[task.id]
        answers.append((f"{path}.immediately_dangerous", True if air.is_danger_shown else task.immediately_dangerous))
        answers += [(missing, None) for missing in air.to_find_out]
    return any_of(answers)


def _fit_tested(facts: Facts, subject: Subject) -> Fact:
    tests = person_of(facts, subject).fit_tests
    return Fact(any(test.date <= facts.as_of for test in tests), (subject.path,))


def _fit_tested_on_this_mask(facts: Facts, subject: Subject) -> Fact:
    person, _, issued = worn_mask(facts, subject)
    return Fact(newest_test(person, issued, facts.as_of) is not None, (subject.path,))


def _recommendation_on_record(facts: Facts, subject: Subject) -> Fact:
    known = latest_clearance(person_of(facts, subject), facts.as_of) is not None
    return Fact(known, (f"{subject.path}.medical",))


PREDICATES: dict[str, Predicate] = {
    "required-use": _required_use,
    "voluntary-use": _voluntary_use,
    "in-use": _in_use,
    "done-by-our-people": lambda facts, subject: any_of(
        (f"{path}.done_by", task.done_by is DoneBy.OUR_PEOPLE) for path, task in facts.relevant_to(subject).tasks
    ),
    "done-by-others": lambda facts, subject: any_of(
        (f"{path}.done_by", task.done_by is DoneBy.OTHERS) for path, task in facts.relevant_to(subject).tasks
    ),
    **MASK_PREDICATES,
    # work
    "immediately-dangerous": _immediately_dangerous,
    "structural-fire": of_tasks("structural_fire", equals(True)),
    "confined-space": of_tasks("confined_space", equals(True)),
    "hot-work": given(".hot_work"),
    "hot-work-asks-for-mask": _hot_work(asks_for_mask),
    "hot-work-with-beryllium": _hot_work(is_with_beryllium),
    "other-gear-worn": lambda facts, subject: any_of(
        (f"{path}.gear", bool(set(task.gear) - {Gear.NONE})) for path, task in facts.relevant_to(subject).tasks
    ),
    "controls-feasible": at_place(".why_masks", lambda value: value is not WhyMasks.NOT_FEASIBLE),
    "gear-near-the-seal": lambda facts, subject: any_of(
        (f"{path}.gear", bool(set(task.gear) - _FAR_FROM_SEAL)) for path, task in facts.relevant_to(subject).tasks
    ),
    **STANDARD_PREDICATES,
    **IN_FORCE_PREDICATES,
    **PROCEDURE_PREDICATES,
    # records
    "recommendation-on-record": _recommendation_on_record,
    "fit-tested": _fit_tested,
    "fit-tested-on-this-mask": _fit_tested_on_this_mask,
    "wears-spectacles": at_place(".spectacles", equals(True)),
    "hair-looked-at": given(".hair_in_seal"),
    "read-and-signed": lambda facts, _: Fact(bool(facts.description.program.read_and_signed), (_LIST_OF_READERS,)),
    "readings-recorded": _readings_recorded,
}
