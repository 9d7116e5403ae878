"""What a text tells beside its answer is found, over every text of the model; its lawful neighbour stays quiet.

The sentences are our own, of the kinds in which a firm writes around a duty: common practice, no source.
"""

from __future__ import annotations

import copy
from collections.abc import Iterator, Mapping
from functools import cache
from itertools import product
from pathlib import Path
from typing import Any

import pytest
from document.said_fields import judged_values
from examples import TIMES, some
from programs.patching import BASE, catalogue_of, checked_by, judged, judged_by, loaded, patched
from published_value import published

from progdoc.app.disk.description_files import load_path
from progdoc.core.diagnostics import Diagnostic, Severity
from progdoc.model.description.fields import every_place, texts_in
from progdoc.model.description.procedures import Procedures
from progdoc.rules.judged.result import Judged
from progdoc.rules.lookup.answers_said import asks_for_a_practice
from progdoc.rules.lookup.field_words import answers_another_thing
from progdoc.rules.lookup.promises import one_event, only_put_off
from progdoc.rules.lookup.table_files import table_entries
from progdoc.rules.lookup.telling_words import (
    by_the_senses,
    goes_in,
    seen_by,
    stands_against,
    taken_back,
)

ROOT = Path(__file__).parents[2]
SAMPLES = ("small_shop", "restoration_2025", "restoration_2026", "people_table")
EXCEPTIONS = (
    "except the apprentices", "unless we are busy", "usually", "most of them", "not always", "when time allows",
    "if there is time", "not everybody", "where possible", "in theory",
)  # fmt: skip
# What each part of the procedures affirms, refused within a longer sentence; and what a firm may well write there.
REFUSED = {
    "selection": "We do not sample the small jobs",
    "medical": "Nobody is evaluated when the job is short",
    "fit_testing": "We do not do fit tests for the apprentices",
    "use": "Nobody shaves for a small job",
    "cleaning": "The old masks are not washed any more",
    "storage": "Masks are never put away on site",
    "inspection": "Nobody inspects them before use",
    "repair": "Defective masks are not tagged",
    "air_supply": "The air is not tested here",
    "filter_changes": "They don't get changed much",
    "training": "The apprentices are not trained",
    "voluntary_use": "The sheet is not handed to anyone",
    "evaluation": "Nobody watches the masks at work",
    "records": "We keep no records of that",
}
LAWFUL = {
    "selection": "Nobody starts before the air was sampled",
    "medical": "Nobody is evaluated without a word with the practice",
    "fit_testing": "Nobody is tested with hair in the seal",
    "use": "Nobody goes in unless the seal was checked",
    "cleaning": "No mask leaves the workshop before it is washed, and never with solvent",
    "storage": "Named boxes; never kept in the work area",
    "inspection": "No mask goes out before it is inspected",
    "repair": "Nobody of ours; a defective mask is replaced",
    "air_supply": "No hose is used before the air is tested",
    "filter_changes": "The wearer, never changed in the work area",
    "training": "Nobody starts before they are trained; never in a language they do not know",
    "voluntary_use": "No mask is handed out without it",
    "evaluation": "Watches each site, also where nobody expects it",
    "records": "Not shown to anybody else of the firm; kept with the practice",
}


def findings(values: Any, code: str) -> list[Diagnostic]:
    catalogue = None if code == "TXT-002" else catalogue_of({code})  # asked for once, by whichever code
    return [d for d in judged_values(values, catalogue).findings if d.code == code]


def _put(path: str, words: str) -> Any:
    """Return the base program with a text at a place, whatever stands around it."""
    values = copy.deepcopy(BASE)
    _set(values, path, words)
    return values


def _set(values: Any, path: str, words: str) -> None:
    place = values
    *way, last = path.split(".")
    for step in way:
        place = place.setdefault(step, {})
    place[last] = words


def _told_at(texts: Mapping[str, str], code: str) -> dict[str, list[Diagnostic]]:
    """Return what is told of each text: of all in one program, and at night of each in a program of its own."""
    each = [{path: words} for path, words in texts.items()] if TIMES > 1 else [texts]
    found: dict[str, list[Diagnostic]] = {path: [] for path in texts}
    for some_texts in each:
        values = copy.deepcopy(BASE)
        for path, words in some_texts.items():
            _set(values, path, words)
        for finding in findings(values, code):
            if finding.location.path in some_texts:
                found[finding.location.path].append(finding)
    return found


@cache
def _affirming() -> tuple[tuple[str, str], ...]:
    """Every single text of the procedures in the model, with its part; what has duties of its own left out."""
    own = ("procedures.emergencies", "procedures.fit_testing.protocols")
    found = []
    for path in every_place(Procedures, "procedures"):
        if "[" in path or path.startswith(own):
            continue
        program = loaded(_put(path, "Ada Brook")).program
        if program is not None and path in dict(texts_in(program.procedures, "procedures")):
            found.append((path, path.split(".")[1]))
    return tuple(found)


def _rounds(words: tuple[str, ...]) -> Iterator[tuple[str, str, str]]:
    """Every text once, the words of a list in turn."""
    for i, (path, part) in enumerate(_affirming()):
        yield path, part, words[i % len(words)]


def test_an_exception_is_found_in_every_text_of_the_procedures() -> None:
    texts = {path: f"Ada Brook, {words}" for path, _, words in _rounds(EXCEPTIONS)}
    for path, told in _told_at(texts, "TXT-006").items():
        assert {d.severity for d in told} == {Severity.CAUTION}, (path, texts[path])
    assert len(texts) > 30


