"""What of a wearer's own papers counts on a day."""

from __future__ import annotations

from datetime import date
from itertools import permutations

import pytest

from progdoc.model.description.people import MedicalLimit, Person, Recommendation
from progdoc.rules.records.wearer_checks import latest_clearance

DAY = date(2026, 6, 1)
CLEARED = {"date": "2026-02-03", "recommendation": "cleared", "copy_given": "yes"}
LIMITED = {**CLEARED, "recommendation": "cleared-with-limits", "limits": ["no-scba"], "next_review": "2026-09-01"}
REFUSED = {**CLEARED, "recommendation": "not-cleared"}
PENDING = {**CLEARED, "follow_up_pending": "yes"}
OLDER = {**REFUSED, "date": "2025-02-03"}


def wearer(*medical: dict[str, object]) -> Person:
    return Person.model_validate({"id": "jo-marsh", "medical": list(medical)})


@pytest.mark.parametrize("entries", list(permutations([CLEARED, LIMITED, REFUSED, PENDING, OLDER])))
def test_contradicting_recommendations_of_one_day_all_bind_in_any_order(entries: tuple[dict[str, object], ...]) -> None:
    """29 CFR 1910.134(e)(6): nobody is cleared by writing the better of two answers first."""
    found = latest_clearance(wearer(*entries), DAY)
    assert found is not None
    assert found.recommendation is Recommendation.NOT_CLEARED
    assert found.limits == (MedicalLimit.NO_SCBA,)
    assert found.follow_up_pending
    assert found.next_review == date(2026, 9, 1)


def test_a_newer_recommendation_replaces_an_older_one_and_a_later_one_is_not_there_yet() -> None:
    found = latest_clearance(wearer(OLDER, CLEARED, {**REFUSED, "date": "2026-06-02"}), DAY)
    assert found is not None
    assert found.recommendation is Recommendation.CLEARED
    assert latest_clearance(wearer({**CLEARED, "date": "2026-06-02"}), DAY) is None
