"""A completed renewal worksheet, Word or from the browser, comes back into the new description: field by field."""

from __future__ import annotations

import json
from collections.abc import Callable
from datetime import date
from io import BytesIO
from pathlib import Path
from zipfile import ZipFile

import pytest
from app.filled_worksheet import Filling, browser_answers, labels, word_answers
from programs.patching import PROGRAMS
from programs.patching import written as yaml_of
from writers.pdf_fillers import filled_by_pdfium

from progdoc.app.check import gaps_of_program
from progdoc.app.disk.description_files import check_path, load_path
from progdoc.app.disk.issued_folder import issue
from progdoc.app.disk.renewal_folder import Renewed, renew
from progdoc.app.issue import faults_of_revision
from progdoc.cli import main
from progdoc.core.report import Report
from progdoc.document.papers.renewal_questions import question_plans
from progdoc.model.description.program import Program
from progdoc.writers.people_workbook import people_workbook

SHOP = Path(__file__).resolve().parents[2] / "sample_config" / "small_shop"
OPENED_ON, EFFECTIVE = date(2026, 11, 24), date(2027, 3, 2)
PAGE, SHEET, PDF = (f"restricted/renewal-worksheet.{ending}" for ending in ("html", "docx", "pdf"))
SAME = "as it stands here"

# Every question of the small shop's worksheet, answered; the words in front are those on paper.
SETTLED: Filling = {
    ("Tasks", "Answer: Sanding white casts"): SAME,
    ("Tasks", "Answer: Mixing lamp black"): "no longer done",
    ("New tasks", "Answer"): "those below",
    ("New tasks", "What the crew calls it: line 1"): "Breaking out old ceilings",
    ("New tasks", "What is done, with what: line 1"): 'Laths and "horsehair" plaster, by bar: dusty',
    (
        "Products and what is in the air",
        "Answer: titanium dioxide in “Sanding white casts”",
    ): "looked at and as it stands here",
    (
        "Products and what is in the air",
        "Answer: carbon black in “Mixing lamp black”",
    ): "looked at and as it stands here",
    ("New products", "Answer"): "none",
    ("Evidence older than a year", "Answer: titanium dioxide in “Sanding white casts”"): "still holds",
    ("Evidence older than a year", "Answer: carbon black in “Mixing lamp black”"): "still holds",
    ("People", "Answer: Nora Quill"): SAME,
    ("People", "Answer: Milo Hatch"): SAME,
    ("People", "Answer: Tess Rowan"): SAME,
    ("People", "Answer: Omar Finch"): "left",
    ("New people", "Answer"): "those below",
    ("New people", "Name: line 1"): "Ida Lund",
    ("New people", "Job: line 1"): "Plasterer",
    ("Sites", "Answer: Workshop, 3 Weir Lane"): SAME,
    ("New sites", "Answer"): "those below",
    ("New sites", "What people call it: line 1"): "Mill Street chapel",
    ("New sites", "Address: line 1"): "4 Mill Street",
    ("Emergencies", "Answer"): "nothing else",
    ("Officer and deputies", "Answer"): SAME,
    ("Contractors and clients", "Answer"): SAME,
    ("Masks", "Answer: grey half mask"): "looked up and as it stands here",
    ("Filters and cartridges", "Answer: magenta disc"): "looked up and as it stands here",
    ("New masks and filters", "Answer"): "none",
    ("Law, state plan and policies", "Answer"): "looked, and nothing changed",
    ("Evaluation of the program", "Answer"): "held, with the findings below",
    ("Evaluation of the program", "Held on"): "2026-11-20",
    ("Evaluation of the program", "What was found: line 1"): "Two hard boxes are missing",
    ("Evaluation of the program", "What is done about it: line 1"): "Boxes bought, one for each mask",
    ("Evaluation of the program", "Who: line 1"): "Milo Hatch",
    ("Evaluation of the program", "By when: line 1"): "2026-12-15",
    ("Evaluation of the program", "What was found: line 3"): "Vacuum bag full",
    ("The coming year", "Answer"): "all planned",
    (
        "Line for the revision history",
        "What changed in this revision, in a line",
    ): "Lamp black given up, ceilings come in",
}
Form = Callable[[Path, Filling], Path]