def test_a_practice_is_refused_in_every_text_of_its_part() -> None:
    texts = {path: REFUSED[part] for path, part in _affirming()}
    assert [path for path, told in _told_at(texts, "TXT-006").items() if not told] == []


PUT_OFF = (
    "Has never been done", "Tests were stopped in 2024", "It was given up", "No tests at the moment",
    "Not in Spanish yet",
    "When the budget allows", "Done when there is money", "Nora Quill, if it works", "We plan to do it",
    "A firm still to be found", "We trust our people", "We assume they know", "Ada Brook, maybe", "Same as last year",
    "Nora Quill, who left in May", "Milo Hatch left the firm in April", "Jo Marsh, who has had none",
    "There is no copy", "Nobody has looked into it", "Nobody has had the time", "Jo Marsh is untrained",
)  # fmt: skip
KEPT = (
    "Jo Marsh, trained by the maker", "Left open to dry, then boxed", "Ada Brook comes in every Friday",
    "As soon as the fan stops, everybody leaves", "Kept as the law requires, in the red folder",
    "Nobody untrained opens it", "The apprentices too, each in their own language", "Wash stand, away from the thinner",
)  # fmt: skip


def test_what_is_refused_or_put_off_is_found_in_every_text_of_the_procedures() -> None:
    texts = {path: words for path, _, words in _rounds(PUT_OFF)}
    assert [(path, texts[path]) for path, told in _told_at(texts, "TXT-006").items() if not told] == []
    for words in PUT_OFF:
        assert stands_against(words, "answer"), words


def test_their_neighbours_are_quiet_in_every_text_of_the_procedures() -> None:
    texts = {path: words for path, _, words in _rounds(KEPT)}
    assert [(path, texts[path]) for path, told in _told_at(texts, "TXT-006").items() if told] == []
    for part in REFUSED:
        assert not [one for one in KEPT if taken_back(one, part) or stands_against(one, "answer")], part


# What is no keeping of the duty, by what a text of its part is asked; and a neighbour that keeps it.
OF_A_PART = (
    ("controls", "Vacuum ordered, comes in autumn", "Vacuum; fresh air comes in above the bench"),
    ("cleaning", "In the solvent bath", "Never in the solvent, at the wash stand"),
    ("cleaning", "Twice a decade", "Twice a day"),
    ("storage", "Next to the thinner on the open shelf", "Named boxes, away from the thinner"),
    ("repair", "Anybody with a screwdriver", "Nobody but the maker, never with a screwdriver"),
    ("repair", "It stays in use until a new one comes", "It never stays in use"),
    ("evaluation", "Every ten years", "Every year"),
    ("evaluation", "When OSHA comes", "When the work changes"),
    ("records", "They were lost in the flood", "In the red folder, for thirty years"),
    ("fit_testing", "The wearers sign for themselves", "Each wearer signs the record"),
    ("filter_changes", "Filters are blown out with compressed air", "Never blown out"),
    ("use", "The camera is switched off", "Each site, with the fan on"),
    ("officer", "Course booked for 14 January", "Course of 14 January 2025"),
)


@pytest.mark.parametrize(("part", "words", "lawful"), OF_A_PART)
def test_words_against_one_part(part: str, words: str, lawful: str) -> None:
    assert taken_back(words, part)
    assert not taken_back(lawful, part)


UNFOUNDED = (
    "We have no data; the sheet was never sent", "It may not hold for our room", "We trust the seller",
    "Made up by Ada Brook", "Hand-held meter, not calibrated", "A look on the web",
)  # fmt: skip


@pytest.mark.parametrize(("words", "field"), some(product(UNFOUNDED, ("data", "reliance")), 3))
def test_a_schedule_that_rests_on_nothing_is_refused(words: str, field: str) -> None:
    path = f"procedures.filter_changes.schedules[0].{field}"
    told = findings(patched({"program": "varnishing", "set": {path: words}}), "TXT-001")
    assert path in {d.location.path for d in told}


def test_what_a_firm_may_write_there_is_quiet() -> None:
    texts = {path: LAWFUL[part] for path, part in _affirming()}
    assert [path for path, told in _told_at(texts, "TXT-006").items() if told] == []


def test_words_of_a_part() -> None:
    for part, exception in product(REFUSED, EXCEPTIONS):
        assert taken_back(f"Each wearer, {exception}", part), (part, exception)
    for part in REFUSED:
        assert taken_back(REFUSED[part], part), part
        assert not taken_back(LAWFUL[part], part), part


@pytest.mark.parametrize("name", SAMPLES)
def test_the_samples_take_nothing_back(name: str) -> None:
    program = load_path(ROOT / "sample_config" / name).program
    assert program is not None
    for path, text in texts_in(program.procedures, "procedures"):
        assert not taken_back(text, path.split(".")[1]), (path, text)


# ---- who sees the answers ------------------------------------------------------------------------------

