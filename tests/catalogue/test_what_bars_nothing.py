"""Every required code says whom or what it bars, or stands on a reviewed list with the reason why it bars nothing."""

from __future__ import annotations

from collections import Counter
from pathlib import Path

from programs.patching import read_as_text

from progdoc.core.diagnostics import Severity
from progdoc.rules.reading.catalogue import built_in_catalogue

REVIEWED = read_as_text((Path(__file__).parent / "bars_nothing.yaml").read_text("utf-8"))
_LEAST_WORDS = 8


def test_a_required_code_bars_or_is_reviewed() -> None:
    required = [r for r in built_in_catalogue().requirements if r.severity is Severity.REQUIRED]
    nothing = {r.code for r in required if r.bars == "nothing"}
    listed = Counter(code for group in REVIEWED for code in group["codes"])
    assert nothing - set(listed) == set(), "declare `bars`, or enter it in bars_nothing.yaml with the reason"
    assert set(listed) - nothing == set(), "these bar something, or are no required codes"
    assert [code for code, count in listed.items() if count > 1] == []


def test_each_group_has_a_reason_of_its_own() -> None:
    reasons = [group["because"] for group in REVIEWED]
    assert len(set(reasons)) == len(reasons)
    assert all(len(reason.split()) >= _LEAST_WORDS for reason in reasons)
