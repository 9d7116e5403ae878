"""The firm's own texts: lists, tables, headings and figures at the place they were sent to, and never anything else."""

from __future__ import annotations

import re
import subprocess
from io import BytesIO
from pathlib import Path
from typing import Any
from zipfile import ZipFile

import pytest
from document.reading import nodes, of_type
from hypothesis import given
from hypothesis import strategies as st
from programs.patching import AS_OF, BASE, patched, read_as_text, written
from writers.docx_sample import drawing
from writers.sample_tree import HOSTILE

from progdoc.app.attachments import pictures
from progdoc.app.check import Checked, check
from progdoc.core.resources import catalogue_root, templates_root
from progdoc.document.papers.written_program import written_program
from progdoc.document.templating.templates import shipped_templates
from progdoc.document.tree.nodes import BLOCKS, Figure, Link, Listing, Paragraph, Section, Strong, Table, Text
from progdoc.document.tree.own_text import own_text_blocks
from progdoc.model.load import load
from progdoc.rules.lookup.own_places import is_word_of_duty, law_term
from progdoc.writers import WRITERS

NASTY = [
    "|", "|---|", "](javascript:1)", "[x](https://x.example)", "![a](b.png)", "<b>", "<!--", "&amp;", "# x", "### y",
    "- z", "  - z", "1. a", "2. b", "7) c", "    code", "**", "*", "`", "\\", "\\|", "figure: plan", "figure: none",
    "---", "> q", "{#id}", "[toc]", "\ue000" "0\ue001",
]  # fmt: skip
LINES = st.lists(st.lists(st.sampled_from(NASTY) | st.text(max_size=5), max_size=3).map(" ".join), max_size=8)
PLAN = Figure("own.x.plan", "Plan", "The lockers", "")


def _read(text: str) -> tuple[Any, ...]:
    return own_text_blocks(text, "own.x", "own_sections[0].text", {"plan": PLAN})


def _words(block: Any) -> str:
    parts = [
        one.title if isinstance(one, Section) else one.text for one in nodes(block) if isinstance(one, Section | Text)
    ]
    titles = [column.title for table in of_type(block, Table) for column in table.columns]
    return re.sub(r"[\W_]+", "", "".join(sorted("".join([*parts, *titles]))))


def test_lists_tables_headings_and_strong_words_are_what_they_look_like() -> None:
    blocks = _read(
        "Before the shift:\n- look at **every** mask\n  and its valves\n  1. first\n  2. second\n- hang it up\n\n"
        "# Keys\n| Locker | Who |\n|---|:--|\n| A \\| B | Jo |\n| C |\n\nfigure: plan\n\n## Deeper\nMore."
    )
    lead, points, keys = blocks
    assert isinstance(lead, Paragraph) and isinstance(points, Listing) and isinstance(keys, Section)
    assert [len(item.blocks) for item in points.items] == [2, 1]
    inner = points.items[0].blocks[1]
    assert isinstance(inner, Listing) and inner.ordered and len(inner.items) == 2 and not points.ordered
    assert [strong.children[0] for strong in of_type(points, Strong)] == [Text("every", "own_sections[0].text")]
    table, figure, deeper = keys.blocks
    assert [column.title for column in table.columns] == ["Locker", "Who"]
    assert [[_words(cell) for cell in row.cells] for row in table.rows] == [["AB", "Jo"], ["C", ""]]
    assert figure == PLAN and deeper.title == "Deeper" and keys.title == "Keys"


@pytest.mark.parametrize(
    "text", ["1986. A great year", "2. First\n3. Second", "| a | b |", "figure: other", "**open", "#9"]
)
def test_what_only_looks_like_a_sign_stays_as_it_was_typed(text: str) -> None:
    block, figure = _read(text)
    assert figure == PLAN  # which no line names
    assert "".join(part.text for part in of_type(block, Text)) == text.replace("\n", " ")


