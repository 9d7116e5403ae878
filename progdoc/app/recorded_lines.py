"""What is entered, and what changes in which file, as lines for a terminal, a page or a form."""

from __future__ import annotations

import difflib
from collections.abc import Iterable, Iterator, Sequence

from progdoc.app.event_kinds import KINDS
from progdoc.app.record import Recorded
from progdoc.core.lines import Line
from progdoc.core.numbers import counted
from progdoc.model.people_table.sheet import letters
from progdoc.model.people_table.workbook import sheets_of_workbook

__all__ = ["recorded_lines", "shown_changes"]

_CONTEXT = 1  # lines shown before and after what is new
_WORKBOOK = b"PK\x03\x04"  # of a zip


def shown_changes(done: Recorded) -> Iterator[list[Line]]:
    """Yield what changes in each file, line by line, with the numbers that they have then."""
    for name, data in done.after.items():
        if name in done.kept:
            continue
        block = [Line(name, is_typed=True)]
        if data.startswith(_WORKBOOK):
            yield [*block, *_changed_cells(done.before[name], data)]
            continue
        old, new = (_lines_of(content) for content in (done.before.get(name, b""), data))
        for group in difflib.SequenceMatcher(None, old, new, autojunk=False).get_grouped_opcodes(_CONTEXT):
            for tag, i1, i2, j1, j2 in group:
                if tag != "equal":
                    block += [Line(line, "      - ", is_typed=True) for line in old[i1:i2]]
                sign = "  " if tag == "equal" else "+ "
                first = j1 if tag != "insert" else _slid(new, j1, j2)
                block += [Line(new[n], f"{n + 1:5d} {sign}", is_typed=True) for n in range(first, first + j2 - j1)]
        yield block


def _changed_cells(old: bytes, new: bytes) -> Iterator[Line]:
    """Yield each cell of a workbook that holds something else, with its sheet and what it held; no other cell."""
    for before, after in zip(sheets_of_workbook(old), sheets_of_workbook(new), strict=True):
        was, now = ({(c.line, c.column): c.text for row in sheet.rows for c in row} for sheet in (before, after))
        for line, column in sorted({*was, *now}):
            told, held = now.get((line, column), ""), was.get((line, column), "")
            if told != held:
                place = f"{after.name} {letters(column - 1)}{line}"
                yield Line(f"{told or 'empty'}{f' (was: {held})' if held else ''}", f"    + {place}  ", is_typed=True)


def _slid(new: Sequence[str], start: int, end: int) -> int:
    """Return where an insertion begins when it is told of as far down as it goes: there an entry is whole."""
    while end < len(new) and new[start] == new[end]:
        start, end = start + 1, end + 1
    return start


def _lines_of(data: bytes) -> list[str]:
    encoding = "utf-16" if data[:2] in (b"\xff\xfe", b"\xfe\xff") else "utf-8-sig"
    return data.decode(encoding, errors="replace").splitlines()


def recorded_lines(done: Recorded, kind: str = "") -> Iterator[list[Line]]:
    """Yield what is entered, what stood there already, what changes where, and what it means.

    `kind` is what all of it is; "" for what completed forms say, each of its own kind.
    """
    if done.known:
        yield _listed("Already there, and not entered again:", done.known)
    if done.missing:
        yield _listed("Half filled in, and not entered:", done.missing)
    if not done.after:
        return
    yield from shown_changes(done)
    if done.entered and kind:
        yield _listed(
            f"{counted(len(done.entered), 'entry', 'entries')}: {KINDS[kind][0].partition(';')[0]}.", done.notes
        )
    elif done.entered:
        yield _listed(f"{counted(len(done.entered), 'entry', 'entries')}:", done.entered)
    if done.kept:
        yield _listed("Kept as evidence, with its checksum in the list beside it:", (*done.kept, *done.notes))
    meaning = done.meaning
    for title, words in (
        ("Settled through it:", meaning.settled),
        ("New through it:", meaning.arisen),
        ("No longer said:", meaning.opened),
        ("Barred through it:", meaning.barred),
        ("Falls due:", meaning.due),
    ):
        if words:
            yield _listed(title, words)


def _listed(title: str, words: Iterable[str]) -> list[Line]:
    return [Line(title), *(Line(one, "  ", "    ") for one in words)]
