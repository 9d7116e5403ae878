"""Programs nobody wrote: one of the programs here, with some patches on it, and days, figures and rules moved.

What comes out is understood, and little of it is in order: a property that is to hold of every program is tried on
these. Every change is one that a firm could type.
"""

from __future__ import annotations

import copy
from dataclasses import dataclass
from datetime import date, timedelta
from functools import cache
from typing import Any, cast

from catalogue.removals import steps_of
from hypothesis import assume
from hypothesis import strategies as st
from programs.patching import AS_OF, PROGRAMS, patches, read_as_text, written
from writers.docx_sample import drawing

from progdoc.app.check import Checked, check
from progdoc.model.load import load
from progdoc.rules.judged.result import Judged
from progdoc.rules.reading.catalogue import built_in_catalogue

__all__ = ["NAMES", "Generated", "checked_values", "programs", "put", "together"]

NAMES = ("base", "varnishing", "crypt-with-airline", "fire-fighting", "half-masks-by-choice", "everything-said")
Values = dict[str, Any]
_FIRMS = [("base",), *((name,) for name in NAMES), ("base", *NAMES[1:4])]
_OF_BASE = [entry for _, entry in patches() if "program" not in entry]

_DAYS = st.one_of(
    st.integers(-1, 1).map(lambda n: AS_OF + timedelta(days=n)),
    st.sampled_from([31, 92, 183, 365, 366]).map(lambda n: AS_OF - timedelta(days=n)),
    st.dates(date(2023, 1, 1), date(2027, 6, 30)),
).map(date.isoformat)
_INTERVALS = st.sampled_from(["1 week", "30 days", "1 month", "3 months", "6 months", "12 months", "24 months"])
_PASSES = st.sampled_from(["50", "100", "200", "500", "1000", "2000"])
_LEVELS = st.sampled_from(["0.5 ug/m3", "35 ug/m3", "120 ug/m3", "900 ug/m3", "4 mg/m3", "90 mg/m3"])
_POLICY_RULES: dict[str, st.SearchStrategy[Any]] = {
    "fit_test_interval": _INTERVALS,
    "training_interval": _INTERVALS,
    "evaluation_interval": _INTERVALS,
    "evidence_interval": _INTERVALS,
    "emergency_inspection_interval": _INTERVALS,
    "half_mask_pass": _PASSES,
    "full_facepiece_pass": _PASSES,
    "quantitative_only": st.just("yes"),
    "clean_shaven": st.just("yes"),
    "dust_masks": st.just("no"),
    "air_purifying": st.just("no"),
    "voluntary_use": st.just("no"),
    "least_filter": st.sampled_from(["N95", "R99", "P100"]),
    "least_oxygen": st.sampled_from(["19 %", "20 %", "20.9 %"]),
    "scba_service_time": st.sampled_from(["15 min", "30 min", "60 min"]),
    "mask_from": st.sampled_from(["10 %", "50 %"]),
    "cartridge_change": st.sampled_from(["1 h", "4 h", "8 h"]),
    "standby": st.sampled_from(["1", "2", "3"]),
    "carbon_monoxide": st.sampled_from(["1 ppm", "5 ppm", "20 ppm"]),
    "oil_in_air": st.sampled_from(["0.1 mg/m3", "1 mg/m3"]),
    "recharge_at": st.sampled_from(["80 %", "95 %"]),
    "protection_credits": st.just([{"facepiece": "half-mask", "most": "5"}]),
}

