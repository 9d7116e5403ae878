"""Why an answer can't be taken, in Spanish: of every field that the desk asks for, whatever is typed into it.

What stays English in it was typed, or is to be typed, and is marked as such.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import replace
from datetime import date
from functools import cache
from pathlib import Path

from examples import some

from progdoc.app.answering import answered
from progdoc.app.check import Checked
from progdoc.app.disk.description_files import check_path
from progdoc.app.question_forms import Sheet, sheet_of
from progdoc.app.record import record
from progdoc.app.record_events import Event
from progdoc.core.diagnostics import Diagnostic, Location, Severity
from progdoc.core.paper_language import EDGE, language_of
from progdoc.core.said import Said, said_in
from progdoc.model.description import scalars
from progdoc.model.description.clock import as_clock_time
from progdoc.model.description.fields import every_place, field_at
from progdoc.model.description.input_fields import Input, Kinds
from progdoc.model.description.own_texts import as_place
from progdoc.model.description.units import NAMES, typed_unit
from progdoc.rules.questions.asked_again import all_questions
from progdoc.rules.reading.question_list import question_list

SAMPLES = Path(__file__).resolve().parents[2] / "sample_config"
DAY = date(2026, 11, 24)
WORD = re.compile(r"[^\W\d_]{2,}")
TYPED = (  # no field takes all of them
    "three hours", "2026-13-40", "8,5", "8", "-3 min", "03/04/2026", "13/14/2026", "March 2026", "2026-3", "1.5e3 ppm",
    "5-8 ppm", "1,200 ppm", "> 5 ppm", "20 stone", "20 minutez", "140 %", ".5 h", "+5 h", "1/2 h", "1 200 ppm",
    "1 h 20 min", "0.5 month", "200 years", "Half Mask!", "x" * 70, "maybe", "Yes", "007", "8:30", "1'000", "1e3",
    "0x1f", "+3", "8.0", "1" * 20, "5 %", "-500 C", "7 pm", "approx. 20 ppm", "has asthma", "1900-01-01", "2026-02-30",
    "é",
)  # fmt: skip
WRONG_EVENTS = (
    ("inspection", {"unit": "maybe", "result": "lost"}),
    ("face-change", {"who": "maybe", "what": "scar"}),
    ("filter-change", {"filter": "maybe", "tasks": "approx"}),
)
ALIKE = {  # one word in both languages; or to be typed, in a sentence
    "no", "plan", "decimal", "gas", "local", "supervisor", "ppm", "min", "scba", "control", "en", "es",
    "yes", "am", "pm", "storage", "emergency", "half", "months", "days",
}  # fmt: skip


@cache
def draft() -> Checked:
    return check_path(SAMPLES / "first_draft", DAY)


def sheets(checked: Checked) -> Iterator[Sheet]:
    """Yield every form of the desk, of each kind that its groups may be of."""
    assert checked.loaded.program is not None
    for question in all_questions(checked.loaded.program, question_list()):
        sheet = sheet_of(checked, question, {})
        yield sheet
        for part in sheet.inputs:
            if isinstance(part, Kinds):
                yield from (sheet_of(checked, question, {part.path: kind}) for kind, _ in part.kinds)


def refused(checked: Checked, sheet: Sheet, first: int) -> list[Diagnostic]:
    places = [part.path for part in sheet.inputs if isinstance(part, Input)]
    typed = {place: (TYPED[(first + n) % len(TYPED)],) for n, place in enumerate(places)}
    done = answered(checked, sheet, typed, lambda loaded: checked)
    return done if isinstance(done, list) else []


def words_of(text: str) -> set[str]:
    return {word for word in WORD.findall(text.lower()) if len(set(word)) > 1}


def english_in(words: str) -> tuple[set[str], set[str]]:
    """Return the English words of a text as it is said in Spanish: those that are marked, and those that are not."""
    told = said_in(language_of("es"), words).split(EDGE)
    unmarked = words_of(" ".join(told[::2])) & words_of(words)
    return words_of(" ".join(told[1::2])), unmarked


def to_be_typed() -> Iterator[str]:
    """Yield what a refusal may repeat or offer: what was typed, fields and choices, examples, units."""
    yield from TYPED
    for place in every_place():
        known = field_at(place)
        if known is not None:
            yield from (place.replace("_", " "), *known.values, *map(str, known.examples))
    yield from (name for units in NAMES.values() for unit in units for name in (unit, typed_unit(unit)))


def strays(faults: Iterable[Diagnostic]) -> dict[str, str]:
    """Return the English words in Spanish refusals that nobody types, each with one refusal that has it."""
    offered = words_of(" ".join(to_be_typed()).replace("_", " ")) | {"id", "north", "en", "es"}
    found = {}
    for fault in faults:
        for words in (fault.what, fault.fix):
            marked, unmarked = english_in(words)
            for word in {*marked - offered, *unmarked - ALIKE}:
                found[word] = words
    return found


def test_why_an_answer_cant_be_taken_is_said_in_spanish() -> None:
    every = [*enumerate(sheets(draft()))]
    assert len(every) > 200
    faults = [fault for number, sheet in some(every, 5) for fault in refused(draft(), sheet, number * 7)]
    assert len(faults) > 150
    assert strays(faults) == {}


def test_whatever_is_typed_wrongly_is_refused_in_spanish() -> None:
    """Every type of a single value, with every text."""
    readers = [
        (name, part.func)
        for name in scalars.__all__
        for part in getattr(getattr(scalars, name), "__metadata__", ())
        if isinstance(part, scalars.Reader)
    ]
    assert len(readers) > 20
    told = set()
    for _, reader in [*readers, ("ClockTime", as_clock_time), ("PlaceName", as_place)]:
        for typed in (*TYPED, "", "a\x07", None, [], {}):
            try:
                reader(typed)
            except ValueError as refusal:
                (words,) = refusal.args
                assert isinstance(words, Said), words
                told.add(words)
    assert len(told) > 300
    assert strays(Diagnostic(Location("", 0, 0), "", "", Severity.INVALID, words, "", "") for words in told) == {}


def test_what_a_phone_may_record_is_refused_in_spanish() -> None:
    """A phone shows what is wrong, and no option."""
    faults = []
    for kind, told in WRONG_EVENTS:
        for values, day in (({}, DAY), (told, DAY), (told, date(2027, 1, 1))):
            done = record(draft(), [Event(kind, day, values)], DAY)
            assert isinstance(done, list), (kind, values, day)
            faults += [replace(fault, fix="") for fault in done]
    assert strays(faults) == {}
