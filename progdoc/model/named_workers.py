"""Whom a description names among its people, as far as that can be read, however broken it is.

Only what is not understood asks for it: there, a name may stand in any place, and a message could repeat it. Of what
was read as values these tell; where a file is no YAML, or holds a thing twice, its text is searched as well. What
can't be placed among the people counts as a name.
"""

from __future__ import annotations

import codecs
import re
from collections.abc import Iterator, Mapping
from typing import Any

from progdoc.core.struck_names import Names, names_of
from progdoc.core.unread import Unread
from progdoc.model.description.base import Choice
from progdoc.model.description.people import Person
from progdoc.model.description.program import Program
from progdoc.model.people_table.csv_text import CsvCell, TableError, decoded_table, rows_of, separator_of
from progdoc.model.people_table.heading_words import heading
from progdoc.model.people_table.people_columns import ALSO_CALLED, COLUMNS, PeopleFile
from progdoc.model.yaml.yaml_reader import Description, is_description

__all__ = ["workers_named"]

_CSV = re.compile(r"""\bcsv["']?[ \t]*:[ \t]*["']?([^"'\n,}]+)""")
_PEOPLE = re.compile(r"""\bpeople["']?[ \t]*:""", re.IGNORECASE)
_NEXT = re.compile(r"""\n(?P<indent>[ \t]*)["']?[^\W\d][\w ]*["']?:""")
_BETWEEN = re.compile(r"""[\[\]{},\n"']|:(?=\s|$)|(?<=\s)#""")
_SIGNS = " \t\r-&*!?|>"
_NAMING = re.compile(r"name|first|last|worker|person|employee|\bid\b|_id\b")

Told = Iterator[tuple[bool, str]]  # is it an id?, the text


def workers_named(description: Description, files: Mapping[str, bytes | Unread]) -> Names:
    """Return how the people of a description may be named by what it says, or by its table."""
    told = set(_of_values(description.values))
    texts = {name: _text(data) for name, data in files.items() if isinstance(data, bytes) and is_description(name)}
    if "people" not in description.values or any(f.code.startswith("YAML-") for f in description.diagnostics):
        told.update(found for text in texts.values() for found in _of_text(text))
    tables = {found[1].strip() for text in texts.values() for found in _CSV.finditer(text)}
    for name in tables:
        data = files.get(name)
        told.update(_of_table(data) if isinstance(data, bytes) else ())
    return names_of((text for is_id, text in told if is_id), (text for is_id, text in told if not is_id))


# ---- values ---------------------------------------------------------------------------------------------


def _of_values(values: Mapping[str, Any]) -> Told:
    for key, value in values.items():
        may_be_misspelt = key not in Program.model_fields and isinstance(value, (dict, list))
        if key == "people" or may_be_misspelt:
            yield from _of_people(value)
    tasks = values.get("tasks")
    for task in tasks if isinstance(tasks, list) else ():
        if isinstance(task, dict):
            yield from ((True, text) for text in _texts(task.get("people")))


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
        yield value
    elif isinstance(value, dict):
        yield from value
        for inner in value.values():
            yield from _texts(inner)
    elif isinstance(value, list):
        for inner in value:
            yield from _texts(inner)


# ---- text that is no YAML -------------------------------------------------------------------------------


def _text(data: bytes) -> str:
    if data.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        return data.decode("utf-16", "replace")
    try:
        return data.decode()
    except UnicodeDecodeError:
        return data.replace(b"\0", b"").decode("latin-1")


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
            if before in ("id", "name") or before not in known_keys:
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


# ---- the table ------------------------------------------------------------------------------------------


def _of_table(data: bytes) -> Told:
    try:
        text = decoded_table(data)
    except TableError:
        text = _text(data)
    separator, start = separator_of(text, {*COLUMNS, *ALSO_CALLED})
    try:
        rows = rows_of(text, separator, start)
    except TableError:
        rows = [[CsvCell(cell.strip(' "\r'), 0, 0) for cell in line.split(separator)] for line in text.splitlines()]
    heads = [heading(cell.text) for cell in rows[0]] if rows else []
    has_both = {"id", "name"} <= set(heads)
    for row in rows[1:] if "id" in heads or "name" in heads else rows:
        for index, cell in enumerate(row):
            head = heads[index] if index < len(heads) else ""
            if head in ("id", "name") or (head not in COLUMNS and (not has_both or _NAMING.search(head))):
                yield head == "id", cell.text
