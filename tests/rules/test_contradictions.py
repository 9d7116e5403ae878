"""What a description says in two ways, or what can hardly be so: each is told, and its lawful neighbour is quiet.

The law is silent on most of this; the bounds are common practice, no source.
"""

from __future__ import annotations

from typing import Any

import pytest
from programs.patching import catalogue_of, checked_by, patched
from published_value import published

from progdoc.rules.lookup.table_files import table_entries
from progdoc.rules.reading.catalogue import built_in_catalogue

Change = dict[str, Any]


def told(code: str, change: Change, base: str = "") -> list[str]:
    """Return what a code alone finds in the changed program."""
    values = patched({**({"program": base} if base else {}), "set": change})
    return [finding.what for finding in checked_by(catalogue_of({code}), values).report.findings]


# ---- figures that can hardly be: the odd one, and the one beside it -----------------------------------

DATA = {"kind": "maker-data", "agents": ["toluene"], "concentration": "200 ppm"}
PIECE = {"id": "one", "serial": "S-1"}
C_1 = {"id": "c1", "serial": "C-1"}
FIGURES: list[tuple[Change, Change]] = [
    ({"officer.phone": "0"}, {"officer.phone": "555-0119"}), ({"officer.phone": "12 34"}, {"officer.phone": "12 345"}),
    ({"officer.phone": "14"}, {"officer.phone": "Extension 14"}),
    ({"officer.phone": "3"}, {"officer.phone": "Channel 3"}),
    ({"procedures.medical.professional.phone": "555"}, {"procedures.medical.professional.phone": "(800) 555-0177"}),
    ({"masks[0].weight": "26 kg"}, {"masks[0].weight": "15 kg"}),
    ({"tasks[0].temperature_low": "95 F", "tasks[0].temperature_high": "55 F"}, {"tasks[0].temperature_low": "55 F"}),
    ({"tasks[0].temperature_high": "85 C"}, {"tasks[0].temperature_high": "120 F"}),
    ({"tasks[0].temperature_low": "-60 F"}, {"tasks[0].temperature_low": "-40 F"}),
    ({"tasks[0].days_per_year": "367"}, {"tasks[0].days_per_year": "366"}),
    ({"tasks[0].shift": "16 h"}, {"tasks[0].shift": "12 h"}),
    ({"tasks[0].shift": "8 h", "tasks[0].duration": "10 h"}, {"tasks[0].shift": "10 h", "tasks[0].duration": "10 h"}),
    ({"tasks[0].duration": "16 h"}, {"tasks[0].duration": "10 h"}),
    ({"filters[0].carbon": {"mass": "80 kg"}}, {"filters[0].carbon": {"mass": "80 g"}}),
    ({"filters[0].carbon": {"mass": "0.8 g"}}, {"filters[0].carbon": {"mass": "1.2 kg"}}),
    ({"filters[0].service_data": [DATA | {"life": "41 h"}]}, {"filters[0].service_data": [DATA | {"life": "4.1 h"}]}),
    ({"masks[0].units": [PIECE, PIECE | {"id": "two"}]}, {"masks[0].units": [PIECE, {"id": "two", "serial": "S-2"}]}),
    ({"masks[0].in_stock": "1", "masks[0].units": [PIECE, {"id": "two"}]},
     {"masks[0].in_stock": "4", "masks[0].units": [PIECE]}),
    ({"masks[0].in_stock": "4", "masks[0].units": [PIECE], "masks[0].emergency": "yes"},
     {"masks[0].in_stock": "1", "masks[0].units": [PIECE], "masks[0].emergency": "yes"}),
    ({"masks[0].units": [PIECE | {"cylinder": C_1}, {"id": "two", "cylinder": C_1 | {"id": "c2"}}]},
     {"masks[0].units": [PIECE | {"cylinder": C_1}, {"id": "two", "cylinder": {"id": "c2", "serial": "C-2"}}]}),
]  # fmt: skip


