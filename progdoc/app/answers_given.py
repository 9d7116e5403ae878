"""The answers that were given, to be read over: what is typed for each question, and what is adopted with it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from types import MappingProxyType
from typing import Any

from progdoc.app.adopted_duties import adopted_by_question
from progdoc.app.check import Checked
from progdoc.app.known_things import OPENED_BY, OWNER, THINGS, is_mine, known_things, title_with_owner
from progdoc.app.typed_places import at_path
from progdoc.core.questions import Question
from progdoc.core.said import said, said_join
from progdoc.model.description.fields import choice_text, field_at
from progdoc.model.description.input_fields import ONE_MORE, pattern_of, suggested_at, things_at
from progdoc.rules.questions.asked_again import all_questions
from progdoc.rules.reading.question_list import question_list

__all__ = ["first_questions", "questions_answered"]


def first_questions(checked: Checked) -> Iterator[Question]:
    """Yield with what somebody begins who has described no work yet, and has not answered it."""
    description = checked.loaded.program
    if description is None or description.tasks:
        return
    values = checked.loaded.description.values
    for asked in all_questions(description, question_list()):
        if asked.id in question_list().begin and not any(
            _told(at_path(values, one.path), one.path) for one in asked.fields
        ):
            yield asked


def questions_answered(checked: Checked) -> Iterator[tuple[Question, tuple[tuple[str, str], ...]]]:
    """Yield every question to which something is typed or adopted, with what, by the title of its field."""
    program, values = checked.loaded.program, checked.loaded.description.values
    if program is None:
        return
    called = {name: dict(known_things(checked, name)) for name in THINGS}
    adopted = adopted_by_question(checked)
    for question in all_questions(program, question_list()):
        stated = said_join((one.paragraph for one in adopted.get(question.id, ())), ", ")
        told = [(said("Done exactly as this asks"), stated)]
        for one in question.fields:
            title = title_with_owner(values, question, one.path, one.title)
            told.append((title, _told(_mine(values, question, one.path), one.path, called)))
        given = tuple((title, words) for title, words in told if words)
        if given:
            yield question, given


def _mine(values: Any, question: Question, path: str) -> Any:
    """Return what is typed at a place; of the list of hazards those in the air that the question is about."""
    found = at_path(values, path)
    if f"{path}{ONE_MORE}" != OWNER.partition(".")[0] or not isinstance(found, list):
        return found
    belongs = is_mine(values, question, OWNER)
    return [one for number, one in enumerate(found) if belongs(f"{path}[{number}]")]


def _told(value: Any, path: str, called: Mapping[str, Mapping[str, str]] = MappingProxyType({})) -> str:
    """Return a typed value in a line: of a group each with its title; in words what is a choice, or a name's id."""
    if isinstance(value, Mapping):
        opens = OPENED_BY.get(path.removesuffix("[]"), ())  # with what a thing begins tells itself what it is
        inner = ((name, _told(value.get(name), f"{path}.{name}", called)) for name in opens or value if name != "id")
        return said_join((words if opens else _titled(f"{path}.{name}", words) for name, words in inner if words), ", ")
    if isinstance(value, list):
        return said_join(filter(None, (_told(one, f"{path}[]", called) for one in value)), "; ")
    if not isinstance(value, str):
        return ""
    things = called.get(things_at(path.removesuffix("[]")), {})
    if value in things:
        return things[value]
    return choice_text(value) if value in suggested_at(path) else value


def _titled(path: str, words: str) -> str:
    field = field_at(pattern_of(path))
    return said_join((field.title, words), ": ") if field else words
