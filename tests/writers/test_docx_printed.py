"""The Word document as another program prints it: LibreOffice must be there (`.ci/run` installs it), with pdftotext.

Checked against LibreOffice's own layout: every word of every node on paper, numbering as in the tree, no row of a
table lost, and the contents' page numbers.
"""

from __future__ import annotations

import re
import subprocess
from pathlib import Path

import pytest
from writers.docx_sample import long_program, nodes_below, program, words_of

from progdoc.document.tree.cross_references import contents
from progdoc.document.tree.nodes import Document, Table
from progdoc.writers.docx import docx_bytes


def _printed_pages(document: Document, folder: Path) -> list[str]:
    """Return the text of each page as LibreOffice prints the document."""
    (folder / "document.docx").write_bytes(docx_bytes(document))
    profile = f"-env:UserInstallation={(folder / 'profile').as_uri()}"
    command = ["soffice", profile, "--headless", "--convert-to", "pdf", "--outdir", str(folder)]
    subprocess.run([*command, str(folder / "document.docx")], check=True, capture_output=True, timeout=240)
    made = subprocess.run(["pdftotext", "-layout", str(folder / "document.pdf"), "-"], check=True, capture_output=True)
    return made.stdout.decode().split("\f")[:-1]


def test_opens_in_libreoffice_with_every_word_of_every_node(tmp_path: Path) -> None:
    pages = _printed_pages(program(), tmp_path)
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
    for label in ("1 Purpose", "2.1.1.1 Upper", "Appendix A Worked", "A.1 Hazard", "Table 1.", "Figure 2."):
        assert label.replace(" ", "") in squeezed
    assert "Error" not in squeezed


@pytest.mark.parametrize("document", [program(), long_program()], ids=lambda d: d.id)
def test_contents_give_the_page_on_which_libreoffice_puts_each_heading(document: Document, tmp_path: Path) -> None:
    pages = _printed_pages(document, tmp_path)
    entries = contents(document, 2)
    said, found = {}, {}
    for number, page in enumerate(pages, 1):
        for line in page.splitlines():
            words = " ".join(line.split())
            for entry in entries:
                label = f"Appendix {entry.number}" if entry.number.isalpha() else entry.number
                heading = f"{label} {entry.title}"
                if words == heading:
                    found[entry.id] = number
                elif re.fullmatch(rf"{re.escape(heading)} ?\.{{3,}} ?\d+", words):
                    said[entry.id] = int(words.rpartition(".")[2])
    assert set(said) == {entry.id for entry in entries}
    assert said == found


def test_no_row_of_a_long_table_is_lost(tmp_path: Path) -> None:
    pages = "".join(_printed_pages(long_program(), tmp_path))
    tables = [node for node in nodes_below(long_program().blocks) if isinstance(node, Table)]
    devices = [row.id for table in tables for row in table.rows if row.id.startswith("record")]
    assert len(re.findall(r"Device \d+-\d+", pages)) == len(devices) > 100
