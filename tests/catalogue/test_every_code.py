"""Every code is brought up by some small program, none required by the complete sample; no code is ever lost."""

from __future__ import annotations

import csv
from pathlib import Path

from programs.patching import patches
from programs.whole import OF_THE_SUITE, judged_whole

from progdoc.core.diagnostics import Severity
from progdoc.rules.reading.catalogue import built_in_catalogue, catalogue_with, states_that_ship


def test_the_small_programs_bring_up_every_code() -> None:
    """As they are, or as changed by a patch that expects a gap: `test_requirements.py` holds each to its finding."""
    found = {finding.code for name in OF_THE_SUITE for finding in judged_whole(name).findings}
    found |= {code for code, entry in patches() if entry["expect"] == "gap"}
    assert sorted({r.code for r in built_in_catalogue().requirements} - found) == []


def test_the_complete_sample_brings_up_no_required_one() -> None:
    findings = judged_whole("restoration_2026").findings
    assert [d.code for d in findings if d.severity in (Severity.REQUIRED, Severity.INVALID)] == []


def test_no_code_is_lost_or_moved_to_another_paragraph() -> None:
    """`codes.csv` only ever grows: reports of years ago name these codes."""
    with Path(__file__).with_name("codes.csv").open(encoding="utf-8", newline="") as file:
        listed = [(row["code"], row["paragraph"]) for row in csv.DictReader(file)]
    known = {(r.code, str(r.citation)) for r in catalogue_with((), states_that_ship())[0].requirements}
    assert [entry for entry in listed if entry not in known] == []
    assert listed == sorted(set(listed))
