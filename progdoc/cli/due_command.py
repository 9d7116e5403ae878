"""The command `due`: the list of what falls due, a plan of days, or letters to send by hand."""

from __future__ import annotations

import argparse
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from progdoc.app.due import due_blocks, due_in_a_line, due_report, plan_blocks, plan_of, plan_report
from progdoc.cli.status import OK, UNUSABLE
from progdoc.cli.terminal import laid_out, refused, say, tell_interrupted
from progdoc.cli.window import width

if TYPE_CHECKING:
    from progdoc.rules.judged.plan_results import DayPlan
    from progdoc.rules.judged.result import Judged

__all__ = ["run_due"]


def run_due(
    options: argparse.Namespace, judged: Judged, give: Callable[[str | bytes], bool], tell: Callable[[str], None]
) -> int:
    """Give out what is asked for; return the exit status.

    Parameters
    ----------
    give, tell
        What gives out a text or a report for programs, and a line about it.
    """
    tell(due_in_a_line(judged, options.within, options.site))
    if options.letters:
        return _letters(options.out, plan_of(judged, options.within, options.together, options.site))
    if options.plan:
        plan = plan_of(judged, options.within, options.together, options.site)
        data = plan_report(plan) if options.format == "json" else laid_out(plan_blocks(plan), width())
    elif options.format == "text":
        data = laid_out(due_blocks(judged, options.within, options.site), width())
    else:
        data = due_report(judged, options.within, options.format, options.site, options.alarm)
    return OK if give(data) else UNUSABLE


def _letters(folder: Path, plan: DayPlan) -> int:
    from progdoc.app.disk.letter_folder import write_letters

    placed = write_letters(folder, plan)
    if isinstance(placed, list):
        return refused(placed)
    tell_interrupted(placed.left_by, placed.mended)
    for file in placed.written:
        say(f"wrote {file}")
    say("Nothing was sent. They name workers: hand each to whom it is for.")
    return OK
