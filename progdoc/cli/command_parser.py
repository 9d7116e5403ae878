"""What every command's arguments are made of: the parser, and what several of them take. Imports nothing heavy."""

from __future__ import annotations

import argparse
from collections.abc import Sequence

from progdoc.cli.status import UNUSABLE
from progdoc.cli.typed_values import typed_day, typed_file, typed_jobs
from progdoc.cli.window import width

TYPE_CHECKING = False  # without `typing`: it would take a quarter of the help's time
if TYPE_CHECKING:
    from typing import NoReturn

__all__ = [
    "TO_A_FILE",
    "CommandParser",
    "Commands",
    "add_into",
    "add_on",
    "add_path",
    "add_paths",
    "add_rules",
    "add_site",
    "command",
    "formatter",
]

Commands = argparse._SubParsersAction
TO_A_FILE = "write to a file instead of the terminal; with many descriptions a folder for a file of each"


_OF_NO_SITE = {  # why a command is of the whole firm, and what to type instead
    "issue": "A revision freezes the whole program, which is one for all sites: issue it without --site, and make the"
    " papers of a site by `progdoc build PATH -o FOLDER --site ID`; a site with a program of its own is described in a"
    " folder of its own",
    "desk": "It asks of all sites; its page of what falls due can be had for one",
}


class CommandParser(argparse.ArgumentParser):
    """Says what is wrong and what was probably meant, and nothing about usage strings."""

    typed: Sequence[str] = ()

    def error(self, message: str) -> NoReturn:
        hint = ""
        if "invalid choice" in message and self._subparsers:
            from difflib import get_close_matches

            choices = [word for group in self._subparsers._group_actions for word in group.choices or ()]
            words = [word for word in self.typed if not word.startswith("-")]
            word = next((word for word in words if f"invalid choice: {word!r}" in message), "")
            hint = "".join(f" Did you mean `{self.prog} {near}`?" for near in get_close_matches(word, choices, 1))
        if "unrecognized arguments" in message and "--site" in message:
            hint = f" {_OF_NO_SITE.get(self.typed[0], 'It is about no single site')}."
        called = self.prog
        if "unrecognized arguments" in message and self.typed[:1] == ["record"] and len(self.typed) > 2:
            called += f" record PATH {self.typed[2]}"  # each kind takes options of its own
        self.exit(UNUSABLE, f"{self.prog}: {message}.{hint}\nTry `{called} --help`.\n")


def formatter(prog: str) -> argparse.HelpFormatter:
    """Give argparse the width, else it imports a module of its own to find it: a quarter of the help's time."""
    return argparse.RawDescriptionHelpFormatter(prog, width=width())


def command(commands: Commands[CommandParser], name: str, does: str, example: str, more: str = "") -> CommandParser:
    lines = "\n".join(f"  {line}" for line in example.splitlines())
    return commands.add_parser(
        name,
        help=does,
        description=does[0].upper() + does[1:] + ".",
        epilog=f"example:\n{lines}{more}",
        formatter_class=formatter,
    )


def add_path(parser: CommandParser) -> None:
    parser.add_argument(
        "path", metavar="PATH", type=typed_file, help="the description: a YAML file or a folder of them"
    )


def add_paths(parser: CommandParser, count: str = "+") -> None:
    parser.add_argument(
        "paths", metavar="PATH", type=typed_file, nargs=count,
        help="the description: a YAML file or a folder of them; of many firms one each, worked on side by side",
    )  # fmt: skip
    parser.add_argument(
        "--jobs", metavar="N", type=typed_jobs, help="with many descriptions: how many at a time (default: one a core)"
    )


def add_rules(parser: CommandParser) -> None:
    parser.add_argument(
        "--rules", metavar="FOLDER", type=typed_file, action="append", default=[],
        help="a pack of local rules laid over the federal ones, for example of a state plan; may be given again",
    )  # fmt: skip


def add_on(parser: CommandParser) -> None:
    parser.add_argument(
        "--on", metavar="DATE", type=typed_day, help="the day to judge for, YYYY-MM-DD (default: today)"
    )


def add_site(parser: CommandParser, what: str = "what is done at one site only") -> None:
    parser.add_argument("--site", metavar="ID", help=what)


def add_into(
    parser: CommandParser, what: str = "FOLDER", text: str = "where the files go", required: bool = True
) -> None:
    parser.add_argument("-o", dest="out", metavar=what, type=typed_file, required=required, help=text)
