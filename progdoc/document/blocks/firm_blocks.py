"""The firm itself as tables: who the employer is, where it works, who signs, what may happen."""

from __future__ import annotations

from collections.abc import Iterator

from progdoc.core.numbers import number_text
from progdoc.document.blocks.in_force_words import policy_reach_words
from progdoc.document.tree.nodes import Block, Cell, Column, Row, Signatures, Table, Text
from progdoc.document.tree.tokens import quantity_words
from progdoc.model.description.policies import Policy, PolicyCredit, PolicyLimit
from progdoc.model.description.program import Program
from progdoc.model.description.quantities import Quantity

__all__ = ["firm_blocks"]

_ABOUT_A_POLICY = ("id", "by", "source", "date", "sites", "tasks", "agents")


def firm_blocks(program: Program) -> dict[str, tuple[Block, ...]]:
    """Return the blocks "firm", "sites", "signatures", "emergencies" and "policies"; empty where nothing was said."""
    signing = (("Respiratory protection officer", program.officer.name or ""), ("For the employer", ""))
    return {
        "firm": _firm(program),
        "sites": _sites(program),
        "signatures": (Signatures("control.signatures", signing),),
        "emergencies": _emergencies(program),
        "policies": _policies(program),
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


def _policies(program: Program) -> tuple[Block, ...]:
    rows = tuple(
        Row(
            f"policies.{policy.id}",
            (
                _cell(policy.by, f"policies[{i}].by"),
                _cell(policy.source, f"policies[{i}].source"),
                _cell(policy_reach_words(policy, program), f"policies[{i}]"),
                _cell("; ".join(_asked(policy)), f"policies[{i}]"),
            ),
        )
        for i, policy in enumerate(program.policies)
    )
    columns = (Column("Who asks", 3), Column("Written in", 3), Column("Holds for", 3), Column("What it asks", 5))
    return (Table("policies.all", "Stricter rules that bind us", columns, rows),) if rows else ()


def _asked(policy: Policy) -> Iterator[str]:
    """Yield each rule of a policy under the title of its field."""
    for name, field in type(policy).model_fields.items():
        value = getattr(policy, name)
        if name not in _ABOUT_A_POLICY and value is not None and value != ():
            yield f"{(field.title or name).lower()}: {_rule_words(value)}"


def _rule_words(value: object) -> str:
    match value:
        case bool():
            return "yes" if value else "no"
        case Quantity():
            return quantity_words(value)
        case PolicyLimit():
            return f"{quantity_words(value.value)} {value.averaging.value}"
        case PolicyCredit():
            return f"{value.facepiece.value.replace('-', ' ')} {number_text(value.most)}"
        case tuple():
            return ", ".join(map(_rule_words, value))
        case _:
            return str(value)
