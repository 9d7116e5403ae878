"""Renewing: the next number, an open history entry, all else byte for byte; a worksheet of what to look at again."""

from __future__ import annotations

import difflib
from datetime import date
from pathlib import Path

import pytest
from comparison.trial import AS_OF, base, written
from examples import some
from programs.patching import PROGRAMS, checked_by, patched

from progdoc.app.disk.description_files import load_path
from progdoc.app.disk.issued_folder import Issued, issue
from progdoc.app.disk.renewal_folder import Renewed, renew
from progdoc.cli import main
from progdoc.document.papers.renewal_questions import asked_of
from progdoc.rules.reading.catalogue import built_in_catalogue

EFFECTIVE = date(2027, 3, 1)


def _renewed(path: Path, out: Path, since: Path | None = None) -> Renewed:
    result = renew(path, EFFECTIVE, out, AS_OF, since)
    assert isinstance(result, Renewed), [(d.code, d.what) for d in result]
    return result


def test_only_number_date_and_history_change(tmp_path: Path) -> None:
    _renewed(PROGRAMS / "base.yaml", tmp_path / "next")
    old = (PROGRAMS / "base.yaml").read_bytes().decode().splitlines(keepends=True)
    new = (tmp_path / "next" / "base.yaml").read_bytes().decode().splitlines(keepends=True)
    changed = [line for line in difflib.ndiff(old, new) if line[0] in "+-"]
    assert changed == [
        '-   revision: "2026.1"\n',
        '+   revision: "2027.1"\n',
        "-   effective: 2026-03-01\n",
        "+   effective: 2027-03-01\n",
        '+     - revision: "2027.1"\n',
        "+       date: 2027-03-01\n",
        "+       by: Ada Brook\n",
        '+       summary: "Renewal opened; say here what changed before it is issued."\n',
        *(f"+ {line}" for line in new[new.index("renewal:\n") :]),  # what the worksheet asks, behind all the rest
    ]


@pytest.mark.parametrize("sample", some(["restoration_2026", "restoration_2025"], 2))
def test_the_samples_can_be_renewed_and_only_one_file_changes(sample: str, tmp_path: Path) -> None:
    source = Path(__file__).resolve().parents[2] / "sample_config" / sample
    result = _renewed(source, tmp_path / "next")
    copies = [file for file in result.written if (source / file.name).is_file()]
    assert [file.name for file in copies if file.read_bytes() != (source / file.name).read_bytes()] == ["program.yaml"]
    program = load_path(tmp_path / "next").program
    assert program is not None
    assert (program.program.revision, program.program.effective) == (result.revision, EFFECTIVE)


@pytest.mark.parametrize("folder", ["", "../"])
def test_a_schema_that_lay_beside_lies_beside_the_next(folder: str, tmp_path: Path) -> None:
    file = tmp_path / "shop" / "program.yaml"
    file.parent.mkdir()
    named = f"# yaml-language-server: $schema={folder}program.schema.json\n"
    file.write_bytes(named.encode() + (PROGRAMS / "base.yaml").read_bytes())
    written = {one.name for one in _renewed(file.parent, tmp_path / "next").written}
    assert ("program.schema.json" in written) is (folder == "")


def test_an_opened_revision_cannot_be_issued_before_somebody_says_what_changed(tmp_path: Path) -> None:
    _renewed(PROGRAMS / "base.yaml", tmp_path / "next")
    refused = issue(tmp_path / "next", tmp_path / "issued", AS_OF)
    assert isinstance(refused, list)
    assert {d.code for d in refused} == {"ISSUE-002", "PRG-072", "EVA-011", "TXT-001"}


def test_the_worksheet_lists_what_gets_old_who_to_confirm_and_what_falls_due(tmp_path: Path) -> None:
    values = base()
    values["hazards"][0]["exposure"]["results"][0]["date"] = "2026-02-10"
    values["procedures"]["evaluation"]["findings"] = [
        {"id": "boxes", "date": "2026-02-20", "what": "Two storage boxes missing", "owner": "Jo Marsh"}
    ]
    values["accepted"] = [{"code": "EXP-012", "reason": "Booked", "by": "Ada Brook", "until": "2026-12-31"}]
    _renewed(written(values, tmp_path / "program.yaml"), tmp_path / "next")
    page = (tmp_path / "next" / "restricted" / "renewal-worksheet.html").read_text(encoding="utf-8")
    for words in (
        "lead in “Scraping sash windows”</th><td>Dated: 10 February 2026",
        "Ravi Stone</th><td>Job: Joiner<br>Tasks: Scraping sash windows",
        "TC-21C-0000",
        "Limit: 50 µg/m³",
        "Two storage boxes missing",
        "Fit test of Jo Marsh",
        "Until: 31 December 2026; it has ended",
    ):
        assert words in page, words
    assert (tmp_path / "next" / "restricted" / "renewal-worksheet.docx").is_file()


