"""Whatever is read, however broken: a finding with its place, no fault of progdoc, nothing told that may not be.

Few examples on each change; twenty thousand at night (`tests/nightly.sh`).
"""

from __future__ import annotations

import io
import json
from datetime import date
from functools import cache
from pathlib import Path
from zipfile import ZipFile

import openpyxl
import pytest
from app.signing_keys import HERS, HIS, private_file, public_line
from examples import examples
from fuzz.broken import HEALTH, WORKER, broken_bytes, broken_lines, broken_tables, broken_trees, written
from hypothesis import HealthCheck, given
from hypothesis import strategies as st
from model.long_inputs import people_table
from programs.patching import PROGRAMS, read_as_text

import progdoc
from progdoc.app.due import due_report
from progdoc.app.renewal_answers import answers_in
from progdoc.app.report_formats import report_in
from progdoc.app.selection_json import selection_json
from progdoc.app.ssh_signature import NotSignedError, allowed_keys, signed_by, signer_of
from progdoc.cli import main
from progdoc.document.papers.renewal_questions import Asked
from progdoc.rules.reading.catalogue import catalogue_with
from progdoc.writers.zip_bytes import stored_zip

DAY = date(2026, 11, 24)
SHOP = Path("sample_config/small_shop/program.yaml")
SOUND = ("shop", "base", "varnishing", "fire-fighting", "washington-shop", "everything-said")
STATES = Path("progdoc/catalogue/states")
PACKS = (Path("tests/packs/valley"), STATES / "washington", STATES / "california")
IN_PACKS = [(folder, file.name) for folder in PACKS for file in sorted(folder.glob("*.yaml"))]
MANIFEST = b"{}"
KEY, ALLOWED = private_file(HERS), b"officer@firm.example " + public_line(HERS) + b"\n# his\n" + public_line(HIS)
SIGNATURE = signer_of(KEY).sign(MANIFEST)
FORMS = ("json", "sarif", "junit", "html", "md")


@cache
def _sound(name: str) -> object:
    path = SHOP if name == "shop" else PROGRAMS / f"{name}.yaml"
    values = read_as_text(path.read_text(encoding="utf-8"))
    values.pop("attachments", None)
    for person in values.get("people", []):
        person["name"] = f"{WORKER} {person['id']}"
    return values


def _hold(files: dict[str, bytes]) -> None:
    """Read, judge and report; what is not understood names no worker, and of health nothing is repeated."""
    loaded = progdoc.load(files, "shop")
    checked = progdoc.check(loaded, on=DAY)
    assert checked.is_understood or any(d.location.file and d.what and d.fix for d in checked.report.findings)
    assert not any(HEALTH in f"{d.what} {d.fix} {d.location.path}" for d in loaded.diagnostics)
    if not checked.is_understood:
        told = json.dumps(json.loads(report_in(checked, "json", False)), ensure_ascii=False)
        assert WORKER not in told.replace(f"shop/{WORKER}", "")
        return
    for form in FORMS:
        assert report_in(checked, form, False)
    assert selection_json(checked, None)
    if checked.judged is not None:
        assert due_report(checked.judged, 365, "json")


@examples(60)
@given(st.sampled_from(SOUND).flatmap(lambda n: broken_trees(_sound(n))))
def test_a_description_with_broken_parts(tree: object) -> None:
    _hold({"program.yaml": written(tree)})


@examples(60)
@given(broken_bytes(SHOP.read_bytes()))
def test_a_description_with_broken_bytes(data: bytes) -> None:
    _hold({"program.yaml": data})


@examples(40)
@given(broken_tables(people_table(3).replace("Person", WORKER)))
def test_a_broken_table_of_people(table: bytes) -> None:
    program = b"format: 1\npeople: {csv: people.csv, spare_columns: yes}\n"
    _hold({"program.yaml": program, "people.csv": table})


COLUMNS = b"""dates: m/d/y
sheets:
  Staff: {rows: people, columns: {"Emp #": id, Employee: name, Locker: not used}}
  Tests: {rows: fit-tests, columns: {Tested by: tester}}
  Old: not used
"""


@cache
def _kept_workbook() -> bytes:
    book = openpyxl.Workbook()
    staff, tests = book.active, book.create_sheet("Tests")
    staff.title = "Staff"
    staff.append(["Emp #", "Employee", "mask", "medical_date", "medical_recommendation", "Locker"])
    tests.append(["id", "date", "mask", "Tested by", "result"])
    for n in range(3):
        staff.append([f"p-{n}", f"{WORKER} {n}", "half-mask", DAY, "cleared", HEALTH])
        tests.append([f"p-{n}", "2/17/2026", "half-mask", "Ada", "pass"])
    stream = io.BytesIO()
    book.save(stream)
    with ZipFile(stream) as archive:  # the same bytes every day: its writer notes when it wrote
        return stored_zip({name: archive.read(name) for name in archive.namelist() if "docProps" not in name})


@examples(40)
@given(inside=st.booleans(), data=st.data())
def test_a_broken_workbook_and_what_is_said_of_its_columns(inside: bool, data: st.DataObject) -> None:
    sound = _kept_workbook()
    book = _repacked(sound, data) if inside else data.draw(broken_bytes(sound))
    columns = data.draw(st.one_of(st.just(COLUMNS), broken_bytes(COLUMNS)))
    program = b"format: 1\npeople: people.xlsx\nmasks: [{id: half-mask}]\n"
    _hold({"program.yaml": program, "people.xlsx": book, "people.columns.yaml": columns})