def by_browser(opened: Path, filling: Filling) -> Path:
    file = opened.parent / "renewal-answers.json"
    file.write_bytes(browser_answers(opened / PAGE, filling))
    return file


def by_word(opened: Path, filling: Filling) -> Path:
    file = opened.parent / "completed.docx"
    file.write_bytes(word_answers(opened / SHEET, opened / PAGE, filling))
    return file


def by_pdf(opened: Path, filling: Filling) -> Path:
    fields = json.loads(browser_answers(opened / PAGE, filling))["fields"]
    names = {name.replace(".", "/"): text for name, text in fields.items()}
    file = opened.parent / "completed.pdf"
    file.write_bytes(filled_by_pdfium((opened / PDF).read_bytes(), names))
    return file


@pytest.fixture(scope="module")
def opened(tmp_path_factory: pytest.TempPathFactory) -> Path:
    out = tmp_path_factory.mktemp("renewal") / "next"
    assert isinstance(renew(SHOP, EFFECTIVE, out, OPENED_ON), Renewed)
    return out


def read_in(path: Path, answers: Path, out: Path | None) -> Renewed:
    done = renew(path, EFFECTIVE, out, OPENED_ON, answers=answers)
    assert isinstance(done, Renewed), [(fault.code, fault.what) for fault in done]
    return done


def refused(path: Path, answers: Path, out: Path) -> list[str]:
    faults = renew(path, EFFECTIVE, out, OPENED_ON, answers=answers)
    assert isinstance(faults, list)
    assert not out.exists()
    return [f"{fault.code} {fault.what}" for fault in faults]


def described(folder: Path) -> Program:
    program = load_path(folder).program
    assert program is not None
    return program


def asked_by_renewal(folder: Path) -> list[str]:
    report: Report = check_path(folder, EFFECTIVE).report
    return [f"{f.code} {f.what}" for f in report.findings if f.code in ("PRG-072", "PRG-073", "EVA-011")]


def without(*labels_left_out: str) -> Filling:
    return {where: words for where, words in SETTLED.items() if where[1] not in labels_left_out}


# ---- every answer comes back --------------------------------------------------------------------------


@pytest.mark.parametrize("form", [by_word, by_browser, by_pdf])
def test_what_was_answered_stands_in_the_new_description(form: Form, opened: Path, tmp_path: Path) -> None:
    done = read_in(SHOP, form(opened, SETTLED), tmp_path / "next")
    assert (done.done.missing, done.done.by_hand) == ((), ())
    program = described(tmp_path / "next")
    assert (program.program.revision, program.program.effective) == ("2", EFFECTIVE)
    assert program.program.history[-1].summary == "Lamp black given up, ceilings come in"
    assert [(task.id, task.people) for task in program.tasks] == [
        ("sand-casts", ("nora", "milo", "tess")),
        ("breaking-out-old-ceilings", ()),
    ]
    assert program.tasks[1].description == 'Laths and "horsehair" plaster, by bar: dusty'
    assert [hazard.id for hazard in program.hazards] == ["white-dust"]
    assert [person.id for person in program.people] == ["nora", "milo", "tess", "ida-lund"]
    assert (program.people[3].name, program.people[3].job, program.people[3].medical) == ("Ida Lund", "Plasterer", ())
    assert [(s.id, s.address) for s in program.organisation.sites][1:] == [("mill-street-chapel", "4 Mill Street")]
    evaluation = program.procedures.evaluation
    assert evaluation.last == date(2026, 11, 20)
    boxes, bag = evaluation.findings
    assert (boxes.date, boxes.what) == (date(2026, 11, 20), "Two hard boxes are missing")
    assert (boxes.correction, boxes.owner) == ("Boxes bought, one for each mask", "Milo Hatch")
    assert (boxes.due, boxes.done) == (date(2026, 12, 15), None)
    assert (bag.what, bag.correction, bag.due) == ("Vacuum bag full", None, None)
    assert program.renewal == ()
    assert asked_by_renewal(tmp_path / "next") == []
    assert not (tmp_path / "next" / SHEET).exists()  # nothing is left to ask


