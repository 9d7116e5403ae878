"""Completed forms become records: field by field, nothing guessed, nothing lost, and the same form twice adds once.

What a fit test's record must hold is 29 CFR 1910.134(m)(2)(i), an inspection's (h)(3)(iv)(A), the topics of training
(k)(1)(i) to (vii), what wearers are asked about (l)(2)(i) to (iv).
"""

from __future__ import annotations

import csv
import hashlib
import io
import re
from collections.abc import Iterator
from datetime import date
from functools import cache
from io import BytesIO
from pathlib import Path
from shutil import copytree
from typing import Any
from zipfile import ZipFile

import pytest
from app.filled_form import browser_form, form_called
from programs.whole import WHOLE, judged_whole

from progdoc.app.check import Checked, check
from progdoc.app.disk.description_files import load_path
from progdoc.app.event_kinds import KINDS
from progdoc.app.form_reading import FilledForm, form_fields, form_in
from progdoc.app.form_records import EVIDENCE_LIST, record_forms
from progdoc.app.record import Recorded
from progdoc.cli import main
from progdoc.document.blocks.translation_blocks import more_languages
from progdoc.document.papers.forms import crew_forms, made_forms
from progdoc.document.templating.templates import form_plans
from progdoc.model.load import Loaded, load
from progdoc.rules.judge import judge
from progdoc.rules.judged.result import Judged
from progdoc.rules.reading.catalogue import built_in_catalogue
from progdoc.writers import WRITERS

FIRM, BRIGADE, ALL_SAID = "restoration_2026", "fire-brigade", "everything-said"
DAY = "2026-11-20"
_TAUGHT = {
    f"topics/Taught: {words}": "yes"
    for words in (
        "Why the mask is needed; what bad fit, use or upkeep does to it",
        "What the mask can do and what it cannot",
        "Emergencies, a failing mask among them",
        "Inspecting, putting on and off, wearing, checking the seal",
        "Upkeep and storage",
        "Signs of the body that limit or forbid a mask",
        "What 29 CFR 1910.134 asks for",
    )
}
_TOPICS = (
    "why-and-fit, limits-and-capabilities, emergencies, inspect-wear-and-check, maintenance-and-storage, medical-signs,"
    " the-standard"
)
_HALF = "grey half mask: Hallam H-40 silicone"
Told = tuple[str, dict[str, str]]  # a kind of event, and its values

