"""What an open duty bars is said once, in the catalogue, and every paper says no where `check` does."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from examples import TIMES
from programs.patching import AS_OF, catalogue_of, judged_by, loaded, patched, patches

from progdoc.core.barred import Why
from progdoc.core.diagnostics import Severity
from progdoc.core.report import Status
from progdoc.document.blocks.selection_blocks import is_barred, masks_that_fail
from progdoc.rules.judge import judge
from progdoc.rules.judged.result import Judged
from progdoc.rules.lookup.facepieces import SCBA, purifies
from progdoc.rules.reading.catalogue import built_in_catalogue
from progdoc.rules.requirement import BARS, Verdict
from progdoc.writers.assignment_csv import assignment_csv

BARRING = {r.code: r.bars for r in built_in_catalogue().requirements if r.bars != "nothing"}
GAPS = [(code, entry) for code, entry in patches() if entry["expect"] == "gap" and code in BARRING]
OF_AIR = [(code, entry) for code, entry in GAPS if BARRING[code] in ("air", "hose", "way-out", "danger")]


def _first_of_each(entries: list[tuple[str, dict[str, Any]]]) -> list[tuple[str, dict[str, Any]]]:
    return list({code: (code, entry) for code, entry in reversed(entries)}.values())[::-1]


TRIED = _first_of_each(GAPS if TIMES > 1 else OF_AIR)


def _barred(found: Judged, verdict: Verdict) -> Iterator[tuple[str, str]]:
    """Yield the pairs of task and mask that an open duty bars; of the others the person's own tests tell."""
    bars, ids = verdict.requirement.bars, verdict.subject.ids
    for _, task in found.index.our_tasks:
        air = found.selection.air[task.id]
        for use in task.masks if air.is_worn else ():
            mask = found.index.masks[use.mask][1]
            fed = mask.mode is not None and not purifies(mask)
            meets = {
                "pair": ids == (f"tasks.{task.id}", f"masks.{mask.id}"),
                "mask": f"masks.{mask.id}" in ids,
                "air": fed,
                "hose": fed and mask.mode not in SCBA,
                "way-out": f"tasks.{task.id}" in ids or any(f"masks.{one}" in ids for one in task.escape_masks),
                "danger": air.is_immediately_dangerous,
            }
            if meets.get(bars, False):
                yield task.id, mask.id


@pytest.mark.parametrize(("code", "entry"), TRIED, ids=[code for code, _ in TRIED])
def test_what_check_bars_every_paper_bars(code: str, entry: dict[str, Any], tmp_path: Path) -> None:
    found = judged_by(catalogue_of({code}), patched(entry), tmp_path)
    gaps = [v for v in found.verdicts if v.requirement.code == code and v.status is Status.GAP]
    assert gaps
    barred = {pair for verdict in gaps for pair in _barred(found, verdict)}
    rows = assignment_csv(found).decode().splitlines() if barred else []
    failing = masks_that_fail(found)
    for pair in found.roster.all_pairs():
        for choice in pair.choices:
            if (pair.task.id, choice.mask) in barred:
                assert choice.bars, (pair.person.id, pair.task.id, choice.mask)
        if barred and {m for t, m in barred if t == pair.task.id} >= {c.mask for c in pair.choices} and pair.choices:
            assert not pair.may
            assert any(f",{pair.task.id}," in row and f"{pair.person.id}," in row and ",no," in row for row in rows)
    for key in barred:
        if BARRING[code] in ("pair", "mask", "air", "hose"):
            assert not found.selection.masks[key].is_adequate
            assert key in failing
        if BARRING[code] == "way-out":
            assert is_barred(found, found.index.tasks[key[0]][1], Why.WAY_OUT)
        if BARRING[code] == "danger":
            assert is_barred(found, found.index.tasks[key[0]][1], Why.RESCUE) or key in failing


def test_every_kind_of_bar_is_of_the_list() -> None:
    for requirement in built_in_catalogue().requirements:
        assert requirement.bars in BARS
        assert requirement.severity is Severity.REQUIRED or requirement.bars == "nothing", requirement.code


def test_a_mask_too_weak_bars_though_no_duty_says_so() -> None:
    """The computation is the ground: with the duty gone from the catalogue nobody is sent in all the same."""
    whole = built_in_catalogue()
    lacking = replace(whole, requirements=tuple(r for r in whole.requirements if r.code != "SEL-003"))
    worse = patched({"set": {"hazards[0].exposure.results[0].concentration": "900 ug/m3"}})
    found = judge(loaded(worse), lacking, AS_OF)
    weak = {
        key for key, one in found.selection.masks.items() if any(reason.code == "SEL-003" for reason in one.reasons)
    }
    assert weak
    for pair in found.roster.all_pairs():
        assert not {choice.mask for choice in pair.good if (pair.task.id, choice.mask) in weak}
