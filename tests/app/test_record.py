"""What is recorded is what a hand would have written: the entry is there, all else stays, and twice is once."""

from __future__ import annotations

import io
from collections.abc import Mapping
from dataclasses import replace
from datetime import date, timedelta
from functools import cache
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from examples import examples
from hypothesis import given
from hypothesis import strategies as st

from progdoc.app.check import Checked, check
from progdoc.app.disk.description_files import load_path
from progdoc.app.disk.recorded_description import PutBack, put_back
from progdoc.app.event_kinds import KINDS, OPTIONS
from progdoc.app.record import Recorded, record
from progdoc.app.record_events import _KEYS, _OF_PEOPLE, _OF_UNITS, Event
from progdoc.app.recorded_lines import recorded_lines
from progdoc.app.recorded_table import Row, events_of, rows_in, said_in_turn
from progdoc.core.diagnostics import Diagnostic
from progdoc.model.description.devices import Unit
from progdoc.model.description.entries import fields_of, shape_of
from progdoc.model.description.oversight import Evaluation
from progdoc.model.description.people import MedicalLimit, Person, ReevaluateWhen
from progdoc.model.description.upkeep import Cleaning, FilterChanges
from progdoc.model.load import load
from progdoc.rules.lookup.fit_protocols import fit_protocols
from progdoc.writers.people_workbook import people_tables
from progdoc.writers.xlsx import BookColumn, BookSheet, workbook_bytes

ON = date(2026, 11, 24)
SAMPLES = Path(__file__).resolve().parents[2] / "sample_config"
PROGRAMS = Path(__file__).resolve().parents[1] / "programs"

# An invented firm that joins tanks; every form in which a list may stand, each with comments.
PROGRAM = """\
format: 1  # ours
organisation: {name: Tarn Tank Joiners}
tasks:
  - id: line-tanks
    name: Lining tanks
    use: required
    masks: [{mask: half, filters: [disc]}, {mask: set}]
    people: [jo-fell, ann-gill]   # both of them
masks:
  - id: half  # the grey one
    name: grey half mask
    facepiece: half-mask
    mode: air-purifying
    sizes: [S, M]
    filters: [disc]
  - id: set
    facepiece: full-facepiece
    mode: scba-pressure-demand
    units:
      - id: set-1
        serial: E-1
        inspections:
          - {date: 2026-10-01, by: Jo Fell, result: serviceable}  # on time
      - {id: set-2, cylinder: {id: bottle-2, requalified: 2021-05-01}}
  - {id: dust, facepiece: filtering-facepiece, built_in_filter: N95, sizes: [M]}
filters:
  - {id: disc, particulate: P100}
cylinders:
  - {id: spare-1, serial: R-1}
groups: [{id: crew, name: The crew, status: employee}]
calendar:
  - {id: meter, routine: calibration, every: 6 months}  # by the manual
procedures:
  # nobody reads this
  evaluation:
    last: 2025-11-20   # in the yard
    findings:
    - {id: boxes-missing, date: 2025-11-20, what: Two boxes missing}
  cleaning: {by: Jo Fell}
"""
PEOPLE = """\
# all three
people:
  - id: jo-fell
    name: Jo Fell
    masks:
      - {mask: half, size: M}   # since spring
    medical:
      - date: 2026-01-05  # by post
        recommendation: cleared
    fit_tests: []
    training:
    - date: 2026-01-07
      by: Ann Gill
      topics:
        - limits-and-capabilities   # only this

  # She came later.
  - {id: ann-gill, name: Ann Gill, masks: [{mask: half, size: S}], training: [{date: 2026-01-07}]}
  - id: ed-rigg
    name: Ed Rigg
"""
TABLE = (
    b"\xef\xbb\xbfid;name;job;mask;size;training date;training by;training topics;fit date;fit result;locker\r\n"
    b"jo-fell;Jo Fell;;half;M;1/7/2026;Ann Gill;all;;;12\r\n"
    b'ann-gill;"Gill; Ann";;half;S;;;;;;4\r\n'
    b"ed-rigg;Ed Rigg;;;;;;;;;\r\n"
)
BESIDE = "people: {csv: people.csv, dates: month-first, spare_columns: yes}\n"
IN_YAML = {"program.yaml": PROGRAM.encode(), "people.yaml": PEOPLE.encode()}
IN_ONE = {"program.yaml": (PROGRAM + PEOPLE).replace("\n", "\r\n").encode()}
SEEN = TABLE.replace(b";locker", b";locker;medical date;medical recommendation").replace(
    b";12\r\n", b";12;1/5/2026;cleared\r\n"
)
IN_TABLE = {"program.yaml": (PROGRAM + BESIDE).encode(), "people.csv": TABLE}


def book_of(table: bytes, order: str = "") -> bytes:
    """Return the table as a workbook that somebody keeps: days as days, a sheet and a column more, own headings."""
    book = openpyxl.Workbook()
    sheet = book.worksheets[0]
    sheet.title = "Crew"
    rows = [line.replace('"Gill; Ann"', "Gill Ann").split(";") for line in table.decode("utf-8-sig").splitlines()]
    rows[0][rows[0].index("fit date")] = "Fit tested"
    for row in rows:
        parts = [[int(part) for part in cell.split("/")] if cell.count("/") == 2 else [] for cell in row]
        sheet.append([date(on[2], on[0], on[1]) if on else cell or None for cell, on in zip(row, parts, strict=True)])
    book.create_sheet("Canteen").append(["Soup", 3.5])
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


