"""What falls due: the intervals of 29 CFR 1910.134 and of two substance standards, and ids that stay.

One complete program and small changes to it go in as YAML; what falls due on 2026-06-01 comes out.
"""

from __future__ import annotations

from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest
from document.said_fields import judged_values
from document.test_nothing_said_is_lost import values_of
from hypothesis import given
from hypothesis import strategies as st
from programs.patching import AS_OF, catalogue_of, judged, judged_by, patched
from published_value import published

from progdoc.document.blocks.unused_blocks import printed_words
from progdoc.document.papers.person_card import card_documents
from progdoc.document.papers.task_page import task_documents
from progdoc.model.description.quantities import Dimension
from progdoc.rules.air.monitoring import monitoring_rules
from progdoc.rules.due.due_items import DueItem, outlook, rounds
from progdoc.rules.in_force.intervals import Cycle
from progdoc.rules.judged.due_results import Kind, OutlookItem
from progdoc.rules.lookup.cited import cited
from progdoc.rules.lookup.table_files import table_rows
from progdoc.rules.reading.catalogue import built_in_catalogue
from progdoc.writers.calendar import calendar_bytes

SCBA = {
    "id": "pack", "facepiece": "full-facepiece", "mode": "scba-pressure-demand", "service_time": "30 min",
    "emergency": "yes",
    "units": [{
        "id": "e-4", "serial": "E-04",
        "inspections": [{"date": "2026-01-31"}, {"date": "2025-12-30"}],
        "cylinder": {"id": "c-1", "serial": "C-1187", "requalified": "2021-05-01", "requalify_by": "2026-05-31"},
    }],
}  # fmt: skip


def due(folder: Path, within: int = 60, **changes: Any) -> dict[str, OutlookItem]:
    values = patched({"set": changes.get("set", {}), "drop": changes.get("drop", [])})
    found = judged_by(catalogue_of(()), values, folder).due(within)  # what falls due hangs on no finding
    assert len({item.id for item in found.items}) == len(found.items)
    return {item.id: item for item in found.items}


@published("29 CFR 1910.134(f)(2), (k)(5): each year; 12 months to the day (k)(4)")
def test_fit_tests_and_trainings_fall_due_after_twelve_months(tmp_path: Path) -> None:
    items = due(tmp_path)
    assert items["fit-test.jo-marsh.half-mask"].due == date(2027, 2, 17)
    assert items["training.jo-marsh"].due == date(2027, 2, 17)
    assert items["fit-test.jo-marsh.half-mask"].basis == "29 CFR 1910.134(f)(2)"


def test_the_firms_own_shorter_interval_comes_first_and_a_longer_one_never(tmp_path: Path) -> None:
    short = due(tmp_path, set={"procedures.fit_testing.interval": "6 months"})["fit-test.jo-marsh.half-mask"]
    assert (short.due, short.basis) == (date(2026, 8, 17), "this program")
    long = due(tmp_path, set={"procedures.fit_testing.interval": "24 months"})["fit-test.jo-marsh.half-mask"]
    assert (long.due, long.basis) == (date(2027, 2, 17), "29 CFR 1910.134(f)(2)")


def test_a_policy_that_binds_shortens_what_it_names(tmp_path: Path) -> None:
    policy = {
        "id": "client", "by": "Northbridge Trust", "source": "Site rules 4", "training_interval": "6 months",
        "fit_test_interval": "9 months", "tasks": ["scrape-sashes"],
    }  # fmt: skip
    items = due(tmp_path, set={"policies": [policy]})
    assert items["training.jo-marsh"].due == date(2026, 8, 17)
    assert items["fit-test.jo-marsh.half-mask"].due == date(2026, 11, 17)
    assert "Northbridge Trust" in items["training.jo-marsh"].basis


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"drop": ["people[0].fit_tests"]}, "no fit test"),
        ({"set": {"people[0].masks[0].size": "S"}}, "another mask or size"),
        ({"set": {"people[0].fit_tests[0].result": "fail"}}, "not passed"),
        ({"set": {"people[0].changes": [{"date": "2026-04-01", "kind": "scar"}]}}, "may spoil the fit"),
    ],
)
def test_without_a_test_that_stands_it_is_due_at_once(tmp_path: Path, changes: dict[str, Any], words: str) -> None:
    item = due(tmp_path, **changes)["fit-test.jo-marsh.half-mask"]
    assert item.due is None and item.state == "now"
    assert words in item.because


