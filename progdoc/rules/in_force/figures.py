"""What is in force for a person, a mask, a task, on a day: one function for each figure. Nobody looks it up elsewhere.

`tasks` and `masks` decide which policies bind: a wearer's own, those of a mask, the one that is judged. Figures of the
air have no mask; policies that name some bind them where a task uses one of those.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date

from progdoc.core.errors import ResourceError
from progdoc.core.late_dataclass import dataclass
from progdoc.model.description.devices import Cylinder
from progdoc.model.description.hazards import Hazard
from progdoc.model.description.masks import Facepiece, Mask
from progdoc.model.description.workplace import DoneBy, Task
from progdoc.rules.in_force.intervals import Cycle, cycle_of, cycles, shortest
from progdoc.rules.in_force.policy_reach import origin_of, policies_for_agent
from progdoc.rules.in_force.rule_set import RuleSet, law_and_firm, law_for, strictest
from progdoc.rules.judged.figure_results import InForce, Setter
from progdoc.rules.lookup.facepieces import SCBA
from progdoc.rules.lookup.substances import find_substance

__all__ = [
    "IN_THE_MONTH",
    "FitRules",
    "charge_needed",
    "cylinder_due",
    "cylinder_tests",
    "evaluation_cycles",
    "evidence_cycles",
    "fit_rules",
    "flow_test_cycles",
    "hair_rule",
    "inspection_cycles",
    "least_oxygen",
    "pass_level",
    "pass_level_name",
    "qualitative_credit",
    "quantitative_only",
    "scba_minutes",
    "standby_persons",
    "training_cycles",
]


IN_THE_MONTH = 31  # days: a test is stamped with its month


def _set(rules: RuleSet, name: str, tasks: Iterable[Task], masks: Iterable[Mask] | None = None) -> InForce:
    found = strictest(rules, name, tasks, masks)
    if found is None:
        raise ResourceError(f"the catalogue sets no figure for {name}")
    return found


# ---- fit tests ----------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class FitRules:
    """All that is in force for the fit tests of one mask in some tasks."""

    level: InForce
    cycles: tuple[Cycle, ...]
    by_instrument: InForce | None  # set where only quantitative tests count

    def cycle(self, day: date) -> Cycle:
        """Return the interval that ends first for a test of a day."""
        found = shortest(day, self.cycles)
        if found is None:
            raise ResourceError("the catalogue sets no interval for fit tests")
        return found


def fit_rules(rules: RuleSet, mask: Mask, tasks: Iterable[Task]) -> FitRules:
    """Return what is in force for the fit tests of a mask."""
    bound = tuple(tasks)
    intervals = cycles(rules, "fit-test-interval", bound, (mask,))
    return FitRules(pass_level(rules, mask, bound), intervals, quantitative_only(rules, mask, bound))


def pass_level(rules: RuleSet, mask: Mask, tasks: Iterable[Task]) -> InForce:
    """Return the fit factor from which a quantitative test of a mask is passed."""
    return _set(rules, pass_level_name(mask), tasks, (mask,))


def pass_level_name(mask: Mask) -> str:
    """Return the figure that a quantitative test of a mask is held against."""
    return "full-facepiece-pass" if mask.facepiece is Facepiece.FULL_FACEPIECE else "half-mask-pass"


def quantitative_only(rules: RuleSet, mask: Mask, tasks: Iterable[Task]) -> InForce | None:
    """Return who says that only quantitative fit tests of a mask count; None where nobody does."""
    return strictest(rules, "quantitative-only", tasks, (mask,))


def qualitative_credit(rules: RuleSet, tasks: Iterable[Task]) -> InForce:
    """Return the most that a qualitative fit test supports at negative pressure."""
    return _set(rules, "qualitative-credit", tasks)


# ---- people and masks ---------------------------------------------------------------------------------


def hair_rule(rules: RuleSet, tasks: Iterable[Task], masks: Iterable[Mask]) -> InForce | None:
    """Return who wants wearers of these masks clean-shaven; None where hair only keeps clear of seal and valves."""
    return strictest(rules, "clean-shaven", tasks, masks)


def training_cycles(rules: RuleSet, tasks: Iterable[Task], masks: Iterable[Mask]) -> tuple[Cycle, ...]:
    """Return how soon the training of wearers of these masks comes round again."""
    return cycles(rules, "training-interval", tasks, masks)


def inspection_cycles(rules: RuleSet, mask: Mask, tasks: Iterable[Task]) -> tuple[Cycle, ...]:
    """Return how soon a mask kept for emergencies, or with air of its own, is inspected again; nothing for others."""
    bound = tuple(tasks)
    found: list[Cycle] = []
    if mask.mode in SCBA or mask.auxiliary_air:
        found += cycles(rules, "scba-inspection-interval", bound, (mask,))
    if mask.emergency:
        found += cycles(rules, "emergency-inspection-interval", bound, (mask,))
    return tuple(found)


def flow_test_cycles(rules: RuleSet, mask: Mask, tasks: Iterable[Task]) -> tuple[Cycle, ...]:
    """Return how soon a set with air of its own goes on the bench again, as far as anybody sets an interval."""
    carries = mask.mode in SCBA or mask.auxiliary_air
    return cycles(rules, "flow-test-interval", tuple(tasks), (mask,)) if carries else ()


def charge_needed(rules: RuleSet, mask: Mask) -> InForce | None:
    """Return down to which share of its pressure a mask's cylinder may go before it is charged; None without one."""
    if not (mask.mode in SCBA or mask.auxiliary_air):
        return None
    ours = [task for task in rules.program.tasks if task.done_by is DoneBy.OUR_PEOPLE]
    named = [task for task in ours if mask.id in (*task.escape_masks, *(use.mask for use in task.masks))]
    return _set(rules, "recharge-at", named or ours, (mask,))


