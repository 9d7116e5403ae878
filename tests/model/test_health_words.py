"""Health answers in a text about a person are refused, and never repeated. The words: common practice, no source."""

from __future__ import annotations

import pytest
from programs.patching import patched, written
from published_value import published

from progdoc.model.load import load

ILL = ("asthma", "diabetes", "a heart condition", "epilepsy", "claustrophobia", "high blood pressure", "allergies")
JOBS = ("Foreman", "Health and safety officer", "Medical room painter", "Heart-pine floor layer", "Stroke sander")


@published("29 CFR 1910.134(e)(4)(i): the questionnaire is confidential")
@pytest.mark.parametrize("place", ["people[0].job", "people[0].fit_tests[0].tester", "people[0].training[0].language"])
@pytest.mark.parametrize("words", ILL)
def test_an_illness_is_refused_and_not_repeated(place: str, words: str) -> None:
    loaded = load({"program.yaml": written(patched({"set": {place: f"Painter with {words}"}})).encode()})
    (fault,) = loaded.diagnostics
    assert loaded.program is None
    assert (fault.code, fault.location.path) == ("MODEL-008", place)
    assert words.split()[-1] not in f"{fault.what} {fault.why} {fault.fix}"


@pytest.mark.parametrize("job", JOBS)
def test_a_job_is_a_job(job: str) -> None:
    assert load({"program.yaml": written(patched({"set": {"people[0].job": job}})).encode()}).program is not None
