"""Seeds small faults into `calc/` and `rules/`, one at a time, and tells which of them no test notices.

    python tests/mutation/run.py progdoc/calc
    python tests/mutation/run.py progdoc/rules --sample 200 --seed 7

The tests are collected once. Each fault is tried in a copy of that process, on the tests that call the faulty
function, the most special first, until one fails; what no test noticed there is tried again on a fresh import. Nothing
is written to the source. Survivors that may live stand with their reasons in `mutation_survivors.md`; any other makes
the exit status 1.
"""

from __future__ import annotations

import argparse
import gc
import importlib.machinery
import json
import os
import random
import resource
import shutil
import sys
import tempfile
from collections.abc import Callable, Sequence
from functools import partial
from pathlib import Path
from types import CodeType, FrameType

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))
sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

import pytest
from _pytest.runner import runtestprotocol
from mutation.mutants import Mutant, mutants_of, seeded
from mutation.transplant import transplant

ROOT = Path(__file__).resolve().parents[2]

# The tests of a folder, as globs: rooms may be built in it and modules may move. The folder itself has the doctests.
TESTS = {
    "progdoc/calc": ("tests/calc/**/test_*.py", "progdoc/calc"),
    "progdoc/rules": (
        "tests/rules/**/test_*.py", "tests/catalogue/test_*requirements.py", "tests/catalogue/test_tables.py",
        "tests/app/test_due.py", "tests/app/test_select.py", "tests/app/test_matrix*.py", "progdoc/rules",
    ),
}  # fmt: skip
SURVIVORS = ROOT / "tests" / "mutation_survivors.md"
CPU_SECONDS = 300  # a fault may make a loop endless
ALL_OF_THEM = 3600  # every test once, watched
MOST_MEMORY = 6 << 30
NOT_DONE = 3  # the fault needs a fresh import
NO_TESTS = 5

Items = Sequence[pytest.Item]
Called = Sequence[set[str]]  # by test: "file:function"
Job = Callable[[Mutant, Items, Called], Callable[[], int]]


def say(line: str) -> None:
    sys.__stdout__.write(f"{line}\n")
    sys.__stdout__.flush()


def _in_child(work: Callable[[], int], folder: Path, cpu_seconds: int) -> int:
    """Start a process that does the work quietly, and return its number."""
    number = os.fork()
    if number:
        return number
    status = 99
    try:
        resource.setrlimit(resource.RLIMIT_CPU, (cpu_seconds, cpu_seconds))
        resource.setrlimit(resource.RLIMIT_AS, (MOST_MEMORY, MOST_MEMORY))
        quiet = os.open(folder / f"{os.getpid()}.log", os.O_WRONLY | os.O_CREAT)
        os.dup2(quiet, 1)
        os.dup2(quiet, 2)
        own = folder / f"{os.getpid()}.tmp"
        own.mkdir()
        os.environ["PYTEST_DEBUG_TEMPROOT"] = str(own)
        status = work()
    finally:
        os._exit(status)


def _all_of(
    jobs: Sequence[Callable[[], int]],
    folder: Path,
    workers: int,
    ended: Callable[[int, int], None],
    cpu_seconds: int = CPU_SECONDS,
) -> None:
    """Run the jobs, some at a time, and tell of each how it ended."""
    running: dict[int, int] = {}
    waiting = list(enumerate(jobs))[::-1]
    while waiting or running:
        while waiting and len(running) < workers:
            at, job = waiting.pop()
            running[_in_child(job, folder, cpu_seconds)] = at
        number, status = os.wait()
        shutil.rmtree(folder / f"{number}.tmp", ignore_errors=True)
        (folder / f"{number}.log").unlink(missing_ok=True)
        ended(running.pop(number), os.waitstatus_to_exitcode(status))


def _passes(item: pytest.Item, following: pytest.Item | None) -> bool:
    return not any(report.failed for report in runtestprotocol(item, nextitem=following, log=False))