def test_who_came_and_left_since_the_last_issue(base_issued: Issued, tmp_path: Path) -> None:
    values = base()
    values["people"][1] |= {"id": "lena-hart", "name": "Lena Hart", "medical": []}
    values["tasks"][0]["people"] = ["jo-marsh", "lena-hart"]
    _renewed(written(values, tmp_path / "new" / "program.yaml"), tmp_path / "next", base_issued.folder)
    page = (tmp_path / "next" / "restricted" / "renewal-worksheet.html").read_text(encoding="utf-8")
    assert "Left since the last issue: Ravi Stone (" in page
    assert "Came since the last issue: Lena Hart (" in page
    assert "Compared with revision 2026.1" in page
    assert "Looking ahead to" in page
    assert "valuated on" not in page  # nobody evaluates anything on a day to come


def test_an_issued_revision_can_be_renewed(base_issued: Issued, tmp_path: Path) -> None:
    assert _renewed(base_issued.folder, tmp_path / "next").revision == "2027.1"


def test_nothing_is_written_over_and_nothing_left_behind(tmp_path: Path) -> None:
    out = tmp_path / "next"
    out.mkdir()
    (out / "mine.txt").write_text("mine")
    refused = renew(PROGRAMS / "base.yaml", EFFECTIVE, out, AS_OF)
    assert isinstance(refused, list)
    assert [d.code for d in refused] == ["RENEW-001"]
    assert [file.name for file in out.iterdir()] == ["mine.txt"]


@pytest.mark.parametrize(
    ("revision", "effective", "code"),
    [("first", EFFECTIVE, "RENEW-003"), ("9" * 5000, EFFECTIVE, "RENEW-003"), ("7", AS_OF, "")],
)
def test_the_next_number_must_be_plain(revision: str, effective: date, code: str, tmp_path: Path) -> None:
    values = base()
    values["program"]["revision"] = revision
    result = renew(written(values, tmp_path / "program.yaml"), effective, tmp_path / "next", AS_OF)
    assert ([d.code for d in result] if isinstance(result, list) else [""]) == [code]


def test_a_revision_does_not_take_effect_before_the_last_one(tmp_path: Path) -> None:
    result = renew(PROGRAMS / "base.yaml", date(2026, 3, 1), tmp_path / "next", AS_OF)
    assert isinstance(result, list)
    assert [d.code for d in result] == ["RENEW-005"]


def test_a_day_whose_rules_are_not_known_is_refused(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as stopped:
        main(["renew", str(PROGRAMS / "base.yaml"), "--effective", "2010-01-01", "-o", str(tmp_path / "next")])
    assert stopped.value.code == 2
    assert "2010-01-01 can't be judged for" in capsys.readouterr().err


def test_roles_rules_steps_suppliers_and_texts_of_the_firm_are_shown_to_be_looked_at_again() -> None:
    """Whatever of them two firms of the suite have stands beside a question: no renewal carries it on unseen."""
    for name in ("campus-with-groups", "plant-with-bodies"):
        judged = checked_by(built_in_catalogue(), patched({"program": name})).judged
        assert judged is not None
        shown = "\n".join(line for asked in asked_of(judged) for line in asked.item.lines)
        program = judged.description
        told = [role.title for role in program.roles] + [rule.says for rule in program.house_rules]
        told += [body.part for body in program.bodies if body.part] + [one.means for one in program.definitions]
        told += [group.name for group in program.groups if not group.covered]
        told += [own.title for own in program.own_sections] + [s.name for s in program.procedures.air_supply.suppliers]
        told += [step.action for task in program.tasks for step in task.steps]
        told += [use.when for task in program.tasks for use in task.masks if use.when]
        assert told and [one for one in told if one not in shown] == [], name
