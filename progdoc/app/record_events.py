"""What happened, as it was told, and what it changes in the description: the entries it makes, and where they stand.

Nothing is judged here but whether it can have happened at all; what it means for people and work the rules say.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import field, replace
from datetime import date
from enum import StrEnum
from typing import Any

from progdoc.app.event_kinds import ALL
from progdoc.app.record_refusals import (
    Refused,
    chosen,
    day_of,
    new_person,
    newest_medical,
    people_of,
    places_of_cylinders,
    places_of_units,
    refusals_of,
    units_of,
)
from progdoc.core.late_dataclass import dataclass
from progdoc.core.numbers import long_date
from progdoc.core.paper_language import marked
from progdoc.core.said import said, said_join, same
from progdoc.document.papers.renewal_questions import spelt_id
from progdoc.model.description.breathing_air import AirSupply
from progdoc.model.description.devices import Unit
from progdoc.model.description.entries import Shape, fields_of, says_already, shape_of
from progdoc.model.description.index import Index
from progdoc.model.description.oversight import Evaluation, Finding
from progdoc.model.description.people import MedicalEntry, Person, Topic
from progdoc.model.description.program import Program
from progdoc.model.description.upkeep import Cleaning, FilterChanges
from progdoc.model.description.words import label_of
from progdoc.model.yaml.yaml_splice import Bare, EntryValue

__all__ = ["Event", "Put", "Way", "by_ids", "is_there", "notes_on", "people_to_archive", "puts_of"]


class Way(StrEnum):
    """How an entry comes in."""

    ADD = "add"  # as one more of a list
    SET = "set"  # as the value that stands there, or its parts
    WHOLE = "whole"  # in the place of whatever stands there
    TAKE = "take"  # away from its list
    CUT = "cut"  # away from its place: an entry of a list, or without a place in one the value itself


@dataclass(frozen=True, slots=True)
class Event:
    """One event as it was told: its kind, its day, and each value as typed, by the name of its option."""

    kind: str
    day: date
    values: Mapping[str, str] = field(default_factory=dict)
    told_in: str = ""  # "line 3 of fit-day.csv"; "" for the command line


@dataclass(frozen=True, slots=True)
class Put:
    """One change of the description: at which part, under which name, what, and what it is called."""

    owner: tuple[str | int, ...]  # ("people", 3)
    name: str  # "training"
    entry: Mapping[str, EntryValue] | EntryValue
    way: Way
    told: str
    place: int = -1  # of the entry that is taken away, in its list; -1: it is not there any more

    @property
    def group(self) -> Mapping[str, EntryValue]:
        """Return the entry as the group of values that it is."""
        assert isinstance(self.entry, Mapping)
        return self.entry

    @property
    def path(self) -> str:
        """Return the dotted path of the part it belongs to."""
        return "".join(f"[{step}]" if isinstance(step, int) else f".{step}" for step in self.owner)[1:]


_OF_PEOPLE = {
    "training": marked("training"),
    "fit-test": "fit_tests",
    "medical": "medical",
    "examination": "surveillance",
    "face-change": "changes",
    "information": "appendix_d",
    "reading": "has_read",
    "issue": "masks",
}
_DAYS = {
    "request": ("requested", marked("asked for a mask")),
    "consent": ("consented", marked("consent form signed")),
    "hair-rule": ("hair_rule_accepted", marked("rule on facial hair accepted")),
    "leaving": ("left", marked("left")),
}  # of which the day is all
_KEYS = {
    "about": "consults",
    "factor": "fit_factor",
    "what": "kind",
    "called-for": "because",
}  # where an option is not called as its field
_OF_UNITS = {"inspection": ("inspections", marked("inspection")), "flow-test": ("flow_tests", marked("flow test"))}
_CALLED = {
    "training": marked("training"),
    "fit-test": marked("fit test"),
    "medical": marked("medical recommendation"),
    "examination": marked("examination"),
    "face-change": marked("change of the face"),
    "information": marked("Appendix D information"),
    "reading": marked("revision read and signed"),
    "issue": marked("mask handed out"),
}


def by_ids(index: Index, event: Event) -> Event:
    """Return an event in which a mask or filter that was called by its name, as its label does, is called by its id."""
    called: dict[str, str] = {}
    for option, things in (("mask", index.masks), ("filter", index.filters)):
        typed = " ".join(event.values.get(option, "").split()).casefold()
        meant = [id_ for id_, (_, thing) in things.items() if typed and typed == label_of(thing).casefold()]
        if len(meant) == 1 and typed not in things:
            called[option] = meant[0]
    return replace(event, values={**event.values, **called}) if called else event


def puts_of(index: Index, event: Event) -> tuple[list[Put], list[Refused]]:
    """Return what an event changes in a description, and why it can't have happened."""
    values = {name: " ".join(typed.split()) for name, typed in event.values.items()}
    event = replace(event, values={name: typed for name, typed in values.items() if typed})
    refused = list(refusals_of(index, event.kind, event.day, event.values))
    if refused:
        return [], refused
    if event.kind in _OF_UNITS or "unit" in event.values:
        return [_of_unit(index, event, unit) for unit in units_of(index, event.values["unit"], event.kind)], []
    if event.kind == "joining":
        return list(_joined(index, event)), []
    of_each = {
        "reevaluation": _called_again,
        "return": _returned,
        "transfer": _transferred,
        **dict.fromkeys(_OF_PEOPLE, _of_person),
        **dict.fromkeys(_DAYS, _day_of),
    }
    if event.kind not in of_each:
        return list(_of_program(index, event)), []
    people, _ = people_of(index, event.values["who"])
    return [put for person in people for put in of_each[event.kind](index, event, person)], []


