"""The command `renew`: opens the next revision, with a worksheet of what is asked again or with its answers."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence
from pathlib import Path

from progdoc.app.disk.issued_folder import issue_sheet
from progdoc.app.disk.renewal_folder import renew
from progdoc.app.renew import renewal_lines
from progdoc.cli.status import GAPS, OK, UNUSABLE
from progdoc.cli.terminal import laid_out, refused, say, tell_interrupted
from progdoc.cli.window import width

__all__ = ["run_renew"]


def run_renew(options: argparse.Namespace) -> int:
    """Open the next revision in a new folder, or say what a completed worksheet changes; return the exit status."""
    if options.out is None and options.answers is None:
        say("progdoc renew: name a new folder after -o, or a completed worksheet after --answers.", file=sys.stderr)
        return UNUSABLE
    done = renew(options.path, options.effective, options.out, options.on, options.since, options.answers, options.site)
    if isinstance(done, list):
        return refused(done)
    if done.placed is not None:
        tell_interrupted(done.placed.left_by, done.placed.mended)
    if options.answers is not None:
        print(laid_out(renewal_lines(done.done), width()), end="")
    if done.folder is None:
        say(f"Revision {done.revision}: nothing was written. Name a new folder after -o to write it.")
    else:
        say(f"Revision {done.revision} is opened in {done.folder}:")
    for file in done.written:
        say(f"  {file}")
    if done.folder is not None:
        say(f"\n{_after_renewal(options, done.written)}")
    return GAPS if options.answers is not None and (done.done.missing or done.done.by_hand) else OK


def _after_renewal(options: argparse.Namespace, written: Sequence[Path]) -> str:
    """Say what is done with the new folder: first the worksheet, as long as there is one, then the check."""
    sheet = next((file for file in written if file.name == "renewal-worksheet.docx"), None)
    if sheet is None:
        return f"Next: see what is missing, and issue it\n  progdoc check {options.out}"
    lines = [f"Next: fill in {sheet} (or the .html or .pdf beside it), then\n  progdoc renew {options.out}"]
    lines.append(f" --effective {options.effective} --answers COMPLETED -o FOLDER")
    if options.since is None and options.answers is None and issue_sheet(options.path) is None:
        lines.append("\nWith --since and the last issued revision the worksheet also tells who came and who left.")
    return "".join(lines)
