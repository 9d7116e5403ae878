"""The order of work, the counts and the first line of a report. Wording and order are our own choice."""

from dataclasses import replace

import pytest
from published_value import published
from writers.sample_report import ACCEPTED, CAUTION, FIT, KEY, MASK, OFFICER, STORAGE, sample_report

from progdoc.core.diagnostics import Audience, Scope, Severity
from progdoc.core.report import (
    Status,
    accepted_count,
    count_of,
    grouped,
    in_order,
    public_part,
    section_of,
    severity_counts,
    summary_line,
)


def test_groups_follow_the_officers_order_of_work():
    assert grouped(sample_report()) == [
        ("Masks that do not protect, or are not shown to", [MASK]),
        ("The description cannot be understood", [KEY]),
        ("The written program: (c) the program and its officer", [OFFICER]),
        ("The written program: (h) cleaning, storage, inspection and repair", [STORAGE]),
        ("Records of people and devices", [FIT]),
        ("Cautions", [CAUTION]),
        ("Accepted for the time being", [ACCEPTED]),
    ]


def test_the_order_does_not_depend_on_the_order_found():
    findings = sample_report().findings
    assert in_order(sample_report(findings=findings[::-1])) == in_order(sample_report())


def test_every_finding_is_in_exactly_one_group():
    report = sample_report()
    assert sorted(f.code for f in in_order(report)) == sorted(f.code for f in report.findings)


def test_sections_of_the_law_come_in_its_order_and_other_standards_after_it():
    citations = ["29 CFR 1926.62(f)(3)", "", "29 CFR 1910.134(m)(3)", "29 CFR 1910.134(c)(1)"]
    findings = tuple(replace(STORAGE, citation=citation) for citation in citations)
    headings = [heading for heading, _ in grouped(sample_report(findings=findings))]
    assert [heading.removeprefix("The written program: ") for heading in headings] == [
        "(c) the program and its officer",
        "(m) records",
        "29 CFR 1926.62",
        "other rules",
    ]


@published("29 CFR 1910.134(e)(2)(ii), (f)(5), (g)(1)(iii), (h)(1), (k)(6): what calls each appendix in")
@pytest.mark.parametrize(("appendix", "letter"), [("A", "f"), ("B-1", "g"), ("B-2", "h"), ("C", "e"), ("D", "k")])
def test_an_appendix_belongs_to_the_paragraph_that_calls_it_in(appendix, letter):
    assert section_of(f"29 CFR 1910.134, Appendix {appendix}").startswith(f"({letter}) ")


def test_accepted_findings_are_not_open():
    report = sample_report()
    assert severity_counts(report) == {"invalid": 1, "required": 4, "caution": 1, "advice": 0}
    assert accepted_count(report) == 1
    assert count_of(report, scope=Scope.RECORD) == 1
    assert count_of(report, Severity.REQUIRED, audience=Audience.PUBLIC) == 3


def test_what_is_required_cannot_be_accepted_away():
    report = sample_report(findings=(replace(MASK, accepted="we have always done so"),))
    assert count_of(report, Severity.REQUIRED) == 1
    assert "nobody may start “Scraping sashes” in “Half mask P100”" in summary_line(report)
    assert grouped(report)[0][0].startswith("Masks that do not protect")


def test_the_summary_names_the_mask_that_does_not_protect_first():
    assert summary_line(sample_report()) == (
        "Not ready: nobody may start “Scraping sashes” in “Half mask P100”; "
        "1 fault to mend before the description can be understood; "
        "3 answers are missing, or not as the law needs them; "
        "1 answer about records of people or devices is missing and bars them from work; "
        "1 caution."
    )


def test_the_summary_names_every_mask_and_every_task():
    other = replace(MASK, subject=("tasks.scrape-sashes", "masks.dust"))
    bare = replace(MASK, code="SEL-009", subject=("tasks.strip-doors",))
    loose = replace(MASK, code="SEL-010", subject=("masks.old",))
    line = summary_line(sample_report(findings=(MASK, other, bare, loose)))
    assert line == (
        "Not ready: nobody may start “Scraping sashes” in “dust” or “Half mask P100”; "
        "nobody may start “strip-doors” yet; nobody may rely on “old”; "
        "4 answers are missing, or not as the law needs them."
    )


def test_a_mask_that_fails_one_wearer_does_not_bar_everybody_and_names_nobody():
    finding = replace(MASK, subject=(*MASK.subject, "people.jo-marsh"), audience=Audience.RESTRICTED)
    line = summary_line(public_part(sample_report(findings=(finding,))))
    assert line == (
        "Not ready: not every wearer may start “Scraping sashes” in “Half mask P100”; "
        "1 answer is missing, or not as the law needs it."
    )


def test_the_summary_of_gaps_in_records_only():
    assert summary_line(sample_report(findings=(FIT,))) == (
        "No required gap found in the program itself, but not everybody may start: "
        "1 answer about records of people or devices is missing and bars them from work."
    )


def test_the_best_summary_still_certifies_nothing():
    assert summary_line(sample_report(findings=())) == (
        "No required gap found in what was described, as of 24 November 2026."
    )
    assert summary_line(sample_report(findings=(CAUTION,))).endswith("2026; 1 caution to look at.")


def test_a_cautious_selection_finding_does_not_stop_the_work():
    caution = replace(MASK, severity=Severity.CAUTION)
    assert grouped(sample_report(findings=(caution,))) == [("Cautions", [caution])]


def test_codes_of_mask_findings_are_data():
    report = sample_report(findings=(replace(MASK, code="XX-1"),), mask_codes=("XX-",))
    assert summary_line(report).startswith("Not ready: nobody may start “Scraping sashes”")


def test_a_missing_way_out_comes_first_and_is_counted_once():
    report = sample_report(findings=(replace(MASK, code="ESC-001"),))
    way_out = "Not ready: nobody may start “Scraping sashes” before a mask to get out in hangs at hand"
    assert summary_line(report) == f"{way_out}; 1 answer is missing, or not as the law needs it."


def test_without_a_task_the_summary_tells_what_to_begin_with():
    first = replace(FIT, code="TSK-001", scope=Scope.PROGRAM, subject=())
    line = summary_line(sample_report(findings=(first,)))
    assert line == "Not ready: no work is described yet, so hardly anything was judged: begin with the tasks."
    more = replace(FIT, code="PRG-040", scope=Scope.PROGRAM, subject=())
    assert summary_line(sample_report(findings=(first, more))).endswith(
        "begin with the tasks; 1 answer is missing, or not as the law needs it."
    )


def test_the_public_part_names_nobody_and_still_counts():
    public = public_part(sample_report())
    assert FIT not in public.findings
    assert severity_counts(public) == severity_counts(sample_report())
    assert severity_counts(public, Audience.RESTRICTED)["required"] == 1
    assert summary_line(public) == summary_line(sample_report())
    merged = [row for row in public.requirements if row.code == "FIT-002"]
    assert [(row.status, row.because, row.subject) for row in merged] == [
        (Status.GAP, "2 records: 1 gap, 1 met; the restricted report says whose", ())
    ]


def test_making_it_public_twice_changes_nothing():
    once = public_part(sample_report())
    assert public_part(once) == once
