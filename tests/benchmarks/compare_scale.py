"""Prints how the time of a comparison grows with the program: run it by hand, it is no test.

    python tests/benchmarks/compare_scale.py

Two invented programs of N people, N/3 tasks and N/3 hazards, a fifth of everything changed, are judged, compared and
written as pages, data and redline. The last column says how much longer a program ten times as large takes, by part:
10 is linear.
"""

from __future__ import annotations

import copy
import gc
import sys
import time
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from programs.patching import BASE

from progdoc.app.check import Checked, check
from progdoc.comparison.changes import Comparison, Side
from progdoc.comparison.comparison_page import comparison_document
from progdoc.comparison.description_changes import changed_descriptions
from progdoc.comparison.meaning import changed_meaning
from progdoc.comparison.text_changes import changed_sections, changed_words
from progdoc.document.papers.written_program import written_program
from progdoc.document.templating.templates import shipped_templates
from progdoc.model.description.program import Program
from progdoc.model.load import Loaded
from progdoc.model.yaml.yaml_reader import Description
from progdoc.writers import WRITERS
from progdoc.writers.comparison_json import comparison_json
from progdoc.writers.docx.tracked_changes import redline_docx
from progdoc.writers.redline import redline_tree

ON = date(2026, 6, 1)


def program(people: int, is_new: bool) -> Program:
    """Return a program of many people, tasks and hazards; the new one differs in every fifth of them."""
    values: dict[str, Any] = copy.deepcopy(BASE)
    person, task, hazard = values["people"][0], values["tasks"][0], values["hazards"][0]
    hazards = people // 3
    values["people"] = [{**person, "id": f"person-{i}", "name": f"Wearer {i}"} for i in range(people)]
    values["tasks"], values["hazards"] = [], []
    for i in range(hazards):
        doers = [f"person-{k}" for k in range(i * 3, i * 3 + 3)]
        values["tasks"].append({**task, "id": f"task-{i}", "name": f"Scraping, part {i}", "people": doers})
        values["hazards"].append({**copy.deepcopy(hazard), "id": f"hazard-{i}", "task": f"task-{i}"})
    if is_new:
        for i in range(0, people, 5):
            values["people"][i]["job"] = "Mason"
            values["people"][i]["fit_tests"] = []
        for i in range(0, hazards, 5):
            values["hazards"][i]["exposure"]["results"][0]["concentration"] = "480 ug/m3"
            values["tasks"][i]["name"] = f"Stripping, part {i}"
        values["tasks"].insert(0, values["tasks"].pop())
    return Program.model_validate(values)


def judged(described: Program) -> Any:
    done: Checked = check(Loaded(described, Description("program.yaml"), ()), ON)
    return done.judged


def measured(people: int) -> dict[str, float]:
    """Return the processor's seconds of every step."""
    seconds: dict[str, float] = {}

    def step(name: str, work: Callable[[], Any]) -> Any:
        start = time.process_time()
        result = work()
        seconds[name] = time.process_time() - start
        return result

    one, other = program(people, False), program(people, True)
    old, new = step("judge both", lambda: (judged(one), judged(other)))
    templates = shipped_templates()
    trees = step("both documents", lambda: [written_program(side, templates).program for side in (old, new)])
    meant = step("meaning", lambda: changed_meaning(one, other, old, new))
    step("of which description", lambda: changed_descriptions(one, other))
    tree = step("redline", lambda: redline_tree(*trees))
    text = step("sections and words", lambda: (changed_sections(*trees), *changed_words(tree)))
    side = Side("x", "x", "1", "rules", False)
    sections, taken_out, put_in, _moved = text
    whole = Comparison(
        side, side, ON, meant.moved, meant.edits, sections, is_read=True, words_taken_out=taken_out, words_put_in=put_in
    )
    step("comparison as page", lambda: WRITERS["html"](comparison_document(whole, {}, "x", "Letter")))
    step("comparison as data", lambda: comparison_json(whole))
    step("redline as Word", lambda: redline_docx(tree, "Ada Brook", "2026-06-01T00:00:00Z"))
    return seconds


def main() -> None:
    gc.set_threshold(1_000_000, 50, 50)  # as the command line sets it
    sizes = (90, 900)
    times = [measured(size) for size in sizes]
    print(f"{'step':22}" + "".join(f"{size:>8} people" for size in sizes) + "   ×")
    for name in times[0]:
        small, large = (one[name] for one in times)
        print(f"{name:22}{small:13.2f} s{large:13.2f} s{large / max(small, 1e-9):6.1f}")
    small, large = (sum(one.values()) for one in times)
    print(f"{'all':22}{small:13.2f} s{large:13.2f} s{large / small:6.1f}")


if __name__ == "__main__":
    main()
