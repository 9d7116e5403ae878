"""What a finding, a verdict and a sentence cite: of twins in the parts of title 29 the one where the work is done."""

from __future__ import annotations

import pytest
from programs.patching import catalogue_of, checked_by, patched
from published_value import published

from progdoc.app.build import build
from progdoc.core.report import Status
from progdoc.model.description.workplace import Industry
from progdoc.rules.reading.catalogue import built_in_catalogue
from progdoc.rules.requirement import PARTS, at_home, part_of

SPACE = {"permit_required": "yes", "permit": "yes", "monitoring": "continuous", "attendant": "yes"}
# Read in the sections: who must have a permit, an attendant, the air watched.
SPACES = {
    "general": {"CSP-002": "1910.146(d)(10)", "CSP-003": "1910.146(d)(5)(ii)", "CSP-004": "1910.146(d)(6)"},
    "construction": {"CSP-002": "1926.1204(j)", "CSP-003": "1926.1204(e)(2)", "CSP-004": "1926.1204(f)"},
}


@pytest.mark.parametrize("industry", list(Industry))
def test_of_twins_the_one_in_the_part_of_the_industry_is_cited(industry: Industry) -> None:
    moved = 0
    for requirement in built_in_catalogue().requirements:
        home = at_home(requirement, industry)
        assert home in (requirement.citation, *requirement.also)
        if home != requirement.citation:
            moved += 1
            assert part_of(home) == PARTS[industry]
            assert part_of(requirement.citation) not in ("", PARTS[industry])
    assert moved > 3


def test_a_duty_of_several_standards_keeps_its_own_citation() -> None:
    several = next(one for one in built_in_catalogue().requirements if one.code == "SUR-002")
    assert at_home(several, Industry.GENERAL) == several.citation


@published("29 CFR 1910.146(a), (d)(5)-(6), (d)(10); 29 CFR 1926.1204(e)(2), (f), (j)")
@pytest.mark.parametrize("industry", list(SPACES))
def test_a_space_is_judged_and_told_by_the_section_of_its_industry(industry: str) -> None:
    entry = {"tasks[0].confined_space": "yes", "tasks[0].industry": industry, "tasks[1].industry": industry}
    catalogue = catalogue_of(SPACES[industry])
    silent = checked_by(catalogue, patched({"set": {**entry, "tasks[0].entry": {"permit_required": "yes"}}})).report
    found = {d.code: d.citation for d in silent.findings if d.code in SPACES[industry]}
    assert found == {code: f"29 CFR {paragraph}" for code, paragraph in SPACES[industry].items()}
    kept = checked_by(catalogue, patched({"set": {**entry, "tasks[0].entry": SPACE}})).report
    assert {row.code: row.citation for row in kept.requirements if row.status is Status.MET} == found


@published("29 CFR 1910.146(a): construction has a subpart of its own")
def test_the_program_of_a_workshop_prints_no_paragraph_of_the_construction_standard() -> None:
    entry = {"tasks[0].confined_space": "yes", "tasks[0].industry": "general", "tasks[1].industry": "general"}
    checked = checked_by(built_in_catalogue(), patched({"set": {**entry, "tasks[0].entry": SPACE}}))
    page = build(checked, ("md",))["program.md"].decode().replace("\\[", "[")
    for code in ("CSP-002", "CSP-004"):  # those that are said in a sentence
        assert f"[29 CFR {SPACES['general'][code]}" in page
    assert "1926.1204" not in page
