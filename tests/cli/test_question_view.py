"""The next questions on a terminal: dangers first, ten at most, the verdict last."""

from dataclasses import replace

import pytest
from writers.sample_report import ACCEPTED, CAUTION, FIT, MASK, OFFICER, STORAGE, question, sample_report

from progdoc.cli.question_view import questions_text
from progdoc.cli.report_view import report_text
from progdoc.core.public_report import public_part

FINDINGS = (ACCEPTED, CAUTION, STORAGE, FIT, OFFICER, MASK)
TYPED = replace(STORAGE, fix="Say it.\nprocedures:\n  storage:\n    where: …\n    covered:  # yes or no")


def shown(*findings, width=100, **changes):
    return questions_text(sample_report(findings=findings or FINDINGS, **changes), width)


def test_one_question_in_full():
    asked = replace(question(TYPED), adopts="(h)(2)", adopted_at="procedures.storage.adopt")
    assert shown(TYPED, questions=(asked,)) == (
        "1 answer is missing, or not as the law needs it; the next:\n\n"
        " 1. What is to be done about storage-not-described of the program?\n"
        "    why     A mask bent out of shape in a van no longer fits. 29 CFR 1910.134(h)(2)(i)\n"
        "    found   procedures.storage is missing\n"
        "    where   firm/program.yaml\n"
        "    type    procedures:\n"
        "              storage:\n"
        "                where: …\n"
        "                covered:  # yes or no\n"
        '            or `adopt: "(h)(2)"` under `procedures.storage`, if you do exactly that; what is left to\n'
        "            say is asked then\n"
        "    settles 1 finding: STO-001\n\n"
        "`progdoc check PATH --all` lists every finding.\n\n"
        "Not ready: 1 answer is missing, or not as the law needs it.\n"
    )


def test_the_first_words_are_about_the_mask_that_does_not_protect_and_the_last_are_the_verdict():
    blocks = shown().split("\n\n")
    assert blocks[0] == "Danger: nobody may start “Scraping sashes” in “Half mask P100”."
    assert blocks[-1].startswith("Not ready: 3 answers are missing")
    assert "nobody may start" not in blocks[-1]


def test_what_is_found_is_told_of_dangers_of_cautions_and_of_a_few():
    assert "found   half-p100 in scrape-sashes: protects up to 10 times" in shown(MASK)
    assert "found   TC-99X-1 does not look like an approval number" in shown(CAUTION)
    assert "found   procedures.storage is missing" in shown(STORAGE)
    many = tuple(replace(STORAGE, code=f"STO-{n:03}") for n in range(3))
    assert "found" not in shown(*many, questions=(replace(question(STORAGE), findings=many),))


def test_of_each_kind_of_finding_one_is_told_before_a_second_of_a_kind():
    kinds = [replace(MASK, code=code, what=f"{code} {n}") for n, code in enumerate(("SEL-001",) * 3 + ("SEL-002",))]
    text = shown(*kinds, questions=(replace(question(MASK), findings=tuple(kinds)),))
    assert [line.split()[1] for line in text.splitlines() if "found " in line] == ["SEL-001", "SEL-002", "SEL-001"]
    assert "            and 1 more\n" in text


def test_where_no_lines_can_be_copied_the_words_say_what_to_do():
    told = replace(CAUTION, fix="Have the work sampled again.")
    assert "    do      Have the work sampled again.\n" in shown(told)
    assert "    do " not in shown(replace(told, fix="Write it:\nofficer:\n  phone: …\n"))


def test_answers_about_dangers_are_counted():
    assert "4 answers are missing, or not as the law needs them, 1 of them about dangers; the next:" in shown()


def test_answers_are_counted_and_no_more_than_ten_are_asked():
    many = [replace(STORAGE, code=f"STO-{n:03}", name=f"trouble-{n}") for n in range(25)]
    text = shown(*many)
    assert text.startswith("25 answers are missing, or not as the law needs them; the next 10 of 25:\n")
    assert text.count("\n    settles ") == 10
    assert "15 more come after these." in text
    assert "--all" in text


def test_cautions_alone_are_to_look_at():
    text = shown(CAUTION, replace(CAUTION, name="another"))
    assert text.startswith("Nothing that the law asks for is missing; 2 to look at:")
    assert text.splitlines()[-1].startswith("No required gap found")


def test_nothing_to_ask_leaves_the_verdict_alone():
    assert shown(ACCEPTED) == "No required gap found in what was described, as of 24 November 2026.\n"


def test_several_who_lack_the_same_are_shown_one_to_type():
    asked = replace(question(TYPED), subject=("tasks.a", "tasks.b"), names=("A", "B"))
    assert "            # and likewise for the others\n" in shown(TYPED, questions=(asked,))


def test_a_description_that_cannot_be_understood_shows_its_faults():
    assert questions_text(sample_report()) == report_text(sample_report())


def test_the_public_text_counts_what_names_people():
    assert "jo-marsh" in shown()
    public = questions_text(public_part(sample_report(findings=FINDINGS)))
    assert "jo-marsh" not in public
    assert "1 more that name people" in " ".join(public.split())


@pytest.mark.parametrize("width", [40, 60, 80, 120])
def test_no_line_of_prose_is_wider_than_the_window(width):
    body = [line for line in shown(width=width).splitlines() if "where   " not in line]
    assert max(len(line) for line in body) <= width


def test_colour_changes_nothing_but_colour():
    report = sample_report(findings=FINDINGS)
    coloured = questions_text(report, colour=True)
    assert "\x1b[1;31mDanger" in coloured
    for code in ("\x1b[1;31m", "\x1b[1m", "\x1b[0m"):
        coloured = coloured.replace(code, "")
    assert coloured == questions_text(report)
