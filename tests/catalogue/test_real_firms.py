"""What real organisations say has its field, its place in the papers, and a rule that judges it: thing by thing.

The list was read out of eight organisations' own programs; the three test programs that say it are invented.
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import cache
from pathlib import Path
from typing import Any

from catalogue.removals import pattern_of
from programs.patching import PROGRAMS, patches, read_as_text
from programs.whole import judged_whole, written_whole

from progdoc.document.blocks.unused_blocks import printed_words
from progdoc.document.papers.forms import form_documents
from progdoc.document.papers.people_annex import annex_document
from progdoc.document.papers.person_card import card_documents
from progdoc.document.papers.task_page import task_documents
from progdoc.writers.calendar import calendar_bytes

ROWS: list[dict[str, Any]] = read_as_text(Path(__file__).with_name("real_firms.yaml").read_text(encoding="utf-8"))
BULLETS = ("roles", "groups", "own_sections", "masks[].units", "people", "policies[].order", "calendar",
           "procedures.voluntary_use", "house_rules", "program.control", "tasks[].masks")  # fmt: skip


@cache
def paper(program: str, name: str) -> str:
    """Return the words of one paper, or of all of its kind, in small letters."""
    judged = judged_whole(program)
    match name:
        case "program" | "annex":
            return printed_words(getattr(written_whole(program), name))
        case "people":
            return printed_words(annex_document(judged))
        case "cards":
            return printed_words(list(card_documents(judged).values()))
        case "tasks":
            return printed_words(list(task_documents(judged).values()))
        case "forms":
            return printed_words(list(form_documents(judged).values()))
        case "due":
            return " ".join(item.id for item in judged.due(60).items)
        case _:
            return calendar_bytes(judged.due(60), "Firm").decode()


@cache
def said(program: str) -> dict[str, set[str]]:
    """Return what stands in the file of a program, by the pattern of its place; what is no field is refused there."""
    values = read_as_text((PROGRAMS / f"{program}.yaml").read_text(encoding="utf-8"))
    found: dict[str, set[str]] = {}
    for place, value in standing(values):
        found.setdefault(place, set()).add(value)
    return found


def standing(value: Any, place: str = "") -> Iterable[tuple[str, str]]:
    if isinstance(value, dict):
        for key, part in value.items():
            yield from standing(part, f"{place}.{key}".lstrip("."))
    elif isinstance(value, list):
        for part in value:
            yield from standing(part, place if isinstance(part, str) else f"{place}[]")
    else:
        yield place, value


def touched(entry: dict[str, Any]) -> set[str]:
    """Return the patterns of the places that a patch changes; of a group that it sets, those inside too."""
    places = {pattern_of(path) for path in (*entry.get("set", {}), *entry.get("drop", ()))}
    for path, value in entry.get("set", {}).items():
        places |= {f"{pattern_of(path)}{inner}" for inner in inside(value)}
    return places


def inside(value: Any) -> Iterable[str]:
    if isinstance(value, dict):
        for key, part in value.items():
            yield f".{key}"
            yield from (f".{key}{inner}" for inner in inside(part))
    elif isinstance(value, list):
        for part in value:
            yield "[]"
            yield from (f"[]{inner}" for inner in inside(part))


def is_judged(code: str, fields: Iterable[str]) -> bool:
    """Whether a patch of the suite touches one of the fields, or what it is part of, and makes a gap of the code."""
    gaps = [touched(entry) for of_code, entry in patches() if of_code == code and entry["expect"] == "gap"]
    return any(
        place == name or place.startswith((f"{name}.", f"{name}[")) or name.startswith((f"{place}.", f"{place}["))
        for places in gaps
        for place in places
        for name in fields
    )


def test_everything_has_its_field_its_place_and_its_rule() -> None:
    lacking: list[tuple[str, str, Any]] = []
    for row in ROWS:
        program, there = row["program"], said(row["program"])
        names = row["fields"]
        lacking += [(row["item"], "not said in the program", name) for name in names if name not in there]
        for name, values in row.get("values", {}).items():
            lacking += [(row["item"], "not said", value) for value in values if value not in there.get(name, ())]
        for name, texts in row["seen"].items():
            words = paper(program, name)
            lacking += [(row["item"], f"not in {name}", text) for text in texts if text not in words]
        for name, texts in row.get("unseen", {}).items():
            lacking += [(row["item"], f"in {name}", text) for text in texts if text in paper(program, name)]
        lacking += [(row["item"], "judged by none", code) for code in row["codes"] if not is_judged(code, names)]
    assert lacking == []


def test_each_part_of_the_list_is_there_and_no_row_is_empty() -> None:
    named = {name for row in ROWS for name in row["fields"]}
    assert [part for part in BULLETS if not any(name.startswith(part) for name in named)] == []
    assert all(row["fields"] and row["seen"] and row["codes"] for row in ROWS)
    assert {row["program"] for row in ROWS} >= {"campus-with-groups", "fire-brigade", "plant-with-bodies"}
