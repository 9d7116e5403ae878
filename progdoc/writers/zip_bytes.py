"""Zip archives whose bytes repeat: entries stored, in a fixed order, with one fixed date.

Deflated entries would differ between versions of the compression library, and a zip made elsewhere carries
the clock and the system it was made on.
"""

from __future__ import annotations

from collections.abc import Mapping
from io import BytesIO
from zipfile import ZIP_STORED, ZipFile, ZipInfo

__all__ = ["repeatable", "stored_zip"]

_FIRST_DATE_OF_ZIP = (1980, 1, 1, 0, 0, 0)
_UNIX = 3


def stored_zip(entries: Mapping[str, bytes]) -> bytes:
    """Return a zip of these entries, sorted by name; `[Content_Types].xml` thereby comes first."""
    target = BytesIO()
    with ZipFile(target, "w", ZIP_STORED) as archive:
        for name in sorted(entries):
            info = ZipInfo(name, _FIRST_DATE_OF_ZIP)
            info.create_system = _UNIX
            info.external_attr = 0o644 << 16
            archive.writestr(info, entries[name])
    return target.getvalue()


def repeatable(archive: bytes) -> bytes:
    """Return the same entries as `archive` in a zip that depends on nothing but them."""
    with ZipFile(BytesIO(archive)) as source:
        return stored_zip({name: source.read(name) for name in source.namelist()})
