"""What records show, and what they are held against: fit tests, recommendations, filters, evidence that got old."""

from __future__ import annotations

from datetime import date

from progdoc.core.late_dataclass import dataclass
from progdoc.core.worked import Worked
from progdoc.model.description.masks import Mask
from progdoc.model.description.people import FitTest, MedicalEntry, TrainingEntry
from progdoc.model.description.policies import Policy
from progdoc.rules.judged.figure_results import InForce
from progdoc.rules.judged.published import FilterClass, FitProtocol

__all__ = ["FitRecord", "NamedProtocol", "OldEvidence", "ParticleFilter", "PersonRecords", "TestedMask"]


@dataclass(frozen=True, slots=True)
class FitRecord:
    """One fit test, with what it shows."""

    number: int  # among the tests of the person, the newest first
    test: FitTest
    protocol_name: str  # "" where it is none of the accepted ones
    is_passed: bool | None  # None: neither result nor factor is given
    factor: float | None
    needed: InForce  # the fit factor from which a quantitative test of the mask is passed
    worked: Worked | None  # how the factor follows from the readings


@dataclass(frozen=True, slots=True)
class PersonRecords:
    """What counts of one person's records: all up to the day of evaluation, the newest first.

    An entry's number is its place among all of its kind, so that it stays when the day moves.
    """

    clearance: MedicalEntry | None  # the recommendation that binds
    medical: tuple[tuple[int, MedicalEntry], ...]
    fit_tests: tuple[FitRecord, ...]
    training: tuple[tuple[int, TrainingEntry], ...]
    medical_kept_until: date | None = None  # of somebody who left
    kept_by: str = ""  # the paragraph that says how long


@dataclass(frozen=True, slots=True)
class TestedMask:
    """A mask that must be fit tested, and the fit factor that a quantitative test of it needs here."""

    mask: Mask
    pass_level: InForce  # for everybody who wears it
    higher: tuple[tuple[Policy, InForce], ...] = ()  # policies that ask for more of some of them


@dataclass(frozen=True, slots=True)
class NamedProtocol:
    """A protocol that the program names, with the masks of the firm that it may test."""

    path: str
    protocol: FitProtocol
    masks: tuple[TestedMask, ...]


@dataclass(frozen=True, slots=True)
class ParticleFilter:
    """A particle filter, fitted or built in."""

    key: str  # "filters.p100", or "masks.dust-mask" for the mask itself
    name: str
    path: str
    of_class: FilterClass


@dataclass(frozen=True, slots=True)
class OldEvidence:
    """Evidence to look at again: older than a year, or without a day."""

    what: str
    day: date | None
    where: str
