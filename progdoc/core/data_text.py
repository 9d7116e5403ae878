"""Texts that stand in data of ours (the law's catalogue, the questions, the model's fields), said in another language.

Such a text is a `Said`, so `said_in(language, text)` is the one way to say it. Its translation stands beside its file,
in a gettext catalogue with the language in its name: `f_fit_testing.es.po` beside `f_fit_testing.yaml`. English needs
none of it, and nothing is read before a language is asked for.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import TYPE_CHECKING

from progdoc.core.said import Said, said_values

if TYPE_CHECKING:
    from progdoc.core.paper_language import Language

__all__ = ["FIGURE", "data_text", "filled", "with_figures"]

FIGURE = re.compile(r"\{([a-z0-9]+(?:-[a-z0-9]+)+)\}")  # a figure of the law in a text: "{fit-test-interval}"
_TYPED = re.compile(r"`(\{[a-z0-9-]+\})`")
_TYPED_NAME = re.compile(r"`\{([a-z0-9_]+)\}`")


def data_text(message: str, own: Mapping[str, Mapping[str, str]] | None = None) -> str:
    """Return a text of our data; `own`: by language what a local pack of rules brings as its translation.

    >>> data_text("A test can.")
    'A test can.'
    """
    if isinstance(message, Said) or not message:
        return message
    brought = {code: texts[message] for code, texts in own.items() if message in texts} if own else {}
    return Said(message, _text, message, brought)


def with_figures(text: str, printed: Mapping[str, str]) -> str:
    """Return a text with the figures of the law that it names, by their ids; in a language a unit is said in words.

    A figure between backticks is to be typed as it stands, so it is in no language.

    >>> with_figures(data_text("Again within {fit-test-interval}."), {"fit-test-interval": "12 months"})
    'Again within 12 months.'
    """
    if not FIGURE.search(text):
        return text
    english = FIGURE.sub(lambda name: printed[name[1]], text)
    return Said(english, _with_figures, text, dict(printed)) if isinstance(text, Said) else english


def filled(text: str, words: Mapping[str, object]) -> str:
    """Return a text with what it names as `{name}` filled in; its translation is filled in the same way.

    What is filled in between backticks is to be typed as it stands, so it is in no language.

    >>> filled(data_text("{subject}: no fit test is on record."), {"subject": "Jo Marsh"})
    'Jo Marsh: no fit test is on record.'
    """
    if "{" not in text and "}" not in text:
        return text  # the same sentence is said of everybody
    english = text.format_map(words)
    return Said(english, _filled, text, words) if isinstance(text, Said) else english


# ---- how each is said again -------------------------------------------------------------------------


def _text(language: Language, message: str, brought: Mapping[str, str]) -> str:
    return brought.get(language.code) or language.data_words(message)


def _with_figures(language: Language, text: Said, printed: Mapping[str, str]) -> str:
    said = text.said_or_fail(language)
    typed = {found.start(1) for found in _TYPED.finditer(said)}
    return FIGURE.sub(
        lambda name: printed[name[1]] if name.start() in typed else language.measure(printed[name[1]]), said
    )


def _filled(language: Language, text: Said, words: Mapping[str, object]) -> str:
    said = text.said_or_fail(language)
    typed = {name: str(words[name]) for name in _TYPED_NAME.findall(said) if name in words}
    return _TYPED_NAME.sub(r"`{_typed[\1]}`", said).format_map({**said_values(language, words), "_typed": typed})
