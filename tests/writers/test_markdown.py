"""Markdown: read back by a Markdown reader, every word is what it was and nothing of it became markup."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from datetime import date
from html.parser import HTMLParser

import markdown
import pytest
from examples import examples
from hypothesis import given
from hypothesis import strategies as st
from writers.one_of_each import ONE_OF_EACH_BLOCK, ONE_OF_EACH_INLINE
from writers.sample_tree import HOSTILE, sample_document

from progdoc.document.tree.cross_references import resolved
from progdoc.document.tree.nodes import (
    BLOCKS,
    INLINES,
    Block,
    Cell,
    Column,
    Document,
    Emphasis,
    Formula,
    Inline,
    LineBreak,
    Link,
    Listing,
    ListItem,
    Notice,
    OpenPoint,
    Paragraph,
    Row,
    Section,
    Signatures,
    Strong,
    Table,
    Text,
)
from progdoc.writers import WRITERS
from progdoc.writers.markdown import markdown_bytes


class _Words(HTMLParser):
    """Collects the words of a page and the tags around them."""

    def __init__(self) -> None:
        super().__init__()
        self.text = ""
        self.tags: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        if tag not in ("strong", "em", "a", "code"):
            self.text += " "

    def handle_data(self, data: str) -> None:
        self.text += data


def _read(blob: bytes) -> _Words:
    reader = _Words()
    reader.feed(markdown.markdown(blob.decode("utf-8"), extensions=["tables"]))
    reader.close()
    return reader


def _squeezed(text: str) -> str:
    return " ".join(text.split())


def _document(*blocks: Block) -> Document:
    return resolved(Document("d", "Title", "", "", date(2026, 11, 24), False, blocks))


def _body(blob: bytes) -> _Words:
    """Return what stands between the title block and the closing line."""
    text = blob.decode("utf-8").partition("-   Judged as of: 24 November 2026\n")[2]
    return _read(text.rpartition("\n* * *\n")[0].encode("utf-8"))


# The reader of descriptions refuses control characters; some readers of Markdown use them for themselves.
_TEXTS = st.one_of(
    st.text(st.sampled_from("ab1 .)(#+-*_`~!|<>&;\\[]{}:=\"'$%@^\n"), min_size=1, max_size=24),
    st.text(st.characters(exclude_categories=("C", "Zl", "Zp")), min_size=1, max_size=24),
).filter(lambda text: bool(text.strip()))
_PLACES = {
    "paragraph": lambda words: Paragraph("p", words),
    "item": lambda words: Listing("l", False, (ListItem("i", (Paragraph("p", words),)),)),
    "numbered item": lambda words: Listing("l", True, (ListItem("i", (Paragraph("p", words),)),)),
    "cell": lambda words: Table("t", "", (Column("h"), Column("k")), (Row("r", (Cell(words), Cell(()))),)),
    "notice": lambda words: Notice("n", "note", (Paragraph("p", words),)),
}


@examples(300)
@given(_TEXTS, st.sampled_from(sorted(_PLACES)))
def test_words_come_back_as_they_were(text: str, place: str):
    read = _body(markdown_bytes(_document(_PLACES[place]((Text(text),)))))
    expected = {"cell": f"h k {text}", "notice": f"Note {text}"}.get(place, text)
    assert _squeezed(read.text) == _squeezed(expected)
    assert not {"a", "em", "code", "h1", "h2", "hr", "img", "b", "script"} & set(read.tags)


@examples(200)
@given(_TEXTS)
def test_words_of_headings_points_formulas_and_signatures_come_back(text: str):
    blocks = (
        Section("s", text, (OpenPoint("o", "FIT-002", text, "gaps.html"), Formula("f", text))),
        Signatures("g", (("Owner", text),)),
    )
    read = _body(markdown_bytes(_document(*blocks)))
    expected = f"1 {text} Open point FIT-002: {text} {text} Role Name Signature Date Owner {text}"
    assert _squeezed(read.text) == _squeezed(expected)


_INLINES = st.recursive(
    st.one_of(st.builds(Text, _TEXTS), st.just(LineBreak())),
    lambda inner: st.one_of(
        st.builds(Strong, st.lists(inner, min_size=1, max_size=2).map(tuple)),
        st.builds(Emphasis, st.lists(inner, min_size=1, max_size=2).map(tuple)),
        st.builds(lambda words: Link("gaps.html", (Text(words),)), _TEXTS),
    ),
    max_leaves=5,
)


def _plain(node: Inline) -> str:
    if isinstance(node, Text):
        return node.text
    if isinstance(node, LineBreak):
        return " "
    assert isinstance(node, Strong | Emphasis | Link)
    return "".join(map(_plain, node.children))


@examples(300)
@given(st.lists(_INLINES, min_size=1, max_size=4).map(tuple))
def test_marks_in_a_row_and_within_one_another_leave_the_words_alone(children: tuple[Inline, ...]):
    read = _body(markdown_bytes(_document(Paragraph("p", children))))
    assert _squeezed(read.text) == _squeezed("".join(map(_plain, children)))


@pytest.mark.parametrize("kind", INLINES)
def test_every_kind_of_word_is_written(kind: type):
    node, seen, _ = ONE_OF_EACH_INLINE[kind]
    read = _body(markdown_bytes(_document(Section("there", "There", (Paragraph("p", (node,)),)))))
    assert seen in _squeezed(read.text)


@pytest.mark.parametrize("kind", BLOCKS)
def test_every_kind_of_block_is_written(kind: type):
    node, seen, _ = ONE_OF_EACH_BLOCK[kind]
    assert seen in _squeezed(_body(markdown_bytes(_document(node))).text)


def test_lists_quotes_and_tables_stay_apart():
    def item(name: str) -> ListItem:
        return ListItem(name, (Paragraph(f"{name}.p", (Text(name),)),))

    blocks = (
        Listing("l1", True, (item("one"), item("two"))),
        Listing("l2", True, (item("three"),)),
        OpenPoint("o1", "A-001", "first", "gaps.html"),
        Notice("n1", "note", (Paragraph("n1.p", (Text("second"),)),)),
        Listing("l3", False, (ListItem("t", (Table("t1", "", (Column("h"),), (Row("r", ()),)),)),)),
    )
    tags = _body(markdown_bytes(_document(*blocks))).tags
    assert (tags.count("ol"), tags.count("blockquote"), tags.count("table")) == (2, 2, 1)


def test_a_link_goes_only_where_links_may_go():
    blob = markdown_bytes(_document(Paragraph("p", (Link("javascript:1", (Text("x"),)),))))
    assert "javascript" not in blob.decode("utf-8")


def test_every_place_that_is_pointed_at_has_an_anchor():
    text = markdown_bytes(sample_document()).decode("utf-8")
    anchors = re.findall(r'<a id="([^"]+)"></a>', text)
    assert len(set(anchors)) == len(anchors)
    targets = set(re.findall(r"\]\(#([^)]+)\)", text))
    assert targets and targets <= set(anchors)


def test_a_draft_says_so_at_its_top_its_end_and_in_every_main_heading():
    lines = markdown_bytes(sample_document()).decode("utf-8").splitlines()
    assert "DRAFT" in lines[0] and "DRAFT" in lines[-1]
    main = [line for line in lines if re.match(r"## (\d|Annex)", line)]
    assert len(main) == 4 and all(line.endswith("DRAFT") for line in main)
    assert "DRAFT" not in markdown_bytes(sample_document(draft=False)).decode("utf-8")


def test_citations_can_be_left_out():
    assert "1910.134" not in re.sub(
        r"\]\([^)]*\)", "", markdown_bytes(sample_document(shows_citations=False)).decode("utf-8")
    )


def test_hostile_words_survive_everywhere():
    assert _squeezed(_read(markdown_bytes(sample_document())).text).count(_squeezed(HOSTILE)) == 4


def test_the_bytes_repeat():
    script = (
        "import sys; sys.path[:0] = sys.argv[1:]; from writers.sample_tree import sample_document; "
        "from progdoc.writers import WRITERS; "
        "[sys.stdout.buffer.write(WRITERS[name](sample_document())) for name in ('md', 'html')]"
    )
    there = subprocess.run(
        [sys.executable, "-c", script, *sys.path],
        env={**os.environ, "PYTHONHASHSEED": "2" if os.environ.get("PYTHONHASHSEED") == "1" else "1"},
        capture_output=True,
        check=True,
    ).stdout
    assert there == WRITERS["md"](sample_document()) + WRITERS["html"](sample_document())
