"""The gap report: the verdict, the dangers, then what is to be answered, each with the findings that it settles.

On a web page the findings are folded away under their question; paper holds those that were opened.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import groupby

from progdoc.core.diagnostics import Diagnostic, Scope
from progdoc.core.numbers import long_date
from progdoc.core.paper_language import ENGLISH, Language
from progdoc.core.questions import Question, missing_answers
from progdoc.core.report import Report
from progdoc.core.report_order import grouped
from progdoc.core.report_summary import summary_parts
from progdoc.core.said import Said, capital, changed, said, said_in, said_join, same, unstopped
from progdoc.document.blocks.answers import gap_anchor, in_quotes
from progdoc.document.papers.written_program import TITLE
from progdoc.document.tree.cross_references import resolved
from progdoc.document.tree.nodes import (
    Block,
    Document,
    Formula,
    Inline,
    Link,
    Listing,
    ListItem,
    Notice,
    Paragraph,
    Reference,
    Section,
    Strong,
    Text,
)

__all__ = ["gap_document", "gap_documents"]

_MOST_IN_A_PART = 500  # findings


def gap_document(
    report: Report,
    organisation: str,
    draft: bool,
    paper: str = "Letter",
    language: Language = ENGLISH,
    first: tuple[Block, ...] = (),
    duties: Mapping[str, str] | None = None,
) -> Document:
    """Return the gap report of a public or a restricted report, in one; `first`: what is read before all of it.

    `duties`, by code: what a finding is called by in another language, as names of findings are English.
    """
    return _report(report, _Papers(report, organisation, draft, paper, language, first, duties or {}))


def gap_documents(
    report: Report,
    organisation: str,
    draft: bool,
    paper: str,
    language: Language = ENGLISH,
    first: tuple[Block, ...] = (),
    duties: Mapping[str, str] | None = None,
) -> Iterator[tuple[str, Document]]:
    """Yield the gap report by the name of its file: of very many findings, one that leads to parts with the others."""
    papers = _Papers(report, organisation, draft, paper, language, first, duties or {}, _MOST_IN_A_PART)
    yield "gaps", _report(report, papers)
    for number, (question, findings) in enumerate(papers.parts, 1):
        identity = f"asked.{gap_anchor(question.id, question.subject[:1])}"
        told = Section(identity, question.asks, _told(report, findings, papers))
        yield f"gaps/{number}", papers.of((told,), same(f" ({number}/{len(papers.parts)})"))


class _Papers:
    """What is the same on all papers of a report, and what is left by one for those behind it."""

    def __init__(
        self,
        report: Report,
        organisation: str,
        draft: bool,
        paper: str,
        language: Language,
        first: tuple[Block, ...],
        duties: Mapping[str, str],
        most: int | None = None,
    ) -> None:
        self._report, self._organisation, self._draft = report, organisation, draft
        self._paper, self._language, self._first = paper, language, first
        self.duties = duties
        self.most = most
        self.parts: list[tuple[Question, Sequence[Diagnostic]]] = []
        self._seen: dict[str, int] = {}

    def of(self, blocks: tuple[Block, ...], part: str = "") -> Document:
        report = self._report
        title = said("Gap report: %(program)s", program=_named(report.title))
        return resolved(
            Document(
                id="gaps",
                title=said_join((title, part), "") if part else title,
                organisation=self._organisation,
                revision=report.revision,
                as_of=report.on,
                draft=self._draft,
                language=self._language.tag,
                blocks=(*self._first, *blocks),
                paper=self._paper,
                shows_citations=True,
            )
        )

    def anchor(self, finding: Diagnostic) -> str:
        """Return the name of a finding by code and subject, as the open points of the program name it."""
        anchor = gap_anchor(finding.code, finding.subject)
        self._seen[anchor] = self._seen.get(anchor, 0) + 1
        return anchor if self._seen[anchor] == 1 else f"{anchor}.{self._seen[anchor]}"

    def left(self, question: Question, findings: Sequence[Diagnostic]) -> Iterator[Link]:
        """Leave findings to papers of their own; yield what leads there."""
        step = self.most or 1  # without a limit none are left
        for start in range(0, len(findings), step):
            self.parts.append((question, findings[start : start + step]))
            number = len(self.parts)
            yield Link(f"gaps/{number}.html", (Text(said("part %(number)s", number=number)),))


def _report(report: Report, papers: _Papers) -> Document:
    judged = Paragraph(
        "summary.judged",
        (
            Text(
                said(
                    "Judged on %(day)s by the rules %(rules)s. This report finds gaps; it certifies nothing. The law,"
                    " the maker's instructions and the authority having jurisdiction come first.",
                    day=long_date(report.on),
                    rules=same(f"{report.rules_pack} {report.rules_version}"),
                )
            ),
        ),
    )
    sections = (*_question_groups(report, papers), *_unasked(report, papers))
    return papers.of((_summary(report), judged, *_outline(sections), *_told_elsewhere(report), *sections))


def _named(title: str) -> str:
    """Return what the program is called: by a name of ours, which every language has, or by the firm's."""
    if not title:
        return said("respiratory protection program")
    return said(TITLE) if title == TITLE else title


