"""Reads printed pages: which page the contents name for each heading, and on which it stands."""

from __future__ import annotations

import re
from collections.abc import Iterable

from progdoc.document.tree.cross_references import ContentsEntry

__all__ = ["told_and_found"]


def told_and_found(pages: Iterable[str], entries: Iterable[ContentsEntry]) -> tuple[dict[str, int], dict[str, int]]:
    """Return the page of each heading by its id: as the contents tell it, and where it is found."""
    labels = {e.id: f"Annex {e.number}" if e.number.isalpha() else e.number for e in entries}
    headings = {f"{labels[entry.id]} {entry.title}": entry.id for entry in entries}
    told: dict[str, int] = {}
    found: dict[str, int] = {}
    for number, page in enumerate(pages, 1):
        for line in page.splitlines():
            words = " ".join(line.split())
            in_contents = re.fullmatch(r"(.*?) ?\.{3,} ?(\d+)", words)
            if words in headings:
                found[headings[words]] = number
            elif in_contents and in_contents[1] in headings:
                told[headings[in_contents[1]]] = int(in_contents[2])
    return told, found
