"""What somebody said that no passage of the program prints: a short list, with the reason. Nothing said is lost."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import fields, is_dataclass
from datetime import date
from enum import StrEnum
from functools import cache
from typing import Any

from progdoc.core.numbers import long_date, stated_text
from progdoc.core.report import Status
from progdoc.core.said import changed, last_joined, said, said_choice, said_join
from progdoc.document.blocks.answers import in_quotes
from progdoc.document.tree.nodes import Block, Column, Row, Table
from progdoc.document.tree.spoken_text import text_cell
from progdoc.model.description.fields import field_at, said_in
from progdoc.model.description.words import as_printed, label_of
from progdoc.model.description.workplace import DoneBy
from progdoc.rules.judged.result import Judged
from progdoc.rules.requirement import PATHS, Requirement, Verdict

__all__ = ["printed_words", "unused_block"]

# The cover and other papers print these: the people annex has people, single masks and logs, the gap report what is
# accepted.
_ELSEWHERE = re.compile(
    r"(people|accepted|format|program|own_sections|definitions|attachments|masks\[\d+\]\.units|cylinders|posts"
    r"|filters\[\d+\]\.stock|procedures\.(cleaning|filter_changes)\.done|procedures\.evaluation\.consultations"
    r"|organisation\.(name|trade|address|employees))\b"
)
_UNNEEDED = said("No duty here asks for it.")


def unused_block(judged: Judged, printed: Sequence[Any]) -> tuple[Block, ...]:
    """Return a row for each thing and reason; empty where everything is printed. `printed`: what the program says."""
    seen = printed_words(printed)
    stands = [one.verdict for one in judged.verdicts.alike()]  # of people nothing is told here
    known: dict[str, bool] = {}  # much is said over and over: one search each
    read = {path for verdict in stands for path in (*verdict.paths, *verdict.evidence)}
    asked = {requirement.code: _asked(requirement) for requirement in judged.requirements}
    by_code: dict[str, list[Verdict]] = {}
    for verdict in stands:
        by_code.setdefault(verdict.requirement.code, []).append(verdict)
    found: dict[tuple[str, str], list[str]] = {}
    for path, value in said_in(judged.description.model_copy(update={"people": ()})):  # they are printed elsewhere
        if _ELSEWHERE.match(path):
            continue
        field = field_at(re.sub(r"\[\d+\]", "[]", path))
        is_choice = isinstance(value, bool) or bool(field and field.values)
        if {path, re.sub(r"\[\d+\]$", "", path)} & judged.adopted:
            continue  # stated by adopting, which is printed; nobody said it one by one
        if _is_judged(path, read) if is_choice else _is_printed(value, seen, known):
            continue
        words = said(
            "%(title)s: %(words)s", title=changed(field.title, str.lower) if field else path, words=_words(value)
        )
        found.setdefault((_thing(judged, path), _reason(judged, asked, by_code, path)), []).append(words)
    rows = tuple(
        Row(f"unused.{n}", tuple(map(text_cell, (thing, said_join(told, "; "), in_quotes(why)))))
        for n, ((thing, why), told) in enumerate(found.items(), 1)
    )
    columns = (Column(said("Where"), 3), Column(said("Said"), 6), Column(said("Why it is not used"), 5))
    return (Table("unused.all", "", columns, rows, is_dense=True),) if rows else ()


def printed_words(node: Any) -> str:
    """Return all words of a tree, in small letters, one part after another."""
    parts: list[str] = []
    _collect(node, parts)
    return " ".join(parts).lower()


def _collect(node: Any, parts: list[str]) -> None:
    if isinstance(node, str):
        parts.append(node)
    elif isinstance(node, tuple | list):
        for one in node:
            _collect(one, parts)
    elif is_dataclass(node) and not isinstance(node, type):
        for name in _names_of(type(node)):
            _collect(getattr(node, name), parts)


@cache
def _names_of(kind: type) -> tuple[str, ...]:
    return tuple(one.name for one in fields(kind))


def _words(value: Any) -> str:
    match value:
        case StrEnum():
            return said_choice(value)
        case date():
            return long_date(value)
        case bool():
            return as_printed(value)
        case int() | float():
            return stated_text(value)
        case _:
            return changed(as_printed(value), _in_a_line)


def _in_a_line(words: str) -> str:
    return " ".join(words.split()).rstrip(".")


def _is_printed(value: Any, seen: str, known: dict[str, bool]) -> bool:
    words = _words(value).lower()
    if words not in known:
        known[words] = _stands_in(words, seen)
    return known[words]


def _stands_in(words: str, seen: str) -> bool:
    """Whether words stand in the text as words of their own. A plain search is what is fast here."""
    at = seen.find(words)
    while at >= 0:
        before, after = seen[at - 1 : at], seen[at + len(words) : at + len(words) + 1]
        if not any(beside.isalnum() or beside == "_" for beside in (before, after)):
            return True
        at = seen.find(words, at + 1)
    return False


def _is_judged(path: str, read: set[str]) -> bool:
    """Whether a verdict has looked at a yes, a no or a choice; outside the procedures, sums and tables rest on it."""
    return not path.startswith("procedures.") or any(one in read for one in _with_those_above(path))


def _with_those_above(path: str) -> Iterator[str]:
    """Yield a place and all that it is part of.

    >>> list(_with_those_above("tasks[2].masks[0].filters"))
    ['tasks', 'tasks[2]', 'tasks[2].masks', 'tasks[2].masks[0]', 'tasks[2].masks[0].filters']
    """
    yield from (path[: end.start()] for end in re.finditer(r"[.\[]", path))
    yield path


def _thing(judged: Judged, path: str) -> str:
    """Return what people call the thing that a place belongs to, or the title of its part of the description."""
    listed = re.match(r"(tasks|masks|filters|hazards|policies|bodies|roles|groups|house_rules)\[\d+\]", path)
    if listed is None:
        parts = path.split(".")
        field = field_at(re.sub(r"\[\d+\]", "[]", ".".join(parts[: -1 if len(parts) < 3 else 2])))
        return field.title if field else parts[0]
    thing = judged.index.value_at(listed[0])
    return str(getattr(thing, "agent", None) or getattr(thing, "by", None) or label_of(thing))


def _reason(
    judged: Judged, asked: Mapping[str, frozenset[str]], by_code: Mapping[str, Sequence[Verdict]], path: str
) -> str:
    task = re.match(r"tasks\[(\d+)\]", path)
    if task and judged.description.tasks[int(task[1])].done_by is not DoneBy.OUR_PEOPLE:
        return said("Our people do not do this task.")
    places = set(_with_those_above(re.sub(r"\[\d+\]", "[]", path)))
    codes = [code for code, proofs in asked.items() if not places.isdisjoint(proofs)]
    asking = [verdict for code in codes for verdict in by_code.get(code, ()) if _is_of(verdict, path)]
    if any(verdict.status in (Status.GAP, Status.UNDETERMINED) for verdict in asking):
        return said("An open point stands in its place.")
    spared = [verdict.requirement.when for verdict in asking if verdict.status is Status.NOT_APPLICABLE]
    decisive = last_joined(spared[0]) if spared else ""  # a condition names last what is most special
    return said("Asked only where %(decisive)s.", decisive=decisive) if decisive else _UNNEEDED


def _is_of(verdict: Verdict, path: str) -> bool:
    """Whether a duty was judged for the thing that a place belongs to, or for the program as a whole."""
    return not verdict.subject.path or path.startswith(f"{verdict.subject.path}.")


def _asked(requirement: Requirement) -> frozenset[str]:
    """Return the places that prove a duty."""
    above = PATHS.get(requirement.per, "")
    proofs = requirement.proof.singles()
    return frozenset(above + proof.path if proof.path.startswith(".") else proof.path for proof in proofs)
