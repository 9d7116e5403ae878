"""Questions as forms: which fields an answer has, what stands in them already, what may be chosen."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import field, replace
from typing import Any

from progdoc.app.accepted_cautions import accepting
from progdoc.app.check import Checked
from progdoc.app.fitting_fields import fitting, is_of_grains
from progdoc.app.form_rows import Blank, Row, blanks_of, no_answers, rows_of, typed_in
from progdoc.app.known_things import OPENED_BY, OWNER, THINGS, is_mine, known_things, title_with_owner
from progdoc.app.manifest import sha256
from progdoc.app.narrowed_forms import narrowed
from progdoc.app.proposed_answers import proposed
from progdoc.app.table_choices import table_choices
from progdoc.app.typed_places import STEP, at_path, typed_at
from progdoc.core.diagnostics import Diagnostic
from progdoc.core.late_dataclass import dataclass
from progdoc.core.paper_language import known_languages, language_of
from progdoc.core.questions import Question
from progdoc.document.blocks.answers import in_quotes, told_plainly
from progdoc.model.description.fields import choice_text, field_at, named_text, takes_ids, title_called
from progdoc.model.description.input_fields import (
    NEW,
    ONE_MORE,
    Entry,
    Input,
    Kinds,
    Only,
    Part,
    flat,
    inputs_at,
)
from progdoc.rules.adoption import adoptions_in
from progdoc.rules.questions.asked_again import (
    all_questions,
    also_open,
    asked_again,
    asked_of,
    beside,
    named_in,
    of_some,
    places_of,
)
from progdoc.rules.questions.gathered import MOST_ROWS
from progdoc.rules.reading.question_list import question_list

__all__ = [
    "MISSING",
    "NEW",
    "ONE_MORE",
    "STEP",
    "Entry",
    "Input",
    "Kinds",
    "Only",
    "Part",
    "Sheet",
    "Typed",
    "choice_text",
    "choices_at",
    "in_quotes",
    "named_text",
    "question_at",
    "question_of",
    "sheet_of",
    "title_at",
    "title_called",
    "told_plainly",
    "typed_at",
]

MISSING = "MODEL-002"  # what is needed in an entry is not there; told of the entry
_MORE_FILES = f"attachments{ONE_MORE}"  # a file is attached where it is brought, on the page of the papers
_HAZARD = re.compile(r"^hazards\[(\d+)\]")
_NUMBER = re.compile(r"\[\d+\]")
_ENTRY_OF_TEXTS = re.compile(r"\[\d+\]$")  # of a list of single values, which is shown whole

Typed = Mapping[str, tuple[str, ...]]  # what was typed or ticked, by its place


@dataclass(frozen=True, slots=True)
class Sheet:
    """A question as a form."""

    question: Question
    parts: tuple[Part, ...]
    owner: str = ""  # the field of a new thing that names what the question is about: "hazards[+].task"
    stands: Typed = field(default_factory=dict)  # what is typed there now
    proposed: Typed = field(default_factory=dict)  # what is ticked until somebody says otherwise: the only one there is
    kinds: Mapping[str, str] = field(default_factory=dict)  # of which kind its groups are now, by their place
    things: Mapping[str, tuple[tuple[str, str], ...]] = field(default_factory=dict)  # by list: (id, what it is called)
    places: tuple[str, ...] = ()  # of what is asked about; the inputs are those of the first
    lengths: Mapping[str, int] = field(default_factory=dict)  # how many entries stand in each list that takes one more
    ids: Mapping[str, frozenset[str]] = field(default_factory=dict)  # of the lists whose entries have one: those taken
    rows: tuple[Row, ...] = ()  # a few things that are asked about, each with its own fields
    blanks: Mapping[str, tuple[Blank, ...]] = field(default_factory=dict)  # the lines for new entries of a list

    @property
    def inputs(self) -> tuple[Input | Kinds, ...]:
        """Its fields, those within entries too."""
        return tuple(flat(self.parts))

    @property
    def meant(self) -> tuple[str, ...]:
        """Whom or what an answer is for until somebody says otherwise: a new thing is of one of them only."""
        return self.question.subject[:1] if self.owner else self.question.subject

    def field_of(self, fault: Diagnostic, typed: Typed) -> str:
        """Return the field of the form that a fault is about: that of a new entry has no number in it yet."""
        place = fault.location.path
        if fault.code == MISSING:
            place = f"{place}.{fault.what.partition('`')[2].partition('`')[0]}"
        for one in self.inputs:
            base, _, rest = one.path.partition(ONE_MORE)
            opened = f"{base}{ONE_MORE}"
            lines = self.blanks.get(opened, (Blank(""),)) if rest else ()
            said = [line for line in lines if any("".join(text) for text in typed_in(line, typed, opened).values())]
            for number, line in enumerate(said or lines[:1], self.lengths.get(base, 0)):
                if place == f"{base}[{number}]{rest.replace(ONE_MORE, '[0]')}":
                    return f"{line.mark}{one.path}"
        return place

    @property
    def mark(self) -> str:
        """What stands at the places that are asked for, as a digest: another after somebody else has typed there."""
        return sha256(repr(sorted(self.stands.items())).encode())


def question_of(checked: Checked, wanted: str, subject: tuple[str, ...]) -> Question | None:
    """Return a question as it is asked now; one that is settled with all its fields; None where there is none."""
    if checked.loaded.program is None:
        return None
    meant = set(subject)
    asked = [one for one in checked.questions if one.id == wanted and meant.issubset(one.subject)]
    if asked and (asked[0].subject == subject or meant):
        return (
            asked[0]
            if asked[0].subject == subject
            else of_some(checked.loaded.program, question_list(), asked[0], subject)
        )
    return asked_again(checked.loaded.program, question_list(), wanted, subject)


def choices_at(place: str) -> tuple[str, ...]:
    """Return what may be typed at a place of the description whose list is closed: "masks[].issue"."""
    known = field_at(place)
    return known.values if known else ()


def title_at(place: str) -> str:
    """Return what a place of the description is called, for a form that has no field for it."""
    known = field_at(_NUMBER.sub("[]", place).replace(ONE_MORE, "[]"))
    return known.title if known else ""


def question_at(checked: Checked, path: str) -> Question | None:
    """Return the question that asks for a place of the description: "people[0].fit_tests"."""
    description, asking = checked.loaded.program, question_list().asking(path)
    if description is None or asking is None:
        return None
    asked = (one for one in all_questions(description, question_list()) if one.id == asking.id)
    places = ((one, places_of(description, one)) for one in asked)
    return next((one for one, at in places if not at or path == at[0] or path.startswith(f"{at[0]}.")), None)


def sheet_of(checked: Checked, question: Question, kinds: Mapping[str, str]) -> Sheet:
    """Return the form of a question; `kinds` says of which kind a group is to be, by its place."""
    if checked.judged is None:
        raise ValueError("a description with faults of form asks nothing")
    places = places_of(checked.judged.description, question)
    values = checked.loaded.description.values
    is_few = 1 < len(places) <= MOST_ROWS
    left = () if is_few else tuple(f"{place}." for place in places[1:])
    fields = [one.path for one in question.fields if not one.path.startswith(left)]
    if not fields:  # what was found is mended where it stands
        at = (_ENTRY_OF_TEXTS.sub("", one.location.path) for one in question.findings)
        fields = [path for path in at if _is_single(path)]
    for place, subject in zip((places if is_few else places[:1]) or ("",), (*question.subject, ""), strict=False):
        about = (subject,) if is_few else ()
        also = (
            *also_open(checked.judged.verdicts.open, question_list(), question, place, about),
            *(named_in(question_list(), question, place, subject) if place else ()),
            *beside(question_list(), question, place),
        )
        fields += [path for path in also if _is_single(path) and not any(typed_at(values, path))]
    if question.findings and not question.adopts:  # what adopting a paragraph has answered is not asked twice
        stated = _stated(checked)
        fields = [path for path in fields if path not in stated]
    fields = list(_widest(_list_of(path, _place_in(places, path)) for path in fields))
    # What stands is one thing's own; of many that are asked about together, only what all of them lack is asked.
    there = {path: at_path(values, path) if len(places) < 2 or is_few else None for path in fields}
    asked = [part for path in fields for part in inputs_at(path, kinds, there[path])]
    asked = [fitting(checked.judged.description, part, places if not is_few else ()) for part in asked]
    asked = list(_listed(_with_option(asked), values, kinds))
    asked = [part for part in asked if not is_of_grains(checked.judged.description, part)]
    asked = [_of_each(values, question, part) for part in asked if part.path != _MORE_FILES]
    asked = [_without_file(part) for part in asked]
    owner = OWNER if any(part.path.startswith(OWNER.partition(".")[0]) for part in flat(asked)) else ""
    if owner and len(question.names) > 1 and not is_few:  # a new thing is of one of them only
        question = replace(question, asks=asked_of(question_list(), question, question.names[:1]))
    things = {name: tuple(known_things(checked, name, question.subject)) for name in THINGS}
    asked = list(_choosable(asked, things))
    opening = _opening(asked, is_mine(values, question, owner))
    parts = narrowed(opening, lambda path: _typed_at_all(values, path, places), checked.loaded.program)
    stands = {part.path: found for part in flat(parts) if (found := typed_at(values, part.path))}
    groups = (part.path for part in flat(parts) if isinstance(part, Kinds))
    known = {path: said[0] for path in groups if (said := typed_at(values, f"{path}.kind"))}
    accepted = tuple(accepting(question))
    lists = {part.path.partition(ONE_MORE)[0] for part in flat((*parts, *accepted)) if ONE_MORE in part.path}
    lengths = {path: len(found) for path in lists if isinstance(found := at_path(values, path), list)}
    ids = {path: _ids_in(at_path(values, path)) for path in lists if takes_ids(f"{_NUMBER.sub('[]', path)}[].id")}
    ticked = proposed(checked.loaded.program, question, flat(parts), things) if checked.loaded.program else {}
    named = zip(question.subject, question.names, places, strict=True) if is_few and not owner else ()
    blanks = blanks_of(parts, question.subject if owner and (is_few or len(places) == 1) else ())
    rows = rows_of(named, parts)
    ticked = dict(no_answers(rows, ticked))
    parts = (*parts, *accepted)
    return Sheet(question, parts, owner, stands, ticked, known, things, places, lengths, ids, rows, blanks)


def _without_file(part: Part) -> Part:
    """Return an attached file without its name, which nobody types: another one is attached in its place."""
    if not isinstance(part, Entry) or not part.path.startswith("attachments["):
        return part
    return replace(part, inputs=tuple(one for one in part.inputs if not one.path.endswith("].file")))


def _of_each(values: Any, question: Question, part: Part) -> Part:
    """Return a field, called by whose it is too where a question about the whole program asks it of each thing."""
    if not isinstance(part, Input):
        return part
    title = title_with_owner(values, question, part.path, part.field.title)
    return replace(part, field=replace(part.field, title=title)) if title != part.field.title else part


def _place_in(places: Iterable[str], path: str) -> str:
    """Return the place of the thing in which a field stands; "" where it stands in none."""
    return next((place for place in places if path.startswith(f"{place}.")), "")


def _ids_in(entries: Any) -> frozenset[str]:
    known = entries if isinstance(entries, list) else []
    return frozenset(str(one["id"]) for one in known if isinstance(one, Mapping) and "id" in one)


def _with_option(parts: Iterable[Part]) -> Iterator[Part]:
    """Yield what is asked; before the controls of a row of the law alone, which of its options it is."""
    known = list(parts)
    paths = {part.path for part in known}
    for part in known:
        group, _, name = part.path.rpartition(".")
        if name == "controls_in_place" and f"{group}.option" not in paths:
            yield from inputs_at(f"{group}.option", {})
        yield part


def _choosable(parts: Iterable[Part], things: Mapping[str, tuple[tuple[str, str], ...]]) -> Iterator[Part]:
    """Yield what is asked, without a choice among the agents of a task where there are too few to choose from."""
    for part in parts:
        if isinstance(part, Entry):
            yield replace(part, inputs=tuple(_choosable(part.inputs, things)))
        elif not (isinstance(part, Input) and part.things == "hazards" and len(things["hazards"]) < 2 - part.is_needed):
            yield part


def _listed(parts: Iterable[Part], values: Any, chosen: Mapping[str, str]) -> Iterator[Part]:
    """Yield what is asked, with what a table of the law lists for it; without what no row that is chosen asks for."""
    for part in parts:
        group, _, name = part.path.rpartition(".")
        there = at_path(values, group) if isinstance(part, Input) and _HAZARD.match(part.path) else None
        stands = there if isinstance(there, dict) else {}
        kind = chosen.get(group, stands.get("kind", ""))
        if name == "own_language" and isinstance(part, Input):
            yield replace(part, listed=tuple((code, language_of(code).called) for code in known_languages()))
            continue
        listed = table_choices(name, {**(stands if kind == stands.get("kind") else {}), "kind": kind})
        if listed is None or not isinstance(part, Input):
            yield part
        elif listed:
            yield replace(part, listed=listed)


def _stated(checked: Checked) -> frozenset[str]:
    """Return the places that nobody wrote because an adopted paragraph states them."""
    if checked.judged is None:
        return frozenset()
    adoptions = tuple(adoptions_in(checked.judged.description))
    stated = (values for one in checked.judged.requirements for each in adoptions if (values := each.values_of(one)))
    return checked.judged.adopted & {place for values in stated for place, _ in values}


def _is_single(path: str) -> bool:
    """Whether single values stand at a place, and no groups."""
    known = field_at(_NUMBER.sub("[]", path))
    return known is not None and known.form != "group"


def _list_of(path: str, place: str) -> str:
    """Return the list in whose entries something is asked: it is shown whole. A thing's own place stays."""
    inner = path.removeprefix(place)
    cut = path.removesuffix(inner) + inner.partition("[")[0]
    return path if cut in (*THINGS, *OPENED_BY) else cut


