"""Which column of a sheet is what. Our own headings are read as they are, all others once the user has confirmed them.

A heading that seems to mean one of ours is proposed, with the lines that confirm it; one that looks like a slip or asks
of somebody's health is refused; the rest is left out, and an advice says which, by letter, since even a heading may
tell too much.
"""

from __future__ import annotations

import difflib
from collections.abc import Iterator
from dataclasses import field

from progdoc.core.diagnostics import Diagnostic, Location, Severity
from progdoc.core.late_dataclass import dataclass
from progdoc.core.said import said, said_join, said_number, same
from progdoc.model.people_table.column_map import NOT_USED, ColumnMap, SheetMap, same_heading, to_paste
from progdoc.model.people_table.csv_text import CsvCell
from progdoc.model.people_table.heading_words import asks_of_health, heading, is_of_health, proposed
from progdoc.model.people_table.people_columns import DEVICES, RowKind, columns_of, table_fault
from progdoc.model.people_table.sheet import MOST_COLUMNS, Sheet, SheetRow, letters

__all__ = ["SheetColumns", "columns_in", "likely_line"]

_TITLE_ROWS = 20  # above the headings, in which they are looked for to propose where they stand
_MOST_TOLD = 5  # places of one kind


@dataclass(slots=True)
class SheetColumns:
    """The columns of a sheet by their index from 0, which of them have a heading at all, and the rows below."""

    file: str
    sheet: Sheet
    rows: RowKind
    names: dict[int, str] = field(default_factory=dict)
    headed: frozenset[int] = frozenset()
    body: list[SheetRow] = field(default_factory=list)
    faults: list[Diagnostic] = field(default_factory=list)

    def place(self, cell: CsvCell) -> Location:
        return Location(self.file, cell.line, cell.column, "people")

    def report(self, code: str, place: Location, what: str, fix: str, severity: Severity = Severity.INVALID) -> None:
        self.faults.append(table_fault(code, place, what, fix, severity))


def columns_in(
    sheet: Sheet, file: str, rows: RowKind, mapped: ColumnMap, confirmed: SheetMap | None, has_spare: bool
) -> SheetColumns:
    """Return the columns of a sheet that are read, and all that is wrong with its form.

    Parameters
    ----------
    file
        What findings call the sheet.
    mapped, confirmed
        What the file of columns says of the whole table, and of this sheet if anything.
    has_spare
        Whether columns are knowingly left out.
    """
    found = SheetColumns(file, sheet, rows)
    head_at = _head_at(sheet, confirmed)
    if head_at is None:
        line = confirmed.headings if confirmed else 0
        found.report(
            "CSV-004",
            Location(file, line, 1, "people"),
            said("No headings stand here."),
            said("Known are: %(columns)s.", columns=same(_all(rows))),
        )
        return found
    head, found.body = sheet.rows[head_at], sheet.rows[head_at + 1 :]
    found.headed = frozenset(index for index, cell in enumerate(head) if cell.text and heading(cell.text))
    if len(found.headed) > MOST_COLUMNS:
        what = said(
            "The table has %(n)s columns, which is more than %(most)s.",
            n=said_number(f"{len(found.headed):,}"),
            most=said_number(f"{MOST_COLUMNS:,}"),
        )
        found.report("CSV-003", Location(file, head[0].line, 1, "people"), what, said("Keep only what is read."))
        return found
    _name_columns(found, head, mapped, confirmed, has_spare)
    _tell_what_cells_hide(found, head[0].line)
    return found


def _all(rows: RowKind) -> str:
    return ", ".join(columns_of(rows))


def _head_at(sheet: Sheet, confirmed: SheetMap | None) -> int | None:
    if confirmed is None or not confirmed.headings:
        return 0 if sheet.rows else None
    return next((i for i, row in enumerate(sheet.rows) if row[0].line == confirmed.headings), None)


def _name_columns(
    found: SheetColumns, head: SheetRow, mapped: ColumnMap, confirmed: SheetMap | None, has_spare: bool
) -> None:
    known = columns_of(found.rows)
    columns = dict(confirmed.columns) if confirmed else {}
    spare: list[str] = []
    guessed: list[tuple[CsvCell, str]] = []
    for index, cell in enumerate(head):
        name, letter = heading(cell.text), letters(index)
        told, _ = columns.pop(same_heading(cell.text), ("", None))
        if not name:
            continue
        if found.rows not in DEVICES and (asks_of_health(cell.text) or (told == NOT_USED and is_of_health(cell.text))):
            _refuse_health(found, cell, letter)
        elif told == NOT_USED:
            continue
        elif told or name in known:
            _take(found, index, cell, told or name)
        elif guess := proposed(cell.text, found.rows):
            guessed.append((cell, guess))
        else:
            spare += _unknown(found, cell, name, letter)
    for told, place in columns.values():
        if told != NOT_USED:
            what = said(
                "The column confirmed as %(column)s is not in the sheet under this heading.", column=same(f"`{told}`")
            )
            fix = said("Write the heading as the sheet has it now, or take the line out.")
            found.report("CSV-013", place, what, fix)
    if guessed:
        _propose(found, guessed, mapped, confirmed, head)
    if spare and not has_spare:
        what = said("These columns are not read: %(columns)s.", columns=same(", ".join(spare)))
        fix = said("Write `spare_columns: yes` beside `csv:` if that is as it should be.")
        if found.sheet.is_workbook or confirmed:
            fix = said(
                "If that is as it should be, write %(word)s for each of them in %(file)s.",
                word=same(f"`{NOT_USED}`"),
                file=same(mapped.name),
            )
        found.report("CSV-010", found.place(head[0]), what, fix, Severity.ADVICE)
    if not guessed:
        _ask_for_id(found, head, mapped)


