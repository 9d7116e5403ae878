"""The figures of the law: each is the printed one, a pack may tighten it, and then whoever asks hears the same."""

from __future__ import annotations

import copy
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from document.reading import nodes, program_of
from icalendar import Calendar
from programs.patching import AS_OF, BASE, judged_by, patched
from published_value import published

from progdoc.app.due import due_report
from progdoc.core.diagnostics import Diagnostic
from progdoc.core.resources import catalogue_root
from progdoc.document.papers.forms import form_documents
from progdoc.document.papers.person_card import card_documents
from progdoc.document.papers.task_page import task_documents
from progdoc.document.tree.nodes import OpenPoint, Text
from progdoc.rules.judged.result import Judged
from progdoc.rules.reading.catalogue import built_in_catalogue, catalogue_with, read_catalogue

PACKS = Path(__file__).parents[1] / "packs"
FEDERAL = built_in_catalogue()
LOCAL = read_catalogue(catalogue_root() / "us_federal", PACKS / "half_yearly")
RULE = "Valley Mask Rule, 5.1"

# Read in the standard, paragraph by paragraph.
PRINTED = {
    "fit-test-interval": ("12 months", "29 CFR 1910.134(f)(2)"),
    "half-mask-pass": ("100", "29 CFR 1910.134(f)(7)"),
    "full-facepiece-pass": ("500", "29 CFR 1910.134(f)(7)"),
    "qualitative-fit-factor": ("100", "29 CFR 1910.134(f)(6)"),
    "comfort-time": ("5 min", "29 CFR 1910.134, Appendix A, Part I.A.5"),
    "worn-before-fit-test": ("5 min", "29 CFR 1910.134, Appendix A, Part I.A.12"),
    "nothing-before-taste-test": ("15 min", "29 CFR 1910.134, Appendix A, Part I.B.3(b)(1)"),
    "cylinder-test-interval": ("5 years", "49 CFR 180, 180.209(a), Table 1"),
    "breath-held": ("10 s", "29 CFR 1910.134, Appendix B-1"),
    "disinfection-time": ("2 min", "29 CFR 1910.134, Appendix B-2"),
    "disinfection-chlorine": ("50 ppm", "29 CFR 1910.134, Appendix B-2"),
    "disinfection-bleach": ("1", "29 CFR 1910.134, Appendix B-2"),
    "disinfection-iodine": ("50 ppm", "29 CFR 1910.134, Appendix B-2"),
    "disinfection-tincture": ("0.8", "29 CFR 1910.134, Appendix B-2"),
    "standby-persons": ("1", "29 CFR 1910.134(g)(3)(i)"),
    "fire-inside": ("2", "29 CFR 1910.134(g)(4)(i)"),
    "fire-outside": ("2", "29 CFR 1910.134(g)(4)(ii)"),
    "least-oxygen": ("19.5 %", "29 CFR 1910.134(b)"),
    "scba-service-time": ("30 min", "29 CFR 1910.134(d)(2)(i)(A)"),
    "longest-rated-time": ("4 h", "42 CFR 84, 84.53(a)"),
    "enriched-air-from": ("14000 ft", "29 CFR 1910.134(d)(2)(iii), Table II"),
    "ceiling-averaging": ("15 min", "29 CFR 1910.1000(a)(1)"),
    "asbestos-class-one": ("1 f/cc", "29 CFR 1926.1101(h)(3)(iv)"),
    "weld-room-volume": ("10000 ft3", "29 CFR 1910.252(c)(2)(i)(A)"),
    "weld-ceiling": ("16 ft", "29 CFR 1910.252(c)(2)(i)(B)"),
    "weld-air-flow": ("2000 cfm", "29 CFR 1910.252(c)(2)(ii)"),
    "blower-tight-fitting": ("115 L/min", "29 CFR 1910.1028(g)(3)(i)(D)"),
    "blower-loose-fitting": ("170 L/min", "29 CFR 1910.1028(g)(3)(i)(D)"),
    "training-interval": ("12 months", "29 CFR 1910.134(k)(5)"),
    "earlier-training": ("12 months", "29 CFR 1910.134(k)(4)"),
    "emergency-inspection-interval": ("1 month", "29 CFR 1910.134(h)(3)(i)(B)"),
    "scba-inspection-interval": ("1 month", "29 CFR 1910.134(h)(3)(iii)"),
    "recharge-at": ("90 %", "29 CFR 1910.134(h)(3)(iii)"),
    "cleaning-water": ("110 F", "29 CFR 1910.134, Appendix B-2"),
    "breathing-oxygen-low": ("19.5 %", "29 CFR 1910.134(i)(1)(ii)(A)"),
    "enriched-air": ("23.5 %", "29 CFR 1910.146(b)"),
    "breathing-oxygen-high": ("23.5 %", "29 CFR 1910.134(i)(1)(ii)(A)"),
    "breathing-oil": ("5 mg/m3", "29 CFR 1910.134(i)(1)(ii)(B)"),
    "breathing-carbon-monoxide": ("10 ppm", "29 CFR 1910.134(i)(1)(ii)(C)"),
    "breathing-carbon-dioxide": ("1000 ppm", "29 CFR 1910.134(i)(1)(ii)(D)"),
    "cylinder-dew-point": ("-50 F", "29 CFR 1910.134(i)(4)(iii)"),
    "longest-cylinder-test-interval": ("12 years", "49 CFR 180, 180.209(a), Table 1"),
    "medical-records-kept": ("30 years", "29 CFR 1910.1020(d)(1)(i)"),
    "exposure-records-kept": ("30 years", "29 CFR 1910.1020(d)(1)(ii)"),
    "longest-hose": ("300 ft", "42 CFR 84, Subpart J, Table 8"),
    "compressor-dew-point": ("10 F", "29 CFR 1910.134(i)(5)(ii)"),
}


