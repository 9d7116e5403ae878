"""Days in an agent's air are counted, and the examinations that follow stand in check, due and the task alike."""

from __future__ import annotations

from pathlib import Path

import pytest
from programs.patching import catalogue_of, judged, judged_by, patched
from published_value import published
from rules.workplaces import assessment_of, sample, samples

from progdoc.model.description.workplace import Task
from progdoc.rules.air.surveillance import days_in_year, most_days, surveillance_rules, unread_surveillance
from progdoc.rules.lookup.table_files import table_rows
from progdoc.rules.masks.standard_duties import standard_duties

# Read a second time in the paragraphs themselves: agent, industry, trigger, days; "more than", months.
READ_AGAIN = {
    ("asbestos", "construction", "classed-or-over-limit", 30): (False, 12),  # 1926.1101(m)(1)(i)(A), (m)(2)(i)(C)
    ("asbestos", "shipyard", "classed-or-over-limit", 30): (False, 12),  # 1915.1001(m)(1)(i)(A), (m)(2)(i)(C)
    ("lead", "construction", "action-level", 1): (False, None),  # 1926.62(j)(1)(i)
    ("lead", "construction", "assumed", 1): (False, None),  # 1926.62(d)(2)(v)(E)
    ("lead", "construction", "action-level", 30): (True, 6),  # 1926.62(j)(1)(ii), (j)(2)(i)(A)
    ("silica-crystalline", "construction", "mask", 30): (False, 36),  # 1926.1153(h)(1)(i), (h)(3)
    ("silica-crystalline", "general;shipyard", "action-level", 30): (False, None),  # 1910.1053(i)(1)(i)
    ("cadmium", "construction", "action-level", 30): (False, 12),  # 1926.1127(l)(1)(i)(A), (l)(4)(i)
    ("chromium-vi", "construction", "action-level", 30): (False, 12),  # 1926.1126(i)(1)(i)(A), (i)(2)(ii)
    ("chromium-vi", "shipyard", "action-level", 30): (False, 12),  # 1915.1026(i)(1)(i)(A), (i)(2)(ii)
    ("beryllium", "construction", "action-level", 30): (True, 24),  # 1926.1124(k)(1)(i)(A), (k)(2)(ii)
    ("beryllium", "shipyard", "action-level", 30): (True, 24),  # 1915.1024(k)(1)(i)(A), (k)(2)(ii)
    ("mda", "construction", "action-level", 30): (False, 12),  # 1926.60(n)(1)(i)(A), (n)(3)(i)
}


@published("the medical paragraphs of 29 CFR 1926.62, .60, .1101, .1124, .1126, .1127, .1153; 1915.1001, .1024, .1026")
def test_days_and_months_are_those_of_the_paragraphs() -> None:
    listed = {
        (row["agent"], row["industries"], row["trigger"], int(row["days"])): (
            row["more_than"] == "yes",
            int(row["again_months"]) if row["again_months"] else None,
        )
        for row in table_rows("surveillance")
    }
    assert listed == READ_AGAIN


@pytest.mark.parametrize(
    ("words", "days"),
    [
        ("Two or three days a week", 156),
        ("2-3 days per month", 36),
        ("Once a week", 52),
        ("Twenty days in all", None),
        ("Every working day", 365),
        ("weekly, twice a month in winter", 52),
        ("Ten days a year", 10),
        ("About 40 days in a year", 40),
        ("When it rains", None),
        ("A week, three or four times a year", None),  # up to 28: nobody says how long each time is
        ("Three weeks in a row, twice a year", None),
        ("Eight days, five times a year", None),
        ("Two days each time, once a month", None),
        ("Once a week for two months", 52),  # a season only makes them fewer
        ("Two days a week, three weeks a year", 104),
        ("On limewash days, twice a month", 24),
        ("Daily, half a shift", 365),
        ("Every Monday, Tuesday and Wednesday, and every month", 156),  # the days of a week beside a longer round
    ],
)
def test_words_on_how_often_give_the_most_days_they_allow(words: str, days: int | None) -> None:
    assert days_in_year(Task.model_validate({"id": "t", "name": "n", "frequency": words})) == days


def test_stated_days_go_before_words() -> None:
    stated = {"id": "t", "name": "n", "frequency": "Every day", "days_per_year": "12"}
    assert days_in_year(Task.model_validate(stated)) == 12


