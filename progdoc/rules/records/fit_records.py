"""What one fit test shows: the overall fit factor from its readings, whether it was passed, what it supports.

The number decides, not the word beside it. Readings that are not those of the protocol give no number, and a
recorded factor above what the readings give is not believed.
"""

from __future__ import annotations

from progdoc.calc.fit import counted_readings, fit_test_is_passed, overall_fit_factor
from progdoc.core.numbers import number_text
from progdoc.core.said import said, same
from progdoc.core.worked import Input, Rounding, Worked
from progdoc.model.description.masks import Mask
from progdoc.model.description.people import FitTest, Result
from progdoc.rules.lookup.facepieces import NEGATIVE_PRESSURE
from progdoc.rules.lookup.fit_protocols import fit_protocols, is_quantitative, protocol_steps, reading_counts

__all__ = [
    "fit_factor_of",
    "overall_factor",
    "passed",
    "readings_trouble",
    "supports_only_ten",
]


def readings_trouble(test: FitTest) -> str:
    """Return why the readings give no fit factor, in words; nothing where they do or where there are none.

    All readings of the protocol are needed, or all but the ones it does not count.
    """
    if not test.readings or test.protocol not in fit_protocols():
        return ""
    name = said(fit_protocols()[test.protocol]["name"])
    counts = reading_counts(test.protocol)
    if not counts:
        return said("%(name)s is passed or failed and has no readings", name=name)
    counted = sum(is_counted for _, is_counted in counts)
    if len(test.readings) not in (len(counts), counted):
        either = (
            f"{len(counts)}"
            if counted == len(counts)
            else said("%(n)s, or %(counted)s without the grimace,", n=len(counts), counted=counted)
        )
        return said("%(n)s readings are recorded; the protocol has %(either)s", n=len(test.readings), either=either)
    return said("a reading of 0 is no fit factor") if 0.0 in _counted(test) else ""


def _counted(test: FitTest) -> tuple[float, ...]:
    counts = [is_counted for _, is_counted in reading_counts(test.protocol or "")]
    if len(test.readings) != len(counts):  # the readings that do not count were left out of the record
        return test.readings
    return counted_readings(test.readings, counts)


def overall_factor(test: FitTest, person: str) -> Worked | None:
    """Return the overall fit factor of a test with its working, or None without readings that fit the protocol."""
    if not test.readings or test.protocol not in fit_protocols() or readings_trouble(test):
        return None
    counted = _counted(test)
    names = [name for name, is_counted in reading_counts(test.protocol) if is_counted]
    entry = fit_protocols()[test.protocol]
    total = same(" + ".join(f"1/{number_text(value, 'down', 9)}" for value in counted))
    return Worked(
        id=f"people.{person}.fit.{test.mask}.{test.date.isoformat()}",
        name=said("overall fit factor"),
        value=overall_fit_factor(counted),
        unit="",
        formula=said("number of counted readings ÷ Σ(1/FF) = %(n)s ÷ (%(total)s)", n=len(counted), total=total),
        inputs=tuple(Input(name, value, "", said("fit test")) for name, value in zip(names, counted, strict=True)),
        citation=protocol_steps(test.protocol),
        rounding=Rounding.DOWN,
        notes=(said("Harmonic mean: %(averaging_basis)s.", averaging_basis=said(entry["averaging_basis"])),),
    )


def fit_factor_of(test: FitTest) -> float | None:
    """Return the fit factor that decides: the readings' or the recorded one, whichever is smaller."""
    worked = overall_factor(test, "")
    known = [value for value in (test.fit_factor, worked.value if worked else None) if value is not None]
    return min(known, default=None)


def passed(test: FitTest, level: float) -> bool | None:
    """Return whether a fit test was passed at the level in force; None if neither result nor factor is given."""
    factor = fit_factor_of(test)
    if factor is not None:
        return factor > 0 and fit_test_is_passed(factor, level) and test.result is not Result.FAIL
    return None if test.result is None else test.result is Result.PASS


def supports_only_ten(test: FitTest, mask: Mask) -> bool:
    """Return whether the credit of a passed test ends at 10: not shown by an instrument, at negative pressure."""
    return mask.mode in NEGATIVE_PRESSURE and not is_quantitative(test.protocol or "")
