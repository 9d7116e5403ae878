"""Opens the next revision of a description: a copy with the number raised, a history entry begun, and a worksheet.

Read in again, the completed worksheet is entered into the copy. Everything else of the user's files is kept byte for
byte: comments, order, formatting. What the copy says is read back before it is handed out, and what nobody has
answered stands in it as an open point.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from progdoc.app.check import Checked, check
from progdoc.app.compare import Version, changed_since_issue
from progdoc.app.file_faults import FILE_FAULTS
from progdoc.app.issue import OPENED
from progdoc.app.renewal_answers import Answers, answers_in
from progdoc.app.renewed_files import Entered, Files, Point, changed_file, file_of, with_answers, with_points
from progdoc.core.diagnostics import Diagnostic, Location, Severity
from progdoc.core.lines import Line
from progdoc.document.papers.renewal_changes import renewal_changes
from progdoc.document.papers.renewal_questions import asked_of
from progdoc.document.papers.renewal_sheet import Since, renewal_sheet
from progdoc.model.description.words import label_of
from progdoc.model.description.workplace import Task
from progdoc.model.load import load
from progdoc.model.yaml.yaml_splice import with_entry, with_value
from progdoc.rules.judged.result import Judged
from progdoc.writers import WRITERS

__all__ = ["Renewal", "faults_of_renewal", "is_opened", "next_revision", "renewal", "renewal_lines"]

_SHEET = "restricted/renewal-worksheet"  # it names the workers, as the other two do
_SAVED = "renewal-answers.json"
_CHANGES = "restricted/renewal-changes.html"


@dataclass(frozen=True, slots=True)
class Renewal:
    """The next revision's number, and its files by name: the description, then the worksheet.

    Where a worksheet was read in: what was entered of it, what a person has to enter, and what is still missing.
    """

    revision: str
    files: Mapping[str, bytes]
    changes: tuple[str, ...] = ()
    by_hand: tuple[str, ...] = ()
    missing: tuple[str, ...] = ()


def renewal(
    checked: Checked, effective: date, since: Version | None = None, answers: tuple[str, bytes] | None = None
) -> Renewal | list[Diagnostic]:
    """Return the description of the next revision with its worksheet; or why there can be none.

    Parameters
    ----------
    checked
        The present description, or the one that a renewal has opened, judged for the day from which the new revision
        applies.
    effective
        That day.
    since
        What was issued last, to tell who came and left and what other rules changed.
    answers
        A completed worksheet, if there is one: its name and what it holds.
    """
    judged = _judged(checked)
    opened = is_opened(checked, effective)
    revision = _revision(checked, effective)
    asked = asked_of(judged)
    points = tuple((one.question, one.item.id) for one in asked)
    if opened:
        waiting = {
            (point.question, about)
            for point in judged.description.renewal
            if not point.to_enter
            for about in point.about or ("",)
        }
        points = tuple(point for point in points if point in waiting)
    read = Answers()
    if answers is not None:
        name, data = answers
        found = answers_in(data, name, asked, _mark(judged, revision, effective))
        if isinstance(found, list):
            return found
        read = found
    try:
        files, entered = with_answers(checked.loaded, read.given)
        files = _numbered(checked, files, revision, effective, read.summary, opened)
        answered = {(answer.asked.question, answer.asked.item.id) for answer in read.given}
        points = tuple(point for point in points if point not in answered)
        files = with_points(files, points, entered.to_enter)
    except KeyError as error:
        return [_not_spliced(checked, str(error.args[0]))]
    return _renewal(checked, files, _Done(revision, effective, read, entered, points), since)


@dataclass(frozen=True, slots=True)
class _Done:
    """What was done so far."""

    revision: str
    effective: date
    read: Answers
    entered: Entered
    points: tuple[Point, ...]


def _renewal(checked: Checked, files: Files, done: _Done, since: Version | None) -> Renewal | list[Diagnostic]:
    new = check(load(files, checked.loaded.description.name), done.effective)
    if new.judged is None or not _is_opened_as(new.judged, done):
        return [_not_spliced(checked, "the new description would not read as it should")]
    mark = _mark(new.judged, done.revision, done.effective)
    since_words = _since(since, new.judged)
    sheets: Files = {}
    if done.points:
        document = renewal_sheet(new.judged, done.revision, mark, since_words, _SAVED, frozenset(done.points))
        sheets = {f"{_SHEET}.{name}": WRITERS[name](document) for name in ("html", "docx")}
    open_still = tuple(one.named for one in asked_of(new.judged) if (one.question, one.item.id) in done.points)
    otherwise = tuple(
        f"{named}: shown otherwise when it was answered" for named in done.read.shown_otherwise if named in open_still
    )
    missing = (*done.read.missing, *otherwise, *(f"{named}: not answered" for named in open_still))
    entered = done.entered
    result = Renewal(done.revision, {}, tuple(entered.changes), tuple(entered.by_hand), _once(missing))
    if done.read != Answers():
        told = renewal_changes(new.judged, done.revision, result.changes, result.by_hand, result.missing)
        sheets[_CHANGES] = WRITERS["html"](told)
    return Renewal(result.revision, {**files, **sheets}, result.changes, result.by_hand, result.missing)


def renewal_lines(done: Renewal) -> Iterator[list[Line]]:
    """Return what becomes of a completed worksheet for a terminal."""
    parts = (
        ("Entered", done.changes),
        ("To be entered by hand", done.by_hand),
        ("Still missing on the worksheet", done.missing),
    )
    for title, lines in parts:
        yield [Line(f"{title}:{'' if lines else ' nothing'}"), *(Line(line, "  ", "    ") for line in lines)]


def _once(lines: Sequence[str]) -> tuple[str, ...]:
    """Return the lines, of those about one thing the first."""
    first: dict[str, str] = {}
    for line in lines:
        first.setdefault(line.rpartition(": ")[0], line)
    return tuple(first.values())


def _mark(judged: Judged, revision: str, effective: date) -> str:
    """Return what a worksheet says of itself, on one line."""
    firm = judged.description.organisation.name or "a firm without a name"
    return " ".join(f"Revision {revision} from {effective.isoformat()} of {firm}".split())


def is_opened(checked: Checked, effective: date) -> bool:
    """Whether the description is one that a renewal for this day has opened already."""
    program = _judged(checked).description
    return bool(program.renewal) and program.program.effective == effective


def _revision(checked: Checked, effective: date) -> str:
    present = _judged(checked).description.program.revision or ""
    return present if is_opened(checked, effective) else next_revision(present, effective) or ""


def _judged(checked: Checked) -> Judged:
    if checked.judged is None:
        raise ValueError("a description with faults of form can't be renewed")
    return checked.judged


def next_revision(revision: str, effective: date) -> str | None:
    """Return the number after a revision's; None where it has none to count on.

    >>> [next_revision(number, date(2027, 3, 1)) for number in ("2027.1", "2026.1", "7", "first")]
    ['2027.2', '2027.1', '8', None]
    """
    by_year = re.fullmatch(r"(\d{4})\.(\d+)", revision)
    if by_year:
        is_same_year = int(by_year[1]) >= effective.year
        return f"{by_year[1]}.{int(by_year[2]) + 1}" if is_same_year else f"{effective.year}.1"
    last = re.search(r"\d+(?=\D*$)", revision)
    if last is None:
        return None
    return f"{revision[: last.start()]}{int(last[0]) + 1:0{len(last[0])}d}{revision[last.end() :]}"


# ---- what stands in the way ---------------------------------------------------------------------------


def faults_of_renewal(checked: Checked, effective: date) -> list[Diagnostic]:
    """Return what keeps a description from being renewed from a day."""
    details, found = _judged(checked).description.program, []
    if is_opened(checked, effective):
        return []
    if next_revision(details.revision or "", effective) is None:
        here = checked.loaded.locate("program.revision")
        what = f"From `{details.revision or ''}` it can't be told which revision comes next."
        found.append(_fault("RENEW-003", here, what, 'Write a number such as `revision: "2026.1"`.'))
    if details.effective is not None and effective <= details.effective:
        here = checked.loaded.locate("program.effective")
        what = f"The present revision applies from {details.effective}, the new one would from {effective}."
        found.append(_fault("RENEW-005", here, what, "Name a later day after --effective."))
    return found


def _fault(code: str, place: Location, what: str, fix: str) -> Diagnostic:
    name, why = FILE_FAULTS[code]
    return Diagnostic(place, code, name, Severity.INVALID, what, why, fix)


# ---- the new description ------------------------------------------------------------------------------


def _numbered(checked: Checked, files: Files, revision: str, effective: date, summary: str, opened: bool) -> Files:
    """Return the files with the new revision in the one that holds `program`."""
    loaded, program = checked.loaded, _judged(checked).description
    name, day = file_of(loaded, "program"), effective.isoformat()
    if opened:
        last = len(program.program.history) - 1
        if summary and last >= 0 and program.program.history[last].summary == OPENED:
            place: list[str | int] = ["program", "history", last, "summary"]
            return changed_file(files, name, lambda text: with_value(text, place, summary))
        return files
    entry = {
        "revision": revision,
        "date": day,
        "by": program.officer.name or "the respiratory protection officer",
        "summary": summary or OPENED,
    }

    def with_number(text: str) -> str:
        text = with_value(text, ["program", "revision"], revision)
        text = with_value(text, ["program", "effective"], day)
        return with_entry(text, ["program", "history"], entry)

    return changed_file(files, name, with_number)


def _not_spliced(checked: Checked, why: str) -> Diagnostic:
    here = checked.loaded.locate("program")
    what = f"{here.file} does not hold its values in a form in which single ones can be replaced ({why})."
    return _fault("RENEW-004", here, what, "Write each of its lists and values on lines of their own, and try again.")


def _is_opened_as(judged: Judged, done: _Done) -> bool:
    """Whether the new description reads as it should: its number, its day, and every point that is open."""
    program = judged.description
    kept = {(point.question, about) for point in program.renewal for about in point.about or ("",)}
    details = program.program
    is_numbered = (details.revision, details.effective) == (done.revision, done.effective) and details.history
    return bool(is_numbered) and {*done.points, *done.entered.to_enter} <= kept


# ---- since the last issue -----------------------------------------------------------------------------


def _since(version: Version | None, judged: Judged) -> Since:
    """Return who came and left, and what other rules changed, since the version that was issued last."""
    if version is None:
        return Since()
    then, now = version.judged.index, judged.index
    came = [p for p in now.description.people if p.id not in then.people]
    left = [p for p in then.description.people if p.id not in now.people]
    rules = version.issued.sheet.rules if version.issued else ""
    return Since(
        words=f"Compared with revision {version.checked.report.revision}, rules {rules}." if version.issued else "",
        came=tuple((label_of(p), _tasks(now.tasks_by_person.get(p.id, ()))) for p in came),
        left=tuple((label_of(p), _tasks(then.tasks_by_person.get(p.id, ()))) for p in left),
        by_rules=tuple((f"{c.what}, {c.kind.value}", c.new, c.old) for c in changed_since_issue(version)),
    )


def _tasks(pairs: Iterable[tuple[str, Task]]) -> str:
    return ", ".join(task.name for _, task in pairs) or "no task"