@published("29 CFR 1926.62(j)(2)(i)(A): blood every two months in the first half year, then every six")
def test_blood_is_tested_for_lead_sooner_in_the_first_half_year() -> None:
    listed = {
        row["agent"]: (row["what"], row["first_months"], row["first_span_months"])
        for row in table_rows("surveillance")
        if row["first_months"]
    }
    assert listed == {"lead": ("repeated blood test", "2", "6")}
    (text,) = duties("lead", "60 ug/m3", "construction", frequency="Once a week")
    assert text.endswith("offered repeated blood tests, again every 2 months in the first 6 and every 6 from then on")


def duties(agent: str, level: str, industry: str, **task: str) -> list[str]:
    found = assessment_of({"agent": agent, "exposure": samples(sample(level))}, task={"industry": industry, **task})
    return [duty.text for duty in standard_duties(found, ()) if duty.text.startswith("up to ")]


@published("29 CFR 1926.1153(h)(1)(i): masks required for silica on 30 or more days; 1910.1053(i)(1)(i): action level")
def test_construction_goes_by_the_mask_and_general_industry_by_the_action_level() -> None:
    often = {"frequency": "Once a week"}
    assert duties("silica", "30 ug/m3", "construction", **often) == []
    assert len(duties("silica", "60 ug/m3", "construction", **often)) == 1
    assert len(duties("silica", "30 ug/m3", "general", **often)) == 1
    assert duties("silica", "20 ug/m3", "general", **often) == []


@published("29 CFR 1926.1126(i)(1)(i)(A): 30 or more days; 1926.1124(k)(1)(i)(A): more than 30 days")
def test_thirty_days_are_enough_where_the_paragraph_says_or_more() -> None:
    month = {"days_per_year": "30"}
    (chromium,) = duties("chromium (VI)", "3 ug/m3", "construction", **month)
    assert "so that whoever does this is offered examinations, again every 12 months" in chromium
    (beryllium,) = duties("beryllium", "0.15 ug/m3", "construction", **month)
    assert "examinations are due from more than 30 days a year on" in beryllium


def test_check_due_and_task_say_the_same_day(tmp_path: Path) -> None:
    found = judged(patched({}), tmp_path)
    (item,) = (one for one in found.due(365).items if one.id == "surveillance.jo-marsh.lead")
    assert item.due is not None and item.due.isoformat() == "2026-09-02" and item.kind.value == "medical"
    late = judged(
        patched(
            {"set": {"people[0].surveillance[0].date": "2025-04-30", "people[0].surveillance[1].date": "2025-11-30"}}
        ),
        tmp_path,
    )
    (item,) = (one for one in late.due(30).overdue if one.id == "surveillance.jo-marsh.lead")
    (told,) = (d.what for d in late.findings if d.code == "SUR-002")
    assert item.due is not None and "30 May 2026" in told and item.due.isoformat() == "2026-05-30"
    texts = [duty.text for duty in late.selection.duties["sash-lead"]]
    assert any("up to 156 days a year" in text for text in texts)


@published("29 CFR 1926.62(j)(2)(i)(A): every two months for the first six, every six months from then on")
@pytest.mark.parametrize(("last", "due"), [("2026-05-31", "2026-07-31"), ("2026-06-01", "2026-12-01")])
def test_the_blood_test_on_the_day_that_ends_the_first_half_year_is_repeated_after_the_next(
    last: str, due: str, tmp_path: Path
) -> None:
    days = {"people[0].surveillance[0].date": "2025-12-01", "people[0].surveillance[1].date": last}
    items = judged_by(catalogue_of(()), patched({"set": days}), tmp_path).due(365).items
    assert [str(item.due) for item in items if item.id == "surveillance.jo-marsh.lead"] == [due]


def test_days_of_several_tasks_with_one_agent_count_together(tmp_path: Path) -> None:
    split = {
        "tasks[0].days_per_year": "20",
        "tasks[1].days_per_year": "20",
        "tasks[1].use": "required",
        "hazards[1].agent": "lead",
        "hazards[1].exposure.concentration": "60 ug/m3",
    }
    none = {"drop": ["people[0].surveillance"]}
    assert "SUR-002" in {d.code for d in judged(patched({"set": split, **none}), tmp_path).findings}
    (both,) = (d.what for d in judged(patched({"set": split, **none}), tmp_path).findings if d.code == "SUR-002")
    assert "up to 40 days a year" in both
    alone = patched({"set": {"tasks[0].days_per_year": "20"}, **none})
    (once,) = (d.what for d in judged(alone, tmp_path).findings if d.code == "SUR-002")
    assert "more than 30 days" not in once and "a first blood test" in once


