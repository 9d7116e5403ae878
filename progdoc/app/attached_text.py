"""Whether an attached file is what its name says, as far as bytes tell: nobody reads it here, whoever gets it shall.

Of the two appendices that the law wants word for word, a file that can be read has to speak of respirators at all. What
a PDF or a picture shows, only a person can tell.
"""

from __future__ import annotations

import re
from io import BytesIO
from pathlib import PurePosixPath
from zipfile import BadZipFile, ZipFile

from progdoc.core.said import said, same

__all__ = ["why_no_text"]

_PICTURES = (b"\x89PNG\r\n\x1a\n", b"\xff\xd8\xff", b"II*\0", b"MM\0*", b"GIF8")
_BEGINS: dict[str, tuple[bytes, ...]] = {
    ".pdf": (b"%PDF-",),
    ".rtf": (b"{\\rtf",),
    ".doc": (b"\xd0\xcf\x11\xe0",),
    **dict.fromkeys((".png", ".jpg", ".jpeg", ".tif", ".tiff", ".gif"), _PICTURES),
}
_ZIPPED = {".docx": "word/document.xml", ".odt": "content.xml", ".xlsx": "xl/workbook.xml"}
_PLAIN = (".txt", ".md", ".html", ".htm", ".csv")
_NOT_TO_READ = (
    ".url",
    ".lnk",
    ".webloc",
    ".desktop",
    ".exe",
    ".msi",
    ".bat",
    ".cmd",
    ".com",
    ".scr",
    ".js",
    ".vbs",
    ".sh",
)
_FEWEST_LETTERS = 25
_MOST_BYTES = 5_000_000  # of a part that is looked into
_LETTER = re.compile(r"[^\W\d_]")
_SPEAKS_OF = "respira"  # respirator, respirador: both appendices are about nothing else


def why_no_text(file: str, content: bytes, is_official: bool) -> str:
    """Return why a file is not what its name says, "" where nothing speaks against it.

    >>> why_no_text("appendix-d.pdf", b"hello", True)
    'is called .pdf, and is none'
    """
    kind = PurePosixPath(file).suffix.lower()
    if kind in _NOT_TO_READ:
        return said("is a link or a program, and no text that anybody can read in the package")
    if not content.strip(b"\0 \t\r\n"):
        return said("is blank: whoever gets the program would get nothing")
    if kind in _BEGINS and not any(mark in content[:1024] for mark in _BEGINS[kind]):
        return said("is called %(kind)s, and is none", kind=same(kind))
    text = _text(kind, content)
    if text is None:
        return said("is called %(kind)s, and is none", kind=same(kind)) if kind in _ZIPPED else ""
    if len(_LETTER.findall(text)) < _FEWEST_LETTERS:
        return said("holds hardly a word")
    if is_official and _SPEAKS_OF not in text.casefold():
        return said("stands for an appendix of the standard, and says nothing of respirators")
    return ""


def _text(kind: str, content: bytes) -> str | None:
    """Return what a file that can be read says, marks of its format among it; None where it can't be read."""
    if kind in _PLAIN:
        return content[:_MOST_BYTES].decode(
            "utf-16" if content[:2] in (b"\xff\xfe", b"\xfe\xff") else "utf-8", "replace"
        )
    if kind not in _ZIPPED:
        return None
    try:
        with ZipFile(BytesIO(content)) as archive, archive.open(_ZIPPED[kind]) as part:
            return re.sub("<[^<>]*>", "", part.read(_MOST_BYTES).decode("utf-8", "replace"))
    except (BadZipFile, KeyError, NotImplementedError, RuntimeError, OSError, ValueError):
        return None
