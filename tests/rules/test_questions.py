"""What is asked next: every finding under one question, dangers first, the same for the same description."""

from __future__ import annotations

import json
import random
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from examples import TIMES, examples, some
from hypothesis import given
from hypothesis import strategies as st
from programs.patching import (
    AS_OF,
    BASE,
    PROGRAMS,
    judged,
    loaded,
    one_of_each,
    patched,
    patches,
    read_as_text,
)

from progdoc.app.check import check
from progdoc.core.diagnostics import Severity
from progdoc.core.public_report import public_part
from progdoc.core.questions import Question, missing_answers, public_questions
from progdoc.core.report_summary import summary_line
from progdoc.model.description.fields import field_at
from progdoc.rules.judged.result import Judged
from progdoc.rules.reading.catalogue import catalogue_with

DRAFT = read_as_text((Path(__file__).parents[2] / "sample_config/first_draft/description.yaml").read_text("utf-8"))
LISTS = ("tasks", "hazards", "masks", "filters", "people")
PATCHES = [(code, values) for code, values in patches() if "drop" in values or "set" in values]
GAPS = one_of_each((code, values) for code, values in PATCHES if values["expect"] == "gap")
# On each change a gap of every other family of codes, at night every patch.
CHANGED = PATCHES if TIMES > 1 else some(GAPS, 2)


def of(values: dict[str, Any]) -> Judged:
    found = check(loaded(values), AS_OF).judged
    assert found is not None
    return found


def named(found: Judged, question: str) -> list[Question]:
    return [asked for asked in found.questions if asked.id == question]


def order(found: Judged) -> list[tuple[str, tuple[str, ...]]]:
    return [(asked.id, asked.subject) for asked in found.questions]


@pytest.fixture(scope="module")
def draft() -> Judged:
    return of(DRAFT)


# ---- nothing is lost, nothing asked twice ----------------------------------------------------------------


def _all_gathered(found: Judged) -> None:
    gathered = [finding for asked in found.questions for finding in asked.findings]
    assert sorted(map(repr, gathered)) == sorted(repr(f) for f in found.findings if not f.accepted)
    for asked in found.questions:
        assert "{" not in asked.asks
        assert asked.where in {finding.location for finding in asked.findings}
        assert len({field.path for field in asked.fields}) == len(asked.fields)


def test_every_finding_belongs_to_one_question(draft: Judged) -> None:
    _all_gathered(draft)


@pytest.mark.parametrize("number", range(len(CHANGED)))
def test_every_finding_of_a_changed_program_belongs_to_one_question(number: int, tmp_path: Path) -> None:
    found = judged(patched(CHANGED[number][1]), tmp_path)
    _all_gathered(found)


def test_nothing_is_asked_of_a_complete_program(tmp_path: Path) -> None:
    assert judged(BASE, tmp_path).questions == ()


def test_what_does_not_apply_is_not_asked() -> None:
    found = of(read_as_text((PROGRAMS / "nothing-in-use.yaml").read_text("utf-8")))
    asked = {question.section for question in found.questions}
    assert asked.isdisjoint({"medical", "fit_testing", "use", "cleaning", "breathing_air", "filter_changes"})


def test_nobody_is_asked_about_emergency_masks_who_has_none(draft: Judged) -> None:
    (cleaning,) = named(draft, "cleaning")
    assert "procedures.cleaning.emergency_after_each_use" not in {field.path for field in cleaning.fields}
    assert named(draft, "emergency-inspection") == []
    assert named(draft, "fire-fighting") == []


# ---- the order ----------------------------------------------------------------------------------------------


def test_what_is_dangerous_is_asked_first_and_the_air_before_the_mask_for_it(draft: Judged) -> None:
    dangers = [asked.is_danger for asked in draft.questions]
    assert dangers == sorted(dangers, reverse=True)
    first = [asked.id for asked in draft.questions if asked.is_danger]
    air, mask = ["air-of-place", "agents", "agent", "form", "level"], ["kind-of-mask", "filter", "mask-for-task"]
    assert first == sorted(first, key=[*air, *mask, "label-of-mask", "cartridge-changes", "change-schedule"].index)
    assert {"level", "mask-for-task"} <= set(first)


def test_whatever_bars_work_is_asked_as_a_danger(draft: Judged) -> None:
    barring = {code for code in draft.barring if any(finding.code == code for finding in draft.findings)}
    asked = {finding.code for question in draft.questions if question.is_danger for finding in question.findings}
    assert barring and barring <= asked


def test_what_a_mask_and_a_filter_are_is_asked_before_whether_they_protect() -> None:
    values = json.loads(json.dumps(BASE))
    del values["masks"][0]["facepiece"]
    del values["filters"][0]["particulate"]
    ids = [asked.id for asked in of(values).questions]
    assert ids.index("kind-of-mask") < ids.index("filter") < ids.index("mask-for-task")


