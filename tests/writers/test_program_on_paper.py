"""The written program of each complete sample on paper: Word as LibreOffice sets it, PDF as poppler reads it.

What an officer prints: no more than twenty sheets, a task on each of its own, nothing torn from its heading, and the
same sheets in both formats within one. On each change every other sample is printed, at night each. The PDF is held by
a checker that shares no code with what writes it.
"""

from __future__ import annotations

import re
import subprocess
from datetime import date
from functools import cache
from io import BytesIO
from pathlib import Path

import docx
import pdfua
import pytest
import typst
from document.reading import of_type
from examples import some
from programs.patching import PROGRAMS
from writers.contents_on_paper import told_and_found
from writers.docx_sample import program
from writers.libreoffice import LibreOffice
from writers.sample_tree import sample_document

from progdoc.app.disk.description_files import load_path
from progdoc.core.paper_language import known_languages, language_of
from progdoc.document.papers.forms import form_documents
from progdoc.document.papers.handouts import handout_documents
from progdoc.document.papers.task_page import task_documents
from progdoc.document.papers.training_kit import training_documents
from progdoc.document.papers.written_program import WrittenProgram, written_program
from progdoc.document.templating.templates import shipped_templates
from progdoc.document.tree.cross_references import printed_contents
from progdoc.document.tree.nodes import Document, Section
from progdoc.rules.judge import judge
from progdoc.rules.judged.result import Judged
from progdoc.rules.reading.catalogue import built_in_catalogue
from progdoc.writers.docx import docx_bytes
from progdoc.writers.pdf import pdf_bytes

SAMPLES = Path(__file__).parents[2] / "sample_config"
DAYS = {
    "restoration_2026": date(2026, 11, 24),
    "restoration_2025": date(2025, 11, 24),
    "small_shop": date(2026, 6, 1),
    "people_table": date(2026, 11, 24),
    "first_draft": date(2026, 11, 24),
}
PRINTED = dict(some(DAYS.items(), 2))
COMPLETE = {name: on for name, on in PRINTED.items() if name not in ("people_table", "first_draft")}
MOST_PAGES = 20
_W = "{http://schemas.openxmlformats.org/wordprocessingml/2006/main}"
Pages = dict[tuple[str, str], list[str]]  # by sample and format


@cache
def judged_sample(name: str, on: date) -> Judged:
    return judge(load_path(SAMPLES / name), built_in_catalogue(), on)


@cache
def of_sample(name: str, on: date) -> WrittenProgram:
    return written_program(judged_sample(name, on), shipped_templates())


@cache
def in_word(name: str) -> bytes:
    return docx_bytes(of_sample(name, DAYS[name]).program)


def read_back(data: bytes) -> list[str]:
    done = subprocess.run(["pdftotext", "-layout", "-", "-"], input=data, capture_output=True, check=True)
    return done.stdout.decode().split("\f")[:-1]


@pytest.fixture(scope="module")
def pages(office: LibreOffice) -> Pages:
    """The text of every page, by sample and format."""
    programs = {name: of_sample(name, on).program for name, on in PRINTED.items()}
    printed = office.printed([in_word(name) for name in programs])
    return {
        **{(name, "docx"): found for name, found in zip(programs, printed, strict=True)},
        **{(name, "pdf"): read_back(pdf_bytes(document)) for name, document in programs.items()},
    }


def test_a_page_of_the_crew_is_one_side(office: LibreOffice) -> None:
    made = [judged_sample(name, on) for name, on in COMPLETE.items()]
    documents = [
        page
        for one in made
        for spoken in map(language_of, known_languages())
        for page in (*task_documents(one, language=spoken).values(), *handout_documents(one, spoken).values())
    ]
    printed = office.printed([docx_bytes(document) for document in documents])
    assert len(documents) > 12
    several = [(d.id, len(found)) for d, found in zip(documents, printed, strict=True) if len(found) != 1]
    several += [(d.id, len(found)) for d in documents if len(found := read_back(pdf_bytes(d))) != 1]
    assert several == []


def test_the_program_of_the_sample_can_be_read_in_one_sitting() -> None:
    parts = docx.Document(BytesIO(in_word("restoration_2026")))
    texts = ("".join(text.text or "" for text in one.iter(f"{_W}t")) for one in parts.element.body.iter(f"{_W}p"))
    assert 3000 < sum(len(text.split()) for text in texts) <= 7500


FORMATS = [(name, kind) for name in COMPLETE for kind in ("docx", "pdf")]


@pytest.mark.parametrize("which", FORMATS, ids=str)
def test_a_program_has_no_more_than_twenty_pages(which: tuple[str, str], pages: Pages) -> None:
    assert 5 < len(pages[which]) <= MOST_PAGES


@pytest.mark.parametrize("name", COMPLETE)
def test_word_and_pdf_agree_within_a_page(name: str, pages: Pages) -> None:
    assert abs(len(pages[name, "docx"]) - len(pages[name, "pdf"])) <= 1


