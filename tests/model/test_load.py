"""Faults of form: every one of them in one run, each with its place, its cure, and no health value."""

from __future__ import annotations

from pathlib import Path

import pytest
from examples import examples
from hypothesis import given
from hypothesis import strategies as st
from pydantic import ValidationError

from progdoc.app.disk.description_files import load_path
from progdoc.core.diagnostics import Diagnostic, Severity
from progdoc.model.description.base import Described
from progdoc.model.shape_faults import MODEL_FAULTS


def _faults(tmp_path: Path, text: str) -> list[Diagnostic]:
    file = tmp_path / "program.yaml"
    file.write_text(text, encoding="utf-8")
    return list(load_path(file).diagnostics)


def _one(tmp_path: Path, text: str) -> Diagnostic:
    (fault,) = _faults(tmp_path, text)
    return fault


_TASK = "format: 1\ntasks:\n  - {id: a, name: A, %s}\n"
_HAZARD = "format: 1\nhazards:\n  - {id: h, task: a, agent: lead, %s}\n"


@pytest.mark.parametrize(
    ("text", "code", "stands_there", "told"),
    [
        ("format: 1\nprogram: {titel: X}\n", "MODEL-001", "titel", "`title:`"),
        ("format: 1\ntasks:\n  - name: Grinding\n", "MODEL-002", "name: Grinding", "`id:"),
        (_TASK % "confined_space: NO", "MODEL-003", "NO", "`no`"),
        ("format: 1\norganisation: {employees: 010}\n", "MODEL-003", "010", "`10`"),
        ("format: 1\norganisation: {employees: 1:30}\n", "MODEL-003", "1:30", "`8`"),
        (_TASK % "duration: 3", "MODEL-003", "3}", "`3 h`"),
        (_TASK % "industry: bilding", "MODEL-003", "bilding", "construction"),
        ("format: 1\nprogram: {effective: 3/4/2026}\n", "MODEL-003", "3/4", "2026-"),
        ("format: 1\nmasks: {id: a}\n", "MODEL-004", "{id", "list"),
        ("format: 1\nofficer: Ada Brook\n", "MODEL-004", "Ada", "`name:`"),
        ("format: 2\n", "MODEL-005", "2", "`format: 1`"),
        ("program: {title: X}\n", "MODEL-005", "", "`format: 1`"),
        ("format: 1\nmasks: [{id: a}, {id: twice}, {id: twice}]\n", "MODEL-006", "twice}]", "another id"),
        (_TASK % "people: [jo]", "MODEL-007", "jo", "add an entry"),
        (_HAZARD % "exposure: {kind: sampel}", "MODEL-003", "sampel", "samples"),
        (_HAZARD % "limit: 5", "MODEL-003", "5", "none published"),
    ],
)
def test_each_fault_has_its_code_its_place_and_its_cure(
    tmp_path: Path, text: str, code: str, stands_there: str, told: str
) -> None:
    fault = _one(tmp_path, text)
    before = text[: text.rindex(stands_there)]
    place = (before.count("\n") + 1, len(before) - before.rfind("\n")) if stands_there else (0, 0)
    assert (fault.code, (fault.location.line, fault.location.column)) == (code, place)
    assert told in fault.fix
    assert fault.severity is Severity.INVALID


def test_all_faults_come_in_one_run(tmp_path: Path) -> None:
    text = "format: 1\nprogram: {titel: X}\ntasks:\n  - {name: A, duration: 3, confined_space: maybe}\nmasks: none\n"
    assert sorted(fault.code for fault in _faults(tmp_path, text)) == [
        "MODEL-001",
        "MODEL-002",
        "MODEL-003",
        "MODEL-003",
        "MODEL-004",
    ]


def test_no_is_text_in_a_text_field(tmp_path: Path) -> None:
    file = tmp_path / "program.yaml"
    file.write_text("format: 1\nprogram: {title: NO}\n", encoding="utf-8")
    loaded = load_path(file)
    assert loaded.program is not None
    assert loaded.program.program.title == "NO"


@pytest.mark.parametrize(
    "entry",
    [
        "{date: 2026-01-01, recommendation: cleared, asthma: severe}",
        "{date: 2026-01-01, recommendation: asthmatic}",
        "{date: asthma, recommendation: cleared}",
        "{date: 2026-01-01, recommendation: cleared-with-limits, limits: [asthma]}",
    ],
)
def test_a_medical_entry_takes_nothing_else_and_repeats_nothing(tmp_path: Path, entry: str) -> None:
    fault = _one(tmp_path, f"format: 1\npeople:\n  - {{id: jo, medical: [{entry}]}}\n")
    assert fault.code == "MODEL-008"
    assert "confiden" in fault.why or "Health answers" in fault.why
    shown = f"{fault.what} {fault.why} {fault.fix} {fault.location} {fault.location.path}"
    assert "asthma" not in shown.lower()


def test_an_empty_key_counts_as_not_there(tmp_path: Path) -> None:
    assert _faults(tmp_path, "format: 1\nprogram:\n  title:\nprocedures:\n  medical:\n") == []


def _kinds(of: type[Described]) -> set[type[Described]]:
    return {of} | {one for below in of.__subclasses__() for one in _kinds(below)}


