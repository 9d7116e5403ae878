"""From an empty folder to an issued revision in a real browser: a few pages on each change, all of it at night."""

from __future__ import annotations

import queue
import threading
from pathlib import Path
from typing import Any

from desk.browsing import DAY
from desk.browsing import Page as Read
from desk.test_whole_way import MOST_ANSWERS, filled, places_in, told_of
from examples import TIMES
from playwright.sync_api import Browser, Page

from progdoc.app.disk.starting_folder import start
from progdoc.core.diagnostics import Severity
from progdoc.desk.serving import serve
from progdoc.desk.session import Sitting

FEW = 7
AT_ISSUE = ("revision", "masks-by-choice", "history")


def test_the_forms_are_filled_in_as_somebody_does(tmp_path: Path, browser: Browser) -> None:
    start(tmp_path / "shop")
    sitting = Sitting(tmp_path / "shop", lambda: DAY, tmp_path / "issued")
    told: queue.Queue[str] = queue.Queue()
    threading.Thread(target=serve, args=(sitting, 0, told.put), kwargs={"rest_minutes": 1}, daemon=True).start()
    page = browser.new_page()
    page.set_default_timeout(30_000)
    page.goto(told.get())
    origin = page.evaluate("location.origin")
    most = FEW if TIMES == 1 else MOST_ANSWERS
    for _ in range(most):
        if not any(one.severity is Severity.REQUIRED for one in sitting.checked().report.findings):
            break
        page.goto(f"{origin}/next")
        answer(page, sitting)
    assert len(sitting.done) >= FEW
    if TIMES > 1:
        for question in AT_ISSUE:
            page.goto(f"{origin}/ask/{question}")
            answer(page, sitting)
        page.goto(f"{origin}/papers")
        page.click("text=Issue this revision")
        page.wait_for_selector("text=is issued")
        assert (tmp_path / "issued" / "revision-1" / "program.docx").is_file()
    page.context.close()


def answer(page: Page, sitting: Sitting) -> None:
    """Answer the question that is shown, as the story tells."""
    for kind in {told["kind"] for told in told_of(page.url) if "kind" in told}:
        page.locator(f".kinds a[href$='={kind}']").first.click()
    written(page, filled(Read(page.url, 200, page.content()), places_in(sitting)))


def written(page: Page, data: dict[str, Any]) -> None:
    """Type and tick, and write it down."""
    closed = page.locator("main form details:not([open]) > summary")
    while closed.count():
        closed.first.click()
    for name, said in data.items():
        values = said if isinstance(said, list) else [said]
        fields = page.locator(f"[name='{name}']:not([type=hidden])")
        if fields.first.get_attribute("type") in ("checkbox", "radio"):
            for tick in fields.all():
                if tick.get_attribute("type") == "radio" and tick.get_attribute("value") not in values:
                    continue
                tick.set_checked(tick.get_attribute("value") in values)
        elif (tag := fields.first.evaluate("field => field.tagName")) == "SELECT":
            fields.first.select_option(values[0])
        elif tag == "TEXTAREA":
            fields.first.fill("\n".join(values))
        else:
            for number, value in enumerate(values):
                fields.nth(number).fill(value)
    with page.expect_navigation():
        page.click("main button:not([name])")
    assert page.locator("section.faults").count() == 0, page.inner_text("main")
