"""The languages of the papers for the crew: fixed sentences by message catalogue, dates and lists by CLDR.

English is the source and needs no catalogue. Another language is a folder of `templates/locale` with gettext
catalogues; the header of `messages.po` names the locale whose dates and lists it takes (`Language: es_US`). They
are read by Babel, which brings the Unicode CLDR along; nothing of it is loaded before a language is asked for.
"""

from __future__ import annotations

import csv
import gettext
import hashlib
import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from functools import cache
from io import BytesIO
from typing import TYPE_CHECKING, Literal, NamedTuple

from progdoc.core.errors import ResourceError
from progdoc.core.numbers import long_date
from progdoc.core.po_file import PoError, texts_of_po
from progdoc.core.resources import beside_data, templates_root

if TYPE_CHECKING:
    from babel.messages.catalog import Message

__all__ = ["EDGE", "ENGLISH", "MEASURES", "Language", "known_languages", "language_of", "marked"]

# Units that stand written out in a figure of the law, one and more of it.
MEASURES = (
    ("second", "seconds"),
    ("minute", "minutes"),
    ("hour", "hours"),
    ("day", "days"),
    ("week", "weeks"),
    ("month", "months"),
    ("year", "years"),
)
_FIRST = "messages.po"  # of the catalogues of a language
EDGE = "\ue010"  # on both sides of what is not in the language around it; no keyboard types it
_PLACEHOLDER = re.compile(r"%\([a-z_]+\)s")
_LETTER = re.compile("[A-Za-z]")
_PLURALS = dict(MEASURES) | {more: more for _, more in MEASURES}
_ONES = {more: one for one, more in MEASURES} | {one: one for one, _ in MEASURES}


def marked(message: str) -> str:
    """Return a sentence as it is: it stands in a table, and is said in a language later."""
    return message


