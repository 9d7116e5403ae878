"""One English term is one Spanish term, in every message that there is: of the papers, the desk, the law and the model.

The terms of the trade are those of `templates/locale/es/terms.csv`, each with where it was read, or that it is from
memory; a form given there as an alternative does not count. Those of this program alone (by choice, lens kit) stand in
`spanish_words.yaml`, with what else may stand for a term of either kind, and why.
"""

from __future__ import annotations

import csv
import re
from collections import Counter
from collections.abc import Iterator
from functools import cache
from io import BytesIO
from pathlib import Path
from typing import Any

import yaml
from babel.messages.pofile import read_po

from progdoc.core.paper_language import language_of
from progdoc.core.resources import beside_data, templates_root

LOCALE = Path(str(templates_root())) / "locale" / "es"
HELD = yaml.safe_load(Path(__file__).with_name("spanish_words.yaml").read_text(encoding="utf-8"))
# What is filled in, what is typed, and an id: no word of a sentence.
_NO_WORDS = re.compile(r"%\(\w+\)s|\{[^{}]*\}|`[^`]*`|\*\*|\b[a-z]+(?:-[a-z0-9]+)+\b(?=[,.: ]|$)")
_FORM_OF = re.compile(r" \(.*?\)")


@cache
def sentences() -> tuple[tuple[str, str], ...]:
    """Return every English message with its Spanish one, each form of a plural by itself."""
    files = (*sorted(LOCALE.glob("*.po")), *beside_data("es"))
    entries = (one for file in files for one in read_po(BytesIO(file.read_bytes())) if one.id)
    return tuple(
        (english, spanish)
        for one in entries
        for english, spanish in zip(_forms(one.id), _forms(one.string), strict=True)
    )


def _forms(words: Any) -> tuple[str, ...]:
    return tuple(words) if isinstance(words, list | tuple) else (words,)


def terms() -> Iterator[tuple[str, list[str], list[str]]]:
    """Yield each term with the Spanish forms that count for it, and the English ones in which it is another term."""
    also = {row["english"]: row["also"] for row in HELD["trade"]}
    with (LOCALE / "terms.csv").open(encoding="utf-8") as file:
        rows = {row["english"]: row["spanish_us"] for row in csv.DictReader(file)}
    assert set(also) | set(HELD["no_single_word"]) <= set(rows), "a row that terms.csv has no more"
    for english, spanish in rows.items():
        if english not in HELD["no_single_word"]:
            forms = _FORM_OF.sub("", spanish).split(", ")
            for one in _FORM_OF.sub("", english).split(", "):
                yield one, [*forms, *also.get(english, ())], []
    for row in HELD["ours"]:
        yield row["english"], row["spanish"], row.get("apart", [])


def is_said(form: str, spanish: str) -> bool:
    """Tell whether each word of a form stands in a sentence, by its first five letters: inflected it ends otherwise."""
    return all(word[:5].lower() in spanish.lower() for word in form.split() if len(word) > 3)


def test_a_term_is_said_by_its_word_wherever_it_stands() -> None:
    elsewhere = tuple(row["english"] for row in HELD["another_thing"])
    asked = [
        (_NO_WORDS.sub("", source), spanish) for source, spanish in sentences() if not source.startswith(elsewhere)
    ]
    wrong, seen = [], Counter[str]()
    for english, forms, apart in terms():
        named = re.compile(rf"\b{english.rstrip('s')}s?\b(?!-)", re.IGNORECASE)
        for source, spanish in asked:
            if named.search(source) and named.search(
                re.sub("|".join(apart), "", source, flags=re.IGNORECASE) if apart else source
            ):
                seen[english] += 1
                wrong += [] if any(is_said(form, spanish) for form in forms) else [(english, source, spanish)]
    assert wrong == []
    assert len(seen) > 90 and seen.total() > 3_000
    assert [row["english"] for row in HELD["ours"] if not seen[row["english"]]] == [], "a term of ours that is nowhere"


def test_what_says_another_thing_is_still_there() -> None:
    known = [source for source, _ in sentences()]
    begun = [row["english"] for row in HELD["another_thing"]]
    assert [words for words in begun if not any(source.startswith(words) for source in known)] == []
    assert all(row["because"] for part in ("trade", "another_thing") for row in HELD[part])


def test_no_sentence_holds_what_spanish_writes_otherwise() -> None:
    """`de el` and `a el` are `del` and `al`; quotes are those of the English papers.

    `y` before the sound of i, and `o` before that of o: Real Academia Española, Diccionario panhispánico de dudas, "y"
    and "o", as several who cite it tell; not read itself.
    """
    wrong = re.compile(r"\b(?:de|a) el\b|«|»|\by h?[ií](?![aeo])|\bo h?[oó]")
    numerals = re.compile(r"\b[ivx]+\b|\b[IVX]+\b")
    found = [pair for pair in sentences() if wrong.search(numerals.sub("", pair[1]).lower())]
    assert found == []


def test_a_list_joins_its_last_word_as_it_sounds() -> None:
    """Examples of Fundéu (fundeu.es, "e delante de i- o hi-"), read; of `o` and `u`: from memory."""
    series = language_of("es").series
    assert series(["chinos", "indios"]) == "chinos e indios"
    assert series(["geografía", "historia"]) == "geografía e historia"
    assert series(["frío", "hielo"]) == "frío y hielo"
    assert series(["cloro", "iodo"]) == "cloro y iodo"
    assert series(["fuego", "alarma", "incendio"]) == "fuego, alarma e incendio"
    assert series(["plata", "oro"], "or") == "plata u oro"
    assert series(["mujer", "hombre"], "or") == "mujer u hombre"
    assert series(["7", "8"], "or") == "7 u 8"
    assert series(["guantes", "careta"]) == "guantes y careta"
    assert language_of("en").series(["gold", "iron"]) == "gold and iron"
