"""The packs of rules that a revision was issued by: frozen with it, in their order, and found again.

So that whoever proves, makes again or compares a revision judges it by what it was issued by, and need not be told.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from progdoc.app.issue import RULES

__all__ = ["frozen_packs", "packs_in"]


def frozen_packs(packs: Sequence[Path]) -> dict[str, bytes]:
    """Return the files of packs by their frozen names; the packs must have been read without a fault."""
    return {
        f"{RULES}{number:02}/{file.name}": file.read_bytes()
        for number, pack in enumerate(packs, 1)
        for file in sorted(pack.iterdir())
        if file.name.endswith((".yaml", ".po"))
    }


def packs_in(folder: Path) -> tuple[Path, ...]:
    """Return the packs that an issued revision holds, as they were laid over one another."""
    rules = folder / RULES
    return tuple(sorted(pack for pack in rules.iterdir() if pack.is_dir())) if rules.is_dir() else ()
