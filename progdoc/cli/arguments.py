"""What may be typed, and what `--help` says of it. Imports nothing heavy: the help has to be quick."""

from __future__ import annotations

import argparse
from collections.abc import Sequence

from progdoc.cli.status import UNUSABLE
from progdoc.cli.window import width
from progdoc.core.judged_days import FIRST_DAY, LAST_DAY, can_be_judged_for

TYPE_CHECKING = False  # without `typing`: it would take a quarter of the help's time
if TYPE_CHECKING:
    from datetime import date
    from pathlib import Path
    from typing import NoReturn

__all__ = ["parsed"]

_CHECK_FORMATS = ("text", "json", "sarif", "junit", "html", "md")
_BUILD_FORMATS = ("md", "html", "docx", "pdf")
_DUE_FORMATS = ("text", "json", "csv", "ics")
_TO_A_FILE = "write to a file instead of the terminal; with many descriptions a folder for a file of each"


class _Parser(argparse.ArgumentParser):
    """Says what is wrong and what was probably meant, and nothing about usage strings."""

    typed: Sequence[str] = ()

    def error(self, message: str) -> NoReturn:
        hint = ""
        if "invalid choice" in message and self._subparsers:
            from difflib import get_close_matches

            choices = [word for group in self._subparsers._group_actions for word in group.choices or ()]
            word = next((word for word in self.typed if not word.startswith("-")), "")
            hint = "".join(f" Did you mean `{self.prog} {near}`?" for near in get_close_matches(word, choices, 1))
        self.exit(UNUSABLE, f"{self.prog}: {message}.{hint}\nTry `{self.prog} --help`.\n")


def _formatter(prog: str) -> argparse.HelpFormatter:
    """Give argparse the width, else it imports a module of its own to find it: a quarter of the help's time."""
    return argparse.RawDescriptionHelpFormatter(prog, width=width())


def parsed(arguments: Sequence[str]) -> argparse.Namespace | None:
    """Return what was typed; None where the version or the help was asked for and has been printed."""
    parser = _parser()
    parser.typed = arguments
    options = parser.parse_args(arguments)
    if options.version:
        from progdoc.core.version import __version__

        print(f"progdoc {__version__}")
        return None
    if options.command is None:
        parser.print_help()
        return None
    if "paths" in options:
        options.path = options.paths[0] if options.paths else None
    if "on" in options:
        options.on = options.on or _clock()
    for name in ("on", "effective"):
        if name in options and not can_be_judged_for(getattr(options, name)):
            parser.error(
                f"{getattr(options, name).isoformat()} can't be judged for: the rules are those of {FIRST_DAY} and"
                f" later, up to {LAST_DAY}; name another day after --{name}{', or mend the clock' * (name == 'on')}"
            )
    return options


def _clock() -> date:
    from datetime import date

    return date.today()


def _parser() -> _Parser:
    parser = _Parser(
        prog="progdoc",
        description="Writes a respiratory protection program from a description, and says what is missing.",
        formatter_class=_formatter,
        epilog="Begin with `progdoc start FOLDER`. Each command has its own --help with a worked example.",
    )
    parser.add_argument("--version", action="store_true", help="print the version and leave")
    commands = parser.add_subparsers(metavar="COMMAND", dest="command", parser_class=_Parser)
    for add in (_start, _check, _build, _select, _due, _unconfirmed, _compare, _issue, _renew, _explain, _schema):
        add(commands)
    return parser


_Commands = argparse._SubParsersAction


def _command(commands: _Commands[_Parser], name: str, does: str, example: str, more: str = "") -> _Parser:
    lines = "\n".join(f"  {line}" for line in example.splitlines())
    return commands.add_parser(
        name,
        help=does,
        description=does[0].upper() + does[1:] + ".",
        epilog=f"example:\n{lines}{more}",
        formatter_class=_formatter,
    )


def _path(parser: _Parser) -> None:
    parser.add_argument("path", metavar="PATH", type=_file, help="the description: a YAML file or a folder of them")


def _paths(parser: _Parser, count: str = "+") -> None:
    parser.add_argument(
        "paths", metavar="PATH", type=_file, nargs=count,
        help="the description: a YAML file or a folder of them; of many firms one each, worked on side by side",
    )  # fmt: skip
    parser.add_argument(
        "--jobs", metavar="N", type=_jobs, help="with many descriptions: how many at a time (default: one a core)"
    )


def _rules(parser: _Parser) -> None:
    parser.add_argument(
        "--rules", metavar="FOLDER", type=_file, action="append", default=[],
        help="a pack of local rules laid over the federal ones, for example of a state plan; may be given again",
    )  # fmt: skip


def _on(parser: _Parser) -> None:
    parser.add_argument("--on", metavar="DATE", type=_day, help="the day to judge for, YYYY-MM-DD (default: today)")


def _site(parser: _Parser) -> None:
    parser.add_argument("--site", metavar="ID", help="what is done at one site only")


def _into(parser: _Parser, what: str = "FOLDER", text: str = "where the files go", required: bool = True) -> None:
    parser.add_argument("-o", dest="out", metavar=what, type=_file, required=required, help=text)


