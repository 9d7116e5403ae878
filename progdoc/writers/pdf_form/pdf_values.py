"""The values of a PDF (ISO 32000-1, 7.3) as plain ones of Python, read from bytes and written.

A dictionary is a dict, an array a list, a string bytes, a name a `Name`, a reference a `Ref`. Reading is bounded in
depth; how much is read in all is counted by whoever calls.
"""

from __future__ import annotations

import re
from functools import lru_cache
from typing import Any, NamedTuple

from progdoc.writers.form_error import FormError

__all__ = ["DAMAGED", "Name", "Ref", "Stream", "pdf_bytes_of", "text_of", "text_string", "token_at", "value_at"]

DAMAGED = "it is a damaged PDF"
_DEEPEST = 60  # levels of arrays and dictionaries in each other
_MOST_VALUES = 100_000  # side by side in an array or a dictionary, or pieces of a string
_LONGEST_NUMBER = 30
_BLANK = re.compile(rb"[\x00\t\n\x0c\r ]*")
_LONGEST_WORD = 1000  # letters of a name or a keyword
_WORD = rb"[^\x00\t\n\x0c\r ()<>\[\]{}/%%]{%d,%d}"
_REGULAR = re.compile(_WORD % (0, _LONGEST_WORD))
_NEXT = re.compile(
    rb"[\x00\t\n\x0c\r ]*(?:/(%b)|(\d{1,9}) \d{1,5} R(?!%b)|(%b)|(<<|>>|[\[\](<%%]))"
    % (_WORD % (0, _LONGEST_WORD), _WORD % (1, 1), _WORD % (1, _LONGEST_WORD))
)
_NAME, _REFERENCE, _KEYWORD, _SIGN = 1, 2, 3, 4  # groups of `_NEXT`
_COMMENT = re.compile(rb"%[^\r\n]*")
_IN_STRING = re.compile(rb"[()\\\r]")
_OCTAL = re.compile(rb"[0-7]{1,3}")
_ESCAPED = {b"n": b"\n", b"r": b"\r", b"t": b"\t", b"b": b"\b", b"f": b"\f"}
_WORDS: dict[bytes, Any] = {b"true": True, b"false": False, b"null": None}
# PDFDocEncoding (ISO 32000-1, Annex D.2) where it differs from Latin-1.
_DOC_ENCODING = {
    **dict(zip(range(0x18, 0x20), "˘ˇˆ˙˝˛˚˜", strict=True)),
    **dict(zip(range(0x80, 0x9F), "•†‡…—–ƒ⁄‹›−‰„“”‘’‚™ﬁﬂŁŒŠŸŽıłœšž", strict=True)),
    0xA0: "€",
}


class Name(str):
    """A name, without its slash."""

    __slots__ = ()


class Ref(NamedTuple):
    """A reference to an object; which generation of it is all the same where none is ever given out again."""

    number: int


class Stream(NamedTuple):
    """A dictionary, and its bytes as they are packed."""

    entries: dict[str, Any]
    packed: bytes


# ---- reading -------------------------------------------------------------------------------------------


def token_at(data: bytes, at: int) -> tuple[bytes, int]:
    """Return the next word (a number, a keyword), b"" where none is there, and the place behind it."""
    at = _behind_blanks(data, at)
    found = _REGULAR.match(data, at)
    return (found[0], found.end()) if found else (b"", at)


def value_at(data: bytes, at: int, end: int, depth: int = 0) -> tuple[Any, int]:
    """Return the value that stands at a place, and the place behind it; nothing is read beyond `end`.

    Raises
    ------
    FormError
        If none stands there, or one in which too many lie in each other.
    """
    found, at = _next(data, at, end)
    match found.lastindex:
        case 1:
            return Name(_unescaped(found[_NAME])), at
        case 2:
            return Ref(int(found[_REFERENCE])), at
        case 3:
            word = found[_KEYWORD]
            return _WORDS[word] if word in _WORDS else _number(word), at
    if depth > _DEEPEST:
        raise FormError(f"{DAMAGED}: too much lies in each other")
    match found[_SIGN]:
        case b"<<":
            return _dictionary(data, at, end, depth)
        case b"[":
            return _array(data, at, end, depth)
        case b"(":
            return _string(data, at, end)
        case b"<":
            return _hexadecimal(data, at, end)
    raise FormError(f"{DAMAGED}: a value can't be read")


def _next(data: bytes, at: int, end: int) -> tuple[re.Match[bytes], int]:
    """Return the next sign, name, word or reference, and the place behind it."""
    found = _NEXT.match(data, at, end)
    while found and found[_SIGN] == b"%":
        found = _NEXT.match(data, _behind_blanks(data, found.end() - 1), end)
    if not found:
        raise FormError(f"{DAMAGED}: it ends too early")
    return found, found.end()


def _behind_blanks(data: bytes, at: int) -> int:
    at = _matched(_BLANK, data, at)
    while data[at : at + 1] == b"%":
        at = _matched(_BLANK, data, _matched(_COMMENT, data, at))
    return at


def _matched(pattern: re.Pattern[bytes], data: bytes, at: int) -> int:
    found = pattern.match(data, at)
    return found.end() if found else at


def _number(word: bytes) -> int | float:
    try:
        if len(word) <= _LONGEST_NUMBER and not word.strip(b"+-.0123456789"):
            return float(word) if b"." in word else int(word)
    except ValueError:
        pass
    raise FormError(f"{DAMAGED}: a value can't be read")


