"""The command `record`: show what an event changes and means, ask, and put the files in their places."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable, Sequence
from datetime import date

from progdoc.app.check import Checked, check
from progdoc.app.disk.description_files import check_path
from progdoc.app.disk.interrupted import settled
from progdoc.app.disk.recorded_description import evidence_at, form_at, put_back, table_at
from progdoc.app.file_faults import file_fault
from progdoc.app.form_records import record_forms
from progdoc.app.of_site import events_at
from progdoc.app.record import Recorded, record
from progdoc.app.record_events import Event
from progdoc.app.recorded_lines import recorded_lines
from progdoc.app.recorded_table import Row, events_of, rows_in, said_in_turn
from progdoc.cli.status import GAPS, OK, UNUSABLE
from progdoc.cli.terminal import laid_out, refused, report_on_screen, say, tell_interrupted
from progdoc.cli.window import width
from progdoc.core.diagnostics import Diagnostic, Location, Severity
from progdoc.core.report import severity_counts
from progdoc.core.report_summary import summary_line
from progdoc.model.load import Loaded
from progdoc.rules.in_force.states_of_work import enforcing_states
from progdoc.rules.reading.catalogue import catalogue_with

__all__ = ["run_record"]


def run_record(options: argparse.Namespace) -> int:
    """Enter what happened, once it was shown and agreed to; return the exit status."""
    left = settled(options.path if options.path.is_dir() else options.path.parent)
    if left:
        tell_interrupted(left.left_by, left.mended)
    checked = check_path(options.path, options.on, options.rules)
    if checked.judged is None:
        print(report_on_screen(checked.report), end="", file=sys.stderr)
        return UNUSABLE

    def judged_anew(loaded: Loaded) -> Checked:
        states = enforcing_states(loaded.program) if loaded.program else frozenset()
        return check(loaded, options.on, *catalogue_with(options.rules, states))

    done = (_events_done if options.kind else _forms_done)(options, checked, judged_anew)
    if not isinstance(done, Recorded):
        return refused(done)
    print(laid_out(recorded_lines(done, options.kind or ""), width()), end="")
    status = GAPS if severity_counts(done.checked.report)[Severity.REQUIRED] else OK
    if not done.after:
        say("Nothing was written: all of it stands there already.")
        return status
    if not _is_agreed(options):
        say("\nNothing was written. Add --yes to enter it.")
        return status
    placed = put_back(options.path, done.before, done.after)
    if isinstance(placed, list):
        return refused(placed)
    tell_interrupted(placed.left_by, placed.mended)
    say(f"\nEntered in {', '.join(map(str, placed.written))}.")
    say(summary_line(done.checked.report))
    return status


def _events_done(
    options: argparse.Namespace, checked: Checked, judge: Callable[[Loaded], Checked]
) -> Recorded | list[Diagnostic]:
    events = _events(options)
    if events and isinstance(events[0], Diagnostic):
        return [one for one in events if isinstance(one, Diagnostic)]
    told = [one for one in events if isinstance(one, Event)]
    if checked.judged is not None and "site" in options:
        meant = events_at(checked.judged, told, options.site)
        if isinstance(meant, Diagnostic):
            return [meant]
        told = meant
    return record(checked, told, min(options.on, options.today), judge, options.path.is_dir())


def _forms_done(
    options: argparse.Namespace, checked: Checked, judge: Callable[[Loaded], Checked]
) -> Recorded | list[Diagnostic]:
    """Return what comes of completed forms, of which each says itself what it is."""
    place = Location("what you typed", 0, 0)
    if not options.forms:
        what = "It is not said what happened."
        fix = "Name its kind, or completed forms after --from; `progdoc record PATH --help` lists the kinds."
        return [file_fault("RECORD-005", place, what, fix)]
    tables = [file.name for file in options.forms if file.suffix.lower() == ".csv"]
    if tables:
        what = f"{tables[0]} is a table of events, and does not say of which kind."
        return [file_fault("RECORD-005", place, what, f"progdoc record PATH KIND --from {tables[0]}")]
    read = {str(file): form_at(file) for file in options.forms}
    listed = evidence_at(options.path)
    faults = [one for one in (*read.values(), listed) if isinstance(one, Diagnostic)]
    if faults or isinstance(listed, Diagnostic):
        return faults
    forms = {name: data for name, data in read.items() if isinstance(data, bytes)}
    today = min(options.on, options.today)
    return record_forms(checked, forms, listed, today, judge, options.path.is_dir())


def _events(options: argparse.Namespace) -> Sequence[Event | Diagnostic]:
    told = {name[3:]: values for name, values in vars(options).items() if name.startswith("of_") and values is not None}
    day: date = options.day or options.on
    said = said_in_turn(told) if options.table is None else said_in_turn(told, 1)
    if isinstance(said, Diagnostic):
        return [said]
    if options.table is None:
        return [Event(options.kind, day, values) for values in said]
    data = table_at(options.table)
    if isinstance(data, Diagnostic):
        return [data]
    rows = rows_in(data, options.table.name, options.kind)
    faults = [one for one in rows if isinstance(one, Diagnostic)]
    told_rows = [one for one in rows if isinstance(one, Row)]
    events = faults or events_of(told_rows, options.table.name, options.kind, day, said[0])
    left_out = len(told_rows) - len(events) if events and isinstance(events[0], Event) else 0
    if left_out:
        say(f"Rows that tell no result, and are left out: {left_out} of {len(told_rows)}.\n")
    return events


def _is_agreed(options: argparse.Namespace) -> bool:
    """Whether the change is to be made: said on the command line, or to the question that a terminal is asked."""
    if options.yes:
        return True
    return _answer().strip().lower() in ("y", "yes")


def _answer() -> str:
    """Return what a terminal answers; nothing where there is none, or nobody says anything."""
    if not (sys.stdin and sys.stdin.isatty() and sys.stdout.isatty()):
        return ""
    try:
        return input("\nEnter it? yes or no: ")
    except EOFError:
        return ""
