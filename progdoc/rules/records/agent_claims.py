"""What is claimed of an agent, or of the cartridge against it, held against what is published or stands beside it.

A no to irritation, a list of agents on a cartridge, guidance in words: each is somebody's word, and here it meets the
table, the approval or the figure that knows better. What no table knows is asked for its source.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from functools import cache

from progdoc.core.numbers import number_text
from progdoc.core.said import said, said_join, same
from progdoc.model.description.exposure_evidence import Judgment, Samples
from progdoc.model.description.masks import Filter, Gas
from progdoc.model.description.upkeep import Schedule
from progdoc.rules.cartridge_life.life_estimate import gas_agents
from progdoc.rules.cartridge_life.schedules import WANDERS_BELOW_C
from progdoc.rules.cartridge_life.vapours import boiling_point_c
from progdoc.rules.check_result import CheckResult
from progdoc.rules.facts import Facts
from progdoc.rules.judged.air_results import Assessment
from progdoc.rules.judged.cartridge_results import CartridgeChange
from progdoc.rules.lookup.cartridges import (
    Recommended,
    claim_trouble,
    is_approved_for,
    is_doubted,
    is_gas_cartridge,
    may_be_gas,
    needed_cartridge,
    recommended,
)
from progdoc.rules.lookup.clauses import clauses_of
from progdoc.rules.lookup.facepieces import purifies
from progdoc.rules.lookup.mask_words import factors_in
from progdoc.rules.lookup.substances import find_substance, is_limited_in_ppm
from progdoc.rules.lookup.table_files import table_entries
from progdoc.rules.lookup.telling_words import clauses_without, is_told
from progdoc.rules.masks.standards import contradicts_no, standards_of
from progdoc.rules.requirement import Subject

__all__ = ["AGENT_CLAIM_CHECKS"]

_CLASSES = frozenset(gas.value for gas in Gas)


def _agent(facts: Facts, subject: Subject) -> Assessment:
    task, hazard = (name.partition(".")[2] for name in subject.ids)
    return next(agent for agent in facts.selection.air[task].agents if agent.hazard.id == hazard)


# ---- agents -------------------------------------------------------------------------------------------


def _judged_as_told(facts: Facts, subject: Subject) -> CheckResult:
    """The guidance of a judgment names a mask, or a factor, that the figure beside it is not."""
    evidence = _agent(facts, subject).hazard.exposure
    path = f"{subject.path}.exposure"
    if not isinstance(evidence, Judgment):
        return CheckResult((path,), nothing=said("The air is not judged by guidance alone."))
    read = (f"{path}.guidance", f"{path}.needed_apf")
    named = factors_in(evidence.guidance)
    if named is None or named[0] <= evidence.needed_apf <= named[1]:
        return CheckResult(read, nothing=said("The guidance names no other mask than the figure beside it."))
    least, most, words = named
    found = (
        number_text(least)
        if least == most
        else said("%(least)s to %(most)s", least=number_text(least), most=number_text(most))
    )
    told = {"text": evidence.guidance, "words": words, "found": found, "needed": number_text(evidence.needed_apf)}
    return CheckResult(read, ((read[0], told),))


def _irritates_after_all(facts: Facts, subject: Subject) -> CheckResult:
    """That an agent does not irritate the eyes is said against its standard, or its classification in strong air."""
    path, agent = f"{subject.path}.irritates_eyes", _agent(facts, subject)
    source = contradicts_no(agent)
    if not source:
        return CheckResult(
            (path,), nothing=said("Nothing that is known says that it irritates the eyes at this level.")
        )
    return CheckResult((path,), ((path, {"agent": agent.hazard.agent, "source": source}),))


# ---- cartridges ---------------------------------------------------------------------------------------


def _cartridge_recommended(facts: Facts, subject: Subject) -> CheckResult:
    """A cartridge is relied on against an agent for which published recommendations name supplied air alone."""
    task = facts.tasks[subject.ids[0].partition(".")[2]][1]
    mask = facts.masks[subject.ids[1].partition(".")[2]][1]
    air, verdict = facts.selection.air[task.id], facts.selection.masks[task.id, mask.id]
    use = facts.value_at(subject.path)
    parts = [facts.filters[name] for name in use.filters]
    read = (f"{subject.path}.filters", *(agent.path for agent in air.agents))
    told, together = {reason.words.get("agent", "") for reason in verdict.reasons}, air.over_together
    relied_on = [
        agent
        for agent in air.agents
        if agent.is_gas
        and recommended(agent.substance) is not Recommended.NOTHING_KNOWN
        and agent.hazard.agent not in told  # that nothing of the mask stops it is said already
        and (
            air.is_asked_for or agent.is_over_limit or agent.is_unknown or agent.undetermined or agent.name in together
        )
    ]
    held_by = [(path, part) for path, part in parts if is_gas_cartridge(part)]
    if not purifies(mask) or not held_by or not relied_on:
        return CheckResult(read, nothing=said("No cartridge is relied on against an agent of that kind."))
    doubts = [a for a in relied_on if all(is_doubted(part, a.hazard.agent, a.substance) for _, part in held_by)]
    names = said_join(dict.fromkeys(agent.hazard.agent for agent in doubts), ", ")
    faults = ((f"{subject.path}.filters", {"agent": names}),) if doubts else ()
    return CheckResult(read, faults, tuple(f"{path}.most_for" for path, part in held_by if part.most_for))


def _claims_suit(facts: Facts, subject: Subject) -> CheckResult:
    """An agent is named for a cartridge whose own approval or class does not hold it."""
    part: Filter = facts.value_at(subject.path)
    named = [(f"{subject.path}.agents[{i}]", agent) for i, agent in enumerate(part.agents)]
    named += [(f"{subject.path}.most_for[{i}].agent", bound.agent) for i, bound in enumerate(part.most_for)]
    named += [(f"{subject.path}.esli_for[{i}]", agent) for i, agent in enumerate(part.esli_for)]
    faults = tuple(
        (path, {"agent": agent, "trouble": trouble})
        for path, agent in named
        if (trouble := claim_trouble(part, find_substance(agent)))
    )
    read = tuple(path for path, _ in named) or (f"{subject.path}.agents",)
    return CheckResult(read, faults, nothing=said("No agent is named against its class."))


def _claims_sourced(facts: Facts, subject: Subject) -> CheckResult:
    """Nobody says where an agent is named that the class does not hold; or the colour in a name is another class's."""
    part: Filter = facts.value_at(subject.path)
    place, name = f"{subject.path}.agents_source", f"{subject.path}.name"
    asked = _named_by_label_alone(part)
    faults = []
    if asked and part.agents_source is None:
        trouble = said(
            "nobody says where %(asked)s is named for it, which its class alone does not tell",
            asked=said_join(asked, ", "),
        )
        faults.append((f"{subject.path}.agents", {"trouble": trouble}))
    if trouble := _colour_trouble(part):
        faults.append((name, {"trouble": trouble}))
    nothing = "" if asked else said("Its class tells what it is for, and the colour in its name agrees.")
    return CheckResult((place, name), tuple(faults), (place,) if asked and not faults else (), nothing)


