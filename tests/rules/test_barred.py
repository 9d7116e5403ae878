"""What nobody may start is told alike by `check`, `select`, the first page, the page of the task and the roster."""

from __future__ import annotations

import json
from datetime import date
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from document.reading import of_type, words
from examples import TIMES, some
from programs.patching import AS_OF, PROGRAMS, loaded, patched, patches

from progdoc.app.check import Checked
from progdoc.app.disk.description_files import load_path
from progdoc.app.select import is_everybody_protected
from progdoc.app.selection_json import selection_json
from progdoc.cli.question_view import questions_text
from progdoc.core.barred import Barred, Why, barred_words
from progdoc.document.blocks.selection_blocks import danger_alerts
from progdoc.document.papers.gap_report import gap_document
from progdoc.document.papers.task_page import task_documents
from progdoc.document.tree.nodes import Notice, Paragraph
from progdoc.model.description.words import label_of
from progdoc.model.load import Loaded
from progdoc.rules.judge import judge
from progdoc.rules.judged.result import Judged
from progdoc.rules.reading.catalogue import built_in_catalogue
from progdoc.writers.diagnostics_json import report_json

SAMPLES = Path(__file__).parents[2] / "sample_config"
PLACES = {
    **{file.stem: (file, AS_OF) for file in sorted(PROGRAMS.glob("*.yaml"))},
    "small_shop": (SAMPLES / "small_shop", date(2026, 6, 1)),
    "restoration_2025": (SAMPLES / "restoration_2025", date(2025, 11, 24)),
    "restoration_2026": (SAMPLES / "restoration_2026", date(2026, 11, 24)),
}
BARS = {r.code: r.bars for r in built_in_catalogue().requirements if r.bars != "nothing"}
GAPS = [(code, entry) for code, entry in patches() if entry["expect"] == "gap" and code in BARS]
_FIRST = list({BARS[code]: (code, entry) for code, entry in reversed(GAPS)}.values())
TRIED = GAPS if TIMES > 1 else _FIRST
BARS_NOTHING_HERE = {"TSK-004"}  # a mask that nobody asks for may be left off
_SAID = {
    Why.NO_MASK: "A mask has to be worn, and none is named.",
    Why.WAY_OUT: "No mask to get out of the air is shown to hang at hand.",
    Why.RESCUE: "Not all is shown to be there that going in, and being got out again, takes.",
}


@cache
def _place(name: str) -> Checked:
    place, day = PLACES[name]
    return _judged(load_path(place), day)


def _of_patch(entry: dict[str, Any]) -> Checked:
    return _judged(loaded(patched(entry)), AS_OF)


def _judged(loaded: Loaded, day: date) -> Checked:
    found = judge(loaded, built_in_catalogue(), day)  # the attachments that some name are not at hand here
    return Checked(loaded, found, found.report(""))


def _agree(checked: Checked) -> None:
    found = checked.judged
    assert found is not None
    told = set(found.barred)
    assert len(told) == len(found.barred)
    _roster_agrees(found)
    _papers_agree(found)
    _select_agrees(checked, found)
    _check_tells(checked)


def _roster_agrees(found: Judged) -> None:
    """Whoever may not do a task that names them is told of, and nobody may do what is told to be barred."""
    in_masks = {(one.task, mask) for one in found.barred for mask in one.masks}
    shut = {one.task for one in found.barred if one.why in (Why.WAY_OUT, Why.RESCUE, Why.NO_MASK)}
    people = {(one.task, one.why): (one.people, one.named) for one in found.barred if not one.is_for_all}
    kept: dict[str, list[Why | None]] = {}
    for pair in found.roster.all_pairs():
        assert not {(pair.task.id, choice.mask) for choice in pair.good} & in_masks
        assert not (pair.may and pair.task.id in shut), (pair.person.id, pair.task.id)
        worn = [choice for choice in pair.choices if (pair.task.id, choice.mask) not in in_masks]
        no_mask = Why.CHOICE if worn and not pair.good else None
        if pair.is_named:
            kept.setdefault(pair.task.id, []).append(no_mask if pair.may else Why.PEOPLE)
    for task, answers in kept.items():
        named = {(task, use.mask) for use in found.index.tasks[task][1].masks}
        is_for_all = task in shut or (named and named <= in_masks)  # and told so
        for why in (Why.PEOPLE, Why.CHOICE):
            counted = (answers.count(why), len(answers)) if why in answers and not is_for_all else None
            assert people.get((task, why)) == counted, (task, why)


