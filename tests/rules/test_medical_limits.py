"""Which medical limit bars which mask for which use: the whole table, in the gap report and in each assignment."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from programs.patching import catalogue_of, judged_by, patched
from published_value import published

from progdoc.core.report import Status
from progdoc.model.description.masks import Mask, Mode
from progdoc.model.description.people import MedicalLimit
from progdoc.rules.lookup.medical_limits import Purpose, bars

# Each column: at work, for escape, in an emergency. Common practice, no source for how far the words of a limit reach.
TABLE = """
                               powered-mask-only  no-negative-pressure  no-scba  no-emergency-use
air-purifying                  xxx                xxx                   ...      .xx
powered                        ...                ...                   ...      .xx
airline-demand                 xxx                xxx                   ...      .xx
airline-continuous-flow        xxx                ...                   ...      .xx
airline-pressure-demand        xxx                ...                   ...      .xx
scba-demand                    xxx                xxx                   xxx      .xx
scba-pressure-demand           xxx                ...                   xxx      .xx
with-cylinder                  xxx                ...                   xxx      .xx
"""
USES = (Purpose.WORK, Purpose.ESCAPE, Purpose.EMERGENCY)
NEVER = ("light-work-only", "limited-time", "no-hot-work-places")  # held against the work, and not against a mask
WITH_CYLINDER = "with-cylinder"  # an airline with its own escape cylinder


def expected() -> dict[tuple[str, str, Purpose], bool]:
    head, *rows = [line.split() for line in TABLE.strip().splitlines()]
    cells = {
        (limit, kind, use): mark == "x"
        for kind, *marks in rows
        for limit, cell in zip(head, marks, strict=True)
        for use, mark in zip(USES, cell, strict=True)
    }
    return cells | {(limit, kind, use): False for limit in NEVER for kind, *_ in rows for use in USES}


EXPECTED = expected()
KINDS = tuple(dict.fromkeys(kind for _, kind, _ in EXPECTED))
LIMITS = tuple(dict.fromkeys(limit for limit, _, _ in EXPECTED))


def of_kind(kind: str) -> dict[str, str]:
    if kind == WITH_CYLINDER:
        return {"mode": "airline-pressure-demand", "auxiliary_air": "yes"}
    return {"mode": kind}


def test_the_table_leaves_no_limit_mode_or_use_out() -> None:
    assert {*LIMITS} == {limit.value for limit in MedicalLimit}
    assert {*KINDS} == {mode.value for mode in Mode} | {WITH_CYLINDER}
    assert {*USES} == {*Purpose}


@published("29 CFR 1910.134(e)(6)(i)(A): limits on respirator use in the recommendation; (e)(6)(ii): a powered one")
def test_a_limit_bars_a_mask_as_the_table_says() -> None:
    found = {
        (limit, kind, use): bars(MedicalLimit(limit), Mask.model_validate({"id": "m", **of_kind(kind)}), use)
        for limit, kind, use in EXPECTED
    }
    assert found == EXPECTED


def task_of(kind: str, use: Purpose) -> dict[str, Any]:
    """Light work in one mask; for escape the mask hangs at hand, and another, which no limit bars, is worn."""
    task: dict[str, Any] = {"id": f"{kind}-{use.value}", "name": f"{kind} {use.value}", "use": "required"}
    task |= {"effort": "light", "industry": "construction", "people": list(LIMITS)}
    task["masks"] = [{"mask": "blower" if use is Purpose.ESCAPE else kind}]
    if use is Purpose.ESCAPE:
        task["escape_masks"] = [kind]
    return task | ({"emergency_only": "yes"} if use is Purpose.EMERGENCY else {})


def test_the_gap_report_and_the_assignments_say_the_same_as_the_table(tmp_path: Path) -> None:
    masks = [{"id": kind, "facepiece": "full-facepiece", **of_kind(kind)} for kind in KINDS]
    masks.append({"id": "blower", "facepiece": "full-facepiece", "mode": "powered"})
    entry = {"date": "2026-02-03", "recommendation": "cleared-with-limits", "copy_given": "yes"}
    people = [
        {
            "id": limit,
            "name": f"Person {i}",
            "masks": [{"mask": mask["id"]} for mask in masks],
            "medical": [{**entry, "limits": [limit]}],
        }
        for i, limit in enumerate(LIMITS)
    ]
    tasks = [task_of(kind, use) for kind in KINDS for use in USES]
    drop = ["hazards", "procedures.filter_changes", "officer.deputies"]
    values = patched({"set": {"tasks": tasks, "masks": masks, "people": people}, "drop": drop})
    found = judged_by(catalogue_of(("MED-035",)), values, tmp_path)
    told = {
        (verdict.subject.ids[0].partition(".")[2], diagnostic.what)
        for verdict in found.verdicts
        if verdict.requirement.code == "MED-035" and verdict.status is Status.GAP
        for diagnostic in verdict.diagnostics
    }
    for (limit, kind, use), barred in EXPECTED.items():
        person, task = found.index.people[limit][1], found.index.tasks[f"{kind}-{use.value}"][1]
        name = f"“{task.name}”"
        assert any(who == limit and name in what for who, what in told) == barred, (limit, kind, use)
        choices = found.roster.assignment(person, task).choices
        assert choices and all(("MED-035" in [bar.code for bar in choice.bars]) == barred for choice in choices), (
            limit,
            kind,
            use,
        )
