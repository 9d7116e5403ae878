"""Every writer killed for good, two of them at once, and on a full disk: what is lost, what sticks, what is false.

    python tests/hard_trials.py kills 200
    python tests/hard_trials.py races 200
    python tests/hard_trials.py full /a/small/disk

Each run is a process of its own, forked from one that has everything imported, and a kill is a real SIGKILL at some
moment, or at some change of the disk. Afterwards nothing of the user's may be gone or half written, the same command
has to succeed, and what it leaves has to be, byte by byte, what an undisturbed run leaves. The small disk is a file
system of some megabytes with nothing on it that is needed (`mount -t tmpfs -o size=40m tmpfs FOLDER`).
"""

from __future__ import annotations

import os
import random
import select
import shutil
import signal
import sys
import tempfile
import time
import traceback
from collections import Counter
from collections.abc import Callable, Sequence
from contextlib import redirect_stderr, redirect_stdout, suppress
from io import StringIO
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[1]
sys.path[:0] = [str(ROOT / "tests"), str(ROOT)]

from desk.browsing import Browser  # noqa: E402

from progdoc.app.manifest import STAGING  # noqa: E402
from progdoc.cli import main as progdoc  # noqa: E402

DAY = ("--on", "2026-11-24")
BASE = ROOT / "tests" / "programs" / "base.yaml"
OK = (0, 1)
CHANGES = ("mkdir", "write", "fsync", "replace", "rename", "unlink", "remove", "rmdir", "ftruncate", "chmod")
MOST_TOLD = 4000
State = dict[str, bytes]
Work = Callable[[Path], int]


def _command(*words: str) -> Work:
    """Return a run of a command; `@` before a name stands for the folder of the trial."""
    return lambda home: progdoc([word.replace("@", f"{home}/") for word in (*words, *DAY)])


def _at_the_desk(answer: str) -> Work:
    def work(home: Path) -> int:
        page = Browser(home / "shop").fill("/ask/employer", {"organisation.name": answer})
        print(page.text)
        return (
            0 if page.status == 200 and answer in "".join(f.read_text() for f in (home / "shop").glob("*.yaml")) else 2
        )

    return work


def _trained(who: str, by: str = "Ada Brook") -> tuple[str, ...]:
    return ("record", "@shop", "training", "--who", who, "--topics", "all", "--by", by, "--yes")


def _left(who: str) -> Work:
    return _command("record", "@shop", "leaving", "--who", who, "--archive", "yes", "--yes")


_BUILD = _command("build", "@shop", "-o", "@out", "--only", "md")
WRITERS: dict[str, Work] = {
    "start": lambda home: progdoc(["start", f"{home}/new"]),
    "build": _BUILD,
    "issue": _command("issue", "@base", "--into", "@issued"),
    "renew": _command("renew", "@shop", "--effective", "2027-01-11", "-o", "@next"),
    "compare -o": _command("compare", "@base", "@shop", "-o", "@changes"),
    "check -o": _command("check", "@shop", "--format", "sarif", "-o", "@gaps.sarif"),
    "due -o": _command("due", "@shop", "--format", "ics", "--within", "900", "-o", "@due.ics"),
    "due --plan -o": _command("due", "@shop", "--plan", "--format", "json", "--within", "900", "-o", "@plan.json"),
    "due --letters": _command("due", "@shop", "--letters", "--within", "900", "-o", "@letters"),
    "sheets -o": _command("sheets", "@shop", "-o", "@people.xlsx"),
    "sheets --csv": _command("sheets", "@shop", "--csv", "-o", "@tables"),
    "explain --all": _command("explain", "--all", "-o", "@rules"),
    "record": _command(*_trained("all")),
    "record --archive": _left("jo-marsh"),
    "desk": _at_the_desk("Heron Lane Joiners"),
}


