"""Text that any format can carry: no control characters, no half of a surrogate pair, no hidden turns.

Values come from a description that anybody may have written. A stray escape sequence could repaint a
terminal, a character that XML forbids makes a file unreadable, and a direction override makes a line read
as something it is not. Each is shown as the replacement character, so that the reader sees that it is there.
"""

from __future__ import annotations

import re

__all__ = ["printable"]

_UNPRINTABLE = re.compile(
    "[\x00-\x08\x0b-\x1f\x7f-\x9f"  # control characters other than tab and line feed
    "\u200e\u200f\u2028-\u202e\u2066-\u2069"  # marks, separators and overrides of the reading direction
    "\ud800-\udfff\ufffe\uffff]"  # what no encoding carries
)


def printable(text: str) -> str:
    r"""Return the text with every character that a page or a terminal must not get replaced by U+FFFD.

    >>> printable("half mask\x1b[31m")
    'half mask�[31m'
    >>> printable("first line\r\nsecond")
    'first line\nsecond'
    """
    return _UNPRINTABLE.sub("\ufffd", text.replace("\r\n", "\n"))