# For each form that reads back: the program, what is filled in, and which events that is.
TOLD: dict[str, tuple[str, dict[str, str], list[Told]]] = {
    "fit-test-saccharin": (FIRM, {
        "who/Wearer": "Wilf Lintel", "who/Date of the test": DAY, "who/Mask: make, model, style": _HALF,
        "who/Size": "L", "who/Class of the filters fitted": "P100", "qualitative/Noticed before the test": "yes",
        "qualitative/Noticed?: 1. normal breathing": "no", "result/Result": "pass", "result/Tester": "Ada Brook",
        "result/After a failed test of the same day": "no",
    }, [("fit-test", {"protocol": "saccharin", "who": "Wilf Lintel", "mask": "half-mask", "size": "L",
                      "filters": "P100", "screened": "yes", "result": "pass", "tester": "Ada Brook",
                      "retest": "no"})]),
    "fit-test-ambient-cnc-short-elastomeric": (FIRM, {
        "who/Wearer": "wilf-lintel", "who/Date of the test": DAY, "who/Mask: make, model, style": _HALF,
        "who/Size": "L", "quantitative/Fit factor: 1. bending over": "310",
        "quantitative/Fit factor: 2. jogging on the spot": "280",
        "quantitative/Fit factor: 3. head side to side": "250.5",
        "quantitative/Fit factor: 4. head up and down": "265", "result/Overall fit factor": "274",
        "result/Recording": "fit-2026-11.pdf", "result/Result": "pass", "result/Tester": "Ada Brook",
    }, [("fit-test", {"protocol": "ambient-cnc-short-elastomeric", "who": "wilf-lintel", "mask": "half-mask",
                      "size": "L", "readings": "310, 280, 250.5, 265", "factor": "274", "recording": "fit-2026-11.pdf",
                      "result": "pass", "tester": "Ada Brook"})]),
    "training": (FIRM, {
        "session/Date": DAY, "session/Trainer": "Ada Brook", "session/Language": "English", **_TAUGHT,
        "wearers/Name: line 1": "Wilf Lintel", "wearers/Present: line 1": "yes",
        "wearers/Knowledge shown: line 1": "yes",
        "wearers/Name: line 3": "odile-pruett", "wearers/Present: line 3": "yes",
    }, [("training", {"who": "Wilf Lintel", "by": "Ada Brook", "language": "English", "topics": _TOPICS,
                      "knowledge-shown": "yes"}),
        ("training", {"who": "odile-pruett", "by": "Ada Brook", "language": "English", "topics": _TOPICS})]),
    "medical-recommendation": (FIRM, {
        "who/Worker": "Wilf Lintel", "who/Date of the recommendation": DAY,
        "says/This worker may wear the masks of their tasks": "yes, within the limits below",
        "says/Next review": "2027-05-01", "says/A further examination is still to come": "no",
        "says/The worker has been given a copy of this": "yes", "limits/Holds: For a limited time at a stretch": "yes",
        "limits/Holds: No self-contained breathing apparatus": "yes",
    }, [("medical", {"who": "Wilf Lintel", "recommendation": "cleared-with-limits", "limits": "no-scba, limited-time",
                     "next-review": "2027-05-01", "follow-up-pending": "no", "copy-given": "yes"})]),
    "emergency-inspection": (BRIGADE, {
        "unit scba.set-2/Date: line 2": DAY, "unit scba.set-2/Result: line 2": "out of service",
        "unit scba.set-2/Cylinder, % of full or gauge: line 2": "88 %",
        "unit scba.set-2/Findings: line 2": "Low cylinder",
        "unit scba.set-2/What must be done: line 2": "Refill",
        "unit scba.set-2/Name or signature: line 2": "Bo Hill",
    }, [("inspection", {"unit": "set-2", "result": "out-of-service", "pressure": "88 %", "findings": "Low cylinder",
                        "remedy": "Refill", "by": "Bo Hill"})]),
    "cleaning-log": (FIRM, {
        "log/Date: line 2": DAY, "log/Mask: line 2": "Grey half mask; full facepiece", "log/By: line 2": "Jo Marsh",
    }, [("cleaning", {"masks": "half-mask, full-face", "by": "Jo Marsh"})]),
    "issue-and-return": (FIRM, {
        "issue/Date: line 1": DAY, "issue/Wearer: line 1": "Perry Lund", "issue/Mask: line 1": "grey half mask",
        "issue/Size: line 1": "M", "issue/With it: filters, spare parts, container: line 1": "box, 2 discs",
        "back/Date: line 1": DAY, "back/Wearer: line 1": "Wilf Lintel", "back/Mask: line 1": "half-mask",
    }, [("issue", {"who": "Perry Lund", "mask": "half-mask", "size": "M", "kit": "box, 2 discs"}),
        ("return", {"who": "Wilf Lintel", "mask": "half-mask"})]),
    "breathing-air-test": (BRIGADE, {
        "sample/Date": DAY, "air/Found: Oxygen": "20.9 %", "air/Found: Oil, condensed": "1 mg/m3",
        "air/Found: Carbon monoxide": "2 ppm", "air/Found: Carbon dioxide": "400 ppm",
    }, [("air-test", {"oxygen-low": "20.9 %", "oxygen-high": "20.9 %", "oil": "1 mg/m3", "carbon-monoxide": "2 ppm",
                      "carbon-dioxide": "400 ppm"})]),
    "program-evaluation": (FIRM, {
        "when/Date": DAY, "problems/Problem: line 1": "Vacuum bag full", "problems/Who: line 1": "Jo Marsh",
        "problems/Correction: line 1": "Spare bags bought", "problems/By when: line 1": "2026-12-15",
        "asked/Answers: Use: worn rightly under the conditions of the work? (l)(2)(iii)": "Yes",
        "asked/What came up, in a line": "Straps wear out",
    }, [("evaluation", {}),
        ("evaluation", {"finding": "Vacuum bag full", "correction": "Spare bags bought", "owner": "Jo Marsh",
                        "due": "2026-12-15"}),
        ("consultation", {"about": "use", "by": "Ada Brook", "told": "Straps wear out"})]),
    "consultation": (FIRM, {
        "when/Date": DAY, "when/Asked by": "Ada Brook", "told/In a line, for the description": "Straps wear out",
        "asked/Answers: Fit: comfortable, tight, can they do their work in it? (l)(2)(i)": "Mostly",
        "people/Name: line 1": "Wilf Lintel", "people/Name: line 2": "jo-marsh",
    }, [("consultation", {"who": "Wilf Lintel, jo-marsh", "about": "fit", "by": "Ada Brook",
                          "told": "Straps wear out"})]),
    "mask-request": (FIRM, {"asked/Date": DAY, "asked/For whom": "Wilf Lintel"},
                     [("request", {"who": "Wilf Lintel"})]),
    "appendix-d-given": (FIRM, {
        "given/Date: line 1": DAY, "given/Wearer: line 1": "Perry Lund",
        "given/On paper, on screen, read out: line 1": "read out", "given/Given by: line 1": "Ada Brook",
    }, [("information", {"who": "Perry Lund", "how": "read out, Ada Brook"})]),
    "read-and-signed": (ALL_SAID, {"signed/Date: line 1": DAY, "signed/Name: line 1": "wim-gale"},
                        [("reading", {"who": "wim-gale", "revision": "7"})]),
    "end-of-participation": (FIRM, {
        "to/Name": "Perry Lund", "to/From which day on": DAY, "back/Mask: line 1": "dust mask", "back/On: line 1": DAY,
    }, [("return", {"who": "Perry Lund", "mask": "dust-mask"}), ("leaving", {"who": "Perry Lund"})]),
    "filter-change-log": (FIRM, {
        "filter p100-disc/Date: line 1": DAY, "filter p100-disc/Why: line 1": "wet",
        "filter p100-disc/By: line 1": "Jo Marsh",
    }, [("filter-change", {"filter": "p100-disc", "because": "wet", "by": "Jo Marsh"})]),
}  # fmt: skip
_RECORDED = tuple(name for name, (program, _, _) in TOLD.items() if program == FIRM)


