"""What a firm's own look prints in the place of our words: the duties that it leaves out, and what it takes back.

A look that has such a thing can be worn: what it prints is the firm's. But a program that leaves out what the law wants
in it is a draft, and words that stand against the rest are told like those of the firm's own sections.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace
from typing import TYPE_CHECKING

from progdoc.app.file_faults import file_fault
from progdoc.app.firm_look import TEMPLATES, FirmLook
from progdoc.core.diagnostics import Diagnostic, Location, Scope, Severity
from progdoc.core.report import Status
from progdoc.rules.judged.result import Judged
from progdoc.rules.lookup.telling_words import claims_approval, of_a_draft, stands_against, taken_back

if TYPE_CHECKING:
    from progdoc.document.templating.templates import TemplateSet

__all__ = ["told_of_own_words"]

_MOST_TOLD = 20
_OF_OWN_SECTIONS = ("own_sections", "anywhere", "answer")


def told_of_own_words(judged: Judged, worn: FirmLook) -> list[Diagnostic]:
    """Return what is to be told of a look that can be worn: none of it keeps it from being worn."""
    found = [*_lines(worn), *_of_stylesheet(worn), *_of_reference(worn)]
    if worn.look.templates:
        from progdoc.document.templating.templates import own_templates

        templates = own_templates(worn.look.templates)
        found += [*_left_out(judged, worn, templates), *_dropped(judged, worn, templates), *_against(worn, templates)]
    return found


def _told(worn: FirmLook, code: str, name: str, what: str, fix: str) -> Diagnostic:
    return file_fault(code, Location(f"{worn.folder}/{name}", 0, 0), what, fix)


def _left_out(judged: Judged, worn: FirmLook, templates: TemplateSet) -> Iterator[Diagnostic]:
    """Yield, by template, the duties that the law wants in the written program and that it no longer answers."""
    from progdoc.document.papers.written_program import written_program

    before, after = (written_program(judged, one).answers for one in (templates.as_shipped(), templates))
    due = {
        verdict.requirement.code: verdict.requirement.duty
        for verdict in (one.verdict for one in judged.verdicts.alike())
        if verdict.status is not Status.NOT_APPLICABLE
        and verdict.requirement.severity is Severity.REQUIRED
        and verdict.requirement.scope is Scope.PROGRAM
    }
    missing = [code for code in due if before.get(code) and not after.get(code)]
    for name in templates.own:
        codes = sorted(code for code in missing if templates.names_code(name, code))
        if codes:
            what = f"It leaves out what the law wants in the written program: {due[codes[0]]} ({', '.join(codes)})"
            fix = "Let it call `answer`, `say` or `points` for these codes, as ours of that name does; or take it out."
            yield replace(_told(worn, "LOOK-010", TEMPLATES + name, what, fix), severity=Severity.REQUIRED)


def _dropped(judged: Judged, worn: FirmLook, templates: TemplateSet) -> Iterator[Diagnostic]:
    """Yield, by paper, what was worked out and that no template prints any more."""
    from progdoc.app.left_out import left_out

    ours = templates.as_shipped()
    for name in templates.own:
        if ours.warns(name) and not templates.warns(name):
            what = "It has none of the warnings that ours of that name gives its reader."
            fix = "Let it say them, each in `warn`."
            yield replace(_told(worn, "LOOK-010", TEMPLATES + name, what, fix), severity=Severity.CAUTION)
    names = ", ".join(f"`{name}`" for name in templates.own)
    for title, words in left_out(judged, templates):
        what = f"With {names}, “{title}” no longer prints what was worked out: {words}."
        fix = "Let the template call the `block`, or print the masks, that ours of that name does; or take it out."
        yield replace(_told(worn, "LOOK-010", TEMPLATES.rstrip("/"), what, fix), severity=Severity.REQUIRED)


def _against(worn: FirmLook, templates: TemplateSet) -> Iterator[Diagnostic]:
    """Yield the words of a template that stand against the program, those of ours set aside."""
    ours = templates.as_shipped()
    for name in templates.own:
        known = set(_lines_of(ours, name))
        for line in _lines_of(templates, name):
            if line not in known and (words := _words_against(line)):
                yield _of_words(worn, TEMPLATES + name, line, words)


def _lines_of(templates: TemplateSet, name: str) -> list[str]:
    lines = (line.strip(" #*-_>|\t") for text in templates.own_words(name) for line in text.split("\n"))
    return [line for line in lines if line]


def _words_against(text: str) -> str:
    against = (stands_against(text, part) for part in _OF_OWN_SECTIONS)
    return next(filter(None, against), "") or taken_back(text, "own_sections") or claims_approval(text)


def _lines(worn: FirmLook) -> Iterator[Diagnostic]:
    """Yield what the head or the foot of the sheets claims."""
    for text in filter(None, (worn.look.header, worn.look.footer)):
        if words := claims_approval(text) or of_a_draft(text):
            yield _of_words(worn, "look.yaml", text, words)


def _of_stylesheet(worn: FirmLook) -> Iterator[Diagnostic]:
    """Yield what a stylesheet may hide, and what it says."""
    if worn.look.stylesheet:
        from progdoc.writers.own_stylesheet import hiding_rules, printed_words

        for words in dict.fromkeys(printed_words(worn.look.stylesheet)):
            yield _of_words(worn, "style.css", words, words)
        yield from _hidden(worn, "style.css", hiding_rules(worn.look.stylesheet), "page")


def _of_reference(worn: FirmLook) -> Iterator[Diagnostic]:
    """Yield what the styles of a firm's Word file may hide, and what the signs of its lists say."""
    if worn.look.reference:
        from progdoc.writers.docx.seen_styles import hiding_styles, printed_signs

        for words in dict.fromkeys(printed_signs(worn.look.reference)):
            yield _of_words(worn, "reference.docx", words, words)
        yield from _hidden(worn, "reference.docx", hiding_styles(worn.look.reference), "Word document")


def _hidden(worn: FirmLook, name: str, rules: Iterable[str], paper: str) -> Iterator[Diagnostic]:
    """Yield what goes beyond looks: with it somebody may read less than the program says."""
    found = list(dict.fromkeys(rules))
    for rule in found[:_MOST_TOLD]:
        what = f"`{rule}` is more than a look: with it a {paper} may tell less than the program."
        fix = (
            "Take it out. A look changes letters (dark, and large enough to read), light grounds, lines and room; what"
            " should not be in the program is taken out of the description, or of a template."
        )
        yield replace(_told(worn, "LOOK-012", name, what, fix), severity=Severity.REQUIRED)


def _of_words(worn: FirmLook, name: str, text: str, words: str) -> Diagnostic:
    told = f"“{text}” is printed beside what is judged: “{words}” stands against it, or is more than anybody stated."
    fix = "Take it out, or say it in the description, where it is judged."
    return replace(_told(worn, "LOOK-011", name, told, fix), severity=Severity.CAUTION)
