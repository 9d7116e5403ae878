"""What may be typed, and what `--help` says of it. Imports nothing heavy: the help has to be quick."""

from __future__ import annotations

import argparse
from collections.abc import Sequence

from progdoc.cli.command_parser import (
    TO_A_FILE,
    CommandParser,
    Commands,
    add_into,
    add_on,
    add_path,
    add_paths,
    add_rules,
    add_site,
    command,
    formatter,
)
from progdoc.cli.officer_arguments import add_desk, add_due, add_record, add_sheets
from progdoc.cli.typed_values import typed_day as _day
from progdoc.cli.typed_values import typed_digest as _digest
from progdoc.cli.typed_values import typed_file as _file
from progdoc.core.judged_days import FIRST_DAY, LAST_DAY, can_be_judged_for

TYPE_CHECKING = False  # without `typing`: it would take a quarter of the help's time
if TYPE_CHECKING:
    from datetime import date

__all__ = ["parsed"]

_CHECK_FORMATS = ("text", "json", "sarif", "junit", "html", "md")
_BUILD_FORMATS = ("md", "html", "docx", "pdf")


def parsed(arguments: Sequence[str]) -> argparse.Namespace | None:
    """Return what was typed; None where the version or the help was asked for and has been printed."""
    CommandParser.typed = arguments
    parser = _parser(arguments[0] if arguments else "")
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


def _parser(typed: str) -> CommandParser:
    """Return the parser; of commands the one that is typed first, or all, to be told or mistaken for one another."""
    parser = CommandParser(
        prog="progdoc",
        description="Writes a respiratory protection program from a description, and says what is missing.",
        formatter_class=formatter,
        epilog="Begin with `progdoc start FOLDER`. Each command has its own --help with a worked example.",
    )
    parser.add_argument("--version", action="store_true", help="print the version and leave")
    commands = parser.add_subparsers(metavar="COMMAND", dest="command", parser_class=CommandParser)
    adding = {
        "start": _start,
        "check": _check,
        "build": _build,
        "select": _select,
        "due": add_due,
        "sheets": add_sheets,
        "unconfirmed": _unconfirmed,
        "compare": _compare,
        "issue": _issue,
        "renew": _renew,
        "record": add_record,
        "desk": add_desk,
        "explain": _explain,
        "schema": _schema,
    }
    for add in [adding[typed]] if typed in adding else adding.values():
        add(commands)
    return parser


def _start(commands: Commands[CommandParser]) -> None:
    parser = command(commands, "start", "write a commented starting description", "progdoc start my_program")
    parser.add_argument("folder", metavar="FOLDER", type=_file, help="a new or empty folder")


def _check(commands: Commands[CommandParser]) -> None:
    parser = command(
        commands, "check", "judge a description and ask what is missing, what matters most first",
        "progdoc check my_program --on 2026-11-24\nprogdoc check my_program --all\n"
        "progdoc check my_program --format sarif -o gaps.sarif",
    )  # fmt: skip
    add_paths(parser)
    add_rules(parser)
    add_on(parser)
    parser.add_argument(
        "--format", choices=_CHECK_FORMATS, default="text", help="text, or a file format (default: text)"
    )
    add_site(parser)
    parser.add_argument("--all", action="store_true", help="as text, list every finding, not the next questions")
    add_into(parser, "FILE", TO_A_FILE, required=False)
    parser.add_argument("--replace", action="store_true", help="write over a file that is no report for programs")
    parser.add_argument(
        "--names", action="store_true", help="in a file format, name the people too (keep such a file locked away)"
    )


def _build(commands: Commands[CommandParser]) -> None:
    parser = command(
        commands, "build", "write the program, the gap report and the papers that go with them",
        "progdoc build my_program -o out --on 2026-11-24\nprogdoc build my_program -o out --only docx --final",
    )  # fmt: skip
    add_paths(parser)
    add_rules(parser)
    add_on(parser)
    add_into(parser, text="where the documents go; with many descriptions a folder for each below it")
    parser.add_argument(
        "--only", metavar="LIST", type=_formats, default=_BUILD_FORMATS, help="md,html,docx,pdf (default: all)"
    )
    parser.add_argument(
        "--look", metavar="FOLDER", type=_file, help="the look of your documents, in place of the description's own"
    )
    parser.add_argument(
        "--binder", action="store_true", help="also all of it bound: one PDF, and a folder of its parts in order"
    )
    parser.add_argument("--pdf-forms", action="store_true", help="also the forms as PDF, to be filled in on the screen")
    add_site(parser, "pages for the crew and papers about people of one site only; the program is one for all")
    parser.add_argument("--final", action="store_true", help="refuse to build while something required is missing")
    parser.add_argument("--replace", action="store_true", help="overwrite documents that were edited by hand")


