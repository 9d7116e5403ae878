"""The parts of a workbook (.xlsx, ECMA-376 part 2), unpacked piece by piece and within bounds, by their references."""

from __future__ import annotations

import posixpath
from collections.abc import Iterator
from zipfile import ZIP_DEFLATED, ZIP_STORED, BadZipFile, ZipFile

from progdoc.model.people_table.csv_text import TableError
from progdoc.model.people_table.sheet import MOST_CELLS
from progdoc.model.people_table.xml_events import Event, events_of

__all__ = ["MOST_UNPACKED", "Parts", "home_of", "targets"]

MOST_UNPACKED = 100_000_000  # bytes of all parts that are read
_CHUNK = 65_536
_VALUES = (b"<v>", b"<is>")  # how the values of cells begin, as nearly all write them; others are counted when parsed


class Parts:
    """The parts of one archive, and how much of them may still be unpacked."""

    def __init__(self, archive: ZipFile, left: int) -> None:
        self.archive = archive
        self.names = {info.filename.lower(): info for info in archive.infolist()}
        self.left = self.most = left  # bytes
        self.cells_left = MOST_CELLS

    def refuse_too_large(self, names: list[str]) -> None:
        """Refuse parts that are too large in all, by what is claimed and counted: parsing takes far longer."""
        parts = [info for name in names if (info := self.names.get(name.lower())) is not None]
        if sum(info.file_size for info in parts) > self.left:
            raise TableError(f"The workbook unpacks to over {self.most:,} bytes")
        count = 0
        for info in parts:
            with self.archive.open(info) as stream:
                while chunk := stream.read(_CHUNK):
                    count += sum(chunk.count(sign) for sign in _VALUES)
                    if count > MOST_CELLS:
                        raise TableError(f"The workbook has over {MOST_CELLS:,} cells")

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
                yield chunk


def home_of(parts: Parts) -> str:
    """Return the name of the part that lists the sheets; "" where there is none."""
    return next((target for kind, target in targets(parts, "").values() if kind == "officeDocument"), "")


def targets(parts: Parts, home: str) -> dict[str, tuple[str, str]]:
    """Return the kinds and names of the parts that a part refers to, by the ids of these references."""
    folder, name = posixpath.split(home)
    found: dict[str, tuple[str, str]] = {}
    for event, element, attributes in parts.events(posixpath.join(folder, "_rels", f"{name}.rels")):
        if event == "start" and element == "Relationship" and attributes.get("TargetMode") != "External":
            target = posixpath.normpath(posixpath.join("/", folder, attributes["Target"])).lstrip("/")
            found[attributes["Id"]] = (attributes["Type"].rpartition("/")[2], target)
    return found
