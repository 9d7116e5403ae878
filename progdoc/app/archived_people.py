"""Moves people who left out of the daily files, into `former_people`, with all their records and as they were typed."""

from __future__ import annotations

from collections.abc import Collection
from functools import partial
from typing import Any

from progdoc.app.renewed_files import Files, changed_file
from progdoc.model.load import Loaded
from progdoc.model.people_table.csv_removal import spare_cells, without_people
from progdoc.model.people_table.former_people import FORMER
from progdoc.model.yaml.yaml_moves import entry_texts, with_entry_texts
from progdoc.model.yaml.yaml_reader import is_description
from progdoc.model.yaml.yaml_removal import without_entries
from progdoc.model.yaml.yaml_splice import written

__all__ = ["with_archived"]

_FILE = "former_people.yaml"
_HEAD = "# People who left, with their records; read with the rest of the description.\n"


def with_archived(files: Files, loaded: Loaded, ids: Collection[str], may_begin_file: bool) -> Files:
    """Return the files with people moved into the list of those who left.

    Parameters
    ----------
    files, loaded
        A description that was understood, and what was read of exactly these files.
    may_begin_file
        Whether the description is a folder, in which a file for them may be begun.

    Raises
    ------
    KeyError
        If a list is not written in a form from which single entries can be taken.
    """
    moved: list[list[str]] = []
    plain = loaded.description.values.get("people")
    people: list[Any] = plain if isinstance(plain, list) else []
    first, former = 0, loaded.description.parts.get(FORMER, [])
    for name, node in loaded.description.parts.get("people", []):
        length = len(node.content) if isinstance(node.content, list) else 0
        gone = [i for i in range(length) if people[first + i]["id"] in ids]
        if gone and not any(one is node for _, one in former):
            if is_description(name):
                moved += entry_texts(files[name].decode("utf-8-sig"), "people", gone)
                places = {loaded.locate(f"people[{first + i}]") for i in gone}
                at = {(place.line, place.column) for place in places}
                files = changed_file(files, name, partial(without_entries, places=at))
            else:
                moved += [_as_yaml(people[first + i], files[name]) for i in gone]
                files = {**files, name: without_people(files[name], [people[first + i]["id"] for i in gone])}
        first += length
    if not moved:
        return files
    described = [name for name in loaded.description.files if is_description(name)]
    home = former[0][0] if former else _FILE if may_begin_file else described[0]
    if home not in files:
        files = {**files, home: _HEAD.encode()}
    return changed_file(files, home, lambda text: with_entry_texts(text, FORMER, moved))


def _as_yaml(person: dict[str, Any], table: bytes) -> list[str]:
    """Return somebody who stood in a table as lines of YAML, a record a line; what was not read becomes a comment."""
    lines: list[str] = []
    for key, value in person.items():
        if isinstance(value, list) and any(isinstance(one, dict) for one in value):
            lines += [f"{key}:", *(f"  - {written(one)}" for one in value)]
        else:
            lines.append(f"{key}: {written(value)}")
    lines += [f"# {name}: {text}" for name, text in spare_cells(table, person["id"])]
    return [("  " if number else "- ") + line for number, line in enumerate(lines)]
