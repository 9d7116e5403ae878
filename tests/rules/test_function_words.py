"""Texts in other languages are told to be unread; English ones, with names and borrowed words in them, are not."""

from __future__ import annotations

from pathlib import Path

from programs.patching import catalogue_of, checked_by, patched, read_as_text

from progdoc.rules.lookup.function_words import tells_in_words, unread_language
from progdoc.rules.lookup.table_files import table_entries

ROOT = Path(__file__).resolve().parents[2]

# Our own sentences, as somebody may write them who works in that language; none is of an earlier list.
TEXTS = {
    "Spanish": (
        "Cuando se ve sucia",
        "Cada uno lo lleva abierto a la oficina",
        "Si llueve, nadie la lleva",
        "Porque sí",
    ),
    "German": (
        "Wird gemacht, wenn Zeit ist",
        "Nach Gefühl",
        "Die Masken liegen neben dem Ofen und im Auto",
        "Bei Bedarf",
    ),
    "French": (
        "Les masques sont dans le camion avec les solvants",
        "Quand on y pense et pas avant",
        "Jamais avant midi",
    ),
    "Italian": ("Quando si può, dopo il lavoro", "Nessuno controlla gli altri", "Ogni tanto"),
    "Portuguese": ("Quando o chefe não está", "Ninguém, para já"),
    "Polish": ("Nie ma czasu, gdy jest praca", "Przez nikogo, lub przez kierownika"),
    "Dutch": ("Het wordt niet gedaan", "Iedereen met een masker"),
    "another script": ("Никто не проверяет", "没有人检查", "Κανείς δεν ελέγχει"),
}
# English, with names, borrowed words, units and places in it.
ENGLISH = (
    "Ana de la Cruz, each Friday", "Otto von der Heide and the foreman", "West façade, from the scaffold",
    "En route to the yard", "Café Luna, cellar door", "Per the maker's sheet", "At 40 µm and 2 kΩ",
    "Carte blanche to stop work", "Die-cut gasket, pro rata", "As is, on the plan", "Con-rod of the blower",
    "Dust à la carte: none", "No man alone; go with somebody", "El Paso yard, San José road", "Les, each evening",
    "Una Brook, by hand", "Al and Su", "Para-xylene vapour", "Non-sparking tools", "MIT study", "Hay dust",
    "NE corner shed", "Pour out water", "Lo-vol sampler",
)  # fmt: skip


def test_a_text_in_another_language_is_told_to_be_unread() -> None:
    for language, texts in TEXTS.items():
        for text in texts:
            told = unread_language(text)
            assert told, text
            assert (told == "another script") == (language == "another script"), (text, told)


def test_english_texts_are_quiet() -> None:
    told = read_as_text((ROOT / "tests" / "rules" / "honest_texts.yaml").read_text(encoding="utf-8"))
    honest = [text for texts in told.values() for text in texts]
    assert [text for text in (*honest, *ENGLISH) if unread_language(text)] == []


def test_every_text_of_the_firm_is_asked_wherever_it_stands_and_no_name() -> None:
    changed = {
        "program.updates": "Cuando Dios quiere, si hay tiempo",
        "officer.authority": "Nicht ohne die Frau des Chefs",
        "tasks[0].controls[0]": "Con la ventana abierta, si se puede",
        "hazards[1].exposure.basis": "Über den Daumen, nach Gefühl",
        "own_sections": [{"id": "x", "after": "use", "title": "Days", "text": "Les masques ne sont pas obligatoires"}],
        "masks[0].name": "la mascarilla para el polvo que se usa",
        "organisation.sites[0].name": "Haus mit dem Tor",
    }
    checked = checked_by(catalogue_of({"TXT-021"}), patched({"set": changed}))
    told = {finding.location.path for finding in checked.report.findings if finding.code == "TXT-021"}
    names = {"masks[0].name", "organisation.sites[0].name"}
    assert told == {"own_sections[0].text" if path == "own_sections" else path for path in changed} - names
    assert not tells_in_words("people[0].training[0].by")


# The commonest words of English and those our own texts lean on: common knowledge, no source.
_COMMON = """
    the of and a to in is it you that he was for on are with as i his they be at one have this from or had by
    hot but some what there we can out other were all your when up use how said an each she which do their if
    will way about many then them would so these her long make thing see him two has look more day could go come
    did no most my over who now find any new part take get place made where after back only round man came show
    every good me give our under name very just form much great before line right too mean old same tell does
    set three air well also play small end put home hand large off per non sin hay pour met tot sans pod
"""


def test_no_small_word_is_one_of_english() -> None:
    english = set(_COMMON.split())
    shared = {
        (str(entry["language"]), str(word))
        for entry in table_entries("function_words", "languages")
        for word in entry["words"]
        if str(word) in english
    }
    assert shared == set()


def test_whoever_is_called_as_a_word_of_another_language_makes_no_text_foreign() -> None:
    path = "procedures.cleaning.by"
    for text, is_told in (("Della Marsh", False), ("Della Marsh, Nach Gefühl", True)):
        values = patched({"set": {"officer.name": "Della Marsh", path: text}})
        found = checked_by(catalogue_of({"TXT-021"}), values).report.findings
        assert (path in {finding.location.path for finding in found}) == is_told, text