def _named_by_label_alone(part: Filter) -> list[str]:
    """Return the gases and vapours that are named for a cartridge and that its class does not tell."""
    alone = part.model_copy(update={"agents": ()})
    told = [(agent, find_substance(agent)) for agent in part.agents if is_gas_cartridge(part)]
    return [
        agent
        for agent, known in told
        if (known is None or may_be_gas(known) or is_limited_in_ppm(known))
        and not claim_trouble(part, known)
        and not is_approved_for(alone, agent, known)
    ]


def _colour_trouble(part: Filter) -> str:
    """Return why the colour in the name of a cartridge is not that of what it is said to be for, or nothing."""
    colours = {str(one["colour"]): set(map(str, one["gases"])) for one in table_entries("cartridge_colours", "colours")}
    named = [colour for colour in colours if _word(colour).search(part.name or "")]
    needed = {needed_cartridge(known) or "" for agent in part.agents if (known := find_substance(agent))}
    claimed = {gas.value for gas in part.gases} or (needed & _CLASSES)
    coloured = {gas for colour in named for gas in colours[colour]}
    is_mixed = bool(claimed - set().union(*colours.values()))  # of a class whose colour is not listed
    if not named or not claimed or is_mixed or claimed & coloured or (not coloured and part.particulate is not None):
        return ""
    meant, stated = (
        said_join((said(gas.replace("-", " ")) for gas in sorted(one)), said(" and "))
        for one in (coloured or {"particles alone"}, claimed)
    )
    return said(
        "%(named)s is the colour for %(meant)s, and it is described for %(said)s",
        named=said_join(map(said, named), said(" and ")),
        meant=meant,
        said=stated,
    )


