"""`--site`: what is done at one site, and nothing of the firm as a whole is lost by asking for it."""

from __future__ import annotations

import json
from datetime import date
from pathlib import Path

import pytest
from app.filled_worksheet import browser_answers, labels
from app.test_renewal_answers import SAME
from programs.patching import AS_OF, PROGRAMS, judged, patched, written

from progdoc.app.build import built
from progdoc.app.check import Checked, check
from progdoc.app.disk.renewal_folder import Renewed, renew
from progdoc.app.made_from import made_from
from progdoc.app.manifest import whole
from progdoc.app.of_site import checked_at, due_at
from progdoc.app.select import is_everybody_protected, select
from progdoc.app.sheets import sheets
from progdoc.cli import main
from progdoc.core.diagnostics import Severity
from progdoc.core.report import count_of
from progdoc.model.load import load
from progdoc.model.people_table.workbook import sheets_of_workbook

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
    of_hall = {name for name in every if "mix-stain" in name} | {"restricted/cards/jo-marsh.html"}
    assert {name for name, _ in built(checked, ("md",), site="tank-yard")} == every - of_hall
    assert made_from(checked, (), (), "tank-yard") != made_from(checked, (), ())


@pytest.mark.parametrize("command", ["check", "select", "due", "unconfirmed"])
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


# What names the hall's work, masks, people; and whatever only the yard has.
OF_HALL, OF_YARD = ("Mixing stain", "Jo Marsh", "grey half mask"), ("Cleaning the stain tank", "Ravi Stone", "hose set")
TWO_CREWS = {
    "program": "plant-with-bodies",
    "set": {
        "people[1]": {"id": "ravi-stone", "name": "Ravi Stone", "masks": [{"mask": "line-set", "size": "M"}]},
        "tasks[1].people": ["ravi-stone"],
    },
}


def test_papers_about_people_of_one_site_name_nobody_of_another() -> None:
    checked = check(load({"plant.yaml": written(patched(TWO_CREWS)).encode()}, "plant"), AS_OF)
    told: dict[str, str] = {}
    for site in ("north-hall", "tank-yard"):
        files = {name: whole(content) for name, content in built(checked, ("md",), site=site)}
        named = ("restricted/people.html", "restricted/assignments.csv", "restricted/calendar.ics")
        told[site] = " ".join(files[name].decode() for name in named)
        assert sorted(name for name in files if name.startswith("restricted/cards/")) == [
            f"restricted/cards/{'jo-marsh' if site == 'north-hall' else 'ravi-stone'}.html"
        ]
    assert [word for word in OF_YARD[:2] if word not in told["tank-yard"] or word in told["north-hall"]] == []
    assert [word for word in OF_HALL[:2] if word not in told["north-hall"] or word in told["tank-yard"]] == []


def test_the_people_of_one_site_go_into_a_workbook_of_its_own() -> None:
    checked = check(load({"plant.yaml": written(patched(TWO_CREWS)).encode()}, "plant"), AS_OF)
    texts = {
        site: {cell.text for sheet in sheets_of_workbook(sheets(checked, site=site)) for r in sheet.rows for cell in r}
        for site in (None, "north-hall", "tank-yard")
    }
    assert {"jo-marsh", "ravi-stone"} <= texts[None]
    assert "jo-marsh" in texts["north-hall"] and "ravi-stone" not in texts["north-hall"]
    assert "ravi-stone" in texts["tank-yard"] and "jo-marsh" not in texts["tank-yard"]


def test_the_template_of_a_site_is_asked_for_beside_it(tmp_path: Path) -> None:
    (tmp_path / "plant.yaml").write_text(written(patched(TWO_CREWS)), encoding="utf-8")
    file = tmp_path / "day.xlsx"
    typed = ["record", str(tmp_path / "plant.yaml"), "--template", str(file), "--on", "2026-06-01", "--site"]
    assert main([*typed, "tank-yard"]) == 0 and main([*typed, "tank-yord"]) == 2
    texts = {cell.text for sheet in sheets_of_workbook(file.read_bytes()) for row in sheet.rows for cell in row}
    assert "ravi-stone" in texts and "jo-marsh" not in texts


