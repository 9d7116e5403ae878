"""Wearers who share a verdict have the one that each would get when judged alone."""

from __future__ import annotations

import json
from collections.abc import Iterator
from functools import partial
from typing import Any

import pytest
from calls import calls_in
from programs.patching import AS_OF, BASE, loaded, patched, patches
from programs.whole import WHOLE, judged_whole

from progdoc.app.disk.description_files import load_path
from progdoc.core.diagnostics import Location
from progdoc.core.report import Status
from progdoc.document.papers.written_program import written_program
from progdoc.document.templating.templates import shipped_templates
from progdoc.model.description.people import Person
from progdoc.model.load import Loaded
from progdoc.rules import evaluate
from progdoc.rules.evaluate import duties, verdicts_on
from progdoc.rules.facts import Facts
from progdoc.rules.in_force.rule_set import rule_set
from progdoc.rules.judge import judge
from progdoc.rules.judged.result import Judged
from progdoc.rules.masks.selection import select
from progdoc.rules.reading.catalogue import built_in_catalogue
from progdoc.rules.shared_verdicts import OF_WEARERS, parts_read
from progdoc.rules.subjects import SUBJECTS

# What goes by who somebody is, or looks at days of the whole record, is judged for each.
FOR_EACH = {"names-tell-people-apart", "person-still-there", "history-names-no-worker", "wearer-days-past"}


def alone(described: Loaded, monkeypatch: pytest.MonkeyPatch, day: Any = AS_OF) -> Judged:
    """Judge each wearer for themselves."""
    with monkeypatch.context() as patch:
        patch.setattr(evaluate, "OF_WEARERS", ())
        return judge(described, built_in_catalogue(), day)


def records() -> list[dict[str, Any]]:
    """Return all that the suite ever says of a wearer whose masks the base program has, each once."""
    masks = {mask["id"] for mask in BASE["masks"]}
    said = [person for _, entry in patches() if "program" not in entry for person in patched(entry).get("people", ())]
    once = {json.dumps({**one, "id": "", "name": ""}, sort_keys=True): one for one in (*BASE["people"], *said)}
    return [one for one in once.values() if _masks_of(one) <= masks]


def _masks_of(person: dict[str, Any]) -> set[str]:
    return {entry["mask"] for part in ("masks", "fit_tests") for entry in person.get(part, ())}


def mixed(step: int) -> Iterator[dict[str, Any]]:
    """Yield wearers made of the parts of all records: of any two parts many have the same one and another other."""
    known = records()
    parts = sorted({name for one in known for name in one} - {"id", "name"})
    values: dict[str, list[Any]] = {name: [] for name in parts}
    for one in known:
        for name in parts:
            if one.get(name) not in values[name]:
                values[name].append(one.get(name))
    usual = known[0]
    for name in parts:  # each part alone
        for value in values[name]:
            yield {**{key: usual.get(key) for key in parts}, name: value}
    for number in range(150):  # and all together
        yield {name: values[name][number * (i + step) % len(values[name])] for i, name in enumerate(parts)}


def firm(step: int, backwards: bool) -> dict[str, Any]:
    """Return the base program with such wearers, half of them named by its tasks."""
    wearers = [{key: value for key, value in one.items() if value is not None} for one in mixed(step)]
    people = [
        {**one, "id": f"w{n}", "name": f"Wearer {n}"}
        for n, one in enumerate(reversed(wearers) if backwards else wearers)
    ]
    doers = [f"w{n}" for n in range(0, len(people), 2)]
    tasks = [{**task, "people": doers} for task in BASE["tasks"]]
    return {**BASE, "people": people, "tasks": tasks}


def test_wearers_made_of_all_that_the_suite_says(monkeypatch: pytest.MonkeyPatch) -> None:
    described = loaded(firm(3, backwards=True))
    assert not described.diagnostics, described.diagnostics
    shared, each = judge(described, built_in_catalogue(), AS_OF), alone(described, monkeypatch)
    differing = [(a, b) for a, b in zip(shared.verdicts, each.verdicts, strict=True) if a != b]
    assert not differing, differing[0]
    assert shared.findings == each.findings
    assert shared.questions == each.questions


