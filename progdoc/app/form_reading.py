"""Reads a completed form: which one it is, whether it is ours and whole, and which events stand in it.

What a field means is said by the form's own file, under `reads`. A form that is altered, or of another firm, is refused
as a whole; of one that is half filled in, the lines that lack something are told and not taken.
"""

from __future__ import annotations

import difflib
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import field
from datetime import date
from typing import Any

from progdoc.app.event_kinds import ALL
from progdoc.app.file_faults import file_fault
from progdoc.app.filled_fields import filled_fields, kind_of_file, on_one_line, shortened
from progdoc.app.record_events import Event
from progdoc.app.record_refusals import chosen
from progdoc.core.diagnostics import Diagnostic, Location
from progdoc.core.late_dataclass import dataclass
from progdoc.core.paper_language import ENGLISH
from progdoc.document.blocks.translation_blocks import more_languages
from progdoc.document.papers.form_marks import MARK_FIELD, Mark, mark_in
from progdoc.document.papers.forms import MadeForm, Place, crew_forms, made_forms
from progdoc.document.tree.nodes import FieldKind
from progdoc.document.tree.spoken_text import plain
from progdoc.model.description.index import Index
from progdoc.model.description.scalars import as_date
from progdoc.model.description.words import label_of
from progdoc.model.health_words import tells_of_health
from progdoc.rules.judged.result import Judged
from progdoc.writers.docx.filled_controls import unnamed_controls
from progdoc.writers.form_error import FormError

__all__ = ["FilledForm", "form_fields", "form_in"]

_TICKED = "yes"  # what a box holds that is ticked, by the browser and by Word
_MOST_LETTERS = 2_000  # in one field
_MOST_LINES = 500  # of one log
_NAMED = {"mask": "masks", "masks": "masks", "filter": "filters", "tasks": "tasks"}  # told by name; which things
_Plan = dict[str, Any]


@dataclass(frozen=True, slots=True)
class FilledForm:
    """What a completed form holds; `missing` says what its unfinished lines lack."""

    name: str  # of the form
    title: str
    mark: Mark
    events: tuple[Event, ...]
    missing: tuple[str, ...]
    is_empty: bool  # nobody wrote anything into it
    is_kept_only: bool  # nothing of such a form goes into a description


def form_in(data: bytes, name: str, judged: Judged) -> FilledForm | list[Diagnostic]:
    """Return what a completed form says; or why it is not taken.

    Parameters
    ----------
    data
        A Word file, a PDF, or what a browser kept of the page.
    name
        What findings call it.
    judged
        The description that it belongs to.
    """
    fields = form_fields(data, judged)
    if isinstance(fields, str):
        fix = "Name a form that `progdoc build` made: filled in as Word file or PDF, or as a browser kept its page."
        return [_fault("RECORD-009", name, f"{fields[0].upper()}{fields[1:]}.", fix)]
    said = {field: tuple(dict.fromkeys(map(on_one_line, texts))) for field, texts in fields.items()}
    marks = said.pop(MARK_FIELD)
    mark = mark_in(marks[0], said) if len(marks) == 1 else None
    languages = (ENGLISH, *more_languages(judged))
    forms = {form.name: form for one in languages for form in made_forms(judged, _lines_in(said), one)}
    if mark is None:
        usual = {form.name: form for form in made_forms(judged)}
        return [_altered(name, "; ".join(marks), said, usual)]
    fault = _foreign(name, mark, judged, forms)
    if fault is not None:
        return [fault]
    reading = _Reading(name, forms[mark.form], mark, said, judged.index)
    found = reading.filled()
    return reading.faults or found


def form_fields(data: bytes, judged: Judged) -> dict[str, tuple[str, ...]] | str:
    """Return what stands in each field of a form, once for each time it is there; or why nothing can be read."""
    fields = filled_fields(data, (MARK_FIELD,), "a form of this firm")
    return fields if isinstance(fields, dict) else _by_their_order(data, judged) or fields