SEEN = (
    "{who} reads the answers and files them on her desk",
    "{who} looks through the questionnaires first",
    "Answers are read by {who}",
    "The questionnaires are kept by {who}",
    "Handed to {who}, who checks every answer",
)
WHO = ("Ada Brook", "Jo Marsh", "the foreman", "the owner", "our supervisor", "the site manager", "Ada", "the officer")
PLACES = ("medical.confidential", "medical.when_and_where", "medical.understood", "records.medical")
WAYS = some(product(WHO, SEEN, PLACES), 19)  # each way and each place with somebody; all at night
AT_THE_FIRM = (
    "The questionnaires are in our office, Ada reads them", "Filled-in forms in our office",
    "Answers in the personnel file",
    "The answers come by mail; the foreman goes through them", "Questionnaires: the owner keeps them",
)  # fmt: skip
UNSEEN = (
    "The practice keeps the answers; Ada Brook files the recommendation",
    "Blank questionnaires are in our office",
    "No answers in our office; the practice keeps them for thirty years",
    "Nora reads nothing; sealed envelope, posted by the worker",
    "Ada Brook hands in the sealed envelopes, unopened",
    "The practice reads the answers and keeps them",
    "Nobody of the firm, and not Ada Brook either, reads the answers",
    "The foreman gives out the blank forms; each worker posts them",
    "Ada Brook files the written recommendation",
    "By phone with the nurse; the owner hears of it only whether a mask may be worn",
)


@published("29 CFR 1910.134(e)(4)(i): confidentially; Appendix C: the employer may not look at or review the answers")
@pytest.mark.parametrize(("who", "words", "place"), WAYS)
def test_whoever_of_the_firm_sees_the_answers_is_found(who: str, words: str, place: str) -> None:
    path = f"procedures.{place}"
    (told,) = findings(patched({"set": {path: words.format(who=who)}}), "MED-019")
    assert (told.location.path, told.severity) == (path, Severity.REQUIRED)


@pytest.mark.parametrize(("words", "place"), some(product(AT_THE_FIRM, PLACES), 3))
def test_answers_that_lie_at_the_firm_are_seen(words: str, place: str) -> None:
    path = f"procedures.{place}"
    told = findings(patched({"set": {path: words}}), "MED-019")
    assert path in {d.location.path for d in told}


@pytest.mark.parametrize("words", UNSEEN)
def test_a_record_that_keeps_the_answers_away_is_quiet(words: str) -> None:
    assert not findings(patched({"set": {"procedures.records.medical": words}}), "MED-019")


@pytest.mark.parametrize("words", UNSEEN)
def test_what_keeps_the_answers_unseen_is_quiet(words: str) -> None:
    assert not findings(patched({"set": {"procedures.medical.confidential": words}}), "MED-019")
    assert not seen_by(words, ["Ada Brook", "Jo Marsh"], True)


@pytest.mark.parametrize(
    ("words", "is_seen"), [("the foreman reads them", True), ("the foreman reads the gauge", False)]
)
def test_whoever_reads_another_thing_beside_the_answers_does_not_see_them(words: str, is_seen: bool) -> None:
    assert bool(seen_by(f"Each worker posts the answers; {words}", ["Ada Brook"], False)) is is_seen


# ---- going in ------------------------------------------------------------------------------------------

GOING_IN = (
    "Everybody out; Jo goes back in for the can", "The foreman runs in and shuts the valve", "One of us mops it up",
    "We go in with wet towels", "Two people enter, hold their breath, and drag the drum out",
    "Climb down and pull him out", "Samir mops it up at once",
    "Milo nips back for the cast", "Hold their breath and finish the cast",
)  # fmt: skip
STAYING_OUT = (
    "Everybody leaves; call the fire service", "Nobody goes back in", "Out, and nobody enters before it is aired",
    "The spill crew goes in", "We go back in once the meter reads nothing", "Do not go in; call 911",
    "The fire brigade enters; we wait", "The main valve outside is shut",
)  # fmt: skip


@published("29 CFR 1910.134(d)(1)(iii): air that nobody identified or can estimate is immediately dangerous")
def test_going_into_unjudged_air_in_words_is_required_to_be_mended() -> None:
    assert [words for words in GOING_IN if not goes_in(words)] == []
    told = told_of_crews("A can tips over", (*GOING_IN, *STAYING_OUT), "EMG-002", agents=["toluene"])
    assert [[d.severity for d in told[words]] for words in GOING_IN] == [[Severity.REQUIRED]] * len(GOING_IN)
    assert [words for words in STAYING_OUT if told[words]] == []


def told_of_crews(what: str, crews: tuple[str, ...], code: str, **more: Any) -> dict[str, list[Diagnostic]]:
    """Return what is told of each way of a crew, all of them in one program, each in an emergency of its own."""
    emergencies = [{"what": f"{what} ({i})", "crew": words, "going_in": "no", **more} for i, words in enumerate(crews)]
    told = findings(patched({"set": {"procedures.emergencies.foreseeable": emergencies}}), code)
    places = {words: f"procedures.emergencies.foreseeable[{i}].crew" for i, words in enumerate(crews)}
    assert {d.location.path for d in told} <= set(places.values())
    return {words: [d for d in told if d.location.path == place] for words, place in places.items()}


# ---- staying in, and masks that come off -----------------------------------------------------------------

STAYING_IN = (
    "Everybody keeps sanding; masks off", "Go on spraying until the wall is done", "Samir mops it up, mask off",
    "Mask off at once, on the spot", "Samir wipes at once with a rag, mask off",
    "Wiped up without a mask", "Takes the mask off and waits for the fan", "Carry on, hold your breath",
    "Work goes on as before",
)  # fmt: skip
WALKING_OUT = (
    "Tools off; out of the room until it runs again", "Out to clean air, mask off there", "Nobody takes it off inside",
    "Walks out to clean air, then takes it off", "Grinder off, out through the curtain, hood off in the porch",
    "Everybody leaves; the foreman airs the room", "Gun down, out of the enclosure, mask on until the landing",
)  # fmt: skip


