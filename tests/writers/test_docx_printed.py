"""The Word document as another program prints it: LibreOffice must be there (`.ci/run` installs it), with pdftotext.

Checked against LibreOffice's own layout: every word of every node on paper, numbering as in the tree, no row of a
table lost, and the contents' page numbers.
"""

from __future__ import annotations

import re
from dataclasses import replace
from random import Random

import pytest
from examples import TIMES
from writers.contents_on_paper import told_and_found
from writers.docx_sample import long_program, nodes_below, paragraph, program, words_of
from writers.libreoffice import LibreOffice

from progdoc.document.tree.cross_references import printed_contents, resolved
from progdoc.document.tree.nodes import Document, Section, Table
from progdoc.writers.docx import docx_bytes

_FILLING = "Work starts only after the controls named for the task are in place and the wearer has checked the seal. "


def _flowing(identity: str, sentences: int, count: int, seed: int) -> Document:
    """Return paragraphs, each of a heading's own, that meet the ends of pages in every way: seventy pages at night.

    Two lines at least stand on either page, Word's own rule. The lengths are chosen so that one line more or less at
    an end, or three lines parted or kept, brings some heading onto another page.
    """
    lengths = Random(seed).choices(range(sentences), k=count)
    sections = tuple(
        Section(f"s-{n}", f"Part {n}", (paragraph(f"s-{n}.p", f"Number {n}. " + _FILLING * length),))
        for n, length in enumerate(lengths)
    )
    return resolved(replace(program(), id=identity, blocks=sections))


DOCUMENTS = {
    document.id: document
    for document in (
        program(),
        long_program(),
        _flowing("long-paragraphs", 24, 200 if TIMES > 1 else 70, 1),
        _flowing("short-paragraphs", 6, 400, 3),
    )
}


@pytest.fixture(scope="module")
def printed(office: LibreOffice) -> dict[str, list[str]]:
    """The text of each page of each document, as LibreOffice prints it."""
    pages = office.printed([docx_bytes(document) for document in DOCUMENTS.values()])
    return dict(zip(DOCUMENTS, pages, strict=True))


def test_opens_in_libreoffice_with_every_word_of_every_node(printed: dict[str, list[str]]) -> None:
    pages = printed[program().id]
    squeezed = re.sub(r"\s", "", "".join(pages))
    letters = set(re.findall(r"\w+", "".join(pages)))
    # A cell's words may wrap between those of its neighbours, so words are looked up one by one there.
    missing = [
        words
        for words in sorted(words_of(program()))
        if re.sub(r"\s", "", words) not in squeezed and not set(re.findall(r"\w+", words)) <= letters
    ]
    assert missing == []
    for number, page in enumerate(pages, 1):
        assert f"Page {number} of {len(pages)}" in page
        assert "Revision 3" in page
        assert "DRAFT" in page
    for label in ("1 Purpose", "2.1.1.1 Upper", "Annex A Worked", "A.1 Hazard", "Table 1.", "Figure 2."):
        assert label.replace(" ", "") in squeezed
    assert "Error" not in squeezed


@pytest.mark.parametrize("name", DOCUMENTS)
def test_contents_give_the_page_on_which_libreoffice_puts_each_heading(
    name: str, printed: dict[str, list[str]]
) -> None:
    pages = printed[name]
    entries = printed_contents(DOCUMENTS[name])
    told, found = told_and_found(pages, entries)
    assert set(told) == {entry.id for entry in entries}
    assert told == found


def test_no_row_of_a_long_table_is_lost(printed: dict[str, list[str]]) -> None:
    pages = "".join(printed[long_program().id])
    tables = [node for node in nodes_below(long_program().blocks) if isinstance(node, Table)]
    devices = [row.id for table in tables for row in table.rows if row.id.startswith("record")]
    assert len(re.findall(r"Device \d+-\d+", pages)) == len(devices) > 100
