"""Who may do which task, as tables: for the annex all people, for a card one of them."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from functools import partial
from itertools import groupby

from progdoc.core.paper_language import EDGE, ENGLISH, Language
from progdoc.core.said import changed, said, said_join
from progdoc.document.blocks.answers import in_quotes, told_plainly
from progdoc.document.tree.nodes import Cell, Column, Row, Strong, Table
from progdoc.document.tree.spoken_text import spoken, spoken_cell, text_cell
from progdoc.model.description.words import label_of
from progdoc.model.description.workplace import Task
from progdoc.rules.judged.assignment_results import Assignment, Bar, Choice

__all__ = ["answer_words", "matrix_tables", "reasons_in_words", "task_table"]

_TASKS_ABREAST = 6  # as many columns as a page holds


def answer_words(one: Assignment, language: Language = ENGLISH) -> str:
    """Return the answer in a few words.

    "yes" comes with the masks; where a mask is worn by choice, the task may also be done without. A mask to get out
    in is named as what it is: at hand, not worn.
    """
    say, choice = language.say, f" {language.say('or')} "
    escape = choice.join(map(language.own, one.escape_masks))
    if one.good:
        worn = say("yes, in %(masks)s", masks=choice.join(language.own(_mask_words(good)) for good in one.good))
        return f"{worn}; {say('%(masks)s at hand for getting out', masks=escape)}" if escape else worn
    if one.may and escape:
        return say("yes, with %(masks)s at hand for getting out, none worn", masks=escape)
    return say("yes, without a mask") if one.may else say("no")


def _mask_words(choice: Choice) -> str:
    return f"{choice.label} {choice.size}".rstrip()


def matrix_tables(
    assignments: Iterable[Assignment], tasks: Sequence[Task], language: Language = ENGLISH
) -> tuple[Table, ...]:
    """Return person × task, in as many tables as the tasks need columns. A dash: not named for it, and may not."""
    rows_of = [list(group) for _, group in groupby(assignments, key=lambda one: one.person.id)]
    return tuple(
        _matrix(rows_of, tasks[start : start + _TASKS_ABREAST], start // _TASKS_ABREAST + 1, language)
        for start in range(0, len(tasks), _TASKS_ABREAST)
    )


def _matrix(rows_of: list[list[Assignment]], tasks: Sequence[Task], part: int, language: Language) -> Table:
    wanted = {task.id for task in tasks}
    rows = tuple(
        Row(
            f"matrix.{part}.{of_person[0].person.id}",
            (
                text_cell(label_of(of_person[0].person)),
                *(_answer_cell(one, language) for one in of_person if one.task.id in wanted),
            ),
        )
        for of_person in rows_of
    )
    columns = (Column(said("Person"), 2), *(Column(label_of(task), 3) for task in tasks))
    return Table(f"matrix.{part}", said("Who may do what; in bold where the task names the person"), columns, rows)


def _answer_cell(one: Assignment, language: Language) -> Cell:
    answer = answer_words(one, language)
    if one.is_named:
        return Cell((Strong(spoken(language, answer)),))
    return spoken_cell(language, language.say("%(answer)s, once named for it", answer=answer) if one.may else "–")


def task_table(
    node_id: str, caption: str, assignments: Iterable[Assignment], by_person: bool, language: Language = ENGLISH
) -> Table:
    """Return one row an assignment: the answer, until when the fit test counts, and of people every reason why not."""
    given = tuple(assignments)
    is_barred = by_person and any(one.reasons for one in given)  # else there is no column for it
    told: dict[int, str] = {}
    rows = tuple(
        Row(
            f"{node_id}.{one.person.id if by_person else one.task.id}",
            (
                spoken_cell(language, language.own(label_of(one.person) if by_person else label_of(one.task))),
                Cell((Strong(spoken(language, answer_words(one, language))),)),
                spoken_cell(language, _until(one, language)),
                *((text_cell(_why_not(one, told)),) if is_barred else ()),
            ),
        )
        for one in given
    )
    say = language.say
    first = say("Person") if by_person else say("Task")
    columns = (Column(first, 4), Column(say("May do it"), 5), Column(say("Fit test counts until"), 3))
    return Table(node_id, caption, (*columns, Column(say("Why not"), 8)) if is_barred else columns, rows)


def reasons_in_words(one: Assignment) -> tuple[str, ...]:
    """Return why a person may not do a task as the person's own card says it: no places, no codes, each once."""
    name = label_of(one.person)
    own = (changed(bar.what, partial(_without_name, name)) if name in bar.what else bar.what for bar in one.reasons)
    return tuple(dict.fromkeys(map(told_plainly, own)))


def _without_name(name: str, what: str) -> str:
    named = (f"{EDGE}{name}{EDGE}", name)  # in another language it is held apart
    begins = (f"{one}{mark}" for one in named for mark in (": ", ", "))
    return next((what.removeprefix(begin) for begin in begins if what.startswith(begin)), what)


def _why_not(one: Assignment, told: dict[int, str]) -> str:
    """Return every reason why not; `told`: the words of each so far, as most are the very same for a whole crew."""
    return said_join((told.get(id(bar)) or told.setdefault(id(bar), _barred(bar)) for bar in one.reasons), " ") or "–"


def _barred(bar: Bar) -> str:
    if bar.citation in bar.what:
        return in_quotes(bar.what)
    return in_quotes(said("%(what)s %(citation)s", what=bar.what, citation=bar.citation))


def _until(one: Assignment, language: Language) -> str:
    days = [language.date(choice.fit_tested_until) for choice in one.good if choice.fit_tested_until]
    return "; ".join(dict.fromkeys(days)) or "–"
