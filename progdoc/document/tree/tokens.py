"""User text on its way through a template: as a token, so that no format's signs in it can mean anything.

A value interpolated into Markdown could become a link, a heading or cut a table cell. So templates see
tokens; the text takes its place only after the Markdown has been parsed, and brings along the path it
came from.
"""

from __future__ import annotations

import re
from collections.abc import Container, Iterator, Mapping
from dataclasses import replace
from datetime import date
from enum import StrEnum
from typing import Any

from pydantic import BaseModel

from progdoc.core.numbers import stated_text
from progdoc.core.paper_language import EDGE, ENGLISH, Language
from progdoc.core.said import Said, said_in
from progdoc.document.tree.nodes import NOT_SETTLED, Text
from progdoc.document.tree.spoken_text import plain, spoken
from progdoc.model.description.quantities import Quantity

__all__ = ["MARKERS", "Tokens", "choice_words"]

# Private-use characters: no keyboard types them, and the reader refuses none of them by accident, since a
# user's text is never looked at for tokens.
_OPEN, _CLOSE = "\ue000", "\ue001"
MARKERS = {"begin": "\ue002", "end": "\ue003", "block": "\ue004", "cite": "\ue005", "ref": "\ue006", "stop": "\ue007"}
_TOKEN = re.compile(f"{_OPEN}(\\d+){_CLOSE}")

_COMPOUNDS = ("gas-proof",)  # keep their hyphen where the blanks of a choice's name are written as hyphens

# Words that are written small in the middle of a sentence, whatever follows; no name begins with one.
_SMALL = re.compile(
    "(a|after|all|an|any|as|at|before|between|both|by|each|every|for|from|if|in|no|nobody|not|on|once|only|or|over"
    "|the|their|to|under|until|when|where|who|whoever|with|within|without)\\b",
    re.IGNORECASE,
)


class Tokens:
    """The user texts of one document, each behind a token."""

    def __init__(self, open_texts: Container[str] = (), language: Language = ENGLISH) -> None:
        self._texts: list[Text] = []
        self._language = language  # of the document: in another than the user's each text is marked
        self._open = open_texts  # the places whose text only holds the place of an answer

    def hide(self, text: str, path: str, language: str | None = None) -> str:
        """Return a token that stands for a text; one that answers nothing is not repeated.

        Its language is that of the user's words; "" where it is said in the document's.
        """
        own, ours = self._language.original, self._language.tag if self._language.original else ""
        if path in self._open:
            text, language = self._language.say(NOT_SETTLED), ""
        elif isinstance(text, Said):
            text, language = said_in(self._language, text), ""
            text = text if path else plain(text)  # what has no place is nobody's own words
        marked_as = own if language is None else language or ours
        self._texts.append(Text(" ".join(text.split()), path, marked_as))
        return f"{_OPEN}{len(self._texts) - 1}{_CLOSE}"

    def phrase(self, token: str) -> str:
        """Return a token for the same text as it stands in mid-sentence: "In paid hours." as "in paid hours"."""
        found = self._texts[int(token[1:-1])]
        text = found.text.rstrip(".")
        if _SMALL.match(text):
            text = text[0].lower() + text[1:]
        return self.hide(text, found.path, found.language)

    def span(self, low: str, high: str) -> str:
        """Return two tokens as a span, or one of them where both say the same: "from 20 % to 22 %", "20.9 %"."""
        first, last = (self._texts[int(token[1:-1])].text for token in (low, high))
        return low if first == last else self._language.say("from %(low)s to %(high)s", low=low, high=high)

    def reveal(self, words: str, language: str = "") -> Iterator[Text]:
        """Return the words, which are in a language, with every token replaced by what it stands for.

        The template's full stop is left out behind a text that brings its own.
        """
        place = 0
        for match in _TOKEN.finditer(words):
            if match.start() > place:
                yield from self._of_template(words[place : match.start()], language)
            found = self._texts[int(match[1])]
            yield from spoken(self._language, found.text, found.path) if EDGE in found.text else (found,)
            place = match.end()
            if words.startswith(".", place) and found.text.endswith((".", "!", "?")):
                place += 1
        if place < len(words):
            yield from self._of_template(words[place:], language)

    def _of_template(self, words: str, language: str) -> Iterator[Text]:
        return (replace(text, language=text.language or language) for text in spoken(self._language, words))

    def shown(self, value: Any, path: str) -> Any:
        """Return a part of the model as plain data for a template: user text hidden, the rest as words.

        A choice from a closed list stays as the model spells it, to be compared with; it becomes words in print.
        """
        if value is None or isinstance(value, bool | StrEnum):
            return value
        if isinstance(value, str):
            return self.hide(value, path)
        if isinstance(value, Quantity):
            return self.hide(value.printed, path)
        if isinstance(value, date):
            return self.hide(self._language.date(value), path, "")
        if isinstance(value, int | float):
            return self.hide(stated_text(value), path, "")
        if isinstance(value, tuple | list):
            return [self.shown(item, f"{path}[{i}]") for i, item in enumerate(value)]
        if isinstance(value, BaseModel):
            return {
                name: self.shown(getattr(value, name), f"{path}.{name}" if path else name)
                for name in type(value).model_fields
            }
        if isinstance(value, Mapping):
            return {key: self.shown(item, f"{path}.{key}" if path else key) for key, item in value.items()}
        raise TypeError(f"{path}: {type(value).__name__} has no form for a template")


def choice_words(choice: StrEnum) -> str:
    """Return a choice the way it is printed: clean-shaven as "clean shaven"."""
    words = choice.value.replace("-", " ")
    for compound in _COMPOUNDS:
        words = words.replace(compound.replace("-", " "), compound)
    return words
