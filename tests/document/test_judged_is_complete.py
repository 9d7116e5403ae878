"""What is printed was worked out before: every paper is made again where no rule and no calculation can be asked."""

from __future__ import annotations

import os
import pickle
import subprocess
import sys
from datetime import date
from pathlib import Path

import pytest
from document.recorded_result import papers, recorded
from examples import some

from progdoc.app.disk.description_files import check_path
from progdoc.rules.reading.conditions import OF_ONE_THING
from progdoc.rules.reading.predicates import PREDICATES

ROOT = Path(__file__).resolve().parents[2]


@pytest.mark.parametrize("path", some(["tests/programs/varnishing.yaml", "sample_config/restoration_2026"], 2))
def test_a_judged_description_is_printed_without_the_rules(path: str, tmp_path: Path) -> None:
    judged = check_path(ROOT / path, date(2026, 11, 24)).judged
    assert judged is not None
    file = tmp_path / "judged"
    file.write_bytes(pickle.dumps(recorded(judged)))
    script = Path(__file__).with_name("recorded_result.py")
    paths = os.pathsep.join([str(ROOT), str(ROOT / "tests"), str(script.parent)])
    done = subprocess.run(
        [sys.executable, str(script), str(file)],
        capture_output=True,
        env={**os.environ, "PYTHONPATH": paths},
        check=False,
    )
    assert done.returncode == 0, done.stderr.decode()
    printed = pickle.loads(done.stdout)
    assert len(printed) > 10
    assert printed == dict(papers(judged))


def test_every_fact_can_be_asked_of_the_program_or_of_one_thing() -> None:
    judged = check_path(ROOT / "tests/programs/base.yaml", date(2026, 11, 24)).judged
    assert judged is not None
    assert set(PREDICATES) >= set(OF_ONE_THING)
    assert set(judged.program_facts) == set(PREDICATES) - set(OF_ONE_THING)
