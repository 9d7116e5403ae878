"""What `explain` finds under a code, a name or a paragraph, and the pages it writes: every fact in both."""

from __future__ import annotations

import csv
import re
from datetime import date
from html import unescape
from pathlib import Path

import pytest
from published_value import published

from progdoc.app.explain import explain, explanation_files, explanation_lines, nearest
from progdoc.cli import main
from progdoc.cli.terminal import laid_out
from progdoc.document.blocks.explanation import facts_of
from progdoc.rules.reading.catalogue import built_in_catalogue, catalogue_with, states_that_ship

CATALOGUE = built_in_catalogue()
TESTS = Path(__file__).parents[1]
DAY = date(2026, 11, 24)
WIDE = 10_000


@pytest.fixture(scope="module")
def pages() -> dict[str, str]:
    return {name: data.decode() for name, data in explanation_files(CATALOGUE, DAY).items()}


def codes(wanted: str) -> set[str]:
    return {r.code for r in explain(CATALOGUE, wanted).requirements}


def under(locator: str) -> set[str]:
    """The codes that cite a paragraph of the standard or one below it, read from the citations themselves."""
    full = f"29 CFR 1910.134{locator}"
    return {
        r.code
        for r in CATALOGUE.requirements
        if any(c == full or (c.startswith(full) and c[len(full)] in "(,") for c in r.citations)
    }


@pytest.mark.parametrize(
    ("typed", "locator"),
    [
        ("(f)(2)", "(f)(2)"),
        ("f2", "(f)(2)"),
        ("F(2)", "(f)(2)"),
        ("f.2", "(f)(2)"),
        ("1910.134(f)(2)", "(f)(2)"),
        ("29 CFR 1910.134(f)(2)", "(f)(2)"),
        ("29 CFR § 1910.134 (f) (2)", "(f)(2)"),
        ("paragraph (f)(2)", "(f)(2)"),
        ("(h)", "(h)"),
        ("(d)(3)(iii)(B)(2)", "(d)(3)(iii)(B)(2)"),
        ("d3iiiB2", "(d)(3)(iii)(B)(2)"),
        ("Appendix B-2", ", Appendix B-2"),
        ("App. B-2", ", Appendix B-2"),
        ("appendix b2", ", Appendix B-2"),
        ("1910.134 App B-2", ", Appendix B-2"),
    ],
)
def test_a_paragraph_is_found_however_it_is_typed(typed: str, locator: str) -> None:
    assert codes(typed) == under(locator) != set()


@pytest.mark.parametrize(
    ("typed", "code"),
    [("5153(g)", "STA-001"), ("8 CCR 5153", "STA-001"), ("8ccr5153(g)", "STA-001"),
     ("WAC 296-842-19005(1)", "STA-002"), ("296-842-19005", "STA-002")],
)  # fmt: skip
def test_a_paragraph_of_a_state_is_found_however_it_is_typed(typed: str, code: str) -> None:
    catalogue, _ = catalogue_with((), states_that_ship())
    assert [r.code for r in explain(catalogue, typed).requirements] == [code]
    assert not explain(catalogue, "5154(g)")


def test_two_is_not_twenty() -> None:
    assert codes("(h)(3)(i)") < codes("(h)(3)")
    assert not codes("(h)(3)(i)") & (codes("(h)(3)(iv)") - codes("(h)(3)(i)"))
    assert codes("1926.62(d)(2)") == {
        r.code for r in CATALOGUE.requirements if any(c.startswith("29 CFR 1926.62(d)(2)") for c in r.citations)
    }


def test_all_of_appendix_b_is_both_its_parts() -> None:
    assert codes("Appendix B") == codes("Appendix B-1") | codes("Appendix B-2")


@published("29 CFR 1910.134, the designations of all its paragraphs and of the items of its appendices")
def test_every_paragraph_of_the_standard_is_explained() -> None:
    with (TESTS / "published" / "1910.134-paragraphs.csv").open(encoding="utf-8", newline="") as file:
        listed = [row["paragraph"] for row in csv.DictReader(file)]
    assert len(listed) > 400
    assert [paragraph for paragraph in listed if not explain(CATALOGUE, paragraph)] == []


