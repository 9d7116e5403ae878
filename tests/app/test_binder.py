"""The binder: everything once, in order, in one file that can be heard and leafed through; workers named apart."""

from __future__ import annotations

import re
import subprocess
from collections.abc import Iterator
from datetime import date
from functools import cache
from io import BytesIO
from pathlib import Path
from shutil import copytree
from typing import Any

import pikepdf
import pytest

from progdoc.app.build import build
from progdoc.app.check import check
from progdoc.app.disk.description_files import load_path
from progdoc.app.manifest import files_in
from progdoc.rules.reading.catalogue import built_in_catalogue

SHOP = Path(__file__).parents[2] / "sample_config" / "small_shop"
ON = date(2026, 11, 24)
TEXT = b"Information on respirators for whoever wears one by choice, as it was printed."


def _built(folder: Path) -> dict[str, bytes]:
    files = build(check(load_path(folder), ON, built_in_catalogue()), (), binder=True)
    assert isinstance(files, dict)
    return files


@cache
def _png() -> bytes:
    from progdoc.document.pictures.svg_png import png_of

    return png_of('<svg xmlns="http://www.w3.org/2000/svg" width="40" height="20"><rect width="40" height="9"/></svg>')


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("shop") / "shop"
    copytree(SHOP, folder)
    (folder / "text.txt").write_bytes(TEXT)
    (folder / "plan.png").write_bytes(_png())
    described = (folder / "program.yaml").read_text(encoding="utf-8")
    spoken = described.replace("\nprogram:\n", "\nprogram:\n  languages: [en, es]\n")
    (folder / "program.yaml").write_text(spoken, encoding="utf-8")
    with (folder / "program.yaml").open("a", encoding="utf-8") as description:
        description.write(
            "attachments:\n  - {id: official, title: The official text, file: text.txt}\n"
            "  - {id: plan, title: Plan of the shop, file: plan.png}\n"
        )
    return folder


@pytest.fixture(scope="module")
def files(shop: Path) -> dict[str, bytes]:
    return _built(shop)


def _titles(items: Any) -> Iterator[str]:
    for item in items:
        yield item.title
        yield from _titles(item.children)


def test_one_file_holds_every_part_under_a_bookmark(files: dict[str, bytes]) -> None:
    with pikepdf.open(BytesIO(files["binder.pdf"])) as file, file.open_outline() as outline:
        assert file.Root.MarkInfo.Marked and file.Root.StructTreeRoot is not None
        top = [item.title for item in outline.root]
        inside = list(_titles(outline.root))
        assert top[2:] == [
            "El programa y su anexo (es)",
            "Task pages",
            "Hojas de las tareas (es)",
            "Forms",
            "Formularios (es)",
            "Training · Capacitación",
            "Attachments · Adjuntos",
        ]
        assert {"The official text", "Plan of the shop", "Training record"} <= set(inside)
        parts = [name for name in files if re.fullmatch(r"binder/.*\.pdf", name)]
        sheets = sum(len(pikepdf.open(BytesIO(files[name])).pages) for name in parts)
        assert len(file.pages) > len(parts)
        assert sheets - len(file.pages) < 12  # its contents stand in the place of those of program and annex


def test_a_binder_in_two_languages_has_a_cover_in_both_and_each_foot_in_that_of_its_paper(
    files: dict[str, bytes],
) -> None:
    read = subprocess.run(
        ["pdftotext", "-layout", "-", "-"], input=files["binder.pdf"], capture_output=True, check=True
    )
    pages = [" ".join(page.split()) for page in read.stdout.decode().split("\f")[:-1]]
    assert "Revision · Revisión" in pages[0] and "Contents · Contenido" in pages[0]
    feet = [re.findall(r"Page \d+ of \d+|Página \d+ de \d+", page)[-1][:4] for page in pages]
    spanish = [n for n, page in enumerate(pages) if "Programa de protección respiratoria" in page and n > 3]
    assert feet[0] == "Page" and spanish and {feet[n] for n in spanish} == {"Pági"}
    restricted = subprocess.run(["pdftotext", "-", "-"], input=files["restricted/binder.pdf"], capture_output=True)
    assert "People annex · Anexo de personas" in restricted.stdout.decode()


def test_the_folder_has_its_parts_in_order_and_leads_to_each(files: dict[str, bytes]) -> None:
    names = sorted(name.removeprefix("binder/") for name in files if name.startswith("binder/"))
    page = files[f"binder/{names[0]}"].decode()
    links = [link for link in re.findall(r'href="([^"#]+)"', page) if not link.startswith("..")]
    assert links == names[1:]
    assert names[1] == "01-program.pdf" and names[2] == "02-annex.pdf"
    assert [name.partition("-")[2][3:] for name in names[-2:]] == ["official.txt", "plan.png"]
    assert files[f"binder/{names[-2]}"] == TEXT
    assert set(files_in(files["manifest.json"])) >= {"binder.pdf", *(f"binder/{name}" for name in names)}


def test_links_inside_the_folder_lead_to_files_of_the_set(files: dict[str, bytes]) -> None:
    lost = []
    for name, data in files.items():
        if not (name == "binder.pdf" or re.fullmatch(r"binder/.*\.pdf", name)):
            continue
        for target in _uris(data):
            place = (Path(name).parent / target.partition("#")[0]).as_posix().replace("binder/../", "")
            if not target.startswith(("https:", "mailto:")) and place not in files:
                lost.append((name, target))
    assert lost == []


def _uris(data: bytes) -> Iterator[str]:
    with pikepdf.open(BytesIO(data)) as file:
        for page in file.pages:
            for note in page.get("/Annots", []):
                if "/A" in note and "/URI" in note.A:
                    yield str(note.A.URI)


def test_workers_are_named_in_the_binder_apart_alone(files: dict[str, bytes]) -> None:
    with pikepdf.open(BytesIO(files["restricted/binder.pdf"])) as file, file.open_outline() as outline:
        titles = list(_titles(outline.root))
    cards = [title.partition(": ")[2] for title in titles if title.startswith("Mask card: ")]
    assert len(cards) == 4
    told = subprocess.run(["pdftotext", "-", "-"], input=files["binder.pdf"], capture_output=True, check=True).stdout
    for name in ("Tess Rowan", "Omar Finch"):  # the two who hold no role
        assert name in cards
        assert name not in told.decode() and name.encode() not in files["binder/00-contents.html"]
    assert "restricted/binder.pdf" not in files_in(files["manifest.json"])


def test_the_same_description_gives_the_same_binder(shop: Path, files: dict[str, bytes]) -> None:
    assert _built(shop) == files


def test_without_the_option_nothing_is_bound() -> None:
    plain = build(check(load_path(SHOP), ON, built_in_catalogue()), ())
    assert isinstance(plain, dict)
    assert [name for name in plain if "binder" in name] == []