def _widest(paths: Iterable[str]) -> Iterator[str]:
    """Yield each place that stands in no other."""
    known = tuple(dict.fromkeys(paths))
    yield from (
        path for path in known if not path.startswith(tuple(f"{other}{end}" for other in known for end in ".["))
    )


def _opening(parts: Iterable[Part], is_mine: Callable[[str], bool]) -> Iterator[Part]:
    """Yield what is asked at once: of a thing with what it begins; the rest has questions of its own."""
    for part in parts:
        if not isinstance(part, Entry):
            opened, _, name = part.path.partition(f"{ONE_MORE}.")
            if not name or name in OPENED_BY.get(opened, (name,)):
                yield part
        elif part.number == 0 or is_mine(part.path):
            opened = part.path.rpartition("[")[0]
            own = [
                one
                for one in part.inputs
                if one.path.rpartition(".")[2] in OPENED_BY.get(opened, (one.path.rpartition(".")[2],))
            ]
            yield replace(part, inputs=tuple(own))


def _typed_at_all(values: Any, path: str, places: tuple[str, ...]) -> tuple[str, ...]:
    """Return what is typed at a place of the first of several things, and at theirs; nothing where one is silent."""
    first = places[0] if places else ""
    if len(places) <= MOST_ROWS or not path.startswith(f"{first}."):
        return typed_at(values, path)
    typed = [typed_at(values, one + path.removeprefix(first)) for one in places or ("",)]
    return tuple(value for one in typed for value in one) if all(typed) else ()
