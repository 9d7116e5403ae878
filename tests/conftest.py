"""What holds for every test."""

import gc

from examples import load_profile

load_profile()


def pytest_collection_finish() -> None:
    """Leave what was collected out of every later search for rubbish: thousands of tests hold it to the end."""
    gc.collect()
    gc.freeze()
    gc.set_threshold(100_000, 20, 100)
