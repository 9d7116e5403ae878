"""Workbooks in, the same people as from YAML out: what real ones hold beside the cells is told, and nothing is guessed.

The workbooks are made by openpyxl, another's writer of ECMA-376; how a spreadsheet counts days is from there too.
"""

from __future__ import annotations

import io
from collections.abc import Callable, Iterable, Iterator, Mapping
from datetime import date, datetime, timedelta
from itertools import product
from zipfile import ZIP_BZIP2, ZIP_DEFLATED, ZipFile

import openpyxl
import pytest
from examples import examples
from hypothesis import given
from hypothesis import strategies as st
from openpyxl.comments import Comment
from openpyxl.styles import Font
from openpyxl.utils.datetime import CALENDAR_MAC_1904, CALENDAR_WINDOWS_1900, from_excel, to_excel
from published_value import published

from progdoc.core.diagnostics import Audience, Severity
from progdoc.model import named_in_tables
from progdoc.model.load import Loaded, load
from progdoc.model.named_workers import workers_named
from progdoc.model.people_table import workbook, workbook_parts
from progdoc.model.people_table.csv_text import TableError
from progdoc.model.people_table.heading_words import _MEANS, asks_of_health, is_of_health, proposed
from progdoc.model.people_table.people_columns import RowKind, columns_of
from progdoc.model.people_table.sheet import MOST_CELLS, MOST_COLUMNS
from progdoc.model.people_table.workbook import day_of_serial, sheets_of_workbook
from progdoc.model.people_table.xml_events import DamagedPartError, Event, events_of

MASKS = "masks:\n  - {id: half-mask, sizes: [S, M]}\n  - {id: scba, sizes: [M]}\n"
Rows = list[list[object]]
PEOPLE: Rows = [["id", "name", "mask", "size"], ["jo-marsh", "Jo Marsh", "half-mask", "M"]]


def saved(sheets: Mapping[str, Rows], change: Callable[[openpyxl.Workbook], object] = lambda _: None) -> bytes:
    book = openpyxl.Workbook()
    book.remove(book.active)
    for name, rows in sheets.items():
        sheet = book.create_sheet(name)
        for row in rows:
            sheet.append(row)
    change(book)
    stream = io.BytesIO()
    book.save(stream)
    return stream.getvalue()


def read(book: bytes, columns: str = "", people: str = "people.xlsx", **more: bytes) -> Loaded:
    files = {"p.yaml": f"format: 1\npeople: {people}\n{MASKS}".encode(), "people.xlsx": book}
    files |= {name.replace("__", "-").replace("_", "."): content for name, content in more.items()}
    return load({**files, **({"people.columns.yaml": columns.encode()} if columns else {})}, "p")


def codes(found: Loaded) -> list[str]:
    return [fault.code for fault in found.diagnostics]


def told(found: Loaded, code: str) -> str:
    return next(f"{fault.what} {fault.fix}" for fault in found.diagnostics if fault.code == code)


# ---- one sheet, as it is ------------------------------------------------------------------------------


def test_our_own_headings_are_read_without_further_ado() -> None:
    head = ["ID", "Name", "Fit test date", "Fit result", "training date", "lens kit", "fit factor", None, None]
    row = ["007", " Jo Marsh\u00a0", date(2026, 2, 17), "Pass", datetime(2026, 2, 17, 8, 30), True, 1240.0, None, None]
    found = read(saved({"Tabelle1": [head, row, [None] * 12, []]}))
    assert found.program is None and codes(found) == ["MODEL-002"]  # a fit test without a mask: as in any other table
    assert str(found.diagnostics[0].location).startswith("people.xlsx:2:3")
    head[2:2], row[2:2] = ["fit mask"], ["half-mask"]
    found = read(saved({"Tabelle1": [head, row]}))
    assert found.diagnostics == () and found.program is not None
    (jo,) = found.program.people
    assert (jo.id, jo.name, jo.lens_kit) == ("007", "Jo Marsh", True)
    assert (jo.fit_tests[0].date, jo.training[0].date) == (date(2026, 2, 17), date(2026, 2, 17))
    assert jo.fit_tests[0].fit_factor == 1240


