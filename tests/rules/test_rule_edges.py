"""Where one word or one day more or less decides a rule: found by seeding small faults."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import Any

import pytest
from programs.patching import checked_by, patched
from rules.test_due_items import SCBA, due
from rules.test_schedules import only, varnishing
from rules.workplaces import air_of, assessment_of, codes, described, sample, samples, selected

from progdoc.model.description.upkeep import Basis
from progdoc.rules.in_force.law_values import excess, figure_of
from progdoc.rules.judged.figure_results import Figure
from progdoc.rules.lookup.law_tables import silica_rows
from progdoc.rules.outcome import Fault, Outcome, any_of
from progdoc.rules.reading.catalogue import built_in_catalogue

LEAD = {"agent": "lead", "irritates_eyes": "no", "exposure": samples(sample("120 ug/m3"))}


def found_in(**changes: Any) -> dict[str, list[str]]:
    """Return what is found in the changed base program, by code."""
    found: dict[str, list[str]] = {}
    for finding in checked_by(built_in_catalogue(), patched({"set": changes})).report.findings:
        found.setdefault(finding.code, []).append(f"{finding.what} {'/'.join(finding.subject)}")
    return found


def _interval(text: str) -> Figure:
    return figure_of(text, "interval")


@pytest.mark.parametrize(
    ("days", "calendar", "is_longer"),
    [
        ("30 days", "1 month", False), ("31 days", "1 month", True),
        ("365 days", "12 months", False), ("366 days", "12 months", True),
    ],
)  # fmt: skip
def test_thirty_days_pass_for_a_month_and_no_more(days: str, calendar: str, is_longer: bool) -> None:
    over = excess(_interval(days), _interval(calendar), "interval")
    assert over is not None
    assert (over > 0) is is_longer


def test_where_nothing_is_shown_what_is_open_counts_before_what_is_not_there() -> None:
    no_mask = Outcome(nothing="There is no such mask.")
    silent, open_ = Outcome(faults=(Fault("a", is_silent=True),)), Outcome(ask=("b",))
    against = Outcome(faults=(Fault("c"),))
    for half in (
        Outcome(shown=("d",), faults=against.faults),
        Outcome(shown=("d",), ask=("b",)),
    ):  # of all parts of one
        assert not half.is_shown and not any_of([half]).shown
    assert any_of([no_mask, silent]).faults == silent.faults
    assert any_of([no_mask, open_]).ask == ("b",)
    assert any_of([no_mask, silent, open_, against]).faults == against.faults
    assert any_of([no_mask]).nothing == no_mask.nothing


def test_a_limit_of_detection_at_the_limit_itself_still_decides() -> None:
    def judged_at(level: str) -> list[str]:
        results = samples(sample(level, 15, averaging="STEL", below_detection="yes"), sample("0.1 ppm"))
        return codes(assessment_of({"agent": "benzene", "form": "vapour", "exposure": results}))

    assert "EXP-007" not in judged_at("5 ppm")  # 1910.1028(c)(2): 5 ppm over 15 minutes
    assert "EXP-007" in judged_at("5.1 ppm")


def test_a_factor_of_one_is_a_factor() -> None:
    judgment = {"kind": "judgment", "by": "A", "guidance": "B", "needed_apf": "1", "date": "2026-05-01"}
    air = air_of(
        [
            {
                "agent": "mould",
                "limit": "none published",
                "law_looked_up": "yes",
                "looked_up_as": "Looked up by what it is, no CAS number",
                "exposure": judgment,
            }
        ]
    )
    assert air.needed.value == 1.0


def test_a_mixture_names_what_has_no_level() -> None:
    level = samples(sample("10 ppm"))
    solvents = [{"agent": agent, "form": "vapour", "exposure": level} for agent in ("toluene", "xylene")]
    for more, notes in (([], False), ([{"agent": "acetone", "form": "vapour"}], True)):
        mixture = air_of([*solvents, *more]).mixture
        assert mixture is not None
        assert ("Without a level, so not in the sum: acetone." in mixture.notes) is notes
        assert any(note.startswith("Without a level") for note in mixture.notes) is notes


def test_a_policy_for_an_agent_binds_the_task_that_has_it_and_no_other() -> None:
    policy = {"id": "p", "by": "A", "source": "B", "agents": ["lead"], "least_filter": "P100"}
    program = described([LEAD], policies=[policy])
    clean = program.tasks[0].model_copy(update={"id": "u"})
    found = selected(program.model_copy(update={"tasks": (*program.tasks, clean)}))
    assert [bool(found.air[task].rules.any_mask.least_filters) for task in ("t", "u")] == [True, False]


@pytest.mark.parametrize(("effort", "is_barred"), [("light", False), ("moderate", True), ("heavy", True)])
def test_who_may_do_light_work_only_is_barred_from_harder_work_alone(effort: str, is_barred: bool) -> None:
    limited = {"date": "2026-02-03", "recommendation": "cleared-with-limits", "limits": ["light-work-only"],
               "copy_given": "yes"}  # fmt: skip
    found = found_in(**{"people[0].medical": [limited], "tasks[0].effort": effort})
    assert ("MED-035" in found) is is_barred


@pytest.mark.parametrize(("use", "is_missing"), [("required", True), ("voluntary", False)])
def test_only_who_has_to_wear_a_mask_has_to_have_one(use: str, is_missing: bool) -> None:
    """The clean task allows a mask by choice; whoever does it needs none."""
    changes = {"people[0].masks": [], "tasks[0].people": ["ravi-stone"], "tasks[1].use": use}
    assert ("PRG-004" in found_in(**changes)) is is_missing


def test_a_breach_of_a_policy_prints_what_the_program_says() -> None:
    policy = {"id": "p", "by": "A", "source": "B", "fit_test_interval": "6 months"}
    (words,) = found_in(policies=[policy], **{"procedures.fit_testing.interval": "12 months"})["POL-002"]
    assert "12 months" in words


def test_a_policy_may_name_an_agent_that_no_table_knows() -> None:
    judgment = {"kind": "judgment", "by": "A", "guidance": "B", "needed_apf": "10", "date": "2026-05-01"}
    hazard = {
        "agent": "Bone glue dust",
        "limit": "none published",
        "law_looked_up": "yes",
        "looked_up_as": "Looked up by what it is, no CAS number",
        "exposure": judgment,
    }
    for name, binds in (("bone glue dust", True), ("Bone meal dust", False)):
        policy = {"id": "p", "by": "A", "source": "B", "agents": [name], "least_filter": "P100"}
        assert bool(air_of([hazard], policies=[policy]).rules.any_mask.least_filters) is binds


@pytest.mark.parametrize(
    ("exposure", "because"),
    [
        (samples(sample("120 ug/m3", 480)), "its air calls for a mask"),
        ({"kind": "unknown", "because": "Nobody was there"}, "nobody knows yet how bad its air is"),
    ],
)
def test_what_makes_a_voluntary_mask_a_required_one_is_said(exposure: dict[str, Any], because: str) -> None:
    found = found_in(**{"tasks[0].use": "voluntary", "hazards[0].exposure": exposure})
    assert [because in words for words in found["TSK-005"] if "scrape-sashes" in words] == [True]


@pytest.mark.parametrize(("duration", "column"), [("4 h", "up to 4 hours"), ("5 h", "over 4 hours")])
def test_table_1_names_the_column_that_was_read(duration: str, column: str) -> None:
    """29 CFR 1926.1153 Table 1 has one column for up to 4 hours a shift and one for more."""
    row = next(row for row in silica_rows() if row.apf_over_4_h)
    controls = [*row.controls, *row.general_controls]
    exposure = {"kind": "silica-table-1", "row": row.row, "option": str(row.option), "place": row.place,
                "controls_in_place": controls, "date": "2026-05-01"}  # fmt: skip
    air = air_of([{"agent": "crystalline silica", "exposure": exposure}], task={"duration": duration})
    assert f", {column} a shift: " in air.agents[0].floor_basis


def test_makers_data_may_name_what_no_table_knows() -> None:
    source = next(s for s in only(varnishing(agents=["bone glue vapour"])).sources if s.kind is Basis.MAKER)
    assert source.why_not == "it does not name toluene"


def test_a_filter_fitted_in_the_smoke_test_is_judged_by_itself() -> None:
    """29 CFR 1910.134 App. A, I.B.5(a)(1): P100, or HEPA, on a mask that has no filter of its own."""
    test = {"date": "2026-03-02", "mask": "half-mask", "size": "M", "protocol": "irritant-smoke", "result": "pass"}
    for fitted, is_wrong in (("N95", True), ("P100", False)):
        found = found_in(**{"people[0].fit_tests": [{**test, "filters": fitted}]})
        assert ("FIT-503" in found) is is_wrong, sorted(found)


@pytest.mark.parametrize(
    ("hottest", "is_refused"), [("-52 C", True), ("-48 C", False), ("59 C", False), ("61 C", True)]
)
def test_air_that_no_crew_works_in_is_not_estimated(hottest: str, is_refused: bool) -> None:
    values = varnishing()
    values["tasks"][0]["temperature_low"] = values["tasks"][0]["temperature_high"] = hottest
    refusals = [source.why_not for source in only(values).sources]
    assert any("outside the model" in why for why in refusals) is is_refused, refusals


def test_the_shortest_interval_is_counted_from_the_day_it_was_done(tmp_path: Path) -> None:
    """From 1 February a month is 28 days, shorter than 30 days; from 1 May it is 31, longer than 30."""
    policy = {"id": "p", "by": "A", "source": "B", "emergency_inspection_interval": "30 days"}
    for done, due_on in (("2026-02-01", date(2026, 3, 1)), ("2026-05-01", date(2026, 5, 31))):
        unit = {"id": "e-4", "inspections": [{"date": done, "by": "Ada Brook"}]}
        items = due(tmp_path, set={"masks[3]": {**SCBA, "units": [unit]}, "policies": [policy]})
        assert items["inspection.pack.e-4"].due == due_on


def test_a_program_that_was_never_evaluated_says_from_when_it_is_due() -> None:
    yearly = {"procedures.evaluation.interval": "12 months"}
    dropped = ["procedures.evaluation.last"]
    young = {"set": {**yearly, "program.effective": "2026-03-01"}, "drop": dropped}
    judged = checked_by(built_in_catalogue(), patched(young)).judged
    assert judged is not None
    (told,) = [v for v in judged.verdicts if v.requirement.code == "EVA-003"]
    assert told.because == "It is not due before 1 March 2027."
    late = {"set": {**yearly, "program.effective": "2025-03-01"}, "drop": dropped}
    (finding,) = [f for f in checked_by(built_in_catalogue(), patched(late)).report.findings if f.code == "EVA-003"]
    assert "in effect, and not evaluated, since 1 March 2025, due 1 March 2026" in finding.what


@pytest.mark.parametrize(
    ("because", "is_open"),
    [
        ("Drums without labels that nobody opens", False),
        ("No method reaches this mixture", False),
        ("Never measured; sampling by Clearfield Hygiene is ordered", True),
        ("Nobody has measured it. The hygienist comes on 3 December", True),
        ("It has not been measured yet", True),
        ("Samples of last week, at the lab", True),
    ],
)
def test_sampling_to_come_is_no_reason_why_nobody_can_know(because: str, is_open: bool) -> None:
    """29 CFR 1910.134(d)(1)(iii): what can't be identified or reasonably estimated is immediately dangerous."""
    found = found_in(**{"hazards[0].exposure": {"kind": "unknown", "because": because}})
    assert any("sash-lead" in words or "scrape-sashes" in words for words in found.get("EXP-001", ())) is is_open


def test_a_day_still_to_come_is_not_called_unsaid() -> None:
    found = found_in(**{"hazards[0].exposure": samples(sample("20 ug/m3") | {"date": "2099-01-01"})})
    assert "EXP-026" in found
    assert not [words for words in found.get("EXP-020", ()) if "sash-lead" in words]
