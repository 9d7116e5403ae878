"""What a firm states that adopts a paragraph of the law: each of its duties that needs no fact of the site.

The catalogue tells which these are: a yes, a no, a list, a figure that a duty under the paragraph prescribes. They
stand in the silent fields of the group that adopts, so that everything that reads the description sees them; what
the firm states itself wins, also where it contradicts. Texts and facts of the site are never filled in.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import field
from functools import cache
from typing import Any

from progdoc.core.diagnostics import Severity
from progdoc.core.late_dataclass import dataclass
from progdoc.model.description.base import Described
from progdoc.model.description.fields import field_at
from progdoc.model.description.procedures import Procedures
from progdoc.model.description.program import Program
from progdoc.rules.requirement import Requirement, adopted_values, is_under

__all__ = ["Adopted", "Adoption", "adoption_that_states", "adoptions_in", "value_at", "with_adopted", "with_value"]

_EACH = {"program": (), "mask": ("masks",), "filter": ("filters",)}  # whose duties can be adopted


@dataclass(frozen=True, slots=True)
class Adoption:
    """One paragraph that was adopted, and where."""

    path: str  # "procedures.storage.adopt"
    paragraph: str  # "(h)(2)"

    @property
    def group(self) -> str:
        return self.path.rpartition(".")[0]

    def values_of(self, requirement: Requirement) -> tuple[tuple[str, Any], ...]:
        """Return the places and values of a duty that this adopting states: none in the group of another procedure."""
        if requirement.per not in _EACH or requirement.severity is not Severity.REQUIRED:
            return ()
        if not is_under(requirement, self.paragraph):
            return ()
        elsewhere = (path for path, _ in adopted_values(requirement) if path.startswith("procedures."))
        away = {path for path in elsewhere if not path.startswith(f"{self.group}.")}
        return tuple((path, value) for path, value in adopted_values(requirement) if path not in away)


@dataclass(frozen=True, slots=True)
class Adopted:
    """What adopting stated: for each filled place, the place that adopts; and what was adopted."""

    places: Mapping[str, str] = field(default_factory=dict)
    adoptions: tuple[Adoption, ...] = ()

    def left_to_say(self, requirement: Requirement, path: str) -> str:
        """Return the paragraph that was adopted and leaves a place of its group to be said, or nothing."""
        for adoption in self.adoptions:
            if path.startswith(f"{adoption.group}.") and is_under(requirement, adoption.paragraph):
                return adoption.paragraph
        return ""


def adoption_that_states(requirement: Requirement, silent: Iterable[str]) -> Adoption | None:
    """Return the widest paragraph whose adopting would state a silent place of a duty; None if none would."""
    if requirement.per not in _EACH or requirement.severity is not Severity.REQUIRED:
        return None
    stated = {path for path, _ in adopted_values(requirement)}
    stated &= {path if path.startswith("procedures.") else f".{path.partition('.')[2]}" for path in silent}
    found = [
        Adoption(f"{group}.adopt", paragraph)
        for group, paragraphs in _adoptable().items()
        for paragraph in paragraphs
        if any(path.startswith((f"{group}.", ".")) for path in stated) and is_under(requirement, paragraph)
    ]
    return min(found, key=lambda adoption: len(adoption.paragraph), default=None)


@cache
def _adoptable() -> Mapping[str, tuple[str, ...]]:
    """Return by group the paragraphs that can be adopted there."""
    groups = [f"procedures.{name}" for name in Procedures.model_fields]
    fields = {group: field_at(f"{group}.adopt") for group in (*groups, "procedures.use.seal_check")}
    return {group: tuple(v for v in known.values if v.startswith("(")) for group, known in fields.items() if known}


def with_adopted(program: Program, requirements: Iterable[Requirement]) -> tuple[Program, Adopted]:
    """Return a description with all that its adopted paragraphs state, and where that was stated."""
    adoptions = tuple(adoptions_in(program))
    if not adoptions:
        return program, Adopted()
    binding = tuple(requirements)
    values: dict[str, Any] = {}
    places: dict[str, str] = {}
    for adoption in adoptions:
        for requirement in binding:
            for path, value in _placed(program, requirement.per, adoption.values_of(requirement)):
                values[path] = _both(values.get(path), value)
                places.setdefault(path, adoption.path)
    silent = {path for path in values if value_at(program, path) in (None, ()) or places[path] == path}
    for path in sorted(silent):
        known = field_at(_pattern(path))
        if known is not None:
            program = _with(program, _steps(path), known.read(values[path]))
    return program, Adopted({path: places[path] for path in sorted(silent)}, adoptions)


def adoptions_in(program: Program) -> Iterator[Adoption]:
    """Yield every paragraph that a description adopts; an appendix or the maker's way is none."""
    told = program.procedures
    groups = [(f"procedures.{name}", getattr(told, name)) for name in type(told).model_fields]
    groups.append(("procedures.use.seal_check", told.use.seal_check))
    for path, group in groups:
        named = getattr(group, "adopt", None)
        for paragraph in named if isinstance(named, tuple) else (named,):
            if paragraph is not None and paragraph.startswith("("):
                yield Adoption(f"{path}.adopt", str(paragraph))


def _placed(program: Program, per: str, values: Iterable[tuple[str, Any]]) -> Iterator[tuple[str, Any]]:
    """Yield the values with full places: of a duty for each filter, one for each."""
    for path, value in values:
        if not path.startswith("."):
            yield path, value
        for kind in _EACH[per] if path.startswith(".") else ():
            for i in range(len(getattr(program, kind))):
                yield f"{kind}[{i}]{path}", value


def _both(one: Any, other: Any) -> Any:
    return (*one, *(item for item in other if item not in one)) if isinstance(one, tuple) else other


# ---- places -------------------------------------------------------------------------------------------


def _steps(path: str) -> list[str | int]:
    found: list[str | int] = []
    for name in path.split("."):
        key, _, index = name.partition("[")
        found += [key, int(index[:-1])] if index else [key]
    return found


def _pattern(path: str) -> str:
    return ".".join(f"{name.partition('[')[0]}[]" if "[" in name else name for name in path.split("."))


def value_at(program: Program, path: str) -> Any:
    """Return what stands at a place, with the numbers of lists."""
    value: Any = program
    for step in _steps(path):
        value = value[step] if isinstance(step, int) else getattr(value, step)
    return value


def with_value(program: Program, path: str, value: Any) -> Program:
    """Return a description with one value put in at a place."""
    changed: Program = _with(program, _steps(path), value)
    return changed


def _with(part: Any, steps: Sequence[str | int], value: Any) -> Any:
    """Return a part of the description with one value put in; nothing of the old one is changed."""
    if not steps:
        return value
    step, rest = steps[0], steps[1:]
    if isinstance(step, int):
        return (*part[:step], _with(part[step], rest, value), *part[step + 1 :])
    model: Described = part
    return model.model_copy(update={step: _with(getattr(model, step), rest, value)})