@pytest.mark.parametrize(("odd", "beside"), FIGURES)
def test_a_figure_that_can_hardly_be_is_a_caution(odd: Change, beside: Change) -> None:
    assert len(told("PRG-064", odd)) == 1
    assert told("PRG-064", beside) == []


def test_what_others_do_is_their_figure() -> None:
    assert told("PRG-064", {"tasks[0].days_per_year": "367", "tasks[0].done_by": "others"}) == []


@pytest.mark.parametrize(
    ("second", "trouble"),
    [
        ({"name": "lunch break", "at": "15:00"}, "the pause “lunch break” stands there twice"),
        ({"name": "tea", "at": "12:00"}, "two pauses begin at 12:00"),
        ({"name": "tea", "at": "15:00"}, ""),
    ],
)  # fmt: skip
def test_a_pause_is_named_once(second: Change, trouble: str) -> None:
    breaks = [{"name": "lunch break", "at": "12:00"}, second]
    found = told("PRG-064", {"procedures.filter_changes.breaks": breaks})
    assert found == ([f"A figure is hardly right: {trouble}."] if trouble else [])


def test_the_hours_of_a_wearer_fit_into_a_year() -> None:
    long = {"tasks[0].duration": "15 h", "tasks[1].duration": "10 h"}
    daily = {f"tasks[{i}].frequency": "Daily" for i in (0, 1)}
    summer = {f"tasks[{i}].frequency": "Daily in summer" for i in (0, 1)}
    assert [what[:9] for what in told("TSK-025", {**long, **daily})] == ["Jo Marsh:"]
    assert told("TSK-025", {**long, **summer}) == []
    # On one day both may be done: 300 and 300 days are no contradiction in themselves.
    short = {"tasks[0].duration": "4 h", "tasks[1].duration": "3 h"}
    assert told("TSK-025", {**short, "tasks[0].days_per_year": "300", "tasks[1].days_per_year": "300"}) == []


# ---- revision, history, firm --------------------------------------------------------------------------


def entry(revision: str, day: str, by: str = "Ada Brook") -> Change:
    return {"revision": revision, "date": day, "by": by, "summary": "Changed"}


BY_JO = entry("2026.1", "2026-03-01", "Jo Marsh")


@pytest.mark.parametrize(
    ("history", "is_told"),
    [
        ([entry("2026.1", "2026-03-01"), entry("2025.1", "2025-03-01")], False),  # the newest first is as good
        ([entry("2025.1", "2025-03-01"), entry("2026.1", "2026-03-01")], False),
        ([entry("2025.1", "2025-03-01")], False),  # of this revision nothing yet: it is not issued without
        ([entry("2026.1", "2026-03-01"), entry("2025.1", "2026-04-01")], True),
        ([entry("2026.1", "2026-02-01")], True),
        ([entry("2026.1", "2026-03-01"), entry("2026.1", "2026-03-01")], True),
    ],
)
def test_revision_and_history_are_one(history: list[Change], is_told: bool) -> None:
    assert bool(told("PRG-062", {"program.history": history})) is is_told


@pytest.mark.parametrize(
    ("change", "is_told"),
    [
        ({"organisation.employees": "1"}, True),
        ({"organisation.employees": "2"}, False),
        ({"program.history": [BY_JO], "officer.deputies": ["Ravi Stone"]}, True),
        ({"program.history": [BY_JO], "officer.deputies": ["Jo Marsh, foreman"]}, False),
        ({"program.history": [{**BY_JO, "by": "Clearfield Hygiene"}]}, False),  # a consultant may write it
    ],
)  # fmt: skip
def test_the_firm_is_told_in_one_way(change: Change, is_told: bool) -> None:
    assert bool(told("PRG-063", change)) is is_told


# ---- what is said of an agent that it does not belong to -----------------------------------------------

