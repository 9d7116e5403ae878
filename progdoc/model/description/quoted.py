"""Words of a finding, copied into the description: nobody's own answer, so that nothing looks for what they tell."""

from __future__ import annotations

from typing import Annotated

from pydantic import PlainValidator, WithJsonSchema

from progdoc.model.description.typed_text import as_text

__all__ = ["Quoted", "as_quoted"]


def as_quoted(value: object) -> str:
    """Return words that a finding printed.

    >>> as_quoted("8 October 2025")
    '8 October 2025'
    """
    return as_text(value)


Quoted = Annotated[
    str,
    PlainValidator(as_quoted),
    WithJsonSchema(
        {
            "type": ["string", "number", "boolean"],
            "examples": ["8 October 2025"],
            "minLength": 1,
            "pattern": r"\S",
        }
    ),
]
