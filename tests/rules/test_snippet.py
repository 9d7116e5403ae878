"""What a finding tells to type names the reader's own things and proposes no result."""

from __future__ import annotations

import re
from functools import cache, partial
from itertools import product
from pathlib import Path
from typing import Any

import pytest
from calls import calls_in
from examples import TIMES, some
from programs.patching import BASE, checked_by, judged, patched, patches, read_as_text
from programs.whole import OF_THE_SUITE, judged_whole

from progdoc.core.diagnostics import Diagnostic
from progdoc.model.description.index import Index
from progdoc.rules.reading.answers_to_type import to_type
from progdoc.rules.reading.catalogue import built_in_catalogue
from progdoc.rules.requirement import Subject
from progdoc.rules.snippet import BLANK, place_to_fill, snippet, without_stated

RESULTS = re.compile(r"\b(yes|no|none|cleared[a-z-]*|not-cleared|pass|passed|fail|failed|in order)\b", re.IGNORECASE)
LISTS = ("people", "masks", "tasks", "hazards", "filters")
GAPS = [entry for _, entry in patches() if entry["expect"] == "gap"]
WITH_EXAMPLE = [r for r in built_in_catalogue().requirements if r.example]


@cache
def _renamed() -> tuple[tuple[Diagnostic, frozenset[str]], ...]:
    """All findings of the small programs, of the first draft and of what the patches make of the base program.

    With each go the ids of what its place stands in: a fact of a hazard may decide about a mask.
    """
    descriptions = [judged_whole(name) for name in (*OF_THE_SUITE, "first_draft")]
    checked = (checked_by(built_in_catalogue(), patched(entry)) for entry in some(GAPS, 60))
    descriptions += [one.judged for one in checked if one.judged]
    return tuple(
        (d, _ids_on_the_way(judged.index, d.location.path)) for judged in descriptions for d in judged.findings
    )


def _ids_on_the_way(index: Index, path: str) -> frozenset[str]:
    things = (index.value_at(path[: step.end()]) for step in re.finditer(r"\[\d+\]", path))
    return frozenset(thing.id for thing in things if hasattr(thing, "id"))


def _typed(finding: Diagnostic) -> str:
    return finding.fix.partition("\n")[2]


def _proposed(typed: str) -> list[str]:
    """The results that stand as answers. After a key left blank, a comment lists what may be answered: no answer."""
    stated = re.sub(rf"(?m)^( *(?:- )?[a-z_0-9]+:(?: \[{BLANK}\])?)  # .* or .*$", r"\1", typed)
    return RESULTS.findall(re.sub(r"[a-z_]+:", "", stated))


def _ids(value: Any, kind: str) -> set[str]:
    return {entry["id"] for entry in value.get(kind, ()) if isinstance(entry, dict) and "id" in entry}


def test_every_example_is_filled_with_the_subjects_ids_and_proposes_no_result() -> None:
    own = {kind: f"own-{kind}" for kind in (*LISTS, "units", "schedules")}
    assert len(WITH_EXAMPLE) > 300
    for requirement in WITH_EXAMPLE:
        code = requirement.code
        subject = Subject(requirement.per, tuple(f"{kind}.{name}" for kind, name in own.items()), "", "")
        typed = to_type(snippet(requirement.example, subject))
        value = read_as_text(typed)
        assert list(value) == list(read_as_text(requirement.example)), code
        assert not _proposed(typed), (code, typed)
        for kind in LISTS:
            assert _ids(value, kind) <= {own[kind]}, code
            assert not value.get(kind) or _ids(value, kind), code
            for entry in (one for one in value.get(kind, ()) if isinstance(one, dict)):
                others = (entry.get("never_same_day") or [], entry.get(kind) or [])
                assert not any(own[kind] in names for names in others), (code, "no entry refers to itself")
        for invented in ("jo-marsh", "half-mask", "scrape-sashes", "p100-disc", "sash-lead"):
            assert f": {invented}" not in typed, code


def test_what_findings_tell_to_type_names_their_own_subjects() -> None:
    wrong = []
    for finding, around in _renamed():
        typed = _typed(finding)
        if not typed:
            continue
        value = read_as_text(typed)
        own = {text.partition(".")[2] for text in finding.subject} | around
        named = {name for kind in LISTS for name in _ids(value, kind)} - {BLANK}
        if not named <= own or _proposed(typed):
            wrong.append((finding.code, finding.subject, typed))
    assert wrong == []


def test_the_id_is_the_one_of_the_record_that_is_wrong() -> None:
    values = patched({"drop": ["people[1].medical"]})
    assert BASE["people"][1]["id"] == "ravi-stone"
    typed = [_typed(d) for d in checked_by(built_in_catalogue(), values).report.findings if d.code == "MED-030"]
    assert [read_as_text(text)["people"][0]["id"] for text in typed] == ["ravi-stone"]


# Every kind of evidence, without its day, and what of it is asked for.
KINDS: dict[str, dict[str, Any]] = {
    "samples": {"results": [{"concentration": "120 ug/m3", "duration": "480 min"}]},
    "objective-data": {"concentration": "120 ug/m3", "source": "Trade survey, table 3"},
    "estimate": {"concentration": "120 ug/m3", "by": "Clearfield Hygiene", "basis": "Samples of last year"},
    "judgment": {"by": "Clearfield Hygiene", "guidance": "House rule", "needed_apf": "10"},
    "silica-table-1": {"row": "xi", "place": "indoors"},
    "lead-task": {"group": "ii", "task": "other work"},
}
# These say in their `fix` that the evidence that stands is of the wrong kind.
ASKS_FOR_ANOTHER_KIND = {"EXP-004", "EXP-015", "EXP-024"}