PEAK = [{"concentration": "400 ug/m3", "duration": "8 min", "span": "8 h", "date": "2026-02-10", "how": "Meter"}]
CLASS_III, HANDLING = {"work_class": "III"}, {"operation": "handling"}
OF_OTHERS: list[tuple[Change, Change]] = [
    ({"hazards[0].peaks": PEAK}, {}),
    ({"hazards[0].regulated_area": "yes"}, {"hazards[0].regulated_area": "no"}),
    ({"hazards[0].regulated_area": "yes"}, {"hazards[0].regulated_area": "yes", "hazards[0].agent": "cadmium"}),
    ({"hazards[0].asbestos": CLASS_III}, {"hazards[0].asbestos": CLASS_III, "hazards[0].agent": "asbestos"}),
    ({"hazards[0].carcinogen": HANDLING}, {"hazards[0].carcinogen": HANDLING, "hazards[0].agent": "benzidine"}),
]  # fmt: skip


@published("29 CFR 1910.1000 Table Z-2; 1926.1127(e)(4); 1926.1101(h)(3); 1910.1003(a)(1)")
@pytest.mark.parametrize(("strange", "own"), OF_OTHERS)
def test_what_belongs_to_another_agent_is_told(strange: Change, own: Change) -> None:
    assert len(told("EXP-047", strange)) == 1
    assert told("EXP-047", own) == []


SAMPLES = {"kind": "samples", "results": [
    {"concentration": "40 ug/m3", "duration": "420 min", "rest_of_shift": "zero", "date": "2026-03-10"},
]}  # fmt: skip
MORE = {"id": "more", "task": "scrape-sashes", "form": "dust", "irritates_eyes": "no", "oil": "no", "exposure": SAMPLES}


@pytest.mark.parametrize(
    ("change", "count"), [({"agent": "lead"}, 2), ({"agent": "Pb"}, 2), ({"agent": "zinc oxide"}, 0)]
)
def test_one_agent_sampled_in_two_entries_is_told(change: Change, count: int) -> None:
    assert len(told("EXP-028", {"hazards[2]": {**MORE, **change}})) == count
    assert told("EXP-028", {"hazards[2]": {**MORE, "agent": "lead", "task": "sort-books"}}) == []


# ---- how many masks there are -------------------------------------------------------------------------

ONLY_HALF = {"tasks[0].masks": [{"mask": "half-mask", "filters": ["p100-disc"]}]}


@published("29 CFR 1910.134(a)(2)")
def test_of_a_mask_that_a_task_names_there_is_one() -> None:
    found = checked_by(built_in_catalogue(), patched({"set": {"masks[0].in_stock": "0"}})).report.findings
    assert {f.what for f in found if f.code == "CLN-028"} == {
        "grey half mask in “Scraping sash windows”: there is none of it (0 in stock)",
        "grey half mask in “Sorting old books”: there is none of it (0 in stock)",
    }
    assert "CLN-008" not in {f.code for f in found}  # one finding of one lack
    assert told("CLN-028", {"masks[0].in_stock": "1"}) == []


def test_nobody_may_do_a_task_in_a_mask_that_is_not_there() -> None:
    judged = checked_by(built_in_catalogue(), patched({"set": {"masks[0].in_stock": "0"}})).judged
    assert judged is not None
    of_jo = {one.task.id: one for one in judged.roster.of_person(judged.description.people[0])}
    assert not of_jo["scrape-sashes"].may
    assert "half-mask" not in {choice.mask for choice in of_jo["sort-books"].good}


@pytest.mark.parametrize(
    ("change", "count"),
    [
        ({"masks[0].issue": "shared", "masks[0].in_stock": "1", **ONLY_HALF}, 1),
        ({"masks[0].issue": "shared", "masks[0].in_stock": "2", **ONLY_HALF}, 0),
        ({"masks[0].issue": "shared", "masks[0].in_stock": "1"}, 0),  # another mask is there for the second
        ({"masks[0].issue": "exclusive", "masks[0].in_stock": "1", **ONLY_HALF}, 0),  # told as CLN-008
    ],
)
def test_those_who_do_a_task_together_find_a_mask_each(change: Change, count: int) -> None:
    assert len(told("CLN-029", change)) == count


