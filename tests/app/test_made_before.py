"""Whether documents are made again: only where what they follow from, or what stands there, is another."""

from __future__ import annotations

import os
import shutil
from collections.abc import Callable, Iterator
from datetime import date
from pathlib import Path

import pytest
from app.disk_faults import PowerCut, operations_of, stopped_at

from progdoc.app.build import manifest_info
from progdoc.app.check import Checked, with_look
from progdoc.app.disk.description_files import check_path
from progdoc.app.disk.made_before import NOTE, digests_below, made_before, noted
from progdoc.app.disk.output_folder import WriteResult, write_set
from progdoc.app.made_from import made_from
from progdoc.app.manifest import MANIFEST, SHEET, STAGING
from progdoc.core import resources

SHOP = Path(__file__).resolve().parents[2] / "sample_config" / "small_shop"
ON = date(2026, 6, 1)
FILES = {"program.md": b"program", "restricted/cards/jo-marsh.html": b"card"}


@pytest.fixture(scope="module")
def shop() -> Checked:
    return check_path(SHOP, ON)


def _placed(folder: Path, files: dict[str, bytes], shop: Checked) -> str:
    """Place a set; return by what a note knows it."""
    result = write_set(folder, files, manifest_info(shop))
    assert isinstance(result, WriteResult)
    return result.manifest_sha256


@pytest.fixture
def out(shop: Checked, tmp_path: Path) -> Path:
    folder = tmp_path / "out"
    noted(folder, "the same", _placed(folder, FILES, shop))
    return folder


def test_the_same_is_known_again(out: Path) -> None:
    found = made_before(out, "the same")
    assert found is not None and (found.written, found.removed) == ((), ())
    assert found.unchanged == tuple(sorted([*FILES, MANIFEST, f"restricted/{MANIFEST}"]))
    assert made_before(out, "another") is None


def test_a_note_of_a_set_that_another_run_has_replaced_since_is_about_that_set(out: Path, shop: Checked) -> None:
    """Two at once: the first has placed its set, the second one its own, then the first leaves its note."""
    first = _placed(out, {**FILES, "program.md": b"first"}, shop)
    second = _placed(out, {**FILES, "program.md": b"second"}, shop)
    noted(out, "first", first)
    assert made_before(out, "first") is None
    noted(out, "second", second)
    assert made_before(out, "second") is not None


ALTERED: dict[str, Callable[[Path], object]] = {
    "a page edited": lambda out: (out / "program.md").write_bytes(b"own words"),
    "a card removed": lambda out: (out / "restricted/cards/jo-marsh.html").unlink(),
    "a link in place of a page": lambda out: ((out / "program.md").unlink(), (out / "program.md").symlink_to("x")),
    "the manifest edited": lambda out: (out / MANIFEST).write_bytes((out / MANIFEST).read_bytes() + b"\n"),
    "no manifest": lambda out: (out / MANIFEST).unlink(),
    "no note": lambda out: (out / NOTE).unlink(),
    "a note that is none": lambda out: (out / NOTE).write_bytes(b"[]"),
    "a pipe in place of the note": lambda out: ((out / NOTE).unlink(), os.mkfifo(out / NOTE)),
    "a damaged note": lambda out: (out / NOTE).write_bytes(b"{"),
    "half placed": lambda out: (
        (out / STAGING).mkdir(),
        (out / STAGING / "journal.json").write_bytes(b'{"moves": []}'),
    ),
    "a file where the folder was": lambda out: (shutil.rmtree(out), out.write_bytes(b"")),
}


@pytest.mark.parametrize("alter", ALTERED.values(), ids=ALTERED)
def test_whatever_stands_there_otherwise_leads_to_all_being_made(alter: Callable[[Path], object], out: Path) -> None:
    alter(out)
    assert made_before(out, "the same") is None


def test_a_revision_that_was_issued_is_never_taken_for_a_set_of_documents(shop: Checked, tmp_path: Path) -> None:
    noted(tmp_path / "out", "the same", _placed(tmp_path / "out", {SHEET: b"{}", **FILES}, shop))
    assert made_before(tmp_path / "out", "the same") is None


def test_what_a_run_left_that_was_stopped_at_its_note_is_cleared(
    out: Path, shop: Checked, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(os, "fsync", lambda descriptor: None)
    total = operations_of(lambda: noted(out, "the same", "0" * 64))
    for step in range(1, total + 1):
        made = _placed(out, FILES, shop)
        noted(out, "the same", made)
        with pytest.raises(PowerCut), stopped_at(step):
            noted(out, "the same", made)
        if made_before(out, "the same") is None:
            noted(out, "the same", made)
        assert made_before(out, "the same") is not None, step
        assert not list(out.rglob(f"{STAGING}*")), step


def test_a_note_that_can_not_be_left_is_no_fault(out: Path, tmp_path: Path) -> None:
    (out / NOTE).unlink()
    (out / NOTE).symlink_to(tmp_path / "elsewhere")
    noted(out, "the same", "0" * 64)
    assert not (tmp_path / "elsewhere").exists()


def _changed(shop: Checked, folder: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[tuple[str, str]]:
    """Yield what the documents follow from, and the digest once that has changed."""
    packs = folder / "pack"
    packs.mkdir()
    (packs / "pack.yaml").write_bytes(b"a rule")
    here = digests_below([packs])
    yield "nothing", made_from(shop, ("md",), here)
    yield "formats", made_from(shop, ("md", "html"), here)
    yield "binder", made_from(shop, ("md",), here, binder=True)
    yield "forms as PDF", made_from(shop, ("md",), here, pdf_forms=True)
    (packs / "pack.yaml").write_bytes(b"another rule")
    yield "pack", made_from(shop, ("md",), digests_below([packs]))
    yield "day", made_from(check_path(SHOP, date(2026, 6, 2)), ("md",), here)
    yield "look", made_from(with_look(shop, {"look.yaml": b"footer: Ours\n"}), ("md",), here)
    copied = folder / SHOP.name
    shutil.copytree(SHOP, copied)
    yield "nothing either", made_from(check_path(copied, ON), ("md",), here)
    with (copied / "program.yaml").open("ab") as stream:
        stream.write(b"# a note\n")
    yield "description", made_from(check_path(copied, ON), ("md",), here)
    monkeypatch.setattr("progdoc.app.made_from.made_by", lambda: "another version")
    yield "program", made_from(shop, ("md",), here)


def test_whatever_they_follow_from_changes_the_digest(
    shop: Checked, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    found = dict(_changed(shop, tmp_path, monkeypatch))
    assert found.pop("nothing either") == found["nothing"]
    assert len(set(found.values())) == len(found)


def test_the_program_is_known_by_every_file_of_it(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A change of one sentence of a template, or of a library, makes another program."""
    (tmp_path / "code").mkdir()
    (tmp_path / "templates").mkdir()
    (tmp_path / "templates" / "use.md.j2").write_bytes(b"one")
    monkeypatch.setattr(resources, "files", lambda _name: tmp_path / "code")
    monkeypatch.setattr(resources, "templates_root", lambda: tmp_path / "templates")
    monkeypatch.syspath_prepend(str(tmp_path))
    made_by = resources.made_by.__wrapped__
    found = [made_by(), made_by()]
    (tmp_path / "templates" / "use.md.j2").write_bytes(b"two")
    found.append(made_by())
    (tmp_path / "code" / "rules.py").write_bytes(b"")
    found.append(made_by())
    (tmp_path / "jinja2-9.dist-info").mkdir()
    found.append(made_by())
    assert found[0] == found[1]
    assert len(set(found)) == 4
