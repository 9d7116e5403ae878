"""Checked against junit-10.xsd, see tests/published/junit-10.source.yaml (the format has no standard)."""

from dataclasses import replace

from examples import examples
from hypothesis import given
from hypothesis import strategies as st
from lxml import etree
from published_value import published
from writers.sample_report import CAUTION, FIT, PUBLISHED, ROWS, sample_report

from progdoc.core.report import public_part
from progdoc.writers.diagnostics_junit import report_junit

SCHEMA = etree.XMLSchema(etree.parse(PUBLISHED / "junit-10.xsd"))


def read(report):
    root = etree.fromstring(report_junit(report))
    SCHEMA.assertValid(root)
    return root


def case(root, start):
    (found,) = (c for c in root.iter("testcase") if c.get("name").startswith(start))
    return found


@published("junit-10.xsd")
def test_the_file_is_valid_with_and_without_findings():
    empty = sample_report(findings=(), requirements=())
    for report in (sample_report(), public_part(sample_report()), empty):
        read(report)


def test_the_schema_is_able_to_say_no():
    root = etree.fromstring(report_junit(sample_report()))
    del root[0].attrib["tests"]
    assert not SCHEMA.validate(root)


def test_suites_are_the_paragraphs_of_the_law_in_its_order():
    names = [suite.get("name") for suite in read(sample_report())]
    assert names == [
        "(c) the program and its officer",
        "(d) choosing masks",
        "(f) fit testing",
        "(h) cleaning, storage, inspection and repair",
        "(i) breathing air",
        "(k) training and information",
        "other rules",
    ]


def test_a_gap_fails_and_tells_what_to_do():
    failure = case(read(sample_report()), "FIT-002 annual-fit-test-overdue [people.jo-marsh]").find("failure")
    assert failure.get("message") == "jo-marsh is overdue"
    assert FIT.fix in failure.text


def test_met_passes_and_not_applicable_is_skipped():
    root = read(sample_report())
    assert len(case(root, "TRN-001")) == 0
    assert case(root, "AIR-001").find("skipped").get("message") == "no supplied air"


def test_undetermined_is_never_a_pass():
    assert case(read(sample_report()), "CHG-001").find("failure").get("type") == "undetermined"


def test_a_finding_without_a_requirement_stands_alone():
    root = read(sample_report())
    assert case(root, "MODEL-003").find("failure") is not None
    assert case(root, "SEL-001").find("failure") is not None
    assert case(root, "MSK-004").find("failure") is None
    assert "Accepted: nobody" in case(root, "MSK-005").findtext("system-out")


def test_a_gap_that_is_only_a_caution_does_not_fail():
    row = replace(ROWS[0], code="MSK-004", subject=CAUTION.subject)
    root = read(sample_report(findings=(CAUTION,), requirements=(row,)))
    assert CAUTION.fix in case(root, "MSK-004").findtext("system-out")
    assert root.get("failures") == "0"


def test_the_numbers_add_up():
    root = read(sample_report())
    for suite in root:
        assert int(suite.get("tests")) == len(suite.findall("testcase"))
        assert int(suite.get("failures")) == len(suite.findall("testcase/failure"))
        assert int(suite.get("skipped")) == len(suite.findall("testcase/skipped"))
    assert int(root.get("tests")) == len(root.findall(".//testcase"))
    assert int(root.get("failures")) == len(root.findall(".//failure"))
    assert {element.get("errors") for element in (root, *root)} == {"0"}  # a fault of the program writes no report


def test_the_public_file_names_nobody_and_still_fails_for_them():
    public = public_part(sample_report(requirements=()))
    for name in (b"jo-marsh", b"sam-tarn"):
        assert name not in report_junit(public_part(sample_report()))
    told = case(read(public), "restricted").find("failure").get("message")
    assert told.startswith(f"{len(public.withheld)} findings name people, 1 of them required")


def test_people_with_cautions_alone_do_not_fail_the_public_file():
    mild = replace(FIT, severity="caution")
    restricted = case(read(public_part(sample_report(findings=(mild, mild, CAUTION), requirements=()))), "restricted")
    assert restricted.find("failure") is None
    assert restricted.findtext("system-out").startswith("2 findings name people, 0 of them required")


def test_the_order_found_does_not_change_a_byte():
    report = sample_report()
    mixed = sample_report(findings=report.findings[::-1], requirements=report.requirements[::-1])
    assert report_junit(mixed) == report_junit(report)


@examples(40)
@given(st.text(st.characters(exclude_categories=[])))
def test_any_words_give_a_valid_file(words):
    row = replace(ROWS[0], because=words, subject=(words,))
    read(sample_report(findings=(replace(FIT, what=words, fix=words),), requirements=(row,), title=words))