def _take(found: SheetColumns, index: int, cell: CsvCell, name: str) -> None:
    known = columns_of(found.rows)
    if any(known[name] == known[other] for other in found.names.values()):
        what = said("Two columns are headed %(name)s.", name=same(f"`{name}`"))
        found.report("CSV-011", found.place(cell), what, said("Delete one of them."))
    else:
        found.names[index] = name


def _refuse_health(found: SheetColumns, cell: CsvCell, letter: str) -> None:
    allowed = ", ".join(f"`{known}`" for known in columns_of(RowKind.PEOPLE) if known.startswith("medical_"))
    fix = said(
        "Delete the column; the professional keeps such answers. What may stand in the table: %(columns)s.",
        columns=same(allowed),
    )
    what = said("Column %(letter)s seems to hold health answers.", letter=same(letter))
    found.report("CSV-009", found.place(cell), what, fix)


def _unknown(found: SheetColumns, cell: CsvCell, name: str, letter: str) -> Iterator[str]:
    near = difflib.get_close_matches(name, columns_of(found.rows), 1, 0.85)
    if near:
        meant = same(f"`{near[0]}`")
        fix = said("Head it %(name)s, or give it a heading that cannot be mistaken for it.", name=meant)
        what = said("Did you mean %(name)s over column %(letter)s?", name=meant, letter=same(letter))
        found.report("CSV-008", found.place(cell), what, fix)
    elif found.rows not in DEVICES and is_of_health(cell.text):
        _refuse_health(found, cell, letter)
    else:
        yield letter


def _propose(
    found: SheetColumns,
    guessed: list[tuple[CsvCell, str]],
    mapped: ColumnMap,
    confirmed: SheetMap | None,
    head: SheetRow,
) -> None:
    """Ask about all guesses at once, with the lines to confirm them; a column that has its heading is not guessed."""
    pairs: list[tuple[str, str]] = []
    for cell, guess in guessed:
        is_free = guess not in found.names.values() and guess not in (column for _, column in pairs)
        pairs.append((cell.text, guess if is_free else NOT_USED))
    told = said_join(
        (
            said(
                "%(letter)s as %(column)s",
                letter=same(letters(cell.column - 1 if found.sheet.is_workbook else head.index(cell))),
                column=same(f"`{column}`"),
            )
            for (cell, _), (_, column) in zip(guessed, pairs, strict=True)
        ),
        "; ",
    )
    line = to_paste(found.sheet.name, found.rows, 0, pairs)
    if confirmed:
        listed = line.partition("columns: {")[2].removesuffix("}}")
        fix = said(
            "If that is right, add to `columns:` of “%(sheet)s” in %(file)s: %(line)s",
            sheet=found.sheet.name,
            file=same(mapped.name),
            line=same(listed),
        )
    else:
        fix = _to_write(mapped, line)
    left_out = said("(for a column that is to be left out: %(word)s)", word=same(f"`{NOT_USED}`"))
    what = said("Some columns are probably to be read so: %(columns)s.", columns=told)
    found.report("CSV-012", found.place(guessed[0][0]), what, said_join([fix, left_out]))


def _to_write(mapped: ColumnMap, line: str) -> str:
    return said(
        "If that is right, write into %(file)s beside the table, under `sheets:`, %(line)s",
        file=same(mapped.name),
        line=same(line),
    )


def _ask_for_id(found: SheetColumns, head: SheetRow, mapped: ColumnMap) -> None:
    names = set(found.names.values())
    is_event = found.rows in (RowKind.FIT_TESTS, RowKind.TRAINING)
    missing = [name for name in (("id", "mask") if found.rows is RowKind.UNITS else ("id",)) if name not in names]
    if not missing or (is_event and "name" in names):
        return
    place = Location(found.file, head[0].line, 1, "people")
    fix = said("The first row holds the headings. Known are: %(columns)s.", columns=same(_all(found.rows)))
    guess = likely_line(found.sheet)
    if f"headings: {head[0].line}," not in guess and "headings: " in guess:
        fix = said(
            "If the headings stand further down, write into %(file)s beside the table, under `sheets:`, %(line)s",
            file=same(mapped.name),
            line=same(guess),
        )
    what = said("The table has no column headed %(name)s.", name=same(f"`{missing[0]}`"))
    found.report("CSV-004", place, what, fix)


