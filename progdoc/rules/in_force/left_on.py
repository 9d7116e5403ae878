"""Who has left by a day: nobody owes them anything, they owe nothing, no work is theirs; their records stay."""

from __future__ import annotations

from datetime import date

from progdoc.model.description.program import Program

__all__ = ["as_left_on"]


def as_left_on(program: Program, day: date) -> Program:
    """Return a description in which whoever has left by a day stands in no task.

    Of who leaves later nothing is said yet. A mask that nobody gave back stays down to who had it.
    """
    if all(person.left is None for person in program.people):
        return program
    gone = {person.id for person in program.people if person.left is not None and person.left <= day}
    people = tuple(
        person if person.id in gone else person.model_copy(update={"left": None}) for person in program.people
    )
    tasks = tuple(
        task.model_copy(update={"people": tuple(doer for doer in task.people if doer not in gone)})
        if gone.intersection(task.people)
        else task
        for task in program.tasks
    )
    return program.model_copy(update={"people": people, "tasks": tasks})