@published("29 CFR 1910.134(g)(2)(ii): wearers leave the area on breakthrough, changed resistance or a leak")
def test_a_crew_that_stays_in_bad_air_is_found_and_one_that_walks_out_left_alone() -> None:
    told = told_of_crews("The fan stops", (*STAYING_IN, *WALKING_OUT), "EMG-003")
    assert [[d.severity for d in told[words]] for words in STAYING_IN] == [[Severity.REQUIRED]] * len(STAYING_IN)
    assert [words for words in WALKING_OUT if told[words]] == []


def test_a_wearer_whose_mask_fails_walks_out() -> None:
    for words in some((*STAYING_IN, *WALKING_OUT), 3):
        told = findings(patched({"set": {"procedures.emergencies.mask_fails": words}}), "USE-017")
        assert bool(told) is (words in STAYING_IN), words


@pytest.mark.parametrize("field", ["what", "crew"])
@pytest.mark.parametrize(
    ("words", "is_found"),
    [("None", True), ("Nothing can happen", True), ("So nobody does anything", True), ("n/a", True), ("?", True),
     ("Nothing is touched; everybody walks out", False), ("The fan stops", False)],
)  # fmt: skip
def test_an_emergency_says_what_happens_and_what_is_done(field: str, words: str, is_found: bool) -> None:
    one = {"what": "The fan stops", "crew": "Everybody walks out", "going_in": "no", field: words}
    told = findings(patched({"set": {"procedures.emergencies.foreseeable": [one]}}), "EMG-004")
    assert bool(told) is is_found


# ---- what is noticed is no evidence --------------------------------------------------------------------

NOTICED = (
    "We smell it", "never smelled anything", "Nobody complained", "Nobody had a headache", "By eye", "Rule of thumb",
    "There was never a problem: no problems in ten years", "We guess", "It looks fine, no visible dust",
    "Nobody measured it; it should be fine", "A feeling; never sampled", "Has not been measured",
)  # fmt: skip
FOUND_OUT = (
    "Volume used, room air changes", "Odour threshold is far over what the meter showed", "Maker's sheet of 2026",
    "Evaporation of 1 L in the room", "Samples of the same work; nobody complained either",
    "Not measured but worked out from the volume", "No sample of 2024 was above 10 ug/m3",
)  # fmt: skip


@published("29 CFR 1910.134(d)(1)(iii): a reasonable estimate, or the air is immediately dangerous")
@pytest.mark.parametrize("words", NOTICED)
@pytest.mark.parametrize("field", ["basis", "by"])
def test_a_level_by_nose_and_silence_is_none(words: str, field: str, tmp_path: Path) -> None:
    estimate = {"kind": "estimate", "concentration": "20 ug/m3", "by": "A. Hygienist", "basis": "Volume used"}
    said = patched({"set": {"hazards[0].exposure": {**estimate, field: words}}})
    found = judged_by(catalogue_of({"EXP-001", "SEL-001", "TXT-001"}), said, tmp_path)
    assert {"EXP-001", "SEL-001", "TXT-001"} <= {d.code for d in found.findings}


@pytest.mark.parametrize("words", FOUND_OUT)
def test_what_was_found_out_stands(words: str, tmp_path: Path) -> None:
    estimate = {
        "kind": "estimate",
        "concentration": "20 ug/m3",
        "by": "A. Hygienist",
        "basis": words,
        "date": "2026-05-01",
    }
    found = judged_by(catalogue_of({"EXP-001"}), patched({"set": {"hazards[0].exposure": estimate}}), tmp_path)
    assert not by_the_senses(words)
    assert "EXP-001" not in {d.code for d in found.findings}


def test_where_a_hazard_comes_from_may_smell(tmp_path: Path) -> None:
    found = judged(patched({"set": {"hazards[0].source": "Old paint that smells of linseed"}}), tmp_path)
    assert "TXT-001" not in {d.code for d in found.findings}


# ---- words of a change schedule ------------------------------------------------------------------------


def of_schedule(words: str, after: str, folder: Path, minutes: str = "6 h") -> Judged:
    changes = {
        "procedures.filter_changes.schedules[0].change": words,
        "procedures.filter_changes.schedules[0].after": after,
        "tasks[0].duration": minutes,
    }
    return judged_by(catalogue_of({"FLT-020", "FLT-021"}), patched({"program": "varnishing", "set": changes}), folder)


@published("29 CFR 1910.134(d)(3)(iii)(B)(2): changed by a schedule before the end of the service life")
@pytest.mark.parametrize(
    "words",
    [
        *(
            "When we smell it",
            "As soon as somebody tastes it",
            "At breakthrough",
            "When the throat itches",
            "When it clogs",
        ),
        *(
            "When solvent is smelt",
            "When a whiff gets through",
            "When the carbon is spent",
            "When the wearer notices it",
        ),
    ],
)
def test_a_nose_is_no_schedule_and_the_mask_does_not_protect(words: str, tmp_path: Path) -> None:
    found = of_schedule(words, "3 h", tmp_path)
    assert "FLT-020" in {d.code for d in found.findings if d.severity is Severity.REQUIRED}
    assert not found.selection.masks["varnish", "half-mask"].is_adequate


def test_words_that_tell_no_change_are_no_schedule_without_the_nose() -> None:
    for words in ("Never", "See the binder", "TBD"):
        changed = patched({"program": "varnishing", "set": {"procedures.filter_changes.schedules[0].change": words}})
        (verdict,) = judged_values(changed, catalogue_of({"FLT-020"})).verdicts
        assert (verdict.status, verdict.evidence) == ("not-applicable", ()), words


