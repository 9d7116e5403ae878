"""A comparison for other programs, in the format "progdoc-comparison/1". Its keys are public and only ever added to."""

from __future__ import annotations

from collections.abc import Iterable

from progdoc.comparison.changes import Change, Comparison, Side
from progdoc.core.json_text import indented_json

__all__ = ["FORMAT", "comparison_json"]

FORMAT = "progdoc-comparison/1"


def comparison_json(comparison: Comparison) -> bytes:
    """Return the comparison as JSON. One to be handed on says under "restricted" how many changes it leaves out."""
    value = {
        "format": FORMAT,
        "on": comparison.on.isoformat(),
        "site": comparison.site,
        "old": _side(comparison.old),
        "new": _side(comparison.new),
        "changed": not comparison.is_empty,
        "warnings": list(comparison.warnings),
        "restricted": {"changes": comparison.withheld, "less_protection": comparison.withheld_less},
        "people": [{"task": one.task, "old": one.old, "new": one.new} for one in comparison.people],
        "meaning": _changes(comparison.meaning),
        "kept_up": _changes(comparison.kept_up),
        "description": _changes(comparison.description),
        "files": _changes(comparison.files),
        "text": {
            "words_taken_out": comparison.words_taken_out,
            "words_put_in": comparison.words_put_in,
            "words_moved": comparison.words_moved,
            "sections": _changes(comparison.text),
        },
    }
    return (indented_json(value) + "\n").encode(errors="replace")


def _side(side: Side) -> dict[str, object]:
    return {
        "name": side.name,
        "title": side.title,
        "revision": side.revision,
        "rules": side.rules,
        "issued": side.is_issued,
        "firm": side.firm,
        "day": side.day.isoformat() if side.day else None,
        "altered": list(side.altered),
    }


def _changes(changes: Iterable[Change]) -> list[dict[str, object]]:
    return [
        {
            "kind": change.kind,
            "place": change.place,
            "was": change.was,
            "what": change.what,
            "old": change.old,
            "new": change.new,
            "direction": change.direction,
            "cause": change.cause,
            "topic": change.topic,
            "danger": int(change.danger),
            "nature": change.nature,
            "citation": change.citation,
            "note": change.note,
            "causes": [
                {"place": cause.place, "what": cause.what, "old": cause.old, "new": cause.new}
                for cause in change.causes
            ],
        }
        for change in changes
    ]
