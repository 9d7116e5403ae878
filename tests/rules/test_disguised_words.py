"""Words that hold the place of an answer, or refuse one, in letters that only look like ours, or set apart."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from progdoc.rules.lookup.answers_said import Said, said_by
from progdoc.rules.lookup.table_files import table_entries

# Unicode Technical Standard 39, confusables.txt: letters of the Cyrillic and the Greek script that look like ours.
LIKE = str.maketrans("aeopcyxi", "\u0430\u0435\u043e\u0440\u0441\u0443\u0445\u0456")
GREEK = str.maketrans("ovai", "\u03bf\u03bda\u03b9")


def _words() -> list[str]:
    lists = ("placeholders", "refusals", "too_little")
    groups = [group for name in lists for group in table_entries("empty_answers", name) if group["language"] == "en"]
    return [word for group in groups for word in group["words"] if word.isascii() and len(word) > 3]


@pytest.mark.parametrize(
    "disguised",
    [
        lambda word: word[:1] + word[1:].translate(LIKE),
        lambda word: word[:1] + word[1:].translate(GREEK),
        lambda word: word[:2] + "\u200b" + word[2:],
        lambda word: word[:2] + "\u00ad" + word[2:],
        lambda word: " ".join(word) if word.isalpha() else word,
    ],
)
def test_an_empty_answer_is_one_however_its_letters_are_drawn(disguised: Callable[[str], str]) -> None:
    words = _words()
    assert len(words) > 200
    assert [word for word in words if said_by(disguised(word)) is not said_by(word)] == []


def test_placeholders_in_a_row_are_no_answer() -> None:
    for text in ("n/a; n/a", "TBD, TBD", "pending / tbd", "N/A (N/A)"):
        assert said_by(text) is Said.PLACEHOLDER, text
    for text in ("Na, Li and K", "Milo (workshop), Nora (site)"):
        assert said_by(text) is Said.ANSWER, text
