"""Reads back what was filled into the fields of a PDF, by the names of the fields (ISO 32000-1, 12.7).

A field's value counts, and for boxes what is shown of it, too: where the two say different things, both are told.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from progdoc.writers.form_error import FormError
from progdoc.writers.pdf_form.pdf_file import MOST_READ, PdfFile
from progdoc.writers.pdf_form.pdf_values import DAMAGED, Name, Ref, Stream, text_of

__all__ = ["OFF", "PUSHED", "RADIO", "filled_pdf", "name_in_pdf"]

OFF = "Off"
RADIO, PUSHED = 1 << 15, 1 << 16  # flags of a button: one of several choices; nothing to fill in
_SIGNED = 1  # of the form's flags
_MOST_FIELDS = 20_000
_TICKED = "yes"
_SIGNED_ALREADY = "it was signed, and what was filled in since can't be told: read it in as it was before that"
_INHERITED = ("FT", "Ff", "V", "Opt")
_DOT, _SLASH = ".", "/"  # a dot parts the names of fields that lie in each other


def name_in_pdf(name: str) -> str:
    """Return the name of a field of ours as a PDF takes it."""
    return name.replace(_DOT, _SLASH)


def filled_pdf(data: bytes) -> dict[str, tuple[str, ...]]:
    """Return what stands in each named field, once for each time that it is there; "" where it is empty.

    Raises
    ------
    FormError
        If it is locked, signed, damaged, or larger than a form can be.
    """
    file = PdfFile(data, MOST_READ)
    form = file.entries(file.entries(file.trailer.get("Root")).get("AcroForm"))
    if _number(file.get(form.get("SigFlags"))) & _SIGNED:
        raise FormError(_SIGNED_ALREADY)
    found: dict[str, tuple[str, ...]] = {}
    for name, field, widgets in _fields(file, form):
        kind = field.get("FT")
        if kind == "Sig" and field.get("V") is not None:
            raise FormError(_SIGNED_ALREADY)
        texts = _ticks(file, field, widgets) if kind == "Btn" else (_text(file, field.get("V")),)
        found[name] = (*found.get(name, ()), *texts)
    return found


def _fields(file: PdfFile, form: Mapping[str, Any]) -> Iterator[tuple[str, dict[str, Any], list[dict[str, Any]]]]:
    """Yield each field with the name that it has in full, what it inherited, and its places on the pages."""
    waiting: list[tuple[Any, str, dict[str, Any]]] = [(one, "", {}) for one in reversed(file.items(form.get("Fields")))]
    seen: set[int] = set()
    count = 0
    while waiting:
        value, above, inherited = waiting.pop()
        count += 1
        if count > _MOST_FIELDS or (isinstance(value, Ref) and value.number in seen):
            raise FormError(f"{DAMAGED}: its fields go on without end")
        if isinstance(value, Ref):
            seen.add(value.number)
        entries = file.entries(value)
        own = {name: file.get(entries[name]) for name in _INHERITED if name in entries}
        field = {**inherited, **own}
        title = file.get(entries.get("T"))
        name = _DOT.join(filter(None, (above, text_of(title) if isinstance(title, bytes) else "")))
        kids = file.items(entries.get("Kids"))
        if any("T" in file.entries(kid) for kid in kids):
            waiting += [(kid, name, field) for kid in reversed(kids)]
        elif name:
            yield name.replace(_SLASH, _DOT), field, [file.entries(kid) for kid in kids] or [entries]


def _text(file: PdfFile, value: Any) -> str:
    match file.get(value):
        case bytes() as string:
            return text_of(string).strip()
        case Stream() as stream:
            return text_of(file.unpacked(stream)).strip()
        case list() as several:
            return ", ".join(text_of(one) for one in map(file.get, several) if isinstance(one, bytes))
        case str() as name:
            return name
    return ""


def _ticks(file: PdfFile, field: Mapping[str, Any], widgets: list[dict[str, Any]]) -> tuple[str, ...]:
    """Return what is ticked: by the field's value, and by what is shown at its places, where that differs."""
    flags = _number(field.get("Ff"))
    if flags & PUSHED:
        return ()
    choices = file.items(field.get("Opt")) if flags & RADIO else []

    def meant(state: Any) -> str:
        text = state if isinstance(state, Name) else _text(file, state)
        return "" if text in ("", OFF) else _choice(file, text, choices) if flags & RADIO else _TICKED

    shown = [meant(widget["AS"]) for widget in widgets if "AS" in widget]
    looks = list(filter(None, shown)) or shown[:1]
    said = [meant(field["V"])] if "V" in field else []
    return tuple(dict.fromkeys([*said, *looks])) or ("",)


def _number(value: Any) -> int:
    return value if isinstance(value, int) else 0


def _choice(file: PdfFile, state: str, choices: list[Any]) -> str:
    """Return what a state of a button means: it is the number of a choice where these are listed."""
    if state.isdecimal() and len(state) < 6 and int(state) < len(choices):
        return _text(file, choices[int(state)])
    return state