@cache
def judged_for(program: str) -> Judged:
    """Return what is judged of a program; the one in which all is said has no revision, and gets one here."""
    if program != ALL_SAID:
        return judged_whole(program)
    path, day = WHOLE[program]
    text = path.read_text().replace("program:\n", "program:\n  revision: '7'\n", 1).replace("  look: look\n", "")
    return judge(load({path.name: text.encode()}, path.name), built_in_catalogue(), day)


def _read(name: str, **how: Any) -> FilledForm | list[str]:
    program, filling, _ = TOLD[name]
    judged = judged_for(program)
    found = form_in(browser_form(form_called(name, judged), filling | how.pop("also", {}), **how), "f.json", judged)
    return found if isinstance(found, FilledForm) else [f"{fault.code} {fault.what}" for fault in found]


@cache
def _checked() -> Checked:
    return _judge(load_path(WHOLE[FIRM][0]))


def _judge(loaded: Loaded) -> Checked:
    return check(loaded, WHOLE[FIRM][1])


def _record(checked: Checked, *forms: bytes, listed: bytes = b"") -> Recorded:
    done = record_forms(checked, {f"{n}": data for n, data in enumerate(forms)}, listed, WHOLE[FIRM][1], _judge)
    assert isinstance(done, Recorded), [(fault.code, fault.what) for fault in done]
    return done


def _form(name: str, **also: str) -> bytes:
    return browser_form(form_called(name, judged_whole(FIRM)), TOLD[name][1] | also)


# ---- what a form says ---------------------------------------------------------------------------------


