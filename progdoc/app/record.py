"""Enters what happened into a description, and says what it means: the use case behind `record`.

Bytes and events in, bytes and words out. What the files say afterwards is read back before it is handed out, and is
what they said before with the entries added: whatever else would be changed by it keeps all from being written.
"""

from __future__ import annotations

import copy
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import date
from functools import partial
from typing import Any

from progdoc.app.archived_people import with_archived
from progdoc.app.check import Checked, check
from progdoc.app.file_faults import file_fault
from progdoc.app.issue import description_files
from progdoc.app.record_events import Event, Put, Way, by_ids, is_there, notes_on, people_to_archive, puts_of
from progdoc.app.record_meaning import Meaning, meaning_of
from progdoc.app.recorded_files import with_puts
from progdoc.core.diagnostics import Diagnostic, Location, Severity
from progdoc.core.late_dataclass import dataclass
from progdoc.core.numbers import long_date
from progdoc.core.said import said
from progdoc.model.description.entries import program_of
from progdoc.model.description.index import Index
from progdoc.model.description.program import Program
from progdoc.model.load import Loaded, load
from progdoc.model.people_table.people_tables import kept_by_hand
from progdoc.model.people_table.record_rows import KeptByHandError

__all__ = ["Recorded", "entered", "record"]

_AS_TYPED = "what you typed"


@dataclass(frozen=True, slots=True)
class Recorded:
    """The files that change, before and after, what was entered and what stood there already, and what it means."""

    before: dict[str, bytes]
    after: dict[str, bytes]
    entered: tuple[str, ...]
    known: tuple[str, ...]
    notes: tuple[str, ...]  # what is still to be done beside it
    meaning: Meaning
    checked: Checked  # the description as it is then
    missing: tuple[str, ...] = ()  # what half-filled forms lack
    kept: tuple[str, ...] = ()  # the files that are kept as evidence, and change nothing


def record(
    checked: Checked,
    events: Sequence[Event],
    today: date | None = None,
    judge: Callable[[Loaded], Checked] | None = None,
    may_begin_file: bool = True,
) -> Recorded | list[Diagnostic]:
    """Return what becomes of a description when events are entered; or why they can't be.

    Parameters
    ----------
    checked
        The description, understood and judged.
    events
        What happened, in any order.
    today
        No day of an event may be later; the day that was judged for, where none is given.
    judge
        Judges the new description by the same rules and on the same day; `check` does, where none is given.
    may_begin_file
        Whether the description is a folder, in which a file may be begun for those who left.
    """
    if checked.judged is None:
        raise ValueError("into a description with faults of form nothing can be entered")
    on = checked.judged.as_of
    judge = judge or partial(check, on=on)
    index = Index(_program(checked.loaded))
    events = [by_ids(index, event) for event in events]
    puts, faults = _found(index, events, today or on)
    if faults:
        return faults
    fresh = [put for put in dict.fromkeys(map(_Hashed, puts)) if not is_there(index, put.put)]
    known = tuple(dict.fromkeys(put.told for put in puts if is_there(index, put)))
    archived = people_to_archive(index, events)
    done = entered(checked, [one.put for one in fresh], judge, archived, may_begin_file)
    if not isinstance(done, Recorded):
        return done
    return replace(done, known=known, notes=tuple(dict.fromkeys(n for event in events for n in notes_on(index, event))))


def entered(
    checked: Checked,
    new: Sequence[Put],
    judge: Callable[[Loaded], Checked],
    archived: frozenset[str] = frozenset(),
    may_begin_file: bool = False,
    beside: Mapping[str, bytes] | None = None,
) -> Recorded | list[Diagnostic]:
    """Return what becomes of a description when entries are put into it, and some people archived; or why not.

    `beside` are new files that the entries name.
    """
    if checked.judged is None:
        raise ValueError("into a description with faults of form nothing can be entered")
    files = description_files(checked.loaded)
    table = kept_by_hand(checked.loaded.description)
    if table and archived:
        return [_kept_by_hand(table)]
    try:
        after = {**with_puts(files, checked.loaded, new), **(beside or {})}
    except KeptByHandError as error:
        return [file_fault("RECORD-008", Location(error.file, 0, 0), error.what, error.fix)]
    except KeyError as error:
        return [_not_spliced(checked, error.args[0])]
    loaded = load(after, checked.loaded.description.name)
    if loaded.program is None:
        return _of_what_was_typed(loaded)
    if not _says_the_same(checked.loaded, loaded.program, new):
        return [_not_spliced(checked, said("more would change than the entries"))]
    if archived:
        try:
            after = with_archived(after, loaded, archived, may_begin_file)
        except KeyError as error:
            return [_not_spliced(checked, error.args[0])]
        loaded = load(after, checked.loaded.description.name)
        if loaded.program is None or not _says_the_same(checked.loaded, loaded.program, new):
            return [_not_spliced(checked, said("more would change than the entries"))]
    changed = [name for name in after if files.get(name) != after[name]]
    seen = judge(loaded) if changed else checked
    if seen.judged is None:
        return list(seen.report.findings)
    return Recorded(
        before={name: files[name] for name in changed if name in files},
        after={name: after[name] for name in changed},
        entered=tuple(dict.fromkeys(put.told for put in new)),
        known=(),
        notes=(),
        meaning=meaning_of(checked.judged, seen.judged),
        checked=seen,
    )


