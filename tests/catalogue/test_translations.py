"""Translations beside our data: no hole, nothing left over, what is filled in and cited kept, the terms of the trade.

The terms are those of `templates/locale/es/terms.csv`, each with where it was read, or that it is from memory.
"""

from __future__ import annotations

import csv
import re
from collections import Counter
from pathlib import Path

import pytest

from progdoc.core.data_text import data_text, filled
from progdoc.core.paper_language import EDGE, known_languages, language_of
from progdoc.core.po_file import PoError, texts_of_po
from progdoc.core.resources import beside_data, templates_root
from progdoc.core.said import said_in, said_measure
from progdoc.dev.data_messages import data_catalogues, data_texts
from progdoc.rules.lookup.substances import find_substance
from progdoc.rules.reading.catalogue import built_in_catalogue
from progdoc.rules.reading.question_list import question_list

ROOT = Path(__file__).resolve().parents[2]
CODES = [code for code in known_languages() if code != "en"]
TEXTS = data_texts(ROOT)
KEPT = (
    re.compile(r"\{[^{}]*\}"),
    re.compile(r"`[^`]*`"),
    re.compile(r"\d+ CFR [\d.]*\d|WAC [\d-]*\d|(?:\([a-z0-9]{1,4}\))+|[A-Z]{2,4}-\d{3}|TC-\d\d[A-Z]"),
    re.compile(r"\d+(?:[.,]\d+)*"),
)
ONE_MEANING = (  # of the terms, those that stand for one thing wherever they are named
    "respirator", "fit test", "medical evaluation", "medical questionnaire", "follow-up examination", "training",
    "cartridge", "canister", "straps", "valve", "compressor", "filter", "fit factor", "change schedule",
    "Appendix D", "confined space", "asbestos", "isocyanate", "safety data sheet (SDS)", "color code", "dust mask",
    "assigned protection factor (APF)", "action level", "local exhaust ventilation", "inspection",
)  # fmt: skip


def translated(code: str) -> dict[str, str]:
    found: dict[str, str] = {}
    for file in beside_data(code):
        found |= texts_of_po(file.read_text(encoding="utf-8"))
    return found


@pytest.mark.parametrize("code", CODES)
def test_every_text_of_our_data_is_translated(code: str) -> None:
    known = translated(code)
    holes = {
        file.name: left for file, texts in TEXTS.items() if (left := [text for text in texts if text not in known])
    }
    assert holes == {}
    assert sum(map(len, TEXTS.values())) > 4_000


@pytest.mark.parametrize("code", CODES)
def test_a_catalogue_stands_beside_its_file_as_it_would_be_written_today(code: str) -> None:
    stale = [
        file.name
        for file, text in data_catalogues(ROOT, [code]).items()
        if text is None or not file.is_file() or file.read_text(encoding="utf-8") != text
    ]
    assert stale == [], "run: python -m progdoc.dev messages"


@pytest.mark.parametrize("code", CODES)
def test_a_translation_keeps_what_is_filled_in_typed_cited_and_counted(code: str) -> None:
    wrong = []
    for text, words in translated(code).items():
        wrong += [(kind.pattern, text) for kind in KEPT if Counter(kind.findall(text)) != Counter(kind.findall(words))]
        if (text[-1] == "?", text[-1] == ".") != (words[-1] == "?", words[-1] == "."):
            wrong.append(("its end", text))
    assert wrong == []


def test_spanish_keeps_to_the_words_of_the_trade() -> None:
    with (Path(str(templates_root())) / "locale" / "es" / "terms.csv").open(encoding="utf-8") as file:
        rows = {row["english"]: row for row in csv.DictReader(file)}
    assert set(ONE_MEANING) <= set(rows)
    wrong, seen = [], 0
    for english in ONE_MEANING:
        row = rows[english]
        named = re.compile(rf"\b{re.escape(bare(english)).rstrip('s')}s?\b(?!-)", re.IGNORECASE)
        stems = [
            bare(form).split()[0][:5].lower() for form in (row["spanish_us"], *row["alternative"].split(";")) if form
        ]
        for text, words in translated("es").items():
            if named.search(re.sub(r"\{[^{}]*\}|`[^`]*`|[a-z]+(?:-[a-z0-9]+)+", "", text)):
                seen += 1
                wrong += [] if any(stem in words.lower() for stem in stems) else [(english, text, words)]
    assert wrong == []
    assert seen > 700


