"""The filter section's tables: when each cartridge is changed, what that rests on, and what is not known.

A line of the first table asserts nothing that no source carries: where the description's schedule is longer than
the shortest source, or no source counts, the line says so.
"""

from __future__ import annotations

from collections.abc import Iterable

from progdoc.core.numbers import interval_words
from progdoc.core.paper_language import ENGLISH, Language
from progdoc.core.said import capital, said, said_join
from progdoc.document.blocks.answers import in_quotes
from progdoc.document.blocks.cartridge_data_blocks import cartridge_data_table
from progdoc.document.blocks.particle_filter_blocks import particle_filter_blocks
from progdoc.document.pictures.breakthrough_chart import breakthrough_figure
from progdoc.document.tree.nodes import Block, Cell, Column, Listing, ListItem, Paragraph, Row, Table, Text
from progdoc.document.tree.spoken_text import text_cell
from progdoc.model.description.cartridge_data import Indicator, ServiceData, StandardRule
from progdoc.model.description.upkeep import Basis, Schedule
from progdoc.model.description.words import label_of
from progdoc.rules.judged.cartridge_results import (
    BASIS_WORDS,
    CAPACITY_TERM,
    COMPUTED,
    FORMULA,
    HUMIDITY_FACTOR,
    RATE_TERM,
    SAFETY_FACTOR,
    CartridgeChange,
    KnownLife,
)
from progdoc.rules.judged.result import Judged

__all__ = ["evidence_words", "filter_blocks"]


def filter_blocks(judged: Judged, language: Language = ENGLISH) -> dict[str, tuple[Block, ...]]:
    """Return the blocks by name; each is empty where there is nothing to show.

    "filter-changes": task, cartridge, change when, basis · "filter-data": every source, its number, whether it
    counts · "filter-estimates": both terms, factors and what-ifs, and what every life was worked with ·
    "filter-charts": breakthrough curves · "filter-refusals": why there is no estimate, and what to use ·
    "filter-weaknesses" · "filter-particulate".
    """
    changes = tuple(judged.cartridge_changes.values())
    estimated = [change for change in changes if change.life.estimate is not None]
    schedules = judged.description.procedures.filter_changes.schedules
    plans = [plan for plan in schedules if plan.filter in judged.gas_cartridges]
    covered = {plan.id for change in changes for _, plan in change.written}
    return {
        **({"schedules": ()} if all(plan.id in covered for plan in plans) else {}),  # "filter-changes" says it all
        "filter-changes": _changes(judged, changes),
        "filter-data": (*_data(changes), *cartridge_data_table(judged)),
        "filter-estimates": (*_estimates(estimated), *_worked_with(changes)),
        "filter-charts": tuple(f for change in estimated if (f := breakthrough_figure(change, language)) is not None),
        "filter-refusals": _refusals(changes),
        "filter-weaknesses": _weaknesses(estimated),
        "filter-particulate": particle_filter_blocks(judged),
    }


def _table(identity: str, caption: str, columns: tuple[Column, ...], rows: Iterable[Row]) -> tuple[Block, ...]:
    filled = tuple(rows)
    return (Table(identity, caption, columns, filled),) if filled else ()


def _key(change: CartridgeChange) -> str:
    return f"{change.task.id}.{change.mask.id}.{change.part.id}"


def _worn(change: CartridgeChange) -> str:
    return said("%(part)s on the %(mask)s", part=label_of(change.part), mask=label_of(change.mask))


def evidence_words(plan: Schedule) -> tuple[str, str]:
    """Return the data and the reliance of a schedule that names its sources one by one, as running text."""
    data = []
    for source in plan.sources:
        told = BASIS_WORDS[Basis(source.kind)]
        if isinstance(source, ServiceData):
            told = said(
                "%(basis)s: %(source)s, %(life)s at %(concentration)s of %(agents)s",
                basis=told,
                source=source.source or said("no document"),
                life=source.life.printed,
                concentration=source.concentration.printed,
                agents=said_join(source.agents, ", "),
            )
        elif isinstance(source, Indicator):
            told = said(
                "%(basis)s: %(approval)s; %(shows)s",
                basis=told,
                approval=source.approval or said("no approval"),
                shows=source.shows or said("not said what it shows"),
            )
        elif isinstance(source, StandardRule):
            told = said("%(basis)s: %(paragraph)s", basis=told, paragraph=source.paragraph or said("no paragraph"))
        data.append(told)
    why = [
        getattr(s, "reliance", None) or getattr(s, "is_shown_by", None) or getattr(s, "read_when", None)
        for s in plan.sources
    ]
    return said_join(data, "; "), said_join((words for words in why if words), "; ")


# ---- when ---------------------------------------------------------------------------------------------


