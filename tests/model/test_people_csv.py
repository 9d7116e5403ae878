"""People from a spreadsheet's table: messy exports in, the same people as from YAML out, every fault with its cell.

The form of the file is RFC 4180; Python's own csv module is the reference for reading it.
"""

from __future__ import annotations

import csv
import io
from datetime import date
from pathlib import Path

import pytest
from calls import calls_in
from examples import examples
from hypothesis import given
from hypothesis import strategies as st
from model.long_inputs import people_table
from published_value import published

from progdoc.app.disk.description_files import load_path
from progdoc.core.diagnostics import Audience, Diagnostic, Severity
from progdoc.model.description.people import Recommendation, Result, Topic
from progdoc.model.load import Loaded
from progdoc.model.people_table.csv_text import rows_of, separator_of
from progdoc.model.people_table.people_columns import COLUMNS, CSV_FAULTS

MASKS = "masks:\n  - {id: half-mask, sizes: [S, M]}\n  - {id: full-mask, sizes: [M]}\n"


def loaded(folder: Path, table: str | bytes, settings_: str = "", rest: str = MASKS) -> Loaded:
    (folder / "people.csv").write_bytes(table if isinstance(table, bytes) else table.encode("utf-8"))
    (folder / "program.yaml").write_text(f"format: 1\npeople: {{csv: people.csv{settings_}}}\n{rest}", encoding="utf-8")
    return load_path(folder / "program.yaml")


def only(found: Loaded) -> Diagnostic:
    assert len(found.diagnostics) == 1, [f"{d.location} {d.code} {d.what}" for d in found.diagnostics]
    return found.diagnostics[0]


def place(finding: Diagnostic) -> tuple[str, int, int]:
    return finding.location.file, finding.location.line, finding.location.column


EXPORT = (
    "\ufeffID;Name;Job title;Mask;Size;Hair in seal;Medical date;Medical recommendation;Medical limits;"
    "Fit test date;Fit protocol;Fit screened;Fit result;Training date;Training topics;Phone;;\r\n"
    "jo-marsh; Jo Marsh \u00a0;Foreman;half-mask;M;No;2026-02-03;Cleared;;"
    "2026-02-17;Saccharin;YES;Pass;2026-02-17;all;555;;\r\n"
    "\r\n"
    ";;;;;;;;;;;;;;;;;\r\n"
    'jo-marsh-2;Jo Marsh;"Joiner; also drives";full-mask;M;;2026-02-03;'
    'Cleared with limits;"Powered mask only|no scba";;;;;;;;;\r\n'
)


def test_a_messy_export_is_read_as_it_was_meant(tmp_path: Path) -> None:
    found = loaded(tmp_path, EXPORT, ", spare_columns: yes")
    assert found.diagnostics == ()
    assert found.program is not None
    one, other = found.program.people
    assert (one.id, one.name, one.job, one.hair_in_seal) == ("jo-marsh", "Jo Marsh", "Foreman", False)
    assert (one.masks[0].mask, one.masks[0].size) == ("half-mask", "M")
    assert (one.medical[0].date, one.medical[0].recommendation) == (date(2026, 2, 3), Recommendation.CLEARED)
    test = one.fit_tests[0]
    assert (test.mask, test.size, test.protocol, test.screened, test.result) == (
        "half-mask", "M", "saccharin", True, Result.PASS,
    )  # fmt: skip
    assert one.training[0].topics == tuple(Topic)
    assert (other.name, other.job) == ("Jo Marsh", "Joiner; also drives")
    assert [limit.value for limit in other.medical[0].limits] == ["powered-mask-only", "no-scba"]


