"""Before and after, as policies set it: beside what it is about, and on the form of the fit test."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from progdoc.core.paper_language import ENGLISH, Language
from progdoc.core.said import said, said_in, said_join
from progdoc.document.blocks.in_force_words import policy_reach_words
from progdoc.document.tree.nodes import Block, Column, Row, Table
from progdoc.document.tree.spoken_text import text_cell
from progdoc.model.description.policies import Policy
from progdoc.model.description.quantities import Quantity
from progdoc.model.description.step_order import UNRECORDED, OrderRule, Step
from progdoc.rules.judged.order_words import order_words
from progdoc.rules.judged.result import Judged

__all__ = ["fit_test_orders", "order_blocks", "waits_before_fit_test"]

_PLACES: Mapping[Step, str] = {
    Step.CLEARANCE: "medical",
    Step.FIT_TEST: "fit-testing",
    Step.TRAINING: "training",
}


def order_blocks(judged: Judged) -> dict[str, tuple[Block, ...]]:
    """Return "order.PLACE" for each section of which a step is ordered."""
    found: dict[str, list[tuple[Policy, OrderRule]]] = {}
    for policy, rule in _orders(judged):
        for place in dict.fromkeys(_PLACES[step] for step in (rule.first, rule.then) if step in _PLACES):
            found.setdefault(f"order.{place}", []).append((policy, rule))
    columns = (Column(said("Order and waiting"), 5), Column(said("Set by"), 4), Column(said("Holds for"), 3))
    return {
        name: (
            Table(
                f"{name}.all",
                said("Order and waiting, by policies"),
                columns,
                tuple(
                    Row(
                        f"{name}.{n}",
                        (
                            text_cell(order_words(rule)),
                            text_cell(said("%(by)s, %(source)s", by=policy.by, source=policy.source)),
                            text_cell(policy_reach_words(policy, judged.description)),
                        ),
                    )
                    for n, (policy, rule) in enumerate(rules, 1)
                ),
            ),
        )
        for name, rules in found.items()
    }


def _orders(judged: Judged) -> Iterator[tuple[Policy, OrderRule]]:
    for policy in judged.description.policies:
        if policy.date is None or policy.date <= judged.as_of:
            yield from ((policy, rule) for rule in policy.order)


def waits_before_fit_test(judged: Judged) -> tuple[Quantity, ...]:
    """Return how long policies want nobody to smoke or eat before a fit test."""
    rules = (rule for _, rule in _orders(judged) if rule.first in UNRECORDED and rule.then is Step.FIT_TEST)
    return tuple(rule.wait for rule in rules if rule.wait is not None)


def fit_test_orders(judged: Judged, language: Language = ENGLISH) -> str:
    """Return what policies ask to be looked at before a fit test; nothing where none asks."""
    asked = [
        said("%(order)s (%(by)s)", order=order_words(rule), by=policy.by)
        if policy.is_general
        else said(
            "%(order)s (%(by)s, for %(reach)s)",
            order=order_words(rule),
            by=policy.by,
            reach=policy_reach_words(policy, judged.description),
        )
        for policy, rule in _orders(judged)
        if rule.then is Step.FIT_TEST
    ]
    if not asked:
        return ""
    return language.say("By policy, look at this first: %(orders)s.", orders=said_in(language, said_join(asked, "; ")))