MAP = b"""sheets:
  Crew: {rows: people, columns: {Fit tested: fit_date, locker: not used}}
  Canteen: not used
"""
IN_BOOK = {
    "program.yaml": (PROGRAM + "people: people.xlsx\n").encode(),
    "people.xlsx": book_of(TABLE),
    "people.columns.yaml": MAP,
}

# For each kind what is told of it, where it then stands, and what stands there, as a hand would type it.
TOLD: dict[str, tuple[dict[str, str], str, dict[str, Any]]] = {
    "training": ({"who": "Jo Fell", "topics": "all", "by": "Ann Gill", "knowledge-shown": "yes"},
                 "people.0.training", {"by": "Ann Gill", "knowledge_shown": True}),
    "fit-test": ({"who": "jo-fell", "mask": "half", "size": "M", "protocol": "saccharin", "result": "pass",
                  "screened": "yes", "tester": "Ann, of Gill & Co: \"she\" #1"},
                 "people.0.fit_tests", {"mask": "half", "size": "M", "protocol": "saccharin", "screened": True,
                                        "tester": "Ann, of Gill & Co: \"she\" #1"}),
    "medical": ({"who": "jo-fell", "recommendation": "cleared-with-limits", "limits": "no-scba, limited-time",
                 "next-review": "2027-01-05", "copy-given": "yes"},
                "people.0.medical", {"next_review": date(2027, 1, 5), "limits": ("no-scba", "limited-time")}),
    "examination": ({"who": "jo-fell", "agent": "lead"}, "people.0.surveillance", {"agent": "lead"}),
    "face-change": ({"who": "ann-gill", "what": "dental"}, "people.1.changes", {"kind": "dental"}),
    "reevaluation": ({"who": "jo-fell", "called-for": "symptoms-reported"},
                     "people.0.medical.0.reevaluate", {"because": "symptoms-reported"}),
    "joining": ({"name": "Ida  Moss", "job": "Welder", "to": "line-tanks", "group": "crew", "own-language": "es"},
                "people.3", {"id": "ida-moss", "name": "Ida Moss", "job": "Welder", "own_language": "es"}),
    "information": ({"who": "ed-rigg", "how": "on paper"}, "people.2.appendix_d", {"how": "on paper"}),
    "reading": ({"who": "all", "revision": "2026.1"}, "people.2.has_read", {"revision": "2026.1"}),
    "request": ({"who": "ed-rigg"}, "people.2.requested", {}),
    "consent": ({"who": "ed-rigg"}, "people.2.consented", {}),
    "hair-rule": ({"who": "ed-rigg"}, "people.2.hair_rule_accepted", {}),
    "issue": ({"who": "ed-rigg", "mask": "dust", "size": "M", "kit": "box"},
              "people.2.masks", {"since": ON, "kit": "box"}),
    "return": ({"who": "jo-fell", "mask": "half"}, "people.0.returned", {"mask": "half", "size": "M"}),
    "leaving": ({"who": "ann-gill"}, "people.1.left", {}),
    "inspection": ({"unit": "set-1, set-2", "result": "out-of-service", "pressure": "80 %",
                    "findings": "Hose: cracked"},
                   "masks.1.units.1.inspections", {"result": "out-of-service", "findings": "Hose: cracked"}),
    "flow-test": ({"unit": "set-2", "passed": "yes", "by": "The maker"},
                  "masks.1.units.1.flow_tests", {"passed": True, "by": "The maker"}),
    "requalification": ({"cylinder": "bottle-2, spare-1", "next": "2031-11-24"},
                        "cylinders.0.requalified", {}),
    "routine": ({"entry": "meter"}, "calendar.0.last_done", {}),
    "withdrawal": ({"mask": "half", "because": "Recalled: valves #3 crack"},
                   "masks.0.withdrawn", {"because": "Recalled: valves #3 crack"}),
    "cleaning": ({"masks": "half,set", "by": "Jo Fell"}, "procedures.cleaning.done", {"masks": ("half", "set")}),
    "filter-change": ({"filter": "disc", "tasks": "line-tanks", "because": "wet"},
                      "procedures.filter_changes.done", {"filter": "disc", "because": "wet"}),
    "air-test": ({"carbon-monoxide": "2 ppm"}, "procedures.air_supply.tested", {}),
    "evaluation": ({"finding": "Hooks: too few", "correction": "Hooks bought", "owner": "Jo Fell", "due": "2026-12-01"},
                   "procedures.evaluation.findings", {"what": "Hooks: too few", "due": date(2026, 12, 1)}),
    "correction": ({"finding": "boxes-missing"}, "procedures.evaluation.findings.0.done", {}),
    "consultation": ({"who": "all", "about": "fit, use", "told": "Straps wear out"},
                     "procedures.evaluation.consultations", {"consults": ("fit", "use"), "told": "Straps wear out"}),
}  # fmt: skip


def checked(files: Mapping[str, bytes]) -> Checked:
    found = check(load(files), ON)
    assert found.judged is not None, [(one.code, one.what) for one in found.report.findings]
    return found


def recorded(files: Mapping[str, bytes], *events: Event) -> Recorded | list[Diagnostic]:
    return record(checked(files), events, ON, lambda loaded: check(loaded, ON))


@cache
def once_judged() -> Checked:
    return checked(IN_YAML)


def entered(files: Mapping[str, bytes], *events: Event) -> Recorded | list[Diagnostic]:
    """Return the same without judging it: what it means is asked by others."""
    standing = replace(once_judged(), loaded=load(files))
    assert standing.loaded.program is not None, standing.loaded.diagnostics
    return record(standing, events, ON, lambda loaded: replace(standing, loaded=loaded))


