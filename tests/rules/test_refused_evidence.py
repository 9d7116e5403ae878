"""A refusal in the place of evidence is silence: no factor, no life, no air and no record rests on it."""

from __future__ import annotations

import copy
from typing import Any

import pytest
from catalogue.removals import pattern_of, steps_of
from examples import TIMES, some
from programs.patching import PROGRAMS, catalogue_of, checked_by, patched, read_as_text, written
from published_value import published

from progdoc.model.description.fields import texts_in
from progdoc.model.description.masks import Filter
from progdoc.model.description.program import Program
from progdoc.model.load import load
from progdoc.rules.judged.due_results import Kind
from progdoc.rules.judged.result import Judged
from progdoc.rules.lookup.cartridges import is_approved_for
from progdoc.rules.lookup.substances import find_substance
from progdoc.rules.reading.catalogue import built_in_catalogue
from progdoc.rules.refused_evidence import without_refused_evidence

REFUSALS = ("none", "no", "nobody", "None; the owner decides", "has not come", "tbd")
EMPTY = ("see above", "as needed", "we comply with OSHA")  # they say that there is an answer, and give none


def judged(entry: dict[str, Any], *codes: str) -> Judged:
    """Judge what a change makes of the base program, by all codes or by those that are named."""
    found = checked_by(catalogue_of(codes) if codes else built_in_catalogue(), patched(entry))
    assert found.judged is not None, found.report.findings
    return found.judged


def required(found: Judged) -> set[str]:
    return {d.code for d in found.findings if d.severity == "required"}


@pytest.mark.parametrize("words", [*some(REFUSALS, 3), *some(EMPTY, 2)])
def test_every_evidence_of_everything_said_is_silence_when_it_refuses(words: str) -> None:
    """Every free text about things, air and records, one after another; what it rests on falls, or it is told."""
    values = read_as_text((PROGRAMS / "everything-said.yaml").read_text(encoding="utf-8"))
    loaded = load({"program.yaml": _written(values)})
    assert loaded.program is not None
    evidence = ("hood_evidence", "title", "approval", "acts_elsewhere", "basis", "guidance", "source", "data",
                "reliance", "confirmed_by", "tester", "environmental_rule", "is_shown_by", "read_when")  # fmt: skip
    roots = ("masks", "filters", "hazards", "tasks", "people", "procedures.filter_changes.schedules")
    tried = 0
    for path, _ in texts_in(loaded.program):
        if not path.startswith(roots) or pattern_of(path).rpartition(".")[2] not in evidence:
            continue
        changed = load({"program.yaml": _written(_put(values, path, words))}).program
        assert changed is not None
        cleaned, refused = without_refused_evidence(changed)
        assert path in {place for place, _ in refused}, path
        assert (path, words) not in set(texts_in(cleaned))
        tried += 1
    assert tried > 15


def _written(values: Any) -> bytes:
    return written(values).encode()


def _put(values: Any, path: str, words: str) -> Any:
    changed = copy.deepcopy(values)
    *way, last = steps_of(path)
    place = changed
    for step in way:
        place = place[step]
    place[last] = words
    return changed


@pytest.mark.parametrize("words", some(REFUSALS[1:], 3))
def test_a_hood_without_evidence_has_the_factor_of_a_loose_one(words: str) -> None:
    """29 CFR 1910.134(d)(3)(i)(A), Table 1, note 4: 1,000 only with the maker's evidence, else 25."""
    report = {"by": "Northbridge Test House", "date": "2024-03-04", "tested_model": "A-12", "factor": "1200"}
    hood = {"masks[0].facepiece": "hood", "masks[0].mode": "powered", "masks[0].hood_proven": "yes"}
    hood["masks[0].model"] = "A-12"
    factors = {
        said: judged({"set": hood | {"masks[0].hood_report": report | ({"title": said} if said else {})}})
        .selection.masks["scrape-sashes", "half-mask"]
        .credit.apf
        for said in ("Report 12 of the maker", words, "")
    }
    assert list(factors.values()) == [1000.0, 25.0, 25.0]


@pytest.mark.parametrize("words", some(REFUSALS[2:], 3))
def test_no_is_no_reason_to_leave_an_agent_out_of_the_mixture(words: str) -> None:
    level = {"kind": "samples", "results": [{"concentration": "60 ppm", "duration": "480 min", "date": "2026-02-10"}]}
    second = {"id": "second", "task": "scrape-sashes", "agent": "xylene", "form": "vapour"}
    first = {"hazards[0].agent": "toluene", "hazards[0].form": "vapour", "hazards[0].exposure": level}
    nothing_named = "It is another solvent"  # an organ or an effect is what the reason has to name
    for said, is_summed in (("Acts on the blood, not as a solvent", False), (nothing_named, True), (words, True)):
        found = judged(
            {"set": {**first, "hazards[2]": {**second, "acts_elsewhere": said, "exposure": copy.deepcopy(level)}}}
        )
        assert (found.selection.air["scrape-sashes"].mixture is not None) is is_summed


