"""Plain values to a `Program`, the way pydantic worked it out of its classes when progdoc was prepared.

To work it out again from some hundred classes would take a tenth of every check. `catalogue/description.jsonl` holds
it under the version of pydantic and the hash of every module that it is made of. With another pydantic, or where one
of these was edited since, it is worked out anew, only slower. `python -m progdoc.dev prepare` writes it anew.
"""

from __future__ import annotations

import pickle
from collections.abc import Mapping
from functools import cache
from typing import Any, cast

import pydantic
from pydantic_core import SchemaValidator

from progdoc.core.kept_lines import kept_bytes, kept_lines, line_of_bytes
from progdoc.core.resources import catalogue_root, digest_of
from progdoc.model.description.program import Program

__all__ = ["FILE", "read_program", "schema_kept", "schema_line", "schema_of_program"]

FILE = "description.jsonl"  # in the catalogue
_HANGS_ON = (
    "core/kept_lines.py",
    "core/late_dataclass.py",
    "core/said.py",
    "model/description",
)
_FOR_OTHERS = ("metadata", "serialization")  # of a schema: what only writes values, or describes them to an editor


def read_program(values: Mapping[str, Any]) -> Program:
    """Return the description that plain values make.

    Raises
    ------
    pydantic.ValidationError
        If they make none.
    """
    reader = _reader()
    return Program.model_validate(values) if reader is None else cast(Program, reader.validate_python(values))


@cache
def _reader() -> SchemaValidator | None:
    schema = schema_kept(kept_lines(catalogue_root() / FILE))
    return None if schema is None else SchemaValidator(schema)


def schema_kept(lines: Mapping[str, str]) -> Any | None:
    """Return how a description is read as it was kept; None where that is not of these modules and this pydantic."""
    kept = kept_bytes(lines, _key())
    return None if kept is None else pickle.loads(kept)


def schema_line() -> str:
    """Return the line to be kept."""
    return line_of_bytes(_key(), pickle.dumps(schema_of_program(), protocol=5))


def schema_of_program() -> Any:
    """Return how a description is read, worked out from its classes."""
    Program.model_rebuild()
    return _to_read(Program.__pydantic_core_schema__)


def _to_read(part: Any) -> Any:
    """Return the same without what is of no use to who only reads, some of which can't be kept."""
    if isinstance(part, dict):
        left_out = _FOR_OTHERS if isinstance(part.get("type"), str) else ()
        return {name: _to_read(inner) for name, inner in part.items() if name not in left_out}
    return type(part)(map(_to_read, part)) if isinstance(part, list | tuple) else part


@cache
def _key() -> str:
    return f"program:{pydantic.VERSION}:{digest_of(*_HANGS_ON)}"
