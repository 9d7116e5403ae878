"""Descriptions to compare: the base program and edits of it, and random ones made of its parts."""

from __future__ import annotations

import copy
from datetime import date
from pathlib import Path
from typing import Any

from hypothesis import strategies as st
from programs.patching import AS_OF, BASE
from programs.patching import written as as_yaml

from progdoc.app.check import check
from progdoc.app.compare import Compared, Version, meaning_of
from progdoc.app.disk.compared_paths import compare_paths
from progdoc.app.disk.description_files import load_path
from progdoc.app.issue import IssuedAs, IssueSheet
from progdoc.comparison.changes import Comparison
from progdoc.core.version import __version__
from progdoc.model.description.program import Program
from progdoc.model.load import load

__all__ = ["AS_OF", "base", "compared", "descriptions", "issued", "meant", "program_of", "written"]


def base() -> Any:
    """Return the base program's values, to be changed."""
    return copy.deepcopy(BASE)


def written(values: Any, file: Path) -> Path:
    file.parent.mkdir(parents=True, exist_ok=True)
    file.write_text(as_yaml(values), encoding="utf-8")
    return file


def program_of(values: Any) -> Program:
    """Return a description's values as the model has them."""
    return Program.model_validate({key: value for key, value in values.items() if value is not None})


def compared(old: Any, new: Any, folder: Path, on: date = AS_OF) -> Compared:
    """Compare two descriptions through the public door."""
    result = compare_paths(written(old, folder / "old.yaml"), written(new, folder / "new.yaml"), on)
    assert isinstance(result, Compared), [(d.code, d.what) for d in result]
    assert load_path(folder / "old.yaml").program is not None
    return result


def meant(old: Any, new: Any, on: date = AS_OF) -> Comparison:
    """Compare two descriptions without the text that is printed of them."""
    return meaning_of(
        *(Version("shop", check(load({"shop.yaml": as_yaml(one).encode()}, "shop"), on)) for one in (old, new))
    )


def issued(values: Any, own_day: date, on: date) -> Version:
    """Return a description as a revision that was issued on a day by today's rules, judged on another."""
    checked = check(load({"shop.yaml": as_yaml(values).encode()}, "shop"), on)
    report = checked.report
    rules = f"{report.rules_pack} {report.rules_version}"
    sheet = IssueSheet(values["program"]["revision"], report.title, own_day, rules, __version__)
    return Version("shop", checked, IssuedAs(sheet, ()))


_LEVELS = st.sampled_from(["120 ug/m3", "0.12 mg/m3", "480 ug/m3", "0.04 mg/m3"])


@st.composite
def descriptions(draw: st.DrawFn) -> Any:
    """Return the base program with some of it changed, taken out, renamed or put in another order."""
    values = base()
    values["hazards"][0]["exposure"]["results"][0]["concentration"] = draw(_LEVELS)
    values["tasks"] = draw(st.permutations(values["tasks"]))
    values["masks"] = draw(st.permutations(values["masks"]))
    values["organisation"]["name"] = draw(st.sampled_from(["Brook & Lintel Restoration", "Brook Restoration"]))
    values["procedures"]["fit_testing"]["interval"] = draw(st.sampled_from(["12 months", "6 months", "1 year"]))
    if draw(st.booleans()):
        values["procedures"]["cleaning"].pop("water_temperature")
    if draw(st.booleans()):
        values["people"][1]["name"] = "Ravi K. Stone"
    if draw(st.booleans()):
        values["people"][0]["fit_tests"] = []
    if draw(st.booleans()):
        _rename_task(values, "scrape-sashes", "scraping")
    for task in values["tasks"]:
        task["people"] = draw(st.lists(st.sampled_from(["jo-marsh", "ravi-stone"]), unique=True))
    return values


def _rename_task(values: Any, old: str, new: str) -> None:
    for task in values["tasks"]:
        task["id"] = new if task["id"] == old else task["id"]
    for hazard in values["hazards"]:
        hazard["task"] = new if hazard["task"] == old else hazard["task"]