@pytest.mark.parametrize("words", some(REFUSALS, 3))
def test_air_that_nobody_judged_is_unjudged(words: str) -> None:
    """29 CFR 1910.134(d)(1)(iii): without a reasonable estimate the air is immediately dangerous."""
    estimate = {"kind": "estimate", "concentration": "20 ug/m3", "by": "A. Hygienist", "basis": "Volume used"}
    for field in ("by", "basis"):
        found = judged({"set": {"hazards[0].exposure": {**estimate, field: words}}}, "EXP-001", "SEL-001")
        assert {"EXP-001", "SEL-001"} <= required(found)


@pytest.mark.parametrize("approval", ["EN 140", "TC-84A-0000 revoked 2019", "TC-84A-0000 (expired)", "CE 0121"])
def test_a_mask_without_an_approval_of_niosh_protects_nobody(approval: str) -> None:
    """29 CFR 1910.134(d)(1)(ii)."""
    found = judged({"set": {"masks[0].approval": approval}}, "MSK-004")
    assert "MSK-004" in required(found)
    assert not found.selection.masks["scrape-sashes", "half-mask"].is_adequate


@pytest.mark.parametrize(
    ("gases", "agent", "stops"),
    [
        (["organic-vapour"], "carbon monoxide", False), (["organic-vapour"], "ammonia", False),
        (["ammonia"], "toluene", False), (["acid-gas"], "mercury", False),
        (["carbon-monoxide"], "carbon monoxide", True),
        (["organic-vapour"], "toluene", True), (["multi-gas"], "ammonia", True), ([], "ammonia", True),
    ],
)  # fmt: skip
def test_a_label_names_nothing_that_the_class_of_the_cartridge_does_not_hold(
    gases: list[str], agent: str, stops: bool
) -> None:
    part = Filter.model_validate({"id": "c", "gases": gases, "agents": [agent]})
    assert is_approved_for(part, agent, find_substance(agent)) is stops


def _judgment(by: str, guidance: str) -> Judged:
    exposure = {"kind": "judgment", "by": by, "guidance": guidance, "needed_apf": "10", "date": "2026-02-10"}
    told = {"hazards[0].agent": "bird droppings", "hazards[0].limit": "none published", "hazards[0].exposure": exposure}
    return judged({"set": told})


@pytest.mark.parametrize("words", ["My own feeling", "Long experience", "Gut feeling", "A hunch", "Common sense"])
def test_a_feeling_is_no_guidance(words: str) -> None:
    found = _judgment("Clearfield Hygiene", words)
    assert {"EXP-001", "TXT-001"} <= required(found)
    assert found.selection.air["scrape-sashes"].is_immediately_dangerous


@pytest.mark.parametrize(
    ("by", "guidance", "places"),
    [
        ("A helper of the firm", "House rule", {"guidance", "by"}),
        ("Clearfield Hygiene", "What is usual in the trade", {"guidance"}),
        ("The apprentice", "NIOSH 2005-109", {"by"}),
        ("Clearfield Hygiene", "NIOSH 2005-109, table 1", set()),
        ("Ada Brook, industrial hygienist, with a helper", "Advice of an occupational physician", set()),
        ("Clearfield Hygiene", "The maker's letter on this mould", set()),
    ],
)
def test_a_judgment_names_what_it_rests_on(by: str, guidance: str, places: set[str]) -> None:
    told = [d for d in _judgment(by, guidance).findings if d.code == "EXP-038"]
    assert {d.location.path for d in told} == {f"hazards[0].exposure.{name}" for name in places}
    assert all(d.severity == "caution" for d in told)


VOID = (
    "Nothing was done",
    "None",
    "Not needed",
    "Not corrected, nobody cared",
    "Left as it is",
    "Nothing has changed since",
)
MENDED = (
    "Two boxes bought",
    "Valve changed; nothing else was found",
    "No mask is kept there any more, hooks taken down",
)


def _corrected(correction: str, owner: str = "Jo Marsh") -> Judged:
    finding = {
        "id": "boxes",
        "date": "2026-02-20",
        "what": "Two boxes missing",
        "correction": correction,
        "owner": owner,
    }
    dates = {"due": "2026-03-15", "done": "2026-03-10"}
    return judged({"set": {"procedures.evaluation.findings": [finding | dates]}})


@published("29 CFR 1910.134(l)(2): problems that are found are corrected")
@pytest.mark.parametrize("words", VOID)
def test_a_correction_by_nothing_corrects_nothing_and_is_overdue(words: str) -> None:
    found = _corrected(words)
    assert {"EVA-008", "TXT-001"} <= required(found)
    (finding,) = found.description.procedures.evaluation.findings
    assert finding.done is None
    assert [item.kind for item in found.due(60).overdue].count(Kind.CORRECTION) == 1


