"""Which rule of the environmental agency binds the work with an agent beside the rules of this program."""

from __future__ import annotations

from progdoc.core.said import said
from progdoc.model.description.workplace import Task
from progdoc.rules.judged.published import Substance
from progdoc.rules.lookup.limits import industries_of
from progdoc.rules.lookup.standard_tables import EnvironmentalRule, environmental_rules
from progdoc.rules.lookup.telling_words import tells_of_a_ban

__all__ = ["environmental_rule", "open_about"]


def environmental_rule(task: Task, substance: Substance | None) -> EnvironmentalRule | None:
    """Return the rule for an agent in a task; None where there is none."""
    for rule in environmental_rules():
        if substance is not None and rule.agent == substance.id:
            return rule if not rule.industry or rule.industry in industries_of(task) else None
    return None


def open_about(stated: str | None) -> str:
    """Return what is open about such a rule: that nobody read it, or that by what is said it forbids the work."""
    if stated is None:
        return said("nobody says that it was checked")
    return said("by what is said of it, “%(said)s”, it forbids the work", said=stated) if tells_of_a_ban(stated) else ""
