"""The selection for other programs.

JSON in the format "progdoc-selection/1", whose keys are public and only ever added to. Numbers are as computed.
"""

from __future__ import annotations

import json
from dataclasses import asdict

from progdoc.app.check import Checked
from progdoc.app.select import SelectedTask, reason_citation, reason_text, select, tightest_muc
from progdoc.document.blocks.group_policy_blocks import lines_for_group
from progdoc.model.description.words import label_of
from progdoc.rules.judged.air_results import Assessment, TaskAir
from progdoc.rules.judged.mask_results import MaskVerdict
from progdoc.rules.judged.result import Judged
from progdoc.rules.reasons import Reason

__all__ = ["FORMAT", "selection_json"]

FORMAT = "progdoc-selection/1"


def selection_json(checked: Checked, task: str | None = None, site: str | None = None) -> bytes:
    """Return the selection as JSON, of one task or of all; no tasks while the description can't be understood."""
    judged = checked.judged
    tasks = [_task(judged, selected) for selected in select(checked, task, site)] if judged else []
    return (
        json.dumps({"format": FORMAT, "tasks": tasks}, ensure_ascii=False, indent=2, allow_nan=False) + "\n"
    ).encode()


def _task(judged: Judged, selected: SelectedTask) -> dict[str, object]:
    air = selected.air
    escape = judged.selection.escape[air.task.id]
    would_do = [v for v in selected.classes if v.would_do]
    return {
        "task": air.task.id,
        "agents": [_agent(agent) for agent in air.agents],
        "needed_apf": {"value": _needed(air), "strictly_above": air.needed.strictly_above},
        "immediately_dangerous": air.is_immediately_dangerous,
        "masks": [_mask(judged, air.task.id, verdict) for verdict in selected.masks],
        "at_hand_for_escape": [
            {"mask": one.mask.id, "serves": not one.trouble, "trouble": one.trouble} for one in escape.masks
        ],
        "escape_masks_missing_for": [duty.agent for duty in escape.duties if not duty.served_by],
        "nobody_gets_out": [_told(judged, reason) for reason in escape.bars],
        "nobody_goes_in": [_told(judged, reason) for reason in judged.selection.entry.get(air.task.id, ())],
        "for_groups": [
            {
                "groups": list(group.groups),
                "masks_that_do_not": [worn.mask.id for worn in group.barred],
                "classes_that_would_not": list(group.classes),
                "told": list(lines_for_group(group)),
            }
            for group in judged.for_groups.get(air.task.id, ())
        ],
        "classes_that_would_do": [
            {"class": v.kind.name, "apf": v.apf, "only_with": list(v.only_with)} for v in would_do
        ],
    }


def _needed(air: TaskAir) -> float | None:
    """No number where an agent's level is not known: no factor is enough then."""
    return None if any(agent.is_unknown for agent in air.agents) else air.needed.value


def _quantity(value: float, unit: str) -> dict[str, object]:
    return {"value": value, "unit": unit}


def _agent(agent: Assessment) -> dict[str, object]:
    governing = agent.governing
    limit = governing.limit if governing else next((item for item in agent.limits if item.value is not None), None)
    limit_value = governing.level.limit_value if governing else (limit.value if limit else None)
    kind = agent.hazard.exposure.kind if agent.hazard.exposure else "unknown"
    return {
        "agent": agent.hazard.agent,
        "cas": agent.substance.cas[0] if agent.substance and agent.substance.cas else None,
        "form": agent.hazard.form.value if agent.hazard.form else None,
        "evidence": kind,
        "concentration": _quantity(governing.level.value, governing.level.unit) if governing else None,
        "limit": {
            **_quantity(limit_value, limit.unit),
            "kind": limit.kind.value,
            "source": limit.citation,
        }
        if limit and limit_value is not None
        else None,
        "hazard_ratio": agent.hazard_ratio,
    }


def _mask(judged: Judged, task: str, verdict: MaskVerdict) -> dict[str, object]:
    tightest = tightest_muc(verdict)
    life = judged.service_lives.get((task, verdict.mask.id))
    return {
        "mask": verdict.mask.id,
        "adequate": verdict.is_adequate,
        "apf": verdict.credit.apf,
        "does_not_stop": list(verdict.passes),
        "muc": _quantity(tightest.value, tightest.unit) if tightest and verdict.is_adequate else None,
        "margin": verdict.margin,
        "service_life": asdict(life) if life and verdict.is_adequate else None,
        "reasons": [
            {
                "code": reason.code,
                "citation": reason_citation(judged, reason),
                "text": reason_text(judged, reason, label_of(verdict.mask)),
            }
            for reason in verdict.reasons
        ],
    }


def _told(judged: Judged, reason: Reason) -> dict[str, str]:
    return {"code": reason.code, "citation": reason_citation(judged, reason), "text": reason.told}
