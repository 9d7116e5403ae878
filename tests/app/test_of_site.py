"""`--site`: what is done at one site, and nothing of the firm as a whole is lost by asking for it."""

from __future__ import annotations

from pathlib import Path

import pytest
from programs.patching import AS_OF, PROGRAMS, judged, patched, written

from progdoc.app.build import built
from progdoc.app.check import Checked, check
from progdoc.app.made_from import made_from
from progdoc.app.of_site import checked_at, due_at
from progdoc.app.select import is_everybody_protected, select
from progdoc.cli import main
from progdoc.model.load import load

PLANT = PROGRAMS / "plant-with-bodies.yaml"


def _checked() -> Checked:
    return check(load({"plant.yaml": written(patched({"program": "plant-with-bodies"})).encode()}, "plant"), AS_OF)


def test_of_one_site_only_its_tasks_are_selected_for() -> None:
    checked = _checked()
    assert [one.air.task.id for one in select(checked, site="tank-yard")] == ["clean-tank"]
    assert [one.air.task.id for one in select(checked)] == ["mix-stain", "clean-tank"]
    assert not is_everybody_protected(checked, site="north-hall")


def test_of_one_site_people_and_masks_of_others_fall_due_elsewhere(tmp_path: Path) -> None:
    shared = {"masks": [{"mask": "full-mask", "size": "M"}], "id": "ravi-stone", "name": "Ravi Stone"}
    changed = {
        "set": {"people[1]": shared, "tasks[0].people": ["jo-marsh", "ravi-stone"], "tasks[1].people": ["ravi-stone"]}
    }
    found = judged(patched({"program": "plant-with-bodies", **changed}), tmp_path)
    whole = {item.id for item in found.due(60).items}
    of_yard = {item.id for item in due_at(found, found.due(60), "tank-yard").items}
    assert "document-review" in of_yard and "medical.ravi-stone" in of_yard
    assert "medical.jo-marsh" in whole - of_yard
    assert due_at(found, found.due(60), None) == found.due(60)


def test_of_one_site_only_its_pages_are_for_the_crew(tmp_path: Path) -> None:
    assert main(["build", str(PLANT), "-o", str(tmp_path / "out"), "--on", "2026-06-01", "--site", "tank-yord"]) == 2
    assert not (tmp_path / "out").exists()
    checked = _checked()
    pages = {name for name, _ in built(checked, ("md",), site="tank-yard") if name.startswith("tasks/")}
    assert pages == {"tasks/clean-tank.html"}
    every = {name for name, _ in built(checked, ("md",))}
    assert {name for name, _ in built(checked, ("md",), site="tank-yard")} == every - {"tasks/mix-stain.html"}
    assert made_from(checked, (), (), "tank-yard") != made_from(checked, (), ())


@pytest.mark.parametrize("command", ["check", "select", "due"])
def test_a_site_that_nobody_described_is_told(command: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main([command, str(PLANT), "--on", "2026-06-01", "--site", "tank-yord"]) == 2
    assert "no site has the id `tank-yord`. Did you mean `tank-yard`?" in capsys.readouterr().err
    main([command, str(PLANT), "--on", "2026-06-01", "--site", "tank-yard"])
    assert "Mixing stain" not in capsys.readouterr().out


def test_of_one_site_the_check_tells_its_findings_and_those_of_the_firm() -> None:
    whole = _checked()
    found = checked_at(whole, "tank-yard")
    told = {part for one in found.report.findings for part in one.subject}
    assert "tasks.clean-tank" in told and not told & {"tasks.mix-stain", "masks.half-mask", "people.jo-marsh"}
    assert {one.code for one in found.report.findings} >= {one.code for one in whole.report.findings if not one.subject}
    assert {f for q in found.report.questions for f in q.findings} <= set(found.report.findings)
    assert [one.task for one in found.report.barred if one.task == "mix-stain"] == []
    assert checked_at(whole, None) is whole
