"""How much of the time that it stands for a sample covers.

An average over a shift or a task that rests on some minutes alone is a guess. EN 689:2018 wants two hours at least
where the work goes on evenly, and all of an exposure that is shorter; all is taken for most of it here.
"""

from __future__ import annotations

from progdoc.core.numbers import number_text
from progdoc.core.said import said
from progdoc.model.description.exposure_evidence import Averaging, Samples
from progdoc.model.description.quantities import in_unit
from progdoc.model.description.workplace import Task
from progdoc.rules.air.no_level import NoLevel
from progdoc.rules.air.shift_levels import shifts_of, worked_minutes

__all__ = ["short_of"]

_LEAST_MIN = 120.0
_MOST_OF_IT = 0.75
_HAIR = 1.0 + 1e-9  # minutes come from hours times 60


def short_of(evidence: object, task: Task) -> dict[str, str]:
    """Return the longest sampled time of a shift and what it stands for, in words; nothing where it covers enough."""
    if not isinstance(evidence, Samples) or evidence.short_because:
        return {}
    shifts = shifts_of([(one, 0.0) for one in evidence.results if one.averaging is Averaging.TWA], task)
    if isinstance(shifts, NoLevel) or not shifts:
        return {}
    longest = max(sum(in_unit(one.duration, "min") for one, _ in group) for group in shifts.values())
    day = worked_minutes(task)
    stands_for = min(in_unit(task.duration, "min"), day) if task.duration is not None else day
    if longest * _HAIR >= min(_LEAST_MIN, _MOST_OF_IT * stands_for):
        return {}
    return {
        "sampled": said("%(longest)s min", longest=number_text(longest)),
        "time": said("%(stands_for)s min", stands_for=number_text(stands_for)),
    }