def test_columns_that_are_not_read_are_told_by_letter_alone(tmp_path: Path) -> None:
    found = loaded(tmp_path, EXPORT)
    advice = only(found)
    assert found.program is not None
    assert (advice.code, advice.severity, advice.audience) == ("CSV-010", Severity.ADVICE, Audience.RESTRICTED)
    assert "P" in advice.what and "Phone" not in advice.what + advice.fix


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16"])
@pytest.mark.parametrize("separator", [",", ";", "\t", "|"])
def test_every_usual_separator_and_encoding_is_read(tmp_path: Path, separator: str, encoding: str) -> None:
    table = separator.join(["id", "name", "mask"]) + "\n" + separator.join(["zoe-x", "Zoë", "half-mask"])
    found = loaded(tmp_path, table.encode(encoding))
    assert found.program is not None
    assert [(p.id, p.name) for p in found.program.people] == [("zoe-x", "Zoë")]


def test_the_line_that_declares_the_separator_is_read(tmp_path: Path) -> None:
    found = loaded(tmp_path, "sep=;\r\nid;name\r\njo-marsh;Jo, the foreman\r\n")
    assert found.program is not None
    assert found.program.people[0].name == "Jo, the foreman"
    assert found.locate("people[0].name").line == 3


def test_other_encodings_are_refused_and_never_guessed(tmp_path: Path) -> None:
    finding = only(loaded(tmp_path, "id,name\nzoe,Zo\xeb\n".encode("latin-1")))
    assert (finding.code, finding.location.line) == ("CSV-003", 2)
    assert "UTF-8" in finding.fix


# ---- dates --------------------------------------------------------------------------------------------

DATES = "id,training_date\njo-marsh,1/12/2026\n"


def test_a_date_of_two_readings_is_refused_until_the_order_is_declared(tmp_path: Path) -> None:
    found = loaded(tmp_path, DATES)
    assert found.program is None
    by_code = {finding.code: finding for finding in found.diagnostics}
    assert set(by_code) == {"CSV-006", "MODEL-003"}
    assert place(by_code["CSV-006"]) == place(by_code["MODEL-003"]) == ("people.csv", 2, 10)
    assert "dates: month-first" in by_code["CSV-006"].fix
    assert "2026-12-01" in by_code["MODEL-003"].fix and "2026-01-12" in by_code["MODEL-003"].fix


@pytest.mark.parametrize(("order", "day"), [("month-first", date(2026, 1, 12)), ("day-first", date(2026, 12, 1))])
def test_a_declared_order_decides(tmp_path: Path, order: str, day: date) -> None:
    found = loaded(tmp_path, DATES, f", dates: {order}")
    assert found.program is not None
    assert found.program.people[0].training[0].date == day


def test_a_day_that_the_declared_order_does_not_allow_is_refused(tmp_path: Path) -> None:
    finding = only(loaded(tmp_path, "id,training_date\njo-marsh,25/12/2026\n", ", dates: month-first"))
    assert (finding.code, place(finding)) == ("MODEL-003", ("people.csv", 2, 10))


def test_a_date_with_midnight_behind_it_is_a_date(tmp_path: Path) -> None:
    found = loaded(tmp_path, "id,training_date\njo-marsh,2026-02-17 00:00:00\n")
    assert found.program is not None
    assert found.program.people[0].training[0].date == date(2026, 2, 17)


def test_calls_for_another_evaluation_are_days_alone(tmp_path: Path) -> None:
    head = "id,medical_date,medical_recommendation,medical_reevaluate\n"
    found = loaded(tmp_path, f"{head}jo-marsh,2026-02-03,cleared,5/11/2026; 2026-05-12\n", ", dates: month-first")
    assert found.program is not None
    calls = found.program.people[0].medical[0].reevaluate
    assert [call.date for call in calls] == [date(2026, 5, 11), date(2026, 5, 12)]


# ---- several rows a person ----------------------------------------------------------------------------


def test_rows_of_one_id_add_up_and_repeated_records_count_once(tmp_path: Path) -> None:
    table = (
        "id,name,mask,size,training_date\n"
        "jo-marsh,Jo Marsh,half-mask,M,2026-02-17\n"
        "jo-marsh,,full-mask,M,2026-02-17\n"
        "jo-marsh,Jo Marsh,,,2025-02-17\n"
    )
    found = loaded(tmp_path, table)
    assert found.program is not None
    (person,) = found.program.people
    assert [issued.mask for issued in person.masks] == ["half-mask", "full-mask"]
    assert [entry.date.year for entry in person.training] == [2026, 2025]


