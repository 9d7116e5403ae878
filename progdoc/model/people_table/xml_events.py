"""An XML part of a workbook as a stream of events, within bounds: no tree grows, no entity is declared.

A document type declaration has no place in a workbook (ECMA-376 part 2 forbids it, from memory), and is what entity
bombs and outside references need: it is refused before anything is expanded or fetched.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import NoReturn
from xml.parsers import expat

__all__ = ["DamagedPartError", "Event", "events_of"]

# ("start", local name, attributes), ("text", the text, {}), ("end", local name, {})
Event = tuple[str, str, Mapping[str, str]]


# Bytes of one tag or comment: it is looked through again with every chunk until it ends. A text comes piece by piece.
_LONGEST_TAG = 262_144


class DamagedPartError(ValueError):
    """A part is not the XML of a workbook."""


def events_of(chunks: Iterable[bytes]) -> Iterator[Event]:
    """Yield what stands in an XML text, names without their namespaces.

    Raises
    ------
    DamagedPartError
        If it is not well formed, declares a document type, or has a tag without end.
    """
    waiting: list[Event] = []
    parser = expat.ParserCreate()
    parser.buffer_text = True

    def start(name: str, attributes: dict[str, str]) -> None:
        if any(":" in key for key in attributes):
            attributes = {_local(key): value for key, value in attributes.items()}
        waiting.append(("start", _local(name), attributes))

    def end(name: str) -> None:
        waiting.append(("end", _local(name), {}))

    def text(data: str) -> None:
        waiting.append(("text", data, {}))

    def refuse(*_: object) -> NoReturn:
        raise DamagedPartError("it declares a document type")

    parser.StartElementHandler, parser.EndElementHandler = start, end
    parser.CharacterDataHandler, parser.StartDoctypeDeclHandler = text, refuse

    def parse(chunk: bytes, is_last: bool) -> None:
        try:
            parser.Parse(chunk, is_last)
        except (expat.ExpatError, ValueError) as error:  # ValueError: an encoding that is not known
            raise DamagedPartError(str(error)) from error

    fed = 0
    for chunk in chunks:
        parse(chunk, False)
        fed += len(chunk)
        if fed - parser.CurrentByteIndex > _LONGEST_TAG + len(chunk):
            raise DamagedPartError("one of its tags is too long")
        yield from waiting
        waiting.clear()
    parse(b"", True)
    yield from waiting


def _local(name: str) -> str:
    return name.rpartition(":")[2] if ":" in name else name
