"""Comparing through the public door: descriptions, folders and issued revisions, in any mix."""

from __future__ import annotations

import json
import shutil
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from app.test_forgeries import rewrite_manifests
from comparison.trial import AS_OF, base, written
from examples import some
from programs.patching import PROGRAMS
from published_value import published

from progdoc.app.compare import Compared, compared_files, summary_lines
from progdoc.app.disk.compared_paths import compare_paths
from progdoc.app.disk.description_files import load_path
from progdoc.app.disk.issued_folder import Issued, issue
from progdoc.app.disk.manifest_files import digest
from progdoc.app.disk.output_folder import WriteResult, verify_set, write_complete
from progdoc.app.disk.verified_chain import verify_all
from progdoc.app.disk.verified_revision import verify
from progdoc.comparison.changes import Cause

PACKS = Path(__file__).resolve().parents[1] / "packs"
SAMPLES = Path(__file__).resolve().parents[2] / "sample_config"
ON = date(2026, 11, 24)


def _compared(old: Path, new: Path, on: date = ON) -> Compared:
    result = compare_paths(old, new, on)
    assert isinstance(result, Compared), [(d.code, d.what) for d in result]
    return result


@pytest.mark.parametrize("sample", some(["people_table", "restoration_2026", "first_draft", "restoration_2025"], 2))
def test_a_sample_compared_with_itself_is_empty(sample: str) -> None:
    assert _compared(SAMPLES / sample, SAMPLES / sample).comparison.is_empty


@pytest.fixture(scope="module")
def issued(tmp_path_factory: pytest.TempPathFactory, base_issued: Issued) -> Path:
    folder = tmp_path_factory.mktemp("issued")
    shutil.copytree(base_issued.folder.parent, folder, dirs_exist_ok=True)
    return folder / base_issued.folder.name


def test_files_folders_and_revisions_in_any_mix(issued: Path, tmp_path: Path) -> None:
    written(base(), tmp_path / "folder" / "program.yaml")
    kinds = [PROGRAMS / "base.yaml", tmp_path / "folder", issued]
    for old, new in zip(kinds, [*kinds[1:], kinds[0]], strict=True):  # each is the old one once, and the new one
        assert _compared(old, new, AS_OF).comparison.is_empty, (old, new)


def test_an_old_format_can_be_compared_with_today_s() -> None:
    comparison = _compared(PROGRAMS / "formats" / "format-0.yaml", PROGRAMS / "base.yaml", AS_OF).comparison
    assert [change.place for change in comparison.description] == [
        "hazards.sash-lead.environmental_rule",
        "hazards.sash-lead.exposure.results.[2026-03-10 TWA].method",
        "people.jo-marsh.surveillance.[2025-08-04]",
        "people.jo-marsh.surveillance.[2026-03-02]",
        "people.ravi-stone.surveillance.[2025-08-04]",
        "people.ravi-stone.surveillance.[2026-03-02]",
        "procedures.emergencies.out_with_mask_on",
    ]


def test_what_time_brought_is_told_apart(issued: Path) -> None:
    comparison = _compared(issued, PROGRAMS / "base.yaml", date(2027, 3, 1)).comparison
    assert comparison.description == ()
    assert {change.cause for change in comparison.meaning} == {Cause.TIME}
    assert any(change.place.startswith("FIT-") for change in comparison.meaning)


def _next() -> Any:
    """Return the next revision: fit tests every six months, and one wearer who lost his."""
    values = base()
    values["program"]["revision"] = "2026.2"
    values["program"]["history"].append({**values["program"]["history"][0], "revision": "2026.2"})
    values["procedures"]["fit_testing"]["interval"] = "6 months"
    values["people"][0]["fit_tests"] = []
    return values


@pytest.fixture(scope="module")
def by_packs(issued: Path) -> Path:
    """The next revision beside the first one, issued by a state's pack that asks for fit tests every six months."""
    result = issue(written(_next(), issued.parent / "next.yaml"), issued.parent, AS_OF, [PACKS / "half_yearly"])
    assert isinstance(result, Issued), result
    return result.folder


def test_a_pack_of_rules_is_told_as_a_change_of_rules(issued: Path, by_packs: Path) -> None:
    compared = _compared(issued, by_packs, AS_OF)
    comparison = compared.comparison
    by_rules = {change.place for change in comparison.meaning if change.cause is Cause.RULES}
    assert "figures.fit-test-interval" in by_rules
    assert not [place for place in by_rules if place.startswith("FIT-022")]
    answered = [change.place for change in comparison.kept_up if change.cause is Cause.RULES]
    assert [place for place in answered if place.startswith("FIT-022")] == answered != []
    told = map(list, summary_lines(comparison, compared.names))
    lines = {block[0].text: [line.text for line in block[1:]] for block in told}
    assert lines["By other rules"][0] == f"{comparison.old.rules} → {comparison.new.rules}"
    assert lines["By other rules"][1] == "half-yearly: new, 1"
    assert "half-yearly" in comparison.new.rules
    assert "half-yearly" not in comparison.old.rules


