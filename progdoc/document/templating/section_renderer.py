"""Renders section templates against a judged description: what is met is said, what is open stands out.

A template calls the functions below. `answer` prints a whole passage or none of it; `passage` holds sentences
(`say`), list items (`item`) and tables (`points`) of which each stands for itself. None of them knows any law:
they ask the verdicts.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import field
from enum import StrEnum
from typing import Any

from progdoc.core.citations import Citation
from progdoc.core.diagnostics import Audience, Scope
from progdoc.core.errors import ProgdocError
from progdoc.core.late_dataclass import dataclass
from progdoc.core.paper_language import ENGLISH, Language
from progdoc.core.report import Status
from progdoc.core.said import Said, said_in
from progdoc.document.blocks.answers import AnswerState, Verdicts, short_citation
from progdoc.document.blocks.local_rules import local_rules_blocks
from progdoc.document.templating.context import context_of
from progdoc.document.templating.templates import OwnTemplateError, TemplateSet, shipped_templates
from progdoc.document.tree.markdown_tree import AnswerSlot, Slots, sections_of
from progdoc.document.tree.nodes import Block, Section
from progdoc.document.tree.tokens import MARKERS, Tokens, choice_words
from progdoc.rules.judged.result import Judged
from progdoc.rules.requirement import Requirement, Verdict

__all__ = ["GROUNDS", "SectionRenderer"]

# What a sentence rests on that no requirement affirms. A template names it, and a test asks every sentence for one:
# the law whatever the firm does, a definition, what was worked out, this document itself, a warning to the reader,
# the firm's own words behind a lead-in. None of these may say that the firm does something.
GROUNDS = ("by_law", "term", "worked", "about", "warn", "quote")

# A citation that stands again behind the next sentence of the same paragraph is printed there alone.
_CITED = f"{MARKERS['cite']}([^{MARKERS['stop']}]+){MARKERS['stop']}"
_REPEATED = re.compile(f" ?{_CITED}(?=\n(?![-\\d\n])[^\n{MARKERS['cite']}]*{MARKERS['cite']}\\1{MARKERS['stop']})")

_WORD = re.compile(r"\w")


@dataclass(slots=True)
class _Passage:
    """What the sentences of a passage have answered and left open so far."""

    codes: dict[str, None] = field(default_factory=dict)
    said: set[str] = field(default_factory=set)  # those of them that a sentence of its own answers
    open: list[Verdict] = field(default_factory=list)


class SectionRenderer:
    """Renders templates, one after another, against one judged description."""

    def __init__(self, judged: Judged, templates: TemplateSet, language: Language = ENGLISH) -> None:
        self._judged = judged
        self._templates = templates.in_language(language)
        self._verdicts = Verdicts((one.verdict for one in judged.verdicts.alike()), judged.findings)
        self._known = judged.known
        self._language = language
        self._tokens = Tokens(judged.open_texts, language)
        data, blocks = context_of(judged, self._tokens, language)
        self._blocks: dict[str, tuple[Block, ...]] = {
            **blocks,
            "local-rules": local_rules_blocks(judged, self._verdicts),
        }
        self._context = {**data, **self._functions()}
        self._passages: list[_Passage] = []
        self._groups: dict[str, list[str]] = {}
        self._asked: set[str] = set()
        self._met_asked: set[str] = set()
        self.faults: list[OwnTemplateError] = []  # of a firm's own templates; ours stand in for those that have any

    def add(self, blocks: Mapping[str, tuple[Block, ...]]) -> None:
        """Offer more blocks to the templates still to come."""
        self._blocks.update(blocks)

    def sections(self, name: str, **more: Any) -> tuple[Section, ...]:
        """Return the sections of one template ("sections/medical"); those in which nothing is left are absent."""
        if self._templates.is_own(name):
            try:
                return self._sections(self._templates, name, more)
            except OwnTemplateError as fault:
                self.faults.append(fault)
            except (ProgdocError, RecursionError) as fault:
                self.faults.append(OwnTemplateError(f"{name}.md.j2", 0, f"it makes no section: {fault}"))
            self._passages.clear()
        whole = shipped_templates().in_language(self._language)
        return self._sections(whole if self.faults else self._templates, name, more)

    def _sections(self, templates: TemplateSet, name: str, more: Mapping[str, Any]) -> tuple[Section, ...]:
        self._is_own = templates.is_own(name)
        self._slots = Slots(self._blocks)
        self._place = name.rpartition("/")[2].replace("_", "-")
        self._asked.clear()
        self._met_asked.clear()
        text = templates.render(name, {**self._context, **more})
        return sections_of(text, self._tokens, self._slots, self._language.original if self._is_own else "")

    @property
    def tasks(self) -> Sequence[Mapping[str, Any]]:
        """The tasks as a template sees them."""
        found: Sequence[Mapping[str, Any]] = self._context["tasks"]
        return found

    def _functions(self) -> dict[str, Callable[..., Any]]:
        return {
            "answer": self._answer,
            "passage": self._passage,
            "say": self._say,
            "item": self._item,
            "facts": self._facts,
            "fact": self._fact,
            "points": self._points,
            "points_of": self._points_of,
            "met": self._met,
            "when": self._when,
            **dict.fromkeys(GROUNDS, _grounded),
            "holds": self._holds,
            "block": self._block,
            "ref": self._ref,
            "phrase": self._tokens.phrase,
            "words": self._words,
            "_": self._translated,
            "series": self._series,
            "span": self._tokens.span,
        }

    # ---- passages ---------------------------------------------------------------------------------------

    def _answer(self, *codes: str, subject: str = "", caller: Callable[[], str]) -> str:
        """Print the body where all codes that apply are met; else their open points; else nothing."""
        state = self._state_of(codes, subject)
        passage = _Passage()
        body = ""
        if state.prints and _shows(body := caller()):
            self._note(passage, codes, subject)
        passage.open += state.open
        return self._marked("-".join(codes), body, passage, self._short(codes, subject) if body else "")

    def _passage(self, name: str, caller: Callable[[], str]) -> str:
        """Print the sentences that are met, then the open points of the others."""
        passage = _Passage()
        self._passages.append(passage)
        body = caller()
        self._passages.pop()
        if self._is_own:
            self._drop_unshown(passage, body)
        return self._marked(name, _REPEATED.sub("", body), passage, "")

    def _say(self, *codes: str, subject: str = "", caller: Callable[[], str]) -> str:
        """Print a sentence of a passage and its citation where all codes that apply are met."""
        body = self._settled(codes, subject, caller)
        return f"{body.strip()} {self._mark('cite', self._short(codes, subject))}\n" if body else ""

    def _item(self, *codes: str, subject: str = "", caller: Callable[[], str]) -> str:
        """Print a list item of a passage, likewise."""
        body = self._settled(codes, subject, caller)
        return f"- {' '.join(body.split())} {self._mark('cite', self._short(codes, subject))}\n" if body else ""

    def _facts(self, caller: Callable[[], str]) -> str:
        """Print a table of facts around its rows; nothing where there is none."""
        rows = "\n".join(line for line in caller().splitlines() if line.strip())
        return f"\n\n| | |\n|---|---|\n{rows}\n\n" if rows else ""

    def _fact(self, *codes: str, name: str, subject: str = "", caller: Callable[[], str]) -> str:
        """Print a row of a table of facts and its citation where all codes that apply are met."""
        words = " ".join((self._settled(codes, subject, caller) if codes else caller()).split())
        if codes and not words:
            return ""
        cited = self._mark("cite", self._short(codes, subject)) if codes else ""
        return f"| {name} | {words} {cited} |\n"

    def _points(self, *codes: str, subject: str = "") -> str:
        """Note what a table or text beside it answers, and leave the rest as open points; print nothing."""
        for code in codes:
            if self._settle((code,), subject):
                self._note(self._passages[-1], (code,), subject)
        return ""

    def _points_of(self, prefix: str, subject: str = "") -> str:
        """Do the same for all duties of a group that are the program's own: `points_of("EXP-")`."""
        if prefix not in self._groups:  # asked for at each task
            group = (r for r in self._known.values() if r.code.startswith(prefix))
            self._groups[prefix] = [r.code for r in group if r.scope is Scope.PROGRAM and r.audience is Audience.PUBLIC]
        return self._points(*self._groups[prefix], subject=subject)

    def _settle(self, codes: Sequence[str], subject: str) -> bool:
        if not self._passages:
            raise ProgdocError(f"sections of {self._place}: say, item and points stand inside a passage")
        state = self._state_of(codes, subject)
        self._passages[-1].open += state.open
        return state.prints

    def _settled(self, codes: Sequence[str], subject: str, caller: Callable[[], str]) -> str:
        """Return the body where all codes that apply are met, and note them; nothing where it shows nothing."""
        if not self._settle(codes, subject):
            return ""
        body = caller()
        if not _shows(body):
            return ""
        self._passages[-1].said.update(self._note(self._passages[-1], codes, subject))
        return body

    def _drop_unshown(self, passage: _Passage, body: str) -> None:
        """Take back what a firm's template only points at, unless it prints a block, or text that asks for the code."""
        for code in [code for code in passage.codes if code not in passage.said]:
            is_asked = code in self._met_asked and _shows(body)
            if not (is_asked or MARKERS["block"] in body):
                del passage.codes[code]

    def _note(self, passage: _Passage, codes: Iterable[str], subject: str) -> list[str]:
        printed = [code for code in codes if self._verdicts.state_of((code,), subject).prints]
        passage.codes.update(dict.fromkeys(printed))
        return printed

    def _state_of(self, codes: Sequence[str], subject: str) -> AnswerState:
        for code in codes:
            self._requirement(code)
        return self._verdicts.state_of(codes, subject)

    def _requirement(self, code: str) -> Requirement:
        if code not in self._known:
            raise ProgdocError(f"the template of {self._place} answers {code}, which is not in the catalogue")
        return self._known[code]

    def _marked(self, name: str, body: str, passage: _Passage, mark: str) -> str:
        """Wrap a body as an answer, with the open points below it."""
        points = []
        for verdict in passage.open:
            point = self._verdicts.open_point(verdict, self._place)
            if point.href not in self._asked:  # one gap may keep several sentences from print
                self._asked.add(point.href)
                points.append(point)
        shown = ""
        if points:
            block = f"open.{len(self._blocks)}"
            self._blocks[block] = tuple(points)
            shown = self._block(block)
        codes = (*passage.codes, *dict.fromkeys(v.requirement.code for v in passage.open))
        cited = dict.fromkeys(cited for code in passage.codes for cited in self._requirement(code).citations)
        self._slots.answers.append(AnswerSlot(name, tuple(dict.fromkeys(codes)), tuple(cited), mark))
        begin = self._mark("begin", str(len(self._slots.answers) - 1))
        return f"\n\n{begin}\n\n{body.strip()}\n\n{shown}\n\n{MARKERS['end']}\n\n"

    # ---- the rest ---------------------------------------------------------------------------------------

    def _met(self, *codes: str, subject: str = "") -> bool:
        """Return whether a text that `points` at these codes may be printed."""
        self._met_asked.update(codes)
        return self._state_of(codes, subject).prints

    def _when(self, *predicates: str, caller: Callable[[], str]) -> str:
        """Print the body where one of the named facts holds for the program."""
        return f"{caller().strip()}\n" if self._holds(*predicates) else ""

    def _holds(self, *predicates: str) -> bool:
        return any(map(self._judged.holds, predicates))

    def _block(self, name: str) -> str:
        if name not in self._blocks:
            raise ProgdocError(f"the template of {self._place} asks for a block {name!r} that nobody makes")
        return f"\n\n{self._mark('block', name)}\n\n" if self._blocks[name] else ""

    def _ref(self, target: str) -> str:
        return self._mark("ref", target)

    def _series(self, parts: Sequence[str]) -> str:
        """Return texts of the user's in a row; they may hold commas of their own."""
        return "; ".join(self._tokens.phrase(part) for part in parts)

    def _words(self, parts: Sequence[str], last: str = "and") -> str:
        """Return a list as words: "a, b and c"."""
        return self._language.series([self._spoken(part) for part in parts], last)

    def _translated(self, message: str, **values: Any) -> str:
        """Return a sentence of a template in the language of the document."""
        given = {name: self._spoken(value) for name, value in values.items()}
        return self._language.say(choice_words(message) if isinstance(message, StrEnum) else message, **given)

    def _spoken(self, value: Any) -> Any:
        if isinstance(value, StrEnum):
            return self._language.say(choice_words(value))
        return said_in(self._language, value) if isinstance(value, Said) else value

    def _short(self, codes: Iterable[str], subject: str) -> str:
        """Return the paragraphs behind a sentence: those that ask it of whom it is said of."""
        cited = [citation for code in codes for citation in self._cited(code, subject)]
        return "; ".join(dict.fromkeys(map(short_citation, cited)))

    def _cited(self, code: str, subject: str) -> Sequence[Citation]:
        shown = [verdict.citation for verdict in self._verdicts.of(code, subject) if verdict.status is Status.MET]
        return shown or [self._requirement(code).citation]

    @staticmethod
    def _mark(kind: str, name: str) -> str:
        return f"{MARKERS[kind]}{name}{MARKERS['stop']}"


def _shows(body: str) -> bool:
    """Return whether a body prints anything: words, a text of the user's, a table."""
    return bool(_WORD.search(body))


def _grounded(*_paragraph: str, caller: Callable[[], str]) -> str:
    return caller()
