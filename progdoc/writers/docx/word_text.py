"""Words as WordprocessingML text: escaped, freed of characters that XML forbids, spaces kept."""

from __future__ import annotations

import re
from html import escape

__all__ = ["attribute", "field", "field_ends", "page_field", "paragraph", "printable", "run"]

_FORBIDDEN = dict.fromkeys((*range(9), 11, 12, *range(14, 32), *range(0xD800, 0xE000), 0xFFFE, 0xFFFF))
# What is looked at sign by sign: most of what is said has nothing but letters, digits and plain signs.
_NEEDS_CARE = re.compile("[^ -%'-;=?-~\u00a0-\ud7ff]|\"").search
_BREAKS = re.compile(r"(\n|\t)")
_ELEMENTS = {"\n": "<w:br/>", "\t": "<w:tab/>"}

_TO_SPACES = str.maketrans("\n\r\t", "   ")


def printable(text: str) -> str:
    """Return the text without the characters that XML 1.0 forbids."""
    return text if text.isprintable() else text.translate(_FORBIDDEN)


def attribute(text: str) -> str:
    """Return text for between double quotes.

    >>> attribute('5 < 6 & "quoted"')
    '5 &lt; 6 &amp; &quot;quoted&quot;'
    """
    if _NEEDS_CARE(text) is None:
        return text
    return escape(printable(text).translate(_TO_SPACES), quote=False).replace('"', "&quot;")


def run(text: str, look: str = "") -> str:
    """Return the text as one run; `look` is the content of its `w:rPr`.

    >>> run("a\\x07b")
    '<w:r><w:t xml:space="preserve">ab</w:t></w:r>'
    """
    if text and _NEEDS_CARE(text) is None:
        return f'<w:r>{f"<w:rPr>{look}</w:rPr>" if look else ""}<w:t xml:space="preserve">{text}</w:t></w:r>'
    clean = printable(text.replace("\r\n", "\n").replace("\r", "\n"))
    if not clean:
        return ""
    pieces = "".join(
        _ELEMENTS.get(piece) or f'<w:t xml:space="preserve">{escape(piece, quote=False)}</w:t>'
        for piece in _BREAKS.split(clean)
        if piece
    )
    return f"<w:r>{f'<w:rPr>{look}</w:rPr>' if look else ''}{pieces}</w:r>"


def field_ends(instruction: str, look: str = "") -> tuple[str, str]:
    """Return what stands before and after a field's result."""
    properties = f"<w:rPr>{look}</w:rPr>" if look else ""

    def mark(kind: str) -> str:
        return f'<w:r>{properties}<w:fldChar w:fldCharType="{kind}"/></w:r>'

    said = f'<w:r>{properties}<w:instrText xml:space="preserve"> {instruction} </w:instrText></w:r>'
    return f"{mark('begin')}{said}{mark('separate')}", mark("end")


def field(instruction: str, result: str, look: str = "") -> str:
    """Return a field with its result already filled in, so that nobody is asked to update it."""
    before, after = field_ends(instruction, look)
    return f"{before}{run(result, look)}{after}"


def page_field(bookmark: str, look: str = "") -> str:
    """Return a field for the page of a bookmark; the page itself is filled in once the text is set."""
    return field(f"PAGEREF {bookmark} \\h", "0", look)


def paragraph(style: str, content: str, properties: str = "") -> str:
    """Return a paragraph; `properties` are those that follow the style in `w:pPr`, in the schema's order."""
    return f'<w:p><w:pPr><w:pStyle w:val="{style}"/>{properties}</w:pPr>{content}</w:p>'