def test_a_question_about_a_person_cites_the_standard_of_the_agent_that_it_is_about(tmp_path: Path) -> None:
    (asked,) = named(judged(patched({"drop": ["people[0].surveillance"]}), tmp_path), "surveillance-of-person")
    assert "SUR-002" in asked.settles
    assert asked.cites[0].startswith("29 CFR 1926.62")  # lead, not the silica that the question's own paragraph is of


def test_a_question_about_an_agent_cites_no_standard_of_another(tmp_path: Path) -> None:
    """Toluene over a ceiling of 29 CFR 1910.1000, Table Z-2, has to do with neither asbestos nor carcinogens."""
    results = [{"concentration": "400 ppm", "duration": "10 min", "averaging": "ceiling", "date": "2026-02-10"}]
    told = {"agent": "toluene", "form": "vapour", "exposure": {"kind": "samples", "results": results}}
    changes = {f"hazards[0].{key}": value for key, value in told.items()} | {"tasks[0].industry": "general"}
    asked = [one for one in judged(patched({"set": changes}), tmp_path).questions if "toluene" in " ".join(one.names)]
    cited = {paragraph for one in asked for paragraph in one.cites}
    assert any("1910.1000(b)(2)" in paragraph for paragraph in cited)
    assert not [paragraph for paragraph in cited if "1926.1101" in paragraph or "1910.1003" in paragraph]


def test_no_question_cites_a_paragraph_twice(draft: Judged) -> None:
    assert [asked.id for asked in draft.questions if len(set(asked.cites)) < len(asked.cites)] == []


def test_people_sent_into_unjudged_air_are_a_danger() -> None:
    values = json.loads(json.dumps(DRAFT))
    values.setdefault("procedures", {})["emergencies"] = {
        "foreseeable": [{"what": "A tin is knocked over", "crew": "All out", "going_in": "yes"}]
    }
    (asked,) = named(of(values), "emergencies")
    assert asked.is_danger
    assert "EMG-002" in asked.settles


def test_what_decides_whether_duties_apply_is_asked_before_them() -> None:
    values = json.loads(json.dumps(BASE))
    for task in values["tasks"]:
        del task["use"]
    del values["procedures"]["storage"]
    del values["program"]["jurisdiction"]
    ids = [asked.id for asked in of(values).questions]
    assert ids.index("use") < ids.index("storage")
    assert ids.index("authority") < ids.index("storage")
    assert "state-plan" not in ids


def test_of_the_others_what_settles_most_comes_first_and_cautions_last(draft: Judged) -> None:
    led = {asked.section for asked in draft.questions if asked.adopts and not asked.is_danger}
    others = [asked for asked in draft.questions if not asked.is_danger and not asked.decides]
    others = [asked for asked in others if asked.section not in led]  # there what a paragraph states comes first
    settled = [(not asked.is_missing, -len(asked.findings)) for asked in others]
    assert settled == sorted(settled)
    assert {True, False} == {asked.is_missing for asked in others}


def test_adopting_a_paragraph_is_asked_before_what_it_states(draft: Judged) -> None:
    """Protocols, pass levels and factors were typed, and then all of (f) was adopted in one tick."""
    calm = [asked for asked in draft.questions if not asked.is_danger and not asked.subject]
    sections = {asked.section for asked in calm if asked.adopts}
    assert sections
    for section in sections:
        first = next(asked for asked in calm if asked.section == section)
        assert first.adopts and len(first.adopts) == min(
            len(a.adopts) for a in calm if a.section == section and a.adopts
        )


@examples(12)
@given(st.randoms(use_true_random=False), st.sets(st.sampled_from(["program", "officer", "procedures"])))
def test_the_order_in_which_lists_were_typed_changes_nothing(shuffled: random.Random, left_out: set[str]) -> None:
    values = {key: value for key, value in json.loads(json.dumps(DRAFT)).items() if key not in left_out}
    asked = order(of(values))
    mixed = json.loads(json.dumps(values))
    for key in LISTS:
        shuffled.shuffle(mixed[key])
    assert order(of(values)) == asked
    assert order(of(mixed)) == asked


# ---- what a question says -----------------------------------------------------------------------------------


def test_what_several_lack_alike_is_asked_once_with_their_names(draft: Judged) -> None:
    (medical,) = named(draft, "clearance")
    assert len(medical.subject) == len(medical.names) == len(medical.findings) == 4
    assert all(name in medical.asks for name in medical.names)
    by_task = [asked for asked in draft.questions if asked.id == "conditions"]
    assert sum(len(asked.subject) for asked in by_task) == len(DRAFT["tasks"])
    assert len(by_task) < len(DRAFT["tasks"])


def test_many_names_are_counted(draft: Judged) -> None:
    (controls,) = named(draft, "controls")
    assert len(controls.names) == 5
    assert "and 2 more" in controls.asks


