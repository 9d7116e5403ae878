"""What may be typed after the commands of the officer's year: due, sheets, record, desk. Imports nothing heavy."""

from __future__ import annotations

import argparse

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
)
from progdoc.cli.typed_values import typed_day, typed_days, typed_file

__all__ = ["add_desk", "add_due", "add_record", "add_sheets"]

_DUE_FORMATS = ("text", "json", "csv", "ics")


def add_due(commands: Commands[CommandParser]) -> None:
    parser = command(
        commands, "due", "list what is overdue, what falls due soon, and what comes next",
        "progdoc due my_program --on 2026-11-24 --within 30\n"
        "progdoc due my_program --format ics --alarm 14 -o due.ics\n"
        "progdoc due my_program --plan\nprogdoc due my_program --letters -o letters",
    )  # fmt: skip
    add_paths(parser)
    add_rules(parser)
    add_on(parser)
    parser.add_argument(
        "--within", metavar="DAYS", type=typed_days, default=60, help="how far to look ahead (default: 60)"
    )
    add_site(parser)
    parser.add_argument("--format", choices=_DUE_FORMATS, default="text", help="text or a file format (default: text)")
    parser.add_argument("--alarm", metavar="DAYS", type=typed_days, help="ics: an alarm so many days before each event")
    parser.add_argument("--plan", action="store_true", help="gather it into days: whom to book, what to bring, by when")
    parser.add_argument(
        "--together",
        metavar="DAYS",
        type=typed_days,
        default=60,
        help="plan: how early somebody may be asked (default: 60)",
    )
    parser.add_argument("--letters", action="store_true", help="write letters to send by hand into the folder after -o")
    add_into(parser, "FILE", TO_A_FILE, required=False)
    parser.add_argument("--replace", action="store_true", help="write over a file that is no report for programs")


def add_sheets(commands: Commands[CommandParser]) -> None:
    parser = command(
        commands, "sheets", "write the people and their records as a workbook for a spreadsheet",
        "progdoc sheets my_program -o people.xlsx\nprogdoc sheets my_program --blank -o fit_day.xlsx",
    )  # fmt: skip
    add_path(parser)
    add_on(parser)
    parser.add_argument(
        "--blank", action="store_true",
        help="the template: only whom and which masks it is about, to be filled in; `record --from` reads it",
    )  # fmt: skip
    add_site(parser, "the people and masks of one site only")
    parser.add_argument(
        "--roster", action="store_true", help="also who may do what, why not, and what falls due: to be read only"
    )
    parser.add_argument("--csv", action="store_true", help="CSV in place of a workbook, into the folder after -o")
    add_into(parser, "FILE", "the workbook (.xlsx); it names workers, so nobody but you may read it")
    parser.add_argument("--replace", action="store_true", help="write over a file that stands there")


def add_record(commands: Commands[CommandParser]) -> None:
    parser = command(
        commands, "record", "enter what happened into a description: one event, one line",
        'progdoc record my_program training --who all --topics all --by "Ada Brook" --on 2026-11-24\n'
        "progdoc record my_program fit-test --from fit-day.csv --on 2026-11-24\n"
        "progdoc record my_program --from training.docx fit-test-saccharin.filled.json --on 2026-11-24\n"
        "progdoc record my_program fit-test --help",
    )  # fmt: skip
    if CommandParser.typed[:1] == ["record"]:  # many words, which no other command needs
        from progdoc.app.event_kinds import KINDS, OPTIONS

        add_path(parser)
        parser.add_argument(
            "--from", metavar="FILE", type=typed_file, dest="forms", nargs="+", default=[],
            help="completed forms, Word or what the browser kept: each says itself what it is, no KIND is needed",
        )  # fmt: skip
        parser.add_argument(
            "--template", metavar="FILE", type=typed_file,
            help="write a workbook to fill in, with the names and what may be chosen; --from of a KIND reads it",
        )  # fmt: skip
        parser.add_argument(
            "--site", metavar="ID", dest="site_of_template",
            help="with --template: the people and masks of one site; of a KIND, see its own --help",
        )  # fmt: skip
        _of_agreement(parser)
        kinds = parser.add_subparsers(metavar="KIND", dest="kind", parser_class=CommandParser)
        for kind, (does, needed, may, example) in KINDS.items():
            one = command(kinds, kind, does, f"progdoc record my_program {kind} {example}")
            for name in (*needed, *may):
                one.add_argument(
                    f"--{name}", metavar=OPTIONS[name][0], dest=f"of_{name}", action="append", help=OPTIONS[name][1]
                )
            if "who" in needed:
                one.add_argument("--site", metavar="ID", help="with --who all: only those who do tasks at one site")
            _of_event(one)


def _of_event(parser: CommandParser) -> None:
    parser.add_argument(
        "--from", metavar="FILE", type=typed_file, dest="table",
        help="a table of such events, CSV or .xlsx: a row each, headed as the options here, and date;"
        " `progdoc sheets PATH --blank` writes one to fill in",
    )  # fmt: skip
    parser.add_argument("--day", metavar="DATE", type=typed_day, help="when it happened (default: the day of --on)")
    _of_agreement(parser)


def _of_agreement(parser: CommandParser) -> None:
    parser.add_argument(
        "--yes", action="store_true", help="enter it without asking; without this and without a terminal: only show"
    )
    add_rules(parser)
    add_on(parser)


def add_desk(commands: Commands[CommandParser]) -> None:
    parser = command(
        commands, "desk", "answer questions in the browser instead of typing YAML",
        "progdoc desk my_program\nprogdoc desk my_program --port 8431 --no-browser",
        "\n\nOnly this machine can reach it, by the address that it shows. Each answer is written into the description"
        "\nat once, and can be taken back. Closing its last page in the browser ends it, or Ctrl-C.",
    )  # fmt: skip
    parser.add_argument(
        "path", metavar="PATH", type=typed_file, help="the description; a folder that is new or empty is begun"
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
        "--into", metavar="FOLDER", type=typed_file, help="where revisions are issued (default: PATH-issued, beside it)"
    )
    add_rules(parser)


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
