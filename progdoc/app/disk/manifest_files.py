"""The manifests of a folder on the disk, and the checksums of what really stands there."""

from __future__ import annotations

import errno
import hashlib
from pathlib import Path

from progdoc.app.disk.ordinary_files import content_of, opened
from progdoc.app.manifest import MANIFEST, RESTRICTED, RESTRICTED_MANIFEST, ManifestError, files_in

__all__ = ["digest", "listed"]


def digest(path: Path) -> str:
    """Return the SHA-256 of a file, "" where nothing is, and "not a file" for a folder, a link, a pipe or a device."""
    if path.is_symlink():
        return "not a file"
    try:
        with opened(path) as stream:
            return hashlib.file_digest(stream, "sha256").hexdigest()
    except (FileNotFoundError, NotADirectoryError):
        return ""
    except OSError as error:
        if error.errno in (errno.EISDIR, errno.ENXIO):
            return "not a file"
        raise


def listed(folder: Path) -> dict[str, str] | None:
    """Return name → SHA-256 of everything the manifests list, or None where there is no manifest."""
    public = _read(folder / MANIFEST)
    if public is None or RESTRICTED_MANIFEST not in public:
        return public
    restricted = _read(folder / RESTRICTED_MANIFEST) or {}
    if not all(name.startswith(RESTRICTED) for name in restricted):
        raise ManifestError(str(folder / RESTRICTED_MANIFEST))
    return public | restricted


def _read(path: Path) -> dict[str, str] | None:
    try:
        return files_in(content_of(path))
    except FileNotFoundError:
        return None
    except ManifestError as fault:
        raise ManifestError(str(path)) from fault
