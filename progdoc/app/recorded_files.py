"""Puts entries at their places in the files of a description: YAML spliced, the people's table cell by cell.

Every other byte stays. Entries of one file are placed in one go, as long as none lies inside another.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from functools import partial

from progdoc.app.record_events import Put, Way
from progdoc.app.renewed_files import Files, changed_file
from progdoc.core.diagnostics import Location
from progdoc.core.said import said
from progdoc.model.load import Loaded
from progdoc.model.people_table.csv_entry import Cells, with_records
from progdoc.model.people_table.former_people import FORMER
from progdoc.model.people_table.people_columns import DateOrder
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
    """
    by_file: dict[str, list[tuple[_Steps, Put]]] = {}
    for put in puts:
        file, steps = (_entry_of(loaded, put).file, ()) if _is_gone(put) else _home_of(loaded, put)
        by_file.setdefault(file, []).append((steps, put))
    for name, placed in by_file.items():
        own = [put for _, put in placed]
        if not is_description(name):
            files = {**files, name: with_records(files[name], list(_cells(loaded, own)), _order(loaded))}
            continue
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


# ---- the people's table -------------------------------------------------------------------------------


def _cells(loaded: Loaded, puts: Iterable[Put]) -> Iterable[Cells]:
    people = loaded.program.people if loaded.program else ()
    for put in puts:
        if put.way is Way.CUT:
            raise KeyError(said("it stands in the table of people: change it there"))
        if not put.owner:  # somebody new: a row of their own
            cells = _as_cells(put.group)
            yield Cells(str(cells.pop("id")), "", cells)
            continue
        person = people[int(put.owner[1])].id
        if len(put.owner) > 2:
            told = " ".join(str(value) for value in put.group.values())
            yield Cells(person, str(put.owner[2]), {put.name: told}, of_record=int(put.owner[3]))
        elif isinstance(put.entry, str):
            yield Cells(person, "", {put.name: put.entry})
        else:
            yield Cells(person, put.name, _as_cells(put.group), put.way is Way.TAKE)


def _as_cells(group: Mapping[str, EntryValue]) -> dict[str, str | Sequence[str]]:
    """Return a group of values as cells hold them: no group stands in one."""
    found: dict[str, str | Sequence[str]] = {}
    for name, value in group.items():
        if isinstance(value, Mapping):
            raise KeyError(name)
        found[name] = value if isinstance(value, str) else [str(one) for one in value]
    return found


def _order(loaded: Loaded) -> DateOrder | None:
    """Return how the table writes days: what stands beside `csv:` in the YAML."""
    for name in loaded.description.files:
        content = loaded.content(name)
        if is_description(name) and content is not None:
            people = _plain(composed(content.decode("utf-8-sig"))).get("people")
            order = people.get("dates") if isinstance(people, dict) else None
            if order in tuple(DateOrder):
                return DateOrder(order)
    return None


def _plain(root: object) -> dict[str, object]:
    """Return the top-level groups of a YAML text, each with the single values in it."""
    pairs = getattr(root, "value", None)
    if not isinstance(pairs, list):
        return {}
    found: dict[str, object] = {}
    for key, node in (pair for pair in pairs if isinstance(pair, tuple)):
        inner = node.value if isinstance(node.value, list) else []
        found[key.value] = {k.value: v.value for pair in inner if isinstance(pair, tuple) for k, v in [pair]}
    return found
