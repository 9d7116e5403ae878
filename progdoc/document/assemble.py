"""Program, verdicts and worked figures to the tree of the written program.

Templates say what the document says; this module gives them what they may say it with: the description as
opaque user text, and functions that print a passage only where its requirement is met.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import Any

from progdoc.core.diagnostics import Scope, Severity
from progdoc.core.errors import ProgdocError
from progdoc.core.numbers import long_date
from progdoc.document.answers import Verdicts, answered_in, open_points
from progdoc.document.appendices import appendix_blocks
from progdoc.document.context import context_of
from progdoc.document.markdown_tree import Slots, sections_of
from progdoc.document.nodes import Block, Document, RevisionEntry, Section
from progdoc.document.references import resolved
from progdoc.document.templates import TemplateSet
from progdoc.document.tokens import MARKERS, Tokens
from progdoc.rules.judge import Judged
from progdoc.rules.predicates import PREDICATES
from progdoc.rules.subjects import PROGRAM

__all__ = ["is_draft", "program_document"]


def is_draft(judged: Judged) -> bool:
    """Return whether something required is missing from the program itself."""
    return any(d.severity is Severity.REQUIRED and d.scope is Scope.PROGRAM for d in judged.findings)


def program_document(judged: Judged, templates: TemplateSet) -> tuple[Document, Mapping[str, tuple[str, ...]]]:
    """Return the written program, and for each code the sections that answer it."""
    program = judged.facts.description
    scribe = _Scribe(judged, templates)
    sections = [s for name in templates.sections for s in scribe.sections(name)]
    sections += [replace(s, is_appendix=True) for name in templates.appendices for s in scribe.sections(name)]
    answers = answered_in(sections)
    filled = appendix_blocks(judged, answers)
    tree = tuple(_with(section, filled) for section in sections)
    info = program.program
    document = Document(
        id="program",
        title=info.title or "Respiratory Protection Program",
        organisation=program.organisation.name or "",
        revision=info.revision or "",
        as_of=judged.facts.as_of,
        draft=is_draft(judged),
        blocks=tree,
        effective=long_date(info.effective) if info.effective else "",
        officer=program.officer.name or "",
        history=tuple(RevisionEntry(r.revision, long_date(r.date), r.by, r.summary) for r in info.history),
        has_cover=True,
        paper=info.paper.value,
        shows_citations=info.citations,
        keywords=("respiratory protection program", "29 CFR 1910.134"),
    )
    return resolved(document), answers


def _with(section: Section, filled: Mapping[str, tuple[Block, ...]]) -> Section:
    """Return a section with the blocks that can only be made once the rest stands."""
    inner = tuple(_with(b, filled) if isinstance(b, Section) else b for b in section.blocks)
    return replace(section, blocks=(*inner, *filled.get(section.id, ())))


class _Scribe:
    """Renders templates, one after another, against one judged description."""

    def __init__(self, judged: Judged, templates: TemplateSet) -> None:
        self._judged = judged
        self._templates = templates
        self._verdicts = Verdicts(judged.verdicts)
        self._requirements = {v.requirement.code: v.requirement for v in judged.verdicts}
        self._known = {r.code: r for r in judged.catalogue.requirements}
        self._tokens = Tokens()
        made, blocks = context_of(judged, self._tokens)
        self._blocks: dict[str, tuple[Block, ...]] = dict(blocks)
        self._context = {**made, **self._functions()}

    def sections(self, name: str) -> tuple[Section, ...]:
        slots = Slots(self._blocks)
        self._slots = slots
        self._place = name
        return sections_of(self._templates.render(name, self._context), self._tokens, slots)

    def _functions(self) -> dict[str, Callable[..., Any]]:
        return {
            "answer": self._answer,
            "when": self._when,
            "block": self._block,
            "cite": self._cite,
            "ref": self._ref,
        }

    def _requirement(self, code: str) -> Any:
        if code not in self._known:
            raise ProgdocError(f"sections/{self._place}.md.j2 answers {code}, which is not in the catalogue")
        return self._known[code]

    def _answer(self, *codes: str, subject: str = "", caller: Callable[[], str]) -> str:
        """Print the body where all codes that apply are met; else their open points; else nothing."""
        citations = tuple(str(self._requirement(code).citation) for code in codes)
        standing = self._verdicts.standing(codes, subject)
        if standing.open:
            name = f"open.{len(self._blocks)}"
            self._blocks[name] = open_points(standing.open, self._place)
            shown: str = self._mark("block", name)
            answered = tuple(dict.fromkeys(v.requirement.code for v in standing.open))
            return self._marked(shown, answered, ())
        return self._marked(caller(), codes, tuple(dict.fromkeys(citations))) if standing.prints else ""

    def _marked(self, body: str, codes: tuple[str, ...], citations: tuple[str, ...]) -> str:
        self._slots.answers.append((codes, citations))
        return f"\n\n{self._mark('begin', str(len(self._slots.answers) - 1))}\n\n{body.strip()}\n\n{MARKERS['end']}\n\n"

    @staticmethod
    def _mark(kind: str, name: str) -> str:
        return f"{MARKERS[kind]}{name}{MARKERS['stop']}"

    def _when(self, *predicates: str, caller: Callable[[], str]) -> str:
        """Print the body where one of the named facts holds for the program."""
        facts = self._judged.facts
        if any(PREDICATES[name](facts, PROGRAM).holds is True for name in predicates):
            return f"\n\n{caller().strip()}\n\n"
        return ""

    def _block(self, name: str) -> str:
        if name not in self._blocks:
            raise ProgdocError(f"sections/{self._place}.md.j2 asks for a block {name!r} that nobody makes")
        return f"\n\n{self._mark('block', name)}\n\n" if self._blocks[name] else ""

    def _cite(self, *codes: str) -> str:
        return self._mark("cite", "; ".join(dict.fromkeys(str(self._requirement(code).citation) for code in codes)))

    def _ref(self, target: str) -> str:
        return self._mark("ref", target)