LATE = (
    "Once a month", "weekly", "Every shift", "At the end of the shift", "Each evening", "every 2 weeks", "After 8 h",
    "Every 200 minutes", "quarterly",
)  # fmt: skip
IN_TIME = (
    "At the lunch break and at the end of the shift", "After 3 h", "Every 2 hours", "Each job a new pair",
    "At noon, and each evening",
)  # fmt: skip


@pytest.mark.parametrize("words", LATE)
def test_words_that_come_later_than_the_hours_are_found(words: str, tmp_path: Path) -> None:
    found = of_schedule(words, "3 h", tmp_path)
    (told,) = [d for d in found.findings if d.code == "FLT-021"]
    assert words in told.what
    assert not found.selection.masks["varnish", "half-mask"].is_adequate


@pytest.mark.parametrize("words", IN_TIME)
def test_words_that_come_in_time_are_quiet(words: str, tmp_path: Path) -> None:
    assert not {"FLT-020", "FLT-021"} & {d.code for d in of_schedule(words, "3 h", tmp_path).findings}


# Times without a figure: spelt out, in parts, by the day of the week, by the shift.
SPELT_LATE = (
    "Every Friday", "On Mondays", "At the end of the week", "Every other day", "Every second week", "Each weekend",
    "Four hours", "After half a shift", "After three and a half hours", "After 3½ h", "Two weeks", "After two months",
    "After a couple of days", "After ninety minutes, or 4 hours", "After a week", "After two shifts",
    "After half a day",
    "After three hours and a half", "Six hours at most", "Before the weekend", "Every eight-hour shift",
    "After each four-hour block", "After a hundred hours", "The whole shift through", "All day",
    "A new pair on payday", "Until the box is empty", "When the foreman says", "At the end of the job", "Each spring",
    "After a fortnight", "Every second morning", "When the new ones arrive",
)  # fmt: skip
SPELT_IN_TIME = (
    "After three hours", "After two and a half hours", "After an hour and a half", "Half an hour into the second coat",
    "After a quarter of a shift", "After 2½ h", "Within an hour, two people at a time", "A fresh pair each time",
    "After each two-hour block", "After 2 h, sooner when the foreman says", "At each break, whatever the foreman says",
    "Every second hour",
)  # fmt: skip


def test_times_that_are_spelt_out_are_held_against_the_hours() -> None:
    for words in (*SPELT_LATE, *SPELT_IN_TIME):
        schedule = "procedures.filter_changes.schedules[0]"
        change = {f"{schedule}.change": words, f"{schedule}.after": "3 h", "tasks[0].duration": "6 h"}
        told = findings(patched({"program": "varnishing", "set": change}), "FLT-021")
        assert bool(told) is (words in SPELT_LATE), words


def test_the_end_of_the_shift_comes_in_time_where_the_work_is_short(tmp_path: Path) -> None:
    found = of_schedule("At the end of the shift", "3 h", tmp_path, minutes="2 h")
    assert "FLT-021" not in {d.code for d in found.findings}


# ---- thin air in words ---------------------------------------------------------------------------------


@published("29 CFR 1910.134(b), (d)(2)(iii): under 19.5 % oxygen by volume")
@pytest.mark.parametrize(
    ("words", "is_thin"),
    [
        ("The vat holds about 15 % oxygen", True), ("O2 down to 12.5 percent", True), ("oxygen: 19.4%", True),
        ("17 per cent of oxygen", True), ("Nitrogen blanket, oxygen under 4 %", True),
        ("oxygen 19.5 %", False), ("20.9 % oxygen, doors open", False), ("3 % oxygen bleach", False),
        ("Oxygen is fine; humidity 15 %", False), ("15 % solvent", False),
    ],
)  # fmt: skip
def test_thin_air_in_a_text_of_a_task_is_found_there(words: str, is_thin: bool) -> None:
    places = ["tasks[0].description", "tasks[0].name", "tasks[0].controls[0]", "hazards[0].source"]
    for place in places if TIMES > 1 else places[len(words) % 4 :][:1]:
        found = judged_values(patched({"set": {place: words}}), catalogue_of({"TSK-017"}))
        told = [d for d in found.findings if d.code == "TSK-017"]
        assert [d.location.path for d in told] == ([place] if is_thin else [])
        if is_thin:
            assert not found.selection.masks["scrape-sashes", "half-mask"].is_adequate


# ---- what a second round of attacks found ---------------------------------------------------------------


@pytest.mark.parametrize(
    ("path", "words", "code"),
    [
        ("procedures.emergencies.mask_fails", "Carries on without it", "USE-017"),
        ("procedures.emergencies.mask_fails", "Takes it off inside and wipes it", "USE-017"),
        ("procedures.medical.confidential", "Open tray in the kitchen", "MED-019"),
        ("procedures.medical.confidential", "Sealed envelope, which Ada opens", "MED-019"),
        ("procedures.medical.confidential", "By e-mail to the boss", "MED-019"),
        ("procedures.medical.professional.name", "Ada Brook", "MED-019"),
        ("procedures.storage.where", "On a nail in the dust", "TXT-006"),
        ("procedures.repair.out_of_service", "Back on the hook", "TXT-006"),
        ("procedures.training.knowledge_shown", "They sign a sheet", "TXT-006"),
        ("program.scope", "All but the apprentices", "TXT-006"),
        ("program.updates", "When we get round to it", "TXT-006"),
        ("officer.authority", "None really", "TXT-006"),
        ("tasks[0].controls[0]", "Vacuum, when it works", "TXT-006"),
        ("tasks[0].description", "Paint is stripped with toluene", "TXT-007"),
        ("tasks[0].description", "Two men fainted there", "TSK-018"),
        ("tasks[0].description", "Oxygen is low in there", "TSK-018"),
        ("masks[0].name", "toy mask, not for breathing", "MSK-015"),
        ("filters[0].name", "expired P100 discs", "FLT-019"),
    ],
)
def test_words_against_what_is_affirmed(path: str, words: str, code: str) -> None:
    assert path in {d.location.path for d in findings(patched({"set": {path: words}}), code)}


