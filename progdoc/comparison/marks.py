"""Marks of a redline, as characters inside the words of a document tree.

Headings, captions, columns and cells are all words of the tree, and every writer already prints them. So a
change is marked by private-use characters that no keyboard types; a writer prints the tree as any other, and
its redline turns the characters into what its format has for changes. A user's own text never holds one:
`unmarked` takes them out of both trees first.
"""

from __future__ import annotations

import re

__all__ = [
    "BLOCK_DELETED",
    "BLOCK_END",
    "BLOCK_INSERTED",
    "BLOCK_MOVED_FROM",
    "BLOCK_MOVED_TO",
    "DELETED",
    "END",
    "INSERTED",
    "MARK",
    "MARK_BEGINS",
    "TYPED",
    "move_number",
    "moved_mark",
    "new_text",
    "old_text",
    "unmarked",
    "words_marked",
]

INSERTED, DELETED, END = "\ue010", "\ue011", "\ue012"  # words within a paragraph
BLOCK_INSERTED, BLOCK_DELETED, BLOCK_END = "\ue013", "\ue014", "\ue015"  # whole paragraphs, rows, tables
TYPED = "\ue016"  # before a number that is to be printed as it is, never counted anew
BLOCK_MOVED_FROM, BLOCK_MOVED_TO = "\ue017", "\ue018"  # whole parts that stand elsewhere now; their number follows
MARK_BEGINS = f"{INSERTED}-{BLOCK_MOVED_TO}"  # for a class of characters
MARK = re.compile(f"[{MARK_BEGINS}][\ue020-\ue029]*")
_DIGITS = "\ue020"  # a move's number, in digits that no text holds
_CHARACTERS = re.compile("[\ue010-\ue029]")
_INSERTED_WORDS = re.compile(f"[{INSERTED}{BLOCK_INSERTED}{BLOCK_MOVED_TO}][^{END}{BLOCK_END}]*")
_DELETED_WORDS = re.compile(f"[{DELETED}{BLOCK_DELETED}{BLOCK_MOVED_FROM}][^{END}{BLOCK_END}]*")


def unmarked(text: str) -> str:
    """Return the text with every mark shown as the replacement character.

    >>> unmarked("half\\ue010 mask")
    'half� mask'
    """
    return _CHARACTERS.sub("\ufffd", text)


def moved_mark(mark: str, number: int) -> str:
    """Return the mark of a move with its number: both places of one move have the same.

    >>> move_number(moved_mark(BLOCK_MOVED_TO, 12))
    12
    """
    return mark + "".join(chr(ord(_DIGITS) + int(digit)) for digit in str(number))


def move_number(mark: str) -> int:
    """Return the number of a move, by its mark."""
    return int("".join(str(ord(digit) - ord(_DIGITS)) for digit in mark[1:]))


def words_marked(text: str, mark: str) -> str:
    """Return words between a mark and its end; nothing stays nothing."""
    return f"{mark}{text}{END}" if text else ""


def new_text(marked: str) -> str:
    """Return what the words are once every change is accepted.

    >>> new_text("within \\ue01112\\ue012\\ue01024\\ue012 months")
    'within 24 months'
    """
    return MARK.sub("", _DELETED_WORDS.sub("", marked))


def old_text(marked: str) -> str:
    """Return what the words are once every change is rejected.

    >>> old_text("within \\ue01112\\ue012\\ue01024\\ue012 months")
    'within 12 months'
    """
    return MARK.sub("", _INSERTED_WORDS.sub("", marked))