class _Hashed:
    """A put that is told from another by what it says: one event told twice is one entry."""

    __slots__ = ("mark", "put")

    def __init__(self, put: Put) -> None:
        self.put = put
        self.mark = repr((put.owner, put.name, put.entry, put.way))

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Hashed) and self.mark == other.mark

    def __hash__(self) -> int:
        return hash(self.mark)


def _program(loaded: Loaded) -> Program:
    if loaded.program is None:
        raise ValueError("a description with faults of form")
    return loaded.program


def _found(index: Index, events: Iterable[Event], today: date) -> tuple[list[Put], list[Diagnostic]]:
    puts: list[Put] = []
    faults: list[Diagnostic] = []
    for event in events:
        place = Location(event.told_in or _AS_TYPED, 0, 0)
        if event.day > today:
            what = said("%(day)s is still to come; what is recorded has happened.", day=long_date(event.day))
            faults.append(file_fault("RECORD-002", place, what, said("Name the day on which it happened.")))
        own, refused = puts_of(index, event)
        puts += own
        faults += [file_fault(one.code, place, one.what, one.fix) for one in refused]
    if not faults and not puts:
        what = said("Nobody is meant: the description lists no people who have not left.")
        faults.append(file_fault("RECORD-001", Location(_AS_TYPED, 0, 0), what, said("Add them under `people` first.")))
    return puts, list(dict.fromkeys(faults))


# ---- read back ----------------------------------------------------------------------------------------


def _of_what_was_typed(loaded: Loaded) -> list[Diagnostic]:
    """Return why the new entries can't be read, in the words that a description is told in."""
    faults = [fault for fault in loaded.diagnostics if fault.severity is Severity.INVALID]
    return [replace(fault, location=Location(_AS_TYPED, 0, 0, fault.location.path)) for fault in faults]


def _says_the_same(old: Loaded, new: Program, puts: Iterable[Put]) -> bool:
    """Whether the new description is the old one with the entries in it, and nothing else."""
    wanted: Any = copy.deepcopy(dict(old.description.values))
    for put in puts:
        owner = wanted
        for step in put.owner:
            if not isinstance(step, int) and owner.get(step) is None:
                owner[step] = {}
            owner = owner[step]
        if put.way is Way.CUT:
            if put.place < 0:
                owner.pop(put.name, None)
            else:
                owner[put.name] = [one for number, one in enumerate(owner[put.name]) if number != put.place]
        elif put.way is Way.TAKE:
            gone = put.entry if isinstance(put.entry, str) else put.group["mask"]
            ids = ((one["mask"] if isinstance(one, dict) else one, one) for one in owner[put.name])
            owner[put.name] = [one for name, one in ids if name != gone]
        elif put.way is Way.ADD:
            entry = put.entry if isinstance(put.entry, str) else dict(put.group)
            owner[put.name] = [*(owner.get(put.name) or ()), entry]
        elif isinstance(put.entry, str) or put.way is Way.WHOLE:
            owner[put.name] = put.entry
        else:
            owner[put.name] = {**(owner.get(put.name) or {}), **put.group}
    expected = program_of(wanted)
    return expected is not None and _without_order(expected) == _without_order(new)


def _without_order(program: Program) -> Program:
    """Return a description with the records of people sorted: in a table, rows decide which comes first."""
    people = [
        person.model_copy(
            update={
                name: tuple(sorted(value, key=repr))
                for name in type(person).model_fields
                if isinstance(value := getattr(person, name), tuple)
            }
        )
        for person in program.people
    ]
    return program.model_copy(update={"people": tuple(sorted(people, key=lambda person: person.id))})


def _kept_by_hand(table: str) -> Diagnostic:
    what = said("Out of a workbook, of several tables, or of one with headings of its own only their owner takes rows.")
    fix = said("Leave out `--archive`, and take the rows out there once their records need not be kept any more.")
    return file_fault("RECORD-008", Location(table, 0, 0), what, fix)


def _not_spliced(checked: Checked, why: str) -> Diagnostic:
    place = Location(checked.loaded.description.name, 0, 0)
    what = said("The entry can't be put at its place without touching something else (%(why)s).", why=why)
    return file_fault(
        "RECORD-004", place, what, said("Write the list it belongs to on lines of its own, and try again.")
    )
