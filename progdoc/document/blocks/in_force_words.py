"""Figures in force as they are printed: the law's of the day, who asks for more and where, what a form is filled by.

Nothing is worked out here: `rules/in_force` says what binds and who set it.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from progdoc.core.numbers import number_text, text_of
from progdoc.document.tree.tokens import Tokens, quantity_words
from progdoc.model.description.policies import Policy
from progdoc.model.description.program import Program
from progdoc.model.description.quantities import Quantity, in_unit, unit_symbol
from progdoc.rules.facts import Facts
from progdoc.rules.in_force.rule_set import InForce, Setter, policies_that_tighten, strictest

__all__ = ["form_figures", "in_celsius", "law_words", "policy_reach_words", "set_by", "stricter_words", "warmest_water"]

_MAIN = "29 CFR 1910.134"  # its paragraphs are printed by their letters alone
_CALENDAR = ("day", "week", "month", "year", "min", "h")


def _printed(value: object, text: str) -> str:
    if not isinstance(value, Quantity):
        return text
    if value.unit in _CALENDAR:
        return quantity_words(value) if value.unit in ("min", "h") else text
    return text_of(value.value, unit_symbol(value.unit)).replace("-", "−")


def law_words(facts: Facts) -> dict[str, str]:
    """Return every figure that the law sets, as it is printed, by its id."""
    rules = facts.rules.law.values.values()
    return {rule.id: rule.printed for rule in rules if rule.value is not None}


def in_celsius(facts: Facts, name: str) -> str:
    """Return a temperature of the law in degrees Celsius."""
    value = facts.rules.law[name].value
    unit = "C" if isinstance(value, Quantity) and value.unit == "F" else "C-difference"
    return text_of(facts.rules.law.amount(name, unit), unit_symbol(unit)).replace("-", "−")


def warmest_water(facts: Facts) -> str:
    """Return the warmest water for cleaning, first in the unit of the firm; degrees Celsius are rounded down."""
    law = facts.rules.law
    fahrenheit = f"{number_text(law.amount('cleaning-water', 'F'), 'down')} °F"
    celsius = f"{number_text(law.amount('cleaning-water', 'C'), 'down', 2)} °C"
    water = facts.description.procedures.cleaning.water_temperature
    return f"{celsius} ({fahrenheit})" if water and water.unit == "C" else f"{fahrenheit} ({celsius})"


# ---- who asks for more --------------------------------------------------------------------------------


def policy_reach_words(policy: Policy, program: Program) -> str:
    """Return what a policy holds for: sites and tasks by name, agents, or all work."""
    names = {f"sites.{site.id}": site.name for site in program.organisation.sites}
    names |= {f"tasks.{task.id}": task.name for task in program.tasks}
    places = [names[f"sites.{site}"] for site in policy.sites] + [names[f"tasks.{task}"] for task in policy.tasks]
    return "; ".join((*places, *policy.agents)) or "all work"


def stricter_words(facts: Facts, tokens: Tokens) -> dict[str, str]:
    """Return, by figure, a sentence for each policy that asks for more than the program says; empty where none does."""
    found: dict[str, str] = {}
    for rule in facts.rules.law.values.values():
        tails = [
            f" Stricter by {tokens.hide(f'{policy.by}, {policy.source}', 'policies')}:"
            f" {rule.words if wanted.value is True else _printed(wanted.value, wanted.text)},"
            f" for {tokens.hide(policy_reach_words(policy, facts.description), 'policies')}."
            for policy, wanted in policies_that_tighten(facts.rules, rule.id, [task for _, task in facts.our_tasks])
        ]
        found[rule.id] = "".join(tails)
    return found


# ---- forms --------------------------------------------------------------------------------------------


def set_by(found: InForce) -> str:
    """Return who set a figure: a paragraph by its letters, a policy, this program."""
    return found.origin.removeprefix(_MAIN) if found.setter is Setter.LAW else f"({found.origin})"


def _in_force(facts: Facts, name: str) -> InForce | None:
    return strictest(facts.rules, name, [task for _, task in facts.our_tasks])


def _limit(facts: Facts, name: str) -> tuple[str, str]:
    found = _in_force(facts, name)
    return (_printed(found.value, found.text), set_by(found)) if found else ("", "")


def form_figures(facts: Facts) -> Mapping[str, str]:
    """Return the figures in force that forms print, with who set each."""
    return dict(_form_figures(facts))


def _form_figures(facts: Facts) -> Iterator[tuple[str, str]]:
    (low, low_by), (high, high_by) = _limit(facts, "breathing-oxygen-low"), _limit(facts, "breathing-oxygen-high")
    by = low_by if low_by == high_by else f"{low_by}; {high_by}"
    yield "air_oxygen", f"{low.removesuffix(' %')} to {high} {by}"
    for word, name in (("oil", "oil"), ("co", "carbon-monoxide"), ("co2", "carbon-dioxide")):
        most, by = _limit(facts, f"breathing-{name}")
        yield f"air_{word}", f"at most {most} {by}"
        yield f"most_{word}", most if by.startswith("(i)") else f"{most} {by}"
    for word, name in (("cylinder", "cylinder-dew-point"), ("compressor", "compressor-dew-point")):
        found = _in_force(facts, name)
        other = _celsius(found.value) if found else ""
        figure, by = _limit(facts, name)
        yield f"dew_{word}", f"{figure} ({other})"
        yield f"dew_{word}_by", by
    yield "recharge_at", " of the maker's pressure ".join(_limit(facts, "recharge-at"))
    yield "training_interval", ", ".join(_limit(facts, "training-interval"))
    interval = _in_force(facts, "emergency-inspection-interval")
    is_the_laws = interval is None or interval.setter is Setter.LAW
    every = "monthly" if is_the_laws and interval and interval.text == "1 month" else ""
    yield "inspected_every", every or (f"every {interval.text} {set_by(interval)}" if interval else "monthly")
    yield "hair_words", "; clean-shaven" if _in_force(facts, "clean-shaven") else ""


def _celsius(value: object) -> str:
    if not isinstance(value, Quantity):
        return ""
    unit = "C-difference" if value.unit.endswith("-difference") else "C"
    return text_of(in_unit(value, unit), unit_symbol(unit)).replace("-", "−")