def _array(data: bytes, at: int, end: int, depth: int) -> tuple[list[Any], int]:
    values: list[Any] = []
    found, behind = _next(data, at, end)
    while found[_SIGN] != b"]":
        value, at = value_at(data, at, end, depth + 1)
        values.append(value)
        _bounded(len(values))
        found, behind = _next(data, at, end)
    return values, behind


def _dictionary(data: bytes, at: int, end: int, depth: int) -> tuple[dict[str, Any], int]:
    values: dict[str, Any] = {}
    found, behind = _next(data, at, end)
    while found[_SIGN] != b">>":
        if found.lastindex != _NAME:
            raise FormError(f"{DAMAGED}: a value can't be read")
        values[_unescaped(found[_NAME])], at = value_at(data, behind, end, depth + 1)
        _bounded(len(values))
        found, behind = _next(data, at, end)
    return values, behind


def _bounded(count: int) -> None:
    if count > _MOST_VALUES:
        raise FormError(f"{DAMAGED}: too much stands in one part")


def _string(data: bytes, at: int, end: int) -> tuple[bytes, int]:
    parts: list[bytes] = []
    open_brackets = 1
    while found := _IN_STRING.search(data, at, end):
        parts.append(data[at : found.start()])
        sign, at = found[0], found.end()
        if sign == b"\\":
            sign, at = _escape(data, at)
        elif sign == b"\r":
            sign, at = b"\n", at + (data[at : at + 1] == b"\n")
        else:
            open_brackets += 1 if sign == b"(" else -1
            if not open_brackets:
                return b"".join(parts), at
        parts.append(sign)
        _bounded(len(parts))
    raise FormError(f"{DAMAGED}: it ends too early")


def _escape(data: bytes, at: int) -> tuple[bytes, int]:
    """Return what stands behind a backslash; a line that goes on after one is no break."""
    if digits := _OCTAL.match(data, at):
        return bytes([int(digits[0], 8) & 0xFF]), digits.end()
    if data[at : at + 2] == b"\r\n":
        return b"", at + 2
    sign = data[at : at + 1]
    return b"" if sign in (b"\r", b"\n") else _ESCAPED.get(sign, sign), at + 1


def _hexadecimal(data: bytes, at: int, end: int) -> tuple[bytes, int]:
    close = data.find(b">", at, end)
    digits = b"".join(data[at:close].replace(b"\x00", b" ").split()) if close >= 0 else b"?"
    try:
        return bytes.fromhex((digits + b"0" * (len(digits) % 2)).decode("ascii")), close + 1
    except ValueError as error:
        raise FormError(f"{DAMAGED}: a value can't be read") from error


def _unescaped(name: bytes) -> str:
    if b"#" not in name:
        return name.decode("utf-8", "replace")
    first, *others = name.split(b"#")
    try:
        raw = first + b"".join(bytes.fromhex(part[:2].decode("ascii")) + part[2:] for part in others)
    except ValueError:
        raw = name
    return raw.decode("utf-8", "replace")


def text_of(string: bytes) -> str:
    """Return a text string (ISO 32000-1, 7.9.2.2; in UTF-8 since ISO 32000-2).

    >>> text_of(b"caf\\xe9 \\x83"), text_of(bytes.fromhex("feff0142")), text_of(b"\\xef\\xbb\\xbf\\xc5\\x82")
    ('café …', 'ł', 'ł')
    """
    if string.startswith(b"\xfe\xff"):
        return string[2:].decode("utf-16-be", "replace")
    if string.startswith(b"\xef\xbb\xbf"):
        return string[3:].decode("utf-8", "replace")
    return string.decode("latin-1").translate(_DOC_ENCODING)


# ---- writing -------------------------------------------------------------------------------------------


def text_string(text: str) -> bytes:
    """Return a text as a text string, the same for the same text on every machine."""
    is_plain = text.isascii() and text.isprintable()
    return text.encode("ascii") if is_plain else b"\xfe\xff" + text.encode("utf-16-be")


def pdf_bytes_of(value: Any) -> bytes:
    """Return a value as it is written.

    >>> pdf_bytes_of({"T": b"a(b", "Kids": [Ref(7), 0.5, True], "Type": Name("A B")})
    b'<</T<612862>/Kids[7 0 R 0.5 true]/Type/A#20B>>'
    """
    match value:
        case Stream():
            entries = pdf_bytes_of({**value.entries, "Length": len(value.packed)})
            return entries + b"\nstream\n" + value.packed + b"\nendstream"
        case Ref():
            return b"%d 0 R" % value.number
        case Name():
            return _written_name(value)
        case bytes():
            return b"(" + value + b")" if _is_plain(value) else b"<" + value.hex().encode() + b">"
        case dict():
            return b"<<" + b"".join(_written_name(name) + _apart(one) for name, one in value.items()) + b">>"
        case list():
            return b"[" + b" ".join(map(pdf_bytes_of, value)) + b"]"
        case None:
            return b"null"
        case bool():
            return b"true" if value else b"false"
        case _:
            return f"{round(value, 4):.10g}".encode()


@lru_cache(maxsize=500)
def _written_name(name: str) -> bytes:
    return b"/" + b"".join(map(_escaped, name.encode()))


def _apart(value: Any) -> bytes:
    """Return a value with what parts it from the name before it."""
    written = pdf_bytes_of(value)
    return written if written[:1] in b"/<[(" else b" " + written


def _is_plain(string: bytes) -> bool:
    return string.isascii() and not any(sign in b"()\\" or sign < 32 for sign in string)


def _escaped(sign: int) -> bytes:
    is_regular = 33 <= sign <= 126 and sign not in b"()<>[]{}/%#"
    return bytes([sign]) if is_regular else b"#%02X" % sign