def test_an_answer_names_the_open_fields_with_what_the_model_says_of_them() -> None:
    values = json.loads(json.dumps(BASE))
    values["procedures"]["storage"] = {"covered": "yes", "near_solvents": "yes"}
    (asked,) = named(of(values), "storage")
    fields = {field.path.rpartition(".")[2]: field for field in asked.fields}
    assert "covered" not in fields
    assert fields["near_solvents"].kind == fields["keeps_shape"].kind == "yes-no"
    assert fields["container"].kind == "text"
    assert fields["protects_from"].choices
    assert fields["protects_from"].is_list
    assert asked.adopts == "(h)(2)"
    assert asked.adopted_at == "procedures.storage.adopt"
    assert asked.cites == ("29 CFR 1910.134(h)(2)(i)",)


def test_what_is_said_already_is_not_asked_beside_what_is_open(tmp_path: Path) -> None:
    (asked,) = named(judged(patched({"drop": ["officer.phone"]}), tmp_path), "officer")
    assert [field.path for field in asked.fields] == ["officer.phone"]  # not the deputies, who stand beside it


def test_a_question_names_what_its_finding_is_about_where_that_is_of_another_kind(tmp_path: Path) -> None:
    """The question is about a filter; that its class suits no mask without a blower is found of a mask in a task."""
    found = judged(patched({"set": {"filters[0].particulate": "HEPA"}}), tmp_path)
    (asked,) = [one for one in found.questions if "FLT-023" in one.settles]
    assert asked.subject == ()
    assert asked.names == ("Scraping sash windows", "grey half mask")
    assert "“Scraping sash windows” and “grey half mask”" in asked.asks


def test_what_is_to_be_typed_names_each_place_once(draft: Judged) -> None:
    (medical,) = named(draft, "medical-clearance")
    keys = [line.strip() for line in medical.to_type if line.strip().endswith(("yes or no", ":"))]
    assert len(keys) == len(set(keys))
    assert medical.to_type[:2] == ("procedures:", "  medical:")
    (crypt, *_) = named(draft, "air-of-place")
    assert crypt.to_type[:2] == ("tasks:", "  - id: enter-crypt")


@pytest.mark.parametrize(
    ("path", "kind"),
    [
        ("procedures.fit_testing.interval", "quantity"),
        ("tasks[].use", "choice"),
        ("tasks[].confined_space", "yes-no"),
        ("program.effective", "date"),
        ("organisation.employees", "number"),
        ("officer.name", "text"),
        ("people[].medical", "group"),
    ],
)
def test_the_model_says_what_is_typed_into_a_field(path: str, kind: str) -> None:
    known = field_at(path)
    assert known is not None
    assert known.form == kind
    assert known.examples or kind == "group"


def test_answers_are_counted_where_the_law_asks_for_them(draft: Judged) -> None:
    assert missing_answers(draft.questions) == sum(
        any(f.severity is Severity.REQUIRED for f in asked.findings) for asked in draft.questions
    )
    assert missing_answers(draft.questions) < len(draft.questions) < len(draft.findings)


RULE = """
  - code: {code}
    name: {name}
    citation: "3.4"
    proof: {{given: {place}}}
    duty: The firm says what its trade is.
    what: It is not said.
    why: Somebody has to know.
    fix: Say it.
"""


def test_a_local_rule_joins_the_question_of_its_field_or_is_asked_by_itself(tmp_path: Path) -> None:
    (tmp_path / "pack.yaml").write_text('pack: vale\nversion: "1"\n', encoding="utf-8")
    rules = [("VAL-001", "no-phone", "officer.phone"), ("VAL-002", "no-trade", "organisation.trade")]
    text = "".join(RULE.format(code=code, name=name, place=place) for code, name, place in rules)
    head = "source: us-29cfr1910.134\nin_force: 2020-01-01\nrequirements:"
    (tmp_path / "rules.yaml").write_text(head + text, encoding="utf-8")
    catalogue, faults = catalogue_with([tmp_path])
    assert not faults
    values = json.loads(json.dumps(BASE))
    del values["officer"]["phone"]
    values["organisation"].pop("trade", None)
    found = check(loaded(values), AS_OF, catalogue).judged
    assert found is not None
    assert [(asked.id, asked.settles) for asked in found.questions] == [
        ("officer", ("PRG-044", "VAL-001")),
        ("val-002", ("VAL-002",)),
    ]
    assert found.questions[1].asks == "The firm says what its trade is: how is that done here?"


# ---- the public copy ----------------------------------------------------------------------------------------


def test_no_question_of_the_public_copy_names_a_wearer(draft: Judged) -> None:
    report = draft.report("0")
    public = public_part(report)
    assert len(public.questions) + len(public.withheld_questions) == len(report.questions)
    assert (public.questions, public.withheld_questions) == public_questions(report.questions)
    assert summary_line(public) == summary_line(report)
    told = repr([replace(asked, fields=()) for asked in public.questions])  # the model's own examples name people too
    for person in DRAFT["people"]:
        assert person["name"] not in told
        assert f"people.{person['id']}" not in told
    assert {asked.id for asked in public.withheld_questions} >= {"clearance", "fit-test-of-person"}
