"""The manifests of a folder on the disk, and the checksums of what really stands there."""

from __future__ import annotations

from pathlib import Path

from progdoc.app.manifest import MANIFEST, RESTRICTED, RESTRICTED_MANIFEST, ManifestError, files_in, sha256

__all__ = ["digest", "listed"]


def digest(path: Path) -> str:
    """Return the SHA-256 of a file, "" where nothing is, and "not a file" for a folder or a link."""
    if path.is_symlink() or path.is_dir():
        return "not a file"
    try:
        return sha256(path.read_bytes())
    except (FileNotFoundError, NotADirectoryError):
        return ""


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
        return files_in(path.read_bytes())
    except FileNotFoundError:
        return None
    except ManifestError as fault:
        raise ManifestError(str(path)) from fault
