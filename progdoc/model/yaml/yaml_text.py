"""Bytes of a file to text that a YAML parser may see, with a place for every character it may not.

A UTF-8 byte-order mark is harmless and dropped. Other encodings are refused, never guessed. A bad
character is reported and then replaced by one of the same width, so that the rest of the file can still
be checked in the same run.
"""

from __future__ import annotations

import codecs
import re
import unicodedata
from functools import cache

from progdoc.core.diagnostics import Diagnostic, Location
from progdoc.core.said import said, same
from progdoc.model.yaml.yaml_faults import fault

__all__ = ["decoded", "is_printable", "line_and_column"]

_MOST_PLACES = 20  # of one kind in one file; more of them have the same cause

_OTHER_ENCODINGS = [  # the longer marks first: UTF-32's begins like UTF-16's
    (codecs.BOM_UTF32_LE, "UTF-32"),
    (codecs.BOM_UTF32_BE, "UTF-32"),
    (codecs.BOM_UTF16_LE, "UTF-16 (Windows calls it Unicode)"),
    (codecs.BOM_UTF16_BE, "UTF-16 (Windows calls it Unicode big endian)"),
]

_HIDDEN = re.compile("[\u200b\u2060\ufeff\u202a-\u202e\u2066-\u2069]")
_ODD_SPACE = re.compile(
    r"^[ \t]*(?:- +)*(?:[\w-]+:)?(?P<odd>[\u00a0\u1680\u2000-\u200a\u202f\u205f\u3000]+)", re.MULTILINE
)


@cache
def _control() -> re.Pattern[str]:
    """Match what is not in YAML 1.2.2, rule 1 (c-printable), and the line separators that no editor counts as a line.

    To compile it costs as much as to read a file, and few texts ask for it.
    """
    return re.compile("[^\t\n\r\x20-\x7e\xa0-\u2027\u202a-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


def is_printable(text: str) -> bool:
    """Say whether a text holds only characters that a page can show, tabs and line ends included."""
    return _is_seen(text) or (not _control().search(text) and (text.isascii() or not _HIDDEN.search(text)))


def _is_seen(text: str) -> bool:
    """Say whether beside tabs and line ends all is what Python calls printable: no sign, then, that nobody sees."""
    return text.isprintable() or text.replace("\n", "").replace("\t", "").replace("\r", "").isprintable()


def line_and_column(text: str, index: int) -> tuple[int, int]:
    """Return the 1-based line and column of a character, as an editor counts them.

    >>> line_and_column("a: 1\\r\\nb: 2", 9)
    (2, 4)
    """
    breaks = text.count("\n", 0, index) + text.count("\r", 0, index) - text.count("\r\n", 0, index)
    last = max(text.rfind("\n", 0, index), text.rfind("\r", 0, index))
    return breaks + 1, index - last


def decoded(data: bytes, file: str) -> tuple[str | None, list[Diagnostic]]:
    """Return the text of a file (None if it is in no way UTF-8) and the characters that cannot stand."""
    other = next((name for mark, name in _OTHER_ENCODINGS if data.startswith(mark)), "")
    head = data[:1000]
    if not other and len(head) >= 4 and head.count(0) * 3 >= len(head):
        other = "UTF-16 without a mark, or not a text file at all"
    if other:
        return None, [
            fault("YAML-010", Location(file, 0, 0), said("the file is saved as %(other)s, not as UTF-8", other=other))
        ]
    text, faults = _utf8(data.removeprefix(codecs.BOM_UTF8), file)
    if not _is_seen(text):
        text = _screened(text, file, faults)
    return text, faults


def _utf8(data: bytes, file: str) -> tuple[str, list[Diagnostic]]:
    """Decode, and report each byte that is not UTF-8 with the character it probably was."""
    try:
        return data.decode("utf-8"), []
    except UnicodeDecodeError:
        pass
    faults: list[Diagnostic] = []
    done = ""
    while len(faults) < _MOST_PLACES:
        try:
            done += data.decode("utf-8")
            return done, faults
        except UnicodeDecodeError as error:
            done += data[: error.start].decode("utf-8")
            byte = data[error.start : error.start + 1]
            data = data[error.start + 1 :]
        line, column = line_and_column(done, len(done))
        probably = byte.decode("cp1252", errors="replace")
        is_known = probably.isprintable() and probably != "\ufffd"
        guess = said(", probably %(letter)s of Windows-1252", letter=f"`{probably}`") if is_known else ""
        what = said("byte %(byte)s is not UTF-8%(guess)s", byte=same(f"0x{byte.hex().upper()}"), guess=guess)
        faults.append(fault("YAML-011", Location(file, line, column), what))
        done += "\ufffd"
    return done + data.decode("utf-8", errors="replace"), faults


def _screened(text: str, file: str, faults: list[Diagnostic]) -> str:
    """Report characters that nobody sees, and put a space (nothing is shifted) in their place."""
    for pattern, code, group in (
        (_control(), "YAML-012", 0),
        (_HIDDEN, "YAML-013", 0),
        (_ODD_SPACE, "YAML-013", "odd"),
    ):
        for count, match in enumerate(pattern.finditer(text)):
            if count == _MOST_PLACES:
                break
            start = match.start(group)
            line, column = line_and_column(text, start)
            faults.append(
                fault(code, Location(file, line, column), said("%(named)s stands here", named=_named(text[start])))
            )
    text = _HIDDEN.sub(" ", _control().sub(" ", text))
    return _ODD_SPACE.sub(lambda m: m.group()[: m.start("odd") - m.start()] + " " * len(m.group("odd")), text)


def _named(character: str) -> str:
    """Return how to speak of a character that cannot be shown."""
    name = unicodedata.name(character, "a control character").lower()
    return f"{name} (U+{ord(character):04X})"
