"""A firm's own look at the edge: read from its folder alone, every fault told at once, frozen with the revision."""

from __future__ import annotations

import hashlib
import json
import os
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from programs.patching import AS_OF, BASE, PROGRAMS, read_as_text, written
from writers.docx_sample import drawing

import progdoc
from progdoc.app.disk.description_files import check_path, load_path
from progdoc.app.disk.issued_folder import Issued, issue
from progdoc.app.disk.look_folder import files_of_look
from progdoc.app.disk.renewal_folder import Renewed, renew
from progdoc.app.disk.verified_revision import verify
from progdoc.app.firm_look import look_in
from progdoc.cli import main
from progdoc.core.diagnostics import Diagnostic
from progdoc.core.unread import Unread

SAMPLE = Path(__file__).parents[2] / "sample_config" / "restoration_2026"
LOGO = (SAMPLE / "look" / "logo.svg").read_bytes()
VALUES = b'colours:\n  accent: "#7a2e1f"\nfooter: 12 Quarry Lane\npaper: A4\n'


# A look is worn by whatever is printed: by a firm without masks, whose papers are few.
FIRM = {**read_as_text((PROGRAMS / "nothing-in-use.yaml").read_text(encoding="utf-8")), "program": BASE["program"]}


def _faults(files: dict[str, bytes | Unread]) -> list[Diagnostic]:
    look, faults = look_in(files, "look")
    assert (look.look.templates, look.checksums) == ({}, {}) or not faults
    return faults


def _workplace(folder: Path, look: str | None = "look", **files: bytes) -> Path:
    values = {**FIRM, "program": {**BASE["program"], **({"look": look} if look else {})}}
    folder.mkdir(exist_ok=True)
    (folder / "program.yaml").write_text(written(values), encoding="utf-8")
    for name, data in files.items():
        file = folder / "look" / name.replace("__", "/").replace("_dot_", ".")
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_bytes(data)
    return folder


def _build(place: Path, out: Path, *more: str) -> int:
    return main(["build", str(place), "-o", str(out), "--on", AS_OF.isoformat(), "--only", "md,html", *more])


# ---- what look.yaml may say ---------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "code", "place", "told"),
    [
        ("color:\n  accent: a", "LOOK-004", "1:1", "Did you mean `colours`?"),
        ("colours:\n  acent: '#112233'", "LOOK-004", "2:3", "Did you mean `accent`?"),
        ("colours: red", "LOOK-004", "1:10", "no group"),
        ("colours: [red]", "LOOK-004", "1:10", "no group"),
        ("colours:\n  accent: red", "LOOK-004", "2:11", "is no colour: `red`"),
        ("colours:\n  accent: #7a2e1f", "YAML-033", "2:10", "is cut off before `#7a2e1f`"),
        ("colours:\n  accent:", "LOOK-004", "2:10", "says nothing"),
        ("colours:\n  accent: [a]", "LOOK-004", "2:11", "no single colour"),
        ("colours:\n  accent: '#7a2e1f0'", "LOOK-004", "2:11", "is no colour"),
        ("header: [a, b]", "LOOK-004", "1:9", "no single text"),
        (f"footer: {'long ' * 40}", "LOOK-004", "1:9", "120 fit"),
        ("paper: A5", "LOOK-004", "1:8", "`A5`"),
        ("paper: {a: b}", "LOOK-004", "1:8", "no sheet"),
        ("colours:\n  accent: '#c9a227'", "LOOK-005", "2:11", "the contrast is 2.4"),
        ("colours:\n  soft: '#767676'\n  shade: '#e0e0e0'", "LOOK-005", "2:9", "the shade #e0e0e0"),
        ("colours:\n  shade: '#223344'", "LOOK-005", "2:10", "the shade #223344"),
        ("header: a\nheader: b", "YAML-", "2:1", "header"),
        ("- a", "YAML-", "1:1", ""),
    ],
)
def test_a_value_that_will_not_do_is_told_with_its_place(text: str, code: str, place: str, told: str) -> None:
    faults = _faults({"look.yaml": text.encode()})
    first = faults[0]
    assert first.code.startswith(code)
    if code != "YAML-":
        assert str(first.location) == f"look/look.yaml:{place}"
    assert any(told in fault.what for fault in faults)
    assert all(fault.fix and fault.why for fault in faults)


def test_the_colour_that_a_message_proposes_can_be_read() -> None:
    (fault,) = _faults({"look.yaml": b"colours: {accent: '#c9a227'}"})
    proposed = fault.fix.partition('"')[2].partition('"')[0]
    assert _faults({"look.yaml": f'colours: {{accent: "{proposed}"}}'.encode()}) == []


