"""Adopting a paragraph states its duties and no more: no text, no fact of the site, nothing the firm said itself."""

from __future__ import annotations

import copy
import re
from pathlib import Path
from typing import Any

import pytest
from programs.patching import AS_OF, BASE, judged, patched
from published.law_tables import table
from published_value import published

from progdoc.app.disk.description_files import load_path
from progdoc.core.diagnostics import Severity
from progdoc.core.report import Status
from progdoc.model.description.fields import field_at, texts_in
from progdoc.model.description.procedures import Procedures
from progdoc.model.load import load
from progdoc.rules.adoption import adoption_that_states
from progdoc.rules.judge import Judged, judge
from progdoc.rules.reading.catalogue import built_in_catalogue
from progdoc.rules.requirement import PATHS, Requirement, adopted_values, is_under

REQUIREMENTS = built_in_catalogue().requirements
GROUPS = {
    name: tuple(value for value in field.values if value.startswith("("))
    for name in Procedures.model_fields
    if (field := field_at(f"procedures.{name}.adopt")) is not None
}
WHOLE = {
    name: [p for p in listed if not any(p != q and p.startswith(q) for q in listed)] for name, listed in GROUPS.items()
}


def adoptable(requirement: Requirement) -> bool:
    return requirement.severity is Severity.REQUIRED and bool(adopted_values(requirement))


def states(group: str, paragraph: str) -> list[str]:
    """The places that adopting a paragraph for a group states."""
    return [
        path
        for requirement in REQUIREMENTS
        if requirement.per in ("program", "mask", "filter") and adoptable(requirement)
        if is_under(requirement, paragraph)
        for path, _ in adopted_values(requirement)
        if path.startswith((f"procedures.{group}.", "."))
    ]


PARAGRAPHS = [(group, paragraph) for group, listed in GROUPS.items() for paragraph in listed]


@published("29 CFR 1910.134, the designations of its paragraphs")
@pytest.mark.parametrize(("group", "paragraph"), PARAGRAPHS)
def test_a_paragraph_that_can_be_adopted_exists_and_states_something(group: str, paragraph: str) -> None:
    assert paragraph in {row["paragraph"] for row in table("1910.134-paragraphs")}
    assert states(group, paragraph)


def test_what_adopting_states_can_stand_in_its_place() -> None:
    stated = [(r, path, value) for r in REQUIREMENTS for path, value in adopted_values(r)]
    assert len({requirement.code for requirement, _, _ in stated}) > 100
    for requirement, path, value in stated:
        known = field_at(PATHS[requirement.per] + path if path.startswith(".") else path)
        assert known is not None, requirement.code
        assert known.read(value) is not None, requirement.code


def test_every_part_of_procedures_from_e_to_m_can_be_adopted() -> None:
    # (d) looks at the site, task by task; of smoke the standard says nothing
    assert set(Procedures.model_fields) - set(GROUPS) == {"selection", "smoke"}
    assert {paragraph[:3] for listed in GROUPS.values() for paragraph in listed} == {f"({c})" for c in "efghijklm"}


def test_no_text_and_no_analysis_is_ever_stated_by_adopting() -> None:
    places = {path for group, listed in WHOLE.items() for p in listed for path in states(group, p) if path[0] != "."}
    program = judge(load_path(Path(__file__).parents[1] / "programs" / "base.yaml"), built_in_catalogue(), AS_OF)
    texts = {path for path, _ in texts_in(program.description)}
    assert places & texts == set()
    figures = ("oxygen_low", "oxygen_high", "oil", "carbon_monoxide", "carbon_dioxide", "dew_point", "grade", "tested")
    assert [path for path in places if path.startswith("procedures.air_supply") and path.endswith(figures)] == []


