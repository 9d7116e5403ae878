"""Whether an issued revision agrees with itself: its sheet, its manifests, its reports and the description it holds.

A forger who rewrites a page and the manifests beside it must rewrite all that tells the same thing as well. Whether
even that was done only a digest shows that was written down elsewhere, or a revision that was issued later.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping

from progdoc.app.check import Checked
from progdoc.app.issue import DESCRIPTION, RULES, IssueSheet, issued_files
from progdoc.app.manifest import MANIFEST, RESTRICTED_MANIFEST, SHEET, Content
from progdoc.core.version import __version__

__all__ = ["TELLING", "contradictions", "contradictions_of_description", "made_again", "why_not_made_again"]

_REPORTS = ("gaps.json", "restricted/gaps.json")
TELLING = (MANIFEST, RESTRICTED_MANIFEST, *_REPORTS)  # what tells number, day and rules beside the sheet


def contradictions(sheet: IssueSheet, papers: Mapping[str, bytes]) -> Iterator[tuple[str, str]]:
    """Find what a revision's papers say otherwise than its sheet: the name of the paper, and a sentence.

    Parameters
    ----------
    sheet
        What the revision says of itself.
    papers
        Those of `TELLING` that are there.
    """
    told = {"revision": sheet.revision, "day": sheet.issued_on.isoformat(), "rules": sheet.rules}
    for name, data in papers.items():
        found = _told_by_report(data) if name in _REPORTS else _told_by_manifest(data)
        if found is None:
            yield name, f"{name} cannot be read."
            continue
        wanted = {**told, "title": sheet.title} if name in _REPORTS else {**told, "progdoc": sheet.progdoc}
        for what, value in wanted.items():
            if found[what] != value:
                yield name, f"{SHEET} says {what} `{value}`, {name} says `{found[what]}`."


def contradictions_of_description(sheet: IssueSheet, checked: Checked) -> Iterator[tuple[str, str]]:
    """Find what the frozen description says otherwise than the sheet."""
    if checked.judged is None:
        fault = checked.report.findings[0]
        yield DESCRIPTION, f"The description that it holds cannot be understood: {fault.what}"
        return
    details = checked.judged.description.program
    for what, value, found in (("revision", sheet.revision, details.revision), ("title", sheet.title, details.title)):
        if (found or "") != value:
            yield DESCRIPTION, f"{SHEET} says {what} `{value}`, the description that it holds says `{found or ''}`."
    held = checked.report.rules_pack
    if not sheet.rules.startswith(f"{held} "):
        yield RULES, f"{SHEET} says rules `{sheet.rules}`, the packs that it holds make them `{held}`."


def _told_by_manifest(data: bytes) -> dict[str, str] | None:
    try:
        value = json.loads(data)
        return {"revision": value["revision"], "day": value["on"], **{key: value[key] for key in ("rules", "progdoc")}}
    except (ValueError, KeyError, TypeError, RecursionError):
        return None


def _told_by_report(data: bytes) -> dict[str, str] | None:
    try:
        value = json.loads(data)
        rules, program = value["rules"], value["program"]
        return {
            "revision": program["revision"],
            "title": program["title"],
            "day": value["on"],
            "rules": f"{rules['pack']} {rules['version']}",
        }
    except (ValueError, KeyError, TypeError, RecursionError):
        return None


def why_not_made_again(sheet: IssueSheet, checked: Checked) -> str:
    """Return why the revision's bytes can't be made again here; "" where they can."""
    report = checked.report
    here, there = (f"{__version__}, {report.rules_pack} {report.rules_version}", f"{sheet.progdoc}, {sheet.rules}")
    if here != there:
        return f"It was made by progdoc {there}; this is {here}."
    return "" if checked.is_understood else "The description that it holds cannot be understood."


def made_again(sheet: IssueSheet, checked: Checked, packs: Mapping[str, bytes]) -> Iterator[tuple[str, Content]]:
    """Yield every file that the frozen description makes, on the day and in the chain that the sheet tells."""
    return issued_files(checked, sheet.after, packs)
