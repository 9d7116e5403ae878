"""Fields to fill in as Word's content controls: a text, a date, one of a list, a box to tick.

What stands in an empty control is printed as it is, so it is room for a pen, or the choices with a box before
each, never "click here". Whoever fills the form in on the screen replaces it by choosing or typing.
"""

from __future__ import annotations

from typing import assert_never

from progdoc.document.tree.nodes import FieldKind, FormField
from progdoc.writers.docx.word_text import attribute, run
from progdoc.writers.wording import ticked

__all__ = ["content_control"]

_LONGEST_NAME = 64  # of a control's title or tag, in Word
_ROOM = "\u2003" * 6  # em spaces: wide enough to be hit with a mouse
_W14 = "http://schemas.microsoft.com/office/word/2010/wordml"
_SIGN_FONT = "Segoe UI Symbol"
_SIGN = '<w:rStyle w:val="TickBox"/>'
_STATES = "".join(
    f'<w14:{state} w14:val="{ord(ticked(is_ticked)):04X}" w14:font="{_SIGN_FONT}"/>'
    for state, is_ticked in (("checkedState", True), ("uncheckedState", False))
)
_BOXES = {
    is_ticked: f'<w14:checkbox xmlns:w14="{_W14}"><w14:checked w14:val="{int(is_ticked)}"/>{_STATES}</w14:checkbox>'
    for is_ticked in (False, True)
}


def content_control(node: FormField, number: int) -> str:
    """Return the field as a control within a paragraph. `number` tells it from all others of the document."""
    name = f'<w:alias w:val="{_name(node.label)}"/><w:tag w:val="{_name(node.id)}"/><w:id w:val="{number}"/>'
    empty = "" if node.value or node.kind is FieldKind.BOX else "<w:showingPlcHdr/>"
    return f"<w:sdt><w:sdtPr>{name}{empty}{_kind(node)}</w:sdtPr><w:sdtContent>{_content(node)}</w:sdtContent></w:sdt>"


def _name(text: str) -> str:
    return attribute(text[:_LONGEST_NAME])


def _kind(node: FormField) -> str:
    match node.kind:
        case FieldKind.LINE:
            return "<w:text/>"
        case FieldKind.LINES:
            return '<w:text w:multiLine="1"/>'
        case FieldKind.DATE:
            given = f' w:fullDate="{attribute(node.value)}T00:00:00Z"' if node.value else ""
            return (
                f'<w:date{given}><w:dateFormat w:val="yyyy-MM-dd"/><w:lid w:val="en-US"/>'
                '<w:storeMappedDataAs w:val="dateTime"/><w:calendar w:val="gregorian"/></w:date>'
            )
        case FieldKind.CHOICE:
            listed = (attribute(choice) for choice in dict.fromkeys(node.choices))
            items = "".join(f'<w:listItem w:displayText="{choice}" w:value="{choice}"/>' for choice in listed)
            return f"<w:dropDownList>{items}</w:dropDownList>"
        case FieldKind.BOX:
            return _BOXES[bool(node.value)]
        case _:
            assert_never(node.kind)


def _content(node: FormField) -> str:
    if node.kind is FieldKind.BOX:
        return run(ticked(bool(node.value)), _SIGN)
    if node.value:
        return run(node.value)
    if node.kind is FieldKind.CHOICE:
        return "".join(run(ticked(False), _SIGN) + run(f"\u00a0{choice}   ") for choice in node.choices)
    return run(_ROOM)
