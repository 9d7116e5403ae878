"""Every fact is taken out of complete programs in turn: what comes up says that it reads it, or nobody needs it."""

from __future__ import annotations

from datetime import date
from functools import cache
from pathlib import Path
from typing import Any

import yaml
from catalogue.removals import Removal, covers, declared, pattern_of, removals
from examples import TIMES

from progdoc.model.description.fields import every_place
from progdoc.rules.reading.catalogue import built_in_catalogue
from progdoc.rules.reading.predicate_words import PREDICATE_WORDS
from progdoc.rules.reading.predicates import PREDICATES

ROOT = Path(__file__).parents[2]
WALKED = {
    "sample": (ROOT / "sample_config" / "restoration_2026", date(2026, 11, 24)),
    "base": (ROOT / "tests" / "programs" / "base.yaml", date(2026, 6, 1)),
}
SMALL = ("crypt-with-airline", "fire-fighting", "varnishing", "half-masks-by-choice")
AGAIN = 32  # of the kinds that the base shows already, every so manieth is tried in a small program too
PROGRAMS = WALKED | {name: (ROOT / "tests" / "programs" / f"{name}.yaml", date(2026, 6, 1)) for name in SMALL}
REQUIREMENTS = {r.code: r for r in built_in_catalogue().requirements}


@cache
def walk(name: str) -> tuple[Removal, ...]:
    """Walk a program: at night all of it, on each change one fact of each kind.

    On each change fifteen fields of sixteen are left to the night. Of the rest the sample tries what is neither missed
    in the base nor listed, and a small program what the base does not have, with every thirty-second of what it has.
    """
    path, day = PROGRAMS[name]
    return tuple(removals(path, day, TIMES > 1, frozenset() if TIMES > 1 else shown_before(name)))


def shown_before(name: str) -> frozenset[str]:
    left_to_the_night = frozenset(every_place()) - set(sorted(every_place())[::16])
    if name == "base":
        return left_to_the_night
    if name == "sample":
        return left_to_the_night.union(noticed_in("base"), justified()[0])
    known = sorted({pattern_of(removal.path) for removal in walk("base")})
    return left_to_the_night | frozenset(known) - set(known[SMALL.index(name) :: AGAIN])


def noticed_in(name: str) -> set[str]:
    return {pattern_of(removal.path) for removal in walk(name) if removal.is_refused or removal.codes}


def justified() -> tuple[list[str], list[str]]:
    entries: list[dict[str, Any]] = yaml.safe_load(
        Path(__file__).with_name("unnoticed_facts.yaml").read_text(encoding="utf-8")
    )
    assert all(len(entry["because"]) > 20 for entry in entries)
    never = [fact for entry in entries for fact in entry.get("never", ())]
    return never, [fact for entry in entries for fact in entry.get("somewhere", ())]


def test_what_comes_up_says_that_it_reads_the_fact_and_the_rest_is_justified() -> None:
    """One test, since a walk is long and the programs' walks lean on one another."""
    strays = [
        (name, code, removal.path)
        for name in PROGRAMS
        for removal in walk(name)
        for code in removal.codes
        if not any(covers(path, pattern_of(removal.path)) for path in declared(REQUIREMENTS[code]))
    ]
    assert strays == []
    unnoticed: set[str] = set()
    noticed: set[str] = set()
    for removal in (*walk("sample"), *walk("base")):
        (noticed if removal.is_refused or removal.codes else unnoticed).add(pattern_of(removal.path))
    never, somewhere = justified()
    nobody_misses = unnoticed - noticed - set(somewhere)
    assert sorted(nobody_misses - set(never)) == []
    assert sorted(unnoticed & noticed - set(somewhere)) == []
    if TIMES > 1:  # what is on the list is tried in the sample at night
        assert sorted(never) == sorted(nobody_misses)
        assert sorted(somewhere) == sorted(unnoticed & noticed)
    removed = walk("sample" if TIMES > 1 else "base")
    assert len(removed) > (800 if TIMES > 1 else 15)
    assert sum(removal.is_refused or bool(removal.codes) for removal in removed) > len(removed) / 2


def test_every_fact_that_decides_has_words() -> None:
    assert set(PREDICATE_WORDS) == set(PREDICATES)
