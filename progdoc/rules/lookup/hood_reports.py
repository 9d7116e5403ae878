"""Whether the maker's report shows what a hood or helmet may be credited with: Table 1, note 4.

A name of a report, or praise of the hood, shows nothing. What shows it can be held against the rest: the model that was
tested, and the factor that was found.
"""

from __future__ import annotations

from collections.abc import Iterator

from progdoc.core.numbers import number_text
from progdoc.core.said import said, same
from progdoc.model.description.masks import Mask

__all__ = ["factor_shown", "hood_troubles"]


def factor_shown(mask: Mask) -> float:
    """Return the factor that the maker's report shows for this very hood: zero where one of its parts is missing."""
    report = mask.hood_report
    is_whole = report is not None and next(hood_troubles(mask, 0.0), None) is None
    return report.factor or 0.0 if is_whole and report is not None else 0.0


def hood_troubles(mask: Mask, least: float) -> Iterator[tuple[str, str]]:
    """Yield what keeps a report from showing a factor, each with its field below the mask."""
    report = mask.hood_report
    if report is None:
        yield "hood_report", said("no report of the maker's test is described")
        return
    for field in ("title", "by", "date", "tested_model", "factor"):
        if getattr(report, field) is None:
            yield f"hood_report.{field}", said("its report does not say `%(field)s`", field=same(field))
    if report.factor is not None and report.factor < least:
        found = number_text(report.factor, "down")
        yield (
            "hood_report.factor",
            said(
                "its report shows %(found)s, and the factor of %(least)s takes as much",
                found=found,
                least=number_text(least),
            ),
        )
    if report.tested_model and mask.model and _plain(report.tested_model) != _plain(mask.model):
        yield (
            "hood_report.tested_model",
            said(
                "its report is of “%(tested_model)s”, and this is “%(model)s”",
                tested_model=report.tested_model,
                model=mask.model,
            ),
        )
    if mask.hood_proven is not True:
        yield "hood_proven", said("nobody says that the report is at hand and shows it")


def _plain(text: str) -> str:
    return " ".join(text.casefold().replace("-", " ").split())