def _summary(report: Report) -> Notice:
    """Return how things stand, in danger letters where nobody may start some work."""
    opening, parts = summary_parts(report)
    end = ":" if parts else "."
    blocks: list[Block] = [Paragraph("summary.line", (Strong((Text(said_join((opening, end), "")),)),))]
    if parts:
        blocks.append(_list("summary.parts", [(Text(said("%(part)s.", part=capital(part))),) for part in parts]))
    is_shut = any(one.is_for_all for one in report.barred)
    return Notice("summary", "danger" if is_shut else "note", tuple(blocks))


def _outline(sections: tuple[Section, ...]) -> Iterator[Block]:
    """Yield the headings to work through, each with how many questions or points it holds."""
    if len(sections) > 1:
        yield Paragraph("outline.words", (Text(said("To work through, in this order:")),))
        yield _list("outline", [(Reference(part.id), Text(said(": %(n)s", n=len(part.blocks)))) for part in sections])
    if sections:
        words = said(
            "Each answer settles the findings beneath it. On a web page these are folded away, and are "
            "printed where they are opened; the same report as text, gaps.md, holds all of them."
        )
        yield Paragraph("outline.folded", (Text(words),))


def _told_elsewhere(report: Report) -> Iterator[Block]:
    """Yield a word on what a public report leaves out."""
    withheld = report.withheld_questions
    if withheld:
        count, missing = len(withheld), missing_answers(withheld)
        words = said(
            "Questions about people, in the restricted report: %(count)s; answers missing to them: %(missing)s.",
            count=count,
            missing=missing,
        )
        yield Paragraph("withheld", (Text(words),))


def _list(identity: str, lines: list[tuple[Inline, ...]]) -> Listing:
    items = (
        ListItem(f"{identity}.{n}", (Paragraph(f"{identity}.{n}.words", words),)) for n, words in enumerate(lines, 1)
    )
    return Listing(identity, False, tuple(items))


# ---- questions ------------------------------------------------------------------------------------------


def _question_groups(report: Report, papers: _Papers) -> Iterator[Section]:
    """Yield the questions under what they are about, in the order in which they are asked."""
    groups: dict[str, list[Question]] = {}
    for question in report.questions:
        groups.setdefault(_heading(question), []).append(question)
    for heading in _HEADINGS:
        if heading in groups:
            yield Section(
                heading.replace(" ", "-").lower(),
                heading,
                tuple(_question(report, question, papers) for question in groups[heading]),
            )


_DANGERS, _ANSWERS = said("Dangers"), said("Answers for the program")
_RECORDS, _CAUTIONS = said("Records of people and devices"), said("Cautions and advice")
_HEADINGS = (_DANGERS, _ANSWERS, _RECORDS, _CAUTIONS)


def _heading(question: Question) -> str:
    if question.is_danger:
        return _DANGERS
    if not question.is_missing:
        return _CAUTIONS
    return _ANSWERS if Scope.PROGRAM in question.scopes else _RECORDS


def _question(report: Report, question: Question, papers: _Papers) -> Section:
    identity = f"asked.{gap_anchor(question.id, question.subject[:1])}"
    return Section(
        identity,
        question.asks,
        (*_said_of(question, identity, papers.most), _settled(report, question, identity, papers)),
    )


def _said_of(question: Question, identity: str, most: int | None) -> Iterator[Block]:
    cites = same("; ".join(question.cites))
    yield Paragraph(f"{identity}.why", (Text(in_quotes(said_join(filter(None, (question.why, cites))))),))
    told = question.told_in_full[:most]
    found = dict.fromkeys(_sentence(finding.what) for finding in told)
    if found:
        yield _list(f"{identity}.found", [(Text(words),) for words in found])
    to_do = question.to_do(told)
    if to_do:
        yield _list(
            f"{identity}.do", [(Strong((Text(said("What to do: ")),)), Text(in_quotes(words))) for words in to_do]
        )
    if len(question.names) > 1:
        yield Paragraph(f"{identity}.names", (Strong((Text(said("About: ")),)), Text(said_join(question.names, ", "))))
    yield Paragraph(f"{identity}.place", (Strong((Text(said("Where: ")),)), Text(same(str(question.where)))))
    typed = question.lines_beside(told)
    if typed:
        yield Formula(f"{identity}.type", "\n".join(typed))
    if question.adopts:
        group = question.adopted_at.rpartition(".")[0]
        words = said(
            "If you do exactly what %(adopts)s asks, adopt: “%(adopts)s” under %(group)s says so in one "
            "line; what it leaves to be said is asked then.",
            adopts=same(question.adopts),
            group=same(group),
        )
        yield Paragraph(f"{identity}.adopt", (Text(words),))