def test_every_field_reads_back_into_a_record_or_stays_on_paper_for_a_reason() -> None:
    for plan in form_plans():
        there = {
            f"{part['id']}.{one['id']}"
            for part in plan["parts"]
            for one in (*part.get("fields", ()), *(c for c in part.get("columns", ()) if "id" in c))
        }
        read = {_without_line(at) for rule in plan.get("reads", ()) for at in _places(rule)}
        paper = {_without_line(at) for kept in plan["paper_only"] for at in kept["fields"]}
        assert read | paper == there, (plan["id"], (read | paper) ^ there)
        assert read & paper <= {"air.found"}, plan["id"]  # four of its lines are read
        assert all(kept["why"] for kept in plan["paper_only"])
        for rule in plan.get("reads", ()):
            _, needed, may, _ = KINDS[rule["event"]]
            said = {*rule["values"], *rule.get("fixed", {})}
            assert said <= {*needed, *may}, plan["id"]
            assert {*needed} <= {*rule.get("needs", ()), *rule.get("fixed", {})} <= said | {*needed}, plan["id"]


def _places(rule: dict[str, Any]) -> list[str]:
    refs = [rule["day"], *([rule["if"]] if "if" in rule else [])]
    for ref in rule["values"].values():
        refs += ref if isinstance(ref, list) else [*ref.values()] if isinstance(ref, dict) else [ref]
    return refs


def _without_line(ref: str) -> str:
    part, *_, name = ref.split(".")
    return f"{part}.{name}"


def test_every_form_that_reads_back_is_filled_in_here() -> None:
    forms = {form.name: form for program in (FIRM, BRIGADE, ALL_SAID) for form in made_forms(judged_for(program))}
    assert {form.plan["id"] for name, form in forms.items() if name in TOLD} == {
        plan["id"] for plan in form_plans() if "reads" in plan
    }


@pytest.mark.parametrize("name", TOLD)
def test_a_form_says_what_was_filled_in(name: str) -> None:
    found = _read(name)
    assert isinstance(found, FilledForm), found
    assert [(event.kind, dict(event.values)) for event in found.events] == TOLD[name][2]
    assert {event.day for event in found.events} == {date(2026, 11, 20)}
    assert found.missing == ()


# ---- what is refused, and what is missing -------------------------------------------------------------


def test_a_form_of_another_firm_an_altered_one_and_what_is_none_are_refused_with_the_reason() -> None:
    form = form_called("mask-request", judged_whole(FIRM))
    other = form_called("mask-request", judged_whole("small_shop"))
    told = TOLD["mask-request"][1]
    cases = {
        "RECORD-009 It is a form of": browser_form(other, told),
        "RECORD-009 It is neither a Word file": b"a note",
        "RECORD-009 It is no Word document": b"PK\x03\x04 and no more",
        "RECORD-010 Fields of the form are gone: “For whom”": browser_form(
            form, {k: v for k, v in told.items() if "whom" not in k}, without="asked/For whom"
        ),
        "RECORD-010 It says": browser_form(form, told, mark=form.mark.replace("2026.2", "2026.3")),
    }
    for reason, data in cases.items():
        found = form_in(data, "f.json", judged_whole(FIRM))
        assert isinstance(found, list), reason
        assert [f"{one.code} {one.what}".startswith(reason) for one in found] == [True], found


def test_nothing_is_guessed_of_what_stands_in_a_field() -> None:
    for also, reason in (
        ({"result/Result": "passed"}, "RECORD-011 “passed” is no choice of “Result”."),
        ({"who/Date of the test": "11/20/2026"}, "RECORD-011 “11/20/2026” is no day, in “Date of the test”."),
        ({"who/Wearer": "Wilf Lintel; Jo Marsh"}, "RECORD-011 Fit test record: Saccharin solution aerosol: more than"),
        ({"who/Wearer": "all"}, "RECORD-011 Fit test record: Saccharin solution aerosol: more than"),
        ({"who/Other gear worn in the test": "x" * 2001}, "RECORD-011 Over 2,000 letters"),
    ):
        found = _read("fit-test-saccharin", also=also)
        assert isinstance(found, list) and [one.startswith(reason) for one in found] == [True], found