def test_a_renewal_in_which_nothing_changed_passes_check_and_is_issued(opened: Path, tmp_path: Path) -> None:
    changed = {
        "Answer: Mixing lamp black": SAME,
        "Answer: Omar Finch": SAME,
        "Answer": "",
    }
    none = {"New tasks": "none", "New people": "nobody", "New sites": "none"}
    calm = {
        where: none.get(where[0], words) if where[1] == "Answer" else changed.get(where[1], words)
        for where, words in SETTLED.items()
        if "line 1" not in where[1] and "line 3" not in where[1]
    }
    calm[("Evaluation of the program", "Answer")] = "held, and nothing was found"
    read_in(SHOP, by_word(opened, calm), tmp_path / "next")
    old, new = ((folder / "program.yaml").read_text(encoding="utf-8") for folder in (SHOP, tmp_path / "next"))
    assert len(old.splitlines()) == len(new.splitlines())  # three lines and one value are other, no line more
    checked = check_path(tmp_path / "next", OPENED_ON)
    assert [*gaps_of_program(checked), *faults_of_revision(checked)] == []  # nothing keeps it from being issued


# ---- what is not answered -----------------------------------------------------------------------------


def test_opened_and_unanswered_every_question_is_an_open_point(opened: Path, tmp_path: Path) -> None:
    asked = asked_by_renewal(opened)
    assert len(asked) == len({heading for heading, _ in SETTLED} - {"Line for the revision history"})
    assert any("tasks (sand-casts, mix-black)" in words for words in asked)
    assert "EVA-011 The renewal asks about evaluation, and nobody has answered." in asked
    faults = issue(opened, tmp_path / "issued", EFFECTIVE)
    assert isinstance(faults, list)
    assert {"PRG-072", "EVA-011"} <= {fault.code for fault in faults}


def test_no_person_is_named_in_what_everybody_may_read(opened: Path) -> None:
    (people,) = [words for words in asked_by_renewal(opened) if "about people" in words]
    assert people == "PRG-072 The renewal asks about people (4), and nobody has answered."
    names = [file for file in opened.rglob("*") if file.is_file() and file.suffix in (".html", ".docx")]
    assert {file.parent.name for file in names} == {"restricted"}


def test_half_filled_it_says_what_is_missing_and_asks_for_the_rest_alone(opened: Path, tmp_path: Path) -> None:
    half = without("Answer: Tess Rowan", "Held on") | {("Masks", "Answer: grey half mask"): "changed"}
    first = read_in(SHOP, by_browser(opened, half), tmp_path / "next")
    assert first.done.missing == (
        "People: Tess Rowan: not answered",
        "Masks: grey half mask: “changed”, and not what",
        "Evaluation of the program: “held, with the findings below”, and no day",
    )
    program = described(tmp_path / "next")
    assert [(p.question.value, p.about) for p in program.renewal] == [
        ("people", ("tess",)),
        ("masks", ("half-mask",)),
        ("evaluation", ()),
    ]
    assert program.procedures.evaluation.findings == ()
    # What is left is asked on a sheet of its own, and read in from there.
    rest = {where: words for where, words in SETTLED.items() if where in labels(tmp_path / "next" / PAGE)}
    assert {heading for heading, _ in rest} == {
        "People",
        "Masks",
        "Evaluation of the program",
        "Line for the revision history",
    }
    second = read_in(tmp_path / "next", by_word(tmp_path / "next", rest), tmp_path / "last")
    assert second.done.missing == ()
    assert [finding.id for finding in described(tmp_path / "last").procedures.evaluation.findings] == [
        "two-hard-boxes-are-missing",
        "vacuum-bag-full",
    ]
    assert described(tmp_path / "last").renewal == ()


