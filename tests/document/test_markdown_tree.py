"""Templates' Markdown to nodes: what the parser does not know stands as markers and becomes nodes."""

from __future__ import annotations

import pytest

from progdoc.core.errors import ProgdocError
from progdoc.document.tree.markdown_tree import AnswerSlot, Slots, sections_of
from progdoc.document.tree.nodes import (
    Answer,
    CitationMark,
    Listing,
    Notice,
    Paragraph,
    Reference,
    Section,
    Strong,
    Table,
    Text,
)
from progdoc.document.tree.tokens import MARKERS, Tokens


def _mark(kind: str, name: str) -> str:
    return f"{MARKERS[kind]}{name}{MARKERS['stop']}"


def _sections(text: str, slots: Slots | None = None, tokens: Tokens | None = None) -> tuple[Section, ...]:
    return sections_of(text, tokens or Tokens(), slots or Slots({}))


def test_headings_nest_and_empty_sections_are_absent() -> None:
    (one,) = _sections(
        "# One {#one}\n\nA.\n\n## Two {#two}\n\n## Three {#three}\n\nB.\n\n# Four {#four}\n\n## Five {#five}\n"
    )
    assert one.id == "one"
    assert [b.id for b in one.blocks if isinstance(b, Section)] == ["three"]


def test_a_heading_may_hold_user_text() -> None:
    tokens = Tokens()
    name = tokens.hide("Scraping | **sashes** {#x}", "tasks[0].name")
    (section,) = _sections(f"# {name} {{#task.a}}\n\nA.\n", tokens=tokens)
    assert (section.id, section.title) == ("task.a", "Scraping | **sashes** {#x}")


def test_a_heading_needs_an_id() -> None:
    with pytest.raises(ProgdocError, match="“Use” needs an id"):
        _sections("# Use\n\nA.\n")


def test_raw_html_stays_text() -> None:
    (section,) = _sections("# A {#a}\n\n<b>x</b>\n\n<script>1</script>\n")
    words = [child.text for p in section.blocks if isinstance(p, Paragraph) for child in p.children]
    assert words == ["<b>x</b>", "<script>1</script>"]


def test_lists_tables_and_notices() -> None:
    text = "# A {#a}\n\n- **one**\n- two\n\n1. first\n\n| h | k |\n|---|---|\n| 1 | 2 |\n\n!!! danger\n    Stay out.\n"
    bullets, numbers, table, notice = _sections(text)[0].blocks
    assert isinstance(bullets, Listing)
    assert not bullets.ordered
    assert bullets.items[0].blocks[0] == Paragraph("a.list.item1.p", (Strong((Text("one"),)),))
    assert isinstance(numbers, Listing)
    assert numbers.ordered
    assert isinstance(table, Table)
    assert [column.title for column in table.columns] == ["h", "k"]
    assert isinstance(notice, Notice)
    assert notice.kind == "danger"


def test_answers_nest_and_carry_their_citation() -> None:
    slots = Slots(
        {},
        [
            AnswerSlot("outer", ("FIT-001",), ("29 CFR 1910.134(f)(1)",)),
            AnswerSlot("inner", ("FIT-002",), ("29 CFR 1910.134(f)(2)",), mark="(f)(2)"),
        ],
    )
    begin, end = (lambda n: _mark("begin", str(n))), MARKERS["end"]
    text = f"# A {{#a}}\n\n{begin(0)}\n\nOne.\n\n{begin(1)}\n\n- two\n- three\n\n{end}\n\n{end}\n"
    (outer,) = _sections(text, slots)[0].blocks
    assert isinstance(outer, Answer)
    assert outer.id == "a.outer"
    inner = outer.blocks[1]
    assert isinstance(inner, Answer)
    listing = inner.blocks[0]
    assert isinstance(listing, Listing)
    last = listing.items[-1].blocks[0]
    assert isinstance(last, Paragraph)
    assert last.children[-1] == CitationMark("(f)(2)")


def test_an_answer_without_words_is_absent() -> None:
    slots = Slots({}, [AnswerSlot("x", ("FIT-001",), ())])
    assert _sections(f"# A {{#a}}\n\n{_mark('begin', '0')}\n\n{MARKERS['end']}\n", slots) == ()


def test_an_answer_that_answers_nothing_leaves_its_blocks() -> None:
    slots = Slots({}, [AnswerSlot("x", (), ())])
    (section,) = _sections(f"# A {{#a}}\n\n{_mark('begin', '0')}\n\nWords.\n\n{MARKERS['end']}\n", slots)
    assert isinstance(section.blocks[0], Paragraph)


def test_no_heading_inside_an_answer() -> None:
    slots = Slots({}, [AnswerSlot("x", (), ())])
    with pytest.raises(ProgdocError, match="stands inside an answer"):
        _sections(f"# A {{#a}}\n\n{_mark('begin', '0')}\n\n## B {{#b}}\n\n{MARKERS['end']}\n", slots)


def test_ready_made_sections_stand_under_the_templates_own() -> None:
    own = Section("own.rules", "House rules", (Paragraph("own.rules.p1", (Text("Be kind."),)),))
    text = f"# A {{#a}}\n\n## B {{#b}}\n\nWords.\n\n{_mark('block', 'own.a')}\n"
    (section,) = _sections(text, Slots({"own.a": (own,)}))
    assert [block.id for block in section.blocks] == ["b", "own.rules"]


def test_citations_and_references_stand_in_the_line() -> None:
    text = f"# A {{#a}}\n\nSee {_mark('ref', 'a')}. So it is. {_mark('cite', '(f)(2)')}\n"
    paragraph = _sections(text)[0].blocks[0]
    assert isinstance(paragraph, Paragraph)
    assert paragraph.children == (Text("See "), Reference("a"), Text(". So it is."), CitationMark("(f)(2)"))


def test_templates_have_no_use_for_pictures() -> None:
    with pytest.raises(ProgdocError, match="no use for <img>"):
        _sections("# A {#a}\n\n![x](y.png)\n")
