"""A report handed out of a description that is not understood names no worker, wherever a name was typed by mistake.

Every field of the description and every group is tried with each shape of fault; and the worker is found however
broken the part, or the table, is that lists the people.
"""

from __future__ import annotations

import copy
import io
import json
import re
from collections.abc import Callable, Iterator, Mapping
from datetime import date
from pathlib import Path
from typing import Any
from zipfile import ZipFile

import openpyxl
import pytest
from examples import some
from programs.patching import BASE
from pydantic import BaseModel

import progdoc
from progdoc.app.disk.description_files import check_path
from progdoc.app.report_formats import report_in
from progdoc.cli.terminal import report_in_file
from progdoc.core.struck_names import STRUCK, names_of, struck_out
from progdoc.model.description.ids import references
from progdoc.model.description.program import Program
from progdoc.model.shape_faults import _kind_of, _models

WHO = {"id": "jo-marsh", "name": "Ottilie Marsh"}
PEOPLE = "people:\n  - id: jo-marsh\n    name: Ottilie Marsh\n"
TOLD = ("marsh", "ottilie")
MOST = 90  # of the faults of one file that are YAML's own no more than a hundred are listed


def _checked(files: Mapping[str, str]) -> progdoc.Checked:
    held = {name: text.encode() for name, text in files.items()}
    checked = progdoc.check(progdoc.load(held, "shop"), on=date(2026, 11, 24))
    assert not checked.is_understood
    return checked


def _names_nobody(files: Mapping[str, str], forms: tuple[str, ...] = ("json",)) -> str:
    checked = _checked(files)
    told = [report_in(checked, form, False).decode() for form in forms]
    told.append(report_in_file(checked.report, False, True).decode())
    for text in told:
        found = [line for line in re.split(r"\n|(?<=\}),", text) if any(name in line.lower() for name in TOLD)]
        assert not found, found[:5]
    return told[0]


# ---- every field, and every group -----------------------------------------------------------------------


def _groups(owner: type[BaseModel], value: Callable[[], Any], more: Mapping[str, Any]) -> list[dict[str, Any]]:
    """Return a group with a value in each field that takes one; where it may be of several kinds, one of each."""
    made: dict[str, Any] = {}
    kinds: dict[str, list[dict[str, Any]]] = {}
    for name, field in owner.model_fields.items():
        models = _models(field.annotation)
        inner = [group for model in models for group in _groups(model, value, more)]
        is_list = "tuple[" in str(field.annotation)
        if inner and not is_list and len(inner) > 1:
            kinds[name] = inner
        made[name] = inner if inner and is_list else inner[0] if inner else value()
    if kind := _kind_of(owner):
        made["kind"] = kind
    made |= copy.deepcopy(dict(more))
    return [made | {name: group} for name, inner in kinds.items() for group in inner] or [made]


def _whole(value: Callable[[], Any], more: Mapping[str, Any] | None = None) -> dict[str, Any]:
    (made,) = _groups(Program, value, more or {})
    made["people"].insert(0, dict(WHO))
    return made


VALUES: dict[str, Any] = {
    "a name": "Ottilie Marsh",
    "an id": "jo-marsh",
    "glued and cut off": "x" * 30 + " jmarsh99 and Ottilies " + "y" * 40,
    "a name at the end of what is shown": "1 " * 26 + "Ottilie Marsh",
    "a list": ["Ottilie Marsh", ["JO_MARSH"]],
    "a group": {"Ottilie Marsh": "x", "kind": "marsh"},
    "groups": [{"jo-marsh": {"marsh": "x"}}],
}


@pytest.mark.parametrize("shape", VALUES)
def test_a_name_in_the_place_of_any_value(shape: str) -> None:
    made = _whole(lambda: copy.deepcopy(VALUES[shape]))
    assert len(json.dumps(made)) > 627 * 8  # every field is there
    told = _names_nobody({"shop.yaml": json.dumps(made)})
    assert told.count('"code"') > 100


def test_a_name_for_a_key_in_every_group() -> None:
    made = _whole(lambda: "x", {"Ottilie Marsh": "x", "jo_marsh": ["x"], "marsh.": {"x": "y"}})
    assert _names_nobody({"shop.yaml": json.dumps(made)}).count(STRUCK) > 100


RAW = {
    "a tag": "!Marsh x", "an anchor": "&Marsh x", "an alias": "*Marsh", "a tag of a list": "!ottilie [Jo Marsh]",
    "a key twice": "{marsh: a, marsh: b}", "a key that is a list": "{[Marsh]: b}", "a long key": "{? Marsh\n : b}",
    "no space": "{a:marsh, b:Ottilie}", "a comment": "Jo #1 Marsh", "a merged key": "{<<: *Marsh}",
    "a control character": '"Mar\\u0001sh Ottilie"', "a text of dashes": "-Jo\n -Marsh",
}  # fmt: skip


