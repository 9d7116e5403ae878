"""Papers for the crew in their languages: no hole in a catalogue, no English sentence on a Spanish paper, plain words.

Plural forms are those of the Unicode CLDR for Spanish (one, other); dates and lists are compared with its examples for
`es`: "24 de noviembre de 2026", "a, b y c".
"""

from __future__ import annotations

import csv
import re
from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from functools import partial
from io import BytesIO
from pathlib import Path
from typing import Any
from zipfile import ZipFile

import pytest
from app.filled_form import browser_form
from babel.messages.pofile import read_po
from document.reading import of_type
from programs.patching import judged, patched
from programs.whole import judged_whole
from pydantic import BaseModel

from progdoc.app.form_reading import FilledForm, form_in
from progdoc.core.paper_language import EDGE, Language, known_languages, language_of
from progdoc.core.resources import templates_root
from progdoc.core.said import changed, said_in
from progdoc.core.said import said as to_be_said
from progdoc.dev.data_messages import data_texts
from progdoc.dev.messages import catalogues, messages
from progdoc.document.blocks.answers import told_plainly
from progdoc.document.papers import person_card
from progdoc.document.papers.forms import form_documents, made_forms
from progdoc.document.papers.gap_report import gap_document
from progdoc.document.papers.handouts import handout_documents
from progdoc.document.papers.people_annex import annex_document
from progdoc.document.papers.person_card import card_documents
from progdoc.document.papers.task_page import task_documents
from progdoc.document.papers.training_kit import training_documents
from progdoc.document.papers.written_program import written_program
from progdoc.document.templating.templates import shipped_templates
from progdoc.document.tree import cross_references
from progdoc.document.tree.nodes import (
    Document,
    Figure,
    FormField,
    Notice,
    OpenPoint,
    Paragraph,
    Section,
    Signatures,
    Table,
    Text,
)
from progdoc.model.description.fields import every_place, field_at
from progdoc.model.description.quantities import Quantity
from progdoc.model.load import load
from progdoc.rules.judged.result import Judged
from progdoc.writers import WRITERS

ROOT = Path(__file__).resolve().parents[2]
LOCALE = Path(str(templates_root())) / "locale"
CODES = [code for code in known_languages() if code != "en"]
MESSAGES = messages(ROOT)
_HOLDERS = re.compile(r"%\(\w+\)s|\{\w+\}|\*\*")
_CITED = re.compile(r"\d+ CFR(?: [\d.]+)?|(?:\([a-zA-Z0-9]{1,4}\)){2,}|\([a-m]\)(?=[(\d]|\s|\.|,|$)|A\.\d+")
_WORD = re.compile(r"[A-Za-z]{2,}")
PROGRAMS = ("restoration_2026", "fire-brigade", "crypt-with-airline", "everything-said")


def entries(code: str) -> dict[tuple[str, str], Any]:
    """Return what the catalogues of a language say, by context and message."""
    read = (one for file in sorted((LOCALE / code).glob("*.po")) for one in read_po(BytesIO(file.read_bytes())))
    return {(one.context or "", one.id if isinstance(one.id, str) else one.id[0]): one for one in read if one.id}


# ---- the catalogues -------------------------------------------------------------------------------------


@pytest.mark.parametrize("code", CODES)
def test_a_catalogue_has_every_sentence_and_no_other(code: str) -> None:
    found = entries(code)
    assert len(MESSAGES) > 700
    assert {message for context, message in found if not context} == {one for one, _ in MESSAGES}
    empty = [
        key for key, one in found.items() if not all(one.string if isinstance(one.string, tuple) else [one.string])
    ]
    assert empty == []
    assert not any(one.fuzzy for one in found.values())


@pytest.mark.parametrize("code", CODES)
def test_a_translation_keeps_placeholders_paragraphs_and_plurals(code: str) -> None:
    wrong = []
    for (_, message), one in entries(code).items():
        said = one.string if isinstance(one.string, tuple) else (one.string,)
        many = one.id if isinstance(one.id, tuple) else (one.id,) * len(said)
        for source, text in zip(many, said, strict=True):
            kinds = (
                kind for kind in (_HOLDERS, _CITED) if Counter(kind.findall(source)) != Counter(kind.findall(text))
            )
            wrong += [(message, kind.pattern[:12]) for kind in kinds]
            if (source[:1] == " ", source[-1:] == " ") != (text[:1] == " ", text[-1:] == " "):
                wrong.append((message, "blank at an edge"))
    assert wrong == []


