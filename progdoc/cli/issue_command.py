"""The command `issue`: issues a revision, or proves one that was issued."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable, Sequence

from progdoc.cli.status import GAPS, OK, UNUSABLE
from progdoc.cli.terminal import laid_out, refused, say, tell_interrupted
from progdoc.cli.window import width
from progdoc.core.diagnostics import Diagnostic, Severity
from progdoc.core.lines import Line
from progdoc.core.report_summary import summary_line

__all__ = ["run_issue"]


def run_issue(options: argparse.Namespace, tell: Callable[[str], None]) -> int:
    """Issue a revision, or prove one that was; return the exit status.

    `tell` is given a line about it.
    """
    if options.verify is not None and options.sign_with is None:
        return _verify(options)
    if (
        options.verify
        or options.path is None
        or options.into is None
        or options.sha256
        or options.again
        or options.signed_by
    ):
        say("progdoc issue: write PATH and --into FOLDER, or --verify FOLDER.", file=sys.stderr)
        return UNUSABLE
    from progdoc.app.disk.issued_folder import issue

    done = issue(options.path, options.into, options.on, options.rules, options.sign_with)
    if isinstance(done, list):
        refused(done)
        say("Nothing was issued.", file=sys.stderr)
        return _status_of(done)
    placed = done.placed
    if placed.told:
        refused(placed.told)
    tell_interrupted(placed.left_by)
    say(f"Revision {done.revision} {'is issued' if placed.is_new else 'was issued before, unchanged'}: {done.folder}")
    say(f"Write this down elsewhere, it proves the folder: {placed.manifest_sha256}")
    if done.signed_by:
        say(f"Signed with the key {done.signed_by}.")
    told = summary_line(done.report)
    tell(told)
    say(told)
    say(
        f"\nNext: print {done.folder / 'program.docx'}, write the digest above, or its first 16 digits,\n"
        "beside the signatures, and sign it."
    )
    return OK


def _verify(options: argparse.Namespace) -> int:
    from progdoc.app.disk.verified_chain import verify_all
    from progdoc.app.disk.verified_revision import Proof, verify

    asked = (options.verify, options.sha256 or "", options.again, options.signed_by)
    proof = verify_all(*asked) or verify(*asked)
    if proof.faults:
        refused(proof.faults)
        return _status_of(proof.faults)
    if isinstance(proof, Proof):
        say(f"{options.verify}: nothing was found altered.\nDigest: {proof.manifest_sha256}")
    else:
        told = [Line(line, "  - ", "    ") for line in proof.revisions]
        say(f"{options.verify}: {len(told)} revision{'s' * (len(told) > 1)}, nothing was found altered.")
        print(laid_out([told], width()), end="")
    for heading, sentences in (("Proved", proof.proved), ("Not checked", proof.not_checked)):
        if sentences:
            lines = [Line(sentence, "  - ", "    ") for sentence in sentences]
            say(f"{heading}:\n{laid_out([lines], width()).rstrip()}")
    return OK


def _status_of(faults: Sequence[Diagnostic]) -> int:
    return GAPS if all(fault.severity is Severity.REQUIRED for fault in faults) else UNUSABLE