def _by_their_order(data: bytes, judged: Judged) -> dict[str, tuple[str, ...]]:
    """Return the fields of a form that lost their names, told by their order; none unless it is just that of today."""
    try:
        controls = unnamed_controls(data) if kind_of_file(data) == "docx" else []
    except FormError:
        return {}
    says = on_one_line(controls[0][1]) if controls else ""
    of_crews = (form for _, form in crew_forms(judged))
    of_all = (form for one in (ENGLISH, *more_languages(judged)) for form in made_forms(judged, language=one))
    for form in (*of_all, *of_crews) if says else ():
        shown = [(place.field.id, place.field.label) for place in form.places]
        is_same = form.mark == says and len(shown) == len(controls) - 1
        pairs = list(zip(shown, controls[1:], strict=False))
        if is_same and all(title in ("", label[: len(title)]) for (_, label), (title, _) in pairs):
            return {MARK_FIELD: (says,), **{name: (text,) for (name, _), (_, text) in pairs}}
    return {}


def _fault(code: str, name: str, what: str, fix: str) -> Diagnostic:
    return file_fault(code, Location(name, 0, 0), what, fix)


def _lines_in(names: Iterable[str]) -> int:
    """Return the highest number of a line in the names of fields: `wearers.12.name.field`."""
    numbers = (parts[-3] for name in names if len(parts := name.split(".")) > 3)
    return min(max((int(n) for n in numbers if n.isdecimal() and len(n) < 5), default=0), _MOST_LINES)


def _altered(name: str, says: str, said: Mapping[str, object], forms: Mapping[str, MadeForm]) -> Diagnostic:
    """Return why a form that does not know itself again is not taken: what of it is gone, where that can be told."""
    fix = "Fill in the form once more as it was made; lines are added by none but progdoc. Word keeps its fields whole."
    form = forms.get(says.partition(",")[0])
    gone = [place.field.label for place in form.places if place.field.id not in said] if form else []
    if form and gone and len(gone) < len(form.places):
        shown = "; ".join(f"“{label}”" for label in gone[:3]) + ("; …" if len(gone) > 3 else "")
        return _fault("RECORD-010", name, f"Fields of the form are gone: {shown}.", fix)
    says = "" if tells_of_health(says) else says
    told = f"says “{shortened(says)}”, which does not go with its fields" if says else "does not say which form it is"
    return _fault("RECORD-010", name, f"It {told}: its first field, or others, were altered.", fix)


def _foreign(name: str, mark: Mark, judged: Judged, forms: Mapping[str, MadeForm]) -> Diagnostic | None:
    firm = " ".join((judged.description.organisation.name or "").split())
    if mark.firm != firm:
        what = f"It is a form of “{shortened(mark.firm)}”; this description is of “{shortened(firm)}”."
        return _fault("RECORD-009", name, what, "Read it into the description that it was made from.")
    if mark.form not in forms:
        near = difflib.get_close_matches(mark.form, list(forms), 1, 0.6)
        what = f"This description makes no form “{shortened(mark.form)}” today."
        fix = f"It makes “{near[0]}”." if near else "Enter what it says by `progdoc record PATH KIND`."
        return _fault("RECORD-010", name, what, fix)
    version = forms[mark.form].plan["version"]
    if mark.version != version:
        what = (
            f"It is version {mark.version} of the form; today it is version {version}, whose fields mean other things."
        )
        return _fault("RECORD-010", name, what, "Copy it onto a form of today.")
    return None


