"""The firm itself as tables: who the employer is, where it works, who signs, what may happen."""

from __future__ import annotations

from progdoc.document.nodes import Block, Cell, Column, Row, Signatures, Table, Text
from progdoc.document.tokens import quantity_words
from progdoc.model.program import Program

__all__ = ["firm_blocks"]


def firm_blocks(program: Program) -> dict[str, tuple[Block, ...]]:
    """Return the blocks "firm", "sites", "signatures" and "emergencies"; empty where nothing was said."""
    signing = (("Respiratory protection officer", program.officer.name or ""), ("For the employer", ""))
    return {
        "firm": _firm(program),
        "sites": _sites(program),
        "signatures": (Signatures("control.signatures", signing),),
        "emergencies": _emergencies(program),
    }


def _cell(words: str, path: str = "") -> Cell:
    return Cell((Text(words, path),))


def _firm(program: Program) -> tuple[Block, ...]:
    firm, officer = program.organisation, program.officer
    told = (
        ("Employer", firm.name, "organisation.name"),
        ("Trade", firm.trade, "organisation.trade"),
        ("Address", firm.address, "organisation.address"),
        ("Workers", str(firm.employees) if firm.employees else None, "organisation.employees"),
        ("Officer", officer.name, "officer.name"),
        ("Reach the officer", officer.phone, "officer.phone"),
        ("Standing in", ", ".join(officer.deputies), "officer.deputies"),
    )
    rows = tuple(Row(f"firm.{path}", (_cell(name), _cell(value, path))) for name, value, path in told if value)
    columns = (Column("", 3), Column("", 7))
    return (Table("firm", "", columns, rows, has_header=False),) if rows else ()


def _sites(program: Program) -> tuple[Block, ...]:
    sites = program.organisation.sites
    rows = tuple(
        Row(
            f"sites.{site.id}",
            (
                _cell(site.name, f"organisation.sites[{i}].name"),
                _cell(site.address or "–", f"organisation.sites[{i}].address"),
                _cell(
                    quantity_words(site.altitude) if site.altitude else "–",
                    f"organisation.sites[{i}].altitude",
                ),
            ),
        )
        for i, site in enumerate(sites)
    )
    columns = (Column("Site", 4), Column("Address", 5), Column("Above sea level", 2))
    return (Table("sites", "Our sites", columns, rows),) if rows else ()


def _emergencies(program: Program) -> tuple[Block, ...]:
    base = "procedures.emergencies.foreseeable"
    rows = tuple(
        Row(f"emergencies.{i + 1}", (_cell(one.what, f"{base}[{i}].what"), _cell(one.crew, f"{base}[{i}].crew")))
        for i, one in enumerate(program.procedures.emergencies.foreseeable)
    )
    columns = (Column("What may happen", 4), Column("What the crew does", 6))
    return (Table("emergencies.all", "Emergencies that can be foreseen", columns, rows),) if rows else ()