def test_a_text_that_a_comma_cut_in_two_is_not_read_as_its_first_half(tmp_path: Path) -> None:
    """YAML 1.2.2, 7.4.2: in a flow mapping a plain text ends at a comma, and what follows is a key without a value."""
    text = "format: 1\nprocedures:\n  repair: {discarding: Straps cut off, filters in the drum}\n"
    fault = _one(tmp_path, text)
    assert (fault.code, fault.location.line, fault.location.column) == ("MODEL-001", 3, 40)
    assert "double quotes" in fault.fix
    silent = []
    for group in sorted(_kinds(Described), key=str):
        try:
            group.model_validate({"filters in the drum": None})
            silent.append(group.__name__)
        except ValidationError as refused:
            if "extra_forbidden" not in {one["type"] for one in refused.errors()}:
                silent.append(group.__name__)
    assert not silent, "groups that swallow what a comma cut off"


@examples(200)
@given(
    st.recursive(
        st.one_of(st.text("abz09:-#'\"[]{}", max_size=6), st.sampled_from(["yes", "NO", "50 ug/m3", "2026-01-01"])),
        lambda inner: st.one_of(
            st.lists(inner, max_size=3),
            st.dictionaries(
                st.sampled_from(
                    ["id", "kind", "tasks", "hazards", "medical", "exposure", "people", "limit", "results"]
                ),
                inner,
                max_size=4,
            ),
        ),
        max_leaves=12,
    )
)
def test_any_shape_gets_findings_and_never_an_exception(
    tmp_path_factory: pytest.TempPathFactory, value: object
) -> None:
    import yaml

    file = tmp_path_factory.getbasetemp() / "any.yaml"
    content = {"format": "1", "tasks": value, "hazards": value, "people": value, "procedures": value}
    file.write_text(yaml.safe_dump(content), encoding="utf-8")
    loaded = load_path(file)
    assert loaded.program is not None or loaded.diagnostics
    assert all(d.what and d.why and d.fix for d in loaded.diagnostics)


def test_every_code_says_why() -> None:
    assert all(name and why for name, why in MODEL_FAULTS.values())


@pytest.mark.parametrize(
    "entry",
    [
        "{date: 2026-01-01, asthma: yes, asthma: no}",
        "&asthma {date: 2026-01-01, recommendation: cleared}",
        "!asthma {date: 2026-01-01, recommendation: cleared}",
        "{date: 2026-01-01, recommendation: *asthma}",
    ],
)
def test_a_fault_of_form_inside_a_medical_entry_repeats_nothing(tmp_path: Path, entry: str) -> None:
    faults = _faults(tmp_path, f"format: 1\npeople:\n  - id: jo\n    medical:\n      - {entry}\n")
    assert faults
    told = " ".join(f"{f.what} {f.why} {f.fix} {f.location} {f.location.path}" for f in faults)
    assert "asthma" not in told.lower()


@pytest.mark.parametrize(
    ("text", "loose", "listed"),
    [
        (_TASK % "industry: WORD", "Construction", "construction"),
        (_TASK % "gear: [WORD]", "Hard Hat", "hard-hat"),
        (_TASK % "gear: [WORD]", "ear_plugs", "ear-plugs"),
        (_HAZARD % "form: WORD", "Vapor", "vapour"),
        (_HAZARD % "form: WORD", "mist and vapor", "mist-and-vapour"),
        (_HAZARD % "form: WORD", "Fibers", "fibres"),
        ("format: 1\nfilters: [{id: f, gases: [WORD]}]\n", "Organic vapor", "organic-vapour"),
        ("format: 1\nfilters: [{id: f, particulate: WORD}]\n", "p100", "P100"),
    ],
)
def test_a_listed_word_may_be_written_loosely_or_in_american_spelling(
    tmp_path: Path, text: str, loose: str, listed: str
) -> None:
    as_typed, as_listed = (_faults(tmp_path, text.replace("WORD", word)) for word in (loose, listed))
    assert [fault.code for fault in as_typed] == [fault.code for fault in as_listed]
    assert "MODEL-003" not in [fault.code for fault in as_typed]


def test_an_entry_with_a_fault_does_not_make_its_list_empty_too(tmp_path: Path) -> None:
    entry = "{concentration: 50 ug/m3, duration: 3 h, minits: 4}"
    fault = _one(tmp_path, _HAZARD % f"exposure: {{kind: samples, results: [{entry}]}}")
    assert (fault.code, "minits" in fault.what) == ("MODEL-001", True)
    empty = _one(tmp_path, _HAZARD % "exposure: {kind: samples, results: []}")
    assert "The list is empty" in empty.what


def test_an_example_is_written_as_it_would_be_typed(tmp_path: Path) -> None:
    fault = _one(tmp_path, _HAZARD % "exposure: {kind: samples, results: 5}")
    assert "`results: [{concentration: " in fault.fix
    assert "'" not in fault.fix


def test_a_full_stop_in_a_value_does_not_end_what_is_said_of_it(tmp_path: Path) -> None:
    fault = _one(tmp_path, _TASK % "duration: approx. 3 h")
    assert fault.what == "`approx. 3 h` does not begin with a number."
    assert fault.fix == "Write for example `4 h` or `30 min`."
