"""A set of documents on the disk: one complete set is replaced by another, and nothing else is touched.

Refuses, before anything is touched and all reasons at once, to write over a file that the last manifest does
not list, over one that somebody edited (unless told to), through a link, or to a name that some disk can't hold.
Files under `restricted/` name workers: they, and folders made for them, are for their owner's eyes (0600, 0700).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import field
from enum import StrEnum
from pathlib import Path

from progdoc.app.disk.manifest_files import digest, listed
from progdoc.app.disk.placement import holding, is_half_placed, link_in, put_in_place, stage
from progdoc.app.disk.refusals import REFUSALS, refusal
from progdoc.app.file_faults import FILE_FAULTS
from progdoc.app.manifest import (
    MANIFEST,
    RESTRICTED,
    RESTRICTED_MANIFEST,
    SHEET,
    STAGING,
    Content,
    ManifestError,
    ManifestInfo,
    Parts,
    and_manifests,
    digest_of,
    folded,
    is_safe_name,
)
from progdoc.core.diagnostics import Audience, Diagnostic, Location, Severity, worst_first
from progdoc.core.late_dataclass import dataclass

__all__ = [
    "Difference",
    "ManifestInfo",
    "State",
    "WriteResult",
    "faults_of_names",
    "takes_place",
    "verify_set",
    "write_complete",
    "write_set",
]

_RENAME = "Give the task, person or section that the file is named after another id; or rename the file you attached."
_OWN_WORDS = (
    "Your own words belong in the description, under `procedures` or `own_sections`: there they survive every "
    "build. Copy them over, then build again with --replace; or build into another folder."
)


@dataclass(frozen=True, slots=True)
class WriteResult:
    """What became of every file; `mended` if an interrupted earlier run, `left_by`, had to be completed first."""

    written: tuple[str, ...]
    unchanged: tuple[str, ...]
    removed: tuple[str, ...]
    mended: bool
    left_by: str = ""
    manifest_sha256: str = ""  # of the set as this run left it: another may have placed its own since


class State(StrEnum):
    ALTERED = "altered"
    MISSING = "missing"
    INTERRUPTED = "interrupted"


@dataclass(frozen=True, slots=True)
class Difference:
    """A file that is not what the manifest says."""

    name: str
    state: State


def _fault(code: str, folder: Path, name: str, what: str, fix: str) -> Diagnostic:
    audience = Audience.RESTRICTED if name.startswith(RESTRICTED) else Audience.PUBLIC
    place = Location(str(folder / name), 0, 0)
    title, why = FILE_FAULTS[code]
    return Diagnostic(place, code, title, Severity.INVALID, what, why, fix, audience=audience)


def _name_refused(folder: Path, name: str) -> Diagnostic:
    return _fault("OUT-001", folder, name, f"{name!r} cannot be the name of a file", _RENAME)


def faults_of_names(folder: Path, names: Iterable[str]) -> list[Diagnostic]:
    """Return which names can't be written, or not in one folder, on some disk."""
    names = sorted(names)
    faults = [_name_refused(folder, name) for name in names if not is_safe_name(name)]
    by_fold: dict[str, list[str]] = {}
    for name in names:
        by_fold.setdefault(folded(name), []).append(name)
    for key, alike in by_fold.items():
        parents = [above for above in _above(key) if above in by_fold]
        if len(alike) > 1 or parents:
            clash = alike + [by_fold[part][0] for part in parents]
            what = f"{' and '.join(repr(name) for name in clash)} cannot stand in one folder"
            faults.append(_fault("OUT-002", folder, alike[0], what, _RENAME))
    return faults


def takes_place(name: str, taken: set[str]) -> bool:
    """Whether a file can stand beside those that came before it, on whatever disk; from now on its place is taken."""
    key = folded(name)
    above = list(_above(key))
    is_free = key not in taken and f"{key}/" not in taken and taken.isdisjoint(above)
    taken |= {key, *(f"{folder}/" for folder in above)}
    return is_free and is_safe_name(name)


def _above(name: str) -> Iterator[str]:
    """Yield the folders that a name lies in, outermost first."""
    parts = name.split("/")
    return ("/".join(parts[:count]) for count in range(1, len(parts)))


def _faults_of_folder(folder: Path) -> list[Diagnostic]:
    if folder.exists() and not folder.is_dir():
        fix = "Name a folder, or a name that is not taken, after -o."
        return [_fault("OUT-003", folder, "", f"{folder} is a file", fix)]
    if link_in(folder, STAGING):
        return [_fault("OUT-004", folder, STAGING, f"{STAGING} is a link", "Remove the link.")]
    return []