def bare(term: str) -> str:
    return re.sub(r" \(.*\)", "", term)


def test_agents_are_called_by_names_that_the_tables_know_each_once() -> None:
    with (Path(str(templates_root())) / "locale" / "es" / "agents.csv").open(encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    names = [name.strip() for row in rows for name in row["english"].split(";")]
    assert [name for name in names if find_substance(name) is None] == []
    assert [name for name, times in Counter(name.casefold() for name in names).items() if times > 1] == []
    assert {row["support"] for row in rows} == {"terms.csv", "recalled"}
    spanish = language_of("es")
    assert spanish.agent("Lead") == f"plomo ({EDGE}Lead{EDGE})" and spanish.agent("Goo 9") == f"{EDGE}Goo 9{EDGE}"


# ---- how they are said ----------------------------------------------------------------------------------


def test_a_duty_is_said_with_its_figure_in_words_of_the_language() -> None:
    spanish = language_of("es")
    (rule,) = (one for one in built_in_catalogue().requirements if one.code == "FIT-022")
    assert said_in(spanish, rule.duty) == "Las pruebas de ajuste se repiten a más tardar cada 12 meses."
    assert "12 months" in rule.duty
    assert said_in(spanish, rule.who) == "El empleador"


def test_what_is_to_be_typed_stands_in_every_language_as_the_reader_takes_it() -> None:
    spanish = language_of("es")
    fixes = {rule.fix for rule in built_in_catalogue().requirements}
    bare_figure = re.compile(r"Write (\{(most|least|[a-z]+-)|[0-9]+ (month|year|day|%))")
    assert [fix for fix in sorted(fixes) if bare_figure.match(fix)] == []
    typed = [fix for fix in fixes if re.match(r"Write `[0-9]", fix)]
    assert len(typed) >= 3  # of fit tests and training, of masks for emergencies, of their air
    for fix in typed:
        assert re.findall(r"`[^`]*`", said_in(spanish, fix)) == re.findall(r"`[^`]*`", fix)
    told = filled(data_text("Write `{most}`, or less, as `every`."), {"most": said_measure("12 months")})
    assert said_in(spanish, told) == "Escriba `12 months`, o menos, como `every`."


def test_every_duty_and_question_is_said_without_a_word_held_apart() -> None:
    spanish = language_of("es")
    rules = built_in_catalogue().requirements
    texts = [text for one in rules for text in (one.duty, one.what, one.why, one.fix, one.who) if text]
    texts += [text for one in question_list().questions for text in (one.asks, one.why, *one.prompts)]
    assert [text for text in texts if EDGE in said_in(spanish, text)] == []
    assert len(texts) > 2_500


# ---- the reader -----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("content", "line"),
    [
        ('msgid "a"\nmsgid "b"\n', 2),
        ('msgstr "a"\n', 1),
        ('msgid "a"\nmsgid_plural "b"\nmsgstr[0] "c"\n', 2),
        ('msgctxt "x"\nmsgid "a"\nmsgstr "b"\n', 1),
        ('"a"\n', 1),
        ('msgid "a"\nmsgstr "b"\n\nmsgid "a"\nmsgstr "c"\n', 4),
        ("msgid a\n", 1),
        ('msgid "a\\x"\n', 1),
        ('msgid "a"b"\n', 1),
        ('msgid "a"\n', 1),
    ],
)
def test_what_is_no_catalogue_of_texts_is_refused_with_its_line(content: str, line: int) -> None:
    with pytest.raises(PoError) as caught:
        texts_of_po(content)
    assert caught.value.line == line


def test_a_catalogue_is_read_as_gettext_has_it() -> None:
    """The form of a PO file by the manual of GNU gettext, "The Format of PO Files"."""
    content = (
        'msgid ""\nmsgstr ""\n"Language: es\\n"\n\n# of a translator\n#: a.yaml\nmsgid ""\n"Say \\"no\\"\\n"\n"twice"\n'
        'msgstr "Diga"\n#, fuzzy\nmsgid "old"\nmsgstr "viejo"\n\nmsgid "empty"\nmsgstr ""\n'
    )
    assert texts_of_po(content) == {'Say "no"\ntwice': "Diga"}
