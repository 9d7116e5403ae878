"""A text beside a figure that has a limit: what it names may not break the limit (29 CFR 1910.134(i), Appendix B-2)."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest
from document.said_fields import judged_values
from programs.patching import AS_OF, catalogue_of

from progdoc.model.description.fields import every_place, field_at
from progdoc.model.description.quantities import Dimension, Quantity
from progdoc.rules.judged.figure_results import LawValue, Stricter
from progdoc.rules.lookup.text_intervals import texts_beside
from progdoc.rules.reading.catalogue import built_in_catalogue
from progdoc.rules.reading.text_checks import asks_how

LAW = built_in_catalogue().law_on(AS_OF)
LIMITS = {
    rule.id: rule
    for rule in LAW.values.values()
    if rule.program and isinstance(rule.value, Quantity) and rule.kind != Dimension.INTERVAL
}


def text_beside(rule: LawValue) -> str:
    """Return a text field that stands beside a figure."""
    group = rule.program.rpartition(".")[0]
    beside = (place for place in every_place() if place.rpartition(".")[0] == group)
    return next(
        p for p in beside if (field := field_at(p)) and not field.values and field.read("Jo Marsh") == "Jo Marsh"
    )


def described(rule: LawValue, amount: float) -> dict[str, Any]:
    """Return a description in which the figure keeps the limit, and the text beside it names another amount."""
    assert isinstance(rule.value, Quantity)
    values: dict[str, Any] = {"format": "1"}
    typed = f"{rule.value.value:g} {rule.value.unit.removesuffix('-difference')}"
    named = f"Kept at {amount:g} {rule.value.unit.removesuffix('-difference')}, as the sheet on the wall says"
    for place, words in ((rule.program, typed), (text_beside(rule), named)):
        group: Any = values
        *way, last = place.split(".")
        for step in way:
            group = group.setdefault(step, {})
        group[last] = words
    return values


def found(values: dict[str, Any]) -> Iterator[str]:
    return (d.what for d in judged_values(values).findings if d.code == "TXT-003")


@pytest.mark.parametrize("rule", LIMITS.values(), ids=LIMITS)
def test_a_text_that_breaks_the_limit_is_told_with_both(rule: LawValue) -> None:
    assert isinstance(rule.value, Quantity)
    more = 1.0 if rule.stricter is Stricter.LOWER else -1.0
    [what] = found(described(rule, rule.value.value + more))
    assert rule.printed in what and rule.program in what
    assert not list(found(described(rule, rule.value.value)))


def test_the_lists_name_places_of_the_description() -> None:
    places = {place for entry in texts_beside() for place in (entry["figure"], *entry.get("texts", ()))}
    assert places | asks_how() <= set(every_place())


def test_there_are_such_figures() -> None:
    assert {"cleaning-water", "breathing-oil", "recharge-at", "cylinder-dew-point"} <= set(LIMITS)


def test_a_quantity_of_another_kind_is_no_contradiction() -> None:
    assert not list(found(described(LIMITS["cleaning-water"], 110) | {"officer": {"name": "Ada Brook, 140 F"}}))


EVALUATION = {"interval": "12 months", "occasion": "In February"}
TRAINING = {"interval": "12 months"}
STANDBY = {"standby": "1", "contact": "Voice down the shaft"}


@pytest.mark.parametrize(
    ("group", "values", "told"),
    [
        ("evaluation", {**EVALUATION, "occasion": "Twice a year"}, "“Twice a year”"),
        ("evaluation", {**EVALUATION, "occasion": "Every twelve months, and after an accident"}, ""),
        ("evaluation", {**EVALUATION, "how": "Walks each site every day"}, ""),  # another thing is timed
        ("training", {**TRAINING, "method": "Trained every 6 months in the workshop"}, "“every 6 months”"),
        ("training", {**TRAINING, "method": "Trained yearly; the kit is looked at each week"}, ""),
        ("fit_testing", {"interval": "12 months", "equipment": "Fit tests quarterly"}, "“quarterly”"),
        ("fit_testing", {"interval": "12 months", "equipment": "Counter calibrated every 2 years"}, ""),
        ("fit_testing", {"half_mask_pass": "100", "choice": "A half mask passes at 500"}, "“500”"),
        ("emergencies.idlh", {**STANDBY, "contact": "2 or more stand by at the hatch"}, "“2”"),
        ("emergencies.idlh", {**STANDBY, "contact": "Two stand by at the hatch"}, "“Two”"),
        ("emergencies.idlh", {**STANDBY, "contact": "One stands by, within 50 ft"}, ""),
    ],
)
def test_a_text_about_the_same_thing_names_the_figure_beside_it(group: str, values: Any, told: str) -> None:
    for step in reversed(f"procedures.{group}".split(".")):
        values = {step: values}
    whats = list(found({"format": "1", **values}))
    assert len(whats) == bool(told) and all(told in what for what in whats)


AGREEING: dict[str, dict[str, str]] = {
    "inspection": {"recharge_at": "90 %", "by": "Jo Marsh, who refills at 90 %"},
    "cleaning": {"water_temperature": "110 F", "evidence": "The sheet on the wall says 110 F"},
    "evaluation": {**EVALUATION, "occasion": "Every twelve months, and after an accident"},
    "fit_testing": {"half_mask_pass": "100", "choice": "A half mask passes at 100"},
}


@pytest.mark.parametrize(
    ("groups", "shown"),
    [
        (("inspection", "cleaning"), ("inspection.recharge_at", "inspection.by")),
        (("evaluation",), ("evaluation.interval", "evaluation.occasion")),
        (("evaluation", "fit_testing"), ("evaluation.interval", "evaluation.occasion")),
        (("cleaning", "fit_testing"), ("cleaning.water_temperature", "cleaning.evidence")),
        ((), ()),
    ],
)
def test_the_first_text_that_agrees_with_its_figure_shows_it(groups: tuple[str, ...], shown: tuple[str, ...]) -> None:
    values = {"format": "1", "procedures": {name: AGREEING[name] for name in groups}}
    (verdict,) = judged_values(values, catalogue_of({"TXT-003"})).verdicts
    assert verdict.evidence == tuple(f"procedures.{path}" for path in shown)
    assert verdict.status == ("met" if shown else "not-applicable")
