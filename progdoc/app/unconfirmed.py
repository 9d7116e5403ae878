"""Which figures that are not law a program rests on, for a hygienist to confirm: the use case behind `unconfirmed`."""

from __future__ import annotations

from collections.abc import Iterator

from progdoc.app.of_site import borrowed_at
from progdoc.core.lines import Line
from progdoc.rules.judged.result import Judged
from progdoc.writers.csv_table import csv_bytes

__all__ = ["unconfirmed_csv", "unconfirmed_lines"]

_COLUMNS = ("id", "what", "value", "source", "support", "used_in", "confirmed_source", "confirmed_date", "confirmed_by")


def unconfirmed_csv(judged: Judged, site: str | None = None) -> bytes:
    """Return the list with room to write where each figure was looked up, when and by whom; of one site or of all."""
    rows = (
        (one.id, one.what, one.value, one.source, one.support, "; ".join(one.used_in), "", "", "")
        for one in borrowed_at(judged, site)
    )
    return csv_bytes([_COLUMNS, *rows])


def unconfirmed_lines(judged: Judged, site: str | None = None) -> Iterator[list[Line]]:
    """Return the same in words, and what to do with it."""
    found = borrowed_at(judged, site)
    if not found:
        yield [Line("Every figure in use here is law, the firm's own, or confirmed.", is_typed=True)]
        return
    yield [Line(f"{len(found)} figures in use here are not law and rest on memory or on secondary sources.")]
    yield [Line(f"{one.what}: {one.value} ({one.source})", f"  {one.id}  ", "    ") for one in found]
    yield [
        Line("A hygienist looks each up, and a pack of rules says so; then it is not listed any more:"),
        Line("confirmed:", "  ", "  ", is_typed=True),
        Line(
            f"- {{id: {found[0].id}, value: {found[0].value}, source: , date: , by: }}",
            "    ", "    ", is_typed=True,
        ),
    ]  # fmt: skip
