"""Lists of which the law wants nearly all: one tick says that it is all of them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from progdoc.app.check import Checked
from progdoc.app.question_forms import Typed
from progdoc.model.description.fields import field_at
from progdoc.model.description.input_fields import Input, Kinds
from progdoc.rules.requirement import Requirement

__all__ = ["ALL", "wanted_whole", "with_all"]

ALL = "+all"  # behind a place: every choice of its list
_MANY = 4  # from so many on a tick for all saves anything
_MOST_BESIDE = 1  # choices that no law asks for and that do no harm


def wanted_whole(checked: Checked, inputs: Iterable[Input | Kinds]) -> frozenset[str]:
    """Return the places of a form where all choices may be ticked at once: some duty asks for them together."""
    known = frozenset(_asked_whole(checked.judged.requirements if checked.judged else ()))
    lists = (one for one in inputs if isinstance(one, Input) and one.field.is_list and not one.listed)
    return frozenset(one.path for one in lists if one.field.values in known)


def with_all(typed: Typed, inputs: Iterable[Input | Kinds]) -> dict[str, tuple[str, ...]]:
    """Return what was typed with every choice of the lists that are ticked as a whole."""
    whole = {
        one.path: one.field.values for one in inputs if isinstance(one, Input) and any(typed.get(one.path + ALL, ()))
    }
    return {name: values for name, values in typed.items() if not name.endswith(ALL)} | whole


def _asked_whole(requirements: Iterable[Requirement]) -> Iterator[tuple[str, ...]]:
    """Yield the choices of each list of which duties ask for all, or for all but a few."""
    asked: dict[str, set[str]] = {}
    for requirement in requirements:
        for part in requirement.proof.singles():
            if part.kind == "includes":
                asked.setdefault(part.path, set()).update(part.value)
    for path, values in asked.items():
        field = field_at(path)
        if field is not None and len(values) >= max(_MANY, len(field.values) - _MOST_BESIDE):
            yield field.values
