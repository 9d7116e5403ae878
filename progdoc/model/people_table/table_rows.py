"""Rows of sheets to the tree that entries in YAML would make: people, what happened to them, and single masks."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import field

from progdoc.core.diagnostics import Severity
from progdoc.core.late_dataclass import dataclass
from progdoc.core.said import said, same
from progdoc.model.people_table.cell_values import CellValues
from progdoc.model.people_table.csv_text import CsvCell
from progdoc.model.people_table.people_columns import columns_of
from progdoc.model.people_table.sheet import SheetRow
from progdoc.model.people_table.sheet_columns import SheetColumns
from progdoc.model.yaml.yaml_tree import Node

__all__ = ["People", "cylinders_in", "units_in"]

_SINGLE = ("appendix_d", "cylinder", "withdrawn")  # there is one of these, not a list

Cells = dict[str, tuple[CsvCell, str]]  # a key of a record, its cell and the kind of cell


@dataclass(slots=True)
class _Found:
    """A person, or a single mask, as far as the rows read so far tell."""

    node: Node
    records: dict[tuple[str, ...], int] = field(default_factory=dict)  # what was entered, from which line


@dataclass(slots=True)
class People:
    """The people of a description's tables by their ids."""

    by_id: dict[str, _Found] = field(default_factory=dict)
    ids_by_name: dict[str, set[str]] = field(default_factory=dict)

    @property
    def nodes(self) -> list[Node]:
        return [found.node for found in self.by_id.values()]

    def add_people(self, columns: SheetColumns, values: CellValues) -> None:
        """Take in a sheet of people: a row each, or several with one id."""
        entries = _Entries(columns, values, self.by_id)
        for row in _sound_rows(columns):
            identity = _cell_of(row, columns, "id")
            if not identity.text:
                columns.report(
                    "CSV-005", columns.place(identity), said("This row has no id."), said("Write the person's id.")
                )
                continue
            entries.add(identity.text, row, identity)
        for identity_text, found in self.by_id.items():
            if isinstance(found.node.content, dict) and (name := found.node.content.get("name")):
                self.ids_by_name.setdefault(_same_name(str(name.content)), set()).add(identity_text)

    def add_events(self, columns: SheetColumns, values: CellValues) -> None:
        """Take in a sheet in which each row is one event of somebody, called by id or by name."""
        entries = _Entries(columns, values, self.by_id)
        for row in _sound_rows(columns):
            if not _tells_of_an_event(row, columns):
                continue
            by_id, by_name = _cell_of(row, columns, "id"), _cell_of(row, columns, "name")
            named = self.ids_by_name.get(_same_name(by_name.text), set()) if by_name.text else set()
            if by_id.text in self.by_id and (not by_name.text or by_id.text in named):
                entries.add(by_id.text, row, by_id)
            elif not by_id.text and len(named) == 1:
                entries.add(next(iter(named)), row, by_name)
            else:
                what, cell = said("Nobody in the table of people has this id."), by_id
                if by_id.text in self.by_id:
                    what, cell = said("This id and this name are of two people."), by_name
                elif not by_id.text and by_name.text:
                    nobody = said("Nobody in the table of people has this name.")
                    what, cell = said("Several people have this name.") if named else nobody, by_name
                elif not by_id.text:
                    what = said("This row names nobody.")
                fix = said("Write the person's id, as in the table of people.")
                if near := self._of_the_same_words(by_name.text) if cell is by_name and not named else "":
                    fix = said(
                        "Did you mean %(id)s? Write the id, or the name as in the table of people.",
                        id=same(f"`{near}`"),
                    )
                columns.report("CSV-020", columns.place(cell), what, fix)

    def _of_the_same_words(self, name: str) -> str:
        """Return whose name has the same words in another order (“Marsh, Jo”), if it is one person's."""
        words = sorted(_same_name(name.replace(",", " ")).split())
        ids = [one for known, whose in self.ids_by_name.items() if sorted(known.split()) == words for one in whose]
        return ids[0] if len(ids) == 1 else ""


def units_in(columns: SheetColumns, values: CellValues, masks: dict[str, Node]) -> None:
    """Enter single masks into the masks of the description that are known by their ids."""
    by_id: dict[str, _Found] = {}
    entries = _Entries(columns, values, by_id)
    mask_of: dict[str, str] = {}
    for row in _sound_rows(columns):
        identity, mask = _cell_of(row, columns, "id"), _cell_of(row, columns, "mask")
        if not identity.text:
            columns.report(
                "CSV-005",
                columns.place(identity),
                said("This row has no id."),
                said("Write the id of the single mask."),
            )
        elif mask.text not in masks:
            fix = said("Write the id of one that is described: %(masks)s.", masks=same(", ".join(masks)))
            columns.report("CSV-020", columns.place(mask), said("No mask has this id."), fix)
        else:
            mask_of[identity.text] = mask.text
            entries.add(identity.text, row, identity)
    for identity_text, found in by_id.items():
        mask_node, unit = masks[mask_of[identity_text]].content, found.node.content
        if isinstance(mask_node, dict) and isinstance(unit, dict):
            unit.pop("mask", None)
            listed = mask_node.get("units")
            if listed is None or not isinstance(listed.content, list):
                node = found.node
                listed = mask_node["units"] = Node([], node.line, node.column, node.line, node.column, node.file)
            if isinstance(listed.content, list):
                listed.content.append(found.node)