@pytest.mark.parametrize("kind", KINDS)
def test_a_snippet_leaves_the_kind_of_evidence_that_stands(kind: str) -> None:
    """Of every kind; on each change of two agents in turn, in one industry."""
    agents = ["lead", "silica", "gypsum", "bird droppings"]
    cases = list(product(agents, ("construction", "general")))
    for agent, industry in some(cases[list(KINDS).index(kind) % 4 :], 4) if TIMES == 1 else cases:
        check_snippet(kind, agent, industry)


def check_snippet(kind: str, agent: str, industry: str) -> None:
    exposure = {"kind": kind, **KINDS[kind]}
    changed = {"hazards[0].agent": agent, "hazards[0].exposure": exposure, "tasks[0].industry": industry}
    values = patched({"set": changed})
    found = checked_by(built_in_catalogue(), values).report.findings
    of_air = [one for one in found if "hazards.sash-lead" in one.subject and one.code not in ASKS_FOR_ANOTHER_KIND]
    proposed = {one.code: read_as_text(_typed(one))["hazards"][0] for one in of_air if _typed(one)}
    kinds = {code: entry["exposure"].get("kind") for code, entry in proposed.items() if "exposure" in entry}
    assert set(kinds.values()) <= {kind, None}, (kinds, agent, industry)
    if kind == "lead-task":
        return
    day = (
        {"results": [dict.fromkeys(("concentration", "duration", "date"), BLANK)]}
        if kind == "samples"
        else {"date": BLANK}
    )
    assert proposed["EXP-020"] == {"id": "sash-lead", "exposure": {"kind": kind, **day}}, (agent, industry)


def test_the_fraction_of_an_estimate_is_asked_for_as_an_estimates(tmp_path: Path) -> None:
    exposure = {"kind": "estimate", **KINDS["estimate"], "concentration": "6 mg/m3", "date": "2026-02-10"}
    changed = {"tasks[0].industry": "general", "hazards[0].agent": "gypsum", "hazards[0].exposure": exposure}
    found = judged(patched({"set": changed}), tmp_path).findings
    (typed,) = (_typed(one) for one in found if one.code == "EXP-025")
    (entry,) = read_as_text(typed)["hazards"]
    assert list(entry["exposure"]) == ["kind", "fraction"] and entry["exposure"]["kind"] == "estimate"


def test_a_fact_that_decides_is_to_be_typed_at_its_place() -> None:
    index = judged_whole("first_draft").index
    assert place_to_fill(index, "tasks[0].masks[0].filters").splitlines() == [
        "tasks:",
        "  - id: grind-joints",
        "    masks:",
        "      - filters: …",
    ]
    assert place_to_fill(index, "officer.name").splitlines() == ["officer:", "  name: …"]
    assert read_as_text(place_to_fill(index, "hazards[0].exposure.date"))["hazards"][0]["exposure"] == {"date": "…"}


@pytest.mark.parametrize("blank", [f" [{BLANK}]", f"\n      - {BLANK}"])
def test_a_list_shows_the_words_it_may_hold(blank: str) -> None:
    assert to_type(f"procedures:\n  evaluation:\n    consults:{blank}").endswith(
        f"{BLANK}{']' * blank.endswith(']')}  # one or more of fit, selection, use or maintenance"
    )


STATED = {"officer.name", "tasks[1].confined_space"}


@pytest.mark.parametrize(
    ("lines", "left"),
    [
        ("officer:\n  name: …\n  phone: …\n", "officer:\n  phone: …\n"),
        ("officer:\n  name: …\n", "officer:\n  name: …\n"),  # the answer is to be corrected
        (
            "tasks:\n  - id: spray\n    confined_space:  # yes or no\n    oxygen:\n      lowest: …\n",
            "tasks:\n  - id: spray\n    oxygen:\n      lowest: …\n",
        ),
        (  # what has no key of its own stays: entries of a list
            "tasks:\n  - id: spray\n    confined_space: no\n    controls:\n      - Fan\n",
            "tasks:\n  - id: spray\n    controls:\n      - Fan\n",
        ),
        ("people:\n  - id: jo\n    name: …\n", "people:\n  - id: jo\n    name: …\n"),  # entries of another list
        ("officer:\n  name: …\nprogram:\n  title: …\n", "program:\n  title: …\n"),  # no key without contents
    ],
)
def test_what_is_stated_is_not_asked_for_again(lines: str, left: str) -> None:
    assert without_stated(lines, "tasks[1]", STATED.__contains__) == left


def test_an_example_is_cut_to_size_once_for_all_of_a_kind() -> None:
    for requirement in WITH_EXAMPLE:
        ids = [tuple(f"{kind}.{name}" for kind in ("people", "masks", "tasks")) for name in ("own-a", "own-b")]
        first, other = (Subject(requirement.per, those, "", "") for those in ids)
        filled = snippet(requirement.example, first)
        assert calls_in(partial(snippet, requirement.example, other)) < 40, requirement.code
        assert snippet(requirement.example, other) == filled.replace("own-a", "own-b"), requirement.code
