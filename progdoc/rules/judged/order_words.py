"""Steps and their order in words, as findings, calendars and tables say them."""

from __future__ import annotations

from progdoc.core.said import said, said_choice, said_join
from progdoc.model.description.step_order import UNRECORDED, OrderRule, Step

__all__ = ["order_words", "step_words"]


def step_words(step: Step) -> str:
    """Return a step as a page shows it."""
    return said_choice(step)


def order_words(rule: OrderRule) -> str:
    """Return a rule in words.

    >>> order_words(OrderRule(first=Step.TRAINING, then=Step.FIT_TEST))
    'training before fit test'
    """
    first, then = step_words(rule.first), step_words(rule.then)
    told = (
        said("no %(first)s before %(then)s", first=first, then=then)
        if rule.first in UNRECORDED
        else said("%(first)s before %(then)s", first=first, then=then)
    )
    parts = [told]
    if rule.within is not None:
        parts.append(said("within %(time)s", time=rule.within.printed))
    if rule.after is not None:
        parts.append(said("%(time)s after it at the earliest", time=rule.after.printed))
    if rule.wait is not None:
        parts.append(said("for %(time)s", time=rule.wait.printed))
    return said_join(parts, ", ")
