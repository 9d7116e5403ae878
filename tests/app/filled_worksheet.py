"""A worksheet of a renewal, filled in as its reader would: in Word's content controls, or as the browser keeps a page.

Fields are found by the words beside them, never by our own marks: question, thing and field, as they stand on paper.
"""

from __future__ import annotations

import json
from io import BytesIO
from pathlib import Path
from zipfile import ZIP_STORED, ZipFile

from lxml import etree, html

W = "{http://schemas.openxmlformats.org/wordprocessingml/2006/main}"
Filling = dict[tuple[str, str], str]  # (heading of the section, label of the field) to what is filled in

__all__ = ["Filling", "browser_answers", "labels", "word_answers"]


def labels(page: Path) -> dict[tuple[str, str], str]:
    """Return the name of every field of a page by its section's heading and its own label."""
    tree = html.document_fromstring(page.read_bytes())
    found: dict[tuple[str, str], str] = {}
    for field in tree.xpath("//main//*[@aria-label and (self::input or self::textarea or @role='radiogroup')]"):
        heading = field.xpath("string(ancestor::section[1]/*[starts-with(name(), 'h')]/text())").strip()
        found[(heading, field.get("aria-label"))] = field.get("id")
    return found


def browser_answers(page: Path, filling: Filling) -> bytes:
    """Return the file that the page's own button keeps: every field that holds anything, by its name."""
    names = labels(page)
    tree = html.document_fromstring(page.read_bytes())
    fields = {area.get("name"): area.text.strip() for area in tree.xpath("//main//textarea") if area.text.strip()}
    fields |= {names[where]: words for where, words in filling.items()}
    return json.dumps({"format": "progdoc-answers/1", "fields": fields}).encode()


def word_answers(sheet: Path, page: Path, filling: Filling) -> bytes:
    """Return the Word form with its controls filled in as Word does: the mark of the empty one goes, the words come."""
    of_page = labels(page)
    names = {of_page[where]: words for where, words in filling.items()}
    with ZipFile(sheet) as archive:
        parts = {name: archive.read(name) for name in archive.namelist()}
    root = etree.fromstring(parts["word/document.xml"])
    for control in root.iter(f"{W}sdt"):
        properties, content = control.find(f"{W}sdtPr"), control.find(f"{W}sdtContent")
        tag = properties.find(f"{W}tag")
        if tag is None or tag.get(f"{W}val") not in names:
            continue
        for empty in properties.findall(f"{W}showingPlcHdr"):
            properties.remove(empty)
        runs = list(content)
        for run in runs[1:]:
            content.remove(run)
        words = names.pop(tag.get(f"{W}val"))
        for text in content.iter(f"{W}t"):
            text.text = words
    assert not names, names
    parts["word/document.xml"] = etree.tostring(root)
    packed = BytesIO()
    with ZipFile(packed, "w", ZIP_STORED) as archive:
        for name, data in parts.items():
            archive.writestr(name, data)
    return packed.getvalue()