def at(program: Any, path: str) -> Any:
    for step in path.split("."):
        program = program[int(step)] if step.isdigit() else getattr(program, step)
    return program


def test_every_kind_is_tried_and_every_option_is_explained() -> None:
    assert {*TOLD, "transfer"} == KINDS.keys()
    assert {name for _, needed, may, _ in KINDS.values() for name in (*needed, *may)} == OPTIONS.keys()


@pytest.mark.parametrize("form", [IN_YAML, IN_ONE, IN_TABLE, IN_BOOK], ids=["files", "one-file", "table", "book"])
def test_the_entry_is_there_all_else_stays_and_twice_is_once(form: dict[str, bytes]) -> None:
    wrong = []
    tables = dict.fromkeys(TOLD, form)
    if form is IN_TABLE:
        tables["reevaluation"] = {**form, "people.csv": SEEN}
    if form is IN_BOOK:
        tables["reevaluation"] = {**form, "people.xlsx": book_of(SEEN)}
    for kind, (told, path, said) in TOLD.items():
        event, form = Event(kind, ON, told), tables[kind]
        done = entered(form, event)
        assert isinstance(done, Recorded), (kind, done)
        program = done.checked.loaded.program
        stands = at(program, path)
        entry = stands[-1] if isinstance(stands, tuple) else stands
        day = entry if isinstance(entry, date) else getattr(entry, "date", None) or getattr(entry, "since", None)
        if (day != ON and kind != "joining") or any(getattr(entry, key) != value for key, value in said.items()):
            wrong.append((kind, "not as told", entry))
        # A value that takes another's place, and a mask that is given back, alone take anything away.
        if kind not in ("return", "evaluation", "requalification"):
            wrong += [
                (kind, name, "something is gone")
                for name, data in done.after.items()
                if name.endswith(".yaml") and not is_kept(done.before[name], data)
            ]
        again = entered({**form, **done.after}, event)
        assert isinstance(again, Recorded), (kind, again)
        if again.after or again.entered or not again.known:
            wrong.append((kind, "entered twice", again.entered))
    assert wrong == []


def test_each_field_of_what_happened_can_be_told() -> None:
    """No fact of a record has to be typed into the file by hand, but what other events tell."""
    shapes = {kind: shape_of(Person, name) for kind, name in _OF_PEOPLE.items()}
    shapes |= {kind: shape_of(Unit, name) for kind, (name, _) in _OF_UNITS.items()}
    shapes |= {"cleaning": shape_of(Cleaning, "done"), "filter-change": shape_of(FilterChanges, "done"),
               "consultation": shape_of(Evaluation, "consultations")}  # fmt: skip
    otherwise = {"date", "since", "reevaluate", "gauge"}  # the day; another event; `pressure` in a unit, below
    lacking = {}
    for kind, shape in shapes.items():
        options = (*KINDS[kind][1], *KINDS[kind][2])
        told = {_KEYS.get(name, name.replace("-", "_")) for name in options}
        lacking |= {kind: left} if (left := {*fields_of(shape)} - told - otherwise) else {}
    assert lacking == {}


def test_the_pressure_of_a_cylinder_is_told_as_a_share_or_as_its_gauge_shows() -> None:
    for typed, key, shown in (("80 %", "pressure", "80 %"), ("4400 psi", "gauge", "4400 psi")):
        done = entered(IN_YAML, Event("inspection", ON, {"unit": "set-1", "result": "serviceable", "pressure": typed}))
        assert isinstance(done, Recorded) and done.checked.loaded.program is not None
        assert getattr(done.checked.loaded.program.masks[1].units[0].inspections[-1], key).printed == shown


def test_all_single_masks_in_use_are_looked_at_in_one_line() -> None:
    burnt = "- {id: set-3, post: van, withdrawn: {since: 2026-01-05, because: Burnt}}"
    program = PROGRAM.replace("- {id: set-2,", f"{burnt}\n      - {{id: set-2, post: van,")
    program += "posts: [{id: van, name: The van}]\n"
    files = {**IN_YAML, "program.yaml": program.encode()}
    found = {}
    for typed in ("all", "set", "van", "set-1, van", "set-3", "spare-1"):
        done = entered(files, Event("inspection", ON, {"unit": typed, "result": "serviceable"}))
        assert isinstance(done, Recorded), (typed, done)
        found[typed] = [told.partition(":")[0] for told in done.entered]
    assert found == {"all": ["set-1", "set-2"], "set": ["set-1", "set-2"], "van": ["set-2"],
                     "set-1, van": ["set-1", "set-2"], "set-3": ["set-3"], "spare-1": ["spare-1"]}  # fmt: skip
    refused = entered(files, Event("withdrawal", ON, {"unit": "all", "because": "Recalled"}))
    assert isinstance(refused, list) and [one.code for one in refused] == ["RECORD-001"]


def test_a_pressure_is_of_what_carries_air() -> None:
    hood = "  - {id: hood, facepiece: hood, mode: air-purifying, units: [{id: hood-1}]}\nfilters:\n"
    files = {**IN_YAML, "program.yaml": PROGRAM.replace("filters:\n", hood, 1).encode()}
    told = {"result": "serviceable", "pressure": "4400 psi"}
    refused = entered(files, Event("inspection", ON, {"unit": "all", **told}))
    assert isinstance(refused, list) and [one.code for one in refused] == ["RECORD-003"] and "hood-1" in refused[0].what
    for unit, values in (("set", told), ("hood", {"result": "serviceable"})):
        assert isinstance(entered(files, Event("inspection", ON, {"unit": unit, **values})), Recorded)


