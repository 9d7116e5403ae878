"""Each command: call the use case, print what came of it, return the exit status."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable
from datetime import date
from functools import partial
from typing import TYPE_CHECKING

from progdoc.app.disk.description_files import check_path, files_read
from progdoc.cli.status import GAPS, OK, UNUSABLE
from progdoc.cli.terminal import laid_out, refused, report_in_file, report_on_screen, say, show, tell_interrupted
from progdoc.cli.window import width
from progdoc.core.diagnostics import Diagnostic, Severity, worst_first
from progdoc.core.numbers import counted
from progdoc.core.report import Report, severity_counts
from progdoc.core.report_summary import summary_line

if TYPE_CHECKING:
    from progdoc.app.check import Checked
    from progdoc.app.disk.output_folder import WriteResult
    from progdoc.rules.judged.result import Judged

__all__ = ["COMMANDS"]


def _say(options: argparse.Namespace, line: str) -> None:
    """Keep what came of it in a line: of many descriptions no more is shown of each."""
    options.in_a_line = line


def _today(options: argparse.Namespace) -> date:
    day: date = options.on
    return day


def _checked(options: argparse.Namespace) -> Checked:
    return check_path(options.path, _today(options), options.rules)


def _status(report: Report) -> int:
    return GAPS if severity_counts(report)[Severity.REQUIRED] else OK


def _given(options: argparse.Namespace, checked: Checked, data: str | bytes, names_workers: bool) -> bool:
    """Give out a text or a report for programs: into the file after -o, or else as far as the terminal can show it."""
    if options.out is None:
        show(data)
        return True
    from progdoc.app.disk.single_file import write_one

    data = data.encode() if isinstance(data, str) else data
    read = files_read(options.path, checked.loaded, options.rules)
    fault = write_one(options.out, data, read, options.replace, names_workers)
    if fault is not None:
        refused([fault])
    return fault is None


def _start(options: argparse.Namespace) -> int:
    from progdoc.app.disk.starting_folder import start

    done = start(options.folder)
    if isinstance(done, list):
        return refused(done)
    tell_interrupted(done.left_by, done.mended)
    for file in done.written:
        say(f"wrote {file}")
    say(f"\nNext: open the .yaml file in an editor, fill in what you know, and run\n  progdoc check {options.folder}")
    return OK


def _check(options: argparse.Namespace) -> int:
    checked = _checked(options)
    if options.site is not None and checked.judged is not None:
        from progdoc.app.of_site import checked_at

        if _is_no_site(options, checked.judged):
            return UNUSABLE
        checked = checked_at(checked, options.site)
    status = _status(checked.report) if checked.is_understood else UNUSABLE
    _say(options, summary_line(checked.report))
    if options.format == "text" and options.out is None:
        print(report_on_screen(checked.report, options.all), end="")
        return status
    if options.format == "text":
        data = report_in_file(checked.report, options.names, options.all)
    else:
        from progdoc.app.report_formats import report_in

        data = report_in(checked, options.format, options.names)
    return status if _given(options, checked, data, options.names) else UNUSABLE


def _build(options: argparse.Namespace) -> int:
    from progdoc.app.check import gaps_of_program, with_look
    from progdoc.app.disk.look_folder import files_of_look

    checked = _checked(options)
    if options.look is not None:
        checked = with_look(checked, files_of_look(options.look), str(options.look))
    if checked.judged is None:
        print(report_on_screen(checked.report), end="", file=sys.stderr)
        return UNUSABLE
    if _is_no_site(options, checked.judged):
        return UNUSABLE
    lacking = gaps_of_program(checked)
    if options.final and lacking:
        print(report_on_screen(checked.report), end="", file=sys.stderr)
        say(f"--final: nothing was written, {len(lacking)} required gaps remain.", file=sys.stderr)
        return GAPS
    result = _made(options, checked)
    if isinstance(result, list):
        return refused(worst_first(result))
    tell_interrupted(result.left_by, result.mended)
    _say(options, summary_line(checked.report))
    say(options.in_a_line)
    if lacking:
        say("The program is marked DRAFT on every page until nothing required is missing from it.")
    say(f"{counted(len(result.written), 'file')} written, {len(result.unchanged)} unchanged, in {options.out}")
    for name in ("program.docx", "program.pdf", "program.html", "program.md", "gaps.html", "binder.pdf"):
        if name in (*result.written, *result.unchanged):
            say(f"  {options.out / name}")
    return _status(checked.report)


def _made(options: argparse.Namespace, checked: Checked) -> WriteResult | list[Diagnostic]:
    """Make the documents, unless they stand there as they would come out; what makes them is imported only then."""
    from progdoc.app.disk.made_before import digests_below, made_before, noted
    from progdoc.app.made_from import made_from

    packs = digests_below(options.rules)
    source = made_from(checked, options.only, packs, options.binder, options.site, options.pdf_forms)
    before = made_before(options.out, source)
    if before is not None:
        return before
    from progdoc.app.build import build_files
    from progdoc.app.disk.output_folder import write_complete

    files = build_files(checked, options.only, options.binder, options.site, apart=True, pdf_forms=options.pdf_forms)
    result = write_complete(options.out, files, options.replace)
    if not isinstance(result, list):
        noted(options.out, source, result.manifest_sha256)
    return result


def _select(options: argparse.Namespace) -> int:
    from progdoc.app.select import is_everybody_protected, task_ids
    from progdoc.app.selection_json import selection_json
    from progdoc.app.selection_lines import selection_lines

    checked = _checked(options)
    if not checked.is_understood:
        print(report_on_screen(checked.report), end="", file=sys.stderr)
        return UNUSABLE
    if options.task is not None and options.task not in task_ids(checked):
        from difflib import get_close_matches

        near = get_close_matches(options.task, task_ids(checked), 1)
        hint = f" Did you mean `{near[0]}`?" if near else f" Known: {', '.join(task_ids(checked)) or 'none'}."
        say(f"progdoc select: no task has the id `{options.task}`.{hint}", file=sys.stderr)
        return UNUSABLE
    if checked.judged and _is_no_site(options, checked.judged):
        return UNUSABLE
    if options.format == "json":
        show(selection_json(checked, options.task, options.site))
    else:
        print(laid_out(selection_lines(checked, options.task, options.site), width()), end="")
    return OK if is_everybody_protected(checked, options.task, options.site) else GAPS


def _is_no_site(options: argparse.Namespace, *sides: Judged) -> bool:
    """Tell of a site that none of what is described has."""
    from progdoc.app.of_site import no_such_site

    told = no_such_site(options.site, *sides)
    if told:
        say(f"progdoc {options.command}: {told}", file=sys.stderr)
    return bool(told)


def _due(options: argparse.Namespace) -> int:
    from progdoc.cli.due_command import run_due

    checked = _checked(options)
    if checked.judged is None:
        print(report_on_screen(checked.report), end="", file=sys.stderr)
        return UNUSABLE
    if _is_no_site(options, checked.judged):
        return UNUSABLE
    give = partial(_given, options, checked, names_workers=True)
    return run_due(options, checked.judged, give, partial(_say, options))


def _sheets(options: argparse.Namespace) -> int:
    from progdoc.cli.sheets_command import run_sheets

    options.rules = ()
    checked = _checked(options)
    if checked.judged and _is_no_site(options, checked.judged):
        return UNUSABLE
    return run_sheets(options, checked, partial(_given, options, checked, names_workers=True))


def _unconfirmed(options: argparse.Namespace) -> int:
    from progdoc.app.unconfirmed import unconfirmed_csv, unconfirmed_lines

    checked = _checked(options)
    if checked.judged is None:
        print(report_on_screen(checked.report), end="", file=sys.stderr)
        return UNUSABLE
    if _is_no_site(options, checked.judged):
        return UNUSABLE
    asked = (checked.judged, options.site)
    data = laid_out(unconfirmed_lines(*asked), width()) if options.format == "text" else unconfirmed_csv(*asked)
    return OK if _given(options, checked, data, names_workers=False) else UNUSABLE


def _compare(options: argparse.Namespace) -> int:
    from progdoc.cli.compare_command import run_compare

    return run_compare(options, _is_no_site)


def _issue(options: argparse.Namespace) -> int:
    from progdoc.cli.issue_command import run_issue

    return run_issue(options, partial(_say, options))


def _renew(options: argparse.Namespace) -> int:
    from progdoc.cli.renew_command import run_renew

    return run_renew(options)


def _record(options: argparse.Namespace) -> int:
    if options.template is not None:
        options.out, options.blank, options.csv, options.replace = options.template, True, False, False
        options.site, options.roster = options.site_of_template, False
        return _sheets(options)
    if options.site_of_template is not None:
        say("progdoc record: write --site behind the KIND of event, beside --who all.", file=sys.stderr)
        return UNUSABLE
    from progdoc.cli.recording import run_record

    return run_record(options)


def _desk(options: argparse.Namespace) -> int:
    from progdoc.cli.desk import run_desk

    return run_desk(options)


def _explain(options: argparse.Namespace) -> int:
    from progdoc.app.disk.output_folder import write_complete
    from progdoc.app.explain import explain, explanation_files, explanation_lines, nearest
    from progdoc.rules.reading.catalogue import catalogue_with, states_that_ship

    if options.all is not bool(options.out) or options.all is bool(options.what):
        say("progdoc explain: name a code or a paragraph, or write `--all -o FOLDER`.", file=sys.stderr)
        return UNUSABLE
    catalogue, faults = catalogue_with(options.rules, frozenset() if options.all else states_that_ship())
    if faults:
        return refused(worst_first(list(faults)))
    if options.all:
        done = write_complete(options.out, explanation_files(catalogue, _today(options)).items(), options.replace)
        if isinstance(done, list):
            return refused(worst_first(done))
        tell_interrupted(done.left_by, done.mended)
        pages = counted(len(done.written), "page")
        say(f"{pages} written, {len(done.unchanged)} unchanged: {options.out / 'index.html'}")
        return OK
    found = explain(catalogue, options.what)
    if found:
        print(laid_out(explanation_lines(found), width()), end="")
        return OK
    near = nearest(catalogue, options.what)
    hint = (
        f" Did you mean {', '.join(near)}?"
        if near
        else ' Write a code such as FIT-002 or a paragraph such as "(f)(2)".'
    )
    say(f"progdoc explain: nothing is known under “{options.what}”.{hint}", file=sys.stderr)
    return UNUSABLE


def _schema(_options: argparse.Namespace) -> int:
    from progdoc.model.schema import schema_json

    show(schema_json())
    return OK


COMMANDS: dict[str, Callable[[argparse.Namespace], int]] = {
    "start": _start,
    "check": _check,
    "build": _build,
    "select": _select,
    "due": _due,
    "sheets": _sheets,
    "unconfirmed": _unconfirmed,
    "compare": _compare,
    "issue": _issue,
    "renew": _renew,
    "record": _record,
    "desk": _desk,
    "explain": _explain,
    "schema": _schema,
}
