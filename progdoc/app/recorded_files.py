"""Puts entries at their places in the files of a description: YAML spliced, tables of people cell by cell.

Every other byte stays. Entries of one file are placed in one go, as long as none lies inside another.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from functools import partial

from progdoc.app.record_events import Put, Way
from progdoc.app.renewed_files import Files, changed_file
from progdoc.core.diagnostics import Location
from progdoc.core.said import said
from progdoc.model.load import Loaded, parsed
from progdoc.model.people_table.former_people import FORMER
from progdoc.model.people_table.people_columns import RowKind
from progdoc.model.people_table.record_rows import Cells
from progdoc.model.people_table.table_entry import with_records
from progdoc.model.yaml.yaml_reader import is_description
from progdoc.model.yaml.yaml_removal import value_cut, without_entries
from progdoc.model.yaml.yaml_splice import EntryValue, Span, composed, entry_span, item_span, spliced, value_span

__all__ = ["with_puts"]

_Steps = tuple[str | int, ...]


def with_puts(files: Files, loaded: Loaded, puts: Sequence[Put]) -> Files:
    """Return the files with entries put in, or taken out.

    Raises
    ------
    KeyError
        If a file does not hold its lists and values in a form in which single ones can be replaced.
    KeptByHandError
        If a workbook can't be changed in a few cells alone.
    """
    by_file: dict[str, list[tuple[_Steps, Put]]] = {}
    of_yaml: list[Put] = []
    of_tables: list[Put] = []
    for put in puts:
        (of_tables if _is_of_table(loaded, put) else of_yaml).append(put)
    if of_tables:
        described = {name: data for name, data in files.items() if is_description(name)}
        parsed_anew = parsed(loaded.description.name, described)
        files = {**files, **with_records(parsed_anew, files, list(_cells(loaded, of_tables)))}
    for put in of_yaml:
        file, steps = (_entry_of(loaded, put).file, ()) if _is_gone(put) else _home_of(loaded, put)
        by_file.setdefault(file, []).append((steps, put))
    for name, placed in by_file.items():
        own = [put for _, put in placed]
        gone = [put for put in own if _is_gone(put)]
        if gone:  # first, by the places where they stand now; what is put in then finds its list as it is left
            places = {_entry_of(loaded, put) for put in gone}
            at = {(place.line, place.column) for place in places}
            files = changed_file(files, name, partial(without_entries, places=at))
        fresh = [(steps, put) for steps, put in placed if not _is_gone(put)]
        files = changed_file(files, name, partial(_with_all, fresh=fresh))
    return files


def _entry_of(loaded: Loaded, put: Put) -> Location:
    """Return where an entry stands that is taken out."""
    return loaded.locate(f"{put.path}.{put.name}[{put.place}]".lstrip("."))


def _is_gone(put: Put) -> bool:
    """Whether an entry is taken out of its list."""
    return put.way is Way.TAKE or (put.way is Way.CUT and put.place >= 0)


def _home_of(loaded: Loaded, put: Put) -> tuple[str, _Steps]:
    """Return the file in which a part stands, and the way to it there: a list may be spread over files."""
    if not put.owner:
        former = loaded.description.parts.get(FORMER, [])
        there = loaded.description.parts.get(put.name, [])
        daily = [part for part in there if not any(part[1] is node for _, node in former)]
        beside = daily or loaded.description.parts.get("program", [])
        return beside[0][0] if beside else next(filter(is_description, loaded.description.files)), ()
    top, *rest = put.owner
    number = rest[0] if rest else ""
    parts = loaded.description.parts.get(str(top), [])
    if not isinstance(number, int):
        beside = parts or loaded.description.parts.get("program", [])
        return beside[0][0] if beside else next(filter(is_description, loaded.description.files)), put.owner
    former = loaded.description.parts.get(FORMER, []) if top == "people" else []
    for file, node in parts:
        length = len(node.content) if isinstance(node.content, list) else 0
        if number < length:
            is_former = any(one is node for _, one in former)
            return file, (FORMER if is_former else top, number, *rest[1:])
        number -= length
    raise KeyError(put.path)


def _with_all(text: str, fresh: Sequence[tuple[_Steps, Put]]) -> str:
    """Return a text with all entries in it. What would begin or end at one place waits for the next reading."""
    waiting = list(fresh)
    while waiting:
        root = composed(text)
        spans: dict[tuple[int, int], Span] = {}
        taken: set[_Steps] = set()
        left: list[tuple[_Steps, Put]] = []
        for steps, put in waiting:
            found = [] if steps[:2] in taken else _spans(text, root, steps, put)
            if not found or any(span[:2] in spans for span in found):
                left.append((steps, put))
                continue
            taken.add(steps[:2])
            spans |= {span[:2]: span for span in found}
            if isinstance(put.entry, Mapping) and put.way is Way.SET:
                left += [(steps, _rest_of(put))] if len(put.entry) > 1 else []
        text = spliced(text, spans.values())
        waiting = left
    return text


def _rest_of(put: Put) -> Put:
    """Return what is left of a group of values when the first of them is in its place."""
    assert isinstance(put.entry, Mapping)
    _, *others = put.entry.items()
    return Put(put.owner, put.name, dict(others), put.way, put.told)


def _spans(text: str, root: object, steps: _Steps, put: Put) -> list[Span]:
    way = [*steps, put.name]
    if put.way is Way.CUT:
        return [value_cut(text, root, way)]
    if put.way is Way.WHOLE:
        return [value_span(text, root, way, put.entry)]
    if isinstance(put.entry, str):
        return [(item_span if put.way is Way.ADD else value_span)(text, root, way, put.entry)]
    if put.way is Way.ADD:
        return [entry_span(text, root, way, put.group)]
    key, value = next(iter(put.group.items()))
    return [value_span(text, root, [*way, key], str(value))]


# ---- tables -------------------------------------------------------------------------------------------


def _is_of_table(loaded: Loaded, put: Put) -> bool:
    """Whether an entry goes into a table: of a person, or of a single mask, that stands in one."""
    if put.owner[:1] == ("masks",) and put.owner[2:3] == ("units",):
        file = loaded.locate(f"masks[{put.owner[1]}].units[{put.owner[3]}]").file
    elif put.owner[:1] == ("cylinders",):
        file = loaded.locate(f"cylinders[{put.owner[1]}]").file
    elif "people" in (put.owner or (put.name,))[:1]:
        file = _home_of(loaded, put)[0]
    else:
        return False
    return not is_description(file.partition("#")[0])


def _cells(loaded: Loaded, puts: Iterable[Put]) -> Iterable[Cells]:
    program = loaded.program
    people, masks, cylinders = (program.people, program.masks, program.cylinders) if program else ((), (), ())
    for put in puts:
        if put.way is Way.CUT:
            raise KeyError(said("it stands in the table of people: change it there"))
        if not put.owner:  # somebody new: a row of their own
            cells = _as_cells(put.group)
            yield Cells(str(cells.pop("id")), "", cells)
            continue
        mask, name, of, number, kind = "", "", put.owner[2:], int(put.owner[1]), RowKind.PEOPLE
        if put.owner[0] == "masks":
            kind, mask, of = RowKind.UNITS, masks[number].id, put.owner[4:]
            one = masks[number].units[int(put.owner[3])].id
        elif put.owner[0] == "cylinders":
            kind, one = RowKind.CYLINDERS, cylinders[number].id
        else:
            one, name = people[number].id, people[number].name or ""
        if of and kind is RowKind.PEOPLE:
            told = " ".join(str(value) for value in put.group.values())
            yield Cells(one, str(of[0]), {put.name: told}, of_record=int(of[1]), name=name)
        elif isinstance(put.entry, str):
            yield Cells(one, str(of[0]) if of else "", {put.name: put.entry}, name=name, mask=mask, of=kind)
        else:
            yield Cells(one, put.name, _as_cells(put.group), put.way is Way.TAKE, name=name, mask=mask, of=kind)


def _as_cells(group: Mapping[str, EntryValue]) -> dict[str, str | Sequence[str]]:
    """Return a group of values as cells hold them: no group stands in one."""
    found: dict[str, str | Sequence[str]] = {}
    for name, value in group.items():
        if isinstance(value, Mapping):
            raise KeyError(name)
        found[name] = value if isinstance(value, str) else [str(one) for one in value]
    return found
