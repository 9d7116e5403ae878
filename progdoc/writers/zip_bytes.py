"""Zip archives: ours, whose bytes repeat (entries stored, in a fixed order, with one fixed date), and those of others.

Deflated entries would differ between versions of the compression library, and a zip made elsewhere carries
the clock and the system it was made on.
"""

from __future__ import annotations

import zlib
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from io import BytesIO
from zipfile import ZIP_DEFLATED, ZIP_STORED, BadZipFile, ZipFile, ZipInfo

__all__ = ["stored_zip", "word_archive", "zip_entries"]

_FIRST_DATE_OF_ZIP = (1980, 1, 1, 0, 0, 0)
_UNIX = 3
# What `zipfile` raises for what it can't read: no zip, a packing that it does not know, locked by a password,
# cut off, a bad header, a damaged entry.
_UNREADABLE = (BadZipFile, NotImplementedError, RuntimeError, EOFError, ValueError, zlib.error)


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


def zip_entries(archive: bytes) -> dict[str, bytes]:
    """Return the entries of a zip of ours by their names."""
    with ZipFile(BytesIO(archive)) as source:
        return {name: source.read(name) for name in source.namelist()}


@contextmanager
def word_archive(data: bytes) -> Iterator[ZipFile]:
    """Open a Word file that somebody else wrote; whatever keeps it from being read is a `BadZipFile`.

    Its entries are stored or deflated, as ISO/IEC 29500-2 asks (from memory); others are not unpacked.
    """
    try:
        with ZipFile(BytesIO(data)) as archive:
            if any(entry.compress_type not in (ZIP_STORED, ZIP_DEFLATED) for entry in archive.infolist()):
                raise BadZipFile("packed as no Word file is")
            yield archive
    except _UNREADABLE as error:
        raise BadZipFile(str(error)) from error
