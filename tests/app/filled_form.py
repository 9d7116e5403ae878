"""A form filled in as its reader would: fields are found by their part and the words beside them, not by our names."""

from __future__ import annotations

import json
from collections.abc import Mapping

from progdoc.document.papers.forms import MadeForm, Place, made_forms
from progdoc.rules.judged.result import Judged

__all__ = ["browser_form", "called", "form_called"]


def form_called(name: str, judged: Judged) -> MadeForm:
    return next(form for form in made_forms(judged) if form.name == name)


def browser_form(form: MadeForm, filling: Mapping[str, str], without: str = "", mark: str = "") -> bytes:
    """Return what a browser keeps of a form: every field with what stands in it.

    Parameters
    ----------
    filling
        What is filled in, by part (and the thing it is about) and label: "session/Date", "filter ov-p100/By: line 1".
    without
        A field that got lost on the way, likewise.
    mark
        What the first field says, where somebody altered it.
    """
    names = {called(place): place.field.id for place in form.places}
    fields = {place.field.id: place.field.value for place in form.places}
    fields |= {names[where]: text for where, text in filling.items()}
    if without:
        del fields[names[without]]
    return json.dumps({"format": "progdoc-answers/1", "fields": {"form.mark": mark or form.mark, **fields}}).encode()


def called(place: Place) -> str:
    """Return what a place is called by who fills it in: its part, the thing it is about, and its label."""
    about = f" {place.entry['id']}" if place.entry else ""
    return f"{place.part}{about}/{place.field.label}"