def cylinders_in(columns: SheetColumns, values: CellValues) -> list[Node]:
    """Return the cylinders in reserve of a sheet."""
    by_id: dict[str, _Found] = {}
    entries = _Entries(columns, values, by_id)
    for row in _sound_rows(columns):
        identity = _cell_of(row, columns, "id")
        if identity.text:
            entries.add(identity.text, row, identity)
        else:
            columns.report(
                "CSV-005", columns.place(identity), said("This row has no id."), said("Write the id of the cylinder.")
            )
    return [found.node for found in by_id.values()]


def _tells_of_an_event(row: SheetRow, columns: SheetColumns) -> bool:
    """Whether more stands in a row than who it is about and which mask: a list made beforehand has such rows."""
    known = columns_of(columns.rows)
    told = {known[name][1] for index, name in columns.names.items() if index < len(row) and row[index].text}
    return bool(told - {"id", "name", "mask", "size"})


def _same_name(name: str) -> str:
    return " ".join(name.split()).casefold()


def _cell_of(row: SheetRow, columns: SheetColumns, name: str) -> CsvCell:
    at = next((index for index, column in columns.names.items() if column == name), -1)
    return row[at] if 0 <= at < len(row) else CsvCell("", row[0].line, 1)


def _sound_rows(columns: SheetColumns) -> Iterator[SheetRow]:
    """Yield the rows that can be read; a cell under no heading may be anything."""
    for row in columns.body:
        if over := next((cell for index, cell in enumerate(row) if cell.text and index not in columns.headed), None):
            what = said("A cell of this row stands under no heading.")
            fix = said(
                "Give its column a heading, or empty it; a cell that holds the sign between cells stands in quotes."
            )
            columns.report("CSV-003", columns.place(over), what, fix)
        elif any(index < len(row) and row[index].text for index in columns.names):
            yield row


@dataclass(slots=True)
class _Entries:
    """The entering of one sheet's rows."""

    columns: SheetColumns
    values: CellValues
    by_id: dict[str, _Found]
    whole_rows: dict[tuple[str, ...], int] = field(default_factory=dict)

    def add(self, identity: str, row: SheetRow, cell: CsvCell) -> None:
        told = tuple(row[index].text if index < len(row) else "" for index in self.columns.names)
        before = self.whole_rows.setdefault(told, row[0].line)
        if before != row[0].line:
            what = said("This row says again what line %(line)s says.", line=before)
            fix = said("Delete one of them, or correct it.")
            self.columns.report("CSV-019", self.columns.place(cell), what, fix, Severity.ADVICE)
        found = self.by_id.setdefault(identity, _Found(self.values.at({}, cell)))
        for group, cells in self._groups(row).items():
            if group:
                self._add_record(found, group, cells)
            elif self.columns.rows not in ("fit-tests", "training"):  # there id and name only say whose it is
                self._add_facts(found, cells)

    def _groups(self, row: SheetRow) -> dict[str, Cells]:
        """Return a row's filled cells by the record they belong to; a fit test takes mask and size from its row."""
        groups: dict[str, Cells] = {}
        known = columns_of(self.columns.rows)
        for index, name in self.columns.names.items():
            if index < len(row) and row[index].text:
                group, key, kind = known[name]
                groups.setdefault(group, {})[key] = (row[index], kind)
        worn, test = groups.get("masks", {}), groups.get("fit_tests", {})
        if test and "mask" in worn:
            test.setdefault("mask", worn["mask"])
            if "size" in worn and test["mask"][0].text == worn["mask"][0].text:
                test.setdefault("size", worn["size"])
        return groups

    def _add_facts(self, found: _Found, cells: Cells) -> None:
        facts = found.node.content
        for key, (cell, kind) in cells.items():
            node = self.values.node(cell, kind)
            known = facts.setdefault(key, node) if isinstance(facts, dict) else None
            if known is not None and known.content != node.content:
                what = said(
                    "%(key)s is given here and in line %(line)s for one id, and differently.",
                    key=same(f"`{key}`"),
                    line=known.line,
                )
                fix = said("Correct one row, or give the second person an own id.")
                self.columns.report("CSV-007", self.columns.place(cell), what, fix)

    def _add_record(self, found: _Found, group: str, cells: Cells) -> None:
        """Add a record once; tables often repeat a person's test or training in every row of theirs."""
        nodes = {key: self.values.node(cell, kind) for key, (cell, kind) in cells.items()}
        mark = (group, *(f"{key}={cell.text}" for key, (cell, _) in sorted(cells.items())))
        owner = found.node.content
        if mark in found.records or not isinstance(owner, dict):
            return
        found.records[mark] = next(iter(cells.values()))[0].line
        first = next(iter(cells.values()))[0]
        record = self.values.at(nodes, first)
        if group in _SINGLE:
            owner[group] = record
            return
        records = owner.setdefault(group, self.values.at([], first)).content
        if isinstance(records, list):
            records.append(record)
