"""The words of a paragraph as a row of atoms, so that two rows can be compared and set together again.

An atom is one token of text, or a break, citation or reference, and knows in what it stands: strong,
emphasis, a link. Equal words in another dress are a change.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import groupby

from progdoc.comparison.marks import DELETED, END, unmarked
from progdoc.comparison.word_changes import changed_spans, tokens
from progdoc.core.late_dataclass import dataclass
from progdoc.document.tree.nodes import CitationMark, Emphasis, Inline, Link, Reference, Strong, Text

__all__ = ["cleaned", "marked_inlines", "plain", "without_references"]


@dataclass(frozen=True, slots=True)
class _Atom:
    leaf: Inline
    dress: tuple[str, ...]  # from the outside in: "strong", "emphasis", or a link's address


_STRONG, _EMPHASIS, _LINK = "strong", "emphasis", "link "


def cleaned(children: tuple[Inline, ...], shows_citations: bool) -> tuple[Inline, ...]:
    """Return words as they are printed: no places in the description, no citation that is not shown."""
    return tuple(
        _set_together([a for a in _atoms(children) if shows_citations or not isinstance(a.leaf, CitationMark)])
    )


def marked_inlines(old: tuple[Inline, ...], new: tuple[Inline, ...]) -> tuple[Inline, ...]:
    """Return both rows of words in one, with marks before and after what changed."""
    found: list[Inline] = []
    for mark, atoms in changed_spans(list(_atoms(old)), list(_atoms(new))):
        kept = _without_references(atoms) if mark == DELETED else atoms
        words = _set_together(kept)
        found += [Text(mark), *words, Text(END)] if mark else words
    return tuple(found)


def plain(children: tuple[Inline, ...]) -> str:
    """Return the words without any dress."""
    return "".join(plain(c.children) if isinstance(c, Strong | Emphasis | Link) else _words(c) for c in children)


def without_references(children: tuple[Inline, ...]) -> tuple[Inline, ...]:
    """Return the words with every reference as plain text: what it leads to may be gone."""
    return tuple(_set_together(_without_references(list(_atoms(children)))))


def _words(leaf: Inline) -> str:
    match leaf:
        case Text() | CitationMark():
            return leaf.text
        case Reference():
            return leaf.text or leaf.target
        case _:
            return "\n"


def _atoms(children: tuple[Inline, ...], dress: tuple[str, ...] = ()) -> Iterator[_Atom]:
    for child in children:
        match child:
            case Text():
                yield from (_Atom(Text(token), dress) for token in tokens(unmarked(child.text)))
            case Strong():
                yield from _atoms(child.children, (*dress, _STRONG))
            case Emphasis():
                yield from _atoms(child.children, (*dress, _EMPHASIS))
            case Link():
                yield from _atoms(child.children, (*dress, _LINK + child.href))
            case _:
                yield _Atom(child, dress)


def _without_references(atoms: Sequence[_Atom]) -> list[_Atom]:
    return [_Atom(Text(_words(a.leaf)), a.dress) if isinstance(a.leaf, Reference) else a for a in atoms]


def _set_together(atoms: Sequence[_Atom], depth: int = 0) -> list[Inline]:
    found: list[Inline] = []
    for outer, group in groupby(atoms, key=lambda atom: atom.dress[depth] if len(atom.dress) > depth else ""):
        if outer:
            inner = tuple(_set_together(list(group), depth + 1))
            found.append(_dressed(outer, inner))
            continue
        for is_text, run in groupby((atom.leaf for atom in group), key=lambda leaf: isinstance(leaf, Text)):
            leaves = list(run)
            found += [Text("".join(map(_words, leaves)))] if is_text else leaves
    return found


def _dressed(outer: str, inner: tuple[Inline, ...]) -> Inline:
    if outer == _STRONG:
        return Strong(inner)
    return Emphasis(inner) if outer == _EMPHASIS else Link(outer.removeprefix(_LINK), inner)
