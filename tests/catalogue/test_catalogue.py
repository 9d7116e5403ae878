"""The catalogue as data: it reads, its names and citations lead somewhere, its examples fit, its words are ours."""

from __future__ import annotations

import re
import string
from collections.abc import Iterator
from datetime import date
from typing import Any

import pytest
import yaml
from programs.patching import read_as_text
from published.law_tables import table
from published.law_words import copied, runs_of_the_standard
from published_value import published

from progdoc.core.citations import Citation
from progdoc.core.resources import catalogue_root
from progdoc.model.description.ids import reference_faults
from progdoc.model.description.program import Program
from progdoc.rules.reading.catalogue import built_in_catalogue, catalogue_with, shipped_sources, states_that_ship
from progdoc.rules.reading.checks import CHECKS
from progdoc.rules.reading.grounds import GROUNDS
from progdoc.rules.reading.predicates import PREDICATES
from progdoc.rules.reading.proof import PROOFS
from progdoc.rules.requirement import Condition, Proof
from progdoc.rules.subjects import SUBJECTS

PACK = catalogue_root() / "us_federal"
FILES = sorted((f for f in PACK.iterdir() if f.name.endswith(".yaml") and f.name != "pack.yaml"), key=lambda f: f.name)
CATALOGUE = built_in_catalogue()
REQUIREMENTS = CATALOGUE.requirements
WITH_STATES = catalogue_with((), states_that_ship())[0].requirements
STANDARD = "us-29cfr1910.134"
# Words that a check or a computation supplies; {subject} and {path} are always there.
PLACEHOLDERS = re.compile(r"[a-z][a-z_]*\Z")
LAST_PART = re.compile(r"(\([^()]+\)|\.[^.(), ]+|, [^,.()]+)$")  # "(a)", ".6", ", Part A"


def entries(file: Any) -> list[dict[str, Any]]:
    return list(yaml.safe_load(file.read_text(encoding="utf-8")).get("requirements", ()))


@pytest.mark.parametrize("file", FILES, ids=lambda f: f.name)
def test_codes_are_sorted_in_their_file(file: Any) -> None:
    codes = [entry["code"] for entry in entries(file)]
    prefixes = list(dict.fromkeys(code[:3] for code in codes))
    assert codes == sorted(codes, key=lambda code: (prefixes.index(code[:3]), code))
    assert all(re.fullmatch(r"[A-Z]{3}-\d{3}", code) for code in codes)


def test_codes_and_names_are_unique() -> None:
    codes = [entry["code"] for file in FILES for entry in entries(file)]
    names = [r.name for r in REQUIREMENTS]
    assert len(codes) == len(set(codes))
    assert len(names) == len(set(names))
    assert all(re.fullmatch(r"[a-z0-9]+(-[a-z0-9]+)*", name) for name in names)


def test_sources_are_complete_sorted_and_unique() -> None:
    listed = yaml.safe_load((catalogue_root() / "sources.yaml").read_text(encoding="utf-8"))["sources"]
    ids = [entry["id"] for entry in listed]
    assert ids == sorted(set(ids))
    for source in shipped_sources().values():
        assert all((source.short, source.title, source.publisher, source.edition, source.consulted))


def names_in(condition: Condition) -> Iterator[str]:
    if condition.kind == "fact":
        yield condition.name
    for part in condition.parts:
        yield from names_in(part)


def proofs_in(proof: Proof) -> Iterator[Proof]:
    yield proof
    for part in proof.parts:
        yield from proofs_in(part)


def test_predicates_proofs_checks_and_subjects_exist() -> None:
    for requirement in WITH_STATES:
        assert set(names_in(requirement.applies)) <= set(PREDICATES), requirement.code
        assert requirement.per in SUBJECTS, requirement.code
        for proof in proofs_in(requirement.proof):
            assert proof.kind in {*PROOFS, "all", "any", "check", "reason"}, requirement.code
            assert proof.kind != "check" or proof.value in CHECKS, requirement.code


def test_no_check_or_ground_is_left_over() -> None:
    """What no requirement names is dead; predicates are words that packs may use as well."""
    proofs = [part for requirement in WITH_STATES for part in proofs_in(requirement.proof)]
    named = {proof.value for proof in proofs} | {name for proof in proofs for name in proof.grounds}
    assert sorted({*CHECKS, *GROUNDS} - named) == []


def test_every_text_can_be_filled_in() -> None:
    for requirement in REQUIREMENTS:
        for text in (requirement.what, requirement.fix):
            names = [name for _, name, _, _ in string.Formatter().parse(text) if name is not None]
            assert all(PLACEHOLDERS.match(name) for name in names), requirement.code
            assert text.format_map(dict.fromkeys(names, "x")), requirement.code
            if requirement.proof.kind not in ("check", "reason"):
                assert set(names) <= {"subject", "path"}, requirement.code
        assert "{" not in requirement.duty + requirement.why, requirement.code
        assert all((requirement.duty, requirement.what, requirement.why, requirement.fix)), requirement.code
        assert requirement.example or requirement.proof.kind in ("check", "reason"), requirement.code


# ---- examples -----------------------------------------------------------------------------------------