@published(
    "29 CFR 1910.134, 1910.252(c)(2), 1910.1000(a)(1), 1910.1020(d)(1)(i), 1910.1028(g)(3)(i)(D), 1926.1101(h)(3)(iv); "
    "42 CFR 84.53(a): figures as printed"
)
def test_every_figure_is_the_printed_one() -> None:
    found = {v.id: (v.text, v.citation) for v in FEDERAL.values if v.value is not None}
    assert found.pop("qualitative-credit")[0] == "10"  # a reading of (f)(6): 100 ÷ the usual margin of ten
    assert found == PRINTED


def test_the_law_sets_no_figure_before_its_day() -> None:
    assert dict(FEDERAL.law_on(date(1998, 4, 7)).values) == {}
    assert len({v.id for v in FEDERAL.values}) == len(FEDERAL.values)


def test_no_rule_repeats_a_figure_that_the_catalogue_holds() -> None:
    """A limit at the place of a figure names the figure, so that a pack has one thing to set."""
    places = {v.program for v in FEDERAL.values if v.program and v.value is not None}
    for file in (catalogue_root() / "us_federal").iterdir():
        text = file.read_text(encoding="utf-8")
        assert not [p for p in places if f"path: {p}, at_" in text], file.name


# ---- a pack that sets six months ----------------------------------------------------------------------


def described(firm: str = "6 months", tested: str = "2026-02-17") -> dict[str, Any]:
    values = copy.deepcopy(BASE)
    values["procedures"]["fit_testing"]["interval"] = firm
    values["people"][0]["fit_tests"][0]["date"] = tested
    return values


def of(code: str, judged: Judged) -> list[Diagnostic]:
    return [d for d in judged.findings if d.code == code]


def words(blocks: Any) -> str:
    texts = " ".join(node.text for node in nodes(blocks) if isinstance(node, Text | OpenPoint))
    return " ".join(texts.split())


