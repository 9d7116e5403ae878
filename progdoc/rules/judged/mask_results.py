"""What each mask is good for in each task, and which classes of mask would do."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import field

from progdoc.core.late_dataclass import dataclass
from progdoc.core.numbers import text_of
from progdoc.core.said import said, said_join
from progdoc.core.worked import Worked
from progdoc.model.description.masks import Facepiece, Mask, Mode
from progdoc.model.description.quantities import unit_symbol
from progdoc.model.description.workplace import MaskUse, Task
from progdoc.rules.judged.air_results import Bound, StandardDuty, TaskAir
from progdoc.rules.judged.figure_results import InForce
from progdoc.rules.judged.published import EscapeKind, Limit
from progdoc.rules.reasons import DISPROVES, FORBIDS, Reason

__all__ = [
    "Chart",
    "ChartBar",
    "ChartMark",
    "ClassVerdict",
    "Credit",
    "DaySum",
    "Escape",
    "EscapeDuty",
    "EscapeMask",
    "MaskClass",
    "MaskVerdict",
    "MaximumUseConcentration",
    "OfGroup",
    "Selection",
]


@dataclass(frozen=True, slots=True)
class Credit:
    """The assigned protection factor a mask may be credited with, and why it is not more."""

    apf: float | None  # None: no factor is assigned, so the mask is not usable
    note: str
    citation: str
    uncapped: float | None = None  # the same without policies
    cap: Bound | None = None  # the policy that lowers it
    by_instrument: float | None = None  # the factor with a test by an instrument, where the kind of test lowers it


@dataclass(frozen=True, slots=True)
class MaximumUseConcentration:
    """The maximum use concentration of a mask for one agent and limit."""

    hazard: str  # its id: one agent may be described twice, for two fractions of its dust
    agent: str
    value: float
    unit: str
    governed_by: str
    margin: float | None  # None: the level is not known
    margin_sum: str  # the two figures that the margin comes from, as they are printed
    worked: Worked
    passed_cap: str = ""  # the cartridge's own limit, where the level while working is over it
    derived: str = ""  # how the level while working follows from an average over longer

    @property
    def printed(self) -> str:
        return text_of(self.value, unit_symbol(self.unit), "down")


@dataclass(frozen=True, slots=True)
class MaskVerdict:
    """One mask in one task: what it is good for there, and all that speaks against it."""

    mask: Mask
    use: MaskUse
    path: str
    credit: Credit
    mucs: tuple[MaximumUseConcentration, ...]
    reasons: tuple[Reason, ...]  # worst first
    passes: tuple[str, ...] = ()  # agents that it does not stop, whatever their level
    waits_for_schedule: bool = False  # it would protect, but for the change schedule of its cartridge
    bars: tuple[Reason, ...] = ()  # why nobody may wear it there, in sentences; none before everything was judged

    @property
    def is_adequate(self) -> bool:
        """Whether the mask is shown to protect; cautions alone leave it so."""
        return all(reason.is_caution for reason in self.reasons)

    @property
    def is_disproved(self) -> bool:
        """Whether it does not protect; one that is not adequate otherwise is only not shown to, or not allowed."""
        return any(reason.code in DISPROVES for reason in self.reasons)

    @property
    def is_forbidden(self) -> bool:
        """Whether somebody lets nobody wear it here, whether it protects or not."""
        return any(reason.code in FORBIDS for reason in self.reasons)

    @property
    def is_timed(self) -> bool:
        """Whether how long its cartridge lasts here is told: of a mask that nobody may wear it would read as leave."""
        return self.is_adequate or self.waits_for_schedule

    @property
    def margin(self) -> float | None:
        """How many times the air's level fits into the mask's maximum use concentration; the smallest counts."""
        return min((c.margin for c in self.mucs if c.margin is not None), default=None)


@dataclass(frozen=True, slots=True)
class ChartMark:
    """One number on the axis."""

    words: str
    value: float


@dataclass(frozen=True, slots=True)
class ChartBar:
    """How far a mask reaches."""

    words: str
    value: float
    is_adequate: bool
    is_disproved: bool = False  # one that is neither is not shown to protect


@dataclass(frozen=True, slots=True)
class Chart:
    """What is drawn for the agent of a task that decides, all in one unit."""

    task: Task
    hazard: str
    agent: str
    unit: str
    levels: tuple[ChartMark, ...]  # what was decided on
    samples: tuple[float, ...]
    lines: tuple[ChartMark, ...]  # limits, action level, IDLH
    bars: tuple[ChartBar, ...]
    level: float  # the one that is the most times over its limit
    limit: float  # that limit


@dataclass(frozen=True, slots=True)
class EscapeDuty:
    """A standard asks that a mask to get out in hangs at hand in the air of one agent."""

    agent: str
    path: str  # of the hazard
    kinds: tuple[EscapeKind, ...]  # of which one will do
    served_by: tuple[str, ...]  # the masks of such a kind that hang there

    @property
    def citation(self) -> str:
        return self.kinds[0].citation

    @property
    def words(self) -> str:
        return said_join((kind.words for kind in self.kinds), said(", or "))


@dataclass(frozen=True, slots=True)
class EscapeMask:
    """A mask that hangs at hand in a task, and why nobody gets out of that air in it; nothing where somebody may."""

    mask: Mask
    path: str
    trouble: str
    is_silent: bool = False  # only because nobody says what its approval is for


@dataclass(frozen=True, slots=True)
class Escape:
    """How people get out of the air of a task: what standards ask for, and what hangs at hand."""

    duties: tuple[EscapeDuty, ...] = ()
    masks: tuple[EscapeMask, ...] = ()
    bars: tuple[Reason, ...] = ()  # why nobody could count on getting out: nobody works there, masked or not


@dataclass(frozen=True, slots=True)
class DaySum:
    """What the tasks that one person may do on one day come to, in times of a limit, over which no task is alone."""

    tasks: tuple[str, ...]  # by id
    of: str  # the agent, or all of them
    worked: Worked  # in the air: masks are not counted
    behind_masks: float  # of the masks that have to be worn


@dataclass(frozen=True, slots=True)
class Selection:
    """The air of every task and a verdict on every mask worn in it."""

    air: Mapping[str, TaskAir]
    masks: Mapping[tuple[str, str], MaskVerdict]
    reasons: Mapping[tuple[str, ...], tuple[Reason, ...]]  # by the ids of a subject
    charts: Mapping[str, Chart | None]  # by task, of the agent that decides
    duties: Mapping[str, tuple[StandardDuty, ...]]  # by hazard: what its standards grant beside the mask
    escape: Mapping[str, Escape]  # by task: what hangs at hand for getting out
    entry: Mapping[str, tuple[Reason, ...]] = field(default_factory=dict)  # by task: why nobody goes in
    days: tuple[DaySum, ...] = ()  # each over a limit, though no task of the day is alone


@dataclass(frozen=True, slots=True)
class OfGroup:
    """What is otherwise in a task for a group of those who do it: a policy binds them and not the rest."""

    groups: tuple[str, ...]  # their ids
    names: str
    masks_for: tuple[str, ...]  # the policies for whose sake they wear a mask where others need none
    is_danger: bool  # the air is immediately dangerous by their policy alone
    standby: InForce | None  # how many stay outside while one of them is in dangerous air, where that is more
    limits: tuple[tuple[str, Limit], ...]  # by the name of an agent, what holds for them beside the limits for all
    credits: tuple[MaskVerdict, ...]  # masks that do for them, and are credited with less than for others
    barred: tuple[MaskVerdict, ...]  # masks that do for others and not for them
    changes: tuple[tuple[str, InForce], ...]  # by name, gas cartridges that they may use for so long only
    classes: tuple[str, ...]  # by name, kinds of mask that would do for others and not for them

    @property
    def says_anything(self) -> bool:
        return any((self.masks_for, self.is_danger, self.standby, self.limits, self.credits, self.barred, self.changes))


@dataclass(frozen=True, slots=True)
class MaskClass:
    """A kind of mask as a buyer would name it."""

    id: str
    name: str
    facepiece: Facepiece
    mode: Mode
    has_evidence: bool = False  # the maker's test evidence for a hood
    auxiliary_air: bool = False


@dataclass(frozen=True, slots=True)
class ClassVerdict:
    """One class in one task: the factor it is credited with, and why it would not do."""

    kind: MaskClass
    apf: float | None
    reasons: tuple[Reason, ...]  # worst first; empty if it would do
    note: str  # why the factor is not more
    only_with: tuple[str, ...] = ()  # what it takes beside the mask for the class to do

    @property
    def would_do(self) -> bool:
        return all(reason.is_caution for reason in self.reasons)
