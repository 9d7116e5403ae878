"""How long each gas cartridge lasts, by every source that tells, and when it is changed."""

from __future__ import annotations

from progdoc.calc.service_life import Estimate
from progdoc.core.late_dataclass import dataclass
from progdoc.core.said import said
from progdoc.core.worked import Worked
from progdoc.model.description.masks import Filter, Mask
from progdoc.model.description.quantities import in_unit
from progdoc.model.description.upkeep import Basis, Schedule
from progdoc.model.description.workplace import Task
from progdoc.rules.judged.figure_results import InForce

__all__ = [
    "BASIS_WORDS",
    "CAPACITY_TERM",
    "COMPUTED",
    "FORMULA",
    "HUMIDITY_FACTOR",
    "RATE_TERM",
    "SAFETY_FACTOR",
    "CartridgeChange",
    "CartridgeLife",
    "KnownLife",
    "Moment",
    "NotKnown",
    "ServiceLife",
    "WhatIf",
]

BASIS_WORDS = {
    Basis.INDICATOR: said("end-of-service-life indicator"),
    Basis.MAKER: said("maker's data"),
    Basis.TEST: said("test data"),
    Basis.MODEL: said("published model, an estimate"),
    Basis.STANDARD: said("rule of a substance standard"),
    Basis.ODOUR: said("odour, which is no basis"),
    Basis.HABIT: said("habit, which is no basis"),
}

# What the inputs of an estimate are called that more than one page prints.
CAPACITY_TERM, RATE_TERM = said("capacity term"), said("rate term")
HUMIDITY_FACTOR, SAFETY_FACTOR = said("humidity factor"), said("safety factor")
FORMULA, COMPUTED = said("formula"), said("computed, equations in the sources")  # origins of what nobody has to state


@dataclass(frozen=True, slots=True)
class NotKnown:
    """Why a figure is not to be had, and what to do instead."""

    text: str
    instead: str
    is_unlikely: bool = False  # a figure is given that can hardly be right


@dataclass(frozen=True, slots=True)
class WhatIf:
    """The service life if one thing were otherwise; None where the model then refuses."""

    change: str
    life_min: float | None


@dataclass(frozen=True, slots=True)
class CartridgeLife:
    """What the model says of a cartridge in a task: an estimate with all its parts, or every refusal."""

    agents: tuple[str, ...]
    refused: tuple[NotKnown, ...]
    assumed: tuple[str, ...] = ()
    governing: str = ""
    estimate: Estimate | None = None
    what_ifs: tuple[WhatIf, ...] = ()
    curve: tuple[tuple[float, float], ...] = ()  # (minutes, share of the challenge that leaves), no safety factor
    worked: Worked | None = None
    weaknesses: tuple[str, ...] = ()  # of every such estimate

    @property
    def life_min(self) -> float | None:
        return self.estimate.service_life_min if self.estimate else None


@dataclass(frozen=True, slots=True)
class KnownLife:
    """One source for one cartridge in one task."""

    kind: Basis
    origin: str  # in words: the document, the paragraph
    path: str
    minutes: float | None  # None: it gives no number
    why_not: str = ""  # why it does not count; empty if it does
    is_bound: bool = False  # shortens other sources, stands in for none
    is_unlikely: bool = False  # its figure can hardly be right, and nothing rests on it
    notes: tuple[str, ...] = ()
    worked: Worked | None = None

    @property
    def counts(self) -> bool:
        return not self.why_not


@dataclass(frozen=True, slots=True)
class Moment:
    """A time of the shift at which cartridges are changed."""

    after_min: float  # since the shift began
    name: str  # "lunch break", or "" for an hour that is no pause
    clock: str  # "12:00", or "" where nobody says when the shift begins


@dataclass(frozen=True, slots=True)
class CartridgeChange:
    """When one cartridge on one mask is changed in one task, and everything that says so."""

    task: Task
    task_path: str
    mask: Mask
    part: Filter
    part_path: str
    agents: tuple[str, ...]
    life: CartridgeLife
    sources: tuple[KnownLife, ...]
    written: tuple[tuple[str, Schedule], ...]  # schedules of the description that cover it, with their places
    carried: tuple[tuple[str, Schedule], ...]  # of these, those that say when, and no longer than the shortest source
    most: InForce | None  # the longest use that a policy allows here, and whose it is
    moments: tuple[Moment, ...]  # changes within the shift; none where one cartridge lasts for the whole task
    shift_min: float
    in_use_min: float  # how long cartridges are in use in a shift: the task's time where one lasts for all of it
    changed_after_min: tuple[float, ...]  # the changes within a shift: by pauses of the day, else by the interval
    interval_min: float | None  # None: no number, or too short to plan on
    words: str  # the computed schedule in a line, "" where there is none
    wanders: bool | None  # a vapour is too volatile for another shift; None: its boiling point is not known

    def is_over_policy(self, plan: Schedule) -> bool:
        """Whether a schedule lets a cartridge stay in use for longer than a policy does, or says no time."""
        return self.most is not None and (plan.after is None or in_unit(plan.after, "min") > self.most.amount("min"))

    @property
    def governing(self) -> KnownLife | None:
        """The source with the shortest life; a bound governs only beside a source."""
        counting = [source for source in self.sources if source.counts and source.minutes is not None]
        return min(counting, key=lambda source: (source.minutes or 0.0, source.origin), default=None)

    @property
    def has_source(self) -> bool:
        return any(source.counts and not source.is_bound for source in self.sources)

    @property
    def shortest_min(self) -> float | None:
        return self.governing.minutes if self.governing else None

    @property
    def longest_use_min(self) -> float | None:
        """How long a cartridge stays in use at most: what its schedule states, if that is shorter than its sources."""
        stated = [in_unit(plan.after, "min") for _, plan in self.carried if plan.after is not None]
        found = self.shortest_min if self.has_source else None
        return None if found is None else min([*stated, found])

    @property
    def is_too_short(self) -> bool:
        """Whether the shortest source leaves less than a quarter of an hour."""
        return self.shortest_min is not None and self.interval_min is None

    @property
    def worked(self) -> tuple[Worked, ...]:
        found = [source.worked for source in self.sources if source.worked is not None]
        return (*found, self.life.worked) if self.life.worked and self.life.worked not in found else tuple(found)


@dataclass(frozen=True, slots=True)
class ServiceLife:
    """How long the cartridges of a mask last in a task, in short: the shortest-lived one counts."""

    hours: float | None  # rounded down; None: nothing tells
    basis: str
    schedule: str
    refused: tuple[str, ...]  # sources that do not count, and why
