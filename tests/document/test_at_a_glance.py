"""The first page tells which mask for which task, the most dangerous first; an index leads from the law to it."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest
from document.reading import of_type, program_of
from programs.patching import BASE, judged, patched

from progdoc.core.report_order import section_of
from progdoc.document.papers.written_program import written_program
from progdoc.document.templating.templates import shipped_templates
from progdoc.document.tree.nodes import Document, Notice, Reference, Section, Table, Text
from progdoc.rules.judged.result import Judged

SORTING = ("Sorting old books", "By choice:", "particulates not otherwise regulated: 0.0134 times the limit")


def _table(document: Document, name: str) -> list[list[str]]:
    (table,) = (found for found in of_type(document, Table) if found.id == name)
    return [[_said(cell) for cell in row.cells] for row in table.rows]


def _said(node: Any) -> str:
    return " ".join(part.text for part in of_type(node, (Text, Reference)) if part.text)


@pytest.fixture(scope="module")
def base(tmp_path_factory: pytest.TempPathFactory) -> Judged:
    return judged(BASE, tmp_path_factory.mktemp("base"))


def test_every_task_of_ours_has_a_row_with_mask_and_figure(base: Judged) -> None:
    scraping, sorting = _table(program_of(base), "at-a-glance.all")
    assert scraping[0].endswith("Scraping sash windows")
    assert scraping[1] == "grey half mask with magenta disc blower mask with blower filter"
    assert scraping[3] == "lead: 2.1 times the limit"  # 120 µg/m³ over 420 of 480 minutes, against 50
    assert sorting[0].endswith(SORTING[0])
    assert sorting[1].startswith(SORTING[1])
    assert sorting[3].startswith("particulates not otherwise regulated: ")


@pytest.mark.parametrize(
    ("changes", "says"),
    [
        ({"hazards[1].exposure": {"kind": "unknown", "because": "Nobody was there"}}, "immediately dangerous"),
        ({"tasks[1].immediately_dangerous": "yes"}, "immediately dangerous"),
    ],
)
def test_the_most_dangerous_stands_first(tmp_path: Path, changes: dict[str, Any], says: str) -> None:
    document = program_of(judged(patched({"set": changes}), tmp_path))
    first, second = _table(document, "at-a-glance.all")
    assert first[0].endswith("Sorting old books")
    assert second[0].endswith("Scraping sash windows")
    assert says in first[3]


def test_a_task_without_a_mask_that_protects_says_so_and_the_page_begins_with_the_danger(tmp_path: Path) -> None:
    worse = {"hazards[0].exposure.results[0].concentration": "90000 ug/m3"}
    document = program_of(judged(patched({"set": worse}), tmp_path))
    page = next(block for block in document.blocks if isinstance(block, Section))
    assert isinstance(page.blocks[0], Notice)
    rows = _table(document, "at-a-glance.all")
    assert rows[0][1] == "No mask named for it protects: nobody starts"


def test_work_of_others_has_no_row(tmp_path: Path) -> None:
    others = {"tasks[1].done_by": "others", "tasks[1].people": []}
    rows = _table(program_of(judged(patched({"set": others}), tmp_path)), "at-a-glance.all")
    assert [row[0].split(" ", 1)[1] for row in rows] == ["Scraping sash windows"]


def parts_of(row: str) -> list[str]:
    """A letter with its words; rules of other titles that share a row, the title once: "29 CFR 1910.94, 1926.55"."""
    if row.startswith("("):
        return [row]
    parts: list[str] = []
    for part in row.split(", "):
        parts.append(part if not part[0].isdigit() or " " in part else f"{parts[-1].rpartition(' ')[0]} {part}")
    return parts


def listed(entries: str) -> set[str]:
    """The numbers of sections in an entry: "2–4, 6" are 2, 3, 4 and 6."""
    spans = (entry.strip().split("–") for entry in entries.split(","))
    return {str(number) for span in spans for number in range(int(span[0]), int(span[-1]) + 1)}


def test_a_span_of_the_index_holds_what_is_between_its_ends() -> None:
    assert listed("2–4, 6") == {"2", "3", "4", "6"}
    assert parts_of("29 CFR 1910.94, 1926.55, 42 CFR 84") == ["29 CFR 1910.94", "29 CFR 1926.55", "42 CFR 84"]


def test_the_index_of_the_law_names_every_section_that_answers(base: Judged) -> None:
    written = written_program(base, shipped_templates())
    rows = dict(_table(written.program, "legal-index.all"))
    letters = [part[:3] for part in rows if part.startswith("(")]
    assert letters == sorted(letters)
    numbers = {section.id: section.number for section in of_type(written.program, Section)}
    shared = {part: entries for row, entries in rows.items() for part in parts_of(row)}
    for requirement in base.requirements:
        for place in written.answers.get(requirement.code, ()):
            main = numbers[place].partition(".")[0]
            cited = (requirement.citation, *requirement.also)
            of_program = [one for one in cited if one.source.short == "29 CFR 1910.134"]
            parts = {section_of(str(one)) for one in of_program} or {section_of(str(one)) for one in cited} & set(
                shared
            )
            parts |= {f"Appendix {a}" for one in of_program for a in re.findall(r"Appendix ([A-D](?:-\d)?)", str(one))}
            for part in parts:
                assert main in listed(shared[part]), requirement.code