@published("29 CFR 1926.62(j)(1)(i): any day at or above 30 µg/m³; (d)(2)(v)(E): while a level is assumed")
def test_a_first_blood_test_hangs_on_one_day_or_on_an_assumed_level(tmp_path: Path) -> None:
    def first(hazard: dict[str, object], industry: str = "construction") -> list[str]:
        found = assessment_of({"agent": "lead", **hazard}, task={"industry": industry, "days_per_year": "1"})
        return [duty.citation for duty in standard_duties(found, ()) if "first blood test" in duty.text]

    assumed = {"exposure": {"kind": "lead-task", "group": "i", "task": "manual scraping"}}
    assert first({"exposure": samples(sample("30 ug/m3"))}) == ["29 CFR 1926.62(j)(1)(i)"]
    assert first({"exposure": samples(sample("29 ug/m3"))}) == []
    assert first(assumed) == ["29 CFR 1926.62(d)(2)(v)(E)"]
    assert first({"exposure": samples(sample("30 ug/m3"))}, "general") == []
    one_day = {"tasks[0].days_per_year": "1", "hazards[0].exposure": assumed["exposure"]}
    found = judged(patched({"set": one_day, "drop": ["people[0].surveillance"]}), tmp_path)
    (item,) = (one for one in found.due(30).overdue if one.id == "surveillance.jo-marsh.lead")
    (told,) = (one.citation for one in found.findings if one.code == "SUR-002")
    assert item.basis == told == "29 CFR 1926.62(d)(2)(v)(E)"


@published(
    "29 CFR 1926.62(d)(1)(i), (d)(2): a level is assumed until the air is assessed, and the employer assesses it"
)
def test_an_assumed_level_waits_for_its_assessment(tmp_path: Path) -> None:
    exposure = {"kind": "lead-task", "group": "i", "task": "manual scraping"}
    found = judged(patched({"set": {"hazards[0].exposure": exposure}}), tmp_path)
    (item,) = (one for one in found.due(30).overdue if one.id == "exposure.sash-lead")
    assert (item.due, item.basis) == (None, "29 CFR 1926.62(d)(1)(i)")
    assert [one.severity for one in found.findings if one.code == "EXP-039"] == ["caution"]
    sampled = judged(patched({}), tmp_path)
    assert all(one.due for one in sampled.due(900).items if one.id == "exposure.sash-lead")


STANDARDS = [(row["agent"], row["industry"]) for row in table_rows("substance_standards")]
READ = {(row["agent"], one) for row in table_rows("surveillance") for one in row["industries"].split(";")}
UNREAD = {
    (row["agent"], one): row["look_up"]
    for row in table_rows("surveillance_unread")
    for one in row["industries"].split(";")
}


def test_the_examinations_of_every_standard_are_read_or_to_be_looked_up() -> None:
    assert not READ & set(UNREAD)
    assert READ | set(UNREAD) == set(STANDARDS)


@pytest.mark.parametrize(("agent", "industry"), STANDARDS)
def test_no_standard_is_passed_over_in_silence(agent: str, industry: str) -> None:
    """Nobody knows the level: what the standard asks, or where to look it up, is told."""
    found = assessment_of({"agent": agent, "exposure": {"kind": "unknown"}}, task={"industry": industry})
    asked = {place for _, place in unread_surveillance(found)}
    assert asked == ({UNREAD[agent, industry]} if (agent, industry) in UNREAD else set())
    assert asked or list(surveillance_rules(found))


def test_where_to_look_is_asked_from_the_action_level_on_and_for_these_agents_alone() -> None:
    def asked(agent: str, level: str) -> list[str]:
        hazard = {"agent": agent, "exposure": samples(sample(level))}
        return [place for _, place in unread_surveillance(assessment_of(hazard, task={"industry": "general"}))]

    assert asked("lead", "30 ug/m3") == ["29 CFR 1910.1025(j)"]
    assert asked("lead", "29 ug/m3") == []
    assert asked("toluene", "900 ppm") == []


def test_a_figure_of_days_wins_and_a_season_shortens_what_weeks_come_to() -> None:
    """By the calendar: April to October has 214 days, or 31 weeks that begin or end in it."""
    said = {
        "About 55 days a year, two days a week": 55,
        "Two days a week, about 55 days a year": 55,
        "Two days a week, April to October": 62,
        "Every day, from May to July": 92,
        "Two days a week, not June to August": 104,
        "Daily in summer": 365,
        "Twice a week, April–October; also in winter": 104,
    }
    assert {text: most_days(text) for text in said} == said
