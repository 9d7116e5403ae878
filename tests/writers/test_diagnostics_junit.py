"""Checked with junitparser, a reader of JUnit XML that others wrote (the format has no standard)."""

from dataclasses import replace
from xml.etree import ElementTree

import pytest
from examples import examples
from hypothesis import given
from hypothesis import strategies as st
from junitparser import JUnitXml, TestCase, TestSuite
from lxml import etree
from published_value import published
from writers.sample_report import CAUTION, FIT, ROWS, sample_report

from progdoc.core.public_report import public_part
from progdoc.writers.diagnostics_junit import report_junit


def written_again(report):
    """Let the reader read a report, and write what it has understood: its own elements and its own counts.

    What the reader does not know is missing then, and what it counts otherwise differs.
    """
    understood = JUnitXml.fromstring(report)
    again = JUnitXml(understood.name)
    for suite in understood:
        new_suite = TestSuite(suite.name)
        new_suite.timestamp = suite.timestamp
        for given_property in suite.properties():
            new_suite.add_property(given_property.name, given_property.value)
        for case in suite:
            new_suite.append(written_case(case))
        new_suite.update_statistics()
        again.add_testsuite(new_suite)
    again.update_statistics()
    root = etree.fromstring(again.tostring())
    del root.attrib["skipped"]  # left out by us, as are times: nothing ran
    for counted in (root, *root):
        assert float(counted.attrib.pop("time")) == 0
    return root


def written_case(case):
    new_case = TestCase(case.name, case.classname)
    for result in case.result:
        new_result = type(result)()
        new_result.message, new_result.type, new_result.text = result.message, result.type, result.text
        new_case.append(new_result)
    if case.system_out is not None:
        new_case.system_out = case.system_out
    return new_case


def canonical(root):
    return ElementTree.canonicalize(etree.tostring(root, encoding="unicode"), strip_text=True)


def is_understood(root):
    return canonical(root) == canonical(written_again(etree.tostring(root)))


def read(report):
    root = etree.fromstring(report_junit(report))
    assert is_understood(root)
    return root


def case(root, start):
    (found,) = (c for c in root.iter("testcase") if c.get("name").startswith(start))
    return found


@published("PyPI package junitparser")
def test_a_reader_understands_the_whole_file_with_and_without_findings():
    empty = sample_report(findings=(), requirements=())
    for report in (sample_report(), public_part(sample_report()), empty):
        read(report)


def without_its_count(root):
    del root[0].attrib["tests"]


def with_a_wrong_count(root):
    root[0].set("failures", "7")


def with_an_attribute_of_ours(root):
    root.find(".//testcase").set("paragraph", "(f)(2)")


def with_an_element_of_ours(root):
    etree.SubElement(root.find(".//testcase"), "gap")


@pytest.mark.parametrize(
    "damage",
    [without_its_count, with_a_wrong_count, with_an_attribute_of_ours, with_an_element_of_ours],
)
def test_the_reader_is_able_to_say_no(damage):
    root = etree.fromstring(report_junit(sample_report()))
    damage(root)
    assert not is_understood(root)


def test_every_case_and_every_property_has_what_servers_ask_for():
    root = read(sample_report())
    for case in root.iter("testcase"):
        assert case.get("name")
        assert case.get("classname")
    for kept in root.iter("property"):
        assert kept.get("name")
        assert kept.get("value") is not None
    for result in root.iter("failure", "skipped"):
        assert result.get("type")
        assert result.get("message") is not None


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
    row = ROWS[0]._replace(code="MSK-004", subject=CAUTION.subject)
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
    assert len(public.withheld) == 1
    assert told.startswith("1 finding names people, 1 of them required")


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
    row = ROWS[0]._replace(because=words, subject=(words,))
    read(sample_report(findings=(replace(FIT, what=words, fix=words),), requirements=(row,), title=words))
