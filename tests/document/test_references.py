"""Numbers and references: the same in every format, and never silently wrong."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from progdoc.core.errors import ProgdocError
from progdoc.document.tree.cross_references import contents, resolved
from progdoc.document.tree.nodes import (
    Answer,
    Block,
    Cell,
    Column,
    Document,
    Emphasis,
    Figure,
    Link,
    Listing,
    ListItem,
    Notice,
    Paragraph,
    Reference,
    Row,
    Section,
    Strong,
    Table,
    Text,
)


def _document(*blocks: Block) -> Document:
    return Document("program", "Program", "Lime & Sash", "1", date(2026, 11, 24), False, blocks)


def _paragraph(name: str, *targets: str) -> Paragraph:
    return Paragraph(name, tuple(Reference(target) for target in targets))


def _table(name: str, caption: str) -> Table:
    row = Row(f"{name}.row", (Cell((Text("x"),)),))
    return Table(name, caption, (Column("x"),), (row,))


def _numbers(document: Document) -> list[tuple[int, str, str]]:
    return [(entry.level, entry.number, entry.id) for entry in contents(document, 9)]


def test_sections_count_within_their_parent_and_annexes_are_lettered():
    document = resolved(
        _document(
            Section("scope", "Scope", ()),
            Section("fit", "Fit", (Section("fit.a", "A", ()), Section("fit.b", "B", ()))),
            Section("working", "Working", (Section("working.a", "A", ()),), is_annex=True),
            Section("terms", "Terms", (), is_annex=True),
        )
    )
    assert _numbers(document) == [
        (1, "1", "scope"),
        (1, "2", "fit"),
        (2, "2.1", "fit.a"),
        (2, "2.2", "fit.b"),
        (1, "A", "working"),
        (2, "A.1", "working.a"),
        (1, "B", "terms"),
    ]


def test_numbering_looks_through_answers_and_notices():
    document = resolved(
        _document(
            Section("one", "One", ()),
            Answer("answer", (), (), (Section("two", "Two", ()),)),
            Section("three", "Three", ()),
        )
    )
    assert _numbers(document) == [(1, "1", "one"), (1, "2", "two"), (1, "3", "three")]


def test_the_27th_annex_is_aa():
    blocks = [Section(f"s{n}", "x", (), is_annex=True) for n in range(28)]
    assert [number for _, number, _ in _numbers(resolved(_document(*blocks)))][24:] == ["Y", "Z", "AA", "AB"]


def test_contents_stop_at_their_depth():
    document = _document(Section("a", "A", (Section("b", "B", (Section("c", "C", ()),)),)))
    assert [entry.id for entry in contents(resolved(document), 2)] == ["a", "b"]


def test_only_captioned_tables_and_figures_are_numbered():
    document = resolved(
        _document(
            _table("first", "Limits"),
            _table("plain", ""),
            Section("s", "S", (Notice("n", "note", (_table("second", "Masks"),)),)),
            Figure("f", "Ladder", "words", "<svg/>"),
        )
    )
    first, plain, section, figure = document.blocks
    assert isinstance(first, Table) and isinstance(plain, Table)
    assert isinstance(section, Section) and isinstance(figure, Figure)
    notice = section.blocks[0]
    assert isinstance(notice, Notice)
    second = notice.blocks[0]
    assert isinstance(second, Table)
    assert (first.number, plain.number, second.number, figure.number) == (1, 0, 2, 1)


@pytest.mark.parametrize(
    ("target", "text"),
    [
        ("fit.interval", "1.1 Interval"),
        ("working", "Annex A Working"),
        ("working.lead", "A.1 Lead"),
        ("limits", "Table 1"),
        ("limits.row", "Table 1"),
        ("ladder", "Figure 1"),
        ("words", "1 Fit testing"),
        ("item", "1 Fit testing"),
        ("loose", "Program"),
    ],
)
def test_a_reference_prints_what_it_points_at(target: str, text: str):
    document = _document(
        _paragraph("asking", target),
        _paragraph("loose"),
        Section(
            "fit",
            "Fit testing",
            (
                Section("fit.interval", "Interval", ()),
                _paragraph("words"),
                Listing("list", False, (ListItem("item", ()),)),
                _table("limits", "Limits"),
                Figure("ladder", "Ladder", "words", "<svg/>"),
            ),
        ),
        Section("working", "Working", (Section("working.lead", "Lead", ()),), is_annex=True),
    )
    asking = resolved(document).blocks[0]
    assert asking == Paragraph("asking", (Reference(target, text),))


def test_references_are_found_wherever_words_can_stand():
    deep = (Strong((Emphasis((Link("gaps.html", (Reference("s"),)),)),)),)
    there = (Strong((Emphasis((Link("gaps.html", (Reference("s", "1 S"),)),)),)),)
    row, row_there = Row("r", (Cell(deep),)), Row("r", (Cell(there),))
    columns = (Column("x"),)
    before = Section(
        "s",
        "S",
        (
            Answer("a", (), (), (Paragraph("p", deep),)),
            Listing("l", True, (ListItem("i", (Paragraph("q", deep),)),)),
            Table("t", "", columns, (row,)),
        ),
    )
    after = Section(
        "s",
        "S",
        (
            Answer("a", (), (), (Paragraph("p", there),)),
            Listing("l", True, (ListItem("i", (Paragraph("q", there),)),)),
            Table("t", "", columns, (row_there,)),
        ),
        number="1",
    )
    assert resolved(_document(before)).blocks == (after,)


def test_a_reference_keeps_words_of_its_own():
    document = _document(Paragraph("p", (Reference("p", "the words above"),)))
    assert resolved(document) == document


def test_every_fault_is_named_in_one_message():
    document = _document(
        Section("twice", "One", (_paragraph("p", "nowhere", "gone"),)),
        Section("twice", "Two", (_table("t", ""), Paragraph("t.row", ()), Paragraph("two words", ()))),
    )
    with pytest.raises(ProgdocError) as caught:
        resolved(document)
    message = str(caught.value)
    for part in ("'program'", "'twice'", "'t.row'", "'nowhere'", "'gone'", "'two words'"):
        assert part in message


_SHAPES = st.recursive(st.just(()), lambda inner: st.lists(inner, max_size=3).map(tuple), max_leaves=15)


@given(_SHAPES)
def test_resolving_twice_changes_nothing_and_numbers_are_unique(shape: tuple[object, ...]):
    def sections(inner: tuple[object, ...], name: str) -> tuple[Section, ...]:
        return tuple(
            Section(f"{name}.{n}", "x", sections(one, f"{name}.{n}"))
            for n, one in enumerate(inner)
            if isinstance(one, tuple)
        )

    once = resolved(_document(*sections(shape, "s")))
    numbers = [number for _, number, _ in _numbers(once)]
    assert len(set(numbers)) == len(numbers)
    assert resolved(once) == once