def test_a_name_that_two_masks_have_means_neither() -> None:
    path, day = WHOLE[FIRM]
    files = {file.name: file.read_bytes() for file in path.glob("*.yaml")}
    files["program.yaml"] = re.sub(rb"(?m)^  look: .*\n", b"", files["program.yaml"])
    files["masks.yaml"] = files["masks.yaml"].replace(b"name: full facepiece", b"name: grey half mask")
    checked = check(load(files, "firm"), day)
    assert checked.judged is not None, checked.report.findings
    data = browser_form(form_called("cleaning-log", checked.judged), TOLD["cleaning-log"][1])
    faults = record_forms(checked, {"f": data}, b"", day, _judge)
    assert isinstance(faults, list)
    assert faults[0].what == "`Grey half mask` is no mask of this description."


def test_a_form_that_tells_of_health_is_refused_and_nothing_of_it_repeated() -> None:
    found = _read("consultation", also={"told/In a line, for the description": "Wilf has asthma"})
    assert found == ["RECORD-013 “In a line, for the description” seems to tell of somebody's health."]
    for field in ("result/Result", "who/Date of the test", "who/Wearer"):
        found = _read("fit-test-saccharin", also={field: "has asthma"})
        assert found == [f"RECORD-013 “{field.partition('/')[2]}” seems to tell of somebody's health."]
    found = _read("consultation", mark="asthma")
    assert isinstance(found, list) and "asthma" not in "".join(found)


def test_no_form_but_the_closed_recommendation_asks_after_health() -> None:
    """The way to a mask names the recommendation as a step, to be ticked off."""
    asked = {
        (form.name, place.field.label)
        for program in (FIRM, BRIGADE, ALL_SAID)
        for form in made_forms(judged_for(program))
        for place in form.places
        if any(word in place.field.label.lower() for word in ("symptom", "illness", "medical", "diagnos", "blood"))
    }
    assert {name for name, _ in asked if not name.startswith("fit-test-")} <= {
        "mask-request",
        "program-evaluation",
        "incident",
    }
    assert {label.partition(": ")[2][:36] for _, label in asked} == {
        "Medical recommendation, on the infor",
        "Medical recommendations on file, lim",
        "The medical recommendation",
        "The written medical recommendation a",
    }


def test_a_half_filled_form_says_what_is_missing_and_gives_the_rest() -> None:
    also = {
        "wearers/Name: line 4": "Jo Marsh",
        "wearers/Name: line 5": "Marek Dolan",
        "wearers/Signature: line 5": "MD",
    }
    found = _read("training", also=also)
    assert isinstance(found, FilledForm)
    assert len(found.events) == 2
    assert found.missing == ("line 5: “Present”", "only named, and nothing else filled in: Jo Marsh")
    found = _read("fit-test-ambient-cnc-short-elastomeric", also={
        "quantitative/Fit factor: 2. jogging on the spot": "", "result/Tester": "", "who/Size": ""})  # fmt: skip
    assert isinstance(found, FilledForm)
    assert found.events == ()
    assert [part.partition(": “")[2] for part in found.missing] == ["Size”, “Tester”, “Fit factor”"]


# ---- what becomes of the description ------------------------------------------------------------------


def test_every_form_goes_into_the_description_and_the_second_time_adds_nothing() -> None:
    filling = {"issue-and-return": {"back/Date: line 1": "", "back/Wearer: line 1": "", "back/Mask: line 1": ""}}
    forms = [_form(name, **filling.get(name, {})) for name in _RECORDED]
    done = _record(_checked(), *forms)
    assert not done.missing
    assert len(done.entered) >= len(_RECORDED)
    rows = list(csv.DictReader(io.StringIO(done.after[EVIDENCE_LIST].decode())))
    assert {row["sha256"] for row in rows} == {hashlib.sha256(data).hexdigest() for data in forms}
    for row in rows:
        assert done.after[f"restricted/evidence/{row['file']}"] in forms
    again = _record(done.checked, *forms, listed=done.after[EVIDENCE_LIST])
    assert again.after == {}
    assert again.entered == ()


