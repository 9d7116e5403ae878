"""Figures beyond what they can be: a mask of no weight, a site nine thousand feet below the sea, a year of 500 days.

The bounds of every numeric field are data, `figure_bounds.csv`; where a side has none, its column `why` says who judges
it. Nothing is worked out from a figure of a cartridge that lies beyond them.
"""

from __future__ import annotations

from functools import cache

from progdoc.core.numbers import stated_text
from progdoc.core.said import changed, said, said_measure, same
from progdoc.model.description.cartridge_data import Carbon, ServiceData
from progdoc.model.description.fields import field_at
from progdoc.model.description.quantities import Quantity, in_unit, is_comparable, unit_symbol
from progdoc.rules.lookup.table_files import Row, number_or_none, table_rows

__all__ = ["carbon_trouble", "data_trouble", "deep_bed", "figure_trouble"]

_DEEPEST_BED_CM = 15.0  # our choice, no source


def figure_trouble(place: str, value: object) -> str:
    """Return what is odd about a figure at a place, lists marked; nothing where it can be so.

    >>> figure_trouble("masks[].weight", Quantity(0.0, "g", "0 g"))
    'weight 0 g; 5 g is the least that is known of'
    >>> figure_trouble("tasks[].days_per_year", 366)
    ''
    """
    if isinstance(value, bool) or not isinstance(value, Quantity | int | float):
        return ""
    for row in _bounds().get(place, ()):
        number, unit = _measured(value, row["unit"])
        least, most = number_or_none(row["least"]), number_or_none(row["most"])
        if number is None:
            continue
        bound, side = (least, "least") if least is not None and number < least else (most, "most")
        if bound is None or (side == "most" and number <= bound):
            continue
        field = field_at(place)
        called = field.title if field else place
        stated = value.printed if isinstance(value, Quantity) else stated_text(value)
        figure = row[side] if "." in row[side] else f"{int(bound):,}"
        words = {
            "called": changed(called, str.lower),
            "said": stated,
            "shown": said_measure(f"{figure} {unit}".rstrip()),
        }
        if side == "least":
            return said("%(called)s %(said)s; %(shown)s is the least that is known of", **words)
        return said("%(called)s %(said)s; %(shown)s is the most that is known of", **words)
    return ""


def _measured(value: Quantity | float, unit: str) -> tuple[float | None, str]:
    """Return the number in the unit of a row and that unit as printed; none where they measure different things."""
    if not isinstance(value, Quantity):
        return (None if unit else float(value)), ""
    if not unit:
        return None, ""
    is_held = is_comparable(value, Quantity(1.0, unit, f"1 {unit}"))
    return (in_unit(value, unit), unit_symbol(unit)) if is_held else (None, "")


@cache
def _bounds() -> dict[str, tuple[Row, ...]]:
    found: dict[str, tuple[Row, ...]] = {}
    for row in table_rows("figure_bounds"):
        found[row["place"]] = (*found.get(row["place"], ()), row)
    return found


# ---- cartridges ---------------------------------------------------------------------------------------


def carbon_trouble(carbon: Carbon) -> str:
    """Return why the carbon of a cartridge can hardly be so; nothing where it can."""
    return _first_trouble("filters[].carbon", carbon) or deep_bed(carbon)


def data_trouble(data: ServiceData) -> str:
    """Return why a maker's or tested figure can hardly be so; nothing where it can."""
    return _first_trouble("filters[].service_data[]", data)


def _first_trouble(place: str, stated: Carbon | ServiceData) -> str:
    troubles = (figure_trouble(f"{place}.{name}", getattr(stated, name)) for name in type(stated).model_fields)
    return next(filter(None, troubles), "")


def deep_bed(carbon: Carbon) -> str:
    """Return how deep carbon would lie that is deeper than any bed; nothing where it is none, or not known.

    >>> area, density = Quantity(62.0, "cm2", "62 cm2"), Quantity(0.44, "g/cm3", "0.44 g/cm3")
    >>> deep_bed(Carbon(mass=Quantity(800.0, "g", "800 g"), bed_area=area, density=density))
    'its carbon would lie 29 cm deep by its mass, density and area'
    """
    if not (carbon.mass and carbon.bed_area and carbon.density):
        return ""
    if carbon.bed_area.value <= 0.0 or carbon.density.value <= 0.0:
        return ""
    depth_cm = in_unit(carbon.mass, "g") / (in_unit(carbon.density, "g/cm3") * in_unit(carbon.bed_area, "cm2"))
    told = said(
        "its carbon would lie %(depth_cm)s cm deep by its mass, density and area", depth_cm=same(f"{depth_cm:.0f}")
    )
    return told if depth_cm > _DEEPEST_BED_CM else ""
