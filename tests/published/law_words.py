"""Tells whether a text of ours says what a text of the law says, word for word, without keeping the law's text.

Anybody may use the law; its sentences are still not ours to print as our own. Kept here are fingerprints: every run of
seven words of the law sets a few bits of a table (a Bloom filter), from which no word can be read back. A passage
counts as copied where every run of seven words in it is the law's. A copied passage is always found. A passage that is
not the law's counts as copied by accident less than once in 10^12 passages of a dozen words (`false_alarm`); one
pieced together from passages of the law that overlap by six words counts as copied too.

Words are letters and digits in lower case; punctuation, line breaks and comment marks are nothing. Of a table of
exposure limits the rows have no fingerprints: a chemical's name and its figures are facts, not sentences.

The texts are listed in `law-words.csv`. To make the fingerprints again, or of more texts, from a folder with one file
for each section:

    python tests/published/law_words.py FOLDER
"""

from __future__ import annotations

import re
import sys
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache
from hashlib import blake2b, sha256
from pathlib import Path

__all__ = ["Runs", "copied", "false_alarm", "fingerprints", "law_text", "runs_of_the_law", "runs_of_the_standard"]

FOLDER = Path(__file__).parent
RUN = 7

# File, bits of the table as a power of two, bits set by a run. The first holds every text, for passages of a dozen
# words. The second holds 1910.134 and the silica table alone and is much surer, for passages of seven or eight.
_LAW = ("law-words.bits", 21, 5)
_STANDARD = ("standard-words.bits", 19, 18)
_OF_THE_STANDARD = re.compile(r"29CFR-1910\.134\b")
_SILICA_TABLE = ("29CFR-1926.1153.txt", "Stationary masonry saws")

_CAS = re.compile(r"\b\d{2,7}-\d\d-\d\b")
_NOT_LAW = ("#", "Source:", "State law text")  # a collector's own notes at the head of a file
_DESIGNATION = re.compile(r"^\[[^\]]*\] ?")  # "[1910.134(a)(1)] ", put in by a collector


@dataclass(frozen=True, slots=True)
class Runs:
    """Fingerprints of runs of words."""

    bits: bytes
    probes: int

    def __contains__(self, run: str) -> bool:
        return all(self.bits[place >> 3] >> (place & 7) & 1 for place in _places(run, len(self.bits), self.probes))


def words(text: str) -> list[str]:
    """Return the words of a text.

    >>> words("The employer's mask,\\n# 10 ppm")
    ['the', 'employer', 's', 'mask', '10', 'ppm']
    """
    return re.findall(r"[a-z0-9]+", text.lower())


def runs(found: list[str]) -> list[str]:
    """Return every run of seven words, in order."""
    return [" ".join(found[i : i + RUN]) for i in range(len(found) - RUN + 1)]


def copied(text: str, of: Runs, at_least: int) -> list[str]:
    """Return the passages of so many words or more that are all the law's.

    So many words hold a number of runs in a row; one of that number is looked up, and its neighbours where it is known.
    """
    found, passages, end = words(text), [], 0
    every, in_a_row = runs(found), at_least - RUN + 1
    for place in range(in_a_row - 1, len(every), in_a_row):
        if place < end or every[place] not in of:
            continue
        first = last = place
        while first > end and every[first - 1] in of:
            first -= 1
        while last + 1 < len(every) and every[last + 1] in of:
            last += 1
        end = last + 1
        if end - first >= in_a_row:
            passages.append(" ".join(found[first : last + RUN]))
    return passages


def fingerprints(texts: Iterable[str], power: int, probes: int) -> Runs:
    """Return the fingerprints of texts."""
    bits = bytearray(1 << (power - 3))
    for text in texts:
        for run in runs(words(text)):
            for place in _places(run, len(bits), probes):
                bits[place >> 3] |= 1 << (place & 7)
    return Runs(bytes(bits), probes)


@cache
def runs_of_the_law() -> Runs:
    """Return the fingerprints of every text."""
    file, _, probes = _LAW
    return Runs((FOLDER / file).read_bytes(), probes)


@cache
def runs_of_the_standard() -> Runs:
    """Return the fingerprints of 29 CFR 1910.134 with its appendices, and of 29 CFR 1926.1153, Table 1."""
    file, _, probes = _STANDARD
    return Runs((FOLDER / file).read_bytes(), probes)


def false_alarm(of: Runs, length: int) -> float:
    """Return how likely it is that a passage of so many words, none of them the law's, counts as copied."""
    share = int.from_bytes(of.bits).bit_count() / (8 * len(of.bits))
    return float(share ** (of.probes * (length - RUN + 1)))


def law_text(file: Path) -> str:
    """Return what is the law's in a file: no notes of a collector, no rows of an exposure table."""
    kept = []
    for line in file.read_text(encoding="utf-8").splitlines():
        if line.startswith(_NOT_LAW):
            continue
        numbers = list(_CAS.finditer(line))
        if len(numbers) > 2:
            kept += [line[: numbers[0].start()], line[numbers[-1].end() :]]
        else:
            kept.append(_DESIGNATION.sub("", line))
    return "\n".join(kept)


def _places(run: str, size: int, probes: int) -> list[int]:
    """Return the bits that a run sets in a table of so many bytes."""
    digest = blake2b(run.encode(), digest_size=16).digest()
    start, step = int.from_bytes(digest[:8]), int.from_bytes(digest[8:]) | 1
    return [(start + i * step) % (8 * size) for i in range(probes)]


def _make(folder: Path) -> None:
    files = sorted(file for file in folder.iterdir() if file.suffix in (".txt", ".md"))
    texts = {file.name: law_text(file) for file in files}
    silica_file, silica_row = _SILICA_TABLE
    of_the_standard = [text for name, text in texts.items() if _OF_THE_STANDARD.match(name)]
    of_the_standard += [line for line in texts[silica_file].splitlines() if silica_row in line]
    for (name, power, probes), chosen in ((_LAW, texts.values()), (_STANDARD, of_the_standard)):
        (FOLDER / name).write_bytes(fingerprints(chosen, power, probes).bits)
    listed = "".join(f"{file.name},{sha256(file.read_bytes()).hexdigest()}\n" for file in files)
    (FOLDER / "law-words.csv").write_text(f"text,sha256\n{listed}", encoding="utf-8")


if __name__ == "__main__":
    _make(Path(sys.argv[1]))