def _select(commands: Commands[CommandParser]) -> None:
    parser = command(
        commands, "select", "say task by task which mask protects, which does not, and why",
        "progdoc select my_program --on 2026-11-24\nprogdoc select my_program --task scrape-sashes --format json",
    )  # fmt: skip
    add_path(parser)
    add_rules(parser)
    add_on(parser)
    parser.add_argument("--task", metavar="ID", help="one task only")
    add_site(parser)
    parser.add_argument("--format", choices=("text", "json"), default="text", help="text or json (default: text)")


def _unconfirmed(commands: Commands[CommandParser]) -> None:
    parser = command(
        commands, "unconfirmed", "list the figures in use that are not law, for a hygienist to confirm",
        "progdoc unconfirmed my_program --on 2026-11-24 --format csv -o to_confirm.csv",
    )  # fmt: skip
    add_path(parser)
    add_rules(parser)
    add_on(parser)
    add_site(parser, "what work at one site rests on")
    parser.add_argument("--format", choices=("text", "csv"), default="text", help="text or csv (default: text)")
    add_into(parser, "FILE", "write to a file instead of the terminal", required=False)
    parser.add_argument("--replace", action="store_true", help="write over a file that is no report for programs")


def _compare(commands: Commands[CommandParser]) -> None:
    parser = command(
        commands, "compare", "say what changed between two programs, and what it means",
        "progdoc compare last_year this_year --on 2026-11-24\nprogdoc compare issued/revision-2025.1 mine -o changes",
    )  # fmt: skip
    parser.add_argument("old", metavar="OLD", type=_file, help="a description, or a revision that was issued")
    parser.add_argument("new", metavar="NEW", type=_file, help="a description, or a revision that was issued")
    add_rules(parser)
    add_on(parser)
    add_site(parser, "what changed at one site, and of the firm as a whole; without the redline, which has all")
    add_into(parser, text="write the comparison, the redline and a summary into a folder", required=False)
    parser.add_argument("--author", metavar="NAME", default="progdoc", help="whose changes the tracked changes are")
    parser.add_argument("--replace", action="store_true", help="overwrite files that were edited by hand")


def _issue(commands: Commands[CommandParser]) -> None:
    parser = command(
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
    add_paths(parser, "*")
    add_rules(parser)
    add_on(parser)
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


def _renew(commands: Commands[CommandParser]) -> None:
    parser = command(
        commands, "renew", "open the next revision, with a worksheet of what to look at again",
        "progdoc renew my_program --effective 2027-01-11 -o next_year --on 2026-11-24\n"
        "progdoc renew my_program --effective 2027-01-11 --answers renewal-worksheet.docx -o next_year_filled",
    )  # fmt: skip
    add_path(parser)
    add_on(parser)
    parser.add_argument(
        "--effective", metavar="DATE", type=_day, required=True, help="from when the new revision applies"
    )
    add_into(parser, text="a new or empty folder for the new description", required=False)
    parser.add_argument(
        "--answers", metavar="FILE", type=_file,
        help="a completed worksheet, Word or kept by the browser, to be entered; without -o shows what it would change",
    )  # fmt: skip
    parser.add_argument("--since", metavar="FOLDER", type=_file, help="the last issued revision, to tell what changed")
    add_site(parser, "the worksheet of one site; what it does not ask stays open, for the worksheets of the others")


def _explain(commands: Commands[CommandParser]) -> None:
    parser = command(
        commands, "explain", "say what a code or a paragraph asks, and what satisfies it",
        'progdoc explain FIT-002\nprogdoc explain "(f)(2)"\nprogdoc explain --all -o rules',
    )  # fmt: skip
    parser.add_argument(
        "what", metavar="CODE_OR_PARAGRAPH", nargs="?", help='"FIT-002", "(f)(2)", "Appendix B-2", "1926.62(d)"'
    )
    parser.add_argument("--all", action="store_true", help="write all of it as pages for the browser into -o FOLDER")
    add_into(parser, text="where the pages go", required=False)
    parser.add_argument("--replace", action="store_true", help="overwrite pages that were edited by hand")
    add_rules(parser)
    add_on(parser)


def _schema(commands: Commands[CommandParser]) -> None:
    command(commands, "schema", "print the JSON Schema of the description, for editors", "progdoc schema")


def _formats(text: str) -> tuple[str, ...]:
    wanted = tuple(part.strip() for part in text.split(",") if part.strip())
    unknown = [part for part in wanted if part not in _BUILD_FORMATS]
    if unknown or not wanted:
        raise argparse.ArgumentTypeError(
            f"“{text}”: write one or more of {', '.join(_BUILD_FORMATS)}, joined by commas"
        )
    return wanted
