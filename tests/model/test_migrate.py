"""Descriptions in earlier formats: a frozen one is still read, and says what it always said."""

from __future__ import annotations

from pathlib import Path

import yaml
from programs.patching import BASE, PROGRAMS

from progdoc.app.disk.description_files import load_path, parsed_path
from progdoc.comparison.description_changes import changed_descriptions
from progdoc.model.description.program import Program
from progdoc.model.migrate import FORMAT, migrated

FROZEN = PROGRAMS / "formats" / "format-0.yaml"


def test_the_frozen_description_is_understood() -> None:
    loaded = load_path(FROZEN)
    assert [(d.code, d.what) for d in loaded.diagnostics] == []
    assert loaded.program is not None
    assert loaded.program.format == FORMAT


def test_it_says_what_the_same_program_says_today() -> None:
    """All but the sampling method, for which format 0 had no place, and what the base program gained since."""
    program = load_path(FROZEN).program
    assert program is not None
    changes = changed_descriptions(program, Program.model_validate(BASE))
    assert {c.old for c in changes} == {""}  # today's says more, and nothing else
    of_the_work = [c.place for c in changes if not c.place.startswith(("procedures.", "program."))]
    assert of_the_work == [
        "hazards.sash-lead.environmental_rule",
        "hazards.sash-lead.exposure.results.[2026-03-10 TWA].method",
        "people.jo-marsh.surveillance.[2025-08-04]",
        "people.jo-marsh.surveillance.[2026-03-02]",
        "people.ravi-stone.surveillance.[2025-08-04]",
        "people.ravi-stone.surveillance.[2026-03-02]",
    ]


def test_a_fault_in_an_old_format_points_at_what_was_typed(tmp_path: Path) -> None:
    file = tmp_path / "old.yaml"
    file.write_text(FROZEN.read_text(encoding="utf-8").replace("level: 120 ug/m3", "level: 120"), encoding="utf-8")
    faults = load_path(file).diagnostics
    line = next(n for n, text in enumerate(file.read_text(encoding="utf-8").splitlines(), 1) if "level: 120" in text)
    assert {(fault.code, fault.location.line) for fault in faults} == {("MODEL-003", line)}


def test_today_s_format_is_left_alone() -> None:
    description = parsed_path(PROGRAMS / "base.yaml")
    assert migrated(description) is description


def test_an_unknown_format_is_refused(tmp_path: Path) -> None:
    file = tmp_path / "new.yaml"
    file.write_text(yaml.safe_dump({**BASE, "format": "99"}, sort_keys=False), encoding="utf-8")
    assert [fault.code for fault in load_path(file).diagnostics] == ["MODEL-005"]
