"""The order of work, the counts and the first line of a report. Wording and order are our own choice."""

from dataclasses import replace

import pytest
from published_value import published
from writers.sample_report import ACCEPTED, CAUTION, FIT, KEY, MASK, OFFICER, STORAGE, sample_report

from progdoc.core.barred import Barred, Why
from progdoc.core.diagnostics import Audience, Scope, Severity
from progdoc.core.public_report import public_part
from progdoc.core.report import Status, accepted_count, count_of, severity_counts
from progdoc.core.report_order import grouped, in_order, section_of
from progdoc.core.report_summary import summary_line


def test_groups_follow_the_officers_order_of_work():
    assert grouped(sample_report()) == [
        ("What bars work for everybody", [MASK]),
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
    assert grouped(report)[0] == ("What bars work for everybody", list(report.findings))


def test_the_summary_names_the_mask_that_does_not_protect_first():
    assert summary_line(sample_report()) == (
        "Not ready: nobody may start “Scraping sashes” in “Half mask P100”; "
        "1 fault to mend before the description can be understood; "
        "3 answers are missing, or not as the law needs them; "
        "1 answer about records of people or devices is missing and bars them from work; "
        "1 caution."
    )


def test_the_summary_names_every_task_that_is_barred_and_the_masks():
    barred = (
        Barred("scrape-sashes", Why.MASKS, ("dust", "half-p100")),
        Barred("strip-doors", Why.NO_MASK),
        Barred("enter-crypt", Why.RESCUE),
        Barred("enter-crypt", Why.WAY_OUT),
        Barred("sort-books", Why.PEOPLE, people=2, named=5),
        Barred("mix-black", Why.PEOPLE, people=1, named=1),
    )
    assert summary_line(sample_report(findings=(MASK,), barred=barred)) == (
        "Not ready: nobody may start “Scraping sashes” in “dust” or “Half mask P100”; "
        "nobody may start “strip-doors” yet: no mask is named for it; "
        "nobody may start “enter-crypt” before all is there that going in and getting people out takes; "
        "nobody may start “enter-crypt” before a mask to get out in hangs at hand; "
        "2 of the 5 people named for “sort-books” may not start it; "
        "the one person named for “mix-black” may not start it; "
        "1 answer is missing, or not as the law needs it."
    )


def test_a_public_summary_names_no_person_and_still_says_how_many_may_not_start():
    some = Barred("scrape-sashes", Why.PEOPLE, people=1, named=4)
    line = summary_line(public_part(sample_report(findings=(FIT,), barred=(some,))))
    assert line == (
        "No required gap found in the program itself, but not everybody may start: "
        "1 of the 4 people named for “Scraping sashes” may not start it; "
        "1 answer about records of people or devices is missing and bars them from work."
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


def test_what_bars_makes_it_not_ready_though_no_finding_says_so():
    """The judged result is the ground, not the codes of findings: a local rule may take a finding away."""
    shut = Barred("scrape-sashes", Why.MASKS, ("half-p100",))
    line = summary_line(sample_report(findings=(), barred=(shut,)))
    assert line == "Not ready: nobody may start “Scraping sashes” in “Half mask P100”."


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
