"""Compares two descriptions, folders or issued revisions, in any mix: what changed, and what it means.

Both are judged by today's rules on one day. What an issued revision was judged to be at the time is told apart:
a finding that is new on an unchanged description comes from other rules, or from the calendar.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from progdoc.app.check import Checked, check
from progdoc.app.issue import IssuedAs
from progdoc.app.manifest import ManifestInfo, with_manifests
from progdoc.comparison.changes import Change, Comparison, Side, worst_first
from progdoc.comparison.description_changes import changed_descriptions
from progdoc.comparison.findings import changed_by_rules, changed_by_time
from progdoc.comparison.meaning import changed_meaning
from progdoc.comparison.narrate import comparison_document, public_part, summary_document
from progdoc.comparison.text_changes import changed_sections, changed_words
from progdoc.core.resources import templates_root
from progdoc.core.version import __version__
from progdoc.document.papers.written_program import written_program
from progdoc.document.templating.templates import own_templates
from progdoc.document.tree.nodes import Document
from progdoc.rules.judged.result import Judged
from progdoc.writers import WRITERS
from progdoc.writers.comparison_json import comparison_json
from progdoc.writers.docx.tracked_changes import redline_docx
from progdoc.writers.redline import redline_tree
from progdoc.writers.redline_html import redline_html

__all__ = ["Compared", "Version", "changed_since_issue", "compare", "compared_files", "summary_text"]


@dataclass(frozen=True, slots=True)
class Compared:
    """A comparison, the redline as a tree with marks, and what people call the things in it."""

    comparison: Comparison
    redline: Document
    annex_redline: Document
    names: Mapping[str, str]
    organisation: str
    paper: str


@dataclass(frozen=True, slots=True)
class Version:
    """One side of a comparison."""

    name: str  # as its owner would recognise it
    checked: Checked
    issued: IssuedAs | None = None  # what it was issued as, where it is an issued revision

    @property
    def judged(self) -> Judged:
        if self.checked.judged is None:
            raise ValueError("a description with faults of form cannot be compared")
        return self.checked.judged


def compare(old: Checked | Version, new: Checked | Version) -> Compared:
    """Return how two descriptions differ that were checked for one day."""
    before, after = _version(old), _version(new)
    on = after.checked.report.on
    if before.checked.report.on != on:
        raise ValueError("descriptions that were judged for different days can't be compared")
    written = [
        written_program(side.judged, own_templates(side.checked.worn.look.templates)) for side in (before, after)
    ]
    documents = [both.program for both in written]
    tree = redline_tree(*documents)
    taken_out, put_in = changed_words(tree)
    one, other = before.judged.description, after.judged.description
    comparison = Comparison(
        old=_side(before),
        new=_side(after),
        on=on,
        meaning=worst_first((*changed_meaning(before.judged, after.judged), *changed_since_issue(before))),
        description=changed_descriptions(one, other),
        text=changed_sections(*documents),
        words_taken_out=taken_out,
        words_put_in=put_in,
    )
    names = {**_names(before.judged), **_names(after.judged)}
    annex = redline_tree(*(both.annex for both in written))
    return Compared(comparison, tree, annex, names, other.organisation.name or "", other.program.paper.value)


def compared_files(compared: Compared, author: str = "progdoc") -> dict[str, bytes]:
    """Return every file of a comparison, manifests included; what names workers stands in the restricted part alone.

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
    }
    style = (templates_root() / "style.css").read_text(encoding="utf-8")
    for name, tree in (("redline", compared.redline), ("annex-redline", compared.annex_redline)):
        files[f"{name}.html"] = redline_html(tree, style)
        files[f"{name}.docx"] = redline_docx(tree, author, f"{whole.on.isoformat()}T00:00:00Z")
    if public.withheld:
        files["restricted/comparison.html"] = WRITERS["html"](comparison_document(whole, names, *about))
        files["restricted/comparison.json"] = comparison_json(whole)
    return with_manifests(files, ManifestInfo(whole.new.revision, whole.on, __version__, whole.new.rules))


def summary_text(compared: Compared) -> str:
    """Return the one-page summary for a terminal, workers' names included."""
    about = (compared.organisation, compared.paper)
    return WRITERS["md"](summary_document(compared.comparison, compared.names, *about)).decode()


# ---- the two sides ------------------------------------------------------------------------------------


def _version(side: Checked | Version) -> Version:
    return side if isinstance(side, Version) else Version(side.loaded.description.name, side)


def _side(side: Version) -> Side:
    report = side.checked.report
    rules = side.issued.sheet.rules if side.issued else f"{report.rules_pack} {report.rules_version}"
    return Side(side.name, report.title, report.revision, rules, side.issued is not None)


def _names(judged: Judged) -> dict[str, str]:
    tasks = judged.index.tasks
    agents = {f"hazards.{h.id}": f"{h.agent} in “{tasks[h.task][1].name}”" for h in judged.description.hazards}
    return {**judged.index.names, **agents}


def changed_since_issue(version: Version) -> tuple[Change, ...]:
    """Return what became of an issued revision's findings through other rules, and through time."""
    if version.issued is None or version.issued.findings is None:
        return ()
    sheet, told = version.issued.sheet, version.issued.findings
    report = version.checked.report
    today = f"{report.rules_pack} {report.rules_version}"
    then = check(version.checked.loaded, sheet.issued_on).report.findings
    by_rules = changed_by_rules(told, then) if (sheet.rules, sheet.progdoc) != (today, __version__) else ()
    by_time = changed_by_time(then, report.findings) if report.on != sheet.issued_on else ()
    return *by_rules, *by_time
