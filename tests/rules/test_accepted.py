"""What is accepted is a finding as it stood: where it rests on something else, it is open again."""

from __future__ import annotations

from typing import Any

import pytest
from examples import some
from programs.patching import AS_OF, catalogue_of, patched, patches, written

from progdoc.core.diagnostics import Diagnostic, Severity
from progdoc.model.load import load
from progdoc.rules.judge import judge
from progdoc.rules.reading.catalogue import built_in_catalogue

SOFT = {r.code for r in built_in_catalogue().requirements if r.severity is not Severity.REQUIRED}
OF_ACCEPTING = {"PRG-075", "PRG-079", "PRG-080", "REF-001", "REF-002"}  # these are of the entries themselves
GAPS = [
    (code, entry)
    for code, entry in patches()
    if entry["expect"] == "gap" and code in SOFT - OF_ACCEPTING and "day" not in entry
]
SIGNED = {"reason": "Booked for the spring", "by": "Ada Brook", "until": "2026-09-30"}


def _found(code: str, values: dict[str, Any], *accepted: dict[str, str]) -> list[Diagnostic]:
    program = {**values, "accepted": list(accepted)} if accepted else values
    loaded = load({"program.yaml": written(program).encode()})
    assert not loaded.diagnostics
    found = judge(loaded, catalogue_of({code}, loaded.program), AS_OF)
    return [finding for finding in found.findings if finding.code == code]


def _subject_of(finding: Diagnostic) -> dict[str, str]:
    return {"subject": finding.subject[-1]} if finding.subject else {}


@pytest.mark.parametrize(("code", "entry"), some(GAPS, 12), ids=[code for code, _ in some(GAPS, 12)])
def test_an_acceptance_is_of_the_ground_that_it_names(code: str, entry: dict[str, Any]) -> None:
    values = patched(entry)
    (first, *_) = _found(code, values)
    about = {"code": code, **SIGNED} | _subject_of(first)
    own = about | ({"ground": first.ground} if first.ground else {})
    (same, *_) = _found(code, values, own)
    assert same.accepted and same.what == first.what
    for ground in ("", "it was not there a year ago"):
        (other, *_) = _found(code, values, about | ({"ground": ground} if ground else {}))
        assert bool(other.accepted) == (ground == first.ground), (code, ground)
        assert other.accepted or ("Accepted was another ground" in other.fix and first.ground in other.fix)


def test_what_was_missing_and_what_is_said_against_it_are_two_grounds() -> None:
    """A hood without a report, with one of another model, with a yes that is a no: one acceptance for each."""
    hood = {"facepiece": "hood", "mode": "powered", "model": "A-12"}
    report = {"title": "Study 7", "by": "Osterby", "date": "2025-09-01", "tested_model": "A-12", "factor": "1200"}
    told = {
        "none": {},
        "of another model": {"hood_report": {**report, "tested_model": "B-40"}, "hood_proven": "yes"},
        "said not to show it": {"hood_report": report, "hood_proven": "no"},
        "shows less": {"hood_report": {**report, "factor": "400"}, "hood_proven": "yes"},
    }
    programs = {
        name: patched({"set": {f"masks[1].{field}": value for field, value in {**hood, **more}.items()}})
        for name, more in told.items()
    }
    grounds = {name: [one.ground for one in _found("MSK-008", values)] for name, values in programs.items()}
    assert all(grounds.values()), grounds
    for was in grounds:
        accepted = [
            {"code": "MSK-008", "ground": one.ground, **_subject_of(one), **SIGNED}
            for one in _found("MSK-008", programs[was])
        ]
        for name, values in programs.items():
            is_open = [not one.accepted for one in _found("MSK-008", values, *accepted)]
            assert any(is_open) is (name != was), (was, name)
        assert not any(one.accepted for one in _found("MSK-008", programs[was], {"code": "MSK-008", **SIGNED}))


def test_every_code_that_may_stand_on_several_grounds_tells_them_apart() -> None:
    """Two patches by which one code stands in other words about one subject have two grounds."""
    for code, entry in some(GAPS, 12):
        others = [other for other_code, other in GAPS if other_code == code and other is not entry]
        for other in others:
            for one in _found(code, patched(entry)):
                for two in _found(code, patched(other)):
                    if one.subject == two.subject and one.what != two.what:
                        assert one.ground != two.ground, (code, one.what, two.what)


def test_an_acceptance_without_a_subject_covers_no_thing_that_may_be_followed_by_another() -> None:
    """What is about a task, a hazard, a mask or a person is accepted for that one: the next one is looked at again."""
    for code, entry in some(GAPS, 36):
        values = patched(entry)
        for one in _found(code, values):
            own = {"code": code, **SIGNED} | ({"ground": one.ground} if one.ground else {})
            (same, *_) = [other for other in _found(code, values, own) if other.what == one.what]
            assert bool(same.accepted) is not bool(one.subject), (code, one.subject)
            assert not one.subject or f"`subject: {one.subject[-1]}`" in same.fix


def test_an_acceptance_that_covers_nothing_is_told() -> None:
    """Of every code: what covers its finding is silent; another ground, and a code that nothing has, are told."""
    for code, entry in some(GAPS, 36):
        values = patched(entry)
        (first, *_) = _found(code, values)
        own = {"code": code, **SIGNED} | _subject_of(first) | ({"ground": first.ground} if first.ground else {})
        assert not _idle(code, values, own), code
        assert _idle(code, values, own | {"ground": "it was not there a year ago"}) == ["accepted[0].code"], code
        others = {"code": next(other for other in sorted(SOFT) if other != code), **SIGNED}
        assert _idle(code, values, own, others) == ["accepted[1].code"], code
        assert not _idle(code, values, {**others, "until": "2026-05-31"}), code  # over: it covers nothing any more


def test_what_is_required_is_not_accepted_and_that_is_told() -> None:
    (code, entry) = next((code, entry) for code, entry in patches() if entry["expect"] == "gap" and code == "PRG-030")
    assert _idle(code, patched(entry), {"code": code, **SIGNED}) == ["accepted[0].code"]


def _idle(code: str, values: dict[str, Any], *accepted: dict[str, str]) -> list[str]:
    loaded = load({"program.yaml": written({**values, "accepted": list(accepted)}).encode()})
    assert not loaded.diagnostics
    codes = {code, "PRG-080", *(one["code"] for one in accepted)}
    found = judge(loaded, catalogue_of(codes, loaded.program), AS_OF)
    return [finding.location.path for finding in found.findings if finding.code == "PRG-080"]