def test_a_finding_is_corrected_once() -> None:
    first = entered(IN_YAML, Event("correction", ON, {"finding": "boxes-missing"}))
    assert isinstance(first, Recorded)
    files = {**IN_YAML, **first.after}
    again = entered(files, Event("correction", date(2026, 11, 20), {"finding": "boxes-missing"}))
    assert isinstance(again, list) and [one.code for one in again] == ["RECORD-003"]
    assert "corrected on 24 November 2026" in again[0].what


def is_kept(old: bytes, new: bytes) -> bool:
    """Whether each sign of the old file stands in the new one, in its order: comments and blanks too."""
    rest = iter(new.decode())
    return all(sign in rest for sign in old.decode())


@pytest.mark.parametrize("name", sorted(path.name for path in (*SAMPLES.iterdir(), *PROGRAMS.glob("*.yaml"))))
def test_every_sample_and_program_takes_an_event_of_each_kind_that_fits(name: str) -> None:
    """Whatever a hand wrote is kept sign by sign, and what is read back is that with the entry in it."""
    path = (SAMPLES if (SAMPLES / name).exists() else PROGRAMS) / name
    loaded = load_path(path) if path.is_dir() or path.suffix == ".yaml" else None
    if loaded is None or loaded.program is None:
        return  # the schema, a guide, a workflow
    standing, program = replace(once_judged(), loaded=loaded), loaded.program
    people, masks = program.people[:1], program.masks[:1]
    told: list[tuple[str, dict[str, str]]] = [("evaluation", {"finding": "Too few hooks"}), ("air-test", {}),
                                              ("consultation", {"about": "fit"})]  # fmt: skip
    told += [(kind, {"who": people[0].id}) for kind in ("training", "request", "leaving", "information") if people]
    told += [("training", {"who": "all", "topics": "all"}) for _ in people]
    told += [("cleaning", {"masks": mask.id}) for mask in masks]
    told += [("withdrawal", {"mask": mask.id, "because": "Recalled"}) for mask in masks if mask.withdrawn is None]
    told += [("return", {"who": people[0].id, "mask": worn.mask}) for one in people for worn in one.masks[:1]]
    wrong = []
    for kind, values in told:
        done = record(standing, [Event(kind, ON, values)], ON, lambda loaded: replace(standing, loaded=loaded))
        if not isinstance(done, Recorded):
            wrong.append((kind, [(one.code, one.what) for one in done]))
            continue
        kept = kind in ("return", "evaluation", "air-test", "information", "request")
        wrong += [
            (kind, ["something is gone"])
            for file, data in done.after.items()
            if not kept and file.endswith(".yaml") and not is_kept(done.before[file], data)
        ]
    assert wrong == []


def test_an_entry_of_the_table_touches_its_own_cells_alone() -> None:
    done = entered(IN_TABLE, Event("training", ON, {"who": "all", "topics": "all", "by": "Ann Gill"}))
    assert isinstance(done, Recorded)
    assert done.after["people.csv"] == (
        TABLE.replace(b"all;;;12\r\n", b"all;;;12\r\njo-fell;;;;;11/24/2026;Ann Gill;all;;;\r\n")
        .replace(b"half;S;;;;;;4", b"half;S;11/24/2026;Ann Gill;all;;;4")
        .replace(b"Ed Rigg;;;;;;;;;", b"Ed Rigg;;;;11/24/2026;Ann Gill;all;;;")
    )


@pytest.mark.parametrize(
    ("listed", "then"),
    [
        ("people: [jo-fell, ann-gill]   # both of them", "people: [ann-gill, ed-rigg]   # both of them"),
        ("people:\n      - jo-fell  # by day\n      - ann-gill", "people:\n      - ann-gill\n      - ed-rigg"),
        ("people: [jo-fell]", "people: [ed-rigg]"),
    ],
)
def test_a_transfer_names_people_in_one_task_and_no_more_in_another(listed: str, then: str) -> None:
    program = PROGRAM.replace("people: [jo-fell, ann-gill]   # both of them", listed)
    files = {**IN_YAML, "program.yaml": program.encode()}
    went = [
        Event("transfer", ON, {"who": "ed-rigg", "to": "line-tanks"}),
        Event("transfer", ON, {"who": "jo-fell", "off": "line-tanks"}),
    ]
    done = entered(files, *went)
    assert isinstance(done, Recorded), done
    assert done.after == {"program.yaml": program.replace(listed, then).encode()}
    again = entered({**files, **done.after}, *went)
    assert isinstance(again, Recorded) and (again.after, len(again.known)) == ({}, 2)
    refused = entered(files, Event("transfer", ON, {"who": "ed-rigg", "to": "line-tank"}))
    assert isinstance(refused, list) and refused[0].fix == "Did you mean `line-tanks`?"


def test_written_as_the_neighbours_are() -> None:
    done = entered(IN_YAML, Event("inspection", ON, {"unit": "set-1", "result": "serviceable", "by": "Ann Gill"}))
    assert isinstance(done, Recorded)
    line = "          - {date: 2026-11-24, by: Ann Gill, result: serviceable}\n"
    wanted = PROGRAM.replace("  # on time\n", f"  # on time\n{line}")
    assert done.after == {"program.yaml": wanted.encode()}