@dataclass(frozen=True)
class Language:
    """A language that papers are written in.

    `original` is the tag of what is printed as it was written, the firm's own words and sentences that have no
    translation; empty where the paper is in that language itself.
    """

    code: str  # "es": of the folder of its catalogue, and of the folder of its papers
    tag: str  # "es-US": what HTML, Word and PDF call it
    name: str  # "Spanish": in English
    original: str
    _one: Callable[[str], str]
    _apart: Callable[[str, str], str]  # by the paper, as the context of a message; "" for what is said as elsewhere
    _many: Callable[[str, str, int], str]
    _dated: Callable[[date], str]
    _listed: Callable[[Sequence[str], str], str]
    _marks: tuple[str, str] = (",", ".")  # between thousands, and before a fraction
    _of_data: Callable[[], Mapping[str, str]] = dict  # the texts of our data by the English ones
    _known: frozenset[str] = frozenset()  # the messages that are said; some of them as in English
    _agents: Mapping[str, str] = field(default_factory=dict)  # by the small letters of their English names
    own_name: str = "English"  # "español": as it calls itself
    edition: str = ""  # what its catalogues say, as a SHA-256; of English, which has none, nothing

    @property
    def called(self) -> str:
        """What it is called where it is chosen: by who speaks it, and in English."""
        return f"{self.own_name.capitalize()} ({self.name})" if self.original else self.own_name

    def say(self, message: str, **values: object) -> str:
        """Return a sentence; what it names as `%(name)s` is filled in.

        >>> ENGLISH.say("Wear %(mask)s.", mask="the hood")
        'Wear the hood.'
        """
        said = self._one(message)
        if self.original and said == message:
            said = self._of_data().get(message, message)
        return said % values if values else said

    def words_for(self, one: str, more: str = "", number: float = 1) -> str:
        """Return the words for a message, its placeholders unfilled.

        Raises
        ------
        LookupError
            If the catalogue has none, so that the English sentence has to do as a whole.
        """
        found = self._many(one, more, _whole(number)) if more else self._one(one)
        is_same = self.original and found in (one, more) and one not in self._known
        if is_same and _LETTER.search(_PLACEHOLDER.sub("", one)):
            return self.data_words(one)
        return found

    def data_words(self, text: str) -> str:
        """Return a text of our data in this language: of the law's catalogue, a question, a field of the model.

        Raises
        ------
        LookupError
            If it has no translation yet.
        """
        return self._of_data()[text] if self.original else text

    def number(self, figure: str) -> str:
        """Return a number in the marks of this language, out of its English ones: "1,011.5"."""
        if self._marks == (",", "."):
            return figure
        return figure.translate(dict(zip(map(ord, ",."), self._marks, strict=True)))

    def on(self, paper: str) -> Language:
        """Return the language as it speaks on one paper, where a word means another thing than on the others."""
        if not self.original:
            return self
        return replace(self, _one=lambda message: self._apart(paper, message) or self._one(message))

    def own(self, words: str) -> str:
        """Return words that are printed as they were written, held apart where that is in another language.

        >>> ENGLISH.own("Jo Marsh")
        'Jo Marsh'
        """
        return f"{EDGE}{words.replace(EDGE, '')}{EDGE}" if self.original and any(map(str.isalpha, words)) else words

    def agent(self, name: str) -> str:
        """Return an agent by its name in this language, with the one that somebody wrote; else as it was written.

        >>> ENGLISH.agent("lead")
        'lead'
        """
        known = self._agents.get(" ".join(name.casefold().split()), "")
        return f"{known} ({self.own(name)})" if known else self.own(name)

    def plural(self, one: str, more: str, number: float, **values: object) -> str:
        """Return the sentence for a number of things.

        >>> ENGLISH.plural("%(n)s day", "%(n)s days", 2, n="2")
        '2 days'
        """
        return self._many(one, more, _whole(number)) % values

    def date(self, day: date) -> str:
        """Return a day that no reader can take for another one."""
        return self._dated(day)

    def series(self, parts: Sequence[str], last: str = "and") -> str:
        """Return a list in words; `last`: "and" or "or".

        >>> ENGLISH.series(["goggles", "gloves", "a hood"])
        'goggles, gloves and a hood'
        """
        return self._listed(parts, last) if len(parts) > 1 else "".join(parts)

    def measure(self, figure: str) -> str:
        """Return a figure of the law with its unit: "10 seconds" as it is said here.

        >>> ENGLISH.measure("10 seconds")
        '10 seconds'
        """
        number, _, unit = figure.partition(" ")
        if not self.original or unit not in _ONES:
            return f"{self.number(number)} {unit}".rstrip()
        return f"{self.number(number)} {self._many(_ONES[unit], _PLURALS[unit], 1 if number == '1' else 2)}"


class Link(NamedTuple):
    """A word that joins the last part of a list, and the one that takes its place before some sounds."""

    word: str
    instead: str
    before: tuple[str, ...]
    but: tuple[str, ...]


def _whole(number: float) -> int:
    return int(number) if number == int(number) else 2


def _in_english(parts: Sequence[str], last: str) -> str:
    return f"{', '.join(parts[:-1])} {last} {parts[-1]}"


ENGLISH = Language(
    "en",
    "en-US",
    "English",
    "",
    lambda text: text,
    lambda _paper, _text: "",
    lambda one, more, n: one if n == 1 else more,
    long_date,
    _in_english,
)


@cache
def known_languages() -> tuple[str, ...]:
    """Return the codes of the languages that papers can be written in, English first."""
    folders = (entry for entry in (templates_root() / "locale").iterdir() if (entry / "messages.po").is_file())
    return (ENGLISH.code, *sorted(folder.name for folder in folders))


