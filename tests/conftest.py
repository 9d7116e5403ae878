"""What holds for every test, and the browser that is started once for all who look at pages."""

from __future__ import annotations

import gc
import os
import shutil
import sys
from collections.abc import Iterator
from typing import TYPE_CHECKING

import pytest
from examples import load_profile

if TYPE_CHECKING:
    from playwright.sync_api import Browser

load_profile()

# Dozens of processes are started: what one has compiled, all others take, whatever is usual on the machine.
sys.dont_write_bytecode = False
os.environ.pop("PYTHONDONTWRITEBYTECODE", None)


def pytest_collection_finish() -> None:
    """Leave what was collected out of every later search for rubbish: thousands of tests hold it to the end."""
    gc.collect()
    gc.freeze()
    gc.set_threshold(100_000, 20, 100)


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        running = playwright.chromium.launch(
            executable_path=shutil.which("chromium"), args=["--no-sandbox", "--disable-gpu"]
        )
        yield running
        running.close()
