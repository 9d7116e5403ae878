"""Which kinds of evidence can tell of an agent in a task, so that nobody is offered one that never could."""

from __future__ import annotations

from progdoc.model.description.hazards import Hazard, OwnLimit
from progdoc.model.description.workplace import Industry, Task
from progdoc.rules.air.floors import is_lead_in_construction, is_silica_in_construction
from progdoc.rules.lookup.limits import industries_of
from progdoc.rules.lookup.substances import find_substance, limits_for

__all__ = ["never_fitting"]


def never_fitting(hazard: Hazard, task: Task) -> frozenset[str]:
    """Return the kinds of evidence that say nothing of an agent, whatever would be written in them.

    Table 1 is for silica and the lead tasks are for lead, both in construction alone (29 CFR 1926.1153(c)(1),
    1926.62(d)(2)). A judgment, or a reading of smoke, stands for an agent without a limit, the
    law's or one's own. While the industry of a task
    is not said, nothing is left out for it.
    """
    substance = find_substance(hazard.agent)
    builders = task if task.industry else task.model_copy(update={"industry": Industry.CONSTRUCTION})
    found = set()
    if not is_silica_in_construction(builders, substance):
        found.add("silica-table-1")
    if not is_lead_in_construction(builders, substance):
        found.add("lead-task")
    form = hazard.form.value if hazard.form else ""
    is_limited = substance is not None and all(limits_for(substance, name, form) for name in industries_of(task))
    if is_limited or isinstance(hazard.limit, OwnLimit):
        found |= {"judgment", "smoke"}
    return frozenset(found)
