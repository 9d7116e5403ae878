"""No number and no paragraph of the law stands in the Python of `progdoc/rules`: figures and citations are data.

Docstrings and comments may cite. A number literal is let through where it can't be law (nothing, one, two, a
percentage's hundred, the units of time), or where it is on the list below with the reason why it is not law.
"""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

from source_trees import tree_of

RULES = Path(__file__).resolve().parents[2] / "progdoc" / "rules"
CITED = re.compile(r"\b\d+ CFR\b|\b19(?:10|15|26)\.\d")

NEUTRAL = {0, 1, 2, 60, 1440, 1e-9}  # nothing, one, two; the minutes of an hour and of a day; a hair

# Not law: what the number is, and who says so. By module and number.
REVIEWED: dict[tuple[str, float], str] = {
    ("records/dangling_words.py", 12): "our choice: what is accepted is looked at again within a year",
    ("records/reading_checks.py", 60): "our choice: days before its own that a draft is read",
    ("facts.py", 1970): "our choice: what is said to be older is a slip of the year",
    ("cartridge_life/schedule_sources.py", 10.0): "our choice: so many times the model's life is no cartridge's",
    ("lookup/unit_state.py", 100.0): "all of a cylinder's pressure",
    ("lookup/text_intervals.py", 3): "letters by which the name of a day is known",
    ("reading/stricter.py", 3): "words that a reason has at least",
    ("reading/stricter.py", 12): "facts that two conditions may name and still be tried in every case",
    ("air/assessment.py", 250.0): "our choice: where European law draws the line for volatile organics, from memory",
    ("air/assessment.py", 1000.0): "our choice: a level a thousand times off its limit is asked about",
    ("air/coverage.py", 120.0): "EN 689:2018, two hours of sampling at least; a secondary source",
    ("air/coverage.py", 0.75): "our choice: most of an exposure, for the whole that EN 689:2018 wants",
    ("lookup/clauses.py", 16384): "how many texts read already are kept in memory",
    ("in_force/intervals.py", 4096): "how many ends of intervals are kept in memory",
    ("lookup/who_words.py", 4): "our choice: letters from which on a word tells somebody apart",
    ("questions/gathered.py", 8): "our choice: things that one form asks about, each in a row",
    ("lookup/empty_shapes.py", 3): "words that a pointer may begin with",
    ("lookup/empty_shapes.py", 6): "words of a clause in which it says that something was given up",
    ("lookup/empty_shapes.py", 8): "words: a longer text goes on to what is done then",
    ("judged/figure_results.py", 9): "digits that a figure of the law is printed with",
    ("lookup/clauses.py", 4): "letters that stand apart and make a word together",
    ("lookup/clauses.py", 3): "words of a clause that tells no more than who or when",
    ("air/evidence.py", 12): "our choice: evidence older than a year is looked at again",
    ("air/evidence.py", 1_000_000.0): "parts in a million",
    ("air/group_notes.py", 3): "EN 689, statistics of a group: notes and common practice",
    ("air/group_notes.py", 5): "EN 689, preliminary test: three to five samples",
    ("air/surveillance.py", 7): "days in a week",
    ("air/surveillance.py", 12): "months in a year",
    ("air/surveillance.py", 52): "weeks in a year",
    ("air/same_day.py", 365): "days in a year",
    ("air/surveillance.py", 365): "days in a year",
    ("cartridge_life/change_moments.py", 15): "our choice: people keep quarters of an hour",
    ("cartridge_life/change_moments.py", 0.5): "our choice: when a pause serves",
    ("cartridge_life/life_estimate.py", 1.25): "our choice: a quarter more flow, asked as what-if",
    ("cartridge_life/life_estimate.py", 10.0): "the model: coldest air, and a what-if of ten degrees",
    ("cartridge_life/life_estimate.py", 20.0): "a what-if of twenty percent",
    ("cartridge_life/life_estimate.py", 50.0): "the model: temperatures nobody works in",
    ("cartridge_life/life_estimate.py", 60.0): "the model: temperatures nobody works in",
    **{
        ("cartridge_life/life_estimate.py", share): "points of a drawn curve"
        for share in (0.001, 0.002, 0.005, 0.01, 0.02, 0.035, 0.05, 0.075, 0.1, 0.125, 0.15, 0.175, 0.2)
    },
    ("cartridge_life/life_estimate.py", 100.0): "percent",
    ("cartridge_life/life_worked.py", 1e6): "a cubic metre in cubic centimetres",
    ("cartridge_life/life_worked.py", 1000.0): "a cubic metre in litres",
    ("cartridge_life/life_worked.py", 8314.462618): "the molar gas constant, for ppm and kilopascals",
    ("cartridge_life/life_worked.py", 273.15): "the zero of Celsius in kelvin",
    ("cartridge_life/schedule_sources.py", 0.01): "our choice: a hundredth of the life for each degree",
    ("cartridge_life/schedule_sources.py", 0.5): "our choice: half the life at most goes to heat",
    ("cartridge_life/schedule_sources.py", 50.0): "the model: humidity from which carbon takes up water",
    ("cartridge_life/schedule_sources.py", 65.0): "the model: humidity at which dilute vapours are refused",
    ("cartridge_life/schedule_sources.py", 200.0): "the model: what counts as dilute",
    ("in_force/figures.py", 31): "days in a month, at the most: a cylinder is stamped with its month",
    ("lookup/seasons.py", 12): "months in a year",
    ("lookup/seasons.py", 2028): "a leap year, for the longest February",
    ("masks/credit.py", 5): "our choice: digits of a figure in a sentence, at the most",
    ("records/contradictions.py", 5): "our choice: digits of a telephone number, at the least",
    ("records/days_of_a_year.py", 366): "days in a year, at the most",
    ("records/contradictions.py", 24.0): "hours in a day",
    ("records/days_of_a_year.py", 24.0): "hours in a day",
    ("records/contradictions.py", 16.0): "our choice: a shift that leaves no time to rest",
    ("lookup/likely_figures.py", 15.0): "our choice: a bed deeper than that of any canister, in centimetres",
    ("records/change_words.py", 1440): "minutes of a day",
    ("records/change_words.py", 30): "days of a month, so that none is taken for longer than it is",
    ("records/upkeep_checks.py", 12): "our choice: a program is looked at again after a year",
    ("cartridge_life/schedules.py", 65.0): "the model: vapours that wander between shifts",
    ("due/due_items.py", 12): "months of the year ahead",
    ("due/due_items.py", 13): "first days of the months from now to a year ahead",
    ("policy/order_checks.py", 12): "our choice: a year and more after the first step it is a later round",
    ("due/due_workplace.py", 12): "our choice, where the law sets no interval",
    ("in_force/intervals.py", 7): "days of a week",
    ("in_force/intervals.py", 12): "months of a year",
    ("in_force/law_values.py", 12): "months of a year",
    ("in_force/law_values.py", 365): "days of a year",
    ("in_force/strictest.py", 100.0): "percent",
    ("lookup/answers_said.py", 7): "our choice: a text of so few words that begins as the law does only repeats it",
    ("lookup/answers_said.py", 4): "our choice: a text of so few words that begins with a refusal is one",
    ("lookup/limits.py", 480.0): "what the words 8-hour average mean, in minutes",
    ("lookup/limits.py", 15.0): "what the word STEL means, in minutes",
    ("lookup/substances.py", 3): "how alike two spellings are",
    ("lookup/substances.py", 5): "how alike two spellings are",
    ("lookup/substances.py", 0.85): "how alike two spellings are",
    ("lookup/substances.py", 0.7): "how alike two spellings are",
    ("records/air_checks.py", 366): "our choice: an analysis older than a year is asked about",
    ("records/calendar_checks.py", 366): "our choice: what keeps masks in order comes round within a year",
    ("lookup/releases.py", 6): "our choice: words of a title",
    ("lookup/promises.py", 6): "our choice: words of a clause in which it says that something happened, or will",
    ("lookup/text_intervals.py", 7): "days of a week",
    ("lookup/text_intervals.py", 12): "months of a year",
    ("lookup/function_words.py", 3): "words of a text so short that one of another language tells",
    ("lookup/function_words.py", 4): "letters of a word that tells alone",
    ("lookup/who_words.py", 5): "letters of a word that is told by its end",
    ("questions/gathered.py", 4): "names in one question, before the rest are counted",
    ("reading/pack.py", 5_000_000): "a bound on the size of a pack",
    ("reading/pack.py", 100_000): "a bound on the values of a pack",
    ("records/wearer_checks.py", 1024): "lists of missing topics that are kept",
    ("reading/rules_before.py", 5): "the protocol of pickle",
    ("reading/pack_faults.py", 20): "numbers of fault codes",
    ("reading/pack_faults.py", 40): "numbers of fault codes",
    ("reading/pack_faults.py", 0.6): "how alike two spellings are",
    ("records/dangling_words.py", 0.6): "how alike two spellings are",
    ("records/role_checks.py", 0.6): "how alike two spellings are",
    ("records/own_text_checks.py", 0.6): "how alike two spellings are",
    ("records/protocol_checks.py", 0.6): "how alike two spellings are",
    ("records/fit_records.py", 9): "significant digits of a reading that is worked with",
}


