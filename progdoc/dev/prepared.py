"""What is worked out when data of ours is written, not at each start: trees of YAML, and templates as Python."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

from progdoc.core.errors import ResourceError
from progdoc.core.paper_language import ENGLISH, known_languages, language_of
from progdoc.document.templating import compiled_before
from progdoc.document.templating.templates import shipped_templates
from progdoc.model.yaml import read_before
from progdoc.model.yaml.read_before import lines_of
from progdoc.model.yaml.yaml_file import Bounds, read_content
from progdoc.model.yaml.yaml_tree import Tree

__all__ = ["prepared", "trees_of"]


def prepared(root: Path) -> dict[Path, str]:
    """Return the files that are written from others of a checkout, each with its text."""
    catalogue, templates = root / "progdoc" / "catalogue", root / "templates"
    return {
        catalogue / read_before.FILE: trees_of(catalogue),
        templates / "program" / compiled_before.FILE: "".join(shipped_templates().compiled()),
        **{
            templates / "locale" / code / compiled_before.FILE: "".join(_compiled_in(code))
            for code in known_languages()
            if code != ENGLISH.code
        },
    }


def _compiled_in(code: str) -> Iterable[str]:
    return shipped_templates().in_language(language_of(code)).compiled()


def trees_of(catalogue: Path) -> str:
    """Return the text of the file of trees: a line for each file that is read to judge, in the order of their names."""
    files = (file for file in sorted(catalogue.rglob("*.yaml")) if not file.name.endswith(".source.yaml"))
    return lines_of((content, _tree(content, file.name)) for file in files for content in [file.read_bytes()])


def _tree(content: bytes, name: str) -> Tree:
    tree = read_content(content, name, Bounds())
    if tree.diagnostics:
        raise ResourceError("; ".join(f"{fault.location}: {fault.what}" for fault in tree.diagnostics))
    return tree
