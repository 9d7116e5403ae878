"""A fixed sentence with the firm's own words in it: in another language than theirs, these are marked."""

from __future__ import annotations

from progdoc.core.languages import Language
from progdoc.document.tree.nodes import Text

__all__ = ["own_text", "told"]

_EDGE = "\ue010"  # as the marks of `tokens`: no keyboard types it


def own_text(language: Language, words: str, path: str = "") -> Text:
    """Return words that are printed as somebody wrote them."""
    return Text(words, path, language.original)


def told(language: Language, message: str, path: str = "", **own: str) -> tuple[Text, ...]:
    """Return a sentence in a language; each of `own` stands where it names it.

    >>> from progdoc.core.languages import ENGLISH
    >>> told(ENGLISH, "Mask card: %(who)s", who="Jo Marsh")
    (Text(text='Mask card: Jo Marsh', path='', language=''),)
    """
    if not language.original:
        return (Text(language.say(message, **own), path),)
    parts = language.say(message, **{name: f"{_EDGE}{words}{_EDGE}" for name, words in own.items()}).split(_EDGE)
    return tuple(own_text(language, part, path) if n % 2 else Text(part, path) for n, part in enumerate(parts) if part)