def _fault_at(folder: Path, name: str, known: str | None, found: str, new: str, replace: bool) -> Diagnostic | None:
    """What stands in the way of writing `name`, or of removing it where nothing new takes its place.

    `known`, `found` and `new` are SHA-256: the one that is listed, that of what stands there, that of the new file.
    """
    link = link_in(folder, name)
    if link:
        return _fault("OUT-004", folder, name, f"{link} is a link", "Remove the link, or build into another folder.")
    for parent in _above(name) if new and not found else ():
        if (folder / parent).is_file():
            name, known, found = parent, None, digest(folder / parent)
            break
    if not found or found == known or (known and found == new):
        return None
    if known is None or found == "not a file":
        what = f"{name} is already there and was not written by progdoc"
        return _fault("OUT-005", folder, name, what, "Move it elsewhere, or build into another folder.")
    if replace:
        return None
    what = f"{name} was changed after progdoc had written it"
    return _fault("OUT-006", folder, name, what, _OWN_WORDS)


@dataclass(slots=True)
class _Passing:
    """What is seen of a set while its files pass by: SHA-256 of old and new by name, and what stands in the way."""

    before: dict[str, str] = field(default_factory=dict)
    after: dict[str, str] = field(default_factory=dict)
    faults: list[Diagnostic] = field(default_factory=list)
    is_new: bool = False  # the folder: nothing stands there that could be in the way

    def changed(
        self, folder: Path, files: Iterable[tuple[str, Content]], old: Mapping[str, str], replace: bool
    ) -> Iterator[tuple[str, Content]]:
        """Yield what is to be written; as soon as something is in the way, nothing more, and the rest is looked at.

        Of what comes in parts it is known only behind the last of them whether it differs: it is written in any case.
        """
        of_fold = {folded(name): told for name, told in old.items()}
        of_fold[MANIFEST] = digest(folder / MANIFEST)  # whatever is there was read as ours
        taken: set[str] = set()
        self.is_new = not folder.exists()
        for name, data in files:
            is_writable, in_parts = takes_place(name, taken), isinstance(data, Parts)
            if in_parts and is_writable and not self.faults:
                yield name, data
            new = self.after[name] = digest_of(data)
            if is_safe_name(name):
                self._look_at(folder, name, of_fold.get(folded(name)), replace)
            if not in_parts and is_writable and not self.faults and self.before[name] != new:
                yield name, data
        for name in old.keys() - self.after.keys():
            self._look_at(folder, name, old[name], replace)

    def _look_at(self, folder: Path, name: str, known: str | None, replace: bool) -> None:
        if self.is_new:
            self.before[name] = ""
            return
        found = self.before[name] = digest(folder / name)
        fault = _fault_at(folder, name, known, found, self.after.get(name, ""), replace)
        self.faults += [fault] if fault else []


def write_set(
    folder: Path, files: Mapping[str, bytes], manifest: ManifestInfo, replace: bool = False
) -> WriteResult | list[Diagnostic]:
    """Make the folder hold these files and their manifest; or return why not, and leave it as it was."""
    taken = [_name_refused(folder, name) for name in (MANIFEST, RESTRICTED_MANIFEST) if name in files]
    return worst_first(taken) if taken else write_complete(folder, and_manifests(files.items(), manifest), replace)


def write_complete(
    folder: Path, files: Iterable[tuple[str, Content]], replace: bool = False
) -> WriteResult | list[Diagnostic]:
    """Make the folder hold a set that has its manifests already, the last of them `manifest.json`; or return why not.

    Files are taken as they come and none is kept; what stands there already costs its checksum and no more. `replace`
    gives up files edited by hand; it never covers files that progdoc did not write.
    """
    passing = _Passing()
    try:
        faults = _faults_of_folder(folder)
        if faults:
            return worst_first(faults)
        with holding(folder) as place:
            old = listed(folder) or {}
            if SHEET in old:
                what = f"{folder} is a revision that was issued"
                return [_fault("OUT-010", folder, "", what, "Name another folder after -o.")]
            stage(place, passing.changed(folder, files, old, replace))
            faults = faults_of_names(folder, passing.after) + passing.faults
            if faults:
                return worst_first(faults)
            moves = put_in_place(place, folder, passing.before, passing.after)
    except ManifestError as fault:
        name = Path(str(fault)).relative_to(folder).as_posix()
        what = f"{name} was not written by progdoc, or was damaged since"
        fix = "Build into another folder; or move the documents and this file elsewhere and build again."
        return [_fault("OUT-007", folder, name, what, fix)]
    except REFUSALS as error:
        return [refusal(folder, error)]
    changed = {move.name for move in moves}
    return WriteResult(
        written=tuple(move.name for move in moves if move.new),
        unchanged=tuple(sorted(passing.after.keys() - changed)),
        removed=tuple(move.name for move in moves if not move.new),
        mended=place.mended,
        left_by=place.left_by,
        manifest_sha256=passing.after[MANIFEST],
    )


def verify_set(folder: Path) -> list[Difference]:
    """Return what in the folder is not as its manifest says, sorted by name."""
    if is_half_placed(folder):
        return [Difference(STAGING, State.INTERRUPTED)]
    try:
        told = listed(folder)
    except ManifestError as fault:
        return [Difference(Path(str(fault)).relative_to(folder).as_posix(), State.ALTERED)]
    if told is None:
        return [Difference(MANIFEST, State.MISSING)]
    found = {name: digest(folder / name) for name in sorted(told)}
    return [
        Difference(name, State.ALTERED if found[name] else State.MISSING) for name in found if found[name] != told[name]
    ]
