"""The papers at the desk: the whole set in one file, what is restricted marked, a file attached."""

from __future__ import annotations

import io
import zipfile
from pathlib import Path
from shutil import copy

import pytest
from desk.browsing import Browser, Page

from progdoc.app.build import build

SHOP = Path(__file__).resolve().parents[2] / "sample_config" / "small_shop" / "program.yaml"
PDF = b"%PDF-1.7\n%\xe2\xe3\xcf\xd3\n1 0 obj\n"


@pytest.fixture
def desk(tmp_path: Path) -> Browser:
    copy(SHOP, tmp_path / "program.yaml")
    return Browser(tmp_path / "program.yaml")


def attach(desk: Browser, name: str, data: bytes, title: str = "Appendix D, official text") -> Page:
    sent = {"token": desk.get("/papers").hidden["token"][0], "title": title}
    return desk.send("POST", "/attach", sent, {"origin": desk.door.origin}, {"file": (name, data)})


def test_the_whole_set_is_taken_away_in_one_file(desk: Browser) -> None:
    page = desk.get("/papers/set.zip")
    assert page.headers["content-type"] == "application/zip"
    with zipfile.ZipFile(io.BytesIO(page.content)) as packed:
        held = {name: packed.read(name) for name in packed.namelist()}
    assert held == build(desk.sitting.checked())
    assert desk.get("/papers/set.zip").content == page.content, "of one description the same bytes"


def test_every_paper_that_is_listed_is_there_and_what_names_people_is_marked(desk: Browser) -> None:
    page = desk.get("/papers")
    listed = [link for link in page.links if link.startswith("/papers/")]
    assert {"/papers/program.docx", "/papers/program.pdf", "/papers/restricted/people.html"} <= set(listed)
    made = {f"/papers/{name}" for name in build(desk.sitting.checked())} | {"/papers/set.zip"}
    assert set(listed) <= made
    for link in ("/papers/program.docx", "/papers/restricted/people.html"):
        assert desk.get(link).status == 200, link
    restricted = [line for line in page.text.splitlines() if "/papers/restricted/" in line]
    marked = page.text.count("restricted: names people")
    assert marked == len(restricted) > 0
    for name in ("restricted/../program.yaml", "manifest", "restricted/people", "program.exe", "tasks/none.html"):
        assert desk.get(f"/papers/{name}").status == 404, name


def test_a_file_is_attached_and_offered_where_one_is_asked_for(desk: Browser) -> None:
    page = attach(desk, "../../Scan of D.PDF", PDF)
    assert page.status == 200 and "Appendix D, official text" in page.text
    (one,) = desk.sitting.checked().loaded.program.attachments  # type: ignore[union-attr]
    assert (one.id, one.file) == ("appendix-d-official-text", "appendix-d-official-text.pdf")
    beside = sorted(entry.name for entry in desk.sitting.path.parent.iterdir() if entry.is_file())
    assert beside == ["appendix-d-official-text.pdf", "program.yaml"]
    assert (desk.sitting.path.parent / one.file).read_bytes() == PDF
    again = attach(desk, "other.pdf", PDF + b"2")
    assert again.status == 200 and (desk.sitting.path.parent / one.file).read_bytes() == PDF, "nothing is written over"
    assert 'value="appendix-d-official-text"' in desk.get("/ask/health-professional").text
    assert desk.post("/undo", {"token": desk.get("/papers").hidden["token"]}).status == 200


def test_only_files_that_are_what_they_seem_are_taken(desk: Browser) -> None:
    before = desk.sitting.path.read_bytes()
    for name, data in {
        "a.pdf": b"MZ\x90",
        "a.exe": b"MZ\x90",
        "a": PDF,
        "a.yaml": b"format: 1\n",
        "a.docx": PDF,
    }.items():
        assert attach(desk, name, data).status == 422, name
    assert attach(desk, "a.pdf", PDF, title=" ").status == 422
    assert attach(desk, "a.pdf", PDF + b"x" * 5_000_000).status == 422
    assert attach(desk, "a.pdf", PDF + b"x" * 6_000_000).status == 413
    assert desk.sitting.path.read_bytes() == before and len(list(desk.sitting.path.parent.iterdir())) == 1
