"""The fillable records: what the law wants recorded is asked, what the firm said is filled in, nobody is named.

What must be asked comes from 29 CFR 1910.134 itself: (e)(5)(i), (h)(3)(iv)(A), (i)(1)(ii), (k)(1), (l)(2), (m)(2)(i)
and the tables of Appendix A.
"""

from __future__ import annotations

import copy
import re
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from programs.patching import BASE, judged, patched
from programs.whole import judged_whole
from published_value import published
from writers.docx_sample import nodes_below

from progdoc.core.paper_language import language_of
from progdoc.document.papers.forms import form_documents
from progdoc.document.templating.templates import form_plans
from progdoc.document.tree.nodes import Document, FieldKind, FormField, Notice, Row, Signatures, Table, Text
from progdoc.rules.judged.result import Judged

_SAMPLES = Path(__file__).resolve().parents[2] / "sample_config"
_LAW = "29 CFR 1910.134"


def _sample(name: str = "restoration_2026") -> Judged:
    return judged_whole(name)


@cache
def _forms(name: str = "restoration_2026") -> dict[str, Document]:
    return form_documents(_sample(name))


def _made(values: dict[str, Any], folder: Path) -> dict[str, Document]:
    return form_documents(judged(values, folder))


def _program(name: str, folder: Path) -> dict[str, Document]:
    return _made(patched({"program": name}), folder)


def _fields(form: Document) -> list[FormField]:
    return [node for node in nodes_below(form.blocks) if isinstance(node, FormField)]


def _values(form: Document) -> dict[str, str]:
    return {field.id: field.value for field in _fields(form)}


def _labels(form: Document) -> str:
    return "; ".join(field.label for field in _fields(form))


def _first_cells(form: Document, table: str) -> list[str]:
    rows = next(node.rows for node in nodes_below(form.blocks) if isinstance(node, Table) and node.id == table)
    return ["".join(child.text for child in row.cells[0].children if isinstance(child, Text)) for row in rows]


def _words(form: Document) -> str:
    """Return everything that stands on the form, filled in or printed."""
    nodes = nodes_below(form.blocks)
    found = [node.text for node in nodes if isinstance(node, Text)]
    found += [f"{node.label} {node.value} {' '.join(node.choices)}" for node in nodes if isinstance(node, FormField)]
    found += [" ".join(map(" ".join, node.lines)) for node in nodes if isinstance(node, Signatures)]
    return " ".join((form.title, form.officer, *found))


# ---- which forms --------------------------------------------------------------------------------------


def test_a_firm_without_masks_has_no_forms(tmp_path: Path) -> None:
    assert _program("nothing-in-use", tmp_path) == {}


def test_dust_masks_by_choice_need_the_information_and_no_fit_test(tmp_path: Path) -> None:
    forms = _program("dust-masks-by-choice", tmp_path)
    assert "appendix-d-given" in forms
    assert not {"plhcp-information", "training", "cleaning-log", "filter-change-log"} & set(forms)
    assert not [name for name in forms if name.startswith("fit-test")]


def test_compressed_air_and_escape_masks_bring_their_forms(tmp_path: Path) -> None:
    forms = _program("crypt-with-airline", tmp_path)
    assert {"compressor-tag", "breathing-air-test", "emergency-inspection"} <= set(forms)
    assert not {"compressor-tag", "breathing-air-test", "emergency-inspection"} & set(_forms())


def test_one_fit_test_record_for_each_protocol_that_may_test_a_mask() -> None:
    protocols = _sample().description.procedures.fit_testing.protocols
    assert {name for name in _forms() if name.startswith("fit-test-")} == {f"fit-test-{name}" for name in protocols}


# The records that a firm with every kind of mask was promised; the worksheet of a renewal is made by `renew`.
PROMISED = {
    "appendix-d-given", "breathing-air-test", "cleaning-log", "compressor-tag", "consultation", "emergency-inspection",
    "end-of-participation", "exposure-sample", "filter-change-log", "incident", "issue-and-return", "mask-request",
    "medical-recommendation", "plhcp-information", "program-evaluation", "read-and-signed", "training",
}  # fmt: skip


@pytest.mark.parametrize("code", ["en", "es"])
def test_every_record_is_made_in_each_language(code: str) -> None:
    language = language_of(code)
    made: dict[str, Document] = {}
    for program in ("restoration_2026", "crypt-with-airline", "everything-said"):
        made |= form_documents(_sample(program), language)
    names = {name.removeprefix("es/") for name in made}
    assert PROMISED - names == set()
    assert {plan["id"] for plan in form_plans()} - names == {"fit-test"}  # one a protocol
    assert {name for name in names if name.startswith("fit-test-")} >= {"fit-test-saccharin", "fit-test-denatonium"}
    assert {form.language for form in made.values()} == {language.tag}


