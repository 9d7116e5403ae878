"""Every numeric field of the description has bounds, or a reason why it has none; what lies beyond is told.

The bounds are wide: common practice, no source, but where `figure_bounds.csv` names a paragraph.
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from programs.patching import catalogue_of, checked_by, patched
from published_value import published

from progdoc.model.description.fields import every_place, field_at, said_in
from progdoc.model.description.quantities import Quantity
from progdoc.model.load import load
from progdoc.rules.lookup.likely_figures import figure_trouble
from progdoc.rules.lookup.table_files import number_or_none, table_rows
from progdoc.rules.reading.catalogue import built_in_catalogue

ROWS = table_rows("figure_bounds")
NUMERIC = {place for place in every_place() if (f := field_at(place)) and f.form in ("number", "quantity")}
HERE = Path(__file__).parents[1]


def written(number: float, unit: str) -> Quantity | float:
    return Quantity(number, unit, f"{number:f} {unit}") if unit else number


def test_every_numeric_field_is_bounded_or_says_who_judges_it() -> None:
    assert {row["place"] for row in ROWS} == NUMERIC
    codes = {requirement.code for requirement in built_in_catalogue().requirements}
    for row in ROWS:
        named = set(re.findall(r"[A-Z]{3}-\d{3}", row["why"]))
        assert named <= codes, row["place"]
        assert row["why"] and ((row["least"] and row["most"]) or named or "refused" in row["why"]), row["place"]


def test_a_figure_beyond_its_bounds_is_told_and_the_bound_itself_is_not() -> None:
    for row in ROWS:
        place, unit, least, most = row["place"], row["unit"], number_or_none(row["least"]), number_or_none(row["most"])
        field = field_at(place)
        assert field is not None
        assert not unit or field.read(f"5 {unit.removesuffix('-difference')}") is not None, place
        for bound, beyond in ((least, -0.1), (most, 0.1)):
            if bound is not None:
                assert figure_trouble(place, written(bound, unit)) == "", (place, bound)
                odd = figure_trouble(place, written(bound + beyond * abs(bound), unit))
                assert field.title.lower() in odd and ("most" if beyond > 0 else "least") in odd, (place, bound)


def test_what_the_samples_say_lies_within() -> None:
    folders = [HERE.parent / "sample_config" / name for name in ("restoration_2026", "small_shop")]
    files = [{path.name: path.read_bytes() for path in folder.glob("*.yaml")} for folder in folders]
    files += [{"program.yaml": (HERE / "programs" / "everything-said.yaml").read_bytes()}]
    for one in files:
        description = load(one).program
        assert description is not None
        said = [(re.sub(r"\[\d+\]", "[]", path), value) for path, value in said_in(description)]
        assert {place: odd for place, value in said if (odd := figure_trouble(place, value))} == {}


@published("42 CFR 84.53 (rated times), 84.134 (300 ft of hose), 84.110 (the highest of a canister), from memory")
@pytest.mark.parametrize(
    ("place", "odd", "honest"),
    [
        ("masks[].service_time", Quantity(45, "h", "45 h"), Quantity(4, "h", "4 h")),
        ("procedures.air_supply.hose_most", Quantity(900, "ft", "900 ft"), Quantity(300, "ft", "300 ft")),
        ("filters[].most", Quantity(100000, "ppm", "100000 ppm"), Quantity(20000, "ppm", "20000 ppm")),
    ],
)
def test_what_an_approval_ends_at(place: str, odd: Quantity, honest: Quantity) -> None:
    assert figure_trouble(place, odd)
    assert figure_trouble(place, honest) == ""


@pytest.mark.parametrize(
    ("odd", "beside", "says"),
    [
        ({"masks[0].weight": "0 g"}, {"masks[0].weight": "9 g"}, "grey half mask: weight 0 g; 5 g is the least"),
        ({"organisation.sites[0].altitude": "-9000 ft"}, {"organisation.sites[0].altitude": "-9 ft"}, "−9000 ft"),
        ({"tasks[0].breathing": {"rate": "1 L/min", "source": "Watched"}},
         {"tasks[0].breathing": {"rate": "60 L/min", "source": "Watched"}}, "rate 1 L/min"),
        ({"procedures.evaluation.interval": "240 months"}, {"procedures.evaluation.interval": "24 months"},
         "evaluation: interval 240 months; 36 months"),
        ({"tasks[0].shift": "0 h", "tasks[0].duration": "0 s"},
         {"tasks[0].shift": "10 h"}, "shift 0 h"),
    ],
)  # fmt: skip
def test_odd_figures_are_told_in_a_program(odd: dict[str, object], beside: dict[str, object], says: str) -> None:
    def told(change: dict[str, object]) -> list[str]:
        findings = checked_by(catalogue_of({"PRG-064"}), patched({"set": change})).report.findings
        return [finding.what for finding in findings if finding.code == "PRG-064"]

    assert any(says in what for what in told(odd))
    assert told(beside) == []
