"""The air of a task, all its agents together: the factor it calls for, and whether it is immediately dangerous.

Refuses to take silence for harmless: oxygen that nobody measured in a confined space, or beside a gas that
displaces it, and an altitude that nobody stated while oxygen is short, count as danger.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from math import fsum
from typing import NamedTuple

from progdoc.calc.oxygen import AltitudeRow, OxygenCase, is_oxygen_deficient, needs_oxygen_enriched_air, oxygen_case
from progdoc.calc.protection import NeededFactor, is_protective_enough, needed_protection_factor
from progdoc.core.numbers import text_of
from progdoc.core.paper_language import marked
from progdoc.core.said import said, said_agent, said_join, same
from progdoc.core.worked import Input, Rounding, Worked, followed
from progdoc.model.description.exposure_evidence import Unknown
from progdoc.model.description.quantities import Quantity, in_unit, unit_symbol
from progdoc.model.description.workplace import DoneBy, Industry, Task
from progdoc.rules.air.blasting import BlastMask, blast_mask
from progdoc.rules.air.declared_work import is_in_confined_space, most_oxygen, undescribed
from progdoc.rules.air.hot_work import HotWorkMask, hot_work_mask
from progdoc.rules.air.work_masks import asks_for_mask_at_spraying
from progdoc.rules.judged.air_results import Assessment, Danger, TaskAir, TaskRules
from progdoc.rules.judged.figure_results import LawValue, Setter
from progdoc.rules.judged.published import LimitKind
from progdoc.rules.lookup.answers_said import is_declared_unknown
from progdoc.rules.lookup.cited import cited
from progdoc.rules.lookup.conversion import in_limit_unit
from progdoc.rules.lookup.law_tables import oxygen_ranges
from progdoc.rules.lookup.limits import industries_of

__all__ = ["mixture_ratios", "needed_for", "task_air"]

_IN_CONSTRUCTION = marked(
    "In construction this is good practice, applied by progdoc as the stricter choice: the rule is general industry's, "
    "and %(standard)s has no such sum."
)


def task_air(
    task: Task,
    path: str,
    agents: tuple[Assessment, ...],
    altitudes: list[Quantity | None],
    rules: TaskRules,
    as_of: date,
) -> TaskAir:
    """Return the air of a task at the sites where it is done, as far as it is known on a day."""
    known = [in_unit(altitude, "ft") for altitude in altitudes if altitude is not None]
    is_altitude_known = bool(known) and len(known) == len(altitudes)
    altitude_ft = max(known) if is_altitude_known else None
    oxygen = _oxygen(task, altitude_ft, rules, as_of)
    dangers = tuple(_dangers(task, path, agents, oxygen, rules))
    needed = needed_for(task, agents)
    is_short_of_oxygen = oxygen in (OxygenCase.EXCEPTION, OxygenCase.IDLH)
    is_over = not is_protective_enough(1.0, needed) or hot_work_mask(task) > HotWorkMask.NONE
    is_over = is_over or blast_mask(task, agents) > BlastMask.NONE or asks_for_mask_at_spraying(task)
    return TaskAir(
        task=task,
        path=path,
        agents=agents,
        needed=needed,
        mixture=_mixture(task, agents, rules.law["mixtures-add-up"]),
        over_together=_over_together(agents),
        danger=tuple(danger.words for danger in dangers),
        to_find_out=tuple(danger.missing for danger in dangers if danger.missing),
        oxygen_set_by=rules.least_oxygen_percent.origin if _is_enough_by_law(task, rules) else "",
        danger_set_by=dangers[0].set_by if dangers and all(danger.set_by for danger in dangers) else "",
        oxygen=oxygen,
        rules=rules,
        lowest_altitude_ft=min(known) if is_altitude_known else None,
        needs_mask=bool(dangers) or is_short_of_oxygen or is_over or any(a.is_over_limit for a in agents),
        needs_enriched_air=bool(known)
        and needs_oxygen_enriched_air(max(known), rules.law.amount("enriched-air-from", "ft")),
    )


# ---- what all agents together call for ----------------------------------------------------------------


def needed_for(task: Task, agents: tuple[Assessment, ...]) -> NeededFactor:
    """Return the protection factor that some agents of a task call for together; 0 where nothing is known."""
    mixture = _mixture(task, agents)
    ratios = [ratio.value for agent in agents for ratio in agent.ratios]
    if mixture is not None:
        ratios.append(mixture.value)
    floors = [a.floor for a in agents if a.floor is not None and not a.floor_is_exclusive and a.floor > 0]
    bounds = [a.floor for a in agents if a.floor is not None and a.floor_is_exclusive]
    if not ratios and not floors and not bounds:
        return NeededFactor(0.0, strictly_above=False)
    return needed_protection_factor([*ratios, *floors], bounds)


def mixture_ratios(agents: tuple[Assessment, ...]) -> dict[str, float]:
    """Return the largest 8-hour hazard ratio of each agent that nobody gave a reason to leave out."""
    worst: dict[str, float] = {}
    for agent in agents:
        for ratio in agent.ratios if agent.hazard.acts_elsewhere is None else ():
            if ratio.limit.kind is LimitKind.TWA:
                worst[agent.name] = max(worst.get(agent.name, 0.0), ratio.value)
    return worst


def _over_together(agents: tuple[Assessment, ...]) -> frozenset[str]:
    """Return the vapours and gases that together pass their limits: a mask is worn against each of them."""
    summed = mixture_ratios(tuple(agent for agent in agents if agent.is_gas))
    if is_protective_enough(1.0, needed_protection_factor([fsum(summed.values())], [])):
        return frozenset()
    return frozenset(summed)


def _mixture(task: Task, agents: tuple[Assessment, ...], by_state: LawValue | None = None) -> Worked | None:
    worst = mixture_ratios(agents)
    if len(worst) < 2:
        return None
    left_out = [
        said("%(agent)s: %(acts_elsewhere)s", agent=a.hazard.agent, acts_elsewhere=a.hazard.acts_elsewhere)
        for a in agents
        if a.hazard.acts_elsewhere is not None
    ]
    unsummed = [a.hazard.agent for a in agents if not a.ratios]
    is_law = by_state is not None and by_state.value is True
    is_practice = task.industry is Industry.CONSTRUCTION and not is_law
    notes = [said(_IN_CONSTRUCTION, standard=cited("no-mixture-in-construction"))] if is_practice else []
    notes += (
        [said("Left out for the reason stated: %(left_out)s.", left_out=said_join(left_out, "; "))] if left_out else []
    )
    notes += (
        [said("Without a level, so not in the sum: %(unsummed)s.", unsummed=said_join(unsummed, ", "))]
        if unsummed
        else []
    )
    worked = Worked(
        id=f"tasks.{task.id}.mixture",
        name=said("Mixture in “%(task)s”", task=task.name),
        value=fsum(worst.values()),
        unit="",
        formula=said("mixture sum Em = C₁ ÷ L₁ + C₂ ÷ L₂ + …"),
        inputs=tuple(
            Input(
                said("hazard ratio of %(agent)s", agent=said_agent(agent)), value, "", said("worked above"), Rounding.UP
            )
            for agent, value in sorted(worst.items())
        ),
        citation=by_state.citation
        if by_state is not None and is_law
        else said_join(dict.fromkeys(cited(f"mixture-{industry}") for industry in industries_of(task)), "; "),
        rounding=Rounding.UP,
        notes=tuple(notes),
    )
    return followed(worked, fsum)


# ---- danger -------------------------------------------------------------------------------------------


def _oxygen(task: Task, altitude_ft: float | None, rules: TaskRules, as_of: date) -> OxygenCase | None:
    if task.oxygen is None or task.oxygen.lowest is None:
        return None
    if task.oxygen.date is not None and task.oxygen.date > as_of:
        return None  # nobody measured it yet
    lowest, least = task.oxygen.lowest.value, rules.least_oxygen_percent.amount("%")
    if not is_oxygen_deficient(lowest, least):
        return OxygenCase.ENOUGH
    # The exception has to be demonstrated, (d)(2)(iii): a text alone says why, not that it is.
    if altitude_ft is None or task.oxygen.basis is None or task.oxygen.shown_by is None:
        return OxygenCase.IDLH
    rows = [AltitudeRow(row.up_to_ft, row.oxygen_min_percent) for row in oxygen_ranges()]
    return oxygen_case(lowest, altitude_ft, least, rows)


class _Danger(NamedTuple):
    """Why air is immediately dangerous; the missing figure if it only follows from that; the policy behind it."""

    words: str
    missing: str = ""
    set_by: str = ""


def _dangers(
    task: Task, path: str, agents: tuple[Assessment, ...], oxygen: OxygenCase | None, rules: TaskRules
) -> Iterator[_Danger]:
    if task.immediately_dangerous:
        yield _Danger(said("the description says so"))
    if task.structural_fire:
        yield _Danger(said("fire-fighting inside a building"))
    if oxygen is OxygenCase.IDLH:
        least = rules.least_oxygen_percent
        source = "" if least.setter is Setter.LAW else said(" (%(origin)s)", origin=least.origin)
        told = {"amount": same(f"{least.amount('%'):g}"), "source": source}
        words = said("oxygen may fall below %(amount)s %%%(source)s", **told)
        if task.oxygen is not None and task.oxygen.shown_by is None:
            words = said(
                "oxygen may fall below %(amount)s %%%(source)s, and nothing shows that it stays within Table II", **told
            )
        yield _Danger(words, set_by=least.origin if _is_enough_by_law(task, rules) else "")
    if (share := most_oxygen(task)) is not None:
        most, is_deadly = rules.law.amount("enriched-air", "%"), rules.law["enriched-air-deadly"]
        if is_deadly.value is True and share.value > most:
            yield _Danger(
                said(
                    "it holds more than %(most)s %% oxygen (%(citation)s)",
                    most=same(f"{most:g}"),
                    citation=is_deadly.citation,
                )
            )
    if oxygen is None and is_in_confined_space(task):
        yield _Danger(said("nobody measured the oxygen of this confined space"), f"{path}.oxygen.lowest")
    if not agents and task.done_by is DoneBy.OUR_PEOPLE and not (task.immediately_dangerous or task.structural_fire):
        yield _Danger(said("nobody says what is in it"), path)
    for one in undescribed(task, agents) if task.done_by is DoneBy.OUR_PEOPLE else ():
        yield _Danger(
            said("how much %(what)s is in the air is not known (%(because)s)", what=one.what, because=one.because),
            f"{path}.{one.field}",
        )
    for agent in agents:
        yield from _agent_danger(agent, path, oxygen)


def _is_enough_by_law(task: Task, rules: TaskRules) -> bool:
    lowest = task.oxygen.lowest if task.oxygen else None
    return lowest is not None and not is_oxygen_deficient(lowest.value, rules.law.amount("least-oxygen", "%"))


def _agent_danger(agent: Assessment, path: str, oxygen: OxygenCase | None) -> Iterator[_Danger]:
    name = agent.hazard.agent
    if isinstance(agent.hazard.exposure, Unknown) and is_declared_unknown(agent.hazard.exposure):
        yield _Danger(
            said(
                "how much %(name)s is in the air can't be told, until it is measured or estimated: %(because)s",
                name=name,
                because=agent.hazard.exposure.because,
            )
        )
        return
    if agent.is_unknown:
        places = (reason.path for reason in agent.reasons if reason.code in agent.unknown_by)
        because = (
            said(" (because of %(unknown_by)s)", unknown_by=said_join(agent.unknown_by, ", "))
            if agent.unknown_by
            else ""
        )
        missing = next(places, f"{agent.path}.exposure")
        yield _Danger(
            said("how much %(name)s is in the air is not known%(because)s", name=name, because=because), missing
        )
        return
    if oxygen is None and agent.substance is not None and agent.substance.is_simple_asphyxiant:
        yield _Danger(
            said("%(name)s displaces oxygen, and nobody measured how much is left", name=name), f"{path}.oxygen.lowest"
        )
    if agent.danger is None or agent.during_task is None:
        return
    level = in_limit_unit(Quantity(agent.during_task, agent.unit, ""), agent.danger.unit, agent.substance)
    printed = text_of(agent.danger.value, unit_symbol(agent.danger.unit))
    if level is None:
        yield _Danger(
            said("%(name)s cannot be compared with its IDLH value of %(printed)s", name=name, printed=printed),
            f"{agent.path}.exposure",
        )
    elif level >= agent.danger.value:
        derived = said(": %(derived)s", derived=agent.derived) if agent.derived else ""
        yield _Danger(
            said(
                "%(name)s may reach its IDLH value of %(printed)s (%(origin)s)%(derived)s",
                name=name,
                printed=printed,
                origin=agent.danger.origin,
                derived=derived,
            ),
            set_by=_policy_alone(agent, agent.danger, level),
        )


def _policy_alone(agent: Assessment, danger: Danger, level: float) -> str:
    """Return the policy that calls a level dangerous which NIOSH does not; nothing where NIOSH does so too."""
    known = agent.substance.idlh if agent.substance else None
    if known is None or known.value is None:
        return danger.origin
    published = in_limit_unit(Quantity(known.value, known.unit, ""), danger.unit, agent.substance)
    return danger.origin if published is not None and level < published else ""
