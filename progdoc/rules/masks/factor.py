"""Whether a mask lowers the exposure far enough, up to the concentration to which it may be worn."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

from progdoc.calc.protection import NeededFactor, is_protective_enough
from progdoc.core.numbers import number_text
from progdoc.core.said import said, said_join, same
from progdoc.model.description.masks import Mask
from progdoc.rules.air.task_air import needed_for
from progdoc.rules.judged.air_results import Assessment, TaskAir
from progdoc.rules.judged.mask_results import Credit, MaximumUseConcentration
from progdoc.rules.judged.published import Limit
from progdoc.rules.lookup.fit_protocols import fit_protocols, is_quantitative
from progdoc.rules.masks.standards import has_own_table
from progdoc.rules.reasons import Reason

__all__ = ["against_factor"]


def against_factor(
    air: TaskAir, mask: Mask, credit: Credit, mucs: tuple[MaximumUseConcentration, ...], path: str
) -> Iterator[Reason]:
    """Name the factor that is wanting, and the concentrations over a cap of the mask."""
    if mask.escape_only or mask.facepiece is None or mask.mode is None:
        return
    if credit.apf is None:
        yield Reason("SEL-004", path)
        return
    by_factor = tuple(agent for agent in air.agents if not has_own_table(agent))
    needed = needed_for(air.task, by_factor) if len(by_factor) < len(air.agents) else air.needed
    if not is_protective_enough(credit.apf, needed):
        above = "over " if needed.strictly_above else ""
        words = {
            "apf": number_text(credit.apf, "down"),
            "needed": f"{above}{number_text(needed.value, 'up')}{_who_asks(by_factor)}",
            "because": said(" (%(note)s)", note=credit.note) if credit.note else "",
            "instead": _by_instrument(mask, credit, needed),
            **_policy_alone(air, by_factor, credit),
        }
        yield Reason("SEL-003", path, words)
    for muc in mucs:
        if muc.passed_cap:
            more = said(": %(derived)s", derived=muc.derived) if muc.derived else ""
            words = {"agent": muc.agent, "most": muc.passed_cap, "more": more}
            yield Reason("SEL-005", path, words)


def _by_instrument(mask: Mask, credit: Credit, needed: NeededFactor) -> str:
    """Say which protocols would let the mask do, where only the kind of fit test keeps it below."""
    if credit.by_instrument is None or mask.facepiece is None or not is_protective_enough(credit.by_instrument, needed):
        return ""
    every = fit_protocols().items()
    serving = [name for name, entry in every if is_quantitative(name) and mask.facepiece in entry["masks"]]
    return said(
        " Or have it fit tested by an instrument, which supports %(by_instrument)s, and name the "
        "protocol under `procedures.fit_testing.protocols`, one of: %(serving)s.",
        by_instrument=number_text(credit.by_instrument, "down"),
        serving=said_join(map(same, serving), ", "),
    )


def _policy_alone(air: TaskAir, agents: Sequence[Assessment], credit: Credit) -> dict[str, str]:
    """Return the policy to cite where by the law's limits and factors the mask would do."""
    legal = tuple(replace(a, ratios=tuple(r for r in a.ratios if not _is_by_policy(r.limit))) for a in agents)
    if credit.uncapped is None or not is_protective_enough(credit.uncapped, needed_for(air.task, legal)):
        return {}
    if credit.cap is not None:
        return {"citation": credit.cap.origin}
    worst = max((r for a in agents for r in a.ratios if _is_by_policy(r.limit)), key=lambda r: r.value, default=None)
    return {"citation": worst.limit.citation} if worst else {}


def _is_by_policy(limit: Limit) -> bool:
    return limit.note.startswith("policy ")


def _who_asks(agents: Iterable[Assessment]) -> str:
    """Name the policy behind the limit that governs, if it is one."""
    governing = max((g for a in agents if (g := a.governing) is not None), key=lambda r: r.value, default=None)
    return (
        said(", by %(citation)s", citation=governing.limit.citation)
        if governing and _is_by_policy(governing.limit)
        else ""
    )
