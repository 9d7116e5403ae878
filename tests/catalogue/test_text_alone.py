"""No duty of conduct rests on free text: whatever a text alone meets is a reviewed duty to name or to describe."""

from __future__ import annotations

from collections import Counter
from pathlib import Path

from document.test_fixed_text import affirms
from programs.patching import read_as_text

from progdoc.core.diagnostics import Severity
from progdoc.rules.reading.catalogue import built_in_catalogue

REVIEWED = read_as_text((Path(__file__).parent / "text_alone.yaml").read_text("utf-8"))


def test_a_required_duty_that_a_text_alone_meets_is_reviewed() -> None:
    required = (r for r in built_in_catalogue().requirements if r.severity is Severity.REQUIRED)
    alone = {requirement.code for requirement in required if not affirms(requirement)}
    listed = Counter(code for group in REVIEWED for code in group["codes"])
    assert alone - set(listed) == set(), "let a yes or a choice show it, or enter it in text_alone.yaml with the reason"
    assert set(listed) - alone == set(), "these are shown by more than a text"
    assert [code for code, count in listed.items() if count > 1] == []