# What is told, the code it is refused under, and what is said of it.
REFUSED: list[tuple[str, dict[str, str], str, str]] = [
    ("training", {"who": "jo-fel"}, "RECORD-001", "Did you mean `jo-fell`?"),
    ("training", {"who": "Ann Gil"}, "RECORD-001", "Did you mean `ann-gill`?"),
    ("training", {}, "RECORD-005", "Add `--who IDS`."),
    ("training", {"who": "all", "topics": "limits"}, "MODEL-003", "Write one of"),
    ("training", {"who": "all", "agent": "lead"}, "RECORD-005", "It takes"),
    ("fit-test", {"who": "jo-fell", "mask": "halff"}, "RECORD-001", "Did you mean `half`?"),
    ("fit-test", {"who": "jo-fell", "mask": "half", "size": "L"}, "RECORD-003", "Stocked are S, M."),
    ("fit-test", {"who": "ed-rigg", "mask": "half"}, "RECORD-003", "They wear no mask."),
    ("fit-test", {"who": "jo-fell", "mask": "half", "protocol": "sacharin"}, "RECORD-001", "`saccharin`"),
    ("fit-test", {"who": "jo-fell", "mask": "half", "protocol": "ambient-cnc-short-filtering"}, "RECORD-003", "do:"),
    ("fit-test", {"who": "jo-fell", "mask": "half", "protocol": "isoamyl-acetate"}, "RECORD-003", "another protocol"),
    ("fit-test", {"who": "jo-fell", "mask": "half", "protocol": "irritant-smoke", "filters": "N95"}, "RECORD-003", ""),
    ("fit-test", {"who": "jo-fell", "mask": "half", "factor": "many"}, "MODEL-003", ""),
    ("issue", {"who": "jo-fell", "mask": "half", "size": "S"}, "RECORD-003", "record its return first"),
    ("return", {"who": "ed-rigg", "mask": "half"}, "RECORD-003", "They wear no mask."),
    ("inspection", {"unit": "set-3", "result": "serviceable"}, "RECORD-001", "Did you mean `set-"),
    ("filter-change", {"filter": "disk"}, "RECORD-001", "Did you mean `disc`?"),
    ("inspection", {"unit": "set-1, bottle-9", "result": "serviceable"}, "RECORD-001", "Known"),
    ("withdrawal", {"because": "Recalled"}, "RECORD-005", "`--mask ID` or `--unit IDS`"),
    ("withdrawal", {"because": "Recalled", "mask": "half", "unit": "set-1"}, "RECORD-005", "one of the two"),
    ("reevaluation", {"who": "ann-gill"}, "RECORD-003", "before"),
    ("joining", {"name": "Jo Marsh", "id": "jo-fell"}, "RECORD-003", "`--id`"),
    ("joining", {"name": "夏"}, "RECORD-005", "`--id`"),
    ("joining", {"name": "Ida Moss", "group": "crews"}, "RECORD-001", "`crew`"),
    ("issue", {"who": "ida-moss", "mask": "half"}, "RECORD-001", "entered by `joining`"),
    ("requalification", {"cylinder": "spare-1"}, "RECORD-005", "--next"),
    ("routine", {"entry": "metre"}, "RECORD-001", "`meter`"),
    ("correction", {"finding": "boxes"}, "RECORD-001", "boxes-missing"),
    ("medical", {"who": "jo-fell", "recommendation": "has asthma"}, "MODEL-008", ""),
]  # fmt: skip


def test_what_cannot_have_happened_is_refused_with_what_to_type() -> None:
    wrong = []
    for kind, told, code, fix in REFUSED:
        found = entered(IN_YAML, Event(kind, ON, told))
        if isinstance(found, Recorded) or not any(one.code == code and fix in one.fix for one in found):
            wrong.append((kind, told, found))
        elif any("asthma" in one.what + one.fix for one in found):
            wrong.append((kind, told, "health is repeated"))
    assert wrong == []


@examples(25)
@given(st.text(alphabet=st.characters(codec="utf-8", categories=("L", "N", "P", "S", "Zs")), min_size=1, max_size=30))
def test_any_words_read_back_as_they_were_typed(words: str) -> None:
    told = " ".join(words.split())
    for kind, values, path in (
        ("withdrawal", {"mask": "half", "because": words}, "masks.0.withdrawn.because"),
        ("consultation", {"told": words}, "procedures.evaluation.consultations.0.told"),
        ("training", {"who": "ann-gill", "by": words}, "people.1.training.1.by"),
    ):
        for form in (IN_YAML, IN_TABLE):
            done = entered(form, Event(kind, ON, values))
            if isinstance(done, Recorded):
                place = path if form is IN_YAML or kind != "training" else "people.1.training.0.by"
                assert at(done.checked.loaded.program, place) == told or not told
            else:  # a text that no field may hold, or with which a spreadsheet would reckon; then nothing is written
                assert all(one.code in ("MODEL-003", "MODEL-008", "RECORD-004", "RECORD-005") or
                           one.code.startswith("YAML") for one in done), done  # fmt: skip


@examples(50)
@given(st.binary(max_size=60))
def test_whatever_a_table_of_events_holds_is_read_or_refused(data: bytes) -> None:
    for head in (b"", b"who,mask,date\n"):
        table(head + data)


def test_a_day_to_come_is_refused() -> None:
    found = entered(IN_YAML, Event("training", date(2026, 11, 25), {"who": "all"}))
    assert isinstance(found, list) and [one.code for one in found] == ["RECORD-002"]


