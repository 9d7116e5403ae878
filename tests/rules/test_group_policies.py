"""A policy for one group binds exactly its people: of twins at the same work, one of the group and one not, the one
stands as if the policy were for all, and the other as if there were none.

Tried for every parameter a policy may have, by the cases of `test_policy_parameters.py`.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from programs.patching import judged_by, patched
from rules.test_policy_parameters import CASES, CATALOGUE

from progdoc.document.papers.person_card import each_card
from progdoc.rules.judged.result import Judged

GROUPS = [
    {"id": "inside", "name": "Volunteers", "status": "volunteer"},
    {"id": "outside", "name": "Employees", "status": "employee"},
]


def twins(values: dict[str, Any]) -> dict[str, Any]:
    """Return a description in which everybody is there twice, once in each group, and both do the same work.

    Where it names nobody, somebody does all of its tasks in whatever masks these name.
    """
    masks = dict.fromkeys(use["mask"] for task in values["tasks"] for use in task.get("masks", ()))
    somebody = {"id": "somebody", "name": "Somebody", "masks": [{"mask": mask, "size": "M"} for mask in masks]}
    known = values.get("people", [])
    people = [
        {**person, "id": f"{person['id']}-{group['id']}", "group": group["id"]}
        for person in known or [somebody]
        for group in GROUPS
    ]
    tasks = [
        {**task, "people": [f"{who}-{group['id']}" for who in crew for group in GROUPS]} if crew else task
        for task in values["tasks"]
        for crew in (task.get("people", []) if known else ["somebody"],)
    ]
    return {**values, "people": people, "tasks": tasks, "groups": GROUPS}


def described(name: str) -> dict[str, Any]:
    """Return the program of a parameter, broken wherever its case breaks it."""
    case = CASES[name]
    change = {**(case.program or {}), **(case.record[1] if case.record else {})}
    return twins(
        patched({
            **({"program": case.base} if case.base else {}),
            "set": {path: value for path, value in change.items() if value is not None},
            "drop": [path for path, value in change.items() if value is None],
        })
    )  # fmt: skip


def judged_for(name: str, folder: Path, *bound: Mapping[str, Any]) -> Judged:
    host = {"id": "host", "by": "Northbridge Diocese", "source": "Rules 2026", name: CASES[name].asks}
    policies = [{**host, **CASES[name].more, **to} for to in bound]
    return judged_by(CATALOGUE, {**described(name), **({"policies": policies} if policies else {})}, folder)


def stands(judged: Judged, group: str, *, whole: bool) -> dict[str, Any]:
    """Return how each person of a group stands: findings, due dates, records, what they may do, and the card."""
    cards = {
        who: replace(card, draft=False) for who, card in each_card(judged)
    }  # a draft is the program, not the person
    found: dict[str, Any] = {}
    for _, person in judged.index.present:
        if person.group != group:
            continue
        about = f"people.{person.id}"
        may = [judged.roster.assignment(person, task) for task in judged.roster.masked_for(person)]
        found[person.id] = {
            "findings": [d for d in judged.findings if about in d.subject and (whole or d.code != "POL-016")],
            "due": [item for item in judged.due(365).items if about in item.subject],
            "fits": [(one.needed, one.is_passed) for one in judged.records_of(person.id).fit_tests],
            "hair": judged.figures.hair_rules.get(person.id),
            "may": [(one.task.id, one.may, [choice.mask for choice in one.good]) for one in may],
            **({"why": [(one.reasons, one.choices) for one in may], "card": cards[person.id]} if whole else {}),
        }
    return found


# What people share, the air as a whole and the program: there is one for all, and nobody's record goes by it.
SHARED = ("evaluation_interval", "evidence_interval", "carbon_monoxide", "oil_in_air", "recharge_at")


@pytest.mark.parametrize("name", CASES)
def test_a_policy_for_a_group_binds_its_people_as_all_and_others_not_at_all(name: str, tmp_path: Path) -> None:
    free, all_bound = judged_for(name, tmp_path), judged_for(name, tmp_path, {})
    found = judged_for(name, tmp_path, {"groups": ["inside"]})
    assert stands(found, "outside", whole=True) == stands(free, "outside", whole=True)
    assert stands(found, "inside", whole=False) == stands(all_bound, "inside", whole=False)
    moved = stands(found, "inside", whole=True) != stands(free, "inside", whole=True)
    assert moved is (name not in SHARED)
