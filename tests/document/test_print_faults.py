"""Faults of print that have been seen, looked for in every paper of every program."""

from __future__ import annotations

import re

import pytest
from document.said_fields import judged_values, papers_of
from document.test_nothing_said_is_lost import NAMES, values_of
from examples import some

FAULTS = {
    "one of many": r"(?<![\d.,])1 (months|weeks|days|years)\b",
    "a span of nothing": r"from ([\d.]+ \S+) to \1(?!\w)",
    "a citation twice": r"(\([a-z]\)(?:\([0-9a-z]+\))+)[ ;,]+\1(?![\w(])",
    "a bare yes of a policy": r"quantitative only: (yes|no)",
    "a unit as it is typed": r"\d (ug|mg)/m3",
}
TYPED = re.compile(
    r"(?m)^ *(- |\{)?[\w-]+: .*$|`[^`]*`|“[^”]*”|\{[^{}]*\}"
)  # examples to type, and what somebody typed, quoted


@pytest.mark.parametrize("name", some(NAMES, 2))
def test_no_paper_has_one(name: str) -> None:
    papers = papers_of(judged_values(values_of(name)))
    words = TYPED.sub("", papers.public + papers.restricted)
    found = {kind: hit[0] for kind, pattern in FAULTS.items() if (hit := re.search(pattern, words))}
    assert found == {}


def test_the_faults_are_found_where_they_are() -> None:
    seen = "every 1 months, from 20.9 % to 20.9 %, (f)(2); (f)(2), quantitative only: yes, 500 ug/m3"
    assert all(re.search(pattern, seen) for pattern in FAULTS.values())


@pytest.mark.parametrize(("typed", "printed"), [("1 months", "1 month"), ("1 weeks", "1 week"), ("20 day", "20 days")])
def test_an_interval_is_printed_in_its_number(typed: str, printed: str) -> None:
    values = values_of("fire-fighting")
    values["procedures"]["inspection"]["emergency_interval"] = typed
    judged = judged_values(values)
    assert f" {printed} " in f"{papers_of(judged).public} ".replace(".", " ")
