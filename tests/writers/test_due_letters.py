"""Letters about what falls due: everybody once, nothing of anybody's health, nothing that leaves its line."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from programs.patching import judged, patched

from progdoc.app.due import letters_of, plan_of, plan_report
from progdoc.cli import main
from progdoc.dev.messages import messages
from progdoc.rules.judged.result import Judged
from progdoc.writers.due_letters import due_letters

ROOT = Path(__file__).resolve().parents[2]
SAMPLE = "sample_config/restoration_2026"
ON = ["--on", "2026-11-24", "--within", "90"]


@pytest.fixture(scope="module")
def called(tmp_path_factory: pytest.TempPathFactory) -> Judged:
    """A program in which somebody is called to the professional again, and has a name that is more than a name."""
    changes = {
        "people[0].name": "Jo\nBcc: everybody",
        "people[0].medical[0].reevaluate": [{"date": "2026-05-11", "because": "symptoms-reported"}],
        "people[0].training[0].date": "2025-06-30",
    }
    return judged(patched({"set": changes}), tmp_path_factory.mktemp("called"))


def test_a_letter_for_everybody_who_is_due_and_one_for_each_who_is_asked_for_it(called: Judged) -> None:
    plan = plan_of(called, 60)
    people = {person for day in plan.days for person, _ in day.people}
    assert people
    hosts = {day.kind.value for day in plan.days}
    assert set(letters_of(plan)) == {f"restricted/{name}.txt" for name in (*(f"to-{p}" for p in people), *hosts)}
    book = json.loads(plan_report(plan))["days"]
    for day in book:
        host = due_letters(plan)[f"{day['kind']}.txt"].decode()
        for entry in day["book"]:
            assert f"- {' '.join(entry['name'].split())}: " in host


def test_no_letter_tells_why_somebody_is_called_to_the_professional(called: Judged) -> None:
    letters = {name: data.decode() for name, data in due_letters(plan_of(called, 60)).items()}
    assert "Medical evaluation" in letters["clinic.txt"]
    because = {item.because for item in called.due(60).items if item.kind == "medical"}
    assert any("called for since" in words for words in because)
    told = " ".join(letters.values()).lower()
    assert not any(words.lower() in told for words in because)
    assert "symptom" not in told and "called for" not in told and "11 may 2026" not in told


def test_a_letter_is_in_the_language_of_whom_it_is_for(tmp_path: Path) -> None:
    changes = {"people[0].own_language": "es", "people[0].training[0].date": "2025-06-30"}
    found = judged(patched({"set": changes}), tmp_path)
    letters = {name: data.decode() for name, data in due_letters(plan_of(found, 60)).items()}
    (spanish,) = (text for text in letters.values() if text.startswith("Para: Jo Marsh\n"))
    fixed = [one for one, _ in messages(ROOT) if len(one.split()) > 1 and "%" not in one]
    assert [one for one in fixed if one in spanish] == []
    assert "- Capacitación: " in spanish
    assert "Traducción" in spanish  # and has to be read by somebody first
    assert all(text.startswith("To: ") for name, text in letters.items() if text != spanish)


def test_what_somebody_typed_makes_no_line_of_a_letter(called: Judged) -> None:
    for data in due_letters(plan_of(called, 60)).values():
        assert not any(line.startswith("Bcc") for line in data.decode().splitlines()) and data.endswith(b"\n")


def test_letters_are_written_for_nobody_else_to_read_and_never_sent(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / "letters"
    assert main(["due", SAMPLE, "--letters", "-o", str(out), *ON]) == 0
    assert "Nothing was sent." in capsys.readouterr().out
    written = sorted(path for path in out.rglob("*") if path.is_file())
    assert {path.parent.name for path in written} == {"restricted"}
    assert all(path.stat().st_mode & 0o077 == 0 for path in (out / "restricted", *written))
    assert len(written) > 5
    assert main(["due", SAMPLE, "--letters", "-o", str(out), *ON[:2], "--within", "1"]) == 2
    assert "LETTER-0" in capsys.readouterr().err


def test_the_plan_is_shown_and_given_to_programs(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["due", SAMPLE, "--plan", *ON]) == 0
    told = capsys.readouterr().out
    assert "Day of fit tests: on Tuesday, 8 December 2026, at the latest, 4 people" in told
    assert told.index("Clinic day") < told.index("Class") < told.index("Day of fit tests")
    out = tmp_path / "plan.json"
    assert main(["due", SAMPLE, "--plan", "--format", "json", "-o", str(out), *ON]) == 0
    plan = json.loads(out.read_text())
    assert (plan["format"], plan["audience"], out.stat().st_mode & 0o077) == ("progdoc-plan/1", "restricted", 0)
    assert [day["kind"] for day in plan["days"]][:3] == ["clinic", "class", "fit-tests"]


@pytest.mark.parametrize(
    "wrong", [["--letters"], ["--plan", "--format", "ics"], ["--alarm", "3"], ["--letters", "-o", "x"]]
)
def test_options_that_do_not_go_together_are_refused(wrong: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as ended:
        main(["due", SAMPLE, SAMPLE, *wrong])
    assert ended.value.code == 2
    assert capsys.readouterr().err
