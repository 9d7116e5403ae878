"""A terminal that knows no more than ASCII shows a question mark for the rest, whichever command speaks to it."""

from __future__ import annotations

import ast
import io
import sys
from pathlib import Path

import pytest
from programs.patching import AS_OF, BASE, checked_by

import progdoc.cli
from progdoc.cli import arguments, commands, main, recording
from progdoc.rules.reading.catalogue import built_in_catalogue

CLI = Path(progdoc.cli.__file__).parent
# What each command is typed with to speak at length; nothing where all that it prints are counts and paths.
TYPED: dict[str, list[list[str]]] = {
    "start": [],
    "check": [["x.yaml"], ["x.yaml", "--all"]],
    "build": [],
    "select": [["x.yaml"], ["x.yaml", "--task", "µ"]],
    "due": [["x.yaml", "--within", "9000"]],
    "sheets": [],
    "unconfirmed": [["x.yaml"]],
    "compare": [],
    "issue": [],
    "renew": [],
    "record": [["x.yaml", "training", "--who", "all"]],
    "desk": [],
    "explain": [["IDL-001"], ["µ"]],
    "schema": [],
}


def _printed(arguments: list[str], encoding: str, patch: pytest.MonkeyPatch) -> bytes:
    """Return all that a command prints to a terminal of some character set."""
    out, faults = io.BytesIO(), io.BytesIO()
    patch.setattr(sys, "stdout", io.TextIOWrapper(out, encoding=encoding, write_through=True))
    patch.setattr(sys, "stderr", io.TextIOWrapper(faults, encoding=encoding, write_through=True))
    assert main(arguments) in (0, 1, 2), arguments
    found = out.getvalue() + faults.getvalue()
    sys.stdout.close()
    sys.stderr.close()
    return found


def test_every_command_shows_what_the_terminal_can(monkeypatch: pytest.MonkeyPatch) -> None:
    assert TYPED.keys() == commands.COMMANDS.keys()
    values = {**BASE, "tasks": [{**task, "name": f"{task['name']} µ"} for task in BASE["tasks"]]}
    values["people"] = [{**person, "name": f"{person['name']} é", "fit_tests": []} for person in BASE["people"]]
    checked = checked_by(built_in_catalogue(), values)
    monkeypatch.setattr(commands, "check_path", lambda *_asked: checked)
    monkeypatch.setattr(recording, "check_path", lambda *_asked: checked)
    monkeypatch.setattr(arguments, "_clock", lambda: AS_OF)
    on = ["--on", str(AS_OF)]
    are_marked: set[str] = set()
    for name, each in TYPED.items():
        for typed in each:
            poor, rich = (_printed([name, *typed, *on], encoding, monkeypatch) for encoding in ("ascii", "utf-8"))
            assert poor.isascii(), (name, typed)
            assert poor == rich.decode().encode("ascii", "replace"), (name, typed)
            are_marked.update({name} if poor != rich else ())
    assert are_marked == {"check", "select", "due", "unconfirmed", "record", "explain"}


def test_without_a_locale_no_word_ends_a_command(monkeypatch: pytest.MonkeyPatch) -> None:
    """Python then lets through what it could not read, and nothing else that ASCII lacks."""
    for errors in ("strict", "surrogateescape"):
        shown = io.BytesIO()
        stream = io.TextIOWrapper(shown, encoding="ascii", errors=errors, write_through=True)
        monkeypatch.setattr(sys, "stderr", stream)
        assert main(["explain", "µ"]) == 2, errors
        assert b"nothing is known under ???." in shown.getvalue(), errors


def test_words_reach_the_terminal_by_one_way() -> None:
    """Who writes bytes passes by the character set of the terminal: that is for what programs read."""
    passing_by = {
        f"{file.name}: {function.name}"
        for file in CLI.rglob("*.py")
        for function in ast.walk(ast.parse(file.read_text(encoding="utf-8")))
        if isinstance(function, ast.FunctionDef)
        for node in ast.walk(function)
        if isinstance(node, ast.Attribute) and node.attr == "buffer"
    }
    assert passing_by == {"terminal.py: show"}
