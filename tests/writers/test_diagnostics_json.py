"""Our own format: the keys are fixed in the contract with other programs, so they are spelt out here."""

import json
from dataclasses import replace

from calls import calls_in
from writers.sample_report import FIT, MASK, question, sample_report

from progdoc.core.public_report import public_part
from progdoc.core.report import RequirementStatus, Status
from progdoc.writers.diagnostics_json import report_json


def read(report):
    return json.loads(report_json(report))


def test_the_shape_other_programs_rely_on():
    value = read(sample_report())
    lists = ["barred", "questions", "findings", "requirements"]
    assert list(value) == ["format", "on", "rules", "program", "summary", *lists]
    assert value["barred"] == [
        {
            "task": "scrape-sashes",
            "why": "masks",
            "masks": ["half-p100"],
            "people": 0,
            "of": 0,
            "told": "nobody may start “Scraping sashes” in “Half mask P100”",
        }
    ]
    assert value["format"] == "progdoc-gaps/1"
    assert value["on"] == "2026-11-24"
    assert value["rules"] == {"pack": "us-federal", "version": "2026.1"}
    assert value["program"] == {"title": "Respiratory protection program", "revision": "3"}
    assert value["summary"] == {"invalid": 1, "required": 4, "caution": 1, "advice": 0, "accepted": 1, "answers": 4}


def test_a_finding():
    (finding,) = (f for f in read(sample_report())["findings"] if f["code"] == "FIT-002")
    assert finding == {
        "code": "FIT-002",
        "name": "annual-fit-test-overdue",
        "severity": "required",
        "scope": "record",
        "audience": "restricted",
        "citation": "29 CFR 1910.134(f)(2)",
        "subject": ["people.jo-marsh", "masks.half-p100"],
        "where": {"file": "firm/people.yaml", "line": 42, "column": 14, "path": "people[3].fit_tests"},
        "what": FIT.what,
        "why": FIT.why,
        "fix": FIT.fix,
        "ground": "",
        "accepted": "",
    }


def test_a_question():
    asked = replace(question(MASK), adopts="(h)(2)", adopted_at="procedures.storage.adopt", decides=3)
    (told,) = read(sample_report(questions=(asked,)))["questions"]
    assert told == {
        "id": "sel-001",
        "section": "storage",
        "subject": ["tasks.scrape-sashes"],
        "names": ["tasks.scrape-sashes"],
        "asks": "What is to be done about mask-protects-too-little of tasks.scrape-sashes?",
        "why": MASK.why,
        "cites": ["29 CFR 1910.134(d)(3)(i)(A)"],
        "where": {"file": "firm/tasks.yaml", "line": 12, "column": 5, "path": "tasks[0].masks[0]"},
        "fields": [
            {
                "path": "procedures.storage.where",
                "title": "Where",
                "kind": "text",
                "list": False,
                "choices": [],
                "examples": ["Cupboard"],
                "description": "Where masks are kept.",
            }
        ],
        "type": [],
        "adopts": {"paragraph": "(h)(2)", "path": "procedures.storage.adopt"},
        "danger": True,
        "missing": True,
        "decides": 3,
        "settles": ["SEL-001"],
    }


def test_questions_stand_in_the_order_in_which_they_are_asked():
    report = sample_report()
    assert [asked["settles"][0] for asked in read(report)["questions"]] == [q.settles[0] for q in report.questions]
    assert read(report)["questions"][0]["adopts"] is None


def test_masks_that_do_not_protect_come_first():
    assert read(sample_report())["findings"][0]["code"] == MASK.code


def test_requirements_are_sorted_and_complete():
    rows = read(sample_report())["requirements"]
    assert [row["code"] for row in rows] == ["ADM-001", "AIR-001", "CHG-001", "FIT-002", "FIT-002", "TRN-001"]
    assert rows[-1] == {
        "code": "TRN-001",
        "name": "training-missing",
        "citation": "29 CFR 1910.134(k)(1)",
        "subject": [],
        "status": "met",
        "because": "described",
        "evidence": ["training.topics"],
        "answered_in": ["training"],
    }
    assert {row["status"] for row in rows} == {"met", "gap", "not-applicable", "undetermined"}


def test_the_public_variant_counts_what_it_leaves_out_and_names_nobody():
    public = public_part(sample_report())
    assert read(public)["restricted"] == {"invalid": 0, "required": 1, "caution": 0, "advice": 0, "answers": 1}
    assert read(public)["summary"]["required"] == read(public)["summary"]["answers"] == 4
    for name in (b"jo-marsh", b"sam-tarn"):
        assert name not in report_json(public)


def test_the_order_found_does_not_change_a_byte():
    report = sample_report()
    mixed = replace(report, findings=report.findings[::-1], requirements=report.requirements[::-1])
    assert report_json(mixed) == report_json(report)


def test_half_a_surrogate_pair_does_not_stop_the_report():
    value = read(sample_report(findings=(replace(FIT, what="mask \ud800\x1b µ"),)))
    assert value["findings"][0]["what"] == "mask ?\x1b µ"


def test_one_more_row_of_a_duty_writes_only_its_own_places():
    """There are sixty rows of each wearer: duty, subject and reason are written once, and a public report counts."""

    def report(count):
        told = ("FIT-001", "name", "29 CFR 1910.134(f)(2)", Status.MET, "because")
        rows = (RequirementStatus(*told, (f"people.p{n % 10}",), (f"people[{n}].x",)) for n in range(count))
        return sample_report(requirements=tuple(rows))

    few, many = report(100), report(200)
    assert calls_in(lambda: report_json(many)) - calls_in(lambda: report_json(few)) <= 12 * 100
    assert calls_in(lambda: public_part(many)) - calls_in(lambda: public_part(few)) <= 6 * 100
