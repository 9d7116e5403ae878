"""Says whether two checkouts print the same: every output of the samples and small programs, byte by byte.

    python tests/same_bytes.py OTHER_CHECKOUT

Run it before and after a change of the structure alone. It prints each file that differs and ends with 1 if any does.
"""

from __future__ import annotations

import hashlib
import os
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

HERE = Path(__file__).resolve().parents[1]
DAY = "2026-11-24"
SAMPLES = ("first_draft", "restoration_2025", "restoration_2026", "small_shop")


def _runs(checkout: Path, out: Path) -> Iterator[tuple[str, list[str]]]:
    """Yield what is run in a checkout, each with the file its words go to."""
    programs = [checkout / "sample_config" / name for name in SAMPLES]
    programs += sorted((checkout / "tests" / "programs").glob("*.yaml"))
    for path in programs:
        name = path.stem
        only = "md,html,docx,pdf" if path.is_dir() else "md"
        yield f"{name}.build.txt", ["build", str(path), "-o", str(out / name), "--on", DAY, "--only", only]
        for form in ("text", "json", "sarif", "junit", "html", "md"):
            yield f"{name}.check.{form}", ["check", str(path), "--on", DAY, "--format", form]
        yield f"{name}.select.json", ["select", str(path), "--on", DAY, "--format", "json"]
        for form in ("text", "json", "csv", "ics"):
            yield f"{name}.due.{form}", ["due", str(path), "--on", DAY, "--within", "400", "--format", form]
    old, new = (str(checkout / "sample_config" / name) for name in SAMPLES[1:3])
    yield "compare.txt", ["compare", old, new, "--on", DAY, "-o", str(out / "changes")]
    yield "issue.txt", ["issue", new, "--into", str(out / "issued"), "--on", DAY]
    yield "renew.txt", ["renew", new, "--effective", "2027-09-14", "-o", str(out / "next"), "--on", DAY]
    yield "schema.json", ["schema"]


def outputs(checkout: Path) -> dict[str, str]:
    """Return the hash of everything a checkout prints and writes, by name."""
    with tempfile.TemporaryDirectory() as folder:
        out = Path(folder)
        for name, arguments in _runs(checkout, out):
            done = subprocess.run(
                [sys.executable, "-m", "progdoc", *arguments],
                cwd=checkout,
                env={**os.environ, "PYTHONPATH": str(checkout)},
                capture_output=True,
                check=False,
            )
            words = done.stdout + done.stderr
            for place, sign in ((out, b"OUT"), (checkout, b"HERE")):
                words = words.replace(str(place).encode(), sign)
            (out / name).write_bytes(words)
        files = (file for file in sorted(out.rglob("*")) if file.is_file() and file.name != ".made-from.json")
        return {file.relative_to(out).as_posix(): hashlib.sha256(file.read_bytes()).hexdigest() for file in files}


def main() -> int:
    """Compare this checkout with another one."""
    mine, other = outputs(HERE), outputs(Path(sys.argv[1]).resolve())
    differing = sorted(name for name in mine.keys() | other.keys() if mine.get(name) != other.get(name))
    for name in differing:
        print(name)
    print(f"{len(mine.keys() | other.keys()) - len(differing)} files are the same, {len(differing)} differ.")
    return bool(differing)


if __name__ == "__main__":
    sys.exit(main())