@cache
def language_of(code: str) -> Language:
    """Return a language by the code of its catalogue, or by its tag.

    Raises
    ------
    ValueError
        If there is no catalogue of it.
    """
    code = code.partition("-")[0]
    if code == ENGLISH.code:
        return ENGLISH
    if code not in known_languages():
        raise ValueError(f"there is no catalogue for the language {code!r}")
    from babel import Locale
    from babel.dates import format_date
    from babel.lists import format_list
    from babel.messages.mofile import write_mo
    from babel.messages.pofile import read_po
    from babel.numbers import get_decimal_symbol, get_group_symbol

    texts = _catalogues(code)
    edition = hashlib.sha256(b"".join(texts.values())).hexdigest()
    catalogue = read_po(BytesIO(texts.pop(_FIRST)))
    for text in texts.values():
        for message in read_po(BytesIO(text)):
            if message.id:
                catalogue[message.id] = message
    compiled = BytesIO()
    write_mo(compiled, catalogue)
    compiled.seek(0)
    words = gettext.GNUTranslations(compiled)
    locale = Locale.parse(str(catalogue.locale_identifier))
    styles: dict[str, Literal["standard", "or"]] = {"and": "standard", "or": "or"}
    links = _links_of(code)
    return Language(
        code,
        str(catalogue.locale_identifier).replace("_", "-"),
        str(locale.get_language_name(ENGLISH.code)),
        ENGLISH.tag,
        words.gettext,
        lambda paper, message: apart if (apart := words.pgettext(paper, message)) != message else "",
        words.ngettext,
        lambda day: format_date(day, "long", locale=locale),
        lambda parts, last: linked(format_list(parts, styles[last], locale=locale), parts[-1], links),
        (get_group_symbol(locale), get_decimal_symbol(locale)),
        lambda: _texts_of_data(code),
        _said_of(catalogue),
        _agents_of(code),
        str(locale.get_language_name(locale.language)),
        edition,
    )


def linked(words: str, last: str, links: Iterable[Link]) -> str:
    """Return a list with the word before its last part as it is said before that sound.

    >>> linked("alarma y incendio", "incendio", [Link("y", "e", ("i",), ("ie",))])
    'alarma e incendio'
    """
    head, sound = words.removesuffix(last), last.casefold()
    for link in links:
        if head.endswith(f" {link.word} ") and sound.startswith(link.before) and not sound.startswith(link.but):
            return f"{head[: -len(link.word) - 1]}{link.instead} {last}"
    return words


def _links_of(code: str) -> tuple[Link, ...]:
    """Return which words between parts of a list are said otherwise before some sounds; the CLDR does not say so."""
    file = templates_root() / "locale" / code / "links.csv"
    if not file.is_file():
        return ()
    rows = csv.DictReader(file.read_text(encoding="utf-8").splitlines())
    return tuple(
        Link(row["word"], row["instead"], tuple(row["before"].split()), tuple(row["but not before"].split()))
        for row in rows
    )


def _agents_of(code: str) -> dict[str, str]:
    """Return the names of agents in a language by the small letters of each English name."""
    file = templates_root() / "locale" / code / "agents.csv"
    if not file.is_file():
        return {}
    rows = csv.DictReader(file.read_text(encoding="utf-8").splitlines())
    return {name.strip().casefold(): row["said"] for row in rows for name in row["english"].split(";")}


def _said_of(catalogue: Iterable[Message]) -> frozenset[str]:
    """Return the messages of a catalogue that have a translation, each by its form for one."""
    found = set()
    for one in catalogue:
        forms = [one.string] if isinstance(one.string, str) else list(one.string or ())
        if one.id and forms and all(forms):
            found.add(one.id if isinstance(one.id, str) else one.id[0])
    return frozenset(found)


@cache
def _texts_of_data(code: str) -> Mapping[str, str]:
    """Return the translations that stand beside our data, by the English texts."""
    found: dict[str, str] = {}
    for file in beside_data(code):
        try:
            found |= texts_of_po(file.read_text(encoding="utf-8"))
        except PoError as fault:
            raise ResourceError(f"{file.name}, {fault}") from fault
    return found


def _catalogues(code: str) -> dict[str, bytes]:
    """Return the catalogues of a language by the names of their files; the first says which locale it takes."""
    files = [entry for entry in (templates_root() / "locale" / code).iterdir() if entry.name.endswith(".po")]
    return {file.name: file.read_bytes() for file in sorted(files, key=lambda file: (file.name != _FIRST, file.name))}