CLAIMED = ["program.title", "organisation.trade", "procedures.cleaning.by", "officer.qualifications[0]"]


@pytest.mark.parametrize("place", CLAIMED)
@pytest.mark.parametrize(
    ("words", "is_told"),
    [
        ("OSHA-approved and certified respiratory program", True),
        ("Each wearer. OSHA has inspected and approved this shop", True),
        ("NIOSH and OSHA have approved this program", True),
        ("OSHA certified and approved this officer", True),
        ("Masks that NIOSH approved", False),
        ("A protocol that OSHA accepts, with NIOSH-approved filters", False),
        ("OSHA approves no program", False),
        ("Half a day at the safety council, with the officer's certificate", False),
    ],
)
def test_an_approval_by_an_agency_is_claimed_in_no_text(place: str, words: str, is_told: bool) -> None:
    assert bool(told("PRG-066", {place: words})) is is_told


@pytest.mark.parametrize(
    ("words", "is_told"),
    [("DRAFT - not in force", True), ("Draft", True), ("Not issued yet; draft only", True),
     ("Respiratory protection program", False), ("Draught-free rooms; drafted with the crew", False)],
)  # fmt: skip
def test_a_program_does_not_call_itself_a_draft(words: str, is_told: bool) -> None:
    assert bool(told("PRG-067", {"program.title": words})) is is_told


def test_only_the_newest_entry_of_the_history_may_not_be_a_draft_in_whichever_order_they_stand() -> None:
    first, now = entry("2025.1", "2025-03-01"), entry("2026.1", "2026-03-01")
    for history in ([first, now], [now, first]):
        for draft, is_told in ((first, False), (now, True)):
            marked = [one | ({"summary": "Draft for comment"} if one is draft else {}) for one in history]
            assert bool(told("PRG-067", {"program.history": marked})) is is_told


@pytest.mark.parametrize(
    ("words", "is_told"),
    [("Jo Marsh (left 2026-04-30)", True), ("Left the firm in April", True), ("Retired", True),
     ("Former plasterer", True), ("Plasterer, left-handed", False), ("Mason", False), ("Never left the firm", False)],
)  # fmt: skip
@pytest.mark.parametrize("field", ["name", "job"])
def test_whoever_left_is_pointed_at(field: str, words: str, is_told: bool) -> None:
    assert bool(told("PRG-068", {f"people[0].{field}": words})) is is_told


OF_DONE = ["officer.qualifications[0]", "procedures.fit_testing.testers_able", "procedures.repair.by"]
OF_DONE += ["procedures.training.by", "procedures.evaluation.by", "procedures.use.watched_by"]


@pytest.mark.parametrize("place", OF_DONE)
@pytest.mark.parametrize(
    ("words", "is_told"),
    [("Trained on 2031-01-01", True), ("Course booked for 14 January 2031", True), ("Jo Marsh, from 2031 on", True),
     ("Course of 2025-01-14, valid until 2031", False), ("Trained in 2025, due again in 2031", False),
     ("Trained by the maker, sheet 2025-109", False), ("Jo Marsh, kit no. 20310", False)],
)  # fmt: skip
def test_a_day_to_come_shows_nothing_that_was_done(place: str, words: str, is_told: bool) -> None:
    assert bool(told("TXT-009", {place: words})) is is_told


