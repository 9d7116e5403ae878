"""Prints what start-up, many people, a second build and many firms cost, beside a bare interpreter and pandoc. No test.

Run it with `python tests/benchmarks/scale.py`, with `--large` for ten thousand people too. Seconds are processor time
and mean little away from the machine that is named first; the ratios are taken within one run. The peer, pandoc, turns
our own Markdown into Word and HTML: it is given what we had to work out.
"""

from __future__ import annotations

import math
import os
import platform
import shutil
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent))

from run import DAY, SAMPLE, crowd, workshop

from progdoc.app.disk.description_files import check_path
from progdoc.document.papers.written_program import written_program
from progdoc.document.templating.templates import shipped_templates
from progdoc.writers import WRITERS

SHOP = SAMPLE.parent / "small_shop"
PROGDOC = (sys.executable, "-m", "progdoc")
FIRMS = 6


@dataclass(frozen=True)
class Cost:
    """Processor seconds, seconds on the wall and megabytes at the peak, of a command and what it started."""

    cpu: float
    wall: float
    peak: float


def cost(command: Sequence[str | Path]) -> Cost:
    """Run a command and return what it cost."""
    started = time.perf_counter()
    process = subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    _, status, used = os.wait4(process.pid, 0)
    process.returncode = os.waitstatus_to_exitcode(status)
    if process.returncode not in (0, 1):
        raise SystemExit(f"{' '.join(map(str, command))}: exit status {process.returncode}")
    return Cost(used.ru_utime + used.ru_stime, time.perf_counter() - started, used.ru_maxrss / 1024)


def least(command: Sequence[str | Path], runs: int = 3) -> Cost:
    """Return the cheapest of some runs, after one that is not counted."""
    cost(command)
    return min((cost(command) for _ in range(runs)), key=lambda one: one.cpu)


def told(what: str, found: float, unit: str, wanted: float) -> None:
    print(f"{what}: {found:.2f}{unit} (wanted: at most {wanted:g}{unit})")


def machine() -> str:
    """Return what the figures were taken on."""
    names = Path("/proc/cpuinfo")
    lines = names.read_text(encoding="utf-8").splitlines() if names.is_file() else []
    model = next((line.partition(":")[2].strip() for line in lines if line.startswith("model name")), "")
    return f"{model or platform.processor() or platform.machine()}, {os.cpu_count()} cores, {platform.platform()}"


def of_the_sample(folder: Path, bare: Cost) -> None:
    told("--help against a bare interpreter", least([*PROGDOC, "--help"]).cpu / bare.cpu, " times", 3)
    check = least([*PROGDOC, "check", SAMPLE, "--on", DAY])
    told(f"check of the sample, {check.cpu / bare.cpu:.0f} bare interpreters", check.cpu, " s", 0.35)
    out = folder / "sample"
    first = cost([*PROGDOC, "build", SAMPLE, "-o", out, "--on", DAY])
    told(f"first build of the sample, {first.cpu / bare.cpu:.0f} bare interpreters", first.cpu, " s", 1.2)
    second = cost([*PROGDOC, "build", SAMPLE, "-o", out, "--on", DAY])
    told("second build of the sample against the first", second.cpu / first.cpu, " times", 1 / 3)


def of_people(folder: Path, count: int, limits: tuple[float, float, float], bare: Cost) -> Cost:
    """Print check and build of many people, with the wanted seconds of each and megabytes, and return the build."""
    file, out = folder / f"{count}.yaml", folder / str(count)
    file.write_text(crowd(count), encoding="utf-8")
    check = cost([*PROGDOC, "check", file, "--on", DAY])
    told(f"check of {count} people, {check.cpu / bare.cpu:.0f} bare interpreters", check.cpu, " s", limits[0])
    first = cost([*PROGDOC, "build", file, "-o", out, "--on", DAY])
    told(f"build of {count} people, {first.cpu / bare.cpu:.0f} bare interpreters", first.cpu, " s", limits[1])
    told(f"build of {count} people, at the peak", first.peak, " MB", limits[2])
    written = sum(path.stat().st_size for path in out.rglob("*") if path.is_file()) / 1e6
    print(f"build of {count} people: {written:.0f} MB written, {first.cpu / written * 1000:.0f} ms for each")
    beside_a_page(out, folder)
    second = cost([*PROGDOC, "build", file, "-o", out, "--on", DAY])
    told(f"second build of {count} people against the first", second.cpu / first.cpu, " times", 1 / 3)
    return first