def _start(commands: _Commands[_Parser]) -> None:
    parser = _command(commands, "start", "write a commented starting description", "progdoc start my_program")
    parser.add_argument("folder", metavar="FOLDER", type=_file, help="a new or empty folder")


def _check(commands: _Commands[_Parser]) -> None:
    parser = _command(
        commands, "check", "judge a description and ask what is missing, what matters most first",
        "progdoc check my_program --on 2026-11-24\nprogdoc check my_program --all\n"
        "progdoc check my_program --format sarif -o gaps.sarif",
    )  # fmt: skip
    _paths(parser)
    _rules(parser)
    _on(parser)
    parser.add_argument(
        "--format", choices=_CHECK_FORMATS, default="text", help="text, or a file format (default: text)"
    )
    _site(parser)
    parser.add_argument("--all", action="store_true", help="as text, list every finding, not the next questions")
    _into(parser, "FILE", _TO_A_FILE, required=False)
    parser.add_argument("--replace", action="store_true", help="write over a file that is no report for programs")
    parser.add_argument(
        "--names", action="store_true", help="in a file format, name the people too (keep such a file locked away)"
    )


def _build(commands: _Commands[_Parser]) -> None:
    parser = _command(
        commands, "build", "write the program, the gap report and the papers that go with them",
        "progdoc build my_program -o out --on 2026-11-24\nprogdoc build my_program -o out --only docx --final",
    )  # fmt: skip
    _paths(parser)
    _rules(parser)
    _on(parser)
    _into(parser, text="where the documents go; with many descriptions a folder for each below it")
    parser.add_argument(
        "--only", metavar="LIST", type=_formats, default=_BUILD_FORMATS, help="md,html,docx,pdf (default: all)"
    )
    parser.add_argument(
        "--look", metavar="FOLDER", type=_file, help="the look of your documents, in place of the description's own"
    )
    parser.add_argument("--final", action="store_true", help="refuse to build while something required is missing")
    parser.add_argument("--replace", action="store_true", help="overwrite documents that were edited by hand")


def _select(commands: _Commands[_Parser]) -> None:
    parser = _command(
        commands, "select", "say task by task which mask protects, which does not, and why",
        "progdoc select my_program --on 2026-11-24\nprogdoc select my_program --task scrape-sashes --format json",
    )  # fmt: skip
    _path(parser)
    _rules(parser)
    _on(parser)
    parser.add_argument("--task", metavar="ID", help="one task only")
    _site(parser)
    parser.add_argument("--format", choices=("text", "json"), default="text", help="text or json (default: text)")


def _due(commands: _Commands[_Parser]) -> None:
    parser = _command(
        commands, "due", "list what is overdue, what falls due soon, and what comes next",
        "progdoc due my_program --on 2026-11-24 --within 30\nprogdoc due my_program --format ics -o due.ics",
    )  # fmt: skip
    _paths(parser)
    _rules(parser)
    _on(parser)
    parser.add_argument("--within", metavar="DAYS", type=_days, default=60, help="how far to look ahead (default: 60)")
    _site(parser)
    parser.add_argument("--format", choices=_DUE_FORMATS, default="text", help="text or a file format (default: text)")
    _into(parser, "FILE", _TO_A_FILE, required=False)
    parser.add_argument("--replace", action="store_true", help="write over a file that is no report for programs")


def _unconfirmed(commands: _Commands[_Parser]) -> None:
    parser = _command(
        commands, "unconfirmed", "list the figures in use that are not law, for a hygienist to confirm",
        "progdoc unconfirmed my_program --on 2026-11-24 --format csv -o to_confirm.csv",
    )  # fmt: skip
    _path(parser)
    _rules(parser)
    _on(parser)
    parser.add_argument("--format", choices=("text", "csv"), default="text", help="text or csv (default: text)")
    _into(parser, "FILE", "write to a file instead of the terminal", required=False)
    parser.add_argument("--replace", action="store_true", help="write over a file that is no report for programs")


def _compare(commands: _Commands[_Parser]) -> None:
    parser = _command(
        commands, "compare", "say what changed between two programs, and what it means",
        "progdoc compare last_year this_year --on 2026-11-24\nprogdoc compare issued/revision-2025.1 mine -o changes",
    )  # fmt: skip
    parser.add_argument("old", metavar="OLD", type=_file, help="a description, or a revision that was issued")
    parser.add_argument("new", metavar="NEW", type=_file, help="a description, or a revision that was issued")
    _rules(parser)
    _on(parser)
    _into(parser, text="write the comparison, the redline and a summary into a folder", required=False)
    parser.add_argument("--author", metavar="NAME", default="progdoc", help="whose changes the tracked changes are")
    parser.add_argument("--replace", action="store_true", help="overwrite files that were edited by hand")


