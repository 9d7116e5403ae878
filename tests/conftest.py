"""What holds for every test."""

import gc
import os
import sys

from examples import load_profile

load_profile()

# Dozens of processes are started: what one has compiled, all others take, whatever is usual on the machine.
sys.dont_write_bytecode = False
os.environ.pop("PYTHONDONTWRITEBYTECODE", None)


def pytest_collection_finish() -> None:
    """Leave what was collected out of every later search for rubbish: thousands of tests hold it to the end."""
    gc.collect()
    gc.freeze()
    gc.set_threshold(100_000, 20, 100)
