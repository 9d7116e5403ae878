"""What sampled shifts say, in words for the page: the average worked, EN 689 statistics and preliminary test."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import fsum

from progdoc.calc.statistics import Basis, Decision, PreliminaryResult, Sample, preliminary_test
from progdoc.core.numbers import number_text, text_of
from progdoc.core.said import said, said_join, same
from progdoc.core.worked import Input, Rounding, Step, with_digits_to_follow
from progdoc.model.description.quantities import unit_symbol

__all__ = ["average_note", "group_notes", "most_in_short_note", "total_words"]

_WIDE = 3.0  # geometric standard deviation over which one group may be two; common practice, no source
_PRELIMINARY = {
    PreliminaryResult.PASS: said("passed: every shift is far under the limit"),
    PreliminaryResult.FAIL: said("failed: one shift is over the limit"),
    PreliminaryResult.NO_DECISION: said("no decision: sample at least six shifts"),
}


def average_note(shift: str, periods: Sequence[tuple[float, float]], over_min: float, average: float, unit: str) -> str:
    """Return the average of a shift worked out, so that it can be followed from the sample sheets.

    >>> average_note("bench 1", [(171.0, 240.0)], 480.0, 85.5, "ug/m3")
    'Highest shift, bench 1: 171 × 240 min ÷ 480 min = 85.5 µg/m³, rounded up; time not listed counts as zero.'
    """
    total = total_words(periods, over_min, average)
    result = text_of(average, unit_symbol(unit), "up")
    listed = sum(minutes for _, minutes in periods)
    rest = said("; time not listed counts as zero") if listed < over_min else ""
    return said(
        "Highest shift, %(shift)s: %(total)s = %(result)s, rounded up%(rest)s.",
        shift=shift,
        total=total,
        result=result,
        rest=rest,
    )


def most_in_short_note(
    shift: str, periods: Sequence[tuple[float, float]], window_min: float, most: float, unit: str
) -> str:
    """Return the sum that shows how much a short period can have held at the very most.

    >>> most_in_short_note("bench 1", [(2.0, 480.0)], 15.0, 64.0, "ppm")
    'If all of bench 1 had come within 15 min: 2 × 480 min ÷ 15 min = 64 ppm, rounded up; no more is possible.'
    """
    result = text_of(most, unit_symbol(unit), "up")
    total = total_words(periods, window_min, most)
    return said(
        "If all of %(shift)s had come within %(window_min)s min: %(total)s = %(result)s, rounded up; no "
        "more is possible.",
        shift=shift,
        window_min=same(f"{window_min:g}"),
        total=total,
        result=result,
    )


def total_words(periods: Sequence[tuple[float, float]], over_min: float, average: float) -> str:
    """Return levels times minutes over a time, with the digits that lead to the average as it is printed.

    >>> total_words([(171.0, 240.0)], 480.0, 85.5), total_words([(2.0, 30.0), (3.5, 60.0)], 90.0, 3.0)
    ('171 × 240 min ÷ 480 min', '(2 × 30 min + 3.5 × 60 min) ÷ 90 min')
    """
    levels = [Input("level", level, "", "", Rounding.UP) for level, _ in periods]
    times = [Input("minutes", minutes, "min", "") for minutes in (*(m for _, m in periods), over_min)]
    wanted = Input("average", average, "", "", Rounding.UP)
    *shown, over = with_digits_to_follow([*levels, *times], [Step(wanted, _average)])
    count = len(periods)
    terms = [
        said("%(level)s × %(time)s", level=level.printed, time=time.printed)
        for level, time in zip(shown[:count], shown[count:], strict=True)
    ]
    total = terms[0] if len(terms) == 1 else said("(%(terms)s)", terms=said_join(terms, " + "))
    return said("%(total)s ÷ %(over)s", total=total, over=over.printed)


def _average(numbers: Sequence[float]) -> float:
    *terms, over_min = numbers
    count = len(terms) // 2
    return fsum(level * minutes for level, minutes in zip(terms[:count], terms[count:], strict=True)) / over_min


def group_notes(averages: Sequence[Sample], decision: Decision, limit: float, unit: str) -> tuple[str, ...]:
    """Return what a reviewer wants to know of a group of shifts beside the level that was decided on."""
    return tuple(_notes(averages, decision, limit, unit_symbol(unit)))


def _notes(averages: Sequence[Sample], decision: Decision, limit: float, unit: str) -> Iterator[str]:
    if decision.below_detection:
        yield (
            said(
                "%(below_detection)s of %(n)s shifts below detection: the detection limit counts in full as a "
                "highest level, and divided by √2 in the statistics.",
                below_detection=decision.below_detection,
                n=len(averages),
            )
        )
    if 3 <= len(averages) <= 5:
        result = preliminary_test([average.concentration for average in averages], limit)
        yield said(
            "EN 689 preliminary test, %(n)s shifts: %(preliminary)s. The law knows no such test.",
            n=len(averages),
            preliminary=_PRELIMINARY[result],
        )
    if decision.basis is Basis.HIGHEST_MOSTLY_UNDETECTED:
        yield said("No statistics, since half of the shifts or more are below detection: the highest decides.")
    found = decision.statistics
    if found is None:
        return
    mean, percentile, upper = (
        text_of(found.geometric_mean, unit),
        text_of(found.percentile_95, unit, "up"),
        text_of(found.upper_limit, unit, "up"),
    )
    deviation = number_text(found.geometric_standard_deviation)
    yield (
        said(
            "%(samples)s shifts: geometric mean %(mean)s, geometric standard deviation %(deviation)s, 95th "
            "percentile %(percentile)s, its one-sided 70 %% upper confidence limit %(upper)s (EN 689). The "
            "larger of this and the highest shift decides: our choice, the law knows no percentile.",
            samples=found.samples,
            mean=mean,
            deviation=deviation,
            percentile=percentile,
            upper=upper,
        )
    )
    if found.geometric_standard_deviation > _WIDE:
        yield said("The shifts differ widely (geometric standard deviation over 3): they may be two groups, not one.")
