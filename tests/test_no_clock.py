"""No test measures time or asks what day it is: a busy machine, or another day, must not change what a test says.

Time is printed by `tests/benchmarks/`; how work grows is held by counting calls (`calls.py`).
"""

from __future__ import annotations

import ast
import re
from pathlib import Path

import pytest

TESTS = Path(__file__).parent
CLOCKS = {"time", "timeit", "resource", "sched", "profile", "cProfile", "pytest_benchmark", "pytest_timeout"}
READINGS = {
    "today", "now", "utcnow", "fromtimestamp", "times", "getrusage", "process_time", "perf_counter", "monotonic",
    "thread_time", "process_time_ns", "perf_counter_ns", "monotonic_ns", "time_ns", "default_timer",
}  # fmt: skip
LIMITS = {"timeout", "deadline"}
TOOLS = ("benchmarks/", "mutation/", "hard_trials.py")  # run by hand or at night, and no tests
HANGS = {"writers/libreoffice.py"}  # may give up on an office that hangs for minutes


def clocks_in(source: str) -> list[str]:
    """Return every use of a clock, and every limit of time, as `line: word`."""
    found: list[tuple[int, str]] = []
    for node in ast.walk(ast.parse(source)):
        match node:
            case ast.Import(names=names):
                found += [(node.lineno, name.name) for name in names if name.name.split(".")[0] in CLOCKS]
            case ast.ImportFrom(module=str(module), names=names, level=0):
                found += [(node.lineno, module)] if module.split(".")[0] in CLOCKS else []
                found += [(node.lineno, name.name) for name in names if name.name in READINGS]
            case ast.Attribute(attr=name) if name in READINGS:
                found.append((node.lineno, name))
            case ast.keyword(arg=name, value=value) if name in LIMITS:
                is_off = isinstance(value, ast.Constant) and value.value is None
                found += [] if is_off else [(value.lineno, str(name))]
    return [f"{line}: {word}" for line, word in sorted(found)]


WORDS = re.compile("|".join(sorted(CLOCKS | READINGS | LIMITS)))


def test_no_test_reads_a_clock() -> None:
    found = {
        name: clocks
        for file in sorted(TESTS.rglob("*.py"))
        if not (name := file.relative_to(TESTS).as_posix()).startswith(TOOLS) and name not in HANGS
        if WORDS.search(text := file.read_text(encoding="utf-8")) and (clocks := clocks_in(text))
    }
    assert found == {}


@pytest.mark.parametrize(
    ("source", "found"),
    [
        ("import time", ["1: time"]),
        ("import os, timeit as t", ["1: timeit"]),
        ("from time import perf_counter as p", ["1: perf_counter", "1: time"]),
        ("from datetime import date\nday = date.today()", ["2: today"]),
        ("x = os.times()", ["1: times"]),
        ("run(command, timeout=60)", ["1: timeout"]),
        ("settings(deadline=200)", ["1: deadline"]),
        ("settings(deadline=None)\ndate(2026, 6, 1)\ntimedelta(days=1)\nmoment.time_zone", []),
    ],
)
def test_the_finder_sees_each_kind_of_clock(source: str, found: list[str]) -> None:
    assert clocks_in(source) == found
