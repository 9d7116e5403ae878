"""Compares two descriptions, folders or issued revisions, in any mix: what changed, and what it means.

Both are judged by today's rules on one day. What an issued revision was judged to be at the time is told apart:
a finding that is new on an unchanged description comes from other rules, or from the calendar.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

from progdoc import __version__
from progdoc.app.check import Checked, check, check_path
from progdoc.app.issue import DESCRIPTION, IssueSheet, issue_sheet
from progdoc.app.manifest import ManifestInfo
from progdoc.app.output_folder import WriteResult, write_set
from progdoc.compare.changes import Change, Comparison, Side, worst_first
from progdoc.compare.description_changes import changed_descriptions
from progdoc.compare.findings import changed_by_rules, changed_by_time
from progdoc.compare.meaning import changed_meaning
from progdoc.compare.narrate import comparison_document, public_part, summary_document
from progdoc.compare.text_changes import changed_sections, changed_words
from progdoc.core.diagnostics import Diagnostic
from progdoc.core.resources import templates_root
from progdoc.document.papers.written_program import program_document
from progdoc.document.templating.templates import TemplateSet
from progdoc.document.tree.nodes import Document
from progdoc.rules.judged.result import Judged
from progdoc.writers import WRITERS
from progdoc.writers.comparison_json import comparison_json
from progdoc.writers.docx.tracked_changes import redline_docx
from progdoc.writers.redline import redline_tree
from progdoc.writers.redline_html import redline_html

__all__ = ["Compared", "changed_since_issue", "compare", "compared_files", "summary_text", "write_comparison"]


@dataclass(frozen=True, slots=True)
class Compared:
    """A comparison, the redline as a tree with marks, and what people call the things in it."""

    comparison: Comparison
    redline: Document
    names: Mapping[str, str]
    organisation: str
    paper: str


@dataclass(frozen=True, slots=True)
class _Read:
    """One side: the description judged today, and what it was issued with."""

    path: Path
    checked: Checked
    sheet: IssueSheet | None

    @property
    def judged(self) -> Judged:
        if self.checked.judged is None:
            raise ValueError("a description with faults of form cannot be compared")
        return self.checked.judged


def compare(old: Path, new: Path, on: date) -> Compared | list[Diagnostic]:
    """Return how two descriptions differ; or every fault that keeps one of them from being understood."""
    sides = [_read(path, on) for path in (old, new)]
    faults = [d for side in sides if not side.checked.is_understood for d in side.checked.report.findings]
    if faults:
        return faults
    before, after = sides
    templates = TemplateSet(templates_root() / "program")
    documents = [program_document(side.judged, templates)[0] for side in sides]
    tree = redline_tree(*documents)
    taken_out, put_in = changed_words(tree)
    one, other = before.judged.description, after.judged.description
    comparison = Comparison(
        old=_side(before),
        new=_side(after),
        on=on,
        meaning=worst_first((*changed_meaning(before.judged, after.judged), *changed_since_issue(old, before.checked))),
        description=changed_descriptions(one, other),
        text=changed_sections(*documents),
        words_taken_out=taken_out,
        words_put_in=put_in,
    )
    names = {**_names(before.judged), **_names(after.judged)}
    return Compared(comparison, tree, names, other.organisation.name or "", other.program.paper.value)


def compared_files(compared: Compared, author: str) -> dict[str, bytes]:
    """Return every file of a comparison; what names workers stands in the restricted part alone.

    Parameters
    ----------
    author
        Whose changes the tracked changes are. Their date is the day of the comparison.
    """
    whole, names = compared.comparison, compared.names
    public = public_part(whole)
    about = (compared.organisation, compared.paper)
    files = {
        "summary.html": WRITERS["html"](summary_document(public, names, *about)),
        "summary.md": WRITERS["md"](summary_document(public, names, *about)),
        "comparison.html": WRITERS["html"](comparison_document(public, names, *about)),
        "comparison.md": WRITERS["md"](comparison_document(public, names, *about)),
        "comparison.json": comparison_json(public),
        "redline.html": redline_html(compared.redline, (templates_root() / "style.css").read_text(encoding="utf-8")),
        "redline.docx": redline_docx(compared.redline, author, f"{whole.on.isoformat()}T00:00:00Z"),
    }
    if public.withheld:
        files["restricted/comparison.html"] = WRITERS["html"](comparison_document(whole, names, *about))
        files["restricted/comparison.json"] = comparison_json(whole)
    return files


def summary_text(compared: Compared) -> str:
    """Return the one-page summary for a terminal, workers' names included."""
    about = (compared.organisation, compared.paper)
    return WRITERS["md"](summary_document(compared.comparison, compared.names, *about)).decode()


def write_comparison(
    compared: Compared, folder: Path, author: str, replace: bool = False
) -> WriteResult | list[Diagnostic]:
    """Write the files of a comparison into a folder, or return why they were not written."""
    comparison = compared.comparison
    info = ManifestInfo(comparison.new.revision, comparison.on, __version__, comparison.new.rules)
    return write_set(folder, compared_files(compared, author), info, replace)


# ---- the two sides ------------------------------------------------------------------------------------


def _read(path: Path, on: date) -> _Read:
    sheet = issue_sheet(path)
    return _Read(path, check_path(path / DESCRIPTION if sheet else path, on), sheet)


def _side(side: _Read) -> Side:
    report = side.checked.report
    rules = side.sheet.rules if side.sheet else f"{report.rules_pack} {report.rules_version}"
    return Side(side.path.name, report.title, report.revision, rules, side.sheet is not None)


def _names(judged: Judged) -> dict[str, str]:
    tasks = judged.index.tasks
    agents = {f"hazards.{h.id}": f"{h.agent} in “{tasks[h.task][1].name}”" for h in judged.description.hazards}
    return {**judged.index.names, **agents}


def changed_since_issue(folder: Path, checked: Checked) -> tuple[Change, ...]:
    """Return what became of an issued revision's findings through other rules, and through time.

    Parameters
    ----------
    folder
        The issued revision.
    checked
        Its description, judged today.
    """
    sheet, told = issue_sheet(folder), _issued_findings(folder)
    if sheet is None or told is None:
        return ()
    report = checked.report
    today = f"{report.rules_pack} {report.rules_version}"
    then = check(checked.loaded, sheet.issued_on).report.findings
    by_rules = changed_by_rules(told, then) if (sheet.rules, sheet.progdoc) != (today, __version__) else ()
    by_time = changed_by_time(then, report.findings) if report.on != sheet.issued_on else ()
    return *by_rules, *by_time


def _issued_findings(folder: Path) -> list[dict[str, Any]] | None:
    """Return the findings a revision was issued with; None where that report is gone or damaged."""
    try:
        value = json.loads((folder / "restricted" / "gaps.json").read_bytes())
        findings = value["findings"]
        keys = ("code", "subject", "what", "severity", "accepted", "audience")
        return findings if all(key in finding for finding in findings for key in keys) else None
    except (OSError, ValueError, KeyError, TypeError):
        return None