def _told_of(name: str, told: str) -> str:
    return said_join([name, told], ": ")


# ---- of people ----------------------------------------------------------------------------------------


def _of_person(index: Index, event: Event, person: Person) -> Iterator[Put]:
    name = _OF_PEOPLE[event.kind]
    owner = ("people", _number(index.people[person.id][0]))
    shape = shape_of(Person, name)
    day = "since" if event.kind == "issue" else "date"
    entry = {**_entry(shape, event), day: event.day.isoformat()}
    ordered = {key: entry[key] for key in fields_of(shape) if key in entry}
    way = Way.SET if name == "appendix_d" else Way.ADD
    told = said(_CALLED[event.kind])
    if name == "fit_tests":
        told = said("fit test in %(mask)s", mask=label_of(index.masks[event.values["mask"]][1]))
    yield Put(owner, name, ordered, way, _told_of(label_of(person), told))


def _joined(index: Index, event: Event) -> Iterator[Put]:
    """Yield somebody new, and the tasks that name them."""
    person = new_person(event.values)
    entry = {"id": person, **_entry(shape_of(Program, "people"), event)}
    yield Put((), "people", entry, Way.ADD, _told_of(event.values["name"], said("joined as `%(id)s`", id=same(person))))
    for task_id in chosen(event.values.get("to", "")):
        path, task = index.tasks[task_id]
        told = _told_of(event.values["name"], said("named for “%(task)s”", task=label_of(task)))
        yield Put(("tasks", _number(path)), "people", person, Way.ADD, told)


def _called_again(index: Index, event: Event, person: Person) -> Iterator[Put]:
    """Yield that the newest recommendation does not hold any more until there is another one."""
    owner = ("people", _number(index.people[person.id][0]), "medical", newest_medical(person))
    entry = {"date": event.day.isoformat(), **_entry(shape_of(MedicalEntry, "reevaluate"), event)}
    yield Put(owner, "reevaluate", entry, Way.ADD, _told_of(label_of(person), said("another evaluation called for")))


def _returned(index: Index, event: Event, person: Person) -> Iterator[Put]:
    owner = ("people", _number(index.people[person.id][0]))
    mask = event.values["mask"]
    worn = next((number for number, one in enumerate(person.masks) if one.mask == mask), None)
    size = person.masks[worn].size if worn is not None else None
    if worn is None:  # recorded before
        size = next(one.size for one in person.returned if (one.mask, one.date) == (mask, event.day))
    entry: dict[str, EntryValue] = {"date": event.day.isoformat(), "mask": mask}
    entry |= {"size": size} if size else {}
    told = _told_of(label_of(person), said("%(mask)s given back", mask=label_of(index.masks[mask][1])))
    yield Put(owner, "returned", entry, Way.ADD, told)
    if worn is not None:
        yield Put(owner, "masks", {"mask": mask}, Way.TAKE, told, worn)


def _day_of(index: Index, event: Event, person: Person) -> Iterator[Put]:
    owner = ("people", _number(index.people[person.id][0]))
    name, told = _DAYS[event.kind]
    yield Put(owner, name, event.day.isoformat(), Way.SET, _told_of(label_of(person), said(told)))


def _number(path: str) -> int:
    return int(path.partition("[")[2].rstrip("]"))


