"""What the standards of an agent ask or grant beside the mask that was chosen, as it is printed with the task."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from progdoc.core.numbers import counted
from progdoc.core.said import said
from progdoc.model.description.masks import Mask
from progdoc.rules.air.floors import is_assumed_lead
from progdoc.rules.air.regulated_areas import area_paragraph
from progdoc.rules.air.surveillance import days_in_year, surveillance_rules, unread_surveillance
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
    examinations = tuple(_examinations(agent))
    # With the days of this task, in place of the general words.
    counted = {duty.citation for duty in examinations} if days_in_year(agent.task) is not None else set()
    general = (
        duty
        for rule in standards_of(agent, agent.task)
        for duty in (*_of_table(agent, rule, worn), *_not_called_in(agent, rule))
        if duty.citation not in counted
    )
    found = {(duty.text, duty.citation): duty for duty in (*general, *_area(agent), *examinations)}
    return tuple(found.values())


def _area(agent: Assessment) -> Iterator[StandardDuty]:
    if paragraph := area_paragraph(agent.hazard, agent.task, agent.substance):
        text = said("the work is done in a regulated area: whoever enters it wears a mask, whatever was sampled")
        yield StandardDuty(agent.hazard.agent, text, paragraph)


def _examinations(agent: Assessment) -> Iterator[StandardDuty]:
    """Whether this task alone makes the days from which a standard asks for examinations."""
    days = days_in_year(agent.task)
    for rule in surveillance_rules(agent):
        if rule.is_first:
            when = (
                said("until the air is assessed, ")
                if is_assumed_lead(agent.hazard, agent.task, agent.substance)
                else ""
            )
            text = said(
                "%(when)swhoever does this is offered a %(what)s, however few the days", when=when, what=rule.what
            )
        elif days is None:
            text = said(
                "%(what)s are due from %(threshold)s on; how many days this task takes is not said",
                what=rule.whats,
                threshold=rule.threshold,
            )
        elif rule.begins_at(days):
            offered = said("%(what)s%(often)s", what=rule.whats, often=rule.how_often)
            text = said(
                "up to %(days)s a year, so that whoever does this is offered %(offered)s",
                days=counted(days, "day"),
                offered=offered,
            )
        else:
            text = said(
                "up to %(days)s a year; %(what)s are due from %(threshold)s on",
                days=counted(days, "day"),
                what=rule.whats,
                threshold=rule.threshold,
            )
        yield StandardDuty(agent.hazard.agent, text, rule.citation)


def _of_table(agent: Assessment, rule: SubstanceStandard, worn: tuple[Mask, ...]) -> Iterator[StandardDuty]:
    applies = {
        "": True,
        "air-purifying": _may_be(worn, any(mask.mode is None or purifies(mask) for mask in worn)),
        "negative-pressure": _may_be(worn, any(mask.mode is None or is_negative_pressure(mask) for mask in worn)),
        "unknown-level": agent.is_unknown,
        "beside": True,
    }
    rows = duty_rows(rule.agent, rule.industry)
    for row in rows:
        if applies[row.when]:
            yield StandardDuty(agent.hazard.agent, row.text, row.citation)
    if "beside" not in {row.when for row in rows}:  # nobody read it as a whole: then no paragraph can be named
        text = said("outside this program, and looked up in the standard: what it asks beside masks")
        yield StandardDuty(agent.hazard.agent, text, rule.standard)


def _may_be(worn: tuple[Mask, ...], is_one: bool) -> bool:
    """As long as no mask is named, it may be any."""
    return is_one or not worn


def _not_called_in(agent: Assessment, rule: SubstanceStandard) -> Iterator[StandardDuty]:
    """What of 1910.134 a standard leaves out, and what stands there instead."""
    name, citation = agent.hazard.agent, f"{rule.standard}{rule.respirator_paragraph}"
    if rule.medical != cited("medical-evaluation"):
        where = (
            said("the medical paragraph of its standard, to be looked up,")
            if rule.medical == _OWN_MEDICAL
            else rule.medical
        )
        yield StandardDuty(
            name,
            said(
                "%(where)s sets the examinations of those who wear masks against it; the medical evaluation comes "
                "beside them",
                where=where,
            ),
            citation,
            is_medical=True,
        )
    else:
        for standard, place in unread_surveillance(agent):
            told = said(
                "it speaks of examinations in %(place)s, a paragraph that nobody has read for this program: it is "
                "looked up",
                place=place,
            )
            yield StandardDuty(name, told, standard, is_medical=True)
    if agent.is_unknown and not rule.calls_in_unknown_is_idlh:
        text = said(
            "the level has to be found out; this standard does not say, as %(cited)s does, that unknown air "
            "is immediately dangerous, and this program takes it so until then out of caution",
            cited=cited("unknown-level"),
        )
        yield StandardDuty(name, text, citation)
