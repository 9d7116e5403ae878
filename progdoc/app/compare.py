"""Compares two descriptions, folders or issued revisions, in any mix: what changed, why, and what it means.

Both are judged by today's rules on one day, and the old one on its own day too, where time has passed since: so what
time brought about is told apart from what the edits did, and what other rules say of an issued revision from both.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from progdoc.app.attachments import pictures
from progdoc.app.check import Checked, check
from progdoc.app.compared_side import (
    Version,
    changed_files,
    is_issued_by,
    judged_by_its_rules,
    judged_on_its_day,
    side_of,
)
from progdoc.app.manifest import ManifestInfo, with_manifests
from progdoc.app.of_site import compared_at
from progdoc.comparison.changes import Change, Comparison, worst_first
from progdoc.comparison.comparison_page import comparison_document
from progdoc.comparison.findings import changed_by_rules, changed_by_time
from progdoc.comparison.meaning import changed_meaning
from progdoc.comparison.public_part import public_part
from progdoc.comparison.summary import summary_document, told_shortly
from progdoc.comparison.text_changes import changed_sections, changed_words
from progdoc.core.late_dataclass import dataclass
from progdoc.core.lines import Blocks
from progdoc.core.numbers import long_date
from progdoc.core.resources import templates_root
from progdoc.core.version import __version__
from progdoc.document.papers.written_program import written_program
from progdoc.document.templating.templates import own_templates
from progdoc.document.tree.nodes import Document
from progdoc.rules.judged.result import Judged
from progdoc.writers import WRITERS
from progdoc.writers.comparison_csv import changes_csv, figures_csv
from progdoc.writers.comparison_json import comparison_json
from progdoc.writers.docx.tracked_changes import redline_docx
from progdoc.writers.redline import redline_tree
from progdoc.writers.redline_html import redline_html

__all__ = ["Compared", "Version", "changed_since_issue", "compare", "compare_at", "compared_files", "meaning_of"]
__all__ += ["names_of", "summary_lines"]


@dataclass(frozen=True, slots=True)
class Compared:
    """A comparison, the redline as a tree with marks, and what people call the things in it."""

    comparison: Comparison
    redlines: Mapping[str, Document]  # by the names of their files; none of a comparison of one site
    names: Mapping[str, str]
    organisation: str
    paper: str


def compare(old: Checked | Version, new: Checked | Version) -> Compared:
    """Return how two descriptions differ that were checked for one day."""
    before, after = _version(old), _version(new)
    meant = meaning_of(before, after)
    written = [
        written_program(
            side.judged, own_templates(side.checked.worn.look.templates), pictures=pictures(side.checked.loaded)
        )
        for side in (before, after)
    ]
    documents = [both.program for both in written]
    tree = redline_tree(*documents)
    out, put_in, moved = changed_words(tree)
    text = changed_sections(*documents)
    counted = replace(meant, words_taken_out=out, words_put_in=put_in, words_moved=moved)
    comparison = replace(counted, text=text, is_read=True)
    redlines = {"redline": tree, "annex-redline": redline_tree(*(both.annex for both in written))}
    return replace(_told(comparison, before, after), redlines=redlines)


def compare_at(before: Version, after: Version, site: str) -> Compared:
    """Return what changed at one site and of the firm as a whole; the text of the program, which is one for all, is not
    compared."""
    return _told(compared_at(meaning_of(before, after), before.judged, after.judged, site), before, after)


def _told(comparison: Comparison, before: Version, after: Version) -> Compared:
    of = after.program
    return Compared(comparison, {}, names_of(before, after), of.organisation.name or "", of.program.paper.value)


def meaning_of(before: Version, after: Version) -> Comparison:
    """Return what changed and what it means, without the printed text: nothing is written for it."""
    on = after.checked.report.on
    if before.checked.report.on != on:
        raise ValueError("descriptions that were judged for different days can't be compared")
    then = judged_on_its_day(before, after)
    by_own_rules = judged_by_its_rules(before, then.as_of if then else on)
    meant = changed_meaning(before.program, after.program, before.judged, after.judged, then, by_own_rules)
    told_by_rules = () if by_own_rules else _by_rules(before)
    return Comparison(
        old=side_of(before, then.as_of if then else on),
        new=side_of(after, on),
        on=on,
        meaning=worst_first((*meant.moved, *told_by_rules)),
        description=meant.edits,
        text=(),
        files=changed_files(before, after),
        kept_up=meant.kept_up,
        people=meant.people,
    )


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
        "figures.csv": figures_csv(public, names),
        "changes.csv": changes_csv(public, names),
    }
    style = (templates_root() / "style.css").read_text(encoding="utf-8")
    for name, tree in compared.redlines.items():
        files[f"{name}.html"] = redline_html(tree, style)
        files[f"{name}.docx"] = redline_docx(tree, author, f"{whole.on.isoformat()}T00:00:00Z")
    if public.withheld:
        files["restricted/summary.html"] = WRITERS["html"](summary_document(whole, names, *about))
        files["restricted/comparison.html"] = WRITERS["html"](comparison_document(whole, names, *about))
        files["restricted/comparison.json"] = comparison_json(whole)
        files["restricted/changes.csv"] = changes_csv(whole, names)
    return with_manifests(files, ManifestInfo(whole.new.revision, whole.on, __version__, whole.new.rules))


def summary_lines(comparison: Comparison, names: Mapping[str, str]) -> Blocks:
    """Return the one-page summary for a terminal; workers are counted, never named."""
    return told_shortly(public_part(comparison), names)


# ---- the two sides ------------------------------------------------------------------------------------


def _version(side: Checked | Version) -> Version:
    return side if isinstance(side, Version) else Version(side.loaded.description.name, side)


def names_of(before: Version, after: Version) -> dict[str, str]:
    """Return what people call the things of both sides, by their place; the new side's name counts."""
    return {**_names(before.judged), **_names(after.judged)}


