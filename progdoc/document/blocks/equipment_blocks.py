"""What the firm has and how it is looked after, as tables: masks, filters, fit test protocols, change schedules."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from progdoc.core.numbers import long_date, stated_text
from progdoc.core.said import as_own, said, said_choice, said_join, same
from progdoc.document.tree.nodes import Block, Cell, Column, Row, Table, Text
from progdoc.model.description.masks import Filter, Gas, HoodReport, Issue, Mask, Mode, Particulate
from progdoc.model.description.words import as_printed, label_of
from progdoc.rules.judged.cartridge_results import BASIS_WORDS
from progdoc.rules.judged.result import Judged

__all__ = ["equipment_blocks", "kind_of", "stops_of"]

_NOT_SAID = "–"
_MODES = {
    Mode.AIR_PURIFYING: said("filters the air of the room"),
    Mode.POWERED: said("a blower pushes filtered air in"),
    Mode.AIRLINE_DEMAND: said("airline, air on demand"),
    Mode.AIRLINE_CONTINUOUS_FLOW: said("airline, air flows all the time"),
    Mode.AIRLINE_PRESSURE_DEMAND: said("airline, pressure demand"),
    Mode.SCBA_DEMAND: said("air carried on the back, on demand"),
    Mode.SCBA_PRESSURE_DEMAND: said("air carried on the back, pressure demand"),
}


def equipment_blocks(judged: Judged) -> dict[str, tuple[Block, ...]]:
    """Return the blocks "masks", "filters", "protocols" and "schedules"; empty where there is nothing to show."""
    return {
        "masks": _table(
            "masks.all",
            said("The masks we use"),
            _columns(
                (said("Mask"), 3),
                (said("Make and model"), 4),
                (said("Kind"), 7),
                (said("Sizes"), 2),
                (said("NIOSH approval"), 4),
            ),
            (_mask_row(path, mask) for path, mask in judged.index.masks.values()),
        ),
        "filters": _table(
            "filters.all",
            said("Filters and cartridges"),
            _columns(
                (said("Filter or cartridge"), 4),
                (said("Make and model"), 3),
                (said("Stops"), 8),
                (said("NIOSH approval"), 4),
            ),
            (_filter_row(path, part) for path, part in judged.index.filters.values()),
        ),
        "protocols": _protocols(judged),
        "schedules": _schedules(judged),
    }


def _columns(*named: tuple[str, int]) -> tuple[Column, ...]:
    return tuple(Column(title, share) for title, share in named)


def _table(identity: str, caption: str, columns: tuple[Column, ...], rows: Iterable[Row]) -> tuple[Block, ...]:
    filled = tuple(rows)
    return (Table(identity, caption, columns, filled),) if filled else ()


def _cell(words: str | None, path: str = "") -> Cell:
    return Cell((Text(as_own(words), path) if words else Text(_NOT_SAID),))


def kind_of(mask: Mask) -> str:
    """Return what kind of mask it is, in words."""
    kind = (said_choice(mask.facepiece) if mask.facepiece else "", same(mask.built_in_filter or ""))
    parts = (said_join(filter(None, kind)), _MODES[mask.mode] if mask.mode else "")
    return said_join(filter(None, parts), ", ")


def _mask_row(path: str, mask: Mask) -> Row:
    use = {Issue.EXCLUSIVE: said("one wearer"), Issue.SHARED: said("shared")}.get(mask.issue) if mask.issue else ""
    gone = (
        said(
            "withdrawn from %(since)s on: %(because)s",
            since=long_date(mask.withdrawn.since),
            because=mask.withdrawn.because,
        )
        if mask.withdrawn
        else ""
    )
    told = (
        (said("emergency"), mask.emergency),
        (said("escape only"), mask.escape_only),
        (said("thrown away after use"), mask.disposable),
        (said("with auxiliary air"), mask.auxiliary_air),
        (said("with oxygen-enriched air"), mask.enriched_air),
    )
    purposes = tuple(words for words, holds in told if holds)
    kind = said_join((part for part in (kind_of(mask), use, *purposes, gone, *_rated(mask)) if part), "; ")
    made = said_join((part for part in (mask.make, mask.model, mask.style) if part), " ")
    return Row(
        f"masks.{mask.id}",
        (
            _cell(label_of(mask), f"{path}.name"),
            _cell(made, f"{path}.make"),
            _cell(kind, f"{path}.facepiece"),
            _cell(said_join(mask.sizes, ", "), f"{path}.sizes"),
            _cell(mask.approval, f"{path}.approval"),
        ),
    )


def _rated(mask: Mask) -> Iterator[str]:
    """Yield what is known of a mask beyond its kind."""
    if mask.escape_from:
        yield said("for escape from %(escape_from)s", escape_from=said_join(mask.escape_from, ", "))
    if mask.in_stock is not None:
        yield said("%(in_stock)s in stock", in_stock=mask.in_stock)
    if mask.weight:
        yield mask.weight.printed
    if mask.blower_flow:
        yield said("blower %(blower_flow)s", blower_flow=mask.blower_flow.printed)
    if mask.low_air_alarm is not None:
        yield said("low-air alarm: %(low_air_alarm)s", low_air_alarm=as_printed(mask.low_air_alarm))
    if mask.hepa_egress:
        yield said("HEPA cartridges for getting out")
    if mask.for_blasting is not None:
        yield said("for blasting: %(for_blasting)s", for_blasting=as_printed(mask.for_blasting))
    if mask.service_time:
        yield said("rated %(service_time)s", service_time=mask.service_time.printed)
    if mask.service_time_shown_by:
        yield said(
            "its rated time is shown by: %(service_time_shown_by)s", service_time_shown_by=mask.service_time_shown_by
        )
    if mask.label_kept is not None:
        yield said("label can be read") if mask.label_kept else said("label can't be read")
    if mask.filters_on_label is not None:
        named, not_named = (
            said("its approval label names its filters"),
            said("its approval label does not name its filters"),
        )
        yield named if mask.filters_on_label else not_named
    if mask.hood_report is not None:
        yield said("maker's test: %(report_words)s", report_words=_report_words(mask.hood_report))
    if mask.hood_evidence:
        yield said("remark on the maker's evidence: %(hood_evidence)s", hood_evidence=mask.hood_evidence)
    if mask.hood_proven is not None:
        yield said(
            "the maker's test, at hand, shows 1,000 or more: %(hood_proven)s", hood_proven=as_printed(mask.hood_proven)
        )


def _report_words(report: HoodReport) -> str:
    parts = (
        report.title,
        report.by and said("by %(by)s", by=report.by),
        report.date and long_date(report.date),
        report.tested_model and said("of the %(tested_model)s", tested_model=report.tested_model),
        "" if report.factor is None else said("factor %(factor)s", factor=stated_text(report.factor)),
    )
    return said_join((part for part in parts if part), ", ")


def stops_of(part: Filter) -> str:
    """Return what a filter or cartridge stops, in words."""
    found = []
    if part.particulate is Particulate.HEPA:
        found.append(said("particles, HEPA"))
    elif part.particulate:
        found.append(said("particles, %(kind)s", kind=same(part.particulate.value)))
    found += map(_gas, part.gases)
    if part.agents:
        source = f" ({part.agents_source})" if part.agents_source else ""
        found.append(said("for %(agents)s", agents=said_join((said_join(part.agents, ", "), source), "")))
    if part.mount:
        found.append(said_choice(part.mount))
    if part.most:
        found.append(said("up to %(level)s", level=part.most.printed))
    for bound in part.most_for:
        source = said(" (%(source)s)", source=bound.source) if bound.source else ""
        level = said("%(most)s%(source)s", most=bound.most.printed, source=source)
        found.append(said("against %(agent)s up to %(level)s", agent=bound.agent, level=level))
    if part.esli_for:
        found.append(said("indicator for %(agents)s", agents=", ".join(part.esli_for)))
    return said_join(found, "; ")


def _gas(gas: Gas) -> str:
    return said("organic vapours") if gas is Gas.ORGANIC_VAPOUR else said_choice(gas)


def _filter_row(path: str, part: Filter) -> Row:
    made = said_join((piece for piece in (part.make, part.model) if piece), " ")
    return Row(
        f"filters.{part.id}",
        (
            _cell(label_of(part), f"{path}.name"),
            _cell(made, f"{path}.make"),
            _cell(stops_of(part), f"{path}.particulate"),
            _cell(part.approval, f"{path}.approval"),
        ),
    )


def _protocols(judged: Judged) -> tuple[Block, ...]:
    ours = {mask.facepiece for _, mask in judged.index.masks.values()}
    rows = (
        Row(
            f"protocols.{named.protocol.id}",
            (
                _cell(said(named.protocol.name), named.path),
                _cell(said("a fit factor") if named.protocol.is_quantitative else said("pass or fail")),
                _cell(
                    said_join(
                        (said(kind.replace("-", " ")) for kind in named.protocol.facepieces if kind in ours), ", "
                    )
                ),
                _cell(same(named.protocol.locator)),
            ),
        )
        for named in judged.protocols
    )
    columns = _columns((said("Protocol"), 5), (said("Gives"), 2), (said("For"), 5), (said("Steps in"), 3))
    return _table("protocols.all", said("The fit test protocols we use"), columns, rows)


def _schedules(judged: Judged) -> tuple[Block, ...]:
    index = judged.index
    base = "procedures.filter_changes.schedules"
    rows = (
        Row(
            f"schedules.{plan.id}",
            (
                _cell(said_join((label_of(index.tasks[task][1]) for task in plan.tasks), "; "), f"{base}[{i}].tasks"),
                _cell(label_of(index.filters[plan.filter][1]), f"{base}[{i}].filter"),
                _cell(plan.change, f"{base}[{i}].change"),
                _cell(plan.after.printed if plan.after else "", f"{base}[{i}].after"),
                _cell(BASIS_WORDS[plan.basis] if plan.basis else "", f"{base}[{i}].basis"),
            ),
        )
        for i, plan in enumerate(index.description.procedures.filter_changes.schedules)
        if plan.filter in judged.gas_cartridges
    )
    columns = _columns(
        (said("Task"), 4),
        (said("Cartridge"), 3),
        (said("Change it"), 4),
        (said("Longest time in use"), 2),
        (said("Rests on"), 3),
    )
    return _table("schedules.all", said("When gas and vapour cartridges are changed"), columns, rows)
