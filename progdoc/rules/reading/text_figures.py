"""Quantities in a text beside a figure: what stands in the words may not break the limit that the figure keeps.

Calendar time is left alone: a text may time another thing than the figure beside it ("calibrated every two years").
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from progdoc.model.description.fields import texts_in
from progdoc.model.description.quantities import Dimension, Quantity, in_unit, is_comparable, parse_quantity
from progdoc.rules.check_result import CheckResult
from progdoc.rules.facts import Facts
from progdoc.rules.judged.figure_results import LawValue, Stricter
from progdoc.rules.lookup.answers_said import Said, said_by
from progdoc.rules.requirement import Subject

__all__ = ["TEXT_FIGURE_CHECKS", "limits_beside", "quantities_in"]

_FIGURE = re.compile(r"-?[0-9]+(?:\.[0-9]+)? ?(?:°|º)?[A-Za-zµμ%][\w/³]*")


def quantities_in(text: str, dimension: Dimension) -> Iterator[Quantity]:
    """Yield what a text names of one dimension.

    >>> [q.unit for q in quantities_in("Washed at 140 °F for 10 min", Dimension.TEMPERATURE)]
    ['F']
    """
    for match in _FIGURE.finditer(text):
        try:
            yield parse_quantity(match[0], dimension)
        except ValueError:
            continue  # of another dimension, or no quantity


def limits_beside(facts: Facts) -> Iterator[LawValue]:
    """Yield every figure of the law that stands in the procedures with a unit, calendar time left out."""
    for rule in facts.rules.law.values.values():
        has_unit = isinstance(rule.value, Quantity) and rule.kind != Dimension.INTERVAL
        if has_unit and rule.program and facts.value_at(rule.program) is not None:
            yield rule


def _texts_against_figures(facts: Facts, _subject: Subject) -> CheckResult:
    read: list[str] = []
    faults: dict[str, dict[str, str]] = {}
    shown: tuple[str, ...] = ()  # a text and the figure it agrees with: one pair is enough
    for rule in limits_beside(facts):
        group = rule.program.rpartition(".")[0]
        for path, text in texts_in(facts.value_at(group), group):
            if path.rpartition(".")[0] != group:
                continue
            read += [rule.program, path]
            for found in _named_in(text, rule):
                if _breaks(found, rule):
                    figure = facts.value_at(rule.program)
                    words = {"text": text, "found": found.printed, "said": figure.printed, "field": rule.program}
                    faults[path] = {**words, "limit": rule.printed, "law": rule.citation}
                elif said_by(text) is Said.ANSWER:
                    shown = shown or (rule.program, path)
    nothing = "" if shown else "No text names a quantity beside a figure with a limit."
    return CheckResult(tuple(dict.fromkeys(read)), tuple(faults.items()), shown, nothing)


def _named_in(text: str, rule: LawValue) -> Iterator[Quantity]:
    for found in quantities_in(text, Dimension(rule.kind)):
        if isinstance(rule.value, Quantity) and is_comparable(found, rule.value):
            yield found


def _breaks(found: Quantity, rule: LawValue) -> bool:
    limit = rule.value
    if not isinstance(limit, Quantity):
        return False
    over = in_unit(found, limit.unit) - limit.value
    return over > 0 if rule.stricter is Stricter.LOWER else over < 0


TEXT_FIGURE_CHECKS = {"texts-agree-with-figures": _texts_against_figures}