def test_what_takes_judgement_is_left_to_a_person_and_stays_open(opened: Path, tmp_path: Path) -> None:
    filling = SETTLED | {
        ("Masks", "Answer: grey half mask"): "withdrawn, or no longer used",
        ("Masks", "What changed, or what replaces it and since when: grey half mask"): "H-50 from May on",
        ("People", "Answer: Milo Hatch"): "left",
    }
    done = read_in(SHOP, by_word(opened, filling), tmp_path / "next")
    assert "Masks: grey half mask: withdrawn, or no longer used: H-50 from May on" in done.done.by_hand
    named = [line for line in done.done.by_hand if line.startswith("People: Milo Hatch: the name still stands under")]
    assert [line.partition(" under ")[2] for line in named] == ["officer.deputies[0], procedures.use.watched_by"]
    assert asked_by_renewal(tmp_path / "next") == [
        "PRG-073 The renewal worksheet tells of a change that the program does not say yet: people (1).",
        "PRG-073 The renewal worksheet tells of a change that the program does not say yet: masks (half-mask).",
    ]
    page = (tmp_path / "next" / "restricted" / "renewal-changes.html").read_text(encoding="utf-8")
    assert "H-50 from May on" in page


def test_an_answer_that_settles_is_not_taken_beside_words_or_a_day_that_say_otherwise(
    opened: Path, tmp_path: Path
) -> None:
    """Every question that has such a field is tried; where the words are the reason of the answer they are taken."""
    questions = {one["id"]: one for one in question_plans().values()}
    reasons = {"evidence", "law"}
    with_words = {id_ for id_, one in questions.items() if "words" in {field["id"] for field in one.get("fields", ())}}
    assert {id_ for id_ in with_words if "beside" in questions[id_]["fields"][0]} == reasons
    beside: Filling = {
        where: "Now nine hours a day, windows nailed shut"
        for where in labels(opened / PAGE)
        for id_ in with_words
        if where[0] == questions[id_]["title"] and where[1].startswith(questions[id_]["fields"][0]["label"])
    }
    settled = {**SETTLED, ("Tasks", "Answer: Mixing lamp black"): SAME, ("People", "Answer: Omar Finch"): SAME}
    done = read_in(SHOP, by_browser(opened, settled | beside), tmp_path / "next").done
    told = {line.partition(": ")[0] for line in done.missing if "stands beside it" in line}
    assert told == {questions[id_]["title"] for id_ in with_words - reasons}
    idle = {where: "nothing" for where in beside if where[0] not in {questions[id_]["title"] for id_ in reasons}}
    assert read_in(SHOP, by_browser(opened, settled | idle), tmp_path / "idle").done.missing == ()
    contrary = dict.fromkeys(beside.keys() - idle.keys(), "Did not look; the old figure no longer holds")
    told = read_in(SHOP, by_browser(opened, settled | contrary), tmp_path / "contrary").done.missing
    assert {line.partition(": ")[0] for line in told} == {questions[id_]["title"] for id_ in reasons}


MORE = """\
# What a client asks, and a guest of the workshop: kept in a file of their own.
people:
  - id: kit  # came in May
    name: Kit Vale
  - id: wren
    name: Wren Abbot
policies:
  - {id: host, by: Northbridge Diocese, source: Rules of 2026, tasks: [mix-black], fit_test_interval: 6 months}
accepted:
  - {code: EXP-019, subject: hazards.white-dust, reason: Sampling is booked, by: Nora Quill, until: 2026-12-31}
  - {code: EXP-019, subject: hazards.black-dust, reason: Sampling is booked, by: Nora Quill, until: 2026-12-31}
"""


