"""What the judgment of the air rests on, piece by piece: samples, data, estimates, and what changed since."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from enum import StrEnum

from progdoc.core.numbers import long_date, number_text
from progdoc.core.said import said, said_as, said_choice, said_join
from progdoc.document.tree.nodes import Block, Column, Row, Table
from progdoc.document.tree.spoken_text import text_cell
from progdoc.model.description.exposure_evidence import (
    Averaging,
    Estimate,
    Judgment,
    LeadTask,
    ObjectiveData,
    RestOfShift,
    Sample,
    Samples,
    SilicaTable1,
    Smoke,
)
from progdoc.model.description.hazards import Hazard
from progdoc.model.description.words import as_printed
from progdoc.rules.judged.air_results import Assessment
from progdoc.rules.judged.result import Judged

__all__ = ["evidence_table"]

_REST = {
    RestOfShift.ZERO: said("no exposure outside the sampled time"),
    RestOfShift.SAME: said("the rest of the shift as in the sample"),
}


def evidence_table(judged: Judged) -> tuple[Block, ...]:
    """Return one row for each piece of evidence, in the order of the hazard table."""
    rows = tuple(
        Row(
            f"evidence.{agent.hazard.id}.{n}",
            (
                text_cell(
                    said("%(agent)s, “%(task)s”", agent=agent.hazard.agent, task=air.task.name), f"{agent.path}.agent"
                ),
                *(text_cell(words or "–", f"{agent.path}.exposure") for words in told),
            ),
        )
        for air in judged.selection.air.values()
        for agent in air.agents
        for n, told in enumerate(_pieces(agent))
    )
    if not rows:
        return ()
    columns = (
        Column(said("Agent, task"), 4),
        Column(said("Found"), 3),
        Column(said("When"), 3),
        Column(said("How, and by whom"), 6),
    )
    return (Table("evidence.all", said("What is known of the air, piece by piece"), columns, rows, is_dense=True),)


def _pieces(agent: Assessment) -> Iterator[tuple[str, str, str]]:
    """Yield what was found, when, and how and by whom."""
    hazard = agent.hazard
    match hazard.exposure:
        case Samples() as samples:
            yield from map(_sample, samples.results)
            if samples.short_because:
                yield said("short samples"), "", samples.short_because
        case ObjectiveData() as data:
            yield _level(data), _day(data.date), data.source
        case Estimate() as one:
            yield _level(one), _day(one.date), said("%(basis)s; %(by)s", basis=one.basis, by=one.by)
        case Judgment() as one:
            yield (
                said("needs a factor of %(needed_apf)s", needed_apf=number_text(one.needed_apf)),
                _day(one.date),
                said("%(guidance)s; %(by)s", guidance=one.guidance, by=one.by),
            )
        case SilicaTable1() as row:
            option = said(", option %(option)s", option=number_text(row.option)) if row.option is not None else ""
            controls = said_join((said(control.replace("-", " ")) for control in row.controls_in_place), ", ")
            checked = said("; confirmed by %(confirmed_by)s", confirmed_by=row.confirmed_by) if row.confirmed_by else ""
            yield (
                said(
                    "Table 1, row %(row)s%(option)s, %(place)s",
                    row=row.row,
                    option=option,
                    place=said_choice(row.place),
                ),
                _day(row.date),
                said_join((controls or "–", checked), ""),
            )
        case LeadTask() as lead:
            yield said("listed lead task, group %(group)s", group=lead.group), "", lead.task
        case Smoke() as smoke:
            index = (
                said("air quality index %(index)s", index=number_text(smoke.index)) if smoke.index is not None else ""
            )
            level = said("PM2.5 %(pm25)s", pm25=smoke.pm25.printed) if smoke.pm25 else ""
            brief = (
                said("out for %(minutes_exposed)s min", minutes_exposed=number_text(smoke.minutes_exposed))
                if smoke.minutes_exposed is not None
                else ""
            )
            when = said_join((part for part in (_day(smoke.date), smoke.time) if part), " ")
            how = said_join((part for part in (smoke.source, smoke.rule_checked) if part), "; ")
            yield said_join((part for part in (index, level, brief) if part), "; "), when, how
        case _:
            pass
    yield from _around(hazard)


def _around(hazard: Hazard) -> Iterator[tuple[str, str, str]]:
    for peak in hazard.peaks:
        alone = {True: said("no other measurable exposure"), False: said("other exposure beside it")}
        how = (peak.how, alone[peak.otherwise_none] if peak.otherwise_none is not None else "")
        found = said(
            "%(concentration)s, %(duration)s over the ceiling within %(span)s",
            concentration=peak.concentration.printed,
            duration=peak.duration.printed,
            span=peak.span.printed,
        )
        yield found, _day(peak.date), said_join((part for part in how if part), "; ")
    for change in hazard.changes:
        yield said("changed since"), _day(change.date), change.what
    if hazard.asbestos:
        told = (
            (said("negative assessment"), hazard.asbestos.negative_assessment),
            (said("disturbs insulation or surfacing"), hazard.asbestos.disturbs_insulation),
            (said("wet methods"), hazard.asbestos.wet),
            (said("comes off intact"), hazard.asbestos.intact),
            (said("off a sloped roof"), hazard.asbestos.sloped_roof or None),
            (said("where others must wear masks"), hazard.asbestos.among_masks),
        )
        answers = said_join(
            (
                said("%(words)s: %(answer)s", words=words, answer=as_printed(answer))
                for words, answer in told
                if answer is not None
            ),
            "; ",
        )
        yield said("asbestos work of class %(work_class)s", work_class=hazard.asbestos.work_class), "", answers
    if hazard.regulated_area is not None:
        yield said("in a regulated area"), "", as_printed(hazard.regulated_area)
    if hazard.carcinogen:
        holds = hazard.carcinogen.content
        content = said("the mixture holds %(holds)s of it", holds=holds.printed) if holds else ""
        yield (
            said(
                "one of the 13 carcinogens: %(operation)s",
                operation=hazard.carcinogen.operation or said("work not named"),
            ),
            "",
            content,
        )
    if hazard.looked_up_as:
        found = {True: said("no limit in the law"), False: said("not looked up in the law"), None: ""}[
            hazard.law_looked_up
        ]
        yield said("looked up as"), "", said_join((part for part in (hazard.looked_up_as, found) if part), "; ")
    if hazard.rule_checked:
        yield said("rule of the state"), "", hazard.rule_checked
    if hazard.environmental_rule:
        yield said("environmental rule"), "", hazard.environmental_rule
    if hazard.acts_elsewhere:
        yield said("left out of the sum"), "", hazard.acts_elsewhere


def _sample(sample: Sample) -> tuple[str, str, str]:
    below = said("below ") if sample.below_detection else ""
    kinds = (None if sample.averaging is Averaging.TWA else sample.averaging, sample.fraction)
    kind = said_join((said(", %(kind)s", kind=_as_it_is(one)) for one in kinds if one), "")
    rest = _REST[sample.rest_of_shift] if sample.rest_of_shift else ""
    when = said_join((part for part in (_day(sample.date), sample.shift) if part), "; ")
    how = said_join((part for part in (sample.method, sample.by, rest) if part), "; ")
    return (
        said(
            "%(below)s%(concentration)s over %(duration)s%(kind)s",
            below=below,
            concentration=sample.concentration.printed,
            duration=sample.duration.printed,
            kind=kind,
        ),
        when,
        how,
    )


def _level(evidence: ObjectiveData | Estimate) -> str:
    fraction = said(", %(fraction)s", fraction=_as_it_is(evidence.fraction)) if evidence.fraction else ""
    return said(
        "%(concentration)s, %(averaging)s%(fraction)s",
        concentration=evidence.concentration.printed,
        averaging=_as_it_is(evidence.averaging),
        fraction=fraction,
    )


def _as_it_is(choice: StrEnum) -> str:
    return said_as(choice.value, choice.value.replace("-", " "))


def _day(day: date | None) -> str:
    return long_date(day) if day else ""
