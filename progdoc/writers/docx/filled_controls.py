"""Reads back what was filled into the content controls of a Word document, by the names of the fields.

The file comes from anywhere: nothing of it is run, fetched or unpacked beyond its text, and no more than a form holds.
"""

from __future__ import annotations

from typing import Any
from zipfile import BadZipFile

from progdoc.writers.docx.looks import W
from progdoc.writers.form_error import MOST_FORM_BYTES, FormError
from progdoc.writers.wording import ticked
from progdoc.writers.zip_bytes import word_archive

__all__ = ["filled_controls", "unnamed_controls"]

_TEXT = "word/document.xml"
_W14 = "{http://schemas.microsoft.com/office/word/2010/wordml}"


def filled_controls(data: bytes) -> dict[str, tuple[str, ...]]:
    """Return what stands in each named control, once for each time that it is there; "" where it is empty.

    Raises
    ------
    FormError
        If it is no Word file, damaged, or larger than a form can be.
    """
    found: dict[str, tuple[str, ...]] = {}
    for control in _document(data).iter(f"{W}sdt"):
        properties = control.find(f"{W}sdtPr")
        tag = properties.find(f"{W}tag") if properties is not None else None
        if tag is not None and (name := tag.get(f"{W}val")):
            found[name] = (*found.get(name, ()), _said(control, properties))
    return found


def unnamed_controls(data: bytes) -> list[tuple[str, str]]:
    """Return what stands in each control, in their order, with its title where it has one.

    For a file that was saved by a word processor which drops the names of fields, as LibreOffice 7 does. It wraps a box
    in a second control: only the innermost count.

    Raises
    ------
    FormError
        As `filled_controls`.
    """
    found = []
    for control in _document(data).iter(f"{W}sdt"):
        properties = control.find(f"{W}sdtPr")
        if properties is not None and control.find(f".//{W}sdt") is None:
            title = properties.find(f"{W}alias")
            found.append(("" if title is None else title.get(f"{W}val", ""), _said(control, properties)))
    return found


def _document(data: bytes) -> Any:
    from lxml import etree

    try:
        with word_archive(data) as archive, archive.open(_TEXT) as stream:
            text = stream.read(MOST_FORM_BYTES + 1)
    except KeyError as error:
        raise FormError("it is no Word document (.docx)") from error
    except BadZipFile as error:
        raise FormError("it is no Word document (.docx), or damaged") from error
    if len(text) > MOST_FORM_BYTES:
        raise FormError(f"its text is over {MOST_FORM_BYTES:,} bytes")
    parser = etree.XMLParser(resolve_entities=False, no_network=True, remove_comments=True, remove_pis=True)
    try:
        root = etree.fromstring(text, parser)
    except etree.XMLSyntaxError as error:
        raise FormError("it is damaged: its text can't be read") from error
    if root.getroottree().docinfo.doctype:
        raise FormError("it is no Word document (.docx), or damaged")
    return root


def _said(control: Any, properties: Any) -> str:
    box = properties.find(f"{_W14}checkbox")
    if box is not None:
        checked = box.find(f"{_W14}checked")
        return "yes" if checked is not None and checked.get(f"{_W14}val") in ("1", "true") else ""
    content = control.find(f"{W}sdtContent")
    words = "" if content is None else "".join(_text(content)).strip()
    # What an untouched choice shows are its choices, each with an empty box: no answer.
    return "" if properties.find(f"{W}dropDownList") is not None and ticked(False) in words else words


def _text(content: Any) -> Any:
    """Yield the words as they are read with all tracked changes accepted; lines stay lines."""
    paragraphs = 0
    for element in content.iter():
        if element.tag == f"{W}p":
            paragraphs += 1
            yield "\n" if paragraphs > 1 else ""
        elif element.tag == f"{W}t":
            yield element.text or ""
        elif element.tag in (f"{W}br", f"{W}cr"):
            yield "\n"
        elif element.tag == f"{W}tab":
            yield " "