@pytest.mark.parametrize("turn", some(range(len(RAW)), len(RAW)))
def test_a_name_where_yaml_itself_is_misused(turn: int) -> None:
    """Each field in one of these ways; at night in each of them."""
    count = iter(range(10_000))
    text = json.dumps(_whole(lambda: f"@{next(count)}@"), indent=1)
    shapes = list(RAW.values())
    for first in range(0, next(count), MOST):
        faulty = range(first, first + MOST)

        def raw(found: re.Match[str], faulty: range = faulty) -> str:
            number = int(found[1])
            return shapes[(number + turn) % len(shapes)] if number in faulty else "x"

        _names_nobody({"shop.yaml": re.sub(r'"@(\d+)@"', raw, text)})


ENDS = (
    '"Jo" Marsh',
    "[Marsh",
    "{Ottilie",
    '"Marsh',
    "'Marsh",
    "Marsh: x: y",
    "%Marsh",
    "@Marsh",
    "\tMarsh\n\tx",
    "}Marsh",
)


def test_a_name_where_a_file_stops_being_yaml() -> None:
    """In lines as people write them: at every name in turn, whatever it is the name of."""
    lines = [
        (f"{name}:", f"  {inner}:") for name, field in Program.model_fields.items() if name != "people"
        for model in _models(field.annotation)[:1] for inner in list(model.model_fields)[:3]
    ]  # fmt: skip
    for index, (above, below) in enumerate(lines):
        for end in ENDS[index % 2 :: 2]:
            _names_nobody({"shop.yaml": f"{PEOPLE}{above}\n{below} {end}\n    z: y\nmasks: Marsh\n"})
            _names_nobody(
                {"a.yaml": f"{above}\n{below} {end}\n    z: y\nMarsh\n", "b.yaml": f"format: marsh\n{PEOPLE}"}
            )


def _ids(program: Program) -> Iterator[str]:
    return (path for name, path, _ in references(program))


def test_a_name_in_the_place_of_any_id_of_something_else() -> None:
    values = copy.deepcopy(BASE)
    values["people"].append(WHO | {"id": "ottilie-marsh"})
    loaded = progdoc.load({"shop.yaml": json.dumps(values).encode()}, "shop")
    assert loaded.program is not None
    for path in set(_ids(loaded.program)):
        *above, last = [int(step) if step.isdigit() else step for step in re.findall(r"[^.\[\]]+", path)]
        group: Any = values
        for step in above:
            group = group[step]
        group[last] = "marsh-ottilie"
    told = _names_nobody({"shop.yaml": json.dumps(values)})
    assert "is no id of `masks`" in told and STRUCK in told


# ---- however the people are listed ----------------------------------------------------------------------

TABLE = "people: {csv: people.csv}\n"
LISTS: dict[str, tuple[str, str | None]] = {
    "as they should be": (PEOPLE, None),
    "by a name alone": ("people: [Ottilie Marsh]\n", None),
    "in a text": ("people: Ottilie Marsh, Jo Marsh\n", None),
    "under their names": ("people:\n  Ottilie Marsh: {job: x}\n", None),
    "under their names, each in a list": ("people:\n  - Ottilie Marsh:\n      job: x\n", None),
    "by names of two parts": ("people: [{id: w, name: {first: Ottilie, last: Marsh}}]\n", None),
    "by names under two keys": ("people: [{id: w, first_name: Ottilie, family: Marsh}]\n", None),
    "under another word": ("poeple:\n  - {id: w, name: Ottilie Marsh}\n", None),
    "with a key twice": ("people: [{id: w, name: Jo, name: Ottilie Marsh}]\n", None),
    "twice": ("people: []\npeople:\n  - {id: w, name: Ottilie Marsh}\n", None),
    "with a tag": ("people: [{id: w, name: !Ottilie Marsh}]\n", None),
    "with an alias": ("people:\n  - &Ottilie {id: w, name: x}\n  - *Marsh\n", None),
    "in broken lines": ("people:\n  - id: w\n   name: Ottilie Marsh\n", None),
    "in brackets that stay open": ("people: [{id: w, job: Mason, name: Ottilie Marsh}\n", None),
    "in quotes that stay open": ('people:\n  - id: w\n    name: "Ottilie Marsh\n', None),
    "without a blank": ("people:\n  - id:jo-marsh\n    name:Ottilie Marsh\n", None),
    "behind a fault": ("people:\n  - id: w\n    job: a: b\n    masks: [{mask: half}]\n    name: Ottilie Marsh\n", None),
    "in a table": (TABLE, "id,name\nw,Ottilie Marsh\n"),
    "in a table of other headings": (TABLE, "Worker,First name\nMarsh,Ottilie\n"),
    "in a table with two names": (TABLE, "id;first name;surname;mask\nw;Ottilie;Marsh;x\n"),
    "in a table with more names": (TABLE, "id,name,preferred name,note\nw,J.,Ottilie Marsh,x\n"),
    "in a table with a quote open": (TABLE, 'id,name\n"w,Ottilie Marsh\n'),
    "in a table without headings": (TABLE, "w,Ottilie Marsh,2026-02-03\n"),
    "in a table of another encoding": (TABLE, "id,name\nw,Ottilie Marsh \udce9\n"),
    "in a table with faults": (TABLE, "id,name,mask,fit_date\nw,Ottilie Marsh,No Such,yesterday\n,Marsh,x,\n"),
    "in a table, beside broken lines": (f"{TABLE}organisation: [\n", "id,name\nw,Ottilie Marsh\n"),
}


