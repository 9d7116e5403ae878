"""Goes through the desk as somebody does who knows a firm's story: each page that comes next is answered, all of it.

A story is a description as it is to become, with names in the place of ids: the desk makes those. What a page asks is
looked up there, and left empty where the story does not tell it.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any
from urllib.parse import parse_qsl, unquote, urlencode, urlsplit

import yaml
from desk.browsing import Browser, Page

from progdoc.app.disk.starting_folder import start
from progdoc.core.diagnostics import Severity
from progdoc.document.papers.renewal_questions import spelt_id

FIRMS: dict[str, Any] = yaml.load(
    Path(__file__).with_name("firms.yaml").read_text(encoding="utf-8"),
    yaml.BaseLoader,  # noqa: S506 (texts alone)
)
_STEP = re.compile(r"([a-z_0-9]+)|\[(\d+|\+)\]")
_ROW = re.compile(r"^(\d+):")  # before a place: one more row of the same list
# Words of a heading that ask for one field: oxygen and oil stood in headings of pages that had none.
_ASKED_BY = {
    "oxygen": ".oxygen",
    "oil": ".oil",
    "eyes": ".irritates_eyes",
    "sizes": ".sizes",
    "weight": ".weight",
    "label": ".label_kept",
}
_THINGS = ("mask", "filter", "masks", "filters", "people", "sites", "tasks", "task", "escape_masks")


@dataclass
class Way:
    """How somebody went: each form that was sent, in order, and what a page asked that was answered before."""

    asked: list[str] = field(default_factory=list)
    twice: list[str] = field(default_factory=list)
    bare: list[str] = field(default_factory=list)  # pages without a field, or that speak of what no field asks


def told(name: str) -> dict[str, Any]:
    """Return the story of a firm: what it tells itself, over what all of them tell."""
    own = FIRMS["firms"][name]
    story = _over(FIRMS["common"], own)
    person = _over(FIRMS["person"], story.pop("person", {}))
    story["people"] = [_over(person, one) for one in story["people"]]
    story["tasks"] = [_over(FIRMS["task"], one) for one in story["tasks"]]
    air = [(task["name"], one) for task in story["tasks"] for one in task.pop("air")]
    story["hazards"] = [_hazard(task, one) for task, one in air]
    sites = story["organisation"]["sites"]
    for one in (*story["tasks"], *story["masks"], *story["filters"], *story["people"], *sites):
        one["id"] = spelt_id(one["name"])
    return story


def _hazard(task: str, own: dict[str, Any]) -> dict[str, Any]:
    """Return an agent in the air of a task, its level sampled or reckoned."""
    hazard = {**FIRMS["hazard"], **own, "task": task, "id": spelt_id(f"{spelt_id(task)} {own['agent']}")}
    averaging = {name: own[name] for name in ("averaging", "fraction") if name in own}
    if "sampled" in own:
        sample = {**FIRMS["sampled"]["results"][0], "concentration": own["sampled"], **averaging}
        hazard["exposure"] = {**FIRMS["sampled"], "results": [sample]}
    if "reckoned" in own:
        hazard["exposure"] = {**FIRMS["reckoned"], "concentration": own["reckoned"], **averaging}
    return hazard


def _over(under: Any, over: Any) -> Any:
    """Return what is told by one group laid over another, group by group."""
    if not (isinstance(under, dict) and isinstance(over, dict)):
        return over
    both = {key: _over(under[key], over[key]) for key in under if key in over}
    return {**under, **over, **both}


def way_through(name: str, folder: Path, most: int) -> tuple[Way, Browser]:
    """Go from an empty folder until the law asks for nothing more, or `most` forms are sent."""
    start(folder)
    browser, story, way = Browser(folder), told(name), Way()
    page = browser.get("/next")
    while missing(browser) and len(way.asked) < most:
        if not page.url.startswith("/ask/"):
            raise AssertionError(f"{name}: nothing more is asked\n" + "\n".join((*way.asked, *missing(browser))))
        page = _chosen(browser, page, story)
        way.asked.append(unquote(page.url.removeprefix("/ask/")))
        values = _values(browser)
        way.bare += [f"{way.asked[-1]}: {lack}" for lack in _lacks(page)]
        data = filled(page, story, values)
        if "more=yes" not in page.url:  # somebody wants to write one more entry beside those that stand
            way.twice += [f"{way.asked[-1]}: {one}" for one in _said_before(page, values)]
        page = browser.post(page.url, {**page.hidden, **data})
        if page.status != 200:
            raise AssertionError(
                f"{name}, {way.asked[-1]}: {re.sub('<[^>]+>', ' ', page.text.partition('faults')[2])[:900]}"
            )
    return way, browser


def missing(browser: Browser) -> list[str]:
    found = browser.sitting.checked().report.findings
    return [str(one) for one in found if one.severity is Severity.REQUIRED]


def _values(browser: Browser) -> Any:
    return browser.sitting.checked().loaded.description.values


def _chosen(browser: Browser, page: Page, story: dict[str, Any]) -> Page:
    """Choose of which kind each group is that the page asks for: what some clicks on its links come to."""
    values = _values(browser)
    links = (parse_qsl(urlsplit(link).query) for link in page.links)
    offered = {key.removeprefix("kind:") for link in links for key, _ in link if key.startswith("kind:")}
    wanted = {f"kind:{path}": kind for path in sorted(offered) if (kind := _told(story, values, f"{path}.kind"))}
    return browser.get(f"{page.url}&{urlencode(wanted)}") if wanted else page


def _lacks(page: Page) -> Iterator[str]:
    """Yield what a page asks in its heading without a field for it."""
    heading = page.text.partition("<h1>")[2].partition("</h1>")[0].lower()
    fields = [name for name in page.names if "." in name or "[" in name]
    if not fields:
        yield "no field"
    for word, end in _ASKED_BY.items():
        if re.search(rf"\b{word}\b", heading) and not any(end in name for name in fields):
            yield word


def _said_before(page: Page, values: Any) -> Iterator[str]:
    """Yield what is asked though it stands: nobody is asked the same twice (WCAG 2.2, 3.3.7).

    The name of an agent that no table knows is asked again beside its limit: it may be a slip of the pen.
    """
    for name in page.names:
        is_place = (
            ("[" in name or "." in name) and "[+]" not in name and not name.endswith((".adopt", "].agent", "+new"))
        )
        if is_place and _at(values, name) not in (None, []):
            yield name


def _at(values: Any, path: str) -> Any:
    """Return what stands at a place of the description as it is typed; None where nothing does."""
    for step, number in _STEP.findall(path):
        if step:
            values = values.get(step) if isinstance(values, Mapping) else None
        else:
            values = values[int(number)] if isinstance(values, list) and int(number) < len(values) else None
    return values


def filled(page: Page, story: dict[str, Any], values: Any) -> dict[str, Any]:
    """Return what is typed into the fields that the page shows."""
    names = [name for name in page.names if "." in name or "[" in name]
    about = [value for name, value in parse_qsl(urlsplit(page.url).query) if name == "about"]
    data: dict[str, Any] = {}
    lists = {_ROW.sub("", name).partition("[+]")[0] for name in names if "[+]" in name}
    more = False
    for base in lists:
        lines = list(dict.fromkeys(_mark(name) for name in names if _ROW.sub("", name).startswith(f"{base}[+]")))
        owners = about if base == "hazards" and len(about) > 1 else [*about[:1], ""][:1]
        for number, owner in enumerate(owners):
            own = lines[number * len(lines) // len(owners) : (number + 1) * len(lines) // len(owners)]
            lacking = list(_lacking(story, values, base, owner))
            more = more or len(lacking) > len(own)
            for mark, entry in zip(own, lacking, strict=False):
                for name in names:
                    if name.startswith(f"{mark}{base}[+]"):
                        _type(page, data, name, _inside(entry, name.partition("[+]")[2].removesuffix("+new")))
    for name in names:
        if "[+]" not in name:
            _type(page, data, name, _told(story, values, name.removesuffix("+new")))
    return data | ({"again": "yes"} if more else {})


def _mark(name: str) -> str:
    found = _ROW.match(name)
    return found[0] if found else ""


def _type(page: Page, data: dict[str, Any], name: str, said: Any) -> None:
    """Lay what the story tells of a field into what is sent."""
    texts = said if isinstance(said, list) else [said]
    if not all(isinstance(one, str) for one in texts):
        return
    offered = _offered(page, name)
    if name.endswith(".adopt"):
        texts = [one for one in texts if one in offered]
    elif name.endswith("+new"):
        known = _offered(page, name.removesuffix("+new"))
        texts = ["\n".join(one for one in texts if spelt_id(one) not in known)]
    elif f"{name}+new" in page.names:
        texts = [spelt_id(one) for one in texts if spelt_id(one) in offered]
    if texts and texts != [""]:
        data[name] = texts if isinstance(said, list) and not name.endswith("+new") else texts[0]


def _offered(page: Page, name: str) -> set[str]:
    ticks = (one for one in page.fields if one.get("name") == name and one.get("type") in ("radio", "checkbox"))
    return {one["value"] for one in ticks}


def _inside(entry: Any, rest: str) -> Any:
    for step, _number in _STEP.findall(rest):
        if step:
            entry = entry.get(step) if isinstance(entry, dict) else None
        else:
            entry = entry[0] if isinstance(entry, list) and entry else None
    return entry


def _lacking(story: Any, values: Any, base: str, owner: str) -> Iterator[Any]:
    """Yield the entries of a list that the story has and the description has not."""
    there = values
    for step, number in _STEP.findall(base):
        there = (there or {}).get(step) if step else there[int(number)]
    wanted = _told(story, values, base) or []
    if base == "hazards":
        wanted = [one for one in wanted if spelt_id(one["task"]) == owner.partition(".")[2]]
        there = [one for one in there or () if one["task"] == owner.partition(".")[2]]
    if any("id" in one for one in wanted):
        known = {one["id"] for one in there or ()}
        yield from (one for one in wanted if one["id"] not in known)
    else:
        yield from wanted[len(there or ()) :]


def _told(story: Any, values: Any, path: str) -> Any:
    """Return what the story tells at a place of the description."""
    for step, number in _STEP.findall(path):
        if step:
            story = story.get(step) if isinstance(story, dict) else None
            values = values.get(step) if isinstance(values, Mapping) else None
        elif number == "+":
            story, values = (story or [None])[0], None
        else:
            here = values[int(number)] if isinstance(values, list) and int(number) < len(values) else None
            if isinstance(here, Mapping) and "id" in here and any("id" in one for one in story or ()):
                story = next((one for one in story if one["id"] == here["id"]), None)
            else:
                story = story[int(number)] if isinstance(story, list) and int(number) < len(story) else None
            values = here
    return story
