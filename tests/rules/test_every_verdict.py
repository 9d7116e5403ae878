"""What is told of all wearers who stand alike is kept once; nobody has to be held who has nothing open."""

from __future__ import annotations

from typing import Any

from calls import calls_in
from programs.patching import AS_OF, BASE, loaded

from progdoc.core.report import in_groups
from progdoc.rules.judge import judge
from progdoc.rules.judged.every_verdict import is_open
from progdoc.rules.judged.result import Judged
from progdoc.rules.reading.catalogue import built_in_catalogue


def crew(count: int) -> Judged:
    """Return the judged base program with a crew, of whom every tenth was never trained."""
    usual: dict[str, Any] = BASE["people"][0]
    people = [{**usual, "id": f"w{n}", "name": f"Wearer {n}"} for n in range(count)]
    people = [{**one, "training": []} if n % 10 == 0 else one for n, one in enumerate(people)]
    ids = [one["id"] for one in people]
    values = {**BASE, "people": people, "tasks": [{**task, "people": ids} for task in BASE["tasks"]]}
    return judge(loaded(values), built_in_catalogue(), AS_OF)


def test_of_many_who_stand_alike_one_row_is_kept() -> None:
    judged = crew(60)
    wearers = judged.verdicts.by_kind["wearer"]
    assert len({id(row) for row in wearers.rows}) == 2
    assert all(is_open(one) for own in wearers.own for one in own.values())
    assert len(judged.verdicts) > 60 * 60


def test_every_verdict_is_one_of_those_that_stand_alike() -> None:
    judged = crew(30)
    every, alike = list(judged.verdicts), list(judged.verdicts.alike())
    assert len(every) == len(judged.verdicts) == sum(one.many for one in alike)
    assert [one for one in every if is_open(one)] == list(judged.verdicts.open)
    found = {(one.requirement.code, one.subject.ids, one.subject.path): one for one in every}
    for one in alike:
        for number in one.numbers:
            subject = one.of.subjects[number]
            verdict = found[one.verdict.requirement.code, subject.ids, subject.path]
            assert (verdict.status, verdict.because, verdict.home) == (*one.verdict[2:4], one.verdict.home)
    rows = in_groups(judged.report("1").requirements)
    assert sum(len(subjects) for _, subjects in rows) == len(every)


def test_how_matters_stand_is_told_in_as_many_calls_of_twice_as_many_people() -> None:
    few, many = (crew(count).verdicts for count in (50, 100))
    for verdicts in (few, many):
        list(verdicts.alike())  # who stands alike is found once
    open_ones = len(many.open) - len(few.open)
    more = calls_in(lambda: list(many.alike())) - calls_in(lambda: list(few.alike()))
    assert more <= 12 * open_ones
