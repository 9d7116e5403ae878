"""The command `desk`: begin the description if it is new, open the browser, and serve until Ctrl-C."""

from __future__ import annotations

import argparse
import sys
from datetime import date

from progdoc.app.disk.starting_folder import start
from progdoc.cli.status import OK, UNUSABLE
from progdoc.cli.terminal import refused, say

__all__ = ["run_desk"]


def run_desk(options: argparse.Namespace) -> int:
    """Serve the desk of a description; return the exit status."""
    from progdoc.desk.serving import network_address, serve
    from progdoc.desk.session import Sitting

    path = options.path
    if not path.exists() or (path.is_dir() and not any(path.iterdir())):
        begun = start(path)
        if isinstance(begun, list):
            return refused(begun)
        say(f"Begun: {path}")

    is_shared = options.share is not None
    ends = "Ctrl-C ends it." if is_shared else "Closing the browser ends it, and so does Ctrl-C."

    def opened(address: str) -> None:
        say(f"The desk is open, for this machine alone. Once only:\n  {address}\n{ends}")
        sys.stdout.flush()
        if not options.no_browser:
            import webbrowser

            webbrowser.open(address)

    def shared(address: str, code: str) -> None:
        say(f"For a phone in the same network, readable to others in it: {address}\nCode for one phone: {code}")
        sys.stdout.flush()

    into = options.into or path.with_name(f"{path.stem}-issued")
    try:
        share = "" if not is_shared else options.share or network_address()
        serve(Sitting(path, date.today, into, options.rules), options.port, opened, options.rest, share, shared)
    except OSError as error:
        others = "" if not is_shared else ", or this machine's own address after --share"
        what = f"port {options.port or 'of any number'}{' or the shared address' if others else ''}"
        say(
            f"progdoc desk: {what} can't be had ({error.strerror}). Name another after --port{others}.",
            file=sys.stderr,
        )
        return UNUSABLE
    return OK
