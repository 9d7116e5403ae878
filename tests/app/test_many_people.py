"""Papers about many people come in parts that lose nothing, and are placed without being held."""

from __future__ import annotations

import hashlib
import json
import tracemalloc
from pathlib import Path
from typing import Any

import pytest
from document.reading import of_type
from programs.patching import AS_OF, BASE, loaded

from progdoc.app.check import Checked, check
from progdoc.app.disk.output_folder import WriteResult, verify_set, write_complete
from progdoc.app.manifest import ManifestInfo, Parts, and_manifests
from progdoc.document.papers import gap_report
from progdoc.document.papers.forms import crew_forms
from progdoc.document.papers.gap_report import gap_document, gap_documents
from progdoc.document.papers.people_annex import annex_document, annex_documents
from progdoc.document.papers.person_card import each_card
from progdoc.document.tree.nodes import Document, FormField, Link, Row, Section, Table
from progdoc.writers import WRITERS
from progdoc.writers.diagnostics_json import report_json, report_json_parts

MANY = 300
INFO = ManifestInfo("1", AS_OF, "1.0", "rules 1")


@pytest.fixture(scope="module")
def firm() -> Checked:
    """Return a firm of many people, of whom every third lacks a training and every fifth a fit test."""
    usual = BASE["people"][0]
    people = [{**usual, "id": f"w{n}", "name": f"Wearer {n}"} for n in range(MANY)]
    for n, person in enumerate(people):
        person.update({"training": []} if n % 3 == 0 else {})
        person.update({"fit_tests": []} if n % 5 == 0 else {})
    crew = [person["id"] for person in people]
    return check(loaded({**BASE, "people": people, "tasks": [{**one, "people": crew} for one in BASE["tasks"]]}), AS_OF)


def ids(kind: Any, *documents: Document) -> list[str]:
    return sorted(one.id for document in documents for one in of_type(document, kind))


def test_the_parts_of_the_annex_hold_every_row_of_the_whole_once(firm: Checked) -> None:
    assert firm.judged is not None
    whole, parts = annex_document(firm.judged), dict(annex_documents(firm.judged))
    assert list(parts) == ["people", "people/1", "people/2"]
    own = {one for one in ids(Row, *parts.values()) if one.startswith(("parts.", "next."))}
    assert [one for one in ids(Row, *parts.values()) if one not in own] == [
        one for one in ids(Row, whole) if not one.startswith("next.")
    ]
    leads = {link.href for link in of_type(parts["people"], Link)}
    assert leads == {f"{name}.html" for name in parts if name != "people"}


def test_the_parts_of_the_gap_report_hold_every_finding_once(firm: Checked, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(gap_report, "_MOST_IN_A_PART", 40)
    whole = gap_document(firm.report, "Firm", True)
    parts = dict(gap_documents(firm.report, "Firm", True, "Letter"))
    of_people = [one for one in ids(Section, whole) if ".people.w" in one and not one.startswith("all.")]
    assert len(of_people) > MANY / 3
    shown = [one for one in ids(Section, *parts.values()) if ".people.w" in one and not one.startswith("all.")]
    assert sorted({*shown}) == sorted({*of_people})
    leads = {link.href for link in of_type(parts["gaps"], Link) if link.href.startswith("gaps/")}
    assert len(parts) > 2 and leads == {f"{name}.html" for name in parts if name != "gaps"}


def test_a_large_crew_signs_on_several_sheets(firm: Checked) -> None:
    assert firm.judged is not None
    sheets = {name: form.document for name, form in crew_forms(firm.judged) if name.startswith("training-")}
    of_first = [name for name in sheets if name.split(".")[0] == next(iter(sheets))]
    assert len(of_first) == 2
    named = [field.value for name in of_first for field in of_type(sheets[name], FormField) if "Wearer " in field.value]
    assert sorted(named) == sorted(f"Wearer {n}" for n in range(MANY))
    assert len({sheets[name].saves_as for name in of_first}) == 2


def test_cards_that_say_the_same_are_printed_as_if_each_were_alone(firm: Checked) -> None:
    assert firm.judged is not None
    for number, (_, card) in enumerate(each_card(firm.judged)):
        if number % 40 == 0:
            alone = Document(**{name: getattr(card, name) for name in card.__slots__ if name != "repeats"})
            assert card.repeats and not alone.repeats
            assert WRITERS["html"](card) == WRITERS["html"](alone)


def test_what_cards_say_alike_is_made_once_and_numbered_as_it_is_read(firm: Checked) -> None:
    """Four kinds of people are here: a training or a fit test is lacking, both, or nothing."""
    assert firm.judged is not None
    cards = [card for _, card in each_card(firm.judged)]
    made: dict[str, set[int]] = {}
    for card in cards:
        for block in card.blocks:
            made.setdefault(block.id, set()).add(id(block))
        numbers = [block.number for block in card.blocks if isinstance(block, Table) and block.caption]
        assert numbers == list(range(1, len(numbers) + 1))
    assert len(made["who"]) == MANY
    assert all(len(made[name]) <= 4 for name in ("path", "may", "remember")), made.keys()


def test_the_report_of_many_is_never_held_whole(firm: Checked) -> None:
    whole = report_json(firm.report)
    assert len(json.loads(whole)["requirements"]) > 50 * MANY
    tracemalloc.start()
    told = hashlib.sha256()
    for part in report_json_parts(firm.report):
        told.update(part)
    _, most = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    assert told.hexdigest() == hashlib.sha256(whole).hexdigest()
    assert most < len(whole) / 3


def test_a_file_in_parts_is_placed_as_any_other(tmp_path: Path) -> None:
    def files(last: bytes) -> Any:
        yield "program.md", b"program"
        yield "restricted/gaps.json", Parts(iter((b"a" * 1000, b"", last)))

    out = tmp_path / "out"
    first = write_complete(out, and_manifests(files(b"b"), INFO))
    assert isinstance(first, WriteResult)
    assert (out / "restricted/gaps.json").read_bytes() == b"a" * 1000 + b"b"
    assert not verify_set(out)
    again = write_complete(out, and_manifests(files(b"b"), INFO))
    assert isinstance(again, WriteResult) and again.written == ()
    changed = write_complete(out, and_manifests(files(b"c"), INFO))
    assert isinstance(changed, WriteResult) and "restricted/gaps.json" in changed.written
    assert not verify_set(out)
    (out / "restricted/gaps.json").write_bytes(b"by hand")
    refused = write_complete(out, and_manifests(files(b"d"), INFO))
    assert isinstance(refused, list) and [one.code for one in refused] == ["OUT-006"]
    assert (out / "restricted/gaps.json").read_bytes() == b"by hand"