@published("29 CFR 1910.134(d)(1)(ii), (d)(3)(iii)(B): masks and change schedules follow the work as it is")
@pytest.mark.parametrize("field", ["name", "description"])
@pytest.mark.parametrize(
    ("words", "is_told"),
    [("No masks are worn here, it is too hot", True), ("Nobody wears a mask at it", True),
     ("Sanding for 14 h", True), ("In heat of 130 F", True), ("Heavy lifting all day", True),
     ("Sanding for 2 h", False), ("In heat of 60 F", False), ("Left to dry for 24 h", False), ("20 h a week", False),
     ("Sanding for fourteen hours", True), ("Nine and a half hours of sanding", True), ("Two and a half hours", False),
     ("The whole job lasts two weeks", False), ("For half an hour each, three of us", False),
     ("Nobody goes in without a mask", False), ("No heavy lifting", False), ("No heat gun, never over 1100 F", False)],
)  # fmt: skip
def test_the_words_of_a_task_agree_with_its_fields(field: str, words: str, is_told: bool) -> None:
    fields = {"duration": "3 h", "temperature_high": "85 F", "effort": "moderate"}
    change = {f"tasks[0].{name}": value for name, value in fields.items()}
    assert bool(told("TXT-010", {**change, f"tasks[0].{field}": words})) is is_told


def test_hard_work_that_is_said_to_be_so_is_quiet() -> None:
    change = {"tasks[0].description": "Heavy lifting for 9 h", "tasks[0].effort": "heavy", "tasks[0].shift": "10 h"}
    assert told("TXT-010", change) == []


@pytest.mark.parametrize(
    ("place", "words", "is_told"),
    [
        ("masks[0].name", "Grey full facepiece", True), ("masks[0].name", "Dust mask", True),
        ("masks[0].name", "Half mask with P100 discs", False), ("masks[0].name", "The grey one", False),
        ("masks[2].name", "P95 dust mask", True), ("masks[2].name", "N95 dust mask", False),
        ("filters[0].name", "N95 disc", True), ("filters[0].name", "Yellow acid cartridge", True),
        ("masks[0].name", "Grey half mask, not scrapped", False),
        ("filters[0].name", "P-100 disc", False), ("filters[0].name", "Disc, P100, better than N95", False),
    ],
)  # fmt: skip
def test_a_name_of_another_kind_or_class(place: str, words: str, is_told: bool) -> None:
    """Common practice, no source: the crew takes what the page names."""
    assert bool(told("TXT-018", {place: words})) is is_told


@pytest.mark.parametrize(
    ("here", "there", "is_told"),
    [(["jo-marsh"], ["jo-marsh"], True), (["jo-marsh"], [], True), ([], ["jo-marsh"], True), ([], [], True),
     (["jo-marsh"], ["ravi-stone"], False)],
)  # fmt: skip
def test_tasks_kept_apart_need_their_days_wherever_one_person_may_do_both(
    here: list[str], there: list[str], is_told: bool
) -> None:
    """Where a task names nobody, anybody may do it. 200 and 166 days are one more than a year has."""
    days = {"tasks[0].days_per_year": "200", "tasks[1].days_per_year": "166"}
    _kept_apart(days, here, there, is_told)


@pytest.mark.parametrize(("daily", "is_told"), [("Daily", True), ("Weekly", False), ("Daily in summer", False)])
def test_a_task_of_all_days_leaves_no_day_to_another_however_seldom(daily: str, is_told: bool) -> None:
    days = {"tasks[0].frequency": daily, "tasks[1].frequency": "Now and then"}
    _kept_apart(days, ["jo-marsh"], ["jo-marsh"], is_told)


def _kept_apart(days: dict[str, str], here: list[str], there: list[str], is_told: bool) -> None:
    people = {"tasks[0].people": here, "tasks[1].people": there}
    values = patched({"set": {"tasks[0].never_same_day": ["sort-books"], **days, **people}})
    found = checked_by(catalogue_of({"TSK-031"}), values).report.findings
    assert [d.location.path for d in found if d.code == "TSK-031"] == ["tasks[0].never_same_day"] * is_told


def test_a_mask_named_as_out_of_use_is_withdrawn_or_told() -> None:
    """Common practice, no source: every word by which a mask is set aside, in a name."""
    words = [word.rstrip(".") for entry in table_entries("telling_words", "set_aside") for word in entry["words"]]
    for word in words:
        assert told("TXT-018", {"masks[0].name": f"Grey half mask, {word}"}), word
