"""Takes the answer to a question into a description: what was typed into a form, to the places it belongs to.

The same for a desk, a form that reads back and any other program: it gives texts by their places, and gets the files
with the answer in them, read back; or why it can't be taken, each fault at its place and nothing changed.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import replace
from typing import Any

from progdoc.app.accepted_cautions import with_what_is_accepted
from progdoc.app.check import Checked
from progdoc.app.form_rows import as_the_first, is_left, subjects_said, typed_in
from progdoc.app.question_forms import STEP, Sheet, Typed, typed_at
from progdoc.app.record import Recorded, entered
from progdoc.app.record_events import Put, Way
from progdoc.core.diagnostics import Diagnostic
from progdoc.core.questions import Question
from progdoc.document.papers.renewal_questions import spelt_id
from progdoc.model.description.fields import field_at
from progdoc.model.description.input_fields import NEW, ONE_MORE, Entry, Input, Kinds, Part, things_at
from progdoc.model.load import Loaded
from progdoc.model.yaml.yaml_splice import EntryValue
from progdoc.rules.adoption import adoptions_in

__all__ = ["ABOUT", "NOT_NAMED_ONLY", "NOT_SO", "TAKEN_OUT", "answered", "answered_for"]

ABOUT = "about"  # which of several that are asked about an answer is for
TAKEN_OUT = "taken-out"  # which entries that stand there are to go
NOT_SO = "not-so"  # which adopted paragraphs are adopted no more: the place that adopts, a blank, the paragraph
NOT_NAMED_ONLY = ("attachments", "hazards")  # things that take more than a name to be described
_CALLED_BY = ("name", "title", "what", "serial")  # what an entry is called by, of which its id is made


def answered(
    checked: Checked, sheet: Sheet, typed: Typed, judge: Callable[[Loaded], Checked]
) -> Recorded | list[Diagnostic]:
    """Return what becomes of the description with the answer in it; or why it can't be taken.

    Parameters
    ----------
    checked
        The description, understood and judged.
    sheet
        The form that was filled in; what it does not ask for is not taken.
    typed
        What was typed, by its place; `NEW` behind a place names things that are not listed yet.
    judge
        Judges the description that comes of it.
    """
    typed = as_the_first(sheet.rows, typed)
    said = typed.get(ABOUT, sheet.meant)
    meant = [(one, place) for one, place in zip(sheet.question.subject, sheet.places, strict=True) if one in said]
    puts = [
        *_adopting(checked, sheet.question, typed),
        *_not_so(checked, typed),
        *_puts(sheet, typed, [one for one, _ in meant]),
    ]
    puts += _of_lines(sheet, typed, puts)
    puts = [one for put in puts for one in with_what_is_accepted(sheet.question, put)]
    gone = _gone(sheet, typed)
    puts = [*gone, *(_moved_up(put, gone) for put in puts if not any(_is_within(put, one) for one in gone))]
    if len(sheet.places) > 1 and not sheet.rows:
        puts = [one for put in puts for one in _spread(put, sheet.places[0], [place for _, place in meant])]
    return entered(checked, puts, judge)


def _of_lines(sheet: Sheet, typed: Typed, puts: Iterable[Put]) -> Iterator[Put]:
    """Yield the new entries that were typed into the further lines of a list."""
    for part in sheet.parts:
        for line in sheet.blanks.get(part.path, ())[1:] if isinstance(part, Entry) else ():
            said = typed_in(line, typed, part.path)
            if any(map("".join, said.values())):
                yield from _puts(replace(sheet, parts=(part,), blanks={}, stands={}), said, [line.subject])


def answered_for(sheet: Sheet, typed: Typed) -> tuple[str, ...]:
    """Return of which of the things that a form asks about something was said; ("",) for the whole program."""
    if ABOUT in typed:
        return typed[ABOUT]
    if sheet.rows:
        said = tuple(subjects_said(sheet.rows, as_the_first(sheet.rows, typed), sheet.proposed))
        return said or sheet.question.subject  # an empty form was looked at for all of them
    lines = [(line, path) for path, lines in sheet.blanks.items() for line in lines if line.subject]
    if len(sheet.places) > 1 and lines:
        given = (line.subject for line, path in lines if any(map("".join, typed_in(line, typed, path).values())))
        return tuple(dict.fromkeys(given)) or sheet.question.subject
    return sheet.meant or ("",)


def _adopting(checked: Checked, question: Question, typed: Typed) -> Iterator[Put]:
    """Yield the paragraph that is adopted, beside those that are adopted there already."""
    known = field_at(question.adopted_at) if question.adopts else None
    if known is not None and typed.get(question.adopted_at) == (question.adopts,):
        before = typed_at(checked.loaded.description.values, question.adopted_at)
        kept = [one for one in before if one != question.adopts and known.is_list]
        yield _put(question.adopted_at, [*kept, question.adopts] if kept else question.adopts)


def _not_so(checked: Checked, typed: Typed) -> Iterator[Put]:
    """Yield what is left of the paragraphs at a place that adopts, where some are adopted no more."""
    adopted = tuple(adoptions_in(checked.loaded.program)) if checked.loaded.program else ()
    gone = [one for one in adopted if f"{one.path} {one.paragraph}" in typed.get(NOT_SO, ())]
    for path in dict.fromkeys(one.path for one in gone):
        left = [one.paragraph for one in adopted if one.path == path and one not in gone]
        yield _put(path, left) if left else _put(path, "", Way.CUT)


def _spread(put: Put, first: str, places: Iterable[str]) -> Iterator[Put]:
    """Yield what is put for the first of several that are asked about, for each that is meant."""
    if not put.told.startswith((f"{first}.", f"{first}[")):
        yield put
        return
    for place in places:
        yield _put(place + put.told.removeprefix(first), put.entry, put.way)


def _puts(sheet: Sheet, typed: Typed, meant: Sequence[str]) -> Iterator[Put]:
    fields = [part for part in sheet.inputs if isinstance(part, Input)]
    given = {one.path: _as_it_stood(one, said, sheet) for one in fields if (said := _said(typed, one.path))}
    given = dict(_meant(sheet, given))
    made, named = _new_things(sheet, typed)
    yield from made
    for path, ids in named.items():
        given[path] = (*given.get(path, ()), *ids)
    lists = {one.path for one in fields if one.field.is_list}
    words, whole = _words_or_groups(sheet, given)
    stood = sheet.kinds
    kinds = {
        part.path: part.chosen
        for part in sheet.inputs
        if isinstance(part, Kinds) and part.chosen and part.chosen != stood.get(part.path)
        if not (sheet.rows and is_left(part, sheet.parts, typed))
    }
    groups: dict[str, dict[str, Any]] = {path: {"kind": kind} for path, kind in kinds.items() if ONE_MORE not in path}
    groups |= {path: {} for path in whole}
    if len(sheet.places) < 2 or sheet.rows:
        emptied = (path for path in _emptied(sheet, typed, given) if not path.startswith(words))
        yield from (_put(path, "", Way.CUT) for path in emptied if path not in whole)
    for path, said in given.items():
        value = list(said) if path in lists else said[-1]
        base = next((kind for kind in groups if path.startswith(f"{kind}.")), "") or path.partition(ONE_MORE)[0]
        if base == path:
            if said != sheet.stands.get(path):
                yield _put(path, value)
            continue
        _lay(groups.setdefault(base, {}), path.removeprefix(base).removeprefix(ONE_MORE).removeprefix("."), value)
    for kind, chosen in kinds.items():
        if ONE_MORE in kind:
            base, _, inner = kind.partition(ONE_MORE)
            if base in groups:
                _lay(groups[base], f"{inner.removeprefix('.')}.kind".removeprefix("."), chosen)
    for base, entry in groups.items():
        if base in kinds or base in whole:
            yield _put(base, entry)
            continue
        name = sheet.owner.rpartition(".")[2] if sheet.owner.startswith(base + ONE_MORE) else ""
        for owned in [{name: one.partition(".")[2]} for one in meant] if name else [{}]:
            yield _put(base, _with_id(sheet, base, {**owned, **entry}), Way.ADD)


def _meant(sheet: Sheet, given: Typed) -> Iterator[tuple[str, tuple[str, ...]]]:
    """Yield what was typed, without one more entry of which nobody touched anything: beside others, and in a row."""
    touched = {path.partition(ONE_MORE)[0] for path, said in given.items() if said != sheet.proposed.get(path)}
    for path, said in given.items():
        base, more, _ = path.partition(ONE_MORE)
        if not more or base in touched or not (sheet.lengths.get(base) or sheet.rows):
            yield path, said


def _as_it_stood(part: Input, said: tuple[str, ...], sheet: Sheet) -> tuple[str, ...]:
    """Return the very same ticks in the order in which they stand: boxes have one of their own."""
    stood = sheet.stands.get(part.path, ())
    is_ticked = part.field.is_list and (part.field.values or part.things)
    return stood if is_ticked and sorted(said) == sorted(stood) else said


def _words_or_groups(sheet: Sheet, given: dict[str, tuple[str, ...]]) -> tuple[tuple[str, ...], set[str]]:
    """Settle where a word may stand instead of a group and both are in the form: what is new there counts.

    Takes the other one out of `given`. Where both are new nothing is taken out, and the answer is refused.

    Returns
    -------
    What the places in groups begin with whose word is new, and the groups that take the place of a word.
    """
    words: list[str] = []
    whole: set[str] = set()
    for path in [one.path for one in sheet.inputs if isinstance(one, Input) and one.field.form == "group"]:
        inner = [one for one in given if one.startswith(f"{path}.")]
        is_new = path in given and given[path] != sheet.stands.get(path)
        if is_new and all(given[one] == sheet.stands.get(one) for one in inner):
            words.append(f"{path}.")
            for one in inner:
                del given[one]
        elif inner and not is_new and path in sheet.stands:
            given.pop(path, None)
            whole.add(path)
    return tuple(words), whole


def _emptied(sheet: Sheet, typed: Typed, given: Typed) -> Iterator[str]:
    """Yield the places that the form held, where something stands and nothing was typed or ticked."""
    yield from (path for path in sheet.stands if path in typed and path not in given)


def _gone(sheet: Sheet, typed: Typed) -> list[Put]:
    """Return the entries that are to be taken out, the last first."""
    known = {part.path for part in _entries(sheet.parts) if part.number}
    places = [re.fullmatch(r"(.*)\[(\d+)\]", path) for path in typed.get(TAKEN_OUT, ()) if path in known]
    found = sorted({(place[1], int(place[2])) for place in places if place}, reverse=True)
    return [replace(_put(path, "", Way.CUT), place=number) for path, number in found]


def _entries(parts: Iterable[Part]) -> Iterator[Entry]:
    for part in parts:
        if isinstance(part, Entry):
            yield part
            yield from _entries(part.inputs)


def _steps_of(put: Put) -> tuple[str | int, ...]:
    return (*put.owner, put.name)


def _is_within(put: Put, gone: Put) -> bool:
    way = (*_steps_of(gone), gone.place)
    return _steps_of(put)[: len(way)] == way


def _moved_up(put: Put, gone: Sequence[Put]) -> Put:
    """Return a change with its place as it is once the entries before it are out."""
    owner = list(put.owner)
    for one in gone:
        way = _steps_of(one)
        number = owner[len(way)] if tuple(owner[: len(way)]) == way and len(owner) > len(way) else -1
        if isinstance(number, int) and number > one.place:
            owner[len(way)] = number - 1
    return replace(put, owner=tuple(owner))


def _said(typed: Typed, path: str) -> tuple[str, ...]:
    return tuple(text.strip() for text in typed.get(path, ()) if text.strip())


def _lines(typed: Typed, path: str) -> tuple[str, ...]:
    """Return names that were typed one on each line."""
    return tuple(" ".join(line.split()) for text in _said(typed, path) for line in text.splitlines() if line.strip())


def _lay(group: dict[str, Any], path: str, value: EntryValue) -> None:
    """Lay a value into nested groups, of a list inside an entry into its only row."""
    step, _, rest = path.partition(".")
    name = step.removesuffix(ONE_MORE)
    if not rest:
        group[name] = value
    elif name == step:
        _lay(group.setdefault(name, {}), rest, value)
    else:
        _lay(group.setdefault(name, [{}])[0], rest, value)


def _put(path: str, entry: Any, way: Way = Way.WHOLE) -> Put:
    steps = [int(place) if place else name for name, place in STEP.findall(path)]
    return Put(tuple(steps[:-1]), str(steps[-1]), entry, way, path)


def _new_things(sheet: Sheet, typed: Typed) -> tuple[list[Put], dict[str, tuple[str, ...]]]:
    """Return the entries of things that an answer names first, and their ids by the place that names them."""
    made: list[Put] = []
    named: dict[str, tuple[str, ...]] = {}
    taken = {name: {one for one, _ in known} for name, known in sheet.things.items()}
    called = {(name, label.casefold()): one for name, known in sheet.things.items() for one, label in known}
    for part in sheet.inputs:
        where = things_at(part.path)
        for name in _lines(typed, part.path + NEW) if where not in ("", *NOT_NAMED_ONLY) else ():
            one = called.get((where, name.casefold()), "")  # somebody who is listed is not listed twice
            if not one:
                one = _free(spelt_id(name), taken[where])
                taken[where].add(one)
                called[where, name.casefold()] = one
                made.append(_put(where, {"id": one, "name": name}, Way.ADD))
            named[part.path] = (*named.get(part.path, ()), one)
    return made, named


def _with_id(sheet: Sheet, base: str, entry: dict[str, Any]) -> dict[str, Any]:
    """Return an entry with an id before it, where entries of its list have one."""
    said = str(entry.get("name") or entry.get("agent") or "")
    if base in ("organisation.sites", "tasks", "masks", "filters", "people"):
        return {"id": _free(spelt_id(said), {one for one, _ in sheet.things[base]}), **entry}
    if base == "hazards":
        return {"id": spelt_id(f"{entry['task']} {said}"), **entry}
    if base == "procedures.filter_changes.schedules":
        return {"id": spelt_id(f"{entry.get('filter', '')} {' '.join(entry.get('tasks', ()))}"), **entry}
    if base in sheet.ids:  # nobody is asked for it: it is made of what the entry is called, or says first
        texts = (value for value in entry.values() if isinstance(value, str))
        said = next((str(entry[name]) for name in _CALLED_BY if entry.get(name)), "") or next(texts, "")
        return {"id": _free(spelt_id(said), sheet.ids[base]), **entry}
    return entry


def _free(wanted: str, taken: Iterable[str]) -> str:
    known = set(taken)
    tried = wanted or "one"
    number = 2
    while tried in known:
        tried = f"{wanted or 'one'}-{number}"
        number += 1
    return tried
