"""The places that a layout leaves for fields, by which they are found again in the finished file."""

from __future__ import annotations

from typing import NamedTuple

from progdoc.document.tree.nodes import FormField

__all__ = ["PLACE", "Widget"]

PLACE = "field:"  # how the address of a place begins; its number follows


class Widget(NamedTuple):
    """A place on the page for a field; where there is one for each choice, for which."""

    field: FormField
    choice: int = 0