def _changes(judged: Judged, changes: Iterable[CartridgeChange]) -> tuple[Block, ...]:
    rows = (
        Row(
            f"filter-changes.{_key(change)}",
            (
                text_cell(change.task.name, f"{change.task_path}.name"),
                text_cell(_worn(change), f"{change.part_path}.name"),
                _when(change) if judged.is_timed(change) else text_cell(_NOT_WORN),
                text_cell(_basis(change) if judged.is_timed(change) else "–"),
            ),
        )
        for change in changes
    )
    columns = (
        Column(said("Task"), 3),
        Column(said("Cartridge"), 4),
        Column(said("Change it"), 5),
        Column(said("Basis"), 4),
    )
    return _table("filter-changes.all", said("When each cartridge is changed"), columns, rows)


_NOT_WORN = said("Nobody wears it here: it is not shown to protect.")


def _when(change: CartridgeChange) -> Cell:
    """Return the schedule as the description has it, if the shortest source carries it; else what is computed."""
    if change.is_too_short:
        return text_cell(said("Not to be used here: it lasts less than a quarter of an hour."))
    if change.carried:
        path, plan = change.carried[0]
        most = said("; %(after)s at most", after=plan.after.printed) if plan.after else ""
        return text_cell(
            said("%(change)s%(most)s", change=(plan.change or "").rstrip("."), most=most), f"{path}.change"
        )
    if change.most is not None and any(change.is_over_policy(plan) for _, plan in change.written):
        stated = said_join((plan.after.printed if plan.after else said("no time") for _, plan in change.written), ", ")
        return text_cell(
            said(
                "Not settled: %(stated)s as described, and a stricter rule allows %(most)s at most.",
                stated=stated,
                most=change.most.printed,
            )
        )
    if change.words:
        kind = said("Computed") if change.written else said("Proposed, not yet adopted")
        return text_cell(said("%(kind)s: %(change)s", kind=kind, change=change.words))
    return text_cell(said("No schedule yet: nothing tells how long it lasts here."))


def _basis(change: CartridgeChange) -> str:
    governing = change.governing if change.has_source else None
    if change.carried and change.carried[0][1].after is None and governing is not None:
        return BASIS_WORDS[Basis.INDICATOR]  # only an indicator lets a schedule do without hours beside a figure
    if governing is not None and governing.minutes is not None:
        return said(
            "%(basis_words)s: %(origin)s (%(minutes)s)",
            basis_words=BASIS_WORDS[governing.kind],
            origin=governing.origin,
            minutes=_minutes(governing.minutes),
        )
    if any(source.kind is Basis.INDICATOR and source.counts for source in change.sources):
        return BASIS_WORDS[change.sources[0].kind]
    told = [
        said("%(basis_words)s, as described", basis_words=BASIS_WORDS[plan.basis])
        for _, plan in change.written
        if plan.basis
    ]
    return said_join(told, "; ") or said("none")


def _minutes(minutes: float) -> str:
    return interval_words(minutes) if minutes >= 1.0 else said("under a minute")


# ---- on what ------------------------------------------------------------------------------------------


def _data(changes: Iterable[CartridgeChange]) -> tuple[Block, ...]:
    rows = [row for change in changes for row in _source_rows(change)]
    columns = (
        Column(said("Cartridge and task"), 4),
        Column(said("Source"), 4),
        Column(said("Life here"), 2),
        Column(said("Relied on"), 5),
    )
    return _table("filter-data.all", said("The data relied on"), columns, rows)


def _source_rows(change: CartridgeChange) -> Iterable[Row]:
    for i, source in enumerate(change.sources):
        yield Row(
            f"filter-data.{_key(change)}.{i}",
            (
                text_cell(
                    said("%(worn)s, “%(task)s”", worn=_worn(change), task=change.task.name), f"{change.part_path}.name"
                ),
                text_cell(
                    said("%(basis_words)s: %(origin)s", basis_words=BASIS_WORDS[source.kind], origin=source.origin),
                    source.path,
                ),
                text_cell("–" if source.minutes is None else _minutes(source.minutes)),
                text_cell(_role(change, source)),
            ),
        )
    for path, plan in change.written:
        if _rests_on_words(plan):
            yield Row(
                f"filter-data.{_key(change)}.{plan.id}",
                (
                    text_cell(
                        said("%(worn)s, “%(task)s”", worn=_worn(change), task=change.task.name),
                        f"{change.part_path}.name",
                    ),
                    text_cell(
                        said("%(basis_words)s: %(data)s", basis_words=BASIS_WORDS[plan.basis], data=plan.data)
                        if plan.basis
                        else "",
                        f"{path}.data",
                    ),
                    text_cell("–"),
                    text_cell(said("Yes, as described; its hours were not carried over to the air of the task.")),
                ),
            )


def _rests_on_words(plan: Schedule) -> bool:
    """Whether a schedule rests on a maker's or tested figure that is told in words alone."""
    return plan.basis in (Basis.MAKER, Basis.TEST) and bool(plan.data) and not plan.sources


