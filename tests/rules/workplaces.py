"""Small workplaces to judge: one task with the hazards and masks a test names, and nothing else."""

from __future__ import annotations

from datetime import date
from typing import Any

from progdoc.model.description.program import Program
from progdoc.rules.in_force.rule_set import rule_set
from progdoc.rules.judged.air_results import Assessment, TaskAir
from progdoc.rules.judged.mask_results import MaskVerdict, Selection
from progdoc.rules.masks.selection import select
from progdoc.rules.reading.catalogue import built_in_catalogue

__all__ = [
    "DAY",
    "air_of",
    "assessment_of",
    "codes",
    "described",
    "judged",
    "sample",
    "samples",
    "selected",
    "verdict_of",
]

DAY = date(2026, 6, 1)
QUANTITATIVE = ["generated-aerosol"]
CARTRIDGES = {
    "p100": {"particulate": "P100"},
    "n95": {"particulate": "N95"},
    "hepa": {"particulate": "HEPA"},
    "ov": {"gases": ["organic-vapour"]},
    "acid": {"gases": ["acid-gas"]},
}


def sample(level: str, minutes: int = 480, **more: Any) -> dict[str, Any]:
    return {"concentration": level, "duration": f"{minutes} min", "date": "2026-05-01", **more}


def samples(*results: dict[str, Any]) -> dict[str, Any]:
    return {"kind": "samples", "results": list(results)}


def described(
    hazards: list[dict[str, Any]],
    mask: dict[str, Any] | None = None,
    fitted: tuple[str, ...] = ("p100",),
    task: dict[str, Any] | None = None,
    protocols: list[str] | None = None,
    **more: Any,
) -> Program:
    """Return a description of one task in construction; `more` is further top-level keys."""
    facepiece = {"facepiece": "half-mask", "mode": "air-purifying"} if mask is None else mask
    is_dust_mask = facepiece.get("facepiece") == "filtering-facepiece"
    use = {"mask": "m", "filters": [] if is_dust_mask else list(fitted)}
    values = {
        "format": 1,
        "tasks": [
            {
                "id": "t",
                "name": "work",
                "industry": "construction",
                "use": "required",
                "confined_space": "no",
                "masks": [use],
                **(task or {}),
            }
        ],
        "hazards": [{"id": f"h{i}", "task": "t", "form": "dust", **hazard} for i, hazard in enumerate(hazards)],
        "masks": [{"id": "m", **facepiece}],
        "filters": [{"id": name, **CARTRIDGES.get(name, {})} for name in CARTRIDGES],
        "procedures": {"fit_testing": {"protocols": QUANTITATIVE if protocols is None else protocols}},
        **more,
    }
    return Program.model_validate(values)


def selected(program: Program, day: date = DAY) -> Selection:
    """Return the selection by the federal figures of a day."""
    return select(rule_set(built_in_catalogue().law_on(day), program), day)


def judged(*arguments: Any, **more: Any) -> Selection:
    return selected(described(*arguments, **more))


def verdict_of(*arguments: Any, **more: Any) -> MaskVerdict:
    return judged(*arguments, **more).masks["t", "m"]


def air_of(*arguments: Any, **more: Any) -> TaskAir:
    return judged(*arguments, **more).air["t"]


def assessment_of(hazard: dict[str, Any], **more: Any) -> Assessment:
    return air_of([hazard], **more).agents[0]


def codes(found: MaskVerdict | Assessment) -> list[str]:
    return [reason.code for reason in found.reasons]
