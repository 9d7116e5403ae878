"""Descriptions in which every value can be told from all others, and the words of all papers made from them."""

from __future__ import annotations

import copy
import re
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import count
from typing import Any

from catalogue.removals import pattern_of, steps_of
from programs.patching import AS_OF, written
from writers.docx_sample import drawing

from progdoc.app.check import check
from progdoc.core.numbers import long_date
from progdoc.core.public_report import public_part
from progdoc.document.blocks.unused_blocks import printed_words
from progdoc.document.papers.forms import form_documents
from progdoc.document.papers.gap_report import gap_document
from progdoc.document.papers.handouts import handout_documents
from progdoc.document.papers.people_annex import annex_document
from progdoc.document.papers.person_card import card_documents
from progdoc.document.papers.task_page import task_documents
from progdoc.document.papers.training_kit import training_documents
from progdoc.document.papers.written_program import written_program
from progdoc.document.templating.templates import shipped_templates
from progdoc.model.description.fields import field_at, said_in
from progdoc.model.description.quantities import Quantity
from progdoc.model.load import load
from progdoc.rules.judged.result import Judged
from progdoc.rules.reading.catalogue import Catalogue

__all__ = ["Papers", "choices_in", "each_paper", "flipped", "judged_values", "marked", "papers_of"]

_MARK = "Zq{}z"


@dataclass(frozen=True, slots=True)
class Papers:
    """The words of all papers, in small letters: those for everybody, and those that name people."""

    public: str
    restricted: str


def papers_of(judged: Judged) -> Papers:
    papers = list(each_paper(judged))
    public, restricted = ("".join(f"{words} " for words, names in papers if names is said) for said in (False, True))
    return Papers(public, restricted)


def each_paper(judged: Judged) -> Iterator[tuple[str, bool]]:
    """Yield the words of paper after paper, the cheapest first, and whether it names people."""
    report = judged.report("0")
    yield printed_words(gap_document(public_part(report), "", False)), False
    yield printed_words(gap_document(report, "", False)), True
    yield printed_words(annex_document(judged)), True
    yield printed_words(list(card_documents(judged).values())), True
    yield printed_words(list(task_documents(judged).values())), False
    yield printed_words(list(form_documents(judged).values())), False
    yield printed_words(list(handout_documents(judged).values())), False
    yield printed_words(list(training_documents(judged).values())), False
    written = written_program(judged, shipped_templates())
    yield printed_words(written.annex), False
    yield printed_words(written.program), False


def judged_values(values: dict[str, Any], catalogue: Catalogue | None = None) -> Judged:
    files = {
        "program.yaml": written(values).encode(),
        "appendix-d.pdf": b"%PDF-1.7",
        "plan.png": drawing(),
        "look/look.yaml": b"paper: A4",
    }
    checked = check(load(files), AS_OF, catalogue)
    assert checked.judged is not None, checked.report.findings
    return checked.judged


def marked(values: dict[str, Any], kept: frozenset[str]) -> tuple[dict[str, Any], dict[str, str]]:
    """Return a description in which every value is one of its kind, and by its place how each is printed.

    Texts get a word of their own, quantities a fraction that changes nothing, dates a day of their own. Values at
    the places `kept` mean something to the rules, and stay as they are.
    """
    changed = copy.deepcopy(values)
    printed: dict[str, str] = {}
    numbers = count(1)
    days: set[date] = set()
    for path, value in said_in(judged_values(values).description):
        field = field_at(pattern_of(path))
        assert field is not None, path
        if isinstance(value, bool) or field.values or path == "format":
            continue
        number = next(numbers)
        typed, shown = _value(value, number, days) if pattern_of(path) not in kept else (None, str(value))
        if typed is not None:
            _put(changed, path, typed)
        printed[path] = " ".join(shown.split()).rstrip(".").lower()
    return changed, printed


def _value(value: Any, number: int, days: set[date]) -> tuple[str | None, str]:
    if isinstance(value, date):
        while value in days:
            value -= timedelta(days=1)
        days.add(value)
        return value.isoformat(), long_date(value)
    if isinstance(value, Quantity):
        if value.unit in ("day", "week", "month", "year"):
            return None, value.printed
        figure, _, unit = value.text.partition(" ")
        own = f"{figure}{'' if '.' in figure else '.0'}0{number:03}" if value.value < 100 else f"{figure}.0{number:03}"
        return f"{own} {unit}", own.replace("-", "−")
    if isinstance(value, str):
        word = _MARK.format(number)
        return f"{value.rstrip('.')} {word}", word
    return None, f"{value:,g}" if value < 1000 else f"{value:,.0f}"


def _put(values: Any, path: str, typed: str) -> None:
    *way, last = steps_of(path)
    for step in way:
        values = values[step]
    values[last] = typed


def choices_in(values: dict[str, Any]) -> Iterator[tuple[str, str]]:
    """Yield the place of every yes, no and choice, with another one that may stand there."""
    for path, value in said_in(judged_values(values).description):
        field = field_at(pattern_of(path))
        if isinstance(value, bool):
            yield path, "no" if value else "yes"
        elif field is not None and field.values:
            yield from ((path, other) for other in field.values if other != str(value))


def flipped(values: dict[str, Any], path: str, other: str) -> dict[str, Any]:
    changed = copy.deepcopy(values)
    _put(changed, path, other)
    return changed


def says(words: str, shown: str) -> bool:
    return re.search(rf"(?<![\w.]){re.escape(shown)}(?![\w])", words) is not None
