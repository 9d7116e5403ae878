"""What is printed is what was judged by: days in findings, due list and cards, and the figures of policies."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from typing import Any, cast

from document.reading import of_type, program_of
from examples import examples
from hypothesis import assume, given
from programs.generated import Generated, checked_values, programs

from progdoc.app.selection_json import selection_json
from progdoc.core.numbers import long_date, number_text
from progdoc.core.report import Status
from progdoc.document.blocks.unused_blocks import printed_words
from progdoc.document.papers.person_card import card_documents
from progdoc.document.tree.nodes import Table, Text
from progdoc.model.description.quantities import in_unit
from progdoc.rules.judged.due_results import Kind
from progdoc.rules.judged.result import Judged

# The findings that name the day on which something ran out.
RAN_OUT = {
    Kind.FIT_TEST: ("FIT-002",),
    Kind.TRAINING: ("TRN-012",),
    Kind.INSPECTION: ("INS-015", "INS-017"),
    Kind.CYLINDER: ("AIR-015", "DEV-004"),
    Kind.FLOW_TEST: ("DEV-007",),
    Kind.ROUTINE: ("CAL-001", "CAL-002", "POL-014"),
    Kind.LAST_DAY: ("DEV-001", "DEV-005", "DEV-012"),
    Kind.CORRECTION: ("EVA-008",),
}

HOST = {"id": "host", "by": "Northbridge Trust", "source": "Site rules 4"}


@examples(8)
@given(programs())
def test_a_finding_the_due_list_and_a_card_name_one_day(program: Generated) -> None:
    judged = program.judged()
    cards = {person: printed_words(card) for person, card in card_documents(judged).items()}
    for item in judged.due(60).overdue:
        if item.kind not in RAN_OUT or item.due is None:
            continue
        told = [
            diagnostic.what
            for verdict in judged.verdicts
            if verdict.requirement.code in RAN_OUT[item.kind] and verdict.subject.ids == item.subject
            for diagnostic in verdict.diagnostics
            if item.kind is not Kind.CORRECTION or diagnostic.location.path == item.path
        ]
        assert not told or any(long_date(item.due) in what for what in told), (item, told)
        for person in (name.partition(".")[2] for name in item.subject if name.startswith("people.")):
            assert long_date(item.due).lower() in cards[person], item


@examples(8)
@given(programs())
def test_nobody_is_fit_tested_longer_than_the_due_list_says(program: Generated) -> None:
    judged = program.judged()
    due = {item.subject: item.due for item in judged.due(60).items if item.kind is Kind.FIT_TEST}
    for pair in judged.roster.all_pairs():
        for choice in pair.choices:
            subject = (f"people.{pair.person.id}", f"masks.{choice.mask}")
            if pair.is_named and subject in due and due[subject] is not None and choice.fit_tested_until:
                assert choice.fit_tested_until >= due[subject]  # the due list takes the strictest of all the tasks
                if len(judged.roster.named[pair.person.id]) == 1:
                    assert choice.fit_tested_until == due[subject]


@examples(3)
@given(programs())
def test_a_stricter_figure_that_a_finding_rests_on_is_printed_in_the_program(program: Generated) -> None:
    judged = program.judged()
    words = printed_words(program_of(judged))
    open_ones = [v for v in judged.verdicts if v.status is Status.GAP]
    cited = {diagnostic.citation for verdict in open_ones for diagnostic in verdict.diagnostics}
    for name, found in judged.figures.tightened.items():
        for policy, wanted in found:
            if any(policy.by in citation for citation in cited) and wanted.value is not True:
                assert wanted.printed.lower() in words, (name, wanted)


def test_a_large_figure_has_one_form_wherever_it_is_printed() -> None:
    """In findings, in the sections and in the table of policies: not rounded, and never as a power of ten."""
    program = Generated(("base",), (("policies", [{**HOST, "full_facepiece_pass": "1234567"}]),))
    judged = cast("Judged", checked_values(program.values()).judged)
    found = {finding.code: finding.what for finding in judged.findings}
    assert "1,234,567" in found["POL-002"]
    words = printed_words(program_of(judged))
    assert ": 1,234,567, for" in words  # beside the pass level of the section
    assert "full facepiece pass: 1,234,567" in words  # in the table of policies
    assert "1234567" not in words and "1.23" not in words


# ---- the air, the masks and their cartridges, as a reader checks them by hand --------------------------

NUMBER = re.compile(r"(?<![\w.])(\d[\d,]*(?:\.\d+)?)(?: ?([\w/µ³%.]+))?")
LAST_DIGIT = 1.002  # figures are printed with three digits; each of two may be off by half of its last one


def cells_of(judged: Judged, kind: str) -> Iterator[tuple[str, list[str]]]:
    """Yield the id and the words of each row of the program's tables of a kind."""
    for table in of_type(program_of(judged), Table):
        if table.id.startswith(f"{kind}."):
            for row in table.rows:
                yield row.id.removeprefix(f"{kind}."), [printed_text(cell) for cell in row.cells]