def test_check_moves(tmp_path: Path) -> None:
    [finding] = of("FIT-022", judged_by(LOCAL, described("12 months"), tmp_path))
    assert finding.citation == RULE
    assert "the law allows at most 6 months" in finding.what and "within 6 months" in finding.what
    assert "12 months is as long" not in finding.why and finding.fix.startswith("Write `6 months`, or less.")
    assert not of("FIT-022", judged_by(LOCAL, described(), tmp_path))
    assert not of("FIT-022", judged_by(FEDERAL, described("12 months"), tmp_path))


def test_the_record_of_a_wearer_moves_and_bars(tmp_path: Path) -> None:
    values = described("12 months", "2025-11-20")
    values["people"][0]["medical"][0]["date"] = "2025-11-01"
    local, federal = judged_by(LOCAL, values, tmp_path), judged_by(FEDERAL, values, tmp_path)
    [finding] = of("FIT-002", local)
    assert (finding.citation, "due 20 May 2026" in finding.what) == (RULE, True)
    assert not of("FIT-002", federal)
    for found, may in ((local, False), (federal, True)):
        jo, task = found.description.people[0], found.description.tasks[0]
        assert found.roster.assignment(jo, task).may is may


def test_due_and_calendar_move(tmp_path: Path) -> None:
    for catalogue, day, basis in (
        (LOCAL, date(2026, 8, 17), RULE),
        (FEDERAL, date(2027, 2, 17), "29 CFR 1910.134(f)(2)"),
    ):
        found = judged_by(catalogue, described("12 months"), tmp_path)
        item = next(i for i in found.due(60).items if i.id == "fit-test.jo-marsh.half-mask")
        assert (item.due, item.basis) == (day, basis)
        events = Calendar.from_ical(due_report(found, 400, "ics")).walk("VEVENT")
        days = [event.decoded("DTSTART") for event in events if "Jo Marsh in grey half mask" in str(event["SUMMARY"])]
        assert days[0] == day


def test_the_card_moves(tmp_path: Path) -> None:
    local = words(card_documents(judged_by(LOCAL, described("12 months"), tmp_path))["jo-marsh"].blocks)
    federal = words(card_documents(judged_by(FEDERAL, described("12 months"), tmp_path))["jo-marsh"].blocks)
    assert "17 August 2026" in local and RULE in local
    assert "17 August 2026" not in federal and "17 February 2027" in federal


def test_the_programs_sentence_moves(tmp_path: Path) -> None:
    kept = words(program_of(judged_by(LOCAL, described(), tmp_path)).blocks)
    assert "Again after" in kept and "6 months" in kept
    broken = words(program_of(judged_by(LOCAL, described("12 months"), tmp_path)).blocks)
    assert "Again after" not in broken
    assert "It is not settled that fit tests are repeated within 6 months" in broken
    assert "Again after" in words(program_of(judged_by(FEDERAL, described("12 months"), tmp_path)).blocks)


def test_a_figure_that_the_federal_law_leaves_open_binds_too(tmp_path: Path) -> None:
    [finding] = of("POL-010", judged_by(LOCAL, described(), tmp_path))
    assert finding.citation == "Valley Mask Rule, 8.2"
    item = next(i for i in judged_by(LOCAL, described(), tmp_path).due(60).items if i.id == "evaluation")
    assert (item.due, item.basis) == (date(2026, 5, 20), "Valley Mask Rule, 8.2")


def test_a_figure_binds_from_its_own_day_on() -> None:
    def standby(day: date) -> str:
        rule = next(r for r in LOCAL.in_force(day) if r.code == "IDL-001")
        return f"{rule.proof.value}, {rule.citation}, {LOCAL.law_on(day)['standby-persons'].text}"

    assert standby(date(2026, 12, 31)) == "1, 29 CFR 1910.134(g)(3)(i), 1"
    assert standby(date(2027, 1, 1)) == "2, Valley Mask Rule, 9.1, 2"


