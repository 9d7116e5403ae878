"""Words that point at nothing: each is found wherever such a word may stand, and no other is taken for one."""

from __future__ import annotations

import copy
import json
from collections.abc import Iterator
from datetime import date
from typing import Any

import pytest
from catalogue.removals import pattern_of, steps_of
from document.said_fields import judged_values
from examples import TIMES, some
from programs.patching import AS_OF, BASE, PROGRAMS, catalogue_of, patched, read_as_text, written

from progdoc.model.description.fields import every_place, field_at, said_in
from progdoc.model.load import load
from progdoc.rules.judged.result import Judged
from progdoc.rules.reading.catalogue import built_in_catalogue
from progdoc.rules.records.dangling_words import MAY_LIE_AHEAD

# Every day of the model, decided: something done or found, so that it can't lie ahead …
DONE = {
    "attachments[].date",
    "tasks[].masks[].found_absent",
    "calendar[].last_done",
    "cylinders[].inspections[].date",
    "cylinders[].purchased",
    "cylinders[].requalified",
    "filters[].service_data[].date",
    "hazards[].changes[].date",
    "hazards[].exposure.date",
    "hazards[].exposure.results[].date",
    "hazards[].peaks[].date",
    "masks[].hood_report.date",
    "masks[].units[].cylinder.purchased",
    "masks[].units[].cylinder.requalified",
    "masks[].units[].flow_tests[].date",
    "masks[].units[].inspections[].date",
    "masks[].units[].purchased",
    "masks[].units[].repairs[].done",
    "masks[].units[].repairs[].since",
    "masks[].units[].repairs[].tested",
    "program.translations_read[].date",
    "people[].appendix_d.date",
    "people[].changes[].date",
    "people[].fit_tests[].date",
    "people[].hair_rule_accepted",
    "people[].masks[].since",
    "people[].medical[].date",
    "people[].medical[].reevaluate[].date",
    "people[].has_read[].date",
    "people[].requested",
    "people[].consented",
    "people[].returned[].date",
    "people[].surveillance[].date",
    "people[].training[].date",
    "procedures.air_supply.compressor.tag_date",
    "procedures.air_supply.suppliers[].tested",
    "procedures.air_supply.tested",
    "procedures.cleaning.done[].date",
    "procedures.evaluation.consultations[].date",
    "procedures.evaluation.findings[].date",
    "procedures.evaluation.findings[].done",
    "procedures.evaluation.last",
    "procedures.filter_changes.done[].date",
    "procedures.filter_changes.schedules[].sources[].date",
    "tasks[].oxygen.date",
}
# … or a day that is set, planned or announced.
SET_AHEAD = {
    "accepted[].until",
    "cylinders[].end_of_life",
    "cylinders[].requalify_by",
    "cylinders[].withdrawn.since",
    "filters[].stock[].use_by",
    "masks[].units[].cylinder.end_of_life",
    "masks[].units[].cylinder.requalify_by",
    "masks[].units[].end_of_life",
    "masks[].units[].use_by",
    "masks[].units[].withdrawn.since",
    "masks[].withdrawn.since",
    "people[].left",
    "people[].medical[].next_review",
    "policies[].date",
    "procedures.evaluation.findings[].due",
    "program.control.next_review",
    "program.effective",
    "program.history[].date",
    "roles[].since",
}
TOMORROW = date(2026, 6, 2)
PROGRAM_NAMES = (
    "base",
    "everything-said",
    "campus-with-groups",
    "fire-fighting",
    "oil-free-compressor",
    "varnishing",
    "crypt-with-airline",
    "fire-brigade",
)
AHEAD = {"REF-003", "REF-004", "REF-005", "EXP-026"}
ABOUT_DAYS = catalogue_of(AHEAD)


def values_of(name: str) -> dict[str, Any]:
    values: dict[str, Any] = read_as_text((PROGRAMS / f"{name}.yaml").read_text(encoding="utf-8"))
    return values


def is_a_day(place: str) -> bool:
    field = field_at(place)
    return field is not None and isinstance(field.read("2026-06-01"), date)


def test_every_day_of_the_model_is_decided() -> None:
    assert {place for place in every_place() if is_a_day(place)} == DONE | SET_AHEAD
    assert set(MAY_LIE_AHEAD) == SET_AHEAD
    assert not DONE & SET_AHEAD


