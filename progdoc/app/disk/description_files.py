"""A description at a path: its files to bytes, within bounds, and whatever can't be read with its reason.

Only ordinary files are opened, so no pipe or device can hang the reading, and no more is read than a description
may hold. Attachments lie beside the description or below, never elsewhere on the disk.
"""

from __future__ import annotations

import os
from collections.abc import Sequence
from contextlib import suppress
from dataclasses import replace
from datetime import date
from pathlib import Path

from progdoc.app.attachments import OF_DESCRIPTION, UNDER_RESTRICTED
from progdoc.app.check import Checked, check
from progdoc.app.disk.interrupted import why_half_written
from progdoc.app.disk.look_folder import files_of_look
from progdoc.app.manifest import RESTRICTED, folded, is_safe_name
from progdoc.core.diagnostics import Diagnostic, Location
from progdoc.core.unread import Unread
from progdoc.model.load import Loaded, named_beside, parsed, understood
from progdoc.model.yaml.yaml_faults import fault
from progdoc.model.yaml.yaml_file import MOST_BYTES, os_reason, readable, text_of
from progdoc.model.yaml.yaml_reader import YAML_ENDINGS, Description, column_file_of, is_description
from progdoc.rules.in_force.states_of_work import enforcing_states
from progdoc.rules.reading.catalogue import catalogue_with

__all__ = ["check_path", "files_read", "judged_by", "load_path", "parsed_path", "state_of_files"]

_MOST_ATTACHED = 200_000_000  # bytes of all attachments: they are held in memory, and go into the set unchanged

_Files = dict[str, bytes | Unread]


def _base_of(path: Path) -> Path:
    """Return the folder that files named in the description are beside."""
    return path if path.is_dir() else path.parent


def files_read(path: Path, loaded: Loaded, rules: Sequence[Path] = ()) -> list[Path]:
    """Return the files that a description and its rules were read from, by their names on the disk, shown or not.

    None where the path leads to none: what is told of such a description can be written all the same.
    """
    if not path.exists():
        return []
    base, beside = _base_of(path), named_beside(loaded.description)
    named = [*beside.attachments, *beside.tables, *map(column_file_of, beside.tables)]
    look = sorted((base / beside.look).rglob("*")) if is_safe_name(beside.look) else []
    packs = [file for folder in rules for file in sorted(folder.rglob("*"))]
    return [*_files_of(path, _name(path))[0], *(base / name for name in named if "\0" not in name), *look, *packs]


def check_path(path: Path, as_of: date, rules: Sequence[Path] = ()) -> Checked:
    """Read the description at a path and judge it on a day, by the federal rules and by a user's packs of rules."""
    return judged_by(load_path(path), as_of, rules)


def judged_by(loaded: Loaded, as_of: date, rules: Sequence[Path] = ()) -> Checked:
    """Judge a description that was read by the federal rules and by a user's packs of rules."""
    catalogue, faults = catalogue_with(rules, enforcing_states(loaded.program) if loaded.program else frozenset())
    return check(loaded, as_of, catalogue, faults)


def state_of_files(path: Path, loaded: Loaded, rules: Sequence[Path] = ()) -> tuple[tuple[str, int, int, int], ...]:
    """Return by what the files of a description are told to be as they were: another, once somebody wrote to one."""
    found = []
    for file in files_read(path, loaded, rules):
        with suppress(OSError):
            stands = file.stat()
            found.append((str(file), stands.st_ino, stands.st_mtime_ns, stands.st_size))
    return tuple(found)


def load_path(path: Path) -> Loaded:
    """Read and validate the description at a path: one YAML file or a folder of them.

    What a run was about to write that was interrupted there is written first.
    """
    base = _base_of(path)
    hindered = why_half_written(base)
    unread = [fault("YAML-003", Location(_name(path), 0, 0), f"{_name(path)} is half written: {hindered}")]
    files, faults = ({}, unread) if hindered else _described(path)
    description = parsed(_name(path), files, faults)
    beside = named_beside(description)
    described = [*_files_of(path, _name(path))[0]] if files else []
    tables = [*beside.tables, *(name for name in map(column_file_of, beside.tables) if (base / name).exists())]
    described += [base / table for table in tables]
    found = _attachments(base, beside.attachments, described)
    found |= {table: _table(base / table) for table in tables}
    if is_safe_name(beside.look):
        found |= _look(base, beside.look)
    loaded = understood(description, {**found, **files})
    return loaded if loaded.program is not None else _with_tables_told(loaded, base)


