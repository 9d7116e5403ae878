"""Words that the writers add to a document, said the same way in every format."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from progdoc.core.paper_language import Language, language_of, marked
from progdoc.document.tree.labels import NOTICE_LABELS, OPEN_POINT_LABEL, SIGNATURE_TITLES
from progdoc.document.tree.nodes import (
    CitationMark,
    Document,
    Emphasis,
    Inline,
    Link,
    Listing,
    ListItem,
    Notice,
    Paragraph,
    Strong,
    Text,
)

__all__ = [
    "DRAFT_NOTE",
    "NOTICE_LABELS",
    "OPEN_POINT_LABEL",
    "PAGE_AFTER",
    "PAGE_BEFORE",
    "SIGNATURE_TITLES",
    "alert_notices",
    "control_lines",
    "draft_word",
    "foot_line",
    "front_titles",
    "history_titles",
    "identity",
    "judged_as_of",
    "key_titles",
    "leads_on",
    "page_words",
    "revision_words",
    "ticked",
]

DRAFT_NOTE = marked("Not for issue: required points are still open.")

PAGE_BEFORE, PAGE_AFTER = " (", ")"  # around the page that a reference leads to


def control_lines(document: Document) -> tuple[tuple[str, str], ...]:
    """Return what the title block says below the title, name and value, the empty ones left out."""
    judged = _in_each(language.date(document.as_of) for language in _languages(document))
    told = (
        (_framed(document, marked("Revision")), document.revision),
        (_framed(document, marked("In effect from")), document.effective),
        (_framed(document, marked("Respiratory protection officer")), document.officer),
        (_framed(document, _judged(document)), judged),
    )
    draft = f"{_framed(document, marked('DRAFT'))}. {_framed(document, DRAFT_NOTE)}" if document.draft else ""
    status = (_framed(document, marked("Status")), draft)
    lines = (status,) if document.is_one_side else (*told, status)
    return tuple((name, value) for name, value in lines if value)


def alert_notices(document: Document) -> tuple[Notice, ...]:
    """Return what stands under the title before anything else: a danger notice, or nothing."""
    if not document.alerts:
        return ()
    first, *rest = document.alerts
    items = tuple(
        ListItem(f"page--alert-{n}", (Paragraph(f"page--alert-{n}-words", (Text(words),)),))
        for n, words in enumerate(rest, start=1)
    )
    listed = (Listing("page--alert-list", False, items),) if items else ()
    label = _framed(document, NOTICE_LABELS["danger"])
    return (Notice("page--alerts", "danger", (Paragraph("page--alert", (Text(first),)), *listed), label),)


def leads_on(paragraph: Paragraph) -> bool:
    """Return whether a line ends in a colon, so that it stays on the page of what comes next.

    >>> leads_on(Paragraph("p", (Text("Leave the area:"), CitationMark("(g)(2)(ii)"))))
    True
    """
    last: Inline | None = next(
        (child for child in reversed(paragraph.children) if not isinstance(child, CitationMark)), None
    )
    while isinstance(last, Strong | Emphasis | Link):
        last = last.children[-1] if last.children else None
    return isinstance(last, Text) and last.text.rstrip().endswith(":")


def judged_as_of(document: Document) -> str:
    """Return as of which day a paper was judged, or to which it looks ahead, for a line of its foot."""
    language = language_of(document.language)
    said = language.say(_judged(document))
    return f"{said[0].lower()}{said[1:]} {language.date(document.as_of)}"


def _judged(document: Document) -> str:
    return marked("Looking ahead to") if document.is_ahead else marked("Judged as of")


def identity(document: Document) -> str:
    """Return one line that says which paper this is, for a footer.

    >>> from datetime import date
    >>> identity(Document("p", "Program", "Lime & Sash", "3", date(2026, 11, 24), False, ()))
    'Lime & Sash · Program · Revision 3 · judged as of 24 November 2026'
    """
    judged = judged_as_of(document)
    return " · ".join(
        part for part in (document.organisation, document.title, revision_words(document), judged) if part
    )


def revision_words(document: Document) -> str:
    """Return "Revision 3", or nothing where the document has none."""
    return f"{language_of(document.language).say('Revision')} {document.revision}" if document.revision else ""


def foot_line(document: Document) -> str:
    """Return the left half of the foot: which revision, in effect from when, judged as of which day."""
    say = language_of(document.language).say
    effective = say("in effect from %(day)s", day=document.effective) if document.effective else ""
    text = " · ".join(part for part in (revision_words(document), effective, judged_as_of(document)) if part)
    return text[:1].upper() + text[1:]


def draft_word(document: Document) -> str:
    """Return what stands on every page of a draft."""
    return language_of(document.language).say("DRAFT")


def front_titles(document: Document) -> tuple[str, str]:
    """Return the headings of the revision history and of the contents."""
    return _framed(document, marked("Revision history")), _framed(document, marked("Contents"))


def history_titles(document: Document) -> tuple[str, str, str, str]:
    """Return the titles of the columns of the revision history."""
    say = language_of(document.language).say
    return say("Revision"), say("Date"), say("By"), say("What changed")


def page_words(document: Document) -> tuple[str, str]:
    """Return what stands before the number of a page, and between it and how many there are."""
    say = language_of(document.language).say
    return say("Page"), say("of")


def key_titles(document: Document) -> tuple[str, str]:
    """Return what a reader who hears a table is told that its columns are, where it shows no titles."""
    say = language_of(document.language).say
    return say("Item"), say("What it says")


def _framed(document: Document, message: str) -> str:
    """Return a word of the frame: of a cover that everybody shares, in each language."""
    return _in_each(language.say(message) for language in _languages(document))


def _languages(document: Document) -> Iterator[Language]:
    return map(language_of, (document.language, *document.framed_in))


def _in_each(words: Iterable[str]) -> str:
    return " · ".join(dict.fromkeys(words))


def ticked(is_ticked: bool) -> str:
    """Return a box to tick, or a ticked one."""
    return "☒" if is_ticked else "☐"