def days_in(values: dict[str, Any]) -> Iterator[str]:
    program = load({"program.yaml": written(values).encode(), "appendix-d.pdf": b"%PDF-1.7"}).program
    assert program is not None
    yield from (path for path, value in said_in(program) if isinstance(value, date))


def with_day(values: dict[str, Any], path: str, day: date) -> dict[str, Any]:
    changed = copy.deepcopy(values)
    place: Any = changed
    *way, last = steps_of(path)
    for step in way:
        place = place[step]
    place[last] = day.isoformat()
    return changed


def found_ahead(values: dict[str, Any], path: str) -> list[str]:
    """Return the codes that tell of a day to come, at its place or at that of the evidence it belongs to."""
    findings = [f for f in judged_values(values, ABOUT_DAYS).findings if f.code in AHEAD]
    return [f.code for f in findings if f.location.path == path or (f.code == "EXP-026" and path.startswith("hazards"))]


def every_day() -> list[tuple[str, str]]:
    """Return a program and place for every kind of day; evidence in each of its forms, for our work and others'."""
    found: dict[tuple[str, str], tuple[str, str]] = {}
    for name in PROGRAM_NAMES:
        values = values_of(name)
        for path in days_in(values):
            kind = ""
            if path.startswith("hazards"):
                hazard = values["hazards"][steps_of(path)[1]]
                task = next(one for one in values["tasks"] if one["id"] == hazard["task"])
                kind = f"{hazard['exposure']['kind']} {task.get('done_by')}"
            found.setdefault((pattern_of(path), kind), (name, path))
    return list(found.values())


EVERY_DAY = every_day()


def test_every_kind_of_day_is_tried() -> None:
    assert {pattern_of(path) for _, path in EVERY_DAY} == DONE | SET_AHEAD


@pytest.mark.parametrize(("name", "path"), some(EVERY_DAY, 2))
def test_what_was_done_can_t_lie_ahead_and_what_is_planned_may(name: str, path: str) -> None:
    values = values_of(name)
    assert found_ahead(with_day(values, path, AS_OF), path) == []
    told = found_ahead(with_day(values, path, TOMORROW), path)
    assert bool(told) is (pattern_of(path) in DONE)
    assert len(told) == len(set(told)) <= 1


def test_evidence_about_the_work_of_others_can_t_lie_ahead_either() -> None:
    values = patched({"set": {"tasks[0].done_by": "others", "tasks[0].people": []}})
    path = "hazards[0].exposure.results[0].date"
    assert found_ahead(with_day(values, path, TOMORROW), path) == ["REF-003"]


def test_days_of_people_are_told_to_the_officer_alone() -> None:
    values = with_day(BASE, "people[0].training[0].date", TOMORROW)
    (finding,) = [f for f in judged_values(values).findings if f.code == "REF-004"]
    assert (finding.audience.value, finding.scope.value, finding.severity.value) == ("restricted", "record", "required")


# ---- accepted -----------------------------------------------------------------------------------------


def accepting(*named: tuple[str, str | None]) -> list[list[tuple[str, str]]]:
    """Return what is told of each entry of a list that accepts codes, or those of one subject."""
    entry = {"reason": "Ordered", "by": "Ada Brook", "until": "2026-12-31"}
    entries = [{"code": code, **entry, **({"subject": about} if about else {})} for code, about in named]
    findings = judged_values(patched({"set": {"accepted": entries}})).findings
    told = [(f.location.path, f.code, f.what) for f in findings if f.code in ("REF-001", "REF-002")]
    return [[(code, what) for path, code, what in told if f"[{number}]" in path] for number in range(len(entries))]


def test_every_code_there_is_may_be_named_and_no_other() -> None:
    codes = [requirement.code for requirement in built_in_catalogue().requirements[:: 1 if TIMES > 1 else 40]]
    assert accepting(*((code, None) for code in codes)) == [[]] * len(codes)
    for code, told in zip(codes, accepting(*((f"{c[:3]} {c[4:]}", None) for c in codes)), strict=True):
        ((found, what),) = told
        assert found == "REF-001" and f"did you mean `{code}`?" in what
    assert "did you mean" not in accepting(("whatever it was", None))[0][0][1]


