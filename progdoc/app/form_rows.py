"""Rows of a form: a few things that are asked about at once, and several new entries of one list."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from progdoc.core.late_dataclass import dataclass
from progdoc.model.description.input_fields import NEW, ONE_MORE, Entry, Input, Kinds, Part, flat

__all__ = [
    "AS_FIRST",
    "Blank",
    "Row",
    "as_the_first",
    "blanks_of",
    "is_left",
    "no_answers",
    "rows_of",
    "subjects_said",
    "typed_in",
    "whose",
]

AS_FIRST = "as-first"  # the things of which is ticked that what is left empty is as for the first
_FEW_INPUTS = 3  # of an entry that is asked in a line of a table
_BLANKS = 4  # lines for new entries

Typed = Mapping[str, tuple[str, ...]]


@dataclass(frozen=True, slots=True)
class Row:
    """One of a few things that a form asks about, with what is asked of it."""

    subject: str  # "people.nora"
    name: str
    place: str  # "people[0]"
    parts: tuple[Part, ...]

    @property
    def kinds(self) -> dict[str, str]:
        """Of which kind each of its groups is, by its place within the thing; "" where none is chosen yet."""
        return {one.path.removeprefix(self.place): one.chosen for one in flat(self.parts) if isinstance(one, Kinds)}

    @property
    def paths(self) -> tuple[str, ...]:
        """The places of its fields, and those that name what is not listed yet."""
        paths = [one.path for one in flat(self.parts) if isinstance(one, Input)]
        return (*paths, *(path + NEW for path in paths))


@dataclass(frozen=True, slots=True)
class Blank:
    """A line for one new entry of a list: what stands before the names of its fields, and whom or what it is of."""

    mark: str
    subject: str = ""


def rows_of(subjects: Iterable[tuple[str, str, str]], parts: Iterable[Part]) -> tuple[Row, ...]:
    """Return what is asked as a row for each thing, given as id, name and place."""
    known = tuple(parts)
    rows = (Row(one, name, at, tuple(part for part in known if _is_in(part.path, at))) for one, name, at in subjects)
    return tuple(row for row in rows if row.parts)


def _is_in(path: str, place: str) -> bool:
    return path.startswith((f"{place}.", f"{place}["))


def blanks_of(parts: Iterable[Part], owners: tuple[str, ...]) -> dict[str, tuple[Blank, ...]]:
    """Return the lines for new entries of each list that has a few fields alone, by the place of the first.

    `owners` are the things that a new entry may be of; a few lines are for each.
    """
    found: dict[str, tuple[Blank, ...]] = {}
    for part in parts:
        if isinstance(part, Entry) and part.number == 0 and _is_short(part):
            of = [owner for owner in owners or ("",) for _ in range(_BLANKS)]
            found[part.path] = tuple(Blank(f"{n}:" if n else "", owner) for n, owner in enumerate(of))
    return found


def _is_short(entry: Entry) -> bool:
    single = (isinstance(one, Input) and not one.things and not one.field.is_list for one in entry.inputs)
    return len(entry.inputs) <= _FEW_INPUTS and all(single)


def whose(path: str, rows: Iterable[Row], blanks: Mapping[str, tuple[Blank, ...]]) -> str:
    """Return the one of several things in whose row, or among whose lines, a field stands; "" where it is nobody's."""
    starts = {f"{line.mark}{opened}": line.subject for opened, lines in blanks.items() for line in lines}
    starts |= {row.place: row.subject for row in rows}
    return next((one for start, one in starts.items() if _is_in(path, start)), "")


def typed_in(blank: Blank, typed: Typed, path: str) -> dict[str, tuple[str, ...]]:
    """Return what was typed into a line, by the places of the first."""
    start = f"{blank.mark}{path}."
    return {f"{path}.{name.removeprefix(start)}": said for name, said in typed.items() if name.startswith(start)}


def as_the_first(rows: tuple[Row, ...], typed: Typed) -> Typed:
    """Return what was typed, with that of the first row for what another, which is ticked to be alike, leaves empty."""
    filled = dict(typed)
    for row in rows[1:]:
        if row.subject in typed.get(AS_FIRST, ()):
            for path in row.paths:
                of_first = rows[0].place + path.removeprefix(row.place)
                if not any(typed.get(path, ())) and any(typed.get(of_first, ())):
                    filled[path] = typed[of_first]
    return filled


def no_answers(rows: tuple[Row, ...], ticked: Typed) -> Typed:
    """Return what may be ticked in rows beforehand: nothing that would be an answer where somebody left a row alone."""
    found = dict(ticked)
    for row in rows:
        fields = [one for one in flat(row.parts) if isinstance(one, Input)]
        lacking = {_entry(one.path) for one in fields if one.is_needed and one.path not in ticked}
        for one in fields:
            if _entry(one.path) not in lacking - {""}:
                found.pop(one.path, None)
    return found


def _entry(path: str) -> str:
    """Return the list that a field of a new entry is in; "" where it is in none."""
    base, more, _ = path.partition(ONE_MORE)
    return base if more else ""


def subjects_said(rows: tuple[Row, ...], typed: Typed, ticked: Typed) -> Iterator[str]:
    """Yield each thing of whose row something is said, beside what was `ticked` beforehand."""
    for row in rows:
        chosen = any(isinstance(one, Kinds) and one.chosen and not is_left(one, row.parts, typed) for one in row.parts)
        said = {path: tuple(filter(str.strip, typed.get(path, ()))) for path in row.paths}
        if chosen or any(text and text != ticked.get(path) for path, text in said.items()):
            yield row.subject


def is_left(group: Kinds, parts: Iterable[Part], typed: Typed) -> bool:
    """Whether a kind was chosen for several at once, and of this one nothing is said that the kind needs."""
    inner = [one for one in flat(parts) if isinstance(one, Input) and one.path.startswith(f"{group.path}.")]
    is_said = any(text.strip() for one in inner for text in typed.get(one.path, ()))
    return not is_said and any(one.is_needed for one in inner)
