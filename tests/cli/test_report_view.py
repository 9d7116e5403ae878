"""The terminal view. The form is our own (house style); widths are checked, not taken from our output."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st
from writers.sample_report import ACCEPTED, FIT, MASK, sample_report

from progdoc.cli.report_view import finding_text, report_text
from progdoc.core.public_report import public_part


def test_one_finding_in_full():
    assert finding_text(FIT) == (
        "firm/people.yaml:42:14  required  FIT-002  annual-fit-test-overdue\n"
        "  what  jo-marsh: last fit test 2025-02-01, due 2026-02-01\n"
        "  why   A tight-fitting facepiece protects only a face it still fits.\n"
        "        29 CFR 1910.134(f)(2)\n"
        "  fix   Record a fit test dated after 2025-11-24 under people[3].fit_tests."
    )


def test_long_words_hang_under_their_label():
    lines = finding_text(MASK, width=60).splitlines()
    assert lines[1:3] == [
        "  what  half-p100 in scrape-sashes: protects up to 10 times",
        "        the limit, the air holds 14 times the limit",
    ]


@pytest.mark.parametrize("width", [40, 60, 80, 120])
def test_no_line_of_prose_is_wider_than_the_window(width):
    body = [line for line in report_text(sample_report(), width).splitlines() if line.startswith("  ")]
    assert max(len(line) for line in body) <= width


def test_a_name_longer_than_the_window_is_not_cut():
    path = "people[3]." + "x" * 100
    assert path in finding_text(replace(FIT, fix=f"Add {path} there."), width=40)


def test_the_first_words_are_about_the_mask_that_does_not_protect():
    first = report_text(sample_report()).splitlines()[0]
    assert first.startswith("Not ready: nobody may start “Scraping sashes” in “Half mask P100”")


def test_no_colour_unless_asked_for():
    assert "\x1b" not in report_text(sample_report())
    assert "\x1b[1;31mrequired\x1b[0m" in report_text(sample_report(), colour=True)


def test_colour_changes_nothing_but_colour():
    coloured = report_text(sample_report(), colour=True)
    for code in ("\x1b[1;31m", "\x1b[33m", "\x1b[36m", "\x1b[1m", "\x1b[0m"):
        coloured = coloured.replace(code, "")
    assert coloured == report_text(sample_report())


def test_an_accepted_finding_says_so():
    text = finding_text(ACCEPTED)
    assert "advice (accepted)" in text.splitlines()[0]
    assert "  note  Accepted: nobody on the crew wears spectacles" in text


def test_the_terminal_shows_restricted_findings_and_the_public_text_does_not():
    assert "jo-marsh" in report_text(sample_report())
    public = report_text(public_part(sample_report()))
    assert "jo-marsh" not in public
    assert "1 more that name people" in public


@given(st.text())
def test_a_description_cannot_send_commands_to_the_terminal(words):
    text = finding_text(replace(FIT, what=words, fix=words, why=words))
    assert not any(ord(c) < 32 and c != "\n" for c in text)
