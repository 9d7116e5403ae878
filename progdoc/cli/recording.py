"""The command `record`: show what an event changes and means, ask, and put the files in their places."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence
from datetime import date

from progdoc.app.check import Checked, check
from progdoc.app.disk.description_files import check_path
from progdoc.app.disk.recorded_description import put_back, table_at
from progdoc.app.record import Recorded, record, recorded_lines
from progdoc.app.record_events import Event
from progdoc.app.recorded_table import Row, events_of, rows_in, said_in_turn
from progdoc.cli.status import GAPS, OK, UNUSABLE
from progdoc.cli.terminal import laid_out, refused, report_on_screen, say
from progdoc.cli.window import width
from progdoc.core.diagnostics import Diagnostic, Severity
from progdoc.core.report import severity_counts, summary_line
from progdoc.model.load import Loaded
from progdoc.rules.in_force.states_of_work import enforcing_states
from progdoc.rules.reading.catalogue import catalogue_with

__all__ = ["run_record"]


def run_record(options: argparse.Namespace) -> int:
    """Enter what happened, once it was shown and agreed to; return the exit status."""
    checked = check_path(options.path, options.on, options.rules)
    if checked.judged is None:
        print(report_on_screen(checked.report), end="", file=sys.stderr)
        return UNUSABLE
    events = _events(options)
    if events and isinstance(events[0], Diagnostic):
        return refused([one for one in events if isinstance(one, Diagnostic)])

    def judged_anew(loaded: Loaded) -> Checked:
        states = enforcing_states(loaded.program) if loaded.program else frozenset()
        return check(loaded, options.on, *catalogue_with(options.rules, states))

    told = [one for one in events if isinstance(one, Event)]
    done = record(checked, told, min(options.on, options.today), judged_anew, options.path.is_dir())
    if not isinstance(done, Recorded):
        return refused(done)
    print(laid_out(recorded_lines(done, options.kind), width()), end="")
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
    if placed.left_by:
        ended = "completed" if placed.mended else "cleared away"
        say(f"A run was interrupted here ({placed.left_by}); what it had begun was {ended}.", file=sys.stderr)
    say(f"\nEntered in {', '.join(map(str, placed.written))}.")
    say(summary_line(done.checked.report))
    return status


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