def test_a_rule_that_writes_its_own_limit_sets_the_figure(tmp_path: Path) -> None:
    """The older form of a pack, a change of the rule itself, moves the due list as well."""
    valley = read_catalogue(catalogue_root() / "us_federal", PACKS / "valley")
    found = judged_by(valley, described("12 months"), tmp_path)
    item = next(i for i in found.due(60).items if i.id == "fit-test.jo-marsh.half-mask")
    assert (item.due, item.basis) == (date(2026, 8, 17), RULE)


@pytest.mark.parametrize(
    ("code", "words"),
    [
        ("PACK-007", "fit-test-interval: 2 years is looser than 12 months (29 CFR 1910.134(f)(2))"),
        ("PACK-007", "breathing-oil: 1 ppm is looser than 5 mg/m3"),
        ("PACK-005", "Did you mean `fit-test-interval`?"),
        ("PACK-004", "half-mask-pass: could not convert"),
        ("PACK-002", "Did you mean `value`?"),
        ("PACK-003", "recharge-at lacks `citation`"),
        ("PACK-004", "LOO-001: `fit-test-intervall` is no figure of the packs. Did you mean `fit-test-interval`?"),
    ],
)
def test_a_faulty_figure_is_refused_in_plain_words(code: str, words: str) -> None:
    _, faults = catalogue_with([PACKS / "loose"])
    assert [d for d in faults if d.code == code and words in d.what and Path(d.location.file).name == "values.yaml"]
    assert len(faults) == 7


# ---- sentences, forms and cards under a policy --------------------------------------------------------

HOST = {
    "id": "host", "by": "Northbridge Diocese", "source": "Rules 2026", "tasks": ["scrape-sashes"],
    "fit_test_interval": "6 months", "half_mask_pass": "200", "clean_shaven": "yes", "training_interval": "6 months",
}  # fmt: skip


def test_who_asks_for_more_stands_beside_the_firms_own_figure(tmp_path: Path) -> None:
    values = patched({"set": {"policies": [HOST], "procedures.use.hair": "clear-of-seal-and-valve"}})
    text = words(program_of(judged_by(FEDERAL, values, tmp_path)).blocks)
    assert "at the latest. Stricter by Northbridge Diocese, Rules 2026 : 6 months, for Scraping sash windows ." in text
    assert ": 200, for Scraping sash windows" in text
    assert ": clean-shaven wearers, for Scraping sash windows" in text
    free = words(program_of(judged_by(FEDERAL, {**values, "policies": []}, tmp_path)).blocks)
    assert "Stricter by" not in free


def test_forms_and_cards_print_the_strictest(tmp_path: Path) -> None:
    values = patched({"set": {"policies": [HOST]}})
    found = judged_by(FEDERAL, values, tmp_path)
    forms = form_documents(found)
    assert "within 6 months, (Northbridge Diocese, Rules 2026 (policy “host”))" in words(forms["training"].blocks)
    test = words(forms["fit-test-ambient-cnc"].blocks)
    assert (
        "200 (half mask, by Northbridge Diocese, Rules 2026 (policy “host”))" in test and "A.9); clean-shaven" in test
    )
    cards = {name: words(card.blocks) for name, card in card_documents(found).items()}
    assert "Come to work clean-shaven (Northbridge Diocese" in cards["jo-marsh"]
    assert "17 August 2026" in cards["jo-marsh"]


def test_papers_say_for_which_mask_a_policy_holds(tmp_path: Path) -> None:
    """Ravi, who has the other mask, is told nothing of it; nor does the program say it of everybody."""
    grey = {**{key: value for key, value in HOST.items() if key != "tasks"}, "masks": ["half-mask"]}
    hair = {"procedures.use.hair": "clear-of-seal-and-valve"}
    found = judged_by(FEDERAL, patched({"set": {"policies": [grey], **hair}}), tmp_path)
    text = words(program_of(found).blocks)
    for figure in ("6 months", "200", "clean-shaven wearers"):
        assert f"Stricter by Northbridge Diocese, Rules 2026 : {figure}, for grey half mask ." in text
    forms = form_documents(found)
    told = "within 12 months, (k)(5); for grey half mask: 6 months (Northbridge Diocese, Rules 2026 (policy “host”))"
    assert told in words(forms["training"].blocks)
    test = words(forms["fit-test-ambient-cnc"].blocks)
    assert "200 (half mask, by Northbridge Diocese" in test and "clean-shaven for grey half mask" in test
    assert "500 (full facepiece" in test
    cards = {name: words(card.blocks) for name, card in card_documents(found).items()}
    assert "Come to work clean-shaven (Northbridge Diocese" in cards["jo-marsh"]
    assert "17 August 2026" in cards["jo-marsh"]
    assert "clean-shaven" not in cards["ravi-stone"] and "August 2026" not in cards["ravi-stone"]


