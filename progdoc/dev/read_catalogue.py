"""Reads the YAML of the catalogue and writes its trees, so that progdoc parses none of it to start."""

from __future__ import annotations

from pathlib import Path

from progdoc.core.errors import ResourceError
from progdoc.model.yaml.read_before import lines_of
from progdoc.model.yaml.yaml_file import Bounds, read_content
from progdoc.model.yaml.yaml_tree import Tree

__all__ = ["trees_of"]


def trees_of(catalogue: Path) -> str:
    """Return the text of the file of trees: a line for each file that is read to judge, in the order of their names."""
    files = (file for file in sorted(catalogue.rglob("*.yaml")) if not file.name.endswith(".source.yaml"))
    return lines_of((content, _tree(content, file.name)) for file in files for content in [file.read_bytes()])


def _tree(content: bytes, name: str) -> Tree:
    tree = read_content(content, name, Bounds())
    if tree.diagnostics:
        raise ResourceError("; ".join(f"{fault.location}: {fault.what}" for fault in tree.diagnostics))
    return tree
