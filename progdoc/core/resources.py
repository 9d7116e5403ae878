"""Where the files that ship with progdoc are. The only module that knows where we are installed."""

from __future__ import annotations

from importlib.resources import files
from importlib.resources.abc import Traversable
from pathlib import Path

from progdoc.core.errors import ResourceError

__all__ = ["catalogue_root", "templates_root"]


def templates_root() -> Traversable:
    """Return the built-in templates: inside the wheel, or beside the package in a checkout."""
    packaged = files("progdoc") / "_templates"
    if packaged.is_dir():
        return packaged
    checkout = Path(__file__).resolve().parents[2] / "templates"
    if checkout.is_dir():
        return checkout
    raise ResourceError("built-in templates are missing: reinstall progdoc")


def catalogue_root() -> Traversable:
    """Return the folder of the requirement catalogue and its tables."""
    return files("progdoc") / "catalogue"
