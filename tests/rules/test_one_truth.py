"""What one output says of a person, a mask or a day, every other says: held on programs nobody wrote."""

from __future__ import annotations

import re
from collections.abc import Iterator

import pytest
from examples import examples
from hypothesis import given
from programs.generated import NAMES, Generated, checked_values, programs, put, together
from published.law_tables import table
from rules.test_protection import UNSAID

from progdoc.core.diagnostics import Scope, Severity
from progdoc.core.report import Status
from progdoc.document.blocks.unused_blocks import printed_words
from progdoc.document.papers.task_page import task_documents
from progdoc.model.description.fields import texts_in
from progdoc.model.description.quantities import Dimension
from progdoc.model.description.words import label_of
from progdoc.model.description.workplace import MaskUse, Task, Use
from progdoc.rules.air.monitoring import monitoring_rules
from progdoc.rules.judged.due_results import Kind, OutlookItem
from progdoc.rules.judged.figure_results import OWN
from progdoc.rules.judged.result import Judged
from progdoc.rules.lookup.cited import cited
from progdoc.rules.lookup.table_files import table_rows
from progdoc.rules.reading.catalogue import built_in_catalogue
from progdoc.rules.requirement import Verdict

# The requirements of which each says one of the reasons why something of its kind is overdue.
OVERDUE = {
    Kind.FIT_TEST: ("FIT-001", "FIT-002", "FIT-003", "FIT-004", "FIT-005", "FIT-037", "POL-008"),
    Kind.MEDICAL: ("MED-030", "MED-032", "MED-033", "MED-500", "SUR-002"),
    Kind.TRAINING: ("TRN-011", "TRN-012"),
    Kind.INFORMATION: ("VOL-011",),
    Kind.READING: ("PRG-069",),
    Kind.INSPECTION: ("INS-015", "INS-017"),
    Kind.CYLINDER: ("AIR-015", "DEV-004"),
    Kind.FLOW_TEST: ("DEV-007",),
    Kind.ROUTINE: ("CAL-001", "CAL-002", "POL-014"),
    Kind.LAST_DAY: ("DEV-001", "DEV-005", "DEV-012"),
    Kind.AIR_TEST: ("AIR-008",),
    Kind.EXPOSURE: ("EXP-001", "EXP-012", "EXP-020", "EXP-031", "EXP-039", "POL-005"),
    Kind.EVALUATION: ("POL-010", "EVA-003"),
    Kind.CORRECTION: ("EVA-008",),
}
WITHOUT_A_DAY = "EVA-007"  # a correction that nobody gave a day is due at once; it lacks that day, and is not late
NOT_COUNTED = "what is on record does not count: "  # of this year, and the code named behind bars whoever it is of
OF_RECORDS = ("wearer", "worn-mask", "unit")  # what bars one person, or one piece, and not a mask as such


def overdue(judged: Judged) -> Iterator[OutlookItem]:
    """What is overdue by somebody's rule; what the firm alone, or nobody, set is no duty."""
    items = (item for item in judged.due(60).overdue if item.kind is not Kind.ACCEPTANCE)
    return (item for item in items if item.basis != OWN and not item.basis.startswith("good practice"))


def open_verdicts(judged: Judged) -> dict[tuple[str, tuple[str, ...]], Verdict]:
    return {
        (verdict.requirement.code, verdict.subject.ids): verdict
        for verdict in judged.verdicts
        if verdict.status in (Status.GAP, Status.UNDETERMINED)
    }


@pytest.mark.parametrize("name", NAMES)
def test_every_program_that_is_drawn_from_is_understood(name: str) -> None:
    """One that were not would be no example, and nobody would notice."""
    checked = checked_values(Generated((name,)).values())
    assert checked.judged is not None, checked.report.findings


@examples(25)
@given(programs())
def test_what_is_overdue_is_a_finding(program: Generated) -> None:
    judged = program.judged()
    found = open_verdicts(judged)
    for item in overdue(judged):
        codes = (*OVERDUE[item.kind], WITHOUT_A_DAY) if item.due is None else OVERDUE[item.kind]
        if item.because.startswith(NOT_COUNTED):
            codes = (item.because.removeprefix(NOT_COUNTED),)
        told = [found[code, item.subject] for code in codes if (code, item.subject) in found]
        assert told, item
        cites = {citation for verdict in told for citation in citations_of(verdict)}
        assert "CFR" not in item.basis or cites & set(item.basis.split("; ")), (item, cites)


def citations_of(verdict: Verdict) -> set[str]:
    return {*verdict.requirement.citations, *(diagnostic.citation for diagnostic in verdict.diagnostics)}


@examples(15)
@given(programs())
def test_a_day_cites_the_law_only_for_what_stands_there(program: Generated) -> None:
    judged = program.judged()
    law = built_in_catalogue().law_on(judged.as_of).values.values()
    intervals = {value.citation for value in law if value.kind == Dimension.INTERVAL and value.value}
    intervals |= {row["again_citation"] for row in table_rows("surveillance")}
    intervals |= {words for rule in monitoring_rules().values() for key, words in rule.items() if "citation" in key}
    duties = {row["paragraph"] for row in table("1910.134-paragraphs") if row["obligation_carried_by"]}
    for item in judged.due(60).items:
        if item.due is not None and "CFR" in item.basis:
            assert item.basis in intervals | {cited("cylinder-tests")}, item
        assert set(re.findall(r"1910\.134((?:\([A-Za-z0-9]+\))+)", item.basis)) <= duties, item


