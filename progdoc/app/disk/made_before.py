"""Whether a folder holds already what would be made: then nothing is made again, and nothing written.

Beside the set lies a note of what it was made from. The note is believed of nothing but that: who builds judges the
description anew each time, every file is held against the manifests, and the note against the manifest it was written
for. Whatever differs, or can't be read, leads to the documents being made.
"""

from __future__ import annotations

import json
from collections.abc import Iterable
from contextlib import suppress
from pathlib import Path

from progdoc.app.disk.manifest_files import digest, listed
from progdoc.app.disk.ordinary_files import content_of
from progdoc.app.disk.output_folder import WriteResult, verify_set
from progdoc.app.disk.placement import holding, put_file
from progdoc.app.disk.refusals import REFUSALS
from progdoc.app.disk.staging import staging_of
from progdoc.app.manifest import MANIFEST, RESTRICTED, SHEET, ManifestError

__all__ = ["NOTE", "digests_below", "made_before", "noted"]

NOTE = f"{RESTRICTED}.made-from.json"
_FORMAT = "progdoc-made-from/1"


def made_before(folder: Path, made_from: str) -> WriteResult | None:
    """Return the set that stands in a folder, unchanged, if it was made from the same; None where it has to be made."""
    note = folder / NOTE
    try:
        if staging_of(note.parent, note.name).exists():  # a run was interrupted while it left its note: to be cleared
            return None
        if made_from != _made_from(folder) or verify_set(folder):
            return None
        names = listed(folder) or {}
    except (OSError, ManifestError):
        return None
    return None if SHEET in names else WriteResult((), tuple(sorted({*names, MANIFEST})), (), mended=False)


def noted(folder: Path, made_from: str, manifest_sha256: str) -> None:
    """Leave a note of what a set was made from; that it can't be left costs the next run some time.

    The set is known by its manifest: what stands in the folder by now may be what another run has made of another
    description.
    """
    value = {"format": _FORMAT, "made_from": made_from, "manifest_sha256": manifest_sha256}
    note = folder / NOTE
    with suppress(*REFUSALS):
        if not note.is_symlink() and not note.parent.is_symlink():
            with holding(note.parent, note.name) as place:
                put_file(place, note, json.dumps(value, indent=1).encode() + b"\n")


def digests_below(folders: Iterable[Path]) -> tuple[str, ...]:
    """Return what every file below some folders is called there, and its SHA-256."""
    found = ((folder, path) for folder in folders for path in sorted(folder.rglob("*")) if path.is_file())
    return tuple(f"{path.relative_to(folder).as_posix()} {digest(path)}" for folder, path in found)


def _made_from(folder: Path) -> str | None:
    """Return what the note says, if it is about the manifest that stands there."""
    try:
        value = json.loads(content_of(folder / NOTE))
        is_of_this = value["format"] == _FORMAT and value["manifest_sha256"] == digest(folder / MANIFEST)
        return str(value["made_from"]) if is_of_this else None
    except (ValueError, KeyError, TypeError, RecursionError):
        return None