def _home(folder: Path) -> None:
    """Lay out what every trial begins with; some of it is what an earlier run has written."""
    for one in ("shop", "base"):
        (folder / one).mkdir()
        shutil.copy(BASE, folder / one / "program.yaml")
    (folder / "mine.txt").write_text("mine")
    _run(lambda: _BUILD(folder))
    much_later = ("--format", "sarif", "-o", f"{folder}/gaps.sarif", "--on", "2028-11-24")
    _run(lambda: progdoc(["check", f"{folder}/base", *much_later]))
    file = folder / "shop" / "program.yaml"
    file.write_text(file.read_text().replace("Brook & Lintel", "Brook & Lintel & Daughters"))


def _state(home: Path) -> State:
    return {str(path.relative_to(home)): path.read_bytes() for path in home.rglob("*") if path.is_file()}


# ---- processes ------------------------------------------------------------------------------------------


class Run:
    """A forked run. It tells through a pipe of each change of the disk, and may end itself at one of them."""

    def __init__(self, work: Callable[[], int], log: Path | None = None, end_at: int = 0) -> None:
        self._told, telling = os.pipe()
        sys.stdout.flush()
        self.pid = os.fork()
        if self.pid == 0:
            self._child(work, telling, log, end_at)
        os.close(telling)

    def _child(self, work: Callable[[], int], telling: int, log: Path | None, end_at: int) -> None:
        status = 99
        try:
            shown = os.open(log or os.devnull, os.O_WRONLY | os.O_CREAT | os.O_APPEND)
            os.dup2(shown, 1)
            os.dup2(shown, 2)
            count = [0]

            def noticed(change: Callable[..., Any]) -> Callable[..., Any]:
                def changed(*given: Any, **named: Any) -> Any:
                    count[0] += 1
                    if count[0] <= MOST_TOLD:
                        tell(telling, b".")
                    if count[0] == end_at:
                        os.kill(os.getpid(), signal.SIGKILL)
                    return change(*given, **named)

                return changed

            tell = os.write
            for name in CHANGES:
                setattr(os, name, noticed(getattr(os, name)))
            status = work()
            sys.stdout.flush()
            sys.stderr.flush()
        except Exception:
            traceback.print_exc()
        finally:
            os._exit(status)

    def writes(self) -> None:
        """Wait until it begins to write, or ends."""
        select.select([self._told], [], [], 120)

    def changes(self) -> int:
        """Wait until it ends; return how often it changed the disk, as far as that is told."""
        found = 0
        while piece := os.read(self._told, MOST_TOLD):
            found += len(piece)
        return found

    def ended(self) -> int:
        """Wait; return its exit status, below 0 for the signal that ended it."""
        status = os.waitstatus_to_exitcode(os.waitpid(self.pid, 0)[1])
        os.close(self._told)  # not before: it tells into the pipe, which has room for all of it
        return status

    def kill(self) -> None:
        with suppress(ProcessLookupError):
            os.kill(self.pid, signal.SIGKILL)


def _run(work: Callable[[], int], log: Path | None = None) -> int:
    return Run(work, log).ended()


def _undisturbed(name: str, first: Path, home: Path) -> tuple[State, State, float, int]:
    """Return what stands before and after a run that nothing disturbs, how long it writes, and how many changes."""
    shutil.copytree(first, home, dirs_exist_ok=True)
    before = _state(home)
    run = Run(lambda: WRITERS[name](home), home.parent / "log")
    run.writes()
    begun = time.monotonic()
    changes = run.changes()
    status = run.ended()
    seconds = time.monotonic() - begun
    assert status in OK, (name, status, (home.parent / "log").read_text())
    after = _state(home)
    assert before != after, name
    return before, after, seconds, changes


def _not_as_it_may_be(found: State, before: State, after: State, is_ended: bool) -> list[str]:
    """Return each file that is neither as it was nor as it will be."""
    wrong = [name for name, data in before.items() if found.get(name) not in (data, after.get(name))]
    if is_ended:
        wrong += [name for name in {*found, *after} if found.get(name) != after.get(name)]
    return wrong


# ---- the three kinds of trial ---------------------------------------------------------------------------


