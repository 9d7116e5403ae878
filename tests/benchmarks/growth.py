"""Prints how the time of long inputs grows within one process, as ratios within one run. No test: machines differ.

Run it with `python tests/benchmarks/growth.py`. Beside each ratio of times stands that of the calls made, which the
tests hold: where time grows faster than calls, a loop has gone into a library.
"""

from __future__ import annotations

import statistics
import sys
import tempfile
import time
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from calls import calls_in
from model.long_inputs import people_table, roster
from writers.docx_sample import long_table, program

from progdoc.app.disk.description_files import load_path, parsed_path
from progdoc.document.tree.cross_references import resolved
from progdoc.document.tree.nodes import Document
from progdoc.writers.docx import docx_bytes
from progdoc.writers.pdf import pdf_bytes

RUNS = 3
Work = Callable[[], object]


def table(folder: Path, rows: int) -> Work:
    (folder / "people.csv").write_text(people_table(rows), encoding="utf-8")
    file = folder / "program.yaml"
    file.write_text("format: 1\npeople: {csv: people.csv}\nmasks: [{id: half-mask, sizes: [M]}]\n", encoding="utf-8")
    return lambda: load_path(file)


def people(folder: Path, count: int) -> Work:
    file = folder / "program.yaml"
    file.write_text(roster(count), encoding="utf-8")
    return lambda: parsed_path(file)


def brackets(folder: Path, depth: int) -> Work:
    file = folder / "program.yaml"
    file.write_text("a:\n " + "[" * depth, encoding="utf-8")
    return lambda: parsed_path(file)


def _with_table(rows: int) -> Document:
    return resolved(replace(program(), blocks=(*program().blocks, long_table(rows))))


def as_docx(_folder: Path, rows: int) -> Work:
    document = _with_table(rows)
    return lambda: docx_bytes(document)


def as_pdf(_folder: Path, rows: int) -> Work:
    document = _with_table(rows)
    return lambda: pdf_bytes(document)


def seconds(work: Work) -> float:
    """Return the median processor time, after one run that is not counted."""
    work()
    times = []
    for _ in range(RUNS):
        started = time.process_time()
        work()
        times.append(time.process_time() - started)
    return statistics.median(times)


def growth(name: str, make: Callable[[Path, int], Work], small: int, large: int) -> None:
    """Print how many times as long the larger input takes, and how many times as many calls."""
    with tempfile.TemporaryDirectory() as folder:
        first = make(Path(folder), small)
        few, short = calls_in(first), seconds(first)
        second = make(Path(folder), large)
        many, long = calls_in(second), seconds(second)
    print(
        f"{name}: {large} against {small} ({large / small:g} times as many)"
        f" takes {long / short:.1f} times as long and {many / few:.1f} times as many calls"
    )


def main() -> None:
    growth("people from a table, rows", table, 2_500, 10_000)
    growth("people in YAML", people, 2_500, 10_000)
    growth("nested brackets, refused", brackets, 10_000, 100_000)
    growth("Word table, rows", as_docx, 1_000, 4_000)
    growth("PDF table, rows", as_pdf, 200, 800)


if __name__ == "__main__":
    main()
