"""What a finding says is shown at the desk in words that a form has: no name of a field as it stands in a file."""

from __future__ import annotations

import re

import pytest

from progdoc.app.question_forms import named_text
from progdoc.core.paper_language import language_of
from progdoc.desk import shown, spoken
from progdoc.model.description.fields import every_place, field_at
from progdoc.rules.reading.catalogue import built_in_catalogue

KEY = re.compile(r"\b[a-z]+(?:_[a-z]+)+\b|\w+\[\d*\]|`")
TAG = re.compile(r"<[^>]*>")
HOLDER = re.compile(r"\{[^}]*\}")


@pytest.mark.parametrize("code", ["en", "es"])
def test_no_finding_names_a_field_as_the_file_does(code: str) -> None:
    texts = [
        (requirement.code, text)
        for requirement in built_in_catalogue().requirements
        for text in (requirement.what, requirement.why, requirement.fix.partition("\n")[0])
    ]
    before = spoken._SPOKEN.set(spoken.Spoken(language_of(code).on("desk"), "/"))
    try:
        told = [(one, HOLDER.sub("", TAG.sub("", shown._plain(text)))) for one, text in texts]
    finally:
        spoken._SPOKEN.reset(before)
    assert [(one, found[0], text) for one, text in told if (found := KEY.search(text))] == []


def test_no_field_is_described_in_the_words_of_the_file() -> None:
    fields = [(place, field) for place in every_place() if (field := field_at(place))]
    said = [(place, text) for place, field in fields for text in (field.title, _shown(named_text(field.description)))]
    assert [(place, text) for place, text in said if KEY.search(text)] == []


def _shown(description: str) -> str:
    return TAG.sub("", shown._titled(description))