def _damaged(book: bytes) -> bytes:
    """Return a workbook of which one sheet is cut off in the middle, and is read no more."""
    packed = io.BytesIO()
    with ZipFile(io.BytesIO(book)) as archive, ZipFile(packed, "w") as other:
        for name in archive.namelist():
            data = archive.read(name)
            other.writestr(name, data[:-40] if "/sheet" in name else data)
    return packed.getvalue()


def _workbook(*sheets: tuple[str, list[list[str]]]) -> bytes:
    book = openpyxl.Workbook()
    book.remove(book.active)
    for name, rows in sheets:
        sheet = book.create_sheet(name)
        for row in rows:
            sheet.append(row)
    stream = io.BytesIO()
    book.save(stream)
    return stream.getvalue()


STAFF = ("Staff", [["Emp #", "Employee", "Locker"], ["w", "Ottilie Marsh", "4"]])
MAPPED = b'sheets: {"Staff": {rows: people, columns: {"Emp #": id, Employee: name, Locker: not used}}}\n'
SOUND = _workbook(STAFF)
# What the YAML says of the people, and the files beside it.
BESIDE: dict[str, tuple[str, dict[str, bytes]]] = {
    "in a CSV named alone": ("people: p.csv\n", {"p.csv": b"id,name\nw,Ottilie Marsh\n"}),
    "in a workbook named alone": (
        "people: p.xlsx\n", {"p.xlsx": _workbook(("p", [["id", "name"], ["w", "Ottilie Marsh"]]))}
    ),
    "in a workbook of unknown headings": ("people: p.xlsx\n", {"p.xlsx": SOUND}),
    "in a workbook whose columns are told": ("people: {xlsx: p.xlsx}\n", {"p.xlsx": SOUND, "p.columns.yaml": MAPPED}),
    "in one whose columns are told wrongly": (
        "people: {xlsx: p.xlsx}\n", {"p.xlsx": SOUND, "p.columns.yaml": b"sheets: {Staff: {rows: staff}}\n"}
    ),
    "below a title": (
        "people: p.xlsx\n",
        {"p.xlsx": _workbook(("Old", [["x"]]), ("S", [["Staff 2026"], ["id", "Name"], ["w", "Ottilie Marsh"]]))},
    ),
    "under a nickname": (
        "people: p.xlsx\n", {"p.xlsx": _workbook(("S", [["id", "name", "nickname"], ["w", "x", "Ottilie Marsh"]]))}
    ),
    "in a sheet of fit tests alone": (
        "people: {csv: p.csv, also: [f.xlsx]}\n",
        {"p.csv": b"id,name\nw,x\n", "f.xlsx": _workbook(("fit-tests", [["name", "date"], ["Ottilie Marsh", "x"]]))},
    ),
    "in a table of fit tests that is CSV": (
        "people: {csv: p.csv, also: f.csv}\n",
        {"p.csv": b"id,name\nw,x\n", "f.csv": b"Worker,Tested on\nOttilie Marsh,x\n"},
    ),
    "in a workbook that is damaged": ("people: p.xlsx\n", {"p.xlsx": _damaged(SOUND)}),
    "in a workbook in a list": ("people: [p.xlsx]\n", {"p.xlsx": SOUND}),
    "in a workbook under a wrong key": ("people: {xls: p.xlsx}\n", {"p.xlsx": SOUND}),
    "in a workbook, beside broken lines": ("people: p.xlsx\norganisation: [\n", {"p.xlsx": SOUND}),
    "in a workbook, in broken lines": ("people: {xlsx: p.xlsx\n", {"p.xlsx": SOUND}),
    "among former people": ("people: []\nformer_people:\n  - {id: w, name: Ottilie Marsh, left: 2026-01-02}\n", {}),
    "among former people, not as a list": ("former_people: {Ottilie Marsh: 2026-01-02}\n", {}),
    "among former people in broken lines": ("former_people:\n  - id: w\n   name: Ottilie Marsh\n", {}),
    "among former people beside a table that is not there": (
        "people: p.xlsx\nformer_people: [{id: w, name: Ottilie Marsh, left: 2026-01-02}]\n", {}
    ),
    "among former people beside a table that is damaged": (
        "people: p.xlsx\nformer_people: [{id: w, name: Ottilie Marsh, left: 2026-01-02}]\n", {"p.xlsx": SOUND[:900]}
    ),
    "at a post": ("posts: [{id: engine, people: [ottilie-marsh]}]\n", {}),
    "by those who were asked": ("procedures: {evaluation: {consultations: [{who: [ottilie-marsh]}]}}\n", {}),
    "as holder of a role": ("roles: [{id: r, title: x, holders: [ottilie-marsh], deputies: [the foreman]}]\n", {}),
    "as a deputy": ('roles: [{id: r, title: x, deputies: ["Ottilie Marsh, foreman"]}]\n', {}),
    "as a deputy of the officer, in broken lines": ('officer:\n  deputies: ["Ottilie Marsh"\n  name: x\n', {}),
}  # fmt: skip