@dataclass(slots=True)
class _Reading:
    """One reading: what stands in the fields, and what was found wrong or missing on the way."""

    name: str
    form: MadeForm
    mark: Mark
    said: Mapping[str, tuple[str, ...]]
    index: Index
    faults: list[Diagnostic] = field(default_factory=list)
    missing: list[str] = field(default_factory=list)
    unmarked: list[str] = field(default_factory=list)  # lines with a name and nothing else
    texts: dict[str, str] = field(default_factory=dict)  # by the name of the field

    def filled(self) -> FilledForm:
        self.texts = {place.field.id: self._text(place) for place in self.form.places}
        rules: list[_Plan] = self.form.plan.get("reads", [])
        if rules:
            self._strangers()
        events = tuple(event for rule in rules for event in self._events(rule)) if not self.faults else ()
        if self.unmarked:
            names = list(dict.fromkeys(self.unmarked))
            self.missing.append(f"only named, and nothing else filled in: {', '.join(names)}")
        return FilledForm(
            self.form.name,
            self.form.document.title,
            self.mark,
            events,
            tuple(self.missing),
            not any(self._is_touched(place) for place in self.form.places),
            not rules,
        )

    # ---- single fields ----------------------------------------------------------------------------------

    def _text(self, place: Place) -> str:
        """Return what stands in a field, "" where nothing does; what can't be meant is a fault."""
        label = place.field.label
        said = self.said.get(place.field.id, ("",))
        if len(said) > 1:
            self._refuse(f"“{label}” stands there twice, filled in differently", "Keep one of the two.")
        text = max(said, default="")
        if text != place.field.value and tells_of_health(text):
            fix = "Take it out, and read the form in then; what stands there is not repeated, and not kept."
            self.faults.append(_fault("RECORD-013", self.name, f"“{label}” seems to tell of somebody's health.", fix))
        elif len(text) > _MOST_LETTERS:
            self._refuse(f"Over {_MOST_LETTERS:,} letters stand in “{label}”", "Say it in fewer words.")
        elif place.field.kind is FieldKind.CHOICE and text and text not in place.field.choices:
            choices = "; ".join(place.field.choices)
            self._refuse(f"“{shortened(text)}” is no choice of “{label}”", f"Choose one of: {choices}.")
        elif place.field.kind is FieldKind.BOX and text not in ("", _TICKED):
            self._refuse(f"“{shortened(text)}” stands in the box “{label}”", "Tick it, or leave it empty.")
        elif text and place.field.choices.count(text) > 1:
            self._refuse(f"“{shortened(text)}” of “{label}” is the name of two", "Give each a name of its own.")
        elif place.field.kind is FieldKind.DATE and text:
            try:
                as_date(text)
            except ValueError:
                what = f"“{shortened(text)}” is no day, in “{label}”"
                self._refuse(what, "Write it year first, such as 2027-01-31.")
        return text

    def _strangers(self) -> None:
        """Refuse a form with something in a field that the form of today has not: it would be lost."""
        strange = sorted(name for name, said in self.said.items() if name not in self.texts and any(said))
        if strange:
            what = f"Something stands in {len(strange)} fields that this form has not today: {', '.join(strange[:3])}"
            self._refuse(what, "Tasks, masks or filters were renamed since. Copy it onto a form of today.")

    def _refuse(self, what: str, fix: str) -> None:
        self.faults.append(_fault("RECORD-011", self.name, f"{what}.", fix))

    def _is_touched(self, place: Place) -> bool:
        return self.texts[place.field.id] not in ("", place.field.value)

    def _means(self, place: Place) -> str:
        """Return what a field says in a record."""
        text = self.texts[place.field.id]
        if place.field.kind is not FieldKind.CHOICE or not text:
            return text
        number = place.field.choices.index(text)
        choices: str | list[str] = place.plan["choices"]
        if isinstance(choices, str):
            return self.form.lists[choices][number]["id"]
        means: list[str] = place.plan.get("means", choices)
        return means[number]

    # ---- events -----------------------------------------------------------------------------------------

    def _events(self, rule: _Plan) -> Iterator[Event]:
        part = rule.get("of_lines")
        if part is None:
            yield from self._event(rule, self.form.places, self.form.document.title)
            return
        beside = [place for place in self.form.places if place.part != part or not place.line]
        of_line: dict[tuple[str, str], list[Place]] = {}
        for place in self.form.places:
            if place.part == part and place.line:
                of_line.setdefault((place.entry.get("id", ""), place.line["id"]), []).append(place)
        for places in of_line.values():
            touched = [place for place in places if self._is_touched(place)]
            if all("of_person" in place.plan for place in touched):
                named = (place for place in touched if place.plan["of_person"] == "person")
                self.unmarked += [self.texts[place.field.id] for place in named]
                continue
            first = places[0]
            where = ", ".join(filter(None, (plain(first.entry.get("label", "")), f"line {first.line['id']}")))
            yield from self._event(rule, [*places, *beside], where, is_line=True)

    def _event(self, rule: _Plan, places: Sequence[Place], where: str, is_line: bool = False) -> Iterator[Event]:
        """Yield the event that stands in a line or on the whole sheet, if one does and lacks nothing."""
        entry = places[0].entry if is_line else {}
        words = {**self.form.entry, **entry, "revision": self.mark.revision}
        values = {
            name: text for name, given in rule.get("fixed", {}).items() if (text := plain(given.format_map(words)))
        }
        found = {name: self._value(ref, places, entry) for name, ref in rule["values"].items()}
        day = self._value(rule["day"], places, entry)
        condition = rule.get("if", rule["day"])
        if "if" in rule and not is_line:
            condition = {"lines_with": condition}
        holds = self._value(condition, places, entry)
        if not is_line:
            asked = (place for ref in rule["values"].values() for place in self._places_of(_at(ref), places, entry))
            if not (holds if "if" in rule else day or any(map(self._is_touched, asked))):
                return
        values |= {name: self._named(name, text) for name, text in found.items() if text}
        who = values.get("who", "")
        if isinstance(rule["values"].get("who"), str) and (len(chosen(who)) > 1 or who.lower() == ALL):
            fix = "Write one name: each has a line or a sheet of their own."
            self._refuse(f"{where}: more than one person is named", fix)
        lacks = [ref for ref, text in ((condition, holds), (rule["day"], day)) if not text]
        otherwise = rule.get("lacking", {})
        lacks += [rule["values"].get(name) or otherwise[name] for name in rule.get("needs", ()) if name not in values]
        lacks += [rule["values"][name] for name in rule.get("whole", ()) if self._is_part(rule, name, places)]
        if lacks:
            told = dict.fromkeys(f"“{self._label(ref, places, is_line)}”" for ref in lacks)
            self.missing.append(f"{where}: {', '.join(told)}")
            return
        if all(values.get(name) == said for name, said in rule.get("against", {}).items()):
            self._denied(places, where)
        yield Event(rule["event"], date.fromisoformat(day), values, f"{self.name}, {where}")

    def _denied(self, places: Iterable[Place], where: str) -> None:
        """Refuse what a field of the same sheet speaks against, though no record has room for it."""
        for place in places:
            denies, text = place.plan.get("denies"), self.texts[place.field.id]
            if denies and text and place.field.choices.index(text) == place.plan["choices"].index(denies):
                what = f"{where}: “{place.field.label}” says “{shortened(text)}”, and a record of the rest would not"
                self._refuse(what, "Mend whichever of them is wrong; what failed is entered as failed.")

    def _label(self, ref: Any, places: Sequence[Place], is_line: bool) -> str:
        """Return what the place is called that a rule takes a value from; of one without a place, what it says."""
        if "." not in _at(ref):
            return _at(ref)
        label = next((place.field.label for place in self._places_of(_at(ref), places, places[0].entry)), _at(ref))
        return label.partition(":")[0] if is_line or isinstance(ref, dict) else label

    def _places_of(self, ref: str, places: Iterable[Place], entry: Mapping[str, str]) -> list[Place]:
        """Return the places that a reference means: a part and a field in it, or a part, a line and a column."""
        part, *line, name = ref.split(".")
        return [
            place
            for place in places
            if place.part == part
            and place.name == name
            and (not place.entry or place.entry == entry)
            and (not line or place.line.get("id") == line[0])
        ]

    def _value(self, ref: Any, places: Iterable[Place], entry: Mapping[str, str]) -> str:
        if isinstance(ref, list):
            return ", ".join(filter(None, (self._value(one, places, entry) for one in ref)))
        if isinstance(ref, dict):
            way, at = next(iter(ref.items()))
            filled = [place for place in self._places_of(at, places, entry) if self.texts[place.field.id]]
            return ", ".join(
                self._means(place) if way == "all_of" else place.line.get("means", place.line["id"]) for place in filled
            )
        return next((self._means(place) for place in self._places_of(ref, places, entry)), "")

    def _is_part(self, rule: _Plan, name: str, places: Iterable[Place]) -> bool:
        """Whether some of what belongs together is filled in, and not all of it."""
        asked = self._places_of(_at(rule["values"][name]), places, {})
        filled = [bool(self.texts[place.field.id]) for place in asked if place.line.get("is_read", "yes")]
        return any(filled) and not all(filled)

    def _named(self, option: str, text: str) -> str:
        """Return the ids of things that were written by name; what is no name of any is left as it is."""
        if option not in _NAMED:
            return text
        things = getattr(self.index, _NAMED[option])
        ids: dict[str, list[str]] = {}
        for name, (_, thing) in things.items():
            ids.setdefault(" ".join(label_of(thing).split()).lower(), []).append(name)
        texts = [text] if option in ("mask", "filter") else text.replace(";", ",").split(",")
        meant = ((one.strip(), ids.get(one.strip().lower(), [])) for one in texts)
        return ", ".join(names[0] if len(names) == 1 and one not in things else one for one, names in meant)


def _at(ref: Any) -> str:
    """Return the place that a rule names, or the first of them, whichever way it is taken from there."""
    if isinstance(ref, list):
        return str(ref[0])
    return str(next(iter(ref.values()))) if isinstance(ref, dict) else str(ref)
