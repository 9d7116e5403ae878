"""What every format does alike: alerts under the title, a line that leads on, a table in small type."""

from __future__ import annotations

import re
import subprocess
from dataclasses import replace
from datetime import date
from io import BytesIO

import docx
import pytest

from progdoc.document.tree.cross_references import resolved
from progdoc.document.tree.nodes import (
    Cell,
    CitationMark,
    Column,
    Document,
    Listing,
    ListItem,
    Paragraph,
    Row,
    Section,
    Strong,
    Table,
    Text,
)
from progdoc.writers import WRITERS
from progdoc.writers.wording import leads_on

ALERTS = ("Nobody starts these tasks in these masks:", "Scraping: paper <mask> & string.", "Spraying: dust mask.")


def _paragraph(*children: Text | Strong | CitationMark) -> Paragraph:
    return Paragraph("p", children)


def _document(has_cover: bool) -> Document:
    item = ListItem("i", (Paragraph("i.p", (Text("when it leaks;"),)),))
    rows = (Row("r", (Cell((Text("small words"),)),)),)
    blocks = (
        _paragraph(Text("Leave the area:"), CitationMark("(g)(2)(ii)")),
        Listing("l", False, (item,)),
        Table("t", "To look up", (Column("Duty"),), rows, is_dense=True),
    )
    section = Section("s", "First section", blocks)
    day = date(2026, 11, 24)
    return resolved(
        Document("d", "Program", "Lime & Sash", "1", day, True, (section,), has_cover=has_cover, alerts=ALERTS)
    )


def _words(name: str, document: Document) -> str:
    data = WRITERS[name](document)
    if name == "pdf":
        return subprocess.run(
            ["pdftotext", "-raw", "-", "-"], input=data, capture_output=True, check=True
        ).stdout.decode()
    if name == "docx":
        return " ".join(docx.Document(BytesIO(data)).element.body.itertext())
    return data.decode()


@pytest.mark.parametrize("has_cover", [True, False])
@pytest.mark.parametrize("name", sorted(WRITERS))
def test_alerts_stand_before_contents_and_text_in_every_format(name: str, has_cover: bool) -> None:
    words = " ".join(_words(name, _document(has_cover)).split())
    places = [words.index(alert.partition("<")[0]) for alert in ALERTS]
    assert places == sorted(places)
    assert places[-1] < words.index("First section")
    assert words.lower().index("danger") < places[0]


@pytest.mark.parametrize("name", sorted(WRITERS))
def test_the_box_under_the_title_warns_in_the_language_of_its_paper(name: str) -> None:
    words = _words(name, replace(_document(has_cover=True), language="es-US"))
    assert re.search("peligro", words, re.IGNORECASE) and not re.search(r">\s*Danger\s*<|\bDANGER\b", words)


def test_a_name_to_type_has_its_own_hyphens_alone_where_a_line_ends_in_one() -> None:
    names = ", ".join(f"wash-in-{'w' * n}arm-water" for n in range(1, 40))
    document = replace(_document(has_cover=False), language="es-US", blocks=(_paragraph(Text(names)),))
    read = subprocess.run(
        ["pdftotext", "-layout", "-", "-"], input=WRITERS["pdf"](document), capture_output=True, check=True
    )
    lines = [line.strip() for line in read.stdout.decode().splitlines()]
    assert any(line.endswith("-") for line in lines)
    assert [line for line in lines if line.startswith("-")] == []


def test_a_line_that_ends_in_a_colon_leads_on() -> None:
    assert leads_on(_paragraph(Text("What to look at: "), CitationMark("(h)(3)(ii)")))
    assert leads_on(_paragraph(Strong((Text("What keeps the air clean:"),))))
    assert not leads_on(_paragraph(Text("Who: Jo Marsh."), CitationMark("(h)(1)")))
    assert not leads_on(_paragraph(CitationMark("(h)(1)")))


def test_word_and_paper_keep_such_a_line_with_what_follows_and_set_dense_tables_small() -> None:
    document = _document(has_cover=False)
    package = docx.Document(BytesIO(WRITERS["docx"](document)))
    (leading,) = [one for one in package.paragraphs if one.text.startswith("Leave the area:")]
    assert leading.paragraph_format.keep_with_next
    (small,) = [p for t in package.tables for c in t._cells for p in c.paragraphs if p.text == "small words"]
    assert small.style is not None
    assert small.style.name == "Dense Table Text"
    page = WRITERS["html"](document).decode()
    assert '<p id="p" class="leading">' in page
    assert '<table id="t" class="dense">' in page
