"""What of a form fits the agents that it asks about: kinds of evidence that can tell of them, fields that they have."""

from __future__ import annotations

import re
from dataclasses import replace

from progdoc.model.description.hazards import Form
from progdoc.model.description.input_fields import ONE_MORE, Kinds, Part
from progdoc.model.description.program import Program
from progdoc.rules.air.fitting_evidence import never_fitting

__all__ = ["fitting", "is_of_grains"]

_HAZARD = re.compile(r"^hazards\[(\d+)\]")


def fitting(description: Program, part: Part, places: tuple[str, ...]) -> Part:
    """Return what is asked without the kinds of evidence that can tell nothing of any agent asked about."""
    if not isinstance(part, Kinds) or not part.path.startswith("hazards[") or ONE_MORE in part.path:
        return part
    tasks = {task.id: task for task in description.tasks}
    hazards = [description.hazards[int(n)] for one in places or (part.path,) for n in _HAZARD.findall(one)]
    left_out = [never_fitting(one, tasks[one.task]) if one.task in tasks else frozenset() for one in hazards]
    never = frozenset.intersection(*left_out) if left_out else frozenset()
    kept = tuple((kind, words) for kind, words in part.kinds if kind not in never or kind == part.chosen)
    return replace(part, kinds=kept)


def is_of_grains(description: Program, part: Part) -> bool:
    """Whether it is asked which grains were sampled, of what has none."""
    found = _HAZARD.match(part.path) if part.path.endswith(".exposure.fraction") else None
    return found is not None and description.hazards[int(found[1])].form in (Form.GAS, Form.VAPOUR)
