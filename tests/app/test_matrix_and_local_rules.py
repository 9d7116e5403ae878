"""Traceable both ways: the matrix leads to what answers, each answer names its paragraphs; local rules stand out."""

from __future__ import annotations

import csv
import re
from html import unescape
from io import BytesIO, StringIO
from pathlib import Path
from typing import Any
from zipfile import ZipFile

import pytest
from programs.patching import BASE, checked_by, patched

from progdoc.app.build import built_files
from progdoc.core.resources import catalogue_root
from progdoc.rules.reading.catalogue import built_in_catalogue, read_catalogue

PACKS = Path(__file__).parents[1] / "packs"
VALLEY = read_catalogue(catalogue_root() / "us_federal", PACKS / "valley")
STATE = {"program.jurisdiction.authority": "state-plan", "program.jurisdiction.state": "Valley"}


@pytest.fixture(scope="module")
def base() -> dict[str, bytes]:
    return built_files(checked_by(built_in_catalogue(), BASE))


def html_of(values: dict[str, Any], by_valley: bool = False) -> str:
    checked = checked_by(VALLEY if by_valley else built_in_catalogue(), values)
    return built_files(checked, ("html",))["program.html"].decode()


def rows(base: dict[str, bytes]) -> list[dict[str, str]]:
    return list(csv.DictReader(StringIO(base["matrix.csv"].decode("utf-8-sig"))))


def words(html: str) -> str:
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", html)).split())


# ---- the matrix -----------------------------------------------------------------------------------------


def test_the_matrix_holds_every_requirement_with_all_there_is_to_say(
    base: dict[str, bytes],
) -> None:
    found = rows(base)
    assert [row["code"] for row in found] == [r.code for r in built_in_catalogue().requirements]
    assert {row["status"] for row in found} == {"met", "not-applicable"}
    for row in found:
        assert row["paragraph"] and row["duty"]
        assert bool(row["evidence"]) == (row["status"] == "met"), row["code"]
    page = base["annex.html"].decode()
    spared = page[page.index('<table id="matrix.spared"') :]
    for row in found:
        if row["status"] == "not-applicable":  # in the page by its code alone
            assert re.search(rf"\b{row['code']}\b", spared)
        else:
            assert f'id="matrix.{row["code"]}"' in page


def test_every_duty_of_the_written_program_that_is_met_is_answered_somewhere(base: dict[str, bytes]) -> None:
    records = {r.code for r in built_in_catalogue().requirements if r.scope.value == "record"}
    nowhere = [r["code"] for r in rows(base) if r["status"] == "met" and not r["answered in"]]
    assert [code for code in nowhere if code not in records] == []


def test_in_the_page_where_it_is_answered_is_a_link_that_leads_to_an_answer(base: dict[str, bytes]) -> None:
    page = base["annex.html"].decode()
    ids = set(re.findall(r' id="([^"]+)"', base["program.html"].decode()))
    for row in (row for row in rows(base) if row["status"] != "not-applicable"):
        entry = re.search(rf'<tr id="matrix\.{row["code"]}">.*?</tr>', page, re.DOTALL)
        assert entry
        places = [place for place in row["answered in"].split("; ") if place]
        assert re.findall(r'href="program\.html#([^"]+)"', entry[0]) == places
        assert set(places) <= ids


def test_in_word_where_it_is_answered_is_a_cross_reference(base: dict[str, bytes]) -> None:
    annex = ZipFile(BytesIO(base["annex.docx"]))
    table = annex.read("word/document.xml").decode()
    entry = next(row for row in re.findall(r"<w:tr[ >].*?</w:tr>", table, re.DOTALL) if "FIT-022:" in row)
    target = re.search(r'<w:hyperlink r:id="(\w+)"', entry)
    assert target
    links = annex.read("word/_rels/document.xml.rels").decode()
    leads_to = re.search(rf'Id="{target[1]}"[^>]*Target="program\.docx#(\w+)"', links)
    assert leads_to
    program = ZipFile(BytesIO(base["program.docx"])).read("word/document.xml").decode()
    assert f'w:name="{leads_to[1]}"' in program