def test_a_part_of_an_appendix_leads_to_what_answers_it() -> None:
    found = explain(CATALOGUE, "Appendix A, Part I.B.4(a)(5)")
    assert "as part of this" in found.note
    assert {r.code for r in found.requirements} == {"FIT-060"}
    assert codes("App. B-2 I.D.1") == {"CLN-025", "CLN-030"}


def test_what_no_program_answers_gives_its_reason() -> None:
    found = explain(CATALOGUE, "(n)")
    assert not found.requirements
    assert "not a matter of the written program" in laid_out(explanation_lines(found), WIDE)


@pytest.mark.parametrize("wanted", ["FIT-002", "fit-002", "annual-fit-test-overdue"])
def test_a_code_and_a_name_are_found(wanted: str) -> None:
    assert codes(wanted) == {"FIT-002"}


@pytest.mark.parametrize("code", ["YAML-001", "MODEL-003", "OUT-006", "ATT-001", "START-001", "PACK-007", "CSV-001"])
def test_faults_of_form_are_explained(code: str, pages: dict[str, str]) -> None:
    assert code in laid_out(explanation_lines(explain(CATALOGUE, code)), WIDE)
    assert f'id="{code}"' in pages["faults.html"]


@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        ("FIT002", "FIT-002"),
        ("annual-fit-test-overdu", "FIT-002"),
        ("(f)(9)", "29 CFR 1910.134(f)(8)"),
        ("(h)(3)(vi)", "29 CFR 1910.134(h)(3)(iv)"),
    ],
)
def test_a_near_miss_is_guessed(typed: str, meant: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert meant in nearest(CATALOGUE, typed)
    assert main(["explain", typed]) == 2
    assert meant in capsys.readouterr().err


def words_of(html: str) -> str:
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", html)).split())


@pytest.mark.parametrize("typed", ["FIT\x1b[31m-002", "\x1b]0;x\x07(f)(2)", "1910.134" + "(a)" * 5000, "9" * 5000])
def test_what_nobody_knows_is_told_without_what_a_terminal_obeys(
    typed: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["explain", typed]) == 2
    told = capsys.readouterr().err
    assert "nothing is known" in told
    assert not set("\x1b\x07") & set(told)


@pytest.mark.parametrize("code", ["FIT-022", "AIR-021", "SEL-003", "MED-016", "MSK-008", "STO-002"])
def test_terminal_and_page_show_the_same_facts(code: str, pages: dict[str, str]) -> None:
    found = explain(CATALOGUE, code)
    text = " ".join(laid_out(explanation_lines(found), WIDE).split())
    page = words_of(next(html for html in pages.values() if f'<section class="level-1" id="{code}"' in html))
    labels = [fact.label for fact in facts_of(found.requirements[0], found.answered_by or {})]
    assert {"Asks", "Who", "When", "Met by", "Why", "Law", "Source", "To do"} <= set(labels)
    for fact in facts_of(found.requirements[0], found.answered_by or {}):
        for line in fact.lines:
            assert line.rstrip(".") in text, fact.label
            assert line.rstrip(".") in page, fact.label


def test_what_can_be_adopted_says_with_which_paragraph() -> None:
    facts = {r.code: {f.label: " ".join(f.lines) for f in facts_of(r, {})} for r in CATALOGUE.requirements}
    assert '`adopt: "(h)(2)(i)"` under `procedures.storage` states it' in facts["STO-002"]["Adopted by"]
    assert '`adopt: "(f)(2)"` under `procedures.fit_testing` states it' in facts["FIT-022"]["Adopted by"]
    silent = [code for code, told in facts.items() if "Adopted by" not in told]
    assert {"SEL-003", "FIT-001", "TSK-001"} <= set(silent)  # of the site, or of a record


def test_every_requirement_has_who_when_and_what_satisfies_it() -> None:
    for requirement in CATALOGUE.requirements:
        facts = {fact.label: " ".join(fact.lines) for fact in facts_of(requirement, {})}
        assert all(facts[label] for label in ("Asks", "Who", "When", "Met by", "Why", "Law", "Source", "To do"))
        assert "{" not in facts["To do"].partition("`")[0], requirement.code


def test_every_code_and_paragraph_is_on_a_page_and_every_link_leads_somewhere(pages: dict[str, str]) -> None:
    anchors = {f"{name}#{found}" for name, html in pages.items() for found in re.findall(r' id="([^"]+)"', html)}
    links = {
        href if "#" not in href or not href.startswith("#") else f"{name}{href}"
        for name, html in pages.items()
        for href in re.findall(r'href="([^"]+)"', html)
    }
    assert sorted(link for link in links if "#" in link and link not in anchors) == []
    assert sorted(link for link in links if "#" not in link and link not in pages) == []
    explained = {anchor.partition("#")[2] for anchor in anchors}
    assert {r.code for r in CATALOGUE.requirements} <= explained
    index = words_of(pages["index.html"])
    assert all(citation in index for r in CATALOGUE.requirements for citation in r.citations)
    assert all(entry.reason in index for entry in CATALOGUE.not_for_the_program)


def test_pages_are_written_and_are_the_same_every_time(tmp_path: Path) -> None:
    assert main(["explain", "--all", "-o", str(tmp_path / "a"), "--on", DAY.isoformat()]) == 0
    assert main(["explain", "--all", "-o", str(tmp_path / "b"), "--on", DAY.isoformat()]) == 0
    first = {f.name: f.read_bytes() for f in (tmp_path / "a").iterdir()}
    assert first == {f.name: f.read_bytes() for f in (tmp_path / "b").iterdir()}
    assert {"index.html", "paragraph-f.html", "appendix-b-2.html", "faults.html", "manifest.json"} <= set(first)


@pytest.mark.parametrize("arguments", [["--all"], ["-o", "x"], [], ["FIT-002", "--all", "-o", "x"]])
def test_half_an_order_is_refused(arguments: list[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    assert main(["explain", *arguments]) == 2
    assert list(tmp_path.iterdir()) == []


def test_a_local_pack_is_explained_too(capsys: pytest.CaptureFixture[str]) -> None:
    local, _ = catalogue_with([TESTS / "packs" / "valley"])
    assert "FIT-022" in {r.code for r in explain(local, "Valley Mask Rule, 5.1").requirements}
    assert main(["explain", "VAL-001", "--rules", str(TESTS / "packs" / "valley")]) == 0
    assert "Rules: valley 1" in " ".join(capsys.readouterr().out.split())
    assert main(["explain", "VAL-001", "--rules", str(TESTS / "packs" / "faulty")]) == 2


@pytest.mark.parametrize("wanted", ["(e)", "(f)(2)", "(k)", "29 CFR 1926.62"])
def test_a_long_paragraph_is_a_page_with_each_duty_in_a_line(wanted: str) -> None:
    found = explain(CATALOGUE, wanted)
    lines = laid_out(explanation_lines(found), WIDE).splitlines()
    listed = [line.split()[0] for line in lines if re.match(r"  [A-Z]{3}-\d{3}  ", line)]
    assert sorted(listed) == sorted(requirement.code for requirement in found.requirements)
    assert all(any(r.duty.rstrip(".") in line for line in lines) for r in found.requirements)
    assert not any("Met by" in line for line in lines)
    if wanted == "(e)":
        assert listed[0].startswith("MED-") and len(lines) < 60  # the paragraph itself first, on a page


def test_a_paragraph_with_few_duties_is_told_in_full() -> None:
    found = explain(CATALOGUE, "(e)(2)(i)")
    text = laid_out(explanation_lines(found), WIDE)
    assert text.count("Met by") == len(found.requirements) > 0