def beside_a_page(out: Path, folder: Path) -> None:
    """Print what the peer takes to write one page of the people annex again, which we had to work out."""
    peer, page = shutil.which("pandoc"), next(iter(sorted((out / "restricted").glob("people*/1.html"))), None)
    if peer and page:
        again = least([peer, page, "-o", folder / "again.html"]).cpu
        print(f"pandoc takes {again:.2f} s to write a page of 250 of these people again")


def exponent(what: str, sizes: tuple[int, int], work: Callable[[int], Cost], base: Cost) -> None:
    """Print with which power of its size the time of a piece of work grows, beyond what an empty one takes."""
    few, many = (work(size).cpu - base.cpu for size in sizes)
    told(f"growth with {what}, exponent", math.log(many / few) / math.log(sizes[1] / sizes[0]), "", 1.05)


def of_growth(folder: Path) -> None:
    empty = folder / "empty.yaml"
    empty.write_text("format: 1\n", encoding="utf-8")
    base = least([*PROGDOC, "check", empty, "--on", DAY])

    def written(text: str, name: str) -> Path:
        (folder / name).write_text(text, encoding="utf-8")
        return folder / name

    def checked(text: str, name: str, *more: str) -> Cost:
        return cost([*PROGDOC, "check", written(text, name), "--on", DAY, *more])

    def compared(count: int) -> Cost:
        new = crowd(count).replace("2026-02-02", "2026-03-02")
        return cost([*PROGDOC, "compare", written(crowd(count), "a.yaml"), written(new, "b.yaml"), "--on", DAY])

    exponent("people", (500, 2000), lambda n: checked(crowd(n), "people.yaml"), base)
    exponent("tasks and hazards", (100, 400), lambda n: checked(workshop(n), "hazards.yaml"), base)
    exponent("findings, all listed", (100, 400), lambda n: checked(workshop(n), "found.yaml", "--all"), base)
    exponent("people compared", (250, 1000), compared, base)


def of_many(folder: Path) -> None:
    """Print what many firms cost one after the other, and side by side."""
    firms = [folder / "firms" / f"firm{n}" for n in range(FIRMS)]
    for firm in firms:
        shutil.copytree(SHOP, firm)
    spent = []
    for jobs in (1, os.cpu_count() or 1):
        command = [*PROGDOC, "build", *firms, "-o", folder / f"jobs{jobs}", "--on", "2026-06-01", "--jobs", str(jobs)]
        spent.append(cost(command))
        print(
            f"{FIRMS} firms, {jobs} at a time: {spent[-1].wall:.1f} s, a process holds {spent[-1].peak:.0f} MB at most"
        )
    print(f"{FIRMS} firms side by side against one after the other: {spent[1].wall / spent[0].wall:.2f} times as long")


def beside_the_peer(folder: Path) -> None:
    """Print our Markdown, HTML and Word of the sample against the peer's HTML and Word of our Markdown."""
    peer = shutil.which("pandoc")
    if peer is None:
        print("pandoc is not installed here: nothing to stand beside")
        return
    out = folder / "sample"
    peers = [least([peer, out / "program.md", "-o", folder / f"peer.{ending}"]).cpu for ending in ("docx", "html")]
    ours = [*PROGDOC, "build", SAMPLE, "--on", DAY, "--only", "md,html,docx", "-o"]
    whole = min(cost([*ours, folder / f"ours{n}"]).cpu for n in range(3))
    told(
        "the whole set in three formats against pandoc's Word and HTML of the program", whole / sum(peers), " times", 1
    )
    told(
        "the program printed in three formats, without judging it, against the same",
        printed() / sum(peers),
        " times",
        1,
    )
    sizes = [(path / name).stat().st_size / 1000 for path, name in ((out, "program.docx"), (folder, "peer.docx"))]
    print(f"the program in Word: {sizes[0]:.0f} kB, pandoc's {sizes[1]:.0f} kB")


def printed() -> float:
    """Return the processor seconds of Markdown, HTML and Word of the sample's program, once its text is there."""
    judged = check_path(SAMPLE, date.fromisoformat(DAY)).judged
    assert judged is not None
    program = written_program(judged, shipped_templates()).program
    started = time.process_time()
    for name in ("md", "html", "docx"):
        WRITERS[name](program)
    return time.process_time() - started


def main() -> None:
    print(machine())
    bare = least([sys.executable, "-c", "pass"])
    print(f"a bare interpreter: {bare.cpu:.3f} s")
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        of_the_sample(folder, bare)
        of_people(folder, 1_000, (1.0, 2.5, 300), bare)
        if "--large" in sys.argv[1:]:
            of_people(folder, 10_000, (4, 12, 300), bare)
        of_growth(folder)
        of_many(folder)
        beside_the_peer(folder)


if __name__ == "__main__":
    main()
