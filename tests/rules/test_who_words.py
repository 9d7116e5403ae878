"""A text that is to tell who does something names somebody: in every such field, beside what firms write.

The sentences are our own: common practice, no source.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

from programs.patching import catalogue_of, checked_by, patched, read_as_text
from programs.whole import WHOLE

from progdoc.app.disk.description_files import load_path
from progdoc.model.description.fields import every_place, field_at, texts_in
from progdoc.rules.lookup.answers_said import Said, answers_by_a_no, said_by
from progdoc.rules.lookup.table_files import table_entries
from progdoc.rules.lookup.who_words import asks_who, holds_a_name, names_somebody, parts_of_names

ROOT = Path(__file__).parents[2]
ASKS_WHO = [str(place) for place in table_entries("who_words", "asks_who")]
OTHERWISE = [str(place) for entry in table_entries("who_words", "asks_another_thing") for place in entry["fields"]]
HOLDERS = parts_of_names(
    ("Nora Quill", "Milo Hatch", "Tess Rowan", "Jo Marsh", "Ada Brook", "Clearfield Hygiene", "José Peña")
)
NOBODY = (
    "The cleaning fairy", "Horoscope", "A dog", "The dog", "CCTV", "By CCTV", "An audit bot", "Dr. Nobody", "Mr Nobody",
    "By tradition", "Не мы", "On top of the boiler", "A tape", "In the evening", "On Friday", "Every leap year",
    "By habit", "The calendar", "A robot", "Gravity", "Luck", "Destiny; Horoscope", "The wind", "As needed",
    "Twice in May", "Вручную по мере надобности", "With soap", "By hand", "The autopilot", "Computer",
    "The wall calendar", "In the locker", "After dinner", "The dishwasher", "A checklist", "Automatically",
)  # fmt: skip
HONEST = (
    "Whoever uses it", "the man on the saw", "our foreman Milo", "the two of us", "my wife, who keeps the books", "Ada",
    "both brothers", "the clinic in town", "the rental yard", "ada", "nora and milo", "JM", "AB", "José", "josé",
    "Someone called Åsa", "Mr. Łukasz", "Each of us cleans our own", "We all do, each our own mask", "Everyone",
    "Whoever wore it, before going home", "Milo, in the evening", "The apprentice, shown how by Nora Quill",
    "All of us", "Wearers swap their own discs in the yard", "Nora; the dealer comes in for new models", "The boss",
    "Me", "I do", "Nora with the insurer's hygienist", "Milo, who walks through twice a day", "The user", "Myself",
    "all", "The crew lead", "Lead painter", "The shop owner's daughter", "The lads", "The lady at the desk", "Dad",
    "My son", "the saw operator", "Store man", "Our safety consultant", "The safety committee", "Union rep",
    "The site super", "Office manager", "Bookkeeper", "The tool crib", "HR", "EHS", "The state consultation service",
    "Boss or deputy", "The fire department", "Captain of the shift", "The nurse at the plant", "Occupational clinic",
    "Dr. Finch", "The mask supplier", "Supplier's tech", "The maker's rep", "A technician of the dealer",
    "The compressor firm", "The lab that took the samples", "The general contractor's safety man",
    "the guy who runs the booth", "Spray crew", "Whoever is on the nozzle", "The person wearing it",
    "Anyone who wears one", "Each painter", "Every employee", "The helper on the hose", "Blaster", "Sander",
    "Journeyman", "Two journeymen", "Each, after use", "They do", "The cleaner on Fridays", "The laundry",
    "The parish's caretaker", "The landlord's janitor", "A neighbour's firm", "The yard hands", "Night shift",
    "The day shift's lead", "Cada usuario", "El capataz", "El dueño", "Todos", "Jeder Träger", "Chaque porteur",
    "Każdy pracownik", "Каждый сам", "各自", "The owner and his brother", "The mechanic", "The attendant at the hatch",
    "The competent person", "A qualified person of the firm", "The superintendent", "Purchasing", "Human resources",
    "The secretary", "The volunteer firefighter among us", "The trainer of the union", "Same person as last year",
    "The one who wears it", "The one with the mask", "Anybody on the crew", "The kid", "The masons", "His mate",
    "The old man", "Grandpa", "Hired help", "Outside help", "The new hire", "Each one of them", "A retired firefighter",
    "The person who hands them out", "Site lead", "PM", "Foreman/owner", "Owner-operator", "The saw hand",
    "The last one out of the booth", "The hospital", "The vicar", "The luthier", "Two bricklayers", "Stonemasons",
    "The chemist", "Maintenance", "Quality control", "Our broker", "A buddy", "Them that wear them", "The topman",
    "CEO",
)  # fmt: skip


def test_every_text_by_whom_is_listed() -> None:
    """A new field whose name is or ends with `by` is entered among those that ask who, or with why it does not."""
    by = {place for place in every_place() if place.rpartition(".")[2].removesuffix("[]").endswith("by")}
    texts = {place for place in by if (field := field_at(place)) and not field.values and _takes(place, "A dog")}
    days_and_choices = by - texts
    listed = {place for place in (*ASKS_WHO, *OTHERWISE) if place.endswith("by")}
    assert listed == texts
    assert "masks[].units[].cylinder.requalify_by" in days_and_choices


def _takes(place: str, text: str) -> bool:
    field = field_at(place)
    return field is not None and not field.refusal(text)


def test_every_listed_place_is_one() -> None:
    places = set(every_place())
    holders = {str(place) for place in table_entries("who_words", "holders")}
    assert {*ASKS_WHO, *OTHERWISE, *holders} <= places
    assert len({*ASKS_WHO, *OTHERWISE}) == len([*ASKS_WHO, *OTHERWISE])
    assert all(asks_who(place.replace("[]", "[2]")) for place in ASKS_WHO)
    assert all(holds_a_name(place.replace("[]", "[2]")) for place in holders)


def test_nobody_is_told_and_somebody_is_not() -> None:
    assert [text for text in NOBODY if names_somebody(text, HOLDERS)] == []
    assert [text for text in HONEST if not names_somebody(text, HOLDERS)] == []


def test_reviewed_honest_texts_are_quiet() -> None:
    reviewed = read_as_text((ROOT / "tests" / "rules" / "honest_texts.yaml").read_text(encoding="utf-8"))
    told = {
        path: texts
        for field, texts in reviewed.items()
        if asks_who(path := field if asks_who(field) else f"procedures.{field}")
    }
    assert len(told) > 7
    texts = [(path, text) for path, texts in told.items() for text in texts]
    by_a_no = [entry for entry in texts if answers_by_a_no(entry[1], entry[0])]
    assert [entry for entry in texts if entry not in by_a_no and not names_somebody(entry[1], HOLDERS)] == []


def test_texts_of_samples_and_programs_name_somebody() -> None:
    count = 0
    for name in WHOLE:
        program = load_path(WHOLE[name][0]).program
        texts = list(texts_in(program, "")) if program else []
        holders = [(path, text) for path, text in texts if holds_a_name(path)]
        asked = [(path, text) for path, text in texts if asks_who(path)]
        for path, text in asked:
            if said_by(text) is Said.ANSWER and not answers_by_a_no(text, path):
                count += 1
                assert names_somebody(text, parts_of_names(holder for at, holder in holders if at != path)), (
                    name,
                    path,
                    text,
                )
    assert count > 60


def test_each_field_is_judged() -> None:
    """Each text that asks who is told of in its own place; a deputy, whom the list names, is no holder of itself."""
    asked = [place for place in ASKS_WHO if "[]" not in place]
    listed = {"officer.deputies": ["Jo Marsh", "A dog"]}
    history = [{"revision": "2026.1", "date": "2026-01-05", "by": "A dog", "summary": "Revised"}]
    told = _told({**dict.fromkeys(asked, "A dog"), **listed, "program.history": history})
    assert told == {*asked, "officer.deputies[1]", "program.history[0].by"}
    assert _told(dict.fromkeys(asked, "Each wearer") | {"officer.deputies": ["Jo Marsh, foreman"]}) == set()
    assert _told({"procedures.repair.by": "No one; we buy new", "procedures.cleaning.by": "Nobody"}) == set()


def _told(change: dict[str, Any]) -> set[str]:
    checked = checked_by(catalogue_of({"TXT-020"}), patched({"set": change}))
    assert checked.judged is not None, checked.report.findings
    return {finding.location.path for finding in checked.report.findings if finding.code == "TXT-020"}
