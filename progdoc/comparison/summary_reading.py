"""What the short of a comparison asks to be read, since no program judges it: facts that are gone, and texts."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping

from progdoc.comparison.changes import Change, Comparison, Kind, Nature, Topic
from progdoc.comparison.told_changes import of_thing, sentence

__all__ = ["counted_words", "lost_facts", "texts_to_read", "thing_in_short"]

_LONG, _SHORT = 115, 56  # characters of a phrase
_MOST_TEXTS = 3  # in full, those first that tell people what to do, then those in which a number or a no turned
_MOST_TOLD = 12  # that tell people what to do; all other texts are named by the thing they belong to


def lost_facts(comparison: Comparison, less: Iterable[Change], names: Mapping[str, str]) -> tuple[str, ...]:
    """Return the facts that are no longer said, those first that a paragraph reads.

    What is told as less protection is not told again; what is but the cause of something is: causes are cut short.
    """
    told = {cause.place for change in less if change.topic is Topic.EVIDENCE for cause in change.causes}
    lost = [c for c in comparison.description if c.nature is Nature.LOST and c.place not in told]
    lost.sort(key=lambda c: not c.citation)
    lines = [sentence(c, names, _SHORT) + (f" [{c.citation}]" if c.citation else "") for c in lost[:_MOST_TOLD]]
    if rest := [thing_in_short(c, names) for c in lost[_MOST_TOLD:]]:
        lines.append(f"and {', '.join(counted_words(rest))}")
    return tuple(lines)


def texts_to_read(comparison: Comparison, names: Mapping[str, str]) -> tuple[str, ...]:
    """Return the texts that the law asks for, or that tell people what to do: what they say, no program judges."""
    told = (c for c in comparison.description if c.nature is Nature.TEXT and not c.place.startswith("accepted."))
    texts = sorted(told, key=_text_rank)
    shown = [c for c in texts if _text_rank(c)[0] == 0][:_MOST_TOLD]
    shown += [c for c in texts if _text_rank(c)[0] == 1][: max(_MOST_TEXTS - len(shown), 0)]
    lines = [
        f"{sentence(c, names, _LONG if i < _MOST_TEXTS else _SHORT)}{f' [{c.citation}]' if c.citation else ''}"
        for i, c in enumerate(shown)
    ]
    rest = [thing_in_short(c, names) for c in texts if c not in shown]
    if rest:
        lines.append(f"and {', '.join(counted_words(rest))}")
    return tuple(lines)


def thing_in_short(change: Change, names: Mapping[str, str]) -> str:
    """Return what a change belongs to: a thing by its name, else the part of the description."""
    thing = of_thing(change)
    if change.kind is Kind.MOVED and "." not in thing:
        return f"the order of the {thing.replace('_', ' ')}"
    return names.get(thing) or thing.removeprefix("procedures.").partition(".")[0].replace("_", " ")


def counted_words(words: list[str]) -> list[str]:
    return [f"{word} ({count})" if count > 1 else word for word, count in Counter(words).items()]


_FIRST_READ = ("procedures.emergencies", "own_sections", "definitions", "tasks[].controls", "procedures.voluntary_use")
_TURNING = frozenset(
    [
        "no",
        "not",
        "never",
        "only",
        "unless",
        "without",
        "except",
        "instead",
        "must",
        "may",
        "any",
        "all",
        "first",
        "before",
        "after",
        "until",
    ]
)


def _text_rank(change: Change) -> tuple[int, str]:
    """Return what is to be read first: what tells people what to do, then texts in which a number or a no turned."""
    if change.kind is Kind.ADDED and change.field.startswith("procedures."):
        return 2, change.place
    if change.field.startswith(_FIRST_READ):
        return 0, change.place
    return (1 if change.is_taken_out or _turning(change.old) != _turning(change.new) else 2), change.place


def _turning(text: str) -> list[str]:
    words = text.lower().replace(",", " ").replace(".", " ").split()
    return sorted(word for word in words if word in _TURNING or any(letter.isdigit() for letter in word))
