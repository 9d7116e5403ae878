"""Particle filters as a table: what they stand, and how long one is in use."""

from __future__ import annotations

from progdoc.core.report import Status
from progdoc.core.said import said
from progdoc.document.tree.nodes import Block, Cell, Column, Row, Table
from progdoc.document.tree.spoken_text import text_cell
from progdoc.model.description.upkeep import ChangeParticulateWhen
from progdoc.rules.judged.published import FilterClass
from progdoc.rules.judged.record_results import ParticleFilter
from progdoc.rules.judged.result import Judged

__all__ = ["particle_filter_blocks"]


def particle_filter_blocks(judged: Judged) -> tuple[Block, ...]:
    """Return class, oil and time in use of every particle filter, built in or fitted."""
    rows = (
        Row(
            f"filter-particulate.{one.key}",
            (
                text_cell(_name(one), one.path),
                text_cell(one.of_class.name),
                text_cell(_oil(one.of_class)),
                _scheduled(judged, one) or text_cell(_longest(judged, one)),
            ),
        )
        for one in judged.particle_filters
    )
    columns = (
        Column(said("Filter"), 4),
        Column(said("Class"), 2),
        Column(said("Oil in the air"), 4),
        Column(said("Longest in use"), 6),
    )
    filled = tuple(rows)
    return (Table("filter-particulate.all", said("Particle filters"), columns, filled),) if filled else ()


def _is_mask(one: ParticleFilter) -> bool:
    return one.key.startswith("masks.")


def _name(one: ParticleFilter) -> str:
    return said("%(one)s, the mask itself", one=one.name) if _is_mask(one) else one.name


def _oil(found: FilterClass) -> str:
    if found.stands_oil is None:
        return said("as its maker says")
    return said("stands oil") if found.stands_oil else said("not where there is oil")


def _scheduled(judged: Judged, one: ParticleFilter) -> Cell | None:
    """Return when a pad is changed that stands in a schedule of its own: none has to, and what is said holds.

    What the law does not take for a change is no figure of a table: its open point stands beneath.
    """
    gaps = (one for one in judged.verdicts.open if one.status is Status.GAP)
    refused = {one.subject.ids for one in gaps if one.requirement.per == "schedule"}
    for i, plan in enumerate(judged.description.procedures.filter_changes.schedules):
        if (f"schedules.{plan.id}",) in refused:
            continue
        if one.key == f"filters.{plan.filter}" and plan.filter not in judged.gas_cartridges and plan.change:
            most = said("; %(after)s at most", after=plan.after.printed) if plan.after else ""
            words = said("%(change)s%(most)s", change=plan.change.rstrip("."), most=most)
            return text_cell(words, f"procedures.filter_changes.schedules[{i}].change")
    return None


def _is_thrown_away(judged: Judged, mask: str) -> bool:
    """Whether the firm says so: of this mask, or of all that filters particles."""
    when = judged.description.procedures.filter_changes.particulate.when
    return judged.index.masks[mask][1].disposable or ChangeParticulateWhen.END_OF_SHIFT in when


def _longest(judged: Judged, one: ParticleFilter) -> str:
    if _is_mask(one) and _is_thrown_away(judged, one.key.removeprefix("masks.")):
        return said("one shift")
    return said("with oil one shift or 8 hours") if one.of_class.series == "R" else said("the maker's limit")