def test_lists_in_two_files_earlier_findings_acceptances_and_a_policy_that_would_bind_all_work(tmp_path: Path) -> None:
    shop, opened = tmp_path / "shop", tmp_path / "next"
    shop.mkdir()
    text = (SHOP / "program.yaml").read_text(encoding="utf-8")
    finding = "findings: [{id: boxes, date: 2026-02-20, what: No boxes}], "
    text = text.replace("{adopt: (l), ", "{adopt: (l), " + finding)
    (shop / "program.yaml").write_text(text, encoding="utf-8")
    (shop / "more.yaml").write_text(MORE, encoding="utf-8")
    assert isinstance(renew(shop, EFFECTIVE, opened, OPENED_ON), Renewed)
    needed = "needed until the day beside it, and the reason holds"
    filling = {
        ("Tasks", "Answer: Mixing lamp black"): "no longer done",
        ("People", "Answer: Tess Rowan"): "left",
        ("People", "Answer: Kit Vale"): "left",
        ("Earlier findings", "Answer: No boxes"): "corrected",
        ("Earlier findings", "Corrected on: No boxes"): "2026-03-10",
        ("Accepted cautions", "Answer: EXP-019 hazards.white-dust"): "no longer needed",
        ("Accepted cautions", "Answer: EXP-019 hazards.black-dust"): needed,
        ("Accepted cautions", "Until: EXP-019 hazards.black-dust"): "2027-06-30",
    }
    done = read_in(shop, by_browser(opened, filling), tmp_path / "last")
    program = described(tmp_path / "last")
    # The policy names this task alone. Without the task it would name none, and so bind all work.
    assert [task.id for task in program.tasks] == ["sand-casts", "mix-black"]
    (told,) = [line for line in done.done.by_hand if line.startswith("Tasks: Mixing lamp black")]
    assert "the policy of Northbridge Diocese would bind all work" in told
    assert [person.id for person in program.people] == ["wren", "nora", "milo", "omar"]
    assert program.procedures.evaluation.findings[0].done == date(2026, 3, 10)
    assert [(entry.subject, entry.until) for entry in program.accepted] == [("hazards.black-dust", date(2027, 6, 30))]
    assert "# came in May" not in (tmp_path / "last" / "more.yaml").read_text(encoding="utf-8")
    assert [(p.question.value, p.about) for p in program.renewal if p.to_enter] == [("tasks", ("mix-black",))]


def test_whoever_left_is_named_with_the_workbook_to_take_the_rows_out_of(tmp_path: Path) -> None:
    """A workbook is the user's own file, with formulas and colours that nobody but a spreadsheet keeps."""
    shop, opened = tmp_path / "shop", tmp_path / "next"
    shop.mkdir()
    loaded = load_path(SHOP)
    assert loaded.program is not None
    (shop / "people.xlsx").write_bytes(people_workbook(loaded.program))
    values = {**loaded.description.values, "people": "people.xlsx", "attachments": []}
    (shop / "program.yaml").write_text(yaml_of(values), encoding="utf-8")
    done = renew(shop, EFFECTIVE, opened, OPENED_ON)
    assert isinstance(done, Renewed), [fault.what for fault in done]
    answers = by_browser(opened, {("People", "Answer: Omar Finch"): "left"})
    done = read_in(shop, answers, tmp_path / "last")
    (told,) = [line for line in done.done.by_hand if line.startswith("People: Omar Finch")]
    assert "Take the rows out of people.xlsx" in told
    assert (tmp_path / "last" / "people.xlsx").read_bytes() == (shop / "people.xlsx").read_bytes()
    assert [person.id for person in described(tmp_path / "last").people] == [one.id for one in loaded.program.people]


# ---- once, and only for what was shown ----------------------------------------------------------------


def test_read_in_twice_everything_is_there_once(opened: Path, tmp_path: Path) -> None:
    answers = by_browser(opened, without("Answer: Tess Rowan"))
    read_in(opened, answers, tmp_path / "once")
    read_in(tmp_path / "once", answers, tmp_path / "twice")
    once, twice = ((tmp_path / name / "program.yaml").read_text(encoding="utf-8") for name in ("once", "twice"))
    assert once == twice


def test_an_answer_holds_only_for_what_stood_beside_it(opened: Path, tmp_path: Path) -> None:
    folder = tmp_path / "shop"
    folder.mkdir()
    text = (SHOP / "program.yaml").read_text(encoding="utf-8")
    (folder / "program.yaml").write_text(text.replace("duration: 3 h", "duration: 7 h"), encoding="utf-8")
    done = read_in(folder, by_word(opened, SETTLED), tmp_path / "next")
    assert "Tasks: Sanding white casts: shown otherwise when it was answered" in done.done.missing
    assert ("tasks", ("sand-casts",)) in [(p.question.value, p.about) for p in described(tmp_path / "next").renewal]