def _issue(commands: _Commands[_Parser]) -> None:
    parser = _command(
        commands, "issue", "freeze a numbered revision, or prove that nothing was altered since",
        "progdoc issue my_program --into issued --on 2026-11-24\nprogdoc issue --verify issued/revision-2026.1"
        " --again",
        "\n\nwhat is proved:\n"
        "  --verify alone finds what was altered by somebody who did not rewrite the manifests too;\n"
        "  a revision issued later and kept beside it finds that as well: it holds the digest of this one;\n"
        "  --sha256 finds whatever was rewritten, if the digest was kept where the forger could not get at it;\n"
        "  --signed-by finds the same, unless the forger has the key that signed it;\n"
        "  --again finds pages that do not follow from the frozen description, not a description that was forged.\n",
    )  # fmt: skip
    _paths(parser, "*")
    _rules(parser)
    _on(parser)
    parser.add_argument("--into", metavar="FOLDER", type=_file, help="where issued revisions are kept")
    parser.add_argument(
        "--verify", metavar="FOLDER", type=_file, help="the issued revision, or a folder of them, to prove"
    )
    parser.add_argument(
        "--sign-with", metavar="KEY", type=_file,
        help="sign it with an Ed25519 private key as `ssh-keygen` makes them; the key is read and not kept",
    )  # fmt: skip
    parser.add_argument(
        "--signed-by", metavar="KEYS", type=_file,
        help="with --verify: the file of the public keys that may have signed it",
    )  # fmt: skip
    parser.add_argument(
        "--sha256", metavar="HEX", type=_digest,
        help="with --verify: the digest that was written down at issue; it finds whatever was rewritten since",
    )  # fmt: skip
    parser.add_argument(
        "--again", action="store_true",
        help="with --verify: make every file anew from the description that is frozen with it, and compare the bytes",
    )  # fmt: skip


def _renew(commands: _Commands[_Parser]) -> None:
    parser = _command(
        commands, "renew", "open the next revision, with a worksheet of what to look at again",
        "progdoc renew my_program --effective 2027-01-11 -o next_year --on 2026-11-24\n"
        "progdoc renew my_program --effective 2027-01-11 --answers renewal-worksheet.docx -o next_year_filled",
    )  # fmt: skip
    _path(parser)
    _on(parser)
    parser.add_argument(
        "--effective", metavar="DATE", type=_day, required=True, help="from when the new revision applies"
    )
    _into(parser, text="a new or empty folder for the new description", required=False)
    parser.add_argument(
        "--answers", metavar="FILE", type=_file,
        help="a completed worksheet, Word or kept by the browser, to be entered; without -o shows what it would change",
    )  # fmt: skip
    parser.add_argument("--since", metavar="FOLDER", type=_file, help="the last issued revision, to tell what changed")


def _explain(commands: _Commands[_Parser]) -> None:
    parser = _command(
        commands, "explain", "say what a code or a paragraph asks, and what satisfies it",
        'progdoc explain FIT-002\nprogdoc explain "(f)(2)"\nprogdoc explain --all -o rules',
    )  # fmt: skip
    parser.add_argument(
        "what", metavar="CODE_OR_PARAGRAPH", nargs="?", help='"FIT-002", "(f)(2)", "Appendix B-2", "1926.62(d)"'
    )
    parser.add_argument("--all", action="store_true", help="write all of it as pages for the browser into -o FOLDER")
    _into(parser, text="where the pages go", required=False)
    parser.add_argument("--replace", action="store_true", help="overwrite pages that were edited by hand")
    _rules(parser)
    _on(parser)


def _schema(commands: _Commands[_Parser]) -> None:
    _command(commands, "schema", "print the JSON Schema of the description, for editors", "progdoc schema")


def _file(text: str) -> Path:
    from pathlib import Path

    if not text:
        raise argparse.ArgumentTypeError("the name is empty")
    return Path(text)


def _day(text: str) -> date:
    from datetime import date

    try:
        if len(text) != 10:
            raise ValueError(text)
        return date.fromisoformat(text)
    except ValueError:
        raise argparse.ArgumentTypeError(f"“{text}” is not a day; write it as 2026-11-24") from None


def _digest(text: str) -> str:
    digest = text.strip().lower()
    if len(digest) != 64 or not set(digest) <= set("0123456789abcdef"):
        raise argparse.ArgumentTypeError(f"“{text}” is no SHA-256; write the 64 digits that `progdoc issue` printed")
    return digest


def _days(text: str) -> int:
    if not (text.isascii() and text.isdigit() and len(text) <= 5):
        raise argparse.ArgumentTypeError(f"“{text}” is no number of days; write for example 30")
    return int(text)


def _jobs(text: str) -> int:
    if not (text.isascii() and text.isdigit() and 0 < int(text) <= 1000):
        raise argparse.ArgumentTypeError(f"“{text}” is no number of jobs; write for example 4")
    return int(text)


def _formats(text: str) -> tuple[str, ...]:
    wanted = tuple(part.strip() for part in text.split(",") if part.strip())
    unknown = [part for part in wanted if part not in _BUILD_FORMATS]
    if unknown or not wanted:
        raise argparse.ArgumentTypeError(
            f"“{text}”: write one or more of {', '.join(_BUILD_FORMATS)}, joined by commas"
        )
    return wanted
