"""What is called for emergencies in one place and not in another has the duties of neither, and is told.

29 CFR 1910.134(h)(3)(i)(A)-(B) asks for both where a mask serves both. The workplaces are invented.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from programs.patching import judged, patched

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