@published("29 CFR 1910.134(e): no interval of its own; what the professional sets, and (e)(7), bind")
def test_a_medical_evaluation_is_due_only_where_somebody_called_for_it(tmp_path: Path) -> None:
    items = due(tmp_path)
    assert "medical.jo-marsh" not in items
    assert items["medical.ravi-stone"].due == date(2027, 2, 3)
    called = due(tmp_path, set={"people[0].medical[0].reevaluate": [{"date": "2026-05-11"}]})["medical.jo-marsh"]
    assert called.due is None and called.basis.endswith("(e)(7)")
    assert due(tmp_path, drop=["people[0].medical"])["medical.jo-marsh"].due is None


@published("29 CFR 1910.134(h)(3)(iii), (i)(4)(i): SCBA each month, cylinders as they are stamped")
def test_devices_fall_due(tmp_path: Path) -> None:
    items = due(tmp_path, set={"masks[3]": SCBA})
    inspection = items["inspection.pack.e-4"]
    assert inspection.due == date(2026, 2, 28)  # a month after 31 January
    assert inspection.state == "overdue"
    assert items["cylinder.pack.c-1"].due == date(2026, 5, 31)
    never = due(tmp_path, set={"masks[3]": {**SCBA, "units": [{"id": "e-5"}]}})
    assert never["inspection.pack.e-5"].due is None and "cylinder.pack.c-1" not in never


def test_the_air_of_a_compressor_is_due_at_once_when_never_analysed(tmp_path: Path) -> None:
    never = due(tmp_path, set={"procedures.air_supply": {"sources": ["compressor"]}})
    assert never["air-test"].due is None
    supply = {"sources": ["compressor"], "tested": "2026-04-30", "test_interval": "3 months"}
    assert due(tmp_path, set={"procedures.air_supply": supply})["air-test"].due == date(2026, 7, 30)
    on_the_day = {"sources": ["compressor"], "tested": "2026-06-01", "test_interval": "3 months"}
    assert due(tmp_path, set={"procedures.air_supply": on_the_day})["air-test"].due == date(2026, 9, 1)
    planned = {"sources": ["compressor"], "tested": "2026-06-02", "test_interval": "3 months"}
    item = due(tmp_path, set={"procedures.air_supply": planned})["air-test"]
    assert (item.due, item.because, item.basis) == (None, "never analysed", "this program")
    assert item.comes_up[:3] == (AS_OF, date(2026, 9, 1), date(2026, 12, 1))  # by the firm's own interval
    assert "air-test" not in due(tmp_path, set={"procedures.air_supply": {**supply, "sources": ["cylinders"]}})
    no_interval = {"sources": ["compressor"], "tested": "2026-04-30"}
    assert "air-test" not in due(tmp_path, set={"procedures.air_supply": no_interval})  # the law sets none


@published("29 CFR 1910.134(l): as necessary; a date only where the description adopts one")
def test_an_evaluation_is_due_only_by_an_adopted_interval(tmp_path: Path) -> None:
    unsaid = ["procedures.evaluation.occasion"]
    assert "evaluation" not in due(tmp_path, drop=unsaid)
    item = due(tmp_path, set={"procedures.evaluation.interval": "12 months"})["evaluation"]
    assert item.due == date(2027, 2, 20)


def test_open_corrections_are_due_and_done_ones_are_not(tmp_path: Path) -> None:
    finding = {
        "id": "boxes",
        "date": "2026-05-01",
        "what": "Boxes missing",
        "correction": "Buy boxes",
        "owner": "Jo Marsh",
    }
    place = "procedures.evaluation.findings"
    assert due(tmp_path, set={place: [{**finding, "due": "2026-06-15"}]})["correction.boxes"].due == date(2026, 6, 15)
    dated, open_ended = ({**finding, "due": "2026-06-15"}, finding)
    assert due(tmp_path, set={place: [dated]})["correction.boxes"].basis == "this program"  # its day is the firm's own
    item = due(tmp_path, set={place: [open_ended]})["correction.boxes"]
    assert (item.due, item.basis) == (None, "29 CFR 1910.134(l)(2)")
    for done, is_open in (("2026-05-20", False), (AS_OF.isoformat(), False), ("2026-06-02", True)):
        assert ("correction.boxes" in due(tmp_path, set={place: [{**finding, "done": done}]})) is is_open, done


# ---- evidence of exposure -----------------------------------------------------------------------------

LEVEL = "hazards[0].exposure.results[0].concentration"