def _transferred(index: Index, event: Event, person: Person) -> Iterator[Put]:
    """Yield that tasks name somebody, or do so no more."""
    for task_id in chosen(event.values.get("to", "")):
        path, task = index.tasks[task_id]
        told = _told_of(label_of(person), said("named for “%(task)s”", task=label_of(task)))
        yield Put(("tasks", _number(path)), "people", person.id, Way.ADD, told)
    for task_id in chosen(event.values.get("off", "")):
        path, task = index.tasks[task_id]
        place = task.people.index(person.id) if person.id in task.people else -1
        told = _told_of(label_of(person), said("named for “%(task)s” no more", task=label_of(task)))
        yield Put(("tasks", _number(path)), "people", person.id, Way.TAKE, told, place)


# ---- of masks and of the program ----------------------------------------------------------------------


def _of_unit(index: Index, event: Event, unit: str) -> Put:
    """Return what an event enters of one single mask, or of a cylinder in reserve."""
    owner: tuple[str | int, ...] = places_of_units(index.description)[unit]
    if event.kind == "withdrawal":
        taken = {"since": event.day.isoformat(), "because": event.values["because"]}
        return Put(owner, "withdrawn", taken, Way.SET, _told_of(unit, said("withdrawn")))
    name, told = _OF_UNITS[event.kind]
    entry = {"date": event.day.isoformat(), **_entry(shape_of(Unit, name), event)}
    pressure = entry.get("pressure")
    if isinstance(pressure, str) and any(letter.isalpha() for letter in pressure):  # in a unit: as the gauge shows it
        entry = {"gauge" if key == "pressure" else key: value for key, value in entry.items()}
    return Put(owner, name, entry, Way.ADD, _told_of(unit, said(told)))


def _of_program(index: Index, event: Event) -> Iterator[Put]:
    day = event.day.isoformat()
    procedures, kind = index.description.procedures, event.kind
    if kind == "withdrawal":
        mask = event.values["mask"]
        taken = {"since": day, "because": event.values["because"]}
        told = _told_of(label_of(index.masks[mask][1]), said("withdrawn"))
        yield Put(("masks", list(index.masks).index(mask)), "withdrawn", taken, Way.SET, told)
    elif kind == "requalification":
        places = places_of_cylinders(index.description)
        for cylinder in chosen(event.values["cylinder"]):
            told = _told_of(cylinder, said("tested again"))
            yield Put(places[cylinder], "requalified", day, Way.SET, told)
            yield Put(places[cylinder], "requalify_by", event.values["next"], Way.SET, told)
    elif kind == "routine":
        entries = {entry.id: i for i, entry in enumerate(index.description.calendar)}
        for name in chosen(event.values["entry"]):
            yield Put(("calendar", entries[name]), "last_done", day, Way.SET, _told_of(name, said("done")))
    elif kind == "correction":
        finding = event.values["finding"]
        number = [one.id for one in procedures.evaluation.findings].index(finding)
        yield Put(
            ("procedures", "evaluation", "findings", number), "done", day, Way.SET, _told_of(finding, said("corrected"))
        )
    elif kind == "cleaning":
        entry = {"date": day, **_entry(shape_of(Cleaning, "done"), event)}
        yield Put(("procedures", "cleaning"), "done", entry, Way.ADD, said("cleaning"))
    elif kind == "filter-change":
        entry = {"date": day, **_entry(shape_of(FilterChanges, "done"), event)}
        yield Put(("procedures", "filter_changes"), "done", entry, Way.ADD, said("change of filters"))
    elif kind == "consultation":
        entry = {"date": day, **_entry(shape_of(Evaluation, "consultations"), event)}
        if "who" in event.values:
            entry["who"] = [person.id for person in people_of(index, event.values["who"])[0]]
        yield Put(("procedures", "evaluation"), "consultations", entry, Way.ADD, said("consultation of wearers"))
    elif kind == "air-test":
        owner = ("procedures", "air_supply")
        if procedures.air_supply.tested is None or procedures.air_supply.tested <= event.day:
            yield Put(owner, "tested", day, Way.SET, "breathing air analysed")
            for key, value in _entry(AirSupply, event).items():
                if isinstance(value, str):
                    yield Put(owner, key, value, Way.SET, "breathing air analysed")
    elif kind == "evaluation":
        owner = ("procedures", "evaluation")
        if procedures.evaluation.last is None or procedures.evaluation.last <= event.day:
            yield Put(owner, "last", day, Way.SET, "evaluation of the program")
        if what := event.values.get("finding"):
            entry = {"date": day, "what": what, **_entry(shape_of(Evaluation, "findings"), event)}
            known = [finding.id for finding in procedures.evaluation.findings if _is_same(finding, what, event.day)]
            identity = known[0] if known else _new_id(what, (one.id for one in procedures.evaluation.findings))
            yield Put(owner, "findings", {"id": identity, **entry}, Way.ADD, f"finding “{what}”")