def likely_line(sheet: Sheet) -> str:
    """Return the line of a column file that probably fits a sheet; "" where no row of it looks like headings."""
    guesses = [
        (sum(bool(column) for _, column in pairs), -row[0].line, -order, rows, pairs)
        for row in sheet.rows[:_TITLE_ROWS]
        for order, rows in enumerate(RowKind)
        if len(row) <= MOST_COLUMNS and (pairs := [(cell.text, _meaning(cell.text, rows)) for cell in row if cell.text])
    ]
    if not guesses:
        return ""
    score, line, _, rows, pairs = max(guesses, key=lambda guess: guess[:3])
    if score < 2:
        return ""
    at = -line if -line != sheet.rows[0][0].line else 0
    listed: dict[str, str] = {}
    for text, column in pairs:
        if column and column not in listed.values() and heading(text) != column:
            listed[text] = column
    return to_paste(sheet.name, rows, at, listed.items())


def _meaning(text: str, rows: RowKind) -> str:
    if asks_of_health(text):
        return ""
    name = heading(text)
    return name if name in columns_of(rows) else proposed(text, rows)


def _tell_what_cells_hide(found: SheetColumns, head_line: int) -> None:
    sheet, columns = found.sheet, {index + 1 for index in found.names}
    merged = [
        (row, column, end_row, end_column)
        for row, column, end_row, end_column in sheet.merged
        if end_row >= head_line and (row, column) != (end_row, end_column)
        and any(column <= read <= end_column for read in columns)
    ]  # fmt: skip
    if merged:
        areas = [same(f"{letters(c - 1)}{r}:{letters(ec - 1)}{er}") for r, c, er, ec in merged]
        what = said("Cells are merged: %(cells)s.", cells=_some(areas))
        place = Location(found.file, merged[0][0], merged[0][1], "people")
        found.report("CSV-015", place, what, said("Unmerge them, and write the value into each row that it is of."))
    empty = sorted(place for place in sheet.valueless if place[0] > head_line and place[1] in columns)
    if empty:
        cells = _some([_cell(place) for place in empty])
        what = said("An error or a formula without a value stands in %(cells)s.", cells=cells)
        fix = said(
            "Mend the formula, or open the workbook in the spreadsheet and save it, so that the values are stored."
        )
        found.report("CSV-016", Location(found.file, *empty[0], "people"), what, fix)
    formulas = sorted(place for place in sheet.formulas if place[0] > head_line and place[1] in columns)
    if formulas:
        cells = _some([_cell(place) for place in formulas])
        what = said("Of formulas the stored values were read: %(cells)s.", cells=cells)
        fix = said("Save the workbook after every change, or keep plain values in these cells.")
        found.report("CSV-017", Location(found.file, *formulas[0], "people"), what, fix, Severity.ADVICE)
    rows = [said("row %(n)s", n=row[0].line) for row in found.body if row[0].line in sheet.hidden_rows]
    hidden = [
        said("column %(letter)s", letter=same(letters(one - 1))) for one in sorted(columns & sheet.hidden_columns)
    ]
    hidden += rows
    if hidden:
        what = said("Hidden, and read all the same: %(things)s.", things=_some(hidden))
        fix = said("Show them, and delete what is no longer so.")
        found.report("CSV-018", Location(found.file, head_line, 1, "people"), what, fix, Severity.ADVICE)

    struck = sorted(place for place in sheet.struck if place[0] > head_line and place[1] in columns)
    if struck or sheet.has_notes:
        cells = _some([_cell(place) for place in struck])
        told = [said("Struck out, and read all the same: %(cells)s.", cells=cells)] if struck else []
        told += [said("Its cells have notes, and none of them is read.")] if sheet.has_notes else []
        place = Location(found.file, *(struck[0] if struck else (head_line, 1)), "people")
        fix = said("Delete what is no longer so, and write what a note says into its column.")
        found.report("CSV-021", place, said_join(told), fix, Severity.CAUTION if struck else Severity.ADVICE)


def _cell(place: tuple[int, int]) -> str:
    return same(f"{letters(place[1] - 1)}{place[0]}")


def _some(things: list[str]) -> str:
    more = len(things) - _MOST_TOLD
    told = said_join(things[:_MOST_TOLD], ", ")
    return said("%(things)s and %(n)s more", things=told, n=more) if more > 0 else told
