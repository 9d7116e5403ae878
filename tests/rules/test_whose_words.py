"""What a user's pack says is never taken for the law's, and what it sets makes nothing of the law another thing."""

from __future__ import annotations

import json
from collections.abc import Iterator
from itertools import product
from pathlib import Path
from typing import Any

import pytest
from programs.patching import AS_OF, BASE, checked_by, written

from progdoc.app.build import build
from progdoc.app.check import check
from progdoc.model.load import load
from progdoc.rules.judged.published import LimitKind
from progdoc.rules.lookup.limits import MINUTES_OF_A_KIND
from progdoc.rules.lookup.substances import find_substance, limits_for
from progdoc.rules.lookup.table_files import table_rows
from progdoc.rules.reading.catalogue import Catalogue, built_in_catalogue, catalogue_with, shipped_sources

FEDERAL = built_in_catalogue()
LAW = "us-29cfr1910.134"
OWN = {"id": "own", "short": "House Book", "title": "The house book", "publisher": "The firm", "edition": "1"}
RULE = {
    "code": "TRY-001",
    "name": "something-is-missing",
    "citation": f"{LAW} (f)(2)",
    "proof": {"given": "officer.name"},
    "duty": "Masks are optional.",
    "what": "A trouble.",
    "why": "A reason.",
    "fix": "A cure.",
}


def laid(folder: Path, about: dict[str, Any] | None = None, **lists: Any) -> tuple[Catalogue, list[str]]:
    """Return the law under a pack, and what is refused of it."""
    head = {"pack": "trial", "version": "1", "sources": [{**OWN, "consulted": "2026-01-01"}]}
    (folder / "pack.yaml").write_text(json.dumps({**head, **(about or {})}), encoding="utf-8")
    rules = {"source": "own", "in_force": "2020-01-01", **lists}
    (folder / "rules.yaml").write_text(json.dumps(rules, indent=1), encoding="utf-8")
    catalogue, faults = catalogue_with([folder])
    return catalogue, [f"{fault.code} {fault.what}" for fault in faults]


def test_a_figure_of_the_law_stays_the_figure_it_is(tmp_path: Path) -> None:
    """Another field of policies, another place or kind of it would let what a client asks for fall away."""
    others = {"words": "x", "kind": "colour", "stricter": "no", "policy": "x", "program": "x", "binds": "x"}
    values = [
        {"id": value.id, "value": value.text, "citation": "1", key: other}
        for value in {value.id: value for value in FEDERAL.values if value.text}.values()
        for key, other in {**others, "measured": "no" if value.is_measured else "yes"}.items()
        if getattr(value, key, "") != other
    ]
    catalogue, found = laid(tmp_path, values=values)
    assert len([words for words in found if "another figure" in words]) == len(values) > 100
    assert catalogue.values == FEDERAL.values


def test_no_source_goes_by_the_name_of_one_that_ships(tmp_path: Path) -> None:
    taken = [
        {**OWN, "consulted": "2026-01-01", "id": f"own-{number}-{key}", key: getattr(source, key)}
        for number, source in enumerate(shipped_sources().values())
        for key in ("id", "short", "title")
    ]
    _, found = laid(tmp_path, {"sources": taken})
    assert len(found) == len(taken)
    assert all("goes by the id or the name of" in words for words in found)


@pytest.mark.parametrize(
    "about",
    [{"pack": "us-federal"}, *({"title": name} for name in ("us-federal", "Approved by OSHA", "29 CFR 1910.134"))],
)
def test_no_pack_goes_by_the_name_of_the_law_or_claims_approval(about: dict[str, str], tmp_path: Path) -> None:
    assert len(laid(tmp_path, about)[1]) == 1


def test_whatever_a_pack_says_of_the_law_is_told_as_its_words(tmp_path: Path) -> None:
    """In the program, the annex, the matrix and the gap report: a duty, a figure, a limit, and what they replace."""
    made_up = {**OWN, "consulted": "2026-01-01", "id": "made-up", "short": "29 CFR 1910.999", "title": "Made up"}
    catalogue, found = laid(
        tmp_path,
        {"sources": [made_up]},
        source=LAW,
        requirements=[
            RULE,
            {**RULE, "code": "TRY-002", "citation": "made-up (a)"},
        ],
        values=[{"id": "training-interval", "value": "6 months", "citation": "(k)(5)"}],
        changes=[{"code": "FIT-022", "proof": {"path": "procedures.fit_testing.interval", "at_most": "3 months"}}],
        limits=[{"agent": "lead", "kind": "TWA", "value": "0.01 mg/m3", "citation": "(a)(1)"}],
    )
    assert found == []
    fit_testing = {**BASE["procedures"]["fit_testing"], "interval": "3 months"}
    judged = checked_by(catalogue, {**BASE, "procedures": {**BASE["procedures"], "fit_testing": fit_testing}})
    files = build(judged, ("md",))
    assert isinstance(files, dict)
    text = {name: files[name].decode() for name in ("program.md", "annex.md", "gaps.md", "matrix.csv")}
    for rule in catalogue.in_force(AS_OF):
        assert (rule.pack.name == "trial") is str(rule.citation).startswith("trial, on 29 CFR"), rule.code
    assert "trial, on 29 CFR 1910.134(f)(2)" in text["matrix.csv"]
    assert "trial, on 29 CFR 1910.999(a)" in text["annex.md"]
    assert "trial, on 29 CFR 1910.134(a)(1)" in text["annex.md"]
    replaced = {rule.code: rule.duty for rule in FEDERAL.in_force(AS_OF)}["FIT-022"]
    assert f"It stands in the place of: {replaced} \\[29 CFR 1910.134(f)(2)\\]" in text["program.md"]


