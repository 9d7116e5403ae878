"""The types of single values, through pydantic as the model uses them, and as an editor sees them."""

from __future__ import annotations

from datetime import date
from typing import Any

import jsonschema
import pytest
import yaml
from hypothesis import given
from hypothesis import strategies as st
from pydantic import BaseModel, TypeAdapter, ValidationError

from progdoc.model.description import scalars
from progdoc.model.description.quantities import Quantity
from progdoc.model.description.scalars import Concentration, Count, Id, IsoDate, Number, Text, YesNo


class Example(BaseModel):
    id: Id = "x"
    text: Text = "x"
    answer: YesNo = True
    count: Count = 0
    number: Number = 0.0
    day: IsoDate = date(2026, 1, 1)
    limit: Concentration | None = None


def refusal(kind: Any, value: object) -> str:
    with pytest.raises(ValidationError) as refused:
        TypeAdapter(kind).validate_python(value)
    return refused.value.errors()[0]["msg"]


@pytest.mark.parametrize(
    ("kind", "text", "value"),
    [
        (Id, "half-p100", "half-p100"),
        (Id, " 7 ", "7"),
        (Text, "  NO ", "NO"),
        (Text, "two\nlines", "two\nlines"),
        (Text, "a\tb", "a b"),
        (YesNo, "yes", True),
        (YesNo, "no", False),
        (YesNo, "true", True),
        (YesNo, "false", False),
        (Count, "0", 0),
        (Count, "10", 10),
        (Number, "0.5", 0.5),
        (Number, "12", 12.0),
        (IsoDate, "2024-02-29", date(2024, 2, 29)),
        (Concentration, "50 ug/m3", Quantity(50.0, "ug/m3", "50 ug/m3")),
    ],
)
def test_what_is_read(kind: Any, text: str, value: object) -> None:
    read = TypeAdapter(kind).validate_python(text)
    assert read == value
    assert type(read) is type(value)
    assert TypeAdapter(kind).validate_python(read) == value


@pytest.mark.parametrize(
    ("kind", "text", "told"),
    [
        (Id, "Jo Marsh", "Write `jo-marsh`"),
        (Id, "half_P100", "Write `half-p100`"),
        (Id, "Müller--2", "Write `muller-2`"),
        (Id, "???", "Write for example"),
        (Id, "x" * 61, "too long"),
        (Text, "   ", "empty text"),
        (Text, "a\x07", "U+0007"),
        (YesNo, "NO", "Write `no`, in small letters"),
        (YesNo, "Yes", "Write `yes`, in small letters"),
        (YesNo, "Y", "Write `yes`"),
        (YesNo, "on", "Write `yes`"),
        (YesNo, "off", "Write `no`"),
        (YesNo, "perhaps", "Write `yes` or `no`"),
        (Count, "010", "Write `10`"),
        (Count, "1:30", "time of day or a ratio"),
        (Count, "1_000", "Write `1000`"),
        (Count, "1.0", "Write `1`"),
        (Count, "1e3", "power of ten"),
        (Count, "1,000", "comma"),
        (Count, "-1", "below zero"),
        (Count, "0x1F", "ordinary digits"),
        (Count, "２", "no whole number"),
        (Number, ".5", "Write `0.5`"),
        (Number, "05.5", "Write `5.5`"),
        (Number, "00.5", "Write `0.5`"),
        (Number, "nan", "no number"),
        (Number, "1,5", "comma"),
        (Number, "9" * 400, "more digits"),
        (IsoDate, "3/4/2026", "`2026-03-04` for 4 March 2026 or `2026-04-03` for 3 April 2026"),
        (IsoDate, "13/4/2026", "Write `2026-04-13`"),
        (IsoDate, "2026-02-30", "not a day of the calendar"),
        (IsoDate, "2026-3-4", "Write `2026-03-04`"),
        (IsoDate, "20260304", "Write `2026-03-04`"),
        (IsoDate, "2026-03", "names no day"),
        (IsoDate, "0206-01-01", "between 1950 and 2100"),
        (IsoDate, "2206-01-01", "between 1950 and 2100"),
        (IsoDate, "soon", "no date"),
        (Concentration, "50", "no unit"),
    ],
)
def test_refusals_say_what_to_type(kind: Any, text: str, told: str) -> None:
    assert told in refusal(kind, text)


@pytest.mark.parametrize("kind", [Id, Text, YesNo, Count, Number, IsoDate, Concentration])
def test_only_one_value_fits(kind: Any) -> None:
    assert "A list stands here" in refusal(kind, ["x"])
    assert "A group of values stands here" in refusal(kind, {"x": "y"})
    assert "Nothing is written here" in refusal(kind, None)


def test_a_truth_value_is_no_count() -> None:
    assert "group of values" not in refusal(Count, "yes")
    with pytest.raises(ValidationError):
        TypeAdapter(Count).validate_python(True)


def test_dump_and_read_is_the_identity() -> None:
    example = Example.model_validate({"limit": "0.05 mg/m3", "answer": "no", "count": "8", "number": "0.5"})
    assert Example.model_validate_json(example.model_dump_json()) == example
    assert Example.model_validate(example.model_dump(mode="json")) == example


@pytest.mark.parametrize(
    "line",
    ["answer: yes", "answer: true", "answer: 'no'", "count: 8", "count: '8'", "number: 0.5", "number: 8",
     "limit: 50 ug/m3", "text: 123", "text: NO", "id: half-p100", "id: 7", "day: '2026-03-04'"],
)  # fmt: skip
def test_an_editor_lets_stand_what_we_read(line: str) -> None:
    schema = Example.model_json_schema()
    jsonschema.validate(yaml.safe_load(line), schema)
    assert Example.model_validate(yaml.BaseLoader(line).get_single_data())


@pytest.mark.parametrize(
    "line",
    [
        "answer: perhaps",
        "count: 8.5",
        "count: -1",
        "number: -1",
        "limit: 50",
        "limit: '50'",
        "id: Jo Marsh",
        "day: 3/4/2026",
    ],
)
def test_an_editor_marks_what_we_refuse(line: str) -> None:
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate(yaml.safe_load(line), Example.model_json_schema())


def test_every_example_of_a_schema_is_read() -> None:
    kinds = [getattr(scalars, name) for name in scalars.__all__ if name[0].isupper() and not name.isupper()]
    assert len(kinds) == 25
    for kind in kinds:
        schema = TypeAdapter(kind).json_schema()
        for example in schema["examples"]:
            jsonschema.validate(example, schema)
            TypeAdapter(kind).validate_python(str(example))


@given(
    st.sampled_from(
        [scalars.as_id, scalars.as_text, scalars.as_yes_no, scalars.as_count, scalars.as_number, scalars.as_date]
    ),
    st.text(max_size=30) | st.from_regex(r"[0-9]{0,5}[-/.,:_e ]?[0-9]{0,3}[-/.]?[0-9]{0,5}"),
)
def test_any_text_is_read_or_refused_in_a_sentence(read: Any, text: str) -> None:
    try:
        value = read(text)
    except ValueError as refused:
        assert str(refused).endswith(".")
        return
    assert read(value) == value
