"""Sentences that are English and can be said again in another language.

A rule writes `said("%(mask)s is worn by %(who)s", mask=…, who=…)`. What it gets is the English sentence, a `str` as any
other; beside it lie the message and what fills it in, and a paper in another language says them anew
(`said_in(language, words)`). What fills a sentence in may be such a sentence itself, a number, a date, a list, a choice
of a closed list. A plain text among it is a name or the firm's own words: it stays as it was written.

Joining by `+`, an f-string, `str.join` or any method of `str` gives a plain text, which can't be said again: the
functions below join, list and count instead.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping
from datetime import date
from enum import StrEnum
from functools import lru_cache
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from progdoc.core.paper_language import Language

__all__ = [
    "TEXTS",
    "Said",
    "as_own",
    "capital",
    "changed",
    "first_line",
    "last_joined",
    "said",
    "said_agent",
    "said_apart",
    "said_as",
    "said_choice",
    "said_date",
    "said_in",
    "said_join",
    "said_measure",
    "said_number",
    "said_plural",
    "said_series",
    "said_typed",
    "said_values",
    "same",
    "unstopped",
    "with_lines",
]


class Said(str):
    """An English text that knows how it is said in another language: by a function of the language and `of`.

    The function is one of a module, so that the text survives being pickled and copied.
    """

    __slots__ = ("_of", "_say")
    _say: Callable[..., str]
    _of: tuple[Any, ...]

    def __new__(cls, english: str, say: Callable[..., str], *of: Any) -> Said:
        self = str.__new__(cls, english)
        self._say = say
        self._of = of
        return self

    def __reduce__(self) -> tuple[Any, ...]:
        return Said, (str(self), self._say, *self._of)

    def in_language(self, language: Language) -> str:
        """Return the text in a language, held apart in English where the language has no words for it."""
        try:
            return self.said_or_fail(language)
        except LookupError:
            return language.own(str(self))

    def said_or_fail(self, language: Language) -> str:
        """Return the text in a language; LookupError where the language has no words for it."""
        return self._say(language, *self._of)


_SAME = re.compile(r"[A-Z]{3}-\d{3}|\d+ CFR [\d.]+(?:\([a-zA-Z0-9]{1,4}\))*")  # a code, a paragraph
TEXTS = (str, Said)  # the types of free words; a choice of a closed list is a text of neither


def said_in(language: Language, words: str) -> str:
    """Return words in a language: what can be said again is; names and the firm's words stay, held apart.

    >>> from progdoc.core.paper_language import ENGLISH
    >>> said_in(ENGLISH, said("%(who)s wears it", who="Jo Marsh"))
    'Jo Marsh wears it'
    """
    if not language.original:
        return words
    return words.in_language(language) if isinstance(words, Said) else language.own(words)


# ---- how to say something that can be said again ----------------------------------------------------


def said(message: str, /, **values: object) -> str:
    """Return a sentence; what it names as `%(name)s` is filled in. A per cent sign is written `%%` where it names any.

    >>> said("%(mask)s: %(n)s pieces", mask="the hood", n=2)
    'the hood: 2 pieces'
    """
    return Said(message % values, _sentence, message, values) if values else _fixed(message)


@lru_cache(maxsize=4096)  # the same sentence is said of everybody
def _fixed(message: str) -> Said:
    return Said(message, _sentence, message, {})


def said_plural(one: str, more: str, number: float, /, **values: object) -> str:
    """Return the sentence for a number of things, which stands in it as `%(n)s`.

    >>> said_plural("%(n)s mask", "%(n)s masks", 1), said_plural("%(n)s mask", "%(n)s masks", 2)
    ('1 mask', '2 masks')
    """
    values.setdefault("n", number)
    return Said((one if number == 1 else more) % values, _counted, one, more, number, values)


def said_apart(paper: str, message: str, /, **values: object) -> str:
    """Return a sentence or word that means another thing here than elsewhere; `paper` is the context of the message.

    >>> said_apart("of a mask", "half")
    'half'
    """
    return Said(message % values if values else message, _apart, paper, message, values)


def said_agent(name: str) -> str:
    """Return an agent as somebody wrote it; where a language knows it, its name there stands before it.

    >>> said_agent("lead")
    'lead'
    """
    return name if isinstance(name, Said) else Said(name, _agent, name)


def said_as(english: str, message: str) -> str:
    """Return an English text that is said elsewhere by another one: `clean-shaven` as "clean shaven" is."""
    return Said(english, _sentence, message, {})


def said_series(parts: Iterable[str], last: str = "and") -> str:
    """Return a list in words; `last`: "and" or "or".

    >>> said_series(["goggles", "gloves", "a hood"])
    'goggles, gloves and a hood'
    """
    parts = tuple(parts)
    if len(parts) < 2:
        return parts[0] if parts else ""
    return Said(f"{', '.join(parts[:-1])} {last} {parts[-1]}", _series, parts, last)


def said_join(parts: Iterable[str], between: str = " ") -> str:
    """Return texts one after another; what stands between them is a mark that every language has, or said itself.

    >>> said_join([said("not cleaned"), said("not sealed")], "; ")
    'not cleaned; not sealed'
    """
    parts = tuple(parts)
    if len(parts) < 2:
        return parts[0] if parts else ""
    return Said(between.join(parts), _joined, parts, between)


def last_joined(words: str) -> str:
    """Return the last of the texts that `said_join` put together; what is one text, as it is.

    >>> last_joined(said_join([said("not cleaned"), said("not sealed")], "; "))
    'not sealed'
    """
    if isinstance(words, Said) and words._say is _joined:
        parts: tuple[str, ...] = words._of[0]
        return last_joined(parts[-1])
    return words


def said_choice(choice: StrEnum) -> str:
    """Return a choice of a closed list in words: `clean-shaven` as "clean shaven"."""
    return said(choice.value.replace("-", " "))


def said_date(english: str, day: date) -> str:
    """Return a day, as `long_date` of `progdoc/core/numbers.py` writes it."""
    return Said(english, _dated, day)


def said_number(english: str) -> str:
    """Return a number, as `number_text` of `progdoc/core/numbers.py` writes it."""
    return Said(english, _number, english)


def said_measure(figure: str) -> str:
    """Return a number with its unit: a word for the unit is said in the language, a symbol is the same in every one.

    >>> said_measure("12 months")
    '12 months'
    """
    return Said(figure, _measured, figure)


def said_typed(typed: str, means: str) -> str:
    """Return what is to be typed, which is the same in every language; in another one it is told what it means.

    >>> said_typed("half-mask", said("half mask"))
    'half-mask'
    """
    return Said(typed, _typed, typed, means)


def same(text: str) -> str:
    """Return a text that is the same in every language: a paragraph, a formula, the place of a field.

    >>> same("29 CFR 1910.134(d)")
    '29 CFR 1910.134(d)'
    """
    return text if isinstance(text, Said) else _same_text(text)


@lru_cache(maxsize=512, typed=True)  # what is not the place of a single thing is named again and again
def _same_text(text: str) -> Said:
    return Said(text, _same, text)


def as_own(words: str) -> str:
    """Return words of the firm's own, a name, say, which stay as they were written; what can be said again as it is.

    >>> as_own("Jo Marsh")
    'Jo Marsh'
    """
    return words if isinstance(words, Said) else Said(words, _own, words)


def changed(words: str, change: Callable[[str], str]) -> str:
    """Return words after a change that is the same in every language, made by a function of a module.

    >>> changed(said("No mask."), str.upper)
    'NO MASK.'
    """
    return Said(change(words), _again, words, change) if isinstance(words, Said) else change(words)


def with_lines(words: str, lines: str) -> str:
    r"""Return words with lines to type under them, which are the same in every language.

    >>> with_lines(said("Write it."), "interval: …")
    'Write it.\ninterval: …'
    """
    return Said(f"{words}\n{lines}", _with_lines, words, lines)


def capital(words: str) -> str:
    """Return words that begin with a capital letter.

    >>> capital(said("no mask is named"))
    'No mask is named'
    """
    return changed(words, _capital)


def first_line(words: str) -> str:
    r"""Return what stands before the lines to type.

    >>> first_line(said("Write it.\n  interval: 12 months"))
    'Write it.'
    """
    return changed(words, _first_line)


def unstopped(words: str) -> str:
    """Return a sentence without its full stop.

    >>> unstopped(said("No mask is named."))
    'No mask is named'
    """
    return changed(words, _unstopped) if words.endswith(".") else words


# ---- how each is said again -------------------------------------------------------------------------


def _in(language: Language, value: object) -> object:
    if isinstance(value, Said):
        return value.in_language(language)
    if isinstance(value, str) and not _SAME.fullmatch(value):
        return language.own(value)
    return value


def said_values(language: Language, values: Mapping[str, object]) -> dict[str, object]:
    """Return what fills in a sentence, in a language: what is no `Said` and no number is held apart."""
    return {name: _in(language, value) for name, value in values.items()}


def _sentence(language: Language, message: str, values: dict[str, object]) -> str:
    found = language.words_for(message)
    return found % said_values(language, values) if values else found


def _apart(language: Language, paper: str, message: str, values: dict[str, object]) -> str:
    return _sentence(language.on(paper), message, values)


def _agent(language: Language, name: str) -> str:
    return language.agent(name)


def _counted(language: Language, one: str, more: str, number: float, values: dict[str, object]) -> str:
    return language.words_for(one, more, number) % said_values(language, values)


def _series(language: Language, parts: tuple[str, ...], last: str) -> str:
    return language.series([str(_in(language, part)) for part in parts], last)


def _joined(language: Language, parts: tuple[str, ...], between: str) -> str:
    if isinstance(between, Said):
        between = between.in_language(language)
    return between.join(str(_in(language, part)) for part in parts)


def _with_lines(language: Language, words: str, lines: str) -> str:
    return f"{_in(language, words)}\n{lines}"


def _dated(language: Language, day: date) -> str:
    return language.date(day)


def _number(language: Language, figure: str) -> str:
    return language.number(figure)


def _measured(language: Language, figure: str) -> str:
    return language.measure(figure)


def _same(_language: Language, text: str) -> str:
    return text


def _typed(language: Language, typed: str, means: str) -> str:
    try:
        told = means.said_or_fail(language) if isinstance(means, Said) else typed
    except LookupError:
        told = typed
    return language.own(typed) if told.strip("`") == typed.strip("`") else f"{language.own(typed)} ({told})"


def _own(language: Language, words: str) -> str:
    return language.own(words)


def _again(language: Language, words: Said, change: Callable[[str], str]) -> str:
    return change(words.in_language(language))


def _capital(words: str) -> str:
    return words[:1].upper() + words[1:]


def _first_line(words: str) -> str:
    return words.partition("\n")[0]


def _unstopped(words: str) -> str:
    return words.rstrip(".")