@pytest.mark.parametrize("code", CODES)
def test_a_catalogue_is_as_it_would_be_written_today(code: str) -> None:
    today = {file: text for file, text in catalogues(ROOT).items() if file.parent.name == code}
    assert set(today) == set((LOCALE / code).glob("*.po"))
    assert [file.name for file in today if today[file] != file.read_bytes()] == [], (
        "run: python -m progdoc.dev messages"
    )


def test_a_language_more_is_begun_without_code() -> None:
    begun = catalogues(ROOT, "fr")[LOCALE / "fr" / "messages.po"]
    assert {one.id for one in read_po(BytesIO(begun)) if one.id and isinstance(one.id, str)} >= {
        "Your mask",
        "Fit test",
    }


def test_spanish_keeps_to_the_words_of_the_trade() -> None:
    """`terms.csv`: the words of two and more parts, which mean one thing, and those that stand for a thing of ours."""
    with (LOCALE / "es" / "terms.csv").open(encoding="utf-8") as file:
        terms = {
            row["english"]: [row["spanish_us"], *filter(None, row["alternative"].split(";"))]
            for row in csv.DictReader(file)
        }
    asked = (
        "fit test", "medical evaluation", "training", "cartridge", "straps", "valve", "cylinder", "compressor",
        "Appendix D", "fit factor", "half mask, half facepiece", "filter",
    )  # fmt: skip
    assert set(asked) <= set(terms)
    wrong = []
    for (context, message), one in entries("es").items():
        for term in asked:
            english = term.partition(",")[0]
            words = _HOLDERS.sub("", message)
            if context or not re.search(rf"\b{english}s?\b", words, re.IGNORECASE) or not isinstance(one.string, str):
                continue
            stems = [word.split()[0][:5].lower() for word in terms[term]]
            if not any(stem in one.string.lower() for stem in stems) and "filtering" not in message:
                wrong.append((term, message, one.string))
    assert wrong == []


def test_dates_lists_and_figures_are_said_as_the_cldr_has_them() -> None:
    spanish = language_of("es")
    assert spanish.date(date(2026, 11, 24)) == "24 de noviembre de 2026"
    assert spanish.series(["lentes", "guantes", "overol"]) == "lentes, guantes y overol"
    assert spanish.series(["la vista", "la voz"], "or") == "la vista o la voz"
    assert (spanish.measure("1 minute"), spanish.measure("5 minutes"), spanish.measure("10 s")) == (
        "1 minuto", "5 minutos", "10 s",
    )  # fmt: skip
    english = language_of("en")
    assert english.date(date(2026, 11, 24)) == "24 November 2026"
    assert english.series(["a"]) == "a"


# ---- papers in Spanish ----------------------------------------------------------------------------------


def marks_only() -> Language:
    """Return a language in which every sentence that the catalogue has is put between signs, and no other."""
    real = language_of("es")
    known = {one for one, _ in MESSAGES} | {more for _, more in MESSAGES if more}
    of_data = {text: f"⟦{text}⟧" for texts in data_texts(ROOT).values() for text in texts}
    return replace(
        real,
        edition="marks",
        _known=frozenset(),
        _of_data=lambda: of_data,
        _one=lambda message: f"⟦{message}⟧" if message in known else message,
        _apart=lambda _paper, _message: "",
        _many=lambda one, more, n: f"⟦{one if n == 1 else more}⟧",
        _agents={name: f"⟦{said}⟧" for name, said in real._agents.items()},
        _dated=lambda day: f"⟦{day}⟧",
    )


def papers_in(language: Language, found: Judged) -> Iterator[Document]:
    """Yield every paper of a program in a language, those for who runs it first."""
    written = written_program(found, shipped_templates(), language=language)
    report = found.report("0", written.answers)
    yield from (written.program, written.annex, annex_document(found, language=language))
    duties = {one.code: one.duty for one in found.requirements}
    yield gap_document(report, "", True, language=language, duties=duties)
    yield from task_documents(found, language=language).values()
    yield from form_documents(found, language).values()
    yield from handout_documents(found, language).values()
    yield from training_documents(found, language=language).values()
    yield from card_documents(found).values()