def test_who_left_is_not_among_all_and_owes_nothing() -> None:
    left = entered(IN_YAML, Event("leaving", date(2026, 11, 1), {"who": "ann-gill"}))
    assert isinstance(left, Recorded)
    files = {**IN_YAML, **left.after}
    judged = checked(files).judged
    assert judged is not None
    assert not any("people.ann-gill" in item.subject for item in judged.due(365).items)
    assert not any("people.ann-gill" in finding.subject for finding in judged.findings)
    assert [person.id for person in judged.roster.people] == ["jo-fell", "ed-rigg"]
    assert len(judged.records_of("ann-gill").training) == 1
    done = entered(files, Event("training", ON, {"who": "all"}))
    assert isinstance(done, Recorded)
    assert done.entered == ("Jo Fell: training", "Ed Rigg: training")
    refused = entered(files, Event("training", ON, {"who": "ann-gill"}))
    assert isinstance(refused, list) and "left on 1 November 2026" in refused[0].what
    before = check(load(files), date(2026, 10, 31)).judged
    assert before is not None and len(before.roster.people) == 3


def test_the_same_event_told_in_full_later_says_that_the_lesser_entry_still_counts() -> None:
    told = {"who": "ann-gill", "mask": "half", "size": "S", "protocol": "saccharin", "result": "pass"}
    for kind, first, more in (
        ("fit-test", told, {"screened": "yes"}),
        ("training", {"who": "ann-gill", "topics": "all"}, {"knowledge-shown": "yes"}),
        ("medical", {"who": "ann-gill", "recommendation": "cleared"}, {"copy-given": "yes"}),
    ):
        once = recorded(IN_YAML, Event(kind, ON, first))
        assert isinstance(once, Recorded), kind
        assert once.notes == ()
        again = recorded({**IN_YAML, **once.after}, Event(kind, ON, {**first, **more}))
        assert isinstance(again, Recorded), kind
        (note,) = again.notes
        assert f"without `{next(iter(more)).replace('-', '_')}`" in note
        other_day = recorded({**IN_YAML, **once.after}, Event(kind, ON - timedelta(1), {**first, **more}))
        assert isinstance(other_day, Recorded) and other_day.notes == ()


def test_a_mask_is_known_by_its_name() -> None:
    told = {"who": "ann-gill", "size": "S", "protocol": "saccharin", "result": "pass"}
    by_id = recorded(IN_YAML, Event("fit-test", ON, {**told, "mask": "half"}))
    by_name = recorded(IN_YAML, Event("fit-test", ON, {**told, "mask": "Grey half mask"}))
    assert isinstance(by_id, Recorded) and isinstance(by_name, Recorded)
    assert by_name.after == by_id.after


def test_a_filter_is_changed_where_a_mask_has_it() -> None:
    files = {**IN_YAML, "more.yaml": b"tasks: [{id: sweep, name: Sweeping}]\n"}
    assert isinstance(recorded(files, Event("filter-change", ON, {"filter": "disc", "tasks": "line-tanks"})), Recorded)
    found = recorded(files, Event("filter-change", ON, {"filter": "disc", "tasks": "sweep"}))
    assert isinstance(found, list) and [one.code for one in found] == ["RECORD-003"]
    assert "It is worn in `line-tanks`." in found[0].fix


def test_what_arises_of_one_thing_is_told_each_by_itself() -> None:
    """Whoever leaves may stand under several names of roles, and each of them is asked for."""
    described = b"officer: {name: Jo Fell, phone: 555-0142, deputies: [Jo Fell]}\n"
    named = {**IN_YAML, "officer.yaml": described}
    done = recorded(named, Event("leaving", ON, {"who": "jo-fell"}))
    assert isinstance(done, Recorded)
    told = [words for words in done.meaning.arisen if words.startswith("REF-011")]
    assert len(told) > 1 and len(set(told)) == len(told)


def test_what_it_means_is_told_by_one_day() -> None:
    done = recorded(IN_YAML, Event("withdrawal", ON, {"mask": "half", "because": "Recalled by its maker"}))
    assert isinstance(done, Recorded)
    told = " ".join(line.text for block in recorded_lines(done, "withdrawal") for line in block)
    assert "Withdrawn" not in done.before["program.yaml"].decode()
    assert "Barred through it:" in told or "New through it:" in told
    trained = recorded(IN_YAML, Event("training", ON, {"who": "jo-fell", "topics": "all", "knowledge-shown": "yes"}))
    assert isinstance(trained, Recorded)  # one topic of seven was no training to wait a year for
    assert "Training of Jo Fell: due 24 November 2027 (was at once)" in trained.meaning.due


ARCHIVE = b"former_people:\n  # in the cellar\n  - id: old-hand\n    name: Old Hand\n    left: 2020-05-01\n"


@pytest.mark.parametrize("form", [IN_YAML, IN_ONE, IN_TABLE], ids=["files", "one-file", "table"])
def test_who_left_is_kept_out_of_the_daily_files_with_all_their_records(form: dict[str, bytes]) -> None:
    before = load(form).program
    assert before is not None
    for who, kept in (("jo-fell", b"# only this"), ("ann-gill", b"ann-gill"), ("ed-rigg", b"Ed Rigg")):
        event = Event("leaving", ON, {"who": who, "archive": "yes"})
        for files in (form, {**form, "archive.yaml": ARCHIVE}):
            done = entered(files, event)
            assert isinstance(done, Recorded), done
            home = "archive.yaml" if "archive.yaml" in files else "former_people.yaml"
            assert form is IN_TABLE or kept in done.after[home]
            assert who.encode() in done.after[home]
            daily = [data for name, data in {**files, **done.after}.items() if name.startswith("people.")]
            assert not any(who.encode() in data for data in daily)
            program = done.checked.loaded.program
            assert program is not None
            old = next(person for person in before.people if person.id == who)
            new = next(person for person in program.people if person.id == who)
            assert new == old.model_copy(update={"left": ON})
            again = entered({**files, **done.after}, event)
            assert isinstance(again, Recorded) and again.after == {}