# ---- what the law wants recorded ----------------------------------------------------------------------


@published(f"{_LAW}(m)(2)(i)(A) to (E)")
@pytest.mark.parametrize("name", ["fit-test-saccharin", "fit-test-ambient-cnc-short-elastomeric"])
def test_fit_test_record_asks_what_must_be_recorded(name: str) -> None:
    labels = _labels(_forms()[name])
    for asked in ("Wearer", "Type of fit test", "Mask: make, model, style", "Size", "Date of the test", "Result"):
        assert asked in labels
    is_quantitative = "cnc" in name
    assert ("Overall fit factor" in labels and "Recording" in labels) is is_quantitative


@published("29 CFR 1910.134, Appendix A, Part I, A.14(a) and (b), without the grimace of quantitative tests")
def test_qualitative_exercises_are_those_of_the_protocol() -> None:
    assert [words.partition(" ")[2] for words in _first_cells(_forms()["fit-test-saccharin"], "qualitative.rows")] == [
        "normal breathing",
        "deep breathing",
        "head side to side",
        "head up and down",
        "talking",
        "bending over",
        "normal breathing again",
    ]


@published("29 CFR 1910.134, Appendix A, Table A-1")
def test_times_of_the_shorter_particle_counter_test() -> None:
    form = _forms()["fit-test-ambient-cnc-short-elastomeric"]
    rows = [node for node in nodes_below(form.blocks) if isinstance(node, Row) and node.id >= "quantitative.1"]
    times = [row.cells[1].children[0] for row in rows if row.id.startswith("quantitative.") and len(row.cells) == 4]
    assert [time.text for time in times if isinstance(time, Text)] == ["50 s", "30 s", "30 s", "39 s"]


@published(f"{_LAW}(f)(7): half masks 100, full facepieces 500")
@pytest.mark.parametrize(("said", "shown"), [("50", "100 (half mask)"), ("200", "200 (half mask)")])
def test_pass_level_is_the_firms_and_never_below_the_laws(said: str, shown: str, tmp_path: Path) -> None:
    values = copy.deepcopy(BASE)
    values["procedures"]["fit_testing"] |= {"protocols": ["ambient-cnc"], "half_mask_pass": said}
    assert shown in _words(_made(values, tmp_path)["fit-test-ambient-cnc"])


@published(f"{_LAW}, Appendix A, Part I.B.5(a)(5): never in an enclosure; B.5(c)(7): a test after a pass")
def test_cautions_of_irritant_smoke_stand_out(tmp_path: Path) -> None:
    values = copy.deepcopy(BASE)
    values["procedures"]["fit_testing"]["protocols"] = ["irritant-smoke"]
    form = _made(values, tmp_path)["fit-test-irritant-smoke"]
    cautions = [node for node in nodes_below(form.blocks) if isinstance(node, Notice)]
    assert [node.kind for node in cautions] == ["caution"]
    assert any("enclosure" in node.text for node in nodes_below(tuple(cautions)) if isinstance(node, Text))
    assert "Noticed after the test" in _labels(form)


@published(f"{_LAW}(e)(5)(i)(A) to (E)")
def test_professional_is_told_what_the_description_says_of_each_task() -> None:
    values = _values(_forms()["plhcp-information"])
    assert "grey half mask" in values["task.scrape-sashes.mask.field"]
    assert "290 g" in values["task.scrape-sashes.mask.field"]
    assert values["task.scrape-sashes.time.field"] == "4 h in a shift; Two or three days a week, April to November"
    assert values["task.scrape-sashes.effort.field"] == "moderate"
    assert values["task.scrape-sashes.gear.field"] == "safety glasses, coveralls, gloves"
    assert values["task.scrape-sashes.climate.field"] == "from 45 °F to 90 °F, humidity up to 80 %"
    assert "task.mix-limewash.mask.field" not in values  # dust masks by choice: (c)(2)(ii) asks for no evaluation
    assert "task.enter-crypt.mask.field" not in values  # done by others


def test_what_nobody_said_stays_empty(tmp_path: Path) -> None:
    values = copy.deepcopy(BASE)
    task = values["tasks"][0]
    for name in ("duration", "effort", "gear", "temperature_low", "temperature_high", "humidity_high"):
        del task[name]
    filled = _values(_made(values, tmp_path)["plhcp-information"])
    assert filled["task.scrape-sashes.effort.field"] == ""
    assert filled["task.scrape-sashes.gear.field"] == filled["task.scrape-sashes.climate.field"] == ""
    assert filled["task.scrape-sashes.time.field"].startswith("__________ in a shift")


