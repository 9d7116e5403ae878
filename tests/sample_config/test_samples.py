"""The invented restoration firm, judged on its days: complete, a year earlier, and its owner's first evening.

Invented data: nothing here checks a formula; whether the rules are right is tested against published sources.
"""

from __future__ import annotations

import re
from datetime import date
from functools import cache
from pathlib import Path

import pytest
from document.reading import of_type
from published_value import published

from progdoc.app.check import Checked
from progdoc.app.disk.description_files import check_path
from progdoc.calc.due_dates import due_date
from progdoc.cli import main
from progdoc.core.diagnostics import Severity
from progdoc.core.report import Status, count_of, is_accepted
from progdoc.document.blocks.answers import Verdicts
from progdoc.document.blocks.local_rules import local_rules_blocks
from progdoc.document.tree.nodes import Text
from progdoc.model.description.workplace import DoneBy
from progdoc.rules.judged.due_results import Kind

SAMPLES = Path(__file__).parents[2] / "sample_config"
FILES = sorted(SAMPLES.glob("*/*.yaml"))
DAYS = {
    "restoration_2026": date(2026, 11, 24),
    "restoration_2025": date(2025, 11, 24),
    "first_draft": date(2024, 2, 19),
    "small_shop": date(2026, 6, 1),
    "shop_in_california": date(2026, 6, 1),
    "shop_in_washington": date(2026, 6, 1),
}


@cache
def judged(name: str) -> Checked:
    return check_path(SAMPLES / name, DAYS[name])


def codes(name: str, severity: Severity) -> set[str]:
    return {f.code for f in judged(name).report.findings if f.severity is severity and not is_accepted(f)}


def paragraphs(name: str) -> set[str]:
    """The letters of 29 CFR 1910.134 under which something required is missing."""
    found = judged(name).report.findings
    cited = [re.match(r"29 CFR 1910\.134\(([a-o])\)", f.citation) for f in found if f.severity is Severity.REQUIRED]
    return {match[1] for match in cited if match}


@pytest.mark.parametrize("name", DAYS)
def test_every_sample_is_understood(name: str) -> None:
    checked = judged(name)
    assert checked.is_understood
    assert count_of(checked.report, Severity.INVALID) == 0


@pytest.mark.parametrize("name", ["restoration_2026", "restoration_2025"])
def test_a_signed_revision_lacks_nothing_required_and_has_a_few_cautions(name: str) -> None:
    report = judged(name).report
    assert [f.what for f in report.findings if f.severity is Severity.REQUIRED] == []
    assert 1 <= count_of(report, Severity.CAUTION) <= 5


def test_a_small_shop_is_complete_in_ninety_lines() -> None:
    """Four people, two tasks, half masks; what the firm does exactly as the law says is adopted in a line each."""
    (file,) = (SAMPLES / "small_shop").glob("*.yaml")
    lines = [line for line in file.read_text("utf-8").splitlines() if line.strip() and line.lstrip()[0] != "#"]
    assert len(lines) <= 90
    assert max(map(len, lines)) <= 120
    program = judged("small_shop").loaded.program
    assert program is not None
    assert (len(program.people), len(program.tasks)) == (4, 2)
    assert [f.what for f in judged("small_shop").report.findings] == []
    assert main(["check", str(file), "--on", "2026-06-01"]) == 0


SHOPS = ("small_shop", "shop_in_california", "shop_in_washington")


@published(
    "8 CCR 5144 and 5155, Table AC-1: titanium dioxide 10 and 5 mg/m³; WAC 296-842; 29 CFR 1910.1000, Table Z-1: 15"
)
def test_one_shop_in_three_states_side_by_side() -> None:
    """The same four people, tasks and masks: what differs is what each state asks, and by which paragraph."""
    shops = {name: judged(name).judged for name in SHOPS}
    assert [f.what for name in SHOPS for f in judged(name).report.findings] == []
    asked, limits, cited = {}, {}, {}
    for name, found in shops.items():
        assert found is not None
        binding = [v for v in found.verdicts if v.status is not Status.NOT_APPLICABLE]
        asked[name] = {v.requirement.code for v in binding if v.requirement.code.startswith("STA-")}
        limits[name] = {limit.in_words for agent in found.selection.air["sand-casts"].agents for limit in agent.limits}
        cited[name] = {v.requirement.code: str(v.citation) for v in binding}
    assert asked == {
        "small_shop": set(),
        "shop_in_california": set(),
        "shop_in_washington": {"STA-004", "STA-005", "STA-006", "STA-007", "STA-008", "STA-010", "STA-011", "STA-014"},
    }
    federal, state, own = (" ".join(sorted(limits[name])) for name in SHOPS)
    assert "15 mg/m³" in federal and "8 CCR" not in federal
    assert "10 mg/m³ TWA, total (8 CCR 5155" in state and "5 mg/m³ TWA, respirable (8 CCR 5155" in state
    assert "10 mg/m³" in own and "Limit of the firm" in own
    codes_shown = ("USE-001", "TRN-007", "REC-002", "TSK-007", "STO-001")
    assert [[cited[name][code] for name in SHOPS] for code in codes_shown] == [
        ["29 CFR 1910.134(g)(1)(i)(A)", "8 CCR 5144(g)(1)(A)1", "WAC 296-842-18005"],
        ["29 CFR 1910.134(k)(5)", "8 CCR 5144(k)(5)", "WAC 296-842-16005"],
        ["29 CFR 1910.134(m)(1)", "8 CCR 5144(m)(1)", "29 CFR 1910.134(m)(1)"],
        ["29 CFR 1910.134(d)(1)(i)", "8 CCR 5144(d)(1)(A)", "WAC 296-842-12005, Table 3"],
        ["29 CFR 1910.134(h)(2)(i)", "8 CCR 5144(h)(2)(A)", "29 CFR 1910.134(h)(2)(i)"],
    ]  # fmt: skip


