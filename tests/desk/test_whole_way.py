"""From an empty folder to a program without a required gap and an issued revision, by the forms of the desk alone."""

from __future__ import annotations

from pathlib import Path
from typing import Any
from urllib.parse import parse_qsl, urlsplit

import yaml
from desk.browsing import Browser, Page

import progdoc
from progdoc.app.disk.starting_folder import start
from progdoc.core.diagnostics import Severity

ANSWERS: dict[str, list[dict[str, Any]]] = yaml.load(
    Path(__file__).with_name("answers.yaml").read_text(encoding="utf-8"),
    yaml.BaseLoader,  # noqa: S506 (texts alone)
)
MOST_ANSWERS = 60  # issue of the desk: two tasks and four people


def test_an_evening_at_the_desk_ends_with_an_issued_program(tmp_path: Path) -> None:
    start(tmp_path / "shop")
    browser = Browser(tmp_path / "shop", tmp_path / "issued")
    asked: list[str] = []
    while missing(browser):
        asked.append(answered_next(browser))
        assert len(asked) <= MOST_ANSWERS, asked
    asked += [answer(browser, f"/ask/{question}") for question in ("revision", "masks-by-choice")]  # cautions
    page = browser.post("/issue", browser.get("/papers").hidden)
    assert "no entry for revision" in page.text, "what only an issue needs is asked when it is issued"
    asked.append(answer(browser, next(link for link in page.links if link.startswith("/ask/"))))
    page = browser.post("/issue", browser.get("/papers").hidden)
    assert page.status == 200 and "is issued" in page.text, page.text
    assert (tmp_path / "issued" / "revision-1" / "program.docx").is_file()
    written = progdoc.load({"program.yaml": (tmp_path / "shop" / "program.yaml").read_bytes()})
    by_hand = progdoc.load({"program.yaml": Path(__file__).with_name("by_hand.yaml").read_bytes()})
    assert written.program is not None and by_hand.program is not None
    for name in type(written.program).model_fields:
        assert getattr(written.program, name) == getattr(by_hand.program, name), name


def missing(browser: Browser) -> int:
    return sum(finding.severity is Severity.REQUIRED for finding in browser.sitting.checked().report.findings)


def answered_next(browser: Browser) -> str:
    """Answer the question that comes next, as the story tells; return what it was."""
    return answer(browser, "/next")


def answer(browser: Browser, url: str) -> str:
    page = browser.get(url)
    question = urlsplit(page.url).path.rpartition("/")[2]
    about = [value for name, value in parse_qsl(urlsplit(page.url).query) if name == "about"]
    told = next(one for one in ANSWERS[question] if one.get("about", "") in ("", *about))
    if "kind" in told:
        page = browser.get(next(link for link in page.links if link.endswith(f"={told['kind']}")))
    done = browser.post(page.url, {**page.hidden, **filled(page, told)})
    assert done.status == 200, (question, done.text)
    if "again" in told:
        (after,) = ANSWERS[question][ANSWERS[question].index(told) + 1 :]
        done = browser.post(done.url, {**done.hidden, **filled(done, after)})
        assert done.status == 200, (question, done.text)
    return question


def filled(page: Page, told: dict[str, Any]) -> dict[str, Any]:
    """Return what is typed into the fields that the page shows, and the paragraph that is adopted."""
    data: dict[str, Any] = {"about": told["about"]} if "about" in told and "about" in page.names else {}
    for name in page.names:
        said = [value for end, value in told.items() if end[0] in ".[" and name.endswith(end)]
        if said:
            data[name] = said[0]
    adopted = [one for one in page.fields if one.get("name", "").endswith(".adopt") and one.get("type") == "checkbox"]
    data |= {one["name"]: one["value"] for one in adopted if one["value"].startswith("(")}
    return data | ({"again": "yes"} if "again" in told else {})
