"""The list of what a set of documents holds, by which a folder can be told to be still what was written.

`manifest.json` lists every file with its SHA-256. Names of files under `restricted/` may give away names of
workers, so they are listed in a manifest of their own in there, and the first one lists that manifest: the
public part can be handed on, and checked, without the restricted folder.
"""

from __future__ import annotations

import hashlib
import json
import re
import unicodedata
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import field
from datetime import date
from functools import lru_cache

from progdoc.core.errors import ProgdocError
from progdoc.core.late_dataclass import dataclass

__all__ = [
    "MANIFEST",
    "RESTRICTED",
    "RESTRICTED_MANIFEST",
    "SHEET",
    "STAGING",
    "Content",
    "ManifestError",
    "ManifestInfo",
    "Parts",
    "and_manifests",
    "digest_of",
    "files_in",
    "folded",
    "is_safe_name",
    "sha256",
    "whole",
    "with_manifests",
]

MANIFEST = "manifest.json"
SHEET = "issue.json"  # what an issued revision says of itself
RESTRICTED = "restricted/"  # how the names begin of files that only their owner may read
STAGING = ".progdoc-new"  # where a new set waits until it is complete; how the names of all such folders begin
_FORMAT = "progdoc-manifest/1"
RESTRICTED_MANIFEST = RESTRICTED + MANIFEST
_NOT_IN_NAMES = re.compile(r'[<>:"|?*\\]')  # what one or another file system refuses
_DEVICES = re.compile(r"(con|prn|aux|nul|com\d|lpt\d)(\..*)?", re.IGNORECASE)  # reserved on Windows
_LONGEST = 255  # bytes in one part of a name, the limit of most file systems


class ManifestError(ProgdocError):
    """A manifest.json that progdoc did not write, or that was damaged since."""


@dataclass(frozen=True, slots=True)
class ManifestInfo:
    """What a set of documents was made from."""

    revision: str
    on: date  # of evaluation
    version: str  # of progdoc
    rules_version: str
    look: Mapping[str, str] = field(default_factory=dict)  # the files of the firm's own look, with their SHA-256


@lru_cache(maxsize=1024)  # there are thousands of names in one folder, and each is looked at more than once
def _is_safe_part(part: str) -> bool:
    return (
        part not in ("", ".", "..")
        and all(character.isprintable() or unicodedata.category(character) == "Zs" for character in part)
        and not _NOT_IN_NAMES.search(part)
        and not part.endswith((" ", "."))
        and not _DEVICES.fullmatch(part)
        and len(part.encode()) <= _LONGEST
    )


def is_safe_name(name: str) -> bool:
    """Whether a relative name stays in its folder and can be written on any common file system.

    >>> is_safe_name("tasks/scrape-sashes.html"), is_safe_name("../secrets"), is_safe_name("/etc/passwd")
    (True, False, False)
    """
    parts = name.split("/")
    return all(_is_safe_part(part) for part in parts) and not folded(parts[0]).startswith(STAGING)


def folded(name: str) -> str:
    """Return what the name is on a disk that does not tell upper from lower case.

    >>> folded("Program.MD") == folded("program.md")
    True
    """
    if name.isascii():
        return name.lower()
    return unicodedata.normalize("NFC", unicodedata.normalize("NFC", name).casefold())


def sha256(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()


class Parts:
    """The bytes of a large file, part by part, each made when it is asked for and asked for once.

    Its SHA-256 is known when all have passed by: who asks for it takes the rest.
    """

    def __init__(self, parts: Iterable[bytes]) -> None:
        self._rest, self._passed = iter(parts), hashlib.sha256()

    def __iter__(self) -> Iterator[bytes]:
        for part in self._rest:
            self._passed.update(part)
            yield part

    @property
    def sha256(self) -> str:
        for _ in self:
            pass
        return self._passed.hexdigest()


Content = bytes | Parts  # of a file


def whole(content: Content) -> bytes:
    """Return the bytes of a file in one."""
    return b"".join(content) if isinstance(content, Parts) else content


def digest_of(content: Content) -> str:
    """Return the SHA-256 of a file."""
    return content.sha256 if isinstance(content, Parts) else sha256(content)


def _manifest(digests: Mapping[str, str], info: ManifestInfo) -> bytes:
    value = {
        "format": _FORMAT,
        "revision": info.revision,
        "on": info.on.isoformat(),
        "progdoc": info.version,
        "rules": info.rules_version,
        **({"look": dict(sorted(info.look.items()))} if info.look else {}),
        "files": {name: digests[name] for name in sorted(digests)},
    }
    return (json.dumps(value, ensure_ascii=False, indent=2) + "\n").encode(errors="replace")


def with_manifests(files: Mapping[str, bytes], info: ManifestInfo) -> dict[str, bytes]:
    """Return the files and the manifests that list them."""
    return {name: whole(content) for name, content in and_manifests(files.items(), info)}


def and_manifests(files: Iterable[tuple[str, Content]], info: ManifestInfo) -> Iterator[tuple[str, Content]]:
    """Yield files as they come, none of them kept, and the manifests that list them last."""
    public: dict[str, str] = {}
    restricted: dict[str, str] = {}
    for name, data in files:
        yield name, data
        (restricted if name.startswith(RESTRICTED) else public)[name] = digest_of(data)
    if restricted:
        data = _manifest(restricted, info)
        public[RESTRICTED_MANIFEST] = sha256(data)
        yield RESTRICTED_MANIFEST, data
    yield MANIFEST, _manifest(public, info)


def files_in(manifest: bytes) -> dict[str, str]:
    """Return name → SHA-256 of everything that one manifest lists."""
    try:
        value = json.loads(manifest)
        is_ours = value["format"] == _FORMAT
        files = {str(name): str(told) for name, told in value["files"].items()}
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError) as fault:
        raise ManifestError("not a manifest of progdoc") from fault
    if not is_ours or not all(is_safe_name(name) for name in files):
        raise ManifestError("not a manifest of progdoc")
    return files
