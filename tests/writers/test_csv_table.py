"""Tables as CSV: read back by Python's csv module (RFC 4180), and harmless in a spreadsheet."""

from __future__ import annotations

import csv
import io

import pytest
from hypothesis import given
from hypothesis import strategies as st
from published_value import published

from progdoc.writers.csv_table import csv_bytes, harmless


@pytest.mark.parametrize(
    "text", ["=1+1", "+1", "-1", "@SUM(A1)", "\t=1", " =1", "＝1", "\u22121", "\ufe661", "\u2003=1"]
)
def test_what_a_spreadsheet_may_run_is_held(text: str) -> None:
    assert harmless(text) == f"'{text}"


@pytest.mark.parametrize("text", ["Jo Marsh", "2026-02-17", "3 = 3", "", "half mask - M"])
def test_other_words_stay_as_they_are(text: str) -> None:
    assert harmless(text) == text


@published("RFC 4180, read by Python's csv module")
@given(
    st.lists(
        st.lists(st.text(st.sampled_from('ab",;\n=é'), max_size=6), min_size=1, max_size=4), min_size=1, max_size=5
    )
)
def test_rows_come_back(rows: list[list[str]]) -> None:
    text = csv_bytes(rows).decode("utf-8-sig")
    assert list(csv.reader(io.StringIO(text, newline=""))) == [[harmless(cell) for cell in row] for row in rows]
    assert all(
        not cell.lstrip(" \n").startswith(("=", "+", "-", "@")) for row in csv.reader(io.StringIO(text)) for cell in row
    )
