"""Texts whose content the law binds: silence is a gap that says where they are; an attached one stays unchanged."""

from __future__ import annotations

import hashlib
import json
from pathlib import Path
from typing import Any

import pytest
import yaml
from programs.patching import AS_OF, patched, written
from published_value import published

from progdoc.app.check import check
from progdoc.cli import main
from progdoc.model.load import load

TEXT = "An official text on respirators stands here, as it was published.\r\nNothing in it is changed.\n".encode(
    "utf-16"
)
GIVEN_IN_WRITING = {
    "procedures.voluntary_use.appendix_d": "attached",
    "procedures.voluntary_use.appendix_d_attachment": "appendix-d",
}
ATTACHED = {"id": "appendix-d", "title": "Appendix D as published", "file": "texts/D.TXT", "date": "2026-01-12"}


def description(folder: Path, changes: dict[str, Any]) -> Path:
    (folder / "texts").mkdir(parents=True)
    (folder / "texts" / "D.TXT").write_bytes(TEXT)
    (folder / "program.yaml").write_text(yaml.safe_dump(patched(changes)), encoding="utf-8")
    return folder


@pytest.fixture(scope="module")
def built(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("texts")
    source = description(folder / "in", {"set": {**GIVEN_IN_WRITING, "attachments": [ATTACHED]}})
    assert main(["build", str(source), "-o", str(folder / "out"), "--on", AS_OF.isoformat()]) == 0
    return folder / "out"


def test_an_attached_text_goes_into_the_package_unchanged(built: Path) -> None:
    assert (built / "attachments" / "appendix-d.txt").read_bytes() == TEXT


def test_the_program_lists_it_with_its_day_and_checksum(built: Path) -> None:
    digest = hashlib.sha256(TEXT).hexdigest()
    for name in ("program.html", "program.md"):
        text = (built / name).read_text(encoding="utf-8").replace(" ", "")
        assert digest in text
        assert "12January2026" in text
        assert "attachments/appendix-d.txt" in text.replace("\\", "")
    listed = (built / "manifest.json").read_text(encoding="utf-8")
    assert digest in listed


def test_our_own_summary_is_marked_as_not_the_official_text(built: Path) -> None:
    assert "It is not the official text of Appendix D" in (built / "annex.md").read_text(encoding="utf-8")


@published("29 CFR 1910.134(k)(6): Appendix D; (e)(2)(ii): Appendix C")
@pytest.mark.parametrize(
    ("drop", "code"),
    [("procedures.voluntary_use.appendix_d", "VOL-001"), ("procedures.medical.questionnaire", "MED-006")],
)
def test_silence_is_a_required_gap_that_says_where_the_text_is_published(drop: str, code: str, tmp_path: Path) -> None:
    file, out = tmp_path / "program.yaml", tmp_path / "gaps.json"
    file.write_text(yaml.safe_dump(patched({"drop": [drop]})), encoding="utf-8")
    assert main(["check", str(file), "--on", AS_OF.isoformat(), "--format", "json", "-o", str(out)]) == 1
    found = json.loads(out.read_text(encoding="utf-8"))["findings"]
    finding = next(f for f in found if f["code"] == code)
    assert finding["severity"] == "required"
    assert "Code of Federal" in finding["fix"]


def test_a_text_that_is_promised_and_not_there_is_refused(tmp_path: Path) -> None:
    missing = {**ATTACHED, "file": "texts/missing.txt"}
    source = description(tmp_path / "in", {"set": {**GIVEN_IN_WRITING, "attachments": [missing]}})
    assert main(["build", str(source), "-o", str(tmp_path / "out"), "--on", AS_OF.isoformat()]) == 2
    assert not (tmp_path / "out").exists()


# ---- what is attached is a text -----------------------------------------------------------------------

WORDS = b"Information on respirators for whoever wears one without being asked to."


@pytest.mark.parametrize(
    ("file", "content", "why"),
    [
        ("appendix-d.txt", b" \n\n ", "blank"),
        ("appendix-d.txt", bytes(4000), "blank"),
        ("appendix-d.txt", b"x", "hardly a word"),
        ("appendix-d.txt", b"TBD - to be found", "hardly a word"),
        ("appendix-d.txt", b"Monday: soup. Tuesday: pasta and salad. Wednesday: fish.", "nothing of respirators"),
        ("appendix-d.html", b"<script>alert(1)</script>", "hardly a word"),
        ("appendix-d.pdf", WORDS, "is called .pdf, and is none"),
        ("appendix-d.docx", WORDS, "is called .docx, and is none"),
        ("appendix-d.docx", b"PK\x05\x06" + bytes(18), "is called .docx, and is none"),
        ("appendix-d.png", WORDS, "is called .png, and is none"),
        ("appendix-d.url", b"[InternetShortcut] URL=https://far.example/respirators/appendix-d", "a link or a program"),
        ("appendix-d.exe", WORDS, "a link or a program"),
    ],
)
def test_a_file_that_is_no_text_answers_no_duty(file: str, content: bytes, why: str) -> None:
    def told(name: str, data: bytes) -> list[str]:
        values = patched({"set": {**GIVEN_IN_WRITING, "attachments": [{**ATTACHED, "file": name}]}})
        found = check(load({"program.yaml": written(values).encode(), name: data}), AS_OF).report.findings
        return [one.what for one in found if one.code == "ATT-003"]

    (what,) = told(file, content)
    assert why in what
    assert told("appendix-d.txt", WORDS) == []
