"""Two programs that know nothing of progdoc, and fill in the fields of a PDF: PDFium, as in Chromium, and qpdf.

PDFium is clicked at and typed into as a reader would; qpdf (through pikepdf) sets the values in the file, and what
boxes then show. Neither shares any code with what writes the fields or reads them back.
"""

from __future__ import annotations

import ctypes
from collections.abc import Callable, Mapping
from io import BytesIO
from typing import Any

import pikepdf
import pypdfium2
import pypdfium2.raw as pdfium

__all__ = ["filled_by_pdfium", "filled_by_qpdf", "form_fields_of"]

Filling = Mapping[str, str]  # by the name of the field in the PDF: its text, "yes" for ticked, the words of a choice


def filled_by_pdfium(data: bytes, filling: Filling) -> bytes:
    """Return the PDF as it is saved after each place was clicked at and typed into."""
    file = pypdfium2.PdfDocument(data)
    file.init_forms()
    for page in file:
        for place in range(pdfium.FPDFPage_GetAnnotCount(page)):
            _fill_in(file.formenv, page, place, filling)
    saved = BytesIO()
    file.save(saved)
    return saved.getvalue()


def _fill_in(form: Any, page: Any, place: int, filling: Filling) -> None:
    annotation = pdfium.FPDFPage_GetAnnot(page, place)
    kind = pdfium.FPDFAnnot_GetFormFieldType(form, annotation)
    name = _told(form, annotation, pdfium.FPDFAnnot_GetFormFieldName)
    shown = _told(form, annotation, pdfium.FPDFAnnot_GetFormFieldExportValue)
    rect = pdfium.FS_RECTF()
    pdfium.FPDFAnnot_GetRect(annotation, rect)
    pdfium.FPDFPage_CloseAnnot(annotation)
    middle = (rect.left + rect.right) / 2, (rect.top + rect.bottom) / 2
    text = filling.get(name, "")
    if kind == pdfium.FPDF_FORMFIELD_TEXTFIELD and name in filling:
        _click(form, page, middle)
        pdfium.FORM_SelectAllText(form, page)
        typed = ctypes.create_string_buffer(f"{text}\0".encode("utf-16-le"))
        pdfium.FORM_ReplaceSelection(form, page, ctypes.cast(typed, ctypes.POINTER(pdfium.FPDF_WCHAR)))
    elif (kind == pdfium.FPDF_FORMFIELD_CHECKBOX and text) or (
        kind == pdfium.FPDF_FORMFIELD_RADIOBUTTON and text == shown
    ):
        _click(form, page, middle)
    pdfium.FORM_ForceToKillFocus(form)


def _told(form: Any, annotation: Any, of: Callable[..., int]) -> str:
    size = of(form, annotation, None, 0)
    told = ctypes.create_string_buffer(size)
    of(form, annotation, ctypes.cast(told, ctypes.POINTER(pdfium.FPDF_WCHAR)), size)
    return told.raw.decode("utf-16-le").rstrip("\0")


def _click(form: Any, page: Any, middle: tuple[float, float]) -> None:
    for way in (pdfium.FORM_OnMouseMove, pdfium.FORM_OnLButtonDown, pdfium.FORM_OnLButtonUp):
        way(form, page, 0, *middle)


def filled_by_qpdf(data: bytes, filling: Filling, **saving: Any) -> bytes:
    """Return the PDF with its values set, saved as `saving` says."""
    with pikepdf.open(BytesIO(data)) as file:
        for field in form_fields_of(file):
            text = filling.get(str(field.T))
            if text is None:
                continue
            if str(field.FT) == "/Tx":
                field.V = pikepdf.String(text)
                continue
            state = pikepdf.Name.Off
            if text:
                choices = [str(choice) for choice in field.get("/Opt", [])]
                state = pikepdf.Name(f"/{choices.index(text)}") if choices else pikepdf.Name.Yes
            field.V = state
            for place in field.get("/Kids", [field]):
                place.AS = state if state in place.AP.N else pikepdf.Name.Off
        saved = BytesIO()
        file.save(saved, **saving)
    return saved.getvalue()


def form_fields_of(file: pikepdf.Pdf) -> list[Any]:
    """Return the fields that a file lists, in their order."""
    return list(file.Root.AcroForm.Fields)
