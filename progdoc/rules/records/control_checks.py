"""Document control as a firm keeps it: reviews in time, what a document follows, known people, copies in hands."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator

from progdoc.calc.due_dates import is_overdue
from progdoc.core.numbers import long_date
from progdoc.core.said import said
from progdoc.model.description.document_control import DocumentControl
from progdoc.rules.check_result import CheckResult, result_at
from progdoc.rules.facts import Facts
from progdoc.rules.lookup.answers_said import Said, said_by
from progdoc.rules.requirement import Subject

__all__ = ["CONTROL_CHECKS"]

_BASE = "program.control"
_BETWEEN = re.compile(r"[^\w.-]")


def _control(facts: Facts) -> DocumentControl:
    return facts.description.program.control


def _reviewed_in_time(facts: Facts, _subject: Subject) -> CheckResult:
    """The day of the next review has not gone by."""
    path, due = f"{_BASE}.next_review", _control(facts).next_review
    if due is None:
        return CheckResult((path,), nothing=said("No day is set for it."))
    return result_at(path, {"due": long_date(due)} if is_overdue(due, facts.as_of) else None)


def _follows_another(facts: Facts, _subject: Subject) -> CheckResult:
    """A document supersedes another, or an earlier revision that its history knows, and is no part of itself."""
    control = _control(facts)
    troubles = [("supersedes", _superseded(facts, control))]
    if control.parent and control.number and _is_named(control.number, control.parent):
        troubles.append(
            ("parent", said("“%(parent)s” is its parent and is the document itself", parent=control.parent))
        )
    troubles += [
        (f"used_in[{i}]", said("“%(other)s” is said to rest on it and is the document itself", other=other))
        for i, other in enumerate(control.used_in)
        if control.number and _is_named(control.number, other)
    ]
    paths = (f"{_BASE}.supersedes", f"{_BASE}.parent", f"{_BASE}.used_in")
    faults = tuple((f"{_BASE}.{name}", {"trouble": trouble}) for name, trouble in troubles if trouble)
    return CheckResult(paths, faults, nothing=said("No number leads back to the document itself, or nowhere."))


def _superseded(facts: Facts, control: DocumentControl) -> str:
    text, info = control.supersedes, facts.description.program
    if not text:
        return ""
    named = set(_revisions_named(text, (info.revision or "").casefold()))
    if (info.revision or "").casefold() in named or (control.number and _words(control.number) == _words(text)):
        return said("it is said to supersede “%(text)s”, which is the document itself", text=text)
    known = {entry.revision.casefold() for entry in info.history}
    unknown = sorted(named - known) if known else []
    return (
        said("it is said to supersede revision %(unknown)s, which its history does not know", unknown=unknown[0])
        if unknown
        else ""
    )


def _revisions_named(text: str, current: str) -> Iterator[str]:
    """Yield what a text names as a revision: by that word, or by being written as ours is, unless that is a number."""
    words = _words(text)
    for before, word in zip(["", *words], words, strict=False):
        is_alike = not current.isalnum() and _shape(word) == _shape(current)
        if is_alike or before.rstrip(".") in ("revision", "rev"):
            yield word


def _words(text: str) -> list[str]:
    return [word for part in _BETWEEN.split(text.casefold()) if (word := part.strip(".-"))]


def _is_named(name: str, text: str) -> bool:
    """Whether a number stands in a text as a word of its own."""
    return name.casefold() in _words(text) or name.casefold() == text.casefold()


def _shape(word: str) -> str:
    """Return how a number is written: 2026.1 and 2025.9 are written alike."""
    return re.sub(r"\d", "9", word)


def _kept_by_known_people(facts: Facts, _subject: Subject) -> CheckResult:
    """Owner and approver stand elsewhere in the description, or hold an office by name."""
    control = _control(facts)
    is_any_named = control.owner or control.approver
    others = (text for path, text in facts.texts_in("") if not path.startswith(f"{_BASE}."))
    stated = "\n".join(others).casefold() if is_any_named else ""
    names = [name.casefold() for name in facts.names_of_ours]
    faults = tuple(
        (f"{_BASE}.{field}", {"field": field, "name": name})
        for field in ("owner", "approver")
        if (name := getattr(control, field))
        and not (name.casefold() in stated or "officer" in name.casefold() or any(n in name.casefold() for n in names))
        and not any(part.strip().casefold() in stated for part in name.split(",")[:1])
    )
    return CheckResult(
        (f"{_BASE}.owner", f"{_BASE}.approver"), faults, nothing=said("Nobody unknown is named as keeping it.")
    )


def _copies_in_hands(facts: Facts, _subject: Subject) -> CheckResult:
    """Each copy has a holder, and a number of its own."""
    path = f"{_BASE}.distribution"
    nothing = "" if _control(facts).distribution else said("No copies are listed.")
    return CheckResult((path,), tuple(_copy_troubles(facts, path)), nothing=nothing)


def _copy_troubles(facts: Facts, path: str) -> Iterator[tuple[str, dict[str, str]]]:
    seen: set[str] = set()
    for i, copy in enumerate(_control(facts).distribution):
        named = (
            said("copy %(copy_number)s", copy_number=copy.copy_number)
            if copy.copy_number
            else said("the copy in entry %(i)s", i=i + 1)
        )
        if not copy.holder or said_by(copy.holder) is not Said.ANSWER:
            yield f"{path}[{i}]", {"copy": named, "trouble": said("has no holder")}
        if copy.copy_number and copy.copy_number in seen:
            yield f"{path}[{i}].copy_number", {"copy": named, "trouble": said("is listed twice")}
        seen.add(copy.copy_number or "")


CONTROL_CHECKS: dict[str, Callable[[Facts, Subject], CheckResult]] = {
    "document-reviewed-in-time": _reviewed_in_time,
    "document-follows-another": _follows_another,
    "document-kept-by-known-people": _kept_by_known_people,
    "copies-in-hands": _copies_in_hands,
}
