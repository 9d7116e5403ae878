"""Recording into a workbook of the user's own: the cells of the entry are there, and nothing else of the file is gone.

openpyxl and LibreOffice read what comes out: programs that know nothing of this one.
"""

from __future__ import annotations

import io
import re
from collections.abc import Callable, Mapping
from datetime import date, datetime
from pathlib import Path
from zipfile import ZipFile

import openpyxl
import pytest
from app.test_record import MAP, ON, PROGRAM, entered
from openpyxl.comments import Comment
from openpyxl.formatting.rule import CellIsRule
from openpyxl.styles import Font, PatternFill, Protection
from openpyxl.worksheet.datavalidation import DataValidation
from openpyxl.worksheet.table import Table
from openpyxl.worksheet.worksheet import Worksheet
from writers.libreoffice import LibreOffice

from progdoc.app.disk.recorded_description import PutBack, put_back
from progdoc.app.record import Recorded
from progdoc.app.record_events import Event
from progdoc.app.recorded_lines import recorded_lines
from progdoc.model.load import load
from progdoc.writers.people_workbook import people_workbook

SHEET = "xl/worksheets/sheet1.xml"
HEAD = ["id", "name", "mask", "size", "Fit tested", "fit protocol", "fit result", "training date", "training topics",
        "locker", "Next test"]  # fmt: skip
ROWS = [
    ["jo-fell", "Jo Fell", "half", "M", None, None, None, date(2026, 1, 7), "all", 12, "=H2+365"],
    ["ann-gill", "Ann Gill", "half", "S", None, None, None, date(2026, 1, 7), "all", 4, "=H3+365"],
    ["ed-rigg", "Ed Rigg", None, None, None, None, None, None, None, 7, None],
]
OWN = MAP.replace(b"locker: not used", b"locker: not used, Next test: not used")
FIT = Event("fit-test", ON, {"who": "jo-fell", "mask": "half", "size": "M", "protocol": "saccharin", "result": "pass",
                             "tester": "Ed <Rigg> & Co"})  # fmt: skip
TRAINED = Event("training", ON, {"who": "all", "topics": "all"})
EVENTS = (FIT, TRAINED)


def kept(change: Callable[[Worksheet], object] = lambda _: None) -> bytes:
    """Return a workbook as somebody keeps it: formats, a comment, a list to choose from, colours by rule, formulas."""
    book = openpyxl.Workbook()
    sheet = book.worksheets[0]
    sheet.title = "Crew"
    for row in [HEAD, *ROWS]:
        sheet.append(row)
    for cell in sheet[1]:
        cell.font, cell.fill = Font(bold=True), PatternFill("solid", fgColor="FFDDEEFF")
    for row in sheet.iter_rows(min_row=2):
        for cell in row:
            cell.number_format = "m/d/yyyy" if cell.column in (5, 8, 11) else cell.number_format
    sheet.column_dimensions["B"].width = 33
    sheet.freeze_panes = "A2"
    sheet["B2"].comment = Comment("since spring", "Ann")
    sizes = DataValidation(type="list", formula1='"S,M,L"')
    sheet.add_data_validation(sizes)
    sizes.add("D2:D400")
    red = PatternFill("solid", fgColor="FFFF0000")
    sheet.conditional_formatting.add("E2:E400", CellIsRule("lessThan", ["TODAY()-365"], fill=red))
    other = book.create_sheet("Canteen")
    other.append(["Soup", 3.5])
    other.append(["In all", "=SUM(B1:B1)"])
    change(sheet)
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def with_book(data: bytes) -> dict[str, bytes]:
    program = (PROGRAM + "people: people.xlsx\n").encode()
    return {"program.yaml": program, "people.xlsx": data, "people.columns.yaml": OWN}


def recorded(data: bytes, *events: Event) -> bytes:
    done = entered(with_book(data), *events)
    assert isinstance(done, Recorded), [(one.code, one.what) for one in done]
    assert list(done.after) == ["people.xlsx"]
    return done.after["people.xlsx"]


