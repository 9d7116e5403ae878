"""What is handed out to be read, with a receipt: `templates/handouts`, with what the description already says.

Nothing comes back from a handout but the receipt, on paper: it is no form. None names a worker.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from progdoc.document.blocks.answers import is_draft
from progdoc.document.blocks.fit_test_words import Entry
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
from progdoc.rules.judged.result import Judged

__all__ = ["handout_documents"]

_Plan = dict[str, Any]  # a handout or a part of it, as its file says


def handout_documents(judged: Judged) -> dict[str, Document]:
    """Return the handouts that apply to this firm, or may, by name."""
    words = firm_words(judged).words
    plans = (plan for plan in form_plans("handouts") if any(judged.holds(n) or judged.asks(n) for n in plan["applies"]))
    return {plan["id"]: _document(judged, plan, words) for plan in plans}


def _document(judged: Judged, plan: _Plan, words: Entry) -> Document:
    program = judged.description
    open_places = dict.fromkeys(place for name in plan["applies"] for place in judged.asks(name))
    is_sure = any(map(judged.holds, plan["applies"]))
    return resolved(
        Document(
            id=f"handouts.{plan['id']}",
            title=plan["title"],
            organisation=judged.printed(program.organisation.name, "organisation.name"),
            revision=judged.printed(program.program.revision, "program.revision"),
            as_of=judged.as_of,
            draft=is_draft(judged),
            blocks=tuple(_blocks(plan, words, () if is_sure else tuple(open_places))),
            officer=judged.printed(program.officer.name, "officer.name"),
            open_texts=judged.open_texts,
            paper=program.program.paper.value,
            shows_citations=True,
            is_one_side=True,
        )
    )


def _blocks(plan: _Plan, words: Entry, asked: tuple[str, ...]) -> Iterator[Block]:
    keep = Emphasis((Text(f" {_said(plan['keep'], words)}"),))
    yield Paragraph("intro", (Text(_said(plan["intro"], words)), CitationMark(plan["citation"]), keep))
    if asked:
        places = ", ".join(f"“{place}”" for place in asked)
        told = f"Whether this is handed out here is not settled yet: nothing is said under {places}."
        yield Notice("open", "caution", (_paragraph("open.words", told),))
    for part in plan["parts"]:
        yield Section(part["id"], part["title"], tuple(_part(part, words)))


def _part(part: _Plan, words: Entry) -> Iterator[Block]:
    """Yield what is read, then what the firm says, then the line to sign."""
    identity = part["id"]
    for n, note in enumerate(part.get("notes", ()), 1):
        yield _paragraph(f"{identity}.note-{n}", _said(note, words))
    if "points" in part:
        said = ((f"{identity}.points.{n}", _said(text, words)) for n, text in enumerate(part["points"], 1))
        items = (ListItem(point, (_paragraph(f"{point}.words", text),)) for point, text in said)
        yield Listing(f"{identity}.points", True, tuple(items))
    if "facts" in part:
        told = ((fact["id"], fact["label"], _said(fact["value"], words)) for fact in part["facts"])
        rows = tuple(
            Row(f"{identity}.{name}", (Cell((Text(label),)), Cell((Text(value),))))
            for name, label, value in told
            if value
        )
        yield Table(f"{identity}.facts", "", (Column("", 4), Column("", 6)), rows, has_header=False)
    if "receipt" in part:
        cells = (Cell((FormField(f"{identity}.{one['id']}.field", one["title"]),)) for one in part["receipt"])
        columns = tuple(Column(one["title"], one["share"]) for one in part["receipt"])
        yield Table(f"{identity}.line", "", columns, (Row(f"{identity}.row", tuple(cells)),), is_whole=True)


def _paragraph(identity: str, text: str) -> Paragraph:
    return Paragraph(identity, (Text(text),))


def _said(text: str, words: Entry) -> str:
    """Return a text with the words of the firm in it; what they hold is never read as a name again."""
    return text.format_map(words).strip()
