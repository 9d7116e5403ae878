"""How a requirement stands, for one place of the document: printed, open, or absent."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from functools import cache, lru_cache

from progdoc.core.citations import Citation
from progdoc.core.diagnostics import Audience, Diagnostic, Scope, Severity
from progdoc.core.late_dataclass import dataclass
from progdoc.core.paper_language import Language, marked
from progdoc.core.report import Status
from progdoc.core.said import Said, changed, said_join
from progdoc.document.tree.nodes import Block, OpenPoint, Section
from progdoc.rules.judged.result import Judged
from progdoc.rules.requirement import Verdict

__all__ = [
    "AnswerState",
    "Verdicts",
    "answered_in",
    "gap_anchor",
    "in_quotes",
    "is_draft",
    "short_citation",
    "told_plainly",
]

_MAIN = "29 CFR 1910.134"  # its paragraphs are cited by their letters alone; the policy section says so
GAPS = "gaps"  # the gap report's name; `links.linked_to` adds the ending of each format

_CODE = re.compile("`([^`]*)`")
_OF_WHICH = re.compile(r"`(?:[a-z_]+\[\d+\]\.)+(?=[a-z])")  # the sentence names the thing itself
# Where to type, and which finding it is, the gap report says; on a page they are noise. How it says so:
_SILENT, _BECAUSE = marked("nothing is said under"), marked("because of")
_SAYS, _IT_SAYS = marked("says"), marked("it says")


@dataclass(frozen=True, slots=True)
class AnswerState:
    """What a place in the document prints: `prints` its text, or the open points, or nothing."""

    prints: bool
    open: tuple[Verdict, ...]


def is_draft(judged: Judged) -> bool:
    """Return whether something required is missing from the program itself."""
    return any(d.severity is Severity.REQUIRED and d.scope is Scope.PROGRAM for d in judged.findings)


def gap_anchor(code: str, subject: tuple[str, ...]) -> str:
    """Return the anchor of a finding in the gap report.

    >>> gap_anchor("FIT-022", ()), gap_anchor("MSK-006", ("masks.half-mask",))
    ('FIT-022', 'MSK-006.masks.half-mask')
    """
    return ".".join((code, *subject))


def short_citation(citation: Citation) -> str:
    """Return a citation as the program prints it: the letters of the main standard, other rules in full."""
    return citation.locator if citation.source.short == _MAIN and citation.locator else str(citation)


def in_quotes(words: str) -> str:
    """Return words with what a terminal shows as code in quotes, as a page shows it.

    >>> in_quotes("it is declared `use: voluntary`")
    'it is declared “use: voluntary”'
    """
    return changed(words, _in_quotes)


def _in_quotes(words: str) -> str:
    return _CODE.sub("“\\1”", words)


def told_plainly(what: str) -> str:
    """Return what a finding says as a page says it: a sentence, without the places that the gap report tells.

    >>> told_plainly("the hood is credited with 25 (nothing is said under `masks[3].hood_evidence`).")
    'The hood is credited with 25.'
    >>> told_plainly("Whether it is kept can't be told: nothing is said under `tasks[4].gear`. Gear is off the seal.")
    "Whether it is kept can't be told. Gear is off the seal."
    >>> told_plainly("nobody says so (`masks[0].within_approval` says “no”; the law needs yes).")
    'Nobody says so (it says “no”; the law needs yes).'
    >>> told_plainly("its name tells of 15 %, and `tasks[0].oxygen` says 20.9 %.")
    'Its name tells of 15 %, and “oxygen” says 20.9 %.'
    """
    told = _in_plain_english(str(what))
    return Said(told, _plainly, what) if isinstance(what, Said) else told


@lru_cache(maxsize=500)  # of the words alone: two texts that read the same in English may name two people in another
def _in_plain_english(what: str) -> str:
    return _plain(what, _SILENT, _BECAUSE, _SAYS, _IT_SAYS)


def _plainly(language: Language, what: Said) -> str:
    return _plain(what.said_or_fail(language), *map(language.say, (_SILENT, _BECAUSE, _SAYS, _IT_SAYS)))


def _plain(what: str, silent: str, because: str, says: str, it_says: str) -> str:
    not_told, silence, quoted = _patterns(silent, because, says)
    told = quoted.sub(f"{it_says} ", silence.sub("", not_told.sub("", what)))
    words = _in_quotes(_OF_WHICH.sub("`", told)).rstrip(".")
    return f"{words[:1].upper()}{words[1:]}."


@cache
def _patterns(silent: str, because: str, says: str) -> tuple[re.Pattern[str], re.Pattern[str], re.Pattern[str]]:
    """Return how a language says in a finding where nothing is said, what it is because of, what a place says."""
    return (
        re.compile(rf":\s{re.escape(silent)} `[^ ]*`(?:, `[^ ]*`)*"),
        re.compile(rf" \({re.escape(silent)} [^()]*\)| \((?:{re.escape(because)} )?[A-Z]{{3}}-\d{{3}}[^()]*\)"),
        re.compile(rf"`[^` ]*` {re.escape(says)} (?=“)"),
    )


class Verdicts:
    """The verdicts on the written program by code, and by code and subject. Records of people have no place in it.

    Of wearers who stand alike, the verdict on one is enough.
    """

    def __init__(self, verdicts: Iterable[Verdict], findings: Iterable[Diagnostic]) -> None:
        self._by_code: dict[str, list[Verdict]] = {}
        self._by_subject: dict[str, dict[str, list[Verdict]]] = {}  # by code, of the codes that were asked for so
        self._asked: dict[str, Verdict] = {}  # by path: the verdict whose finding asks for it
        still_open: list[Verdict] = []
        for verdict in verdicts:
            self._by_code.setdefault(verdict.requirement.code, []).append(verdict)
            if verdict.status is Status.GAP or verdict.status is Status.UNDETERMINED:
                still_open.append(verdict)
        # Only what is undetermined looks for who asks: of people nothing is printed here.
        wanted = {p for one in still_open if one.status is Status.UNDETERMINED and _is_public(one) for p in one.paths}
        for status in (Status.GAP, Status.UNDETERMINED):  # in the order in which `evaluate.findings` asks
            for verdict in still_open:
                if verdict.status is status:
                    for path in (*verdict.paths, *(found.location.path for found in verdict.diagnostics)):
                        if path in wanted:
                            self._asked.setdefault(path, verdict)
        self._told = {(d.code, d.location.path) for d in findings if d.audience is Audience.PUBLIC}

    def of(self, code: str, subject: str = "") -> list[Verdict]:
        """Return the verdicts of a code; with a subject ("tasks.scrape-sashes") only those it is part of."""
        if not subject:
            return self._by_code.get(code, [])
        if code not in self._by_subject:
            found = self._by_subject[code] = {}
            for verdict in self._by_code.get(code, []):
                for part in dict.fromkeys(verdict.subject.ids):
                    found.setdefault(part, []).append(verdict)
        return self._by_subject[code].get(subject, [])

    def state_of(self, codes: Iterable[str], subject: str = "") -> AnswerState:
        """Return how the requirements of one place stand together: any open one keeps the text from print."""
        found = [verdict for code in codes for verdict in self.of(code, subject)]
        lacking = [v for v in found if v.status in (Status.GAP, Status.UNDETERMINED)]
        shown = tuple(v for v in lacking if _is_public(v) and not self._is_set_aside(v))
        public_gap = any(_is_public(v) for v in lacking)
        return AnswerState(not public_gap and any(v.status is Status.MET for v in found), shown)

    def _is_set_aside(self, verdict: Verdict) -> bool:
        """Cautions have a list of their own; advice and what another finding asks for already is no open point."""
        if verdict.diagnostics and not any((d.code, d.location.path) in self._told for d in verdict.diagnostics):
            return True
        return verdict.requirement.severity is not Severity.REQUIRED

    def _asking(self, verdict: Verdict) -> Verdict:
        """Return the verdict whose finding asks for what this one lacks: mostly itself."""
        if verdict.status is Status.GAP:
            return verdict
        return next((self._asked[path] for path in verdict.paths if path in self._asked), verdict)

    def open_point(self, verdict: Verdict, place: str) -> OpenPoint:
        """Return the open point of a verdict, linked to the finding that asks for what is missing."""
        code = verdict.requirement.code
        identity = f"{place}.open.{gap_anchor(code, verdict.subject.ids)}"
        asking = self._asking(verdict)
        anchor = gap_anchor(asking.requirement.code, asking.subject.ids) if _is_public(asking) else "summary"
        told = [d.what for d in asking.diagnostics] or [verdict.because]
        return OpenPoint(identity, asking.requirement.code, said_join(map(told_plainly, told)), f"{GAPS}#{anchor}")


def _is_public(verdict: Verdict) -> bool:
    requirement = verdict.requirement
    return requirement.scope is Scope.PROGRAM and requirement.audience is Audience.PUBLIC


def answered_in(sections: Iterable[Section]) -> Mapping[str, tuple[str, ...]]:
    """Return, for every code, the ids of the sections that answer it, read from the tree itself."""
    found: dict[str, dict[str, None]] = {}

    def walk(block: Block, section: str) -> None:
        here = block.id if isinstance(block, Section) else section
        for code in getattr(block, "codes", ()):
            found.setdefault(code, {})[here] = None
        for inner in (*getattr(block, "blocks", ()), *getattr(block, "items", ())):
            walk(inner, here)

    for section in sections:
        walk(section, section.id)
    return {code: tuple(ids) for code, ids in sorted(found.items())}
