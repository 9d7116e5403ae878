"""Fractions of a dust, told apart wherever a level is set against a limit: total, inhalable and respirable.

A limit that names no fraction is one for total dust; evidence that names none is of whatever its limit is for, and
where the limits of an agent are for two fractions it is asked which it was.
"""

from __future__ import annotations

from collections.abc import Callable

from progdoc.core.said import said, said_choice, said_join
from progdoc.model.description.exposure_evidence import Estimate, Fraction, ObjectiveData, Sample, Samples
from progdoc.rules.judged.published import Limit
from progdoc.rules.lookup.telling_words import is_told

__all__ = [
    "Measured",
    "fractions_in_words",
    "holding_fraction",
    "is_of_fraction",
    "names_every_fraction",
    "of_fraction",
    "whole_dust_note",
]

Measured = Samples | ObjectiveData | Estimate

# Which fraction holds which others: finer grains are part of the coarser dust, as EN 481 and ISO 7708 define them.
_HOLDS = {
    Fraction.RESPIRABLE: (),
    Fraction.TOTAL: (Fraction.RESPIRABLE,),
    Fraction.INHALABLE: (Fraction.RESPIRABLE, Fraction.TOTAL),
}

_TOLD_BY_METHOD = ((Fraction.RESPIRABLE, "method_respirable"), (Fraction.TOTAL, "method_total"))


def is_of_fraction(fraction: Fraction | None, limited: str) -> bool:
    """Return whether evidence of a fraction speaks of a limit for another, "" where it names none."""
    return fraction is None or fraction == (limited or Fraction.TOTAL)


def of_fraction(evidence: Measured, limit: Limit) -> Measured | None:
    """Return what of the evidence is of the fraction that the limit is for; nothing where none is."""
    return _kept(evidence, lambda fraction: is_of_fraction(fraction, limit.fraction))


def holding_fraction(evidence: Measured, limit: Limit) -> Measured | None:
    """Return what of the evidence holds the grains that the limit is for, and others; nothing where none does."""
    wanted = Fraction(limit.fraction or Fraction.TOTAL)
    return _kept(evidence, lambda fraction: fraction is not None and wanted in _HOLDS[fraction])


def _kept(evidence: Measured, test: Callable[[Fraction | None], bool]) -> Measured | None:
    if isinstance(evidence, ObjectiveData | Estimate):
        return evidence if test(evidence.fraction) else None
    kept = tuple(sample for sample in evidence.results if test(_caught(sample)))
    return evidence.model_copy(update={"results": kept}) if kept else None


def names_every_fraction(evidence: Measured) -> bool:
    """Return whether all of the evidence says which fraction it is of."""
    return None not in _fractions(evidence)


def fractions_in_words(evidence: Measured) -> str:
    """Return the fractions that evidence is of, in words."""
    return said_join((said_choice(one) for one in Fraction if one in _fractions(evidence)), said(" and "))


def _fractions(evidence: Measured) -> tuple[Fraction | None, ...]:
    if isinstance(evidence, Samples):
        return tuple(_caught(sample) for sample in evidence.results)
    return (evidence.fraction,)


def _caught(sample: Sample) -> Fraction | None:
    """Return the fraction that a sample is of: what its method catches, whatever else is said of it."""
    told = [fraction for fraction, words in _TOLD_BY_METHOD if sample.method and is_told(words, sample.method)]
    return told[0] if len(told) == 1 else sample.fraction


def whole_dust_note(measured: str, wanted: str) -> str:
    """Return in words why a coarser dust shows that a limit for a finer one is kept."""
    return said(
        "Measured as %(measured)s dust; even if all of it were %(wanted)s dust, the limit is kept.",
        measured=measured,
        wanted=wanted,
    )
