"""The papers at the desk: the whole set in one file, what is restricted marked, a file attached."""

from __future__ import annotations

import io
import zipfile
from pathlib import Path
from shutil import copy

import pytest
from desk.browsing import Browser, Page
from programs.patching import PROGRAMS

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


def test_every_paper_is_listed_or_in_the_set_and_what_names_people_is_marked(desk: Browser) -> None:
    page = desk.get("/papers/set.zip")
    assert page.headers["content-type"] == "application/zip"
    with zipfile.ZipFile(io.BytesIO(page.content)) as packed:
        held = {name: packed.read(name) for name in packed.namelist()}
    assert held == build(desk.sitting.checked())
    page = desk.get("/papers")
    ways = ("/papers/", "/read/")  # away, and on the screen with the way back above it
    listed = {link.removeprefix(way) for link in page.links for way in ways if link.startswith(way)}
    bound = {"binder.pdf", "restricted/binder.pdf"}
    assert {"program.docx", "program.pdf", "restricted/people.html", *bound} <= listed <= {*held, *bound, "set.zip"}
    restricted = [
        line for line in page.text.splitlines() if "/papers/restricted/" in line or "/read/restricted/" in line
    ]
    assert page.text.count("restricted: names people") == len(restricted) > 0
    shown = desk.get("/papers/restricted/people.html")
    assert shown.content == held["restricted/people.html"]
    for name in bound:
        assert desk.get(f"/papers/{name}").content.startswith(b"%PDF"), name
    for name in ("restricted/../program.yaml", "restricted/binder-2.pdf", "program.exe"):
        assert desk.get(f"/papers/{name}").status == 404, name


def test_every_link_of_the_papers_opens_in_every_language_of_the_people(desk: Browser) -> None:
    """Each leads to a paper, to one on the screen with the way back, or to another page of the desk."""
    desk.sitting.path.write_bytes(
        desk.sitting.path.read_bytes().replace(b"{id: nora, ", b"{id: nora, own_language: es, ", 1)
    )
    links = dict.fromkeys(link for link in desk.get("/papers").links if link.startswith("/") and "#" not in link)
    assert {"/papers/tasks/sand-casts.docx", "/papers/tasks/es/sand-casts.docx", "/read/es/program.html"} <= {*links}
    opened = {link: desk.get(link) for link in links}
    framed = {link: page.text.partition('<iframe src="')[2].partition('"')[0] for link, page in opened.items()}
    opened |= {f"{link} framed": desk.get(framed[link]) for link in links if link.startswith("/read/")}
    assert {link: page.status for link, page in opened.items() if page.status != 200} == {}


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


def test_of_several_sites_one_is_chosen_and_only_its_work_shown(tmp_path: Path) -> None:
    copy(PROGRAMS / "plant-with-bodies.yaml", tmp_path / "program.yaml")
    desk = Browser(tmp_path / "program.yaml")
    for address in ("/due", "/work"):
        assert f"{address}?site=tank-yard" in desk.get(address).links
        of_yard, of_hall = desk.get(f"{address}?site=tank-yard").text, desk.get(f"{address}?site=north-hall").text
        assert of_yard != of_hall and '<strong aria-current="page">Tank yard</strong>' in of_yard
        assert '<strong aria-current="page">all</strong>' in desk.get(f"{address}?site=nowhere").text
    assert "<h2>Mixing stain" not in desk.get("/work?site=tank-yard").text
    assert "<h2>Mixing stain" in desk.get("/work").text
    assert "/papers/set.zip?site=tank-yard" in desk.get("/papers").links
    with zipfile.ZipFile(io.BytesIO(desk.get("/papers/set.zip?site=tank-yard").content)) as packed:
        assert {name for name in packed.namelist() if name.startswith("tasks/")} >= {"tasks/clean-tank.html"}
        assert not [name for name in packed.namelist() if "mix-stain" in name]


def test_who_came_is_counted_in_public_named_to_the_officer_and_any_two_revisions_compare_again(desk: Browser) -> None:
    """29 CFR 1910.134(c)(1): the program is kept up to date; what became of it can be read when it is."""
    path = desk.sitting.path
    text = path.read_text(encoding="utf-8")
    entry = text[text.index("  - {id: omar, name") :].rstrip("\n")
    lines = ["summary: First issue}"]
    for number in range(1, 4):
        if number == 2:
            text = text.replace("tess, omar]}", "tess, omar, eli]}", 1).rstrip("\n") + "\n"
            text += entry.replace("id: omar", "id: eli").replace("Omar Finch", "Eli Moss") + "\n"
        if number > 1:
            said = ", ".join(lines)
            lines.append(f'{{revision: "{number}", date: 2026-03-0{number + 1}, by: Nora Quill, summary: Kept up}}')
            text = text.replace(said, ", ".join(lines), 1)
            text = text.replace(f'revision: "{number - 1}"\n', f'revision: "{number}"\n', 1)
        path.write_text(text, encoding="utf-8")
        done = desk.sitting.issue()
        assert not isinstance(done, list), done
    assert "/compared?old=revision-2&new=revision-3" in desk.get("/papers").links
    asked = "/compared/paper?old=revision-1&new=revision-2"
    public, named = desk.get(asked).text, desk.get(f"{asked}&names=yes").text
    assert "4 → 5" in public and "Sanding white casts" in public
    assert "Eli Moss" not in public and "Eli Moss" in named
    assert "4 → 5" not in desk.get("/compared/paper?old=revision-2&new=revision-3").text
    for wrong in ("?old=revision-9", "?old=revision-1&new=..", "?old=../revision-1"):
        assert desk.get(f"/compared{wrong}").status == 404, wrong