def test_one_file_alone_keeps_those_who_left_in_itself() -> None:
    standing = replace(once_judged(), loaded=load(IN_ONE))
    event = Event("leaving", ON, {"who": "jo-fell", "archive": "yes"})
    done = record(standing, [event], ON, lambda loaded: replace(standing, loaded=loaded), may_begin_file=False)
    assert isinstance(done, Recorded) and list(done.after) == ["program.yaml"]
    assert b"former_people:\r\n  - id: jo-fell\r\n" in done.after["program.yaml"]


def test_a_cell_of_the_table_that_is_not_read_is_kept_as_a_comment() -> None:
    done = entered(IN_TABLE, Event("leaving", ON, {"who": "jo-fell", "archive": "yes"}))
    assert isinstance(done, Recorded)
    assert done.after["former_people.yaml"].endswith(b"    # locker: 12\n")


def test_former_people_take_further_records_and_need_their_day() -> None:
    files = {**IN_TABLE, "archive.yaml": ARCHIVE}
    done = entered(files, Event("medical", ON, {"who": "old-hand", "recommendation": "cleared"}))
    assert isinstance(done, Recorded) and list(done.after) == ["archive.yaml"]
    (fault,) = load({**IN_YAML, "archive.yaml": ARCHIVE.replace(b"    left: 2020-05-01\n", b"")}).diagnostics
    assert (fault.code, fault.location.file, fault.location.line) == ("MODEL-002", "archive.yaml", 3)
    assert load({**IN_YAML, "archive.yaml": b"former_people: {a: b}\n"}).program is None
    twice = load({**IN_YAML, "archive.yaml": ARCHIVE.replace(b"old-hand", b"jo-fell")}).diagnostics
    assert [one.code for one in twice] == ["MODEL-006"]


def test_how_long_records_are_kept_is_the_law_s() -> None:
    """29 CFR 1910.1020(d)(1)(i): as long as the employment lasts, and thirty years."""
    judged = checked({**IN_YAML, "archive.yaml": ARCHIVE}).judged
    assert judged is not None
    kept = judged.records_of("old-hand")
    assert (kept.medical_kept_until, kept.kept_by) == (date(2050, 5, 1), "29 CFR 1910.1020(d)(1)(i)")
    assert judged.records_of("jo-fell").medical_kept_until is None


FIT_DAY = b"Who,Mask,Size,Protocol,Result\njo-fell,half,M,saccharin,pass\nAnn Gill,half,S,saccharin,fail\n"


def table(data: bytes, kind: str = "fit-test") -> list[Event] | list[Diagnostic]:
    rows = rows_in(data, "day.csv", kind)
    faults = [row for row in rows if isinstance(row, Diagnostic)]
    told = [row for row in rows if isinstance(row, Row)]
    return faults or events_of(told, "day.csv", kind, ON, {"tester": "Ed Rigg", "screened": "yes"})


def test_a_day_of_tests_in_a_workbook_is_read_as_the_same_in_a_csv_is() -> None:
    def workbook(*sheets: tuple[str, list[list[Any]]]) -> bytes:
        made = [
            BookSheet(name, tuple(BookColumn(head) for head in rows[0]), tuple(map(tuple, rows[1:])))
            for name, rows in sheets
        ]
        return workbook_bytes(made, "lists")

    rows = [line.split(",") for line in FIT_DAY.decode().splitlines()]
    other = ("people", [["id"], ["jo-fell"]])

    def told(data: bytes) -> list[tuple[date, Mapping[str, str]]]:
        found = table(data)
        return [(one.day, one.values) for one in found if isinstance(one, Event)]

    assert told(workbook(("Fit tests", rows), other)) == told(workbook(("day", rows))) == told(FIT_DAY)
    dated = [[*rows[0], "Date"], *([*row, date(2026, 11, 20)] for row in rows[1:])]
    assert [day for day, _ in told(workbook(("day", dated)))] == [date(2026, 11, 20)] * 2
    blank = [*rows, ["ed-rigg", "half", "M", None, None]]
    assert told(workbook(("day", blank))) == told(FIT_DAY)  # prepared, and not tested on that day
    two = table(workbook(("day", rows), other))
    assert isinstance(two[0], Diagnostic) and two[0].fix == "Call that sheet “fit-tests”."
    spilt = table(workbook(("day", [[*rows[0], ""], [*rows[1], "lost"]])))
    assert isinstance(spilt[0], Diagnostic) and "under no heading" in spilt[0].what


def test_the_sheet_that_is_written_to_be_filled_in_is_read() -> None:
    program = load(IN_YAML).program
    assert program is not None
    heads, *rows = people_tables(program, is_blank=True)["fit-tests.csv"].decode("utf-8-sig").splitlines()
    filled = [row.split(",") for row in rows]
    result, protocol = (heads.split(",").index(name) for name in ("result", "protocol"))
    filled[0][result], filled[0][protocol] = "pass", "saccharin"
    events = table("\n".join([heads, *map(",".join, filled)]).encode())
    assert len(rows) > 1
    assert [(one.values["who"], one.values["result"]) for one in events if isinstance(one, Event)] == [
        (filled[0][0], "pass")
    ]