def test_papers_say_for_which_group_a_policy_holds(tmp_path: Path) -> None:
    """Jo belongs to the group and Ravi does not: forms, which are for both, say what holds for whom."""
    crew = {**{key: value for key, value in HOST.items() if key != "tasks"}, "groups": ["crew"], "dust_masks": "no"}
    change = {
        "policies": [crew], "procedures.use.hair": "clear-of-seal-and-valve", "people[0].group": "crew",
        "groups": [{"id": "crew", "name": "Guests", "status": "volunteer"}],
        "tasks[1].people": ["jo-marsh", "ravi-stone"],
    }  # fmt: skip
    found = judged_by(FEDERAL, patched({"set": change}), tmp_path)
    text = words(program_of(found).blocks)
    for figure in ("6 months", "200", "clean-shaven wearers"):
        assert f"Stricter by Northbridge Diocese, Rules 2026 : {figure}, for Guests ." in text
    barred = "not the white dust mask (Northbridge Diocese, Rules 2026 (policy “host”))."
    assert f"For Guests: {barred}" in text and "for Guests: not the white dust mask" in text
    assert f"For Guests: {barred}" in words(task_documents(found)["sort-books"].blocks)
    forms = form_documents(found)
    training = words(forms["training"].blocks)
    assert "within 12 months, (k)(5); for Guests: 6 months (Northbridge Diocese, Rules 2026" in training
    test = words(forms["fit-test-ambient-cnc"].blocks)
    assert "100 (half mask), 200 (half mask, by Northbridge Diocese, Rules 2026 (policy “host”), for Guests)" in test
    assert "; clean-shaven for Guests" in test
    cards = {name: words(card.blocks) for name, card in card_documents(found).items()}
    assert f"In “Sorting old books”, for you: {barred}" in cards["jo-marsh"] and "17 August 2026" in cards["jo-marsh"]
    assert not any(told in cards["ravi-stone"] for told in ("Northbridge", "Guests", "August 2026"))


def test_a_policy_for_one_task_leaves_the_others_alone(tmp_path: Path) -> None:
    """Jo may do in November what needs a test of the year, and not what needs one of the half-year."""
    other = {**copy.deepcopy(BASE["tasks"][0]), "id": "loft", "name": "Clearing the loft"}
    loft = {**copy.deepcopy(BASE["hazards"][0]), "id": "loft-lead", "task": "loft"}
    values = patched({
        "set": {
            "tasks[2]": other,
            "hazards[2]": loft,
            "policies": [{**HOST, "clean_shaven": "no", "training_interval": "12 months", "half_mask_pass": "100"}],
            "people[0].fit_tests[0].date": "2025-11-20",
            "people[0].medical[0].date": "2025-11-01",
        }
    })  # fmt: skip
    found = judged_by(FEDERAL, values, tmp_path)
    jo = found.index.people["jo-marsh"][1]
    roster = found.roster
    assert roster.assignment(jo, found.index.tasks["loft"][1]).may
    barred = roster.assignment(jo, found.index.tasks["scrape-sashes"][1])
    assert not barred.may
    assert {bar.citation for bar in barred.reasons} == {"Northbridge Diocese, Rules 2026 (policy `host`)"}
    assert found.as_of == AS_OF