def test_rows_that_contradict_each_other_are_refused(tmp_path: Path) -> None:
    finding = only(loaded(tmp_path, "id,name\njo-marsh,Jo Marsh\njo-marsh,Ravi Stone\n"))
    assert (finding.code, place(finding)) == ("CSV-007", ("people.csv", 3, 10))
    assert "line 2" in finding.what


def test_a_row_without_id_belongs_to_nobody(tmp_path: Path) -> None:
    finding = only(loaded(tmp_path, "name,id\nJo Marsh,jo-marsh\nRavi Stone,\n"))
    assert (finding.code, place(finding)) == ("CSV-005", ("people.csv", 3, 12))


# ---- headings -----------------------------------------------------------------------------------------


def test_a_heading_that_looks_like_a_slip_is_refused_with_the_right_one(tmp_path: Path) -> None:
    finding = only(loaded(tmp_path, "id,fit_protocl\njo-marsh,saccharin\n"))
    assert (finding.code, place(finding)) == ("CSV-008", ("people.csv", 1, 4))
    assert "`fit_protocol`" in finding.what


@pytest.mark.parametrize("heading", ["Diagnosis", "Medical remarks", "Asthma", "Blood pressure"])
def test_health_answers_are_refused_and_never_repeated(tmp_path: Path, heading: str) -> None:
    found = loaded(tmp_path, f"id,{heading}\njo-marsh,secret-answer\n")
    finding = only(found)
    assert found.program is None
    assert finding.code == "CSV-009"
    words = finding.what + finding.fix + finding.why
    assert "secret-answer" not in words and heading not in words


def test_a_value_that_is_no_recommendation_is_never_repeated(tmp_path: Path) -> None:
    table = "id,medical_date,medical_recommendation\njo-marsh,2026-02-03,cleared unless wheezing\n"
    finding = only(loaded(tmp_path, table))
    assert finding.code == "MODEL-008"
    assert finding.location.line == 2
    assert "wheez" not in finding.what + finding.fix


def test_without_an_id_column_nothing_is_read(tmp_path: Path) -> None:
    finding = only(loaded(tmp_path, "name\nJo Marsh\n"))
    assert finding.code == "CSV-004"
    assert "id" in finding.fix


def test_two_columns_of_one_heading_are_refused(tmp_path: Path) -> None:
    assert only(loaded(tmp_path, "id,name,Name\njo-marsh,a,b\n")).code == "CSV-011"


@pytest.mark.parametrize("row", ["jo-marsh,Marsh, Jo", "jo-marsh,Jo Marsh,,asthma", 'jo-marsh,"Marsh, Jo",fail,x,y'])
def test_a_cell_under_no_heading_is_refused_and_not_repeated(row: str, tmp_path: Path) -> None:
    found = only(loaded(tmp_path, f"id,name\n{row}\n"))
    assert found.code == "CSV-003" and "under no heading" in found.what
    assert not any(cell in f"{found.what} {found.fix}" for cell in ("asthma", "fail", " Jo"))


def test_a_cell_in_a_column_whose_heading_is_empty_is_refused_as_well(tmp_path: Path) -> None:
    found = only(loaded(tmp_path, "id,,name\njo-marsh,asthma,Jo\n"))
    assert found.code == "CSV-003" and "under no heading" in found.what and "asthma" not in f"{found.what} {found.fix}"
    assert not loaded(tmp_path, "id,,name,\njo-marsh,,Jo,\n").diagnostics


def test_more_columns_than_anybody_keeps_cost_no_comparing(tmp_path: Path) -> None:
    wide = ",".join(f"c{number}" for number in range(3_000))
    found: list[object] = []
    calls = calls_in(lambda: found.append(only(loaded(tmp_path, f"id,{wide}\n"))))
    assert "3,001 columns, which is more than 1,000" in str(found) and calls < 50 * 3_000
    assert not loaded(tmp_path, f"id{',' * 3_000}\njo-marsh\n").diagnostics