@given(LINES)
def test_no_text_makes_anything_but_plain_blocks_and_no_word_is_lost(lines: list[str]) -> None:
    text = "\n".join(" ".join(line.split("\n")) for line in lines)
    blocks = _read(text)
    made = [one for one in nodes(tuple(blocks)) if isinstance(one, BLOCKS)]
    assert not of_type(tuple(blocks), Link)
    assert {type(one) for one in made} <= {Paragraph, Listing, Table, Section, Figure}
    ids = [one.id for one in made]
    assert len(ids) == len(set(ids))
    assert sum(isinstance(one, Figure) for one in made) == 1
    # Signs may go, letters may not: all of them come out again, but numbers of lists and the figure's own line.
    kept = "".join(letter for letter in "".join(lines) if letter.isalpha()).replace("figureplan", "", 1)
    found = "".join(_words(block) for block in blocks if not isinstance(block, Figure))
    lost = sorted(
        letter for letter in set(kept) if kept.count(letter) > found.count(letter) + "figureplan".count(letter)
    )
    assert lost == []


# ---- places -------------------------------------------------------------------------------------------


def test_the_places_that_may_be_named_are_the_sections_of_the_templates() -> None:
    """`own_places.yaml` against the headings of the templates, with the order of program and annex."""
    headings: set[str] = set()
    for file in (templates_root() / "program" / "sections").iterdir():
        headings |= set(re.findall(r"^#+ .*\{#([a-z][a-z.-]*)(?: \.page)?\}", file.read_text(encoding="utf-8"), re.M))
    entries = read_as_text((catalogue_root() / "tables" / "own_places.yaml").read_text(encoding="utf-8"))["places"]
    places = {place for entry in entries for place in (entry["section"], *entry.get("parts", ()))}
    assert places - {"filters"} == headings  # the short name that was there before


def _checked(changes: dict[str, Any], files: dict[str, bytes] | None = None) -> Checked:
    values = patched({"set": changes})
    return check(load({"shop.yaml": written(values).encode(), **(files or {})}, "shop"), AS_OF)


def _sections(changes: dict[str, Any]) -> list[Section]:
    judged = _checked(changes).judged
    assert judged is not None
    both = written_program(judged, shipped_templates())
    return [*of_type(both.program, Section), *of_type(both.annex, Section)]


def test_a_text_stands_where_it_was_sent() -> None:
    texts = [
        {"id": "a", "before": "inspection", "title": "A", "text": "Words."},
        {"id": "b", "after": "cleaning", "title": "B", "text": "# Sub\nWords."},
        {"id": "c", "inside": "matrix", "title": "C", "text": "Words."},
        {"id": "d", "after": "use.working", "title": "D", "text": "Words."},
        {"id": "e", "before": "hazard-table", "title": "E", "text": "Words."},
        {"id": "f", "after": "nowhere", "title": "F", "text": "Words."},
        {"id": "g", "inside": "emergencies.fire", "title": "G", "text": "Words."},  # which is not printed here
    ]
    sections = _sections({"own_sections": texts})
    number = {section.id: section.number for section in sections}
    assert int(number["own.a"]) + 1 == int(number["inspection"])
    assert number["own.b"].startswith(f"{number['cleaning']}.") and number["own.b.part1"] == f"{number['own.b']}.1"
    assert number["own.c"].startswith(f"{number['matrix']}.")
    whole, part = number["use.working"].split(".")
    assert number["own.d"] == f"{whole}.{int(part) + 1}"
    assert (number["own.e"], number["hazard-table"]) == ("A", "B")
    assert number["own.f"].startswith(f"{number['own-texts']}.")
    assert number["own.g"].startswith(f"{number['emergencies']}.")
    around = [section.id for section in sections if not section.id.startswith("own") and section.id != "annex-cautions"]
    assert around == [section.id for section in _sections({})]


# ---- in print -----------------------------------------------------------------------------------------

BARLESS = HOSTILE.replace("|", " ")
OWN = {
    "id": "lockers",
    "after": "storage",
    "title": f"Lockers {HOSTILE}",
    "text": f"- {HOSTILE}\n- two\n\n# {HOSTILE}\n| {BARLESS} | b |\n|---|---|\n| c | {BARLESS} |",
    "figures": [
        {"attachment": "yard-plan", "caption": f"Where {HOSTILE}", "alternative": f"Left of the gate {HOSTILE}"}
    ],
}
ATTACHED = [{"id": "yard-plan", "title": "Plan of the yard", "file": "plan.png"}]


def _photo(folder: Path) -> bytes:
    """A JPEG as a camera makes one, by poppler, which is no part of progdoc."""
    import typst

    page = folder / "page.pdf"
    page.write_bytes(typst.compile(b"#set page(width: 90pt, height: 60pt)\nGate"))
    subprocess.run(["pdftoppm", "-jpeg", "-singlefile", "-r", "100", page, folder / "photo"], check=True)
    return (folder / "photo.jpg").read_bytes()


