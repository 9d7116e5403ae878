"""The next questions for a person at a terminal: what is dangerous first, the verdict last.

An evening is spent on answers, not on findings, so that only the next few are shown, each with its place and the lines
to type; every finding stands in `report_view`. Like that text it names people: render `public_part(report)` to hand on.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator

from progdoc.cli.report_view import BOLD, COLOURS, PLAIN, finding_text, labelled, report_text
from progdoc.cli.terminal import broken
from progdoc.core.diagnostics import Severity
from progdoc.core.lines import Line
from progdoc.core.questions import Question, missing_answers
from progdoc.core.report import Report
from progdoc.core.report_summary import dangers, summary_line, summary_parts, unasked

__all__ = ["questions_text"]

_SENTENCE_END = re.compile(r"(?<=[.!?]) (?=[A-Z])")
_NEXT = 10
_MOST_FOUND = 3  # findings that are told in full
_MOST_OF_SEVERAL = 2  # where a question is about several things, whose names it tells already
_INDENT = 12  # room for "   settles  "


def questions_text(report: Report, width: int = 80, colour: bool = False) -> str:
    """Return what to answer next and how things stand; of a description that can't be understood, its faults."""
    if any(finding.severity is Severity.INVALID for finding in report.findings):
        return report_text(report, width, colour)
    barred = "; ".join(dangers(report))
    blocks = [_flowing(f"Danger: {barred}.", width, COLOURS[Severity.REQUIRED] * colour)] if barred else []
    blocks += [finding_text(finding, width, colour) for finding in unasked(report)]
    if report.questions:
        blocks.append(_flowing(_left(report), width, BOLD * colour))
    shown = report.questions[:_NEXT]
    offers = {question.adopted_at: question for question in reversed(shown)}  # what may be adopted is told once
    for number, question in enumerate(shown, 1):
        blocks.append(_question(number, question, width, colour, offers.get(question.adopted_at) is question))
    more = [*_more(report), _verdict(report)]
    return "\n\n".join([*blocks, *(_flowing(line, width, "") for line in more)]) + "\n"


def _flowing(text: str, width: int, look: str) -> str:
    lines = "\n".join(broken(Line(text), width))
    return f"{look}{lines}{PLAIN}" if look else lines


def _verdict(report: Report) -> str:
    """Return how things stand, without the dangers that were named first."""
    opening, parts = summary_parts(report)
    named = dangers(report)
    rest = [part for part in parts if part not in named]
    return f"{opening}: {'; '.join(rest)}." if named and rest else summary_line(report)


def _left(report: Report) -> str:
    missing = missing_answers(report.questions)
    count = len(report.questions)
    of_all = f" of {count} questions, with cautions and advice" if count > missing else f" of {count}"
    the_next = "the next:" if count <= _NEXT else f"the next {_NEXT}{of_all}:"
    if not missing:
        return f"Nothing that the law asks for is missing; {count} to look at:" if count > 1 else "To look at:"
    are = "1 answer is" if missing == 1 else f"{missing} answers are"
    grave = sum(question.is_danger for question in report.questions)
    about = f", {grave} of them about dangers" if grave else ""
    return f"{are} missing, or not as the law needs {'it' if missing == 1 else 'them'}{about}; {the_next}"


def _question(number: int, question: Question, width: int, colour: bool, is_offered: bool) -> str:
    head = broken(Line(question.asks, f"{number:>2}. ", "    "), width)
    if colour:
        look = COLOURS[Severity.REQUIRED] if question.is_danger else BOLD
        head = [f"{look}{line}{PLAIN}" for line in head]
    return "\n".join([*head, *(part for line in _lines(question, is_offered) for part in broken(line, width))])


def _lines(question: Question, is_offered: bool) -> Iterator[Line]:
    yield labelled("why", " ".join((question.why, *question.cites[:1])), _INDENT)
    told = {finding.code: finding for finding in reversed(question.told_in_full)}  # of each kind the first
    most = _MOST_FOUND if len(question.subject) < 2 else _MOST_OF_SEVERAL
    shown = sorted(told.values(), key=question.told_in_full.index)[:most]
    shown += [finding for finding in question.told_in_full if finding not in shown][: most - len(shown)]
    for finding in shown:
        yield labelled("found", finding.what, _INDENT)
    if shown and len(question.findings) > len(shown):
        yield labelled("", f"and {len(question.findings) - len(shown)} more", _INDENT)
    for words in filter(None, _told_once(question.to_do(shown))):
        yield labelled("do", words, _INDENT)
    yield Line(str(question.where), "    where   ", is_typed=True)
    typed = list(question.lines_beside(shown))
    if typed and not all(any(line.endswith(f"id: {name}") for line in typed) for name in _ids(question.subject)):
        typed.append("# and likewise for the others")
    for count, line in enumerate(typed):
        yield Line(line, "    " + ("type" if not count else "").ljust(_INDENT - 4), is_typed=True)
    if question.adopts and is_offered:
        words = f'or `{question.adopted_at.rpartition(".")[2]}: "{question.adopts}"` under'
        group = question.adopted_at.rpartition(".")[0]
        yield labelled("", f"{words} `{group}`, if you do exactly that; what is left to say is asked then", _INDENT)
    count = len(question.findings)
    findings = "1 finding" if count == 1 else f"{count} findings"
    yield labelled("settles", f"{findings}: {' '.join(question.settles)}", _INDENT)


def _told_once(several: Iterable[str]) -> Iterator[str]:
    """Yield each of several instructions without the sentences that stood in one before it.

    >>> list(_told_once(["Sample for 15 min. An estimate serves both.", "Sample for 5 min. An estimate serves both."]))
    ['Sample for 15 min. An estimate serves both.', 'Sample for 5 min.']
    """
    told: set[str] = set()
    for words in several:
        sentences = _SENTENCE_END.split(words)
        yield " ".join(sentence for sentence in sentences if sentence not in told)
        told.update(sentences)


def _ids(subject: tuple[str, ...]) -> list[str]:
    """Return the ids of several subjects; none of one alone, or of the program."""
    return [one.rpartition(".")[2] for one in subject] if len(subject) > 1 else []


def _more(report: Report) -> Iterator[str]:
    left = len(report.questions) - _NEXT
    if left > 0:
        yield f"{left} more come after these. `progdoc check PATH --all` lists every finding."
    elif report.questions:
        yield "`progdoc check PATH --all` lists every finding."
    if report.withheld_questions:
        yield f"{len(report.withheld_questions)} more that name people stand in the restricted report."
