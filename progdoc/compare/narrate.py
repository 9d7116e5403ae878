"""A comparison as a document tree, so that every writer can print it: the short of it first, then each change.

What lowers protection stands before everything else and says so in words. A comparison to be handed on counts
the changes that name workers and shows none of them.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace

from progdoc.compare.changes import Cause, Change, Comparison, Direction, Kind, Side
from progdoc.document.nodes import (
    Block,
    Cell,
    Column,
    Document,
    Listing,
    ListItem,
    Notice,
    Paragraph,
    Row,
    Section,
    Strong,
    Table,
    Text,
)
from progdoc.document.references import resolved

__all__ = ["comparison_document", "public_part", "summary_document"]

_MOST_OF_SUMMARY = 12
_DIRECTIONS = {Direction.LESS: "LESS PROTECTION", Direction.MORE: "more protection", Direction.NEUTRAL: ""}
_KINDS = {
    Kind.ADDED: "added",
    Kind.REMOVED: "removed",
    Kind.MOVED: "moved",
    Kind.RENAMED: "renamed",
    Kind.REWORDED: "changed",
    Kind.FIGURE_CHANGED: "changed",
    Kind.VERDICT_CHANGED: "changed",
    Kind.FINDING_APPEARED: "new finding",
    Kind.FINDING_VANISHED: "finding gone",
    Kind.FINDING_CHANGED: "finding changed",
}
_CAUSES = {
    Cause.DESCRIPTION: "The description changed",
    Cause.RULES: "The rules changed, the old description did not",
    Cause.TIME: "Time passed since the old revision was judged",
}


def public_part(comparison: Comparison) -> Comparison:
    """Return the comparison without any change that names a worker."""
    return replace(
        comparison,
        meaning=tuple(change for change in comparison.meaning if not change.is_restricted),
        description=tuple(change for change in comparison.description if not change.is_restricted),
    )


def summary_document(comparison: Comparison, names: Mapping[str, str], organisation: str, paper: str) -> Document:
    """Return the short of it, on one page: whoever reads it needs no other, unless something is marked."""
    return resolved(
        _document("comparison-summary", comparison, organisation, paper, tuple(_summary(comparison, names)))
    )


def comparison_document(comparison: Comparison, names: Mapping[str, str], organisation: str, paper: str) -> Document:
    """Return the whole comparison.

    Parameters
    ----------
    names
        What people call each thing, by its place: "tasks.scrape-sashes".
    """
    blocks: list[Block] = [*_summary(comparison, names)]
    for cause, heading in _CAUSES.items():
        changes = [change for change in comparison.meaning if change.cause is cause]
        if changes:
            table = _table(f"meaning.{cause.value}", changes, names)
            blocks.append(Section(f"meaning-{cause.value}", f"What it means: {_lower(heading)}", (table,)))
    if comparison.description:
        parts = [_table(f"described.{top}", of, names) for top, of in _by_top(comparison.description)]
        blocks.append(Section("described", "What changed in the description", tuple(parts)))
    if comparison.text or comparison.words_put_in or comparison.words_taken_out:
        counted = Paragraph("text.counted", (Text(_counted(comparison)),))
        tables = (_table("text.sections", comparison.text, names),) if comparison.text else ()
        blocks.append(Section("text", "What changed in the text", (counted, *tables)))
    return resolved(_document("comparison", comparison, organisation, paper, tuple(blocks)))


def _document(
    identity: str, comparison: Comparison, organisation: str, paper: str, blocks: tuple[Block, ...]
) -> Document:
    title = f"What changed: {comparison.new.title or comparison.old.title or 'respiratory protection program'}"
    return Document(
        id=identity,
        title=title,
        organisation=organisation,
        revision=comparison.new.revision,
        as_of=comparison.on,
        draft=False,
        blocks=blocks,
        paper=paper,
    )


# ---- the short of it ----------------------------------------------------------------------------------


def _summary(comparison: Comparison, names: Mapping[str, str]) -> Iterator[Block]:
    sides = (("Old", comparison.old), ("New", comparison.new))
    rows = tuple(Row(f"sides.{label.lower()}", (_cell(label), _cell(_side(side)))) for label, side in sides)
    yield Table("sides", "", (Column("", 1), Column("", 6)), rows, has_header=False)
    if comparison.is_empty:
        yield Notice("summary.none", "note", (Paragraph("summary.none.p", (Text("Nothing changed."),)),))
        return
    less = [change for change in comparison.meaning if change.direction is Direction.LESS]
    if less:
        first = Paragraph(
            "summary.less.count", (Strong((Text(f"{_plural(len(less), 'change')} may lower protection:"),)),)
        )
        yield Notice("summary.less", "danger", (first, _list("summary.less.list", less, names)))
    more = [change for change in comparison.meaning if change.direction is Direction.MORE]
    if more:
        first = Paragraph(
            "summary.more.count",
            (Text(f"{_plural(len(more), 'change')} may raise protection, or ask for more of it:"),),
        )
        yield first
        yield _list("summary.more.list", more, names)
    rest = [change for change in comparison.meaning if change.direction is Direction.NEUTRAL]
    counts = (
        f"{_plural(len(rest), 'other change')} of meaning",
        f"{_plural(len(comparison.description), 'change')} of the description",
        _counted(comparison),
    )
    yield Paragraph("summary.counts", (Text(f"Besides: {'; '.join(counts)}"),))
    yield Paragraph(
        "summary.limits",
        (Text("This page tells what changed. Whether it may be so is for the officer and the authority to say."),),
    )


def _side(side: Side) -> str:
    revision = f"revision {side.revision}" if side.revision else "without a revision"
    issued = "issued by the rules" if side.is_issued else "not issued; judged by the rules"
    return f"{side.title or side.name}, {revision}, {issued} {side.rules}"


def _list(identity: str, changes: list[Change], names: Mapping[str, str]) -> Listing:
    shown = [f"{_name(change, names)}: {_sentence(change)}" for change in changes[:_MOST_OF_SUMMARY]]
    if len(changes) > _MOST_OF_SUMMARY:
        shown.append(f"and {len(changes) - _MOST_OF_SUMMARY} more, listed in the comparison")
    items = (
        ListItem(f"{identity}.{i}", (Paragraph(f"{identity}.{i}.p", (Text(text),)),)) for i, text in enumerate(shown, 1)
    )
    return Listing(identity, False, tuple(items))


def _counted(comparison: Comparison) -> str:
    out, put = comparison.words_taken_out, comparison.words_put_in
    return f"{_plural(out, 'word')} of the text taken out and {_plural(put, 'word')} put in, as the redline shows."


def _plural(count: int, noun: str) -> str:
    """Return the number with its noun: "2 words", "2 other changes of" is for the caller to go on with."""
    return f"{count:,} {noun}" if count == 1 else f"{count:,} {noun}s"


# ---- every change -------------------------------------------------------------------------------------


def _table(identity: str, changes: Iterable[Change], names: Mapping[str, str]) -> Table:
    rows = tuple(
        Row(
            f"{identity}.{i}",
            (
                _cell(_name(change, names)),
                _cell(change.what),
                _cell(_KINDS[change.kind]),
                _cell(_shown(change, change.old)),
                _cell(_shown(change, change.new)),
                Cell(
                    (Strong((Text(_DIRECTIONS[change.direction]),)),)
                    if change.direction is Direction.LESS
                    else (Text(_DIRECTIONS[change.direction]),)
                ),
            ),
        )
        for i, change in enumerate(changes, 1)
    )
    columns = (
        Column("Where", 4),
        Column("What", 3),
        Column("How", 2),
        Column("Old", 4),
        Column("New", 4),
        Column("Protection", 2),
    )
    return Table(identity, "", columns, rows)


def _by_top(changes: Iterable[Change]) -> list[tuple[str, list[Change]]]:
    found: dict[str, list[Change]] = {}
    for change in changes:
        found.setdefault(change.place.partition(".")[0], []).append(change)
    return sorted(found.items())


def _name(change: Change, names: Mapping[str, str]) -> str:
    """Return what people call the thing at a place, and where in it; findings keep their code and subject."""
    if change.kind in (Kind.FINDING_APPEARED, Kind.FINDING_VANISHED, Kind.FINDING_CHANGED):
        code, *subject = change.place.split(" ")
        return ", ".join((code, *(names.get(part, part) for part in subject)))
    parts = change.place.split(".")
    head = ".".join(parts[:2])
    if head not in names:
        return change.place.replace("_", " ")
    inner = ".".join(parts[2:4])
    rest = (names.get(inner) or " ".join(parts[2:])).replace("_", " ")
    return f"{names[head]}, {rest}" if rest else names[head]


def _shown(change: Change, text: str) -> str:
    return text or (
        "" if change.kind in (Kind.ADDED, Kind.REMOVED, Kind.FINDING_APPEARED, Kind.FINDING_VANISHED) else "–"
    )


def _sentence(change: Change) -> str:
    if change.old and change.new:
        return f"{change.what} {change.old} → {change.new}"
    return f"{change.what} {_KINDS[change.kind]}: {change.new or change.old}".rstrip(": ")


def _cell(text: str) -> Cell:
    return Cell((Text(text),))


def _lower(text: str) -> str:
    return text[:1].lower() + text[1:]
