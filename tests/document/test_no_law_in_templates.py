"""No number of the law stands in the fixed text of the program's templates: they print the catalogue's dated values.

Numbers count in digits and in words. What is filled in, comments, the numbers of steps and citations are left out; what
then still stands there is on the list with the reason why no new law can change it alone.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from progdoc.core.resources import templates_root

ROOT = Path(str(templates_root())) / "program"
FILES = sorted(path.relative_to(ROOT).as_posix() for path in ROOT.rglob("*.j2"))
LEFT_OUT = (
    re.compile(r"<#.*?#>", re.DOTALL),
    re.compile(r"\{\{.*?\}\}|\{%.*?%\}", re.DOTALL),
    re.compile(r"^\s*\d+\.\s", re.MULTILINE),
    re.compile(r"\b\d+ CFR (?:part )?[\d.]+(?:\(\w+\))*|\bAppendix [A-D](?:-\d)?\b|\(\w\)(?:\(\w+\))+"),
    re.compile(r"\b(?:half|quarter) masks?\b"),
)
WORDS = (
    "two|three|four|five|six|seven|eight|nine|ten|eleven|twelve|fifteen|twenty|thirty|forty|fifty|sixty|ninety|hundred|"
    "thousand|half|quarter|third|twice|once a|daily|weekly|monthly|yearly|annual"
)
NUMBER = re.compile(rf"\b(?:{WORDS}|\d+(?:\.\d+)?)\b", re.IGNORECASE)

# No figure that the law could set anew by itself: by template and number as it is written, with what it is.
REVIEWED: dict[tuple[str, str], str] = {
    ("procedures/appendix_b2.md.j2", "2"): "the step of that number",
    ("sections/evaluation.md.j2", "four"): "how many things the list below it names",
    ("sections/fit_testing.md.j2", "ten"): "common practice: the margin from which the credit, a dated value, follows",
    ("sections/inspection.md.j2", "daily"): "work of every day, beside emergencies: no interval",
    ("sections/medical.md.j2", "1"): "the number of a section of Appendix C",
    ("sections/medical.md.j2", "2"): "the number of a section of Appendix C",
    ("sections/medical.md.j2", "8"): "the number of a question of Appendix C",
    ("sections/medical.md.j2", "10"): "the number of a question of Appendix C",
    ("sections/medical.md.j2", "15"): "the number of a question of Appendix C",
    ("sections/medical.md.j2", "three"): "how many things the sentence names",
    ("sections/policy.md.j2", "8"): "what the words time-weighted average mean",
}


def fixed(text: str) -> str:
    """Return the text that every program prints alike."""
    for pattern in LEFT_OUT:
        text = pattern.sub(" ", text)
    return text


def numbers(name: str) -> Iterator[tuple[str, str]]:
    text = fixed((ROOT / name).read_text(encoding="utf-8"))
    return ((name, found.group()) for found in NUMBER.finditer(text))


ALL = [place for name in FILES for place in numbers(name)]


def test_no_number_of_the_law_stands_in_fixed_text() -> None:
    assert [place for place in ALL if place not in REVIEWED] == []


def test_the_list_holds_nothing_that_is_gone() -> None:
    assert sorted(set(REVIEWED) - set(ALL)) == []


@pytest.mark.parametrize(
    "text", ["for two minutes", "with 50 ppm of it", "Inspected monthly.", "0.8 mL", "every 12 months"]
)
def test_a_number_in_fixed_text_is_noticed(text: str) -> None:
    assert NUMBER.search(fixed(text))


@pytest.mark.parametrize("text", ["<# 29 CFR, 50 ppm #>", "{{ law['x-12'] }}", "4. Dry them.", "29 CFR 1910.134(f)(2)"])
def test_what_is_filled_in_or_cited_is_none(text: str) -> None:
    assert not NUMBER.search(fixed(text))
