"""What is started once for all tests of the writers."""

from __future__ import annotations

import shutil
from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, sync_playwright
from writers.libreoffice import LibreOffice


@pytest.fixture(scope="session")
def office(tmp_path_factory: pytest.TempPathFactory) -> LibreOffice:
    return LibreOffice(tmp_path_factory.mktemp("office"))


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    with sync_playwright() as playwright:
        running = playwright.chromium.launch(
            executable_path=shutil.which("chromium"), args=["--no-sandbox", "--disable-gpu"]
        )
        yield running
        running.close()
