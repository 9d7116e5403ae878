"""Opens the next revision of a description: a copy with the number raised, a history entry begun, and a worksheet.

Read in again, the completed worksheet is entered into the copy. Everything else of the user's files is kept byte for
byte: comments, order, formatting. What the copy says is read back before it is handed out, and what nobody has
answered stands in it as an open point.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import date

from progdoc.app.check import Checked, check
from progdoc.app.compare import Version, changed_since_issue
from progdoc.app.file_faults import FILE_FAULTS
from progdoc.app.issue import OPENED, description_files
from progdoc.app.of_site import elsewhere_than, site_name
from progdoc.app.renewal_answers import Answers, answers_in
from progdoc.app.renewed_files import Files, changed_file, file_of, with_answers, with_points
from progdoc.app.start import schema_named_in
from progdoc.core.diagnostics import Diagnostic, Location, Severity
from progdoc.core.late_dataclass import dataclass
from progdoc.core.lines import Line
from progdoc.document.papers.renewal_changes import renewal_changes
from progdoc.document.papers.renewal_questions import Point, asked_of
from progdoc.document.papers.renewal_sheet import Since, renewal_sheet
from progdoc.model.description.program import Program
from progdoc.model.description.renewal import RenewalPoint, RenewalQuestion
from progdoc.model.description.words import label_of
from progdoc.model.description.workplace import Task
from progdoc.model.load import load
from progdoc.model.yaml.yaml_splice import with_entry, with_value
from progdoc.rules.judged.result import Judged
from progdoc.writers import WRITERS

__all__ = ["Renewal", "faults_of_renewal", "is_opened", "next_revision", "renewal", "renewal_lines"]

_SHEET = "restricted/renewal-worksheet"  # it names the workers, as the other two do
_MOST_DIGITS = 18  # of a revision's number: nobody counts further
_SAVED = "renewal-answers.json"
_SUBJECTS = {  # what a question about single things is about, as subjects are named
    RenewalQuestion.TASKS: "tasks",
    RenewalQuestion.PRODUCTS: "hazards",
    RenewalQuestion.PEOPLE: "people",
    RenewalQuestion.MASKS: "masks",
    RenewalQuestion.FILTERS: "filters",
}
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
    checked: Checked,
    effective: date,
    since: Version | None = None,
    answers: tuple[str, bytes] | None = None,
    site: str | None = None,
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
    site
        The worksheet asks of this site and of the firm as a whole; what is asked of others stays open, for another
        worksheet.
    """
    opened = _opened(checked, effective)
    if isinstance(opened, Diagnostic):
        return [opened]
    judged = _judged(opened)
    asked = asked_of(judged)
    waiting = {(point.question, about) for point in _unanswered(judged) for about in point.about or ("",)}
    if not is_opened(checked, effective):
        waiting = {one.point for one in asked}
    read = Answers()
    if answers is not None:
        name, data = answers
        found = answers_in(data, name, asked, _mark(judged))
        if isinstance(found, list):
            return found
        read = found
    given = tuple(answer for answer in read.given if answer.asked.point in waiting)
    left = waiting - {answer.asked.point for answer in given}
    try:
        files, entered = with_answers(opened.loaded, given)
        files = _with_summary(opened, files, read.summary)
        new = check(load(files, checked.loaded.description.name), effective)
        if new.judged is None:
            return [_not_spliced(checked, "the new description would not read as it should")]
        left &= {one.point for one in asked_of(new.judged)}  # of what was taken out nothing is asked
        points = tuple(one.point for one in asked if one.point in left)
        files = with_points(files, points, entered.to_enter)
    except KeyError as error:
        return [_not_spliced(checked, str(error.args[0]))]
    if again := len(read.given) - len(given):
        entered.changes.append(f"Answers that were taken before, or are settled, and were not taken again: {again}.")
    if not {*points, *entered.to_enter} <= _points_of(load(files).program):
        return [_not_spliced(checked, "the new description would not read as it should")]
    of_site = frozenset(points) - _asked_elsewhere(new.judged, site)
    missing = _missing(read, [one.named for one in asked if one.point in of_site])
    done = Renewal("", {}, tuple(entered.changes), tuple(entered.by_hand), missing)
    return _with_sheets(done, new.judged, files, of_site, since, answers is not None, site_name(new.judged, site))


def _asked_elsewhere(judged: Judged, site: str | None) -> frozenset[Point]:
    """Return the points that are about other sites alone."""
    if site is None:
        return frozenset()
    elsewhere = elsewhere_than(judged, site)
    return frozenset(
        one.point
        for one in asked_of(judged)
        if f"{_SUBJECTS.get(one.question)}.{one.item.id}" in elsewhere
        or (one.question is RenewalQuestion.SITES and one.item.id != site)
    )


def _unanswered(judged: Judged) -> Iterator[RenewalPoint]:
    return (point for point in judged.description.renewal if not point.to_enter)


def _points_of(program: Program | None) -> set[Point]:
    points = program.renewal if program else ()
    return {(point.question, about) for point in points for about in point.about or ("",)}


def _missing(read: Answers, unanswered: Sequence[str]) -> tuple[str, ...]:
    """Return what a worksheet lacks: for each thing the nearest reason."""
    reasons = dict.fromkeys(unanswered, "not answered")
    reasons |= {named: "shown otherwise when it was answered" for named in read.shown_otherwise if named in reasons}
    reasons |= {named: lacks for named, lacks in read.missing if named in reasons}
    return tuple(f"{named}: {reason}" for named, reason in reasons.items())