# Places of any program, and what may be typed there; a place that a program has not is passed over.
_MOVES: dict[str, st.SearchStrategy[Any]] = {
    "people[0].fit_tests[0].date": _DAYS,
    "people[1].fit_tests[0].date": _DAYS,
    "people[0].fit_tests[0].result": st.sampled_from(["pass", "fail"]),
    "people[0].fit_tests[0].protocol": st.sampled_from(["saccharin", "ambient-cnc", "own-way"]),
    "people[1].fit_tests[0].protocol": st.sampled_from(["saccharin", "controlled-negative-pressure"]),
    "people[1].fit_tests[0].fit_factor": _PASSES,
    "people[0].masks[0].size": st.sampled_from(["S", "L"]),
    "people[0].changes": st.tuples(_DAYS).map(lambda days: [{"date": days[0], "kind": "scar"}]),
    "people[0].training[0].date": _DAYS,
    "people[1].training[0].date": _DAYS,
    "people[0].appendix_d": st.tuples(_DAYS).map(lambda days: {"date": days[0], "how": "read out"}),
    "people[0].medical[0].date": _DAYS,
    "people[1].medical[0].next_review": _DAYS,
    "people[0].medical[0].reevaluate": st.just([{"date": "2026-05-11"}]),
    "people[0].medical[0].follow_up_pending": st.just("yes"),
    "people[0].medical[0].recommendation": st.sampled_from(["cleared", "not-cleared"]),
    "people[0].medical[0].limits": st.just(["no-negative-pressure"]),
    "people[0].hair_rule_accepted": _DAYS,
    "people[0].masks[1]": st.sampled_from([{"mask": "powered-mask", "size": "M"}, {"mask": "dust-mask"}]),
    "tasks[0].people": st.sampled_from([["jo-marsh"], ["ravi-stone"], ["jo-marsh", "ravi-stone"]]),
    "tasks[0].masks": st.sampled_from(
        [
            [{"mask": "half-mask"}],
            [{"mask": "half-mask", "filters": ["hepa-cartridge"]}],
            [{"mask": "dust-mask"}],
            [{"mask": "powered-mask", "filters": ["p100-disc"]}, {"mask": "dust-mask"}],
            [{"mask": "half-mask", "filters": ["p100-disc"]}, {"mask": "half-mask"}],
        ]
    ),
    "tasks[0].use": st.sampled_from(["required", "voluntary"]),
    "tasks[0].industry": st.sampled_from(["general", "construction", "shipyard"]),
    "tasks[0].immediately_dangerous": st.sampled_from(["yes", "no"]),
    "tasks[0].oxygen.lowest": st.sampled_from(["18 %", "19.5 %", "20 %", "20.9 %"]),
    "tasks[0].gear_clear_of_seal": st.just("no"),
    "tasks[1].use": st.sampled_from(["required", "voluntary"]),
    "tasks[1].required_by": st.just("Northbridge Trust"),
    "hazards[0].form": st.sampled_from(["dust", "fume", "mist", "vapour"]),
    "hazards[0].oil": st.sampled_from(["yes", "no"]),
    "hazards[0].exposure": st.just({"kind": "unknown"}),
    "hazards[0].exposure.results[0].date": _DAYS,
    "hazards[0].exposure.results[0].concentration": _LEVELS,
    "hazards[1].exposure.concentration": st.sampled_from(["0.2 mg/m3", "9 mg/m3", "400 mg/m3"]),
    "masks[0].withdrawn": st.tuples(_DAYS).map(lambda days: {"since": days[0], "because": "Recalled"}),
    "masks[0].facepiece": st.sampled_from(["full-facepiece", "quarter-mask", "half-mask", "hood"]),
    "masks[0].mode": st.sampled_from(["air-purifying", "powered", "airline-pressure-demand"]),
    "masks[0].emergency": st.just("yes"),
    "masks[0].escape_only": st.just("yes"),
    "masks[0].service_time": st.sampled_from(["15 min", "45 min"]),
    "masks[0].units[0].inspections[0].date": _DAYS,
    "masks[0].units[0].cylinder.requalify_by": _DAYS,
    "masks[2].built_in_filter": st.sampled_from(["N95", "P100"]),
    "filters[0].particulate": st.sampled_from(["N95", "R95", "P100"]),
    "filters[0].gases": st.just(["organic-vapour"]),
    "filters[0].approval": st.just("TC-84A-0009"),
    "procedures.fit_testing.interval": _INTERVALS,
    "procedures.fit_testing.half_mask_pass": _PASSES,
    "procedures.fit_testing.full_facepiece_pass": _PASSES,
    "procedures.fit_testing.protocols": st.sampled_from([["saccharin"], ["ambient-cnc"], ["irritant-smoke"]]),
    "procedures.fit_testing.adopt": st.just("(f)"),
    "procedures.use.hair": st.sampled_from(["clean-shaven", "clear-of-seal-and-valve"]),
    "procedures.use.adopt": st.just(["(g)(1)", "(g)(2)"]),
    "procedures.storage.adopt": st.just("(h)(2)"),
    "procedures.training.interval": _INTERVALS,
    "procedures.evaluation.interval": _INTERVALS,
    "procedures.evaluation.last": _DAYS,
    "procedures.evaluation.findings": st.tuples(_DAYS, _DAYS).map(
        lambda days: [
            {"id": "boxes", "date": days[0], "what": "Boxes missing", "correction": "Buy them", "due": days[1]}
        ]
    ),
    "procedures.inspection.emergency_interval": _INTERVALS,
    "procedures.inspection.scba_interval": _INTERVALS,
    "procedures.inspection.recharge_at": st.sampled_from(["80 %", "95 %"]),
    "procedures.emergencies.idlh.standby": st.sampled_from(["0", "1", "3"]),
    "procedures.air_supply.tested": _DAYS,
    "procedures.air_supply.test_interval": _INTERVALS,
    "procedures.air_supply.carbon_monoxide": st.sampled_from(["2 ppm", "8 ppm", "12 ppm"]),
    "procedures.filter_changes.schedules[0].after": st.sampled_from(["30 min", "4 h", "9 h"]),
    "procedures.filter_changes.schedules[0].reused": st.sampled_from(["yes", "no"]),
    "program.effective": _DAYS,
}