# ---- and the other way ----------------------------------------------------------------------------------


def test_each_answer_knows_its_codes_and_paragraphs(base: dict[str, bytes]) -> None:
    page = base["program.html"].decode()
    cited = {r.code: set(r.citations) for r in built_in_catalogue().requirements}
    answers = re.findall(r'data-answers="([^"]*)" data-citations="([^"]*)"', page)
    assert len(answers) > 40
    for codes, citations in answers:
        assert set(unescape(citations).split("; ")) == set().union(*(cited[code] for code in codes.split()))
    named = {code for codes, _ in answers for code in codes.split()}
    met = {row["code"] for row in rows(base) if row["status"] == "met" and row["answered in"]}
    assert met <= named


def test_bracketed_citations_can_be_switched_off(base: dict[str, bytes]) -> None:
    assert 'class="cite"' in base["program.html"].decode()
    bare = html_of(patched({"set": {"program.citations": "no"}}))
    assert 'class="cite"' not in bare
    assert "data-citations" in bare


# ---- state plans and local rules ------------------------------------------------------------------------


def test_the_program_says_which_authority_applies(base: dict[str, bytes]) -> None:
    assert "Federal OSHA enforces these rules" in words(base["program.html"].decode())
    page = words(html_of(patched({"set": STATE})))
    assert "a state plan is enforced" in page
    assert "The state: Valley" in page


def test_under_a_state_plan_it_cautions_and_says_what_a_pack_would_have_to_change() -> None:
    page = html_of(patched({"set": STATE}))
    caution = next(n for n in re.findall(r'<div class="notice caution".*?</div>', page, re.DOTALL) if "state" in n)
    text = words(caution)
    assert "Check the state" in text
    assert "replace each federal requirement of which the state asks more" in text
    assert "None were given." in text
    assert "Local rules" not in re.sub(re.escape(caution), "", page)


def test_local_rules_stand_in_a_section_of_their_own_with_what_meets_them() -> None:
    met = patched({"set": {**STATE, "procedures.fit_testing.interval": "6 months"}})
    page = html_of(met, by_valley=True)
    section = re.search(r'<section class="[^"]*" id="local-rules".*?</section>', page, re.DOTALL)
    assert section
    text = words(section[0])
    assert "Rules of the invented state of Valley" in text
    assert "Fit tests are repeated every six months at the latest. Interval: 6 months. [Valley Mask Rule, 5.1]" in text
    assert "Somebody stands in whenever the officer is away. Deputies: Jo Marsh, foreman." in text
    assert 'data-answers="VAL-001" data-citations="Valley Mask Rule, 3.4"' in section[0]
    assert "VAL-002" not in section[0]
    assert "“Rules of the invented state of Valley” (1)" in words(page)


def test_the_annex_lists_what_a_pack_declares_to_differ_and_why(base: dict[str, bytes], tmp_path: Path) -> None:
    (tmp_path / "pack.yaml").write_text('pack: hill\nversion: "1"\ntitle: Rules of Hill\n', encoding="utf-8")
    (tmp_path / "rules.yaml").write_text(
        "source: us-29cfr1910.134\nin_force: 2020-01-01\nchanges:\n"
        "  - code: STO-001\n    proof: {given: procedures.storage.container}\n"
        "    differs: There the container is what counts.\n",
        encoding="utf-8",
    )
    hill = read_catalogue(catalogue_root() / "us_federal", tmp_path)
    page = built_files(checked_by(hill, BASE), ("html",))["annex.html"].decode()
    row = re.search(r'<tr id="local-differences\.STO-001">.*?</tr>', page, re.DOTALL)
    assert row and "There the container is what counts." in words(row[0])
    assert "29 CFR 1910.134(h)(2)" in words(row[0])
    assert "local-differences" not in base["annex.html"].decode()


def test_a_local_rule_that_is_not_met_is_an_open_point() -> None:
    page = html_of(BASE, by_valley=True)
    assert 'id="local-rules.open.FIT-022"' in page
    assert "Fit tests are repeated every six months" not in words(page.partition('id="matrix"')[0])
