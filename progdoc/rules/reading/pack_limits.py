"""The exposure limits that a pack adds, each as the federal tables have theirs; what can't be read is reported.

They are added to the federal ones and take their place only where they are stricter (`lookup/limits.py`), so none
of them can loosen anything; what a user's pack would loosen is refused.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from progdoc.core.citations import Source
from progdoc.core.diagnostics import Diagnostic
from progdoc.model.description.exposure_evidence import Fraction
from progdoc.model.description.hazards import Form
from progdoc.model.description.quantities import Dimension, Quantity, parse_quantity
from progdoc.model.description.workplace import Industry
from progdoc.rules.judged.published import Limit, LimitKind, LocalLimit
from progdoc.rules.lookup.limits import MINUTES_OF_A_KIND, PACK_LIMIT, asks_no_more
from progdoc.rules.lookup.substances import find_substance, limits_for
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


def limits_of(pack: Pack, sources: Mapping[str, Source], is_users: bool) -> tuple[list[LocalLimit], list[Diagnostic]]:
    """Return the limits of a pack, and what is wrong with the others; of a user's pack also those that loosen."""
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
                local = _limit(entry.keys, value, pack.state, sources, PACK_LIMIT if is_users else "")
                wrong += _loosening(entry, local) if is_users else ()
                found += () if wrong else (local,)
        faults += wrong
    return found, faults


def _loosening(entry: Entry, local: LocalLimit) -> Iterator[Diagnostic]:
    """Yield a limit that is looser than the law's own wherever the law has one, or can't be compared with it."""
    for substance in {agent.id: agent for name in sorted(local.names) if (agent := find_substance(name))}.values():
        beside = [
            (local.limit, limit)
            for industry in ((local.limit.industry,) if local.limit.industry else _CLOSED["industry"])
            for limit in limits_for(substance, industry, local.limit.form)
            if limit.kind is local.limit.kind and limit.value is not None
        ]
        if beside and all(asks_no_more(mine, law, substance) for mine, law in beside):
            law = beside[0][1].in_words
            what = f"{entry.keys['agent']}: {entry.keys['value']} is looser than {law}, or can't be compared with it."
            yield pack_fault("PACK-007", entry.at("value"), what, "Write a stricter value in the unit of the law.")


def _limit(
    keys: Mapping[str, Any], value: Quantity, state: str, sources: Mapping[str, Source], note: str
) -> LocalLimit:
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
        note=note or keys.get("note", ""),
    )
    names = [keys["agent"], *keys.get("names", ())]
    known = (find_substance(name) for name in names)
    called = frozenset([*(name.casefold() for name in names), *(agent.id for agent in known if agent)])
    return LocalLimit(called, limit, state, keys["in_force"], keys.get("until"))


def _fault(entry: Entry, key: str, what: str, fix: str) -> Diagnostic:
    return pack_fault("PACK-004", entry.at(key), f"{entry.keys['agent']}: {what}", fix)
