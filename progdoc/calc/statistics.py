"""What several samples of one similarly exposed group say together.

Refuses statistics under six samples, or where half of them or more are below detection: there the highest
decides. One valid shift over the limit is over, so the highest sample always counts beside the statistics.
"""

from __future__ import annotations

from collections.abc import Sequence
from enum import StrEnum
from math import exp, fsum, log, sqrt
from statistics import NormalDist
from typing import NamedTuple

from progdoc.calc._domain import above_zero
from progdoc.calc.tolerance import FEWEST_FOR_STATISTICS, tolerance_factor
from progdoc.core.errors import DomainError

__all__ = [
    "Basis",
    "Decision",
    "GroupStatistics",
    "PreliminaryResult",
    "Sample",
    "decision_concentration",
    "group_statistics",
    "preliminary_test",
]

_COVERAGE = 0.95
_CONFIDENCE = 0.70
_ROUNDING = 1e-12  # relative: the logarithm and back leave equal samples a hair off
_PRELIMINARY_SHARE = {3: 0.10, 4: 0.15, 5: 0.20}  # samples: share of the limit none may pass, EN 689:2018


class GroupStatistics(NamedTuple):
    """A log-normal description of a group's exposure; concentrations in the unit of the samples."""

    samples: int
    geometric_mean: float
    geometric_standard_deviation: float
    percentile_95: float
    upper_limit: float  # one-sided 70 % upper confidence limit of the 95th percentile


class Sample(NamedTuple):
    """One shift's average, or the limit of detection (LOD) where the laboratory found less than that."""

    concentration: float
    is_below_detection: bool = False


class Basis(StrEnum):
    """What a group's decision rests on."""

    HIGHEST = "highest"  # fewer than six samples, or the highest is over the upper limit
    UPPER_LIMIT = "upper-limit"
    HIGHEST_MOSTLY_UNDETECTED = "highest-mostly-undetected"  # half or more below detection
    UNDETERMINED = "undetermined"  # the highest is a limit of detection, and that is over the exposure limit


class Decision(NamedTuple):
    """The concentration to decide on; None where the samples prove nothing."""

    concentration: float | None
    basis: Basis
    statistics: GroupStatistics | None
    below_detection: int  # number of samples


class PreliminaryResult(StrEnum):
    """Outcome of the preliminary test."""

    PASS = "pass"
    FAIL = "fail"
    NO_DECISION = "no-decision"  # take at least six samples


def group_statistics(concentrations: Sequence[float]) -> GroupStatistics:
    """Return geometric mean, geometric standard deviation, 95th percentile and its 70 % upper confidence
    limit.

    Parameters
    ----------
    concentrations
        One shift average per sample, six or more, all above zero; below detection, LOD/√2. [any, the same for
        all]

    Returns
    -------
    GroupStatistics
        The four figures, with the number of samples. [unit of the samples; the geometric standard deviation
        has none]

    Raises
    ------
    DomainError
        If there are fewer than six samples, one is not above zero or not finite, or a result is too large.

    Examples
    --------
    >>> found = group_statistics([1.0, 2.0, 4.0, 1.0, 2.0, 4.0])
    >>> round(found.geometric_mean, 3), round(found.geometric_standard_deviation, 3)
    (2.0, 1.859)

    Notes
    -----
    Valid for one similarly exposed group whose logarithms are about normal. A geometric standard deviation
    over about 3 (common practice, no source) hints at two groups in one.

    References
    ----------
    .. [1] EN 689:2018, compliance test (secondary sources, standard not read).
    """
    logs = [log(above_zero("concentration", concentration)) for concentration in concentrations]
    factor = tolerance_factor(len(logs), _COVERAGE, _CONFIDENCE)
    mean = fsum(logs) / len(logs)
    deviation = sqrt(fsum((value - mean) ** 2 for value in logs) / (len(logs) - 1))
    return GroupStatistics(
        samples=len(logs),
        geometric_mean=_exponential("geometric mean", mean),
        geometric_standard_deviation=_exponential("geometric standard deviation", deviation),
        percentile_95=_exponential("95th percentile", mean + NormalDist().inv_cdf(_COVERAGE) * deviation),
        upper_limit=_exponential("upper confidence limit", mean + factor * deviation),
    )