@pytest.mark.parametrize(
    ("path", "words"),
    [
        ("procedures.emergencies.mask_fails", "Walks out; work goes on in a spare one"),
        ("procedures.storage.where", "Named boxes, never on the floor"),
        ("program.scope", "Everybody who wears a mask, the office too"),
        ("tasks[0].controls[0]", "Vacuum at the bench, never without it"),
        ("tasks[0].description", "Paint is scraped; no toluene, nothing in the tank"),
        ("masks[0].name", "P100 half mask, not to be used in thin air"),
    ],
)
def test_their_lawful_neighbours(path: str, words: str, tmp_path: Path) -> None:
    found = judged(patched({"set": {path: words}}), tmp_path)
    assert path not in {d.location.path for d in found.findings}


# ---- words that stand against the program wherever they are written --------------------------------------

OWN_TEXTS = (
    ("Fit tests are waived from May on", "TXT-006"), ("Beards up to an inch are welcome", "TXT-006"),
    ("A wet towel replaces the mask", "TXT-006"), ("The health answers are read by the foreman", "MED-019"),
    ("Nothing of this is waived; bring your mask", ""), ("Sign-in sheets are kept by the foreman", ""),
)  # fmt: skip


@pytest.mark.parametrize(("words", "code"), OWN_TEXTS)
def test_a_text_of_the_firms_own_takes_nothing_back(words: str, code: str) -> None:
    own = [{"id": "rules", "after": "use", "title": "House rules", "text": words}]
    catalogue = catalogue_of({"TXT-006", "MED-019"})
    found = checked_by(catalogue, patched({"set": {"own_sections": own}})).report.findings
    assert {d.code for d in found if d.location.path == "own_sections[0].text"} == ({code} if code else set())


AGAINST = (
    ("organisation.trade", "Restoration; the workers pay for their masks", "Restoration; workers never pay for a mask"),
    ("program.scope", "Everybody; it is docked from pay", "Everybody who wears a mask"),
    ("procedures.records.fit_tests", "In Nora's head", "In the head office"),
    ("procedures.medical.discussion", "At a charge of 80 dollars to the worker", "At no charge to the worker"),
    ("procedures.records.program_copy", "The officer knows it by heart", "Site office, by the door"),
    ("procedures.fit_testing.done_by", "The wearers themselves", "Ada Brook, trained herself"),
)


@pytest.mark.parametrize(("path", "words", "lawful"), AGAINST)
def test_words_that_stand_against_the_program_are_found(path: str, words: str, lawful: str) -> None:
    assert path in {d.location.path for d in findings(_put(path, words), "TXT-006")}
    assert path not in {d.location.path for d in findings(_put(path, lawful), "TXT-006")}


@pytest.mark.parametrize("field", ["name", "description"])
def test_a_seal_that_a_task_breaks_in_words(field: str) -> None:
    for words, is_found in (
        ("Scraping, the hood under the straps", True),
        ("Scraping, beard inside the seal", True),
        ("Scraping, the hood goes over the straps, never under the straps", False),
    ):
        values = patched({"set": {f"tasks[0].{field}": words}})
        assert bool(findings(values, "TXT-006")) is is_found, words


@pytest.mark.parametrize(
    ("tester", "is_refused"),
    [
        ("herself, alone", True),
        ("Himself", True),
        ("The wearer", True),
        ("Ada Brook herself", False),
        ("Alonso Brook", False),
    ],
)
def test_a_test_that_nobody_gave_has_no_tester(tester: str, is_refused: bool) -> None:
    values = patched({"set": {"people[0].fit_tests[0].tester": tester}})
    told = [d for d in findings(values, "TXT-002") if d.location.path == "people[0].fit_tests[0].tester"]
    assert bool(told) is is_refused


# ---- kinds of work and agents that a task's own words name, and no field of it --------------------------

SPOKEN_OF = (
    ("Cleaning out the tank", "Beside the old tank", "TSK-018"),
    ("Inside a closed steel tank", "Tank lids on the bench", "TSK-018"),
    ("In the septic tank", "Never in the septic tank", "TSK-018"),
    ("In the slurry pit", "Pitted stone is filled", "TSK-018"),
    ("Inside the vat of the dye works", "Vats are filled next door", "TSK-018"),
    ("In the digester", "The digest is read aloud", "TSK-018"),
    ("Welding stainless steel", "No welding here", "TSK-018"),
    ("Cutting with a torch", "By the light of an electric torch", "TSK-018"),
    ("Brazing with silver solder", "Brass is polished", "TSK-018"),
    ("Abrasive blasting of railings", "A blast of cold air from the door", "TSK-018"),
    ("Sandblasting of railings", "Never sandblasted, no sandblasting", "TSK-018"),
    ("Spray painting of doors", "Water mist keeps the dust down", "TSK-018"),
    ("Spraying shellac", "Water is sprayed on the cut", "TSK-018"),
    ("We spray shellac", "Sprayed-on insulation is scraped", "TSK-018"),
    ("Shellac is sprayed with a gravity gun", "Wetted from a spray bottle", "TSK-018"),
    ("Shellac from a spray can", "Brushing shellac, no spraying", "TSK-018"),
    ("Spraying polyurethane foam", "Foam pads are glued on", "TSK-018"),
    ("Isocyanate lacquer by brush", "Lacquer free of solvent; no isocyanate", "TSK-018"),
    ("Fighting a fire in the workshop", "A fire door is planed", "TSK-018"),
    ("Running the petrol generator indoors", "The generator stands in the yard", "TSK-018"),
    ("Cooling with liquid nitrogen", "Cooling with water", "TSK-018"),
    ("Dry ice blasting", "Ice is kept away", "TSK-018"),
    ("Sanding, asbestos boards behind", "Sanding, asbestos-free boards behind", "TXT-007"),
)


