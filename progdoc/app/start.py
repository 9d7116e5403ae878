"""A commented description to begin with: it asks nothing, and every gap it leaves tells the next thing to fill in."""

from __future__ import annotations

from collections.abc import Mapping

from progdoc.core.resources import templates_root
from progdoc.model.schema import schema_json

__all__ = ["schema_named_in", "starting_files"]

_SCHEMA = "program.schema.json"


def starting_files() -> dict[str, bytes]:
    """Return the starting description and its schema by file name."""
    sources = sorted(
        (f for f in (templates_root() / "start").iterdir() if f.name.endswith(".yaml")), key=lambda f: f.name
    )
    return {source.name: source.read_bytes() for source in sources} | {_SCHEMA: schema_json()}


def schema_named_in(files: Mapping[str, bytes]) -> dict[str, bytes]:
    """Return the schema if a description names it as lying beside: an editor then finds it beside a copy too."""
    named = f"$schema={_SCHEMA}".encode()
    return {_SCHEMA: schema_json()} if any(named in data for data in files.values()) else {}
