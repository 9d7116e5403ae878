"""A commented description to begin with: it asks nothing, and every gap it leaves tells the next thing to fill in."""

from __future__ import annotations

from progdoc.core.resources import templates_root
from progdoc.model.schema import schema_json

__all__ = ["starting_files"]


def starting_files() -> dict[str, bytes]:
    """Return the starting description and its schema by file name."""
    sources = sorted(
        (f for f in (templates_root() / "start").iterdir() if f.name.endswith(".yaml")), key=lambda f: f.name
    )
    return {source.name: source.read_bytes() for source in sources} | {"program.schema.json": schema_json()}