# What the firm's order is made of: the list, what one of it is, and the field of its name.
_ORDER = (
    ("bodies", "body", "name"),
    ("roles", "role", "title"),
    ("groups", "group", "name"),
    ("house_rules", "rule of the firm", "says"),
)


def _names(judged: Judged) -> dict[str, str]:
    tasks = judged.index.tasks
    agents = {f"hazards.{h.id}": f"{h.agent} in “{tasks[h.task][1].name}”" for h in judged.description.hazards}
    sites = {f"organisation.sites.{site.id}": site.name for site in judged.description.organisation.sites}
    policies = {f"policies.{policy.id}": f"rules of {policy.by}" for policy in judged.description.policies}
    sections = {f"own_sections.{one.id}": f"own section “{one.title}”" for one in judged.description.own_sections}
    order = {
        f"{kind}.{one.id}": f"{words} “{name}”"
        for kind, words, names in _ORDER
        for one in getattr(judged.description, kind)
        for name in [getattr(one, names)]
    }
    schedules = "procedures.filter_changes.schedules"
    plans = judged.description.procedures.filter_changes.schedules
    told = {plan.id: f"change schedule {plan.id.replace('-', ' ')}" for plan in plans}
    cartridges = {f"{place}.{plan}": words for plan, words in told.items() for place in (schedules, "schedules")}
    found = judged.description.procedures.evaluation.findings
    findings = {f"procedures.evaluation.findings.{f.id}": f"evaluation finding of {long_date(f.date)}" for f in found}
    return {**judged.index.names, **findings, **agents, **sites, **policies, **sections, **order, **cartridges}


def changed_since_issue(version: Version) -> tuple[Change, ...]:
    """Return what became of an issued revision's findings through other rules, and through time."""
    if version.issued is None or version.issued.findings is None:
        return ()
    sheet, report = version.issued.sheet, version.checked.report
    if report.on == sheet.issued_on:
        return _by_rules(version)
    then = check(version.checked.loaded, sheet.issued_on, version.catalogue).report.findings
    return *_by_rules(version), *changed_by_time(then, report.findings)


def _by_rules(version: Version) -> tuple[Change, ...]:
    """Return what other rules say of the very description that was issued, on the day of its issue."""
    if version.issued is None or version.issued.findings is None:
        return ()
    report = version.checked.report
    if is_issued_by(version, f"{report.rules_pack} {report.rules_version}"):
        return ()
    then = check(version.checked.loaded, version.issued.sheet.issued_on, version.catalogue).report.findings
    return changed_by_rules(version.issued.findings, then)
