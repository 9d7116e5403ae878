"""What bounds a danger, or shows that it is bounded, never goes unnoticed: field by field of the whole model."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator
from functools import cache
from typing import Any

from comparison.trial import program_of
from examples import TIMES
from programs.patching import PROGRAMS, checked_by, patched, read_as_text

from progdoc.app.compare import compare
from progdoc.comparison.bounds import bounds_loosened
from progdoc.comparison.changes import Change, Direction, Kind, Nature
from progdoc.comparison.description_changes import changed_descriptions
from progdoc.comparison.natures import with_law
from progdoc.model.description.base import Described
from progdoc.model.description.fields import every_place, field_at
from progdoc.model.description.program import Program
from progdoc.rules.reading.catalogue import built_in_catalogue

_IS_WORDS = re.compile(  # what a thing is called, and what the document says of itself
    r".*\.(name|title|description)|program\..*"
)
_TOLD_OTHERWISE = re.compile(  # as things that came and went, or on the pages that name workers
    r"(tasks|hazards|masks|filters|people|policies|accepted|renewal)\[\]|(people|renewal)\[\]\..*|tasks\[\]\.people"
)
_PROGRAMS = (
    "everything-said",
    "crypt-with-airline",
    "fire-fighting",
    "varnishing",
    "washington-shop",
    "campus-with-groups",
    "base",
)
_BOUNDS = (
    "filters[].most", "filters[].most_for[]", "tasks[].escape_masks", "tasks[].turn", "tasks[].way_out",
    "tasks[].never_same_day", "tasks[].oxygen.lowest", "masks[].service_time", "masks[].low_air_alarm",
    "masks[].units[].inspections[]", "masks[].units[].inspections[].pressure", "masks[].units[].cylinder.requalify_by",
    "procedures.air_supply.hose_most", "procedures.emergencies.idlh.standby", "procedures.emergencies.idlh.inside",
    "procedures.emergencies.foreseeable[].going_in", "hazards[].exposure.index", "hazards[].exposure.date",
)  # fmt: skip

Put = Callable[[Any], Any]


def _without_one(thing: Any, put: Put) -> Iterator[Program]:
    """Yield the whole again and again, each time without one field, or one entry of a list, that may be left out."""
    for name, field in type(thing).model_fields.items():
        value = getattr(thing, name)

        def inner(new: Any, name: str = name) -> Any:
            return put(thing.model_copy(update={name: new}))

        if not field.is_required() and value != field.get_default(call_default_factory=True):
            left_out = thing.model_copy(update={name: field.get_default(call_default_factory=True)})
            left_out.model_fields_set.discard(name)
            yield put(left_out)
        if isinstance(value, Described):
            yield from _without_one(value, inner)
        for number, entry in enumerate(value if isinstance(value, tuple) else ()):
            rest = value[:number], value[number + 1 :]
            if rest[0] or rest[1]:
                yield inner((*rest[0], *rest[1]))
            if isinstance(entry, Described):
                yield from _without_one(entry, lambda new, rest=rest, inner=inner: inner((*rest[0], new, *rest[1])))


@cache
def _taken_out() -> tuple[tuple[Change, ...], ...]:
    """Return the edits of each of these, as they are ranked where no paragraph asks for any of it: the least they are.

    On each change of the program that says most; at night of all.
    """
    names = _PROGRAMS if TIMES > 1 else _PROGRAMS[:1]
    wholes = [program_of(read_as_text((PROGRAMS / f"{name}.yaml").read_text(encoding="utf-8"))) for name in names]
    pairs = ((old, new) for old in wholes for new in _without_one(old, lambda whole: whole))
    return tuple(tuple(with_law(changed_descriptions(old, new), ())) for old, new in pairs)


def _quiet(edits: Iterable[Change]) -> set[str]:
    """Return the places of the edits that are told neither as facts nor as texts to be read, and should be."""
    return {
        edit.field
        for edit in edits
        if edit.kind is not Kind.ADDED
        and edit.nature not in (Nature.LOST, Nature.TEXT)
        and not _IS_WORDS.fullmatch(edit.field)
        and not _TOLD_OTHERWISE.fullmatch(edit.field)
    }


def test_nothing_that_is_taken_out_is_told_as_mere_words_or_mere_fact() -> None:
    assert len(_taken_out()) > 300
    is_told = (any(edit.nature in (Nature.LOST, Nature.TEXT) for edit in edits) for edits in _taken_out())
    alone = (edits for edits, is_one in zip(_taken_out(), is_told, strict=True) if not is_one)
    assert _quiet(edit for edits in alone for edit in edits) == set()


def test_no_field_of_the_model_is_told_so() -> None:
    """Of every field, whether or not a program of the suite says it, and whatever the walk takes it for."""
    places = [place for place in every_place() if "." in place]
    assert len(places) > 500
    for nature in (Nature.FACT, Nature.TEXT):
        edits = (
            Change(Kind.REWORDED, place, place.rpartition(".")[2].strip("[]"), "said", field=place, nature=nature)
            for place in places
        )
        assert _quiet(with_law(edits, ())) == set(), nature


def test_a_bound_that_is_dropped_is_less_protection() -> None:
    for field in _BOUNDS:
        assert field_at(field) is not None, field
        edit = Change(Kind.REWORDED, field, field.rpartition(".")[2].strip("[]"), "said", field=field)
        less = list(bounds_loosened(with_law([edit], ())))
        assert [change.direction for change in less] == [Direction.LESS], field


def test_a_bound_that_is_loosened_is_less_protection_and_one_that_is_tightened_is_none() -> None:
    for field, strict, loose in (
        ("filters[].most", "977 ppm", "1000 ppm"),
        ("filters[].most_for[].most", "671 ppm", "680 ppm"),
        ("tasks[].turn", "41 min", "0.75 h"),
        ("masks[].service_time", "30 min", "1 h"),
        ("procedures.air_supply.hose_most", "300 ft", "100 m"),
        ("procedures.emergencies.idlh.inside", "2", "10"),
        ("procedures.emergencies.idlh.standby", "2", "1"),
        ("procedures.air_supply.compressor.dew_point_below_ambient", "10 F", "5 F"),
        ("tasks[].steps[].over", "300 ppm", "450 ppm"),
        ("calendar[].every", "6 months", "2 years"),
        ("masks[].units[].end_of_life", "1 July 2026", "1 July 2036"),
        ("masks[].units[].cylinder.end_of_life", "30 June 2026", "1 July 2026"),
        ("cylinders[].end_of_life", "1 December 2026", "1 January 2027"),
        ("filters[].stock[].use_by", "1 July 2026", "1 July 2027"),
        ("posts[].cleaned_between", "yes", "no"),
    ):
        for old, new, is_less in ((strict, loose, True), (loose, strict, False)):
            edit = Change(Kind.FIGURE_CHANGED, field, field.rpartition(".")[2], old, new, field=field)
            assert bool(list(bounds_loosened([edit]))) is is_less, (field, old, new)


def test_what_the_firm_forbade_or_took_for_granted_is_less_once_it_is_gone_or_allowed() -> None:
    """All rules of a campus taken out, and all turned into permissions; what was allowed before is no loss."""
    campus = patched({"program": "campus-with-groups"})
    rules = campus["house_rules"]
    bound = {f"house_rules.{rule['id']}" for rule in rules if rule["rule"] != "permitted"}
    before = checked_by(built_in_catalogue(), campus)
    for kept in ([], [rule | {"rule": "permitted"} for rule in rules]):
        after = checked_by(built_in_catalogue(), campus | {"house_rules": kept})
        changes = compare(before, after).comparison.meaning
        assert {one.place for one in changes if one.what == "house rule" and one.direction is Direction.LESS} == bound