def seen(data: bytes) -> dict[str, dict[str, object]]:
    """Return all that openpyxl reads of each sheet: of each cell value, look, comment; and what is about many cells."""
    found: dict[str, dict[str, object]] = {}
    for sheet in openpyxl.load_workbook(io.BytesIO(data)).worksheets:
        cells: dict[str, object] = {
            cell.coordinate: (cell.value, cell.number_format, cell.font.b, cell.fill.fgColor.rgb,
                              cell.comment.text if cell.comment else "")
            for row in sheet.iter_rows() for cell in row if cell.value is not None or cell.has_style
        }  # fmt: skip
        about = (sheet.column_dimensions["B"].width, sheet.freeze_panes, len(sheet.conditional_formatting),
                 [str(one.sqref) for one in sheet.data_validations.dataValidation], sheet.sheet_state)  # fmt: skip
        found[sheet.title] = {**cells, "about": about}
    return found


def test_the_cells_of_an_entry_are_there_and_all_else_is_as_it_was() -> None:
    old = kept()
    new = recorded(old, *EVENTS)
    before, after = seen(old), seen(new)
    assert before["Canteen"] == after["Canteen"]
    changed = {place: value for place, value in after["Crew"].items() if before["Crew"].get(place) != value}
    head = (True, "FFDDEEFF", "")
    plain = (False, "00000000", "")
    assert changed == {
        "E2": (_day(ON), "m/d/yyyy", *plain),
        "F2": ("saccharin", "General", *plain),
        "G2": ("pass", "General", *plain),
        "L2": ("Ed <Rigg> & Co", "General", *plain),
        "L1": ("fit_tester", "General", *head),
        "H4": (_day(ON), "m/d/yyyy", *plain),
        "I4": ("all", "General", *plain),
        "A5": ("jo-fell", "General", *plain), "H5": (_day(ON), "m/d/yyyy", *plain), "I5": ("all", "General", *plain),
        "A6": ("ann-gill", "General", *plain), "H6": (_day(ON), "m/d/yyyy", *plain), "I6": ("all", "General", *plain),
    }  # fmt: skip
    assert before["Crew"].keys() - after["Crew"].keys() == set()
    with ZipFile(io.BytesIO(old)) as was, ZipFile(io.BytesIO(new)) as now:
        assert was.namelist() == now.namelist()
        changed_parts = [name for name in was.namelist() if was.read(name) != now.read(name)]
    assert changed_parts == [SHEET]


@pytest.mark.parametrize("said", [b"", b"<calcPr/>", b'<calcPr calcId="1" fullCalcOnLoad="0"></calcPr>'])
def test_formulas_are_worked_out_when_it_is_opened_next(said: bytes) -> None:
    """What `M2` says of a day in `H2` was stored when the workbook was last saved."""
    told = re.compile(rb"<calcPr[^>]*/>")
    data = recorded(_changed(kept(), "xl/workbook.xml", lambda text: told.sub(said, text)), FIT)
    with ZipFile(io.BytesIO(data)) as archive:
        assert archive.read("xl/workbook.xml").count(b'fullCalcOnLoad="1"') == 1
    assert openpyxl.load_workbook(io.BytesIO(data)).calculation.fullCalcOnLoad is True


def _day(day: date) -> datetime:
    return datetime(day.year, day.month, day.day)


def test_an_office_opens_it_and_what_it_saves_takes_the_next_entry(office: LibreOffice) -> None:
    """Both ways: what was recorded opens in LibreOffice, and into what LibreOffice writes can be recorded."""
    first = recorded(kept(), FIT)
    saved = office.resaved_sheets([first, kept(_as_table)])
    told = openpyxl.load_workbook(io.BytesIO(saved[0]))["Crew"]
    assert (told["E2"].value, told["L2"].value, told["B2"].value) == (_day(ON), "Ed <Rigg> & Co", "Jo Fell")
    assert told["K2"].value == "=H2+365" and told["B2"].comment is not None
    for data in saved:
        again = recorded(data, Event("training", ON, {"who": "ed-rigg", "by": "Ann Gill"}))
        assert openpyxl.load_workbook(io.BytesIO(again))["Crew"]["H4"].value == _day(ON)
        program = load(with_book(again)).program
        assert program is not None and program.people[2].training[0].by == "Ann Gill"


def _as_table(sheet: Worksheet) -> None:
    sheet.add_table(Table(displayName="Crew_1", ref="A1:K4"))


