"""A renewal that is under way: what its worksheet asks and nobody answered, and what is answered and not entered."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from progdoc.core.said import said, said_choice, said_join
from progdoc.model.description.renewal import RenewalPoint, RenewalQuestion
from progdoc.rules.check_result import CheckResult
from progdoc.rules.facts import Facts
from progdoc.rules.requirement import Subject

__all__ = ["RENEWAL_CHECKS"]

_OF_EVALUATIONS = (RenewalQuestion.EVALUATION, RenewalQuestion.OPEN_FINDINGS)
_NAMES_NOBODY = (RenewalQuestion.PEOPLE, RenewalQuestion.NEW_PEOPLE)  # its ids tell who works here
_NONE = said("No renewal is under way.")

Check = Callable[[Facts, Subject], CheckResult]


def _open_points(wanted: Callable[[RenewalPoint], bool]) -> Check:
    """Return a check that tells of every such point of the renewal; where no point is left there is nothing to show."""

    def check(facts: Facts, _subject: Subject) -> CheckResult:
        found = [(f"renewal[{i}]", point) for i, point in enumerate(facts.description.renewal) if wanted(point)]
        faults = tuple((path, {"topic": said_join(_topic(point), "")}) for path, point in found)
        return CheckResult(("renewal",), faults, nothing=_NONE)

    return check


def _topic(point: RenewalPoint) -> Iterator[str]:
    yield said_choice(point.question)
    if point.about:
        yield (
            said(" (%(n)s)", n=len(point.about))
            if point.question in _NAMES_NOBODY
            else said(" (%(about)s)", about=said_join(point.about, ", "))
        )


RENEWAL_CHECKS: dict[str, Check] = {
    "renewal-answered": _open_points(lambda p: not p.to_enter and p.question not in _OF_EVALUATIONS),
    "renewal-entered": _open_points(lambda p: bool(p.to_enter)),
    "renewal-evaluated": _open_points(lambda p: not p.to_enter and p.question in _OF_EVALUATIONS),
}
