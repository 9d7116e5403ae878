"""Which fields of a form wait for a choice beside them: `catalogue/tables/asked_when.yaml`."""

from __future__ import annotations

from functools import cache

from progdoc.core.late_dataclass import dataclass
from progdoc.rules.lookup.table_files import table_entries

__all__ = ["ANY", "AskedWhen", "asked_when"]

ANY = ("any",)  # whatever is chosen


@dataclass(frozen=True, slots=True)
class AskedWhen:
    """Some fields of a thing, and the choice for which they are asked."""

    of: str  # "people[].fit_tests[]"
    by: str  # "protocol", beside the fields
    its: str  # a property of what `by` names; "" where its own value decides
    one_of: tuple[str, ...]
    or_unsaid: bool  # asked, too, while nothing is chosen
    fields: tuple[str, ...]


@cache
def asked_when() -> tuple[AskedWhen, ...]:
    """Return the fields that wait for a choice, in the order of the table."""
    return tuple(
        AskedWhen(
            of=entry["of"],
            by=entry["by"],
            its=entry.get("its", ""),
            one_of=tuple(entry["one_of"]),
            or_unsaid="or_unsaid" in entry,
            fields=tuple(entry["fields"]),
        )
        for entry in table_entries("asked_when", "groups")
    )
