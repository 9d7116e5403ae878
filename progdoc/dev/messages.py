"""Which sentences are said in other languages: on papers for the crew (from Python, templates, forms and closed lists)
and on the pages of the desk, gathered for the message catalogues.

    python -m progdoc.dev messages [LANGUAGE]

brings every catalogue of `templates/locale` up to date, or begins one for a language; what is no longer said is
dropped, what is new stands empty for its translation.
"""

from __future__ import annotations

import ast
import re
from collections.abc import Iterable, Iterator
from enum import StrEnum
from io import BytesIO
from pathlib import Path
from typing import Any

from babel.messages.catalog import Catalog
from babel.messages.pofile import read_po, write_po

from progdoc.calc.cartridge import Criterion
from progdoc.core.diagnostics import Severity
from progdoc.core.paper_language import MEASURES
from progdoc.core.report import Status
from progdoc.desk.shown import fixed_words
from progdoc.document.templating.templates import form_plans, shipped_templates
from progdoc.document.tree.tokens import choice_words
from progdoc.model.description.alternatives import Role
from progdoc.model.description.emergency_plans import Contact, RetrievalPart
from progdoc.model.description.hazards import Form
from progdoc.model.description.house_rules import RuleKind
from progdoc.model.description.masks import Facepiece, Gas, Mount
from progdoc.model.description.people import MedicalLimit, Recommendation
from progdoc.model.description.upkeep import ChangeParticulateWhen
from progdoc.model.description.workplace import Effort, Gear
from progdoc.rules.judged.due_results import Kind
from progdoc.rules.judged.published import LimitKind
from progdoc.rules.lookup.fit_protocols import fit_protocol, fit_protocols
from progdoc.rules.lookup.table_files import table_entries
from progdoc.rules.reading.predicate_words import PREDICATE_WORDS

__all__ = ["Message", "catalogues", "messages"]

Message = tuple[str, str]  # and its form for more than one, "" where it has none

# Closed lists whose choices stand on papers for the crew.
_SPOKEN: tuple[type[StrEnum], ...] = (
    ChangeParticulateWhen, Contact, Criterion, Effort, Facepiece, Form, Gas, Gear, Kind, LimitKind, MedicalLimit, Mount,
    Recommendation, RetrievalPart, Role, RuleKind, Severity, Status,
)  # fmt: skip
_SPOKEN_OTHERWISE = {
    "makers limit": ("maker's limit",),
    "organic vapour": ("organic vapours",),
    "no scba": ("no scba", "no SCBA"),
}
_SAYING = ("say", "marked", "said", "in_each")
_SAID, _OF_FIELDS = "progdoc.core.said", "progdoc.model.description.base"  # whose `said` tells of a field
_FOLDERS = ("core", "calc", "model", "rules", "document", "writers", "app", "desk")
_FIRST = "messages.po"
_APART = {  # what is said in these folders alone is a catalogue of its own
    "program.po": ("templates/program/sections", "templates/program/procedures"),
    "rules.po": ("progdoc/rules", "progdoc/calc"),
    "app.po": ("progdoc/app", "progdoc/desk"),
}
_HEAD = """\
msgid ""
msgstr ""
"Language: {locale}\\n"
"Plural-Forms: {plurals}\\n"
"MIME-Version: 1.0\\n"
"Content-Type: text/plain; charset=utf-8\\n"
"Content-Transfer-Encoding: 8bit\\n"

"""
_FILLED_IN = re.compile(r"\{[^{}]*\}|%\(\w+\)s")
_WORD = re.compile(r"[A-Za-z]{2}|\ba\b")  # what has none, such as a paragraph, is the same in every language
_KEYS_OF_FORMS = ("title", "intro", "keep", "label", "hint", "text", "role", "limit")  # one text each
_LISTS_OF_FORMS = ("notes", "choices", "points")


def messages(root: Path) -> dict[Message, list[tuple[str, int]]]:
    """Return every sentence, with the files and lines in which it stands."""
    found: dict[Message, list[tuple[str, int]]] = {}
    for message, file, line in (*_in_python(root), *_in_templates(), *_in_forms(), *_in_lists()):
        if _WORD.search(_FILLED_IN.sub("", message[0])):
            found.setdefault(message, []).append((file, line))
    return found


def catalogues(root: Path, more: str = "") -> dict[Path, bytes]:
    """Return every catalogue brought up to date, and that of one more language."""
    folder = root / "templates" / "locale"
    codes = {entry.name for entry in folder.iterdir() if entry.is_dir()} | {code for code in (more,) if code}
    fresh = {name: Catalog() for name in (_FIRST, *_APART)}
    for (one, many), places in messages(root).items():
        fresh[_catalogue_of(places)].add((one, many) if many else one, locations=sorted(set(places)), flags=_flags(one))
    files = {}
    for code in sorted(codes):
        first = _read(folder / code / _FIRST, Catalog(locale=code))
        head = _HEAD.format(locale=first.locale_identifier, plurals=first.plural_forms)
        empty = (read_po(BytesIO(head.encode())) for _ in _APART)  # of one head, and so of the same plurals
        known = {
            _FIRST: first,
            **{name: _read(folder / code / name, one) for name, one in zip(_APART, empty, strict=True)},
        }
        said = {message.id: message.string for read in known.values() for message in read if not message.context}
        for name, read in known.items():
            apart = [message for message in read if message.context]  # what means another thing on one paper
            read.update(fresh[name], no_fuzzy_matching=True, update_creation_date=False)
            read.obsolete.clear()
            for message in read:
                message.string = message.string if _is_filled(message.string) else said.get(message.id, message.string)
            for message in apart:
                read.add(message.id, message.string, context=message.context)
            out = BytesIO()
            write_po(out, read, width=100, sort_by_file=True, include_lineno=False, omit_header=True)
            files[folder / code / name] = head.encode() + out.getvalue()
    return files


