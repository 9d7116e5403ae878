"""Checked against the character classes of XML 1.0 (fifth edition), section 2.2 "Characters"."""

from hypothesis import given
from hypothesis import strategies as st
from lxml import etree

from progdoc.core.printable import printable


@given(st.text(st.characters(exclude_categories=[]), max_size=40))
def test_what_is_printable_can_be_said_in_xml_and_in_utf_8(text):
    shown = printable(text)
    element = etree.Element("x")
    element.text = shown  # lxml refuses what XML 1.0 forbids
    assert etree.fromstring(etree.tostring(element, encoding="utf-8")).text in (shown, shown or None)


def test_ordinary_words_of_any_language_are_left_alone():
    for text in ("50 µg/m³ × ½", "Ærø, Łódź, 東京", "tab\tand\nline", "family 👩‍🔧"):
        assert printable(text) == text


def test_hidden_turns_of_direction_are_shown():
    assert printable("mask\u202egnp.exe") == "mask\ufffdgnp.exe"
