"""The desk in a real browser: by keyboard, wide and narrow, by day and by night, and what axe finds on its pages."""

from __future__ import annotations

import subprocess
import sys
import threading
from collections.abc import Iterator
from datetime import date
from pathlib import Path
from queue import Queue
from shutil import copy

import pytest
from axe_playwright_python.sync_playwright import Axe
from examples import TIMES
from playwright.sync_api import Browser, Page

from progdoc.desk.serving import serve
from progdoc.desk.session import Sitting

SAMPLES = Path(__file__).resolve().parents[2] / "sample_config"
VIEWS = ((1100, "light"), (320, "dark"))  # WCAG 2.2, 1.4.10: nothing scrolls sideways at 320 px


@pytest.fixture
def served(tmp_path: Path, browser: Browser) -> Iterator[Page]:
    """A desk of the plaster shop and of nothing yet, opened by the address that it shows."""
    copy(SAMPLES / "small_shop" / "program.yaml", tmp_path / "program.yaml")
    command = [sys.executable, "-m", "progdoc", "desk", str(tmp_path / "program.yaml"), "--no-browser"]
    command += ["--share", "127.0.0.1"]  # this machine stands for one in a network
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as running:
        assert running.stdout is not None
        told = [next(running.stdout).strip() for _ in range(4)]
        page = browser.new_page()
        page.goto(told[3])
        page.phone = (told[0].rpartition(" ")[2], told[1].rpartition(" ")[2])
        page.set_default_timeout(20_000)
        yield page
        page.context.close()
        running.terminate()


def test_every_page_is_for_everybody(served: Page) -> None:
    """Held by axe against WCAG 2.2 at level A and AA, and by the browser's own word on what does not fit."""
    about = "about=hazards.white-dust"
    pages = {
        "where you stand": "/",
        "a question": "/ask/employer",
        "a question of choices": "/ask/conditions?about=tasks.sand-casts",
        "a question of kinds": f"/ask/level?{about}",
        "what stands, to be changed": "/ask/fit-test-of-person?about=people.nora",
        "a kind that is chosen": f"/ask/level?{about}&kind:hazards[0].exposure=samples",
        "answers": "/answers",
        "work": "/work",
        "due": "/due",
        "papers": "/papers",
        "a paper to read": "/read/program.html",
    }
    found: dict[str, str] = {}
    for turn, (width, scheme) in enumerate(VIEWS):
        served.emulate_media(color_scheme=scheme)
        served.set_viewport_size({"width": width, "height": 900})
        for number, (name, url) in enumerate(pages.items()):
            if TIMES == 1 and number % len(VIEWS) != turn:
                continue  # on each change every page in one of the views, at night in both
            served.goto(url_of(served, url))
            if served.evaluate("document.documentElement.scrollWidth") > width:
                found[f"{name}, {width} wide"] = "scrolls sideways"
            results = Axe().run(served, options={"runOnly": ["wcag2a", "wcag2aa", "wcag21aa", "wcag22aa"]})
            if results.violations_count:
                found[f"{name}, {width} wide, {scheme}"] = results.generate_report()
    assert found == {}


def test_two_pages_in_spanish_are_for_everybody(served: Page) -> None:
    """The choice of the language goes by its link, and holds on the page after it."""
    served.set_viewport_size({"width": 320, "height": 900})
    found = {}
    served.click("text=Esta página en español")
    for name, url in (("where you stand", "/"), ("a question", "/ask/conditions?about=tasks.sand-casts")):
        served.goto(url_of(served, url))
        assert served.get_attribute("html", "lang") == "es"
        assert served.evaluate("document.documentElement.scrollWidth") <= 320, name
        results = Axe().run(served, options={"runOnly": ["wcag2a", "wcag2aa", "wcag21aa", "wcag22aa"]})
        found |= {name: results.generate_report()} if results.violations_count else {}
    assert found == {}


def test_an_answer_goes_by_keyboard_alone_and_can_be_taken_back(served: Page) -> None:
    served.goto(url_of(served, "/ask/employer"))
    served.keyboard.press("Tab")
    assert served.evaluate("document.activeElement.className") == "skip"
    served.keyboard.press("Enter")
    served.keyboard.press("Tab")
    served.keyboard.press("Control+A")
    served.keyboard.type("Quill Plaster")
    served.wait_for_selector("#tried p")  # what it would mean, told while it is typed
    served.keyboard.press("Enter")
    served.wait_for_selector("text=Last answered")
    assert served.inner_text(".firm") == "Quill Plaster"
    served.go_back()
    assert served.input_value("[name='organisation.name']") == "Quill Plaster"
    served.click("text=Take it back")
    served.wait_for_selector("h1:has-text('Where you stand')")
    assert served.inner_text(".firm") == "Quill & Daughter Plasterwork"


