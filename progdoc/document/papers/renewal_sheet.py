"""The renewal worksheet: what the officer looks at again before the next revision is issued, to tick and sign.

It finds nothing wrong by itself: it lists what gets old, who has to be confirmed and what the program cannot
know, such as whether a mask is still approved. It names workers, and is for the officer alone.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from progdoc.core.numbers import long_date
from progdoc.document.blocks.selection_blocks import level_words, limit_words
from progdoc.document.tree.cross_references import resolved
from progdoc.document.tree.nodes import (
    Block,
    Cell,
    Column,
    Document,
    Notice,
    Paragraph,
    Row,
    Section,
    Signatures,
    Table,
    Text,
)
from progdoc.model.description.words import label_of
from progdoc.rules.judged.result import Judged

__all__ = ["Since", "renewal_sheet"]

_AHEAD_DAYS = 365
_TICK = ("Looked at", 2)
_Lines = Iterable[tuple[str, ...]]


@dataclass(frozen=True, slots=True)
class Since:
    """What happened since the last issued revision: wearers by name with their tasks, and findings."""

    words: str = ""  # the revision and its rules; "" where none was named
    came: tuple[tuple[str, str], ...] = ()
    left: tuple[tuple[str, str], ...] = ()
    by_rules: tuple[tuple[str, str, str], ...] = ()


def renewal_sheet(judged: Judged, revision: str, since: Since) -> Document:
    """Return the worksheet for the next revision of a description judged for its first day.

    Parameters
    ----------
    revision
        The number of the revision that is being opened.
    """
    program = judged.description
    sections = (
        _section("evidence", "Evidence older than a year", _old_evidence(judged), ("What", "Dated", "Where")),
        _section(
            "people",
            "People: who is still there, who left, who came",
            _people(judged, since),
            ("Who", "Standing", "Tasks"),
        ),
        _section(
            "masks",
            "Masks and filters: still approved, still made?",
            _approvals(judged),
            ("What", "Approval", "To check"),
        ),
        _section("limits", "Limits and rules", [*_limits(judged), *since.by_rules], ("What", "Now", "Remark")),
        _section("evaluation", "Findings of evaluations that are open", _open_findings(judged), ("What", "Due", "Who")),
        _section(
            "due", "What falls due within a year of the effective date", _due(judged), ("What", "By", "On record")
        ),
        _section("accepted", "Cautions that somebody accepted", _accepted(judged), ("What", "Until", "By, and why")),
    )
    told = (
        f"For revision {revision}, as of {long_date(judged.as_of)}."
        f" {since.words or 'No issued revision was named to compare with: who came or left is for you to say.'}"
        f" Rules: {judged.rules_pack} {judged.rules_version}."
    )
    head = Notice("renewal.note", "note", (_paragraph("renewal.told", told), _paragraph("renewal.cautions", _CAUTIONS)))
    signed = Signatures("renewal.signed", (("Respiratory protection officer", program.officer.name or ""),))
    return resolved(
        Document(
            id="renewal",
            title="Renewal worksheet",
            organisation=program.organisation.name or "",
            revision=revision,
            as_of=judged.as_of,
            draft=False,
            blocks=(head, *sections, signed),
            paper=program.program.paper.value,
        )
    )


_CAUTIONS = (
    "This sheet names workers: keep it with the officer's records. It lists what to look at, and decides nothing:"
    " NIOSH's list of approved equipment, the maker, the health professional and the law in force come first."
)


def _section(identity: str, title: str, lines: _Lines, titles: tuple[str, ...]) -> Section:
    rows = tuple(
        Row(f"renewal.{identity}.{i}", (*(Cell((Text(text),)) for text in line), Cell((Text("☐"),))))
        for i, line in enumerate(lines, 1)
    )
    columns = (*(Column(text, share) for text, share in zip(titles, (5, 3, 5), strict=True)), Column(*_TICK))
    block: Block = Table(f"renewal.{identity}.table", "", columns, rows)
    if not rows:
        block = _paragraph(f"renewal.{identity}.none", "Nothing found in the description.")
    return Section(f"renewal.{identity}", title, (block,))


def _paragraph(identity: str, text: str) -> Paragraph:
    return Paragraph(identity, (Text(text),))


# ---- what to look at ----------------------------------------------------------------------------------


def _old_evidence(judged: Judged) -> Iterator[tuple[str, ...]]:
    for one in judged.old_evidence:
        yield one.what, long_date(one.day) if one.day else "no date given", one.where


def _people(judged: Judged, since: Since) -> Iterator[tuple[str, ...]]:
    yield from ((name, "LEFT since the last issue", tasks) for name, tasks in since.left)
    yield from ((name, "came since the last issue", tasks) for name, tasks in since.came)
    new = {name for name, _ in since.came}
    for person in judged.description.people:
        name = label_of(person)
        if name not in new:
            tasks = judged.index.tasks_by_person.get(person.id, ())
            yield name, "still with the firm?", ", ".join(task.name for _, task in tasks) or "no task"


def _approvals(judged: Judged) -> Iterator[tuple[str, ...]]:
    program = judged.description
    ask = "on NIOSH's list of approved equipment today? parts and manual still to be had?"
    for mask in program.masks:
        outside = "NOT used within its approval, says the description; " if mask.within_approval is False else ""
        yield label_of(mask), mask.approval or "no number given", outside + ask
    for part in program.filters:
        yield label_of(part), part.approval or "no number given", ask


def _limits(judged: Judged) -> Iterator[tuple[str, ...]]:
    for air in judged.selection.air.values():
        for agent in air.agents:
            words = f"level {level_words(agent)}"
            yield f"{agent.hazard.agent} in “{air.task.name}”", limit_words(agent), words


def _open_findings(judged: Judged) -> Iterator[tuple[str, ...]]:
    for finding in judged.description.procedures.evaluation.findings:
        if finding.done is None:
            due = long_date(finding.due) if finding.due else "no day given"
            yield finding.what, due, finding.owner or "nobody named"


def _due(judged: Judged) -> Iterator[tuple[str, ...]]:
    seen = judged.due(_AHEAD_DAYS)
    for item in (*seen.overdue, *seen.soon):
        yield item.what, long_date(item.due) if item.due else "at once", item.because


def _accepted(judged: Judged) -> Iterator[tuple[str, ...]]:
    for entry in judged.description.accepted:
        ended = "ended " if entry.until < judged.as_of else ""
        what = f"{entry.code} {entry.subject or ''}".rstrip()
        yield what, f"{ended}{long_date(entry.until)}", f"{entry.by}: {entry.reason}"