@pytest.mark.parametrize("which", FORMATS, ids=str)
def test_each_task_of_the_crew_has_a_page_of_its_own(which: tuple[str, str], pages: Pages) -> None:
    document = of_sample(which[0], COMPLETE[which[0]]).program
    headings = [f"{s.number} {s.title}" for s in of_type(document.blocks, Section) if s.starts_page and "." in s.number]
    begin = [_first_lines(page, 1)[0] for page in pages[which]]
    places = [begin.index(heading) for heading in headings]
    assert len(places) >= 2
    assert places == list(range(places[0], places[0] + len(places)))


@pytest.mark.parametrize("which", FORMATS, ids=str)
def test_no_heading_stands_alone_at_the_foot_of_a_page(which: tuple[str, str], pages: Pages) -> None:
    document = of_sample(which[0], COMPLETE[which[0]]).program
    headings = {f"{s.number} {s.title}" for s in of_type(document.blocks, Section)}
    for page in pages[which]:
        lines = [" ".join(line.split()) for line in page.splitlines() if line.strip()]
        assert "Page" in lines[-1]
        assert lines[-2] not in headings
        assert not re.match(r"Table \d+\. ", lines[-2])


@pytest.mark.parametrize("name", PRINTED)
def test_the_contents_of_a_program_in_word_give_the_pages_of_its_headings(name: str, pages: Pages) -> None:
    entries = printed_contents(of_sample(name, PRINTED[name]).program)
    told, found = told_and_found(pages[name, "docx"], entries)
    assert len(told) == len(entries)
    assert told == found


def test_no_paper_in_any_language_leaves_a_heading_at_the_foot_of_a_page_or_ends_with_an_empty_one(
    office: LibreOffice,
) -> None:
    name, on = next(iter(COMPLETE.items()))
    judged, templates = judged_sample(name, on), shipped_templates()
    made: list[Document] = []
    for spoken in map(language_of, known_languages()):
        made += form_documents(judged, spoken).values()
        made += training_documents(judged, templates, spoken).values()
        if spoken.code != "en":
            made += [(written := written_program(judged, templates, language=spoken)).program, written.annex]
    assert len(made) > 20
    in_word = office.printed([docx_bytes(document) for document in made])
    on_paper = [(one, page) for one, pages in zip(made, in_word, strict=True) for page in pages]
    on_paper += [(one, page) for one in made for page in read_back(pdf_bytes(one))]
    torn = []
    for document, page in on_paper:
        headings = {" ".join(f"{s.number} {s.title}".split()) for s in of_type(document.blocks, Section)}
        lines = [" ".join(line.split()) for line in page.splitlines() if line.strip()]
        foot = next(n for n, line in enumerate(lines) if re.search(r"(Page|Página) \d+ (of|de) \d+$", line))
        last = lines[foot - 1] if foot else ""
        if foot < 4 or last in headings | {"Contents", "Contenido"} or re.match(r"(Table|Tabla) \d+\. ", last):
            torn.append((document.id, last))
    assert torn == []


def _first_lines(page: str, count: int) -> list[str]:
    """Return the first lines below the running head."""
    lines = [" ".join(line.split()) for line in page.splitlines() if line.strip()]
    head = 2 if lines[1].startswith("Respiratory Protection Program") else 0
    return lines[head : head + count]


# ---- read aloud ---------------------------------------------------------------------------------------


def heard(file: Path) -> list[str]:
    """Return what the checker finds; it reads some of PDF/UA-1's rules, and says of itself which."""
    report = pdfua.validate(str(file))
    return [f"{one.rule_id}: {one.message}" for outcome in report.outcomes for one in outcome.findings]


HEARD = some(["every-node", "draft", "small_shop", "first_draft", "annex", "restoration_2026"], 2)


def document_to_hear(name: str) -> Document:
    if name == "annex":
        return of_sample("small_shop", DAYS["small_shop"]).annex
    made = {"every-node": program, "draft": sample_document}
    return made[name]() if name in made else of_sample(name, DAYS[name]).program


@pytest.mark.parametrize("name", HEARD)
def test_a_pdf_can_be_heard(name: str, tmp_path: Path) -> None:
    """PDF/UA-1 (ISO 14289-1), as far as a machine can tell."""
    file = tmp_path / "document.pdf"
    file.write_bytes(pdf_bytes(document_to_hear(name)))
    assert heard(file) == []


def test_every_form_can_be_heard(tmp_path: Path) -> None:
    judged = judge(load_path(PROGRAMS / "everything-said.yaml"), built_in_catalogue(), date(2026, 6, 1))
    forms = form_documents(judged)
    assert len(forms) >= 7
    faults = {}
    for name, form in forms.items():
        file = tmp_path / f"{name}.pdf"
        file.write_bytes(pdf_bytes(form))
        faults[name] = heard(file)
    assert {name: found for name, found in faults.items() if found} == {}


def test_the_checker_hears_a_table_without_titles(tmp_path: Path) -> None:
    source, file = tmp_path / "plain.typ", tmp_path / "plain.pdf"
    source.write_text('#set document(title: "Plain")\n#table(columns: 2, [1], [2], [3], [4])')
    file.write_bytes(typst.compile(source, format="pdf", pdf_standards="ua-1"))
    assert any("header cell" in fault for fault in heard(file))