def test_everything_a_finding_is_about_may_be_named_and_nothing_else() -> None:
    judged: Judged = judged_values(patched({}))
    subjects = {name for verdict in judged.verdicts for name in verdict.subject.ids}
    assert {name.partition(".")[0] for name in subjects} >= {"tasks", "hazards", "masks", "filters", "people"}
    names = sorted(subjects)
    assert accepting(*(("MSK-008", name) for name in names)) == [[]] * len(names)
    *wrong, (bare,) = accepting(*(("MSK-008", f"{name}x") for name in names), ("MSK-008", "half-mask"))
    for name, told in zip(names, wrong, strict=True):
        ((found, what),) = told
        assert found == "REF-002" and f"did you mean `{name}`?" in what
    assert bare[0] == "REF-002"


@pytest.mark.parametrize(
    ("until", "is_accepted"),
    [("2026-06-01", True), ("2027-06-01", True), ("2027-06-02", False), ("2099-01-01", False), ("2026-05-31", False)],
)
def test_a_caution_is_put_away_for_a_year_at_the_most(until: str, is_accepted: bool) -> None:
    """Judged on 2026-06-01; the evidence on lead has no day, which is a caution."""
    entry = {"code": "EXP-020", "subject": "hazards.sash-lead", "reason": "Booked", "by": "Ada Brook", "until": until}
    values = patched({"set": {"accepted": [entry]}, "drop": ["hazards[0].exposure.results[0].date"]})
    found = judged_values(values).findings
    assert [bool(one.accepted) for one in found if one.code == "EXP-020"] == [is_accepted]
    assert bool([one for one in found if one.code == "PRG-075"]) is (until > "2027-06-01")


# ---- sizes, masks, policies ---------------------------------------------------------------------------


@pytest.mark.parametrize("person", [0, 1])
def test_every_size_that_is_worn_is_one_in_stock(person: int) -> None:
    issued = BASE["people"][person]["masks"][0]
    sizes = next(mask["sizes"] for mask in BASE["masks"] if mask["id"] == issued["mask"])
    for size in [*sizes, "XXL"]:
        values = patched({"set": {f"people[{person}].masks[0].size": size}})
        told = [f.what for f in judged_values(values, catalogue_of({"REF-006"})).findings if f.code == "REF-006"]
        assert bool(told) is (size == "XXL")


def policy(**said: Any) -> list[tuple[str, str]]:
    values = patched({"set": {"policies": [{"id": "host", "by": "Diocese", "source": "Rules", **said}]}})
    found = judged_values(json.loads(json.dumps(values)), catalogue_of({"REF-008", "REF-009"})).findings
    return [(f.code, f.location.path) for f in found if f.code in ("REF-008", "REF-009")]


def test_a_policy_that_asks_nothing_binds_nobody() -> None:
    for where in ({}, {"tasks": ["sort-books"]}, {"agents": ["lead"]}, {"date": "2026-01-15"}):
        assert policy(**where) == [("REF-009", "policies[0]")], where
        assert policy(**where, clean_shaven="yes") == [], where


@pytest.mark.parametrize(
    ("agent", "is_known"),
    [("lead", True), ("Lead", True), ("toluene", True), ("7439-92-1", True), ("leed", False), ("7439-92-2", False)],
)
def test_an_agent_is_one_of_a_hazard_or_of_a_table(agent: str, is_known: bool) -> None:
    assert policy(agents=["toluene", agent], clean_shaven="yes") == (
        [] if is_known else [("REF-008", "policies[0].agents[1]")]
    )


def test_an_agent_that_only_a_hazard_knows_is_known() -> None:
    values = patched({"set": {"hazards[1].agent": "book mites", "policies": [
        {"id": "host", "by": "Diocese", "source": "Rules", "agents": ["Book mites", "book mights"]}
    ]}})  # fmt: skip
    (told,) = [f for f in judged_values(values).findings if f.code == "REF-008"]
    assert told.location.path == "policies[0].agents[1]"
    assert "did you mean `book mites`?" in told.what and "Diocese" in told.citation


@pytest.mark.parametrize("facepiece", ["half-mask", "hood", "helmet", "full-facepiece", "filtering-facepiece"])
def test_a_kind_of_mask_that_the_firm_lacks_is_told(facepiece: str) -> None:
    has = any(mask["facepiece"] == facepiece for mask in BASE["masks"])
    told = policy(protection_credits=[{"facepiece": facepiece, "most": "5"}])
    assert told == ([] if has else [("REF-009", "policies[0].protection_credits[0]")])
