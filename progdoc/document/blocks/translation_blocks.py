"""What a paper in another language than English says of its translation, and in which languages a firm has papers."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from progdoc.core.paper_language import ENGLISH, Language, language_of, marked
from progdoc.document.tree.nodes import Block, Notice, Paragraph, Strong, Text
from progdoc.document.tree.spoken_text import spoken
from progdoc.model.description.program import ReadTranslation
from progdoc.rules.judged.result import Judged

__all__ = ["READ_FIRST", "in_each", "more_languages", "read_first"]

# Of every translated paper, until the firm says who read it.
READ_FIRST = marked(
    "This paper was translated. A safety person who is fluent in this language should read it before it is used."
)


def more_languages(judged: Judged) -> tuple[Language, ...]:
    """Return the languages in which there are papers beside English."""
    return tuple(language_of(code) for code in judged.index.paper_languages if code != ENGLISH.code)


def in_each(message: str, judged: Judged) -> str:
    """Return a short text once in each language of the firm: for what everybody holds in hand, a tab or a label."""
    languages = (ENGLISH, *more_languages(judged))
    return " · ".join(dict.fromkeys(language.say(message) for language in languages))


def read_first(
    judged: Judged, language: Language, is_framed: bool = True, base: str = "translation"
) -> tuple[Block, ...]:
    """Return who read the translation and when; that somebody fluent has to, where nobody is said to have.

    Without its frame it is a line at the end of a page that has one side alone.
    """
    if not language.original:
        return ()
    read = [one for one in _readings(judged) if one.language == language.code]
    if read:
        last = max(read, key=lambda one: one.date)
        by, day = language.own(last.by), language.date(last.date)
        words = language.say("Translation read by %(who)s on %(day)s.", who=by, day=day)
        return (Paragraph(base, spoken(language, words, "program.translations_read")),)
    asks = language.say(READ_FIRST)
    if not is_framed:
        return (Paragraph(f"{base}.asks", (Strong((Text(asks),)),)),)
    return (Notice(base, "caution", (Paragraph(f"{base}.asks", (Text(asks),)),)),)


def _readings(judged: Judged) -> Iterator[ReadTranslation]:
    """Yield who read a translation: somebody, on a day that has come, after the revision before this one stood."""
    program = judged.description.program
    days = sorted(entry.date for entry in program.history)
    since = days[-2] if len(days) > 1 else date.min
    for i, one in enumerate(program.translations_read):
        is_somebody = f"program.translations_read[{i}].by" not in judged.open_texts
        if is_somebody and since <= one.date <= judged.as_of:
            yield one
