"""What is called for emergencies in one place and not in another has the duties of neither, and is told.

29 CFR 1910.134(h)(3)(i)(A)-(B) asks for both where a mask serves both. The workplaces are invented.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from document.said_fields import judged_values
from programs.patching import catalogue_of, judged, patched

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


def test_an_emergency_may_happen_in_its_tasks_or_where_its_agents_are_or_anywhere() -> None:
    """The sashes are scraped of lead paint, the books are dusty."""
    told = [{"what": "Dust falls", "crew": "All out"} | more for more in (
        {"tasks": ["sort-books"]}, {"agents": ["lead"]}, {"tasks": ["sort-books"], "agents": ["lead"]}, {},
    )]  # fmt: skip
    found = judged_values(patched({"set": {"procedures.emergencies.foreseeable": told}}), catalogue_of(()))
    places = {task: [place[-3:] for place, _ in here] for task, here in found.emergencies_at.items()}
    assert places == {"scrape-sashes": ["[1]", "[3]"], "sort-books": ["[0]", "[2]", "[3]"]}