def _role(change: CartridgeChange, source: KnownLife) -> str:
    if not source.counts:
        return said("No: %(why_not)s", why_not=source.why_not)
    notes = said(" %(notes)s", notes=said_join(source.notes, " ")) if source.notes else ""
    if source is change.governing and change.has_source:
        return said("Yes, the shortest.%(notes)s", notes=notes)
    if source.is_bound:
        return said("An upper bound, no data of its own.%(notes)s", notes=notes)
    return said("Yes; another is shorter.%(notes)s", notes=notes)


def _estimates(changes: Iterable[CartridgeChange]) -> tuple[Block, ...]:
    rows = []
    for change in changes:
        found = change.life.worked
        if found is None:
            continue
        what_ifs = said_join(
            (
                said(
                    "%(change)s: %(minutes)s",
                    change=w.change,
                    minutes=said("no answer") if w.life_min is None else _minutes(w.life_min),
                )
                for w in change.life.what_ifs
            ),
            "; ",
        )
        rows.append(
            Row(
                f"filter-estimates.{_key(change)}",
                (
                    text_cell(
                        said("%(worn)s, “%(task)s”", worn=_worn(change), task=change.task.name),
                        f"{change.part_path}.name",
                    ),
                    text_cell(found.printed_input(CAPACITY_TERM)),
                    text_cell(found.printed_input(RATE_TERM)),
                    text_cell(
                        said(
                            "× %(printed_input)s ÷ %(printed_input_more)s",
                            printed_input=found.printed_input(HUMIDITY_FACTOR),
                            printed_input_more=found.printed_input(SAFETY_FACTOR),
                        )
                    ),
                    text_cell(found.printed),
                    text_cell(what_ifs),
                ),
            )
        )
    columns = (
        Column(said("Cartridge and task"), 4),
        Column(said("Capacity term"), 2, True),
        Column(said("less rate term"), 2, True),
        Column(said("humidity, safety"), 2, True),
        Column(said("Estimate"), 2, True),
        Column(said("What a change does"), 5),
    )
    return _table("filter-estimates.all", said("Service life by the published model, an estimate"), columns, rows)


def _worked_with(changes: Iterable[CartridgeChange]) -> tuple[Block, ...]:
    """Return the inputs of every life that was worked out, beside the schedule that rests on it."""
    found = {worked.id: worked for change in changes for worked in change.worked}
    rows = (
        Row(
            f"filter-inputs.{worked.id}",
            (
                text_cell(worked.name),
                text_cell(worked.printed),
                text_cell(
                    said_join(
                        (
                            said("%(i)s: %(i_printed)s", i=i.name, i_printed=i.printed)
                            for i in worked.inputs
                            if i.origin not in (FORMULA, COMPUTED)
                        ),
                        "; ",
                    )
                ),
            ),
        )
        for worked in found.values()
    )
    columns = (Column(said("Life"), 5), Column(said("comes to"), 2, True), Column(said("Worked with"), 10))
    title = said("What each life was worked out with; the sums stand among the worked calculations")
    return _table("filter-inputs.all", title, columns, rows)


def _refusals(changes: Iterable[CartridgeChange]) -> tuple[Block, ...]:
    rows = (
        Row(
            f"filter-refusals.{_key(change)}.{i}",
            (
                text_cell(
                    said("%(worn)s, “%(task)s”", worn=_worn(change), task=change.task.name), f"{change.part_path}.name"
                ),
                text_cell(said("%(refusal)s.", refusal=capital(refusal.text))),
                text_cell(
                    said("Done: the schedule rests on other data.")
                    if _has_other_data(change)
                    else in_quotes(refusal.instead)
                ),
            ),
        )
        for change in changes
        for i, refusal in enumerate(change.life.refused)
    )
    columns = (
        Column(said("Cartridge and task"), 4),
        Column(said("Why the model gives no estimate"), 6),
        Column(said("Instead"), 4),
    )
    return _table("filter-refusals.all", said("Where the published model is not used"), columns, rows)


def _has_other_data(change: CartridgeChange) -> bool:
    """Whether something that counts, a maker's or tested figure, stands in for the model."""
    counting = any(source.counts and source.kind in (Basis.MAKER, Basis.TEST) for source in change.sources)
    return counting or any(_rests_on_words(plan) for _, plan in change.written)


def _weaknesses(changes: list[CartridgeChange]) -> tuple[Block, ...]:
    if not changes:
        return ()
    items = tuple(
        ListItem(f"filter-weaknesses.{i}", (Paragraph(f"filter-weaknesses.{i}.p", (Text(words),)),))
        for i, words in enumerate(changes[0].life.weaknesses)
    )
    lead = Paragraph("filter-weaknesses.lead", (Text(said("What such an estimate can't do:")),))
    return (lead, Listing("filter-weaknesses.all", False, items))
