"""The command `sheets`: the people and their records as a workbook, or as CSV; filled, or to be filled in."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable

from progdoc.app.check import Checked
from progdoc.app.disk.table_folder import write_tables
from progdoc.app.sheets import sheets, tables
from progdoc.cli.status import OK, UNUSABLE
from progdoc.cli.terminal import refused, report_on_screen, say, tell_interrupted

__all__ = ["run_sheets"]


def run_sheets(options: argparse.Namespace, checked: Checked, give: Callable[[bytes], bool]) -> int:
    """Write what is asked for; return the exit status. `give` gives out a single file."""
    if checked.judged is None:
        print(report_on_screen(checked.report), end="", file=sys.stderr)
        return UNUSABLE
    if not options.csv:
        return OK if give(sheets(checked, options.blank, options.site, options.roster)) else UNUSABLE
    placed = write_tables(options.out, tables(checked, options.blank, options.site, options.roster))
    if isinstance(placed, list):
        return refused(placed)
    tell_interrupted(placed.left_by, placed.mended)
    for file in placed.written:
        say(f"wrote {file}")
    return OK
