"""The command line: arguments, terminal, exit status. Nothing else reads the clock or the environment.

Exit status: 0 nothing required is missing; 1 required gaps remain; 2 the description, the arguments or the
disk won't do, and nothing was written; 3 a fault of progdoc itself.
"""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Callable, Sequence
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, NoReturn

if TYPE_CHECKING:
    from progdoc.app.check import Checked
    from progdoc.core.diagnostics import Diagnostic
    from progdoc.core.report import Report

__all__ = ["main"]

OK, GAPS, UNUSABLE, FAULT = 0, 1, 2, 3
CHECK_FORMATS = ("text", "json", "sarif", "junit", "html", "md")
BUILD_FORMATS = ("md", "html", "docx")
ASKED_FORMATS = (*BUILD_FORMATS, "pdf")  # PDF only when asked for: it needs a library more, and doubles the time


class _Parser(argparse.ArgumentParser):
    """Says what is wrong and what was probably meant, and nothing about usage strings."""

    def error(self, message: str) -> NoReturn:
        choices = (
            [word for group in self._subparsers._group_actions for word in group.choices or ()]
            if self._subparsers
            else []
        )
        typed = next((word for word in sys.argv[1:] if not word.startswith("-")), "")
        from difflib import get_close_matches

        near = get_close_matches(typed, choices, 1) if "invalid choice" in message else []
        hint = f" Did you mean `{self.prog} {near[0]}`?" if near else ""
        self.exit(UNUSABLE, f"{self.prog}: {message}.{hint}\nTry `{self.prog} --help`.\n")


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command and return its exit status."""
    options = _parser().parse_args(arguments)
    try:
        status: int = options.run(options)
        sys.stdout.flush()
        return status
    except BrokenPipeError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())  # so that closing it complains no more
        return OK
    except KeyboardInterrupt:
        print("progdoc: stopped; nothing half-written is left behind.", file=sys.stderr)
        return UNUSABLE
    except Exception as fault:  # the last resort: a fault of ours must not look like the user's
        if os.environ.get("PROGDOC_TRACEBACK"):
            raise
        print(
            f"progdoc: a fault of progdoc itself: {type(fault).__name__}: {fault}\n"
            "Nothing is wrong with your description as far as it was read. Please report the command and this line;"
            " PROGDOC_TRACEBACK=1 shows where it happened.",
            file=sys.stderr,
        )
        return FAULT


def _formatter(prog: str) -> argparse.HelpFormatter:
    """Give argparse the width, else it imports a module of its own to find it: a quarter of the help's time."""
    return argparse.RawDescriptionHelpFormatter(prog, width=_width())


# ---- arguments ------------------------------------------------------------------------------------------


def _parser() -> argparse.ArgumentParser:
    parser = _Parser(
        prog="progdoc",
        description="Writes a respiratory protection program from a description, and says what is missing.",
        formatter_class=_formatter,
        epilog="Begin with `progdoc start FOLDER`. Each command has its own --help with a worked example.",
    )
    parser.add_argument("--version", action="store_true", help="print the version and leave")
    parser.set_defaults(run=_version_or_help(parser))
    commands = parser.add_subparsers(metavar="COMMAND", parser_class=_Parser)

    start = _command(commands, "start", _start, "write a commented starting description", "progdoc start my_program")
    start.add_argument("folder", metavar="FOLDER", type=Path, help="a new or empty folder")

    check = _command(
        commands, "check", _check, "judge a description and list what is missing",
        "progdoc check my_program --on 2026-11-24\nprogdoc check my_program --format sarif -o gaps.sarif",
    )  # fmt: skip
    _on(_path(check))
    check.add_argument("--format", choices=CHECK_FORMATS, default="text", help="text, or a file format (default: text)")
    check.add_argument("-o", dest="out", metavar="FILE", type=Path, help="write to a file instead of the terminal")
    check.add_argument(
        "--names", action="store_true", help="in a file format, name the people too (keep such a file locked away)"
    )

    build = _command(
        commands, "build", _build, "write the program, the gap report and the papers that go with them",
        "progdoc build my_program -o out --on 2026-11-24\nprogdoc build my_program -o out --only docx --final",
    )  # fmt: skip
    _on(_path(build))
    build.add_argument("-o", dest="out", metavar="FOLDER", type=Path, required=True, help="where the documents go")
    build.add_argument(
        "--only", metavar="LIST", type=_formats, default=BUILD_FORMATS, help="md,html,docx,pdf (default: all but pdf)"
    )
    build.add_argument("--final", action="store_true", help="refuse to build while something required is missing")
    build.add_argument("--replace", action="store_true", help="overwrite documents that were edited by hand")

    explain = _command(
        commands, "explain", _explain, "say what a code or a paragraph asks, and what satisfies it",
        'progdoc explain FIT-002\nprogdoc explain "(f)(2)"',
    )  # fmt: skip
    explain.add_argument("what", metavar="CODE_OR_PARAGRAPH", help='"FIT-002" or "(f)(2)"')

    _command(commands, "schema", _schema, "print the JSON Schema of the description, for editors", "progdoc schema")
    return parser


