"""What is called for emergencies in one place and not in another has the duties of neither, and is told.

29 CFR 1910.134(h)(3)(i)(A)-(B) asks for both where a mask serves both. The workplaces are invented.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from document.said_fields import judged_values
from programs.patching import catalogue_of, checked_by, judged, patched

SAID = [{}, {"tasks[0].emergency_only": "yes"}, {"tasks[0].why_masks": "emergency-only"}]
BOTH = {"tasks[0].emergency_only": "yes", "tasks[0].why_masks": "emergency-only"}
OF_MASKS = {"masks[0].emergency": "yes", "masks[1].emergency": "yes"}


def found(folder: Path, **changes: Any) -> tuple[set[str], bool]:
    outcome = judged(patched({"set": changes, "drop": ["procedures.inspection.when", "tasks[1].masks[1]"]}), folder)
    verdict = outcome.selection.masks["scrape-sashes", "half-mask"]
    return {d.code for d in outcome.findings}, verdict.is_adequate


@pytest.mark.parametrize("said", [*SAID, BOTH])
@pytest.mark.parametrize("kept", [{}, OF_MASKS])
def test_task_reason_and_mask_have_to_agree(said: dict[str, str], kept: dict[str, str], tmp_path: Path) -> None:
    codes, is_good = found(tmp_path, **said, **kept)
    assert ("TSK-021" in codes) is bool(said and not kept)
    assert ("TSK-022" in codes) is (said == SAID[2])
    assert ("TSK-023" in codes) is bool(kept and not said)
    assert is_good or "TSK-021" in codes


def test_an_emergency_mask_at_routine_work_is_inspected_like_one(tmp_path: Path) -> None:
    assert "INS-001" in found(tmp_path)[0]
    assert "INS-001" in found(tmp_path, **OF_MASKS)[0]


DULL_AIR = {"lowest": "15 %", "by": "Ada Brook", "date": "2026-05-20"}
# What makes a task one in whose air a slip may kill, and how an emergency may speak of it.
DEADLY = {
    "oxygen": {"tasks[0].confined_space": "yes", "tasks[0].oxygen": DULL_AIR},
    "said": {"tasks[0].immediately_dangerous": "yes"},
    "permit": {"tasks[0].confined_space": "yes", "tasks[0].entry": {"permit_required": "yes"}},
    "fire": {"tasks[0].structural_fire": "yes"},
}  # fmt: skip
FORESEEN = "procedures.emergencies.foreseeable[0].tasks"


@pytest.mark.parametrize("reason", sorted(DEADLY))
def test_air_that_can_kill_has_an_emergency_that_names_the_task(reason: str) -> None:
    """29 CFR 1910.134(c)(1)(iv): whatever else is foreseen, that of a task that it does not name is not."""
    named = {
        "unnamed": None,
        "others": ["sort-books"],
        "itself": ["scrape-sashes"],
        "both": ["sort-books", "scrape-sashes"],
    }
    for case, tasks in named.items():
        change = {**DEADLY[reason], **({FORESEEN: tasks} if tasks else {})}
        findings = checked_by(catalogue_of(("EMG-005", "EMG-008")), patched({"set": change})).report.findings
        found = [(d.code, d.severity.value) for d in findings if "tasks.scrape-sashes" in d.subject]
        assert found == ([] if case in ("itself", "both") else [("EMG-008", "required")]), case


def test_the_emergencies_of_a_firm_with_one_task_are_that_tasks() -> None:
    alone = {"set": {}, "program": "crypt-with-airline"}
    crew = {"what": "The compressor stops", "crew": "Everybody leaves on the auxiliary air", "going_in": "no"}
    for foreseen, codes in (([crew], []), ([], ["EMG-008"])):
        entry = {**alone, "set": {"procedures.emergencies.foreseeable": foreseen}}
        assert [d.code for d in checked_by(catalogue_of(("EMG-008",)), patched(entry)).report.findings] == codes


IN_IT = {
    "what": "Somebody lies in the tank",
    "crew": "Everybody else stays out",
    "tasks": ["scrape-sashes"],
    "going_in": "no",
}
GROUNDS: dict[str, dict[str, Any]] = {
    "words": {"tasks[0].description": "Scraping inside the tank"},
    "entry": {"tasks[0].entry.permit_required": "no"},
    "danger": {"tasks[0].immediately_dangerous": "yes"},
    "emergency": {"procedures.emergencies.foreseeable": [IN_IT]},
}


@pytest.mark.parametrize("first", sorted(GROUNDS))
def test_one_ground_to_doubt_a_no_is_a_caution_and_two_are_a_gap(first: str) -> None:
    for second, change in GROUNDS.items():
        for denied in ("no", "yes"):
            entry = {"set": {"tasks[0].confined_space": denied, **GROUNDS[first], **change}}
            findings = checked_by(catalogue_of(("EMG-009",)), patched(entry)).report.findings
            wanted = ["required"] if denied == "no" and first != second else []
            assert [one.severity.value for one in findings] == wanted, (first, second, denied)


def test_an_emergency_may_happen_in_its_tasks_or_where_its_agents_are_or_anywhere() -> None:
    """The sashes are scraped of lead paint, the books are dusty."""
    told = [{"what": "Dust falls", "crew": "All out"} | more for more in (
        {"tasks": ["sort-books"]}, {"agents": ["lead"]}, {"tasks": ["sort-books"], "agents": ["lead"]}, {},
    )]  # fmt: skip
    found = judged_values(patched({"set": {"procedures.emergencies.foreseeable": told}}), catalogue_of(()))
    places = {task: [place[-3:] for place, _ in here] for task, here in found.emergencies_at.items()}
    assert places == {"scrape-sashes": ["[1]", "[3]"], "sort-books": ["[0]", "[2]", "[3]"]}
