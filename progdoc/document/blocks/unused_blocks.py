"""What somebody said that no passage of the program prints: a short list, with the reason. Nothing said is lost."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import fields, is_dataclass
from datetime import date
from enum import StrEnum
from functools import cache
from typing import Any

from progdoc.core.numbers import long_date, stated_text
from progdoc.core.report import Status
from progdoc.document.blocks.answers import in_quotes
from progdoc.document.tree.nodes import Block, Cell, Column, Row, Table, Text
from progdoc.model.description.fields import field_at, said_in
from progdoc.model.description.words import as_printed, label_of
from progdoc.model.description.workplace import DoneBy
from progdoc.rules.judged.result import Judged
from progdoc.rules.requirement import PATHS, Verdict

__all__ = ["printed_words", "unused_block"]

# The cover and other papers print these: the people annex has people and single masks, the gap report what is accepted.
_ELSEWHERE = re.compile(
    r"(people|accepted|format|program|own_sections|attachments|masks\[\d+\]\.units|organisation\.(name|trade|address|employees))\b"
)
_UNNEEDED = "No duty here asks for it."


def unused_block(judged: Judged, printed: Sequence[Any]) -> tuple[Block, ...]:
    """Return a row for each thing and reason; empty where everything is printed. `printed`: what the program says."""
    seen = printed_words(printed)
    read = {path for verdict in judged.verdicts for path in (*verdict.paths, *verdict.evidence)}
    found: dict[tuple[str, str], list[str]] = {}
    for path, value in said_in(judged.description):
        field = field_at(re.sub(r"\[\d+\]", "[]", path))
        is_choice = isinstance(value, bool) or bool(field and field.values)
        if {path, re.sub(r"\[\d+\]$", "", path)} & judged.adopted:
            continue  # stated by adopting, which is printed; nobody said it one by one
        if _ELSEWHERE.match(path) or (_is_judged(path, read) if is_choice else _is_printed(value, seen)):
            continue
        words = f"{field.title.lower() if field else path}: {_words(value)}"
        found.setdefault((_thing(judged, path), _reason(judged, path)), []).append(words)
    rows = tuple(
        Row(f"unused.{n}", tuple(Cell((Text(words),)) for words in (thing, "; ".join(said), in_quotes(why))))
        for n, ((thing, why), said) in enumerate(found.items(), 1)
    )
    columns = (Column("Where", 3), Column("Said", 6), Column("Why it is not used", 5))
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
            return value.value.replace("-", " ")
        case date():
            return long_date(value)
        case bool():
            return as_printed(value)
        case int() | float():
            return stated_text(value)
        case _:
            return " ".join(as_printed(value).split()).rstrip(".")


def _is_printed(value: Any, seen: str) -> bool:
    """Whether the words of a value stand in the text as words of their own. A plain search is what is fast here."""
    words = _words(value).lower()
    at = seen.find(words)
    while at >= 0:
        before, after = seen[at - 1 : at], seen[at + len(words) : at + len(words) + 1]
        if not any(beside.isalnum() or beside == "_" for beside in (before, after)):
            return True
        at = seen.find(words, at + 1)
    return False


def _is_judged(path: str, read: set[str]) -> bool:
    """Whether a verdict has looked at a yes, a no or a choice; outside the procedures, sums and tables rest on it."""
    return not path.startswith("procedures.") or any(
        path == one or path.startswith((f"{one}.", f"{one}[")) for one in read
    )


def _thing(judged: Judged, path: str) -> str:
    """Return what people call the thing that a place belongs to, or the title of its part of the description."""
    listed = re.match(r"(tasks|masks|filters|hazards|policies)\[\d+\]", path)
    if listed is None:
        parts = path.split(".")
        field = field_at(re.sub(r"\[\d+\]", "[]", ".".join(parts[: -1 if len(parts) < 3 else 2])))
        return field.title if field else parts[0]
    thing = judged.index.value_at(listed[0])
    return str(getattr(thing, "agent", None) or getattr(thing, "by", None) or label_of(thing))


def _reason(judged: Judged, path: str) -> str:
    task = re.match(r"tasks\[(\d+)\]", path)
    if task and judged.description.tasks[int(task[1])].done_by is not DoneBy.OUR_PEOPLE:
        return "Our people do not do this task."
    asking = [verdict for verdict in judged.verdicts if _asks_for(verdict, path)]
    if any(verdict.status in (Status.GAP, Status.UNDETERMINED) for verdict in asking):
        return "An open point stands in its place."
    spared = [verdict.requirement.when for verdict in asking if verdict.status is Status.NOT_APPLICABLE]
    decisive = spared[0].rpartition(", and ")[2] if spared else ""  # a condition names last what is most special
    return f"Asked only where {decisive}." if decisive else _UNNEEDED


def _asks_for(verdict: Verdict, path: str) -> bool:
    """Whether a duty, judged for the thing that a place belongs to, is proved by what stands there."""
    place, subject = re.sub(r"\[\d+\]", "[]", path), verdict.subject.path
    if subject and not path.startswith(f"{subject}."):
        return False
    above = PATHS.get(verdict.requirement.per, "")
    asked = (above + p.path if p.path.startswith(".") else p.path for p in verdict.requirement.proof.singles())
    return any(one and (place == one or place.startswith((f"{one}.", f"{one}["))) for one in asked)
