"""What every described thing has in common: closed shapes, no changes after reading, words for each field."""

from __future__ import annotations

from typing import Any

from pydantic import BaseModel, ConfigDict, Field, model_validator

__all__ = ["Described", "said"]


class Described(BaseModel):
    """A part of the description. Unknown keys are refused; a key without a value counts as not there."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    @model_validator(mode="before")
    @classmethod
    def _drop_keys_without_value(cls, values: Any) -> Any:
        if isinstance(values, dict):
            return {key: value for key, value in values.items() if value is not None}
        return values


def said(title: str, description: str, example: Any, default: Any = None) -> Any:
    """Return a field that may be left out: silence is a gap to be found by the rules, not a fault of form."""
    return Field(default=default, title=title, description=description, examples=[example])
