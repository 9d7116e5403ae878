"""Prints how progdoc's time grows, as ratios within one run. No test: machines differ.

Run it with `python tests/benchmarks/run.py`.
"""

from __future__ import annotations

import math
import resource
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path

from progdoc.calc.cartridge import Bed, Case, Vapour
from progdoc.calc.service_life import service_lives

ROOT = Path(__file__).resolve().parents[2]
SAMPLE = ROOT / "sample_config" / "restoration_2026"
DAY = "2026-11-24"
RUNS = 5


def cpu_seconds(command: Sequence[str | Path], runs: int = RUNS) -> float:
    """Return the median processor time of a command as a whole process, after one run that is not counted."""
    times = []
    for _ in range(runs + 1):
        before = resource.getrusage(resource.RUSAGE_CHILDREN)
        done = subprocess.run(command, capture_output=True, check=False)
        after = resource.getrusage(resource.RUSAGE_CHILDREN)
        if done.returncode > 1:
            raise SystemExit(done.stderr.decode())
        times.append(after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime)
    return statistics.median(times[1:])


def crowd(people: int) -> str:
    """Return a description with one task and many wearers."""
    names = [f"person-{n}" for n in range(people)]
    wearers = "\n".join(
        f"  - {{id: {name}, name: Wearer {name}, masks: [{{mask: half, size: M}}],"
        f" medical: [{{date: 2026-02-01, recommendation: cleared, copy_given: yes}}],"
        f" fit_tests: [{{date: 2026-02-02, mask: half, size: M, protocol: saccharin, result: pass, screened: yes}}],"
        f" training: [{{date: 2026-02-03, knowledge_shown: yes}}]}}"
        for name in names
    )
    return (
        "format: 1\ntasks:\n  - id: grind\n    name: Grinding\n    use: required\n    industry: construction\n"
        f"    masks: [{{mask: half}}]\n    people: [{', '.join(names)}]\n"
        "masks:\n  - {id: half, facepiece: half-mask, mode: air-purifying, sizes: [S, M]}\n"
        f"people:\n{wearers}\n"
    )


def workshop(hazards: int) -> str:
    """Return a description with many tasks, one hazard each."""
    tasks = "\n".join(f"  - {{id: t{n}, name: Task {n}, use: required, industry: general}}" for n in range(hazards))
    agents = "\n".join(
        f"  - {{id: h{n}, task: t{n}, agent: toluene, form: vapour,"
        f" exposure: {{kind: estimate, concentration: {n + 1} ppm, by: A, basis: B}}}}"
        for n in range(hazards)
    )
    return f"format: 1\ntasks:\n{tasks}\nhazards:\n{agents}\n"


def growth(name: str, make: Callable[[int], str], sizes: Sequence[int], program: Path) -> None:
    """Print how the time of `check` grows with a size, beyond the time of an empty description."""
    with tempfile.TemporaryDirectory() as folder:
        empty = Path(folder) / "empty.yaml"
        empty.write_text("format: 1\n", encoding="utf-8")
        base = cpu_seconds([program, "check", empty, "--on", DAY], 3)
        times = []
        for size in sizes:
            file = Path(folder) / f"{size}.yaml"
            file.write_text(make(size), encoding="utf-8")
            times.append(cpu_seconds([program, "check", file, "--on", DAY], 3) - base)
        for (small, first), (large, second) in zip(
            zip(sizes, times, strict=True), list(zip(sizes, times, strict=True))[1:], strict=False
        ):
            print(f"{name}: {large} against {small} ({large / small:g} times as many) costs {second / first:.1f} times")


def estimates(count: int = 10_000) -> None:
    """Print what a service life estimate costs against one turn of a bare loop of math.exp, in one process."""
    case = Case(
        Vapour("toluene", 92.1384, 110.6, 0.86391, 31.054, 28.459, 4603.7),
        Bed(70.0, 86.0, 0.44, 0.454),
        400.0,
        200.0,
        40.0,
        22.0,
        50.0,
    )
    many = [replace(case, challenge_ppm=300.0 + 0.1 * step) for step in range(count)]
    loops, lives = [], []
    for _ in range(RUNS):
        started = time.process_time()
        for step in range(count):
            math.exp(-1e-4 * step)
        between = time.process_time()
        service_lives(many)
        loops.append(between - started)
        lives.append(time.process_time() - between)
    ratio = statistics.median(lives) / statistics.median(loops)
    print(f"{count} service life estimates in one call: one costs {ratio:.0f} turns of a bare loop of math.exp")


def main() -> None:
    program = Path(sys.executable).with_name("progdoc")
    bare = cpu_seconds([sys.executable, "-c", "pass"])
    print(f"progdoc --help against a bare interpreter: {cpu_seconds([program, '--help']) / bare:.1f} times")
    with tempfile.TemporaryDirectory() as folder:
        build = cpu_seconds([program, "build", SAMPLE, "-o", Path(folder) / "out", "--on", DAY, "--replace"])
    print(f"build of the complete sample against a bare interpreter: {build / bare:.0f} times ({build:.2f} s of CPU)")
    estimates()
    growth("check, people", crowd, (250, 500, 1000), program)
    growth("check, hazards", workshop, (100, 200, 400), program)


if __name__ == "__main__":
    main()
