"""A state's figures and what it asks in the place of a federal rule bind the work done there, and no other."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import date
from math import ceil
from pathlib import Path
from typing import Any

import pytest
from document.reading import of_type, program_of
from programs.patching import AS_OF, patched, written
from programs.whole import written_whole

from progdoc.app.check import Checked, check
from progdoc.document.tree.nodes import Document, Text
from progdoc.model.load import load
from progdoc.rules.in_force.law_values import figure_of, is_looser
from progdoc.rules.in_force.rule_set import law_for, rule_set
from progdoc.rules.judged.figure_results import YES_NO, Stricter
from progdoc.rules.reading.catalogue import Catalogue, built_in_catalogue, catalogue_with

PACKS = Path(__file__).parents[1] / "packs"


def pack_of(folder: Path, state: str, values: str, more: str = "") -> Path:
    """Lay down a pack of a state, or of nobody in particular."""
    folder.mkdir()
    about = (PACKS / "half_yearly" / "pack.yaml").read_text(encoding="utf-8")
    (folder / "pack.yaml").write_text(f"{about}state: {state}\n" if state else about, encoding="utf-8")
    text = f"source: valley-mask-rule\nin_force: 2026-01-01\n{values}{more}"
    (folder / "rules.yaml").write_text(text, encoding="utf-8")
    return folder


HALF_A_YEAR = "values:\n  - {id: fit-test-interval, value: 6 months, citation: '5.1'}\n"


def under(*packs: Path) -> Catalogue:
    """Return the law under packs, with what asks for fit tests alone: the rest takes ten times as long to judge."""
    catalogue, faults = catalogue_with(packs)
    assert faults == ()
    return replace(catalogue, requirements=tuple(r for r in catalogue.requirements if r.code.startswith("FIT-0")))


@pytest.fixture
def washington(tmp_path: Path) -> Catalogue:
    return under(pack_of(tmp_path / "pack", "Washington", HALF_A_YEAR))


def firm(first: str, second: str, interval: str = "12 months") -> dict[str, Any]:
    """Return the base firm: one of its people scrapes at a site in one state, the other in another."""
    values = patched({"set": {"procedures.fit_testing.interval": interval}})
    sites = values["organisation"]["sites"]
    sites[0]["state"] = first
    sites.append(sites[0] | {"id": "elsewhere", "name": "Barn", "state": second})
    tasks, hazards = values["tasks"], values["hazards"]
    tasks.append(tasks[0] | {"id": "scrape-doors", "name": "Scraping doors", "sites": ["elsewhere"]})
    tasks[0]["people"], tasks[-1]["people"] = ["jo-marsh"], ["ravi-stone"]
    hazards.append(hazards[0] | {"id": "door-lead", "task": "scrape-doors"})
    return values


def checked(values: dict[str, Any], catalogue: Catalogue, day: date = AS_OF) -> Checked:
    found = check(load({"program.yaml": written(values).encode()}), day, catalogue)
    assert found.judged is not None, [d.what for d in found.report.findings]
    return found


def told(found: Checked, code: str) -> dict[str, tuple[str, str]]:
    """Return how each subject of a code stands, and by which paragraph."""
    assert found.judged is not None
    return {
        v.subject.label: (v.status.value, str(v.citation)) for v in found.judged.verdicts if v.requirement.code == code
    }


def test_a_state_s_interval_ends_the_fit_tests_of_those_who_work_there_alone(washington: Catalogue) -> None:
    """Both were tested in February: by August six months are over, and twelve are not."""
    day, federal = date(2026, 8, 25), under()
    here = told(checked(firm("Washington", "Ohio"), washington, day), "FIT-002")
    there = told(checked(firm("Ohio", "Washington"), washington, day), "FIT-002")
    nowhere = told(checked(firm("Ohio", "Texas"), washington, day), "FIT-002")
    late = {who for who, (status, _) in here.items() if status == "gap"}
    assert late and late != set(here), "who works at the site in Washington, and nobody else"
    assert {here[who][1] for who in late} == {"Valley Mask Rule, 5.1"}
    assert {cited for who, (_, cited) in here.items() if who not in late} == {"29 CFR 1910.134(f)(2)"}
    assert late.isdisjoint(who for who, (status, _) in there.items() if status == "gap")
    assert nowhere == told(checked(firm("Ohio", "Texas"), federal, day), "FIT-002")


def test_what_a_state_asks_of_the_program_binds_a_firm_with_a_place_there(washington: Catalogue) -> None:
    [here] = told(checked(firm("Ohio", "Washington"), washington), "FIT-022").values()
    [kept] = told(checked(firm("Ohio", "Washington", "6 months"), washington), "FIT-022").values()
    [nowhere] = told(checked(firm("Ohio", "Texas"), washington), "FIT-022").values()
    assert here == ("gap", "Valley Mask Rule, 5.1") and kept == ("met", "Valley Mask Rule, 5.1")
    assert nowhere == ("met", "29 CFR 1910.134(f)(2)")


def test_the_due_date_is_that_of_the_state_for_its_people_alone(washington: Catalogue) -> None:
    judged = checked(firm("Washington", "Ohio"), washington).judged
    assert judged is not None
    due = {item.id: (item.due, item.basis) for item in judged.due(400).items if item.id.startswith("fit-test.")}
    by_basis = {basis: day for day, basis in due.values()}
    assert by_basis["Valley Mask Rule, 5.1"] is not None and len(by_basis) == 2
    assert {day for day, basis in due.values() if basis.startswith("29 CFR")} == {date(2027, 2, 18)}
    assert by_basis["Valley Mask Rule, 5.1"] == date(2026, 8, 17)


def test_no_state_sees_what_another_sets_and_both_bind_who_works_in_both(tmp_path: Path) -> None:
    first = pack_of(tmp_path / "a", "Washington", HALF_A_YEAR)
    second = pack_of(tmp_path / "b", "Oregon", HALF_A_YEAR.replace("6 months", "9 months").replace("5.1", "7"))
    both = under(first, second)
    for states, asked in (
        (("Washington", "Ohio"), "Valley Mask Rule, 5.1"), (("Oregon", "Ohio"), "Valley Mask Rule, 7"),
    ):  # fmt: skip
        [found] = told(checked(firm(*states), both), "FIT-022").values()
        assert found == ("gap", asked), states
    [seven] = told(checked(firm("Oregon", "Washington", "7 months"), both), "FIT-022").values()
    assert seven == ("gap", "Valley Mask Rule, 5.1"), "it keeps what Oregon asks, and not what Washington does"
    [six] = told(checked(firm("Oregon", "Washington", "6 months"), both), "FIT-022").values()
    assert six[0] == "met"


def test_a_pack_without_a_state_still_binds_all_work_beside_what_a_state_asks(tmp_path: Path) -> None:
    state = pack_of(tmp_path / "a", "Washington", HALF_A_YEAR)
    own = pack_of(tmp_path / "b", "", HALF_A_YEAR.replace("6 months", "3 months").replace("5.1", "9"))
    for packs in ((state, own), (own, pack_of(tmp_path / "c", "Washington", HALF_A_YEAR.replace("6", "2")))):
        catalogue = under(*packs)
        [found] = told(checked(firm("Ohio", "Texas", "5 months"), catalogue), "FIT-022").values()
        assert found == ("gap", "Valley Mask Rule, 9")
        [there] = told(checked(firm("Washington", "Texas", "5 months"), catalogue), "FIT-022").values()
        assert there[0] == "gap"


def test_a_state_s_pack_may_set_nothing_looser(tmp_path: Path) -> None:
    loose = pack_of(tmp_path / "a", "Washington", HALF_A_YEAR.replace("6 months", "2 years"))
    _, faults = catalogue_with([loose])
    assert [fault.code for fault in faults] == ["PACK-007"]


def test_a_figure_that_its_field_cannot_hold_is_refused(tmp_path: Path) -> None:
    half = HALF_A_YEAR.replace("fit-test-interval", "standby-persons").replace("6 months", "'2.5'")
    _, faults = catalogue_with([pack_of(tmp_path / "a", "Washington", half)])
    assert "PACK-007" in {fault.code for fault in faults}


def test_every_figure_of_the_law_can_be_a_state_s_own_and_stays_there(tmp_path: Path) -> None:
    """One pack sharpens all that have an order: there each is its own, and elsewhere all are as before."""
    federal = built_in_catalogue().law_on(AS_OF)
    lines, changed = [], {}
    for value in federal.values.values():
        if value.value is None or value.kind == YES_NO:
            continue
        number = float(value.text.split()[0])
        digits = abs(number) / 2 if (value.stricter is Stricter.LOWER) is (number > 0) else abs(number) * 1.02
        if value.kind == "number" and number.is_integer() and digits > 1.0:
            digits = float(ceil(digits))  # persons and the like
        sharper = " ".join([f"{-digits if number < 0 else digits:g}", *value.text.split()[1:]])
        if value.kind == "interval":  # between two things the shorter one, for keeping something the longer
            longer = f"{ceil(digits)} {value.text.split()[1]}"
            sharper = "1 day" if value.stricter is Stricter.LOWER else longer
        assert is_looser(value, value.value, figure_of(sharper, value.kind)), value.id
        changed[value.id] = figure_of(sharper, value.kind)
        lines.append(f"  - {{id: {value.id}, value: {json.dumps(sharper)}, citation: '1'}}\n")
    catalogue = under(pack_of(tmp_path / "p", "Washington", "values:\n", "".join(lines)))
    assert len(changed) > 30
    law = catalogue.law_on(AS_OF)
    assert law.values == federal.values
    program = load({"program.yaml": written(firm("Washington", "Ohio")).encode()}).program
    assert program is not None
    rules = rule_set(law, program)
    here, there = law_for(rules, program.tasks[:1]), law_for(rules, program.tasks[-1:])
    assert {name: here[name].value for name in changed} == changed
    assert there.values == federal.values
    assert law_for(rules, program.tasks).values == here.values, "whoever works in both keeps the stricter"


def test_what_is_printed_says_whose_figure_it_is_whose_the_rules_are_and_when_they_were_read(tmp_path: Path) -> None:
    words = (
        "By law for work in Washington: 6 months (Valley Mask Rule, 5.1).",
        "California, as read on 4 September 2026",
        "respirators and the air, in part” (2026.3, read on 4 September 2026)",
    )
    pack = pack_of(tmp_path / "pack", "Washington", HALF_A_YEAR)
    law, _ = catalogue_with([pack], frozenset({"California"}))
    values = {
        "format": "1",
        "program": {"jurisdiction": {"authority": "state-plan", "state": "California"}},
        "organisation": {"sites": [{"id": "barn", "name": "Barn", "state": "Washington"}]},
        "tasks": [{"id": "sand", "name": "Sanding", "use": "required", "masks": [{"mask": "half"}]}],
        "masks": [{"id": "half", "facepiece": "half-mask", "mode": "air-purifying"}],
        "procedures": {"fit_testing": {"interval": "6 months"}},
    }
    judged = checked(values, law).judged
    assert judged is not None
    text, plain = _text(program_of(judged)), _text(written_whole("base").program)
    for one in words:
        assert one in text and one not in plain, one
    assert "Rules of states" not in plain


def _text(program: Document) -> str:
    return "".join(text.text for text in of_type(program.blocks, Text))