def test_what_was_handed_out_by_a_form_and_given_back_since_is_not_handed_out_again() -> None:
    gone = {"back/Date: line 1": "", "back/Wearer: line 1": "", "back/Mask: line 1": ""}
    first = _record(_checked(), _form("issue-and-return", **gone))
    back = {
        "back/Date: line 1": "2026-11-22",
        "back/Wearer: line 1": "Perry Lund",
        "back/Mask: line 1": "grey half mask",
    }
    second = _record(first.checked, _form("issue-and-return", **back), listed=first.after[EVIDENCE_LIST])
    program = second.checked.loaded.program
    assert program is not None
    perry = next(person for person in program.people if person.id == "perry-lund")
    assert [one.mask for one in perry.masks] == ["dust-mask"]
    assert [(one.mask, one.size) for one in perry.returned] == [("half-mask", "M")]
    at_once = _record(_checked(), _form("issue-and-return", **back))
    assert at_once.checked.loaded.program == program


def test_a_form_of_which_nothing_is_entered_is_kept_and_says_so() -> None:
    form = browser_form(form_called("incident", judged_whole(FIRM)), {"what/Date": DAY})
    done = _record(_checked(), form)
    assert done.entered == ()
    assert set(done.after) == {EVIDENCE_LIST, *done.kept}
    assert done.notes == ("Incident or near miss with a mask: nothing of it goes into the description.",)
    assert _record(done.checked, form, listed=done.after[EVIDENCE_LIST]).after == {}


def test_the_list_of_what_was_read_in_is_never_written_over_when_somebody_changed_it() -> None:
    found = record_forms(_checked(), {"f": _form("mask-request")}, b"file\n", WHOLE[FIRM][1], _judge)
    assert isinstance(found, list)
    assert [fault.code for fault in found] == ["RECORD-007"]