def _settled(report: Report, question: Question, identity: str, papers: _Papers) -> Section:
    findings = sorted(question.findings, key=_kind)
    title = said(
        "Findings that this settles (%(n)s): %(settles)s", n=len(findings), settles=same(", ".join(question.settles))
    )
    here = findings if papers.most is None else findings[: papers.most]
    links = list(papers.left(question, findings[len(here) :]))
    told = _told(report, here, papers)
    if links:
        rest: list[Inline] = [Text(said("%(n)s more stand in: ", n=len(findings) - len(here)))]
        for number, link in enumerate(links):
            rest += [Text(same(", ")), link] if number else [link]
        told = (*told, Paragraph(f"{identity}.elsewhere", tuple(rest)))
    return Section(f"{identity}.settled", title, told, is_folded=True)


def _told(report: Report, findings: Iterable[Diagnostic], papers: _Papers) -> tuple[Block, ...]:
    return tuple(_alike(report, list(alike), papers) for _, alike in groupby(findings, _kind))


def _unasked(report: Report, papers: _Papers) -> Iterator[Section]:
    """Yield what no question is about: faults of form, and what somebody accepted."""
    asked = {finding for question in report.questions for finding in question.findings}
    for number, (heading, findings) in enumerate(grouped(report), 1):
        rest = [finding for finding in findings if finding not in asked]
        if rest:
            yield Section(f"group-{number}", heading, _told(report, rest, papers))


# ---- findings -------------------------------------------------------------------------------------------


def _kind(finding: Diagnostic) -> tuple[str, ...]:
    """Findings with one code, reason and cure are told together."""
    return (finding.code, finding.why, finding.fix, finding.citation)


def _alike(report: Report, findings: list[Diagnostic], papers: _Papers) -> Section:
    first = findings[0]
    title = Said(f"{first.code} {first.name.replace('-', ' ')}", _titled, first.code, papers.duties.get(first.code, ""))
    if len(findings) == 1:
        identity = papers.anchor(first)
        return Section(identity, title, (*_what(first, identity), *_cure(first, identity), *_where(first, identity)))
    inner = []
    for finding in findings:
        identity = papers.anchor(finding)
        subject = said_join((report.names.get(part, part.partition(".")[2]) for part in finding.subject), ", ")
        blocks = (*_what(finding, identity), *_where(finding, identity))
        inner.append(Section(identity, subject or str(finding.location), blocks))
    return Section(f"all.{inner[0].id}", title, (*_cure(first, f"all.{inner[0].id}"), *inner))


def _titled(language: Language, code: str, duty: str) -> str:
    return f"{code} {said_in(language, unstopped(duty))}" if duty else code


def _what(finding: Diagnostic, identity: str) -> Iterator[Block]:
    yield Paragraph(f"{identity}.what", (Text(_sentence(finding.what)),))


def _sentence(what: str) -> str:
    return in_quotes(said("%(what)s.", what=capital(unstopped(what))))


def _first_line(fix: str) -> str:
    return fix.partition("\n")[0]


def _cure(finding: Diagnostic, identity: str) -> Iterator[Block]:
    _, _, example = finding.fix.partition("\n")
    fix = changed(finding.fix, _first_line)
    yield Paragraph(f"{identity}.fix", (Strong((Text(said("What to do: ")),)), Text(in_quotes(fix))))
    if example:
        yield Formula(f"{identity}.example", example)
    yield Paragraph(
        f"{identity}.why",
        (
            Strong((Text(said("Why: ")),)),
            Text(in_quotes(said_join(filter(None, (finding.why, same(finding.citation)))))),
        ),
    )


def _where(finding: Diagnostic, identity: str) -> Iterator[Block]:
    where = same(f"{finding.location}" + (f", {finding.location.path}" if finding.location.path else ""))
    yield Paragraph(f"{identity}.where", (Strong((Text(said("Where: ")),)), Text(where)))
    if finding.accepted:
        yield Paragraph(f"{identity}.accepted", (Text(capital(finding.accepted)),))