def test_empty_cells_beyond_the_headings_are_what_a_spreadsheet_leaves(tmp_path: Path) -> None:
    assert not loaded(tmp_path, "id,name\njo-marsh,Jo Marsh,,,\n").diagnostics


# ---- the file and its settings ------------------------------------------------------------------------


def test_a_missing_table_says_so_where_it_is_named(tmp_path: Path) -> None:
    rest = "tasks: [{id: scrape, name: Scraping, people: [jo-marsh]}]\n"
    (tmp_path / "program.yaml").write_text(f"format: 1\npeople: {{csv: staff.csv}}\n{rest}", encoding="utf-8")
    finding = only(load_path(tmp_path / "program.yaml"))
    assert (finding.code, finding.location.file, finding.location.line) == ("CSV-002", "program.yaml", 2)


def test_a_table_in_another_folder_is_refused(tmp_path: Path) -> None:
    (tmp_path / "program.yaml").write_text("format: 1\npeople: {csv: ../people.csv}\n", encoding="utf-8")
    assert only(load_path(tmp_path / "program.yaml")).code == "CSV-002"


@pytest.mark.parametrize("extra", [", dates: backwards", ", date: day-first"])
def test_settings_that_are_not_known_are_refused(tmp_path: Path, extra: str) -> None:
    finding = only(loaded(tmp_path, "id\njo-marsh\n", extra))
    assert (finding.code, finding.location.file) == ("CSV-001", "program.yaml")


def test_a_quote_that_is_never_closed_stops_the_reading_with_its_place(tmp_path: Path) -> None:
    finding = only(loaded(tmp_path, 'id,name\njo-marsh,Jo\nravi,"Ravi\nodile,Odile\n'))
    assert (finding.code, place(finding)) == ("CSV-003", ("people.csv", 3, 6))


def test_lines_count_on_behind_a_cell_of_several_lines(tmp_path: Path) -> None:
    found = loaded(tmp_path, 'id,job,lens_kit\njo-marsh,"Foreman\nand driver",yes\nravi,Joiner,perhaps\n')
    assert place(only(found)) == ("people.csv", 4, 13)


def test_a_mask_that_nobody_described_is_found_in_its_cell(tmp_path: Path) -> None:
    finding = only(loaded(tmp_path, "id,mask\njo-marsh,half-msk\n"))
    assert (finding.code, place(finding)) == ("MODEL-007", ("people.csv", 2, 10))
    assert "half-mask" in finding.what


def test_a_column_filled_in_the_wrong_way_is_told_some_fifty_times_and_counted(tmp_path: Path) -> None:
    rows = "".join(f"p{n},maybe\n" for n in range(300))
    found = loaded(tmp_path, f"id,lens_kit\n{rows}")
    assert len(found.diagnostics) == 51
    assert found.diagnostics[-1].what.startswith("250 more")


def test_every_fault_has_a_name_and_a_reason() -> None:
    assert all(name and why.endswith((".", "here.")) for name, why in CSV_FAULTS.values())


def test_a_folder_or_a_pipe_is_no_table(tmp_path: Path) -> None:
    (tmp_path / "people.csv").mkdir()
    (tmp_path / "program.yaml").write_text("format: 1\npeople: {csv: people.csv}\n", encoding="utf-8")
    assert "no file" in only(load_path(tmp_path / "program.yaml")).what


@pytest.mark.parametrize("column", [name for name in COLUMNS if name.startswith("medical_")])
def test_nothing_from_a_medical_column_is_ever_repeated(tmp_path: Path, column: str) -> None:
    rest = [name for name in ("medical_date", "medical_recommendation") if name != column]
    values = {"medical_date": "2026-02-03", "medical_recommendation": "cleared"}
    cells = ["jo-marsh", "qzx-wheeze", *(values[name] for name in rest)]
    found = loaded(tmp_path, f"{','.join(['id', column, *rest])}\n{','.join(cells)}\n")
    assert found.program is None
    assert found.diagnostics
    assert all("wheeze" not in f"{d.what}{d.why}{d.fix}" for d in found.diagnostics)