def test_local_rules_of_a_shop_are_told_in_words_and_the_answers_to_a_federal_duty_once() -> None:
    found = judged("shop_in_washington").judged
    assert found is not None
    blocks = local_rules_blocks(found, Verdicts(found.verdicts, found.findings))
    told = {block.codes[0]: "".join(text.text for text in of_type(block, Text)) for block in blocks[1:]}
    assert told["STA-006"].endswith(
        "Free of charge: masks, training, medical evaluations, fit tests, maintenance, travel, wages."
    )
    assert told["FIT-022"] == "Fit tests are repeated within 12 months.", (
        "its interval stands in the section on fit tests"
    )
    assert "SMK-003" not in told and len(told) > 15
    assert [words for words in told.values() if re.search(r": (?:yes|no)\b|\b\w+(?:-\w+){2,}", words)] == []


def test_the_readme_names_every_sample() -> None:
    text = (SAMPLES.parent / "README.md").read_text("utf-8")
    assert [f.name for f in SAMPLES.iterdir() if f.is_dir() and f"`{f.name}`" not in text] == []


def test_nothing_that_a_run_left_behind_stands_among_the_samples() -> None:
    written_by_hand = {".yaml", ".yml", ".md", ".csv", ".svg", ".json"}
    files = [file for file in SAMPLES.rglob("*") if file.is_file()]
    stray = [file for file in files if file.suffix not in written_by_hand]
    of_a_machine = [file for file in files if re.search(r"/(?:tmp|home|Users)/", file.read_text("utf-8"))]
    assert (stray, of_a_machine) == ([], [])


def test_the_cautions_of_2026_are_old_evidence_and_one_accepted_for_a_time() -> None:
    assert codes("restoration_2026", Severity.CAUTION) == {"EXP-012"}
    assert [f.code for f in judged("restoration_2026").report.findings if is_accepted(f)] == ["MSK-008"]


def test_the_first_draft_lacks_something_in_every_main_paragraph() -> None:
    assert paragraphs("first_draft") >= set("acdefghklm")


def test_the_mistakes_of_the_first_evening_are_found() -> None:
    found = codes("first_draft", Severity.REQUIRED)
    mistakes = {
        "TSK-005": "a mask that Table 1 asks for is called voluntary",
        "EXP-009": "a row of Table 1 is used without an exhaust fan",
        "SEL-001": "somebody goes into the crypt behind a cartridge",
        "SEL-007": "spray is met with a gas cartridge alone",
        "SEL-016": "a dust mask is worn against lead",
        "FIT-022": "fit tests every two years",
        "FIT-027": "a seal check passes for a fit test",
        "FLT-003": "cartridges are changed by smell",
        "STO-004": "masks hang over the varnish shelf",
        "USE-011": "a beard in the seal",
        "TSK-002": "nobody asked what the air of the crypt holds",
    }
    assert {code: words for code, words in mistakes.items() if code not in found} == {}


def test_nobody_of_the_firm_enters_the_crypt() -> None:
    program = judged("restoration_2026").loaded.program
    assert program is not None
    crypt = next(task for task in program.tasks if task.id == "enter-crypt")
    assert crypt.done_by is DoneBy.OTHERS
    assert crypt.others is not None and crypt.people == () and crypt.masks == ()


def test_nine_people_and_several_dates_of_the_coming_weeks() -> None:
    program = judged("restoration_2026").loaded.program
    assert program is not None
    assert len(program.people) == 9
    today, soon = DAYS["restoration_2026"], date(2026, 12, 31)
    whole = judged("restoration_2026").judged
    assert whole is not None
    outlook = whole.due(365)
    trainings = [item.due for item in outlook.items if item.kind is Kind.TRAINING]
    tests = [due_date(test.date, months=12) for person in program.people for test in person.fit_tests]
    reviews = [entry.next_review for person in program.people for entry in person.medical]
    for dates, least in ((trainings, 3), (tests, 3), (reviews, 2)):
        assert sum(day is not None and today < day <= soon for day in dates) >= least


def test_only_role_holders_are_named_outside_the_records() -> None:
    """Names of other workers belong to people.yaml alone: the program is public, the records are not."""
    for name in ("restoration_2026", "restoration_2025"):
        program = judged(name).loaded.program
        assert program is not None
        public = {path.name: path.read_text("utf-8") for path in FILES if path.parent.name == name}
        del public["people.yaml"]
        roles = re.compile("officer|foreman|partner", re.IGNORECASE)
        others = [p.name for p in program.people if p.name and not roles.search(p.job or "")]
        assert [(file, who) for file, text in public.items() for who in others if who in text] == []
