"""A list of words finds what one pattern of them all would find, though it compiles only those that a text may hold."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from typing import Any

from examples import some

from progdoc.rules.lookup import languages, states, substances
from progdoc.rules.lookup.clauses import Words, word_pattern
from progdoc.rules.lookup.table_files import table_entries

LISTS = ("denials", "by_the_nose", "practices", "at_no_hour", "found_none")
# A letter that is the same as another one where case is ignored, and takes more room in small letters.
CASES: tuple[Callable[[str], str], ...] = (
    str,
    str.upper,
    lambda text: text.replace("s", "\u017f").replace("i", "\u0131"),
    lambda text: text.replace("i", "\u0130").replace("k", "\u212a"),
)


def _words(name: str) -> list[str]:
    return [str(word) for group in table_entries("telling_words", name) for word in group["words"]]


def _texts(words: list[str]) -> Iterator[str]:
    plain = [re.sub(r"[\^$.]", "", word).replace("*", "some") for word in words]
    for index, word in enumerate(plain):
        for case in CASES:
            yield f"{case(word)} and {plain[-1 - index // 3]}; un{word}able — {case(plain[index // 2])}x"


def test_a_list_finds_what_the_pattern_of_all_its_words_finds() -> None:
    for name in LISTS:
        words, whole = Words(_words(name)), word_pattern(_words(name))
        seen = 0
        for text in some(list(_texts(_words(name))), 5):
            for method in ("search", "match"):
                found, wanted = (_span(getattr(one, method)(text)) for one in (words, whole))
                assert found == wanted, (name, method, text)
            places = [one.span() for one in words.finditer(text)]
            assert places == [one.span() for one in whole.finditer(text)], (name, text)
            seen += len(places)
        assert seen >= 10, name


def test_names_are_found_whole_and_the_longest_first() -> None:
    assert substances.agents_named("Methyl ethyl ketone, TOLUENE-free; xylene") == (
        ("Methyl ethyl ketone", substances.agents_named("methyl ethyl ketone")[0][1]),
        ("xylene", "xylenes"),
    )
    assert set(states.states_in("West Virginia and north carolina, not Virginias")) == {
        "West Virginia",
        "North Carolina",
    }
    assert languages.languages_in("ENGLISH and Spanishes") == {"English"}


def _span(match: Any) -> tuple[int, int] | None:
    return match.span() if match else None
