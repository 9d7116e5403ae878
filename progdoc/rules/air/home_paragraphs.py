"""What a finding about the air cites: the paragraph of the industry whose table of limits binds, or of the standard."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from progdoc.model.description.workplace import Task
from progdoc.rules.judged.published import Limit, LimitKind, Substance
from progdoc.rules.lookup.cited import cited
from progdoc.rules.reasons import Reason

__all__ = ["at_home"]

_ABOUT = {
    "EXP-005": "shift-average",
    "EXP-021": "shift-average",
    "EXP-040": "shift-average",
    "EXP-041": "shift-average",
    "EXP-011": "limits",
    "EXP-025": "limits",
}


def at_home(
    reasons: Iterable[Reason], task: Task, substance: Substance | None, limits: Iterable[Limit]
) -> tuple[Reason, ...]:
    """Return reasons with the paragraph that binds where the work is done; an industry nobody named changes none."""
    if task.industry is None:
        return tuple(reasons)
    industry = task.industry.value
    has_standard = substance is not None and bool(substance.standard_in(industry))
    own = next((x.citation for x in limits if x.kind is LimitKind.TWA and x.industry == industry), "")

    def cited_at_home(reason: Reason) -> Reason:
        about = _ABOUT.get(reason.code)
        if about is None:
            return reason
        citation = own if has_standard and own else cited(f"{about}-{industry}")
        return replace(reason, words={**reason.words, "citation": citation})

    return tuple(map(cited_at_home, reasons))