def test_every_fault_of_a_look_is_told_at_once() -> None:
    files: dict[str, bytes | Unread] = {
        "look.yaml": b"papr: A4\ncolours: {accent: '#c9a227'}",
        "logo.svg": b"<svg/>",
        "logo.png": b"GIF",
        "reference.docx": b"no",
        "style.css": b"a{}\n@import 'x';",
        "templates/program/sections/use.md.j2": b"{% if %}",
        "templates/program/sections/use2.md.j2": b"",
        "Logo.jpg": b"",
        "link.css": Unread("is a link, which may lead out of the folder"),
    }
    assert sorted((d.code, str(d.location)) for d in _faults(files)) == [
        ("LOOK-002", "look/link.css"),
        ("LOOK-003", "look/Logo.jpg"),
        ("LOOK-003", "look/templates/program/sections/use2.md.j2"),
        ("LOOK-004", "look/look.yaml:1:1"),
        ("LOOK-005", "look/look.yaml:2:19"),
        ("LOOK-006", "look/logo.png"),
        ("LOOK-006", "look/logo.svg"),
        ("LOOK-006", "look/logo.svg"),
        ("LOOK-007", "look/reference.docx"),
        ("LOOK-008", "look/style.css:2:1"),
        ("LOOK-009", "look/templates/program/sections/use.md.j2:1:1"),
    ]


@pytest.mark.parametrize(
    ("name", "data", "told"),
    [
        ("logo.png", bytes(600_000), "500,000 are the most"),
        ("style.css", b" " * 600_000, "500,000 are the most"),
        ("style.css", b"\xff\xfe", "UTF-8"),
        ("templates/program/sections/use.md.j2", b"\xff", "UTF-8"),
        ("look.yaml", b"footer: " + b"x" * 200_000, "bytes"),
    ],
)
def test_what_is_too_large_or_no_text_is_told(name: str, data: bytes, told: str) -> None:
    assert any(told in fault.what for fault in _faults({name: data}))


# ---- the folder ---------------------------------------------------------------------------------------


@pytest.mark.parametrize("look", ["../look", "/etc", ".", "..", "a/../../b", "look\\x", "nowhere"])
def test_a_folder_elsewhere_or_nowhere_is_refused_and_nothing_written(look: str, tmp_path: Path, capsys: Any) -> None:
    (tmp_path / "look").mkdir()
    (tmp_path / "look" / "look.yaml").write_bytes(VALUES)
    place = _workplace(tmp_path / "shop", look)
    assert _build(place, tmp_path / "out") == 2
    assert not (tmp_path / "out").exists()
    told = capsys.readouterr().err
    assert "LOOK-001" in told
    assert "program.yaml:" in told


def test_links_and_pipes_are_not_followed(tmp_path: Path) -> None:
    secret = tmp_path / "secret.yaml"
    secret.write_text("footer: secret")
    look = tmp_path / "look"
    (look / "templates").mkdir(parents=True)
    (look / "look.yaml").symlink_to(secret)
    (look / "templates" / "program").symlink_to(tmp_path, target_is_directory=True)
    os.mkfifo(look / "style.css")
    found = files_of_look(look)
    assert isinstance(found, dict)
    assert {name: type(data) for name, data in found.items()} == dict.fromkeys(
        ("look.yaml", "style.css", "templates/program"), Unread
    )
    assert {d.code for d in look_in(found, "look")[1]} == {"LOOK-002"}
    outside = tmp_path / "shop"
    outside.mkdir()
    (outside / "look").symlink_to(look, target_is_directory=True)
    assert isinstance(files_of_look(outside / "look", outside), Unread)


def test_a_folder_without_end_is_bounded(tmp_path: Path) -> None:
    deep = tmp_path / "look" / "/".join("abcdefgh")
    deep.mkdir(parents=True)
    (deep / "x.css").write_bytes(b"")
    for number in range(320):
        (tmp_path / "look" / f"z{number}").write_bytes(b"")
    with (tmp_path / "look" / "big.css").open("wb") as stream:
        stream.truncate(21_000_000)
    found = files_of_look(tmp_path / "look")
    assert isinstance(found, dict)
    assert len(found) == 301
    told = [data.why for data in found.values() if isinstance(data, Unread)]
    assert any("too large" in why for why in told)
    assert any("over 300 files" in why for why in told)
    assert any("deeper" in why for why in told)


def test_what_a_desk_leaves_in_a_folder_is_passed_over(tmp_path: Path) -> None:
    files = {".DS_Store": b"x", "~$reference.docx": b"x", "Thumbs.db": b"x", "README.md": b"x", "look.yaml": VALUES}
    for name, data in files.items():
        (tmp_path / name).write_bytes(data)
    assert files_of_look(tmp_path) == {"look.yaml": VALUES}


# ---- worn ---------------------------------------------------------------------------------------------


def test_a_look_is_built_listed_and_the_same_twice(tmp_path: Path) -> None:
    place = _workplace(tmp_path / "shop", look_dot_yaml=VALUES, logo_dot_svg=LOGO, style_dot_css=b"h1 { color: #222 }")
    assert [_build(place, tmp_path / out) for out in ("one", "two")] == [0, 0]
    one, two = (
        {f.relative_to(o): f.read_bytes() for f in o.rglob("*") if f.is_file()}
        for o in (tmp_path / "one", tmp_path / "two")
    )
    assert one == two
    manifest = json.loads(one[Path("manifest.json")])
    assert manifest["look"] == {
        name: hashlib.sha256((place / "look" / name).read_bytes()).hexdigest()
        for name in ("logo.svg", "look.yaml", "style.css")
    }
    for name in ("program.html", "gaps.html", "restricted/people.html"):
        page = one[Path(name)].decode()
        assert "--accent-ink: #7a2e1f;" in page, name
        assert "h1 { color: #222 }" in page, name
        assert "size: A4" in page, name
        assert ('class="logo"' in page) is (name == "program.html"), name


