"""What the short of a comparison says, part by part: a heading, and lines of plain words.

What is dangerous is told first, thing by thing, and all of it; what stands for many of a kind is counted. A reader who
stops here has missed no danger, only its details.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace

from progdoc.comparison.changes import Cause, Change, Comparison, Danger, Direction, Kind, Nature, Topic
from progdoc.comparison.public_part import barred_and_free, barred_by_time
from progdoc.comparison.summary_reading import counted_words, lost_facts, texts_to_read, thing_in_short
from progdoc.comparison.told_changes import (
    WHOLE_THINGS,
    because,
    cited_together,
    of_thing,
    place_words,
    sentence,
    shortened,
)
from progdoc.core.late_dataclass import dataclass

__all__ = ["LIMITS", "Part", "summary_parts"]

_LONG, _SHORT = 115, 56  # characters of a phrase
_MOST_LINES = 3  # of a part of which no line is dangerous
_ROOM = 1_800  # characters of things told in full; further ones are named, each with what is the worst of it
LIMITS = "It tells what changed. Whether it may be so, the officer and the authority having jurisdiction say."
_FIGURES = (Topic.AIR, Topic.FIGURE)


@dataclass(frozen=True, slots=True)
class Part:
    """A heading and the lines below it. `kind`: danger, caution, note, or "" for what is no notice."""

    id: str
    kind: str
    heading: str
    lines: tuple[str, ...] = ()

    @property
    def is_notice(self) -> bool:
        return self.kind in ("danger", "note") or self.id == "warnings"

    @property
    def is_of_people(self) -> bool:
        """Whether it has to stand wherever the changes themselves do: these leave out whatever names a worker."""
        return self.id == "people"


def summary_parts(comparison: Comparison, names: Mapping[str, str]) -> Iterator[Part]:
    if comparison.is_empty:
        yield Part("none", "note", "Nothing changed.")
        return
    if comparison.warnings:
        yield Part("warnings", "caution", "Before anything else", comparison.warnings)
    by_edit = [change for change in comparison.meaning if change.cause is not Cause.TIME]
    less = [c for c in by_edit if c.direction is Direction.LESS and c.danger <= Danger.LOST and not c.is_restricted]
    if less:
        things = tuple(_by_thing(less, names))
        yield Part(
            "less", "danger", f"Less protected, or no longer shown to be: {_plural(len(things), 'thing')}", things
        )
    else:
        yield Part("less", "note", "No edit lowers protection, or the evidence for it, as far as the rules can tell.")
    yield from _people(comparison, by_edit, names)
    if lost := lost_facts(comparison, less, names):
        yield Part("lost", "caution", "Read these: facts that are no longer said", lost)
    if texts := texts_to_read(comparison, names):
        yield Part("read", "caution", "Read these: words that tell people what to do, or that the law asks for", texts)
    yield from _listed("doubts", "Cautions that are new", _doubts(by_edit), names)
    yield from _duties(by_edit, names)
    yield from _listed("figures", "Other figures that moved", _moved_figures(by_edit), names)
    yield from _listed("more", "More protection", _more(by_edit), names)
    yield from _time(comparison, names)
    yield from _rules(comparison, names)
    yield from _words(comparison, names)


def _plural(count: int, noun: str) -> str:
    return f"{count:,} {noun}" if count == 1 else f"{count:,} {noun}s"


def _by_thing(changes: Iterable[Change], names: Mapping[str, str]) -> Iterator[str]:
    """Yield a line for each thing, the worst first: what is less, the edits behind it, the paragraphs."""
    groups: dict[tuple[str, str], list[Change]] = {}
    for change in changes:
        groups.setdefault((of_thing(change), _section_of(change)), []).append(change)
    room = _ROOM
    for (thing, _), group in groups.items():
        line = _thing_line(thing, _without_doubles(group), names, room > 0)
        room -= len(line)
        yield line


def _section_of(change: Change) -> str:
    """Return the part of the program that was edited, of what belongs to no single thing: each is told by itself."""
    places = {".".join(cause.place.split(".")[:2]) for cause in change.causes} or {change.place}
    if change.place == "program":
        return "whole"
    return places.pop() if of_thing(change) == "program" and len(places) == 1 else ""


def _thing_line(thing: str, group: list[Change], names: Mapping[str, str], is_full: bool) -> str:
    if group[0].place == "program":
        whole = sentence(group[0], names, _LONG, with_place=False)
        return f"{whole[:1].upper()}{whole[1:]} [{group[0].citation}]"
    name = "The program" if thing == "program" else names.get(thing) or place_words(group[0], names)
    taken = [c for c in group[1:] if c.topic is Topic.EVIDENCE]
    group = [*group[:1], *taken, *(c for c in group[1:] if c not in taken)]
    phrases = [
        sentence(c, names, _LONG if is_full else _SHORT, _adds_place(c, thing, names)).removeprefix(f"{name}, ")
        for c in group
    ]
    shown = phrases[: max(3, 1 + len(taken)) if is_full else 1]
    left = [
        what
        for c in group[len(shown) :]
        if (what := f"{c.what} {c.place.partition(' ')[0]}" if " " in c.place else c.what)
    ]
    line = f"{name}: {'; '.join(shown)}"
    line += f"; and {', '.join(dict.fromkeys(left))}" if left else ""
    cited = cited_together((c.citation for c in group if c.citation), _SHORT)
    line += f" [{cited}]" if cited else ""
    if is_full:
        told = [c for c in group if c.topic is not Topic.EVIDENCE]
        causes = tuple(dict.fromkeys(cause for c in told for cause in c.causes))
        others = [c for c in told if not c.causes and (c.cause is not Cause.DESCRIPTION or not causes)]
        together = [replace(group[0], causes=causes)] if causes else []
        whys = dict.fromkeys(because(c, names, _SHORT) for c in (*together, *others))
        notes = dict.fromkeys(c.note for c in group if c.note)
        line += f" Because: {shortened('; '.join(whys), 2 * _LONG)}.".replace("….", "…") if whys else ""
        line += f" {' '.join(notes)}" if notes else ""
    return line.replace(f" in “{name}”", "")


def _adds_place(change: Change, thing: str, names: Mapping[str, str]) -> bool:
    """Whether a phrase has to say where: not where the thing itself has been named, or its part is said by the what."""
    inner = change.place.removeprefix(thing).strip(".")
    return (
        inner not in ("", "use", "air", "needed", "least", "controls", change.what.replace(" ", "_"))
        and bool(names.get(thing))
        and "figures." not in change.place
    )


def _without_doubles(group: list[Change]) -> list[Change]:
    """Return the changes of a thing without findings that say again what the verdict on a mask says."""
    if any(change.topic is Topic.MASK for change in group):
        return [change for change in group if not change.place.startswith("SEL-")]
    return group


def _people(comparison: Comparison, by_edit: list[Change], names: Mapping[str, str]) -> Iterator[Part]:
    counted = tuple(_counted(comparison, names))
    barred, free, unrecorded = barred_and_free(by_edit)
    groups = zip((barred, free, unrecorded), comparison.withheld_barred, strict=True)
    number = [len(group) + withheld for group, withheld in groups]
    lines = [f"{place_words(c, names)}: {shortened(c.new, _LONG)} Because: {because(c, names, _SHORT)}" for c in barred]
    lines += [f"{place_words(c, names)}: may do it, but only since a record was taken out" for c in unrecorded]
    lines += [f"{place_words(c, names)}: may do it now" for c in free[: max(_MOST_LINES - len(lines), 0)]]
    if any(number):
        told = f"Barred from a task that they could do: {number[0]}. Free for a task that was barred: {number[1]}."
        told += f" Free only because a record or a rule was taken out: {number[2]}." if number[2] else ""
        told += " The restricted pages name them." if comparison.withheld else ""
        heading, kind = ("Barred from work", "caution") if number[0] or number[2] else ("People", "")
        yield Part("people", kind, heading, (told, *lines, *counted))
    elif comparison.withheld:
        told = f"Nobody is newly barred. {_plural(comparison.withheld, 'change')} of their records: see restricted."
        yield Part("people", "", "People", (told, *counted))
    elif counted:
        yield Part("people", "", "People", counted)


def _counted(comparison: Comparison, names: Mapping[str, str]) -> Iterator[str]:
    """Yield how many people there are now: the printed program has these counts, and names nobody by them."""
    for one in comparison.people:
        about = f"“{names.get(one.task, one.task)}”" if one.task else "People on the list of wearers"
        yield f"{about}{', who does it' if one.task else ''}: {one.old} → {one.new}"


def _doubts(by_edit: list[Change]) -> list[Change]:
    return [c for c in by_edit if c.direction is Direction.LESS and c.danger is Danger.DOUBT and not c.is_restricted]


def _moved_figures(by_edit: list[Change]) -> list[Change]:
    """Return the figures that moved and are neither less nor more protection, what asks for less last."""
    moved = [c for c in by_edit if c.topic in _FIGURES and c.direction not in (Direction.LESS, Direction.MORE)]
    return sorted(
        (c for c in moved if not c.is_restricted), key=lambda c: c.about == "" or c.direction is Direction.ASKS_LESS
    )


def _more(by_edit: list[Change]) -> list[Change]:
    return [c for c in by_edit if c.direction is Direction.MORE and c.topic is not Topic.DUTY and not c.is_restricted]


def _listed(identity: str, heading: str, changes: list[Change], names: Mapping[str, str]) -> Iterator[Part]:
    if not changes:
        return
    listed = [change for change in changes if not change.is_below][:_MOST_LINES]
    lines = [_figure_line(change, names) for change in listed]
    left = [change for change in changes if change not in listed]
    below = sum(change.is_below for change in left)
    counted = [f"{_plural(below, 'figure')} of air that was and is under its limits"] if below else []
    counted += [f"{len(left) - below} more, none of them less protection"] if len(left) > below else []
    if counted:
        lines.append(f"and {', '.join(counted)}: the comparison lists them")
    yield Part(identity, "", heading, tuple(lines))


def _figure_line(change: Change, names: Mapping[str, str]) -> str:
    means = {
        Direction.KNOWN: ", now known",
        Direction.ASKS_LESS: ", the air asks for less",
        Direction.ASKS_MORE: ", the air asks for more",
        Direction.NOT_ASKED: ", no longer asked",
    }.get(change.direction, "")
    note = f" {change.note}" if change.note else ""
    if not note and (change.causes or change.cause is Cause.RULES) and change.topic is not Topic.EVIDENCE:
        note = f" Because: {because(change, names, _SHORT, 1)}"
    longest = _LONG if change.topic is Topic.DUTY else _SHORT
    return f"{sentence(change, names, longest)}{means}.{shortened(note, _LONG)}".replace("….", "…")


def _duties(by_edit: list[Change], names: Mapping[str, str]) -> Iterator[Part]:
    """Yield how duties of the law moved, by what they are about."""
    duties = [c for c in by_edit if c.topic is Topic.DUTY and not c.is_restricted and c.place != "program"]
    counted = [c for c in duties if c.kind is Kind.VERDICT_CHANGED]
    groups = (
        ("Now open", [c for c in duties if c.direction is Direction.LESS and c.danger is not Danger.DOUBT]),
        ("Now met", [c for c in duties if c.direction in (Direction.MORE, Direction.KNOWN)]),
        (
            "Open before and no longer asked, which is not met",
            [c for c in duties if c.direction is Direction.NOT_ASKED and c not in counted],
        ),
    )
    lines = [f"{label}: {_codes(group, names)}" for label, group in groups if group]
    came_or_went = []
    for label, is_gone in (("met before and no longer asked", True), ("asked now, and met", False)):
        things = [c for c in counted if (c.direction is Direction.NOT_ASKED) is is_gone]
        if things:
            number = len({code for c in things for code in (c.old or c.new).split(", ")})
            came_or_went.append(f"{number} {label}, about {_things(things, names)}")
    lines += ["; ".join(came_or_went)] if came_or_went else []
    if lines:
        yield Part("duties", "", "Duties of the law that moved", tuple(lines))


def _codes(group: list[Change], names: Mapping[str, str]) -> str:
    """Return the codes of duties, those about the same things together, and their paragraphs."""
    about: dict[str, list[Change]] = {}
    by_code: dict[str, list[Change]] = {}
    for change in group:
        by_code.setdefault(change.place.partition(" ")[0], []).append(change)
    for _, changes in sorted(by_code.items()):
        about.setdefault(_things(changes, names), []).append(changes[0])
    told = []
    for things, firsts in about.items():
        cited = cited_together((change.citation for change in firsts if change.citation), _SHORT)
        codes = ", ".join(change.place.partition(" ")[0] for change in firsts)
        told.append(f"{codes} ({things}{f'; {cited}' if cited else ''})")
    return ", ".join(told)


def _things(changes: list[Change], names: Mapping[str, str]) -> str:
    found = list(dict.fromkeys(place_words(change, names) for change in changes))
    return (
        found[0] if len(found) == 1 else f"{found[0]} and {len(found) - 1} more" if len(found) > 3 else ", ".join(found)
    )


def _time(comparison: Comparison, names: Mapping[str, str]) -> Iterator[Part]:
    """Yield what only the calendar brought about: counted, for nobody wrote it."""
    aged = [change for change in comparison.meaning if change.cause is Cause.TIME]
    kept = sum(c.cause is Cause.TIME for c in comparison.kept_up) + comparison.withheld_kept_up
    lines = []
    less = [change for change in aged if change.direction is Direction.LESS and not change.is_restricted]
    if less:
        codes = [change for change in less if change.topic is Topic.DUTY]
        what = _codes(codes, names) if codes else ", ".join(dict.fromkeys(place_words(c, names) for c in less))
        lines.append(f"Ran out and stands open: {what}")
    barred = barred_by_time(aged)
    number = len(barred) + comparison.withheld_aged
    if number:
        who = "; ".join(place_words(change, names) for change in barred) or "the restricted pages name them"
        lines.append(f"Keeps from work until renewed: {_plural(number, 'task')} of people: {shortened(who, 2 * _LONG)}")
    if kept:
        lines.append(f"Would have run out, and was renewed or settled: {_plural(kept, 'thing')}")
    if lines:
        yield Part("time", "", "By time alone", tuple(lines))


def _rules(comparison: Comparison, names: Mapping[str, str]) -> Iterator[Part]:
    """Yield that the rules are others, and what they moved: it is told above, each with its danger."""
    if comparison.old.rules == comparison.new.rules:
        return
    lines = [f"{comparison.old.rules} → {comparison.new.rules}", *_packs(comparison.old.rules, comparison.new.rules)]
    moved = [c for c in comparison.meaning if c.cause is Cause.RULES and not c.is_restricted]
    duties = [c for c in moved if c.topic is Topic.DUTY]
    told = [_codes(duties, names)] if duties else []
    told += dict.fromkeys(c.what for c in moved if c.topic is not Topic.DUTY)
    lines += [f"They alone moved: {shortened(', '.join(told), 2 * _LONG)}"] if told else []
    answered = [c for c in comparison.kept_up if c.cause is Cause.RULES and not c.is_restricted]
    if answered:
        what = dict.fromkeys(c.place.partition(" ")[0] if c.topic is Topic.DUTY else c.what for c in answered)
        lines.append(f"Asked by them, and answered by the edits: {shortened(', '.join(what), 2 * _LONG)}")
    yield Part("rules", "", "By other rules", tuple(lines))


def _packs(old: str, new: str) -> Iterator[str]:
    """Yield which pack, beside the federal one mostly a state's, came, went, or is another version."""
    before, after = (dict(zip(*(part.split("+") for part in rules.split(" ")), strict=False)) for rules in (old, new))
    if len({*before, *after}) < 2:
        return
    for name in sorted({*before, *after}):
        one, other = before.get(name), after.get(name)
        if one and other and one != other:
            yield f"{name}: {one} → {other}"
        elif one != other:
            yield f"{name}: {f'new, {other}' if other else f'no longer, {one}'}"


