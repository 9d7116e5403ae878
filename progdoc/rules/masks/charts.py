"""What the picture of a task shows: the levels, limits and IDLH value of the agent that decides, and the masks' reach.

All in the unit of the limit that governs. There is no chart where it would decide nothing: under every limit, without a
level or a limit in numbers, or where no mask has a reach.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from progdoc.core.said import said, said_choice
from progdoc.model.description.exposure_evidence import Samples
from progdoc.model.description.quantities import Quantity, unit_symbol
from progdoc.model.description.words import label_of
from progdoc.rules.air.fractions import is_of_fraction
from progdoc.rules.judged.air_results import Assessment, Ratio
from progdoc.rules.judged.mask_results import Chart, ChartBar, ChartMark, MaskVerdict
from progdoc.rules.judged.published import LimitKind
from progdoc.rules.lookup.conversion import in_limit_unit

__all__ = ["chart_of"]


def chart_of(agents: Iterable[Assessment], verdicts: Sequence[MaskVerdict]) -> Chart | None:
    """Return what is to be drawn for a task: the agent that is the most times over its limit, if a mask has a reach."""
    over = [(agent, ratio) for agent in agents if (ratio := agent.governing) is not None and ratio.value > 1.0]
    if not over:
        return None
    agent, ratio = max(over, key=lambda pair: pair[1].value)
    chart = _chart(agent, ratio, verdicts)
    return chart if chart.bars else None


def _chart(agent: Assessment, governing: Ratio, verdicts: Sequence[MaskVerdict]) -> Chart:
    base = governing.limit

    def here(value: float, unit: str) -> float | None:
        return in_limit_unit(Quantity(value, unit, ""), base.unit, agent.substance)

    lines = [
        ChartMark(_line(limit.kind), value)
        for limit in agent.limits
        if limit.fraction == base.fraction and limit.value and (value := here(limit.value, limit.unit))
    ]
    if agent.danger and (danger := here(agent.danger.value, agent.danger.unit)):
        lines.append(ChartMark(said("IDLH"), danger))
    levels = [
        ChartMark(said("level %(kind)s", kind=_kind(ratio.limit.kind)), value)
        for ratio in agent.ratios
        if ratio.limit.fraction == base.fraction and (value := here(ratio.level.value, ratio.level.unit))
    ]
    evidence = agent.hazard.exposure
    taken = evidence.results if isinstance(evidence, Samples) else ()
    drawn = [sample for sample in taken if is_of_fraction(sample.fraction, base.fraction)]
    # The highest level at work is that of all samples; it is drawn where none of them is of another fraction.
    if agent.during_task and len(drawn) == len(taken) and (during := here(agent.during_task, agent.unit)):
        levels.append(ChartMark(said("highest at work"), during))
    if agent.lower_bound and (bound := here(agent.lower_bound, "ug/m3")):
        levels.append(ChartMark(said("assumed over"), bound))
    samples = [here(sample.concentration.value, sample.concentration.unit) for sample in drawn]
    bars = [
        ChartBar(label_of(verdict.mask), value, verdict.is_adequate, verdict.is_disproved)
        for verdict in verdicts
        for muc in verdict.mucs
        if muc.hazard == agent.hazard.id and (value := here(muc.value, muc.unit))
    ]
    return Chart(
        task=agent.task,
        hazard=agent.hazard.id,
        agent=agent.hazard.agent,
        unit=unit_symbol(base.unit),
        levels=_unique(levels),
        samples=tuple(sorted({value for value in samples if value})),
        lines=_unique(lines),
        bars=tuple(dict.fromkeys(bars)),
        level=here(governing.level.value, governing.level.unit) or 0.0,
        limit=here(base.value or 0.0, base.unit) or 0.0,
    )


def _line(kind: LimitKind) -> str:
    return _kind(kind) if kind is LimitKind.ACTION_LEVEL else said("limit %(kind)s", kind=_kind(kind))


def _kind(kind: LimitKind) -> str:
    return said_choice(kind)


def _unique(marks: Iterable[ChartMark]) -> tuple[ChartMark, ...]:
    return tuple(sorted(dict.fromkeys(marks), key=lambda mark: (mark.value, mark.words)))
