"""What the rules say is Said: English as it is printed, and in another language by its catalogue.

That plurals of Spanish are of two kinds, and how its dates read, is of the Unicode CLDR.
"""

from __future__ import annotations

import copy
import dataclasses
import json
import pickle
import re
from collections.abc import Iterator, Mapping
from datetime import date
from enum import Enum
from typing import Any

from document.test_paper_languages import plain_words, typed_texts
from examples import some
from programs.patching import judged, one_of_each, patched, patches
from programs.whole import WHOLE, judged_whole
from pydantic import BaseModel

from progdoc.core.numbers import counted, long_date, number_text, text_of
from progdoc.core.paper_language import EDGE, language_of
from progdoc.core.said import Said, said, said_in, said_join, said_plural, said_series, same, unstopped, with_lines
from progdoc.rules.judged.result import Judged

SPANISH = language_of("es")

# What is no sentence of ours, or is typed as it stands: by type and field.
NOT_SAID = {
    "AskedField.examples": "what may be typed",
    "Diagnostic.ground": "typed into an acceptance as it stands, which may not change with the reader",
    "Idlh.note": "of the table, printed nowhere",
    "Limit.note": "of the table, printed nowhere",
    "Question.blank": "lines of YAML to type",
    "Requirement.example": "lines of YAML to type",
    "Source.consulted": "what was read of a source, in English as it was read",
    "Source.edition": "of a source",
    "Source.title": "of a source, under which it is found",
    "Substance.molecular_weight_source": "of the table, printed nowhere",
    "Substance.synonyms": "names by which an agent is found",
}
# No words of a sentence: paragraphs, titles of the law, places of the description, ids and codes.
_NO_WORDS = re.compile(
    r"\(.{1,5}?\)|\d+ (?:CFR|CCR)[^;]*|\bWAC [^;]*|`[^`]*`|[a-z_]+\[\d*\][\w.\[\]]*|[a-z_]+(?:\.[a-z_]+)+"
    r"|[A-Z]{3}-\d{3}|\w+-[\w-]+"
)
_SENTENCE = re.compile(r"(?:[a-z]{2,}\W+){2,}[a-z]{2,}")


# ---- saying again ---------------------------------------------------------------------------------------


def in_spanish(words: str) -> str:
    return said_in(SPANISH, words)


def own(words: str) -> str:
    return f"{EDGE}{words}{EDGE}"


def test_a_sentence_is_said_again_with_what_fills_it_in() -> None:
    day = long_date(date(2026, 11, 24))
    words = said("Fit test of %(person)s in %(mask)s%(size)s", person="Jo Marsh", mask="half", size="")
    assert words == "Fit test of Jo Marsh in half"
    assert in_spanish(words) == f"Prueba de ajuste de {own('Jo Marsh')} con {own('half')}"
    assert in_spanish(said("last %(done)s", done=day)) == "última vez: 24 de noviembre de 2026"
    listed = said_join([said("no fit test is on record"), said("no training is on record")], "; ")
    assert in_spanish(listed) == "no consta ninguna prueba de ajuste; no consta ninguna capacitación"
    assert in_spanish(said_series([said("none is on record"), "x"], "or")) == f"no consta ninguna o {own('x')}"


def test_numbers_counts_and_units_are_said_again() -> None:
    assert [in_spanish(counted(n, "day")) for n in (1, 2)] == ["1 día", "2 días"]
    assert in_spanish(text_of(1.0, "hours")) == "1 hora"
    assert in_spanish(text_of(1011.5, "µg/m³", digits=5)) == "1,011.5 µg/m³"  # as Spanish of the United States writes
    assert in_spanish(number_text(0.05)) == "0.05"


def test_what_has_no_words_in_a_language_stays_whole_and_is_marked() -> None:
    nested = said("nobody has ever written this to %(who)s", who=said("the program"))
    assert in_spanish(nested) == own("nobody has ever written this to the program")
    assert in_spanish("Jo Marsh") == own("Jo Marsh")
    assert in_spanish(same("(d)(2)")) == "(d)(2)"
    lines = with_lines(said("The description shows it."), "masks:\n  - id: half")
    assert in_spanish(lines) == "La descripción lo muestra.\nmasks:\n  - id: half"
    assert in_spanish(unstopped(said("The description shows it."))) == "La descripción lo muestra"


def test_a_said_text_is_a_text_in_every_other_way() -> None:
    words = said_plural("%(n)s caution", "%(n)s cautions", 2)
    assert isinstance(words, Said)
    for again in (pickle.loads(pickle.dumps(words)), copy.deepcopy(words)):
        assert (again, in_spanish(again)) == ("2 cautions", "2 precauciones")
    assert json.dumps([words]) == '["2 cautions"]'
    assert {words: 1}["2 cautions"] == 1
    assert f"{words}" == "2 cautions"


# ---- everything that is judged --------------------------------------------------------------------------


def strings(value: Any, where: str, seen: dict[int, Any]) -> Iterator[tuple[str, str]]:
    """Yield every text of a result, with the type and field that hold it; none of the description itself."""
    match value:
        case Enum() | BaseModel() | None:
            return
        case str():
            yield where, value
        case Mapping():
            for inner in value.values():
                yield from strings(inner, where, seen)
        case _ if hasattr(value, "_fields") or dataclasses.is_dataclass(value):
            if id(value) not in seen:
                seen[id(value)] = value
                names = getattr(value, "_fields", None) or [field.name for field in dataclasses.fields(value)]
                for name in names:
                    yield from strings(getattr(value, name), f"{type(value).__name__}.{name}", seen)
        case list() | tuple() | set() | frozenset():
            for inner in value:
                yield from strings(inner, where, seen)


def parts(words: Said) -> Iterator[str]:
    """Yield the plain texts that fill a sentence in."""
    for value in words._of:
        for part in value.values() if isinstance(value, Mapping) else value if isinstance(value, tuple) else ():
            if isinstance(part, Said):
                yield from parts(part)
            elif isinstance(part, str):
                yield part


def results(found: Judged) -> Iterator[tuple[str, str]]:
    seen: dict[int, Any] = {}
    program = found.description
    printed = (
        found.verdicts, found.findings, found.questions, found.selection, found.cartridge_changes, found.service_lives,
        found.old_evidence, found.roster, found.barred, found.responsibilities, found.emergencies_at, found.calendar,
        found.borrowed, found.due(400), [found.records_of(person.id) for person in program.people],
        [found.classes_for(task.id) for task in program.tasks],
    )  # fmt: skip
    for one in printed:
        yield from strings(one, "", seen)


def not_said(found: Judged) -> Iterator[tuple[str, str]]:
    """Yield the English sentences that could be said in no other language."""
    agents = (agent.substance for air in found.selection.air.values() for agent in air.agents)
    named = {*found.index.names.values(), *(agent.name for agent in agents if agent is not None)}
    typed = "\n".join(map(plain_words, (*typed_texts(found.description), *named)))
    for where, text in results(found):
        for words in parts(text) if isinstance(text, Said) else (text,):
            if _SENTENCE.search(_NO_WORDS.sub("", words)) and plain_words(words) not in typed:
                yield where, words


def test_every_sentence_that_is_judged_can_be_said_in_another_language(tmp_path: Any) -> None:
    programs = [judged_whole(name) for name in WHOLE]
    programs += [judged(patched(entry), tmp_path) for _, entry in some(one_of_each(patches()), 8)]
    found = {pair for program in programs for pair in not_said(program)}
    assert sorted(pair for pair in found if pair[0] not in NOT_SAID) == []
    assert {where for where, _ in found} >= set(NOT_SAID)
