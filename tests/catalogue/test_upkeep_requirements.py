"""Every requirement on use, upkeep, breathing air, labels, training, information and evaluation.

Small whole programs stand beside the base program: a fire-fighting firm, a crypt short of oxygen, two
compressors, oxygen, and firms in which masks are worn by choice. What each paragraph asks is 29 CFR 1910.134
(g) to (l) and Appendices B-1, B-2 and D.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from programs.patching import BASE, PROGRAMS, judged, patches, read_as_text
from published.law_tables import table
from published_value import published

from progdoc.core.diagnostics import Scope, Severity
from progdoc.core.report import Status
from progdoc.rules.judged.result import Judged
from progdoc.rules.reading.catalogue import built_in_catalogue
from progdoc.rules.requirement import Proof

PREFIXES = ("USE", "IDL", "FIR", "CLN", "STO", "INS", "REP", "AIR", "LAB", "TRN", "VOL", "EVA")
OURS = [r for r in built_in_catalogue().requirements if r.code.startswith(PREFIXES)]
WHOLE_PROGRAMS = sorted(file.stem for file in PROGRAMS.glob("*.yaml"))
# What these forbid is there, a gap, or not there, and then nothing is there to be met: a text that keeps a wearer in, a
# renewal that is under way without an evaluation, a training in a language that the program does not speak, an advice.
FORBIDDING = {"USE-017", "EVA-011", "TRN-015", "TRN-016", "VOL-005"}
# Enough people, sets and clearances for a rescue: counted from lists of people and devices, which are no procedure.
COUNTED = {"IDL-008", "IDL-009", "IDL-010", "IDL-011"}
FIGURES = {row["figure"]: row for row in table("29cfr1910.134-figures")}


def program(name: str) -> dict[str, Any]:
    values: dict[str, Any] = read_as_text((PROGRAMS / f"{name}.yaml").read_text(encoding="utf-8"))
    return values


def of_ours(found: Judged, *statuses: Status) -> set[str]:
    return {v.requirement.code for v in found.verdicts if v.status in statuses} & {r.code for r in OURS}


@pytest.fixture(scope="module")
def seen(tmp_path_factory: pytest.TempPathFactory) -> dict[str, set[str]]:
    found: dict[str, set[str]] = {}
    for name in WHOLE_PROGRAMS:
        for verdict in judged(program(name), tmp_path_factory.mktemp(name)).verdicts:
            found.setdefault(verdict.requirement.code, set()).add(verdict.status.value)
    for code, entry in patches():
        found.setdefault(code, set()).add(entry["expect"])
    return found


def test_every_code_is_seen_met_and_missed_and_not_applicable(seen: dict[str, set[str]]) -> None:
    assert len(OURS) > 100
    for code in (requirement.code for requirement in OURS):
        wanted = {"gap", "not-applicable"} if code in FORBIDDING else {"met", "gap", "not-applicable"}
        assert seen[code] >= wanted, code


@pytest.mark.parametrize("name", WHOLE_PROGRAMS)
def test_silence_never_counts_as_met(name: str, tmp_path: Path) -> None:
    """A program whose procedures are left out meets no duty of a written program."""
    values = program(name)
    values.pop("procedures", None)
    values.pop("roles", None)  # they say of procedures who does them
    found = judged(values, tmp_path)
    of_the_program = {r.code for r in OURS if r.per == "program"} - COUNTED
    assert of_ours(found, Status.MET) & of_the_program == set()


@published("29 CFR 1910.134(c)(2)(ii), exception for dust masks worn by choice; (k)(6)")
def test_dust_masks_by_choice_need_the_information_and_no_more(tmp_path: Path) -> None:
    found = judged(program("dust-masks-by-choice"), tmp_path)
    assert [d.code for d in found.findings if d.code.startswith(PREFIXES)] == []
    assert of_ours(found, Status.MET) == {"CLN-009", "VOL-001", "VOL-002", "VOL-011", "VOL-013", "VOL-014"}


@published("29 CFR 1910.134(c)(2)(ii): medical ability, cleaning, storage, maintenance, and no more")
def test_half_masks_by_choice_need_upkeep_and_neither_training_nor_evaluation(tmp_path: Path) -> None:
    found = judged(program("half-masks-by-choice"), tmp_path)
    asked = {code.partition("-")[0] for code in of_ours(found, Status.MET, Status.GAP, Status.UNDETERMINED)}
    assert asked == {"CLN", "STO", "INS", "REP", "VOL"}
    assert [d.code for d in found.findings if d.code.startswith(PREFIXES)] == ["CLN-027", "VOL-012"]


def test_a_firm_without_special_masks_hears_nothing_of_them(tmp_path: Path) -> None:
    found = judged(BASE, tmp_path)
    silent = {r.code for r in OURS if r.code.startswith(("IDL", "FIR", "AIR"))}
    silent |= {"STO-007", "STO-008", "STO-009", "CLN-005"} | {f"INS-{n:03}" for n in (*range(5, 18),)}
    assert of_ours(found, Status.NOT_APPLICABLE) >= silent - {r.code for r in OURS if r.per == "unit"}
    assert not {d.code for d in found.findings} & silent


# ---- the numbers, against the printed ones -------------------------------------------------------------

PRINTED = {
    "IDL-001": ("people-outside",),
    "FIR-001": ("fire-fighters-inside",),
    "FIR-003": ("fire-fighters-outside",),
    "INS-005": ("emergency-mask-inspected-every",),
    "INS-009": ("self-contained-inspected-every",),
    "INS-011": ("cylinder-recharged-at",),
    "AIR-003": ("oxygen-at-least", "oxygen-at-most"),
    "AIR-004": ("hydrocarbons-at-most",),
    "AIR-005": ("carbon-monoxide-at-most",),
    "AIR-006": ("carbon-dioxide-at-most",),
    "AIR-014": ("dew-point-at-most",),
    "AIR-017": ("dew-point-below-surroundings",),
    "TRN-007": ("training-repeated-every",),
}


def limits_of(proof: Proof) -> list[str]:
    found = [str(proof.value)] if proof.kind in ("at_most", "at_least") else []
    return found + [limit for part in proof.parts for limit in limits_of(part)]


@published("29 CFR 1910.134 (g) to (k), the figures of the paragraphs, in tests/published/29cfr1910.134-figures.csv")
@pytest.mark.parametrize("code", sorted(PRINTED))
def test_a_limit_is_the_one_printed_in_its_paragraph(code: str) -> None:
    requirement = next(r for r in OURS if r.code == code)
    printed = [FIGURES[figure] for figure in PRINTED[code]]
    assert {requirement.citation.locator} == {row["paragraph"] for row in printed}
    assert limits_of(requirement.proof) == [row["value"] for row in printed]


@published("29 CFR 1910.134, Appendix B-2, I.B and I.C: the warmest water")
def test_every_other_limit_is_the_water_of_appendix_b2() -> None:
    others = {r.code: limits_of(r.proof) for r in OURS if limits_of(r.proof) and r.code not in PRINTED}
    warmest = [FIGURES["washing-water-at-most"]["value"]]
    assert others == {"CLN-026": warmest, "CLN-027": warmest}
    assert warmest == [FIGURES["rinsing-water-at-most"]["value"]]
    used = {figure for figures in PRINTED.values() for figure in figures}
    assert used | {"washing-water-at-most", "rinsing-water-at-most"} == set(FIGURES)


def test_what_the_law_leaves_open_is_never_called_required() -> None:
    softer = {r.code for r in OURS if r.severity is not Severity.REQUIRED}
    named_nowhere = {"AIR-008", "EVA-007", "INS-003", "TRN-001", "VOL-002"}  # a day, a person, a method, a copy
    assert softer == named_nowhere | {
        "AIR-027", "AIR-029", "AIR-031", "AIR-035", "CLN-008", "CLN-009", "CLN-024", "CLN-027", "CLN-029",
        "EVA-003", "EVA-009", "EVA-010", "INS-021", "INS-022",
        "TRN-015", "TRN-016", "USE-012", "USE-015", "USE-018", "VOL-004", "VOL-005", "VOL-006", "VOL-007",
        "VOL-012", "VOL-013", "VOL-014",
    }  # fmt: skip


def test_one_record_never_keeps_the_program_from_being_issued() -> None:
    assert {r.per for r in OURS if r.scope is Scope.RECORD} == {
        "wearer",
        "worn-mask",
        "unit",
        "mask",
        "mask-use",
        "program",
    }
    assert all(r.scope is Scope.RECORD for r in OURS if r.per in ("wearer", "worn-mask", "unit"))