def cylinder_tests(rules: RuleSet, tasks: Iterable[Task]) -> tuple[Cycle, ...]:
    """Return how soon the test of most cylinders comes round again."""
    return cycles(rules, "cylinder-test-interval", tasks)


def cylinder_due(rules: RuleSet, tasks: Iterable[Task], cylinder: Cylinder) -> date | None:
    """Return by when a cylinder is tested again: as is said of it, and no later than any kind of cylinder may be.

    A test is stamped with its month, so that a day later in it is the same.
    """
    said, done = cylinder.requalify_by, cylinder.requalified
    longest = shortest(done, cycles(rules, "longest-cylinder-test-interval", tasks)) if done is not None else None
    if said is None or done is None or longest is None:
        return said
    last = longest.from_day(done)
    return said if (said - last).days <= IN_THE_MONTH else last


# ---- the air, and the program -------------------------------------------------------------------------


def least_oxygen(rules: RuleSet, tasks: Iterable[Task]) -> InForce:
    """Return the share of oxygen below which air is short of it."""
    return _set(rules, "least-oxygen", tasks)


def scba_minutes(rules: RuleSet, tasks: Iterable[Task], masks: Iterable[Mask]) -> InForce:
    """Return the rated time that self-contained sets, these or any, have at least for dangerous air."""
    return _set(rules, "scba-service-time", tasks, masks)


def standby_persons(rules: RuleSet, task: Task) -> InForce:
    """Return how many stay outside while somebody is in the immediately dangerous air of a task."""
    return _set(rules, "standby-persons", (task,))


def evidence_cycles(rules: RuleSet, task: Task, hazard: Hazard) -> tuple[Cycle, ...]:
    """Return how soon the evidence of a hazard is renewed, as far as a pack or a policy for its agent says."""
    bound = policies_for_agent(rules.program, task, hazard, find_substance(hazard.agent))
    wanted = ((policy, policy.evidence_interval) for policy in bound)
    asked = (InForce(i, i.printed, origin_of(policy), Setter.POLICY) for policy, i in wanted if i is not None)
    return tuple(map(cycle_of, (*law_and_firm(rules, law_for(rules, (task,))["evidence-interval"]), *asked)))


def evaluation_cycles(rules: RuleSet, tasks: Iterable[Task]) -> tuple[Cycle, ...]:
    """Return how soon the program is evaluated again, as far as anybody sets an interval."""
    return cycles(rules, "evaluation-interval", tasks, rules.program.masks)
