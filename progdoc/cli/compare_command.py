"""The command `compare`: what changed, as lines for the terminal or as files."""

from __future__ import annotations

import argparse
from collections.abc import Callable

from progdoc.app.compare import compare, compare_at, compared_files, meaning_of, names_of, summary_lines
from progdoc.app.disk.compared_paths import versions_at
from progdoc.app.disk.output_folder import write_complete
from progdoc.cli.status import CHANGED, OK, UNUSABLE
from progdoc.cli.terminal import laid_out, refused, say, tell_interrupted
from progdoc.cli.window import width
from progdoc.core.diagnostics import worst_first
from progdoc.core.numbers import counted

__all__ = ["run_compare"]


def run_compare(options: argparse.Namespace, is_no_site: Callable[..., bool]) -> int:
    """Say what changed, and write it into a folder where one is named; return the exit status.

    `is_no_site` tells of a site that neither side has.
    """
    sides = versions_at(options.old, options.new, options.on, options.rules)
    if isinstance(sides, list):
        return refused(sides)
    if is_no_site(options, *(side.judged for side in sides)):
        return UNUSABLE
    if options.out is None and options.site is None:  # what is only told needs no documents, which take longest
        meant = meaning_of(*sides)
        say(laid_out(summary_lines(meant, names_of(*sides)), width()))
        return OK if meant.is_empty else CHANGED
    done = compare(*sides) if options.site is None else compare_at(*sides, options.site)
    told = [laid_out(summary_lines(done.comparison, done.names), width())]
    if options.out is not None:
        # Written first: who reads only the first lines closes the pipe.
        result = write_complete(options.out, compared_files(done, options.author).items(), options.replace)
        if isinstance(result, list):
            return refused(worst_first(result))
        tell_interrupted(result.left_by, result.mended)
        written = counted(len(result.written), "file")
        told.append(f"{written} written, {len(result.unchanged)} unchanged, in {options.out}")
    say("\n".join(told))
    return OK if done.comparison.is_empty else CHANGED