def _read(file: Path, empty: Catalog) -> Catalog:
    return read_po(BytesIO(file.read_bytes())) if file.is_file() else empty


def _is_filled(said: object) -> bool:
    return all(said) if isinstance(said, tuple | list) else bool(said)


def _catalogue_of(places: Iterable[tuple[str, int]]) -> str:
    """Return which catalogue a sentence stands in: by where it is said, the one for everything if in several places."""
    for name, folders in _APART.items():
        if all(file.startswith(folders) for file, _ in places):
            return name
    return _FIRST


def _flags(message: str) -> tuple[str, ...]:
    return ("python-format",) if "%(" in message else ("python-brace-format",) if "{" in message else ()


def _in_python(root: Path) -> Iterator[tuple[Message, str, int]]:
    for file in sorted(file for folder in _FOLDERS for file in (root / "progdoc" / folder).rglob("*.py")):
        name = file.relative_to(root).as_posix()
        tree = ast.parse(file.read_text(encoding="utf-8"))
        names = _names_of_said(tree)
        for node in ast.walk(tree):
            if isinstance(node, ast.Call):
                called = _called(node.func)
                yield from ((message, name, node.lineno) for message in _said_by(names.get(called, called), node.args))


def _names_of_said(tree: ast.AST) -> dict[str, str]:
    """Return what a module calls by which name of what says sentences; "" for what is called alike and does not."""
    found = {}
    for node in ast.walk(tree):
        if isinstance(node, ast.ImportFrom) and node.module in (_SAID, _OF_FIELDS):
            for one in node.names:
                found[one.asname or one.name] = one.name if node.module == _SAID else ""
    return found


def _said_by(called: str, given: list[ast.expr]) -> Iterator[Message]:
    """Yield the sentences of a call: one, two of which one is said, or one by number."""
    if called in _SAYING and given:
        yield from ((text, "") for text in _texts_of(given[0]))
    elif called == "said_plural" and len(given) > 2:
        yield from zip(_texts_of(given[0]), _texts_of(given[1]), strict=False)
    elif called == "counted" and len(given) > 1:  # progdoc/core/numbers.py
        for one in _texts_of(given[1]):
            more = next(_texts_of(given[2]), "") if len(given) > 2 else f"{one}s"
            yield f"%(n)s {one}", f"%(n)s {more}"


def _called(function: ast.expr) -> str:
    return function.attr if isinstance(function, ast.Attribute) else getattr(function, "id", "")


def _texts_of(given: ast.expr) -> Iterator[str]:
    """Yield the sentences that may be said: one, or one of two by a condition."""
    if isinstance(given, ast.IfExp):
        yield from _texts_of(given.body)
        yield from _texts_of(given.orelse)
    elif isinstance(given, ast.Constant) and isinstance(given.value, str):
        yield given.value


def _in_templates() -> Iterator[tuple[Message, str, int]]:
    for name, line, text in shipped_templates().said():
        yield (text, ""), f"templates/program/{name}", line
    for said, name, line in fixed_words():
        yield (said[0], "".join(said[1:])), f"templates/desk/{name}", line


def _in_forms() -> Iterator[tuple[Message, str, int]]:
    for folder in ("forms", "handouts"):
        for plan in form_plans(folder):
            for text in _texts_below(plan):
                if _WORD.search(_FILLED_IN.sub("", text)):
                    yield (text, ""), f"templates/{folder}/{plan['id']}.yaml", 1


def _texts_below(value: Any) -> Iterator[str]:
    if isinstance(value, list | tuple):
        for item in value:
            yield from _texts_below(item)
    elif isinstance(value, dict):
        for key, inner in value.items():
            if key in _LISTS_OF_FORMS and isinstance(inner, list | tuple):
                yield from map(str, inner)
            elif key in _KEYS_OF_FORMS and isinstance(inner, str):
                yield inner
            elif key in ("parts", "fields", "rows", "columns", "signatures", "facts", "receipt"):
                yield from _texts_below(inner)


def _in_lists() -> Iterator[tuple[Message, str, int]]:
    for one, more in MEASURES:
        yield (one, more), "progdoc/core/paper_language.py", 1
    for kind in _SPOKEN:
        for choice in kind:
            words = choice_words(choice)
            for text in _SPOKEN_OTHERWISE.get(words, (words,)):
                yield (text, ""), f"{kind.__module__.replace('.', '/')}.py", 1
    for entry in table_entries("cartridge_colours", "colours"):
        yield (str(entry["colour"]), ""), "progdoc/catalogue/tables/cartridge_colours.yaml", 1
    for entry in table_entries("telling_words", "against_no"):
        yield (str(entry["said"]), ""), "progdoc/catalogue/tables/telling_words.yaml", 1
    for fact in PREDICATE_WORDS.values():
        yield (fact.words, ""), "progdoc/rules/reading/predicate_words.py", 1
    for name in fit_protocols():
        protocol = fit_protocol(name)
        if protocol is not None:
            told = (
                protocol.name,
                protocol.fitted_with,
                protocol.stop_when,
                protocol.screening,
                protocol.averaging_basis,
            )
            for text in (*told, *protocol.notes, *(exercise.name for exercise in protocol.exercises)):
                yield (text, ""), "progdoc/catalogue/tables/fit_protocols.yaml", 1
