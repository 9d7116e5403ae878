"""What may be typed at a place because a table of the law lists it: the rows of a table, and what a row needs.

A description names a row or a control in a word of ours. A form shows what the word stands for, and nothing yet of
what depends on a row while none is chosen.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from progdoc.core.said import said_join, same
from progdoc.rules.lookup.law_tables import SilicaRow, lead_tasks, silica_controls, silica_rows

__all__ = ["table_choices"]

Choices = tuple[tuple[str, str], ...]  # (what is typed, what it stands for)


def table_choices(place: str, evidence: Mapping[str, Any]) -> Choices | None:
    """Return what may be typed in a field of the evidence for a level; None where no table of the law lists it.

    >>> choices = table_choices("row", {"kind": "silica-table-1"})
    >>> choices[12]
    ('xiii', 'xiii: Walk-behind milling machines and floor grinders')
    >>> table_choices("controls_in_place", {"kind": "silica-table-1"})
    ()
    """
    listed = _LISTED.get((str(evidence.get("kind", "")), place))
    return listed(evidence) if listed else None


def _rows(evidence: Mapping[str, Any]) -> Choices:
    return tuple({row.row: (row.row, said_join([same(row.row), row.task], ": ")) for row in silica_rows()}.values())


def _of_row(evidence: Mapping[str, Any]) -> list[SilicaRow]:
    return [
        row
        for row in silica_rows()
        if (row.row, row.place) == (str(evidence.get("row", "")).lower().strip("() "), evidence.get("place"))
    ]


def _options(evidence: Mapping[str, Any]) -> Choices:
    """Return the options of a row that has more than one."""
    rows = [row for row in _of_row(evidence) if row.option_name]
    return tuple((str(row.option), row.option_name) for row in rows)


def _controls(evidence: Mapping[str, Any]) -> Choices:
    """Return what has to be in place for a row, of each of its options while none is chosen."""
    option = str(evidence.get("option") or "")
    rows = [row for row in _of_row(evidence) if option in ("", str(row.option))]
    needed = dict.fromkeys(name for row in rows for name in (*row.controls, *row.general_controls))
    return tuple((name, silica_controls()[name].text) for name in needed)


def _lead_tasks(evidence: Mapping[str, Any]) -> Choices:
    group = evidence.get("group") or ""
    return tuple(
        {
            one.task: (str(one.task), said_join([one.task, same(one.group)], ", "))
            for one in lead_tasks()
            if group in ("", one.group)
        }.values()
    )


_LISTED: dict[tuple[str, str], Callable[[Mapping[str, Any]], Choices]] = {
    ("silica-table-1", "row"): _rows,
    ("silica-table-1", "option"): _options,
    ("silica-table-1", "controls_in_place"): _controls,
    ("lead-task", "task"): _lead_tasks,
}
