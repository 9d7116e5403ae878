"""One small node of every type, with words that a reader must find and a tag that HTML must hold.

A type added to the tree without an entry here fails the writers' tests.
"""

from __future__ import annotations

from progdoc.document.tree.nodes import (
    Answer,
    Block,
    Cell,
    CitationMark,
    Column,
    Emphasis,
    FieldKind,
    Figure,
    FormField,
    Formula,
    Inline,
    LineBreak,
    Link,
    Listing,
    ListItem,
    Notice,
    OpenPoint,
    Paragraph,
    Reference,
    Row,
    Section,
    Signatures,
    Strong,
    Table,
    Text,
)

__all__ = ["ONE_OF_EACH_BLOCK", "ONE_OF_EACH_INLINE"]

_WORDS = (Text("clean every mask"),)
_PARAGRAPH = Paragraph("p", _WORDS)
_SVG = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 9 9"><rect width="9" height="9"/></svg>'

ONE_OF_EACH_INLINE: dict[type, tuple[Inline, str, str]] = {
    Text: (Text("words"), "words", "p"),
    Strong: (Strong(_WORDS), "clean every mask", "strong"),
    Emphasis: (Emphasis(_WORDS), "clean every mask", "em"),
    Link: (Link("gaps.html", _WORDS), "clean every mask", "a"),
    Reference: (Reference("there"), "1 There", "a"),
    CitationMark: (CitationMark("29 CFR 1910.134(h)(1)"), "[29 CFR 1910.134(h)(1)]", "span"),
    LineBreak: (LineBreak(), "", "br"),
    FormField: (FormField("f", "Result", FieldKind.CHOICE, ("passed",)), "passed", "input"),
}

ONE_OF_EACH_BLOCK: dict[type, tuple[Block, str, str]] = {
    Section: (Section("s", "Cleaning", (_PARAGRAPH,)), "1 Cleaning clean every mask", "section"),
    Paragraph: (_PARAGRAPH, "clean every mask", "p"),
    Listing: (Listing("l", True, (ListItem("i", (_PARAGRAPH,)),)), "clean every mask", "ol"),
    Table: (
        Table("t", "Masks", (Column("Mask"),), (Row("r", (Cell(_WORDS),)),)),
        "Mask clean every mask",
        "caption",
    ),
    Figure: (Figure("f", "Ladder", "four steps", _SVG), "four steps", "svg"),
    Formula: (Formula("f", "240 ÷ 50 = 4.8"), "240 ÷ 50 = 4.8", "p"),
    OpenPoint: (OpenPoint("o", "CLN-001", "who cleans", "gaps.html"), "CLN-001", "strong"),
    Notice: (Notice("n", "danger", (_PARAGRAPH,)), "Danger clean every mask", "div"),
    Answer: (Answer("a", ("CLN-001",), ("(h)(1)",), (_PARAGRAPH,)), "clean every mask", "div"),
    Signatures: (Signatures("g", (("Owner", "Ada Quill"),)), "Owner Ada Quill", "table"),
}
