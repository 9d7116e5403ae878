"""What is known of each cartridge, as its maker or a test gives it: the data behind every sum."""

from __future__ import annotations

from collections.abc import Iterator

from progdoc.core.numbers import long_date
from progdoc.core.said import said, said_join
from progdoc.document.tree.nodes import Block, Column, Row, Table
from progdoc.document.tree.spoken_text import text_cell
from progdoc.model.description.cartridge_data import Carbon, ServiceData
from progdoc.model.description.masks import Filter
from progdoc.model.description.words import label_of
from progdoc.rules.judged.result import Judged

__all__ = ["cartridge_data_table"]


def cartridge_data_table(judged: Judged) -> tuple[Block, ...]:
    """Return one row for each carbon bed and each service life that is described."""
    rows = tuple(
        Row(
            f"cartridge-data.{part.id}.{n}",
            tuple(text_cell(words or "–", path) for words in (label_of(part), known, source)),
        )
        for path, part in judged.index.filters.values()
        for n, (known, source) in enumerate(_known(part))
    )
    columns = (Column(said("Cartridge"), 3), Column(said("What is known of it"), 6), Column(said("Who says so"), 5))
    return (Table("cartridge-data.all", said("Data of cartridges"), columns, rows),) if rows else ()


def _known(part: Filter) -> Iterator[tuple[str, str]]:
    if part.carbon is not None:
        yield _carbon(part.carbon), part.carbon.source or ""
    for data in part.service_data:
        yield _life(data), _source(data)
    if part.esli_suits is not None:
        yield (
            said(
                "its indicator suits our conditions: %(esli_suits)s",
                esli_suits=said("yes") if part.esli_suits else said("no"),
            ),
            "",
        )


def _carbon(carbon: Carbon) -> str:
    told = (
        (said("carbon"), carbon.mass),
        (said("bed area"), carbon.bed_area),
        (said("density"), carbon.density),
        (said("micropores"), carbon.micropore_volume),
    )
    parts = [said("%(name)s %(amount)s", name=name, amount=amount.printed) for name, amount in told if amount]
    return said_join(
        (*parts, said("%(cartridges)s on a mask", cartridges=carbon.cartridges)) if carbon.cartridges else parts, "; "
    )


def _life(data: ServiceData) -> str:
    told = (data.flow, data.humidity, data.temperature)
    around = said_join((said(", at %(amount)s", amount=amount.printed) for amount in told if amount), "")
    return said(
        "lasts %(life)s in %(concentration)s of %(agents)s%(around)s",
        life=data.life.printed,
        concentration=data.concentration.printed,
        agents=said_join(data.agents, ", "),
        around=around,
    )


def _source(data: ServiceData) -> str:
    kind = said(data.kind.replace("-", " "))
    dated = long_date(data.date) if data.date else ""
    return said_join(
        (
            part
            for part in (
                said("%(kind)s: %(source)s", kind=kind, source=data.source) if data.source else kind,
                dated,
                data.reliance,
            )
            if part
        ),
        "; ",
    )