@examples(25)
@given(programs())
def test_what_a_finding_calls_overdue_is_overdue(program: Generated) -> None:
    judged = program.judged()
    items = {(item.kind, item.subject) for item in judged.due(60).overdue}
    for kind, codes in OVERDUE.items():
        for (code, subject), verdict in open_verdicts(judged).items():
            if code in codes and verdict.status is Status.GAP:
                assert (kind, subject) in items, (code, subject)
    for (code, subject), verdict in open_verdicts(judged).items():
        if verdict.status is Status.GAP and verdict.requirement.bars == "person":
            for kind, place in ((Kind.FIT_TEST, "].fit_tests["), (Kind.TRAINING, "].training[")):
                if any(place in fault for fault in verdict.faults):
                    assert (kind, subject) in items, (code, subject)


def untold(judged: Judged) -> list[tuple[str, str]]:
    """Every gap of the matrix that no finding of its weight tells: by its own code, or at its own place."""
    weight = {Severity.REQUIRED: 2, Severity.CAUTION: 1, Severity.ADVICE: 0}
    codes = {(finding.code, finding.location.path) for finding in judged.findings}
    places: dict[str, int] = {}
    for verdict in judged.verdicts:
        for diagnostic in verdict.diagnostics if verdict.status is Status.GAP else ():
            if (diagnostic.code, diagnostic.location.path) in codes:
                for place in verdict.faults:
                    places[place] = max(places.get(place, 0), weight[diagnostic.severity])
    return [
        (verdict.requirement.code, place)
        for verdict in judged.verdicts
        if verdict.status is Status.GAP
        for place in verdict.faults
        if places.get(place, -1) < weight[verdict.requirement.severity]
    ]


@examples(25)
@given(programs())
def test_a_gap_of_the_matrix_is_a_finding(program: Generated) -> None:
    assert untold(program.judged()) == []


@pytest.mark.parametrize("name", ["base", "crypt-with-airline", "varnishing", "fire-fighting"])
def test_a_placeholder_in_any_text_is_told(name: str) -> None:
    before = checked_values(together(name)).judged
    assert before is not None
    texts = dict(texts_in(before.description))
    values = together(name)
    for place in texts:
        put(values, place, "to be decided")
    judged = checked_values(values).judged
    assert judged is not None
    assert untold(judged) == []
    told = {finding.location.path for finding in judged.findings if finding.severity is Severity.REQUIRED}
    told |= {place for verdict in judged.verdicts if verdict.diagnostics for place in verdict.faults}
    kept = {place for place, text in texts_in(judged.description) if text == "to be decided"}
    kept |= {place for place in judged.open_texts if place in texts}  # a name of that kind gave way to the id
    assert len(kept) > 10
    assert {place for place in kept if place not in told and place.rpartition("[")[0] not in told} == set()


# ---- masks ---------------------------------------------------------------------------------------------


def against(judged: Judged, task: Task, use: MaskUse) -> list[str]:
    """Every requirement that is open for a mask in a task: its own, its filters', their schedules', the task's."""
    air, of_task, of_mask = judged.selection.air[task.id], f"tasks.{task.id}", f"masks.{use.mask}"
    plans = judged.description.procedures.filter_changes.schedules
    parts = {f"filters.{part}" for part in use.filters}
    parts |= {f"schedules.{plan.id}" for plan in plans if plan.filter in use.filters and task.id in plan.tasks}
    others = [label_of(other) for other in judged.description.tasks if label_of(other) != label_of(task)]
    found = []
    for verdict in judged.verdicts:
        ids, requirement = verdict.subject.ids, verdict.requirement
        if requirement.severity is not Severity.REQUIRED or not ids:
            continue
        is_open = verdict.status in (Status.GAP, Status.UNDETERMINED)
        if requirement.per == "mask-use":
            concerns = ids == (of_task, of_mask)
        elif not air.is_worn:  # what is worn by choice has few duties
            concerns = False
        elif requirement.per == "hazard":  # a mask for dangerous air is one for air that nobody knows
            is_of_air = requirement.scope is Scope.PROGRAM and not air.is_immediately_dangerous
            concerns = is_of_air and ids[0] == of_task
        elif requirement.per in ("filter", "schedule"):  # it may be about the filter in another task
            told = [d.what for d in verdict.diagnostics]
            is_here = any(label_of(task) in what or not any(other in what for other in others) for what in told)
            concerns = ids[0] in parts and (is_here or verdict.status is Status.UNDETERMINED)
        else:
            concerns = requirement.code in UNSAID and ids[0] in (of_task, of_mask)
        found += [requirement.code] if concerns and is_open else []
    return found


def ordered_masks(page: str) -> str:
    """What a task's page tells the crew to wear, or that they may."""
    found = re.search(r"\bwear (.*?)(\. no other mask|, and put it on as its maker)", page)
    return found[1] if found else ""


@examples(15)
@given(programs())
def test_a_mask_protects_where_nothing_is_found_against_it_and_nowhere_else(program: Generated) -> None:
    judged = program.judged()
    pages = task_documents(judged)
    per = {requirement.code: requirement.per for requirement in judged.requirements}
    for _, task in judged.index.our_tasks:
        ordered = ordered_masks(printed_words(pages[task.id]))
        for mask in dict.fromkeys(use.mask for use in task.masks):
            found = [code for use in task.masks if use.mask == mask for code in against(judged, task, use)]
            verdict = judged.selection.masks[task.id, mask]
            assert verdict.is_adequate is not bool(found), (found, verdict.reasons)
            if judged.selection.air[task.id].is_worn or task.use is Use.VOLUNTARY or not verdict.is_adequate:
                assert (label_of(verdict.mask).lower() in ordered) is verdict.is_adequate, ordered
            for person in judged.roster.people:
                for choice in judged.roster.assignment(person, task).choices:
                    if choice.mask == mask:
                        bars = [bar.code for bar in choice.bars if per[bar.code] not in OF_RECORDS]
                        assert bool(bars) is not verdict.is_adequate, (bars, verdict.reasons)
