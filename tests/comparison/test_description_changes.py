"""Changes of a description, by id. All expectations are about the base program and edits named in each test."""

from __future__ import annotations

from typing import Any

import pytest
from comparison.trial import base, descriptions, program_of
from examples import examples
from hypothesis import given

from progdoc.comparison.changes import Change, Kind, mirrored
from progdoc.comparison.description_changes import changed_descriptions


def _changes(old: Any, new: Any) -> tuple[Change, ...]:
    return changed_descriptions(program_of(old), program_of(new))


def _told(changes: tuple[Change, ...]) -> list[tuple[str, str, str, str]]:
    return [(change.kind, change.place, change.old, change.new) for change in changes]


@examples(40)
@given(descriptions())
def test_nothing_changed_between_a_description_and_itself(values: Any) -> None:
    assert _changes(values, values) == ()


@examples(60)
@given(descriptions(), descriptions())
def test_the_other_way_round_is_the_mirror_image(old: Any, new: Any) -> None:
    assert mirrored(_changes(old, new)) == _changes(new, old)


def test_units_equal_in_value_are_no_change() -> None:
    old, new = base(), base()
    old["hazards"][1]["exposure"]["concentration"] = "0.05 mg/m3"
    new["hazards"][1]["exposure"]["concentration"] = "50 ug/m3"
    assert _changes(old, new) == ()
    new["hazards"][1]["exposure"]["concentration"] = "51 ug/m3"
    place = "hazards.book-dust.exposure.concentration"
    assert _told(_changes(old, new)) == [(Kind.FIGURE_CHANGED, place, "0.05 mg/m3", "51 ug/m3")]


def test_another_order_is_one_move_and_nothing_else() -> None:
    new = base()
    new["tasks"].reverse()
    new["people"].reverse()
    assert _told(_changes(base(), new)) == [
        (Kind.MOVED, "tasks", "scrape-sashes, sort-books", "sort-books, scrape-sashes")
    ]


def test_another_id_for_the_same_task_is_a_rename() -> None:
    new = base()
    new["tasks"][0]["id"] = "scraping"
    new["hazards"][0]["task"] = "scraping"
    changes = _changes(base(), new)
    assert _told(changes) == [(Kind.RENAMED, "tasks.scraping", "scrape-sashes", "scraping")]
    assert changes[0].was == "tasks.scrape-sashes"


def test_another_name_for_the_same_task_is_a_change_of_its_name() -> None:
    new = base()
    new["tasks"][0]["name"] = "Stripping sash windows"
    assert _told(_changes(base(), new)) == [
        (Kind.REWORDED, "tasks.scrape-sashes.name", "Scraping sash windows", "Stripping sash windows")
    ]


def test_what_was_put_in_and_taken_out() -> None:
    new = base()
    del new["people"][1]
    new["tasks"][0]["people"] = ["jo-marsh"]
    new["policies"] = [{"id": "host", "by": "Northbridge Diocese", "source": "Rules 2026", "quantitative_only": "yes"}]
    assert _told(_changes(base(), new)) == [
        (Kind.REMOVED, "people.ravi-stone", "Ravi Stone", ""),
        (Kind.ADDED, "policies.host", "", "Rules 2026"),
        (Kind.REMOVED, "tasks.scrape-sashes.people", "ravi-stone", ""),
    ]


@pytest.mark.parametrize("limits", [["powered-mask-only"], ["no-scba"]])
def test_a_medical_entry_is_never_repeated(limits: list[str]) -> None:
    new = base()
    new["people"][0]["medical"][0].update(recommendation="cleared-with-limits", limits=limits)
    changes = _changes(base(), new)
    assert [(change.old, change.new, change.is_restricted) for change in changes] == [("", "", True)]


def test_what_names_workers_is_restricted() -> None:
    new = base()
    new["people"][0]["job"] = "Mason"
    new["tasks"][0]["people"] = ["jo-marsh"]
    new["renewal"] = [{"question": "people", "about": ["ravi-stone"]}]
    assert [change.is_restricted for change in _changes(base(), new)] == [True, True, True]