@published(
    "29 CFR 1926.62(d)(6)(ii), (iii): quarterly over the limit of 50 µg/m³, six months from the action level of 30"
)
@pytest.mark.parametrize(
    ("level", "wanted"),
    [("120 ug/m3", date(2026, 6, 10)), ("45 ug/m3", date(2026, 9, 10)), ("20 ug/m3", date(2027, 3, 10))],
)
def test_lead_is_sampled_again_by_its_standard(tmp_path: Path, level: str, wanted: date) -> None:
    assert due(tmp_path, set={LEVEL: level})["exposure.sash-lead"].due == wanted


@published(
    "29 CFR 1926.1153(d)(2)(iii)(C), (D); 1926.62(d)(6)(ii), (iii); 1926.1126 and 1915.1026(d)(2)(iii)-(iv);"
    " 1926.1124 and 1915.1024(d)(3)(v)-(vi)"
)
def test_the_table_of_intervals_is_the_printed_one() -> None:
    read = {name: (rule["over_limit_months"], rule["action_level_months"]) for name, rule in monitoring_rules().items()}
    sections = ("1926.1153", "1926.62", "1926.1126", "1915.1026", "1926.1124", "1915.1024")
    assert read == {f"29 CFR {section}": (3, 6) for section in sections}


@published("29 CFR 1926.1126(b), (c), (d)(2)(iii)-(iv): action level 2.5 µg/m³, limit 5; six months, three months")
@pytest.mark.parametrize(
    ("level", "wanted"),
    [("6 ug/m3", date(2026, 6, 10)), ("3 ug/m3", date(2026, 9, 10)), ("2 ug/m3", date(2027, 3, 10))],
)
def test_chromium_is_sampled_again_by_its_standard(tmp_path: Path, level: str, wanted: date) -> None:
    changes = {"hazards[0].agent": "chromium (VI)", LEVEL: level}
    assert due(tmp_path, set=changes)["exposure.sash-lead"].due == wanted


@pytest.mark.parametrize("industry", ["general", "shipyard"])
@pytest.mark.parametrize("agent", ["lead", "crystalline silica"])
def test_an_interval_that_nobody_read_sets_no_day(tmp_path: Path, agent: str, industry: str) -> None:
    changes = {"hazards[0].agent": agent, "tasks[0].industry": industry, LEVEL: "60 ug/m3"}
    item = due(tmp_path, set=changes)["exposure.sash-lead"]
    assert item.due == date(2027, 3, 10)  # a year after the sample, by our own choice
    assert "CFR" not in item.basis


@pytest.mark.parametrize("because", [None, "Drums that nobody opens", "Never measured; sampling is ordered for May"])
def test_air_that_nobody_knows_is_due_at_once(because: str | None, tmp_path: Path) -> None:
    unknown = {"kind": "unknown", **({"because": because} if because else {})}
    item = due(tmp_path, set={"hazards[0].exposure": unknown})["exposure.sash-lead"]
    assert item.due is None


# ---- order, states, rounds ----------------------------------------------------------------------------


def item(due_on: date | None, identity: str = "x", cycle: Cycle | None = None) -> DueItem:
    return DueItem(identity, Kind.TRAINING, due_on, "Training", "", "", "people[0]", (), cycle)


@pytest.mark.parametrize(("days", "state"), [(-1, "overdue"), (0, "soon"), (60, "soon"), (61, "later")])
def test_states_on_both_sides_of_the_days_looked_ahead(days: int, state: str) -> None:
    (seen,) = outlook([item(AS_OF + timedelta(days=days))], AS_OF, 60).items
    assert seen.state == state


@given(st.lists(st.one_of(st.none(), st.dates(date(2025, 1, 1), date(2028, 1, 1))), max_size=20), st.integers(0, 400))
def test_every_item_is_in_one_place_and_in_the_order_of_days(days: list[date | None], within: int) -> None:
    found = outlook([item(day, f"x{n}") for n, day in enumerate(days)], AS_OF, within)
    assert len(found.items) == len(days)
    shown = [one.due or date.min for one in found.items]
    assert shown == sorted(shown)
    assert all(one in found.later for one in found.next)


@given(st.dates(date(2025, 1, 1), date(2027, 1, 1)), st.integers(1, 24), st.integers(0, 3))
def test_rounds_go_forward_and_end(day: date, months: int, years: int) -> None:
    until = AS_OF + timedelta(days=365 * years)
    found = list(rounds(item(day, cycle=Cycle(months, 0, "")), AS_OF, until))
    assert found == sorted(set(found))
    assert all(AS_OF <= one <= until for one in found)