MINIMAL = read_as_text(
    """
format: 1
organisation: {sites: [{id: mill-street, name: Mill Street chapel}]}
tasks:
  - {id: scrape-sashes, name: Scraping sash windows}
  - {id: varnish, name: Varnishing}
hazards:
  - id: sash-lead
    task: scrape-sashes
    agent: lead
    exposure: {kind: silica-table-1, row: xi, place: indoors}
masks:
  - id: half-mask
  - id: powered-mask
  - id: escape-hood
filters:
  - id: p100-disc
  - id: ov-p100
  - id: ov-cartridge
people:
  - {id: jo-marsh, name: Jo Marsh}
  - {id: ada-brook, name: Ada Brook}
attachments:
  - {id: appendix-d, title: Appendix D, file: appendix-d.pdf}
procedures:
  filter_changes:
    schedules:
      - {id: varnish-cartridge, filter: ov-p100, tasks: [varnish]}
"""
)


def merged(base: Any, more: Any) -> Any:
    """Lay an example over a description: entries of a list by their id, or, without one, over the first."""
    if isinstance(base, dict) and isinstance(more, dict) and base.get("kind") == more.get("kind", base.get("kind")):
        return {**base, **{key: merged(base[key], value) if key in base else value for key, value in more.items()}}
    if isinstance(base, list) and isinstance(more, list) and base and all(isinstance(x, dict) for x in [*base, *more]):
        result = list(base)
        for i, entry in enumerate(more):
            ids = [known.get("id") for known in result]
            if "id" not in entry:
                result[min(i, len(base) - 1)] = merged(result[min(i, len(base) - 1)], entry)
            elif entry["id"] in ids:
                place = ids.index(entry["id"])
                result[place] = merged(result[place], entry)
            else:
                result.append(entry)
        return result
    return more


def test_every_example_can_be_typed() -> None:
    for requirement in (r for r in REQUIREMENTS if r.example):
        program = Program.model_validate(merged(MINIMAL, read_as_text(requirement.example)))
        assert reference_faults(program) == [], requirement.code


# ---- own words ----------------------------------------------------------------------------------------


def test_no_eight_words_in_a_row_are_the_laws() -> None:
    for requirement in REQUIREMENTS:
        ours = " . ".join((requirement.duty, requirement.what, requirement.why, requirement.fix))
        assert copied(ours, runs_of_the_standard(), 8) == [], requirement.code


# ---- every paragraph of the standard ------------------------------------------------------------------


def paragraphs() -> dict[str, str]:
    return {row["paragraph"]: row["obligation_carried_by"] for row in table("1910.134-paragraphs")}


def answered() -> set[str]:
    given = [c for r in REQUIREMENTS for c in (r.citation, *r.also)]
    given += [entry.citation for entry in CATALOGUE.not_for_the_program]
    return {c.locator for c in given if c.source.id == STANDARD}


def above(paragraph: str) -> Iterator[str]:
    """Yield a paragraph of an appendix and the parts it belongs to, but not the appendix as a whole.

    A paragraph of the main text stands for itself.
    """
    yield paragraph
    while paragraph.startswith("Appendix") and (last := LAST_PART.search(paragraph)):
        paragraph = paragraph[: last.start()]
        if "," in paragraph:
            yield paragraph


@published("29 CFR 1910.134, the designations of all its paragraphs and of the items of its appendices")
def test_every_paragraph_with_a_duty_is_answered() -> None:
    known = answered()
    assert [p for p, carrier in paragraphs().items() if carrier and known.isdisjoint(above(p))] == []


@published("29 CFR 1910.134, the designations of all its paragraphs and of the items of its appendices")
def test_every_citation_of_the_standard_exists() -> None:
    assert sorted(answered() - set(paragraphs())) == []


ROMAN = ("i", "ii", "iii", "iv", "v", "vi", "vii", "viii", "ix", "x")
ORDERS = [
    string.ascii_lowercase,
    string.ascii_uppercase,
    [str(n) for n in range(1, 30)],
    ROMAN,
    [*map(str.upper, ROMAN)],
]


@published("how the Code of Federal Regulations designates paragraphs, 1 CFR 21.11 (from memory)")
def test_the_list_of_paragraphs_has_no_hole() -> None:
    """The last of a row of paragraphs may still be missing; against that stands the hash beside the list."""
    rows: dict[str, list[str]] = {}
    for paragraph in paragraphs():
        last = LAST_PART.search(paragraph)
        if last and not paragraph.startswith("Appendix C"):
            rows.setdefault(paragraph[: last.start()], []).append(re.sub(r"[(). ,]|Part", "", last[1]))
    assert len(rows[""]) == 15  # (a) to (o)
    for labels in rows.values():
        assert any(list(order[: len(labels)]) == labels for order in ORDERS), labels
    assert {above for above in rows if above} - {"Appendix A"} <= set(paragraphs())


def test_citations_print_as_people_write_them() -> None:
    source = CATALOGUE.sources[STANDARD]
    assert str(Citation(source, "(f)(2)")) == "29 CFR 1910.134(f)(2)"
    assert str(Citation(source, "Appendix A, Part I.A.9")) == "29 CFR 1910.134, Appendix A, Part I.A.9"


@pytest.mark.parametrize(
    ("code", "before", "on"), [("FIT-008", "2019-09-25", "2019-09-26"), ("FIT-002", "1998-04-07", "1998-04-08")]
)
@published("84 FR 50755, Sept. 26, 2019; 63 FR 1270, Jan. 8, 1998, in force from April 8, 1998 (from memory)")
def test_a_requirement_binds_from_its_day(code: str, before: str, on: str) -> None:
    def codes(day: str) -> set[str]:
        return {r.code for r in CATALOGUE.in_force(date.fromisoformat(day))}

    assert code not in codes(before)
    assert code in codes(on)