def test_a_comparison_of_one_site_tells_its_changes_and_those_of_the_firm(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    changed = {
        "program": "plant-with-bodies",
        "set": {
            "tasks[0].steps[0].over": "350 ppm",
            "tasks[1].masks[0]": {"mask": "half-mask", "filters": ["ov-p100"], "role": "entrant"},
            "organisation.sites[1].name": "Tank court",
            "officer.name": "Ada Brook",
        },
    }
    (tmp_path / "old.yaml").write_text(written(patched({"program": "plant-with-bodies"})), encoding="utf-8")
    (tmp_path / "new.yaml").write_text(written(patched(changed)), encoding="utf-8")
    sides = ["compare", str(tmp_path / "old.yaml"), str(tmp_path / "new.yaml"), "--on", "2026-06-01"]
    told = {}
    for site in ("north-hall", "tank-yard"):
        out = tmp_path / site
        assert main([*sides, "--site", site, "-o", str(out)]) == 1
        capsys.readouterr()
        made = json.loads((out / "comparison.json").read_text(encoding="utf-8"))
        told[site] = {one["place"].split("[")[0] for one in made["description"]}
        assert not list(out.glob("*redline*")) and made["site"]
    everywhere = {"officer.name"}
    assert everywhere <= told["north-hall"] & told["tank-yard"]
    assert any(place.startswith("tasks.mix-stain") for place in told["north-hall"])
    assert not any("clean-tank" in place or "tank-yard" in place for place in told["north-hall"])
    assert any(place.startswith("tasks.clean-tank") for place in told["tank-yard"])
    assert not any("mix-stain" in place for place in told["tank-yard"])
    assert main([*sides, "--site", "tank-yord"]) == 2
    assert main([sides[0], sides[1], sides[1], "--on", "2026-06-01", "--site", "tank-yard"]) == 0


def test_a_worksheet_of_one_site_asks_of_it_and_leaves_the_rest_open_for_another(tmp_path: Path) -> None:
    effective, opened_on = date(2027, 4, 1), date(2026, 6, 1)

    def renewed(path: Path, out: str, site: str | None, answers: Path | None = None) -> Renewed:
        done = renew(path, effective, tmp_path / out, opened_on, answers=answers, site=site)
        assert isinstance(done, Renewed), [(one.code, one.what) for one in done]
        return done

    (tmp_path / "plant.yaml").write_text(written(patched(TWO_CREWS)), encoding="utf-8")
    renewed(tmp_path / "plant.yaml", "hall", "north-hall")
    renewed(tmp_path / "plant.yaml", "yard", "tank-yard")
    page = "restricted/renewal-worksheet.html"
    asked = {name: {where for _, where in labels(tmp_path / name / page)} for name in ("hall", "yard")}
    assert {"Answer: Mixing stain", "Answer: Jo Marsh", "Answer: North hall", "Answer"} <= asked["hall"] - {""}
    assert {"Answer: Cleaning the stain tank", "Answer: Ravi Stone", "Answer: Tank yard"} <= asked["yard"]
    assert not asked["hall"] & {"Answer: Cleaning the stain tank", "Answer: Ravi Stone", "Answer: Tank yard"}
    # Answered one after the other, each takes what it was asked, and nothing that nobody answered is lost.
    first, second = tmp_path / "hall.json", tmp_path / "yard.json"
    first.write_bytes(browser_answers(tmp_path / "hall" / page, {("People", "Answer: Jo Marsh"): SAME}))
    second.write_bytes(browser_answers(tmp_path / "yard" / page, {("People", "Answer: Ravi Stone"): SAME}))
    done = renewed(tmp_path / "hall", "next", "north-hall", first)
    assert not [line for line in done.done.missing if "Ravi Stone" in line or "Jo Marsh" in line]
    done = renewed(tmp_path / "next", "last", None, second)
    left = "\n".join(done.done.missing)
    assert "Jo Marsh" not in left and "Ravi Stone" not in left and "Mixing stain" in left
    faults = renew(tmp_path / "plant.yaml", effective, tmp_path / "x", opened_on, site="tank-yord")
    assert isinstance(faults, list) and [one.code for one in faults] == ["RENEW-010"]


def test_what_is_about_no_single_site_says_what_to_type_instead(capsys: pytest.CaptureFixture[str]) -> None:
    told = {}
    for typed in (["issue", str(PLANT), "--into", "x"], ["explain", "FIT-002"]):
        with pytest.raises(SystemExit) as left:
            main([*typed, "--site", "tank-yard"])
        assert left.value.code == 2
        told[typed[0]] = capsys.readouterr().err
    assert "progdoc build PATH -o FOLDER --site ID" in told["issue"]
    assert "about no single site" in told["explain"]
    assert main(["record", str(PLANT), "--site", "tank-yard", "leaving", "--who", "jo-marsh"]) == 2
    assert "behind the KIND of event" in capsys.readouterr().err


def test_what_is_told_of_one_site_says_so_and_how_much_others_lack(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """What one site has in order must not pass for the whole firm, whose other crews lack all."""
    bare = {**TWO_CREWS, "set": {**TWO_CREWS["set"], "people[1]": {"id": "ravi-stone", "name": "Ravi Stone"}}}
    (tmp_path / "plant.yaml").write_text(written(patched(bare)), encoding="utf-8")
    whole = check(load({"plant.yaml": (tmp_path / "plant.yaml").read_bytes()}, "plant"), AS_OF)
    hall = checked_at(whole, "north-hall").report
    assert hall.site == "North hall" and whole.report.site == ""
    others = count_of(whole.report, Severity.REQUIRED) - count_of(hall, Severity.REQUIRED)
    assert hall.elsewhere == others > 0
    typed = ["check", str(tmp_path / "plant.yaml"), "--on", "2026-06-01", "--names"]
    for form in ("text", "html", "md", "sarif", "junit"):
        main([*typed, "--format", form, "-o", str(tmp_path / form), "--site", "north-hall"])
        main([*typed, "--format", form, "-o", str(tmp_path / f"{form}.all")])
        told, of_all = ((tmp_path / name).read_text(encoding="utf-8") for name in (form, f"{form}.all"))
        for words in ("“North hall” alone", f"{others} required findings at other sites"):
            assert words in " ".join(told.split()) and words not in of_all, (form, words)
    main([*typed, "--format", "json", "-o", str(tmp_path / "json"), "--site", "north-hall"])
    assert json.loads((tmp_path / "json").read_text())["site"] == {"name": "North hall", "required_elsewhere": others}
    capsys.readouterr()
    main(["due", *typed[1:4], "--site", "north-hall"])
    assert "“North hall” alone; overdue at other sites, not told here: " in capsys.readouterr().out
    for site, is_told in (("north-hall", True), (None, False)):
        annex = dict(built(whole, ("md",), site=site))["restricted/people.html"].decode()
        assert ("Of one site alone: whoever works only at others is left out" in annex) is is_told