def _with_tables_told(loaded: Loaded, base: Path) -> Loaded:
    """Return what is not understood with every table that it seems to mean: who is named there is told to nobody."""
    from progdoc.model.named_in_tables import tables_told_in  # few are not understood

    named = [
        name
        for file, content in loaded.files.items()
        if is_description(file) and isinstance(content, bytes)
        for table in tables_told_in(text_of(content))
        for name in (table, column_file_of(table))
        if name not in loaded.files and "\0" not in name and os.path.lexists(base / name)
    ]
    return replace(loaded, files={**loaded.files, **{name: _table(base / name) for name in dict.fromkeys(named)}})


def parsed_path(path: Path) -> Description:
    """Read the YAML at a path, without the files that it names."""
    return parsed(_name(path), *_described(path))


# ---- the YAML -----------------------------------------------------------------------------------------


def _name(path: Path) -> str:
    return readable(path.name or str(path))


def _described(path: Path) -> tuple[_Files, list[Diagnostic]]:
    """Return the YAML files of a description by name, and why there are none where the path leads to none."""
    name = _name(path)
    try:
        found, faults = _files_of(path, name)
    except FileNotFoundError:
        return {}, [fault("YAML-001", Location(name, 0, 0), f"there is no file or folder {readable(str(path))}")]
    except OSError as error:
        return {}, [fault("YAML-003", Location(name, 0, 0), f"{name} cannot be read: {os_reason(error)}")]
    files: _Files = {}
    left = MOST_BYTES
    for file in found:
        shown = readable(file.name)
        if shown in files:
            what = f"{shown} can't be told from another file by its name"
            faults.append(fault("YAML-003", Location(shown, 0, 0), what))
            continue
        content = files[shown] = _yaml(file, left)
        left -= 0 if isinstance(content, Unread) else len(content)
    return files, faults


def _files_of(path: Path, name: str) -> tuple[list[Path], list[Diagnostic]]:
    path.lstat()  # a link that leads to itself raises here or below, as an unreadable path does
    if path.is_dir():
        return sorted((f for f in path.iterdir() if is_description(f.name)), key=lambda f: f.name), []
    path.stat()
    if path.suffix.lower() not in YAML_ENDINGS:
        return [], [fault("YAML-004", Location(name, 0, 0), f"{name} does not end in .yaml or .yml")]
    return [path], []


def _yaml(file: Path, left: int) -> bytes | Unread:
    try:
        if not file.exists():
            return Unread("leads to a file that is not there")
        if not file.is_file():
            return Unread(f"is {'a folder' if file.is_dir() else 'a device or a pipe'}, not a file")
        return _bytes_of(file, left)
    except OSError as error:
        return Unread(f"cannot be read: {os_reason(error)}")


# ---- what the YAML names ------------------------------------------------------------------------------


def _table(file: Path) -> bytes | Unread:
    try:
        return Unread("is no file") if file.exists() and not file.is_file() else _bytes_of(file, MOST_BYTES)
    except (OSError, ValueError) as error:  # ValueError: no disk holds such a name
        return Unread(f"cannot be read: {os_reason(error)}")


def _attachments(base: Path, names: Sequence[str], described: Sequence[Path]) -> _Files:
    """Return the attachments that are ordinary files inside the description's folder; the others are left out."""
    found: _Files = {}
    left = _MOST_ATTACHED
    for name in dict.fromkeys(names):
        file = base / name
        try:
            home, target = base.resolve(), file.resolve()
            if not target.is_relative_to(home) or not file.is_file():
                continue
            content = _private(target.relative_to(home), file, described) or _bytes_of(file, left)
        except (OSError, ValueError) as error:
            content = Unread(f"cannot be read: {os_reason(error)}")
        found[name] = content
        left -= 0 if isinstance(content, Unread) else len(content)
    return found


def _private(inside: Path, file: Path, described: Sequence[Path]) -> Unread | None:
    """Return why a file is not handed out, by whatever link or name it is reached."""
    if any(one.exists() and file.samefile(one) for one in described):
        return OF_DESCRIPTION
    return UNDER_RESTRICTED if RESTRICTED.rstrip("/") in map(folded, inside.parts[:-1]) else None


def _look(base: Path, name: str) -> _Files:
    """Return the files of the firm's own look by their names beside the description; or why there are none."""
    found = files_of_look(base / name, base)
    return {name: found} if isinstance(found, Unread) else {f"{name}/{file}": data for file, data in found.items()}


def _bytes_of(file: Path, most: int) -> bytes | Unread:
    """Return an ordinary file's bytes, if it holds no more than so many."""
    with file.open("rb") as stream:
        data = stream.read(most + 1) if file.stat().st_size <= most else None
    if data is None or len(data) > most:
        return Unread(f"is too large, over {most:,} bytes", is_too_large=True)
    return data