def test_ids_stay_when_dates_move(tmp_path: Path) -> None:
    earlier = due(
        tmp_path, set={"people[0].fit_tests[0].date": "2025-09-01", "people[0].training[0].date": "2025-09-01"}
    )
    assert set(earlier) == set(due(tmp_path))


def test_the_order_of_people_changes_nothing(tmp_path: Path) -> None:
    base = patched({})
    turned = {**base, "people": list(reversed(base["people"])), "tasks": list(reversed(base["tasks"]))}
    one, other = (judged(values, tmp_path).due(60) for values in (base, turned))
    assert [(i.id, i.due, i.what) for i in one.items] == [(i.id, i.due, i.what) for i in other.items]


@published("29 CFR 1910.134(f)(2), (h)(3)(i)(B), (k)(5), (i)(4)(i); 29 CFR 1926.62(d)(6), 1926.1153(d)(2)(iii)")
@pytest.mark.parametrize("name", ["base", "crypt-with-airline", "fire-fighting", "everything-said", "varnishing"])
def test_a_day_cites_the_law_only_where_the_law_sets_the_interval(name: str) -> None:
    values = values_of(name)
    items = judged_values(values).due(4000).items
    law = built_in_catalogue().law_on(AS_OF).values.values()
    intervals = {value.citation for value in law if value.kind == Dimension.INTERVAL and value.value}
    intervals |= {row["again_citation"] for row in table_rows("surveillance")}
    intervals |= {words for rule in monitoring_rules().values() for key, words in rule.items() if "citation" in key}
    intervals |= {cited("cylinder-tests")}
    strays = {item.id: item.basis for item in items if item.due and "CFR" in item.basis and item.basis not in intervals}
    assert items and strays == {}


def test_a_mask_that_is_to_go_out_of_use_falls_due_on_that_day(tmp_path: Path) -> None:
    gone = {"since": "2026-06-20", "because": "Recalled by the maker: valve seats crack"}
    found = judged(patched({"set": {"masks[0].withdrawn": gone}}), tmp_path)
    (item,) = [item for item in found.due(60).items if item.kind is Kind.WITHDRAWAL]
    assert (item.id, item.due, item.because) == ("withdrawal.half-mask", date(2026, 6, 20), gone["because"])
    assert b"CATEGORIES:withdrawal" in calendar_bytes(found.due(365), "Brook & Lintel")
    cards = {name: printed_words(card) for name, card in card_documents(found).items()}
    assert {name for name, words in cards.items() if "goes out of use" in words} == {"jo-marsh"}
    assert "from 20 june 2026 on nobody wears the" in printed_words(task_documents(found)["scrape-sashes"])


@pytest.mark.parametrize("since", ["2026-06-01", "2026-05-04"])
def test_a_mask_that_is_out_of_use_no_longer_falls_due(since: str, tmp_path: Path) -> None:
    gone = {"since": since, "because": "Recalled by the maker"}
    items = due(tmp_path, set={"masks[0].withdrawn": gone}).values()
    assert not [item for item in items if item.kind is Kind.WITHDRAWAL]


def test_a_program_that_is_not_in_force_yet_is_not_evaluated_yet(tmp_path: Path) -> None:
    """Common practice, no source: a program is looked at again after a year."""
    starts = {"program.effective": "2026-06-08", "program.history[0].date": "2026-06-08"}
    starts["procedures.evaluation.occasion"] = "At the start of each contract"
    item = due(tmp_path, set=starts, drop=["procedures.evaluation.last"])["evaluation"]
    assert (item.due, item.because[:22]) == (date(2027, 6, 8), "none is on record; in ")


def test_no_revision_puts_the_evaluation_off_and_the_month_that_the_firm_names_comes_first(tmp_path: Path) -> None:
    """29 CFR 1910.134(l)(1) asks for evaluations as necessary and names no day; what the firm itself wrote stands."""
    history = [
        {"revision": number, "date": day, "by": "Ada Brook", "summary": "Kept up"}
        for number, day in (("1", "2026-06-08"), ("2", "2026-06-22"))
    ]
    ahead = {"program.effective": "2026-06-22", "program.history": history}
    drop = ["procedures.evaluation.last"]
    for occasion, expected in (
        ("At the start of each contract", date(2027, 6, 8)),
        ("Every March", date(2027, 3, 31)),
        ("Each May and in October", date(2026, 10, 31)),
    ):
        item = due(tmp_path, set={**ahead, "procedures.evaluation.occasion": occasion}, drop=drop)["evaluation"]
        assert item.due == expected, occasion
    done = {"procedures.evaluation.last": "2026-03-12", "procedures.evaluation.occasion": "Every March"}
    assert due(tmp_path, set={**ahead, **done})["evaluation"].due == date(2027, 3, 31)