def printed_text(node: Any) -> str:
    return "".join(one.text for one in of_type(node, Text))


def figure(words: str) -> tuple[float, str] | None:
    """Return the first number of some words, and its unit."""
    found = NUMBER.search(words)
    return (float(found[1].replace(",", "")), found[2] or "") if found else None


@examples(10)
@given(programs())
def test_the_times_over_a_limit_are_the_level_over_the_limit_beside_it(program: Generated) -> None:
    for key, (_, _, level, limit, times) in cells_of(program.judged(), "air"):
        found, bound, ratio = figure(level), figure(limit), figure(times)
        if ratio is None or found is None or bound is None or found[1].rstrip(",") != bound[1]:
            continue
        assert ratio[0] * LAST_DIGIT >= found[0] / bound[0], (key, level, limit, times)
        assert ratio[0] <= found[0] / bound[0] * LAST_DIGIT * 1.01, (key, level, limit, times)


@examples(10)
@given(programs())
def test_a_mask_that_the_table_says_protects_has_the_factor_the_table_asks_for(program: Generated) -> None:
    judged = program.judged()
    for key, (_, factor, needed, _, protects) in cells_of(judged, "protection"):
        task, mask = key.split(".")
        assert (protects == "Yes") is judged.selection.masks[task, mask].is_adequate, key
        asked, has = figure(needed), figure(factor)
        if protects == "Yes" and asked is not None:
            assert has is not None
            assert has[0] > asked[0] if needed.startswith("over") else has[0] >= asked[0], (key, factor, needed)


@examples(10)
@given(programs())
def test_the_selection_and_the_program_name_one_level_one_ratio_and_one_use_limit(program: Generated) -> None:
    checked = checked_values(program.values())
    assume(checked.judged is not None)
    judged = cast("Judged", checked.judged)
    printed = dict(cells_of(judged, "air"))
    reach = dict(cells_of(judged, "protection"))
    for task in json.loads(selection_json(checked))["tasks"]:
        hazards = [a.hazard.id for a in judged.selection.air[task["task"]].agents]
        for hazard, agent in zip(hazards, task["agents"], strict=True):
            if row := printed.get(f"{task['task']}.{hazard}"):
                ratio, level = agent["hazard_ratio"], agent["concentration"]
                assert row[4] == (row[4] if ratio is None else number_text(ratio, "up"))
                assert level is None or row[2].startswith(number_text(level["value"], "up")), row
        for mask in task["masks"]:
            row = reach.get(f"{task['task']}.{mask['mask']}")
            if row and mask["muc"]:
                assert number_text(mask["muc"]["value"], "down") in row[3], (mask, row)
            if row and mask["apf"] is not None:
                assert row[1] == number_text(mask["apf"], "down")


@examples(10)
@given(programs())
def test_no_cartridge_is_printed_longer_than_its_shortest_source(program: Generated) -> None:
    """In the table of changes, in what `select` says and in the words of findings: never above what was judged."""
    judged = program.judged()
    for key, change in judged.cartridge_changes.items():
        life = judged.service_lives[key[0], key[1]]
        if change.shortest_min is not None and change.has_source:
            assert life.hours is None or life.hours <= change.shortest_min / 60 * (1 + 1e-9), key
        for _, plan in change.carried:
            assert (
                plan.after is None or change.shortest_min is None or in_unit(plan.after, "min") <= change.shortest_min
            )
    changes = {(c.task.id, c.mask.id, c.part.id): c for c in judged.cartridge_changes.values()}
    for key, (_, _, when, _) in cells_of(judged, "filter-changes"):
        change = next(c for name, c in changes.items() if ".".join(name) == key)
        hours = re.search(r"; (\d+(?:\.\d+)?) (h|min) at most", when)
        if hours and change.has_source and change.shortest_min is not None:
            minutes = float(hours[1]) * (60 if hours[2] == "h" else 1)
            assert minutes <= change.shortest_min * (1 + 1e-9), (key, when)
