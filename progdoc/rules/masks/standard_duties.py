"""What the standards of an agent ask or grant beside the mask that was chosen, as it is printed with the task."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from progdoc.model.description.masks import Mask
from progdoc.rules.judged.air_results import Assessment, StandardDuty
from progdoc.rules.lookup.cited import cited
from progdoc.rules.lookup.facepieces import is_negative_pressure, purifies
from progdoc.rules.lookup.standard_tables import SubstanceStandard, duty_rows
from progdoc.rules.masks.standards import standards_of

__all__ = ["standard_duties"]

_OWN_MEDICAL = "own paragraph"  # not read, so that no paragraph is named


def standard_duties(agent: Assessment, masks: Iterable[Mask]) -> tuple[StandardDuty, ...]:
    """Return what the standards of an agent ask of those who wear these masks against it."""
    worn = tuple(masks)
    found: dict[tuple[str, str], StandardDuty] = {}
    for rule in standards_of(agent, agent.task):
        for duty in (*_of_table(agent, rule, worn), *_not_called_in(agent, rule)):
            found.setdefault((duty.text, duty.citation), duty)
    return tuple(found.values())


def _of_table(agent: Assessment, rule: SubstanceStandard, worn: tuple[Mask, ...]) -> Iterator[StandardDuty]:
    applies = {
        "": True,
        "air-purifying": _may_be(worn, any(mask.mode is None or purifies(mask) for mask in worn)),
        "negative-pressure": _may_be(worn, any(mask.mode is None or is_negative_pressure(mask) for mask in worn)),
        "unknown-level": agent.is_unknown,
    }
    for row in duty_rows(rule.agent, rule.industry):
        if applies[row.when]:
            yield StandardDuty(agent.hazard.agent, row.text, row.citation)


def _may_be(worn: tuple[Mask, ...], is_one: bool) -> bool:
    """As long as no mask is named, it may be any."""
    return is_one or not worn


def _not_called_in(agent: Assessment, rule: SubstanceStandard) -> Iterator[StandardDuty]:
    """What of 1910.134 a standard leaves out, and what stands there instead."""
    name, citation = agent.hazard.agent, f"{rule.standard}{rule.respirator_paragraph}"
    general = cited("medical-evaluation")
    if rule.medical != general:
        where = "its own medical paragraph; look it up" if rule.medical == _OWN_MEDICAL else rule.medical
        text = f"{general} is not called in; wearers are examined by {where}"
        yield StandardDuty(name, text, citation)
    if agent.is_unknown and not rule.calls_in_unknown_is_idlh:
        text = (
            f"the level has to be found out by this standard, which does not call in {cited('unknown-level')}; taking "
            "it for immediately dangerous until then is the caution of this program"
        )
        yield StandardDuty(name, text, citation)