def literals(module: Path) -> Iterator[ast.Constant]:
    """Yield what is written in a module, docstrings left out."""
    tree = tree_of(module)
    spoken = {
        id(node.body[0].value)
        for node in ast.walk(tree)
        if isinstance(node, ast.Module | ast.ClassDef | ast.FunctionDef)
        and node.body
        and isinstance(node.body[0], ast.Expr)
    }
    for node in ast.walk(tree):
        if isinstance(node, ast.Constant) and id(node) not in spoken:
            yield node


def is_number(value: object) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool)


def strays(root: Path) -> list[str]:
    """Return every citation and every number that nobody has looked at, with its line."""
    found: list[str] = []
    for module in sorted(root.rglob("*.py")):
        name = module.relative_to(root).as_posix()
        for node in literals(module):
            value, place = node.value, f"{name}:{node.lineno}"
            if isinstance(value, str) and CITED.search(value):
                found.append(f"{place}: {value!r} is a paragraph: put it into the catalogue")
            elif is_number(value) and value not in NEUTRAL and (name, value) not in REVIEWED:
                found.append(f"{place}: is {value} law? Then it is a dated value; if not, say on the list what it is")
    return found


def test_no_paragraph_and_no_number_of_the_law_stands_in_the_rules() -> None:
    assert strays(RULES) == []


def test_the_list_holds_nothing_that_is_gone() -> None:
    written = {
        (module.relative_to(RULES).as_posix(), node.value)
        for module in RULES.rglob("*.py")
        for node in literals(module)
        if is_number(node.value)
    }
    assert sorted(set(REVIEWED) - written) == []


def test_what_the_law_says_is_noticed(tmp_path: Path) -> None:
    (tmp_path / "law.py").write_text(
        '"""29 CFR 1910.134(f)(2): 12 months."""\n'
        "_PASS = 500  # 1910.134(f)(7)\n\n\n"
        "def basis(day: int) -> str:\n"
        '    """Cite 29 CFR 1910.134(f)(2)."""\n'
        "    least = 19.5\n"
        '    return f"29 CFR 1910.134(f)(2), {day} of {least}" or "1926.62(d)(2)"\n',
        encoding="utf-8",
    )
    assert sorted(line.split(": ")[0] for line in strays(tmp_path)) == ["law.py:2", "law.py:7", "law.py:8", "law.py:8"]