def test_a_fault_is_named_at_the_top_and_at_its_field_and_nothing_typed_is_lost(served: Page) -> None:
    served.goto(url_of(served, "/ask/conditions?about=tasks.sand-casts"))
    served.fill("[name='tasks[0].duration']", "three hours")
    served.fill("[name='tasks[0].frequency']", "Twice a week")
    served.click("text=Write it down")
    served.wait_for_selector("[role=alert]")
    assert served.title().startswith("Mend: ")
    assert "three hours" in served.inner_text("[id='tasks[0].duration.fault']")
    assert served.input_value("[name='tasks[0].frequency']") == "Twice a week"
    assert Axe().run(served).violations_count == 0


def test_a_form_narrows_live_and_keeps_what_is_filled_in(served: Page) -> None:
    served.goto(url_of(served, "/ask/fit-test-of-person?about=people.nora&more=yes"))
    new = "people[0].fit_tests[+]"

    def is_shown(name: str) -> bool:
        return served.locator(f"[name='{new}.{name}']:not([type=hidden])").first.is_visible()

    assert (
        served.get_by_text("Ticked already").first.is_visible() and is_shown("screened") and not is_shown("fit_factor")
    )
    served.check(f"[name='{new}.protocol'][value='ambient-cnc']")
    assert is_shown("fit_factor") and not is_shown("screened") and not is_shown("enclosure")
    served.fill(f"[name='{new}.fit_factor']", "240")
    served.check(f"[name='{new}.protocol'][value='irritant-smoke']")
    assert is_shown("enclosure") and is_shown("screened")
    assert is_shown("fit_factor"), "what is filled in is never out of sight"
    served.goto(url_of(served, "/ask/training"))
    served.check("text=All of these")
    topics = served.locator("[name='procedures.training.topics'][type=checkbox]")
    assert all(topics.nth(n).is_checked() for n in range(7))
    topics.nth(3).uncheck()
    assert not served.is_checked("text=All of these")


def test_the_phone_is_for_everybody(served: Page) -> None:
    address, code = served.phone
    served.set_viewport_size({"width": 320, "height": 800})
    served.emulate_media(color_scheme="dark")
    served.goto(address)
    found = {"the code": Axe().run(served).violations_count}
    served.fill("[name=code]", code)
    served.keyboard.press("Enter")
    served.click("text=A mask does not seal")
    found["a record"] = Axe().run(served).violations_count
    served.check("text=Nora Quill")
    served.click("text=Record it")
    served.wait_for_selector("[role=status]")
    assert "Nora Quill may not start" in served.inner_text("[role=status]")
    found["on site"] = Axe().run(served).violations_count
    found["sideways"] = int(served.evaluate("document.documentElement.scrollWidth") > 320)
    assert not any(found.values()), found


def url_of(page: Page, path: str) -> str:
    return page.evaluate("location.origin") + path


def test_it_ends_by_itself_when_nobody_asks_any_more(tmp_path: Path) -> None:
    copy(SAMPLES / "small_shop" / "program.yaml", tmp_path / "program.yaml")
    command = [
        sys.executable,
        "-m",
        "progdoc",
        "desk",
        str(tmp_path / "program.yaml"),
        "--no-browser",
        "--rest",
        "0.02",
    ]
    done = subprocess.run(command, capture_output=True, text=True, check=True)
    assert "http://127.0.0.1:" in done.stdout


def test_it_ends_when_its_last_page_is_closed_and_not_while_one_is_read(tmp_path: Path, browser: Browser) -> None:
    copy(SAMPLES / "small_shop" / "program.yaml", tmp_path / "program.yaml")
    told: Queue[str] = Queue()
    sitting = Sitting(tmp_path / "program.yaml", lambda: date(2026, 6, 1), tmp_path / "issued")
    serving = threading.Thread(target=serve, args=(sitting, 0, told.put), kwargs={"closed_for_s": 1}, daemon=True)
    serving.start()
    context = browser.new_context()
    first = context.new_page()
    first.goto(told.get())
    first.click("text=Your answers")  # one page goes, another comes
    second = context.new_page()
    second.goto(url_of(first, "/work"))
    first.close()
    serving.join(2)
    assert serving.is_alive()  # one page is open yet
    second.goto(url_of(second, "/papers/program.html"))  # it has no script, and tells nothing
    serving.join(2)
    assert serving.is_alive()
    second.go_back()
    second.wait_for_selector("h1")
    context.close()
    serving.join(20)
    assert not serving.is_alive()
