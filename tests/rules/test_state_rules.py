"""A state's own requirements: whom they bind, and that what was read of them is judged there and nowhere else."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from functools import cache
from typing import Any

import pytest
from programs.patching import AS_OF, loaded
from published_value import published

from progdoc.app.check import check
from progdoc.core.worked import Worked
from progdoc.model.description.masks import Particulate
from progdoc.rules.lookup.law_tables import filter_class
from progdoc.rules.reading.catalogue import Catalogue, built_in_catalogue, catalogue_with, states_that_ship

STATES = states_that_ship()
LAW, FAULTS = catalogue_with((), STATES)
FEDERAL_SMOKE = ("SMK-001", "SMK-002")


def program(first: str, second: str = "Ohio", **more: Any) -> dict[str, Any]:
    """Return a firm with a booth in each of two yards."""
    booths = [
        {"id": name, "name": f"Painting {name}", "sites": [name], "use": "none", "done_by": "our-people"}
        | {"spraying": {"place": "booth", "downstream": "yes"}}
        for name in ("here", "there")
    ]
    return {
        "format": "1",
        "program": {"jurisdiction": {"authority": "state-plan", "state": first}},
        "organisation": {
            "sites": [{"id": "here", "name": "Yard", "state": first}, {"id": "there", "name": "Barn", "state": second}]
        },
        "tasks": booths,
    } | more


@cache
def law_of(*codes: str) -> Catalogue:
    """Return the law of the states with a few of its requirements alone: the rest takes ten times as long to judge."""
    return replace(LAW, requirements=tuple(rule for rule in LAW.requirements if rule.code in codes))


def stands(values: dict[str, Any], code: str, day: date = AS_OF) -> dict[str, str]:
    """Return how each subject stands to a rule, by its label."""
    checked = check(loaded(values), day, law_of(code))
    assert checked.judged is not None, [d.what for d in checked.report.findings]
    return {v.subject.label: v.status.value for v in checked.judged.verdicts if v.requirement.code == code}


@published("8 CCR 5153(g): downstream in a booth a mask is worn, whatever the concentration")
def test_a_booth_in_california_alone_answers_to_california() -> None:
    values = program("California")
    assert stands(values, "STA-001") == {"Painting here": "gap", "Painting there": "not-applicable"}
    values["tasks"][0]["spraying"]["downstream"] = "no"
    assert stands(values, "STA-001")["Painting here"] == "met"
    values["tasks"][0] |= {"use": "required", "spraying": {"place": "booth"}}
    assert stands(values, "STA-001")["Painting here"] == "met"
    del values["tasks"][0]["spraying"]
    assert set(stands(values, "STA-001").values()) == {"not-applicable"}
    assert set(stands(program("Washington"), "STA-001").values()) == {"not-applicable"}
    both = program("California")
    del both["tasks"][0]["sites"]  # it may be done in either yard
    assert stands(both, "STA-001")["Painting here"] == "gap"


@published("WAC 296-842-19005(1): two stand by outside; 29 CFR 1910.134(g)(3)(i): one")
def test_washington_wants_two_outside_where_federal_law_wants_one() -> None:
    def with_standby(count: str, first: str, second: str = "Ohio") -> tuple[str, str]:
        values = program(first, second, procedures={"emergencies": {"idlh": {"standby": count}}})
        values["tasks"][0] |= {"immediately_dangerous": "yes", "use": "required"}
        return stands(values, "STA-002")["the program"], stands(values, "IDL-001")["the program"]

    assert with_standby("1", "Washington") == ("gap", "met")
    assert with_standby("2", "Washington") == ("met", "met")
    assert with_standby("1", "Ohio", "Washington") == ("gap", "met")  # a duty of the program: any place there
    assert with_standby("1", "California") == ("not-applicable", "met")


@published("WAC 296-842-11005(3)(e): training of those who wear other masks than dust masks by choice")
def test_washington_trains_those_who_wear_a_mask_by_choice() -> None:
    mask = {"id": "half", "facepiece": "half-mask", "mode": "air-purifying"}
    values = program("Washington", masks=[mask])
    values["tasks"][0] |= {"use": "voluntary", "masks": [{"mask": "half"}]}
    assert stands(values, "STA-003") == {"the program": "gap"}
    trained = values | {"procedures": {"training": {"by": "Ada Brook", "before_use": "yes"}}}
    assert stands(trained, "STA-003") == {"the program": "met"}
    values["program"]["jurisdiction"]["state"] = values["organisation"]["sites"][0]["state"] = "Oregon"
    assert stands(values, "STA-003") == {"the program": "not-applicable"}


@published("8 CCR 5144: (d)(3)(C)2.b is the federal (d)(3)(iii)(B)(2), (e)(2)(B) is (e)(2)(ii); (m)(1): 8 CCR 3204")
def test_work_in_california_is_cited_by_the_letters_of_its_standard() -> None:
    def cited(first: str, second: str) -> dict[str, str]:
        values = program(first, second)
        values["tasks"][0]["use"] = values["tasks"][1]["use"] = "required"
        judged = check(loaded(values), AS_OF, LAW).judged
        assert judged is not None
        told = {f"finding {d.code}": d.citation for d in judged.findings}
        stands = [v for v in judged.verdicts if v.status.value != "not-applicable"]
        return told | {f"{v.requirement.code} {v.subject.label}": str(v.citation) for v in stands}

    there, both, elsewhere = cited("California", "CA"), cited("California", "Ohio"), cited("Ohio", "Texas")
    federal, own = "29 CFR 1910.134(c)(1)(i)", "8 CCR 5144(c)(1)(A)"
    of_the_program, here, away = "PRG-017 the program", "TSK-007 Painting here", "TSK-007 Painting there"
    assert (elsewhere[of_the_program], there[of_the_program]) == (federal, own)
    assert there["finding PRG-017"] == own and both["finding PRG-017"] == federal, "the program is for Ohio too"
    assert both["TSK-006 Painting here"] == "29 CFR 1910.134(a)(2)", "of (a) no letters were read"
    assert (both[here], both[away]) == ("8 CCR 5144(d)(1)(A)", "29 CFR 1910.134(d)(1)(i)")
    assert {both["REC-002 the program"], there["REC-002 the program"]} == {"8 CCR 5144(m)(1)"}
    left = {place for place in there.values() if place.startswith("29 CFR 1910.134(")}
    assert {place for place in left if place[15:18] not in ("(a)", "(b)")} == set()


@published("8 CCR 1532.1(d), agency news release 2025-47: 5 hours a day until assessed, 2 hours from 2030-01-01")
def test_dry_blasting_with_lead_is_short_in_california_until_its_air_is_assessed() -> None:
    def blasting(duration: str, state: str = "California", day: date = AS_OF, **hazard: Any) -> str:
        values = program(state)
        task = {"blasting": {"work": "blasting"}, "industry": "construction", "use": "required", "duration": duration}
        values["tasks"][0] |= task
        values["hazards"] = [{"id": "lead", "task": "here", "agent": "lead", "form": "dust"} | hazard]
        return stands(values, "STA-012", day)["Painting here"]

    task = {"exposure": {"kind": "lead-task", "group": "iv", "task": "abrasive blasting"}}
    sample = {"concentration": "2 mg/m3", "duration": "400 min", "date": "2026-03-02", "method": "NIOSH 7082"}
    sampled = {"exposure": {"kind": "samples", "results": [sample]}}
    assert (blasting("5 h", **task), blasting("5.5 h", **task)) == ("met", "gap")
    last, first = date(2029, 12, 31), date(2030, 1, 1)
    assert [blasting(time, day=day, **task) for time in ("3 h", "2 h") for day in (last, first)] == [
        "met", "gap", "met", "met",
    ]  # fmt: skip
    assert blasting("6 h", **sampled) == "not-applicable"
    assert blasting("6 h", "Ohio", **task) == "not-applicable"


@published(
    "8 CCR 5155(c)(2)(B): 3 times a limit up to 1, twice one up to 10, 1.5 times a higher one; NMP 1, MIBK 50/75 ppm"
)
def test_california_has_a_guide_for_peaks_where_no_stel_stands() -> None:
    def peak(level: str, agent: str = "NMP", state: str = "California") -> str:
        values = program(state)
        sample = {"concentration": level, "duration": "15 min", "averaging": "STEL", "date": "2026-03-02"}
        hazard = {"id": "air", "task": "here", "agent": agent, "form": "vapour"}
        values["hazards"] = [hazard | {"exposure": {"kind": "samples", "results": [sample]}}]
        return next(iter(stands(values, "STA-013").values()))

    assert (peak("3 ppm"), peak("3.1 ppm")) == ("met", "gap")
    assert (peak("20 ppm", "1-bromopropane"), peak("10.1 ppm", "1-bromopropane")) == ("gap", "gap")
    assert peak("10 ppm", "1-bromopropane") == "met"
    assert peak("400 ppm", "toluene") == "not-applicable", "its STEL judges it"
    assert peak("400 ppm", "NMP", "Ohio") == "not-applicable"


@published("8 CCR 5155(c)(1)(B) and Appendix (B): several agents add up unless something shows otherwise, in all work")
def test_in_california_agents_add_up_by_law_in_construction_too() -> None:
    def mixture(state: str) -> Worked:
        values = program(state)
        values["tasks"][0]["industry"] = "construction"
        exposure = {"kind": "estimate", "concentration": "20 ppm", "by": "Clearfield Hygiene", "basis": "Volume used"}
        values["hazards"] = [
            {"id": agent, "task": "here", "agent": agent, "form": "vapour", "exposure": exposure}
            for agent in ("acetone", "toluene")
        ]
        judged = check(loaded(values), AS_OF, law_of()).judged
        assert judged is not None
        found = judged.selection.air["here"].mixture
        assert found is not None
        return found

    there, elsewhere = mixture("California"), mixture("Ohio")
    assert there.citation == "8 CCR 5155(c)(1)(B), Appendix (B)" and not there.notes
    assert there.value == pytest.approx(20 / 500 + 20 / 10)
    assert elsewhere.citation.startswith("29 CFR 1910.1000(d)(2)(i)") and "good practice" in elsewhere.notes[0]


WASHINGTON_ASKS = [
    ("STA-005", "procedures.use.infrequent_tasks", "The officer goes through the task page before", None),
    (
        "STA-006",
        "organisation.free_of_charge",
        ["masks", "training", "medical-evaluations", "fit-tests", "maintenance", "travel", "wages"],
        ["masks", "training", "medical-evaluations", "fit-tests", "maintenance", "travel"],
    ),
    ("STA-007", "procedures.training.supervisors_too", "yes", "no"),
    ("STA-008", "procedures.records.training_recorded", "yes", "no"),
    ("STA-010", "procedures.use.supervisors_look", "yes", "no"),
    ("STA-011", "procedures.use.leave_to", ["ill-or-dizzy"], ["breathing-changes"]),
]


@published(
    "WAC 296-842-12005 with Table 3 and its note, -12010(3), -16005, -18010, in force 2017-10-06: what 29 CFR 1910.134 "
    "does not ask"
)
def test_washington_asks_of_a_program_what_federal_law_does_not() -> None:
    def of(state: str, column: int) -> dict[str, str]:
        values = program(state, "Ohio")
        values["tasks"][0]["use"] = "required"
        for _, path, *told in WASHINGTON_ASKS:
            *steps, last = path.split(".")
            group = values
            for step in steps:
                group = group.setdefault(step, {})
            if told[column] is not None:
                group[last] = told[column]
        judged = check(loaded(values), AS_OF, law_of(*(code for code, *_ in WASHINGTON_ASKS))).judged
        assert judged is not None
        found = {v.requirement.code: v.status.value for v in judged.verdicts if v.subject.kind == "program"}
        return {code: found[code] for code, *_ in WASHINGTON_ASKS}

    assert set(of("Washington", 0).values()) == {"met"}
    assert set(of("Washington", 1).values()) == {"gap"}
    assert set(of("Ohio", 1).values()) == {"not-applicable"}


@published(
    "WAC 296-842-11005(2), Table 2: its own information text; -14005 with steps 5 and 6: questionnaire and follow-ups"
)
def test_washington_has_a_questionnaire_and_an_information_text_of_its_own() -> None:
    def of(state: str, said: str) -> tuple[str, str]:
        medical = {"method": "questionnaire", "questionnaire": {"of_the_state": said}}
        values = program(state, procedures={"medical": medical, "voluntary_use": {"state_text": said}})
        values["tasks"][0]["use"], values["tasks"][1]["use"] = "required", "voluntary"
        values["tasks"][1]["sites"] = ["here"]
        return stands(values, "STA-014")["the program"], stands(values, "STA-015")["the program"]

    assert of("Washington", "yes") == ("met", "met")
    assert of("Washington", "no") == ("gap", "gap")
    assert of("Ohio", "no") == ("not-applicable", "not-applicable")


@published(
    "8 CCR 5204(a)(2)-(4): such work on stone whatever the exposure; work under 1532.3, construction, has its own"
)
def test_california_asks_of_silica_outside_construction_whether_stone_is_worked() -> None:
    def of(agent: str, industry: str = "general", state: str = "California", read: str = "") -> str:
        values = program(state)
        values["tasks"][0]["industry"] = industry
        hazard = {"id": "dust", "task": "here", "agent": agent, "form": "dust"}
        values["hazards"] = [hazard | ({"rule_checked": read} if read else {})]
        return next(iter(stands(values, "STA-016").values()))

    assert of("crystalline silica") == of("cristobalite") == "gap"
    assert of("crystalline silica", read="TBD") == of("crystalline silica", read="Not looked up yet") == "gap"
    assert of("crystalline silica", read="Jo Marsh read 8 CCR 5204: no stone is worked") == "met"
    others = (
        ("crystalline silica", "construction"),
        ("wood dust", "general"),
        ("crystalline silica", "general", "Ohio"),
    )
    assert [of(*one) for one in others] == ["not-applicable"] * 3


@published("WAC 296-842-10200: use by choice is use where no hazard exists; any other is required use")
def test_washington_has_choice_only_where_no_hazard_is() -> None:
    def of(state: str, only: str) -> dict[str, str]:
        values = program(state, procedures={"voluntary_use": {"allowed": "yes", "only_without_hazard": only}})
        values["tasks"][0]["use"] = "voluntary"
        return stands(values, "STA-009")

    assert of("Washington", "yes") == {"the program": "met"}
    assert of("Washington", "no") == {"the program": "gap"}
    assert of("Ohio", "no") == {"the program": "not-applicable"}


@published(
    "WAC 296-842-13005, step 5(a): air with too much oxygen is immediately dangerous; 29 CFR 1910.146(b): 23.5 %"
)
def test_enriched_air_is_immediately_dangerous_in_washington_alone() -> None:
    def dangers(state: str, share: str, **more: str) -> str:
        values = program(state)
        values["tasks"][0]["oxygen"] = {"lowest": share, "by_meter": "yes", "date": "2026-05-04"} | more
        judged = check(loaded(values), AS_OF, law_of("TSK-020")).judged
        assert judged is not None
        return " ".join(judged.selection.air["here"].danger)

    def barred(state: str) -> dict[str, str]:
        values = program(state)
        values["tasks"][0]["oxygen"] = {"lowest": "20.9 %", "highest": "24 %"}
        return stands(values, "TSK-020")

    assert barred("Ohio")["Painting here"] == barred("Washington")["Painting here"] == "gap"
    assert "more than 23.5 % oxygen (WAC 296-842-13005" in dangers("Washington", "24 %")
    assert "more than 23.5 % oxygen (WAC" in dangers("Washington", "20.9 %", highest="24 %")
    assert "oxygen" not in dangers("Washington", "20.9 %", highest="23.5 %")
    assert "oxygen" not in dangers("Washington", "23.5 %") and "oxygen" not in dangers("Ohio", "24 %")


@published("WAC 296-842-13005, Table 6: filters of 95 % at least; 42 CFR 84.170(b), 84.179(b): the classes")
def test_no_filter_that_can_be_described_holds_back_less_than_washington_asks() -> None:
    found = [filter_class(one.value) for one in Particulate]
    assert all(found) and min(one.min_efficiency_percent for one in found if one) == 95


@published("WAC 296-842-15005(3): above a factor of 10 a quantitative test; -18005, -12005, -14005, -16005, -17015")
def test_the_same_duty_is_cited_by_the_paragraph_of_the_state() -> None:
    def cited(state: str) -> dict[str, str]:
        values = program(state)
        values["tasks"][0]["use"] = "required"
        judged = check(loaded(values), AS_OF, LAW).judged
        assert judged is not None
        mine = [v for v in judged.verdicts if v.subject.kind == "program" or v.subject.ids == ("tasks.here",)]
        return {v.requirement.code: str(v.citation) for v in mine}

    there, elsewhere = cited("Washington"), cited("Ohio")
    assert there["USE-001"] == "WAC 296-842-18005" and elsewhere["USE-001"] == "29 CFR 1910.134(g)(1)(i)(A)"
    assert there["MED-012"] == "WAC 296-842-14005, step 5" and there["REC-006"] == "WAC 296-842-12010(5)"
    assert there["FIT-029"] == "WAC 296-842-15005(3)" and there["TSK-007"] == "WAC 296-842-12005, Table 3"
    assert all(code.startswith("STA-") for code, place in elsewhere.items() if place.startswith("WAC"))


@published("WAC 296-841-20025: a table of limits of the state's own")
def test_washington_asks_for_its_own_limit_of_each_agent_and_its_source() -> None:
    def with_limit(limit: object, state: str = "Washington") -> dict[str, str]:
        values = program(state)
        values["hazards"] = [{"id": "fumes", "task": "here", "agent": "toluene", "form": "vapour"}]
        if limit:
            values["hazards"][0]["limit"] = limit
        return stands(values, "STA-004")

    assert set(with_limit(None).values()) == {"gap"}
    assert set(with_limit({"value": "50 ppm", "source": "looked up in the state's table"}).values()) == {"met"}
    assert set(with_limit("none published").values()) == {"met"}
    assert set(with_limit(None, "Ohio").values()) == {"not-applicable"}


@published("29 CFR 1926.62(d)(2)(i), (iv): up to 500, over 2,500 µg/m³; 8 CCR 5155, Table AC-1: lead 0.01 mg/m³")
def test_levels_assumed_of_lead_are_set_against_the_limit_of_california() -> None:
    """The state's own levels were read as multiples alone, not with their tasks: the stricter federal ones are kept."""

    def floor(state: str, group: str, name: str) -> tuple[float | None, str]:
        values = program(state)
        values["tasks"][0] |= {"industry": "construction", "use": "required"}
        exposure = {"kind": "lead-task", "group": group, "task": name}
        values["hazards"] = [{"id": "lead", "task": "here", "agent": "lead", "form": "dust", "exposure": exposure}]
        judged = check(loaded(values), AS_OF, law_of()).judged
        assert judged is not None
        found = judged.selection.air["here"].agents[0]
        return found.floor, found.floor_basis

    assert floor("Ohio", "i", "manual scraping")[0] == 10
    scraping, blasting = floor("California", "i", "manual scraping"), floor("California", "iv", "abrasive blasting")
    assert (scraping[0], blasting[0]) == (500 / 10, 2500 / 10)
    assert "against 10 µg/m³" in scraping[1] and "5155" in scraping[1]


def test_the_packs_of_states_are_sound_and_leave_the_federal_figures_alone() -> None:
    """They are laid over by everybody who has work in those states: a figure of theirs would bind all other work."""
    federal = built_in_catalogue()
    assert frozenset({"California", "Washington"}) == STATES and FAULTS == ()
    assert [value for value in LAW.values if not value.state] == list(federal.values)
    assert LAW.law_on(AS_OF).values == federal.law_on(AS_OF).values
    assert [replace(r, lettered=()) for r in LAW.requirements if not r.state] == list(federal.requirements)
    own = [r for r in LAW.requirements if r.code.startswith(("STA-", "SMK-")) and r.code not in FEDERAL_SMOKE]
    assert all(r.state in STATES for r in own)
    assert {r.code for r in LAW.requirements if r.state} - {r.code for r in own} <= {
        r.code for r in federal.requirements
    }
