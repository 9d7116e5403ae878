"""Whom a description names among its people, as far as that can be read, however broken it is.

Only what is not understood asks for it: there, a name may stand in any place, and a message could repeat it. Of what
was read as values these tell; where a file is no YAML, or holds a thing twice, its text is searched as well. What
can't be placed among the people counts as a name.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from typing import Any

from progdoc.core.struck_names import Names, names_of
from progdoc.core.unread import Unread
from progdoc.model.description.base import Choice
from progdoc.model.description.people import Person
from progdoc.model.description.program import Program
from progdoc.model.named_in_tables import Told, is_table, of_table, tables_told_in
from progdoc.model.people_table.former_people import FORMER
from progdoc.model.people_table.people_columns import COLUMNS, PeopleFile
from progdoc.model.yaml.yaml_file import text_of
from progdoc.model.yaml.yaml_reader import Description, is_description, value_of

__all__ = ["workers_named"]

_PEOPLE = re.compile(r"""\b(?:former_)?people["']?[ \t]*:|\b(?:holders|deputies|who)["']?[ \t]*:""", re.IGNORECASE)
_NEXT = re.compile(r"""\n(?P<indent>[ \t]*)["']?[^\W\d][\w ]*["']?:""")
_BETWEEN = re.compile(r"""[\[\]{},\n"']|:(?=\s|$)|(?<=\s)#""")
_SIGNS = " \t\r-&*!?|>"
_OFFICE = re.compile(r"(?:the|an?|our|each|every|whoever)\b", re.IGNORECASE)  # so an office begins, and no name
_MOST_WORDS = 4  # of a name among other words


def workers_named(description: Description, files: Mapping[str, bytes | Unread]) -> Names:
    """Return how the people of a description may be named by what it says, or by its tables."""
    told = set(_of_values(description.values))
    for _, node in description.parts.get(FORMER, []):  # whatever became of them beside a table that was not read
        told.update(_of_people(value_of(node)))
    texts = {name: text_of(data) for name, data in files.items() if isinstance(data, bytes) and is_description(name)}
    if "people" not in description.values or any(f.code.startswith("YAML-") for f in description.diagnostics):
        told.update(found for text in texts.values() for found in _of_text(text))
    for name in {name for text in texts.values() for name in tables_told_in(text)}:
        told.update(of_table(name, files))
    return names_of((text for is_id, text in told if is_id), (text for is_id, text in told if not is_id))


# ---- values ---------------------------------------------------------------------------------------------


def _of_values(values: Mapping[str, Any]) -> Told:
    for key, value in values.items():
        may_be_misspelt = key not in Program.model_fields and isinstance(value, (dict, list))
        if key == "people" or may_be_misspelt:
            yield from _of_people(value)
        else:
            yield from _named_in(value)


def _named_in(value: Any) -> Told:
    """Tell whom tasks, posts and consultations list by their ids, and who holds a role or stands in for somebody."""
    if isinstance(value, list):
        for inner in value:
            yield from _named_in(inner)
    elif isinstance(value, dict):
        for key, inner in value.items():
            if key in ("people", "who"):
                yield from ((True, text) for text in _texts(inner) if " " not in text)
            elif key in ("holders", "deputies"):
                yield from ((" " not in text, text) for text in map(_before_the_office, _texts(inner)) if text)
            elif isinstance(inner, (dict, list)):
                yield from _named_in(inner)


def _before_the_office(text: str) -> str:
    """Return the name in “Jo Marsh, foreman”; "" where an office alone is named, by common words.

    >>> [_before_the_office(text) for text in ("Jo Marsh, foreman", "the foreman on duty", "jo-marsh")]
    ['Jo Marsh', '', 'jo-marsh']
    """
    name = re.split(r"[,;(]", text, maxsplit=1)[0].strip()
    return "" if _OFFICE.match(name) or len(name.split()) > _MOST_WORDS else name


def _of_people(value: Any) -> Told:
    if isinstance(value, list):
        for person in value:
            yield from _of_person(person)
    elif isinstance(value, dict) and "csv" in value:
        yield from _of_unknown({key: inner for key, inner in value.items() if key not in PeopleFile.model_fields})
    elif isinstance(value, dict):
        yield from _of_person(value)
        for inner in value.values():
            yield from _of_person(inner) if isinstance(inner, dict) else ()
    else:
        yield from _of_unknown(value)


def _of_person(person: Any) -> Told:
    """Tell the id and the name, and whatever is no known part of a person."""
    if not isinstance(person, dict):
        yield from _of_unknown(person)
        return
    for key, value in person.items():
        if key in ("id", "name"):
            yield from ((key == "id", text) for text in _texts(value))
        elif key not in Person.model_fields:
            yield False, key
            yield from _of_person(value) if isinstance(value, dict) else _of_unknown(value)


def _of_unknown(value: Any) -> Told:
    return ((False, text) for text in _texts(value))


def _texts(value: Any) -> Iterator[str]:
    if isinstance(value, str):
        yield from () if is_table(value) else (value,)
    elif isinstance(value, dict):
        yield from value
        for inner in value.values():
            yield from _texts(inner)
    elif isinstance(value, list):
        for inner in value:
            yield from _texts(inner)


# ---- text that is no YAML -------------------------------------------------------------------------------


def _of_text(text: str) -> Told:
    """Tell what stands among the people of a text: all that is neither a known key, nor its value, nor a known word."""
    known_keys, known_words = _vocabulary()
    for part in _parts_of_people(text):
        before = ""
        for atom in _BETWEEN.split(part):
            atom = atom.strip(_SIGNS)
            if not atom:
                continue
            if atom in known_keys or atom in known_words:
                before = atom
                continue
            if (before in ("id", "name") or before not in known_keys) and not is_table(atom):
                yield before == "id", atom
            before = before if before in ("id", "name") else ""


def _parts_of_people(text: str) -> Iterator[str]:
    """Yield what stands under each `people:`, up to the next key that is no further to the right."""
    end = 0
    for found in _PEOPLE.finditer(text):
        if found.start() < end:
            continue
        line = text[text.rfind("\n", 0, found.start()) + 1 : found.start()]
        deep = len(line) - len(line.lstrip(" \t"))
        end = next((n.start() for n in _NEXT.finditer(text, found.end()) if len(n["indent"]) <= deep), len(text))
        yield text[found.end() : end]


def _vocabulary() -> tuple[frozenset[str], frozenset[str]]:
    """Return the keys that a person has, and the words that closed lists know."""
    keys = {"format", *Program.model_fields, *Person.model_fields, *PeopleFile.model_fields}
    keys |= {key for _, key, _ in COLUMNS.values()} | {"pressure", "because"}
    words = {str(value) for kind in Choice.__subclasses__() for value in kind}
    return frozenset(keys), frozenset(words | {"yes", "no", "~", "null"})
