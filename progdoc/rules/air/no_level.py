"""Which evidence stands for a limit; and where none does, why not, and which sample would."""

from __future__ import annotations

from dataclasses import field

from progdoc.core.late_dataclass import dataclass
from progdoc.core.said import said, said_choice, same
from progdoc.model.description.exposure_evidence import Averaging
from progdoc.rules.judged.air_results import Level
from progdoc.rules.judged.published import Limit, LimitKind
from progdoc.rules.lookup.limits import FULL_SHIFT_MIN, STEL_MIN

__all__ = ["HAIR", "REACHED", "SHORT", "NoLevel", "covers", "sample_to_add"]

HAIR = 1.0 + 1e-9  # minutes come from hours times 60
SHORT = (LimitKind.STEL, LimitKind.EXCURSION, LimitKind.CEILING, LimitKind.PEAK)
REACHED = said("an average, which some part of that time reaches or passes")
_NOTHING_SHORT = said("no sample or estimate over its averaging time")


@dataclass(frozen=True, slots=True)
class NoLevel:
    """Why there is no level: the code of the requirement, words for its text, and what the air reached for certain."""

    code: str
    words: dict[str, str] = field(default_factory=dict)
    at_least: Level | None = None


def covers(averaging: Averaging, limit: Limit) -> bool:
    """The highest level over a short time is never less than one over a longer time, so it may stand for it."""
    if averaging is Averaging.CEILING:
        return True
    if averaging is Averaging.STEL:
        quarter_hour = limit.kind is LimitKind.CEILING and limit.minutes == STEL_MIN
        return limit.kind not in (LimitKind.CEILING, LimitKind.PEAK) or quarter_hour
    return limit.kind in (LimitKind.TWA, LimitKind.ACTION_LEVEL)


def sample_to_add(limit: Limit, window: float) -> dict[str, str]:
    """Return the words of the finding that a limit has no level of its own, with the sample that would be one."""
    is_long = limit.kind not in SHORT
    minutes = FULL_SHIFT_MIN if is_long else window
    at_any_moment = limit.kind in (LimitKind.CEILING, LimitKind.PEAK)
    averaging = Averaging.TWA if is_long else Averaging.CEILING if at_any_moment else Averaging.STEL
    fields = said(
        "`concentration: … %(unit)s`, `duration: %(minutes)s min`, `averaging: %(averaging)s`",
        unit=same(limit.unit),
        minutes=same(f"{minutes:g}"),
        averaging=same(averaging.value),
    )
    return {"limit": said_choice(limit.kind), "missing": _NOTHING_SHORT, "fields_to_write": fields}
