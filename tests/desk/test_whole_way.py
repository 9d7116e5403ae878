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
from progdoc.desk.session import Sitting

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
    kinds = {told["kind"] for told in told_of(page.url) if "kind" in told}
    for kind in kinds:
        page = browser.get(next(link for link in page.links if link.endswith(f"={kind}")))
    places = places_in(browser.sitting)
    done = browser.post(page.url, {**page.hidden, **filled(page, places)})
    assert done.status == 200, (question, done.text)
    return question


def told_of(url: str) -> list[dict[str, Any]]:
    """Return what the story tells of a question, as its address names it."""
    about = [value for name, value in parse_qsl(urlsplit(url).query) if name == "about"]
    question = urlsplit(url).path.rpartition("/")[2]
    return [one for one in ANSWERS[question] if one.get("about", "") in ("", *about)]


def places_in(sitting: Sitting) -> dict[str, str]:
    """Return where each thing of a description stands: "tasks.sanding" at "tasks[0]"."""
    program = sitting.checked().loaded.program
    lists = ("tasks", "hazards", "masks", "filters", "people") if program else ()
    return {f"{name}.{one.id}": f"{name}[{n}]" for name in lists for n, one in enumerate(getattr(program, name))}


def filled(page: Page, places: dict[str, str]) -> dict[str, Any]:
    """Return what is typed into the fields that the page shows, and the paragraph that is adopted."""
    about = [value for name, value in parse_qsl(urlsplit(page.url).query) if name == "about"]
    stories = told_of(page.url)
    owners = {one["about"] for one in stories if "about" in one}
    data: dict[str, Any] = {}
    for name in page.names:
        subject = next((one for one, place in places.items() if name.startswith((f"{place}.", f"{place}["))), "")
        line, _, path = name.rpartition(":")
        told = [one for one in stories if one.get("about", "") in ("", subject)]
        if "[+]" in path and len(stories) > 1 and not subject:  # a line for each, of those of each thing the first
            number, lines = int(line or 0), sum(one.endswith(path) for one in page.names)
            each = lines // len(about) if owners else 1
            whose = about[number // each] if owners and number % each == 0 else ""
            told = [one for one in stories if one["about"] == whose] if owners else stories[number : number + 1]
        elif line:
            told = []
        said = [value for one in told[:1] for end, value in one.items() if end[0] in ".[" and path.endswith(end)]
        said = [] if path.startswith("accepted[") else said  # nothing is let stand
        if said:
            data[name] = said[0]
    adopted = [one for one in page.fields if one.get("name", "").endswith(".adopt") and one.get("type") == "checkbox"]
    return data | {one["name"]: one["value"] for one in adopted if one["value"].startswith("(")}