def _is_same(finding: Finding, what: str, day: date) -> bool:
    return (finding.what, finding.date) == (what, day)


def _new_id(words: str, taken: Iterable[str]) -> str:
    base, used = spelt_id(" ".join(words.split()[:5]))[:50].rstrip("-") or "finding", set(taken)
    return next(name for n in range(1, len(used) + 2) if (name := base if n == 1 else f"{base}-{n}") not in used)


# ---- typed words to entries ---------------------------------------------------------------------------


def _entry(shape: Shape, event: Event) -> dict[str, EntryValue]:
    """Return the values told of an event that are fields of an entry, written as a hand would write them."""
    fields = fields_of(shape)
    found: dict[str, EntryValue] = {}
    for option, typed in event.values.items():
        key = _KEYS.get(option, option.replace("-", "_"))
        if key not in fields or not typed.strip():
            continue
        if fields[key]:
            found[key] = _listed(key, typed)
        else:
            text = " ".join(typed.split())
            is_number = key == "fit_factor" and text.replace(".", "", 1).isdigit()
            found[key] = Bare(text) if is_number else day_of(text) or text
    return {key: found[key] for key in fields if key in found}


def _listed(key: str, typed: str) -> Sequence[str]:
    if key == "topics" and typed.strip().lower() == ALL:
        return [topic.value for topic in Topic]
    if key == "readings":
        return typed.replace(",", " ").replace(";", " ").split()
    return [" ".join(part.split()) for part in typed.replace(";", ",").split(",") if part.strip()]


def notes_on(index: Index, event: Event) -> Iterator[str]:
    """Yield what is still to be done where an entry of the same event tells less, and where somebody leaves."""
    if event.kind in _OF_PEOPLE and event.kind != "issue":
        yield from _told_less(index, event)
    if event.kind != "leaving":
        return
    for person in people_of(index, event.values["who"])[0]:
        for one in person.masks:
            mask = label_of(index.masks[one.mask][1])
            yield f"{label_of(person)} still has {mask}: record its return when it is given back."
        for _, task in index.tasks_by_person.get(person.id, ()):
            yield f"{label_of(person)} is still named for “{label_of(task)}”: see who does it now."


def _told_less(index: Index, event: Event) -> Iterator[str]:
    """Yield that an entry of the same day, which contradicts nothing, lacks what is told now: both would count."""
    for person in people_of(index, event.values["who"])[0]:
        for put in _of_person(index, event, person):
            stated = getattr(person, put.name)
            for one in stated if isinstance(stated, tuple) else ():
                told = {key: value for key, value in put.group.items() if getattr(one, key) not in (None, (), "")}
                is_less = one.date == event.day and told.keys() < put.group.keys()
                if is_less and says_already(person, put.name, told, is_one_more=True):
                    lacks = ", ".join(f"`{key}`" for key in put.group if key not in told)
                    stands = f"{put.told}: an entry of {long_date(event.day)} stands there without {lacks}"
                    yield f"{stands}, and still counts; if it is of the same event, take it out by hand."


def people_to_archive(index: Index, events: Iterable[Event]) -> frozenset[str]:
    """Return the ids of those who left and whose records are to move out of the daily files."""
    asked = (event.values["who"] for event in events if event.values.get("archive", "").strip().lower() in ("yes", "y"))
    return frozenset(person.id for who in asked for person in people_of(index, who)[0])


# ---- what is there already ----------------------------------------------------------------------------


def is_there(index: Index, put: Put) -> bool:
    """Whether a description says already what an event would enter."""
    owner: Any = index.description
    for step in put.owner:
        owner = owner[step] if isinstance(step, int) else getattr(owner, step)
    if put.way is Way.TAKE:
        return put.place < 0
    if not put.owner:  # somebody new, of whom much may have been entered since
        return put.group["id"] in index.people
    return says_already(owner, put.name, _of_event(put), put.way is Way.ADD)


def _of_event(put: Put) -> Mapping[str, EntryValue] | str:
    """Return the entry of an event: one value, or a group of them."""
    return put.entry if isinstance(put.entry, str) else put.group
