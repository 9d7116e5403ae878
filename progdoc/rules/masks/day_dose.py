"""One agent met in several tasks of one day: each may keep the limit, and the day may not.

An 8-hour limit is one for the whole shift, so that what one person takes in at several tasks adds up. It is added
behind the masks that have to be worn (without them: `sums_of_days`); where the sum is over the limit, the air of each
of these tasks asks for what the day asks for. A day holds no more hours than a shift: the worst tasks fill it first.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from math import fsum

from progdoc.core.late_dataclass import dataclass
from progdoc.core.numbers import number_text
from progdoc.core.said import said, said_join
from progdoc.core.worked import Input, Rounding, Worked, followed
from progdoc.model.description.exposure_evidence import Fraction, RestOfShift, Samples, SilicaTable1
from progdoc.model.description.program import Program
from progdoc.model.description.quantities import Quantity, in_unit
from progdoc.model.description.workplace import Task
from progdoc.rules.air.home_paragraphs import at_home
from progdoc.rules.air.same_day import groups_of_one_day
from progdoc.rules.air.shift_levels import worked_minutes
from progdoc.rules.air.task_air import mixture_ratios
from progdoc.rules.judged.air_results import Assessment, Ratio
from progdoc.rules.judged.mask_results import DaySum, Selection
from progdoc.rules.judged.published import Limit, LimitKind
from progdoc.rules.lookup.cited import cited
from progdoc.rules.lookup.conversion import in_limit_unit
from progdoc.rules.lookup.limits import industries_of
from progdoc.rules.reasons import Reason

__all__ = ["sums_of_days", "with_days"]

_ALL = Fraction.TOTAL.value
_HAIR = 1.0 + 1e-9  # what binary arithmetic adds to a level just at its limit


@dataclass(frozen=True, slots=True)
class _Share:
    """What a task adds to the day of whoever does it, in times of one limit."""

    agent: Assessment
    in_air: float
    factor: float  # of the least mask that has to be worn; 1 without any
    minutes: float  # within which it is taken in; 0 where nobody says how long the task lasts

    @property
    def behind_mask(self) -> float:
        return self.in_air / self.factor


@dataclass(frozen=True, slots=True)
class _Day:
    """A day that is over a limit though no task alone is."""

    limit: Limit
    shares: tuple[_Share, ...]
    behind_masks: float
    in_air: float


def with_days(program: Program, assessed: Mapping[str, Assessment], alone: Selection) -> Mapping[str, Assessment]:
    """Return the assessments with what a day of several tasks asks for; the same ones where no day asks for more.

    `alone`: the selection of masks as each task for itself calls for it.
    """
    met: dict[str, list[Assessment]] = {}
    for agent in assessed.values():
        met.setdefault(agent.name.casefold(), []).append(agent)
    changed: dict[str, Assessment] = {}
    for agents in met.values():
        tasks = list({agent.task.id: agent.task for agent in agents}.values())
        for group in groups_of_one_day(tasks):
            names = {task.id for task in group}
            here = [agent for agent in agents if agent.task.id in names]
            for agent in _without_figure(here):
                changed[agent.hazard.id] = _asked(changed.get(agent.hazard.id, agent), here)
            day = _worst_day(here, group, alone)
            for share in day.shares if day else ():
                name = share.agent.hazard.id
                changed[name] = _raised(changed.get(name, share.agent), share, day)
    for agent, reason in _mixtures_of_days(assessed, alone):
        known = changed.get(agent.hazard.id, agent)
        changed[agent.hazard.id] = replace(known, reasons=(*known.reasons, reason))
    return {name: changed.get(name, agent) for name, agent in assessed.items()} if changed else assessed


# ---- several agents -----------------------------------------------------------------------------------


def _mixtures_of_days(assessed: Mapping[str, Assessment], alone: Selection) -> Iterator[tuple[Assessment, Reason]]:
    """Yield what several agents of several tasks come to together, said once for a day, of the agent that adds most."""
    by_task: dict[str, list[Assessment]] = {}
    for agent in assessed.values():
        if mixture_ratios((agent,)):
            by_task.setdefault(agent.task.id, []).append(agent)
    told: dict[str, tuple[Assessment, Reason]] = {}
    for group in groups_of_one_day([agents[0].task for agents in by_task.values()]):
        here = [(task, _mixture_behind(by_task[task.id], alone), _minutes(by_task[task.id][0])) for task in group]
        if len({agent.name for task in group for agent in by_task[task.id]}) < 2 or any(x > _HAIR for _, x, _ in here):
            continue
        day_min = max(worked_minutes(task) for task in group)
        total = _dose([(value, minutes) for _, value, minutes in here], day_min)
        task, most, _ = max(here, key=lambda one: one[1])
        if total > _HAIR and total > most * _HAIR:
            agent = max(by_task[task.id], key=lambda one: max(mixture_ratios((one,)).values()))
            others = [one.name for one, value, _ in here if one is not task and value > 0.0]
            words = {"others": said_join(others, "”, “"), "sum": number_text(total, "up")}
            told.setdefault(agent.hazard.id, (agent, Reason("EXP-044", f"{agent.path}.exposure", words)))
    yield from told.values()


def _mixture_behind(agents: Sequence[Assessment], alone: Selection) -> float:
    """Return the mixture sum of a task behind its masks; of two sources of one agent the higher counts."""
    worst: dict[str, float] = {}
    for agent in agents:
        for name, ratio in mixture_ratios((agent,)).items():
            worst[name] = max(worst.get(name, 0.0), ratio / _factor(agent, alone))
    return sum(worst[name] for name in sorted(worst))


# ---- the sum of a day ---------------------------------------------------------------------------------


def _worst_day(here: Sequence[Assessment], group: Sequence[Task], alone: Selection) -> _Day | None:
    """Return the day that is the most times over a limit; none where every limit is kept."""
    day_min = max(worked_minutes(task) for task in group)
    days: list[_Day] = []
    for ratio in _shift_ratios(here):
        shares = tuple(_shares(ratio, here, alone))
        if len(shares) < 2 or any(share.behind_mask > _HAIR for share in shares):
            continue  # over it alone: said of that task, and mended there
        behind = _dose([(share.behind_mask, share.minutes) for share in shares], day_min)
        if behind > _HAIR:
            in_air = _dose([(share.in_air, share.minutes) for share in shares], day_min)
            days.append(_Day(ratio.limit, shares, behind, in_air))
    return max(days, key=lambda day: (not _is_by_policy(day.limit), day.behind_masks), default=None)


def _is_by_policy(limit: Limit) -> bool:
    return limit.note.startswith("policy ")


def _shift_ratios(here: Sequence[Assessment]) -> Iterator[Ratio]:
    """Yield one ratio for each limit over a shift that somebody's task is held against, the firm's own among them."""
    found: dict[tuple[float, str, str, str], Ratio] = {}
    for agent in here:
        for ratio in agent.ratios:
            if ratio.limit.kind is LimitKind.TWA:
                key = (ratio.level.limit_value, ratio.level.unit, ratio.limit.fraction, ratio.limit.form)
                found.setdefault(key, ratio)
    yield from found.values()


def _is_like(one: Limit, other: Limit) -> bool:
    """Whether two limits speak of grains of one size, and not one of fume and the other of dust."""
    is_one_size = (one.fraction or _ALL) == (other.fraction or _ALL)
    return is_one_size and (one.form == other.form or not (one.form and other.form))


def _shares(wanted: Ratio, here: Sequence[Assessment], alone: Selection) -> Iterator[_Share]:
    """Yield what each task adds; of two sources in one task the higher counts, as it does alone."""
    by_task: dict[str, _Share] = {}
    for agent in here:
        levels = [
            value
            for ratio in agent.ratios
            if ratio.limit.kind is LimitKind.TWA and _is_like(ratio.limit, wanted.limit)
            for value in [
                in_limit_unit(Quantity(ratio.level.value, ratio.level.unit, ""), wanted.level.unit, agent.substance)
            ]
            if value is not None
        ]
        if not levels:
            continue
        share = _Share(agent, max(levels) / wanted.level.limit_value, _factor(agent, alone), _minutes(agent))
        known = by_task.get(agent.task.id)
        if known is None or share.behind_mask > known.behind_mask:
            by_task[agent.task.id] = share
    yield from by_task.values()


def _factor(agent: Assessment, alone: Selection) -> float:
    """Return the factor of the least mask that has to be worn against an agent; 1 where one may go without."""
    task = agent.task
    if not alone.air[task.id].is_worn or not task.masks:
        return 1.0
    verdicts = [alone.masks[task.id, use.mask] for use in task.masks]
    return max(1.0, min(1.0 if agent.hazard.agent in v.passes else v.credit.apf or 1.0 for v in verdicts))


def _minutes(agent: Assessment) -> float:
    """Return within how long the dose of a task is taken in: its own time, unless all of the shift is like it."""
    task, evidence = agent.task, agent.hazard.exposure
    day_min = worked_minutes(task)
    stated = {sample.rest_of_shift for sample in evidence.results} if isinstance(evidence, Samples) else set()
    if RestOfShift.SAME in stated:
        return day_min
    return min(in_unit(task.duration, "min"), day_min) if task.duration is not None else 0.0


def _dose(shares: Sequence[tuple[float, float]], day_min: float) -> float:
    return fsum(_doses(shares, day_min))


def _doses(shares: Sequence[tuple[float, float]], day_min: float) -> list[float]:
    """Return what of each share fits into a day at the most: those that bring the most in a minute come first."""
    found, left = [0.0] * len(shares), day_min
    in_a_minute = [value / minutes if minutes else float("inf") for value, minutes in shares]
    for i in sorted(range(len(shares)), key=lambda i: in_a_minute[i], reverse=True):
        value, minutes = shares[i]
        done = min(minutes, left)
        found[i] = value * done / minutes if minutes else value
        left -= done
    return found


# ---- the sums without masks ---------------------------------------------------------------------------


def sums_of_days(assessed: Mapping[str, Assessment], alone: Selection) -> tuple[DaySum, ...]:
    """Return what days come to in the air, of all agents and of each, where no task is over the limit alone.

    Limits are of the air that a person works in, (d)(1) and (d)(2): a mask that has to be
    worn lowers what is breathed, and does not make the sum keep them.
    """
    by_name: dict[str, list[Assessment]] = {"": list(assessed.values())}
    for agent in assessed.values():
        by_name.setdefault(agent.name, []).append(agent)
    found: dict[tuple[str, tuple[str, ...]], DaySum] = {}
    for name, agents in by_name.items():
        by_task: dict[str, list[Assessment]] = {}
        for agent in agents:
            if mixture_ratios((agent,)):
                by_task.setdefault(agent.task.id, []).append(agent)
        for group in groups_of_one_day([here[0].task for here in by_task.values()]):
            day = _sum_of(name, [(task, by_task[task.id]) for task in group], alone)
            if day is not None:
                found.setdefault((name, day.tasks), day)
    return tuple(found.values())


def _sum_of(name: str, group: Sequence[tuple[Task, list[Assessment]]], alone: Selection) -> DaySum | None:
    """Return what the tasks of a day add up to; `name`: of one agent, or of all together where it is empty."""
    here = [(task, fsum(mixture_ratios(tuple(agents)).values()), agents) for task, agents in group]
    is_one_agent = len({agent.name for _, _, agents in here for agent in agents}) < 2
    if is_one_agent is not bool(name) or any(value > _HAIR for _, value, _ in here):
        return None  # of one agent it is told as of that agent; a task that is over the limit alone tells so itself
    day_min = max(worked_minutes(task) for task, _, _ in here)
    minutes = [_minutes(agents[0]) for _, _, agents in here]
    shares = _doses([(value, one) for (_, value, _), one in zip(here, minutes, strict=True)], day_min)
    counted = [(task, share) for (task, _, _), share in zip(here, shares, strict=True) if share > 0.0]
    if len(counted) < 2 or fsum(share for _, share in counted) <= _HAIR:
        return None
    behind = [(_mixture_behind(agents, alone), one) for (_, _, agents), one in zip(here, minutes, strict=True)]
    first = counted[0][0]
    worked = Worked(
        id=f"tasks.{first.id}.day-{'-'.join(task.id for task, _ in counted[1:])}{f'-{name}' if name else ''}",
        name=said("Sum of the day of “%(tasks)s”", tasks=said_join((task.name for task, _ in counted), "”, “")),
        value=fsum(share for _, share in counted),
        unit="",
        formula=said("sum of a day = E₁ + E₂ + …"),
        inputs=tuple(
            Input(said("“%(task)s”", task=task.name), share, "", said("worked above"), Rounding.UP)
            for task, share in counted
        ),
        citation=said_join(
            dict.fromkeys(cited(f"mixture-{one}") for task, _ in counted for one in industries_of(task)), "; "
        ),
        rounding=Rounding.UP,
        notes=(
            said(
                "In the air, masks not counted; behind the masks that have to be worn it comes to %(sum)s.",
                sum=number_text(_dose(behind, day_min), "up"),
            ),
        ),
    )
    of = name or said("all agents together")
    return DaySum(tuple(task.id for task, _ in counted), of, followed(worked, fsum), _dose(behind, day_min))


# ---- what follows from it -----------------------------------------------------------------------------


def _raised(agent: Assessment, share: _Share, day: _Day | None) -> Assessment:
    """Ask of the air of a task what the day asks for: a factor as high as the sum of its tasks."""
    if day is None:
        return agent
    others = [one.agent.task.name for one in day.shares if one.agent.task.id != agent.task.id]
    behind = "" if all(one.factor == 1.0 for one in day.shares) else said(" behind the masks that have to be worn")
    words = {
        "others": said_join(others, "”, “"),
        "sum": number_text(day.behind_masks, "up"),
        "behind": behind,
        "limit": day.limit.in_words,
    }
    reason = Reason("EXP-040", f"{agent.path}.exposure", words)
    (reason,) = at_home((reason,), agent.task, agent.substance, agent.limits)
    policy = day.limit.citation if _is_by_policy(day.limit) else ""
    if policy:
        reason = replace(reason, words={**words, "citation": policy})
    return replace(
        agent,
        reasons=(*(r for r in agent.reasons if r.code != "EXP-040"), reason),
        floor=max(agent.floor or 0.0, day.in_air),
        is_over_limit=True,
        needed_by_policy=agent.needed_by_policy if agent.is_over_limit else policy,
    )


def _without_figure(here: Sequence[Assessment]) -> Iterator[Assessment]:
    """Yield what has a limit over a shift and no level, where it can't be added to another task's.

    That the hours of Table 1 count together is judged by the table itself.
    """
    if all(isinstance(agent.hazard.exposure, SilicaTable1) for agent in here):
        return
    for agent in here:
        has_limit = any(limit.kind is LimitKind.TWA and limit.value is not None for limit in agent.limits)
        has_level = any(ratio.limit.kind is LimitKind.TWA for ratio in agent.ratios)
        if has_limit and not has_level and not agent.is_unknown:
            yield agent


def _asked(agent: Assessment, here: Sequence[Assessment]) -> Assessment:
    others = dict.fromkeys(one.task.name for one in here if one.task.id != agent.task.id)
    reason = Reason("EXP-041", f"{agent.path}.exposure", {"others": said_join(others, "”, “")})
    (reason,) = at_home((reason,), agent.task, agent.substance, agent.limits)
    return replace(agent, reasons=(*(r for r in agent.reasons if r.code != "EXP-041"), reason))