@pytest.mark.parametrize(
    ("words", "lawful", "code", "field"),
    [(*spoken, field) for field, start in (("name", 0), ("description", 1)) for spoken in some(SPOKEN_OF[start:], 2)]
    + [(*SPOKEN_OF[0], "description")] * (TIMES > 1),
)
def test_work_and_air_that_only_words_tell_of(words: str, lawful: str, code: str, field: str) -> None:
    place = f"tasks[0].{field}"
    assert place in {d.location.path for d in findings(patched({"set": {place: words}}), code)}
    assert place not in {d.location.path for d in findings(patched({"set": {place: lawful}}), code)}


@pytest.mark.parametrize("place", ["tasks[0].name", "tasks[0].description", "hazards[0].source"])
def test_old_paint_asks_for_lead_until_it_is_described_or_denied(place: str) -> None:
    texts = ["Old paint is scraped", "Paint of unknown lead content", "Paint from before 1950", "It may hold lead"]
    gypsum = {"hazards[0].agent": "gypsum"}
    for text in texts:
        found = findings(patched({"set": {**gypsum, place: text}}), "TXT-007")
        assert place in {d.location.path for d in found}, text
        assert findings(patched({"set": {place: text}}), "TXT-007") == [], text  # lead is its hazard
        answered = {
            **gypsum,
            "tasks[0].description": "New boards",
            "hazards[0].source": "Dust",
            place: f"{text}; no lead",
        }
        assert findings(patched({"set": answered}), "TXT-007") == [], text


def test_no_limit_for_dust_holds_for_what_living_things_leave() -> None:
    """29 CFR 1910.1000, Table Z-1, note f: the nuisance dust limit is of inert or nuisance dusts."""
    source = "hazards[0].source"
    straw = {"hazards[0].agent": "nuisance dust", "tasks[0].description": "New boards"}
    for text in ("Mouldy straw", "Straw with mouse droppings", "Old nests in the loft", "Pigeon guano and plaster"):
        assert [d.location.path for d in findings(patched({"set": {**straw, source: text}}), "TXT-007")] == [source], (
            text
        )
        described = patched({"set": {**straw, source: text, "hazards[0].agent": "pigeon droppings"}})
        assert findings(described, "TXT-007") == [], text
    for text in (
        "Straw and cardboard",
        "Plaster, no mould",
        "Dust of the moulding machine",
        "Plaster without droppings",
    ):
        assert findings(patched({"set": {**straw, source: text}}), "TXT-007") == [], text


def test_a_field_that_answers_the_words_silences_them() -> None:
    place = "tasks[0].name"
    hot = {"metals": ["lead"], "place": "open-air", "ventilation": "none", "bystanders": "none"}
    blasting = {"work": "short-clean-up", "abrasive": "low-silica", "toxic": "no"}
    for words, field, said in (
        ("Welding old railings", "hot_work", hot),
        ("Abrasive blasting of railings", "blasting", blasting),
        ("Spray painting of doors", "spraying", {"place": "elsewhere"}),
        ("Cleaning out the tank", "confined_space", "yes"),
        ("Scraping inside the ballast tank", "confined_space", "yes"),
        ("Painting the cofferdam and the bilge", "confined_space", "yes"),
        ("Grinding in the elevator pit", "confined_space", "yes"),
        ("Fighting a fire in the attic", "structural_fire", "yes"),
        ("Generator indoors", "carbon monoxide", None),
        ("Isocyanate lacquer", "toluene-2,4-diisocyanate", None),
    ):
        changed = {"hazards[0].agent": field} if said is None else {f"tasks[0].{field}": said}
        assert place in {d.location.path for d in findings(patched({"set": {place: words}}), "TSK-018")}, words
        found = findings(patched({"set": {place: words, **changed}}), "TSK-018")
        assert place not in {d.location.path for d in found}, words


@pytest.mark.parametrize(
    ("source", "is_told"),
    [
        ("Asbestos boards", True),
        ("Stone dust, 60 % crystalline silica", True),
        ("Quartz in the mortar", True),
        ("Cleaned with toluene first", True),
        ("Old lead paint on the sashes", False),
        ("Boards without asbestos", False),
        ("Asbestos-free boards", False),
    ],
)
def test_an_agent_that_only_the_source_of_another_names(source: str, is_told: bool) -> None:
    found = {d.location.path for d in findings(patched({"set": {"hazards[0].source": source}}), "TXT-007")}
    assert ("hazards[0].source" in found) is is_told


# ---- what is only promised, and what happened once --------------------------------------------------------------