def kills(name: str, first: Path, folder: Path, times: int, chance: random.Random) -> Counter[str]:
    before, after, seconds, changes = _undisturbed(name, first, folder / "undisturbed")
    told: Counter[str] = Counter(killed=0, lost=0, stuck=0)
    home = folder / "home"
    tries = 0
    while told["killed"] < times and tries < 3 * times:
        tries += 1
        shutil.rmtree(home, ignore_errors=True)
        shutil.copytree(first, home)
        for _ in range(1 + (chance.random() < 0.2)):  # now and then what mends is killed, too
            if chance.random() < 0.6:
                run = Run(lambda: WRITERS[name](home), end_at=chance.randint(1, changes))
            else:
                run = Run(lambda: WRITERS[name](home))
                run.writes()
                time.sleep(seconds * chance.random())
                run.kill()
            told["killed"] += run.ended() == -signal.SIGKILL
        left = [path.name for path in home.rglob(f"{STAGING}*")]
        told["left something"] += bool(left)
        told["left a journal"] += any(home.rglob(f"{STAGING}*/journal.json"))
        found = {n: data for n, data in _state(home).items() if STAGING not in n}
        if wrong := _not_as_it_may_be(found, before, after, False):
            told["lost"] += 1
            print(f"{name}: lost or half written: {wrong[:5]}")
        log = folder / "log"
        log.unlink(missing_ok=True)
        if chance.random() < 0.2 and _run(lambda: _command("check", "@shop")(home), log) not in OK:
            told["not read"] += 1
            print(f"{name}: check does not read what a killed run left: {log.read_text()[-600:]}")
        status = _run(lambda: WRITERS[name](home), log)
        wrong = _not_as_it_may_be(_state(home), before, after, True)
        if (status not in OK and not (name == "start" and status == 2)) or wrong:
            told["stuck"] += 1
            print(f"{name}: the next run ends with {status}, {wrong[:5]}: {log.read_text()[-600:]}")
    return told


def _ballast(disk: Path, free: int) -> None:
    """Fill a disk up to so many bytes."""
    room = os.statvfs(disk)
    (disk / "ballast").write_bytes(b"\1" * max(room.f_bavail * room.f_frsize - free, 0))


def full(name: str, first: Path, folder: Path, disk: Path) -> Counter[str]:
    before, after, *_ = _undisturbed(name, first, folder / "undisturbed")
    told: Counter[str] = Counter(full=0, lost=0, stuck=0, silent=0)
    home, log = disk / "home", folder / "log"
    for free in (0, 4096, 8192, 16_384, 24_576, 32_768, 49_152, 65_536, 98_304, 131_072, 262_144, 524_288, 1_048_576):
        shutil.rmtree(home, ignore_errors=True)
        (disk / "ballast").unlink(missing_ok=True)
        shutil.copytree(first, home)
        _ballast(disk, free)
        log.unlink(missing_ok=True)
        status = _run(lambda: WRITERS[name](home), log)
        found = {n: data for n, data in _state(home).items() if STAGING not in n}
        (disk / "ballast").unlink()
        if status in OK:
            if wrong := _not_as_it_may_be(found, before, after, True):
                told["lost"] += 1
                print(f"{name}: says {status} on a full disk, but: {wrong[:5]}")
            break
        words = log.read_text()
        told["full"] += 1
        if status != 2 or "No space left on device" not in words:
            told["silent"] += 1
            print(f"{name}: ends with {status} on a full disk and says: {words[-400:]}")
        if wrong := _not_as_it_may_be(found, before, after, False):
            told["lost"] += 1
            print(f"{name}: lost or half written: {wrong[:5]}")
        status = _run(lambda: WRITERS[name](home), log)
        if status not in OK or (wrong := _not_as_it_may_be(_state(home), before, after, True)):
            told["stuck"] += 1
            print(f"{name}: with room again it ends with {status}: {log.read_text()[-400:]}")
    return told


def _not_entered(home: Path, marks: Sequence[str]) -> list[str]:
    text = "".join(path.read_text() for path in (home / "shop").glob("*.yaml"))
    return [mark for mark in marks if mark not in text]


