"""The factor of a one-sided tolerance limit, without any library beyond Python's own.

Refuses fewer than six samples: the spread of so few says next to nothing about the spread of the group.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from math import erf, exp, fsum, log, sqrt
from statistics import NormalDist

from progdoc.calc._domain import finite
from progdoc.core.errors import DomainError

__all__ = ["FEWEST_FOR_STATISTICS", "tolerance_factor"]

FEWEST_FOR_STATISTICS = 6  # samples, EN 689:2018


@lru_cache(maxsize=256)  # the same few counts come up again and again
def tolerance_factor(count: int, coverage: float, confidence: float) -> float:
    """Return k, so that mean + k·s is the one-sided upper confidence limit of a normal population's quantile.

    Parameters
    ----------
    count
        Number of samples, 6 or more. [–]
    coverage
        The quantile, 0.95 for the 95th percentile. [–]
    confidence
        How sure the limit is to be at or over the quantile. [–]

    Returns
    -------
    float
        k: the noncentral t quantile, n − 1 degrees of freedom, noncentrality z·√n, divided by √n. [–]

    Raises
    ------
    DomainError
        If there are fewer than 6 samples, or a fraction is not over 0.5 and up to 0.999.

    Examples
    --------
    >>> round(tolerance_factor(6, 0.95, 0.70), 3), round(tolerance_factor(10, 0.95, 0.70), 3)
    (2.187, 2.005)

    Notes
    -----
    Solved as the k for which the chance of mean + k·s ≥ quantile equals the confidence. Given s that chance
    is a normal one, so it is averaged over the distribution of s by the trapezoid rule, then k is found by
    bisection.

    References
    ----------
    .. [1] EN 689:2018, compliance test (factors from secondary sources, standard not read).
    .. [2] M. G. Natrella, Experimental Statistics, NBS Handbook 91 (1963), one-sided tolerance limits (from memory).
    """
    if count < FEWEST_FOR_STATISTICS:
        raise DomainError(f"{count=}: needs {FEWEST_FOR_STATISTICS} samples or more")
    for name, fraction in (("coverage", coverage), ("confidence", confidence)):
        if not 0.5 < finite(name, fraction) <= 0.999:
            raise DomainError(f"{name} = {fraction}: needs a fraction over 0.5, up to 0.999")
    quantile = NormalDist().inv_cdf(coverage)
    spread = _spread_of_s(count - 1)
    low, high = 0.0, 100.0
    while (middle := (low + high) / 2.0) not in (low, high):
        if _chance_of_covering(middle, quantile, count, spread) < confidence:
            low = middle
        else:
            high = middle
    return high


def _spread_of_s(freedom: int) -> list[tuple[float, float]]:
    """Return values of s/σ over its range, each with its share of probability."""
    step = 24.0 / sqrt(2.0 * freedom) / 400.0  # 12 standard deviations to either side, in 400 steps
    ratios = [1.0 + step * index for index in range(-200, 201) if 1.0 + step * index > 0.0]
    # the density without its constant, which drops out when the shares are made to sum to 1
    weights = [exp((freedom - 1) * log(ratio) - freedom * (ratio * ratio - 1.0) / 2.0) for ratio in ratios]
    total = fsum(weights)
    return [(ratio, weight / total) for ratio, weight in zip(ratios, weights, strict=True)]


def _chance_of_covering(factor: float, quantile: float, count: int, spread: Sequence[tuple[float, float]]) -> float:
    return fsum(share * 0.5 * (1.0 + erf((factor * ratio - quantile) * sqrt(count / 2.0))) for ratio, share in spread)