def test_the_command_shows_asks_keeps_and_adds_once(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    folder = tmp_path / "firm"
    copytree(WHOLE[FIRM][0], folder)
    form = tmp_path / "request.json"
    form.write_bytes(_form("mask-request"))
    command = ["record", str(folder), "--from", str(form), "--on", "2026-11-24"]
    before = (folder / "people.yaml").read_bytes()
    main(command)
    assert (folder / "people.yaml").read_bytes() == before
    assert not (folder / "restricted").exists()
    assert "Nothing was written. Add --yes to enter it." in capsys.readouterr().out
    main([*command, "--yes"])
    kept = list((folder / "restricted" / "evidence").glob("mask-request-*.json"))
    assert [file.read_bytes() for file in kept] == [form.read_bytes()]
    assert [file.stat().st_mode & 0o077 for file in (*kept, kept[0].parent)] == [0, 0]
    assert b"requested: 2026-11-20" in (folder / "people.yaml").read_bytes()
    main([*command, "--yes"])
    assert "all of it stands there already" in capsys.readouterr().out
    assert main(["record", str(folder), "--on", "2026-11-24"]) == 2
    assert "It is not said what happened" in capsys.readouterr().err


# ---- sets for a crew ----------------------------------------------------------------------------------


def test_a_crews_sheets_name_who_is_named_for_the_task_and_read_back() -> None:
    judged = judged_whole(FIRM)
    sheets = dict(crew_forms(judged))
    sheet = sheets["training-scrape-sashes"]
    names = [place.field.value for place in sheet.places if place.field.label.startswith("Name: ")]
    crew = next(task for task in judged.description.tasks if task.id == "scrape-sashes").people
    assert [name for name in names if name] == [judged.index.people[person][1].name for person in crew]
    told = {"session/Date": DAY, **_TAUGHT, "wearers/Present: line 2": "yes"}
    found = form_in(browser_form(sheet, told), "f.json", judged)
    assert isinstance(found, FilledForm), found
    assert [event.values["who"] for event in found.events] == [names[1]]
    assert found.missing == (f"only named, and nothing else filled in: {names[0]}, {', '.join(names[2 : len(crew)])}",)


def test_an_inspection_of_a_mask_without_a_record_of_its_own_says_what_it_lacks() -> None:
    judged = judged_whole("crypt-with-airline")
    told = {
        "unit escape-hood/Date: line 1": DAY,
        "unit escape-hood/Result: line 1": "serviceable",
        "unit escape-hood/Name or signature: line 1": "Bo Hill",
    }
    found = form_in(browser_form(form_called("emergency-inspection", judged), told), "f.json", judged)
    assert isinstance(found, FilledForm)
    assert found.events == ()
    assert [one.partition(": ")[2] for one in found.missing] == [
        "“a single mask of that kind under `units` in the description”"
    ]


def test_a_form_in_spanish_that_lost_the_names_of_its_fields_is_told_by_their_order() -> None:
    path, day = WHOLE[FIRM]
    files = {file.name: file.read_bytes() for file in path.glob("*.yaml")}
    files["program.yaml"] = re.sub(rb"(?m)^  look: .*\n", b"", files["program.yaml"])
    files["program.yaml"] = files["program.yaml"].replace(b"program:\n", b"program:\n  languages: [en, es]\n", 1)
    judged = judge(load(files, "firm"), built_in_catalogue(), day)
    spanish = next(language for language in more_languages(judged))
    form = next(one for one in made_forms(judged, language=spanish) if one.plan["id"] == "mask-request")
    packed = BytesIO()
    with ZipFile(BytesIO(WRITERS["docx"](form.document))) as archive, ZipFile(packed, "w") as nameless:
        for name in archive.namelist():
            nameless.writestr(name, re.sub(rb"<w:tag [^>]*/>", b"", archive.read(name)))
    fields = form_fields(packed.getvalue(), judged)
    assert isinstance(fields, dict), fields
    assert list(fields) == ["form.mark", *(place.field.id for place in form.places)]
    assert fields["form.mark"] == (form.mark,)


# ---- a sheet that speaks against itself ---------------------------------------------------------------


@pytest.mark.parametrize(
    ("name", "field", "said"),
    [
        ("fit-test-saccharin", "qualitative/Noticed?: 4. head up and down", "yes: failed"),
        ("fit-test-saccharin", "result/Still acceptable", "no: choose another and test again"),
        ("breathing-air-test", "result/The air may be breathed", "no: locked out"),
        ("breathing-air-test", "air/Within: Odour", "no"),
    ],
)
def test_what_a_sheet_denies_is_not_entered_from_it(name: str, field: str, said: str) -> None:
    """What a field says that goes into no record still speaks against a pass, or against air that may be breathed."""
    (told,) = _read(name, also={field: said})
    assert told.startswith("RECORD-011")
    assert said in told
    failed = _read("fit-test-saccharin", also={"result/Still acceptable": said, "result/Result": "fail"})
    assert isinstance(failed, FilledForm) or "Still acceptable" not in field


def test_every_answer_of_a_form_that_stops_something_speaks_against_the_rest() -> None:
    """A choice that says what then happens (“no: …”, “yes: …”) denies, or has a meaning in the record."""
    for form in form_plans():
        for field in _fields_of(form.get("parts", [])):
            stops = [str(choice) for choice in field.get("choices", ()) if re.match(r"(?:yes|no): ", str(choice))]
            if stops and form.get("reads"):
                assert field.get("denies") in stops or "means" in field, (form["id"], field["id"])


def _fields_of(parts: list[dict[str, Any]]) -> Iterator[dict[str, Any]]:
    for part in parts:
        for one in (*part.get("fields", ()), *part.get("columns", ())):
            if isinstance(one.get("choices"), list):
                yield one


def test_a_box_is_ticked_by_its_tick_alone() -> None:
    """A box that holds “no” is not ticked, whoever wrote it there."""
    boxes = [where for where in TOLD["training"][1] if where.startswith(("topics/Taught", "wearers/Present"))]
    for where in boxes:
        (told,) = _read("training", also={where: "no"})
        assert "stands in the box" in told
