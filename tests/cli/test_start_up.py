"""What a `check` of the sample takes beside judging it: by counts, which are the same everywhere.

The bounds leave some room for what is added; they are there for what comes back a hundred at a time.
"""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

SAMPLE = Path(__file__).resolve().parents[2] / "sample_config" / "restoration_2026"
COUNTING = """
import dataclasses, json, re._compiler, sys

counts = {"compiled": 0, "written": 0, "parsed": 0}

def counted(module, name, what, is_ours=lambda *given: True):
    work = getattr(module, name)
    def first(*given, **named):
        counts[what] += is_ours(*given)
        return work(*given, **named)
    setattr(module, name, first)

counted(re._compiler, "compile", "compiled")
counted(dataclasses, "_process_class", "written", lambda kind, *_: kind.__module__.startswith("progdoc"))
import yaml
counted(yaml, "parse", "parsed")
from progdoc.cli import main
main(["check", *sys.argv[1:]])
counts["modules"] = sum(name.startswith("progdoc.") for name in sys.modules)
counts["loaded"] = sorted(sys.modules)
print(json.dumps(counts), file=sys.stderr)
"""
# What English alone and a text on the screen never need.
NOT_NEEDED = {"babel", "docx", "lxml", "jinja2", "markdown", "typst", "starlette"}


def test_a_check_reads_its_description_and_makes_little_else() -> None:
    command = [sys.executable, "-c", COUNTING, str(SAMPLE), "--on", "2026-11-24"]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    counts = json.loads(done.stderr.splitlines()[-1])
    assert done.returncode == 0, done.stderr
    assert not NOT_NEEDED & set(counts["loaded"])
    assert counts["parsed"] == len(list(SAMPLE.rglob("*.yaml"))), "run: python -m progdoc.dev prepare"
    assert counts["modules"] <= 400
    assert counts["compiled"] <= 360  # expressions, those of the libraries included
    assert counts["written"] <= 40  # of 300 data classes those that are compared, or have no slots
