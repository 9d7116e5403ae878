"""What is read of many people takes little room, and nobody can tell the difference."""

from __future__ import annotations

from typing import Any

from programs.patching import BASE, written

from progdoc.model.description.program import Program
from progdoc.model.yaml.packed_entries import packed
from progdoc.model.yaml.yaml_reader import Description, read_description


def people(count: int) -> list[dict[str, Any]]:
    usual = BASE["people"][0]
    return [{**usual, "id": f"w{n}", "name": f"Wearer {n}"} for n in range(count)]


def test_records_that_say_the_same_are_one_object_and_others_are_not() -> None:
    said = people(4)
    said[1]["training"] = [{**said[1]["training"][0], "date": "2025-01-02"}]
    said[2]["training"] = [{**said[2]["training"][0], "elsewhere": "no"}]  # the default, but somebody said it
    first, other, told, last = Program.model_validate({**BASE, "people": said}).people
    assert first.training is last.training and first.medical is other.medical
    assert first.training != other.training
    assert first.training is not told.training
    assert "elsewhere" in told.training[0].model_fields_set
    assert "elsewhere" not in first.training[0].model_fields_set


def test_a_fault_in_a_long_list_is_told_at_its_place() -> None:
    """Long lists are validated some entries at a time."""
    said = people(1200)
    said[1100]["spectacles"] = "perhaps"
    try:
        Program.model_validate({**BASE, "people": said})
    except ValueError as error:
        assert [fault["loc"][:3] for fault in error.errors()] == [("people", 1100, "spectacles")]  # type: ignore[attr-defined]
    else:
        raise AssertionError("nobody refused it")


def _read(text: str) -> Description:
    return read_description("program.yaml", {"program.yaml": text.encode()})


def test_packed_entries_stand_where_they_stood() -> None:
    block = "".join(
        f"  - id: w{n}\n    name: Wearer {n}\n    masks:\n"
        "      - {mask: half, size: M}\n    job:\n    hair_in_seal: no\n"
        for n in range(60)
    )
    for text in (written({"people": people(60)}), f"format: 1\npeople:\n{block}"):
        description = _read(text)
        before = description.positions
        keys = {path: description.locate_key(path) for path in before}
        for parts in description.parts.values():
            parts[:] = [(file, packed(node)) for file, node in parts]
        assert type(description.parts["people"][0][1].content[3]).__name__ == "_Packed"  # type: ignore[index]
        assert len(before) > 500
        assert {path: description.locate(path) for path in before} == before
        assert {path: description.locate_key(path) for path in before} == keys
        for path in ("people[3].nothing", "people[3].masks[7].size", "people[99]", "people[3].id[0]"):
            assert description.locate(path).line == _read(text).locate(path).line