def stated_by_adopting() -> dict[str, Any]:
    """The base program with every line taken out that a paragraph states, and the paragraphs adopted in their place."""
    values = copy.deepcopy(BASE)
    for group, listed in WHOLE.items():
        part = values["procedures"].setdefault(group, {})
        for paragraph in listed:
            for path in states(group, paragraph):
                steps = path.split(".")[2:]
                place: Any = part
                for step in steps[:-1]:
                    place = place.get(step, {})
                if path.startswith("procedures."):
                    place.pop(steps[-1], None)
        part["adopt"] = listed[0] if group == "cleaning" else listed
    for part in values["filters"]:
        del part["label_kept"]
    return values


def statuses(found: Judged) -> dict[tuple[str, tuple[str, ...]], Status]:
    return {(v.requirement.code, v.subject.ids): v.status for v in found.verdicts}


@pytest.fixture(scope="module")
def adopted(tmp_path_factory: pytest.TempPathFactory) -> Judged:
    return judged(stated_by_adopting(), tmp_path_factory.mktemp("adopted"))


def test_a_program_that_adopts_stands_as_one_that_writes_it_out(adopted: Judged, tmp_path: Path) -> None:
    written = statuses(judged(BASE, tmp_path))
    assert {key: status for key, status in statuses(adopted).items() if written[key] is not status} == {}


def test_the_adopted_paragraph_is_the_evidence(adopted: Judged) -> None:
    evidence = {v.requirement.code: v.evidence for v in adopted.verdicts if v.status is Status.MET}
    assert evidence["STO-003"] == ("procedures.storage.adopt",)
    assert evidence["MED-009"] == ("procedures.medical.adopt", "procedures.medical.confidential")
    assert evidence["USE-021"] == ("procedures.use.adopt",)
    assert evidence["LAB-001"] == ("procedures.filter_changes.adopt",)


def test_what_the_firm_says_itself_wins(tmp_path: Path) -> None:
    found = judged(patched({"set": {"procedures.storage": {"adopt": "(h)(2)", "covered": "no"}}}), tmp_path)
    gaps = {v.requirement.code for v in found.verdicts if v.status is Status.GAP}
    assert {code for code in gaps if code.startswith("STO")} == {"STO-001", "STO-003"}
    finding = next(d for d in found.findings if d.code == "STO-003")
    assert "says “no”; the law needs yes" in finding.what


def test_a_gap_says_that_adopting_left_it_to_be_said(tmp_path: Path) -> None:
    found = judged(patched({"set": {"procedures.storage": {"adopt": "(h)(2)"}}}), tmp_path)
    left = [(d.code, d.fix.splitlines()[0]) for d in found.findings]
    assert left == [
        ("STO-001", "Name the place; the bag or box may stand beside it. Adopting (h)(2) leaves this to be said.")
    ]


def test_a_part_of_a_paragraph_states_its_own_duties_alone(tmp_path: Path) -> None:
    found = judged(patched({"set": {"procedures.evaluation": {"adopt": "(l)(1)"}}}), tmp_path)
    asked = {d.code: d.what for d in found.findings}
    assert {"EVA-004", "EVA-005", "EVA-006"} <= set(asked)
    assert "workplace_evaluated" not in asked["EVA-001"]


@pytest.mark.parametrize("drop", ["couplings_differ", "compressor.intake_clean", "cylinders.tested", "no_odour"])
def test_a_fact_of_the_site_stays_to_be_said(drop: str, tmp_path: Path) -> None:
    change = {
        "program": "crypt-with-airline",
        "set": {"procedures.air_supply.adopt": "(i)"},
        "drop": [f"procedures.air_supply.{drop}"],
    }
    found = judged(patched(change), tmp_path)
    assert f"procedures.air_supply.{drop}" in {d.location.path for d in found.findings}


def test_an_unknown_paragraph_is_refused_with_what_may_be_written() -> None:
    text = "format: 1\nprocedures:\n  storage:\n    adopt: (h)(5)\n"
    (fault,) = load({"program.yaml": text.encode()}).diagnostics
    assert (fault.code, fault.location.line) == ("MODEL-003", 4)
    assert fault.fix == "Write one of: (h)(2), (h)(2)(i), (h)(2)(ii)."


