"""The whole comparison as a document: the short of it, each effect with its cause, each edit, all to be signed off.

Every row carries the paragraph it is about and a box for the reviewer. Long texts are cut down to where they differ;
the redline and the data beside the page have them whole.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from progdoc.comparison.changes import Cause, Change, Comparison, Direction, Kind, Nature, Topic
from progdoc.comparison.summary import document_of, summary_blocks
from progdoc.comparison.told_changes import (
    DIRECTIONS,
    KINDS,
    WHOLE_THINGS,
    because,
    cited_together,
    of_thing,
    place_words,
    sentence,
    sides,
)
from progdoc.document.tree.nodes import (
    Block,
    Cell,
    Column,
    Document,
    LineBreak,
    Row,
    Section,
    Signatures,
    Strong,
    Table,
    Text,
)

__all__ = ["comparison_document"]

_LONG, _SHORT = 150, 80  # characters of one side
_BOX = "☐"
_TURNED = (Kind.FINDING_APPEARED, Kind.FINDING_VANISHED, Kind.FINDING_CHANGED)


def comparison_document(comparison: Comparison, names: Mapping[str, str], organisation: str, paper: str) -> Document:
    """Return the whole comparison.

    Parameters
    ----------
    names
        What people call each thing, by its place: "tasks.scrape-sashes".
    """
    blocks = (*summary_blocks(comparison, names, is_head=True), *_sections(comparison, names))
    return document_of("comparison", comparison, organisation, paper, blocks)


def _sections(comparison: Comparison, names: Mapping[str, str]) -> Iterator[Block]:
    by_edit = [c for c in comparison.meaning if c.cause is Cause.DESCRIPTION]
    turned = [c for c in by_edit if c.topic is Topic.DUTY and c.kind in _TURNED]
    due = [c for c in by_edit if c.topic is Topic.DUE]
    asked = [c for c in by_edit if c.topic is Topic.DUTY and c not in turned]
    meant = [c for c in by_edit if c.topic not in (Topic.DUTY, Topic.DUE)]
    effects = (
        ("meaning", "What the edits do to protection", meant),
        ("turned", "Duties of the law: met, open, no longer asked", turned),
        ("due", "Due dates that moved", due),
        ("rules", "What other rules say of the old description", _caused_by(comparison, Cause.RULES)),
        ("time", "What time alone brought about", _caused_by(comparison, Cause.TIME)),
    )
    edits = comparison.description
    told = (
        ("lost", "Facts taken out, to read", [c for c in edits if c.nature is Nature.LOST]),
        ("read", "Texts to read", [c for c in edits if c.nature is Nature.TEXT]),
        ("facts", "Edits of fact", [c for c in edits if c.nature is Nature.FACT]),
    )
    for identity, heading, changes in (*effects, *told):
        if changes:
            yield Section(identity, heading, (_table(identity, changes, names),))
    counted = tuple(_counted(comparison, asked, names))
    if counted:
        table = Table("counted.table", "", (Column("About", 2), Column("What", 11)), counted, is_dense=True)
        yield Section("counted", "Counted, named, and no more", (table,))
    if not comparison.is_empty:
        yield Section("signed", "Seen by", (Signatures("signed.lines", (("Reviewer", ""), ("Officer", ""))),))


def _caused_by(comparison: Comparison, cause: Cause) -> list[Change]:
    return [change for change in comparison.meaning if change.cause is cause]


def _table(identity: str, changes: Iterable[Change], names: Mapping[str, str]) -> Table:
    """Return the changes, those of one thing together beside its name, each with its box and its paragraph."""
    groups: dict[str, list[Change]] = {}
    whole: list[Change] = []
    for change in changes:
        is_thing = change.field in WHOLE_THINGS and change.kind in (Kind.ADDED, Kind.REMOVED)
        (whole if is_thing else groups.setdefault(of_thing(change), [])).append(change)
    rows = [
        Row(f"{identity}.{i}", (_cell(_thing_words(thing, group[0], names)), _told(thing, group, names)))
        for i, (thing, group) in enumerate(groups.items(), 1)
    ]
    if whole:
        told = "; ".join(f"{_BOX} {place_words(change, names)} {KINDS[change.kind]}" for change in whole)
        rows.append(Row(f"{identity}.whole", (_cell("things as a whole"), _cell(told))))
    return Table(f"{identity}.table", "", _COLUMNS, tuple(rows), is_dense=True)


_COLUMNS = (Column("About", 2), Column("What changed, why, and the paragraph: tick what you have seen", 11))


def _thing_words(thing: str, change: Change, names: Mapping[str, str]) -> str:
    return "the program" if thing == "program" else names.get(thing) or place_words(change, names)


def _told(thing: str, group: list[Change], names: Mapping[str, str]) -> Cell:
    """Return changes of a thing below one another: what it means, and why; less protection stands out."""
    found: list[Text | Strong | LineBreak] = []
    here = _thing_words(thing, group[0], names)
    was_short = False
    for change, following in zip(group, (*group[1:], None), strict=True):
        is_entry = "[" in change.place and change.kind in (Kind.ADDED, Kind.REMOVED)
        text = sentence(
            change,
            names,
            _SHORT if is_entry else _LONG,
            with_place=change.place != thing and here != place_words(change, names),
        )
        means = Text(DIRECTIONS[change.direction])
        why = _within(here, " ".join(filter(None, _whys(change, names))))
        told = "".join(f" {part}" for part in (why, _cited(change, following)) if part)
        is_short = is_entry and not means.text and not why  # entries that mean nothing more stand in a row
        found.append(Text("  ") if is_short and was_short else LineBreak())
        was_short = is_short
        found.append(Text(f"{_BOX} {_within(here, text.removeprefix(f'{here}, '))}"))
        if means.text:
            found += [Text(": "), Strong((means,)) if change.direction is Direction.LESS else means]
        found.append(Text(told))
    return Cell(tuple(found[1:]))


def _within(here: str, text: str) -> str:
    """Return a text without what its row says already: the task it is about."""
    return text.replace(f" in “{here}”", "").replace(f"{here}, ", "")


def _whys(change: Change, names: Mapping[str, str]) -> tuple[str, str]:
    is_counted = change.topic is Topic.DUTY and change.kind is Kind.VERDICT_CHANGED
    is_plain = is_counted or change.topic in (Topic.EVIDENCE, Topic.DUE) or change.kind in (Kind.ADDED, Kind.REMOVED)
    why = because(change, names, _LONG // 2) if change.causes and not is_plain else ""
    return f"Because: {why}.".replace("….", "…") if why else "", change.note


def _cited(change: Change, following: Change | None) -> str:
    """Return the paragraph; of lines about one paragraph the last one has it."""
    is_told = not change.citation or (following is not None and following.citation == change.citation)
    return "" if is_told else f"[{cited_together([change.citation], _LONG)}]"


def _counted(comparison: Comparison, asked: list[Change], names: Mapping[str, str]) -> Iterator[Row]:
    """Yield what needs no line a change: duties that came or went with a thing, what was kept up, words, files."""
    words = [c for c in comparison.description if c.nature is Nature.WORDS]
    parts = (
        (
            "Duties that came or went with a thing, and were or are met",
            [_asked(c, names) for c in asked],
        ),
        ("Would have run out, and was renewed or settled", _settled(comparison, Cause.TIME, names)),
        ("Asked by other rules, and answered by the edits", _settled(comparison, Cause.RULES, names)),
        ("Only words, names, or the document itself", [_two(place_words(c, names), c, names) for c in words]),
        (
            "Files beside the description",
            [_two(f"{c.what} {c.place.partition(' ')[2]}", c, names) for c in comparison.files],
        ),
        ("Sections of the text", [_two(f"{c.what} {KINDS[c.kind]}", c, names) for c in comparison.text]),
    )
    for i, (heading, told) in enumerate(parts):
        if told:
            yield Row(f"counted.{i}", (_cell(heading), _cell("; ".join(dict.fromkeys(told)))))


def _settled(comparison: Comparison, cause: Cause, names: Mapping[str, str]) -> list[str]:
    return [place_words(change, names) for change in comparison.kept_up if change.cause is cause]


def _asked(change: Change, names: Mapping[str, str]) -> str:
    where = _thing_words(change.place, change, names)
    if change.old and change.new:  # the program as a whole
        return f"{change.what}: {change.old} → {change.new}"
    return f"{where}: {f'no longer {change.old}' if change.old else f'now {change.new}'}"


def _two(name: str, change: Change, names: Mapping[str, str]) -> str:
    what = f"{name}, their order" if change.kind is Kind.MOVED and change.place == name else name
    return f"{what}: {' → '.join(filter(None, sides(change, names, _SHORT)))}"


def _cell(text: str) -> Cell:
    return Cell((Text(text),))
