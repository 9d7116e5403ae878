"""Seeds small faults into `calc/` and `rules/`, one at a time, and tells which of them no test notices.

    python tests/mutation/run.py progdoc/calc
    python tests/mutation/run.py progdoc/rules --sample 200 --seed 7

A fault is tried in a process of its own, on the tests that call the faulty function, most special first, until one
fails. Nothing is written to the source. Survivors that may live stand with their reasons in `mutation_survivors.md`;
any other makes the exit status 1.
"""

from __future__ import annotations

import argparse
import importlib
import importlib.machinery
import json
import os
import random
import resource
import shutil
import sys
import tempfile
from collections.abc import Callable, Sequence
from pathlib import Path
from types import CodeType, FrameType

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))
sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from mutation.mutants import Mutant, mutants_of, seeded

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
CPU_SECONDS = 240  # a fault may make a loop endless
MOST_MEMORY = 4 << 30

_LIBRARIES = (
    "chemicals",
    "docx",
    "hypothesis.strategies",
    "jinja2",
    "lxml.etree",
    "markdown",
    "pydantic",
    "pytest",
    "yaml",
)

Touched = dict[str, set[str]]  # by test file: "module path:function"


def _seed(mutant: Mutant) -> None:
    """Give the faulty module in place of the sound one, whoever imports it."""
    file, code = str((ROOT / mutant.file).resolve()), compile(seeded(mutant), str(mutant.file), "exec")
    loader = importlib.machinery.SourceFileLoader
    sound = loader.get_code

    def get_code(self: importlib.machinery.SourceFileLoader, name: str) -> CodeType | None:
        return code if str(Path(self.path).resolve()) == file else sound(self, name)

    loader.get_code = get_code


def say(line: str) -> None:
    sys.stdout.write(f"{line}\n")
    sys.stdout.flush()


def _in_child(work: Callable[[], int], folder: Path) -> int:
    """Start a process that does the work quietly, and return its number."""
    number = os.fork()
    if number:
        return number
    status = 99
    try:
        resource.setrlimit(resource.RLIMIT_CPU, (CPU_SECONDS, CPU_SECONDS))
        resource.setrlimit(resource.RLIMIT_AS, (MOST_MEMORY, MOST_MEMORY))
        quiet = os.open(folder / f"{os.getpid()}.log", os.O_WRONLY | os.O_CREAT)
        os.dup2(quiet, 1)
        os.dup2(quiet, 2)
        status = work()
    finally:
        os._exit(status)


def _pytest(files: Sequence[str], folder: Path) -> int:
    import pytest

    options = ["-x", "-q", "--no-header", "-p", "no:xdist", "-W", "ignore::pytest.PytestAssertRewriteWarning"]
    return int(pytest.main([*options, f"--basetemp={folder / f'{os.getpid()}.tmp'}", *files]))


def _all_of(jobs: Sequence[Callable[[], int]], folder: Path, done: Callable[[int, int], None], workers: int) -> None:
    """Run the jobs, some at a time, and tell of each how it ended."""
    running: dict[int, int] = {}
    waiting = list(enumerate(jobs))[::-1]
    while waiting or running:
        while waiting and len(running) < workers:
            at, job = waiting.pop()
            running[_in_child(job, folder)] = at
        number, status = os.wait()
        shutil.rmtree(folder / f"{number}.tmp", ignore_errors=True)
        done(running.pop(number), os.waitstatus_to_exitcode(status))


def _recorder(file: str, folder: Path) -> Callable[[], int]:
    """Return a job that runs the tests of a file and writes down which functions they call."""

    def work() -> int:
        calls: set[str] = set()
        package = str(ROOT / "progdoc")

        def note(frame: FrameType, event: str, _what: object) -> None:
            code = frame.f_code
            if event == "call" and code.co_filename.startswith(package):
                calls.add(f"{code.co_filename[len(str(ROOT)) + 1 :]}:{code.co_qualname.replace('.<locals>', '')}")

        sys.setprofile(note)
        status = _pytest([file], folder)
        sys.setprofile(None)
        (folder / f"{file.replace('/', '+')}.json").write_text(json.dumps(sorted(calls)), encoding="utf-8")
        return status

    return work


def recorded(files: Sequence[str], folder: Path, workers: int) -> Touched:
    """Return for each test file the functions it calls; a file without a sound test of its own is left out."""
    statuses: dict[str, int] = {}
    _all_of(
        [_recorder(file, folder) for file in files],
        folder,
        lambda at, status: statuses.update({files[at]: status}),
        workers,
    )
    failing = [file for file, status in statuses.items() if status not in (0, 5)]  # 5: no tests in it
    if failing:
        raise SystemExit(f"these fail without any fault: {', '.join(failing)}")
    sound = [file for file in files if statuses[file] == 0]
    return {file: set(json.loads((folder / f"{file.replace('/', '+')}.json").read_text())) for file in sound}


def tests_for(mutant: Mutant, touched: Touched) -> list[str]:
    """Return the test files that call the faulty function, the one that calls the fewest functions first."""
    name = f"{mutant.file.as_posix()}:{mutant.function}"
    module = f"{mutant.file.as_posix()}:"
    calling = [f for f, calls in touched.items() if name in calls]
    if not calling:  # the top of a module, or what is called while it is imported
        calling = [f for f, calls in touched.items() if any(call.startswith(module) for call in calls)]
    return sorted(calling, key=lambda file: (len(touched[file]), file))


def tried(mutants: Sequence[Mutant], touched: Touched, folder: Path, workers: int) -> list[Mutant]:
    """Return the mutants that no test noticed."""
    survivors: list[Mutant] = []

    def job(mutant: Mutant) -> Callable[[], int]:
        def work() -> int:
            files = tests_for(mutant, touched)
            _seed(mutant)
            return _pytest(files, folder) if files else 0

        return work

    def done(at: int, status: int) -> None:
        if status == 0:
            survivors.append(mutants[at])
            say(f"survived: {mutants[at]}")

    _all_of([job(mutant) for mutant in mutants], folder, done, workers)
    return survivors


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("folder", choices=sorted(TESTS))
    parser.add_argument("--sample", type=int, help="try so many of the faults, chosen by --seed")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--only", default="", help="try the faults of files whose path contains this")
    parser.add_argument("--workers", type=int, default=os.cpu_count() or 1)
    chosen = parser.parse_args()
    os.chdir(ROOT)
    for library in _LIBRARIES:  # once, before the first fork
        importlib.import_module(library)
    files = sorted(Path(chosen.folder).rglob("*.py"))
    every = [mutant for file in files if chosen.only in file.as_posix() for mutant in mutants_of(file)]
    mutants = every
    if chosen.sample is not None and chosen.sample < len(every):
        mutants = random.Random(chosen.seed).sample(every, chosen.sample)
    folder = Path(tempfile.mkdtemp())
    tests = [file.as_posix() for glob in TESTS[chosen.folder] for file in sorted(Path().glob(glob))]
    touched = recorded(tests, folder, chosen.workers)
    survivors = tried(mutants, touched, folder, chosen.workers)
    shutil.rmtree(folder)
    known = SURVIVORS.read_text(encoding="utf-8") if SURVIVORS.exists() else ""
    new = [mutant for mutant in survivors if str(mutant) not in known]
    caught = len(mutants) - len(survivors)
    say(f"{chosen.folder}: {len(every)} faults, {len(mutants)} tried, {caught} caught ({caught / len(mutants):.1%})")
    say(f"{len(survivors)} survived, {len(new)} of them not in {SURVIVORS.name}")
    return 1 if new else 0


if __name__ == "__main__":
    sys.exit(main())
