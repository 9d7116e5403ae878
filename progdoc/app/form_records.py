"""Enters what completed forms say into a description, and keeps the forms as evidence: the use case `record --from`.

The forms are kept under `restricted/`, listed with their checksum and with what was entered from each. What was once
entered from a form is not entered again, however often it is read in.
"""

from __future__ import annotations

import csv
import hashlib
import io
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import replace
from datetime import date

from progdoc.app.check import Checked
from progdoc.app.event_kinds import KINDS
from progdoc.app.file_faults import file_fault
from progdoc.app.filled_fields import kind_of_file
from progdoc.app.form_reading import FilledForm, form_in
from progdoc.app.manifest import RESTRICTED, sha256
from progdoc.app.record import Recorded, entered, record
from progdoc.app.record_events import Event
from progdoc.app.record_meaning import meaning_of
from progdoc.core.diagnostics import Diagnostic, Location
from progdoc.core.late_dataclass import dataclass
from progdoc.core.numbers import long_date
from progdoc.model.load import Loaded

__all__ = ["EVIDENCE", "EVIDENCE_LIST", "record_forms"]

EVIDENCE = f"{RESTRICTED}evidence/"
EVIDENCE_LIST = f"{EVIDENCE}read-in.csv"
_HEAD = ("file", "sha256", "form", "revision", "read in", "happened", "entered as", "entry")
_ONCE = ("issue", "return")  # of which no trace may be left where they stood: what was handed out is given back
_LETTERS = 8


@dataclass(frozen=True, slots=True)
class _Read:
    """A form that was read, under the name by which it is kept."""

    form: FilledForm
    data: bytes

    @property
    def kept_as(self) -> str:
        return f"{EVIDENCE}{self.form.name}-{sha256(self.data)[:_LETTERS]}.{kind_of_file(self.data)}"


def record_forms(
    checked: Checked,
    files: Mapping[str, bytes],
    listed: bytes,
    today: date,
    judge: Callable[[Loaded], Checked],
    may_begin_file: bool = True,
) -> Recorded | list[Diagnostic]:
    """Return what becomes of a description when completed forms are read in; or why they are not.

    Parameters
    ----------
    files
        The forms by the names that findings call them.
    listed
        The list of what was read in before, b"" where there is none.
    today, judge, may_begin_file
        As for `record`.
    """
    if checked.judged is None:
        raise ValueError("into a description with faults of form nothing can be entered")
    rows = _rows_of(listed)
    if rows is None:
        what = f"The list of the forms that were read in, {EVIDENCE_LIST}, is not as it was written."
        return [file_fault("RECORD-007", Location(EVIDENCE_LIST, 0, 0), what, "Put it back from a copy.")]
    read, faults = [], []
    for name, data in files.items():
        found = form_in(data, name, checked.judged)
        if isinstance(found, list):
            faults += found
        elif found.is_empty:
            faults.append(file_fault("RECORD-012", Location(name, 0, 0), "Nothing is filled in.", "Fill it in first."))
        else:
            read.append(_Read(found, data))
    if not faults and not any(one.form.events or one.form.is_kept_only for one in read):
        faults = list(_only_half(read, files))
    if faults:
        return faults
    before = {row["entry"]: row for row in rows}
    events = [event for one in read for event in one.form.events]
    fresh = [event for event in events if not (event.kind in _ONCE and _mark(event) in before)]
    done = _in_turn(checked, fresh, today, judge, may_begin_file)
    if not isinstance(done, Recorded):
        return done
    once = tuple(_known(event, before[_mark(event)]) for event in events if event not in fresh)
    missing = tuple(f"{one.form.title}: {lack}" for one in read for lack in one.form.missing)
    only = tuple(f"{one.form.title}: nothing of it goes into the description." for one in read if one.form.is_kept_only)
    done = replace(done, known=(*done.known, *once), missing=missing, notes=(*done.notes, *only))
    sums = {row["sha256"] for row in rows}
    return _with_evidence(done, [one for one in _each_once(read) if sha256(one.data) not in sums], listed, rows, today)


