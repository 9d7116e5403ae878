"""A comparison as a document tree, so that every writer can print it: the short of it first, then each change.

What lowers protection stands before everything else and says so in words. A comparison to be handed on counts
the changes that name workers and shows none of them.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace

from progdoc.comparison.changes import Cause, Change, Comparison, Direction, Kind, Side
from progdoc.document.tree.cross_references import resolved
from progdoc.document.tree.nodes import (
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

__all__ = ["comparison_document", "public_part", "summary_document"]

_MOST_OF_SUMMARY = 12
_LONGEST_OF_SUMMARY = 200  # characters
_FINDINGS = (Kind.FINDING_APPEARED, Kind.FINDING_VANISHED, Kind.FINDING_CHANGED)
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
    """Return the comparison without any change that names a worker; what was left out stays counted."""
    left_out = [c for c in (*comparison.meaning, *comparison.description) if c.is_restricted]
    return replace(
        comparison,
        meaning=tuple(change for change in comparison.meaning if not change.is_restricted),
        description=tuple(change for change in comparison.description if not change.is_restricted),
        withheld=len(left_out),
        withheld_less=sum(change.direction is Direction.LESS for change in left_out),
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
        counted = _paragraph("text.counted", _counted(comparison))
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
        yield Notice("summary.none", "note", (_paragraph("summary.none.p", "Nothing changed."),))
        return
    less = [change for change in comparison.meaning if change.direction is Direction.LESS]
    if less:
        words = Strong((Text(f"{_plural(len(less), 'change')} may lower protection:"),))
        lowered = _list("summary.less.list", less, names)
        yield Notice("summary.less", "danger", (Paragraph("summary.less.count", (words,)), lowered))
    if comparison.withheld:
        lowering = f", {comparison.withheld_less} may lower protection" if comparison.withheld_less else ""
        told = f"{_plural(comparison.withheld, 'change')} of people's records and tasks{lowering}: see restricted/."
        yield Notice("summary.withheld", "caution" if lowering else "note", (_paragraph("summary.withheld.p", told),))
    more = [change for change in comparison.meaning if change.direction is Direction.MORE]
    if more:
        told = f"{_plural(len(more), 'change')} may raise protection:"
        yield _paragraph("summary.more.count", told)
        yield _list("summary.more.list", more, names)
    rest = [change for change in comparison.meaning if change.direction is Direction.NEUTRAL]
    counts = (
        f"{_plural(len(rest), 'other change')} of meaning",
        f"{_plural(len(comparison.description), 'change')} of the description",
        _counted(comparison),
    )
    yield _paragraph("summary.counts", f"Besides: {'; '.join(counts)}")
    yield _paragraph(
        "summary.limits",
        "This tells what changed. Whether it may be so, the officer and the authority having jurisdiction say.",
    )


def _side(side: Side) -> str:
    revision = f"revision {side.revision}" if side.revision else "without a revision"
    issued = "issued by the rules" if side.is_issued else "not issued; judged by the rules"
    return f"{side.title or side.name}, {revision}, {issued} {side.rules}"


def _list(identity: str, changes: list[Change], names: Mapping[str, str]) -> Listing:
    """Return the changes in a phrase each: masks and air first, then findings; as many as a page holds."""
    first = sorted(changes, key=lambda change: (change.kind in _FINDINGS, "SEL-" not in change.place))
    shown = [_shortened(_sentence(change, names)) for change in first[:_MOST_OF_SUMMARY]]
    if len(changes) > _MOST_OF_SUMMARY:
        shown.append(f"and {len(changes) - _MOST_OF_SUMMARY} more, listed in the comparison")
    items = (ListItem(f"{identity}.{i}", (_paragraph(f"{identity}.{i}.p", text),)) for i, text in enumerate(shown, 1))
    return Listing(identity, False, tuple(items))


def _counted(comparison: Comparison) -> str:
    out, put = comparison.words_taken_out, comparison.words_put_in
    return f"{_plural(out, 'word')} of the text taken out and {_plural(put, 'word')} put in, as the redline shows."


def _plural(count: int, noun: str) -> str:
    return f"{count:,} {noun}" if count == 1 else f"{count:,} {noun}s"


# ---- every change -------------------------------------------------------------------------------------


def _table(identity: str, changes: Iterable[Change], names: Mapping[str, str]) -> Table:
    columns = (("Where", 4), ("What", 3), ("How", 2), ("Old", 4), ("New", 4), ("Protection", 2))
    rows = (Row(f"{identity}.{i}", _cells(change, names)) for i, change in enumerate(changes, 1))
    return Table(identity, "", tuple(Column(title, share) for title, share in columns), tuple(rows))


def _cells(change: Change, names: Mapping[str, str]) -> tuple[Cell, ...]:
    direction = Text(_DIRECTIONS[change.direction])
    is_marked = change.direction is Direction.LESS
    return (
        _cell(_name(change, names)),
        _cell(change.what),
        _cell(_KINDS[change.kind]),
        _cell(_shown(change, change.old)),
        _cell(_shown(change, change.new)),
        Cell((Strong((direction,)) if is_marked else direction,)),
    )


def _by_top(changes: Iterable[Change]) -> list[tuple[str, list[Change]]]:
    found: dict[str, list[Change]] = {}
    for change in changes:
        found.setdefault(change.place.partition(".")[0], []).append(change)
    return sorted(found.items())


def _name(change: Change, names: Mapping[str, str]) -> str:
    """Return what people call the thing at a place, and where in it; findings keep their code and subject."""
    if change.kind in _FINDINGS:
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
    """Return one side's words; a dash where a side that exists says nothing, or nothing that is repeated here."""
    is_one_sided = change.kind in (Kind.ADDED, Kind.REMOVED, Kind.FINDING_APPEARED, Kind.FINDING_VANISHED)
    return text or ("" if is_one_sided else "–")


def _sentence(change: Change, names: Mapping[str, str]) -> str:
    if change.kind in _FINDINGS:  # what a finding says names its subject
        told = f"{change.old} → {change.new}" if change.old and change.new else change.new or change.old
        return f"{_KINDS[change.kind]} {change.place.partition(' ')[0]}: {told}"
    name = _name(change, names)
    if change.old and change.new:
        return f"{name}: {change.what} {change.old} → {change.new}"
    return f"{name}: {change.what} {_KINDS[change.kind]}, {change.new or change.old}".rstrip(", ")


def _shortened(text: str) -> str:
    return text if len(text) <= _LONGEST_OF_SUMMARY else f"{text[: _LONGEST_OF_SUMMARY - 1].rstrip()}…"


def _paragraph(identity: str, text: str) -> Paragraph:
    return Paragraph(identity, (Text(text),))


def _cell(text: str) -> Cell:
    return Cell((Text(text),))


def _lower(text: str) -> str:
    return text[:1].lower() + text[1:]