def test_a_number_shown_with_zeros_before_it_keeps_them() -> None:
    def shown(book: openpyxl.Workbook) -> None:
        book["A"]["A2"].number_format = "0000"

    found = read(saved({"A": [["id", "name"], [42, "Jo"]]}, shown))
    assert found.program is not None and found.program.people[0].id == "0042"


@published("openpyxl.utils.datetime, another's reading of how spreadsheets count days")
@given(st.integers(1, 60_000), st.booleans())
def test_days_are_counted_as_others_count_them(number: int, is_1904: bool) -> None:
    theirs = from_excel(number, CALENDAR_MAC_1904 if is_1904 else CALENDAR_WINDOWS_1900)
    wanted = theirs.date() if isinstance(theirs, datetime) else theirs
    assert day_of_serial(number, is_1904) == (None if number == 60 and not is_1904 else wanted)
    day = date(1970, 1, 1) + timedelta(days=number // 2)
    assert day_of_serial(to_excel(day)) == day


def test_a_workbook_that_counts_from_1904_gives_the_same_days() -> None:
    def old(book: openpyxl.Workbook) -> None:
        book.epoch = CALENDAR_MAC_1904

    found = read(saved({"A": [["id", "training date"], ["jo", date(2026, 2, 17)]]}, old))
    assert found.program is not None and found.program.people[0].training[0].date == date(2026, 2, 17)


# ---- what is confirmed in the file beside it -----------------------------------------------------------

KEPT: dict[str, Rows] = {
    "Staff": [
        ["Respirator roster"],
        [],
        ["Emp #", "Employee", "Respirator", "Mask size", "Locker"],
        ["jo-marsh", "Jo Marsh", "half-mask", "M", 12],
        ["ravi-stone", "Ravi Stone", "half-mask", "S", None],
    ],
    "Fit tests": [
        ["Name", "Date", "Mask", "Size", "Tested by", "Result"],
        ["jo  MARSH", "2/17/26", "half-mask", "M", "Ada Brook", "Pass"],
        ["Ravi Stone", 46071, "half-mask", "S", "Ada Brook", "Pass"],
    ],
    "Training": [["id", "date", "topics"], ["ravi-stone", "18-Feb-2026", "all"]],
    "Units": [["mask", "id", "place", "Hydro date"], ["scba", "scba-1", "Van", date(2024, 5, 1)]],
    "Old": [["whoever", "left"], ["x", "y"]],
}
COLUMNS = """\
dates: m/d/y
serial_dates: 1900
sheets:
  Staff: {rows: people, headings: 3, columns: {"Emp #": id, Employee: name, Respirator: mask, "mask  SIZE": size,
          Locker: not used}}
  Fit tests: {rows: fit-tests, columns: {Tested by: fit_tester}}
  Units: {rows: units, columns: {"Hydro date": cylinder_requalified}}
  Old: not used
"""


def test_a_kept_workbook_is_read_once_its_columns_are_confirmed() -> None:
    book = saved({**KEPT, "Units": [KEPT["Units"][0] + ["cylinder id"], KEPT["Units"][1] + ["c1"]]})
    found = read(book, COLUMNS)
    assert found.diagnostics == () and found.program is not None
    jo, ravi = found.program.people
    assert (jo.id, jo.masks[0].size, ravi.name) == ("jo-marsh", "M", "Ravi Stone")
    assert (jo.fit_tests[0].date, jo.fit_tests[0].tester) == (date(2026, 2, 17), "Ada Brook")
    assert (ravi.fit_tests[0].date, ravi.training[0].date) == (date(2026, 2, 18), date(2026, 2, 18))
    (unit,) = found.program.masks[1].units
    assert (unit.place, unit.cylinder and unit.cylinder.requalified) == ("Van", date(2024, 5, 1))
    assert str(found.locate("people[1].fit_tests[0].date")).startswith("people.xlsx#Fit tests:3:2")
    assert str(found.locate("masks[1].units[0].place")).startswith("people.xlsx#Units:2:3")
    assert found.description.files == ("p.yaml", "people.xlsx", "people.columns.yaml")


def test_without_it_every_guess_is_only_proposed_and_what_is_proposed_can_be_pasted() -> None:
    """What the findings say to write makes the workbook understood, whatever is guessed; until then nothing is read."""
    book = saved({name: rows for name, rows in KEPT.items() if name != "Units"})
    columns, seen = "dates: m/d/y\nserial_dates: 1900\nsheets:\n", []
    for _ in range(4):
        found = read(book, columns if "rows" in columns else "")
        if found.program is not None:
            break
        seen += codes(found)
        for fault in found.diagnostics:
            if fault.code in ("CSV-012", "CSV-014"):
                line = fault.fix.partition("under `sheets:`, ")[2].partition("perhaps ")
                line_ = (line[2] or line[0]).partition("; or, ")[0].partition(" (for")[0]
                columns += "  " + ('"Old": not used' if "Old" in line_ else line_) + "\n"
    assert {"CSV-012", "CSV-014"} <= set(seen)
    assert found.program is not None, [f"{fault.location} {fault.what} {fault.fix}" for fault in found.diagnostics]
    assert [person.fit_tests[0].tester for person in found.program.people] == ["Ada Brook", "Ada Brook"]
    assert codes(found) == ["CSV-010"] and "E" in told(found, "CSV-010") and "Locker" not in told(found, "CSV-010")


@pytest.mark.parametrize(
    ("columns", "said"),
    [
        (COLUMNS.replace("Locker:", "Lockers:"), ""),
        (COLUMNS.replace("Locker: not used", "Shoes: job"), "`job` is not in the sheet"),
        (COLUMNS.replace("cylinder_requalified", "cylinder"), "No column is called so"),
        (COLUMNS.replace("m/d/y", "usual"), "`dates:` is not understood"),
        (COLUMNS.replace("rows: units", "rows: things"), "`rows:` is not understood"),
        (COLUMNS.replace("Old: not used", "Olde: not used"), "not in the table"),
        (COLUMNS.replace("serial_dates", "serials"), "not understood here"),
    ],
)
def test_a_column_file_that_does_not_fit_is_refused_with_its_place(columns: str, said: str) -> None:
    found = read(saved(KEPT), columns)
    if said:
        assert found.program is None
        assert said in told(found, "CSV-013")
        assert any(f.location.file == "people.columns.yaml" for f in found.diagnostics if f.code == "CSV-013")
    assert not any(fault.severity is Severity.INVALID and not fault.fix for fault in found.diagnostics)


def test_events_of_nobody_or_of_several_are_refused() -> None:
    people: Rows = [["id", "name"], ["a", "Jo Marsh"], ["b", "Jo Marsh"], ["c", "Ravi Stone"]]
    rows: Rows = [["id", "name", "date"], [None, "Jo Marsh", date(2026, 1, 2)], ["d", None, date(2026, 1, 2)]]
    rows += [["a", "Ravi Stone", date(2026, 1, 2)], [None, None, date(2026, 1, 2)], ["c", None, date(2026, 1, 2)]]
    found = read(saved({"people": people, "training": rows}))
    assert codes(found) == ["CSV-020"] * 4
    assert [fault.location.line for fault in found.diagnostics] == [2, 3, 4, 5]
    assert all(fault.audience is Audience.RESTRICTED for fault in found.diagnostics)


def test_a_name_turned_round_is_asked_about_and_many_rows_of_one_fault_are_counted() -> None:
    rows: Rows = [["name", "date"], *([["Marsh, Jo", date(2026, 1, 2)]] * 1), *([["x", date(2026, 1, 2)]] * 300)]
    for number, row in enumerate(rows[2:]):
        row[0] = f"Nobody {number}"
    found = read(saved({"people": PEOPLE, "training": [list(row) for row in rows]}))
    assert "`jo-marsh`" in found.diagnostics[0].fix
    assert codes(found) == ["CSV-020"] * 51 and found.diagnostics[-1].what.startswith("251 more rows")


def test_the_name_of_a_table_alone_says_where_people_are() -> None:
    table = b"id,name\njo-marsh,Jo Marsh\n"
    assert read(b"", people="people.csv", people_csv=table).diagnostics == ()
    assert codes(read(b"", people="nobody")) == ["MODEL-004"]
    assert codes(read(b"", people="../people.xlsx")) == ["CSV-002"]
    assert codes(read(saved({"A": PEOPLE}), people="{xlsx: people.xlsx, csv: people.csv}")) == ["CSV-001"]
    assert codes(read(saved({"A": PEOPLE}), people="{xlsx: people.xlsx, also: [gone.csv]}")) == ["CSV-002"]


def test_further_files_hold_events_too() -> None:
    tests = b"id;date;mask;size;result\njo-marsh;2/17/2026;half-mask;M;pass\n"
    found = read(
        saved({"A": PEOPLE}),
        people="{xlsx: people.xlsx, also: [fit-tests.csv], dates: month-first}",
        fit__tests_csv=tests,
    )
    assert found.diagnostics == () and found.program is not None
    assert found.program.people[0].fit_tests[0].date == date(2026, 2, 17)
    assert str(found.locate("people[0].fit_tests[0].date")).startswith("fit-tests.csv:2:10")


def test_a_number_in_a_column_of_days_is_asked_about() -> None:
    found = read(saved({"A": [["id", "training date"], ["jo", 46070], ["ravi", "17.2.2026"]]}))
    assert found.program is None
    fixes = [fault.fix for fault in found.diagnostics if fault.code == "CSV-006"]
    assert any("serial_dates: 1900" in fix for fix in fixes) and any("dates: m/d/y" in fix for fix in fixes)


# ---- what bare cells do not show -----------------------------------------------------------------------


def test_what_is_hidden_merged_or_computed_is_told() -> None:
    def change(book: openpyxl.Workbook) -> None:
        sheet = book["A"]
        sheet.row_dimensions[3].hidden = True
        sheet.column_dimensions["B"].hidden = True
        sheet.merge_cells("B4:B5")
        sheet["C2"] = "=1/0"

    rows: Rows = [["id", "name", "job"], ["a", "A", "x"], ["b", "B", "y"], ["c", "C", "z"], ["d", None, "z"]]
    found = read(saved({"A": rows}, change))
    assert set(codes(found)) == {"CSV-015", "CSV-016", "CSV-018"}
    assert "B4:B5" in told(found, "CSV-015")
    assert "C2" in told(found, "CSV-016")
    assert "column B, row 3" in told(found, "CSV-018")


def test_what_is_struck_out_or_noted_beside_a_cell_is_told() -> None:
    def change(book: openpyxl.Workbook) -> None:
        book["A"]["B3"].font = Font(strike=True)
        book["A"]["B2"].font = Font(bold=True)

    def noted(book: openpyxl.Workbook) -> None:
        book["A"]["B3"].comment = Comment("annulled", "Ada Brook")

    rows: Rows = [["id", "name"], ["a", "A"], ["b", "B"]]
    assert codes(read(saved({"A": rows}))) == []
    struck, notes = read(saved({"A": rows}, change)), read(saved({"A": rows}, noted))
    assert "Struck out, and read all the same: B3." in told(struck, "CSV-021")
    assert "notes" in told(notes, "CSV-021")
    assert [one.severity for one in (*struck.diagnostics, *notes.diagnostics)] == [Severity.CAUTION, Severity.ADVICE]


def test_a_formula_gives_its_stored_value_and_an_error_none() -> None:
    book = saved({"A": [["id", "name", "job"], ["a", "v1", "v2"]]})
    sheet = _part(book, "xl/worksheets/sheet1.xml")
    cells = b'<c r="B2" t="str"><f>CHAR(74)&amp;"o"</f><v>Jo</v></c><c r="C2" t="e"><f>NA()</f><v>#N/A</v></c></row>'
    sheet = sheet[: sheet.index(b'<c r="B2"')] + cells + sheet[sheet.rindex(b"</row>") + 6 :]
    found = read(_with_part(book, "xl/worksheets/sheet1.xml", sheet))
    assert codes(found) == ["CSV-016", "CSV-017"]
    assert "C2" in told(found, "CSV-016") and "B2" in told(found, "CSV-017")
    sound = _with_part(book, "xl/worksheets/sheet1.xml", sheet.replace(b't="e"', b't="str"'))
    read_again = read(sound).program
    assert read_again is not None and read_again.people[0].name == "Jo"


def test_a_row_that_stands_twice_is_told_and_counts_once() -> None:
    found = read(saved({"A": [*PEOPLE, PEOPLE[1]]}))
    assert codes(found) == ["CSV-019"] and "line 2" in told(found, "CSV-019")
    assert found.program is not None and len(found.program.people[0].masks) == 1


# ---- health --------------------------------------------------------------------------------------------

SECRET = "qzx wheezes at night"


HEALTH_HEADINGS = ("Symptoms", "Diagnosis (2025)", "Medication", "Questionnaire\nanswers", "Asthma?", "Smoker")


@pytest.mark.parametrize("said", ["", "name", "not used"])
def test_health_is_refused_whatever_the_column_file_says_and_never_repeated(said: str) -> None:
    """Every heading that asks of health, with its place; neither it nor what stands below is repeated."""
    strays = []
    for rows, heading in product(("people", "fit-tests", "training"), HEALTH_HEADINGS):
        head, below = {
            "people": (["id", "job"], ["jo-marsh", "Joiner"]),
            "fit-tests": (["id", "date", "mask"], ["jo-marsh", date(2026, 1, 2), "half-mask"]),
            "training": (["id", "date"], ["jo-marsh", date(2026, 1, 2)]),
        }[rows]
        sheets: dict[str, Rows] = {"people": [*PEOPLE], rows: [[*head, heading], [*below, SECRET]]}
        columns = f'{{"{" ".join(heading.split())}": {said}}}'
        found = read(saved(sheets), f'sheets: {{"{rows}": {{rows: {rows}, columns: {columns}}}}}' if said else "")
        words = " ".join(f"{fault.what} {fault.fix} {fault.why}" for fault in found.diagnostics)
        at = [(fault.code, fault.location.line, fault.location.column) for fault in found.diagnostics]
        if at != [("CSV-009", 1, len(head) + 1)] or SECRET in words or heading.split()[0] in words:
            strays.append((rows, heading, at))
    assert strays == []


def test_no_column_of_ours_asks_of_health_and_no_proposal_leads_nowhere() -> None:
    for rows in RowKind:
        assert [name for name in columns_of(rows) if asks_of_health(name)] == []
        strays = {word: column for word, column in _MEANS[rows].items() if column not in columns_of(rows)}
        assert strays == {}
        assert [word for word in _MEANS[rows] if asks_of_health(word)] == []
    assert is_of_health("Medical remarks") and not proposed("Medical remarks", RowKind.PEOPLE)


# ---- archives made to hurt -----------------------------------------------------------------------------


def _part(book: bytes, name: str) -> bytes:
    with ZipFile(io.BytesIO(book)) as archive:
        return archive.read(name)


def _with_part(book: bytes, name: str, content: bytes, packing: int = ZIP_DEFLATED) -> bytes:
    stream = io.BytesIO()
    with ZipFile(io.BytesIO(book)) as archive, ZipFile(stream, "w", packing) as other:
        for entry in archive.namelist():
            other.writestr(entry, content if entry == name else archive.read(entry))
    return stream.getvalue()


SOUND = saved({"A": PEOPLE})
SHEET = "xl/worksheets/sheet1.xml"
_START = b'<worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><sheetData>'


def _bombs() -> dict[str, bytes]:
    entities = b'<!DOCTYPE w [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;&a;&a;&a;">]><w>&b;</w>'
    outside = b'<!DOCTYPE w [<!ENTITY a SYSTEM "file:///etc/hostname">]><w>&a;</w>'
    wide = b'<row r="%d"><c r="ALL%d" t="inlineStr"><is><t>x</t></is></c></row>'
    sparse = b"".join(wide % (n, n) for n in range(1, MOST_CELLS // MOST_COLUMNS + 2))
    far = b'<row r="1"><c r="XFD1" t="inlineStr"><is><t>x</t></is></c></row>'
    end = b"</sheetData></worksheet>"
    return {
        "entities": _with_part(SOUND, SHEET, entities),
        "entities elsewhere": _with_part(SOUND, "xl/styles.xml", entities),
        "outside": _with_part(SOUND, "xl/workbook.xml", outside),
        "sparse": _with_part(SOUND, SHEET, _START + sparse + end),
        "far": _with_part(SOUND, SHEET, _START + far + end),
        "backwards": _with_part(SOUND, SHEET, _START + b'<row r="5"/><row r="4"/>' + end),
        "other packing": _with_part(SOUND, "nothing", b"", ZIP_BZIP2),
        "no zip": b"PK\x03\x04" + b"x" * 100,
        "old form": b"\xd0\xcf\x11\xe0" + bytes(600),
        "empty": b"",
    }


def test_what_is_made_to_hurt_is_refused_before_it_does(monkeypatch: pytest.MonkeyPatch) -> None:
    assert len(sheets_of_workbook(SOUND)) == 1
    not_refused = []
    for name, data in _bombs().items():
        found = read(data)
        if not (found.program is None and "CSV-003" in codes(found)):
            not_refused.append(name)
    assert not_refused == []
    with pytest.raises(DamagedPartError, match="document type"):
        list(events_of([b"<!DOCTYPE w><w/>"]))
    monkeypatch.setattr(workbook, "MOST_UNPACKED", 100_000)  # the size of the archive tells nothing of what is in it
    bomb = _with_part(SOUND, SHEET, _START + b" " * 200_000 + b"</sheetData></worksheet>")
    assert len(bomb) < 20_000
    with pytest.raises(TableError, match="unpacks to over 100,000 bytes"):
        sheets_of_workbook(bomb)


def test_a_workbook_too_large_is_refused_before_its_cells_are_read(monkeypatch: pytest.MonkeyPatch) -> None:
    """By counting what is parsed: of 3,000 cells none for the refusal, and the first few for whom they may name."""
    events = 0

    def counted(chunks: Iterable[bytes]) -> Iterator[Event]:
        nonlocal events
        for event in events_of(chunks):
            events += 1
            yield event

    cell = b'<c r="%s%d" t="inlineStr"><is><t>%s</t></is></c>'
    pairs = b"".join(
        b'<row r="%d">' % n + cell % (b"A", n, b"p-%d" % n) + cell % (b"B", n, b"Nia Holt %d" % n) + b"</row>"
        for n in range(1, 1_501)
    )
    book = _with_part(SOUND, SHEET, _START + pairs + b"</sheetData></worksheet>")
    monkeypatch.setattr(workbook_parts, "events_of", counted)
    monkeypatch.setattr(named_in_tables, "_MOST_TEXTS", 50)
    for bound, value, said in (
        ("MOST_CELLS", 2_000, "The workbook has over 2,000 cells."),
        ("MOST_UNPACKED", 100_000, "The workbook unpacks to over 100,000 bytes."),
    ):
        with monkeypatch.context() as patch:
            patch.setattr(workbook, bound, value)
            patch.setattr(workbook_parts, bound, value)
            events = 0
            found = read(book)
            assert (found.program, told(found, "CSV-003")[: len(said)]) == (None, said)
            assert events < 100
            named = workers_named(found.description, found.files)
            assert "niaholt7" in named  # the YAML may name her too, where a message repeats it
            assert events < 2_000
    assert read(saved({"A": PEOPLE})).program is not None


def test_a_workbook_of_any_legal_shape_is_refused_as_early(monkeypatch: pytest.MonkeyPatch) -> None:
    """By counting what is parsed: tags with a prefix or attributes, UTF-16, what is empty, tags without end."""
    events = fed = 0

    def counted(chunks: Iterable[bytes]) -> Iterator[Event]:
        nonlocal events
        for event in events_of(chunks):
            events += 1
            yield event

    rows = "".join(f'<row r="{n}"><c r="A{n}"><v>1</v></c></row>' for n in range(1, 1_601))
    plain = f"{_START.decode()}{rows}</sheetData></worksheet>"
    prefixed = plain.replace("</", "</x:").replace("<", "<x:").replace("<x:/x:", "</x:").replace("xmlns=", "xmlns:x=")
    empty = f"{_START.decode()}{'<row/>' * 9_000}</sheetData></worksheet>"
    shapes = {
        "plain": plain.encode(),
        "prefixed": prefixed.encode(),
        "a long prefix": prefixed.replace("x:", "a-very-long-prefix:")
        .replace("xmlns:x", "xmlns:a-very-long-prefix")
        .encode(),
        "spaces": plain.replace("<v>", "<v >").replace("</v>", "</v\n>").encode(),
        "attributes": plain.replace("<v>", '<v xmlns:y="y">').encode(),
        "UTF-16": f'<?xml version="1.0" encoding="UTF-16"?>{plain}'.encode("utf-16"),
        "empty rows": empty.encode(),
        "empty cells": empty.replace("<row/>", '<c s="1"/>').encode(),
        "merged": empty.replace("<row/>", '<mergeCell ref="A1:B2"/>').encode(),
        "columns": empty.replace("<row/>", '<col min="1" max="999" hidden="1"/>').encode(),
    }
    books = {shape: _with_part(SOUND, SHEET, content) for shape, content in shapes.items()}
    home = _part(SOUND, "xl/workbook.xml")
    names = b"<definedNames>" + b'<definedName name="a">A!$A$1</definedName>' * 9_000 + b"</definedNames></workbook>"
    books["names"] = _with_part(SOUND, "xl/workbook.xml", home.replace(b"</workbook>", names))
    listed = next(line for line in home.split(b">") if line.startswith(b"<sheet ")) + b">"
    many = home.replace(b"<sheets>", b"<sheets>" + listed * 300)
    books["many sheets"] = _with_part(SOUND, "xl/workbook.xml", many)
    books["one sheet often"] = _with_part(
        _with_part(SOUND, SHEET, plain.replace(rows, rows[: rows.index('<row r="51"')]).encode()),
        "xl/workbook.xml",
        home.replace(b"<sheets>", b"<sheets>" + listed * 90),
    )
    for shape, book in books.items():  # none is refused for anything but its size
        assert shape == "many sheets" or sheets_of_workbook(book), shape
    monkeypatch.setattr(workbook_parts, "events_of", counted)
    monkeypatch.setattr(workbook_parts, "MOST_CELLS", 1_500)
    monkeypatch.setattr(workbook_parts.Parts.__init__, "__defaults__", (8 * 1_500,))
    not_early = []
    for shape, book in books.items():
        events = 0
        with pytest.raises(TableError, match=r"over 1,500 cells|over 12,000 tags|over 100 sheets"):
            sheets_of_workbook(book)
        if events > 300:
            not_early.append((shape, events))
    assert not_early == []

    def endless() -> Iterator[bytes]:
        nonlocal fed
        yield b"<a b='"
        while fed < 1_000:
            fed += 1
            yield b"x" * 65_536

    with pytest.raises(DamagedPartError, match="too long"):
        list(events_of(endless()))
    assert fed < 10


def test_hidden_columns_may_overlap() -> None:
    columns = (
        b'<cols><col min="2" max="4" hidden="1"/><col min="3" max="16384" hidden="1"/><col min="9" max="2"/></cols>'
    )
    book = _with_part(SOUND, SHEET, _part(SOUND, SHEET).replace(b"<sheetData>", columns + b"<sheetData>"))
    assert sheets_of_workbook(book)[0].hidden_columns == {*range(2, MOST_COLUMNS + 1)}


def test_macros_are_left_where_they_are() -> None:
    stream = io.BytesIO(SOUND)
    with ZipFile(stream, "a") as archive:
        archive.writestr("xl/vbaProject.bin", b"\x00macro")
    found = read(SOUND, people="people.xlsm", people_xlsm=stream.getvalue())
    assert found.diagnostics == () and found.program is not None


texts = st.text(st.characters(exclude_categories=("Cs", "Cc"), exclude_characters="\ufffe\uffff"), max_size=8)


@examples(25)
@given(st.lists(st.lists(texts, min_size=1, max_size=4), min_size=1, max_size=4))
def test_every_text_comes_back_at_its_place(rows: list[list[str]]) -> None:
    def as_texts(book: openpyxl.Workbook) -> None:
        for row in book["A"].iter_rows():
            for cell in row:
                cell.data_type = "s"

    (sheet,) = sheets_of_workbook(saved({"A": list(rows)}, as_texts))
    found = {(cell.line, cell.column): cell.text for row in sheet.rows for cell in row if cell.text}
    blanks = " \t\r\n\u00a0\u2007\u202f\ufeff"
    wanted = {(i, j): text.strip(blanks) for i, row in enumerate(rows, 1) for j, text in enumerate(row, 1)}
    assert found == {place: text for place, text in wanted.items() if text}