def _in_turn(
    checked: Checked, events: list[Event], today: date, judge: Callable[[Loaded], Checked], may_begin_file: bool
) -> Recorded | list[Diagnostic]:
    """Return what becomes of a description when events are entered, one after the other where one undoes another."""
    done = entered(checked, (), judge)
    for turn in _turns(events):
        if not isinstance(done, Recorded):
            return done
        last, done = done, record(done.checked, turn, today, judge, may_begin_file)
        if isinstance(done, Recorded):
            done = replace(
                done,
                before={**done.before, **last.before},
                after={**last.after, **done.after},
                entered=(*last.entered, *done.entered),
                known=(*last.known, *done.known),
                notes=(*last.notes, *done.notes),
            )
    if isinstance(done, Recorded) and checked.judged is not None and done.checked.judged is not None:
        return replace(done, meaning=meaning_of(checked.judged, done.checked.judged))
    return done


def _turns(events: Iterable[Event]) -> list[list[Event]]:
    """Return events in the order of their days, a turn for as many as touch no mask of one person twice."""
    turns: list[list[Event]] = []
    touched: set[tuple[str, str]] = set()
    for event in sorted(events, key=lambda event: (event.day, event.kind == "issue")):  # an exchange gives back first
        mask = (event.values.get("who", "").lower(), event.values.get("mask", "")) if event.kind in _ONCE else ("", "")
        if not turns or (any(mask) and mask in touched):
            turns.append([])
            touched = set()
        turns[-1].append(event)
        touched.add(mask)
    return turns


def _each_once(read: Iterable[_Read]) -> Iterable[_Read]:
    return {sha256(one.data): one for one in read}.values()


def _only_half(read: Iterable[_Read], names: Iterable[str]) -> Iterator[Diagnostic]:
    for one, name in zip(read, names, strict=True):
        for lack in one.form.missing:
            what = f"Not filled in: {lack}."
            yield file_fault("RECORD-012", Location(name, 0, 0), what, "Fill it in, and try again.")


def _mark(event: Event) -> str:
    """Return letters by which an event is known again, whichever form tells it."""
    values = (f"{name}={text}" for name, text in sorted(event.values.items()))
    told = "\n".join((event.kind, event.day.isoformat(), *values))
    return hashlib.sha256(told.encode()).hexdigest()[:16]


def _known(event: Event, row: Mapping[str, str]) -> str:
    before = f"entered from {row['file']} on {row['read in']}"
    return f"{event.told_in}: {KINDS[event.kind][0]}, {long_date(event.day)}; {before}"


# ---- what is kept --------------------------------------------------------------------------------------


def _rows_of(listed: bytes) -> list[dict[str, str]] | None:
    """Return the lines of the list; None where it is not one of ours."""
    if not listed:
        return []
    try:
        head, *rows = csv.reader(io.StringIO(listed.decode("utf-8"), newline=""), strict=True)
    except (UnicodeDecodeError, ValueError, csv.Error):
        return None
    if tuple(head) != _HEAD or any(len(row) != len(_HEAD) for row in rows):
        return None
    return [dict(zip(_HEAD, row, strict=True)) for row in rows]


def _with_evidence(
    done: Recorded, new: list[_Read], listed: bytes, rows: list[dict[str, str]], today: date
) -> Recorded:
    """Return what is to be written with the forms themselves and the list of them."""
    if not new:
        return done
    text = io.StringIO(newline="")
    out = csv.writer(text, lineterminator="\n")
    out.writerow(_HEAD)
    out.writerows([row[name] for name in _HEAD] for row in rows)
    for one in new:
        name = one.kept_as.removeprefix(EVIDENCE)
        told = (name, sha256(one.data), one.form.name, one.form.mark.revision, today.isoformat())
        for event in one.form.events:
            out.writerow((*told, event.day.isoformat(), event.kind, _mark(event)))
        if not one.form.events:
            out.writerow((*told, "", "", ""))
    kept = {one.kept_as: one.data for one in new}
    before = {**done.before, EVIDENCE_LIST: listed} if listed else done.before
    after = {**done.after, **kept, EVIDENCE_LIST: text.getvalue().encode()}
    return replace(done, before=before, after=after, kept=tuple(kept))
