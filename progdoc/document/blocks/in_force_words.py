"""Figures in force as they are printed: the law's of the day, who asks for more and where, what a form is filled by.

What binds and who set it was worked out before; here it is only put into words.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from progdoc.core.numbers import text_of
from progdoc.core.paper_language import ENGLISH, Language
from progdoc.core.said import said, said_in, said_join, said_measure, same
from progdoc.document.blocks.answers import in_quotes
from progdoc.document.tree.tokens import Tokens
from progdoc.model.description.policies import Policy
from progdoc.model.description.program import Program
from progdoc.model.description.quantities import Quantity, in_unit, unit_symbol
from progdoc.model.description.words import label_of
from progdoc.rules.judged.figure_results import Figure, InForce, Setter
from progdoc.rules.judged.result import Judged

__all__ = ["form_figures", "in_celsius", "law_words", "policy_reach_words", "stricter_words", "warmest_water"]

# Figures that may be stricter for some people or masks; of one compressor the air is the same for all.
_FOR_SOME = ("recharge-at", "training-interval", "emergency-inspection-interval")
_MAIN = "29 CFR 1910.134"  # its paragraphs are printed by their letters alone


def law_words(judged: Judged, language: Language = ENGLISH) -> dict[str, str]:
    """Return every figure that the law sets, as it is printed, by its id."""
    values = judged.figures.law.values.values()
    return {rule.id: language.measure(rule.printed) for rule in values if rule.value is not None}


def in_celsius(value: Figure | None) -> str:
    """Return a temperature, or a difference of two, in degrees Celsius."""
    if not isinstance(value, Quantity):
        return ""
    unit = "C-difference" if value.unit.endswith("-difference") else "C"
    return text_of(in_unit(value, unit), unit_symbol(unit)).replace("-", "−")


def warmest_water(judged: Judged) -> str:
    """Return the warmest water for cleaning, first in the unit of the firm; degrees Celsius are rounded down."""
    law = judged.figures.law
    fahrenheit = text_of(law.amount("cleaning-water", "F"), "°F", "down")
    celsius = text_of(law.amount("cleaning-water", "C"), "°C", "down", 2)
    water = judged.description.procedures.cleaning.water_temperature
    return f"{celsius} ({fahrenheit})" if water and water.unit == "C" else f"{fahrenheit} ({celsius})"


# ---- who asks for more --------------------------------------------------------------------------------


def policy_reach_words(policy: Policy, program: Program) -> str:
    """Return what a policy holds for: groups by name, in which sites, tasks, agents and masks, or all work."""
    policy = next(one for one in program.policies if one.id == policy.id)  # as it was described, wherever it binds now
    names = {f"sites.{site.id}": site.name for site in program.organisation.sites}
    names |= {f"tasks.{task.id}": task.name for task in program.tasks}
    names |= {f"masks.{mask.id}": label_of(mask) for mask in program.masks}
    names |= {f"groups.{group.id}": group.name for group in program.groups}
    places = [names[f"sites.{site}"] for site in policy.sites] + [names[f"tasks.{task}"] for task in policy.tasks]
    work = "; ".join((*places, *policy.agents, *(names[f"masks.{mask}"] for mask in policy.masks)))
    whom = ", ".join(names[f"groups.{group}"] for group in policy.groups)
    return said("%(whom)s, in: %(work)s", whom=whom, work=work) if whom and work else whom or work or said("all work")


def stricter_words(judged: Judged, tokens: Tokens, language: Language = ENGLISH) -> dict[str, str]:
    """Return, by figure, a sentence for each state and policy that asks for more; empty where none does."""
    of_states: dict[str, str] = {}
    for value in judged.figures.of_states:
        asked = _asked(value.words, value.value, value.printed)
        told = said(
            "By law for work in %(state)s: %(asked)s (%(citation)s).",
            state=value.state,
            asked=asked,
            citation=same(value.citation),
        )
        of_states[value.id] = f"{of_states.get(value.id, '')} {said_in(language, told)}"
    return {
        name: of_states.get(name, "")
        + "".join(
            " "
            + language.say(
                "Stricter by %(policy)s: %(asked)s, for %(reach)s.",
                policy=tokens.hide(f"{policy.by}, {policy.source}", "policies"),
                asked=said_in(language, _asked(judged.figures.law[name].words, wanted.value, wanted.printed)),
                reach=tokens.hide(policy_reach_words(policy, judged.description), "policies"),
            )
            for policy, wanted in found
        )
        for name, found in judged.figures.tightened.items()
    }


def _asked(words: str, value: Figure | None, printed: str) -> str:
    """Return what is asked: a figure, or that something be or not be."""
    if isinstance(value, bool):
        return words if value else said("no %(words)s", words=words)
    return printed


# ---- forms --------------------------------------------------------------------------------------------


def _set_by(judged: Judged, name: str, found: InForce, language: Language) -> str:
    """Return who set a figure: a paragraph by its letters, a policy and what it holds for, this program."""
    if found.setter is Setter.LAW:
        return found.origin.removeprefix(_MAIN)
    setters = (policy for policy, asked in judged.figures.tightened[name] if asked.origin == found.origin)
    policy = next((policy for policy in setters if not policy.is_general), None)
    by = f"({said_in(language, in_quotes(found.origin))})"
    if policy is None:
        return by
    reach = said_in(language, policy_reach_words(policy, judged.description))
    return language.say("%(by)s, for %(reach)s", by=by, reach=reach)


def _for_some(judged: Judged, policy: Policy, asked: InForce, language: Language) -> str:
    told = said(
        "for %(reach)s: %(figure)s (%(origin)s)",
        reach=policy_reach_words(policy, judged.description),
        figure=said_measure(asked.printed),
        origin=in_quotes(asked.origin),
    )
    return said_in(language, told)


def _limit(judged: Judged, name: str, language: Language) -> tuple[str, str]:
    found, usual = judged.figures.in_force.get(name), judged.figures.for_all.get(name)
    asking = [one for one in judged.figures.tightened[name] if usual is None or one[1].origin != usual.origin]
    if usual is not None and found is not None and name in _FOR_SOME and found.origin != usual.origin:
        by = [_set_by(judged, name, usual, language)]
        by += (_for_some(judged, policy, asked, language) for policy, asked in asking)
        return language.measure(usual.printed), "; ".join(by)
    return (language.measure(found.printed), _set_by(judged, name, found, language)) if found else ("", "")


def form_figures(judged: Judged, language: Language = ENGLISH) -> Mapping[str, str]:
    """Return the figures in force that forms print, with who set each."""
    return dict(_form_figures(judged, language))


def _form_figures(judged: Judged, language: Language) -> Iterator[tuple[str, str]]:
    say = language.say

    def limit(name: str) -> tuple[str, str]:
        return _limit(judged, name, language)

    in_force = judged.figures.in_force
    (low, low_by), (high, high_by) = limit("breathing-oxygen-low"), limit("breathing-oxygen-high")
    by = low_by if low_by == high_by else f"{low_by}; {high_by}"
    yield "air_oxygen", f"{say('%(low)s to %(high)s', low=low.removesuffix(' %'), high=high)} {by}"
    for word, name in (("oil", "oil"), ("co", "carbon-monoxide"), ("co2", "carbon-dioxide")):
        most, by = limit(f"breathing-{name}")
        yield f"air_{word}", f"{say('at most %(level)s', level=most)} {by}"
        yield f"most_{word}", most if by.startswith("(i)") else f"{most} {by}"
    for word, name in (("cylinder", "cylinder-dew-point"), ("compressor", "compressor-dew-point")):
        figure, by = limit(name)
        yield f"dew_{word}", f"{figure} ({in_celsius(in_force[name].value)})" if figure else ""
        yield f"dew_{word}_by", by
    of_pressure = say("of the maker's pressure")
    yield "recharge_at", f" {of_pressure} ".join(limit("recharge-at"))
    yield "training_interval", ", ".join(limit("training-interval"))
    yield "worn_before_test", language.measure(in_force["worn-before-fit-test"].printed)
    yield "inspected_every", _inspected_every(judged, language)
    yield "hair_words", _hair_words(judged, language)


def _hair_words(judged: Judged, language: Language) -> str:
    """Return that everybody who is tested is clean-shaven, or for which work or masks."""
    found = judged.figures.in_force.get("clean-shaven")
    if found is None:
        return ""
    policies = [policy for policy, _ in judged.figures.tightened["clean-shaven"]]
    if found.setter is Setter.LAW or not policies or any(policy.is_general for policy in policies):
        return language.say("; clean-shaven")
    reach = dict.fromkeys(policy_reach_words(policy, judged.description) for policy in policies)
    return language.say("; clean-shaven for %(reach)s", reach=said_in(language, said_join(reach, "; ")))


def _inspected_every(judged: Judged, language: Language) -> str:
    name = "emergency-inspection-interval"
    interval = judged.figures.in_force.get(name)
    if interval is None or (interval.setter is Setter.LAW and interval.text == "1 month"):
        return language.say("monthly")
    figure, by = _limit(judged, name, language)
    return f"{language.say('every %(interval)s', interval=figure)} {by}"
