"""Edits of known effect: every one is seen, none is misjudged, and pure format makes no noise.

On each change a dozen kinds are tried once each; at night two hundred edits of all kinds, drawn anew.
"""

from __future__ import annotations

import random
from collections.abc import Iterator

import pytest
from comparison.edits import KINDS
from comparison.tried import Case, format_only, merged, sample, summary_of, version
from examples import TIMES

from progdoc.comparison.changes import Change, Direction

_ON_EACH_CHANGE = (
    "weaker_mask", "hazard_deleted_that_hid_a_long_schedule", "evidence_weakened", "level_now_known",
    "control_cut_down", "policy_loosened", "duty_turned", "emergency_turned_round",
    "pressure_dropped", "fact_dropped",
    "own_text_lets_people_in", "fit_tests_lost", "id_and_name_changed", "same_amount",
)  # fmt: skip
_AT_NIGHT = 200


def _tried() -> list[tuple[str, int]]:
    if TIMES == 1:
        return [(name, 0) for name in _ON_EACH_CHANGE]
    names = [kind.__name__ for kind in KINDS]
    return [(names[number % len(names)], number) for number in range(_AT_NIGHT)]


@pytest.mark.parametrize(("name", "number"), _tried())
def test_the_summary_tells_what_an_edit_does(name: str, number: int) -> None:
    seed = f"{name} {number}" if TIMES == 1 else random.SystemRandom().random()
    case = next(kind for kind in KINDS if kind.__name__ == name)(random.Random(seed))
    assert _misjudged(case) == [], (name, seed)


def _misjudged(case: Case) -> list[str]:
    """Return what the summary should have said and did not, and where it should have been silent."""
    summary = summary_of(version(case.old), version(case.new))
    missing = [
        f"{part}: {words}" for part, said in case.says.items() for words in said if words not in summary.part(part)
    ]
    noise = [summary.part(part) for part in case.is_silent_on if summary.part(part)]
    empty = ["not empty"] if case.is_empty and not summary.comparison.is_empty else []
    return [*missing, *noise, *empty]


def test_each_of_two_edits_is_named_for_what_it_did() -> None:
    """A cartridge kept past its life bars its mask (29 CFR 1910.134(d)(3)(iii)(B)(2)), whatever became of the air.

    At night, what one of two edits does alone is put down to it beside the other too, nineteen times of twenty.
    """
    new = sample()
    new["hazards"] = [hazard for hazard in new["hazards"] if hazard["id"] != "varnish-xylene"]
    plans = new["procedures"]["filter_changes"]["schedules"]
    next(plan for plan in plans if plan["id"] == "varnish-cartridges")["after"] = "6 h"
    summary = summary_of(version(sample()), version(new))
    causes = {change.what: [cause.place for cause in change.causes] for change in summary.comparison.meaning}
    assert causes["verdict on the mask"] == ["procedures.filter_changes.schedules.varnish-cartridges.after"]
    assert causes["protection factor needed"] == ["hazards.varnish-xylene"]
    told = [is_right for pair in range(30 if TIMES > 1 else 0) for is_right in _told_rightly(random.Random(pair))]
    assert told.count(False) * 20 <= len(told)


def _told_rightly(rng: random.Random) -> Iterator[bool]:
    """Yield, for all that one of two edits does alone and makes worse, whether it is put down to that one."""
    cases = [kind(rng) for kind in rng.sample(KINDS, 2)]
    both = merged(sample(), *(case.new for case in cases)) if all(case.old == sample() for case in cases) else None
    if both is None:
        return
    alone = [summary_of(version(sample()), version(case.new)).comparison for case in cases]
    known = [{_said(change) for change in one.meaning} for one in alone]
    for change in summary_of(version(sample()), version(both)).comparison.meaning:
        did = [one for one, said in zip(alone, known, strict=True) if _said(change) in said]
        if len(did) == 1 and change.direction is Direction.LESS and change.place != "program":
            edited = {place for edit in did[0].description for place in (edit.place, edit.was)}
            yield all(cause.place in edited for cause in change.causes)


def _said(change: Change) -> tuple[str, ...]:
    return change.place, change.what, change.old, change.new


def test_pure_format_is_no_change() -> None:
    """Comments, another order of the keys, other quotes and other files say the same."""
    plain, dressed = format_only(sample(), random.Random(7))
    assert summary_of(version(plain), version(dressed)).comparison.is_empty
