"""What is known of each cartridge, as its maker or a test gives it: the data behind every sum."""

from __future__ import annotations

from collections.abc import Iterator

from progdoc.core.numbers import long_date
from progdoc.document.tree.nodes import Block, Cell, Column, Row, Table, Text
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
            tuple(Cell((Text(words or "–", path),)) for words in (label_of(part), known, source)),
        )
        for path, part in judged.index.filters.values()
        for n, (known, source) in enumerate(_known(part))
    )
    columns = (Column("Cartridge", 3), Column("What is known of it", 6), Column("Who says so", 5))
    return (Table("cartridge-data.all", "Data of cartridges", columns, rows),) if rows else ()


def _known(part: Filter) -> Iterator[tuple[str, str]]:
    if part.carbon is not None:
        yield _carbon(part.carbon), part.carbon.source or ""
    for data in part.service_data:
        yield _life(data), _source(data)
    if part.esli_suits is not None:
        yield f"its indicator suits our conditions: {'yes' if part.esli_suits else 'no'}", ""


def _carbon(carbon: Carbon) -> str:
    told = (
        ("carbon", carbon.mass),
        ("bed area", carbon.bed_area),
        ("density", carbon.density),
        ("micropores", carbon.micropore_volume),
    )
    parts = [f"{name} {amount.printed}" for name, amount in told if amount]
    return "; ".join((*parts, f"{carbon.cartridges} on a mask") if carbon.cartridges else parts)


def _life(data: ServiceData) -> str:
    told = (("at", data.flow), ("at", data.humidity), ("at", data.temperature))
    around = "".join(f", {word} {amount.printed}" for word, amount in told if amount)
    return f"lasts {data.life.printed} in {data.concentration.printed} of {', '.join(data.agents)}{around}"


def _source(data: ServiceData) -> str:
    kind = data.kind.replace("-", " ")
    dated = long_date(data.date) if data.date else ""
    return "; ".join(part for part in (f"{kind}: {data.source}" if data.source else kind, dated, data.reliance) if part)