# English that stays, each kind looked at: the titles of sources, names of agents as their table has them, and why a
# duty does not apply, which the annex tells of what nobody uses.
REVIEWED = re.compile(
    r".*(?:ecfr|journal|carbon) \S+.*|.*(?:ecfr, february 2026|the edition in force|current table|about 2018)"
    r"|.*\((?:methyl ethyl ketone, mek|quartz|as pb|mdi|o-, m-, p-isomers)"
    r"|a limit of the law's tables of air contaminants is passed|.*\bair comes from .*"
    r"|training by an earlier employer counts"
)
# What is the same in every language: places of the description, codes, paragraphs, abbreviations, units and symbols.
_SAME = re.compile(
    r"[a-z_0-9]+(?:\[\d*\])?(?:\.[a-z_0-9]+(?:\[\d*\])?)+|[a-z]+\[\d+\]|\((?:people|roles|tasks|policies|officer)\)"
    r"|[\w-]+\.yaml(?::\d+)*|[\w-]+\.(?:pdf|png)|\b[A-Z]{3}-\d{3}\b|-\([ivx]+\)|(?:and )?Table [A-Z0-9-]+\b|\bpart \d+"
    r"|(?:Appendix|Part|Section|Table) (?:[A-D](?:-\d)?|[IVX]+(?:\.[\w.]+)*|\d)(?:, questions \d+ to \d+)?|\bB-[12]\b"
    r"|To the employe[er]|Wood[^;]*\(\d{4}\)|Lodewyckx[^;]*\(\d{4}\)|NIOSH IDLH values|subpart [A-Z]|row \([xiv]+\)"
    r"|inert dust and note m"
)
_UNITS = frozenset(
    (
        "min", "CFR", "SCBA", "HEPA", "to", "ppm", "mg", "kg", "lb", "°F", "°C", "Pa", "kPa", "L", "h", "s", "g",
        "cm", "cm2", "cm3", "cm²", "cm³", "m³", "mol", "mmHg", "psi", "ft", "mL", "µg", "f", "cc", "in", "RH", "APF",
        "MUC", "IDLH", "TWA", "CAS", "NIOSH", "SHA", "PM2", "Em", "Cm", "Lm", "We", "kv", "N95", "P100", "N99",
        "R95", "appendix", "II",
    )
)  # fmt: skip


