"""The accepted fit test protocols of Appendix A, as `catalogue/tables/fit_protocols.yaml` lists them."""

from __future__ import annotations

from functools import cache
from typing import Any

from progdoc.core.said import said
from progdoc.rules.judged.published import FitExercise, FitProtocol
from progdoc.rules.lookup.cited import cited
from progdoc.rules.lookup.table_files import table_entries

__all__ = [
    "Protocols",
    "fit_protocol",
    "fit_protocols",
    "is_quantitative",
    "paragraph_of",
    "protocol_steps",
    "reading_counts",
]

Protocols = dict[str, dict[str, Any]]


@cache
def fit_protocols() -> Protocols:
    """Return the protocols by id."""
    return {entry["id"]: entry for entry in table_entries("fit_protocols", "protocols")}


@cache
def fit_protocol(name: str) -> FitProtocol | None:
    """Return what a record prints of a protocol; None for a name that is no protocol."""
    entry = fit_protocols().get(name)
    if entry is None:
        return None
    return FitProtocol(
        id=name,
        name=said(entry["name"]),
        is_quantitative=is_quantitative(name),
        facepieces=tuple(entry["masks"]),
        locator=entry["citation"]["locator"],
        steps=protocol_steps(name),
        fitted_with=said(entry["fitted_with"]),
        exercises=tuple(
            FitExercise(
                said(exercise["name"]),
                exercise.get("seconds", exercise.get("about_seconds")),
                "about_seconds" in exercise,
                exercise["readings"],
                exercise["counted"],
            )
            for exercise in entry["exercises"]
        ),
        screening=said(entry["screening"]),
        is_by_taste="nothing_before_at" in entry,
        stop_when=said(entry["stop_when"]),
        averaging_basis=said(entry["averaging_basis"]),
        notes=tuple(map(said, entry["notes"])),
    )


def is_quantitative(protocol: str) -> bool:
    """Return whether a protocol gives a fit factor; False for a name that is no protocol."""
    found = fit_protocols().get(protocol)
    return found is not None and found["kind"] == "quantitative"


def protocol_steps(protocol: str) -> str:
    """Return where the steps of a protocol are printed.

    >>> protocol_steps("saccharin")
    '29 CFR 1910.134, Appendix A, Part I.B.3'
    """
    return f"{cited('respirator-standard')}, {fit_protocols()[protocol]['citation']['locator']}"


def paragraph_of(protocol: str, key: str) -> str:
    """Return where the screening (`screened_at`), fitting (`fitted_at`) etc. of a protocol is printed; "" for none.

    >>> paragraph_of("denatonium", "screened_at")
    '29 CFR 1910.134, Appendix A, Part I.B.4(a)'
    """
    locator = fit_protocols().get(protocol, {}).get(key)
    return f"{cited('respirator-standard')}, {locator}" if locator else ""


@cache
def reading_counts(protocol: str) -> tuple[tuple[str, bool], ...]:
    """Return the exercise behind every reading of a quantitative protocol, and whether the reading counts.

    >>> [exercise for exercise, counts in reading_counts("ambient-cnc") if not counts]
    ['grimace']
    """
    if not is_quantitative(protocol):
        return ()
    return tuple(
        (said(exercise["name"]), index < exercise["counted"])
        for exercise in fit_protocols()[protocol]["exercises"]
        for index in range(exercise["readings"])
    )
