"""What every described thing has in common: closed shapes, no changes after reading, words for each field.

Modules of described things do not postpone their annotations: each would be a text to compile at every start.
"""

import re
from enum import StrEnum
from typing import Any, Self

from pydantic import BaseModel, ConfigDict, Field, model_validator

__all__ = ["Choice", "Described", "said"]

_BRITISH = (("vapor", "vapour"), ("fiber", "fibre"), ("odor", "odour"))


def _as_listed(text: str) -> str:
    """Return a choice as the lists spell it, however loosely it was typed.

    >>> _as_listed("Organic vapor"), _as_listed("ear_plugs"), _as_listed("mist-and-vapour")
    ('organic-vapour', 'ear-plugs', 'mist-and-vapour')
    """
    words = re.sub(r"[\s_-]+", "-", text.strip().lower())
    for american, british in _BRITISH:
        words = words.replace(american, british)
    return words


class Choice(StrEnum):
    """A closed list. The same words in another case, with spaces or in American spelling mean the same."""

    @classmethod
    def _missing_(cls, value: object) -> Self | None:
        if not isinstance(value, str):
            return None
        meant = [member for member in cls if _as_listed(member.value) == _as_listed(value)]
        return meant[0] if len(meant) == 1 else None


class Described(BaseModel):
    """A part of the description. Unknown keys are refused; a known one without a value counts as not there.

    An unknown key without a value is refused like any other: it may be what a comma inside `{ }` cut off a text.
    """

    model_config = ConfigDict(extra="forbid", frozen=True, defer_build=True)

    @model_validator(mode="before")
    @classmethod
    def _drop_keys_without_value(cls, values: Any) -> Any:
        if isinstance(values, dict):
            known = cls.model_fields
            return {key: value for key, value in values.items() if value is not None or key not in known}
        return values


def said(title: str, description: str, example: Any, default: Any = None) -> Any:
    """Return a field that may be left out: silence is a gap to be found by the rules, not a fault of form.

    A group that is left out is one of which nothing is said: its class is the default.
    """
    if isinstance(default, type) and issubclass(default, BaseModel):
        default = default.model_construct()  # `default()` would work out here, one by one, how each group is read
    return Field(default=default, title=title, description=description, examples=[example])
