"""Where the files that ship with progdoc are, and which. The only module that knows where we are installed."""

from __future__ import annotations

import hashlib
import sys
from collections.abc import Iterator
from functools import cache
from importlib.resources import files
from importlib.resources.abc import Traversable
from pathlib import Path

from progdoc.core.errors import ResourceError

__all__ = ["beside_data", "catalogue_root", "digest_of", "made_by", "templates_root"]


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


def beside_data(code: str) -> Iterator[Traversable]:
    """Yield the gettext catalogues of one language that stand beside our data: `f_fit_testing.es.po`."""
    for root in (catalogue_root(), files("progdoc") / "model" / "description"):
        yield from (file for name, file in _files_below(root) if name.endswith(f".{code}.po"))


def digest_of(*names: str) -> str:
    """Return the SHA-256 of modules and YAML of the package, by name or in folders of it: "rules/reading".

    Translations beside them are no part: what is read knows none of them.
    """
    found = hashlib.sha256()
    for name in names:
        part = files("progdoc") / name
        for inner, file in _files_below(part) if part.is_dir() else [("", part)]:
            if not file.name.endswith((".py", ".yaml")):
                continue
            content = file.read_bytes()
            found.update(f"{name} {inner} {len(content)}\n".encode(errors="replace") + content)
    return found.hexdigest()


@cache
def made_by() -> str:
    """Return what papers are made by, as a SHA-256: every file of progdoc, Python, and the libraries installed here."""
    found = hashlib.sha256(sys.version.encode())
    roots = (files("progdoc"), templates_root())
    for number, root in enumerate(roots):
        for name, file in _files_below(root):
            found.update(f"{number} {name} {hashlib.sha256(file.read_bytes()).hexdigest()}\n".encode(errors="replace"))
    for place in sys.path:
        for library in sorted(Path(place).glob("*.dist-info")):
            found.update(f"{library.name}\n".encode(errors="replace"))
    return found.hexdigest()


def _files_below(folder: Traversable, before: str = "") -> Iterator[tuple[str, Traversable]]:
    for entry in sorted(folder.iterdir(), key=lambda entry: entry.name):
        if entry.is_dir():
            if entry.name != "__pycache__":
                yield from _files_below(entry, f"{before}{entry.name}/")
        else:
            yield f"{before}{entry.name}", entry
