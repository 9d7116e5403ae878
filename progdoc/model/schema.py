"""The description's form as a JSON Schema (2020-12), for editors that complete and check while one types.

It asks for nothing at the top: a description may stand in several files, each with some of the keys. An
optional key may be left empty, as the reader allows. Whether ids lead anywhere is left to `check`.
"""

from __future__ import annotations

import json
from typing import Any

from progdoc.model.program import Program

__all__ = ["DIALECT", "schema_json"]

DIALECT = "https://json-schema.org/draft/2020-12/schema"

_NOTES = ("title", "description", "examples")


def schema_json() -> bytes:
    """Return the schema as it is written to a file: the same bytes every time."""
    schema = Program.model_json_schema(mode="validation")
    schema.pop("required", None)
    for part in (schema, *schema["$defs"].values()):
        _let_stand_empty(part)
    named = {
        "$schema": DIALECT,
        "title": "A workplace, as progdoc reads it",
        "description": "A whole description, or one of the files it is split into.",
    }
    return (json.dumps({**named, **schema, **named}, indent=2, ensure_ascii=False) + "\n").encode()


def _let_stand_empty(part: dict[str, Any]) -> None:
    """Allow no value wherever a key may be left out, and name no default that only means “nothing said”."""
    required = part.get("required", ())
    for name, field in part.get("properties", {}).items():
        if field.get("default", "") in (None, [], {}):
            del field["default"]
        if name in required or {"type": "null"} in field.get("anyOf", ()):
            continue
        shape = {key: field.pop(key) for key in list(field) if key not in (*_NOTES, "default")}
        field["anyOf"] = [shape, {"type": "null"}]
