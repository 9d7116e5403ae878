"""The objects of a PDF file, found by its cross-reference tables or streams (ISO 32000-1, 7.5), and every step bounded.

The file comes from anywhere. What is locked or damaged is refused, never mended by guessing; nothing of it is run.
How much is read in all, packed or unpacked, has an end that is far beyond any form, however its parts point at each
other.
"""

from __future__ import annotations

import re
import zlib
from collections.abc import Iterator, Mapping
from typing import Any

from progdoc.writers.form_error import FormError
from progdoc.writers.pdf_form.pdf_values import DAMAGED, Ref, Stream, token_at, value_at

__all__ = ["MOST_READ", "PdfFile", "begins_as_pdf"]

_HEAD = b"%PDF-"
_HEAD_WITHIN, _END_WITHIN = 1024, 2048  # bytes
_MOST_OBJECTS = 200_000
_MOST_TABLES = 200
_WIDEST_ROW = 10_000  # bytes
_LONGEST_CHAIN = 30  # of references to references, and of parts that need another one to be read
MOST_READ = 12_000_000  # bytes: of a form far less than its pictures and fonts, which nobody looks at here
_ENTRY = re.compile(rb"[\r\n ]*(\d{10}) \d{5} ([nf])")
_Place = int | tuple[int, int]  # where an object begins; or the stream that holds it, and which one in it


def begins_as_pdf(data: bytes) -> bool:
    """Return whether a file is a PDF by its head, before which other bytes may stand."""
    return data.find(_HEAD, 0, _HEAD_WITHIN) >= 0