def test_the_next_review_of_the_document_falls_due_on_its_day(tmp_path: Path) -> None:
    item = due(tmp_path, set={"program.control": {"next_review": "2026-05-31", "owner": "Ada Brook"}})[
        "document-review"
    ]
    assert (item.state, item.because) == ("overdue", "Ada Brook keeps it")


def test_an_evaluation_of_long_ago_is_listed_and_by_no_law(tmp_path: Path) -> None:
    item = due(tmp_path, set={"procedures.evaluation.last": "2001-05-01"})["evaluation"]
    assert (item.state, item.basis[:13]) == ("overdue", "good practice")
    recent = {"procedures.evaluation.last": "2025-06-01"}
    assert "evaluation" not in due(tmp_path, set=recent, drop=["procedures.evaluation.occasion"])


@published("29 CFR 1910.134(l): as necessary, so that an occasion in words gives no day of the law")
def test_an_occasion_in_words_lists_the_next_evaluation_and_cites_no_law(tmp_path: Path) -> None:
    item = due(tmp_path, set={"procedures.evaluation.occasion": "Each January"})["evaluation"]
    assert item.due is not None and item.due.isoformat() == "2027-01-31"  # the firm named the month itself
    assert "Each January" in item.because and item.basis.startswith("good practice")
    adopted = {"procedures.evaluation.occasion": "Each January", "procedures.evaluation.interval": "6 months"}
    item = due(tmp_path, set=adopted)["evaluation"]
    assert item.due is not None and item.due.isoformat() == "2026-08-20" and "Each January" not in item.because


def test_the_year_ahead_is_counted_in_months_from_their_first_day() -> None:
    year = outlook((), date(2026, 11, 28), 60).year
    assert (year[0], year[1], year[-1]) == (date(2026, 11, 1), date(2026, 12, 1), date(2027, 11, 1))


def test_a_finding_that_is_accepted_twice_comes_back_twice(tmp_path: Path) -> None:
    entries = [
        {"code": "EXP-020", "subject": subject, "reason": "Booked", "by": "Ada Brook", "until": day}
        for subject, day in (
            ("hazards.lead", "2026-06-20"),
            ("hazards.lead", "2026-06-25"),
            ("hazards.dust", "2026-06-20"),
        )
    ]
    items = due(tmp_path, set={"accepted": entries}).values()
    found = {item.id: item.due for item in items if item.kind is Kind.ACCEPTANCE}
    assert found == {
        "acceptance.EXP-020.hazards.lead": date(2026, 6, 20),
        "acceptance.EXP-020.hazards.lead.2": date(2026, 6, 25),
        "acceptance.EXP-020.hazards.dust": date(2026, 6, 20),
    }


@pytest.mark.parametrize(("day", "state"), [("2026-06-20", "soon"), ("2027-06-20", "later")])
def test_a_policy_that_is_to_come_falls_due_on_its_day(day: str, state: str, tmp_path: Path) -> None:
    policy = {"id": "host", "by": "Northbridge Diocese", "source": "Rules 2026", "half_mask_pass": "200", "date": day}
    found = judged(patched({"set": {"policies": [policy]}}), tmp_path)
    (item,) = [item for item in found.due(60).items if item.kind is Kind.POLICY]
    assert (item.id, item.due, item.state) == ("policy.host", date.fromisoformat(day), state)
    assert "Northbridge Diocese" in item.what and "Rules 2026" in item.basis
    assert b"CATEGORIES:policy" in calendar_bytes(found.due(365), "Brook & Lintel")


@pytest.mark.parametrize("day", ["2026-06-01", "2025-01-15"])
def test_a_policy_that_binds_already_does_not_fall_due(day: str, tmp_path: Path) -> None:
    policy = {"id": "host", "by": "Northbridge Diocese", "source": "Rules 2026", "half_mask_pass": "200", "date": day}
    items = due(tmp_path, set={"policies": [policy]}).values()
    assert not [item for item in items if item.kind is Kind.POLICY]