def test_words_of_the_law_stay_whatever_a_pack_cites_for_its_own(tmp_path: Path) -> None:
    change = {"citation": "9", "duty": "All is well.", "what": "All is well.", "why": "Well.", "fix": "Nothing."}
    codes = [rule.code for rule in FEDERAL.in_force(AS_OF)][::5]
    _, found = laid(tmp_path, changes=[{"code": code, **change} for code in codes])
    assert {words.split()[1].rstrip(":") for words in found} == set(codes)


def _limits() -> Iterator[tuple[str, str, float, str]]:
    """Yield agent, kind, value and unit of every figure of the federal tables that is printed as one."""
    agents = sorted({row["agent"] for row in table_rows("limits")})
    for agent, industry in product(agents, ("general", "construction", "shipyard")):
        if substance := find_substance(agent):
            for limit in limits_for(substance, industry):
                if limit.value is not None and limit.kind in MINUTES_OF_A_KIND:
                    yield agent, limit.kind.value, limit.value, limit.unit


@pytest.mark.parametrize("unit", ["", "f/cc"])
def test_a_limit_that_is_looser_than_every_one_of_the_law_is_refused(unit: str, tmp_path: Path) -> None:
    highest: dict[tuple[str, str], float] = {}
    units: dict[tuple[str, str], set[str]] = {}
    for agent, kind, value, own in _limits():
        highest[agent, kind] = max(value, highest.get((agent, kind), 0.0))
        units.setdefault((agent, kind), set()).add(own)
    entries = [
        {"agent": agent, "kind": kind, "value": f"{value * 2:g} {unit or own}", "citation": "1"}
        for (agent, kind), value in highest.items()
        if len(units[agent, kind]) == 1 and (own := next(iter(units[agent, kind]))) not in ("f/cc", "mppcf")
    ]
    catalogue, found = laid(tmp_path, limits=entries)
    assert len(entries) > 300
    kept = {(one.limit.agent, one.limit.kind) for one in catalogue.limits}
    of_fractions = {(agent, LimitKind(kind)) for agent, kind in highest if _has_fractions(agent)}
    assert kept <= of_fractions  # a limit of all of a dust says nothing of one of a fraction
    assert all(words.startswith("PACK-007") for words in found)


def _has_fractions(agent: str) -> bool:
    substance = find_substance(agent)
    return substance is not None and any(
        limit.fraction not in ("", "total") or limit.form
        for industry in ("general", "construction", "shipyard")
        for limit in limits_for(substance, industry)
    )


@pytest.mark.parametrize("agent", ["Leed", "Bleiweiss", "Lead metal dust XX"])
def test_a_packs_limit_for_an_agent_of_no_table_asks_who_looked_it_up(agent: str, tmp_path: Path) -> None:
    catalogue, found = laid(tmp_path, limits=[{"agent": agent, "kind": "TWA", "value": "50 mg/m3", "citation": "1"}])
    assert found == []
    values = {**BASE, "hazards": [{**BASE["hazards"][0], "agent": agent}, *BASE["hazards"][1:]]}
    report = check(load({"program.yaml": written(values).encode()}), AS_OF, catalogue).report
    assert {"EXP-032", "EXP-056"} & {one.code for one in report.findings}


@pytest.mark.parametrize(
    "change", [{"by": "nobody"}, {"by": "TBD"}, {"source": "none"}, {"date": "soon"}, {"date": "2027-01-01"}]
)
def test_a_figure_is_confirmed_by_somebody_out_of_something_on_a_day(change: dict[str, str], tmp_path: Path) -> None:
    entry = {"id": "idlh-lead", "value": "100 mg/m3", "source": "Its page", "date": "2026-03-02", "by": "A. Hygienist"}
    catalogue, found = laid(tmp_path, confirmed=[{**entry, **change}])
    assert found if "2027" not in str(change) else "idlh-lead" not in catalogue.confirmed_on(AS_OF)
