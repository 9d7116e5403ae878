"""One day, and never “1 days”: a number that may be one stands before a word only through `counted`."""

from __future__ import annotations

import re
from pathlib import Path

ROOT = Path(__file__).parents[2]
MORE = "days|minutes|hours|weeks|months|years|files|pages|samples|wearers|employees|people"
BEFORE_MORE = re.compile(rf"(?:\{{[^{{}}]*\}}|%\(\w+\)s) (?:{MORE})\b")
# Numbers that are never one, and what is said in messages to programmers.
NEVER_ONE = {
    "progdoc/app/disk/look_folder.py": "a bound",
    "progdoc/writers/due_letters.py": "both forms of a count, told by its number",
    "progdoc/calc/exposure.py": "an error of a caller",
    "progdoc/calc/statistics.py": "an error of a caller",
    "progdoc/calc/tolerance.py": "an error of a caller",
    "progdoc/core/paper_language.py": "an example of a sentence for several",
    "progdoc/core/barred.py": "of several people, one of whom is told in other words",
    "progdoc/rules/air/shift_levels.py": "a working day that is longer than eight hours",
    "progdoc/rules/air/surveillance.py": "months of the law, six",
    "progdoc/catalogue/us_federal/d_tasks.yaml": "more hours than a year has",
    "progdoc/catalogue/us_federal/g_emergencies.yaml": "those who go in and who stand by, two at the least",
    "progdoc/catalogue/us_federal/h_cleaning.yaml": "more wearers than pieces",
}


def test_no_number_that_may_be_one_stands_before_a_word_for_more() -> None:
    found = set()
    for folder, endings in (("progdoc", ("*.py", "*.yaml")), ("templates", ("*.j2", "*.yaml"))):
        for ending in endings:
            for file in (ROOT / folder).rglob(ending):
                if BEFORE_MORE.search(file.read_text(encoding="utf-8")):
                    found.add(file.relative_to(ROOT).as_posix())
    assert found == set(NEVER_ONE)