BEGINS_ONE_DAY = (
    "Will start when the order comes", "Jo Marsh, will begin once a tester is found",
    "To be arranged with the practice", "Is going to start in spring", "Is planned", "Being organised; in the new year",
    "Will be set up later this year", "Starting next month", "We intend to", "To come with the new contract",
    "A second one comes next spring",
)  # fmt: skip
ONCE = (
    "Once, in 2019", "It was done in 2019", "They were all washed last year", "Once, years ago",
    "Last held in March 2021", "Took place in 2020", "Had one in 2018", "2019", "In 2019 we all sat through a film",
    "Everybody saw the film in 2019", "When Jo started, in 2019",
)  # fmt: skip
GOES_ON = (
    "Each shift will start with a seal check", "Nobody will start before the air was sampled",
    "Jo Marsh, trained by the maker in 2024", "Once a year since 2019", "Each February, and was last done in 2026",
    "New people will be trained by Ada Brook before they start", "Ada Brook comes in every Friday",
    "Clearfield Hygiene was chosen in 2024", "In the folder of 2019, by the door", "Wash stand; it was moved in 2023",
)  # fmt: skip


@published("29 CFR 1910.134(c)(1): a written program with worksite-specific procedures, which a promise is none of")
def test_a_promise_alone_holds_the_place_of_an_answer_in_every_text() -> None:
    for path, _, words in _some(BEGINS_ONE_DAY):
        assert path in {d.location.path for d in findings(_put(path, words), "TXT-001")}, (path, words)
    for path, _, words in _some(GOES_ON):
        assert path not in {d.location.path for d in findings(_put(path, words), "TXT-001")}, (path, words)
    for words in (*BEGINS_ONE_DAY, *GOES_ON):
        assert only_put_off(words) is (words in BEGINS_ONE_DAY), words


def _some(words: tuple[str, ...]) -> list[tuple[str, str, str]]:
    """Every text in turn, at night; a handful of them on each change."""
    return list(_rounds(words))[:: 1 if TIMES > 1 else 8]


def test_one_event_is_no_practice_in_any_text_of_the_procedures() -> None:
    assert set(table_entries("empty_answers", "asks_what_was_done")) <= set(every_place())
    for path, _, words in _some(ONCE):
        told = {d.location.path for d in findings(_put(path, words), "TXT-006")}
        is_asked = asks_for_a_practice(path) or answers_another_thing(words, path) != ""
        assert (path in told) is is_asked, (path, words)
    for words in (*ONCE, *GOES_ON):
        assert one_event(words) is (words in ONCE), words


@pytest.mark.parametrize(
    ("words", "codes"),
    [("Once, in 2019", {"CLN-002"}), ("Will start when the order comes", {"CLN-002"}), ("Each wearer", set())],
)
def test_neither_meets_the_duty_that_asks(words: str, codes: set[str]) -> None:
    found = judged_values(patched({"set": {"procedures.cleaning.by": words}}), catalogue_of({"CLN-002"}))
    assert {v.requirement.code for v in found.verdicts if v.status == "gap"} == codes


# ---- who judges health, and who does what is left to others -----------------------------------------------------


@published("29 CFR 1910.134(b): a professional whose license allows the evaluation")
def test_a_trade_that_need_not_be_let_judge_is_asked_about() -> None:
    for name, is_told in (
        ("The pharmacist", True), ("Mill Street Pharmacy", True), ("A dentist in town", True), ("Our fit tester", True),
        ("The safety officer of the insurer", True), ("Northbridge Occupational Health", False), ("Dr. A. Penn", False),
        ("Mill Street Clinic", False), ("The pharmacist, licensed by the state for these evaluations", False),
        ("Nurse practitioner at the drug store", False), ("Vetiver Health Service", False),
        ("An online form", True), ("The drug counter in town", True), ("Online service of Osterby's physicians", False),
    ):  # fmt: skip
        told = findings(_put("procedures.medical.professional.name", name), "MED-020")
        assert bool(told) is is_told, name
        assert {d.severity for d in told} <= {Severity.CAUTION}


@published("29 CFR 1910.134(a)(2): the program covers each employee who has to wear a mask")
def test_what_is_left_to_others_is_not_done_by_our_people() -> None:
    for others, is_ours in (
        ("Jo Marsh, when they are late", True), ("Ada", True), ("Our apprentices", True), ("We do it ourselves", True),
        ("The foreman and a helper", True), ("Deepwell Access, confined-space contractor", False),
        ("The fire brigade; none of our people", False), ("Marshland Diving", False),
    ):  # fmt: skip
        changes = {"tasks[0].done_by": "others", "tasks[0].people": [], "tasks[0].others": others}
        told = findings(patched({"set": changes}), "TSK-016")
        assert bool(told) is is_ours, others
        assert {(d.severity, d.location.path) for d in told} <= {(Severity.REQUIRED, "tasks[0].others")}


def test_others_beside_our_people_are_asked_about() -> None:
    for others, is_told in (("Plasterers beside us, without masks", True), ("none", False), ("Nobody else", False)):
        assert bool(findings(patched({"set": {"tasks[0].others": others}}), "TSK-026")) is is_told, others
    theirs = {"tasks[0].done_by": "others", "tasks[0].people": []}
    for others, is_told in (("Deepwell Access, without masks", True), ("Deepwell Access, in masks of theirs", False)):
        found = findings(patched({"set": {**theirs, "tasks[0].others": others}}), "TSK-026")
        assert bool(found) is is_told, others
