"""What only holds the place of an answer is printed on no paper: a draft says there that it is not settled."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

import pytest
from document.reading import of_type
from examples import TIMES, some
from programs.patching import AS_OF, PROGRAMS, read_as_text, written

from progdoc.document.papers.task_page import task_documents
from progdoc.document.papers.written_program import written_program
from progdoc.document.templating.templates import shipped_templates
from progdoc.document.tree.nodes import NOT_SETTLED, Document, Text
from progdoc.model.description.fields import texts_in
from progdoc.model.load import Loaded, load
from progdoc.rules.judge import judge
from progdoc.rules.judged.result import Judged
from progdoc.rules.lookup.answers_said import Said, said_by
from progdoc.rules.lookup.table_files import table_entries
from progdoc.rules.reading.catalogue import built_in_catalogue

HOLDING = [word for group in table_entries("empty_answers", "placeholders") for word in group["words"] if len(word) > 2]
TRIED = [word for word in (*some(HOLDING, 60), "TBD", "???") if said_by(word) is Said.PLACEHOLDER]
_STEP = re.compile(r"([^.\[\]]+)|\[(\d+)\]")
_NO_ANSWERS = ("accepted", "people", "program.jurisdiction")


def _values(name: str) -> Any:
    return read_as_text((PROGRAMS / f"{name}.yaml").read_text("utf-8"))


def _loaded(values: Any) -> Loaded:
    return load({"program.yaml": written(values).encode()})


def _with(name: str, paths: list[str], words: str) -> Judged:
    values = _values(name)
    for path in paths:
        *way, last = [int(index) if index else key for key, index in _STEP.findall(path)]
        place = values
        for step in way:
            place = place[step]
        place[last] = words
    loaded = _loaded(values)
    assert loaded.program is not None, [finding.what for finding in loaded.diagnostics]
    return judge(loaded, built_in_catalogue(), AS_OF)


def _texts(name: str) -> list[str]:
    program = _loaded(_values(name)).program
    return [path for path, _ in texts_in(program) if not path.startswith(_NO_ANSWERS)] if program else []


def _printed(found: Judged) -> list[str]:
    """Return the texts that the pages of the tasks print."""
    pages = task_documents(found).values()
    known = {path for path, _ in texts_in(found.description)}
    return sorted({text.path for page in pages for text in of_type(page, Text)} & known)


def _words(page: Document) -> Iterator[str]:
    yield from (page.title, page.organisation, page.officer, page.revision, *page.alerts)
    yield from (text.text for text in of_type(page.blocks, Text))
    yield from (word for entry in page.history for word in (entry.revision, entry.by, entry.summary))


def _repeated(page: Document, words: str) -> list[str]:
    told = re.compile(rf"(?<!\\w){re.escape(words)}(?!\\w)")
    return [text for text in _words(page) if told.search(text)]


@pytest.mark.parametrize("name", ["base", "everything-said"])
def test_no_page_of_a_task_repeats_a_placeholder(name: str) -> None:
    printed = _printed(_with(name, [], ""))
    assert len(printed) > 8, printed
    tried = [[path] for path in printed] if TIMES > 1 else [printed]
    for words in TRIED if TIMES > 1 else TRIED[-2:-1]:
        for paths in tried:
            found = _with(name, paths, words)
            assert set(paths) <= found.open_texts, (words, set(paths) - found.open_texts)
            pages = task_documents(found)
            assert {task: told for task, page in pages.items() if (told := _repeated(page, words))} == {}
            assert any(NOT_SETTLED in text for page in pages.values() for text in _words(page)) or len(paths) == 1
            assert all(page.draft for page in pages.values())


@pytest.mark.parametrize("words", TRIED if TIMES > 1 else TRIED[-2:-1])
def test_no_sentence_of_the_program_repeats_a_placeholder(words: str) -> None:
    """Whatever text of the description it is; an open point or a caution may quote it, and says that it is none."""
    found = _with("base", _texts("base"), words)
    whole = written_program(found, shipped_templates())
    for paper in (whole.program, whole.annex):
        said = [(text.path, text.text) for text in of_type(paper.blocks, Text) if text.path]
        assert [one for one in said if words in one[1]] == []
