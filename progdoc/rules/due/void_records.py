"""A test or a training of this year that bars its wearer all the same: it does not count, so it is due at once."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date

from progdoc.calc.due_dates import is_overdue
from progdoc.core.report import Status
from progdoc.core.said import said, same
from progdoc.rules.due.due_items import DueItem
from progdoc.rules.judged.due_results import Kind
from progdoc.rules.judged.every_verdict import EveryVerdict
from progdoc.rules.requirement import Verdict

__all__ = ["due_at_once"]

# What is done again, whose subject it has, and where its records stand.
_DONE_AGAIN = {Kind.FIT_TEST: ("worn-mask", ".fit_tests"), Kind.TRAINING: ("wearer", ".training")}


def due_at_once(verdicts: EveryVerdict, as_of: date) -> Callable[[DueItem], DueItem]:
    """Return what makes an item due at once if its record is there and bars its wearer; any other stays as it is."""
    void: dict[tuple[Kind, tuple[str, ...]], Verdict] = {}
    for verdict in verdicts.open:
        if verdict.status is Status.GAP and verdict.requirement.bars == "person":
            for kind, (per, place) in _DONE_AGAIN.items():
                if verdict.requirement.per == per and any(place in fault for fault in verdict.faults):
                    void.setdefault((kind, verdict.subject.ids), verdict)

    def seen(item: DueItem) -> DueItem:
        verdict = void.get((item.kind, item.subject))
        if verdict is None or item.due is None or is_overdue(item.due, as_of):
            return item
        because = said("what is on record does not count: %(code)s", code=same(verdict.requirement.code))
        return replace(item, due=None, because=because, basis=verdict.diagnostics[0].citation)

    return seen
