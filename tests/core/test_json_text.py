"""Indented JSON, held against what the standard library writes of the same values."""

import json

from examples import examples
from hypothesis import given
from hypothesis import strategies as st
from published_value import published

from progdoc.core.json_text import indented_json

_SINGLE = st.none() | st.booleans() | st.integers() | st.floats() | st.text(st.characters())
_VALUES = st.recursive(
    _SINGLE,
    lambda inner: st.lists(inner) | st.lists(inner).map(tuple) | st.dictionaries(st.text(st.characters()), inner),
)


@published("Python's json module: dumps with an indent of 2")
@examples(100)
@given(_VALUES)
def test_the_text_is_that_of_the_standard_library(value: object) -> None:
    assert indented_json(value) == json.dumps(value, ensure_ascii=False, indent=2)
