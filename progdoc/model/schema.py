"""The description's form as a JSON Schema (2020-12), for editors that complete and check while one types.

It asks for nothing at the top: a description may stand in several files, each with some of the keys. An
optional key may be left empty, as the reader allows. Whether ids lead anywhere is left to `check`.
"""

from __future__ import annotations

import json
from typing import Any

from progdoc.model.description.program import Program
from progdoc.model.people_table.former_people import FORMER
from progdoc.model.people_table.people_columns import PeopleFile

__all__ = ["DIALECT", "schema_json"]

DIALECT = "https://json-schema.org/draft/2020-12/schema"

_NOTES = ("title", "description", "examples")


def schema_json() -> bytes:
    """Return the schema as it is written to a file: the same bytes every time."""
    schema = Program.model_json_schema(mode="validation")
    schema.pop("required", None)
    _let_people_stand_in_a_table(schema)
    for part in (schema, *schema["$defs"].values()):
        for name, field in part.get("properties", {}).items():
            _name_as_its_part(field, schema["$defs"])
            if name not in part.get("required", ()):
                _let_stand_empty(field)
    named = {
        "$schema": DIALECT,
        "title": "A workplace, as progdoc reads it",
        "description": "A whole description, or one of the files it is split into.",
    }
    return (json.dumps({**named, **schema, **named}, indent=2, ensure_ascii=False) + "\n").encode()


def _let_people_stand_in_a_table(schema: dict[str, Any]) -> None:
    """Allow `people: {csv: …}` and a table's name alone, which the reader replaces by the rows."""
    table = PeopleFile.model_json_schema(mode="validation")
    schema["$defs"] |= table.pop("$defs", {})
    schema["$defs"]["PeopleFile"] = table
    people = schema["properties"]["people"]
    shape = {key: people.pop(key) for key in list(people) if key not in (*_NOTES, "default")}
    words = "People who left, kept out of the daily files: entries as under `people`, each with `left`."
    schema["properties"][FORMER] = {
        "title": "Former people",
        "description": words,
        "examples": [[{"id": "jo-marsh", "left": "2026-10-30"}]],
        "anyOf": [shape, {"type": "null"}],
    }
    named = {"type": "string", "pattern": r"\.([cC][sS][vV]|[xX][lL][sS][xXmM])$"}
    people["anyOf"] = [shape, {"$ref": "#/$defs/PeopleFile"}, named, {"type": "null"}]


def _name_as_its_part(field: dict[str, Any], parts: dict[str, Any]) -> None:
    """Give back the words that pydantic leaves out where they are those of the part the field holds."""
    part = parts.get(field.get("$ref", "").rpartition("/")[2], {})
    for note in ("title", "description"):
        if note in part:
            field.setdefault(note, part[note])


def _let_stand_empty(field: dict[str, Any]) -> None:
    """Allow no value where a key may be left out, and name no default that only means “nothing said”."""
    if field.get("default", "") in (None, [], {}):
        del field["default"]
    if {"type": "null"} not in field.get("anyOf", ()):
        shape = {key: field.pop(key) for key in list(field) if key not in (*_NOTES, "default")}
        field["anyOf"] = [shape, {"type": "null"}]