@pytest.mark.parametrize("words", MENDED)
def test_what_was_done_stands(words: str) -> None:
    assert not {"EVA-007", "EVA-008", "TXT-001"} & {finding.code for finding in _corrected(words).findings}


def test_nobody_owns_no_correction() -> None:
    assert "TXT-001" in required(_corrected("Boxes bought", "Nobody"))


def test_no_agent_is_called_none_and_nothing_is_accepted_for_no_reason() -> None:
    accepted = {"code": "EXP-020", "subject": "hazards.sash-lead", "by": "Ada Brook", "until": "2026-06-30"}
    for words in ("none", "No", *EMPTY):
        judgment = {"kind": "judgment", "by": "Clearfield Hygiene", "guidance": "NIOSH 2005-109", "needed_apf": "10"}
        known = {"hazards[0].limit": "none published", "hazards[0].exposure": judgment}
        found = judged({"set": {"hazards[0].agent": words, **known, "accepted": [{**accepted, "reason": words}]}})
        told = {d.location.path for d in found.findings if d.severity == "required"}
        assert {"hazards[0].agent", "accepted[0].reason"} <= told, words


@pytest.mark.parametrize("words", ["Nobody", "None", "none", "No one", "n/a", "Somebody"])
def test_a_name_that_names_nobody_is_told(words: str) -> None:
    acceptance = {"code": "MSK-008", "by": "Ada Brook", "reason": "Ordered", "until": "2026-12-01"}
    places = ("officer.deputies[0]", "officer.phone", "program.history[0].by", "accepted[0].by", "people[0].name")
    for tried in [(place,) for place in places] if TIMES > 1 else [places]:
        said = {"accepted": [acceptance], "officer.deputies": ["Jo Marsh"], **dict.fromkeys(tried, words)}
        told = {f.location.path for f in judged({"set": said}).findings if f.code in ("TXT-001", "TXT-002")}
        assert set(tried) <= told


def test_what_is_planned_is_an_answer_where_a_plan_is_asked() -> None:
    planned = {
        "id": "boxes", "date": "2026-05-20", "what": "Two boxes missing", "correction": "Two boxes to be bought",
        "owner": "Jo Marsh", "due": "2026-06-15",
    }  # fmt: skip
    accepted = {"code": "MSK-008", "by": "Ada Brook", "reason": "A second size is to be bought", "until": "2026-12-01"}
    for done, is_void in (({}, False), ({"done": "2026-05-30"}, True)):
        changes = {"procedures.evaluation.findings": [planned | done], "accepted": [accepted]}
        told = [d.location.path for d in judged({"set": changes}).findings if d.code == "TXT-001"]
        assert told == (["procedures.evaluation.findings[0].correction"] if is_void else [])


@published("29 CFR 1910.134 Appendix A: a test is given to the wearer by somebody able to")
def test_a_test_that_the_wearer_gave_by_name_has_no_tester() -> None:
    for tester, is_told in (("Jo Marsh", True), ("jo marsh", True), ("Ada Brook", False)):
        change = {"people[0].name": "Jo Marsh", "people[0].fit_tests[0].tester": tester}
        found = {d.location.path for d in judged({"set": change}).findings if d.code == "TXT-002"}
        assert ("people[0].fit_tests[0].tester" in found) is is_told, tester


def test_only_the_tests_by_the_wearer_lose_their_tester() -> None:
    """Of one wearer or of two, the own test falls, the other test and the other wearer stay as they are."""
    tests = [{"mask": "m", "date": "2026-02-03", "tester": name} for name in ("Jo Marsh", "Ada Brook")]
    wearers = [{"id": "jo", "name": "Jo Marsh", "fit_tests": tests}, {"id": "lee", "name": "Lee", "fit_tests": tests}]
    alone = [wearers[0] | {"fit_tests": tests[:1]}]
    of_two = [None, "Ada Brook", "Jo Marsh", "Ada Brook"]
    for people, left in ((alone, [None]), (wearers[:1], of_two[:2]), (wearers, of_two)):
        program = Program.model_validate({"format": 1, "masks": [{"id": "m"}], "people": people})
        cleaned, told = without_refused_evidence(program)
        assert [test.tester for person in cleaned.people for test in person.fit_tests] == left
        assert told == (("people[0].fit_tests[0].tester", "Jo Marsh"),)


def test_a_rule_that_is_broken_all_the_same_was_not_answered() -> None:
    methylene = {"hazards[0].agent": "methylene chloride", "hazards[0].form": "vapour"}
    for words, is_asked in (
        ("Our adviser says this use is banned since 2025; we go on", True),
        ("Read on 2 March 2026: the use is permitted with a plan", False),
    ):
        found = judged({"set": {**methylene, "hazards[0].environmental_rule": words}}, "EXP-030")
        assert ("EXP-030" in {d.code for d in found.findings}) is is_asked, words