def test_one_paragraph_or_a_list_of_them() -> None:
    field = field_at("procedures.use.adopt")
    assert field is not None
    assert field.read("(g)(1)") == ("(g)(1)",)
    assert field.read(["(g)(1)", "(g)(2)"]) == ("(g)(1)", "(g)(2)")


def test_nothing_is_filled_in_where_nothing_is_adopted(tmp_path: Path) -> None:
    found = judged(patched({"drop": ["procedures.storage.covered"]}), tmp_path)
    assert found.description.procedures.storage.covered is None


def test_every_finding_that_adopting_would_settle_names_the_paragraph(tmp_path: Path) -> None:
    """Over all paragraphs: with nothing adopted each silent duty proposes one, and what is proposed settles it."""
    silent = stated_by_adopting()
    adopted_there = {group: part.pop("adopt") for group, part in silent["procedures"].items() if "adopt" in part}
    found = [d for d in judged(silent, tmp_path).findings if d.severity is Severity.REQUIRED]
    settled = {r.code: {path for path, _ in adopted_values(r)} for r in REQUIREMENTS if adoptable(r)}
    asked = [d for d in found if f"nothing is said under `{d.location.path}`" in d.what]
    asked = [d for d in asked if d.location.path in settled.get(d.code, ())]
    assert len(asked) > 40
    proposed: dict[str, set[str]] = {}
    for finding in asked:
        told = re.search(r'`adopt: "([^"]+)"` under `procedures\.(\w+)', finding.fix)
        assert told, (finding.code, finding.fix)
        proposed.setdefault(told[2], set()).add(told[1])
    assert set(proposed) <= set(adopted_there)
    for group, paragraphs in proposed.items():
        silent["procedures"][group]["adopt"] = max(paragraphs) if group == "cleaning" else sorted(paragraphs)
    left = {(d.code, d.location.path) for d in judged(silent, tmp_path).findings}
    assert not left & {(d.code, d.location.path) for d in asked}


def test_no_paragraph_is_proposed_for_a_fact_of_the_site_or_against_a_no(tmp_path: Path) -> None:
    place = judged(patched({"drop": ["procedures.storage.where"]}), tmp_path)
    (told,) = [d for d in place.findings if d.code == "STO-001"]
    assert "adopt" not in told.fix
    denied = judged(patched({"set": {"procedures.storage.covered": "no"}}), tmp_path)
    (told,) = [d for d in denied.findings if d.code == "STO-003"]
    assert "adopt" not in told.fix


@published("29 CFR 1910.134(g)(1)(i): hair in the seal is of the face of one wearer, not of the program")
def test_no_paragraph_is_proposed_for_what_one_person_or_task_is_like() -> None:
    """Over all duties: those of the program, a mask or a filter alone are adopted, and only where the law asks."""
    offered: dict[str, str] = {}
    for requirement in REQUIREMENTS:
        silent = [re.sub(r"^\.", "things[0].", path) for path, _ in adopted_values(requirement)]
        if adoption := adoption_that_states(requirement, silent):
            offered[requirement.code] = adoption.paragraph
            assert requirement.severity is Severity.REQUIRED and requirement.per in ("program", "mask", "filter")
    assert {"STO-003", "LAB-001"} <= set(offered)
    assert any(r.code == "USE-011" and r.per == "wearer" and adopted_values(r) for r in REQUIREMENTS)


@pytest.mark.parametrize(("group", "listed"), GROUPS.items())
def test_an_error_lists_what_can_be_adopted(group: str, listed: tuple[str, ...]) -> None:
    text = f"format: 1\nprocedures:\n  {group}:\n    adopt: (z)\n"
    (fault,) = load({"program.yaml": text.encode()}).diagnostics
    assert all(paragraph in fault.fix for paragraph in listed)
