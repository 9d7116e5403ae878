"""Puts entries at their places in the files of a description: YAML spliced, the people's table cell by cell.

Every other byte stays. Entries of one file are placed in one go, as long as none lies inside another.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from functools import partial

from progdoc.app.record_events import Put, Way
from progdoc.app.renewed_files import Files, changed_file
from progdoc.model.load import Loaded
from progdoc.model.people_table.csv_entry import Cells, with_records
from progdoc.model.people_table.people_columns import DateOrder
from progdoc.model.yaml.yaml_reader import is_description
from progdoc.model.yaml.yaml_removal import without_entries
from progdoc.model.yaml.yaml_splice import EntryValue, Span, composed, entry_span, spliced, value_span

__all__ = ["with_puts"]

_Steps = tuple[str | int, ...]


def with_puts(files: Files, loaded: Loaded, puts: Sequence[Put]) -> Files:
    """Return the files with entries put in, or taken out.

    Raises
    ------
    KeyError
        If a file does not hold its lists and values in a form in which single ones can be replaced.
    """
    by_file: dict[str, list[Put]] = {}
    for put in puts:
        by_file.setdefault(_file_of(loaded, put), []).append(put)
    for name, own in by_file.items():
        if not is_description(name):
            files = {**files, name: with_records(files[name], list(_cells(loaded, own)), _order(loaded))}
            continue
        gone = [put for put in own if put.way is Way.TAKE]
        if gone:  # first, by the places where they stand now; what is put in then finds its list as it is left
            places = {loaded.locate(f"{put.path}.{put.name}[{put.place}]") for put in gone}
            at = {(place.line, place.column) for place in places}
            files = changed_file(files, name, partial(without_entries, places=at))
        fresh = [(_steps_in(loaded, name, put), put) for put in own if put.way is not Way.TAKE]
        files = changed_file(files, name, partial(_with_all, fresh=fresh))
    return files


def _file_of(loaded: Loaded, put: Put) -> str:
    top = (put.path or put.name).partition(".")[0]
    name = top.partition("[")[0]
    there = top if name in loaded.description.values else "program"
    file = loaded.locate(there).file
    return file if file in loaded.description.files else loaded.description.files[0]


def _steps_in(loaded: Loaded, file: str, put: Put) -> _Steps:
    """Return the way to the part in its own file: a list may be spread over files."""
    if not put.owner:
        return ()
    top, *rest = put.owner
    if rest and isinstance(rest[0], int):
        before = (loaded.locate(f"{top}[{i}]").file for i in range(rest[0]))
        return (top, sum(one == file for one in before), *rest[1:])
    return put.owner


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
    if isinstance(put.entry, str) or put.way is Way.WHOLE:
        return [value_span(text, root, way, put.entry)]
    if put.way is Way.ADD:
        return [entry_span(text, root, way, put.group)]
    key, value = next(iter(put.group.items()))
    return [value_span(text, root, [*way, key], str(value))]


# ---- the people's table -------------------------------------------------------------------------------


def _cells(loaded: Loaded, puts: Iterable[Put]) -> Iterable[Cells]:
    people = loaded.program.people if loaded.program else ()
    for put in puts:
        person = people[int(put.owner[1])].id
        if isinstance(put.entry, str):
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
