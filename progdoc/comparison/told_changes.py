"""Changes as people read them: what a thing is called, what happened to it, and why. No paths, no marks of Markdown."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence

from progdoc.comparison.changes import Cause, Change, Direction, Kind, Topic
from progdoc.comparison.word_changes import tokens

__all__ = [
    "DIRECTIONS",
    "KINDS",
    "because",
    "cited_together",
    "differing",
    "of_thing",
    "place_words",
    "readable",
    "sentence",
    "shortened",
    "sides",
]

DIRECTIONS = {
    Direction.LESS: "less protection",
    Direction.MORE: "more protection",
    Direction.KNOWN: "now known",
    Direction.ASKS_LESS: "the air asks for less",
    Direction.ASKS_MORE: "the air asks for more",
    Direction.NOT_ASKED: "no longer asked",
    Direction.NEUTRAL: "",
}
KINDS = {
    Kind.ADDED: "added",
    Kind.REMOVED: "taken out",
    Kind.MOVED: "moved",
    Kind.RENAMED: "renamed",
    Kind.REWORDED: "changed",
    Kind.FIGURE_CHANGED: "changed",
    Kind.VERDICT_CHANGED: "changed",
    Kind.FINDING_APPEARED: "now open",
    Kind.FINDING_VANISHED: "no longer open",
    Kind.FINDING_CHANGED: "changed",
}
WHOLE_THINGS = ("tasks[]", "hazards[]", "masks[]", "filters[]", "people[]", "policies[]")
_PARTS_OF_AIR = (".use", ".air", ".needed", ".least")
_SAY_NOTHING = frozenset(
    ["procedures", "tasks", "hazards", "masks", "filters", "people", "policies", "figures", "foreseeable"]
)
_PART = re.compile(r"\[[^\]]*\](?:#\d+)?|[^.]+")
_PLACE = re.compile(r"\b(?:tasks|hazards|masks|filters|people|policies)\.[a-z0-9][a-z0-9-]*\b")
_SCHEDULED = "procedures.filter_changes."  # before a change schedule's own place
_KIND = re.compile(r"kind: ([a-z0-9-]+)\b")
_QUOTED = re.compile(r"“([^“”]{40})[^“”]+”")  # the first words will do, the point stands behind
_MOST_CAUSES = 3
_CONTEXT = 6  # tokens kept on either side of what differs
_CODE = re.compile(r"[A-Z]{3,5}-\d{3}\b")


def of_thing(change: Change) -> str:
    """Return the thing under which a change is told: the task where it is about one, else what it belongs to."""
    if change.about:
        return change.about
    parts = change.place.split(" ")
    if _CODE.match(parts[0]):
        return parts[1] if len(parts) > 1 and parts[1] else "program"
    return ".".join(change.place.removeprefix(_SCHEDULED).split(".")[:2])


def place_words(change: Change, names: Mapping[str, str]) -> str:
    """Return what people call the place of a change."""
    parts = change.place.split(" ")
    if _CODE.match(parts[0]):
        return ", ".join(_named(part, names) for part in parts[1:] if part) or "the program"
    is_of_air = change.topic is Topic.AIR and change.place.endswith(_PARTS_OF_AIR)  # what is said of it, names them
    return _named(change.place.rpartition(".")[0] if is_of_air else change.place, names)


def _named(place: str, names: Mapping[str, str]) -> str:
    """Return a place in words: the longest parts of it that have a name by that, the others as they are."""
    parts, found = _PART.findall(place), []
    inner: list[str] = []
    while parts:
        length = next((n for n in (4, 3, 2) if ".".join(parts[:n]) in names), 0)
        if length:
            found.append(names[".".join(parts[:length])])
            parts = parts[length:]
            continue
        word = parts.pop(0)
        known = names.get(f"masks.{word[1:-1]}", "") if word.startswith("[") else ""
        if known:
            inner.append(known)
        elif word not in _SAY_NOTHING or not (parts or found or inner):
            inner.append(_said(re.sub(r"#\d+$", "", word)))
    return ", ".join(word for word in (*found, readable(" ".join(filter(None, inner)), names)) if word)


def _said(part: str) -> str:
    """Return a part of a place in words: the own words of an entry that has no name in quotes."""
    words = part.removeprefix("[").removesuffix("]")
    return f"“{words}”," if part.startswith("[") and words.count(" ") > 1 else words.replace("_", " ")


def sentence(change: Change, names: Mapping[str, str], longest: int, with_place: bool = True) -> str:
    """Return a change in a phrase."""
    old, new = sides(change, names, longest)
    if change.topic is Topic.DUTY and " " in change.place:
        code = change.place.partition(" ")[0]
        return f"{code} {f'{new}; was {old}' if change.kind is Kind.FINDING_VANISHED else new}"
    is_told = change.topic in (Topic.DUE, Topic.FIGURE)  # their what says where
    where = place_words(change, names) if with_place and not is_told else ""
    what = "" if change.topic is Topic.EDIT and where else change.what
    if change.topic is Topic.DUTY and not (old and new):
        return f"{change.what}: {old or new}"
    if change.kind in (Kind.ADDED, Kind.REMOVED):
        told = old or new
        where = "" if told and what and told.startswith(where.partition(" in “")[0]) else where
        start = " ".join(part for part in (f"{where}:" if where and what else where, what, KINDS[change.kind]) if part)
        return start if not told or told in where else f"{start}: {told}"
    is_bare = change.topic is Topic.EDIT and not where
    start = " ".join(part for part in (f"{where}:" if where else "", f"{what}:" if is_bare else what) if part)
    if not old and not new:
        return f"{start.rstrip(':')} {KINDS[change.kind]}".strip()
    return f"{start} {old or 'not said'} → {new or 'not said'}".strip()


def sides(change: Change, names: Mapping[str, str], longest: int) -> tuple[str, str]:
    """Return what stood and what stands, cut down to where they differ, with names in place of ids."""
    old, new = (readable(_named_values(change, text, names), names) for text in (change.old, change.new))
    if change.topic is Topic.DUTY:
        old, new = (_QUOTED.sub(r"“\1…”", text) for text in (old, new))
    return differing(old, new, longest)


def because(change: Change, names: Mapping[str, str], longest: int, most: int = _MOST_CAUSES) -> str:
    """Return what brought a change about, as many edits of it as there is room for."""
    if change.cause is Cause.TIME:
        return "time passed"
    if change.cause is Cause.RULES:
        return "the rules changed"
    here = f"{place_words(change, names)}, "
    told = list(dict.fromkeys(words.removeprefix(here) for words in _causes(change.causes, names, longest)))
    if len(told) > most:
        left = len(told) - most
        told = [*told[:most], f"{left} further {'edit' if left == 1 else 'edits'} of the same things"]
    return "; ".join(told) or "several edits together"


def _causes(edits: Sequence[Change], names: Mapping[str, str], longest: int) -> Iterator[str]:
    """Yield the edits as causes; those of one list are told together: entries that came and went, figures in them."""
    lists: dict[tuple[str, str], list[Change]] = {}
    for edit in edits:
        is_entry = "[" in edit.place
        what = "" if is_entry and edit.kind in (Kind.ADDED, Kind.REMOVED) else edit.what
        lists.setdefault((edit.place.partition(".[")[0] if is_entry else edit.place, what), []).append(edit)
    for (place, what), group in lists.items():
        if len(group) == 1:
            yield _cause(group[0], names, longest)
            continue
        counts = Counter(KINDS[edit.kind] for edit in group)
        told = [f"{n} {how}" for how, n in counts.items()]
        if what and group[0].old and group[0].new:
            told.append(f"such as {shortened(group[0].old, longest // 2)} → {shortened(group[0].new, longest // 2)}")
        yield f"{_named(place, names)}{f', {what}' if what else ''} ({', '.join(told)})"


def _cause(edit: Change, names: Mapping[str, str], longest: int) -> str:
    """Return an edit as a cause: of evidence of another kind the kinds, of what came or went only what it is."""
    where = place_words(edit, names)
    if edit.kind in (Kind.ADDED, Kind.REMOVED):
        told = "" if "[" in edit.place else readable(edit.old or edit.new, names)
        is_said = not told or told in where
        return f"{where} {KINDS[edit.kind]}{'' if is_said else f': {shortened(told, longest)}'}"
    kinds = [match[1].replace("-", " ") if (match := _KIND.match(text)) else "" for text in (edit.old, edit.new)]
    if all(kinds):
        return f"{where} {kinds[0]} → {kinds[1]}"
    return sentence(edit, names, longest)


_REFERS = {"sites": "organisation.sites", "never same day": "tasks", "task": "tasks", "mask": "masks"}
_REFERS |= {kind: kind for kind in ("tasks", "masks", "escape masks", "filters", "people")}


def _named_values(change: Change, text: str, names: Mapping[str, str]) -> str:
    """Return what an edit says with names in place of the ids of things that it refers to."""
    kind = _REFERS.get(change.what, "").replace("escape ", "") if change.topic in (Topic.EDIT, Topic.EVIDENCE) else ""
    return ", ".join(names.get(f"{kind}.{word}", word) for word in text.split(", ")) if kind else text


def readable(text: str, names: Mapping[str, str]) -> str:
    """Return a text with the names of things in place of their ids, and without marks of code."""
    return _PLACE.sub(lambda place: names.get(place[0], place[0].partition(".")[2]), text).replace("`", "")


def differing(old: str, new: str, longest: int) -> tuple[str, str]:
    """Return both texts cut down to where they differ, with a few words around it.

    >>> start = "Out of the room, shut the door behind you, tell the foreman, then"
    >>> differing(f"{start} stop at once", f"{start} walk on", 60)
    ('… the foreman, then stop at once', '… the foreman, then walk on')
    """
    if not old or not new or max(len(old), len(new)) <= longest // 2:
        return shortened(old, longest), shortened(new, longest)
    one, other = tokens(old), tokens(new)
    start = _same(one, other)
    end = _same(one[start:][::-1], other[start:][::-1])
    return _cut(one, start, end, longest), _cut(other, start, end, longest)


def _same(one: Sequence[str], other: Sequence[str]) -> int:
    pairs = zip(one, other, strict=False)
    return next((i for i, (left, right) in enumerate(pairs) if left != right), min(len(one), len(other)))


def _cut(words: Sequence[str], start: int, end: int, longest: int) -> str:
    first, last = max(start - _CONTEXT - 1, 0), max(end - _CONTEXT, 0)
    kept = "".join(words[first : len(words) - last]).strip()
    text = f"{'… ' if first else ''}{kept}{' …' if last else ''}"
    return shortened(text, longest)


def cited_together(citations: Iterable[str], longest: int) -> str:
    """Return paragraphs in a row, each once and whole, a source's name once; those there is no room for are counted.

    >>> cited_together(["29 CFR 1910.134(f)(2)", "29 CFR 1910.134(d)(1)(iii)", "29 CFR 1926.62(f)"], 60)
    '29 CFR 1910.134(f)(2), (d)(1)(iii); 29 CFR 1926.62(f)'
    """
    by_source: dict[str, list[str]] = {}
    for citation in dict.fromkeys(citations):
        source, bracket, paragraph = citation.replace("`", "").partition("(")
        by_source.setdefault(source, []).append(bracket + paragraph)
    told, left = "", 0
    for source, paragraphs in by_source.items():
        for number, paragraph in enumerate(paragraphs):
            glue = ", " if number else f"; {source}" if told else source
            if told and len(told + glue + paragraph) > longest:
                left += 1
            else:
                told += glue + paragraph
    return f"{told} and {left} more" if left else told


def shortened(text: str, longest: int) -> str:
    """Return a text that has room, else its first words: never a part of one, unless it is longer than the room.

    >>> shortened("It is used as its approval says.", 18)
    'It is used as its…'
    """
    if len(text) <= longest:
        return text
    kept = text[: longest - 1] if text[longest - 1].isspace() else text[: longest - 1].rpartition(" ")[0]
    return f"{(kept or text[: longest - 1]).rstrip(' .,;:(…')}…"
