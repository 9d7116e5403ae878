"""Taking entries out: PyYAML reads what is left as the same data without them, and no other line is touched."""

from __future__ import annotations

import pytest
from programs.patching import read_as_text

from progdoc.model.people_table.csv_removal import without_people
from progdoc.model.yaml.yaml_reader import read_description
from progdoc.model.yaml.yaml_removal import without_entries

_FORMS = {
    "lines": "people:\n  # she came\n  - id: jo\n    note: |\n      two\n      lines\n  - id: ravi  # he\nx: 1\n",
    "unindented": "people:\n- id: jo\n- id: ravi\nx: 1\n",
    "groups": "people:\n  - {id: jo, masks: [a,\n      b]}  # hers\n  - {id: ravi}\nx: 1\n",
    "one line": "people: [{id: jo}, {id: ravi}]  # all\nx: 1\n",
    "no newline at the end": "x: 1\npeople:\n  - id: jo\n  - id: ravi",
    "carriage returns": "people:\r\n  - id: jo\r\n  - id: ravi\r\nx: 1\r\n",
}


def _places(text: str, *paths: str) -> set[tuple[int, int]]:
    """Return where our own reader says that these entries begin."""
    description = read_description("one", {"one.yaml": text.encode()})
    return {(here.line, here.column) for here in map(description.locate, paths)}


@pytest.mark.parametrize("form", _FORMS)
@pytest.mark.parametrize("gone", [(0,), (1,), (0, 1)])
def test_what_is_left_reads_as_before(form: str, gone: tuple[int, ...]) -> None:
    text = _FORMS[form]
    before = read_as_text(text)
    after = without_entries(text, _places(text, *(f"people[{i}]" for i in gone)))
    before["people"] = [person for i, person in enumerate(before["people"]) if i not in gone]
    assert read_as_text(after) == before
    kept = [line for line in text.splitlines(keepends=True) if "id:" not in line and "people" not in line]
    assert [line for line in kept if line.startswith(("x", "  #"))] == [
        line for line in after.splitlines(keepends=True) if line.startswith(("x", "  #"))
    ]


def test_what_goes_with_its_owner_is_cut_once() -> None:
    text = "tasks:\n  - id: a\n    people: [jo, ravi]\n  - id: b\n    people: [jo, ravi]\n"
    places = _places(text, "tasks[0]", "tasks[0].people[1]", "tasks[1].people[1]")
    assert without_entries(text, places) == "tasks:\n  - id: b\n    people: [jo]\n"


@pytest.mark.parametrize("text", ["tasks:\n  - id: a\n", "- - a\n  - b\n"])
def test_a_place_at_which_no_entry_can_be_cut_is_refused(text: str) -> None:
    with pytest.raises(KeyError):
        without_entries(text, {(1, 3)})


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16"])
def test_all_rows_of_a_person_leave_the_table_and_no_other(encoding: str) -> None:
    table = (
        'id;name;job\r\njo;"Jo; ""J"" Marsh";"two\r\nlines"\r\nravi;Ravi Stone;\r\n;;\r\njo;;Foreman\r\nzoë;Zoë;\r\n'
    )
    left = without_people(table.encode(encoding), {"jo"})
    assert left.decode(encoding) == "id;name;job\r\nravi;Ravi Stone;\r\n;;\r\nzoë;Zoë;\r\n"
    assert left[:2] == table.encode(encoding)[:2]