def test_an_area_kept_as_a_table_grows_by_the_new_rows() -> None:
    book = openpyxl.load_workbook(io.BytesIO(recorded(kept(_as_table), *EVENTS)))
    table = book["Crew"].tables["Crew_1"]
    assert (table.ref, table.autoFilter.ref if table.autoFilter else table.ref) == ("A1:K6", "A1:K6")


def _totals(sheet: Worksheet) -> None:
    table = Table(displayName="Crew_1", ref="A1:K4")
    table.totalsRowCount = 1
    sheet.add_table(table)


def _protected(sheet: Worksheet) -> None:
    sheet["J2"].protection = Protection(locked=False)
    sheet.protection.sheet = True


def _formula(sheet: Worksheet) -> None:
    sheet["G2"] = '=IF(F2="","","pass")'


def _with_part(data: bytes, name: str, content: bytes) -> bytes:
    out = io.BytesIO(data)
    with ZipFile(out, "a") as archive:
        archive.writestr(name, content)
    return out.getvalue()


REFUSED: Mapping[str, tuple[Callable[[], bytes], str]] = {
    "protected": (lambda: kept(_protected), "protected against changes"),
    "totals": (lambda: kept(_totals), "row of totals"),
    "signed": (lambda: _with_part(kept(), "_xmlsignatures/sig1.xml", b"<a/>"), "signed"),
}


@pytest.mark.parametrize("why", REFUSED)
def test_what_can_not_be_done_safely_is_refused_with_what_to_do(why: str) -> None:
    made, said = REFUSED[why]
    done = entered(with_book(made()), *EVENTS)
    assert isinstance(done, list)
    (fault,) = done
    assert fault.code == "RECORD-008" and said in fault.what and fault.location.file == "people.xlsx" and fault.fix


def test_a_formula_is_never_written_over() -> None:
    """Its stored value is an empty text, so that the record has nothing in this cell yet."""
    empty = re.compile(rb'<c r="G2"[^>]*>(<f>[^<]*</f>)<v></v></c>')
    data = _changed(kept(_formula), SHEET, lambda text: empty.sub(rb'<c r="G2" t="str">\1<v></v></c>', text))
    done = entered(with_book(data), FIT)
    assert isinstance(done, list) and [one.code for one in done] == ["RECORD-008"]
    assert "cell G2" in done[0].what


def _changed(data: bytes, part: str, change: Callable[[bytes], bytes]) -> bytes:
    out = io.BytesIO()
    with ZipFile(io.BytesIO(data)) as old, ZipFile(out, "w") as new:
        for info in old.infolist():
            text = old.read(info)
            changed = change(text) if info.filename == part else text
            assert info.filename != part or changed != text
            new.writestr(info, changed)
    return out.getvalue()


def test_sheets_of_fit_tests_trainings_and_single_masks_take_theirs() -> None:
    """The workbook that `sheets` writes has a sheet for each kind of row, and takes each event in its own."""
    jo = "{id: jo-fell, name: Jo Fell, masks: [{mask: half, size: M}]}"
    yaml = f"{PROGRAM}people: [{jo}, {{id: ann-gill, name: Ann Gill}}]\n"
    loaded = load({"program.yaml": yaml.encode()})
    assert loaded.program is not None
    files = {
        "program.yaml": (_without_units(PROGRAM) + "people: people.xlsx\n").encode(),
        "people.xlsx": people_workbook(loaded.program),
    }
    done = entered(
        files,
        FIT,
        TRAINED,
        Event("inspection", ON, {"unit": "set-1, set-2, spare-1", "result": "out-of-service", "by": "Jo Fell"}),
        Event("requalification", ON, {"cylinder": "bottle-2, spare-1", "next": "2031-11-24"}),
        Event("withdrawal", ON, {"unit": "set-2", "because": "Recalled"}),
    )
    assert isinstance(done, Recorded), [(one.code, one.what, one.fix) for one in done]
    book = openpyxl.load_workbook(io.BytesIO(done.after["people.xlsx"]))
    assert [row[0].value for row in book["fit-tests"].iter_rows(min_row=2)] == ["jo-fell"]
    assert [row[0].value for row in book["training"].iter_rows(min_row=2)] == ["jo-fell", "ann-gill"]
    program = done.checked.loaded.program
    assert program is not None
    one, two = program.masks[1].units
    assert [len(unit.inspections) for unit in (one, two)] == [2, 1]
    (spare,) = program.cylinders
    assert (len(spare.inspections), spare.requalified, spare.serial) == (1, ON, "R-1")
    assert two.cylinder and two.cylinder.requalified == ON and two.withdrawn and two.withdrawn.because == "Recalled"


