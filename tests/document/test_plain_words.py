"""What people read holds no path of the description, no code of a finding and no mark of a programmer."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from pathlib import Path

import pytest
from document.reading import of_type, program_of
from examples import some
from programs.patching import judged, patched, patches
from programs.whole import WHOLE, judged_whole, written_whole

from progdoc.document.papers.task_page import task_documents
from progdoc.document.tree.nodes import Document, Formula, OpenPoint, Paragraph, Text

FOR_PROGRAMMERS = re.compile(r"`|\w\[\d+\]|\b[A-Z]{3}-\d{3}\b")
GLUED = re.compile(r"[a-z]\.[A-Z]|\.-(?!\d)|\.\.(?!\.)")  # two sentences without a blank, or an item that is none
# In a paper to sign nothing stands open, so that whatever it calls unsaid was never asked.
UNASKED = re.compile(r"not (stated|said|given)\b|\b(nobody|nothing) (says|has been said)", re.IGNORECASE)
WITH_DANGER = [entry for code, entry in patches() if code[:3] in ("TSK", "MSK", "EXP") and entry["expect"] == "gap"]


def _noise(papers: Iterable[Document]) -> Iterator[str]:
    for document in papers:
        for node in of_type(document, (Text, OpenPoint, Formula)):
            if FOR_PROGRAMMERS.search(node.text):
                yield f"{document.id}: {node.text}"
        for paragraph in of_type(document, Paragraph):
            words = "".join(text.text for text in of_type(paragraph, Text))
            if GLUED.search(words):
                yield f"{document.id}: {words}"


@pytest.mark.parametrize("name", WHOLE)
def test_programs_and_task_pages_are_in_plain_words(name: str) -> None:
    papers = (written_whole(name).program, *task_documents(judged_whole(name)).values())
    assert list(_noise(papers)) == []
    told = [text.text for paper in papers if not paper.draft for text in of_type(paper, Text)]
    assert [words for words in told if UNASKED.search(words)] == []


@pytest.mark.parametrize("entry", some(WITH_DANGER[::12], 6), ids=lambda entry: str(entry["code"]))
def test_what_is_open_or_dangerous_is_told_in_plain_words(entry: dict[str, object], tmp_path: Path) -> None:
    found = judged(patched(entry), tmp_path)
    assert list(_noise((program_of(found), *task_documents(found).values()))) == []
