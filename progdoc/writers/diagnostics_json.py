"""Findings for other programs, in the format "progdoc-gaps/1". Its keys are public and only ever added to."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from io import BytesIO
from json.encoder import encode_basestring as _quoted

from progdoc.core.barred import Barred, barred_words
from progdoc.core.diagnostics import Audience, Diagnostic, Location
from progdoc.core.json_text import indented_json
from progdoc.core.questions import AskedField, Question, missing_answers
from progdoc.core.report import (
    Report,
    RequirementStatus,
    accepted_count,
    in_order,
    is_accepted,
    severity_counts,
)

__all__ = ["FORMAT", "report_json"]

FORMAT = "progdoc-gaps/1"


def _finding(finding: Diagnostic) -> dict[str, object]:
    return {
        "code": finding.code,
        "name": finding.name,
        "severity": finding.severity,
        "scope": finding.scope,
        "audience": finding.audience,
        "citation": finding.citation,
        "subject": finding.subject,
        "where": _place(finding.location),
        "what": finding.what,
        "why": finding.why,
        "fix": finding.fix,
        "ground": finding.ground,
        "accepted": finding.accepted if is_accepted(finding) else "",
    }


def _question(question: Question) -> dict[str, object]:
    return {
        "id": question.id,
        "section": question.section,
        "subject": question.subject,
        "names": question.names,
        "asks": question.asks,
        "why": question.why,
        "cites": question.cites,
        "where": _place(question.where),
        "fields": [_field(field) for field in question.fields],
        "type": question.to_type,
        "adopts": {"paragraph": question.adopts, "path": question.adopted_at} if question.adopts else None,
        "danger": question.is_danger,
        "missing": question.is_missing,
        "decides": question.decides,
        "settles": question.settles,
    }


def _barred(report: Report, one: Barred) -> dict[str, object]:
    told = barred_words(one, report.names)
    return {"task": one.task, "why": one.why, "masks": one.masks, "people": one.people, "of": one.named, "told": told}


def _field(field: AskedField) -> dict[str, object]:
    return {
        "path": field.path,
        "title": field.title,
        "kind": field.kind,
        "list": field.is_list,
        "choices": field.choices,
        "examples": field.examples,
        "description": field.description,
    }


def _place(place: Location) -> dict[str, object]:
    return {"file": place.file, "line": place.line, "column": place.column, "path": place.path}


def _requirements(rows: Iterable[RequirementStatus]) -> Iterator[str]:
    """Yield each row as the library writes it: there are sixty of each wearer, which go no way round by a dict.

    Duties, subjects and reasons come over and over, and are written once.
    """
    duties: dict[tuple[str, str, str], str] = {}
    subjects: dict[tuple[str, ...], str] = {}
    reasons: dict[tuple[str, str], str] = {}
    for code, name, citation, status, because, subject, evidence, answered in rows:
        duty = duties.get((code, name, citation))
        if duty is None:
            told = zip(("code", "name", "citation"), (code, name, citation), strict=True)
            duty = "{" + ",".join(f'\n      "{key}": {_quoted(words)}' for key, words in told)
            duties[code, name, citation] = duty
        about = subjects.get(subject)
        if about is None:
            about = subjects[subject] = _texts(subject)
        reason = reasons.get((status, because))
        if reason is None:
            reason = f'"status": {_quoted(status)},\n      "because": {_quoted(because)}'
            reasons[status, because] = reason
        yield (
            f'{duty},\n      "subject": {about},\n      {reason},'
            f'\n      "evidence": {_texts(evidence)},\n      "answered_in": {_texts(answered)}\n    }}'
        )


def _texts(texts: tuple[str, ...]) -> str:
    if not texts:
        return "[]"
    lines = ",\n        ".join(map(_quoted, texts))
    return f"[\n        {lines}\n      ]"


def report_json(report: Report) -> bytes:
    """Return the report as JSON. A public one says under "restricted" how many findings and questions it leaves out."""
    asked = report.questions + report.withheld_questions
    value: dict[str, object] = {
        "format": FORMAT,
        "on": report.on.isoformat(),
        "rules": {"pack": report.rules_pack, "version": report.rules_version},
        "program": {"title": report.title, "revision": report.revision},
        "summary": severity_counts(report) | {"accepted": accepted_count(report), "answers": missing_answers(asked)},
    }
    if report.site:
        value["site"] = {"name": report.site, "required_elsewhere": report.elsewhere}
    if report.is_public:
        counts = severity_counts(report, audience=Audience.RESTRICTED)
        value["restricted"] = counts | {"answers": missing_answers(report.withheld_questions)}
    head = indented_json(value)
    rows = sorted(report.requirements, key=lambda row: (row.code, row.subject, row.because))
    lists: dict[str, Iterable[str]] = {
        "barred": _indented(_barred(report, one) for one in report.barred),
        "questions": _indented(map(_question, report.questions)),
        "findings": _indented(map(_finding, in_order(report))),
        "requirements": _requirements(rows),
    }
    told = BytesIO()
    told.write(_bytes(head.removesuffix("\n}")))
    for name, entries in lists.items():
        told.writelines(_listed(name, entries))
    told.write(b"\n}\n")
    return told.getvalue()


# ---- the text of what is many -------------------------------------------------------------------------

_ENTRY, _KEY = "\n    ", "\n  "


def _indented(entries: Iterable[dict[str, object]]) -> Iterator[str]:
    return (indented_json(entry, _ENTRY) for entry in entries)


def _listed(name: str, entries: Iterable[str]) -> Iterator[bytes]:
    """Yield a list of the report as the library writes it, entry by entry: all of them as dicts take too much room."""
    yield _bytes(f",{_KEY}{indented_json(name)}: [")
    before = ""
    for entry in entries:
        yield _bytes(f"{before}{_ENTRY}{entry}")
        before = ","
    yield _bytes(f"{_KEY if before else ''}]")


def _bytes(text: str) -> bytes:
    return text.encode(errors="replace")  # half a surrogate pair is no character anywhere