def preliminary_test(concentrations: Sequence[float], limit: float) -> PreliminaryResult:
    """Return what three to five samples of a group say before statistics are possible.

    Parameters
    ----------
    concentrations
        Three, four or five shift averages; below detection, the limit of detection in full. [unit of the
        limit]
    limit
        Exposure limit over the same period. [any, the same for all]

    Returns
    -------
    PreliminaryResult
        Pass if all are at or under 0.10, 0.15 or 0.20 of the limit; fail if one is over the limit; else no
        decision.

    Raises
    ------
    DomainError
        If there are not three, four or five samples, or a number is not above zero or not finite.

    Examples
    --------
    >>> str(preliminary_test([4.0, 5.0, 3.0], 50.0)), str(preliminary_test([4.0, 6.0, 3.0], 50.0))
    ('pass', 'no-decision')

    Notes
    -----
    The law knows no such test: one shift over the limit is over, and a pass replaces no sampling that a
    standard asks for.

    References
    ----------
    .. [1] EN 689:2018, preliminary test (secondary sources, standard not read).
    """
    above_zero("limit", limit)
    highest = max((above_zero("concentration", value) for value in concentrations), default=0.0)
    if len(concentrations) not in _PRELIMINARY_SHARE:
        raise DomainError(f"{len(concentrations)} samples: the preliminary test takes 3, 4 or 5")
    if highest > limit:
        return PreliminaryResult.FAIL
    share = _PRELIMINARY_SHARE[len(concentrations)]
    return PreliminaryResult.PASS if highest <= share * limit else PreliminaryResult.NO_DECISION


def decision_concentration(samples: Sequence[Sample], limit: float) -> Decision:
    """Return the concentration that a group's samples make us decide on.

    Parameters
    ----------
    samples
        Shift averages of one similarly exposed group, or limits of detection so marked. [unit of the limit]
    limit
        Exposure limit over the same period. [any, the same for all]

    Returns
    -------
    Decision
        Under six samples the highest; from six on the larger of the highest and the upper confidence limit;
        with half or more below detection the highest; what it rests on beside it. [unit of the limit]

    Raises
    ------
    DomainError
        If there is no sample, or a number is not above zero or not finite. A measured zero does not exist: it
        is below detection.

    Examples
    --------
    >>> decision_concentration([Sample(20.0), Sample(30.0), Sample(5.0, is_below_detection=True)], 50.0)[:2]
    (30.0, <Basis.HIGHEST: 'highest'>)

    Notes
    -----
    Below detection counts as LOD/√2 in the statistics and in full as a highest. Undetermined: a limit of
    detection is over the exposure limit and over every detected sample, so it can't be told whether the limit
    is met. The law knows no percentile; the upper limit makes the decision stricter, never milder.

    References
    ----------
    .. [1] EN 689:2018, compliance test (secondary sources, standard not read).
    .. [2] R. W. Hornung and L. D. Reed, Applied Occupational and Environmental Hygiene 5 (1990)
       46–51: LOD/√2 (from memory).
    """
    if not samples:
        raise DomainError("samples is empty: no sample, no decision")
    above_zero("limit", limit)
    detected = [above_zero("concentration", s.concentration) for s in samples if not s.is_below_detection]
    undetected = [above_zero("limit of detection", s.concentration) for s in samples if s.is_below_detection]
    highest = max(detected + undetected)
    below = len(undetected)
    if highest > limit and highest > max(detected, default=0.0):
        return Decision(None, Basis.UNDETERMINED, None, below)
    if len(samples) < FEWEST_FOR_STATISTICS:
        return Decision(highest, Basis.HIGHEST, None, below)
    if 2 * below >= len(samples):
        return Decision(highest, Basis.HIGHEST_MOSTLY_UNDETECTED, None, below)
    found = group_statistics(detected + [lod / sqrt(2.0) for lod in undetected])
    if found.upper_limit > highest * (1.0 + _ROUNDING):
        return Decision(found.upper_limit, Basis.UPPER_LIMIT, found, below)
    return Decision(highest, Basis.HIGHEST, found, below)


def _exponential(name: str, value: float) -> float:
    try:
        return exp(value)
    except OverflowError as error:
        raise DomainError(f"{name}: too large to be a concentration") from error
