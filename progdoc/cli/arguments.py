"""What may be typed, and what `--help` says of it. Imports nothing heavy: the help has to be quick."""

from __future__ import annotations

import argparse
from collections.abc import Sequence

from progdoc.cli.status import UNUSABLE
from progdoc.cli.typed_values import typed_day as _day
from progdoc.cli.typed_values import typed_days as _days
from progdoc.cli.typed_values import typed_digest as _digest
from progdoc.cli.typed_values import typed_file as _file
from progdoc.cli.typed_values import typed_jobs as _jobs
from progdoc.cli.window import width
from progdoc.core.judged_days import FIRST_DAY, LAST_DAY, can_be_judged_for

TYPE_CHECKING = False  # without `typing`: it would take a quarter of the help's time
if TYPE_CHECKING:
    from datetime import date
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
            words = [word for word in self.typed if not word.startswith("-")]
            word = next((word for word in words if f"invalid choice: {word!r}" in message), "")
            hint = "".join(f" Did you mean `{self.prog} {near}`?" for near in get_close_matches(word, choices, 1))
        called = self.prog
        if "unrecognized arguments" in message and self.typed[:1] == ["record"] and len(self.typed) > 2:
            called += f" record PATH {self.typed[2]}"  # each kind takes options of its own
        self.exit(UNUSABLE, f"{self.prog}: {message}.{hint}\nTry `{called} --help`.\n")


def _formatter(prog: str) -> argparse.HelpFormatter:
    """Give argparse the width, else it imports a module of its own to find it: a quarter of the help's time."""
    return argparse.RawDescriptionHelpFormatter(prog, width=width())


def parsed(arguments: Sequence[str]) -> argparse.Namespace | None:
    """Return what was typed; None where the version or the help was asked for and has been printed."""
    _Parser.typed = arguments
    parser = _parser()
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
    if wrong := _due_wrong(options):
        parser.error(wrong)
    if "on" in options:
        options.today = _clock()
        options.on = options.on or options.today
    for name in ("on", "effective"):
        if name in options and not can_be_judged_for(getattr(options, name)):
            parser.error(
                f"{getattr(options, name).isoformat()} can't be judged for: the rules are those of {FIRST_DAY} and"
                f" later, up to {LAST_DAY}; name another day after --{name}{', or mend the clock' * (name == 'on')}"
            )
    return options


def _due_wrong(options: argparse.Namespace) -> str:
    """Return which options of `due` do not go together; "" where all do."""
    if options.command != "due":
        return ""
    if options.letters and (options.out is None or len(options.paths) != 1):
        return "--letters takes one description, and a folder after -o"
    if (options.plan or options.letters) and options.format not in ("text", "json"):
        return "a plan is given as text or json"
    return "--alarm goes with --format ics" if options.alarm is not None and options.format != "ics" else ""


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
    for add in (
        _start,
        _check,
        _build,
        _select,
        _due,
        _sheets,
        _unconfirmed,
        _compare,
        _issue,
        _renew,
        _record,
        _desk,
        _explain,
        _schema,
    ):
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
    parser.add_argument(
        "--binder", action="store_true", help="also all of it bound: one PDF, and a folder of its parts in order"
    )
    parser.add_argument("--site", metavar="ID", help="of the task pages only those of what is done at one site")
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
        "progdoc due my_program --on 2026-11-24 --within 30\n"
        "progdoc due my_program --format ics --alarm 14 -o due.ics\n"
        "progdoc due my_program --plan\nprogdoc due my_program --letters -o letters",
    )  # fmt: skip
    _paths(parser)
    _rules(parser)
    _on(parser)
    parser.add_argument("--within", metavar="DAYS", type=_days, default=60, help="how far to look ahead (default: 60)")
    _site(parser)
    parser.add_argument("--format", choices=_DUE_FORMATS, default="text", help="text or a file format (default: text)")
    parser.add_argument("--alarm", metavar="DAYS", type=_days, help="ics: an alarm so many days before each event")
    parser.add_argument("--plan", action="store_true", help="gather it into days: whom to book, what to bring, by when")
    parser.add_argument(
        "--together", metavar="DAYS", type=_days, default=60, help="plan: how early somebody may be asked (default: 60)"
    )
    parser.add_argument("--letters", action="store_true", help="write letters to send by hand into the folder after -o")
    _into(parser, "FILE", _TO_A_FILE, required=False)
    parser.add_argument("--replace", action="store_true", help="write over a file that is no report for programs")


def _sheets(commands: _Commands[_Parser]) -> None:
    parser = _command(
        commands, "sheets", "write the people and their records as a workbook for a spreadsheet",
        "progdoc sheets my_program -o people.xlsx\nprogdoc sheets my_program --blank -o fit_day.xlsx",
    )  # fmt: skip
    _path(parser)
    _on(parser)
    parser.add_argument(
        "--blank", action="store_true",
        help="the template: only whom and which masks it is about, to be filled in; `record --from` reads it",
    )  # fmt: skip
    parser.add_argument("--csv", action="store_true", help="CSV in place of a workbook, into the folder after -o")
    _into(parser, "FILE", "the workbook (.xlsx); it names workers, so nobody but you may read it")
    parser.add_argument("--replace", action="store_true", help="write over a file that stands there")


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


