"""Which edits of the description brought an effect about: those of the places on which it rests.

First the very places that were read to say so; then the things they belong to, then those that these refer to; then
the rules that the firm binds itself by. Where nothing of that was edited, the few edits there are, or nothing: a
cause is never made up.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence

from progdoc.comparison.changes import Change, Kind, Nature
from progdoc.comparison.places import above, heads

__all__ = ["Edits"]

_MOST_GUESSED = 3
_BINDING = ("policies.", "procedures.fit_testing", "organisation.sites", "program.jurisdiction", "accepted")


class Edits:
    """The edits of a description, found by place."""

    def __init__(self, edits: Sequence[Change], related: Mapping[str, frozenset[str]]) -> None:
        self._edits, self._related = edits, related
        self._below: dict[str, list[int]] = {}  # by a place: the edits in it
        self._at: dict[str, list[int]] = {}  # by a place: the edits of the whole of it
        for number, edit in enumerate(edits):
            for place in {edit.place, edit.was} - {""}:
                self._at.setdefault(place, []).append(number)
                for outer in above(place):
                    self._below.setdefault(outer, []).append(number)

    def behind(self, places: Iterable[str], around: Collection[str] = ()) -> tuple[Change, ...]:
        """Return the edits behind what rests on some places.

        Parameters
        ----------
        around
            Further things that it is about, asked only where none of the places were edited.
        """
        read = frozenset(places)
        things = heads(read) | heads(around)
        named = {*things, *around, *(outer for place in read for outer in above(place))}
        for tried in (read, things, self.beside(named) - named):
            found = self.at(tried)
            if found:
                return found
        binding = tuple(edit for edit in self._edits if edit.place.startswith(_BINDING))
        if binding:
            return binding
        facts = tuple(edit for edit in self._edits if edit.nature is not Nature.WORDS)
        return facts if len(facts) <= _MOST_GUESSED else ()

    def beside(self, things: Collection[str]) -> frozenset[str]:
        """Return things together with those that they refer to, or that refer to them."""
        return frozenset(things).union(*(self._related.get(thing, ()) for thing in things))

    def at(self, places: Iterable[str]) -> tuple[Change, ...]:
        """Return the edits of places, of what stands in them, and of the whole that they stand in."""
        found: set[int] = set()
        for place in places:
            found.update(self._below.get(place, ()))
            for outer in above(place):
                found.update(self._at.get(outer, ()))
        edits = [self._edits[number] for number in sorted(found)]
        told = [edit for edit in edits if edit.nature in (Nature.FACT, Nature.LOST) and edit.kind is not Kind.RENAMED]
        told = told or [edit for edit in edits if edit.nature is Nature.TEXT]
        return tuple(told)
