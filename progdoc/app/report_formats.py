"""The report of a check in each format it may be asked for."""

from __future__ import annotations

from progdoc.app.check import Checked
from progdoc.core.public_report import public_part

__all__ = ["report_in"]


def report_in(checked: Checked, form: str, names: bool) -> bytes:
    """Return the report as json, sarif, junit, html or md; without `names` findings about people are counted."""
    report = checked.report if names else public_part(checked.report)
    if form == "json":
        from progdoc.writers.diagnostics_json import report_json

        return report_json(report)
    if form == "sarif":
        from progdoc.writers.diagnostics_sarif import report_sarif

        return report_sarif(report)
    if form == "junit":
        from progdoc.writers.diagnostics_junit import report_junit

        return report_junit(report)
    from progdoc.document.papers.gap_report import gap_document
    from progdoc.document.papers.written_program import is_draft
    from progdoc.writers import WRITERS

    draft = checked.judged is None or is_draft(checked.judged)
    program = checked.loaded.program
    return WRITERS[form](gap_document(report, program.organisation.name or "" if program else "", draft))
