"""The exported schema: what an editor needs is there, and it takes and refuses what the reader does."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import yaml
from jsonschema import Draft202012Validator

from progdoc.app.disk.description_files import parsed_path
from progdoc.model.schema import DIALECT, schema_json

SAMPLES = Path(__file__).parents[2] / "sample_config"
FILES = sorted(SAMPLES.glob("*/*.yaml"))
SCHEMA: dict[str, Any] = json.loads(schema_json())
VALIDATOR = Draft202012Validator(SCHEMA)


class Yaml12(yaml.SafeLoader):
    """Reads plain scalars as an editor does, by the core schema of YAML 1.2.2 (§10.3): `yes` and dates are text."""


Yaml12.yaml_implicit_resolvers = {}
for _tag, _pattern, _first in (
    ("null", r"~|null|Null|NULL|", ["~", "n", "N", ""]),
    ("bool", r"true|True|TRUE|false|False|FALSE", list("tTfF")),
    ("int", r"[-+]?[0-9]+|0o[0-7]+|0x[0-9a-fA-F]+", list("-+0123456789")),
    ("float", r"[-+]?(?:\.[0-9]+|[0-9]+(?:\.[0-9]*)?)(?:[eE][-+]?[0-9]+)?", list("-+.0123456789")),
):
    Yaml12.add_implicit_resolver(f"tag:yaml.org,2002:{_tag}", re.compile(f"(?:{_pattern})$"), _first)


def as_an_editor_reads(text: str) -> Any:
    return Yaml12(text).get_single_data()


def faults(value: Any) -> list[str]:
    return [f"{error.json_path}: {error.message}" for error in VALIDATOR.iter_errors(value)]


def fields() -> Iterator[tuple[str, dict[str, Any]]]:
    for part, shape in (("the whole", SCHEMA), *SCHEMA["$defs"].items()):
        for name, field in shape.get("properties", {}).items():
            yield f"{part}.{name}", field


def test_it_is_a_schema_of_2020_12() -> None:
    assert SCHEMA["$schema"] == DIALECT == "https://json-schema.org/draft/2020-12/schema"
    Draft202012Validator.check_schema(SCHEMA)


def test_it_is_the_same_every_time_and_stands_beside_the_samples() -> None:
    assert schema_json() == schema_json()
    assert (SAMPLES / "program.schema.json").read_bytes() == schema_json()


def test_every_field_has_a_title_a_description_and_an_example() -> None:
    assert [
        name for name, field in fields() if not all(field.get(k) for k in ("title", "description", "examples"))
    ] == []


def test_every_example_is_one_that_the_schema_takes() -> None:
    wrong = [
        (name, example)
        for name, field in fields()
        for example in field["examples"]
        if not Draft202012Validator({"$defs": SCHEMA["$defs"], **field}).is_valid(example)
    ]
    assert wrong == []


@pytest.mark.parametrize("file", FILES, ids=lambda file: f"{file.parent.name}/{file.name}")
def test_a_sample_file_names_the_schema_and_fits_it(file: Path) -> None:
    text = file.read_text("utf-8")
    assert text.startswith("# yaml-language-server: $schema=../program.schema.json\n")
    assert faults(as_an_editor_reads(text)) == []


@pytest.mark.parametrize(
    "folder",
    ["restoration_2026", "restoration_2025", "first_draft", "small_shop", "shop_in_california", "shop_in_washington"],
)
def test_a_whole_description_fits_it_as_the_reader_sees_it(folder: str) -> None:
    assert faults(parsed_path(SAMPLES / folder).values) == []


@pytest.mark.parametrize(
    ("text", "is_taken"),
    [
        ("people: []", True),  # one file of several: nothing else has to stand in it
        ("people: {csv: people.csv}", True),
        ("tasks:", True),  # still empty
        ("organisation: {employees: 9}", True),
        ("organisation: {employees: nine}", False),
        ("program: {effective: 2026-03-01}", True),
        ("program: {effective: 03/01/2026}", False),
        ("tasks: [{id: varnish, name: Varnishing, duration: 3 h}]", True),
        ("tasks: [{id: varnish, name: Varnishing, duration: 3}]", False),  # no unit
        ("tasks: [{id: varnish, name: Varnishing, confined_space: maybe}]", False),
        ("tasks: [{id: Varnish Hall, name: Varnishing}]", False),
        ("tasks: [{name: Varnishing}]", False),
        ("masks: [{id: half-mask, facepiece: half-face}]", False),
        ("hazards: [{id: a, task: b, agent: lead, exposure: {kind: guess}}]", False),
        ("hazards: [{id: a, task: b, agent: lead, limit: 5}]", False),
        ("people: [{id: jo, medical: [{date: 2026-02-03, recommendation: cleared, reason: told}]}]", False),
        ("pepole: []", False),
    ],
)
def test_it_takes_and_refuses_what_the_reader_does(text: str, is_taken: bool) -> None:
    assert (faults(as_an_editor_reads(text)) == []) is is_taken