def _with_sheets(
    done: Renewal,
    judged: Judged,
    files: Files,
    points: frozenset[Point],
    since: Version | None,
    is_read: bool,
    site: str,
) -> Renewal:
    """Return the renewal with its papers: the worksheet of what is open, and what became of the one that was read."""
    revision = judged.description.program.revision or ""
    sheets: Files = {}
    if points:
        document = renewal_sheet(judged, revision, _mark(judged), _since(since, judged), _SAVED, points, site)
        sheets = {f"{_SHEET}.{name}": WRITERS[name](document) for name in ("html", "docx", "pdf")}
    if is_read:
        told = renewal_changes(judged, revision, done.changes, done.by_hand, done.missing)
        sheets[_CHANGES] = WRITERS["html"](told)
    return replace(done, revision=revision, files={**files, **schema_named_in(files), **sheets})


def renewal_lines(done: Renewal) -> Iterator[list[Line]]:
    """Return what becomes of a completed worksheet for a terminal."""
    parts = (
        ("Entered", done.changes),
        ("To be entered by hand", done.by_hand),
        ("Still missing on the worksheet", done.missing),
    )
    for title, lines in parts:
        yield [Line(f"{title}:{'' if lines else ' nothing'}"), *(Line(line, "  ", "    ") for line in lines)]


def _mark(judged: Judged) -> str:
    """Return what a worksheet says of itself, on one line, of a description that is opened."""
    program = judged.description
    firm = program.organisation.name or "a firm without a name"
    return " ".join(f"Revision {program.program.revision} from {program.program.effective} of {firm}".split())


def is_opened(checked: Checked, effective: date) -> bool:
    """Whether the description is one that a renewal for this day has opened already."""
    program = _judged(checked).description
    return bool(program.renewal) and program.program.effective == effective


def _judged(checked: Checked) -> Judged:
    if checked.judged is None:
        raise ValueError("a description with faults of form can't be renewed")
    return checked.judged


def next_revision(revision: str, effective: date) -> str | None:
    """Return the number after a revision's; None where it has none to count on.

    >>> [next_revision(number, date(2027, 3, 1)) for number in ("2027.1", "2026.1", "7", "first")]
    ['2027.2', '2027.1', '8', None]
    """
    by_year = re.fullmatch(rf"(\d{{4}})\.(\d{{1,{_MOST_DIGITS}}})", revision)
    if by_year:
        is_same_year = int(by_year[1]) >= effective.year
        return f"{by_year[1]}.{int(by_year[2]) + 1}" if is_same_year else f"{effective.year}.1"
    last = re.search(r"(?<!\d)\d+(?=\D*$)", revision)
    if last is None or len(last[0]) > _MOST_DIGITS:
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


def _opened(checked: Checked, effective: date) -> Checked | Diagnostic:
    """Return the description with the new revision in the file that holds `program`, read back and judged."""
    if is_opened(checked, effective):
        return checked
    program = _judged(checked).description
    revision, day = next_revision(program.program.revision or "", effective) or "", effective.isoformat()
    entry = {
        "revision": revision,
        "date": day,
        "by": program.officer.name or "the respiratory protection officer",
        "summary": OPENED,
    }

    def with_number(text: str) -> str:
        text = with_value(text, ["program", "revision"], revision)
        text = with_value(text, ["program", "effective"], day)
        return with_entry(text, ["program", "history"], entry)

    try:
        files = changed_file(description_files(checked.loaded), file_of(checked.loaded, "program"), with_number)
    except KeyError as error:
        return _not_spliced(checked, str(error.args[0]))
    new = check(load(files, checked.loaded.description.name), effective)
    details = new.judged.description.program if new.judged else None
    if details is None or not details.history or (details.revision, details.effective) != (revision, effective):
        return _not_spliced(checked, "the new description would not read as it should")
    return new


def _with_summary(opened: Checked, files: Files, summary: str) -> Files:
    """Return the files with a line of the revision history that nobody has written yet."""
    history = _judged(opened).description.program.history
    if not summary or not history or history[-1].summary != OPENED:
        return files
    place = ("program", "history", len(history) - 1, "summary")
    return changed_file(files, file_of(opened.loaded, "program"), lambda text: with_value(text, place, summary))


def _not_spliced(checked: Checked, why: str) -> Diagnostic:
    here = checked.loaded.locate("program")
    what = f"{here.file} does not hold its values in a form in which single ones can be replaced ({why})."
    return _fault("RENEW-004", here, what, "Write each of its lists and values on lines of their own, and try again.")


# ---- since the last issue -----------------------------------------------------------------------------


def _since(version: Version | None, judged: Judged) -> Since:
    """Return who came and left, and what other rules changed, since the version that was issued last."""
    if version is None:
        return Since()
    then, now = version.judged.index, judged.index
    came = [p for p in now.description.people if p.id not in then.people]
    left = [p for p in then.description.people if p.id not in now.people]
    rules = version.issued.sheet.rules if version.issued else ""
    of_rules = "" if rules == f"{judged.rules_pack} {judged.rules_version}" else f", rules {rules}"
    return Since(
        words=f"Compared with revision {version.checked.report.revision}{of_rules}." if version.issued else "",
        came=tuple((label_of(p), _tasks(now.tasks_by_person.get(p.id, ()))) for p in came),
        left=tuple((label_of(p), _tasks(then.tasks_by_person.get(p.id, ()))) for p in left),
        by_rules=tuple((f"{c.what}, {c.kind.value}", c.new, c.old) for c in changed_since_issue(version)),
    )


def _tasks(pairs: Iterable[tuple[str, Task]]) -> str:
    return ", ".join(task.name for _, task in pairs) or "no task"
