"""The edge: what is named beside a description is read within bounds, and only where it is an ordinary file."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from progdoc.app.attachments import attached_files, missing_attachments
from progdoc.app.disk.description_files import load_path
from progdoc.core.unread import Unread

NAMED = "format: 1\nattachments:\n  - {id: text, title: A text, file: %s}\n"


def described(folder: Path, file: str = "text.pdf") -> Path:
    (folder / "shop.yaml").write_text(NAMED % file, encoding="utf-8")
    return folder


def told(folder: Path) -> list[str]:
    return [fault.what for fault in missing_attachments(load_path(folder))]


def test_an_attachment_is_read_once_with_the_description(tmp_path: Path) -> None:
    (tmp_path / "texts").mkdir()
    (tmp_path / "texts" / "one.PDF").write_bytes(b"text")
    loaded = load_path(described(tmp_path, "./texts/one.PDF"))
    (tmp_path / "texts" / "one.PDF").unlink()
    assert attached_files(loaded) == {"attachments/text.pdf": b"text"}


@pytest.mark.parametrize("name", ["text.pdf", "../outside.pdf", "pipe.pdf", "folder.pdf", "link.pdf", "x" * 300])
def test_what_is_no_ordinary_file_inside_the_folder_is_no_attachment(name: str, tmp_path: Path) -> None:
    inside = tmp_path / "inside"
    (inside / "folder.pdf").mkdir(parents=True)
    (tmp_path / "outside.pdf").write_bytes(b"not ours")
    (inside / "link.pdf").symlink_to(tmp_path / "outside.pdf")
    os.mkfifo(inside / "pipe.pdf")
    (what,) = told(described(inside, name))
    assert what.startswith((f"There is no file `{name}`", f"`{name}` cannot be read"))


def test_attachments_are_held_in_memory_and_so_have_a_bound(tmp_path: Path) -> None:
    with (tmp_path / "text.pdf").open("wb") as file:
        file.truncate(200_000_001)  # takes no room on the disk, and is not read
    assert told(described(tmp_path)) == ["`text.pdf` is too large, over 200,000,000 bytes."]


def test_a_table_or_a_file_of_yaml_that_is_too_large_is_not_read(tmp_path: Path) -> None:
    (tmp_path / "shop.yaml").write_text("format: 1\npeople: {csv: people.csv}\n", encoding="utf-8")
    for name in ("people.csv", "huge.yaml"):
        with (tmp_path / name).open("wb") as file:
            file.truncate(20_000_001)
    loaded = load_path(tmp_path)
    assert {fault.code for fault in loaded.diagnostics} == {"CSV-003", "YAML-005"}
    assert all(isinstance(loaded.files[name], Unread) for name in ("people.csv", "huge.yaml"))


def test_two_names_that_no_terminal_can_tell_apart_are_refused(tmp_path: Path) -> None:
    for byte in (b"\xfe", b"\xff"):
        (Path(os.fsdecode(os.fsencode(tmp_path) + b"/" + byte + b".yaml"))).write_text("format: 1\n", encoding="utf-8")
    (fault,) = load_path(tmp_path).diagnostics
    assert (fault.code, fault.location.file) == ("YAML-003", "\ufffd.yaml")