@examples(20)
@given(chosen=st.sampled_from(IN_PACKS), data=st.data())
def test_a_broken_pack_of_rules(
    chosen: tuple[Path, str], data: st.DataObject, tmp_path_factory: pytest.TempPathFactory
) -> None:
    pack, name = chosen
    folder = tmp_path_factory.mktemp("pack")
    for file in pack.iterdir():
        (folder / file.name).write_bytes(file.read_bytes())
    sound = pack / name
    trees = broken_trees(read_as_text(sound.read_text(encoding="utf-8"))).map(written)
    (folder / name).write_bytes(data.draw(st.one_of(trees, broken_bytes(sound.read_bytes()))))
    catalogue, faults = catalogue_with([folder])
    assert all(fault.location.file and fault.what for fault in faults)
    if not faults:
        checked = progdoc.check(progdoc.load({"p.yaml": SHOP.read_bytes()}, "p"), DAY, catalogue)
        assert report_in(checked, "json", False)


@examples(60)
@given(
    key=st.one_of(st.just(KEY), broken_bytes(KEY), broken_lines(KEY)),
    allowed=st.one_of(st.just(ALLOWED), broken_bytes(ALLOWED), broken_lines(ALLOWED)),
    signature=st.one_of(st.just(SIGNATURE), broken_bytes(SIGNATURE), broken_lines(SIGNATURE)),
)
def test_broken_keys_and_signatures(key: bytes, allowed: bytes, signature: bytes) -> None:
    """Whatever is broken: a reason in a line, or what was signed and by whom; never a signature that does not hold."""
    try:
        assert signer_of(key).sign(MANIFEST) == SIGNATURE
    except NotSignedError as why:
        assert str(why).isprintable()
    try:
        found = signed_by(signature, MANIFEST, allowed_keys(allowed))
        assert signer_of(KEY).fingerprint in found
    except NotSignedError as why:
        assert str(why)


@pytest.fixture(scope="module")
def sheets(tmp_path_factory: pytest.TempPathFactory) -> dict[str, bytes]:
    """A worksheet of a renewal, as a Word file, as a PDF and as a browser keeps it."""
    home = tmp_path_factory.mktemp("renewal")
    assert main(["renew", str(SHOP), "--effective", "2027-01-04", "-o", str(home / "next"), "--on", "2026-12-01"]) == 0
    fields = {"renewal.summary": "x", "renewal.of": "y"}
    kept = json.dumps({"format": "progdoc-answers/1", "fields": fields}).encode()
    sheets = {f"a.{ending}": home / "next" / "restricted" / f"renewal-worksheet.{ending}" for ending in ("docx", "pdf")}
    return {"a.json": kept, **{name: file.read_bytes() for name, file in sheets.items()}}


def _repacked(data: bytes, draw: st.DataObject) -> bytes:
    """Return a Word file with one of its parts broken: what is outside is sound."""
    packed = io.BytesIO()
    with ZipFile(io.BytesIO(data)) as archive, ZipFile(packed, "w") as broken:
        chosen = draw.draw(st.sampled_from(archive.namelist()))
        for name in archive.namelist():
            content = archive.read(name)
            broken.writestr(name, draw.draw(broken_bytes(content)) if name == chosen else content)
    return packed.getvalue()


@examples(30)
@given(name=st.sampled_from(["a.docx", "a.json", "a.pdf"]), inside=st.booleans(), data=st.data())
def test_a_broken_worksheet(sheets: dict[str, bytes], name: str, inside: bool, data: st.DataObject) -> None:
    sound = sheets[name]
    broken = _repacked(sound, data) if inside and name == "a.docx" else data.draw(broken_bytes(sound))
    asked: list[Asked] = []
    found = answers_in(broken, name, asked, "of-the-shop")
    assert not isinstance(found, list) or all(fault.code.startswith("RENEW-") and fault.fix for fault in found)


@examples(12, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    command=st.sampled_from(["build", "issue", "renew", "check", "due"]),
    data=broken_trees(_sound("shop")).map(written),
)
def test_a_refusal_writes_nothing(
    command: str, data: bytes, tmp_path_factory: pytest.TempPathFactory, capfd: pytest.CaptureFixture[str]
) -> None:
    home = tmp_path_factory.mktemp("home")
    file = home / "program.yaml"
    file.write_bytes(data)
    out = str(home / "out")
    arguments = {
        "build": ["-o", out, "--only", "md", "--on", str(DAY)],
        "issue": ["--into", out, "--on", str(DAY)],
        "renew": ["-o", out, "--effective", "2027-01-04", "--on", str(DAY)],
        "check": ["-o", out, "--format", "json", "--on", str(DAY)],
        "due": ["-o", out, "--format", "csv", "--on", str(DAY)],
    }
    status = main([command, str(file), *arguments[command]])
    told = capfd.readouterr()
    assert status in (0, 1, 2), told.err
    assert "fault of progdoc" not in told.err and "Traceback" not in told.err
    if status == 2 and command != "check":
        assert sorted(path.name for path in home.iterdir()) == ["program.yaml"]
    assert HEALTH not in told.out + told.err
