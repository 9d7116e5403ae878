"""Prints what the desk takes, in milliseconds and as a multiple of a bare answer of Starlette. No test.

Run it with `PYTHONPATH=tests python tests/benchmarks/desk_speed.py`.
"""

from __future__ import annotations

import shutil
import statistics
import subprocess
import sys
import tempfile
import time
import urllib.request
from collections.abc import Callable
from http.cookiejar import CookieJar
from pathlib import Path

from starlette.applications import Starlette
from starlette.responses import PlainTextResponse
from starlette.routing import Route

sys.path.insert(0, str(Path(__file__).resolve().parent))
sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from desk.browsing import Browser
from run import crowd

ROOT = Path(__file__).resolve().parents[2]
SAMPLE = ROOT / "sample_config" / "restoration_2026"
RUNS = 7
PEOPLE = 1000


def median(work: Callable[[int], object]) -> float:
    """Return the median of some runs in seconds of the processor, after one that is not counted."""
    times = []
    for number in range(RUNS + 1):
        begun = time.process_time()
        work(number)
        times.append(time.process_time() - begun)
    return statistics.median(times[1:])


def bare(path: Path) -> float:
    """Return what an answer of nothing takes by the same client."""
    browser = Browser(path)

    async def nothing(request: object) -> PlainTextResponse:
        return PlainTextResponse("")

    browser.app = Starlette(routes=[Route("/", nothing)])
    return median(lambda _: browser.get("/"))


def started(path: Path) -> float:
    """Return the seconds from the address that is shown to its first page, as another program gets it."""
    command = [sys.executable, "-m", "progdoc", "desk", str(path), "--no-browser"]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as running:
        assert running.stdout is not None
        address = next(line.strip() for line in running.stdout if line.strip().startswith("http://"))
        begun = time.perf_counter()
        opener = urllib.request.build_opener(urllib.request.HTTPCookieProcessor(CookieJar()))
        opener.open(address).read()
        taken = time.perf_counter() - begun
        running.terminate()
    return taken


def main() -> None:
    """Print each figure."""
    with tempfile.TemporaryDirectory() as held:
        folder = Path(held) / "sample"
        shutil.copytree(SAMPLE, folder)
        many = Path(held) / "many.yaml"
        many.write_text(crowd(PEOPLE), encoding="utf-8")
        unit = bare(folder)

        def told(what: str, seconds: float) -> None:
            print(f"{what:60} {seconds * 1000:8.0f} ms {seconds / unit:8.0f} times a bare answer")

        told("bare", unit)
        told("sample: first page after the start", statistics.median(started(folder) for _ in range(3)))
        for name, path in (("sample", folder), (f"{PEOPLE} people", many)):
            browser = Browser(path)
            program = browser.sitting.checked().loaded.program
            assert program is not None
            person, task = program.people[0].id, program.tasks[0].id
            told(f"{name}: where you stand", median(lambda _, at=browser: at.get("/")))
            fits = f"/ask/fit-test-of-person?about=people.{person}"
            told(f"{name}: a question of a person", median(lambda _, at=browser, url=fits: at.get(url)))
            crew = f"/ask/crew?about=tasks.{task}"
            told(f"{name}: who does a task", median(lambda _, at=browser, url=crew: at.get(url)))
            told(
                f"{name}: an answer, judged anew, and the page after it",
                median(lambda n, at=browser: at.fill("/ask/employer", {"organisation.name": f"Firm {n}"})),
            )


if __name__ == "__main__":
    main()