@published(f"{_LAW}(h)(3)(iv)(A)")
def test_inspection_of_emergency_masks_records_the_five_things(tmp_path: Path) -> None:
    form = _program("crypt-with-airline", tmp_path)["emergency-inspection"]
    labels = _labels(form)
    for asked in ("Date", "Name or signature", "Findings", "What must be done", "Serial number or other mark"):
        assert asked in labels


@published(f"{_LAW}(i)(1)(ii)(A) to (E), (i)(5)(ii)")
def test_air_is_tested_against_grade_d(tmp_path: Path) -> None:
    words = _words(_program("crypt-with-airline", tmp_path)["breathing-air-test"])
    for limit in ("19.5 to 23.5 %", "5 mg/m³", "10 ppm", "1,000 ppm", "10 °F (5.56 °C)"):
        assert limit in words


@published(f"{_LAW}(k)(1)(i) to (vii): seven topics; (l)(2)(i) to (iv): four factors")
def test_training_has_seven_topics_and_wearers_are_asked_about_four_factors() -> None:
    assert len(_first_cells(_forms()["training"], "topics.rows")) == 7
    asked = _first_cells(_forms()["program-evaluation"], "asked.rows")
    assert [words.partition(":")[0] for words in asked[:4]] == ["Fit", "Selection", "Use", "Maintenance"]


# ---- who is not named ---------------------------------------------------------------------------------


@pytest.mark.parametrize("name", ["restoration_2025", "restoration_2026"])
def test_no_worker_is_named_but_those_who_hold_a_role(name: str) -> None:
    program = _sample(name).description
    steps = program.procedures
    roles = f"{program.officer.name} {steps.training.by} {steps.evaluation.by}"
    workers = [person.name for person in program.people if person.name and person.name not in roles]
    assert workers
    for form in _forms(name).values():
        assert [worker for worker in workers if worker in _words(form)] == []


def test_records_of_people_change_no_form(tmp_path: Path) -> None:
    """But for the word DRAFT: tasks that nobody does leave the program open."""
    values = copy.deepcopy(BASE)
    before = _made(values, tmp_path)
    values["people"] = []
    for task in values["tasks"]:
        task.pop("people", None)
    after = _made(values, tmp_path)
    assert {name: replace(form, draft=False) for name, form in after.items()} == before


def test_braces_in_the_firms_words_are_words(tmp_path: Path) -> None:
    values = copy.deepcopy(BASE)
    hostile = "{officer} {0} {nobody} {{x}} %s"
    values["tasks"][0]["name"] = values["filters"][0]["name"] = values["masks"][0]["name"] = hostile
    values["procedures"]["cleaning"]["exclusive"] = values["officer"]["name"] = hostile
    forms = _made(values, tmp_path)
    for name in ("plhcp-information", "filter-change-log", "cleaning-log"):
        assert hostile in _words(forms[name])


# ---- whole --------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", ["first_draft", "restoration_2025", "restoration_2026"])
def test_fields_have_ids_of_their_own_and_choices_hold_what_is_chosen(name: str) -> None:
    for form in _forms(name).values():
        fields = _fields(form)
        assert len({field.id for field in fields}) == len(fields) > 0
        for field in fields:
            assert field.label
            if field.kind is FieldKind.CHOICE:
                assert field.choices and field.value in ("", *field.choices)


def test_paper_is_the_firms(tmp_path: Path) -> None:
    values = copy.deepcopy(BASE)
    values["program"]["paper"] = "A4"
    assert {form.paper for form in _made(values, tmp_path).values()} == {"A4"}


def test_the_form_of_a_fit_test_offers_each_wait_that_is_asked_for(tmp_path: Path) -> None:
    """29 CFR 1910.134, Appendix A, Part I.B.3(b)(1): fifteen minutes before a test by taste; more by a policy."""
    order = {"first": "smoking", "then": "fit-test", "wait": "1 h"}
    policy = {"id": "yard", "by": "The yard", "source": "Order 7", "date": "2026-01-05", "order": [order]}
    named = ["saccharin", "denatonium", "ambient-cnc", "isoamyl-acetate"]
    asked = {}
    for name, policies in (("law", []), ("policy", [policy])):
        forms = form_documents(
            judged(patched({"set": {"policies": policies, "procedures.fit_testing.protocols": named}}), tmp_path)
        )
        asked[name] = {form: re.findall(r"at least ([^,]+), but for water", repr(one)) for form, one in forms.items()}
    assert asked["law"]["fit-test-saccharin"] == ["15 min"]
    assert asked["policy"]["fit-test-saccharin"] == ["15 min", "1 h"]
    by_taste = ("fit-test-saccharin", "fit-test-denatonium")
    others = {name for name in asked["law"] if name.startswith("fit-test") and name not in by_taste}
    assert others and all(asked["law"][name] == [] for name in others)
    assert all(asked["policy"][name] == ["1 h"] for name in others)
