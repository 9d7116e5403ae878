"""How a level is known, for whoever reads the verdict on it: measured, taken from data, or only reckoned."""

from __future__ import annotations

from progdoc.core.said import said
from progdoc.model.description.exposure_evidence import (
    Estimate,
    Judgment,
    LeadTask,
    ObjectiveData,
    Samples,
    SilicaTable1,
    Smoke,
    Unknown,
)
from progdoc.model.description.hazards import Hazard

__all__ = ["HOW_KNOWN", "how_known", "said_by"]

HOW_KNOWN = {
    Samples: said("measured"),
    ObjectiveData: said("by data of work like it"),
    SilicaTable1: said("by a table of the law"),
    LeadTask: said("assumed by the law, not measured"),
    Estimate: said("an estimate, not measured"),
    Judgment: said("a judgment, not measured"),
    Smoke: said("by a reading of the day"),
    Unknown: "",
    type(None): "",
}


def how_known(hazard: Hazard) -> str:
    """Return how the level of an agent is known, in a phrase; "" where it is not."""
    return HOW_KNOWN[type(hazard.exposure)]


def said_by(hazard: Hazard) -> str:
    """Return who says so, where nobody measured it and a level is worth what whoever names it knows; else ""."""
    return hazard.exposure.by if isinstance(hazard.exposure, Estimate | Judgment) else ""