@cache
def _word(word: str) -> re.Pattern[str]:
    return re.compile(rf"\b{re.escape(word)}\b", re.IGNORECASE)


# ---- change schedules ---------------------------------------------------------------------------------


def _low_boilers_named(facts: Facts, subject: Subject) -> CheckResult:
    """A schedule rests on words alone, and they do not name a vapour of its air that boils low."""
    plan: Schedule = facts.value_at(subject.path)
    texts = [(f"{subject.path}.{field}", text) for field in ("data", "reliance") if (text := getattr(plan, field))]
    read = (f"{subject.path}.data", f"{subject.path}.reliance")
    early = [entry for change in _on_words_alone(facts, subject) for entry in _boiling_early(facts, change)]
    if not early or not texts:
        return CheckResult(read, nothing=said("No vapour that boils low rests on words alone."))
    faults = {
        agent.hazard.agent: (
            texts[0][0],
            {"agent": agent.hazard.agent, "boils": said("%(point)s °C", point=same(f"{point:.0f}")), "task": task},
        )
        for task, agent, point in early
        if not any(_names(agent).search(clause) for _, text in texts for clause in clauses_without("denials", text))
    }
    return CheckResult(read, tuple(faults.values()))


def _on_words_alone(facts: Facts, subject: Subject) -> Iterator[CartridgeChange]:
    """Yield the changes of a schedule for which no source with a figure, and no indicator, counts."""
    for (task, mask, _), change in facts.cartridge_changes.items():
        is_asked = subject.kind != "in-task" or {f"tasks.{task}", f"masks.{mask}"} <= set(subject.ids)
        is_carried = any(source.counts and not source.is_bound for source in change.sources)
        if is_asked and not is_carried and any(path == subject.path for path, _ in change.written):
            yield change


def _boiling_early(facts: Facts, change: CartridgeChange) -> Iterator[tuple[str, Assessment, float]]:
    """Yield the vapours that boil under the bound of the model, but for those whose standards set the change."""
    for agent in gas_agents(facts.selection.air[change.task.id]):
        point, rules = boiling_point_c(agent), standards_of(agent, change.task)
        is_set = bool(rules) and not any(rule.calls_in_change_schedule for rule in rules)
        if point is not None and point < WANDERS_BELOW_C and not is_set:
            yield change.task.name, agent, point


def _source_looked_into(facts: Facts, subject: Subject) -> CheckResult:
    """What an agent comes from was looked into, or its air was sampled: what nobody analysed holds what it holds."""
    hazard, place = facts.value_at(subject.path), f"{subject.path}.source"
    if hazard.source is None or isinstance(hazard.exposure, Samples):
        return CheckResult((place,), nothing=said("Nobody says what it comes from, or its air was sampled."))
    found = next((clause.strip() for clause in clauses_of(hazard.source) if is_told("unanalysed", clause)), "")
    return CheckResult((place,), ((place, {"text": hazard.source, "found": found}),) if found else (), (place,))


def _names(agent: Assessment) -> re.Pattern[str]:
    names = [agent.hazard.agent, *((agent.substance.name, *agent.substance.synonyms) if agent.substance else ())]
    return re.compile(rf"(?<!\w)(?:{'|'.join(map(re.escape, names))})(?!\w)", re.IGNORECASE)


AGENT_CLAIM_CHECKS: dict[str, Callable[[Facts, Subject], CheckResult]] = {
    "cartridge-recommended": _cartridge_recommended,
    "judged-as-guidance-says": _judged_as_told,
    "irritation-as-known": _irritates_after_all,
    "agents-suit-cartridge": _claims_suit,
    "agents-of-cartridge-sourced": _claims_sourced,
    "low-boilers-named": _low_boilers_named,
    "source-looked-into": _source_looked_into,
}
