"""Edits of known effect: every one is seen, none is misjudged, and pure format makes no noise.

On each change a dozen kinds are tried once each; at night two hundred edits of all kinds, drawn anew.
"""

from __future__ import annotations

import random

import pytest
from comparison.edits import KINDS
from comparison.tried import Case, format_only, sample, summary_of, version
from examples import TIMES

_ON_EACH_CHANGE = (
    "weaker_mask", "hazard_deleted_that_hid_a_long_schedule", "evidence_weakened", "level_now_known",
    "control_cut_down", "policy_loosened", "duty_turned", "emergency_turned_round",
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


def test_pure_format_is_no_change() -> None:
    """Comments, another order of the keys, other quotes and other files say the same."""
    plain, dressed = format_only(sample(), random.Random(7))
    assert summary_of(version(plain), version(dressed)).comparison.is_empty
