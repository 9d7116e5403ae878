"""A pack adds, replaces and tightens requirements as data alone; a faulty one is refused in plain words."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from shutil import copy

import pytest
from programs.patching import AS_OF, BASE, PROGRAMS, judged_by, patched

from progdoc.app.disk.description_files import check_path
from progdoc.app.disk.issued_rules import frozen_packs
from progdoc.cli import main
from progdoc.core.diagnostics import Severity
from progdoc.core.paper_language import EDGE, language_of
from progdoc.core.report import Status
from progdoc.core.resources import catalogue_root
from progdoc.core.said import said_in
from progdoc.rules.reading.catalogue import (
    Catalogue,
    built_in_catalogue,
    catalogue_with,
    read_catalogue,
    shipped_sources,
)
from progdoc.rules.reading.dated_values import Figures
from progdoc.rules.reading.pack import read_pack
from progdoc.rules.reading.rule_faults import rule_faults
from progdoc.rules.requirement import Requirement

PACKS = Path(__file__).parents[1] / "packs"
FEDERAL = catalogue_root() / "us_federal"
VALLEY = read_catalogue(FEDERAL, PACKS / "valley")


def rule(catalogue: Catalogue, code: str, day: date = AS_OF) -> Requirement:
    return next(r for r in catalogue.in_force(day) if r.code == code)


def status(values: dict[str, object], code: str, folder: Path) -> Status:
    return next(v.status for v in judged_by(VALLEY, values, folder).verdicts if v.requirement.code == code)


def test_a_pack_tightens_a_requirement_by_changing_one_key(tmp_path: Path) -> None:
    federal, local = rule(built_in_catalogue(), "FIT-022"), rule(VALLEY, "FIT-022")
    assert (federal.proof.value, local.proof.value) == ("12 months", "6 months")
    assert (local.why, local.applies, local.severity) == (
        federal.why.replace("12 months", "6 months"),
        federal.applies,
        federal.severity,
    )
    assert local.citations == ("Valley Mask Rule, 5.1", "29 CFR 1910.134(f)(2)")
    assert status(BASE, "FIT-022", tmp_path) is Status.GAP
    assert status(patched({"set": {"procedures.fit_testing.interval": "6 months"}}), "FIT-022", tmp_path) is Status.MET


def test_the_finding_quotes_the_local_limit_and_rule(tmp_path: Path) -> None:
    finding = next(d for d in judged_by(VALLEY, BASE, tmp_path).findings if d.code == "FIT-022")
    assert "12 months" in finding.what
    assert "at most 6 months" in finding.what
    assert finding.citation == "Valley Mask Rule, 5.1"


def test_a_pack_without_a_title_goes_by_its_name_and_lacks_are_told_at_its_beginning(tmp_path: Path) -> None:
    file = tmp_path / "pack.yaml"
    for text, title in (
        ('pack: vale\nversion: "1"\n', "vale"),
        ('pack: vale\nversion: "1"\ntitle: The Vale\n', "The Vale"),
    ):
        file.write_text(text, encoding="utf-8")
        assert read_pack(tmp_path, {}).title == title
    file.write_text("pack: vale\n", encoding="utf-8")
    (fault,) = read_pack(tmp_path, {}).faults
    assert (fault.location.line, fault.location.column, fault.what) == (1, 1, "`version` is missing.")


def test_a_pack_replaces_a_requirement_and_keeps_its_paragraphs_answered(tmp_path: Path) -> None:
    local = rule(VALLEY, "STO-001")
    assert local.name == "masks-not-stored-in-a-locked-place"
    assert "29 CFR 1910.134(h)(2)(i)" in local.citations
    assert status(BASE, "STO-001", tmp_path) is Status.MET
    assert status(patched({"set": {"procedures.storage.covered": "no"}}), "STO-001", tmp_path) is Status.GAP


def test_a_pack_adds_a_requirement(tmp_path: Path) -> None:
    assert "VAL-001" not in {r.code for r in built_in_catalogue().requirements}
    assert status(BASE, "VAL-001", tmp_path) is Status.MET
    assert status(patched({"drop": ["officer.deputies"]}), "VAL-001", tmp_path) is Status.GAP
    assert rule(VALLEY, "VAL-001").who == "The officer"


def test_the_federal_requirement_binds_until_the_local_one_is_in_force() -> None:
    assert rule(VALLEY, "FIT-022", date(2025, 12, 31)).proof.value == "12 months"
    assert rule(VALLEY, "FIT-022", date(2026, 1, 1)).proof.value == "6 months"
    codes = [r.code for r in VALLEY.in_force(date(2026, 12, 31))]
    assert "VAL-002" not in codes
    assert len(codes) == len(set(codes))
    assert "VAL-002" in {r.code for r in VALLEY.in_force(date(2027, 1, 1))}


def test_every_report_names_all_packs(tmp_path: Path) -> None:
    report = judged_by(VALLEY, BASE, tmp_path).report("0")
    assert (report.rules_pack, report.rules_version) == (f"{built_in_catalogue().pack}+valley", VALLEY.version)


def test_nothing_else_changes(tmp_path: Path) -> None:
    def others(catalogue: Catalogue) -> list[tuple[str, object]]:
        found = judged_by(catalogue, BASE, tmp_path).verdicts
        touched = ("FIT-022", "STO-001", "VAL-001")
        return [(v.requirement.code, v.status) for v in found if v.requirement.code not in touched]

    assert others(VALLEY) == others(built_in_catalogue())


def test_the_built_in_pack_passes_the_checks_of_a_users_pack() -> None:
    pack, figures = read_pack(FEDERAL, shipped_sources()), Figures()
    figures.add(pack, pack.entries, pack.sources)
    entries = [whole for entry in pack.entries for whole in figures.resolved(entry)]
    assert len(entries) == len(pack.entries) and figures.faults == []
    written = {entry.keys["code"]: entry.keys for entry in entries}
    assert [fault.what for entry in entries for fault in rule_faults(entry, written)] == []


FAULTS = [
    ("PACK-001", "torn.yaml", "stops making sense"),
    ("PACK-002", "pack.yaml", "Did you mean `title`?"),
    ("PACK-002", "rules.yaml:25:5", "Did you mean `proof`?"),
    ("PACK-003", "pack.yaml", "`version` is missing"),
    ("PACK-003", "rules.yaml:23:5", "BAD-003 lacks `name`, `proof`, `duty`"),
    ("PACK-004", "rules.yaml:7:14", "Did you mean `tight-fitting`?"),
    ("PACK-004", "rules.yaml:10:11", "nothing fills in {size}"),
    ("PACK-004", "rules.yaml:8:12", "the description has no `procedures.fit_testing.intervall`"),
    ("PACK-004", "rules.yaml:16:10", "`per: worker` is not known"),
    ("PACK-004", "rules.yaml:17:15", "`severity: strict` is not known"),
    ("PACK-004", "rules.yaml:13:11", "three capitals"),
    ("PACK-004", "rules.yaml:14:11", "is no name"),
    ("PACK-004", "rules.yaml:18:12", "can't be compared with `6 ppm`"),
    ("PACK-004", "rules.yaml:29:12", "Did you mean `fit-test-not-overdue`?"),
    ("PACK-004", "rules.yaml:37:15", "`in_force: next year` is not a day"),
    ("PACK-005", "rules.yaml:44:5", "Did you mean `FIT-022`?"),
    ("PACK-006", "rules.yaml:51:5", "twice for the same time"),
    ("PACK-007", "rules.yaml:47:12", "at most 24 months is looser than at most 12 months"),
    ("PACK-007", "rules.yaml:50:10", "`why` puts other words in the place of those of a rule that asks the same"),
    ("PACK-007", "rules.yaml:48:15", "`severity: advice` is softer than required"),
]


def test_every_fault_of_a_pack_is_found_in_one_run() -> None:
    _, faults = catalogue_with([PACKS / "faulty"])
    found = [(d.code, str(d.location).rpartition("/")[2], d.what) for d in faults]
    for code, place, words in FAULTS:
        assert [f for f in found if f[0] == code and f[1].startswith(place) and words in f[2]], (code, place, words)
    assert len(found) == len(FAULTS)
    assert {d.severity for d in faults} == {Severity.INVALID}
    assert all(d.why and d.fix for d in faults)


def test_a_folder_that_is_no_pack_is_refused(tmp_path: Path) -> None:
    checked = check_path(PROGRAMS / "base.yaml", AS_OF, [tmp_path])
    assert [d.code for d in checked.report.findings] == ["PACK-001"]
    assert not checked.is_understood


@pytest.mark.parametrize(("pack", "left"), [("valley", 1), ("faulty", 2), ("missing", 2)])
def test_the_command_line_takes_a_pack(pack: str, left: int, tmp_path: Path) -> None:
    base = str(PROGRAMS / "base.yaml")
    assert main(["check", base, "--on", AS_OF.isoformat()]) == 0
    assert main(["check", base, "--on", AS_OF.isoformat(), "--rules", str(PACKS / pack)]) == left


def test_a_pack_brings_the_translation_of_its_own_rules(tmp_path: Path) -> None:
    for file in (PACKS / "valley").glob("*.yaml"):
        copy(file, tmp_path)
    duty = "Fit tests are repeated every six months at the latest."
    said = "Las pruebas de ajuste se repiten a más tardar cada seis meses."
    (tmp_path / "rules.es.po").write_text(f'msgid "{duty}"\nmsgstr "{said}"\n', encoding="utf-8")
    catalogue, faults = catalogue_with([tmp_path])
    local, spanish = rule(catalogue, "FIT-022"), language_of("es")
    assert faults == () and local.duty == duty and said_in(spanish, local.duty) == said
    assert EDGE in said_in(spanish, local.fix), "what it has no translation for is marked as English"
    assert frozen_packs([tmp_path]).keys() >= {"rules/01/rules.es.po", "rules/01/rules.yaml"}


@pytest.mark.parametrize(
    ("name", "content", "code", "line"),
    [
        ("rules.po", b'msgid "a"\nmsgstr "b"\n', "PACK-001", 0),
        ("rules.es.po", b"\xff", "PACK-001", 0),
        ("rules.es.po", b'msgid "a"\n\nmsgstr\n', "PACK-004", 3),
        ("rules.es.po", b'msgid "{subject}: no"\nmsgstr "no"\n', "PACK-004", 1),
        ("rules.es.po", b"#" * 5_000_001, "PACK-001", 0),
    ],
)
def test_a_translation_that_cannot_be_read_is_refused_with_its_place(
    name: str, content: bytes, code: str, line: int, tmp_path: Path
) -> None:
    (tmp_path / "pack.yaml").write_text('pack: town\nversion: "3"\n', encoding="utf-8")
    (tmp_path / name).write_bytes(content)
    (fault,) = catalogue_with([tmp_path])[1]
    assert (fault.code, fault.location.file, fault.location.line) == (code, str(tmp_path / name), line)


def test_later_packs_stand_over_earlier_ones(tmp_path: Path) -> None:
    (tmp_path / "pack.yaml").write_text('pack: town\nversion: "3"\n', encoding="utf-8")
    (tmp_path / "rules.yaml").write_text(
        "source: us-29cfr1910.134\nin_force: 2026-03-01\nchanges:\n"
        "  - {code: FIT-022, proof: {path: procedures.fit_testing.interval, at_most: 3 months}}\n"
        "  - {code: VAL-001, why: Because the town says so.}\n",
        encoding="utf-8",
    )
    catalogue, faults = catalogue_with([PACKS / "valley", tmp_path])
    assert not faults
    assert rule(catalogue, "FIT-022").proof.value == "3 months"
    assert rule(catalogue, "FIT-022").pack.name == "town"
    assert rule(catalogue, "FIT-022", date(2026, 2, 28)).proof.value == "6 months"
    assert rule(catalogue, "VAL-001").why == "Because the town says so."
    _, faults = catalogue_with([tmp_path])
    assert [d.code for d in faults] == ["PACK-005"]


@pytest.mark.parametrize("code", ["FIT-002", "SEL-001", "MED-031"])
def test_no_pack_puts_other_words_in_the_place_of_the_laws(code: str, tmp_path: Path) -> None:
    (tmp_path / "pack.yaml").write_text('pack: town\nversion: "3"\n', encoding="utf-8")
    for key in ("what", "duty", "why", "fix"):
        change = f"source: us-29cfr1910.134\nin_force: 2026-03-01\nchanges: [{{code: {code}, {key}: All is well.}}]\n"
        (tmp_path / "rules.yaml").write_text(change, encoding="utf-8")
        _, faults = catalogue_with([tmp_path])
        assert [fault.code for fault in faults] == ["PACK-007"], key


def test_a_folder_inside_a_pack_is_named(tmp_path: Path) -> None:
    (tmp_path / "pack.yaml").write_text('pack: town\nversion: "3"\n', encoding="utf-8")
    (tmp_path / "more").mkdir()
    _, faults = catalogue_with([tmp_path])
    assert ["is a folder inside a pack" in fault.what for fault in faults] == [True]