@pytest.mark.parametrize("listed", BESIDE)
def test_a_worker_is_known_whatever_names_people_beside_the_list(listed: str, tmp_path: Path) -> None:
    """From the disk: a table is read for its names even where the description fails to name it."""
    text, files = BESIDE[listed]
    (tmp_path / "a.yaml").write_text('format: "Marsh"\nmasks: [{ottilie: x, facepiece: Marsh}]\ntasks: ottilie\n')
    (tmp_path / "p.yaml").write_text(text)
    for name, data in files.items():
        (tmp_path / name).write_bytes(data)
    checked = check_path(tmp_path, date(2026, 11, 24))
    assert not checked.is_understood
    for form in ("json", "sarif", "junit", "html", "md"):
        told = report_in(checked, form, False).decode()
        assert not any(name in told.lower() for name in TOLD), told
    told = report_in(checked, "md", False).decode()
    assert f"format: {STRUCK}" in told and "before the description can be understood" in told


@pytest.mark.parametrize("listed", LISTS)
def test_a_worker_is_known_however_the_people_are_listed(listed: str) -> None:
    people, table = LISTS[listed]
    files = {"a.yaml": 'format: "Marsh"\nmasks: [{ottilie: x, facepiece: Marsh}]\ntasks: ottilie\n', "p.yaml": people}
    held = {name: text.encode() for name, text in files.items()}
    held |= {"people.csv": table.encode("utf-8", "surrogateescape")} if table else {}
    checked = progdoc.check(progdoc.load(held, "shop"), on=date(2026, 11, 24))
    assert not checked.is_understood
    for form in ("json", "sarif", "junit", "html", "md"):
        told = report_in(checked, form, False).decode()
        assert not any(name in told.lower() for name in TOLD), told
    assert f"format: {STRUCK}" in report_in(checked, "md", False).decode()
    assert "Marsh" in report_in(checked, "json", True).decode()  # who may read names is told


def test_what_hinders_beside_the_description_names_nobody_either() -> None:
    values = copy.deepcopy(BASE)
    values["people"].append(WHO | {"id": "ottilie-marsh"})
    values["attachments"] = [{"id": "list", "title": "A list", "file": "lists/ottilie-marsh.pdf"}]
    told = _names_nobody({"shop.yaml": json.dumps(values)}, ("json", "sarif", "junit", "html", "md"))
    assert STRUCK in told


# ---- one text -------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("Nobody is meant.", "Nobody is meant."),
        ("`JO-MARSH`, jo marsh and Jo_Marsh", f"`{STRUCK}`, {STRUCK} and {STRUCK}"),
        ("Zoe\u0308 and ZOË", f"{STRUCK} and {STRUCK}"),
        ("zoës list", "zoës list"),  # a short name inside a longer word is none
        ("worker 12 of workers", f"{STRUCK} of workers"),
        ("worker 3", "worker 3"),
        ("“Ottil…” is cut off", f"“{STRUCK}…” is cut off"),
        ("李 and a. b", f"{STRUCK} and a. b"),
    ],
)
def test_what_is_struck_out_of_a_text(text: str, told: str) -> None:
    names = names_of(["jo-marsh", "worker-12", "worker-14", "worker-15"], ["Zoë A.", "李", "Ottilie"])
    assert struck_out(text, names) == told
