"""Texts that answer nothing by their shape, or another thing than their field asks, or stand against the law of it.

Beside each stands what a firm may well write there. The sentences are our own: common practice, no source.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import Any

import pytest
from document.said_fields import judged_values
from examples import TIMES
from programs.patching import catalogue_of, patched, read_as_text
from published_value import published

from progdoc.app.disk.description_files import load_path
from progdoc.core.diagnostics import Severity
from progdoc.core.report import Status
from progdoc.model.description.fields import texts_in
from progdoc.rules.lookup.answers_said import Said, answers_by_a_no, said_by
from progdoc.rules.lookup.denied_fields import against_no
from progdoc.rules.lookup.empty_shapes import holds_letters, only_a_case
from progdoc.rules.lookup.field_words import against_the_law, answers_another_thing
from progdoc.rules.lookup.telling_words import (
    goes_in,
    seen_by,
    stands_against,
    stays_in,
    taken_back,
    unmasked,
)

ROOT = Path(__file__).parents[2]
SAMPLES = ("small_shop", "restoration_2025", "restoration_2026", "people_table")

SHAPES = {
    Said.PLACEHOLDER: (
        "Under review", "Being discussed with the owner", "The firm intends to buy this", "We hope to hire somebody",
        "Later this year", "Next spring", "Soon", "Blah blah blah", "Word, word", "Still open",
        "In preparation; Ada Brook",
        "Details to follow", "We'll get to it", "When we can afford it", "Scheduled", "To be agreed with the insurer",
        "Our insurer is going to look at it", "In the pipeline", "Work in progress",
    ),
    Said.TOO_LITTLE: (
        "As the law says", "By the book", "See safety manual", "According to the firm's safety rules",
        "Per company procedure",
        "In line with the regulations", "As required in 29 CFR 1910.134", "We follow the standard",
        "Following our own program",
        "Whatever the law requires", "It is in the handbook", "In a safe manner", "By qualified personnel",
        "According to best practices", "It depends on the job", "As agreed", "At the discretion of the foreman",
        "Properly and safely",
    ),
    Said.REFUSAL: (
        "We have stopped doing this", "Suspended", "On hold; Nora Quill", "No longer done",
        "Is suspended until further notice",
        "Position vacant", "Currently not done", "Stopped in 2022",
        "It has been broken since March", "This was abandoned", "Discontinued in 2023",
    ),
}  # fmt: skip
ANSWERS = (
    "Nora Quill plans the tests of each February", "Wearers who want to change masks choose among three",
    "When a new task is planned, Ada Brook looks at it", "Each mask, by the steps of the law: washed, rinsed, dried",
    "In the safety manual by the door", "The handbook's page on washing, pinned over the sink",
    "By hand, hand over hand",
    "Masks that no longer seal are cut up", "When the fan has stopped, everybody walks out",
    "By Ada Brook, as the manual says",
    "A harness suspended from the tripod", "Under the stairs", "Per person, one named box", "As Nora Quill shows it",
    "Red folder in the workshop", "The next week, for whoever was ill", "Following the maker's steps at the sink",
    "By the officer of the museum", "Discussed with each wearer in private",
    "Whoever is about to go in checks the seal",
    "What they intend to wear is tried on first",
    "Ada Brook; a second basin is going to follow, she washes them until then",
    "Broken straps are replaced by Jo Marsh", "In the safe", "The practice", "Trained staff of the maker",
    "With the practice, as agreed with Dr. Penn", "The foreman", "Each wearer, as told in the training",
    "The people of the museum", "By the door on the way out", "In a case with a lid",
    "Expected use is one shift, then the bin",
)  # fmt: skip
CASES = (
    "Only when OSHA comes",
    "As soon as the new supervisor starts",
    "If the owner agrees",
    "Nora Quill, once the kit is here",
)


@pytest.mark.parametrize("kind", SHAPES)
@published("29 CFR 1910.134(c)(1): a written program with worksite-specific procedures")
def test_a_shape_that_answers_nothing_is_known_whatever_it_is_asked(kind: Said) -> None:
    assert [words for words in SHAPES[kind] if said_by(words) is not kind] == []


def test_what_has_a_word_of_this_workplace_answers() -> None:
    assert [words for words in ANSWERS if said_by(words) is not Said.ANSWER] == []


def test_a_case_alone_tells_neither_who_nor_how() -> None:
    assert all(only_a_case(words, "procedures.cleaning.by") for words in CASES)
    assert not any(only_a_case(words, "procedures.evaluation.occasion") for words in CASES)
    assert not only_a_case("As soon as the alarm sounds, everybody walks out", "procedures.use.watched_by")


# What is no answer to one field, or against the law in it, by the paragraph; and its lawful neighbours.
ANOTHER_THING = (
    ("training.by", "A video", "Jo Marsh, with the maker's video"),
    ("training.method", "By e-mail", "A class of two hours; the plan comes by e-mail"),
    ("use.watched_by", "The security camera", "Jo Marsh, who walks through each site"),
    ("selection.by", "The salesman of the mask maker", "Nora Quill, who asks the maker"),
    ("selection.how", "The cheapest mask is bought", "By the exposure and the factor; of those the cheapest"),
    ("selection.how", "Whatever fits the budget", "Officer compares sampled level and limit, never by price"),
    ("fit_testing.testers_able", "They learned it from a video, once", "Course of Hallam, with its video, 2026"),
    ("evaluation.how", "From the desk, by reading this program", "Visits each site, then reads at the desk"),
    ("evaluation.occasion", "After an accident", "Each February, and after an accident"),
    ("evaluation.consulted_how", "They may write to her if they wish", "Asks each wearer; they may write too"),
    ("evaluation.consulted_how", "Once, in 2019", "Once a year, at each site"),
    ("emergencies.none_because", "We are careful", "Hand tools and plaster only; everybody is careful"),
    ("emergencies.none_because", "Nothing has ever happened here", "No gas, no solvent, doors open on both sides"),
    ("medical.professional.phone", "Disconnected", "555-0177; after hours nobody answers, leave a message"),
    ("medical.professional.phone", "555-0177 is out of order", "Radio channel 3"),
    ("emergencies.idlh.retrieval", "Calling 911", "Tripod and winch; 911 is called as well"),
    ("emergencies.idlh.contact", "Looks down every half hour", "Radio, with a call every 5 minutes"),
    ("use.other_gear", "A short beard is fine", "Hard hat over the straps; no beard in the seal"),
)  # fmt: skip
AGAINST = (
    ("repair.out_of_service", "It is worn until the new one comes", "Tagged; a spare is worn until it is repaired"),
    ("air_supply.flow", "Not enough for two wearers", "Two wearers; not enough for a third, so that nobody else joins"),
    ("air_supply.flow", "It is too little for all", "70 psi, 100 ft, 2 wearers, never too little by the maker's table"),
    ("repair.discarding", "Given away to a friend", "Straps cut through, then into the bin; nothing is given away"),
    ("filter_changes.particulate.by", "Nora Quill, once the dust can be tasted", "Each wearer, every Friday"),
    ("filter_changes.powered.battery", "Runs till it dies", "Charged each night, so that it never runs flat"),
    ("records.medical", "Shredded each December", "At the practice, thirty years beyond employment, then shredded"),
    ("records.program_copy", "In the owner's head", "Red folder at the head of the stairs"),
    ("records.program_copy", "Safe at home; nobody else has a key", "On the shelf by the door, open to all"),
    ("fit_testing.done_by", "Each wearer tests himself", "Jo Marsh tests each wearer"),
    ("fit_testing.choice", "One mask in one size", "Two makes in more than one size"),
    ("fit_testing.choice", "The officer picks for them", "Each picks for comfort; nobody picks for them"),
    ("training.understandable", "English, although two of us speak Polish", "In English, and in Polish for two of us"),
    ("inspection.by", "The laundry, once a quarter", "Each wearer; Ada Brook once a month the emergency sets"),
    ("emergencies.idlh.told_before_rescue", "Afterwards, by letter", "Nora Quill, 555-0119, before anybody goes down"),
    ("emergencies.idlh.retrieval", "A rope from the truck, if it is there", "Tripod, winch, harness, set up first"),
    ("storage.emergency_place", "Locked in the car of the boss", "Unlocked box beside the gate"),
    ("storage.emergency_place", "At the yard, ten miles away", "Box beside the gate, a minute away"),
    ("emergencies.idlh.contact", "No contact possible", "Radio; with no contact, whoever is inside comes out"),
    ("emergencies.idlh.contact", "Out of sight in the bend", "Line; if he is out of sight it is pulled every minute"),
    ("filter_changes.particulate.by", "The wearer, inside the dust", "The wearer, outside the room, never in the dust"),
    ("records.program_copy", "Lost", "Red folder by the door; a lost one is printed anew"),
)  # fmt: skip


def _told(path: str, words: str, code: str) -> list[Any]:
    found = judged_values(patched({"set": {f"procedures.{path}": words}}), catalogue_of({code})).findings
    return [one for one in found if one.code == code and one.location.path == f"procedures.{path}"]


def test_what_a_field_does_not_ask_is_no_answer_in_it() -> None:
    for field, words, lawful in ANOTHER_THING:
        assert answers_another_thing(words, f"procedures.{field}"), words
        assert not answers_another_thing(lawful, f"procedures.{field}"), lawful


def test_what_the_law_forbids_in_a_field_is_required_to_change() -> None:
    for field, words, lawful in AGAINST:
        assert against_the_law(words, f"procedures.{field}"), words
        assert not against_the_law(lawful, f"procedures.{field}"), lawful
    for field, words, lawful in AGAINST if TIMES > 1 else AGAINST[::8]:
        told = _told(field, words, "TXT-017")
        assert {one.severity for one in told} == {Severity.REQUIRED}, words
        assert not _told(field, lawful, "TXT-017"), lawful


@published("29 CFR 1910.134(c)(1)(ii)-(ix), (m)(3): what the program has to arrange, which these texts do not")
def test_neither_meets_its_duty() -> None:
    for code, path, words in (
        ("EVA-002", "procedures.evaluation.occasion", "After an accident"),
        ("PRG-018", "procedures.emergencies.none_because", "We are careful"),
        ("CLN-002", "procedures.cleaning.by", "As soon as the new supervisor starts"),
        ("PRG-002", "tasks[0].controls", ["Dust masks"]),
        ("PRG-041", "officer.qualifications", ["Is the owner's daughter"]),
    ):
        changes = {"procedures.emergencies.foreseeable": [], path: words}
        found = judged_values(patched({"set": changes}), catalogue_of({code}))
        assert "gap" in {verdict.status for verdict in found.verdicts if verdict.requirement.code == code}, words


HONEST = (
    ("repair.out_of_service", "Tagged red, on the shelf that nobody uses, until the maker has repaired it"),
    ("repair.out_of_service", "Nobody wears it before it is repaired; it never goes back to the van"),
    ("repair.discarding", "Cut through so that nobody wears it again"),
    ("records.medical", "Not at the firm: the practice keeps them without end"),
    ("records.medical", "Never shredded; handed to the next employer"),
    ("records.program_copy", "Not locked: the red folder in the hut"),
    ("fit_testing.done_by", "Clearfield Hygiene; never the wearer"),
    ("fit_testing.choice", "Nobody decides for them: five models in all sizes to try"),
    ("training.by", "Ada Brook, not a video alone"),
    ("training.understandable", "Nobody signs without having told it back in their own language"),
    ("evaluation.how", "Walks each site without warning, watches how masks are worn"),
    ("evaluation.occasion", "Without fail each February, and when work changes"),
    ("evaluation.consulted_how", "Asks each wearer alone, without the foreman"),
    ("selection.how", "Level, limit, factor; never a mask without approval"),
    ("inspection.by", "Each wearer before use; nobody works with a mask that failed"),
    ("filter_changes.particulate.by", "The wearer; nobody blows them out"),
    ("emergencies.mask_fails", "Walks out, never takes it off inside"),
    ("emergencies.mask_fails", "Everybody leaves; outside the mask comes off"),
    ("emergencies.idlh.told_before_rescue", "Ada Brook by radio; nobody goes down without her word"),
    ("emergencies.idlh.retrieval", "Winch on the tripod, never unhooked"),
    ("emergencies.idlh.contact", "Voice, and the line in hand; never out of sight"),
    ("storage.emergency_place", "By the gate, never locked"),
    ("use.other_gear", "Goggles outside the seal; nobody with stubble starts"),
    ("use.watched_by", "Jo Marsh, and nobody works where she cannot see"),
    ("cleaning.by", "Each wearer, nobody else"),
    ("filter_changes.powered.battery", "A charged spare goes along; nobody starts below half"),
)


def test_honest_sentences_are_quiet() -> None:
    for field, words in HONEST:
        path = f"procedures.{field}"
        assert said_by(words) is Said.ANSWER, words
        assert not (answers_another_thing(words, path) or against_the_law(words, path) or only_a_case(words, path)), (
            words
        )


_CREW = "procedures.emergencies.foreseeable[0].crew"
_ELSEWHERE = ("officer", "organisation", "program", "tasks")


@cache
def _plain_answers() -> dict[str, list[str]]:
    """The reviewed honest texts by the whole path of their field."""
    told = read_as_text((ROOT / "tests" / "rules" / "honest_texts.yaml").read_text(encoding="utf-8"))
    return {field if field.startswith(_ELSEWHERE) else f"procedures.{field}": told[field] for field in told}


def _is_loud(text: str, path: str) -> bool:
    part = path.split(".")[1 if path.startswith("procedures.") else 0]
    if path.startswith("tasks[0].name"):
        return any(against_no(text, field) for field in {field for _, field in PLACES})
    is_against = answers_another_thing(text, path) or against_the_law(text, path) or stands_against(text, "answer")
    if path.endswith("crew"):
        return bool(is_against or goes_in(text))
    is_empty = said_by(text) is not Said.ANSWER and not answers_by_a_no(text, path)
    is_practice = path.startswith("procedures.") and only_a_case(text, path)
    is_taken_back = taken_back(text, part) and not (path.endswith("none_because") or answers_by_a_no(text, path))
    is_unsafe = path.endswith("mask_fails") and (unmasked(text) or stays_in(text))
    is_seen = path.endswith("confidential") and seen_by(text, ["Nora Quill"], True)
    return bool(is_against or is_empty or is_practice or is_taken_back or is_unsafe or is_seen)


def test_plain_answers_of_every_field_are_quiet() -> None:
    texts = [(path, text) for path, told in _plain_answers().items() for text in told]
    assert len(texts) > 460
    assert [entry for entry in texts if _is_loud(entry[1], entry[0])] == []


def test_a_description_of_plain_answers_is_judged_as_one_without_them() -> None:
    """One text of each field at once, judged by everything: the newest of each now, all in the night."""
    told = _plain_answers()
    usual = {(finding.code, finding.what) for finding in judged_values(patched({})).findings}
    for i in range(max(map(len, told.values())) if TIMES > 1 else 1):
        honest = {path: texts[-1 - i] for path, texts in told.items() if i < len(texts) and path != _CREW}
        found = judged_values(patched({"set": honest})).findings
        # The people of the base program were trained in English alone; and an emergency is listed beside why none is.
        told_of_others = ("TRN-015", "EMG-010")
        told_of = [one for one in found if one.severity is not Severity.ADVICE and one.code not in told_of_others]
        loud = [one for one in told_of if (one.code, one.what) not in usual]
        assert [finding.what for finding in loud] == [], i


def test_no_text_of_the_samples_is_touched() -> None:
    count = 0
    for sample in SAMPLES:
        program = load_path(ROOT / "sample_config" / sample).program
        for path, text in texts_in(program, "") if program else ():
            count += 1
            assert not (answers_another_thing(text, path) or against_the_law(text, path)), (path, text)
            assert not (
                path.startswith("procedures.") and (only_a_case(text, path) or said_by(text) is not Said.ANSWER)
            )
    assert count > 300


# ---- deadly words of emergencies, and their neighbours -----------------------------------------------------------

INTO_BAD_AIR = (
    "His mate climbs down at once and pulls him out", "Fight it with the hose until the brigade comes",
    "The foreman follows him", "Somebody jumps in and gets him out", "They put it out with sand",
)  # fmt: skip
STAYS_OUT = (
    "Nobody climbs down; the winch brings him up from outside", "Everybody leaves; the fire brigade puts it out",
    "The foreman puts out a small fire with the extinguisher, else everybody leaves",
    "Stays out until the meter is clear", "Whoever stands by calls 911 and winches from outside",
)  # fmt: skip
MASK_OFF = (
    "Take the mask off and climb out", "Removes the mask, then leaves", "Pulls it off and runs outside",
    "Lifts the mask to breathe and walks out",
)  # fmt: skip
MASK_ON = (
    "Climbs out and takes the mask off outside", "Leaves; takes it off in clean air", "Walks out, mask off there",
    "Out with the mask on; only outside does it come off", "Never takes the mask off inside, leaves",
)  # fmt: skip


@published("29 CFR 1910.134(g)(2)(ii), (g)(3): who leaves, and who may go in after somebody")
def test_words_that_kill_are_found_in_any_order() -> None:
    assert [words for words in INTO_BAD_AIR if not goes_in(words)] == []
    assert [words for words in STAYS_OUT if goes_in(words)] == []
    assert [words for words in MASK_OFF if not unmasked(words)] == []
    assert [words for words in MASK_ON if unmasked(words)] == []


PLACES = (
    ("Scraping inside the ballast tank", "confined_space"), ("Cleaning the fish hold", "confined_space"),
    ("Work in the cofferdam", "confined_space"), ("Valves in the wet well", "confined_space"),
    ("Coating a penstock", "confined_space"), ("Inside the degreaser", "confined_space"),
    ("The vessel is purged with nitrogen", "oxygen"), ("An inert atmosphere", "oxygen"),
    ("Inside the cement mixer drum", "confined_space"), ("In the valve vault", "confined_space"),
    ("Down the well", "confined_space"), ("Cleaning the acid vat from within", "confined_space"),
    ("Shovelling the grain bunker", "confined_space"), ("Servicing the lift shaft", "confined_space"),
    ("Inside the cyclone", "confined_space"), ("In the rudder trunk", "confined_space"),
    ("Crawling below the floor", "confined_space"), ("Repairs in the air duct", "confined_space"),
    ("Scarfing", "hot_work"), ("MIG on stainless", "hot_work"), ("Arc work on galvanised rail", "hot_work"),
    ("Sponge-jetting", "blasting"), ("Soda on the brick", "blasting"), ("Misting the hives", "spraying"),
    ("Texture gun on the ceiling", "spraying"), ("Shotcreting the tunnel", "spraying"), ("Airbrush work", "spraying"),
    ("Fogging the orchard", "spraying"), ("Atomising the lacquer", "spraying"), ("Shot peening", "blasting"),
)  # fmt: skip
OTHER_PLACES = (
    "Painting the water tower", "Brushing the well cover from outside", "Sanding solder joints", "Sorting grit",
    "Sanding beside the oven", "Vats are filled next door", "In the yard, never in the hold", "Plaster in the hall",
    "Pinning the sill", "Wood from the kiln is planed", "A foggy morning", "Wells and drains are outside",
)  # fmt: skip


def test_names_of_places_and_ways_of_work_that_a_field_denies() -> None:
    assert [words for words, field in PLACES if not against_no(words, field)] == []
    fields = {field for _, field in PLACES}
    assert [words for words in OTHER_PLACES for field in fields if against_no(words, field)] == []


@published("29 CFR 1910.134 Appendix B-2, I.D: 50 ppm of chlorine or iodine for two minutes")
def test_a_bath_weaker_than_the_appendix_has_it() -> None:
    for words, is_told in (
        ("Bleach, 5 ppm, ten seconds", True), ("Chlorine 50 ppm for 90 seconds", True), ("Iodine, 1 min", True),
        ("Bleach solution, 50 ppm chlorine, 2 minutes", False), ("Chlorine 100 ppm, 120 seconds", False),
        ("Iodine at 50 ppm, 3 min; rinsed for 30 seconds", False), ("The maker's wipe, 30 seconds", False),
    ):  # fmt: skip
        assert bool(_told("cleaning.disinfectant", words, "CLN-030")) is is_told, words
    for words, is_told in (("Vinegar", True), ("Paint thinner", True), ("Mild soap, without solvent", False)):
        assert bool(against_the_law(words, "procedures.cleaning.agent")) is is_told, words


VAGUE = [
    "Be careful",
    "Around",
    "Whoever",
    "Whenever it feels right",
    "Wherever",
    "As we like",
    "With care",
    "Often",
    "Now and then",
    "Here and there",
    "From time to time",
    "The best we can",
    "Stay safe",
    "Try hard",
    "Somehow around",
    "Pay attention, always",
    "When it feels good",
    "Nicely",
    "Whoever can, whenever",
]
NAMED = [
    "Around noon",
    "Here in the yard",
    "Whoever wears it",
    "Whenever a filter is changed",
    "With care, by hand",
    "Be back by four",
    "The foreman, and whoever he sends",
    "In the safe",
    "Often: each morning",
    "Feel the seal",
    "There, at the gate",
]


def test_a_text_that_names_nobody_and_nothing_answers_nothing() -> None:
    """Common practice, no source."""
    assert [text for text in VAGUE if said_by(text) is Said.ANSWER] == []
    assert [text for text in NAMED if said_by(text) is not Said.ANSWER] == []


def test_one_or_two_letters_hold_the_place_of_an_answer_in_every_field() -> None:
    """One text of each field at once; the grade of breathing air is a letter, and Jo is a name."""
    told = [path for path in _plain_answers() if path.startswith(("procedures.", "officer.")) and path != _CREW]
    asked = {path: "x" if i % 2 else "JM" for i, path in enumerate(told)}
    judged = judged_values(patched({"set": asked}))
    met = {place for verdict in judged.verdicts if verdict.status is Status.MET for place in verdict.evidence}
    assert [
        path for path in asked if any(place == path or place.startswith((f"{path}[", f"{path}.")) for place in met)
    ] == []
    for path, text in (("procedures.air_supply.grade", "D"), ("procedures.cleaning.by", "Jo")):
        assert not holds_letters(text, path)