def test_an_option_said_twice_is_two_events_and_nothing_is_lost() -> None:
    two = said_in_turn({"finding": ["No hooks", "No lamp"], "owner": ["Jo Fell"], "due": ["2026-12-01", "2026-12-08"]})
    assert isinstance(two, list)
    done = entered(IN_YAML, *(Event("evaluation", ON, values) for values in two))
    assert isinstance(done, Recorded) and done.checked.loaded.program is not None
    found = done.checked.loaded.program.procedures.evaluation.findings[1:]
    assert [(one.what, one.owner, str(one.due)) for one in found] == [
        ("No hooks", "Jo Fell", "2026-12-01"), ("No lamp", "Jo Fell", "2026-12-08")
    ]  # fmt: skip
    uneven = said_in_turn({"finding": ["No hooks", "No lamp", "No box"], "due": ["2026-12-01", "2026-12-08"]})
    assert isinstance(uneven, Diagnostic) and "--due" in uneven.what


@pytest.mark.parametrize("form", [IN_YAML, IN_ONE, IN_TABLE, IN_BOOK], ids=["files", "one-file", "table", "book"])
def test_somebody_new_takes_the_next_events_and_a_piece_is_withdrawn(form: dict[str, bytes]) -> None:
    new = entered(form, Event("joining", ON, {"name": "Ida Moss", "to": "line-tanks"}))
    assert isinstance(new, Recorded)
    files = {**form, **new.after}
    done = entered(
        files,
        Event("issue", ON, {"who": "Ida Moss", "mask": "half", "size": "S"}),
        Event("training", ON, {"who": "all"}),
        Event("withdrawal", ON, {"unit": "set-2, spare-1", "because": "Recalled"}),
    )
    assert isinstance(done, Recorded) and done.checked.loaded.program is not None
    program = done.checked.loaded.program
    assert program.tasks[0].people[-1] == program.people[-1].id == "ida-moss"
    assert (program.people[-1].masks[0].size, len(program.people[-1].training)) == ("S", 1)
    assert program.masks[1].units[1].withdrawn and program.cylinders[0].withdrawn and not program.masks[1].withdrawn


def test_the_help_names_every_word_that_a_closed_list_takes() -> None:
    assert OPTIONS["limits"][1].partition(": ")[2].split(", ") == list(MedicalLimit)
    named = OPTIONS["protocol"][1].replace(";", ",").replace(":", ",").split(",")
    assert set(fit_protocols()) <= {word.strip() for word in named}
    assert OPTIONS["called-for"][1].partition(": ")[2].replace(" or ", ", ").split(", ") == list(ReevaluateWhen)


def test_a_day_of_tests_is_one_table() -> None:
    events = [one for one in table(FIT_DAY) if isinstance(one, Event)]
    done = entered(IN_YAML, *events)
    assert isinstance(done, Recorded)
    people = done.checked.loaded.program.people if done.checked.loaded.program else ()
    assert [(p.fit_tests[0].result, p.fit_tests[0].tester) for p in people[:2]] == [
        ("pass", "Ed Rigg"),
        ("fail", "Ed Rigg"),
    ]


def test_what_came_of_a_test_is_told_by_its_own_row_alone() -> None:
    """An empty result is no result, whatever was said of all of them; and no column has another's meaning."""
    rows = rows_in(FIT_DAY.replace(b"saccharin,pass", b"saccharin,"), "day.csv", "fit-test")
    told = events_of([row for row in rows if isinstance(row, Row)], "day.csv", "fit-test", ON, {"result": "pass"})
    assert [(one.values["who"], one.values["result"]) for one in told if isinstance(one, Event)] == [
        ("Ann Gill", "fail")
    ]
    for head in (b"Result,Result", b"Result,fit_result", b"Result,FIT RESULT"):
        (twice,) = table(
            FIT_DAY.replace(b"Result", head).replace(b",pass", b",fail,pass").replace(b"n,fail\n", b"n,fail,\n")
        )
        assert isinstance(twice, Diagnostic) and "mean `result`" in twice.what


def test_a_table_that_cannot_be_read_or_is_wrong_says_where() -> None:
    (health,) = table(FIT_DAY.replace(b"Result", b"Asthma"))
    assert isinstance(health, Diagnostic) and health.code == "RECORD-006" and "sthma" not in health.what + health.fix
    (day,) = table(b"who,mask,date\njo-fell,half,11/24/2026\n")
    assert isinstance(day, Diagnostic) and (day.location.line, day.fix) == (2, "Write it as 2026-11-24.")
    (empty,) = table(b"who,mask\n")
    assert isinstance(empty, Diagnostic) and "no rows" in empty.what
    wrong = [one for one in table(FIT_DAY.replace(b",S,", b",XL,")) if isinstance(one, Event)]
    refused = entered(IN_YAML, *wrong)
    assert isinstance(refused, list) and refused[0].location.file == "line 3 of day.csv"


def test_what_changed_on_the_disk_meanwhile_is_not_lost(tmp_path: Path) -> None:
    for name, data in IN_YAML.items():
        (tmp_path / name).write_bytes(data)
    done = entered(IN_YAML, Event("leaving", ON, {"who": "ed-rigg"}))
    assert isinstance(done, Recorded)
    (tmp_path / "people.yaml").write_bytes(PEOPLE.encode() + b"# typed meanwhile\n")
    refused = put_back(tmp_path, done.before, done.after)
    assert isinstance(refused, list) and [one.code for one in refused] == ["RECORD-007"]
    (tmp_path / "people.yaml").write_bytes(PEOPLE.encode())
    assert isinstance(put_back(tmp_path, done.before, done.after), PutBack)
    assert (tmp_path / "people.yaml").read_bytes() == done.after["people.yaml"]
    assert sorted(path.name for path in tmp_path.iterdir()) == ["people.yaml", "program.yaml"]