def test_a_text_and_its_figure_are_in_every_format_and_nothing_typed_becomes_markup(tmp_path: Path) -> None:
    definitions = [{"term": "Hot zone", "means": f"Inside {HOSTILE}"}]
    changes = {
        "own_sections": [OWN],
        "attachments": [*BASE.get("attachments", []), *ATTACHED],
        "definitions": definitions,
    }
    for data in (drawing(), _photo(tmp_path)):
        checked = _checked(changes, {"appendix-d.pdf": b"%PDF-1.7", "plan.png": data})
        assert checked.judged is not None, checked.report.findings
        program = written_program(checked.judged, shipped_templates(), pictures=pictures(checked.loaded)).program
        page = WRITERS["html"](program).decode()
        assert '<img class="photo" src="data:image/png;base64,' in page and "Hot zone" in page
        assert "<script>alert" not in page and 'href="javascript' not in page
    source = WRITERS["md"](program).decode()
    assert "](attachments/yard-plan.png)" in source and "[x](javascript" not in source
    with ZipFile(BytesIO(WRITERS["docx"](program))) as archive:
        body = archive.read("word/document.xml").decode()
        media = [archive.read(one) for one in archive.namelist() if one.startswith("word/media/")]
    assert "Left of the gate" in body and any(one.startswith(b"\x89PNG") for one in media)
    sheet = WRITERS["pdf"](program)
    text = subprocess.run(["pdftotext", "-", "-"], input=sheet, check=True, capture_output=True).stdout.decode()
    assert "Hot zone" in text and "alert(1)" in text
    images = subprocess.run(["pdfimages", "-list", "-"], input=sheet, check=True, capture_output=True).stdout.decode()
    assert " image " in images


@pytest.mark.parametrize(
    ("data", "why"),
    [
        (b"%PDF-1.4 text", "neither PNG nor JPEG"),
        (drawing()[:-20], "damaged"),
        (b"\xff\xd8\xff\xe0\x00\x10JFIF" + b"\0" * 40, "damaged"),
        (b"\xff\xd8\xff\xc0\x00\x11\x08\xff\xff\xff\xff" + b"\0" * 40, "65535 by 65535"),
        (drawing() + b"\0" * 600_000, "500,000 are the most"),
    ],
    ids=["a text", "half a picture", "half a photograph", "a huge one", "many bytes"],
)
def test_a_figure_that_can_not_be_shown_is_told_with_its_place(data: bytes, why: str) -> None:
    changes = {"own_sections": [OWN], "attachments": [*BASE.get("attachments", []), *ATTACHED]}
    checked = _checked(changes, {"appendix-d.pdf": b"%PDF-1.7", "plan.png": data})
    assert checked.judged is None
    (fault,) = [one for one in checked.report.findings if one.code.startswith("ATT")]
    assert fault.code == "ATT-002" and why in fault.what
    assert fault.location.path == "own_sections[0].figures[0].attachment"


def test_a_figure_that_is_not_attached_is_told() -> None:
    codes = {one.code: one.what for one in _checked({"own_sections": [OWN]}).report.findings}
    assert "yard-plan" in codes["MODEL-007"]


def test_a_definition_that_takes_back_what_is_affirmed_is_told_as_every_text_is() -> None:
    found = _checked({"definitions": [{"term": "Short job", "means": "Work where fit tests are waived."}]}).judged
    assert found is not None
    assert [one.code for one in found.findings if one.location.path.startswith("definitions[0]")] == ["TXT-006"]


def test_no_word_by_which_duties_are_told_is_given_a_meaning_of_its_own() -> None:
    """Whatever the duties of the catalogue say, in whichever form, is one; a firm's own word for a place is none."""
    told = ("Training", "hair", "Seal", "confined spaces", "clean‑shaven", "THE LIMIT", "draft")
    assert [term for term in told if not is_word_of_duty(term)] == []
    assert not any(map(is_word_of_duty, ("Hot zone", "Red card", "Scaffold", "Clean side", "Shift leader", "Yard")))
    assert law_term("Filtering-facepiece") == law_term("dust masks") != ""