def _without_units(program: str) -> str:
    start, end = program.index("    units:\n"), program.index("  - {id: dust")
    return (program[:start] + program[end:]).replace("cylinders:\n  - {id: spare-1, serial: R-1}\n", "")


def test_days_are_counted_as_the_workbook_counts_them() -> None:
    def from_1904(sheet: Worksheet) -> None:
        book = sheet.parent
        assert isinstance(book, openpyxl.Workbook)
        book.epoch = openpyxl.utils.datetime.CALENDAR_MAC_1904

    new = openpyxl.load_workbook(io.BytesIO(recorded(kept(from_1904), FIT)))
    assert new["Crew"]["E2"].value == _day(ON)


def test_what_changes_is_shown_cell_by_cell_and_no_other_cell() -> None:
    done = entered(with_book(kept()), FIT)
    assert isinstance(done, Recorded)
    shown = "\n".join(f"{line.first}{line.text}" for block in recorded_lines(done) for line in block)
    assert "Crew E2  2026-11-24" in shown and "Crew L1  fit_tester" in shown
    assert "locker" not in shown and "Soup" not in shown


def test_health_columns_are_refused_before_anything_is_written_and_not_repeated() -> None:
    def asthma(sheet: Worksheet) -> None:
        sheet["L1"], sheet["L2"] = "Asthma", "yes, since childhood"

    found = load(with_book(kept(asthma)))
    told = [fault for fault in found.diagnostics if fault.code == "CSV-009"]
    assert found.program is None and len(told) == 1
    assert not [fault for fault in found.diagnostics if "sthma" in fault.what or "childhood" in str(fault)]


@pytest.mark.parametrize("beside", ["~$people.xlsx", ".~lock.people.xlsx#"])
def test_what_a_spreadsheet_has_open_is_not_written_to(beside: str, tmp_path: Path) -> None:
    for name, data in with_book(kept()).items():
        (tmp_path / name).write_bytes(data)
    done = entered(with_book(kept()), FIT)
    assert isinstance(done, Recorded)
    (tmp_path / beside).write_bytes(b"")
    faults = put_back(tmp_path, done.before, done.after)
    assert isinstance(faults, list) and [one.code for one in faults] == ["RECORD-007"] and "open" in faults[0].what
    (tmp_path / beside).unlink()
    assert isinstance(put_back(tmp_path, done.before, done.after), PutBack)
    assert (tmp_path / "people.xlsx").read_bytes() == done.after["people.xlsx"]


def _as_others_write_it(text: bytes) -> bytes:
    """Return a sheet whose elements are named by a prefix, with what is only said for speed, and with empty rows."""
    text = re.sub(rb"<(/?)([A-Za-z]+)(?=[\s/>])", rb"<\1x:\2", text)
    text = text.replace(b"<x:worksheet xmlns=", b'<x:worksheet xmlns:y="urn:of-others" xmlns:x=')
    text = re.sub(rb'<x:row r="(\d+)"', rb'<x:row r="\1" spans="1:11" y:dyDescent="0.25"', text)
    end = b'<x:row r="5" spans="1:11"/><x:row r="6"><x:c r="A6"/><x:c r="C6"/></x:row><x:row r="9"/></x:sheetData>'
    return text.replace(b"</x:sheetData>", end)


def test_rows_that_stand_there_empty_are_filled_however_they_are_written() -> None:
    data = recorded(_changed(kept(), SHEET, _as_others_write_it), *EVENTS)
    with ZipFile(io.BytesIO(data)) as archive:
        text = archive.read(SHEET)
    assert text.count(b'<x:row r="5"') == text.count(b'<x:row r="6"') == 1 and b'<x:row r="9"/>' in text
    assert seen(data)["Crew"]["H6"] == (_day(ON), "m/d/yyyy", False, "00000000", "")
    assert [
        row[0].value for row in openpyxl.load_workbook(io.BytesIO(data))["Crew"].iter_rows(min_row=5, max_row=6)
    ] == [
        "jo-fell",
        "ann-gill",
    ]
