"""One page of each kind that progdoc writes, on a desk by day and on a small telephone by night.

Held by axe, the accessibility engine, and by the browser's own word on what does not fit. The pages are those of a
complete program, of a draft, and of a comparison, restricted ones included; at night every single one. The engine
takes seconds for a long page, so that on each change it reads a short one of each kind alone, every other kind on the
desk and those between on the telephone: of what stands in the long ones it reads a document with every kind of node
(`test_html.py`).
"""

from __future__ import annotations

import re
import subprocess
from datetime import date
from functools import cache
from pathlib import Path
from typing import Literal

import pytest
from axe_playwright_python.sync_playwright import Axe
from examples import TIMES
from playwright.sync_api import Browser

from progdoc.app.build import build
from progdoc.app.check import check
from progdoc.app.compare import compare, compared_files
from progdoc.app.disk.description_files import load_path
from progdoc.rules.reading.catalogue import built_in_catalogue

SAMPLES = Path(__file__).parents[2] / "sample_config"
ON = date(2026, 11, 24)
SETS = ("complete", "draft", "comparison")
# On each change of small descriptions, whose pages are of the same kinds; at night of the large ones.
SAMPLES_OF = {
    "complete": ("restoration_2026",) if TIMES > 1 else ("small_shop",),
    "draft": ("first_draft",),
    "comparison": ("restoration_2025", "restoration_2026") if TIMES > 1 else ("small_shop", "shop_in_california"),
}
SCREENS: tuple[tuple[Literal["light", "dark"], int], ...] = (("light", 1200), ("dark", 320))
# Of which set the engine reads the short pages of a kind on each change.
READ_IN = {
    "forms": "complete",
    "gaps.html": "complete",
    "cards": "draft",
    "people.html": "draft",
    "tasks": "draft",
    "comparison.html": "comparison",
    "summary.html": "comparison",
}
SHEETS = {"summary.html": 1, "restricted/summary.html": 1, "comparison.html": 5}  # at most, as the browser prints them


def kind_of(file: str) -> str:
    """Return the name that pages share which differ only in whom or what they are of."""
    return re.sub(r"(cards|tasks|forms)/.*", r"\1", file)


@cache
def pages_of(name: str) -> dict[str, bytes]:
    """Return the HTML pages of a set: of those that differ only in whom or what they are of, the first."""
    checked = {sample: check(load_path(SAMPLES / sample), ON, built_in_catalogue()) for sample in SAMPLES_OF[name]}
    made = compared_files(compare(*checked.values())) if name == "comparison" else build(*checked.values(), ("html",))
    pages = {file: data for file, data in made.items() if file.endswith(".html")}
    if TIMES > 1:
        return pages
    of_a_kind: dict[str, str] = {}
    for file in sorted(pages):
        of_a_kind.setdefault(kind_of(file), file)
    return {file: pages[file] for file in of_a_kind.values()}


def _sheets(printed: bytes, folder: Path) -> int:
    (folder / "printed.pdf").write_bytes(printed)
    told = subprocess.run(["pdfinfo", folder / "printed.pdf"], capture_output=True, text=True, check=True).stdout
    return int(re.findall(r"(?m)^Pages: +(\d+)", told)[0])


@pytest.mark.parametrize("name", SETS)
def test_every_kind_of_page_can_be_read_by_anybody(name: str, browser: Browser, tmp_path: Path) -> None:
    pages = pages_of(name)
    assert len(pages) >= 4
    found: dict[str, str] = {}
    read: set[str] = set()
    context = browser.new_context()
    page = context.new_page()
    for number, (file, data) in enumerate(pages.items()):
        here = tmp_path / f"{number}.html"
        here.write_bytes(data)
        page.goto(here.as_uri())
        kind = kind_of(file).removeprefix("restricted/")
        turn_of_kind = -1 if READ_IN.get(kind) != name or kind in read else list(READ_IN).index(kind) % len(SCREENS)
        read.add(kind)
        if file in SHEETS:
            sheets = _sheets(page.pdf(prefer_css_page_size=True), tmp_path)
            if sheets > SHEETS[file]:
                found[f"{file}, printed"] = f"{sheets} sheets"
        for turn, (scheme, width) in enumerate(SCREENS):
            page.set_viewport_size({"width": width, "height": 844})
            page.emulate_media(color_scheme=scheme)
            if page.evaluate("document.documentElement.scrollWidth") > width:
                found[f"{file}, {width} wide"] = "scrolls sideways"
            if TIMES > 1 or turn == turn_of_kind:
                results = Axe().run(page)
                if results.violations_count:
                    found[f"{file}, {width} wide, {scheme}"] = results.generate_report()
    context.close()
    assert found == {}
    assert {kind for kind, read_in in READ_IN.items() if read_in == name} <= read
