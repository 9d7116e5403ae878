"""Several suppliers of breathing air: what the law asks to be shown of air is shown of that of each."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from progdoc.core.said import said, said_join, same
from progdoc.model.description.air_suppliers import AirSupplier, Delivers
from progdoc.model.description.quantities import Quantity, in_unit
from progdoc.model.description.words import label_of
from progdoc.rules.check_result import CheckResult
from progdoc.rules.facts import Facts
from progdoc.rules.judged.figure_results import Law
from progdoc.rules.lookup.answers_said import Said, said_by
from progdoc.rules.lookup.promises import only_promised
from progdoc.rules.lookup.telling_words import is_told
from progdoc.rules.requirement import Subject

__all__ = ["AIR_SUPPLIER_CHECKS"]

_PATH = "procedures.air_supply.suppliers"
_GRADES = ("D", "E", "L", "M", "N")  # as AIR-002
_MOST = (
    ("oil", "breathing-oil", "mg/m3"),
    ("carbon_monoxide", "breathing-carbon-monoxide", "ppm"),
    ("carbon_dioxide", "breathing-carbon-dioxide", "ppm"),
    ("oxygen_high", "breathing-oxygen-high", "%"),
    ("dew_point", "cylinder-dew-point", "F"),
)
_OF_CYLINDERS = ("certified", "cylinders_tested", "dew_point")
_OF_AN_ANALYSIS = ("tested", "oxygen_low", "oxygen_high", "oil", "carbon_monoxide", "carbon_dioxide", "no_odour")
_HAIR = 1e-9  # what changing units adds


def _each_is_shown(facts: Facts, _subject: Subject) -> CheckResult:
    """One fault for each supplier of whose air something is not shown, or worse than allowed."""
    suppliers, law = facts.description.procedures.air_supply.suppliers, facts.law_of()
    faults = [
        (f"{_PATH}[{i}]", {"supplier": label_of(one), "trouble": said_join(troubles, "; ")})
        for i, one in enumerate(suppliers)
        if (troubles := list(_troubles(one, law)))
    ]
    return CheckResult((_PATH,), tuple(faults), nothing="" if suppliers else said("No suppliers are listed."))


def _troubles(one: AirSupplier, law: Law) -> Iterator[str]:
    """Yield what is not shown of a supplier's air, then what is said of it and is not good enough."""
    asked: tuple[str, ...] = ("delivers",)
    if one.delivers is not None:
        asked = _OF_CYLINDERS if one.delivers is Delivers.CYLINDERS else _OF_AN_ANALYSIS
    missing = [name for name in ("grade", *asked) if getattr(one, name) is None]
    if missing:
        yield said(
            "nothing is said under %(missing)s", missing=said_join((same(f"`{name}`") for name in missing), ", ")
        )
    if one.grade is not None and one.grade.upper().removeprefix("GRADE ") not in _GRADES:
        yield said("its grade is “%(grade)s”", grade=one.grade)
    for name in ("certificate", "used_for"):
        text = getattr(one, name)
        if text is not None and (
            said_by(text) is not Said.ANSWER or is_told("gone_missing", text) or only_promised(text)
        ):
            yield said("`%(name)s` says “%(text)s”", name=same(name), text=text)
    yield from (
        said("`%(name)s` is no", name=same(name))
        for name in ("certified", "cylinders_tested", "no_odour")
        if getattr(one, name) is False
    )
    for name, figure, unit in _MOST:
        found = getattr(one, name)
        if found is not None and _amount(found, unit) > law.amount(figure, unit) + _HAIR:
            yield said("`%(name)s` is %(found)s, more than is allowed", name=same(name), found=found.printed)
    low = one.oxygen_low
    if low is not None and low.value < law.amount("breathing-oxygen-low", "%") - _HAIR:
        yield said("`oxygen_low` is %(low)s, less than is allowed", low=low.printed)


def _amount(found: Quantity, unit: str) -> float:
    """Return a figure in the unit of the law; what can't be turned into it counts as more than any."""
    try:
        return in_unit(found, unit)
    except ValueError:
        return float("inf")


AIR_SUPPLIER_CHECKS: dict[str, Callable[[Facts, Subject], CheckResult]] = {"each-supplier-shown": _each_is_shown}
