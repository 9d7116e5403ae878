"""What is handed out to be read, with a receipt: `templates/handouts`, with what the description already says.

Nothing comes back from a handout but the receipt, on paper: it is no form. None names a worker.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from progdoc.core.paper_language import ENGLISH, Language
from progdoc.document.blocks.answers import is_draft
from progdoc.document.blocks.fit_test_words import Entry
from progdoc.document.blocks.translation_blocks import read_first
from progdoc.document.papers.form_words import firm_words
from progdoc.document.templating.templates import form_plans
from progdoc.document.tree.cross_references import resolved
from progdoc.document.tree.nodes import (
    Block,
    Cell,
    CitationMark,
    Column,
    Document,
    Emphasis,
    FormField,
    Listing,
    ListItem,
    Notice,
    Paragraph,
    Row,
    Section,
    Table,
    Text,
)
from progdoc.document.tree.spoken_text import plain, spoken
from progdoc.rules.judged.result import Judged

__all__ = ["handout_documents"]

_Plan = dict[str, Any]  # a handout or a part of it, as its file says


def handout_documents(judged: Judged, language: Language = ENGLISH) -> dict[str, Document]:
    """Return the handouts that apply to this firm, or may, by name; in another language behind its code: "es/…"."""
    words = firm_words(judged, language).words
    folder = f"{language.code}/" if language.original else ""
    plans = (plan for plan in form_plans("handouts") if any(judged.holds(n) or judged.asks(n) for n in plan["applies"]))
    return {f"{folder}{plan['id']}": _document(judged, plan, words, language) for plan in plans}


def _document(judged: Judged, plan: _Plan, words: Entry, language: Language) -> Document:
    program = judged.description
    open_places = dict.fromkeys(place for name in plan["applies"] for place in judged.asks(name))
    is_sure = any(map(judged.holds, plan["applies"]))
    return resolved(
        Document(
            id=f"handouts.{f'{language.code}.' if language.original else ''}{plan['id']}",
            title=plain(language.say(plan["title"])),
            organisation=judged.printed(program.organisation.name, "organisation.name"),
            revision=judged.printed(program.program.revision, "program.revision"),
            as_of=judged.as_of,
            draft=is_draft(judged),
            blocks=(
                *_blocks(plan, words, () if is_sure else tuple(open_places), language),
                *read_first(judged, language, is_framed=False),
            ),
            officer=judged.printed(program.officer.name, "officer.name"),
            open_texts=judged.open_texts,
            paper=program.program.paper.value,
            shows_citations=True,
            is_one_side=True,
            language=language.tag,
        )
    )


def _blocks(plan: _Plan, words: Entry, asked: tuple[str, ...], language: Language) -> Iterator[Block]:
    keep = Emphasis(spoken(language, f" {_said(plan['keep'], words, language)}"))
    intro = spoken(language, _said(plan["intro"], words, language))
    yield Paragraph("intro", (*intro, CitationMark(plan["citation"]), keep))
    if asked:
        told = language.say(
            "Whether this is handed out here is not settled yet: nothing is said under %(places)s.",
            places=", ".join(f"“{place}”" for place in asked),
        )
        yield Notice("open", "caution", (Paragraph("open.words", spoken(language, told)),))
    for part in plan["parts"]:
        yield Section(part["id"], plain(language.say(part["title"])), tuple(_part(part, words, language)))


def _part(part: _Plan, words: Entry, language: Language) -> Iterator[Block]:
    """Yield what is read, then what the firm says, then the line to sign."""
    identity = part["id"]
    for n, note in enumerate(part.get("notes", ()), 1):
        yield Paragraph(f"{identity}.note-{n}", spoken(language, _said(note, words, language)))
    if "points" in part:
        said = ((f"{identity}.points.{n}", _said(text, words, language)) for n, text in enumerate(part["points"], 1))
        items = (ListItem(point, (Paragraph(f"{point}.words", spoken(language, text)),)) for point, text in said)
        yield Listing(f"{identity}.points", True, tuple(items))
    if "facts" in part:
        told = ((one["id"], one["label"], _said(one["value"], words, language)) for one in part["facts"])
        rows = tuple(
            Row(f"{identity}.{name}", (Cell((Text(language.say(label)),)), Cell(spoken(language, value))))
            for name, label, value in told
            if value
        )
        yield Table(f"{identity}.facts", "", (Column("", 4), Column("", 6)), rows, has_header=False)
    if "receipt" in part:
        titles = [(one["id"], language.say(one["title"]), one["share"]) for one in part["receipt"]]
        cells = (Cell((FormField(f"{identity}.{name}.field", title),)) for name, title, _ in titles)
        columns = tuple(Column(title, share) for _, title, share in titles)
        yield Table(f"{identity}.line", "", columns, (Row(f"{identity}.row", tuple(cells)),), is_whole=True)


def _said(text: str, words: Entry, language: Language) -> str:
    """Return a text with the words of the firm in it; what they hold is never read as a name again."""
    return language.say(text).format_map(words).strip()
