"""Reads the law's exposure tables again, from their stored text, by other means than the catalogue was made.

The files are the printed text with line breaks added; `PRINTED_SHA256` is of the text without them.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path

__all__ = ["PRINTED_SHA256", "Entry", "entries", "lines", "printed_sha256"]

FOLDER = Path(__file__).parent

PRINTED_SHA256 = {
    "29cfr1910.1000-table-z1.txt": "3139bf652f6e82ea75edffd225609a0ac302cc785d3e1f8b6c16cf0a0a3ff7bb",
    "29cfr1910.1000-table-z2.txt": "738ad4193d2bba470bba1e1ce5a0b148d0adfbbaf6927250e10cdea026403f5c",
    "29cfr1910.1000-table-z3.txt": "e361452f6cb265c28a04746b2322fc3efafcee24c8e09f3fc518118d42f8386d",
    "29cfr1915.1000-mineral-dusts.txt": "04ead465aac57b63c0b77479860d3af8f8c5e5698bfa3f45e6e56370e3c8e843",
    "29cfr1915.1000-table-z.txt": "b2296cd3ff72ca65e699cc85b7dbaef8287fd80d331f25f43b592e864981b7e1",
    "29cfr1926.1153-table-1.txt": "6e89f65b56cbb80b3875edf73b9e8887d5a34adf05f2d18684a8d0e240052778",
    "29cfr1926.55-table-1.txt": "cd18fca21c6597e54a929758ad88a8afd6d31d970910e716d6a18aa44e765eff",
    "29cfr1926.55-table-2.txt": "ddd75251e015ba5228f0a0b67ca1f06579d238b3c89e11480f396e57e2abf4ac",
}

_CAS = r"\d{2,7}-\d\d-\d;?"
_CELL = r"(?:\(C\))?\d*\.?\d+|—|X"
_STANDARD = re.compile(
    r"; (?:use asbestos limit; )?[Ss]ee (?:§ )?(?:29 CFR )?(19\d\d\.\d+)[^\s;]*(?:; 29 CFR [\d.()l]+)?"
)
_PARTS = (
    "Total dust",
    "Respirable",
    "Fume (as",
    "Dusts and mists",
    "Soluble",
    "Insoluble",
    "Metal",
    "Total particulate",
)


@dataclass(frozen=True)
class Entry:
    """A printed row that has a number: what it is for and its cells, a ceiling's "(C)" included."""

    name: str
    part: str  # "Total dust", "Fume (as Cu)", …
    cells: tuple[str, ...]  # numbers, "—" and "X", in the order printed
    standard: str  # "1926.62" where the row names a substance standard
    line: str


def lines(file: str) -> list[str]:
    """Return the printed rows."""
    text = (FOLDER / file).read_text(encoding="utf-8")
    return [line for line in text.splitlines() if line and not line.startswith("#")]


def printed_sha256(file: str) -> str:
    """Return the hash of the text as printed, line breaks taken out."""
    return sha256(" ".join(lines(file)).encode()).hexdigest()


def entries(file: str) -> list[Entry]:
    """Return the rows with a number, each under the name it belongs to."""
    found: list[Entry] = []
    parent = ""
    for line in lines(file):
        standard = _STANDARD.search(line)
        text = _STANDARD.sub("", line) if standard else line
        if re.search(r"[;,] see ", text) and not standard:
            continue  # a synonym
        if standard:
            text = re.sub(rf"\s(?:[5-8]|\(q\)|[nogf]) (?={_CAS}|$)", " ", text + " ").strip()
        text = re.sub(r"\bO (\d)", r"O\1", text).replace("V 2 O5", "V2O5")
        text = re.sub(rf"(?:\((?:ortho|meta|para)\)|[omp]-isomer)\s(?={_CAS})", "", text)
        text = re.sub(rf"\s{_CAS}(?=\s|$)", " ", text + " ")
        text = re.sub(r" Varies with [Cc]ompound| \( 4 \)|See Table Z-2 for.*", " ", text)
        text = re.sub(r"(?:STEL )?1 ppm/5 ppm(?: STEL)?", "", text)
        match = re.match(rf"^(.*?)((?: +(?:{_CELL}))*) *$", " ".join(text.split()))
        assert match
        name, cells = match[1].strip(" .;—"), tuple(match[2].split())
        part = ""
        for start in _PARTS:
            if name.startswith(start):
                name, part = "", name
            elif start in ("Total dust", "Respirable", "Metal") and f" {start}" in name:
                name, part = name.split(f" {start}")[0], start
        parent = re.sub(r" [efg]( \.)?$", "", name) or parent
        if any(cell not in "—X" for cell in cells) and not re.search(r"\bA$", name):
            found.append(Entry(parent, part, cells, standard[1] if standard else "", line))
    return found
