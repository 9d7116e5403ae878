"""What a standard asks beside the choice of a mask: printed with the task, for those it concerns and no others."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from document.reading import of_type, program_of
from programs.patching import judged as judged_program
from programs.patching import patched
from published_value import published
from rules.workplaces import assessment_of, judged, sample, samples

from progdoc.document.blocks.unused_blocks import printed_words
from progdoc.document.tree.nodes import Section
from progdoc.rules.lookup.table_files import table_rows
from progdoc.rules.masks.standard_duties import standard_duties

HALF = {"facepiece": "half-mask", "mode": "air-purifying"}
POWERED = {"facepiece": "full-facepiece", "mode": "powered"}
AIRLINE = {"facepiece": "full-facepiece", "mode": "airline-pressure-demand"}
KNOWN = samples(sample("1 mg/m3"))


def duties(
    agent: str, mask: dict[str, Any], industry: str = "general", exposure: Any = KNOWN, form: str = "dust"
) -> dict[str, str]:
    """Return the duties of one agent in one task: the texts by their paragraph, without the number of the part."""
    found = judged([{"agent": agent, "form": form, "exposure": exposure}], mask, task={"industry": industry})
    texts: dict[str, str] = {}
    for duty in found.duties["h0"]:
        paragraph = duty.citation.removeprefix("29 CFR ")
        texts[paragraph] = f"{texts.get(paragraph, '')} {duty.text}"
    return texts


# Typed from the texts a second time: the paragraph, a word of what it asks, and a mask of the task that takes it away.
PRINTED: list[tuple[str, str, str, str, dict[str, Any] | None]] = [
    ("asbestos", "general", "1910.1001(g)(2)(ii)", "tight-fitting powered", POWERED),
    ("asbestos", "general", "1910.1001(g)(2)(iii)", "another job", None),
    ("asbestos", "construction", "1926.1101(h)(3)(ii)", "tight-fitting powered", POWERED),
    ("asbestos", "construction", "1926.1101(h)(2)(ii)", "another job", None),
    ("asbestos", "construction", "1926.1101(m)(1)(i)(B)", "physician", POWERED),
    ("asbestos", "shipyard", "1915.1001(h)(2)(iii)", "told so", POWERED),
    ("asbestos", "shipyard", "1915.1001(h)(3)(ii)", "another job", None),
    ("lead", "general", "1910.1025(f)(2)(ii)", "(j)(3)(i)(C)", None),
    ("lead", "construction", "1926.62(f)(2)(ii)", "(j)(3)(i)(B)", None),
    ("lead", "construction", "1926.62(f)(1)(iii)", "asks for a mask", None),
    ("crystalline silica", "construction", "1926.1153(h)(1)(i)", "30 days", None),
    ("crystalline silica", "construction", "1926.1153(h)(3)", "three years", None),
    ("crystalline silica", "general", "1910.1053(i)(1)(i)", "action level", None),
    ("cadmium", "general", "1910.1027(g)(2)(iii)", "(l)(6)(ii)", None),
    ("cadmium", "general", "1910.1027(g)(2)(ii)", "(l)(11) and (12)", None),
    ("cadmium", "general", "1910.1027(g)(1)(v)", "action level", None),
    ("cadmium", "construction", "1926.1127(g)(2)(ii)", "(l)(6)(ii)", None),
    ("beryllium", "general", "1910.1024(g)(3)", "powered", POWERED),
    ("beryllium", "general", "1910.1024(j)(2)(iv)", "sweeps", None),
    ("inorganic arsenic", "general", "1910.1018(h)(2)(ii)", "lung medicine", None),
    ("benzene", "general", "1910.1028(g)(3)(ii)", "easier to breathe", POWERED),
    ("benzene", "construction", "1910.1028(g)(2)(ii)", "start of each shift", AIRLINE),
    ("benzene", "general", "1910.1028(i)(2)(i)(E)", "30 days", None),
    ("formaldehyde", "general", "1910.1048(g)(3)(iii)", "powered", POWERED),
    ("methylene chloride", "general", "1910.1052(g)(4)", "writes it", None),
    ("vinyl chloride", "general", "1910.1017(g)(3)(ii)(B)", "alarm", AIRLINE),
    ("acrylonitrile", "general", "1910.1045(h)(2)(ii)(B)", "label", AIRLINE),
    ("1,3-butadiene", "general", "1910.1051(h)(2)(vi)", "smells", AIRLINE),
    ("mda", "general", "1910.1050(h)(3)(ii)", "negative-pressure", POWERED),
    ("mda", "construction", "1926.60(i)(3)(ii)", "negative-pressure", POWERED),
    ("cotton dust", "general", "1910.1043(f)(1)(v)", "asks for a mask", None),
]


@published("the paragraphs named, read in the text of each standard")
@pytest.mark.parametrize(("agent", "industry", "paragraph", "word", "without"), PRINTED)
def test_each_duty_is_printed_with_its_paragraph(
    agent: str, industry: str, paragraph: str, word: str, without: dict[str, Any] | None
) -> None:
    assert word in duties(agent, HALF, industry)[paragraph]
    if without is not None:
        assert paragraph not in duties(agent, without, industry)


def test_as_long_as_no_mask_is_named_it_may_be_any() -> None:
    hazard = {"agent": "lead", "exposure": KNOWN}
    unnamed = judged([hazard], task={"industry": "construction", "masks": []}).duties["h0"]
    assert "29 CFR 1926.62(f)(3)(ii)" in {duty.citation for duty in unnamed}
    assert "1926.62(f)(3)(ii)" in duties("lead", HALF, "construction")
    assert "1926.62(f)(3)(ii)" not in duties("lead", AIRLINE, "construction")


def test_an_agent_without_a_standard_brings_no_duty() -> None:
    assert duties("toluene", HALF) == {}
    assert duties("cotton dust", HALF, "construction") == {}


@published(
    "29 CFR 1926.62, .1101, .1124, .1126, .1127, .1153; 1915.1001, .1024, .1026: the headings of their paragraphs"
)
def test_each_standard_says_that_what_it_asks_beside_masks_is_outside_this_program() -> None:
    """Typed a second time: the letters of work clothing (silica: of the written plan) and of housekeeping."""
    letters = {
        ("lead", "construction"): ("1926.62(g)", "housekeeping (h)"),
        ("cadmium", "construction"): ("1926.1127(i)", "housekeeping (k)"),
        ("asbestos", "construction"): ("1926.1101(i)", "housekeeping (l)"),
        ("asbestos", "shipyard"): ("1915.1001(i)", "housekeeping (l)"),
        ("crystalline silica", "construction"): ("1926.1153(g)", "housekeeping (f)"),
        ("chromium(VI)", "construction"): ("1926.1126(g)", "hygiene (h)"),
        ("chromium(VI)", "shipyard"): ("1915.1026(g)", "hygiene (h)"),
        ("beryllium", "construction"): ("1926.1124(h)", "housekeeping (j)"),
        ("beryllium", "shipyard"): ("1915.1024(h)", "housekeeping (j)"),
    }
    for (agent, industry), (paragraph, words) in letters.items():
        assert words in duties(agent, HALF, industry)[paragraph], (agent, industry)
    for row in table_rows("substance_standards"):
        if row["industry"] == "general":
            found = duties(row["agent"].replace("-inorganic", "").replace("-", " "), HALF)
            assert not found or any("outside this program" in text for text in found.values()), row["agent"]
    assert "1910.1025" in duties("lead", HALF)


@published("29 CFR 1926.62(f)(2)(i), 1910.1047(g)(2), 1926.1153(e)(2): which of them call in 1910.134(e)")
def test_who_is_not_examined_by_the_general_paragraph() -> None:
    assert (
        duties("lead", HALF, "construction")["1926.62(f)"].strip().startswith("29 CFR 1926.62(j) sets the examinations")
    )
    assert "to be looked up" in duties("ethylene oxide", POWERED, "general")["1910.1047(g)"]
    assert "1926.1153(e)" not in duties("crystalline silica", HALF, "construction")


@published("29 CFR 1926.62(f)(2)(i) leaves out 1910.134(d)(1)(iii), 1926.1153(e)(2) does not; 1910.1044(h)(3)(ii)")
def test_an_unknown_level_under_a_standard_of_its_own() -> None:
    unknown = {"kind": "unknown"}

    def said(agent: str, industry: str, exposure: Any) -> str:
        return " ".join(duties(agent, HALF, industry, exposure).values())

    assert "(d)(1)(iii)" in said("lead", "construction", unknown)
    assert "(d)(1)(iii)" not in said("lead", "construction", KNOWN)
    assert "(d)(1)(iii)" not in said("crystalline silica", "construction", unknown)
    assert "1910.1044(h)(3)(ii)" in duties("dbcp", AIRLINE, "general", unknown, "vapour")
    assert "1910.1044(h)(3)(ii)" not in duties("dbcp", AIRLINE, "general", samples(sample("1 ppb")), "vapour")


def test_the_program_prints_them_with_the_task(tmp_path: Path) -> None:
    printed = " ".join(printed_words(program_of(judged_program(patched({}), tmp_path))).split())
    assert "the examination is that of (j)(3)(i)(b) 29 cfr 1926.62(f)(2)(ii)" in printed
    powered = patched({"set": {"masks[0].mode": "powered", "tasks[0].masks": [{"mask": "half-mask"}]}})
    without = " ".join(printed_words(program_of(judged_program(powered, tmp_path))).split())
    assert "1926.62(f)(3)(ii)" in printed and "1926.62(f)(3)(ii)" not in without


def test_how_wearers_are_examined_stands_with_the_medical_evaluation_and_not_with_the_task(tmp_path: Path) -> None:
    program = program_of(judged_program(patched({}), tmp_path))
    sections = {section.id: " ".join(printed_words(section).split()) for section in of_type(program, Section)}
    told = "29 cfr 1926.62(j) sets the examinations of those who wear masks against it"
    assert told in sections["medical.who"] and told not in sections["selection"]
    general = patched({"set": {"hazards[0].agent": "particulates not otherwise regulated"}})
    other = program_of(judged_program(general, tmp_path))
    assert "sets the examinations of those who wear masks" not in " ".join(printed_words(other).split())


def test_a_paragraph_on_examinations_that_nobody_read_is_told_with_the_task() -> None:
    """Methylene chloride takes over 1910.134(e) for the mask, and examines whoever works in its air besides."""
    hazard = {"agent": "methylene chloride", "form": "vapour", "exposure": samples(sample("60 ppm"))}
    told = standard_duties(assessment_of(hazard, task={"industry": "general"}), ())
    assert any("29 CFR 1910.1052(j)" in duty.text and duty.is_medical for duty in told)
    kept = {**hazard, "exposure": samples(sample("1 ppm"))}
    still = standard_duties(assessment_of(kept, task={"industry": "general"}), ())
    assert not any("1910.1052(j)" in duty.text for duty in still)