class Trial:
    """Takes the place of pytest's loop over the collected tests: runs some of them on each fault."""

    def __init__(self, mutants: Sequence[Mutant], folder: Path, workers: int) -> None:
        self._mutants, self._folder, self._workers = mutants, folder, workers
        self.survivors: list[Mutant] | None = None  # until every fault has been tried

    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        if session.testsfailed:
            raise pytest.UsageError("the tests cannot be collected")
        gc.unfreeze()  # else nobody finds the functions that hold the old code
        called = self._recorded(session.items)
        say(f"{len(session.items)} tests; {len(self._mutants)} faults")
        doubtful = self._left(self._job, self._mutants, session.items, called)
        say(f"{len(doubtful)} left, which are tried again on a fresh import")
        self.survivors = self._left(self._fresh, doubtful, session.items, called)
        return True

    def _left(self, job: Job, mutants: Sequence[Mutant], items: Items, called: Called) -> list[Mutant]:
        """Return the faults that no test noticed, or that this way could not be tried; tell of each."""
        left: list[Mutant] = []

        def ended(at: int, status: int) -> None:
            if status in (0, NOT_DONE, NO_TESTS):
                left.append(mutants[at])
                say(f"{at + 1} of {len(mutants)}: {mutants[at]}")

        _all_of([job(mutant, items, called) for mutant in mutants], self._folder, self._workers, ended)
        return sorted(left, key=lambda mutant: (mutant.file, mutant.number))

    def _recorded(self, items: Items) -> Called:
        """Return for each test which functions it calls, as "file:function"."""
        written = self._folder / "called.json"

        def work() -> int:
            package, called = f"{ROOT / 'progdoc'}/", []
            for at, item in enumerate(items):
                codes: set[CodeType] = set()
                sys.setprofile(partial(_note, codes))
                passes = _passes(item, items[at + 1] if at + 1 < len(items) else None)
                sys.setprofile(None)
                if not passes:
                    return 1
                ours = [code for code in codes if code.co_filename.startswith(package)]
                called.append(sorted({f"{c.co_filename[len(str(ROOT)) + 1 :]}:{_name(c)}" for c in ours}))
            written.write_text(json.dumps(called), encoding="utf-8")
            return 0

        _all_of([work], self._folder, 1, lambda _at, _status: None, ALL_OF_THEM)
        if not written.exists():
            raise pytest.UsageError("a test fails without any fault: run the tests themselves first")
        return [set(names) for names in json.loads(written.read_text(encoding="utf-8"))]

    def _of(self, mutant: Mutant, items: Items, called: Called) -> list[pytest.Item]:
        """Return the tests that call the faulty function, or else its module, those that call little first."""
        name, module = f"{mutant.file.as_posix()}:{mutant.function}", f"{mutant.file.as_posix()}:"
        chosen = [at for at, names in enumerate(called) if name in names]
        chosen = chosen or [at for at, names in enumerate(called) if any(n.startswith(module) for n in names)]
        return [items[at] for at in sorted(chosen, key=lambda at: (len(called[at]), at))]

    def _job(self, mutant: Mutant, items: Items, called: Called) -> Callable[[], int]:
        def work() -> int:
            if not transplant(mutant.file, seeded(mutant)):
                return NOT_DONE
            chosen = self._of(mutant, items, called)
            following = [*chosen[1:], None]
            return 0 if all(_passes(item, after) for item, after in zip(chosen, following, strict=True)) else 1

        return work

    def _fresh(self, mutant: Mutant, items: Items, called: Called) -> Callable[[], int]:
        files = list(dict.fromkeys(str(item.path) for item in self._of(mutant, items, called) or items))
        tests = [file for file in files if "/tests/" in file] + [str(ROOT / "/".join(mutant.file.parts[:2]))]

        def work() -> int:
            code = f"from mutation.run import fresh; fresh({str(mutant.file)!r}, {mutant.number}, {tests!r})"
            path = os.pathsep.join((str(ROOT), str(ROOT / "tests")))
            os.execve(sys.executable, [sys.executable, "-c", code], {**os.environ, "PYTHONPATH": path})

        return work


def _note(codes: set[CodeType], frame: FrameType, event: str, _what: object) -> None:
    if event == "call":
        codes.add(frame.f_code)


def _name(code: CodeType) -> str:
    return code.co_qualname.replace(".<locals>", "")


def fresh(file: str, number: int, tests: Sequence[str]) -> None:
    """Run tests on a fault in a process that has not imported the sound module."""
    mutant = mutants_of(Path(file))[number]
    path, code = str((ROOT / mutant.file).resolve()), compile(seeded(mutant), file, "exec", dont_inherit=True)
    loader = importlib.machinery.SourceFileLoader
    sound = loader.get_code

    def get_code(self: importlib.machinery.SourceFileLoader, name: str) -> CodeType | None:
        return code if str(Path(self.path).resolve()) == path else sound(self, name)

    loader.get_code = get_code
    sys.exit(int(pytest.main(["-x", "-q", "-p", "no:xdist", *tests])))


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("folder", choices=sorted(TESTS))
    parser.add_argument("--sample", type=int, help="try so many of the faults, chosen by --seed")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--only", default="", help="try the faults of files whose path contains this")
    parser.add_argument("--workers", type=int, default=os.cpu_count() or 1)
    chosen = parser.parse_args()
    os.chdir(ROOT)
    files = sorted(Path(chosen.folder).rglob("*.py"))
    every = [mutant for file in files if chosen.only in file.as_posix() for mutant in mutants_of(file)]
    mutants = every
    if chosen.sample is not None and chosen.sample < len(every):
        mutants = random.Random(chosen.seed).sample(every, chosen.sample)
    folder = Path(tempfile.mkdtemp())
    trial = Trial(mutants, folder, chosen.workers)
    tests = [file.as_posix() for glob in TESTS[chosen.folder] for file in sorted(Path().glob(glob))]
    pytest.main(["-q", "-p", "no:xdist", "--capture=no", *tests], plugins=[trial])
    shutil.rmtree(folder)
    if trial.survivors is None:
        raise SystemExit("not every fault could be tried: see above")
    known = SURVIVORS.read_text(encoding="utf-8") if SURVIVORS.exists() else ""
    new = [mutant for mutant in trial.survivors if str(mutant) not in known]
    caught = len(mutants) - len(trial.survivors)
    for mutant in new:
        say(f"survived: {mutant}")
    say(f"{chosen.folder}: {len(every)} faults, {len(mutants)} tried, {caught} caught ({caught / len(mutants):.1%}),")
    say(f"{len(trial.survivors)} survived, {len(new)} of them not in {SURVIVORS.name}")
    return 1 if new else 0


if __name__ == "__main__":
    sys.exit(main())
