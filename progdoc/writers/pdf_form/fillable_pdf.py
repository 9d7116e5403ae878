"""Makes the places for fields in a PDF into fields: the typesetter knows none, but it tags links.

The layout sets a link at each place, with room for a pen or with what is filled in already in it. Here each link
becomes a field (ISO 32000-1, 12.7) under the tag of one (ISO 14289-1, 7.18.4), and the words in it move from the page
into the field, which draws them until somebody types others. What is new is not packed: that would differ between
machines.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import field
from typing import Any

from progdoc.core.errors import ProgdocError
from progdoc.core.late_dataclass import dataclass
from progdoc.core.paper_language import Language
from progdoc.document.tree.nodes import FieldKind, FormField
from progdoc.writers.form_error import FormError
from progdoc.writers.pdf_form.field_places import PLACE, Widget
from progdoc.writers.pdf_form.filled_pdf import OFF, RADIO, name_in_pdf
from progdoc.writers.pdf_form.pdf_file import PdfFile
from progdoc.writers.pdf_form.pdf_values import Name, Ref, Stream, pdf_bytes_of, text_string

__all__ = ["fillable_pdf"]

_PRINTED = 4  # a flag of places on the page
_READ_ONLY, _LINES = 1, 1 << 12  # flags of fields
_TYPED = b"/Helv 0 Tf 0 g"  # as large as there is room for
_ON = "Yes"
_LARGEST = 100  # times as large as it is packed: the file is ours
_CROSS = b"8"  # in Zapf Dingbats
_BESIDE, _BELOW = 2.0, 4.5  # points that a field reaches beyond the words that are set in it
_AROUND_BOX = 1.5  # points that a box can be missed by
_TALLEST_LINE = 16.0  # points: what is typed stands low in the room for a pen
_MARKED = re.compile(rb"/Span<</MCID (\d{1,6})(?:/[^>]{0,40})?>>BDC\n")
_END_OF_MARKED = b"\nEMC"


def fillable_pdf(file: bytes, widgets: Sequence[Widget], language: Language) -> bytes:
    """Return the file with its places made into fields.

    Parameters
    ----------
    file
        What the typesetter made of a layout with a link to `PLACE` and its number for each widget.
    language
        In which a date is asked for.

    Raises
    ------
    ProgdocError
        If the file is not as the typesetter makes it today, or a place is missing: a fault of ours.
    """
    hint = language.say("year first, such as 2027-01-31")
    try:
        return _Making(PdfFile(file, _LARGEST * len(file)), widgets, hint).made()
    except (FormError, KeyError, ValueError) as error:
        raise ProgdocError(f"a form could not be made of the PDF: {error!r}") from error


@dataclass(slots=True)
class _Making:
    """One file: what becomes of its objects, by their numbers."""

    file: PdfFile
    widgets: Sequence[Widget]
    hint: str
    objects: dict[int, Any] = field(default_factory=dict)  # changed and new ones
    last: int = 0  # number of a new one
    fields: dict[int, Ref] = field(default_factory=dict)  # by the number of their first place
    groups: dict[str, Ref] = field(default_factory=dict)  # fields of several places, by their names
    ticks: dict[tuple[float, float], Ref] = field(default_factory=dict)
    parents: dict[int, Any] = field(default_factory=dict)  # the tags of what is on the pages

    def made(self) -> bytes:
        get, entries = self.file.get, self.file.entries
        root = entries(self.file.trailer["Root"])
        numbers = get(entries(entries(root["StructTreeRoot"])["ParentTree"])["Nums"])
        self.parents = dict(zip(numbers[::2], numbers[1::2], strict=True))
        for page in self._pages(root["Pages"]):
            self._page(page)
        if len(self.fields) != len({widget.field.id for widget in self.widgets}):
            raise ValueError("a place is missing")
        font = {"Type": Name("Font"), "Subtype": Name("Type1")}
        letters = {**font, "BaseFont": Name("Helvetica"), "Encoding": Name("WinAnsiEncoding")}
        fonts = {"Helv": self._new(letters), "ZaDb": self._new({**font, "BaseFont": Name("ZapfDingbats")})}
        listed = [self.fields[number] for number in sorted(self.fields)]
        form = {"Fields": listed, "DR": {"Font": fonts}, "DA": _TYPED}
        self._change(self.file.trailer["Root"], {**root, "AcroForm": form})
        return self._written()

    def _pages(self, node: Any) -> Iterator[Ref]:
        for kid in self.file.items(self.file.entries(node)["Kids"]):
            if self.file.entries(kid)["Type"] == "Pages":
                yield from self._pages(kid)
            else:
                yield kid

    def _page(self, page: Ref) -> None:
        """Make the places of a page into fields, and take off it what stands in them."""
        entries = self.file.entries(page)
        places = {}
        for link in self.file.items(entries.get("Annots")):
            address = self.file.entries(self.file.entries(link).get("A")).get("URI", b"")
            if address.startswith(PLACE.encode()):
                places[int(address[len(PLACE) :])] = link
        tags = {number: self.parents[self.file.entries(link)["StructParent"]] for number, link in places.items()}
        moved = {number: self._inside(tag) for number, tag in tags.items()}
        words = self._moved(entries, {one for some in moved.values() for one in some})
        for number, link in places.items():
            drawn = b"".join(words[one] for one in moved[number])
            self._place(number, link, page, tags[number], drawn)

    # ---- places -----------------------------------------------------------------------------------------

    def _place(self, number: int, link: Ref, page: Ref, tag: Ref, drawn: bytes) -> None:
        asked, choice = self.widgets[number]
        rect = self.file.entries(link)["Rect"]
        shown = {"Type": Name("Annot"), "Subtype": Name("Widget"), "F": _PRINTED, "P": page}
        shown["StructParent"] = self.file.entries(link)["StructParent"]
        form: dict[str, Any] = {"Type": Name("StructElem"), "S": Name("Form"), "P": self.file.entries(tag)["P"]}
        form["K"] = [{"Type": Name("OBJR"), "Pg": page, "Obj": link}]
        match asked.kind:
            case FieldKind.CHOICE:
                form["Alt"] = text_string(f"{asked.label}: {asked.choices[choice]}")
                group, is_ticked = self._group(number, asked), asked.choices[choice] == asked.value
                shown |= {"Parent": group} | self._box(rect, str(choice), is_ticked)
                self.objects[group.number]["Kids"].append(link)
            case FieldKind.BOX:
                shown |= self._named(asked, "Btn") | self._box(rect, _ON, bool(asked.value))
                shown["V"] = shown["AS"]
                self.fields[number] = link
            case _:
                shown |= self._named(asked, "Tx") | self._text(asked, rect, drawn, self.file.entries(page)["Resources"])
                self.fields[number] = link
        self._change(link, shown)
        self._change(tag, form)

    def _named(self, asked: FormField, kind: str) -> dict[str, Any]:
        label = f"{asked.label} ({self.hint})" if asked.kind is FieldKind.DATE else asked.label
        return {"FT": Name(kind), "T": text_string(name_in_pdf(asked.id)), "TU": text_string(label)}

    def _group(self, number: int, asked: FormField) -> Ref:
        """Return the field of which there is a place for each choice."""
        if asked.id not in self.groups:
            chosen = str(asked.choices.index(asked.value)) if asked.value in asked.choices else OFF
            listed = [text_string(choice) for choice in asked.choices]
            group = {**self._named(asked, "Btn"), "Ff": RADIO, "Opt": listed, "V": Name(chosen), "Kids": []}
            self.groups[asked.id] = self.fields[number] = self._new(group)
        return self.groups[asked.id]

    def _box(self, rect: Sequence[float], state: str, is_ticked: bool) -> dict[str, Any]:
        left, below, right, above = rect
        rect = [left - _AROUND_BOX, below, right + _AROUND_BOX, above]
        size = (round(rect[2] - rect[0], 2), round(above - below, 2))
        if size not in self.ticks:
            self.ticks[size] = self._new(_drawn(size, _cross(*size), {}))
        look = {"N": {state: self.ticks[size]}}
        of_readers_that_draw_anew = {"MK": {"CA": _CROSS}, "DA": b"/ZaDb 0 Tf 0 g"}
        return {"Rect": rect, "AP": look, "AS": Name(state if is_ticked else OFF), **of_readers_that_draw_anew}

    def _text(self, asked: FormField, rect: Sequence[float], drawn: bytes, fonts: Any) -> dict[str, Any]:
        """Return a field of text; what stands in it already is drawn as the typesetter set it."""
        left, below, right, above = rect
        if drawn:
            left, below, right, above = left - _BESIDE, below - _BELOW, right + _BESIDE, above + _BELOW
        elif asked.kind is not FieldKind.LINES:
            above = min(above, below + _TALLEST_LINE)
        flags = (_LINES if asked.kind is FieldKind.LINES else 0) | (_READ_ONLY if asked.is_fixed else 0)
        found: dict[str, Any] = {"Rect": [left, below, right, above], "DA": _TYPED, "Ff": flags}
        if asked.value:
            found["V"] = text_string(asked.value)
        if drawn:
            words = f"/Tx BMC\nq 1 0 0 1 {-left:.4f} {-below:.4f} cm\n".encode() + drawn + b"Q\nEMC\n"
            look = self._new(_drawn((right - left, above - below), words, fonts))
            found["AP"] = {"N": look}
        return found

    # ---- words that move --------------------------------------------------------------------------------

    def _inside(self, tag: Ref) -> list[int]:
        """Return the numbers of the words under a tag."""
        inside = [one for one in self.file.items(self.file.entries(tag)["K"]) if not isinstance(one, dict)]
        if not all(isinstance(one, int) for one in inside):
            raise ValueError("something other than words stands in a place")
        return inside

    def _moved(self, page: Mapping[str, Any], wanted: set[int]) -> dict[int, bytes]:
        """Take marked words off a page, and return how each is drawn."""
        if not wanted:
            return {}
        text = self.file.unpacked(self.file.get(page["Contents"]))
        rest, found, at = [], {}, 0
        for begins in _MARKED.finditer(text):
            if (number := int(begins[1])) in wanted:
                ends = text.index(_END_OF_MARKED, begins.end())
                found[number] = text[begins.end() : ends + 1]
                rest.append(text[at : begins.start()])
                at = ends + len(_END_OF_MARKED)
        self._change(page["Contents"], Stream({}, b"".join(rest) + text[at:]))
        of_page = self.parents[page["StructParents"]]
        tags = [None if n in wanted else tag for n, tag in enumerate(self.file.items(of_page))]
        self._change(of_page, tags)
        return found

    # ---- objects ----------------------------------------------------------------------------------------

    def _new(self, value: Any) -> Ref:
        self.last = (self.last or max(self.file.places)) + 1
        self.objects[self.last] = value
        return Ref(self.last)

    def _change(self, ref: Ref, value: Any) -> None:
        self.objects[ref.number] = value

    def _written(self) -> bytes:
        """Return the file: objects that stayed as they are, those that changed, new ones, and where each is."""
        data, places = self.file.data, self.file.places
        starts = sorted(place for place in places.values() if isinstance(place, int))
        ends = dict(zip(starts, [*starts[1:], data.rindex(b"xref\n", 0, data.rindex(b"startxref"))], strict=True))
        parts, at = [data[: starts[0]]], starts[0]
        table = [b"0000000000 65535 f\r\n"]
        for number in range(1, max([*places, *self.objects]) + 1):
            place = places.get(number)
            part = (
                b"%d 0 obj\n%b\nendobj\n" % (number, pdf_bytes_of(self.objects[number]))
                if number in self.objects
                else data[place : ends[place]]
                if isinstance(place, int)
                else b""
            )
            table.append(b"%010d 00000 n\r\n" % at)
            parts.append(part)
            at += len(part)
        trailer = pdf_bytes_of({**self.file.trailer, "Size": len(table)})
        parts += [b"xref\n0 %d\n" % len(table), *table, b"trailer\n", trailer, b"\nstartxref\n%d\n%%%%EOF" % at]
        return b"".join(parts)


def _drawn(size: tuple[float, float], words: bytes, fonts: Any) -> Stream:
    entries = {"Type": Name("XObject"), "Subtype": Name("Form"), "BBox": [0, 0, *size], "Resources": fonts}
    return Stream(entries, words)


def _cross(width: float, height: float) -> bytes:
    """Return how a cross is drawn into the box in the middle of its place."""
    reach = height * 0.26
    left, right, below, above = width / 2 - reach, width / 2 + reach, height / 2 - reach, height / 2 + reach
    lines = f"{left:.2f} {below:.2f} m {right:.2f} {above:.2f} l {left:.2f} {above:.2f} m {right:.2f} {below:.2f} l"
    return f"q 1 w 1 J {lines} S Q\n".encode()