def test_the_programs_of_the_suite(monkeypatch: pytest.MonkeyPatch) -> None:
    for name, (path, day) in WHOLE.items():
        each = alone(load_path(path), monkeypatch, day)
        assert judged_whole(name).verdicts == each.verdicts, name
        assert judged_whole(name).findings == each.findings, name


def test_the_paper_of_one_is_the_paper_of_the_other(monkeypatch: pytest.MonkeyPatch) -> None:
    path, day = WHOLE["restoration_2026"]
    templates = shipped_templates()
    assert written_program(judged_whole("restoration_2026"), templates) == written_program(
        alone(load_path(path), monkeypatch, day), templates
    )


def test_each_duty_of_a_wearer_is_shared_or_told_apart_on_purpose() -> None:
    for rule in built_in_catalogue().requirements:
        if rule.per in OF_WEARERS:
            checks = {proof.value for proof in rule.proof.singles() if proof.kind == "check"}
            assert (parts_read([rule]) is None) is bool(checks & FOR_EACH), rule.code


class Watched(Person):
    """A wearer who notes which parts of the record are looked at."""

    def __getattribute__(self, name: str) -> Any:
        LOOKED_AT.add(name)
        return super().__getattribute__(name)


LOOKED_AT: set[str] = set()
WHOLE_RECORD = {"__dict__", "__iter__", "model_dump", "model_copy"}


def test_nothing_is_read_of_a_wearer_but_what_is_listed() -> None:
    program = loaded(firm(1, False)).program
    assert program is not None
    people = tuple(Watched.model_construct(one.model_fields_set, **one.__dict__) for one in program.people)
    rules = rule_set(built_in_catalogue().law_on(AS_OF), program.model_copy(update={"people": people}))
    facts = Facts(rules, lambda path: Location("", 1, 1, path), AS_OF, select(rules, AS_OF))
    parts = {*Person.model_fields, *WHOLE_RECORD} - {"id"}  # the id leads to the tasks
    unlisted: set[tuple[str, str]] = set()
    for kind in OF_WEARERS:
        asked = duties(rule for rule in built_in_catalogue().in_force(AS_OF) if rule.per == kind)
        for subject in SUBJECTS[kind](facts):
            list(verdicts_on(facts, asked, subject))  # what is worked out once for all wearers
            for duty in asked:
                listed = parts_read([one.rule for one in duty])
                facts.forget_people()
                LOOKED_AT.clear()
                (verdict,) = verdicts_on(facts, [duty], subject)
                if listed is not None and verdict.status in (Status.MET, Status.NOT_APPLICABLE):
                    unlisted |= {(verdict.requirement.code, name) for name in LOOKED_AT & parts - set(listed)}
    assert not unlisted


def crew(count: int) -> dict[str, Any]:
    """Return the base program with a crew of whom all the same is recorded."""
    usual = BASE["people"][0]
    people = [{**usual, "id": f"w{n}", "name": f"Wearer {n}"} for n in range(count)]
    return {
        **BASE,
        "people": people,
        "tasks": [{**task, "people": [p["id"] for p in people]} for task in BASE["tasks"]],
    }


def test_one_more_of_a_crew_costs_far_less_than_one_alone(monkeypatch: pytest.MonkeyPatch) -> None:
    few, many = (loaded(crew(count)) for count in (20, 40))
    shared = [calls_in(partial(judge, one, built_in_catalogue(), AS_OF)) for one in (few, few, many)]
    each = [calls_in(partial(alone, one, monkeypatch)) for one in (few, many)]
    assert shared[2] - shared[1] < 0.6 * (each[1] - each[0])  # what else is worked out of them is in both