def test_the_paper_of_the_description_goes_before_that_of_the_look(tmp_path: Path) -> None:
    values = {**FIRM, "program": {**BASE["program"], "look": "look", "paper": "Letter"}}
    checked = progdoc.check(progdoc.load({"p.yaml": written(values).encode(), "look/look.yaml": VALUES}), AS_OF)
    assert "size: letter" in progdoc.build(checked, ("html",))["program.html"].decode()


def test_a_look_on_the_command_line_goes_before_that_of_the_description(tmp_path: Path, capsys: Any) -> None:
    place = _workplace(tmp_path / "shop", look_dot_yaml=VALUES)
    other = tmp_path / "other"
    other.mkdir()
    (other / "look.yaml").write_bytes(b'colours: {accent: "#224422"}')
    assert _build(place, tmp_path / "out", "--look", str(other)) == 0
    assert "--accent-ink: #224422;" in (tmp_path / "out" / "program.html").read_text()
    (other / "look.yaml").write_bytes(b"colours: {accent: yellow}")
    before = (tmp_path / "out" / "program.html").read_bytes()
    assert _build(place, tmp_path / "out", "--look", str(other)) == 2
    assert "is no colour: `yellow`" in capsys.readouterr().err
    assert _build(place, tmp_path / "out", "--look", str(tmp_path / "nowhere")) == 2
    assert "is not there" in " ".join(capsys.readouterr().err.split())
    assert (tmp_path / "out" / "program.html").read_bytes() == before


def test_a_program_that_holds_all_in_memory_gives_a_look_by_name() -> None:
    checked = progdoc.check(progdoc.load({"p.yaml": written(FIRM).encode()}), AS_OF)
    look = {"look.yaml": VALUES, "logo.png": drawing()}
    files = progdoc.build(checked, ("html", "docx"), look=look)
    assert isinstance(files, dict)
    assert b"data:image/png;base64," in files["program.html"]
    assert set(json.loads(files["manifest.json"])["look"]) == set(look)
    faults = progdoc.build(checked, ("html",), look={"look.yaml": b"paper: A5", "logo.png": b""})
    assert isinstance(faults, list)
    assert [fault.code for fault in faults] == ["LOOK-004", "LOOK-006"]
    assert "look" not in json.loads(progdoc.build(checked, ("md",))["manifest.json"])


def test_check_tells_what_is_wrong_with_the_look_of_a_description(tmp_path: Path, capsys: Any) -> None:
    place = _workplace(
        tmp_path / "shop", templates__program__sections__use_dot_md_dot_j2=b"# Use {#use}\n\n{{ nobody }}"
    )
    assert main(["check", str(place), "--on", AS_OF.isoformat()]) == 2
    out = capsys.readouterr().out
    assert "look/templates/program/sections/use.md.j2:3:1" in out
    assert "'nobody' is undefined" in out


# ---- frozen, renewed ----------------------------------------------------------------------------------


def test_an_issued_revision_keeps_its_look_and_a_renewal_goes_on_with_it(tmp_path: Path) -> None:
    place = _workplace(tmp_path / "shop", look_dot_yaml=VALUES, logo_dot_svg=LOGO)
    done = issue(place, tmp_path / "issued", AS_OF)
    assert isinstance(done, Issued), done
    frozen = done.folder / "restricted" / "description"
    assert (frozen / "look" / "logo.svg").read_bytes() == LOGO
    assert "--accent-ink: #7a2e1f;" in (done.folder / "program.html").read_text()
    assert verify(done.folder).faults == []
    assert check_path(frozen, AS_OF).worn.look.footer == "12 Quarry Lane"
    (place / "look" / "look.yaml").write_bytes(VALUES + b"header: new\n")
    again = issue(place, tmp_path / "issued", AS_OF)
    assert isinstance(again, list)
    assert [fault.code for fault in again] == ["ISSUE-003"]
    opened = renew(done.folder, date(2027, 3, 1), tmp_path / "next", AS_OF)
    assert isinstance(opened, Renewed), opened
    assert (tmp_path / "next" / "look" / "logo.svg").read_bytes() == LOGO
    assert check_path(tmp_path / "next", date(2027, 3, 1)).worn.look.footer == "12 Quarry Lane"


def test_the_sample_wears_the_look_beside_it() -> None:
    checked = progdoc.check(load_path(SAMPLE), date(2026, 11, 24))
    assert set(checked.worn.look.colours) == {"accent", "soft"}
    assert checked.worn.look.logo is not None
    assert checked.worn.look.footer.startswith("Brook & Lintel Restoration")
