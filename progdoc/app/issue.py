"""What a numbered revision freezes: the description, every file made from it, the date and the rules.

Each holds the digests of those that were issued before it and that no other one holds yet: whoever can prove the
last one has proved the whole chain.

Refused while the written program lacks something required, while the revision history does not say what
changed, and while a line of it names a worker on the cover and nobody answers for that. A person's or a device's
record that is not in order keeps nobody else from having a program: it is listed on the officer's sheet.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Mapping
from datetime import date
from itertools import chain
from pathlib import PurePosixPath
from typing import Any

from progdoc.app.build import built, manifest_info
from progdoc.app.check import Checked
from progdoc.app.file_faults import FILE_FAULTS
from progdoc.app.manifest import MANIFEST, SHEET, Content, and_manifests, is_safe_name, whole
from progdoc.app.ssh_signature import SIGNATURE, Signer
from progdoc.core.diagnostics import Diagnostic, Location, Severity
from progdoc.core.judged_days import can_be_judged_for
from progdoc.core.late_dataclass import dataclass
from progdoc.core.said import said, same, with_lines
from progdoc.model.description.program import Program
from progdoc.model.load import Loaded, named_beside

__all__ = [
    "DESCRIPTION",
    "OPENED",
    "RULES",
    "IssueSheet",
    "IssuedAs",
    "Predecessor",
    "description_files",
    "faults_of_revision",
    "findings_in",
    "frozen_description",
    "issued_files",
    "sheet_in",
]

DESCRIPTION = "restricted/description/"  # it names the workers
RULES = "rules/"  # the packs that were laid over the federal rules, each in a folder with its number
OPENED = "Renewal opened; say here what changed before it is issued."  # what `renew` leaves for the officer
_FORMAT = "progdoc-issue/1"
_NAMED_ON_THE_COVER = "PRG-077"


@dataclass(frozen=True, slots=True)
class Predecessor:
    """A revision that was issued before, with the digest of its manifest at that time."""

    revision: str
    manifest_sha256: str


@dataclass(frozen=True, slots=True)
class IssueSheet:
    """What an issued revision says of itself."""

    revision: str
    title: str
    issued_on: date
    rules: str
    progdoc: str
    after: tuple[Predecessor, ...] = ()


@dataclass(frozen=True, slots=True)
class IssuedAs:
    """What a revision was issued as: its sheet, and the findings of that day; None where they are lost."""

    sheet: IssueSheet
    findings: tuple[dict[str, Any], ...] | None


def issued_files(
    checked: Checked,
    after: Iterable[Predecessor] = (),
    packs: Mapping[str, bytes] | None = None,
    signer: Signer | None = None,
) -> Iterator[tuple[str, Content]]:
    """Yield every file of an issued revision, its manifests last, and behind them their signature.

    Parameters
    ----------
    after
        The revisions whose digests it is to hold.
    packs
        The files of the packs of rules that it was judged by beside the federal ones, by their frozen names.
    signer
        By whose key the manifest is signed, if by any.
    """
    program, info = _program(checked), manifest_info(checked)
    title = program.program.title or ""
    sheet = IssueSheet(info.revision, title, info.on, info.rules_version, info.version, tuple(after))
    frozen = frozen_description(checked.loaded)
    sheet_file = (SHEET, _sheet_json(sheet))
    files = chain(built(checked), frozen.items(), (packs or {}).items(), [sheet_file])
    for name, data in and_manifests(files, info):
        yield name, data
        if name == MANIFEST and signer is not None:
            yield SIGNATURE, signer.sign(whole(data))


def frozen_description(loaded: Loaded) -> dict[str, bytes]:
    """Return the files of the description as they are, with all that they name beside them, by their frozen names."""
    return {DESCRIPTION + PurePosixPath(name).as_posix(): data for name, data in description_files(loaded).items()}


def description_files(loaded: Loaded) -> dict[str, bytes]:
    """Return the files of a description that was understood: YAML, the table of people, attachments, its look."""
    attachments = loaded.program.attachments if loaded.program else ()
    look = f"{named_beside(loaded.description).look}/"
    names = [*loaded.description.files, *(attachment.file for attachment in attachments)]
    names += [name for name in loaded.files if look != "/" and name.startswith(look)]
    found = {name: loaded.content(name) for name in names}
    return {name: content for name, content in found.items() if content is not None}


def sheet_in(data: bytes) -> IssueSheet | None:
    """Return what an issued revision says of itself; None where the sheet is none of ours, or damaged."""
    try:
        value = json.loads(data)
        if value["format"] != _FORMAT:
            return None
        texts = {name: str(value[name]) for name in ("revision", "title", "rules", "progdoc")}
        issued_on = date.fromisoformat(value["issued_on"])
        after = tuple(Predecessor(str(e["revision"]), str(e["manifest_sha256"])) for e in value.get("after", ()))
        return IssueSheet(issued_on=issued_on, after=after, **texts) if can_be_judged_for(issued_on) else None
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError):
        return None


def findings_in(report: bytes) -> tuple[dict[str, Any], ...] | None:
    """Return the findings of a report that was issued; None where it is damaged."""
    try:
        findings = json.loads(report)["findings"]
        keys = ("code", "subject", "what", "severity", "accepted", "audience")
        return tuple(findings) if all(key in finding for finding in findings for key in keys) else None
    except (ValueError, KeyError, TypeError, RecursionError):
        return None


def _program(checked: Checked) -> Program:
    if checked.judged is None:
        raise ValueError("a description with faults of form can't be issued")
    return checked.judged.description


def _sheet_json(sheet: IssueSheet) -> bytes:
    value = {
        "format": _FORMAT,
        "revision": sheet.revision,
        "title": sheet.title,
        "issued_on": sheet.issued_on.isoformat(),
        "rules": sheet.rules,
        "progdoc": sheet.progdoc,
        "description": DESCRIPTION,
        "after": [{"revision": e.revision, "manifest_sha256": e.manifest_sha256} for e in sheet.after],
    }
    return (json.dumps(value, ensure_ascii=False, indent=2) + "\n").encode(errors="replace")


# ---- what stands in the way ---------------------------------------------------------------------------


def faults_of_revision(checked: Checked) -> Iterator[Diagnostic]:
    """Find what keeps a description from being issued under its number, beside gaps."""
    loaded, program = checked.loaded, _program(checked)
    revision = program.program.revision
    if revision is None:
        here = loaded.locate("program.revision")
        what = said("The description gives the revision no number.")
        yield _fault("ISSUE-001", here, what, said('Write `revision: "2026.1"` under `program`.'))
        return
    if not is_safe_name(f"revision-{revision}") or "/" in revision:
        here = loaded.locate("program.revision")
        what = said("%(revision)s cannot be the name of a folder.", revision=f"`{revision}`")
        yield _fault("ISSUE-004", here, what, said('Write a number such as `revision: "2026.1"`.'))
    entries = [(i, entry) for i, entry in enumerate(program.program.history) if entry.revision == revision]
    if not entries:
        what = said("The revision history has no entry for revision %(revision)s.", revision=revision)
        fix = said("Add an entry under `program.history`, and say in it what changed:")
        fix = with_lines(fix, _history_entry(program))
        yield _fault("ISSUE-002", loaded.locate("program.history"), what, fix)
    for i, entry in entries:
        if entry.summary == OPENED:
            what = said("The history entry of revision %(revision)s does not say yet what changed.", revision=revision)
            here = loaded.locate(f"program.history[{i}].summary")
            yield _fault("ISSUE-002", here, what, said("Write in a line what changed."))
    named = (one.location for one in checked.report.findings if one.code == _NAMED_ON_THE_COVER and not one.accepted)
    for here in dict.fromkeys(named):
        what = said("A line of the history names a worker, and is printed on the cover for everybody.")
        fix = said(
            "Leave the name to the list of people; or, where they agreed to it, say so under `accepted`,"
            " code %(code)s.",
            code=same(_NAMED_ON_THE_COVER),
        )
        yield _fault("ISSUE-022", here, what, fix)


def _history_entry(program: Program) -> str:
    """Return the entry of the revision's history that is missing, to be pasted and filled in."""
    details = program.program
    return "\n".join(
        (
            "program:",
            "  history:",
            f'    - revision: "{details.revision}"',
            f"      date: {details.effective or '# the day of this revision'}",
            f"      by: {program.officer.name or '# who wrote it'}",
            "      summary:  # what changed, in a line",
        )
    )


def _fault(code: str, location: Location, what: str, fix: str) -> Diagnostic:
    name, why = FILE_FAULTS[code]
    return Diagnostic(location, code, name, Severity.INVALID, what, why, fix)