def test_without_a_folder_it_is_shown_and_nothing_written(
    opened: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    answers = by_browser(opened, without("Answer: Tess Rowan"))
    before = sorted(tmp_path.rglob("*"))
    assert main(["renew", str(SHOP), "--effective", EFFECTIVE.isoformat(), "--answers", str(answers)]) == 1
    said = " ".join(capsys.readouterr().out.split())
    for words in (
        "Tasks: Mixing lamp black: taken out.",
        "carbon black in its air (black-dust)",
        "nothing was written",
    ):
        assert words in said, words
    assert sorted(tmp_path.rglob("*")) == before


# ---- what is refused ----------------------------------------------------------------------------------


def test_a_worksheet_of_another_renewal_is_refused(opened: Path, tmp_path: Path) -> None:
    answers = by_word(opened, SETTLED)
    (told,) = refused(PROGRAMS / "base.yaml", answers, tmp_path / "next")
    assert told.startswith("RENEW-007 completed.docx says “Revision 2 from 2027-03-02 of Quill & Daughter Plasterwork”")


@pytest.mark.parametrize(
    ("where", "words", "code"),
    [
        (
            ("Tasks", "Answer: Sanding white casts"),
            "more or less",
            "RENEW-008 Tasks: Sanding white casts: “more or less”",
        ),
        (("Evaluation of the program", "Held on"), "last spring", "RENEW-008 Evaluation of the program: “last spring”"),
        (("New people", "Job: line 1"), "Light work, has asthma", "RENEW-009"),
        (
            ("New tasks", "What is done, with what: line 1"),
            "dust " * 500,
            "RENEW-008 New tasks, line 1: over 2,000 letters",
        ),
    ],
)
def test_what_can_not_be_understood_is_refused_whole(
    where: tuple[str, str], words: str, code: str, opened: Path, tmp_path: Path
) -> None:
    (told,) = refused(SHOP, by_word(opened, SETTLED | {where: words}), tmp_path / "next")
    assert told.startswith(code)
    assert "asthma" not in told


def test_a_field_that_stands_there_twice_and_differs_is_refused(opened: Path, tmp_path: Path) -> None:
    first, second = (
        by_word(opened, SETTLED | {("Masks", "Answer: grey half mask"): words}).read_bytes()
        for words in ("looked up and as it stands here", "changed")
    )
    with ZipFile(BytesIO(first)) as one, ZipFile(BytesIO(second)) as other:
        texts = [archive.read("word/document.xml").decode() for archive in (one, other)]
    bodies = [text[text.index("<w:body>") + len("<w:body>") : text.rindex("<w:sectPr")] for text in texts]
    file = tmp_path / "pasted.docx"
    with ZipFile(file, "w") as pasted:
        pasted.writestr("word/document.xml", texts[0].replace(bodies[0], bodies[0] + bodies[1]))
    told = refused(SHOP, file, tmp_path / "next")
    assert told == ["RENEW-008 Masks: grey half mask: the same field stands there twice, filled in differently."]


@pytest.mark.parametrize(
    "content",
    [
        b"",
        b"PK\x03\x04 cut off",
        b"%PDF-1.7",
        b'{"format": "progdoc-answers/1", "fields": {"renewal.summary": 7}}',
        b'{"format": "another", "fields": {}}',
        json.dumps({"format": "progdoc-answers/1", "fields": {"other.field": "x"}}).encode(),
        b"[" * 100_000,
    ],
)
def test_a_file_that_is_no_worksheet_is_refused(content: bytes, tmp_path: Path) -> None:
    file = tmp_path / "foreign"
    file.write_bytes(content)
    (told,) = refused(SHOP, file, tmp_path / "next")
    assert told.startswith("RENEW-006")