@pytest.mark.parametrize("name", PROGRAMS)
def test_a_spanish_paper_has_no_english_sentence_but_marked_ones(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """What is neither in the catalogue nor marked with a language has no word in it; what is marked, somebody wrote."""
    language = marks_only()
    for module in (person_card, cross_references):
        monkeypatch.setattr(module, "language_of", lambda _code: language)
    found = judged_whole(name)
    typed = {plain_words(text) for text in (*typed_texts(found.description), *choices())}
    stray, unknown = set(), set()
    for paper in papers_in(language, found):
        stray |= {(paper.id, left) for words in unmarked(paper) if (left := left_over(words))}
        titles = {left for words in named(paper) if (left := left_over(words))}
        stray |= {(paper.id, left) for left in titles if not is_of(Text(left), typed)}
        unknown |= {(paper.id, text.text) for text in of_type(paper, Text) if text.language and not is_of(text, typed)}
    assert sorted(stray) == []
    assert sorted(unknown) == []


def left_over(words: str) -> str:
    """Return what is left of words when all that the catalogue says, and what is the same everywhere, is taken out."""
    left = words
    while (less := re.sub(r"⟦[^⟦⟧]*⟧", "", left)) != left:
        left = less
    left = re.sub(r"(?:^|(?<=; ))[^⟦⟧;]*⟧|⟦[^⟦⟧]*$", "", left)  # of a text of which a part is printed
    left = _SAME.sub("", _CITED.sub("", left))
    return left.strip() if any(word not in _UNITS for word in re.findall(r"[A-Za-z°µ][A-Za-z0-9³²]+", left)) else ""


def is_of(text: Text, typed: set[str]) -> bool:
    """Whether words that are marked as the firm's are: typed in one text, or in several that stand together."""
    words = plain_words(_SAME.sub("", _CITED.sub("", text.text)))
    parts = [plain_words(part) for part in re.split(r"[;:,()“”]", words)]
    return (
        REVIEWED.fullmatch(words) is not None
        or any(words in plain_words(_SAME.sub("", _CITED.sub("", one))) or words in one for one in typed)
        or all(is_typed(part, typed) for part in parts)
    )


def is_typed(part: str, typed: set[str]) -> bool:
    if any(part in one for one in typed):
        return True
    halves = ((part[: blank.start()], part[blank.end() :]) for blank in re.finditer(" ", part))
    return any(first in typed and rest in typed for first, rest in halves)


def choices() -> Iterator[str]:
    """Yield what may be typed where a list is closed."""
    for place in every_place():
        field = field_at(place)
        yield from field.values if field else ()


def plain_words(text: str) -> str:
    return re.sub(r"\s+", " ", text).strip(" .,;:“”()").lower()


def typed_texts(value: object) -> Iterator[str]:
    """Yield every text and quantity of a description."""
    match value:
        case str():
            yield from (value, value.replace("-", " "))
        case Quantity():
            yield value.printed
        case BaseModel():
            yield from (text for name in type(value).model_fields for text in typed_texts(getattr(value, name)))
        case list() | tuple():
            yield from (text for one in value for text in typed_texts(one))


def unmarked(paper: Document) -> Iterator[str]:
    """Yield the words of each cell, paragraph, caption and line to sign that carry no language of their own."""
    for table in of_type(paper, Table):
        yield table.caption
        for row in table.rows:
            for cell in row.cells:
                yield said(cell)
    for paragraph in of_type(paper, Paragraph):
        yield said(paragraph)
    for lines in of_type(paper, Signatures):
        yield from (role for role, _ in lines.lines)
        yield from lines.titles
    for field in of_type(paper, FormField):
        yield from (choice for choice in field.choices if choice.startswith("⟦"))
    yield from (notice.label for notice in of_type(paper, Notice))
    yield from (point.text for point in of_type(paper, OpenPoint))


def named(paper: Document) -> Iterator[str]:
    """Yield titles and what pictures say, where no language can be marked: ours, or the firm's own."""
    yield from (figure.alternative for figure in of_type(paper, Figure))
    yield from (section.title for section in of_type(paper, Section))
    yield from (column.title for table in of_type(paper, Table) for column in table.columns)
    yield from paper.alerts


def said(node: object) -> str:
    texts = of_type(node, Text)
    return "".join(text.text for text in texts if not text.language)


@pytest.fixture(scope="module")
def spanish() -> Judged:
    return judged_whole("restoration_2026")


def test_words_of_the_firm_are_marked_in_every_format(spanish: Judged) -> None:
    page = task_documents(spanish, language=language_of("es"))["scrape-sashes"]
    html = WRITERS["html"](page).decode()
    assert '<html lang="es-US">' in html and '<span lang="en-US">grey half mask</span>' in html
    assert "Su respirador" in html and EDGE not in html
    with ZipFile(BytesIO(WRITERS["docx"](page))) as package:
        word = package.read("word/document.xml").decode()
        styles = package.read("word/styles.xml").decode()
    assert '<w:lang w:val="en-US"/></w:rPr><w:t xml:space="preserve">grey half mask</w:t>' in word
    assert 'w:val="es-US"' in styles and EDGE not in word
    pdf = WRITERS["pdf"](page)
    assert b"(es-US)" in pdf and b"(en-US)" in pdf


def test_a_spanish_page_has_no_english_sentence_of_the_catalogue(spanish: Judged) -> None:
    """The page around the paper too: its buttons, its script, what a screen reader is told."""
    language = language_of("es")
    forms = form_documents(spanish, language)
    papers = [forms["es/training"], forms["es/plhcp-information"]]
    papers += list(task_documents(spanish, language=language).values())[:2]
    written = written_program(spanish, shipped_templates(), language=language)
    papers += [written.program, written.annex, annex_document(spanish, language=language)]
    papers.append(gap_document(spanish.report("0", written.answers), "", False, language=language))
    spoken = {message for (context, message), one in entries("es").items() if not context and one.string != message}
    sentences = [one for one in spoken if len(one.split()) > 2 and not _HOLDERS.search(one)]
    assert len(sentences) > 300
    for paper in papers:
        page = re.sub(r"<style>.*?</style>", "", WRITERS["html"](paper).decode(), flags=re.DOTALL)
        page = re.sub(r'<span lang="en-US">.*?</span>', "", page)
        assert [one for one in sentences if re.search(rf"\b{re.escape(one)}", page)] == [], paper.id


def test_every_paper_asks_to_be_read_first_until_somebody_has(tmp_path: Path) -> None:
    language = language_of("es")
    silent = judged(patched({"set": {"program.languages": ["en", "es"]}}), tmp_path)
    entry = {"language": "es", "by": "Ada Brook", "date": "2026-03-01"}
    told = judged(patched({"set": {"program.languages": ["en", "es"], "program.translations_read": [entry]}}), tmp_path)
    asks, read = "debe leerla una persona de seguridad", "Traducción leída por Ada Brook el 1 de marzo de 2026."
    for found, wanted in ((silent, asks), (told, read)):
        papers = [*task_documents(found, language=language).values(), *form_documents(found, language).values()]
        assert papers
        for paper in papers:
            words = " ".join("".join(text.text for text in of_type(one, Text)) for one in of_type(paper, Paragraph))
            assert wanted in words, paper.id
    assert asks not in str(task_documents(silent))


def test_a_reading_by_nobody_of_another_day_or_revision_is_none(tmp_path: Path) -> None:
    language, entry = language_of("es"), {"language": "es", "by": "Ada Brook", "date": "2026-03-01"}
    told = {"program.languages": ["en", "es"]}
    earlier = {"revision": "2025.1", "date": "2026-02-20", "by": "Ada Brook", "summary": "First program"}
    second = {"revision": "2026.1", "date": "2026-03-01", "by": "Ada Brook", "summary": "New mask"}
    of_two = {"program.history": [earlier, second]}
    cases: list[tuple[dict[str, Any], dict[str, Any], bool]] = [
        (entry, {}, True),
        (entry, of_two, True),
        ({**entry, "date": "2026-02-25"}, of_two, True),  # while the second was in the making
        ({**entry, "date": "2026-02-19"}, of_two, False),
        *(({**entry, "by": nobody}, {}, False) for nobody in ("Nobody", "none", "TBD", "to be decided")),
        ({**entry, "date": "2026-06-02"}, {}, False),
        ({**entry, "language": "en"}, {}, False),
    ]
    for one, more, is_read in cases:
        found = judged(patched({"set": {**told, **more, "program.translations_read": [one]}}), tmp_path)
        page = str(next(iter(task_documents(found, language=language).values())))
        assert ("debe leerla una persona de seguridad" not in page) is is_read, (one, more)
        assert ("Traducción leída por" in page) is is_read, (one, more)


def test_a_card_is_in_the_language_of_its_person(tmp_path: Path) -> None:
    cards = card_documents(judged(patched({"set": {"people[0].own_language": "es"}}), tmp_path))
    first, *others = cards.values()
    assert first.language == "es-US" and first.title.startswith("Tarjeta de respirador: ")
    assert {card.language for card in others} <= {"en-US"}


def test_a_language_without_a_catalogue_is_refused_in_plain_words() -> None:
    loaded = load({"firm.yaml": b"format: 1\nprogram:\n  languages: [en, xx]\n"}, "firm.yaml")
    (fault,) = [one for one in loaded.diagnostics if "language" in one.what]
    assert "`xx`" in fault.what and "`es`" in f"{fault.what} {fault.fix}"


def test_a_spanish_form_reads_back_as_the_english_one(tmp_path: Path) -> None:
    """A choice in Spanish means what the same choice means in English."""
    found = judged(patched({"set": {"program.languages": ["en", "es"]}}), tmp_path)
    wearer = found.description.people[0]
    events = []
    for code, choice in (("en", "yes, within the limits below"), ("es", "sí, con los límites de abajo")):
        language = language_of(code)
        form = next(one for one in made_forms(found, language=language) if one.name.endswith("medical-recommendation"))
        called = {(place.part, place.name): place.field.label for place in form.places}
        filling = {
            f"who/{called['who', 'worker']}": str(wearer.name),
            f"who/{called['who', 'date']}": "2026-05-20",
            f"says/{called['says', 'recommendation']}": choice,
        }
        read = form_in(browser_form(form, filling), "form.json", found)
        assert isinstance(read, FilledForm), read
        events.append([(event.kind, event.day, dict(event.values)) for event in read.events])
    assert events[0] == events[1] and events[0][0][2]["recommendation"] == "cleared-with-limits"


# ---- how hard it is to read -----------------------------------------------------------------------------


HELD_BY_A_WORKER = (  # where the fixed sentences stand of what a worker is handed, signs, hangs up or reads on a phone
    "templates/program/pages/task", "templates/program/pages/training", "templates/program/procedures/",
    "templates/handouts/", "templates/forms/", "templates/desk/phone", "progdoc/document/papers/person_card",
    "progdoc/document/blocks/selection", "progdoc/document/blocks/mask_picture", "progdoc/writers/due_letters",
)  # fmt: skip


def crew_sentences(places: tuple[str, ...] = HELD_BY_A_WORKER) -> list[tuple[str, str]]:
    """Return the fixed sentences of papers for the crew, with their Spanish."""
    spanish = entries("es")
    return [
        (plain(message), plain(spanish["", message].string))
        for (message, more), files in MESSAGES.items()
        if not more and any(file.startswith(places) for file, _ in files) and len(message.split()) > 4
    ]


def plain(text: str) -> str:
    return re.sub(r"\((?:29 CFR [\d.]+)?(?:\([a-z0-9]+\))+\)|(?:\([a-z0-9]+\))+,?|\*\*", "", _HOLDERS.sub("mask", text))


def counts(texts: list[str], syllables: Any) -> tuple[int, int, int]:
    """Return sentences, words and syllables."""
    parts = [part for text in texts for part in re.split(r"[.!?]+", text) if re.search(r"\w", part)]
    words = [word for part in parts for word in re.findall(r"[^\W\d_]+(?:'[a-z]+)?", part)]
    return len(parts), len(words), sum(map(syllables, words))


def english_syllables(word: str) -> int:
    """Return about how many: groups of vowels, without the silent e at the end."""
    found = len(re.findall(r"[aeiouy]+", word.lower()))
    return max(found - (bool(re.search(r"[^l]e$|[^aeioutd]ed$", word.lower())) and found > 1), 1)


def spanish_syllables(word: str) -> int:
    """Return how many: a strong or accented vowel each, weak ones beside it with it; a weak pair is one."""
    word = re.sub(r"(?<=[qg])u(?=[eiéí])", "", word.lower()).replace("y", "i")
    return max(len(re.findall(r"[iuü]?[aeoáéó][iuü]?|[íú]|[iuü]+", word)), 1)


def test_crew_text_reads_at_grade_8_in_english() -> None:
    """Flesch-Kincaid grade: Kincaid, Fishburne, Rogers, Chissom (1975), 0.39 W/S + 11.8 Sy/W - 15.59."""
    harder = {}
    for place in HELD_BY_A_WORKER:
        sentences, words, syllables = counts([english for english, _ in crew_sentences((place,))], english_syllables)
        if (grade := 0.39 * words / sentences + 11.8 * syllables / words - 15.59) > 8.0:
            harder[place] = grade
    assert harder == {}
    assert counts([english for english, _ in crew_sentences()], english_syllables)[1] > 4_000


def test_crew_text_is_fairly_easy_to_read_in_spanish() -> None:
    """Perspicuity of Szigriszt Pazos (1993), 206.835 - 62.3 Sy/W - W/S; from 65 on "fairly easy" by the INFLESZ scale
    of Barrio-Cantalejo and others (2008). Formula and scale were read in what others write of the two papers.
    """
    assert [spanish_syllables(word) for word in ("respirador", "aire", "guía", "válvula", "quíteselo", "ruido")] == [
        4, 2, 2, 3, 4, 2,
    ]  # fmt: skip
    harder = {}
    for place in HELD_BY_A_WORKER:
        sentences, words, syllables = counts([said for _, said in crew_sentences((place,))], spanish_syllables)
        if (ease := 206.835 - 62.3 * syllables / words - words / sentences) < 65.0:
            harder[place] = ease
    assert harder == {}


def test_what_reads_alike_in_english_of_two_people_names_each_in_a_language_that_names_them() -> None:
    """On a card the name before a reason is left out in English; in another language it may stand elsewhere."""
    language = marks_only()
    told = {
        name: told_plainly(changed(to_be_said("%(who)s: no training is recorded.", who=name), partial(_unnamed, name)))
        for name in ("Bo Hill", "Jo Marsh")
    }
    assert told["Bo Hill"] == told["Jo Marsh"] == "No training is recorded."
    for name, words in told.items():
        assert name in said_in(language, words)


def _unnamed(name: str, what: str) -> str:
    return what.removeprefix(f"{name}: ")