def _papers_agree(found: Judged) -> None:
    """The first page and the page of a task name every pair of task and mask that is barred, and no other."""
    cover = danger_alerts(found)
    pages = task_documents(found)
    for task, page in pages.items():
        _, described = found.index.tasks[task]
        notices = " ".join(words(p) for n in of_type(page, Notice) if n.kind == "danger" for p in of_type(n, Paragraph))
        (barred,) = [set(one.masks) for one in found.barred if (one.task, one.why) == (task, Why.MASKS)] or [set()]
        on_cover = [line for line in cover if line.startswith(f"{described.name}: ")]
        assert bool(on_cover) == bool(barred)
        for mask in {use.mask for use in described.masks}:
            label = label_of(found.index.masks[mask][1])
            if not any(label != other and label in other for other in map(str, _labels(found))):
                assert (label in " ".join(on_cover)) == (mask in barred), (task, mask)
                assert ("Not shown to protect in this task: " in notices and label in notices) == (mask in barred)
        for why, said in _SAID.items():
            is_told = any((one.task, one.why) == (task, why) for one in found.barred)
            assert (said in notices) == is_told, (task, why)
            assert any(said in line and described.name in line for line in cover) == is_told


def _labels(found: Judged) -> list[str]:
    return [label_of(mask) for _, mask in found.index.masks.values()]


def _select_agrees(checked: Checked, found: Judged) -> None:
    selected = json.loads(selection_json(checked))["tasks"]
    ours = {task.id for _, task in found.index.our_tasks}
    here = {(one["task"], why) for one in selected for why, key in _KEYS.items() if one[key]}
    assert here == {(one.task, one.why) for one in found.barred if one.why in _KEYS}
    weak = {
        (one["task"], m["mask"]) for one in selected if one["task"] in ours for m in one["masks"] if not m["adequate"]
    }
    assert weak == {(one.task, mask) for one in found.barred for mask in one.masks}
    assert is_everybody_protected(checked) is not any(one.is_for_all for one in found.barred)


_KEYS = {Why.WAY_OUT: "nobody_gets_out", Why.RESCUE: "nobody_goes_in"}


def _check_tells(checked: Checked) -> None:
    """Terminal, JSON and gap report begin with the same phrases."""
    report = checked.report
    phrases = [barred_words(one, report.names) for one in report.barred]
    screen = questions_text(report, width=10_000)
    assert screen.startswith("Danger: ") == bool(phrases)
    assert [one["told"] for one in json.loads(report_json(report))["barred"]] == phrases
    paper = " ".join(words(p) for p in of_type(gap_document(report, "", False), Paragraph)).casefold()
    for phrase in phrases:
        assert phrase in screen
        assert phrase.casefold() in paper


@pytest.mark.parametrize("name", some(PLACES, 4))
def test_all_say_the_same_of_the_programs_at_hand(name: str) -> None:
    _agree(_place(name))


@pytest.mark.parametrize(("code", "entry"), TRIED, ids=[code for code, _ in TRIED])
def test_all_say_the_same_whatever_bars(code: str, entry: dict[str, Any]) -> None:
    checked = _of_patch(entry)
    _agree(checked)
    assert checked.report.barred or code in BARS_NOTHING_HERE, code


def test_they_agree_on_work_that_needs_a_mask_and_names_none() -> None:
    nobody = _of_patch({"drop": ["tasks[0].masks"]})
    assert Barred("scrape-sashes", Why.NO_MASK) in nobody.report.barred
    _agree(nobody)


def test_what_is_tried_on_each_change_bars_in_every_way() -> None:
    """One patch for each word of the catalogue; so work, ways out, going in and people."""
    assert {BARS[code] for code, _ in _FIRST} == set(BARS.values())
    bars = {BARS[code] for code, _ in TRIED}
    assert {"pair", "mask", "way-out", "danger", "person"} <= bars