def _record(commands: _Commands[_Parser]) -> None:
    parser = _command(
        commands, "record", "enter what happened into a description: one event, one line",
        'progdoc record my_program training --who all --topics all --by "Ada Brook" --on 2026-11-24\n'
        "progdoc record my_program fit-test --from fit-day.csv --on 2026-11-24\n"
        "progdoc record my_program --from training.docx fit-test-saccharin.filled.json --on 2026-11-24\n"
        "progdoc record my_program fit-test --help",
    )  # fmt: skip
    if _Parser.typed[:1] == ["record"]:  # many words, which no other command needs
        from progdoc.app.event_kinds import KINDS, OPTIONS

        _path(parser)
        parser.add_argument(
            "--from", metavar="FILE", type=_file, dest="forms", nargs="+", default=[],
            help="completed forms, Word or what the browser kept: each says itself what it is, no KIND is needed",
        )  # fmt: skip
        parser.add_argument(
            "--template", metavar="FILE", type=_file,
            help="write a workbook to fill in, with the names and what may be chosen; --from of a KIND reads it",
        )  # fmt: skip
        _of_agreement(parser)
        kinds = parser.add_subparsers(metavar="KIND", dest="kind", parser_class=_Parser)
        for kind, (does, needed, may, example) in KINDS.items():
            one = _command(kinds, kind, does, f"progdoc record my_program {kind} {example}")
            for name in (*needed, *may):
                one.add_argument(
                    f"--{name}", metavar=OPTIONS[name][0], dest=f"of_{name}", action="append", help=OPTIONS[name][1]
                )
            if "who" in needed:
                one.add_argument("--site", metavar="ID", help="with --who all: only those who do tasks at one site")
            _of_event(one)


def _of_event(parser: _Parser) -> None:
    parser.add_argument(
        "--from", metavar="FILE", type=_file, dest="table",
        help="a table of such events, CSV or .xlsx: a row each, headed as the options here, and date;"
        " `progdoc sheets PATH --blank` writes one to fill in",
    )  # fmt: skip
    parser.add_argument("--day", metavar="DATE", type=_day, help="when it happened (default: the day of --on)")
    _of_agreement(parser)


def _of_agreement(parser: _Parser) -> None:
    parser.add_argument(
        "--yes", action="store_true", help="enter it without asking; without this and without a terminal: only show"
    )
    _rules(parser)
    _on(parser)


def _desk(commands: _Commands[_Parser]) -> None:
    parser = _command(
        commands, "desk", "answer questions in the browser instead of typing YAML",
        "progdoc desk my_program\nprogdoc desk my_program --port 8431 --no-browser",
        "\n\nOnly this machine can reach it, by the address that it shows. Each answer is written into the description"
        "\nat once, and can be taken back. Ctrl-C ends it.",
    )  # fmt: skip
    parser.add_argument(
        "path", metavar="PATH", type=_file, help="the description; a folder that is new or empty is begun"
    )
    parser.add_argument("--port", metavar="N", type=_port, default=0, help="where it listens (default: any free port)")
    parser.add_argument("--no-browser", action="store_true", help="only show the address")
    parser.add_argument(
        "--share", metavar="ADDRESS", nargs="?", const="",
        help="let a phone in the same network see the task pages and record inspections, seal problems and changes of"
        " filters, with the code shown; ADDRESS is this machine's, where it has several",
    )  # fmt: skip
    parser.add_argument(
        "--rest", metavar="MINUTES", type=_minutes, help="end when nobody has asked for a page for so long"
    )
    parser.add_argument(
        "--into", metavar="FOLDER", type=_file, help="where revisions are issued (default: PATH-issued, beside it)"
    )
    _rules(parser)


def _minutes(text: str) -> float:
    try:
        minutes = float(text)
    except ValueError:
        minutes = 0
    if not 0 < minutes <= 1_440:
        raise argparse.ArgumentTypeError(f"“{text}” is no time of rest: write minutes, up to 1440")
    return minutes


def _port(text: str) -> int:
    if not text.isascii() or not text.isdigit() or len(text) > 5 or int(text) > 65_535:
        raise argparse.ArgumentTypeError(f"“{text}” is no port: write a number up to 65535")
    return int(text)


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


_COMMANDS = (
    _start, _check, _build, _select, _due, _unconfirmed, _compare, _issue, _renew, _record, _desk, _explain, _schema
)  # fmt: skip


def _formats(text: str) -> tuple[str, ...]:
    wanted = tuple(part.strip() for part in text.split(",") if part.strip())
    unknown = [part for part in wanted if part not in _BUILD_FORMATS]
    if unknown or not wanted:
        raise argparse.ArgumentTypeError(
            f"“{text}”: write one or more of {', '.join(_BUILD_FORMATS)}, joined by commas"
        )
    return wanted
