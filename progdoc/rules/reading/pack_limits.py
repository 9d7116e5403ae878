"""The exposure limits that a pack adds, each as the federal tables have theirs; what can't be read is reported.

They are added to the federal ones and take their place only where they are stricter (`lookup/limits.py`), so none
of them can loosen anything.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from progdoc.core.citations import Source
from progdoc.core.diagnostics import Diagnostic
from progdoc.model.description.hazards import Form, Fraction
from progdoc.model.description.quantities import Dimension, Quantity, parse_quantity
from progdoc.model.description.workplace import Industry
from progdoc.rules.judged.published import Limit, LimitKind, LocalLimit
from progdoc.rules.lookup.limits import MINUTES_OF_A_KIND
from progdoc.rules.lookup.substances import find_substance
from progdoc.rules.reading.pack import Entry, Pack, citation_of
from progdoc.rules.reading.pack_faults import pack_fault

__all__ = ["limits_of"]

# A level from which a standard asks for more is an average of the shift too; no firm states one as its own limit.
_MINUTES = {**MINUTES_OF_A_KIND, LimitKind.ACTION_LEVEL: MINUTES_OF_A_KIND[LimitKind.TWA]}
_CLOSED: Mapping[str, tuple[str, ...]] = {
    "kind": tuple(kind.value for kind in _MINUTES),
    "industry": tuple(industry.value for industry in Industry),
    "fraction": tuple(fraction.value for fraction in Fraction),
    "form": tuple(form.value for form in Form),
}


def limits_of(pack: Pack, sources: Mapping[str, Source]) -> tuple[list[LocalLimit], list[Diagnostic]]:
    """Return the limits of a pack, and what is wrong with the others."""
    found: list[LocalLimit] = []
    faults: list[Diagnostic] = []
    for entry in pack.limits:
        wrong = [
            _fault(entry, key, f"`{key}: {entry.keys[key]}` is not known.", f"Write one of: {', '.join(known)}.")
            for key, known in _CLOSED.items()
            if entry.keys.get(key) and entry.keys[key] not in known
        ]
        try:
            value = parse_quantity(entry.keys["value"], Dimension.CONCENTRATION)
        except ValueError as error:
            wrong.append(_fault(entry, "value", f"{str(error).rstrip('.')}.", "Write it as 10 ppm or 0.05 mg/m3."))
        else:
            if value.value <= 0.0:
                wrong.append(_fault(entry, "value", "a limit lies above zero.", "Write the figure of the table."))
            elif not wrong:
                found.append(_limit(entry.keys, value, pack.state, sources))
        faults += wrong
    return found, faults


def _limit(keys: Mapping[str, Any], value: Quantity, state: str, sources: Mapping[str, Source]) -> LocalLimit:
    kind = LimitKind(keys["kind"])
    limit = Limit(
        agent=keys["agent"],
        industry=keys.get("industry", ""),
        kind=kind,
        value=value.value,
        formula="",
        unit=value.unit,
        minutes=_MINUTES[kind],
        per_hours=None,
        fraction=keys.get("fraction", ""),
        form=keys.get("form", ""),
        mg_m3_as_printed="",
        is_skin=keys.get("skin", False),
        condition="",
        citation=str(citation_of(keys["citation"], sources)),
        note=keys.get("note", ""),
    )
    names = [keys["agent"], *keys.get("names", ())]
    known = (find_substance(name) for name in names)
    called = frozenset([*(name.casefold() for name in names), *(agent.id for agent in known if agent)])
    return LocalLimit(called, limit, state, keys["in_force"], keys.get("until"))


def _fault(entry: Entry, key: str, what: str, fix: str) -> Diagnostic:
    return pack_fault("PACK-004", entry.at(key), f"{entry.keys['agent']}: {what}", fix)
