"""Health answers that slipped into a text about a person: they have no place anywhere in a description.

Only words that name an illness or its treatment: a trade may be called anything else. What stands there is never
repeated.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from progdoc.model.description.fields import texts_in
from progdoc.model.description.program import Program

__all__ = ["places_of_health_answers", "tells_of_health"]

_ILL = re.compile(
    r"\b(?:asthma|emphysema|bronchit|copd\b|silicosis\b|tubercul|diabet|insulin|epilep|seizures?\b|claustrophob|pregnan"
    r"|pacemaker|heart (?:attack|condition|disease|failure|trouble|murmur)|(?:weak|bad) (?:heart|lungs?)\b|angina\b"
    r"|hypertens|high blood|blood pressure|lung (?:disease|cancer|trouble)|cancer\b|allerg|eczema|medications?\b"
    r"|inhalers?\b|diagnos|suffers from|hernia\b|depression\b|anxiety\b|panic attack|hiv\b|hepatitis|vertigo\b)",
    re.IGNORECASE,
)


def places_of_health_answers(program: Program) -> Iterator[str]:
    """Yield the places of texts about people that tell of an illness or its treatment."""
    for i, person in enumerate(program.people):
        for path, text in texts_in(person, f"people[{i}]"):
            if tells_of_health(text):
                yield path


def tells_of_health(text: str) -> bool:
    """Whether a text about a person names an illness or its treatment."""
    return _ILL.search(text) is not None
