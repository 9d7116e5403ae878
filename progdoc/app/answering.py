"""Takes the answer to a question into a description: what was typed into a form, to the places it belongs to.

The same for a desk, a form that reads back and any other program: it gives texts by their places, and gets the files
with the answer in them, read back; or why it can't be taken, each fault at its place and nothing changed.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from progdoc.app.check import Checked
from progdoc.app.manifest import sha256
from progdoc.app.record import Recorded, entered
from progdoc.app.record_events import Put, Way
from progdoc.core.diagnostics import Diagnostic
from progdoc.core.questions import Question
from progdoc.document.papers.renewal_questions import spelt_id
from progdoc.model.description.fields import field_at
from progdoc.model.description.input_fields import NEW, ONE_MORE, Input, Kinds, inputs_at, things_at
from progdoc.model.description.words import label_of
from progdoc.model.load import Loaded
from progdoc.model.yaml.yaml_splice import EntryValue
from progdoc.rules.questions.asked_again import all_questions, asked_again, places_of
from progdoc.rules.reading.question_list import question_list
from progdoc.rules.requirement import adopted_values, is_under

__all__ = [
    "ABOUT",
    "NEW",
    "Input",
    "Kinds",
    "Sheet",
    "Typed",
    "answered",
    "duties_adopted",
    "question_at",
    "question_of",
    "questions_answered",
    "sheet_of",
]

ABOUT = "about"  # which of several that are asked about an answer is for
_STEP = re.compile(r"([a-z_0-9]+)|\[(\d+)\]")
_OWNER = f"hazards{ONE_MORE}.task"
_THINGS = ("tasks", "masks", "filters", "people", "organisation.sites")
_OPENED_BY = {  # with what a thing begins; the questions about it ask the rest
    "tasks": ("name",),
    "hazards": ("agent", "form"),
    "organisation.sites": ("name", "address"),
    "procedures.filter_changes.schedules": ("filter", "tasks"),
}

Typed = Mapping[str, tuple[str, ...]]  # what was typed or ticked, by its place


@dataclass(frozen=True, slots=True)
class Sheet:
    """A question as a form."""

    question: Question
    inputs: tuple[Input | Kinds, ...]
    owner: str = ""  # the field of a new thing that names what the question is about: "hazards[+].task"
    stands: Typed = field(default_factory=dict)  # what is typed there now
    things: Mapping[str, tuple[tuple[str, str], ...]] = field(default_factory=dict)  # by list: (id, what it is called)
    places: tuple[str, ...] = ()  # of what is asked about; the inputs are those of the first

    @property
    def meant(self) -> tuple[str, ...]:
        """Whom or what an answer is for until somebody says otherwise: a new thing is of one of them only."""
        return self.question.subject[:1] if self.owner else self.question.subject

    @property
    def mark(self) -> str:
        """What stands at the places that are asked for, as a digest: another after somebody else has typed there."""
        return sha256(repr(sorted(self.stands.items())).encode())


def question_of(checked: Checked, wanted: str, subject: tuple[str, ...]) -> Question | None:
    """Return a question as it is asked now; one that is settled with all its fields; None where there is none."""
    if checked.loaded.program is None:
        return None
    asked = next((one for one in checked.questions if (one.id, one.subject) == (wanted, subject)), None)
    return asked or asked_again(checked.loaded.program, question_list(), wanted, subject)


def question_at(checked: Checked, path: str) -> Question | None:
    """Return the question that asks for a place of the description: "people[0].fit_tests"."""
    description, asking = checked.loaded.program, question_list().asking(path)
    if description is None or asking is None:
        return None
    asked = (one for one in all_questions(description, question_list()) if one.id == asking.id)
    places = ((one, places_of(description, one)) for one in asked)
    return next((one for one, at in places if not at or path == at[0] or path.startswith(f"{at[0]}.")), None)


def questions_answered(checked: Checked) -> Iterator[tuple[Question, tuple[tuple[str, str], ...]]]:
    """Yield every question to which something is typed, with what, by the title of its field."""
    values = checked.loaded.description.values
    for question in all_questions(checked.loaded.program, question_list()) if checked.loaded.program else ():
        said = tuple((one.title, _told(_at_path(values, one.path))) for one in question.fields)
        given = tuple((title, words) for title, words in said if words)
        if given:
            yield question, given


def _told(value: Any) -> str:
    """Return a typed value in a line: of groups what is in them."""
    if isinstance(value, Mapping):
        return ", ".join(filter(None, (_told(inner) for name, inner in value.items() if name != "id")))
    if isinstance(value, list):
        return "; ".join(filter(None, map(_told, value)))
    return value if isinstance(value, str) else ""


def sheet_of(checked: Checked, question: Question, kinds: Mapping[str, str]) -> Sheet:
    """Return the form of a question; `kinds` says of which kind a group is to be, by its place."""
    if checked.judged is None:
        raise ValueError("a description with faults of form asks nothing")
    places = places_of(checked.judged.description, question)
    fields = (one.path for one in question.fields if not one.path.startswith(tuple(f"{p}." for p in places[1:])))
    asked = [part for path in fields for part in inputs_at(path, kinds) if _is_opening(part)]
    owner = _OWNER if any(part.path.startswith(_OWNER.partition(".")[0]) for part in asked) else ""
    values = checked.loaded.description.values
    stands = {part.path: found for part in asked if (found := _typed_at(values, part.path))}
    things = {name: tuple(_known(checked, name)) for name in _THINGS}
    return Sheet(question, tuple(part for part in asked if part.path != owner), owner, stands, things, places)


def _is_opening(part: Input | Kinds) -> bool:
    """Whether a field of a new thing is asked at once; the others have questions of their own."""
    owner, _, name = part.path.partition(f"{ONE_MORE}.")
    return not name or owner not in _OPENED_BY or name in _OPENED_BY[owner]


def _typed_at(values: Any, path: str) -> tuple[str, ...]:
    found = _at_path(values, path)
    if isinstance(found, list):
        return tuple(one for one in found if isinstance(one, str))
    return (found,) if isinstance(found, str) else ()


def _at_path(values: Any, path: str) -> Any:
    """Return what is typed at a place, or None."""
    if ONE_MORE in path:
        return None
    for name, place in _STEP.findall(path):
        if place and isinstance(values, list):
            values = values[int(place)]
        elif name and isinstance(values, dict):
            values = values.get(name)
        else:
            return None
    return values


def _known(checked: Checked, name: str) -> Iterator[tuple[str, str]]:
    found: Any = checked.loaded.program
    for step in name.split("."):
        found = getattr(found, step)
    for thing in found:
        yield thing.id, label_of(thing)


def duties_adopted(checked: Checked, paragraph: str) -> tuple[str, ...]:
    """Return what is stated by adopting a paragraph, in the plain words of the catalogue."""
    known = checked.judged.requirements if checked.judged else ()
    stated = (one for one in known if is_under(one, paragraph) and any(adopted_values(one)))
    return tuple(dict.fromkeys(one.duty for one in stated))


# ---- what was typed, to entries -------------------------------------------------------------------------


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
    said = typed.get(ABOUT, sheet.meant)
    meant = [(one, place) for one, place in zip(sheet.question.subject, sheet.places, strict=True) if one in said]
    puts = [*_adopting(checked, sheet.question, typed), *_puts(sheet, typed, [one for one, _ in meant])]
    if sheet.places:
        puts = [one for put in puts for one in _spread(put, sheet.places[0], [place for _, place in meant])]
    return entered(checked, puts, judge)


def _adopting(checked: Checked, question: Question, typed: Typed) -> Iterator[Put]:
    """Yield the paragraph that is adopted, beside those that are adopted there already."""
    known = field_at(question.adopted_at) if question.adopts else None
    if known is not None and typed.get(question.adopted_at) == (question.adopts,):
        before = _typed_at(checked.loaded.description.values, question.adopted_at)
        kept = [one for one in before if one != question.adopts and known.is_list]
        yield _put(question.adopted_at, [*kept, question.adopts] if kept else question.adopts)


def _spread(put: Put, first: str, places: Iterable[str]) -> Iterator[Put]:
    """Yield what is put for the first of several that are asked about, for each that is meant."""
    if not put.told.startswith((f"{first}.", f"{first}[")):
        yield put
        return
    for place in places:
        yield _put(place + put.told.removeprefix(first), put.entry, put.way)


def _puts(sheet: Sheet, typed: Typed, meant: Sequence[str]) -> Iterator[Put]:
    given = {part.path: said for part in sheet.inputs if isinstance(part, Input) and (said := _said(typed, part.path))}
    made, named = _new_things(sheet, typed)
    yield from made
    for path, ids in named.items():
        given[path] = (*given.get(path, ()), *ids)
    lists = {part.path for part in sheet.inputs if isinstance(part, Input) and part.field.is_list}
    kinds = {part.path: part.chosen for part in sheet.inputs if isinstance(part, Kinds) and part.chosen}
    groups: dict[str, dict[str, Any]] = {path: {"kind": kind} for path, kind in kinds.items() if ONE_MORE not in path}
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
        if base in kinds:
            yield _put(base, entry)
            continue
        name = sheet.owner.rpartition(".")[2] if sheet.owner.startswith(base + ONE_MORE) else ""
        for owned in [{name: one.partition(".")[2]} for one in meant] if name else [{}]:
            yield _put(base, _with_id(sheet, base, {**owned, **entry}), Way.ADD)


def _said(typed: Typed, path: str) -> tuple[str, ...]:
    return tuple(text.strip() for text in typed.get(path, ()) if text.strip())


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
    steps = [int(place) if place else name for name, place in _STEP.findall(path)]
    return Put(tuple(steps[:-1]), str(steps[-1]), entry, way, path)


def _new_things(sheet: Sheet, typed: Typed) -> tuple[list[Put], dict[str, tuple[str, ...]]]:
    """Return the entries of things that an answer names first, and their ids by the place that names them."""
    made: list[Put] = []
    named: dict[str, tuple[str, ...]] = {}
    taken = {name: {one for one, _ in known} for name, known in sheet.things.items()}
    for part in sheet.inputs:
        where = things_at(part.path)
        for name in _said(typed, part.path + NEW) if where else ():
            one = _free(spelt_id(name), taken[where])
            taken[where].add(one)
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
    return entry


def _free(wanted: str, taken: Iterable[str]) -> str:
    known = set(taken)
    tried = wanted or "one"
    number = 2
    while tried in known:
        tried = f"{wanted or 'one'}-{number}"
        number += 1
    return tried
