"""Workbooks out: read again they are the same people, and other programs open them as they were meant."""

from __future__ import annotations

import csv
import io
import subprocess
import sys
from datetime import date, datetime
from pathlib import Path
from typing import Any

import openpyxl
from examples import examples
from hypothesis import given
from hypothesis import strategies as st
from programs.patching import written
from programs.whole import WHOLE
from writers.libreoffice import LibreOffice

from progdoc.app.disk.description_files import check_path, load_path
from progdoc.cli import main
from progdoc.model.load import Loaded, load
from progdoc.model.people_table.people_columns import LISTS, RowKind
from progdoc.model.people_table.people_rows import written_columns
from progdoc.model.people_table.workbook import sheets_of_workbook
from progdoc.writers.assignment_csv import assignment_csv
from progdoc.writers.due_formats import due_csv
from progdoc.writers.people_workbook import people_tables, people_workbook, template_workbook
from progdoc.writers.xlsx import BookColumn, BookSheet, workbook_bytes

SAMPLE = "sample_config/restoration_2026"


def of_sample(name: str = "restoration_2026") -> Loaded:
    loaded = load_path(WHOLE[name][0])
    assert loaded.program is not None
    return loaded


def read_again(loaded: Loaded, people: Any, **tables: bytes) -> Loaded:
    """Return a description with its people, single masks and spare cylinders taken out, and tables in their place."""
    values: dict[str, Any] = {**loaded.description.values, "people": people}
    masks = values.get("masks") or []
    values.pop("cylinders", None)
    values["masks"] = [{key: value for key, value in mask.items() if key != "units"} for mask in masks]
    program = {**(values.get("program") or {})}
    program.pop("look", None)
    names = {name.replace("__", "-").replace("_", "."): table for name, table in tables.items()}
    return load({"p.yaml": written({**values, "program": program}).encode(), **names}, "p")


def test_what_is_written_is_read_as_the_same_people() -> None:
    """Over every sample and every program of the suite, as a workbook and as CSV; nothing of it needs confirming."""
    strays = []
    for name in WHOLE:
        loaded = of_sample(name)
        program = loaded.program
        assert program is not None
        if not program.people:
            continue
        tables = people_tables(program)
        also = [file for file in tables if file != "people.csv"]
        csv = {file.replace("-", "__").replace(".", "_"): data for file, data in tables.items()}
        for again in (
            read_again(loaded, "people.xlsx", people_xlsx=people_workbook(program)),
            read_again(loaded, {"csv": "people.csv", "also": also}, **csv),
        ):
            told = [f"{fault.location} {fault.code} {fault.what}" for fault in again.diagnostics]
            found = again.program
            if told or found is None or found.people != program.people:
                strays.append((name, told[:3]))
            elif [mask.units for mask in found.masks] != [mask.units for mask in program.masks]:
                strays.append((name, ["units"]))
    assert strays == []
    assert len([name for name in WHOLE if of_sample(name).program]) > 5


def test_a_template_says_whom_it_is_about_and_what_may_be_chosen() -> None:
    program = of_sample().program
    assert program is not None
    book = openpyxl.load_workbook(io.BytesIO(template_workbook(program)))
    assert book.sheetnames == ["people", "fit-tests", "training", LISTS]
    assert book[LISTS].sheet_state == "hidden"
    tests = book["fit-tests"]
    head, *rows = list(tests.values)
    assert head == written_columns(RowKind.FIT_TESTS)
    sealing = {"full-face", "half-mask", "dust-mask"}
    worn = [(p.id, p.name, w.mask, w.size) for p in program.people for w in p.masks if w.mask in sealing]
    assert [(row[0], row[1], row[3], row[4]) for row in rows] == worn and {row[2] for row in rows} == {None}
    found = {}
    for rule in tests.data_validations.dataValidation:
        column = head[openpyxl.utils.column_index_from_string(str(rule.sqref).split("2:")[0]) - 1]
        area = rule.formula1.split("!")[1].replace("$", "") if rule.type == "list" else ""
        cells = book[LISTS][area] if area else ()
        found[column] = [cell.value for (cell,) in cells] if area else rule.type
    assert found["result"] == ["pass", "fail"] and found["screened"] == ["yes", "no"] and found["date"] == "date"
    assert found["mask"] == [mask.id for mask in program.masks]
    assert found["protocol"][: len(program.procedures.fit_testing.protocols)] == [
        str(protocol) for protocol in program.procedures.fit_testing.protocols
    ]
    blank = read_again(of_sample(), "people.xlsx", people_xlsx=template_workbook(program))
    assert blank.diagnostics == () and blank.program is not None
    assert [(p.id, p.name, p.masks) for p in blank.program.people] == [(p.id, p.name, p.masks) for p in program.people]
    assert not any(p.fit_tests or p.training or p.medical for p in blank.program.people)


