"""Reads a pack of requirements and picks what is in force on a date.

A pack is a folder of YAML under `progdoc/catalogue/` (its README shows the form), or a user's own folder:
a later pack adds requirements, and replaces those whose code it repeats.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from functools import cache
from importlib.resources.abc import Traversable
from typing import Any

import yaml

from progdoc.core.citations import Citation, Source
from progdoc.core.diagnostics import Audience, Scope, Severity
from progdoc.core.errors import ResourceError
from progdoc.core.resources import catalogue_root
from progdoc.rules.requirement import Condition, NotForTheProgram, Proof, Requirement

__all__ = ["Catalogue", "built_in_catalogue", "read_catalogue", "read_sources"]

_LOADER: Any = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
_KEYS = {
    "code", "name", "citation", "also", "in_force", "until", "per", "applies", "proof", "severity",
    "scope", "audience", "duty", "what", "why", "fix", "example", "reads",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Catalogue:
    """Everything that may be asked, in the order of the codes."""

    pack: str
    version: str
    requirements: tuple[Requirement, ...]
    not_for_the_program: tuple[NotForTheProgram, ...]
    sources: Mapping[str, Source]

    def in_force(self, day: date) -> tuple[Requirement, ...]:
        """Return the requirements that bind on a day."""
        return tuple(
            r
            for r in self.requirements
            if r.in_force_from <= day and (r.in_force_until is None or day <= r.in_force_until)
        )


def read_sources(root: Traversable) -> dict[str, Source]:
    """Return the sources of `sources.yaml` by id."""
    return {
        entry["id"]: Source(**{key: str(value) for key, value in entry.items()})
        for entry in _read(root / "sources.yaml")
    }


def read_catalogue(*packs: Traversable) -> Catalogue:
    """Return the requirements of all packs, later ones replacing earlier ones of the same code and date."""
    sources = read_sources(catalogue_root())
    found: dict[tuple[str, date], Requirement] = {}
    elsewhere: dict[Citation, NotForTheProgram] = {}
    name = version = ""
    for pack in packs:
        about = _read(pack / "pack.yaml")
        name, version = about["pack"], str(about["version"])
        for extra in about.get("sources", ()):
            sources[extra["id"]] = Source(**{key: str(value) for key, value in extra.items()})
        for file in sorted((f for f in pack.iterdir() if f.name.endswith(".yaml")), key=lambda f: f.name):
            if file.name == "pack.yaml":
                continue
            content = _read(file)
            for entry in _entries(content, sources, file.name):
                found[entry.code, entry.in_force_from] = entry
            for spared in content.get("not_for_the_program", ()):
                citation = _citation(spared["citation"], content["source"], sources)
                elsewhere[citation] = NotForTheProgram(citation, spared["reason"])
    return Catalogue(
        pack=name,
        version=version,
        requirements=tuple(found[key] for key in sorted(found)),
        not_for_the_program=tuple(elsewhere[key] for key in sorted(elsewhere)),
        sources=sources,
    )


@cache
def built_in_catalogue() -> Catalogue:
    """Return the federal pack that ships with progdoc."""
    return read_catalogue(catalogue_root() / "us_federal")


def _read(file: Traversable) -> Any:
    return _LOADER(file.read_text(encoding="utf-8")).get_single_data()


def _entries(content: Mapping[str, Any], sources: Mapping[str, Source], file: str) -> Iterator[Requirement]:
    for entry in content.get("requirements", ()):
        if unknown := set(entry) - _KEYS:
            raise ResourceError(f"{file}: {entry.get('code')}: unknown keys {sorted(unknown)}")
        try:
            yield _requirement(entry, content, sources)
        except (KeyError, TypeError, ValueError) as fault:
            raise ResourceError(f"{file}: {entry.get('code')}: {fault!r}") from fault


def _requirement(entry: Mapping[str, Any], content: Mapping[str, Any], sources: Mapping[str, Source]) -> Requirement:
    proof = _proof(entry["proof"])
    return Requirement(
        code=entry["code"],
        name=entry["name"],
        citation=_citation(entry["citation"], content["source"], sources),
        also=tuple(_citation(text, content["source"], sources) for text in entry.get("also", ())),
        in_force_from=entry.get("in_force", content["in_force"]),
        in_force_until=entry.get("until"),
        per=entry.get("per", "program"),
        applies=_condition(entry.get("applies", [])),
        proof=proof,
        severity=Severity(entry.get("severity", "required")),
        scope=Scope(entry.get("scope", "program")),
        audience=Audience(entry.get("audience", "public")),
        duty=_line(entry["duty"]),
        what=_line(entry["what"]),
        why=_line(entry["why"]),
        fix=_line(entry["fix"]),
        example=entry.get("example", "").rstrip(),
        reads=tuple(sorted({*entry.get("reads", ()), *_paths(proof)})),
    )


def _line(text: str) -> str:
    return " ".join(text.split())


def _citation(text: str, source: str, sources: Mapping[str, Source]) -> Citation:
    """Read "(f)(2)" of the file's own source, or "us-29cfr1926.62 (d)(2)" of another."""
    head, _, rest = text.partition(" ")
    if head in sources:
        return Citation(sources[head], rest)
    return Citation(sources[source], text)


def _condition(form: Any) -> Condition:
    if isinstance(form, str):
        return Condition("fact", form)
    if isinstance(form, list):
        return Condition("all", parts=tuple(map(_condition, form)))
    ((kind, inner),) = form.items()
    if kind == "not":
        return Condition("not", parts=(_condition(inner),))
    if kind in ("all", "any"):
        return Condition(kind, parts=tuple(map(_condition, inner)))
    raise ValueError(f"a condition is a name, a list, all, any or not; found {kind!r}")


def _proof(form: Any) -> Proof:
    if isinstance(form, list):
        return Proof("all", parts=tuple(map(_proof, form)))
    if len(form) == 1:
        ((kind, inner),) = form.items()
        if kind in ("all", "any"):
            return Proof(kind, parts=tuple(map(_proof, inner)))
        if kind in ("check", "reason"):
            return Proof(kind, value=inner)
        return Proof({True: "yes", False: "no"}.get(kind, kind), path=inner)  # YAML reads yes and no as truth
    form = dict(form)
    path = form.pop("path")
    ((kind, value),) = form.items()
    return Proof(kind, path=path, value=value)


def _paths(proof: Proof) -> Iterator[str]:
    if proof.path and not proof.path.startswith("."):
        yield proof.path
    for part in proof.parts:
        yield from _paths(part)
