"""Opens the next revision of a description: a copy with the number raised, a history entry begun, and a worksheet.

Everything else of the user's files is kept byte for byte: comments, order, formatting. What the copy says is read
back before it is handed out.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date

from progdoc.app.check import Checked
from progdoc.app.compare import Version, changed_since_issue
from progdoc.app.file_faults import FILE_FAULTS
from progdoc.app.issue import OPENED, description_files
from progdoc.core.diagnostics import Diagnostic, Location, Severity
from progdoc.document.papers.renewal_sheet import Since, renewal_sheet
from progdoc.model.description.words import label_of
from progdoc.model.description.workplace import Task
from progdoc.model.load import load
from progdoc.model.yaml.yaml_splice import with_entry, with_value
from progdoc.rules.judged.result import Judged
from progdoc.writers import WRITERS

__all__ = ["Renewal", "faults_of_renewal", "next_revision", "renewal"]

_SHEET = "renewal-worksheet"


@dataclass(frozen=True, slots=True)
class Renewal:
    """The next revision's number, and its files by name: the description, then the worksheet."""

    revision: str
    files: Mapping[str, bytes]


def renewal(checked: Checked, effective: date, since: Version | None = None) -> Renewal | Diagnostic:
    """Return the description of the next revision with its worksheet; or why there can be none.

    Parameters
    ----------
    checked
        The present description, judged for the day from which the new revision applies.
    effective
        That day.
    since
        What was issued last, to tell who came and left and what other rules changed.
    """
    judged = _judged(checked)
    program = judged.description
    revision = next_revision(program.program.revision or "", effective) or ""
    entry = {
        "revision": revision,
        "date": effective.isoformat(),
        "by": program.officer.name or "the respiratory protection officer",
        "summary": OPENED,
    }
    files = _spliced(checked, entry)
    if isinstance(files, Diagnostic):
        return files
    document = renewal_sheet(judged, revision, _since(since, judged))
    sheets = {f"{_SHEET}.{name}": WRITERS[name](document) for name in ("html", "docx")}
    return Renewal(revision, {**files, **sheets})


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


def _spliced(checked: Checked, entry: Mapping[str, str]) -> dict[str, bytes] | Diagnostic:
    """Return every file of the description, the one that holds `program` with the new revision in it."""
    files = description_files(checked.loaded)
    here = checked.loaded.locate("program")
    data = files[here.file]
    mark = b"\xef\xbb\xbf" if data.startswith(b"\xef\xbb\xbf") else b""
    text = data.removeprefix(mark).decode("utf-8")
    try:
        text = with_value(text, ["program", "revision"], entry["revision"])
        text = with_value(text, ["program", "effective"], entry["date"])
        text = with_entry(text, ["program", "history"], entry)
    except KeyError:
        what = f"{here.file} does not hold `program` in a form in which single values can be replaced."
        return _fault("RENEW-004", here, what, "Write `program:` with its values on lines of their own, and try again.")
    files[here.file] = mark + text.encode("utf-8")
    if not _reads_as(files, entry):
        what = "The new description would not read as it should."
        return _fault("RENEW-004", here, what, "Raise the number and add the history entry by hand.")
    return files


def _reads_as(files: Mapping[str, bytes], entry: Mapping[str, str]) -> bool:
    program = load(files).program
    if program is None or not program.program.history:
        return False
    return (program.program.revision, program.program.history[-1].summary) == (entry["revision"], entry["summary"])


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
