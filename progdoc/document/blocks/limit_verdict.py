"""Whether an agent keeps its limits, in words: over a shift, over minutes, its ceiling and its peaks together.

Every paper that says it says it in these words, so that none is softer than another.
"""

from __future__ import annotations

from progdoc.core.numbers import number_text
from progdoc.core.said import said, said_join
from progdoc.rules.judged.air_results import Assessment

__all__ = ["limit_verdict", "times_words"]


def limit_verdict(agent: Assessment) -> str:
    """Return for the crew how bad an agent is; an agent alone under its limits may still count with others."""
    ratio = agent.hazard_ratio
    if agent.is_unknown:
        return said("How much is not known.")
    if ratio is None:
        return ""
    if agent.is_over_limit:
        line = said("%(ratio)s times its limit.", ratio=number_text(ratio, "up"))
    elif agent.allowed_peaks:
        line = said("Under its limit over a shift.")
    elif agent.undetermined:
        line = said("Under its limit, as far as it is known.")
    else:
        line = said("Under its limit.")
    return said_join((line, *_besides(agent)), " ")


def _besides(agent: Assessment) -> tuple[str, ...]:
    """Return what the highest number of times over a limit leaves out."""
    found = []
    if agent.allowed_peaks:
        found.append(
            said("Over its ceiling for minutes, in peaks that the law allows: %(peaks)s.", peaks=agent.allowed_peaks)
        )
    if agent.undetermined:
        found.append(said("Not known against: %(limits)s.", limits=said_join(agent.undetermined, "; ")))
    return tuple(found)


def times_words(agent: Assessment, ratio: float) -> str:
    """Return how many times over its limit an agent is, beside the peaks in which its ceiling is passed."""
    number = number_text(ratio, "up")
    if not agent.allowed_peaks:
        return number
    return said("%(number)s; over the ceiling in allowed peaks", number=number)