def test_a_pack_that_is_named_binds_both_sides(issued: Path) -> None:
    result = compare_paths(issued, PROGRAMS / "base.yaml", AS_OF, [PACKS / "half_yearly"])
    assert isinstance(result, Compared)
    assert result.comparison.description == ()
    assert {change.cause for change in result.comparison.meaning} == {Cause.RULES}
    assert any(change.place.startswith("FIT-022") for change in result.comparison.meaning)


@published("8 CCR 5155, Table AC-1: titanium dioxide 10 mg/m³; 29 CFR 1910.1000, Table Z-1: 15 mg/m³")
def test_each_side_is_judged_by_the_rules_of_its_own_states_and_a_move_is_a_change_of_the_description() -> None:
    samples = PROGRAMS.parents[1] / "sample_config"
    result = compare_paths(samples / "small_shop", samples / "shop_in_california", AS_OF)
    assert isinstance(result, Compared)
    told = result.comparison
    assert "california" in told.new.rules and "california" not in told.old.rules
    dust = [change for change in told.meaning if "8 CCR 5155, Table AC-1" in str(change)]
    assert dust and {change.cause for change in dust} == {Cause.DESCRIPTION}
    here = compare_paths(samples / "shop_in_california", samples / "shop_in_california", AS_OF)
    assert isinstance(here, Compared) and here.comparison.meaning == ()


def test_a_revision_is_proved_and_made_again_by_the_packs_that_it_holds(by_packs: Path, tmp_path: Path) -> None:
    assert verify(by_packs).faults == []
    chain = verify_all(by_packs.parent)
    assert chain is not None
    assert chain.faults == ()
    assert [line.split(",")[0] for line in chain.revisions] == ["revision-2026.1", "revision-2026.2"]
    assert "Revision 2026.2 holds the digest of revision 2026.1." in chain.proved
    folder = shutil.copytree(by_packs.parent, tmp_path / "issued") / by_packs.name
    (folder / "rules" / "01" / "values.yaml").write_text("values: []\n")
    assert [d.code for d in verify(folder).faults] == ["ISSUE-006"]
    told = verify_all(tmp_path / "issued", digest(folder / "manifest.json"))
    assert told is not None
    assert [d.code for d in told.faults] == ["ISSUE-006"]
    assert any("revision-2026.2: Its digest is the one" in sentence for sentence in told.proved)
    shutil.rmtree(folder / "rules")
    rewrite_manifests(folder)
    assert {d.code for d in verify(folder).faults} == {"ISSUE-009"}


def test_what_other_rules_brought_is_told_apart(by_packs: Path, tmp_path: Path) -> None:
    """The frozen report of an earlier version of the rules lacks a finding that today's rules make."""
    folder = shutil.copytree(by_packs, tmp_path / by_packs.name)
    report = folder / "restricted" / "gaps.json"
    told = json.loads(report.read_bytes())
    told["findings"] = [finding for finding in told["findings"] if not finding["code"].startswith("FIT-")]
    report.write_text(json.dumps(told))
    sheet = folder / "issue.json"
    sheet.write_text(json.dumps({**json.loads(sheet.read_bytes()), "rules": "us-federal 2025.1"}))
    comparison = _compared(folder, written(_next(), tmp_path / "program.yaml"), AS_OF).comparison
    assert comparison.meaning
    assert {change.cause for change in comparison.meaning} == {Cause.RULES}
    assert comparison.old.rules == "us-federal 2025.1"


def test_every_fault_of_both_sides_is_told(tmp_path: Path) -> None:
    (tmp_path / "a.yaml").write_text("format: 1\ntaks: []\n")
    (tmp_path / "b.yaml").write_text("format: 1\nmsks: []\n")
    result = compare_paths(tmp_path / "a.yaml", tmp_path / "b.yaml", ON)
    assert isinstance(result, list)
    assert [d.code for d in result] == ["MODEL-001", "MODEL-001"]
    missing = compare_paths(tmp_path / "none.yaml", tmp_path / "b.yaml", ON)
    assert isinstance(missing, list)
    assert missing[0].code == "YAML-001"


def test_the_files_of_a_comparison(tmp_path: Path) -> None:
    result = _compared(SAMPLES / "restoration_2025", SAMPLES / "restoration_2026")
    assert not result.comparison.is_empty
    done = write_complete(tmp_path / "out", compared_files(result, "Ada Brook").items())
    assert isinstance(done, WriteResult)
    assert verify_set(tmp_path / "out") == []
    for name in ("summary.html", "comparison.html", "comparison.json", "redline.html", "redline.docx"):
        assert (tmp_path / "out" / name).is_file()
    names = [person.name for person in _people(SAMPLES / "restoration_2026") if person.name]
    roles = _roles(SAMPLES)
    public = [file for file in (tmp_path / "out").iterdir() if file.suffix in (".html", ".md", ".json")]
    leaks = [
        (name, file.name)
        for name in names
        for file in public
        if name not in roles and name in file.read_text(encoding="utf-8")
    ]
    assert leaks == []


def _people(path: Path) -> tuple[Any, ...]:
    program = load_path(path).program
    assert program is not None
    return program.people


def _roles(samples: Path) -> str:
    """What the description itself says outside of `people`: who holds a role stands in the program."""
    return "\n".join(
        file.read_text(encoding="utf-8")
        for sample in ("restoration_2025", "restoration_2026")
        for file in (samples / sample).glob("*.yaml")
        if file.name != "people.yaml"
    )
