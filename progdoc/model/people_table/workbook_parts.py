"""The parts of a workbook (.xlsx, ECMA-376 part 2), unpacked piece by piece and within bounds, by their references."""

from __future__ import annotations

import posixpath
import re
from collections.abc import Iterator
from zipfile import ZIP_DEFLATED, ZIP_STORED, BadZipFile, ZipFile, ZipInfo

from progdoc.model.people_table.csv_text import TableError
from progdoc.model.people_table.sheet import MOST_CELLS
from progdoc.model.people_table.xml_events import Event, events_of

__all__ = ["MOST_UNPACKED", "Parts", "home_of", "targets"]

MOST_UNPACKED = 100_000_000  # bytes of all parts that are read
_CHUNK = 65_536
# Tags of all parts that are read, those that end something too: a value that no other cell shares takes eight.
_MOST_TAGS = 8 * MOST_CELLS
_LONGEST_END = 100  # bytes of a tag that ends something, with its prefix
# How the value of a cell ends: a tag that holds no attribute, and that an empty value (`<v/>`) hasn't.
_VALUE_END = re.compile(rb"</(?:[^\s<>/:]{1,80}:)?(?:v|is)\s{0,9}>")


class Parts:
    """The parts of one archive, and how much of them may still be unpacked."""

    def __init__(self, archive: ZipFile, left: int, tags_left: int = _MOST_TAGS) -> None:
        self.archive = archive
        self.names = {info.filename.lower(): info for info in archive.infolist()}
        self.left = self.most = left  # bytes
        self.tags_left = self.most_tags = tags_left
        self.cells_left = MOST_CELLS

    def refuse_too_large(self, names: list[str]) -> None:
        """Refuse parts that are too large in all, by what is claimed and counted: parsing takes far longer.

        A part that is read several times is named as often.
        """
        parts = [info for name in names if (info := self.names.get(name.lower())) is not None]
        if sum(info.file_size for info in parts) > self.left:
            raise TableError(f"The workbook unpacks to over {self.most:,} bytes")
        tags = values = 0
        for info in parts:
            for in_chunk, ended in self._counts(info):
                tags, values = tags + in_chunk, values + ended
                if values > MOST_CELLS:
                    raise TableError(f"The workbook has over {MOST_CELLS:,} cells")
                if tags > self.tags_left:
                    raise self._of_tags()

    def _counts(self, info: ZipInfo) -> Iterator[tuple[int, int]]:
        """Yield how many tags, and how many ends of values, are in a part, chunk by chunk."""
        rest = b""
        with self.archive.open(info) as stream:
            while chunk := stream.read(_CHUNK):
                text = rest + chunk.replace(b"\0", b"")  # UTF-16 has them
                yield _tags_in(chunk), len(_VALUE_END.findall(text))
                tail = text[-_LONGEST_END:]
                rest = b"" if b">" in tail[tail.rfind(b"<") :] else tail[tail.rfind(b"<") :]

    def _of_tags(self) -> TableError:
        return TableError(
            f"The workbook has over {self.most_tags:,} tags: cells and rows, empty ones with a format too"
        )

    def events(self, name: str) -> Iterator[Event]:
        """Yield what stands in a part; nothing where there is none."""
        info = self.names.get(name.lower().lstrip("/"))
        if info is None:
            return
        if info.compress_type not in (ZIP_STORED, ZIP_DEFLATED):
            raise BadZipFile("packed as no workbook is")
        yield from events_of(self._chunks(info.filename))

    def _chunks(self, name: str) -> Iterator[bytes]:
        with self.archive.open(name) as stream:
            while chunk := stream.read(_CHUNK):
                self.left -= len(chunk)
                if self.left < 0:
                    raise TableError(f"The workbook unpacks to over {self.most:,} bytes")
                self.tags_left -= _tags_in(chunk)
                if self.tags_left < 0:
                    raise self._of_tags()
                yield chunk


def _tags_in(chunk: bytes) -> int:
    """Count the tags, of any prefix and encoding; `<c/>` begins something and ends it."""
    return chunk.count(b"<") + chunk.count(b"/>")


def home_of(parts: Parts) -> str:
    """Return the name of the part that lists the sheets; "" where there is none."""
    return next((target for kind, target in targets(parts, "").values() if kind == "officeDocument"), "")


def targets(parts: Parts, home: str) -> dict[str, tuple[str, str]]:
    """Return the kinds and names of the parts that a part refers to, by the ids of these references."""
    folder, name = posixpath.split(home)
    found: dict[str, tuple[str, str]] = {}
    listed = posixpath.join(folder, "_rels", f"{name}.rels")
    parts.refuse_too_large([listed])
    for event, element, attributes in parts.events(listed):
        if event == "start" and element == "Relationship" and attributes.get("TargetMode") != "External":
            target = posixpath.normpath(posixpath.join("/", folder, attributes["Target"])).lstrip("/")
            found[attributes["Id"]] = (attributes["Type"].rpartition("/")[2], target)
    return found