def _command(
    commands: argparse._SubParsersAction[_Parser],
    name: str,
    run: Callable[[argparse.Namespace], int],
    does: str,
    example: str,
) -> argparse.ArgumentParser:
    lines = "\n".join(f"  {line}" for line in example.splitlines())
    parser: argparse.ArgumentParser = commands.add_parser(
        name,
        help=does,
        description=does.capitalize() + ".",
        epilog=f"example:\n{lines}",
        formatter_class=_formatter,
    )
    parser.set_defaults(run=run)
    return parser


def _path(parser: argparse.ArgumentParser) -> argparse.ArgumentParser:
    parser.add_argument("path", metavar="PATH", type=Path, help="the description: a YAML file or a folder of them")
    parser.add_argument(
        "--rules", metavar="FOLDER", type=Path, action="append", default=[],
        help="a pack of local rules laid over the federal ones, for example of a state plan; may be given again",
    )  # fmt: skip
    return parser


def _on(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--on", metavar="DATE", type=_day, help="the day to judge for, YYYY-MM-DD (default: today)")


def _day(text: str) -> date:
    try:
        if len(text) != 10:
            raise ValueError(text)
        return date.fromisoformat(text)
    except ValueError:
        raise argparse.ArgumentTypeError(f"“{text}” is not a day; write it as 2026-11-24") from None


def _formats(text: str) -> tuple[str, ...]:
    wanted = tuple(part.strip() for part in text.split(",") if part.strip())
    unknown = [part for part in wanted if part not in ASKED_FORMATS]
    if unknown or not wanted:
        raise argparse.ArgumentTypeError(f"“{text}”: write one or more of {', '.join(ASKED_FORMATS)}, joined by commas")
    return wanted


# ---- commands -------------------------------------------------------------------------------------------


def _version_or_help(parser: argparse.ArgumentParser) -> Callable[[argparse.Namespace], int]:
    def run(options: argparse.Namespace) -> int:
        from progdoc import __version__

        print(
            f"progdoc {__version__}" if options.version else parser.format_help(), end="\n" if options.version else ""
        )
        return OK

    return run


def _start(options: argparse.Namespace) -> int:
    from progdoc.app.start import start
    from progdoc.core.diagnostics import Diagnostic

    done = start(options.folder)
    faults = [item for item in done if isinstance(item, Diagnostic)]
    if faults:
        return _refused(faults)
    for file in done:
        print(f"wrote {file}")
    print(f"\nNext: open the .yaml file in an editor, fill in what you know, and run\n  progdoc check {options.folder}")
    return OK


def _check(options: argparse.Namespace) -> int:
    checked = _checked(options)
    report = checked.report
    status = UNUSABLE if not checked.is_understood else _status(report)
    if options.format == "text" and options.out is None:
        print(_report_text(report), end="")
        return status
    data = _in_format(checked, options.format, options.names)
    if options.out is None:
        sys.stdout.buffer.write(data)
        return status
    return status if _written(options.out, data) else UNUSABLE


def _build(options: argparse.Namespace) -> int:
    from progdoc.app.build import build_set
    from progdoc.app.check import base_of
    from progdoc.core.diagnostics import Scope, Severity, worst_first
    from progdoc.core.report import summary_line

    if "pdf" in options.only and not _can_write_pdf():
        print(
            "progdoc build: a PDF needs the library “typst”, which is not installed; nothing was written.\n"
            "Type `pip install typst` in the environment of progdoc, or leave pdf out of --only.",
            file=sys.stderr,
        )
        return UNUSABLE
    checked = _checked(options)
    if not checked.is_understood:
        print(_report_text(checked.report), end="", file=sys.stderr)
        return UNUSABLE
    lacking = [d for d in checked.report.findings if d.severity is Severity.REQUIRED and d.scope is Scope.PROGRAM]
    if options.final and lacking:
        print(_report_text(checked.report), end="", file=sys.stderr)
        print(f"--final: nothing was written, {len(lacking)} required gaps remain.", file=sys.stderr)
        return GAPS
    built, result = build_set(checked, base_of(options.path), options.out, options.only, options.replace)
    if isinstance(result, list):
        return _refused(worst_first(result))
    print(summary_line(built.report))
    if built.is_draft:
        print("The program is marked DRAFT on every page until nothing required is missing from it.")
    print(f"{len(result.written)} files written, {len(result.unchanged)} unchanged, in {options.out}")
    for name in ("program.docx", "program.pdf", "program.html", "program.md", "gaps.html"):
        if name in built.files:
            print(f"  {options.out / name}")
    return _status(built.report)


def _can_write_pdf() -> bool:
    from progdoc.writers.pdf import can_write_pdf

    return can_write_pdf()


def _explain(options: argparse.Namespace) -> int:
    from progdoc.app.explain import explain, explanation_text, nearest
    from progdoc.rules.catalogue import built_in_catalogue

    catalogue = built_in_catalogue()
    found = explain(catalogue, options.what)
    if found:
        print(explanation_text(found, _width()), end="")
        return OK
    near = nearest(catalogue, options.what)
    hint = (
        f" Did you mean {', '.join(near)}?"
        if near
        else ' Write a code such as FIT-002 or a paragraph such as "(f)(2)".'
    )
    print(f"progdoc explain: nothing is known under “{options.what}”.{hint}", file=sys.stderr)
    return UNUSABLE


def _schema(_options: argparse.Namespace) -> int:
    from progdoc.model.schema import schema_json

    sys.stdout.buffer.write(schema_json())
    return OK


# ---- terminal -------------------------------------------------------------------------------------------


def _checked(options: argparse.Namespace) -> Checked:
    from progdoc.app.check import check_path

    return check_path(options.path, options.on or date.today(), options.rules)


def _status(report: Report) -> int:
    from progdoc.core.report import severity_counts

    return GAPS if severity_counts(report)["required"] else OK


def _width() -> int:
    try:
        return min(os.get_terminal_size().columns or 100, 110)
    except OSError:
        return 100


def _report_text(report: Report) -> str:
    from progdoc.writers.diagnostics_text import report_text

    colour = sys.stdout.isatty() and not os.environ.get("NO_COLOR") and os.environ.get("TERM") != "dumb"
    return report_text(report, _width(), colour)


def _in_format(checked: Checked, name: str, names: bool) -> bytes:
    """Return the report in a format; without `names` the findings about people are only counted."""
    from progdoc.core.report import public_part

    report = checked.report if names else public_part(checked.report)
    if name == "text":
        from progdoc.writers.diagnostics_text import report_text

        return report_text(report, 100).encode()
    if name == "json":
        from progdoc.writers.diagnostics_json import report_json

        return report_json(report)
    if name == "sarif":
        from progdoc.writers.diagnostics_sarif import report_sarif

        return report_sarif(report)
    if name == "junit":
        from progdoc.writers.diagnostics_junit import report_junit

        return report_junit(report)
    from progdoc.document.assemble import is_draft
    from progdoc.document.gap_report import gap_document
    from progdoc.writers import WRITERS

    draft = checked.judged is None or is_draft(checked.judged)
    return WRITERS[name](gap_document(report, "", draft))


def _written(file: Path, data: bytes) -> bool:
    from progdoc.app.output_folder import write_one

    fault = write_one(file, data)
    if fault is None:
        return True
    _refused([fault])
    return False


def _refused(faults: Sequence[Diagnostic]) -> int:
    from progdoc.writers.diagnostics_text import finding_text

    for fault in faults:
        print(finding_text(fault, _width()), file=sys.stderr)
    return UNUSABLE
