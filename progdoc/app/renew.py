"""Opens the next revision of a description: a copy with the number raised, a history entry begun, and a worksheet.

Everything else of the user's files is kept byte for byte: comments, order, formatting. Nothing is written over;
what the copy says is read back before it is handed out.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from progdoc.app.check import Checked, base_of, check_path
from progdoc.app.compare import changed_since_issue
from progdoc.app.issue import DESCRIPTION, OPENED, issue_sheet
from progdoc.core.diagnostics import Diagnostic, Location, Severity, worst_first
from progdoc.document.papers.renewal_sheet import Since, renewal_sheet
from progdoc.model.description.program import Program
from progdoc.model.description.words import label_of
from progdoc.model.description.workplace import Task
from progdoc.model.load import load
from progdoc.model.yaml.yaml_splice import with_entry, with_value
from progdoc.rules.judged.result import Judged
from progdoc.writers import WRITERS

__all__ = ["RENEW_FAULTS", "Renewed", "next_revision", "renew"]

RENEW_FAULTS = {
    "RENEW-001": ("folder-not-empty", "A description that somebody wrote is never overwritten."),
    "RENEW-002": ("folder-not-writable", "The new description has to be written somewhere."),
    "RENEW-003": ("revision-number-unclear", "Only from a number is it plain which one comes next."),
    "RENEW-004": ("not-to-be-spliced", "A file is changed only where it is plain what every other byte means."),
    "RENEW-005": ("effective-not-later", "A revision that takes effect before the last one would change the past."),
}
_SHEET = "renewal-worksheet"


@dataclass(frozen=True, slots=True)
class Renewed:
    """The files that were written: the description, then the worksheet."""

    folder: Path
    revision: str
    written: tuple[Path, ...]


def renew(path: Path, effective: date, out: Path, on: date, since: Path | None = None) -> Renewed | list[Diagnostic]:
    """Write the description of the next revision and its worksheet into a new folder; or return why not.

    Parameters
    ----------
    path
        The description, or an issued revision.
    effective
        The day from which the new revision applies; the worksheet is made for it.
    on
        The day on which the revision is opened.
    since
        The last issued revision, to tell who came and left and what other rules changed.
    """
    sheet = issue_sheet(path)
    since = path if sheet else since
    path = path / DESCRIPTION if sheet else path
    checked = check_path(path, effective)
    if checked.judged is None:
        return worst_first(list(checked.report.findings))
    program = checked.judged.description
    revision = next_revision(program.program.revision or "", effective)
    faults = _faults(checked, program, revision, effective, out)
    if faults or revision is None:
        return faults
    entry = {
        "revision": revision,
        "date": effective.isoformat(),
        "by": program.officer.name or "the respiratory protection officer",
        "summary": OPENED,
    }
    files = _spliced(path, checked, program, entry)
    if isinstance(files, Diagnostic):
        return [files]
    happened = _since(since, checked.judged, on)
    if isinstance(happened, list):
        return happened
    document = renewal_sheet(checked.judged, revision, happened)
    sheets = {f"{_SHEET}.{name}": WRITERS[name](document) for name in ("html", "docx")}
    return _written(out, files, sheets, entry)


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


def _faults(checked: Checked, program: Program, revision: str | None, effective: date, out: Path) -> list[Diagnostic]:
    found = []
    if out.exists() and (not out.is_dir() or any(out.iterdir())):
        found.append(_fault("RENEW-001", _at(out), f"{out} is not an empty folder.", "Name a new folder after -o."))
    if revision is None:
        here = checked.loaded.locate("program.revision")
        what = f"From `{program.program.revision or ''}` it can't be told which revision comes next."
        found.append(_fault("RENEW-003", here, what, 'Write a number such as `revision: "2026.1"`.'))
    if program.program.effective is not None and effective <= program.program.effective:
        here = checked.loaded.locate("program.effective")
        what = f"The present revision applies from {program.program.effective}, the new one would from {effective}."
        found.append(_fault("RENEW-005", here, what, "Name a later day after --effective."))
    return found


def _fault(code: str, place: Location, what: str, fix: str) -> Diagnostic:
    name, why = RENEW_FAULTS[code]
    return Diagnostic(place, code, name, Severity.INVALID, what, why, fix)


def _at(path: Path) -> Location:
    return Location(str(path), 0, 0)


# ---- the new description ------------------------------------------------------------------------------


def _spliced(path: Path, checked: Checked, program: Program, entry: Mapping[str, str]) -> dict[str, bytes] | Diagnostic:
    """Return every file of the description, the one that holds `program` with the new revision in it."""
    base = base_of(path)
    names = [*checked.loaded.description.files, *(attachment.file for attachment in program.attachments)]
    files = {name: (base / name).read_bytes() for name in dict.fromkeys(names)}
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
    return files


def _written(
    out: Path, files: Mapping[str, bytes], sheets: Mapping[str, bytes], entry: Mapping[str, str]
) -> Renewed | list[Diagnostic]:
    """Write everything, and read the description back; nothing is left behind where either fails."""
    written: list[Path] = []
    try:
        for name, data in (*files.items(), *sheets.items()):
            file = out / name
            file.parent.mkdir(parents=True, exist_ok=True)
            with file.open("xb") as stream:
                stream.write(data)
            written.append(file)
    except OSError as error:
        _take_back(written)
        what = f"{error.filename or out}: {error.strerror}."
        return [_fault("RENEW-002", _at(out), what, "Name another folder after -o.")]
    program = load(out).program
    if program is None or (program.program.revision, program.program.history[-1].summary) != (
        entry["revision"],
        entry["summary"],
    ):
        _take_back(written)
        what = "The new description would not read as it should."
        return [_fault("RENEW-004", _at(out), what, "Raise the number and add the history entry by hand.")]
    return Renewed(out, entry["revision"], tuple(written))


def _take_back(written: list[Path]) -> None:
    for file in written:
        file.unlink(missing_ok=True)


# ---- since the last issue -----------------------------------------------------------------------------


def _since(issued: Path | None, judged: Judged, on: date) -> Since | list[Diagnostic]:
    """Return who came and left, and what other rules changed, since an issued revision."""
    if issued is None:
        return Since()
    sheet = issue_sheet(issued)
    before = check_path(issued / DESCRIPTION if sheet else issued, on)
    if before.judged is None:
        return worst_first(list(before.report.findings))
    then, now = before.judged.index, judged.index
    came = [p for p in now.description.people if p.id not in then.people]
    left = [p for p in then.description.people if p.id not in now.people]
    changes = changed_since_issue(issued, before) if sheet else ()
    return Since(
        words=f"Compared with revision {before.report.revision}, rules {sheet.rules}." if sheet else "",
        came=tuple((label_of(p), _tasks(now.tasks_by_person.get(p.id, ()))) for p in came),
        left=tuple((label_of(p), _tasks(then.tasks_by_person.get(p.id, ()))) for p in left),
        by_rules=tuple((f"{change.what}, {change.kind.value}", change.new, change.old) for change in changes),
    )


def _tasks(pairs: Iterable[tuple[str, Task]]) -> str:
    return ", ".join(task.name for _, task in pairs) or "no task"