_TWO = ("Wilma Fenn", "Otto Reed")
PAIRS: dict[str, tuple[tuple[Work, Work], tuple[str, str]]] = {
    "record + record": (
        (_command(*_trained("all", _TWO[0])), _command(*_trained("all", _TWO[1]))), _TWO
    ),
    "record + desk": ((_command(*_trained("all", _TWO[0])), _at_the_desk(_TWO[1])), _TWO),
    "desk + desk": ((_at_the_desk(_TWO[0]), _at_the_desk(_TWO[1])), ("", "")),
    **{f"{one} + {one}": ((work, work), ("", "")) for one, work in WRITERS.items() if one not in ("record", "desk")},
}  # fmt: skip
_REASONS = ("is writing to", "is not as it was read", "already holds", "was issued before")


def races(name: str, first: Path, folder: Path, times: int, chance: random.Random) -> Counter[str]:
    works, marks = PAIRS[name]
    told: Counter[str] = Counter(pairs=0, jams=0, wrong=0)
    told["false ok"] = 0
    home = folder / "home"
    logs = [folder / "one", folder / "two"]
    for _ in range(times):
        shutil.rmtree(home, ignore_errors=True)
        shutil.copytree(first, home)
        for log in logs:
            log.unlink(missing_ok=True)
        runs = []
        for work, log in zip(works, logs, strict=True):
            runs.append(Run(lambda work=work: work(home), log))  # type: ignore[misc]
            time.sleep(chance.choice((0, 0, 0.02, 0.1)) * chance.random())
        ends = [run.ended() for run in runs]
        told["pairs"] += 1
        told["both worked"] += all(end in OK for end in ends)
        said = [log.read_text() for log in logs]
        for end, mark, text in zip(ends, marks, said, strict=True):
            if end in OK and mark and _not_entered(home, [mark]):
                told["false ok"] += 1
                print(f"{name}: says {end}, and is not there: {text[-400:]}")
            if end not in OK and "desk" not in name and (end != 2 or not any(reason in text for reason in _REASONS)):
                told["wrong"] += 1
                print(f"{name}: ends with {end} and says: {text[-400:]}")
        if not any(end in OK for end in ends):
            told["jams"] += 1
            print(f"{name}: neither worked: {ends} {said}")
        after = [_run(lambda work=work: work(home), folder / "after") for work in works]  # type: ignore[misc]
        is_left = bool(list(home.rglob(f"{STAGING}*")))
        if (
            is_left
            or (any(end not in OK for end in after) and not name.startswith("start"))
            or _not_entered(home, marks)
        ):
            told["jams"] += 1
            print(f"{name}: afterwards {after}, left {is_left}: {(folder / 'after').read_text()[-400:]}")
    return told


def main(words: Sequence[str]) -> int:
    kind, given, *chosen = words
    chance = random.Random(os.environ.get("PROGDOC_SEED", "7"))
    everything: Counter[str] = Counter()
    with tempfile.TemporaryDirectory() as made:
        folder = Path(made)
        first = folder / "first"
        first.mkdir()
        warm = folder / "warm"
        (warm / "shop").mkdir(parents=True)
        shutil.copy(BASE, warm / "shop" / "program.yaml")
        for work in (WRITERS["build"], WRITERS["check -o"]):  # imports what all of them need, once
            with redirect_stdout(StringIO()), redirect_stderr(StringIO()):
                work(warm)
        _home(first)
        for name in PAIRS if kind == "races" else WRITERS:
            if chosen and name not in chosen:
                continue
            own = folder / name.replace(" ", "_")
            own.mkdir()
            told = (
                full(name, first, own, Path(given)) if kind == "full"
                else (races if kind == "races" else kills)(name, first, own, int(given), chance)
            )  # fmt: skip
            everything += told
            print(f"{name:20}", ", ".join(f"{count} {what}" for what, count in told.items()), flush=True)
            shutil.rmtree(own)
    print("all", dict(everything))
    return int(any(everything[fault] for fault in ("lost", "stuck", "silent", "not read", "jams", "wrong", "false ok")))


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