def _words(comparison: Comparison, names: Mapping[str, str]) -> Iterator[Part]:
    edits = comparison.description
    renamed = [c for c in edits if c.kind is Kind.RENAMED or (c.what == "name" and c.kind is Kind.REWORDED)]
    lines = [f"Renamed: {'; '.join(f'{c.old} → {c.new}' for c in renamed)}"] if renamed else []
    whole = [c for c in edits if c.field in WHOLE_THINGS]
    told = [
        f"{label}: {', '.join(c.new or c.old for c in whole if c.kind is kind)}"
        for label, kind in (("Came", Kind.ADDED), ("Went", Kind.REMOVED))
        if any(c.kind is kind for c in whole)
    ]
    lines += [". ".join(told)] if told else []
    words = [c for c in edits if c.nature is Nature.WORDS and c not in renamed]
    if words:
        things = counted_words([thing_in_short(c, names) for c in words])
        lines.append(f"Only words, or the document itself: {shortened(', '.join(things), 3 * _LONG)}")
    if comparison.files:
        lines.append(f"Files beside the description: {'; '.join(map(_file_words, comparison.files))}")
    facts = sum(c.nature in (Nature.FACT, Nature.LOST) for c in edits)
    out, put = comparison.words_taken_out, comparison.words_put_in
    printed = f"{_plural(out, 'word')} taken out of the text and {_plural(put, 'word')} put in"
    printed += f", {_plural(comparison.words_moved, 'word')} only moved" if comparison.words_moved else ""
    printed += ": see the redline"
    if not comparison.is_read:
        printed = "what became of the printed text, the redline shows (-o FOLDER)"
    if comparison.site:
        printed = "the text of the program, which is one for all sites, was not compared"
    lines += [f"In all: {_plural(facts, 'edit')} of fact; {printed}", LIMITS]
    yield Part("words", "", "The rest", tuple(lines))


def _file_words(change: Change) -> str:
    how = {Kind.ADDED: "added", Kind.REMOVED: "taken out"}.get(change.kind, "holds something else")
    return f"{change.place.removeprefix('file ')} {how}"
