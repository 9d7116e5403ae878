"""What `select` calls protecting no finding contradicts, and the other way round; nor does anybody's assignment."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from examples import TIMES, some
from programs.patching import catalogue_of, judged, judged_by, one_of_each, patched, patches
from programs.whole import OF_THE_SUITE, judged_whole

from progdoc.core.diagnostics import Diagnostic, Severity
from progdoc.document.blocks.selection_blocks import masks_that_fail
from progdoc.model.description.masks import Mode
from progdoc.model.description.words import label_of
from progdoc.rules.judged.mask_results import MaskVerdict
from progdoc.rules.judged.result import Judged
from progdoc.rules.lookup.table_files import table_rows
from progdoc.rules.reading.catalogue import built_in_catalogue

PLACES = ("first_draft", "restoration_2026", *OF_THE_SUITE)
GAPS = [(code, entry) for code, entry in patches() if entry["expect"] == "gap"]
TRIED = GAPS if TIMES > 1 else one_of_each(GAPS, len("FLT-001"))  # on each change the first of each code
OF_FILTERS = some((entry for code, entry in TRIED if code.startswith(("FLT-", "SEL-"))), 4)

# What must be said before anything shows that a mask protects: of the task, and of the mask.
UNSAID = (
    *("TSK-002", "TSK-004", "TSK-010", "TSK-011", "TSK-013", "TSK-017", "TSK-020"),
    *(
        "MSK-001",
        "MSK-002",
        "MSK-003",
        "MSK-004",
        "MSK-005",
        "MSK-006",
        "MSK-010",
        "MSK-013",
        "MSK-014",
        "MSK-015",
        "MSK-020",
    ),
    "LAB-002",
    "IDL-014",
)
# What is required of a mask as such and leaves no doubt that it protects.
OF_A_MASK_BESIDE_PROTECTION = {
    "MSK-009": "which air an escape mask is for; it bars the way out, in the roster, and is worn for no work",
    "MSK-011": "its weight, which the health professional asks for",
    "MSK-012": "whether it is shared, which decides when it is cleaned",
    "CLN-007": "a throw-away mask worn by several people: dirty, and not less of a filter",
    "FIT-028": "which fit test can be given; without a passed test a bar of the wearer stands",
    "INS-014": "which piece an inspection was of: a record of the piece",
}
UNSAID_GAPS = [
    entry for code, entry in GAPS if code in UNSAID and code.startswith(("MSK-", "LAB-")) and len(entry["subject"]) == 1
]


def _worn(found: Judged) -> Iterator[tuple[str, str, MaskVerdict]]:
    for (task, mask), verdict in found.selection.masks.items():
        if found.selection.air[task].is_worn:
            yield task, mask, verdict


def _against(found: Judged, task: str, mask: str) -> list[Diagnostic]:
    """The required findings about a mask in a task, what is fitted to it, and what nobody said of mask and task."""
    described = found.index.tasks[task][1]
    others = [label_of(t) for _, t in found.index.tasks.values() if t.id != task]
    fitted = {part for use in described.masks if use.mask == mask for part in use.filters}
    plans = found.description.procedures.filter_changes.schedules
    subjects = {(f"tasks.{task}", f"masks.{mask}"), *((f"filters.{part}",) for part in fitted)}
    subjects |= {(f"schedules.{plan.id}",) for plan in plans if plan.filter in fitted and task in plan.tasks}
    own = label_of(described)
    return [
        d
        for d in found.findings
        if d.severity is Severity.REQUIRED
        and (d.subject in subjects or (d.code in UNSAID and d.subject in ((f"tasks.{task}",), (f"masks.{mask}",))))
        and (own in d.what or not any(other in d.what for other in others))
    ]


def _disagreements(found: Judged) -> list[tuple[str, str, bool, list[str]]]:
    return [
        (task, mask, verdict.is_adequate, [d.code for d in against])
        for task, mask, verdict in _worn(found)
        if verdict.is_adequate is bool(against := _against(found, task, mask))
    ]


@pytest.mark.parametrize("name", PLACES)
def test_select_and_check_agree(name: str) -> None:
    assert _disagreements(judged_whole(name)) == []


@pytest.mark.parametrize("entry", OF_FILTERS, ids=lambda entry: f"{entry['code']}-{OF_FILTERS.index(entry)}")
def test_they_agree_where_something_of_a_filter_or_mask_is_amiss(entry: dict[str, object], tmp_path: Path) -> None:
    found = judged(patched(entry), tmp_path)
    assert _disagreements(found) == []


@pytest.mark.parametrize("name", PLACES)
def test_nobody_is_sent_in_a_mask_that_does_not_protect(name: str) -> None:
    found = judged_whole(name)
    failing = {(task, mask) for task, mask, verdict in _worn(found) if not verdict.is_adequate}
    assert failing <= set(masks_that_fail(found))
    sent = {(pair.task.id, choice.mask) for pair in found.roster.all_pairs() for choice in pair.good}
    assert sent & failing == set()


def test_without_a_change_schedule_a_vapour_mask_does_not_protect(tmp_path: Path) -> None:
    """29 CFR 1910.134(d)(3)(iii)(B): an indicator or a schedule; with one the mask is as good as its factor."""
    entry = {"program": "varnishing", "drop": ["procedures.filter_changes.schedules"]}
    found = judged(patched(entry), tmp_path).selection.masks["varnish", "half-mask"]
    assert "FLT-001" in [reason.code for reason in found.reasons]
    with_one = judged(patched({"program": "varnishing"}), tmp_path).selection.masks["varnish", "half-mask"]
    assert "FLT-001" not in [reason.code for reason in with_one.reasons]


def test_every_code_of_masks_bars_or_says_why_not() -> None:
    required = (r for r in built_in_catalogue().requirements if r.per == "mask" and r.severity is Severity.REQUIRED)
    assert {r.code for r in required} == {c for c in UNSAID if c[:3] != "TSK"} | set(OF_A_MASK_BESIDE_PROTECTION)


@pytest.mark.parametrize("entry", UNSAID_GAPS, ids=lambda entry: f"{entry['code']}-{UNSAID_GAPS.index(entry)}")
def test_what_check_asks_of_a_mask_bars_it_everywhere(entry: dict[str, Any], tmp_path: Path) -> None:
    found = judged(patched(entry), tmp_path)
    (subject,) = entry["subject"]
    name = subject.partition(".")[2]
    worn = [verdict for _, mask, verdict in _worn(found) if mask == name]
    assert worn
    assert not any(verdict.is_adequate for verdict in worn)
    pairs = (pair for pair in found.roster.all_pairs() if found.selection.air[pair.task.id].is_worn)
    assert not any(choice.mask == name for pair in pairs for choice in pair.good)


SURGICAL = [
    "surgical, not approved",
    "KN95-like",
    "unapproved",
    "not NIOSH",
    "Surgical mask",
    "FFP2",
    "N95-style copy",
    "fake",
]


@pytest.mark.parametrize("field", ["name", "make", "model", "style"])
def test_a_mask_that_calls_itself_unapproved_protects_nobody(field: str, tmp_path: Path) -> None:
    """29 CFR 1910.134(d)(1)(ii)."""
    for words in SURGICAL:
        found = judged_by(catalogue_of({"MSK-015"}), patched({"set": {f"masks[0].{field}": words}}), tmp_path)
        assert "MSK-015" in {d.code for d in found.findings}, words
        assert not found.selection.masks["scrape-sashes", "half-mask"].is_adequate, words


@pytest.mark.parametrize(
    "words",
    [
        "Surgical N95",
        "N95 surgical, small",
        "P100, not approved for oxygen under 19.5 %",
        "Cobalt-95",
        "grey half mask",
    ],
)
def test_what_is_approved_may_be_called_what_it_is(words: str, tmp_path: Path) -> None:
    found = judged(patched({"set": {"masks[0].name": words}}), tmp_path)
    assert not {"MSK-015", "FLT-019"} & {d.code for d in found.findings}


SCHEDULES = {row["schedule"]: row["modes"].split(";") for row in table_rows("approvals")}


@pytest.mark.parametrize("schedule", SCHEDULES)
def test_a_number_approves_only_its_own_kind_of_mask(schedule: str, tmp_path: Path) -> None:
    """42 CFR Part 84 has a subpart for each kind; which schedule number is whose is from memory."""
    for mode in Mode:
        said = {"approval": f"{schedule}-1234", "mode": mode.value, "service_time": "30 min"}
        entry = {"set": {f"masks[0].{field}": value for field, value in said.items()}}
        found = judged_by(catalogue_of({"MSK-014"}), patched(entry), tmp_path).findings
        assert bool([d for d in found if d.subject == ("masks.half-mask",)]) is (
            mode.value not in SCHEDULES[schedule]
        ), mode
