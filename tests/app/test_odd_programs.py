"""What `check` can judge `build` can write: an odd description is a user's fault or none, never one of the program."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest
from examples import TIMES, some
from programs.patching import AS_OF, patched, written

import progdoc

ACCEPTED = {"reason": "Booked", "by": "Ada Brook", "until": "2027-01-01"}
TWICE = {"mask": "half-mask", "filters": ["hepa-cartridge"]}
ODD: dict[str, dict[str, Any]] = {
    "one mask twice with different filters": {"set": {"tasks[0].masks[2]": TWICE}},
    "one mask twice with the same filters": {"set": {"tasks[0].masks[1]": {"mask": "half-mask"}}},
    "a code with a space": {"set": {"accepted": [{"code": "EXP 020", **ACCEPTED}]}},
    "one acceptance twice": {"set": {"accepted": [{"code": "EXP-012", **ACCEPTED}, {"code": "EXP-012", **ACCEPTED}]}},
    "a subject with a space": {"set": {"accepted": [{"code": "EXP-012", "subject": "tasks. x", **ACCEPTED}]}},
    "an interval before the first evaluation": {
        "set": {"procedures.evaluation.interval": "12 months"},
        "drop": ["procedures.evaluation.last"],
    },
    "every mask withdrawn": {
        "set": {f"masks[{i}].withdrawn": {"since": "2026-01-01", "because": "Recalled"} for i in range(3)}
    },
    "air without a hazard": {"drop": ["hazards"]},
}


DAYS = (date(2020, 1, 1), AS_OF)
# On each change every other one of them on one day; at night all on both.
TRIED = [(name, day) for i, name in enumerate(some(ODD, 2)) for day in (DAYS if TIMES > 1 else DAYS[i % 2 :: 2])]


@pytest.mark.parametrize(("name", "day"), TRIED)
def test_what_is_checked_is_built(name: str, day: date) -> None:
    loaded = progdoc.load({"program.yaml": written(patched(ODD[name])).encode()}, "program")
    checked = progdoc.check(loaded, on=day)
    assert checked.judged is not None
    assert "program.md" in progdoc.build(checked, ("md", "html") if TIMES > 1 else ("md",))
