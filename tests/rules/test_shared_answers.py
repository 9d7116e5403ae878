"""What is worked out once for several people is what would be worked out for each of them."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from progdoc.app.disk.description_files import load_path
from progdoc.rules.assignment import roster
from progdoc.rules.evaluate import evaluate
from progdoc.rules.facts import Facts
from progdoc.rules.in_force.rule_set import rule_set
from progdoc.rules.judged.every_verdict import EveryVerdict
from progdoc.rules.masks.selection import select
from progdoc.rules.reading.catalogue import built_in_catalogue
from progdoc.rules.reading.conditions import OF_ONE_THING, TELLS_ITS_PLACE
from progdoc.rules.reading.predicates import PREDICATES
from progdoc.rules.requirement import Subject
from progdoc.rules.subjects import SUBJECTS

ROOT = Path(__file__).resolve().parents[2]
AS_OF = date(2026, 11, 24)


@pytest.fixture(scope="module")
def facts() -> Facts:
    loaded = load_path(ROOT / "sample_config/restoration_2026")
    assert loaded.program is not None
    rules = rule_set(built_in_catalogue().law_on(AS_OF), loaded.program)
    return Facts(rules, loaded.locate, AS_OF, select(rules, AS_OF))


def _crews(facts: Facts) -> list[list[Subject]]:
    """Return the people, and people in a mask, who have the same tasks and masks, where they are several."""
    crews: dict[object, list[Subject]] = {}
    for kind in ("wearer", "worn-mask"):
        for subject in SUBJECTS[kind](facts):
            crews.setdefault((kind, facts.relevant_to(subject)), []).append(subject)
    return [crew for crew in crews.values() if len(crew) > 1]


def test_a_fact_of_tasks_and_masks_is_the_same_for_a_whole_crew(facts: Facts) -> None:
    crews = _crews(facts)
    assert crews
    for name, predicate in PREDICATES.items():
        if name not in OF_ONE_THING:
            differing = [crew for crew in crews if len({predicate(facts, subject) for subject in crew}) > 1]
            assert bool(differing) is (name in TELLS_ITS_PLACE), name


def test_whom_one_task_names_is_barred_by_the_same_as_when_judged_anew(facts: Facts) -> None:
    in_force = built_in_catalogue().in_force(AS_OF)
    verdicts = evaluate(facts, [one for one in in_force if one.bars == "person"])
    nothing = EveryVerdict((), {})
    shared, anew = (roster(facts, in_force, given, facts.selection, {}) for given in (verdicts, nothing))
    pairs = [(person, task) for person in facts.description.people for task in shared.tasks]
    whole = {facts.relevant_to(subject) for kind in ("wearer", "worn-mask") for subject in SUBJECTS[kind](facts)}
    assert any(len(one.tasks) == len(one.masks) == 1 for one in whole)
    assert any(shared.assignment(*pair).reasons for pair in pairs)
    for pair in pairs:
        assert shared.assignment(*pair) == anew.assignment(*pair)