class PdfFile:
    """A file whose objects are looked up by their numbers.

    Parameters
    ----------
    most_read
        How many bytes are read in all, packed and unpacked; of a file from anywhere `MOST_READ`.

    Raises
    ------
    FormError
        Whenever something of it can't be read.
    """

    def __init__(self, data: bytes, most_read: int) -> None:
        if not begins_as_pdf(data):
            raise FormError("it is no PDF")
        self.data = data[data.index(_HEAD) :]
        self.places: dict[int, _Place] = {}
        self._most_read = self._left = most_read
        self._known: dict[int, Any] = {}
        self._looked_up: set[int] = set()
        self._packs: dict[int, list[tuple[int, int, bytes]]] = {}
        self.trailer = self._trailer()

    # ---- objects ----------------------------------------------------------------------------------------

    def get(self, value: Any) -> Any:
        """Return a value, or the object that it refers to; None of one that is not there."""
        for _ in range(_LONGEST_CHAIN):
            if not isinstance(value, Ref):
                return value
            value = self._object(value.number)
        raise FormError(f"{DAMAGED}: its parts refer to each other without end")

    def entries(self, value: Any) -> dict[str, Any]:
        """Return the dictionary that a value is or refers to, that of a stream too; an empty one of anything else."""
        found = self.get(value)
        found = found.entries if isinstance(found, Stream) else found
        return found if isinstance(found, dict) else {}

    def items(self, value: Any) -> list[Any]:
        """Return the array that a value is or refers to; an empty one of anything else."""
        found = self.get(value)
        return found if isinstance(found, list) else []

    def _object(self, number: int) -> Any:
        if number in self._known or number not in self.places:
            return self._known.get(number)
        if number in self._looked_up or len(self._looked_up) > _LONGEST_CHAIN:
            raise FormError(f"{DAMAGED}: its parts refer to each other without end")
        self._looked_up.add(number)
        place = self.places[number]
        found = self._at(place, number) if isinstance(place, int) else self._in_pack(*place, number)
        self._looked_up.remove(number)
        self._known[number] = found
        return found

    def _at(self, at: int, number: int | None = None) -> Any:
        """Return the object that begins at a place; of any number where none is asked for."""
        named, end = token_at(self.data, at)
        _, end = token_at(self.data, end)
        word, end = token_at(self.data, end)
        self._read(end - at)
        if word != b"obj" or not named.isdigit() or (number is not None and int(named[:10]) != number):
            raise FormError(f"{DAMAGED}: a part is not where it should be")
        value, end = self._value(self.data, end)
        word, end = token_at(self.data, end)
        if word != b"stream" or not isinstance(value, dict):
            return value
        end += 2 if self.data[end : end + 2] == b"\r\n" else 1
        length = self.get(value.get("Length"))
        if not isinstance(length, int) or not 0 <= length <= len(self.data) - end:
            raise FormError(f"{DAMAGED}: it ends too early")
        self._read(length)
        if token_at(self.data, end + length)[0] != b"endstream":
            raise FormError(f"{DAMAGED}: a part is longer than it says")
        return Stream(value, self.data[end : end + length])

    def _in_pack(self, pack: int, index: int, number: int) -> Any:
        if pack not in self._packs:
            self._packs[pack] = list(self._unpacked(pack))
        if index >= len(self._packs[pack]) or self._packs[pack][index][0] != number:
            raise FormError(f"{DAMAGED}: a part is not where it should be")
        _, at, text = self._packs[pack][index]
        return self._value(text, at)[0]

    def _unpacked(self, pack: int) -> Iterator[tuple[int, int, bytes]]:
        """Yield the objects of a stream of objects: number, place, and the text in which they stand (7.5.7)."""
        if not isinstance(self.places.get(pack), int):
            raise FormError(f"{DAMAGED}: a part is not where it should be")
        stream = self.get(Ref(pack))
        text = self.unpacked(stream)
        first, count = (self.get(self.entries(stream).get(name)) for name in ("First", "N"))
        if not isinstance(first, int) or not isinstance(count, int) or not 0 <= count <= _MOST_OBJECTS or first < 0:
            raise FormError(f"{DAMAGED}: a part can't be read")
        end = 0
        for _ in range(count):
            number, end = self._value(text, end)
            offset, end = self._value(text, end)
            if not isinstance(number, int) or not isinstance(offset, int) or offset < 0:
                raise FormError(f"{DAMAGED}: a part can't be read")
            yield number, first + offset, text

    def _value(self, data: bytes, at: int) -> tuple[Any, int]:
        value, end = value_at(data, at, at + self._left)
        self._read(end - at)
        return value, end

    def _read(self, count: int) -> None:
        self._left -= count
        if self._left < 0:
            raise FormError(f"there is more in it than in any form: over {self._most_read:,} bytes")

    # ---- streams ----------------------------------------------------------------------------------------

    def unpacked(self, stream: Any) -> bytes:
        """Return the bytes of a stream as they were before they were packed."""
        if not isinstance(stream, Stream):
            raise FormError(f"{DAMAGED}: a part is not where it should be")
        filters = _listed(self.get(stream.entries.get("Filter")))
        settings = _listed(self.get(stream.entries.get("DecodeParms")))
        text = stream.packed
        for n, name in enumerate(filters):
            if self.get(name) != "FlateDecode" or n > 1:
                raise FormError("it is packed in a way that no form is")
            text = self._inflated(text)
            text = self._straightened(text, self.entries(settings[n]) if n < len(settings) else {})
        return text

    def _inflated(self, packed: bytes) -> bytes:
        unpacking = zlib.decompressobj()
        try:
            text = unpacking.decompress(packed, self._left + 1)
        except zlib.error as error:
            raise FormError(f"{DAMAGED}: a part can't be unpacked") from error
        self._read(len(text))
        if not unpacking.eof:
            raise FormError(f"{DAMAGED}: a part can't be unpacked")
        return text

    def _straightened(self, text: bytes, settings: Mapping[str, Any]) -> bytes:
        """Return rows of bytes that were written as differences (7.4.4.4): those of PNG, each row by its own kind."""
        predictor, width, colours = (self.get(settings.get(name, 1)) for name in ("Predictor", "Columns", "Colors"))
        if predictor == 1:
            return text
        is_known = predictor in range(10, 16) and colours == 1 and self.get(settings.get("BitsPerComponent", 8)) == 8
        if not is_known or not isinstance(width, int) or not 1 <= width <= _WIDEST_ROW:
            raise FormError("it is packed in a way that no form is")
        rows, before = [], bytes(width)
        for start in range(0, len(text), width + 1):
            row = text[start + 1 : start + 1 + width]
            before = _row(text[start], row.ljust(width, b"\0"), before)
            rows.append(before[: len(row)])
        return b"".join(rows)

    # ---- where the objects are --------------------------------------------------------------------------

    def _trailer(self) -> dict[str, Any]:
        """Return the dictionary at the end of the file, and remember where all objects are: the newest of each."""
        found = self.data.rfind(b"startxref", max(len(self.data) - _END_WITHIN, 0))
        at = token_at(self.data, found + len(b"startxref"))[0] if found >= 0 else b""
        if not at.isdigit() or len(at) > 10:
            raise FormError(f"{DAMAGED}: it ends too early")
        trailers: list[dict[str, Any]] = []
        gone: set[int] = set()
        waiting, seen = [int(at)], set[int]()
        while waiting:
            place = waiting.pop()
            if place in seen:
                continue
            seen.add(place)
            if len(seen) > _MOST_TABLES:
                raise FormError(f"{DAMAGED}: its tables go on without end")
            trailer, entries = self._table(place)
            for number, one in entries:
                if one is None:
                    gone.add(number)
                elif number not in gone:
                    self.places.setdefault(number, one)
                if len(self.places) > _MOST_OBJECTS:
                    raise FormError(f"there is more in it than in any form: over {_MOST_OBJECTS:,} objects")
            trailers.append(trailer)
            older = (trailer.get("Prev"), trailer.get("XRefStm"))  # the latter of both is looked at first
            waiting += [int(one) for one in older if isinstance(one, int) and one >= 0]
        if any("Encrypt" in trailer for trailer in trailers):
            raise FormError("it is locked (encrypted); save it without a password or restrictions")
        return trailers[0]

    def _table(self, at: int) -> tuple[dict[str, Any], Iterator[tuple[int, _Place | None]]]:
        word, end = token_at(self.data, at)
        if word != b"xref":
            stream = self._at(at)
            text = self.unpacked(stream)
            return stream.entries, self._of_stream(stream.entries, text)
        entries: list[tuple[int, _Place | None]] = []
        while (word := token_at(self.data, end)[0]) != b"trailer":
            first, end = self._count(end)
            count, end = self._count(end)
            for number in range(first, first + count):
                entry = _ENTRY.match(self.data, end)
                if not entry:
                    raise FormError(f"{DAMAGED}: its table of parts can't be read")
                entries.append((number, int(entry[1]) if entry[2] == b"n" else None))
                end = entry.end()
        trailer, _ = self._value(self.data, token_at(self.data, end)[1])
        if not isinstance(trailer, dict):
            raise FormError(f"{DAMAGED}: its table of parts can't be read")
        self._read(20 * len(entries))
        return trailer, iter(entries)

    def _count(self, at: int) -> tuple[int, int]:
        word, end = token_at(self.data, at)
        if not word.isdigit() or len(word) > 10:
            raise FormError(f"{DAMAGED}: its table of parts can't be read")
        return int(word), end

    def _of_stream(self, entries: Mapping[str, Any], text: bytes) -> Iterator[tuple[int, _Place | None]]:
        """Yield what a cross-reference stream says of each object (7.5.8); None of one that is gone."""
        widths: Any = entries.get("W")
        index: Any = entries.get("Index", [0, entries.get("Size")])
        numbers = [*widths, *index] if isinstance(widths, list) and isinstance(index, list) else [None]
        if (
            not all(isinstance(one, int) and 0 <= one < 2**31 for one in numbers)
            or len(widths) != 3
            or sum(widths) == 0
        ):
            raise FormError(f"{DAMAGED}: its table of parts can't be read")
        at = 0
        for first, count in zip(index[::2], index[1::2], strict=False):
            for number in range(first, first + count):
                fields = []
                for width in widths:
                    fields.append(int.from_bytes(text[at : at + width], "big"))
                    at += width
                if at > len(text):
                    raise FormError(f"{DAMAGED}: its table of parts can't be read")
                kind = fields[0] if widths[0] else 1
                if kind in (0, 1, 2):  # others mean nothing yet
                    yield number, (None, fields[1], (fields[1], fields[2]))[kind]


def _listed(value: Any) -> list[Any]:
    return value if isinstance(value, list) else [] if value is None else [value]


def _row(kind: int, row: bytes, above: bytes) -> bytes:
    """Return a row of bytes that was written as differences from the one above it or from the byte before each."""
    match kind:
        case 0:
            return row
        case 2:
            return bytes((one + up) & 0xFF for one, up in zip(row, above, strict=True))
        case 1 | 3 | 4:
            found = bytearray()
            for one, up, corner in zip(row, above, b"\0" + above[:-1], strict=True):
                left = found[-1] if found else 0
                found.append((one + _near(kind, left, up, corner)) & 0xFF)
            return bytes(found)
    raise FormError(f"{DAMAGED}: a part can't be unpacked")


def _near(kind: int, left: int, up: int, corner: int) -> int:
    if kind == 1:
        return left
    if kind == 3:
        return (left + up) // 2
    guess = left + up - corner
    return min((left, up, corner), key=lambda one: abs(guess - one))
