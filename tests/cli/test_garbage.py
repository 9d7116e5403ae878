"""A run leaves its garbage to the end of its process: to look for it took a quarter of a check."""

from __future__ import annotations

import subprocess
import sys

_RUN = """
import atexit, gc, sys
atexit.register(lambda: print(gc.get_freeze_count(), gc.get_stats()[2]["collections"] - before, file=sys.stderr))
from progdoc.cli import main
before = gc.get_stats()[2]["collections"]
main(["check", "sample_config/small_shop", "--on", "2026-11-24"])
"""


def test_nothing_is_looked_through_while_a_small_firm_is_checked_nor_at_the_end() -> None:
    ended = subprocess.run([sys.executable, "-c", _RUN], capture_output=True, text=True, check=True)
    frozen, whole_collections = map(int, ended.stderr.split())
    assert frozen > 0  # at its end Python goes through what is not frozen, three times
    assert whole_collections == 0
