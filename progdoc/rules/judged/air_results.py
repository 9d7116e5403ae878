"""What is known of the air: each agent against its limits, and all agents of a task together."""

from __future__ import annotations

from collections.abc import Mapping

from progdoc.calc.oxygen import OxygenCase
from progdoc.calc.protection import NeededFactor
from progdoc.core.late_dataclass import dataclass
from progdoc.core.worked import Worked
from progdoc.model.description.hazards import Hazard
from progdoc.model.description.masks import Mask, Particulate
from progdoc.model.description.policies import Policy
from progdoc.model.description.workplace import Task, Use
from progdoc.rules.judged.figure_results import InForce, Law
from progdoc.rules.judged.published import Limit, Substance
from progdoc.rules.reasons import Reason

__all__ = ["Assessment", "Bound", "Danger", "Level", "MaskRules", "Ratio", "StandardDuty", "TaskAir", "TaskRules"]


@dataclass(frozen=True, slots=True)
class Bound:
    """What a policy sets, and who set it; without an origin it is the law's."""

    value: float
    origin: str


@dataclass(frozen=True, slots=True)
class Danger:
    """The concentration from which air is immediately dangerous, and how far its source can be trusted."""

    value: float
    unit: str
    origin: str
    is_by_policy: bool = False


@dataclass(frozen=True, slots=True)
class Level:
    """A concentration in the unit of its limit, the limit it is set against, and in words where it is from."""

    value: float
    limit_value: float  # lowered where the law lowers it for long shifts
    unit: str
    basis: str
    notes: tuple[str, ...] = ()
    in_short: str = ""  # the basis without the names of the shifts, where it names any
    is_of_group: bool = False  # the upper confidence limit of several shifts stands behind it
    is_worst_reading: bool = False  # nobody says what the rest of a shift was like: it counts as sampled
    allowed_peaks: str = ""  # of a ceiling: the peaks in which it is passed as the law allows; `value` leaves them out


@dataclass(frozen=True, slots=True)
class Ratio:
    """One level set against one limit."""

    limit: Limit
    level: Level
    value: float
    worked: Worked


@dataclass(frozen=True, slots=True)
class Assessment:
    """What is known of one agent in one task."""

    hazard: Hazard
    path: str
    task: Task
    substance: Substance | None
    limits: tuple[Limit, ...]  # in force here, the firm's own and policies' among them
    ratios: tuple[Ratio, ...]
    floor: float | None  # an APF that a table, a trigger task or a judgment sets; 0: no mask asked for
    floor_is_exclusive: bool  # the APF has to be over the floor
    floor_basis: str
    is_unknown: bool
    during_task: float | None  # highest level while working, in `unit`
    unit: str
    reasons: tuple[Reason, ...]
    is_gas: bool  # in the air as gas or vapour, whatever form was described
    is_particle: bool
    is_over_limit: bool  # a mask is needed for it: over a limit, asked for by a table or class of work, or not known
    lower_bound: float | None = None  # level assumed until assessed, in µg/m³
    undetermined: tuple[str, ...] = ()  # limits for which no level is known
    danger: Danger | None = None  # immediately dangerous from here on; None: no value at hand
    derived: str = ""  # how the level while working follows from an average over longer
    load: float | None = None  # what loads a cartridge, in `unit`: the average while working, or the highest level
    load_derived: str = ""
    unknown_by: tuple[str, ...] = ()  # the findings that leave the agent unknown
    needed_by_policy: str = ""  # the policy for whose sake alone a mask is needed

    @property
    def hazard_ratio(self) -> float | None:
        return max((ratio.value for ratio in self.ratios), default=None)

    @property
    def governing(self) -> Ratio | None:
        return max(self.ratios, key=lambda ratio: ratio.value, default=None)

    @property
    def allowed_peaks(self) -> str:
        """Return in which peaks a ceiling is passed as the law allows, in words; empty if none is."""
        return next((ratio.level.allowed_peaks for ratio in self.ratios if ratio.level.allowed_peaks), "")

    @property
    def name(self) -> str:
        return self.substance.name if self.substance else self.hazard.agent


@dataclass(frozen=True, slots=True)
class MaskRules:
    """What the law and the policies ask of a mask in a task."""

    scba_minutes: InForce
    dust_masks_barred_by: tuple[str, ...] = ()
    air_purifying_barred_by: tuple[str, ...] = ()
    choice_barred_by: tuple[str, ...] = ()  # who wants no masks worn that nobody requires
    least_filters: tuple[tuple[Particulate, str], ...] = ()
    policies: tuple[Policy, ...] = ()


@dataclass(frozen=True, slots=True)
class TaskRules:
    """What the law and the policies ask of the air of a task and of the masks in it."""

    law: Law
    least_oxygen_percent: InForce
    qualitative_credit: InForce
    any_mask: MaskRules  # also of a mask that the firm does not have
    by_mask: Mapping[str, MaskRules]  # by the id of a mask of the task

    def of(self, mask: Mask) -> MaskRules:
        """Return what is asked of one of the firm's masks."""
        return self.by_mask.get(mask.id, self.any_mask)


@dataclass(frozen=True, slots=True)
class TaskAir:
    """The air of a task, all its agents together."""

    task: Task
    path: str
    agents: tuple[Assessment, ...]
    needed: NeededFactor
    mixture: Worked | None
    over_together: frozenset[str]  # vapours and gases that pass their limits as a mixture, by name
    danger: tuple[str, ...]  # why the air counts as immediately dangerous; empty if it does not
    oxygen: OxygenCase | None  # None: nobody said
    rules: TaskRules
    needs_mask: bool  # the air alone calls for a mask
    to_find_out: tuple[str, ...] = ()  # one path for each danger that only follows from a missing figure
    needs_enriched_air: bool = False  # breathing air has to carry extra oxygen
    oxygen_set_by: str = ""  # the policy without which the oxygen would do
    lowest_altitude_ft: float | None = None  # of its sites; None: nobody states the altitude of each
    danger_set_by: str = ""  # the policy without which the air would not count as immediately dangerous

    @property
    def is_immediately_dangerous(self) -> bool:
        return bool(self.danger)

    @property
    def is_danger_shown(self) -> bool:
        """Whether a danger is more than a figure that nobody gave."""
        return len(self.danger) > len(self.to_find_out)

    @property
    def is_asked_for(self) -> bool:
        """Whether somebody wants a mask against all of this air: `required_by`, or though no limit is passed."""
        return bool(self.task.required_by) or (self.task.use is Use.REQUIRED and not self.needs_mask)

    @property
    def is_worn(self) -> bool:
        """Whether a mask is required in the task, by declaration or by its air."""
        return self.task.use is Use.REQUIRED or self.needs_mask

    @property
    def is_by_choice(self) -> bool:
        """Whether masks are worn that nobody requires, and nothing in the air does."""
        return self.task.use is Use.VOLUNTARY and not self.needs_mask

    @property
    def is_choice_barred(self) -> bool:
        """Whether policies leave nobody a mask to wear here by choice."""
        worn = [self.rules.by_mask[use.mask] for use in self.task.masks if use.mask in self.rules.by_mask]
        barred = [bool(rules.choice_barred_by) for rules in worn]
        return self.is_by_choice and (bool(self.rules.any_mask.choice_barred_by) or (bool(barred) and all(barred)))


@dataclass(frozen=True, slots=True)
class StandardDuty:
    """Something a standard grants or asks beside the choice of a mask."""

    agent: str
    text: str
    citation: str
    is_medical: bool = False  # for whoever arranges the examinations, and of no use to the crew
