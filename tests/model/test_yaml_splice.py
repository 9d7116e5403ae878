"""Splicing: the one value changes, every other byte stays. PyYAML reads back what came of it."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from programs.patching import read_as_text

from progdoc.model.yaml.yaml_splice import with_entry, with_value

_ENTRY = {"revision": "2027.1", "date": "2027-03-01", "summary": 'He said: "done"'}
_FORMS = {
    "block": 'program:\n  revision: "7"   # ours\n  history:\n    - revision: "7"  # first\n      x: 1\n\n# end\n',
    "unindented list": "program:\n    history:\n    - revision: 7\n    revision: 7\ntasks: []\n",
    "flow list": "program:\n  revision: '7'\n  history: [{revision: 7, date: 2026-01-01}]  # all\n",
    "empty list": "program:\n  revision: 7\n  history: []\nx: 1\n",
    "nothing behind the name": "program:\n  revision:\n  history:\nx: 1\n",
    "all in one line": "program: {revision: 7, history: [{revision: 7}]}\n",
    "no such names": "# head\nprogram:\n  title: Masks # t\n\n# tail\nx: 1\n",
    "no such names, in one line": "program: {title: Masks}\n",
    "no newline at the end": "program:\n  revision: 7\n  history:\n  - revision: 7",
    "carriage returns": "program:\r\n  revision: 7\r\n  history:\r\n    - revision: 7\r\nx: 1\r\n",
    "text over lines": "program:\n  revision: 7\n  history:\n    - summary: |\n        Two\n        lines\nx: 1\n",
}


@pytest.mark.parametrize("form", _FORMS)
def test_value_and_entry_read_back(form: str) -> None:
    text = _FORMS[form]
    before = read_as_text(text)
    after = with_entry(with_value(text, ["program", "revision"], "2027.1"), ["program", "history"], _ENTRY)
    read = read_as_text(after)
    assert read["program"].pop("revision") == "2027.1"
    assert read["program"].pop("history") == [*(before["program"].get("history") or []), _ENTRY]
    before["program"].pop("revision", None)
    before["program"].pop("history", None)
    assert read == before


@pytest.mark.parametrize("form", _FORMS)
def test_every_other_byte_stays(form: str) -> None:
    """The old text's characters all stand in the new one, in their order: a new entry takes nothing away."""
    text = _FORMS[form]
    entered = with_entry(text, ["program", "history"], _ENTRY)
    rest = iter(entered)
    assert all(character in rest for character in text)


@given(st.text(alphabet=st.characters(codec="utf-8", categories=("L", "N", "P", "S", "Zs")), min_size=1, max_size=20))
def test_any_text_reads_back(value: str) -> None:
    entered = with_entry("program:\n  x: 1\n", ["program", "history"], {"summary": value})
    assert read_as_text(entered)["program"]["history"] == [{"summary": value}]


@pytest.mark.parametrize(
    "stands", ["{a: 1}", "\n  a: 1  # one\n  b: two", "\n- one\n- two", "\n  a: |\n    Long\n    text"]
)
@pytest.mark.parametrize("behind", ["", "x: 1\n", "\n# ours\nx: 1\n"])
def test_a_word_takes_the_place_of_a_group(stands: str, behind: str) -> None:
    """What follows the group stays, its comments too; PyYAML reads back."""
    after = with_value(f"limit:{' ' * (stands[0] != chr(10))}{stands}\n{behind}", ["limit"], "none published")
    assert read_as_text(after) == {"limit": "none published"} | ({"x": "1"} if behind else {})
    assert after.endswith(behind)
