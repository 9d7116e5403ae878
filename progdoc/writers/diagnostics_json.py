"""Findings for other programs, in the format "progdoc-gaps/1". Its keys are public and only ever added to."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator
from json.encoder import encode_basestring as _quoted
from operator import itemgetter

from progdoc.core.barred import Barred, barred_words
from progdoc.core.diagnostics import Audience, Diagnostic, Location
from progdoc.core.json_text import indented_json
from progdoc.core.questions import AskedField, Question, missing_answers
from progdoc.core.report import (
    Report,
    RequirementStatus,
    StatusOfMany,
    accepted_count,
    in_groups,
    is_accepted,
    severity_counts,
)
from progdoc.core.report_order import in_order

__all__ = ["FORMAT", "report_json", "report_json_parts"]

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


def _requirements(rows: Collection[RequirementStatus]) -> Iterator[str]:
    """Yield each row as the library writes it, sorted: there are sixty of each wearer, who mostly stand alike.

    What is the same for all who stand alike is written once, with marks where subject and record of each are told.
    """
    by_code: dict[str, list[StatusOfMany]] = {}
    for group in in_groups(rows):
        by_code.setdefault(group[0].code, []).append(group)
    subjects: dict[tuple[str, ...], str] = {}
    for _, groups in sorted(by_code.items()):
        duties: dict[tuple[str, ...], tuple[str, str]] = {}
        told: list[tuple[tuple[str, ...], str, str]] = []
        for row, members in groups:
            duty = duties.get(row[:5])
            before, reason = duty or duties.setdefault(row[:5], _duty(row))
            first = members[0][1]
            shown, after = _texts(row.evidence), f',\n      "answered_in": {_texts(row.answered_in)}\n    }}'
            if first and first in shown:
                shown = _texts(tuple(_marked(path, first) for path in row.evidence))
            for subject, place in members:
                about = subjects.get(subject) or subjects.setdefault(subject, _texts(subject))
                own = shown.replace(_PLACE, place) if _PLACE in shown else shown
                told.append((subject, row.because, f"{before}{about}{reason}{own}{after}"))
        told.sort(key=itemgetter(0, 1))
        yield from map(itemgetter(2), told)


_PLACE = "\x7f"  # stands for the place of a record, in places alone


def _marked(path: str, record: str) -> str:
    """Return a place with a mark for that of the record that it lies in."""
    return _PLACE + path.removeprefix(record) if path.startswith(record) else path


def _duty(row: RequirementStatus) -> tuple[str, str]:
    """Return what a row says before its subject, and how matters stand."""
    duty = zip(("code", "name", "citation"), (row.code, row.name, row.citation), strict=True)
    told = ",".join(f'\n      "{key}": {_quoted(words)}' for key, words in duty)
    reason = f'"status": {_quoted(row.status)},\n      "because": {_quoted(row.because)}'
    return f'{{{told},\n      "subject": ', f',\n      {reason},\n      "evidence": '


def _texts(texts: tuple[str, ...]) -> str:
    if not texts:
        return "[]"
    lines = ",\n        ".join(map(_quoted, texts))
    return f"[\n        {lines}\n      ]"


def report_json(report: Report) -> bytes:
    """Return the report as JSON. A public one says under "restricted" how many findings and questions it leaves out."""
    return b"".join(report_json_parts(report))


def report_json_parts(report: Report) -> Iterator[bytes]:
    """Yield the same, part by part: of many people it is too long to be held."""
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
    lists: dict[str, Iterable[str]] = {
        "barred": _indented(_barred(report, one) for one in report.barred),
        "questions": _indented(map(_question, report.questions)),
        "findings": _indented(map(_finding, in_order(report))),
        "requirements": _requirements(report.requirements),
    }
    yield _bytes(head.removesuffix("\n}"))
    for name, entries in lists.items():
        yield from _listed(name, entries)
    yield b"\n}\n"


# ---- the text of what is many -------------------------------------------------------------------------

_ENTRY, _KEY = "\n    ", "\n  "
_AT_A_TIME = 200_000  # characters


def _indented(entries: Iterable[dict[str, object]]) -> Iterator[str]:
    return (indented_json(entry, _ENTRY) for entry in entries)


def _listed(name: str, entries: Iterable[str]) -> Iterator[bytes]:
    """Yield a list of the report as the library writes it, some entries at a time: all of them take too much room."""
    yield _bytes(f",{_KEY}{indented_json(name)}: [")
    some: list[str] = []
    size, before, after = 0, _ENTRY, ""
    for entry in entries:
        some.append(entry)
        size += len(entry)
        if size > _AT_A_TIME:
            yield _bytes(before + f",{_ENTRY}".join(some))
            size, before, after = 0, f",{_ENTRY}", _KEY
            some.clear()
    if some:
        yield _bytes(before + f",{_ENTRY}".join(some))
        after = _KEY
    yield _bytes(f"{after}]")


def _bytes(text: str) -> bytes:
    return text.encode(errors="replace")  # half a surrogate pair is no character anywhere