@cache
def _values_of(name: str) -> Values:
    values: Values = read_as_text((PROGRAMS / f"{name}.yaml").read_text(encoding="utf-8"))
    return values


def together(*names: str) -> Values:
    """Return several programs as one firm's: the first says what it says, the others add what it has not."""
    values = copy.deepcopy(_values_of(names[0]))
    for name in names[1:]:
        _add(values, copy.deepcopy(_values_of(name)))
    return values


def _add(values: Values, more: Values) -> None:
    for key, value in more.items():
        known = values.get(key)
        if known is None:
            values[key] = value
        elif isinstance(known, dict) and isinstance(value, dict):
            _add(known, value)
        elif isinstance(known, list) and value and isinstance(value[0], dict):
            ids = {one.get("id") for one in known}
            known += [one for one in value if one.get("id") not in ids]


def put(values: Any, path: str, value: Any) -> None:
    """Set a value where its place is described; leave everything as it is where it is not."""
    *way, last = steps = steps_of(path)
    for step, following in zip(way, steps[1:], strict=True):
        if isinstance(step, str) and isinstance(values, dict) and (step in values or isinstance(following, str)):
            values = values.setdefault(step, {})
        elif isinstance(step, int) and isinstance(values, list) and step < len(values):
            values = values[step]
        else:
            return
    if isinstance(values, dict) and isinstance(last, str):
        values[last] = value
    elif isinstance(values, list) and isinstance(last, int) and last <= len(values):
        values[last:] = [value, *values[last + 1 :]]


def _drop(values: Any, path: str) -> None:
    *way, last = steps_of(path)
    for step in way:
        if not isinstance(values, dict | list) or (isinstance(step, int) and step >= len(values)):
            return
        values = values[step] if isinstance(step, int) else values.get(step)
    if isinstance(values, dict):
        values.pop(last, None)


@st.composite
def _policies(draw: st.DrawFn, tasks: list[str]) -> Values:
    names = draw(st.lists(st.sampled_from(sorted(_POLICY_RULES)), min_size=1, max_size=4, unique=True))
    policy: Values = {"id": "host", "by": "Northbridge Trust", "source": "Site rules 4"}
    policy |= {name: draw(_POLICY_RULES[name]) for name in names}
    if draw(st.booleans()):
        policy["tasks"] = [draw(st.sampled_from(tasks))]
    return policy


@dataclass(frozen=True, slots=True)
class Generated:
    """A program of this folder, or several as one firm's, and what was changed in it: enough to make it again."""

    names: tuple[str, ...]
    put: tuple[tuple[str, Any], ...] = ()
    dropped: tuple[str, ...] = ()

    def values(self) -> Values:
        """Return its YAML, parsed, with every value as it is written."""
        values = together(*self.names)
        for place, value in self.put:
            put(values, place, copy.deepcopy(value))
        for place in self.dropped:
            _drop(values, place)
        return values

    def judged(self) -> Judged:
        """Judge it; what is not understood is no example."""
        judged = checked_values(self.values()).judged
        assume(judged is not None)
        return cast("Judged", judged)


@st.composite
def programs(draw: st.DrawFn) -> Generated:
    """Draw a program."""
    names = draw(st.sampled_from(_FIRMS))
    moved = draw(st.lists(st.sampled_from(sorted(_MOVES)), max_size=6, unique=True))
    put = [(place, draw(_MOVES[place])) for place in moved]
    dropped: list[str] = []
    for entry in draw(st.lists(st.sampled_from(_OF_BASE), max_size=2)) if names[0] == "base" else ():
        put += entry.get("set", {}).items()
        dropped += entry.get("drop", ())
    if draw(st.booleans()):
        put.append(("policies", [draw(_policies([task["id"] for task in together(*names)["tasks"]]))]))
    return Generated(names, tuple(put), tuple(dropped))


def checked_values(values: Values, on: date = AS_OF) -> Checked:
    """Check a description as a program does that holds it in memory."""
    files = {
        "program.yaml": written(values).encode(),
        "appendix-d.pdf": b"%PDF-1.7",
        "plan.png": drawing(),
        "look/look.yaml": b"paper: A4",
    }
    return check(load(files), on, built_in_catalogue())
