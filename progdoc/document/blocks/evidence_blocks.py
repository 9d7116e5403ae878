"""What the judgment of the air rests on, piece by piece: samples, data, estimates, and what changed since."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from progdoc.core.numbers import long_date, number_text
from progdoc.document.tree.nodes import Block, Cell, Column, Row, Table, Text
from progdoc.model.description.hazards import (
    Averaging,
    Estimate,
    Hazard,
    Judgment,
    LeadTask,
    ObjectiveData,
    RestOfShift,
    Sample,
    Samples,
    SilicaTable1,
    Smoke,
)
from progdoc.model.description.words import as_printed
from progdoc.rules.judged.air_results import Assessment
from progdoc.rules.judged.result import Judged

__all__ = ["evidence_table"]

_REST = {RestOfShift.ZERO: "nothing outside the sample", RestOfShift.SAME: "the rest of the shift alike"}


def evidence_table(judged: Judged) -> tuple[Block, ...]:
    """Return one row for each piece of evidence, in the order of the hazard table."""
    rows = tuple(
        Row(
            f"evidence.{agent.hazard.id}.{n}",
            (
                Cell((Text(f"{agent.hazard.agent}, “{air.task.name}”", f"{agent.path}.agent"),)),
                *(Cell((Text(words or "–", f"{agent.path}.exposure"),)) for words in told),
            ),
        )
        for air in judged.selection.air.values()
        for agent in air.agents
        for n, told in enumerate(_pieces(agent))
    )
    if not rows:
        return ()
    columns = (Column("Agent, task", 4), Column("Found", 3), Column("When", 3), Column("How, and by whom", 6))
    return (Table("evidence.all", "What is known of the air, piece by piece", columns, rows, is_dense=True),)


def _pieces(agent: Assessment) -> Iterator[tuple[str, str, str]]:
    """Yield what was found, when, and how and by whom."""
    hazard = agent.hazard
    match hazard.exposure:
        case Samples() as samples:
            yield from map(_sample, samples.results)
            if samples.short_because:
                yield "short samples", "", samples.short_because
        case ObjectiveData() as data:
            yield _level(data), _day(data.date), data.source
        case Estimate() as one:
            yield _level(one), _day(one.date), f"{one.basis}; {one.by}"
        case Judgment() as one:
            yield f"needs a factor of {number_text(one.needed_apf)}", _day(one.date), f"{one.guidance}; {one.by}"
        case SilicaTable1() as row:
            option = f", option {number_text(row.option)}" if row.option is not None else ""
            controls = ", ".join(control.replace("-", " ") for control in row.controls_in_place)
            checked = f"; confirmed by {row.confirmed_by}" if row.confirmed_by else ""
            yield f"Table 1, row {row.row}{option}, {row.place.value}", _day(row.date), f"{controls or '–'}{checked}"
        case LeadTask() as lead:
            yield f"listed lead task, group {lead.group}", "", lead.task
        case Smoke() as smoke:
            index = f"air quality index {number_text(smoke.index)}" if smoke.index is not None else ""
            level = f"PM2.5 {smoke.pm25.printed}" if smoke.pm25 else ""
            brief = f"out for {number_text(smoke.minutes_exposed)} min" if smoke.minutes_exposed is not None else ""
            when = " ".join(part for part in (_day(smoke.date), smoke.time) if part)
            how = "; ".join(part for part in (smoke.source, smoke.rule_checked) if part)
            yield "; ".join(part for part in (index, level, brief) if part), when, how
        case _:
            pass
    yield from _around(hazard)


def _around(hazard: Hazard) -> Iterator[tuple[str, str, str]]:
    for peak in hazard.peaks:
        alone = {True: "no other measurable exposure", False: "other exposure beside it"}
        how = (peak.how, alone[peak.otherwise_none] if peak.otherwise_none is not None else "")
        found = f"{peak.concentration.printed}, {peak.duration.printed} over the ceiling within {peak.span.printed}"
        yield found, _day(peak.date), "; ".join(part for part in how if part)
    for change in hazard.changes:
        yield "changed since", _day(change.date), change.what
    if hazard.asbestos:
        told = (
            ("negative assessment", hazard.asbestos.negative_assessment),
            ("disturbs insulation or surfacing", hazard.asbestos.disturbs_insulation),
            ("wet methods", hazard.asbestos.wet),
            ("comes off intact", hazard.asbestos.intact),
            ("off a sloped roof", hazard.asbestos.sloped_roof or None),
            ("where others must wear masks", hazard.asbestos.among_masks),
        )
        said = "; ".join(f"{words}: {as_printed(answer)}" for words, answer in told if answer is not None)
        yield f"asbestos work of class {hazard.asbestos.work_class}", "", said
    if hazard.regulated_area is not None:
        yield "in a regulated area", "", as_printed(hazard.regulated_area)
    if hazard.carcinogen:
        holds = hazard.carcinogen.content
        content = f"the mixture holds {holds.printed} of it" if holds else ""
        yield f"one of the 13 carcinogens: {hazard.carcinogen.operation or 'work not named'}", "", content
    if hazard.looked_up_as:
        found = {True: "no limit in the law", False: "not looked up in the law", None: ""}[hazard.law_looked_up]
        yield "looked up as", "", "; ".join(part for part in (hazard.looked_up_as, found) if part)
    if hazard.rule_checked:
        yield "rule of the state", "", hazard.rule_checked
    if hazard.environmental_rule:
        yield "environmental rule", "", hazard.environmental_rule
    if hazard.acts_elsewhere:
        yield "left out of the sum", "", hazard.acts_elsewhere


def _sample(sample: Sample) -> tuple[str, str, str]:
    below = "below " if sample.below_detection else ""
    kind = "" if sample.averaging is Averaging.TWA else f", {sample.averaging.value}"
    kind += f", {sample.fraction.value}" if sample.fraction else ""
    rest = _REST[sample.rest_of_shift] if sample.rest_of_shift else ""
    when = "; ".join(part for part in (_day(sample.date), sample.shift) if part)
    how = "; ".join(part for part in (sample.method, sample.by, rest) if part)
    return f"{below}{sample.concentration.printed} over {sample.duration.printed}{kind}", when, how


def _level(evidence: ObjectiveData | Estimate) -> str:
    fraction = f", {evidence.fraction.value}" if evidence.fraction else ""
    return f"{evidence.concentration.printed}, {evidence.averaging.value}{fraction}"


def _day(day: date | None) -> str:
    return long_date(day) if day else ""
