"""What of a wearer's own papers counts on a day."""

from __future__ import annotations

from datetime import date
from itertools import permutations

import pytest
from document.said_fields import judged_values
from programs.patching import catalogue_of, checked_by, patched

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


def test_contradicting_recommendations_of_one_day_all_bind_in_any_order() -> None:
    """29 CFR 1910.134(e)(6): nobody is cleared by writing the better of two answers first."""
    for entries in permutations([CLEARED, LIMITED, REFUSED, PENDING, OLDER]):
        found = latest_clearance(wearer(*entries), DAY)
        assert found is not None, entries
        assert found.recommendation is Recommendation.NOT_CLEARED, entries
        assert found.limits == (MedicalLimit.NO_SCBA,), entries
        assert found.follow_up_pending, entries
        assert found.next_review == date(2026, 9, 1), entries


def test_records_come_newest_first_and_keep_their_numbers_when_the_day_moves() -> None:
    """The later one of 2026-07-01 is the first of all; on 2026-06-01 it is not there yet."""
    days = ("2025-02-17", "2026-07-01", "2026-02-17")
    changed = patched({})
    changed["people"][0] |= {
        "medical": [{**CLEARED, "date": day} for day in days],
        "fit_tests": [{"date": day, "mask": "half-mask"} for day in days],
        "training": [{"date": day} for day in days],
    }
    found = judged_values(changed, catalogue_of(())).records_of("jo-marsh")
    wanted = [(2, date(2026, 2, 17)), (3, date(2025, 2, 17))]
    assert [(number, entry.date) for number, entry in found.medical] == wanted
    assert [(number, entry.date) for number, entry in found.training] == wanted
    assert [(record.number, record.test.date) for record in found.fit_tests] == wanted


def test_a_newer_recommendation_replaces_an_older_one_and_a_later_one_is_not_there_yet() -> None:
    found = latest_clearance(wearer(OLDER, CLEARED, {**REFUSED, "date": "2026-06-02"}), DAY)
    assert found is not None
    assert found.recommendation is Recommendation.CLEARED
    assert latest_clearance(wearer({**CLEARED, "date": "2026-06-02"}), DAY) is None


LANGUAGES = catalogue_of(("TRN-015",))


def languages(spoken: str, training: str, questions: str) -> list[str]:
    said = {"procedures.training.understandable": training, "procedures.medical.understood": questions}
    checked = checked_by(LANGUAGES, patched({"set": {**said, "people[0].training[0].language": spoken}}))
    found = [d for d in checked.report.findings if d.code == "TRN-015" and d.subject == ("people.jo-marsh",)]
    return [d.location.path.rpartition(".")[2] for d in found]


@pytest.mark.parametrize(
    ("spoken", "training", "questions", "asked"),
    [
        ("Spanish", "In English", "English forms only", ["understandable", "understood"]),
        ("Spanish", "In English and Spanish", "English forms only", ["understood"]),
        ("Polish and English", "In English", "English forms only", []),
        ("Spanish", "In English, with an interpreter", "English forms, translated on request", []),
        ("Spanish", "By showing", "The practice reads it aloud", []),
        ("spanish", "SPANISH", "Spanish forms", []),
        ("Plain words", "In English", "English forms only", []),
    ],
)
def test_a_wearer_is_spoken_to_in_a_language_of_theirs(
    spoken: str, training: str, questions: str, asked: list[str]
) -> None:
    assert languages(spoken, training, questions) == asked


def test_a_mask_is_asked_of_a_wearer_only_for_tasks_that_name_one() -> None:
    for dropped in ([], ["tasks[1].masks"]):
        people = {f"tasks[{i}].people": ["jo-marsh"] for i in (0, 1)}
        values = patched({"set": {**people, "tasks[1].use": "required"}, "drop": dropped})
        found = judged_values(values, catalogue_of({"PRG-004"})).verdicts
        assert [v.status for v in found if v.subject.ids == ("people.jo-marsh",)] == ["met"]