heads = st.lists(st.sampled_from([*COLUMNS, "Phone", "", "nam"]), min_size=1, max_size=6).map(",".join)
lines = st.text(st.sampled_from('ab1,;"\n\r\t/-=é\ufeff\u2028\x00'), max_size=60)


@examples(150)
@given(heads, lines, st.binary(max_size=4))
def test_any_file_gives_people_or_faults_with_a_place(
    tmp_path_factory: pytest.TempPathFactory, head: str, body: str, tail: bytes
) -> None:
    found = loaded(tmp_path_factory.mktemp("any"), f"{head}\n{body}".encode() + tail)
    assert (found.program is not None) or found.diagnostics
    assert all(d.location.file in ("people.csv", "program.yaml") for d in found.diagnostics)


# ---- the form of the file, and its size ----------------------------------------------------------------

cells = st.text(st.sampled_from('ab é";,\n\r\t|=+'), max_size=6)


@published("RFC 4180, read by Python's csv module")
@given(st.lists(st.lists(cells, min_size=2, max_size=4), min_size=1, max_size=6), st.sampled_from(",;\t"))
def test_cells_are_those_that_pythons_reader_finds(rows: list[list[str]], separator: str) -> None:
    stream = io.StringIO(newline="")
    csv.writer(stream, delimiter=separator, lineterminator="\r\n", quoting=csv.QUOTE_ALL).writerows(rows)
    text = stream.getvalue()
    read = list(csv.reader(io.StringIO(text, newline=""), delimiter=separator))
    blanks = "\r\n \t\u00a0"
    wanted = [[cell.strip(blanks) for cell in row] for row in read]
    found = [[cell.text for cell in row] for row in rows_of(text, separator)]
    assert found == [row for row in wanted if any(row)]


@given(st.lists(st.text(st.sampled_from('ab;,"\n'), max_size=5), min_size=1, max_size=20).map("".join))
def test_every_cell_stands_where_it_is_said_to_stand(text: str) -> None:
    try:
        rows = rows_of(text, ",")
    except ValueError:
        return
    lines = text.split("\n")
    for cell in (cell for row in rows for cell in row if cell.text and '"' not in text):
        assert lines[cell.line - 1][cell.column - 1 :].startswith(cell.text)


def test_the_separator_is_the_one_that_makes_headings_known() -> None:
    assert separator_of("id;name,with comma;mask\n", COLUMNS) == (";", 0)


def test_the_work_grows_with_the_number_of_rows(tmp_path: Path) -> None:
    def calls(count: int) -> int:
        table = people_table(count)
        return calls_in(lambda: found.append(loaded(tmp_path, table)))

    found: list[Loaded] = []
    assert calls(400) < 5 * calls(100)  # four times the rows; a square would be sixteen
    assert [len(one.program.people) for one in found if one.program is not None] == [400, 100]


@examples(25)
@given(st.permutations(range(6)))
def test_the_order_of_rows_changes_nothing(tmp_path_factory: pytest.TempPathFactory, order: list[int]) -> None:
    head, *rows = people_table(6).splitlines()
    plain = loaded(tmp_path_factory.mktemp("plain"), "\n".join([head, *rows]))
    mixed = loaded(tmp_path_factory.mktemp("mixed"), "\n".join([head, *(rows[i] for i in order)]))
    assert plain.program is not None and mixed.program is not None
    assert sorted(map(repr, plain.program.people)) == sorted(map(repr, mixed.program.people))


# ---- the sample, and what is said of the columns --------------------------------------------------------

SAMPLE = Path(__file__).parents[2] / "sample_config" / "people_table"


def test_the_sample_is_read_without_a_fault() -> None:
    found = load_path(SAMPLE)
    assert found.diagnostics == ()
    assert found.program is not None
    jo, ravi = found.program.people
    assert jo.fit_tests[0].date == date(2026, 2, 17)
    assert len(ravi.fit_tests[0].readings) == 8


def test_every_column_is_explained_beside_the_sample() -> None:
    text = (SAMPLE / "README.md").read_text(encoding="utf-8")
    assert [name for name in COLUMNS if f"| `{name}` |" not in text] == []