def test_an_office_opens_a_filled_in_template_and_keeps_it_readable(office: LibreOffice) -> None:
    program = of_sample().program
    assert program is not None
    book = openpyxl.load_workbook(io.BytesIO(template_workbook(program)))
    sheet = book["fit-tests"]
    sheet["C2"], sheet["F2"], sheet["I2"] = datetime(2026, 11, 27), "saccharin", "pass"
    stream = io.BytesIO()
    book.save(stream)
    saved = office.resaved_sheets([people_workbook(program), stream.getvalue()])
    kept = read_again(of_sample(), "people.xlsx", people_xlsx=saved[0])
    assert kept.diagnostics == () and kept.program is not None and kept.program.people == program.people
    filled = read_again(of_sample(), "people.xlsx", people_xlsx=saved[1])
    assert filled.diagnostics == () and filled.program is not None
    (test,) = [test for person in filled.program.people for test in person.fit_tests]
    assert (test.date.isoformat(), test.protocol, test.mask) == ("2026-11-27", "saccharin", "full-face")


texts = st.text(st.characters(exclude_categories=("Cs", "Cc", "Cf")), max_size=10)


@examples(25)
@given(st.lists(texts, min_size=1, max_size=5))
def test_every_text_stays_a_text_whatever_it_begins_with(found: list[str]) -> None:
    rows = [[text] for text in (*found, "=1+1", "+1", "-1", "@x", "007", "1/2", "<b>&", "\x07")]
    data = workbook_bytes([BookSheet("a & b", (BookColumn("id", choices=tuple(found)),), rows)], LISTS)
    book = openpyxl.load_workbook(io.BytesIO(data))
    cells = [cell for (cell,) in book["a & b"].iter_rows(min_row=2)]
    assert {cell.data_type for cell in cells if cell.value is not None} <= {"s", "inlineStr"}
    sheet = sheets_of_workbook(data)[0]
    told = {cell.line: cell.text for row in sheet.rows for cell in row}
    blanks = " \t\r\n\u00a0\u2007\u202f\ufeff"
    for number, (text,) in enumerate(rows, 2):
        if "\ufffd" not in told.get(number, "") and text.isprintable():
            assert told.get(number, "") == text.strip(blanks)
    assert not sheet.formulas


def test_the_bytes_repeat_on_every_machine(tmp_path) -> None:
    program = of_sample().program
    assert program is not None
    again = [
        subprocess.run(
            [sys.executable, "-m", "progdoc", "sheets", SAMPLE, "-o", str(tmp_path / seed), "--on", "2026-11-24"],
            env={"PYTHONHASHSEED": seed}, check=True, capture_output=True,
        ).returncode
        for seed in ("1", "2")
    ]  # fmt: skip
    assert again == [0, 0]
    assert (tmp_path / "1").read_bytes() == (tmp_path / "2").read_bytes() == people_workbook(program)
    assert (tmp_path / "1").stat().st_mode & 0o077 == 0


def test_the_command_writes_csv_into_a_folder_of_its_own(tmp_path, capsys) -> None:
    program = of_sample().program
    assert program is not None
    arguments = ["sheets", SAMPLE, "--csv", "-o", str(tmp_path / "out"), "--on", "2026-11-24"]
    assert main(arguments) == 0
    assert {path.name: path.read_bytes() for path in (tmp_path / "out").iterdir()} == people_tables(program)
    assert all(path.stat().st_mode & 0o077 == 0 for path in (tmp_path / "out").iterdir())
    assert main([*arguments[:3], "--blank", *arguments[3:]]) == 2 and "SHEET-001" in capsys.readouterr().err


def test_the_command_writes_no_file_over_another(tmp_path, capsys) -> None:
    out = tmp_path / "fit_day.xlsx"
    arguments = ["sheets", SAMPLE, "--blank", "-o", str(out), "--on", "2026-11-24"]
    assert main(arguments) == 0
    assert openpyxl.load_workbook(out).sheetnames[1] == "fit-tests"
    out.write_bytes(b"my own")
    assert main(arguments) == 2 and out.read_bytes() == b"my own"
    assert main([*arguments, "--replace"]) == 0


def test_the_roster_and_what_falls_due_come_as_sheets_and_as_csv(tmp_path: Path) -> None:
    """What they say is that of the files that `build` and `due` write, cell by cell."""
    book, folder = tmp_path / "told.xlsx", tmp_path / "told"
    day = ["--on", "2026-11-24", "--roster"]
    assert main(["sheets", str(SAMPLE), "-o", str(book), *day]) == 0
    assert main(["sheets", str(SAMPLE), "--csv", "-o", str(folder), *day]) == 0
    loaded = openpyxl.load_workbook(book)
    judged = check_path(Path(SAMPLE), date(2026, 11, 24)).judged
    assert judged is not None
    files = {"who may do what": assignment_csv(judged), "what falls due": due_csv(judged.due(60))}
    for name, wanted in files.items():
        rows = list(csv.reader(io.StringIO(wanted.decode("utf-8-sig"))))
        told = [[cell.value or "" for cell in row] for row in loaded[name].iter_rows()]
        assert len(rows) > 5 and told == rows
        assert (folder / f"{name.replace(' ', '-')}.csv").read_bytes() == wanted
    assert {"people", "fit-tests", "training"} <= set(loaded.sheetnames)
