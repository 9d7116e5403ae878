"""The syntax trees of modules, each parsed once for all the tests that read them."""

from __future__ import annotations

import ast
from functools import cache
from pathlib import Path

__all__ = ["nodes_of", "tree_of"]


@cache
def tree_of(file: Path) -> ast.Module:
    """Return the syntax tree of a module. It is shared: nobody changes it."""
    return ast.parse(file.read_text(encoding="utf-8"))


@cache
def nodes_of(file: Path) -> tuple[ast.AST, ...]:
    """Return all that stands in the syntax tree of a module, the outer before the inner."""
    return tuple(ast.walk(tree_of(file)))
