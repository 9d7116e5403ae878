"""A comparison as tables for a spreadsheet: the figures side by side, and every change for the reviewer to sign off."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from progdoc.comparison.changes import Change, Comparison, Kind, Topic
from progdoc.comparison.told_changes import DIRECTIONS, KINDS, because, place_words
from progdoc.writers.csv_table import csv_bytes

__all__ = ["changes_csv", "figures_csv"]

_LONG = 2_000
_FIGURES = ("Where", "What", "Old", "New", "Means", "Because", "Paragraph")
_CHANGES = (
    "About",
    "Where",
    "What",
    "How",
    "Old",
    "New",
    "Means",
    "Because",
    "Note",
    "Paragraph",
    "Seen by",
    "Seen on",
)


def figures_csv(comparison: Comparison, names: Mapping[str, str]) -> bytes:
    """Return every figure that moved: of the air, of masks, in force, and of the description."""
    figures = [
        change
        for change in (*comparison.meaning, *comparison.description)
        if change.kind is Kind.FIGURE_CHANGED or change.topic is Topic.MASK
    ]
    rows = (
        (
            place_words(change, names), change.what, change.old, change.new, DIRECTIONS[change.direction],
            _why(change, names), change.citation,
        )
        for change in figures
    )  # fmt: skip
    return csv_bytes((_FIGURES, *rows))


def changes_csv(comparison: Comparison, names: Mapping[str, str]) -> bytes:
    """Return every change, effects first, with room for who has seen it and when."""
    return csv_bytes((_CHANGES, *_rows(comparison, names)))


def _rows(comparison: Comparison, names: Mapping[str, str]) -> Iterator[tuple[str, ...]]:
    for change in (*comparison.meaning, *comparison.description, *comparison.files, *comparison.text):
        yield (
            change.topic.value, place_words(change, names), change.what, KINDS[change.kind], change.old, change.new,
            DIRECTIONS[change.direction], _why(change, names), change.note, change.citation, "", "",
        )  # fmt: skip


def _why(change: Change, names: Mapping[str, str]) -> str:
    return because(change, names, _LONG) if change.causes or change.topic is not Topic.EDIT else ""
