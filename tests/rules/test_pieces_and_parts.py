"""Single masks with a defect on record, and what a mask is taken for by its papers: hoods, numbers, canisters."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import Any

import pytest
from document.reading import of_type, words
from programs.patching import catalogue_of, checked_by, judged, judged_by, patched
from published_value import published

from progdoc.document.blocks.glance_blocks import glance_blocks
from progdoc.document.papers.task_page import task_documents
from progdoc.document.tree.nodes import Paragraph
from progdoc.model.description.devices import Inspection, InspectionResult, Unit
from progdoc.model.description.masks import Filter, Gas, Mask, Mode, Particulate
from progdoc.model.description.quantities import Quantity
from progdoc.rules.judged.due_results import Kind
from progdoc.rules.judged.figure_results import InForce
from progdoc.rules.judged.result import Judged
from progdoc.rules.lookup.answers_said import Said, said_by
from progdoc.rules.lookup.approvals import covers_filter, covers_mask
from progdoc.rules.lookup.telling_words import drawn_from
from progdoc.rules.lookup.unit_state import UnitState, best_state, is_plain, low_charge, unit_state

DAY = date(2026, 6, 1)


def of_record(findings: str | None, remedy: str | None, result: InspectionResult | None = None) -> Unit:
    record = Inspection(date=date(2026, 5, 20), result=result, findings=findings, remedy=remedy)
    return Unit(id="one", inspections=(record,))


# ---- what an inspection found ---------------------------------------------------------------------------------

DEFECTS = [
    "Lens cracked, regulator leaks",
    "Strap torn",
    "Valve stuck",
    "Cylinder half empty",
    "Hose brittle",
    "Alarm silent",
    "Failed the leak test",
    "Exhalation valve missing",
    "Facepiece dirty; lens broken",
    "Gauge does not work",
]
NOT_MENDED = [
    None,
    "none",
    "None.",
    "To be sent to the maker",
    "Order a new lens",
    "Replace lens",
    "Will be repaired",
    "Keep an eye on it",
]
MENDED = ["New lens fitted on 2026-05-21", "Replaced", "Repaired by the dealer", "Recharged", "Both straps renewed"]
PLAINLY_SOUND = ["In order", "Sound, full", "No cracks, no leaks", "Leak test passed", "Not damaged", "Without defects",
    "Ok", "Clean and tight", "Cylinder full, alarm sounds", "none", "No defects.", "All OK!"]  # fmt: skip
SOUND = [
    "Strap torn, replaced",
    "Cracks: none; leaks: none",
    "Leak check done, burst disc in place",
    "Seal unbroken, undamaged",
    "No loose parts, no rust",
    None,
]
ASIDE = ["Out of service since 2026-05-20", "Red tag, locked drawer", "Taken out, sent to the maker", "Discarded"]


@published(
    "29 CFR 1910.134(h)(4): what fails an inspection is removed from service; the words are common practice, no source"
)
@pytest.mark.parametrize("findings", DEFECTS)
def test_a_defect_counts_until_it_is_put_right(findings: str) -> None:
    assert {unit_state(of_record(findings, remedy), DAY) for remedy in NOT_MENDED} == {UnitState.DEFECTIVE}
    repaired = [of_record(findings, remedy, InspectionResult.REPAIRED) for remedy in (*MENDED, *NOT_MENDED)]
    assert [unit_state(one, DAY) for one in repaired] == [UnitState.SOUND] * len(MENDED) + [UnitState.DEFECTIVE] * len(
        NOT_MENDED
    )
    assert {unit_state(of_record(findings, remedy), DAY) for remedy in MENDED} == {UnitState.UNSAID}
    assert {unit_state(of_record(findings, remedy), DAY) for remedy in ASIDE} == {UnitState.SET_ASIDE}


@pytest.mark.parametrize("findings", [*SOUND, *PLAINLY_SOUND])
def test_what_is_sound_is_left_alone(findings: str | None) -> None:
    known = UnitState.SOUND if findings in PLAINLY_SOUND else UnitState.UNSAID
    for remedy in (None, "none", "Cleaned"):
        assert unit_state(of_record(findings, remedy), DAY) is known
        assert unit_state(of_record(findings, remedy, InspectionResult.SERVICEABLE), DAY) is UnitState.SOUND
        assert unit_state(of_record(findings, remedy, InspectionResult.OUT_OF_SERVICE), DAY) is UnitState.SET_ASIDE


REMARKS = ["1200 psi", "No air", "See report", "Chewed by mice", "Alarm does not sound", "Bottle out of test date",
    None, "Cylinder at 40 %", "Burst disc blown", "Could not find it", "Came back wet", "Full of water",
    "Not in order, full", "In order but the hose"]  # fmt: skip


@published("29 CFR 1910.134(h)(3)(iv)(A), (h)(4): the findings are recorded, and what fails is removed from service")
@pytest.mark.parametrize("findings", REMARKS)
def test_a_remark_alone_is_never_taken_for_sound(findings: str | None) -> None:
    assert unit_state(of_record(findings, "none"), DAY) is not UnitState.SOUND
    nobody = Inspection(date=DAY, result=InspectionResult.SERVICEABLE, by="Nobody", findings=findings)
    assert unit_state(Unit(id="one", inspections=(nobody,)), DAY) is not UnitState.SOUND
    assert unit_state(of_record("none", "Sent away, not back"), DAY) is not UnitState.SOUND


def test_a_later_inspection_answers_for_an_earlier_one_and_one_to_come_for_nothing() -> None:
    bad, good = of_record("Lens cracked", "none").inspections[0], of_record("In order", "none").inspections[0]
    later, ahead = good.model_copy(update={"date": DAY}), good.model_copy(update={"date": date(2026, 6, 2)})
    assert unit_state(Unit(id="one", inspections=(later, bad)), DAY) is UnitState.SOUND
    assert unit_state(Unit(id="one", inspections=(ahead, bad)), DAY) is UnitState.DEFECTIVE
    assert unit_state(Unit(id="one"), DAY) is UnitState.SOUND


def test_one_sound_piece_or_one_without_records_is_enough() -> None:
    bad, good = of_record("Lens cracked", None), of_record("In order", "none")
    unsaid = of_record("1200 psi", "none")
    states = [best_state(Mask(id="m", units=u), DAY) for u in ((), (bad,), (bad, bad), (bad, good), (bad, unsaid))]
    assert states == ["sound", "defective", "defective", "sound", "not said"]
    assert best_state(Mask(id="m", units=(bad,), in_stock=2), DAY) is UnitState.SOUND
    assert best_state(Mask(id="m", units=(bad,), in_stock=1), DAY) is UnitState.DEFECTIVE


def test_nobody_goes_in_wearing_the_last_one_with_a_cracked_lens(tmp_path: Path) -> None:
    at = "masks[0].units[0].inspections[0].findings"
    for said, code in (("In order", ""), ("Lens cracked, regulator leaks", "INS-018"), ("1200 psi", "INS-019")):
        found = judged(patched({"program": "fire-fighting", "set": {at: said}}), tmp_path)
        reasons = [reason.code for reason in found.selection.masks["attic-fire", "scba"].reasons]
        assert ("MSK-019" in reasons) is bool(code)
        assert {"INS-018", "INS-019"} & {f.code for f in found.findings} == ({code} if code else set())


# ---- how full a cylinder is -----------------------------------------------------------------------------------

CHARGE = InForce(Quantity(90.0, "%", "90 %"), "90 %", "29 CFR 1910.134(h)(3)(iii)")
LOW = [
    "Cylinder at 60 % pressure",
    "Pressure 60 %",
    "In order, bottle 85 percent",
    "Gauge shows 90%",
    "97 %; reserve 40 %",
]
FULL = ["Cylinder at 97 % pressure", "Pressure 100 %, alarm rings at 25 %", "Alarm battery 60 %", "In order",
    "Humidity 50 %", "Found at 60 %, refilled", "Cylinder 60 %; recharged the same day"]  # fmt: skip


@published("29 CFR 1910.134(h)(3)(iii): charged again when the pressure is down to 90 % of what the maker recommends")
def test_a_cylinder_that_was_found_low_leaves_no_set_to_wear() -> None:
    good = InspectionResult.SERVICEABLE
    for findings in LOW:
        assert unit_state(of_record(findings, "none", good), DAY, CHARGE) is UnitState.DEFECTIVE, findings
        for remedy in ("Watch the gauge", "To be recharged", "New strap fitted", "Not recharged", "Cleaned"):
            record = of_record(findings, remedy, good)
            assert unit_state(record, DAY, CHARGE) is UnitState.DEFECTIVE, (findings, remedy)
            assert low_charge(record.inspections[0], CHARGE), (findings, remedy)
        assert unit_state(of_record(findings, "Recharged", good), DAY, CHARGE) is UnitState.SOUND, findings
        assert unit_state(of_record(findings, "none", good), DAY) is UnitState.SOUND, findings  # it has no cylinder
    for findings in FULL:
        assert unit_state(of_record(findings, "none", good), DAY, CHARGE) is UnitState.SOUND, findings


@pytest.mark.parametrize(("program", "said", "codes"), [
    ("fire-fighting", {"pressure": "96 %"}, set()),
    ("fire-fighting", {"pressure": "95 %"}, {"INS-020", "MSK-019"}),  # the firm charges at 95 %
    ("crypt-with-airline", {"pressure": "95 %"}, set()),
    ("crypt-with-airline", {"pressure": "90 %"}, {"INS-020", "MSK-019"}),
    ("crypt-with-airline", {"pressure": "90 %", "remedy": "Recharged"}, set()),
    ("crypt-with-airline", {"pressure": "98 %", "findings": "Bottle at 70 %"}, {"INS-020", "MSK-019"}),
    ("crypt-with-airline", {"pressure": "40 %", "result": "out-of-service"}, {"MSK-019"}),
])  # fmt: skip
def test_what_counts_as_low_is_the_figure_in_force(program: str, said: dict[str, str], codes: set[str]) -> None:
    record = "masks[0].units[0].inspections[0]"
    change = {f"{record}.result": "serviceable"} | {f"{record}.{name}": text for name, text in said.items()}
    catalogue = catalogue_of(("INS-020", "MSK-019"))
    found = checked_by(catalogue, patched({"program": program, "set": change})).report.findings
    assert {one.code for one in found} == codes


def test_a_remark_beside_serviceable_is_told_unless_it_is_plainly_none() -> None:
    remarks = ["Bell sounds dull", "Strap slips", "Visor hazy", "Whistles when breathing in"]
    for findings in (*PLAINLY_SOUND, *FULL, "4400 psi, bell rings", "Seal tight at 25 mm", "Strap frayed, replaced"):
        assert is_plain(of_record(findings, "none").inspections[0]), findings
    for findings in remarks:
        for remedy in (None, "none", "Watch the gauge", "Keep an eye on it"):
            assert not is_plain(of_record(findings, remedy).inspections[0]), (findings, remedy)
        assert is_plain(of_record(findings, "New one fitted on 2026-05-21").inspections[0]), findings


# ---- numbers --------------------------------------------------------------------------------------------------

NUMBERS = ("TC-13F-0000", "TC-14G-0000", "TC-19C-0000", "TC-21C-0000", "TC-23C-0000", "TC-84A-0000")


@published("NIOSH Certified Equipment List, cautions on 13F; table of TC numbers, Pesticide Environmental Stewardship")
@pytest.mark.parametrize("mode", [Mode.AIRLINE_DEMAND, Mode.AIRLINE_PRESSURE_DEMAND])
def test_an_airline_with_a_cylinder_bears_the_number_of_a_self_contained_set(mode: Mode) -> None:
    with_cylinder, without = (Mask(id="m", mode=mode, auxiliary_air=has) for has in (True, False))
    assert [n[:6] for n in NUMBERS if covers_mask(n, with_cylinder)] == ["TC-13F"]
    assert "TC-19C-0000" in [n for n in NUMBERS if covers_mask(n, without)]


@published(
    "Table of TC numbers, Pesticide Environmental Stewardship: cartridge with N, R or P filter TC-84A, alone TC-23C"
)
def test_a_combination_may_bear_the_number_of_its_filter() -> None:
    gas, dust, both = ((Gas.ORGANIC_VAPOUR,), None), ((), Particulate.P95), ((Gas.ORGANIC_VAPOUR,), Particulate.P95)
    held = {
        number[:6]: [covers_filter(number, Filter(id="f", gases=g, particulate=p)) for g, p in (gas, dust, both)]
        for number in NUMBERS
    }
    assert held["TC-84A"] == [False, True, True]
    assert held["TC-23C"] == held["TC-14G"] == [True, True, True]
    assert held["TC-13F"] == held["TC-19C"] == [False, False, False]


# ---- pads, sizes, canisters, words ----------------------------------------------------------------------------


# What "varnishing" leaves unsaid of its mask and cartridge: only a mask that protects is told when to be looked after.
APPROVED = {
    "masks[0].filters": ["ov-p100"], "masks[0].approval": "TC-84A-0001", "masks[0].within_approval": "yes",
    "masks[0].make": "Hallam", "masks[0].model": "H-40", "filters[0].approval": "TC-84A-0002",
    "filters[0].label_kept": "yes", "masks[0].filters_on_label": "yes",
}  # fmt: skip


@pytest.mark.parametrize("particulate", ["N95", "R95", "P95", "P100"])
def test_a_pad_beside_a_cartridge_asks_for_no_schedule(particulate: str, tmp_path: Path) -> None:
    pad = {"id": "pad", "name": "white pad", "particulate": particulate, "approval": "TC-84A-0000", "label_kept": "yes"}
    worn = APPROVED | {"filters[1]": pad, "tasks[0].masks[0].filters[1]": "pad", "masks[0].filters": ["ov-p100", "pad"]}
    plan = {"id": "pads", "filter": "pad", "tasks": ["varnish"], "change": "At the end of each day"}
    for more in ({}, {"procedures.filter_changes.schedules[1]": plan}):
        found = judged(patched({"program": "varnishing", "set": worn | more}), tmp_path)
        about = [f for f in found.findings if f.code.startswith("FLT-") and "pad" in f"{f.what} {f.subject}"]
        assert [f.code for f in about] == []
        page = _page(found, "varnish")
        assert ("change the" in page and "at the end of each day" in page) is bool(more)
        assert "when to change the" not in page
        assert found.gas_cartridges == {"ov-p100"}


def _page(found: Judged, task: str) -> str:
    return " ".join(words(one) for one in of_type(task_documents(found)[task], Paragraph)).lower()


def _codes(found: Judged, *codes: str) -> set[str]:
    return {f.code for f in found.findings} & set(codes)


def test_one_size_is_too_little_only_where_the_mask_is_required(tmp_path: Path) -> None:
    one_size = {"masks[0].sizes": ["M"], "masks[0].facepiece": "filtering-facepiece"}
    for use, is_asked in (("voluntary", False), ("required", True)):
        entry = {"program": "dust-masks-by-choice", "set": one_size | {"tasks[0].use": use}}
        assert bool(_codes(judged_by(catalogue_of({"MSK-007"}), patched(entry), tmp_path), "MSK-007")) is is_asked


@published("29 CFR 1910.1052(g)(3)(ii): to escape, a gas mask with organic vapour canister")
@pytest.mark.parametrize(
    ("part", "serves"),
    [
        ({"gases": ["acid-gas"]}, False),
        ({"gases": ["ammonia"]}, False),
        ({"particulate": "P100"}, False),
        ({"gases": ["organic-vapour"]}, True),
        ({"gases": ["multi-gas"]}, True),
        ({"agents": ["methylene chloride"], "gases": ["acid-gas"]}, True),
        (None, True),
    ],
)
def test_the_canister_to_escape_with_is_of_the_class_that_the_standard_names(
    part: dict[str, Any] | None, serves: bool
) -> None:
    mask = {
        "id": "out",
        "facepiece": "full-facepiece",
        "mode": "air-purifying",
        "escape_only": "yes",
        "escape_from": ["methylene chloride"],
        "filters": ["canister"] if part else [],
    }
    level = {
        "kind": "estimate",
        "concentration": "60 ppm",
        "by": "A. Hygienist",
        "basis": "Volume used",
        "date": "2026-05-01",
    }
    hazard = {"id": "mc", "task": "strip", "agent": "methylene chloride", "form": "vapour", "exposure": level}
    task = {"id": "strip", "name": "Stripping", "industry": "general", "use": "required", "escape_masks": ["out"]}
    values = {
        "format": 1,
        "tasks": [task],
        "hazards": [hazard],
        "masks": [mask],
        "filters": [{"id": "canister", **(part or {"particulate": "P100"})}],
    }
    found = checked_by(catalogue_of({"ESC-001", "ESC-002"}), values)
    assert not [f for f in found.report.findings if f.code == "ESC-002"]
    assert (not [f for f in found.report.findings if f.code == "ESC-001"]) is serves


@pytest.mark.parametrize(
    "text",
    [
        "Nobody but the wearer",
        "Nobody except Jo Marsh",
        "No one other than the officer",
        "None but the tester",
        "Nobody else",
        "No mask unwashed",
        "Never alone",
        "No later than Friday",
    ],
)
def test_what_is_left_over_names_somebody(text: str) -> None:
    assert said_by(text) is Said.ANSWER


@pytest.mark.parametrize(
    "text", ["Nobody", "Nobody yet", "Nobody does", "No inspection", "Never", "Nobody checks this", "None of us"]
)
def test_what_names_nobody_still_refuses(text: str) -> None:
    assert said_by(text) is Said.REFUSAL


# ---- breathing air --------------------------------------------------------------------------------------------

BAD = [
    "Beside the diesel generator in the dip room",
    "Next to the loading dock",
    "In the workshop, by the degreaser",
    "Inside the spray room",
    "At the exhaust of the truck",
    "Above the parking lot",
    "Near the flue of the boiler",
]
GOOD = [
    "On the roof, upwind of the flue",
    "North wall, 30 ft from the loading dock",
    "Away from the diesel generator",
    "In the yard, upwind",
    "Outside; nothing runs near the intake, no engines in the yard",
    "In the compressor room, fresh air from outside by a duct",
    "Not near any exhaust",
    "The generator stands on the other side of the building",
]


@published("29 CFR 1910.134(i)(5)(i): no contaminated air gets in; the words are common practice, no source")
def test_an_intake_lies_apart_from_bad_air() -> None:
    assert [text for text in BAD if not drawn_from(text)] == []
    assert [text for text in GOOD if drawn_from(text)] == []


AIR = "procedures.air_supply"


@pytest.mark.parametrize(
    ("code", "odd", "beside"),
    [
        ("AIR-028", {"oxygen_low": "23 %", "oxygen_high": "20 %"}, {"oxygen_low": "21 %", "oxygen_high": "21 %"}),
        (
            "AIR-029",
            {"tested": "2025-11-30", "test_interval": "6 months"},
            {"tested": "2025-12-01", "test_interval": "6 months"},
        ),
        (
            "AIR-034",
            {"compressor.beds_and_filters": "Each quarter", "compressor.tag_date": "2026-02-28"},
            {"compressor.beds_and_filters": "As the maker says", "compressor.tag_date": "2026-02-28"},
        ),
        (
            "AIR-031",
            {"compressor.co_checks": "Every month"},
            {"compressor.co_checks": "Meter in the line, calibrated every month, read each shift"},
        ),
        ("AIR-031", {"compressor.co_checks": "Once a year"}, {"compressor.co_checks": "Each day before use"}),
    ],
)
def test_air_is_kept_up_as_it_is_said(code: str, odd: dict[str, str], beside: dict[str, str], tmp_path: Path) -> None:
    for said, is_told in ((odd, True), (beside, False)):
        entry = {"program": "oil-free-compressor", "set": {f"{AIR}.{field}": value for field, value in said.items()}}
        assert bool(_codes(judged_by(catalogue_of({code}), patched(entry), tmp_path), code)) is is_told


@published("49 CFR 180.209(a), Table 1: most cylinders 5 years, some 10 or 12, and no kind that holds air longer")
@pytest.mark.parametrize(
    ("tested", "until", "code"),
    [
        ("2024-05-01", "2029-05-31", ""),
        ("2024-05-01", "2029-07-01", "AIR-027"),
        ("2024-05-01", "2036-05-31", "AIR-027"),
        ("2024-05-01", "2036-07-01", "AIR-033"),
        ("2024-05-01", "2043-05-01", "AIR-033"),
        ("", "2038-06-30", ""),  # nobody says when it was tested: at the latest today
        ("", "2041-05-01", "AIR-033"),
        ("2012-05-01", "2029-05-01", "AIR-015 AIR-033"),  # it ran out in 2024, whatever is said
    ],
)
def test_the_next_test_of_a_cylinder_is_as_far_off_as_its_kind_has_it(tested: str, until: str, code: str) -> None:
    place = "masks[0].units[0].cylinder"
    said = {f"{place}.requalify_by": until} | ({f"{place}.requalified": tested} if tested else {})
    entry = {"program": "fire-fighting", "set": said, "drop": [] if tested else [f"{place}.requalified"]}
    checked = checked_by(catalogue_of(("AIR-015", "AIR-027", "AIR-033")), patched(entry))
    assert " ".join(sorted({one.code for one in checked.report.findings})) == code
    judged_one = checked.judged
    assert judged_one is not None
    due = {item.due for item in judged_one.due(60).overdue if item.kind is Kind.CYLINDER}
    assert due == ({date(2024, 5, 1)} if "AIR-015" in code else set())


@published("42 CFR 84, Subpart J, Table 8: hoses of 300 ft at most, as two copies print it")
@pytest.mark.parametrize(
    ("length", "most", "is_told"),
    [
        ("300 ft", "300 ft", False),
        ("90 m", "91 m", False),
        ("100 ft", "301 ft", True),
        ("800 ft", "900 ft", True),
        ("4000 ft", "5000 ft", True),
        ("120 m", "150 m", True),
        ("0 ft", "300 ft", True),
        ("0 m", "0 m", True),
    ],
)
def test_no_approval_covers_a_hose_longer_than_any(length: str, most: str, is_told: bool) -> None:
    entry = {"program": "crypt-with-airline", "set": {f"{AIR}.hose_length": length, f"{AIR}.hose_most": most}}
    findings = checked_by(catalogue_of(("AIR-032",)), patched(entry)).report.findings
    assert [one.severity.value for one in findings] == (["required"] if is_told else [])


# ---- one longest time -----------------------------------------------------------------------------------------


@pytest.mark.parametrize(("after", "told"), [("4 h", 4.0), ("2 h", 2.0), ("90 min", 1.5)])
def test_select_tells_the_time_that_the_papers_print(after: str, told: float, tmp_path: Path) -> None:
    at = "procedures.filter_changes.schedules[0].after"
    found = judged(patched({"program": "varnishing", "set": {**APPROVED, at: after}}), tmp_path)
    life = found.service_lives["varnish", "half-mask"]
    assert (life.hours, life.schedule) == (told, f"At the lunch break and at the end of the shift; {after} at most")
    assert f"never longer than {after} in use" in _page(found, "varnish")


def test_a_schedule_beyond_its_sources_is_told_nowhere(tmp_path: Path) -> None:
    at = "procedures.filter_changes.schedules[0].after"
    found = judged(patched({"program": "varnishing", "set": {at: "7 h"}}), tmp_path)
    life, change = (
        found.service_lives["varnish", "half-mask"],
        found.cartridge_changes["varnish", "half-mask", "ov-p100"],
    )
    assert change.shortest_min is not None and life.hours is not None and life.hours <= change.shortest_min / 60.0 < 7.0
    assert "when to change the" in _page(found, "varnish")
    assert "7 h in use" not in repr(glance_blocks(found))


@pytest.mark.parametrize(
    ("change", "is_told"),
    [
        ({"after": "40 h", "reused": "no"}, True),
        ({"after": "40 h", "reliance": "The maker gives eight hours and no second day"}, True),
        ({"after": "4 h", "reused": "no"}, False),
        ({"after": "40 h", "reused": "yes", "sealed": "yes"}, False),
    ],
)
def test_a_cartridge_of_one_day_is_in_use_for_no_longer(change: dict[str, str], is_told: bool, tmp_path: Path) -> None:
    at = "procedures.filter_changes.schedules[0]"
    entry = {"program": "varnishing", "set": {f"{at}.{field}": value for field, value in change.items()}}
    told = [f.what for f in judged_by(catalogue_of({"PRG-064"}), patched(entry), tmp_path).findings]
    assert any("no second day" in what for what in told) is is_told
