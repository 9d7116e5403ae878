"""What a text tells beside its answer: that a practice is not kept, who sees what, that somebody goes in.

The words are data (`catalogue/tables/telling_words.yaml`). A text is read clause by clause; nothing else of it is
judged, so that what is found is shown to its writer in the text's own words.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from functools import cache, lru_cache

from progdoc.rules.lookup.clauses import TEXTS_KEPT, Pattern, Words, clauses_of, sought
from progdoc.rules.lookup.table_files import table_entries

__all__ = [
    "at_no_hour",
    "by_the_senses",
    "by_the_wearer",
    "claims_approval",
    "clauses_without",
    "drawn_from",
    "found_defect",
    "goes_in",
    "is_told",
    "left_the_firm",
    "left_to_the_nose",
    "of_a_draft",
    "own_people",
    "practised",
    "seen_by",
    "stands_against",
    "stays_in",
    "taken_back",
    "telling",
    "tells_of_a_ban",
    "unmasked",
]

_AND = re.compile(r"\b(?:and|then)\b", re.IGNORECASE)
# Right before a word it says that this was not done; “no sample was above it” tells of samples.
_UNDONE = re.compile(
    r"\b(?:not|never|nobody|no one|nothing|n['’]t)(?: (?:yet|ever|been|was|has|have|really))*\s+$", re.IGNORECASE
)
_FIRST_NAME = 2  # letters that a first name has at least


@lru_cache(maxsize=TEXTS_KEPT)
def taken_back(text: str, part: str) -> str:
    """Return the words by which a text takes back the practice of a part of the procedures, or nothing.

    >>> taken_back("Ada Brook, unless we are busy", "cleaning"), taken_back("Nobody inspects them", "inspection")
    ('unless we are busy', 'Nobody inspects them')
    >>> [taken_back(text, "cleaning") for text in ("Never washed with solvent", "No mask leaves before it is washed")]
    ['', '']
    >>> taken_back("No one gets a mask he did not pick", "fit_testing"), taken_back("Gets a do-not-use tag", "repair")
    ('', '')
    >>> taken_back("In the spray booth", "storage"), taken_back("Outside the spray booth", "storage")
    ('spray booth', '')
    """
    for clause in clauses_of(text):
        if against := _against(part, clause):
            return against
        exception = telling("exceptions").search(clause)
        if exception and not telling("denials").search(clause[: exception.start()]):
            return clause[exception.start() :].strip()
        for denial in telling("denials").finditer(clause):
            if _is_denied_twice(clause[: denial.start()]):
                continue
            practice = _in_part("practices", part, clause, denial.end())
            if practice and not _is_a_rule(clause[denial.end() : practice.start()], clause[practice.end() :]):
                return clause.strip()
    return ""


@lru_cache(maxsize=TEXTS_KEPT)
def stands_against(text: str, part: str) -> str:
    """Return the words of a text that stand against what the program affirms elsewhere, or nothing.

    >>> stands_against("Hood under the straps", "tasks"), stands_against("Never under the straps", "tasks")
    ('under the straps', '')
    """
    return next(filter(None, (_against(part, clause) for clause in clauses_of(text))), "")


def _against(part: str, clause: str) -> str:
    """Return a clause from the word on that stands against what is affirmed in a part, where nothing denies it."""
    found = _in_part("against", part, clause)
    return clause[found.start() :].strip() if found and not is_told("denials", clause[: found.start()]) else ""


def by_the_wearer(text: str) -> bool:
    """Return whether a text names nobody but the wearer as who did something.

    >>> by_the_wearer("herself, alone"), by_the_wearer("Ada Brook herself")
    (True, False)
    """
    return telling("wearer_alone").match(text.strip()) is not None


def _is_a_rule(between: str, behind: str) -> bool:
    """Return whether a denial forbids a way of doing it, or is denied itself, and does not forbid the thing."""
    is_elsewhere = telling("not_there").match(between.strip())
    is_turned = telling("turned_round").search(between) or telling("denials").search(between)
    return bool(is_elsewhere or is_turned or telling("ways").search(behind))


def _is_denied_twice(before: str) -> bool:
    """Return whether a denial stands in front of another in one breath: “no one gets a mask he did not pick”."""
    return telling("denials").search(_AND.split(before)[-1]) is not None


def seen_by(text: str, names: Iterable[str], is_of_answers: bool) -> str:
    """Return the words by which somebody of the firm gets to know health answers, or nothing.

    `is_of_answers`: the text speaks of the answers, whether it names them or not.

    >>> seen_by("Nora Quill reads the answers and files them", ["Nora Quill"], False)
    'Nora Quill reads the answers and files them'
    >>> seen_by("The foreman hands out sealed envelopes; nobody opens them", ["Nora Quill"], True)
    ''
    """
    of_the_firm = _names(tuple(dict.fromkeys(names)))
    if is_of_answers and (found := telling("in_the_open").search(text)):
        return found[0]
    named = is_of_answers
    for clause in clauses_of(text):
        is_named = is_of_answers or is_told("answers", clause)
        is_meant = is_named or (named and is_told("these", clause))
        is_kept_shut = is_told("sealed", clause) and not is_told("opened", clause)
        named = (named or is_named) and not is_kept_shut
        who = is_told("of_the_firm", clause) or (of_the_firm is not None and of_the_firm.search(clause))
        is_seen = (who and is_told("sees", clause)) or (is_told("answers", clause) and is_told("at_the_firm", clause))
        if is_meant and is_seen and not is_kept_shut and not is_told("denials", clause):
            return clause.strip()
    return ""


def own_people(text: str, names: Iterable[str]) -> bool:
    """Return whether a text that should name another firm names people of this one.

    >>> own_people("Jo Marsh, when they are late", ["Jo Marsh"]), own_people("Deepwell Access", ["Jo Marsh"])
    (True, False)
    >>> own_people("Our apprentices", []), own_people("The fire brigade; none of our people", [])
    (True, False)
    """
    of_the_firm = _names(tuple(dict.fromkeys(names)))
    return any(
        is_told("ours", clause) or (of_the_firm is not None and of_the_firm.search(clause) is not None)
        for clause in clauses_without("denials", text)
    )


def goes_in(text: str) -> str:
    """Return the words by which people go into air that may be bad, or nothing.

    >>> goes_in("Out of the room; Jo goes back in for the can"), goes_in("Nobody goes back in before it is aired")
    ('Jo goes back in for the can', '')
    >>> goes_in("Climbs down at once and pulls him out"), goes_in("Fights the fire until the brigade comes")
    ('Climbs down at once and pulls him out', 'Fights the fire until the brigade comes')
    >>> goes_in("The rescue squad of the county goes in; we run the blower"), goes_in("Lift him out with the winch")
    ('', '')
    >>> goes_in("Jo climbs in with the winch line")
    'Jo climbs in with the winch line'
    """
    for clause in clauses_of(text):
        found = telling("goes_in").search(clause)
        if found is None or telling("denials").search(clause):
            continue
        is_put_off = telling("not_until").search(clause[: found.start()])
        if not is_put_off and not telling("goes_in_otherwise").search(clause):
            return clause.strip()
    return ""


def stays_in(text: str) -> str:
    """Return the words by which a wearer stays where the mask failed, or nothing.

    >>> stays_in("Carry on without it"), stays_in("Walks out; work goes on in a spare one")
    ('Carry on without it', '')
    """
    for clause in clauses_of(text):
        found = telling("stays_in").search(clause)
        if found and not telling("denials").search(clause) and not telling("out_first").search(clause):
            return clause.strip()
    return ""


def unmasked(text: str) -> str:
    """Return the words by which a mask comes off before its wearer is out, or nothing.

    >>> unmasked("Mask off at once, on the spot"), unmasked("Out to clean air, mask off there")
    ('Mask off at once', '')
    >>> unmasked("Take the mask off and climb out"), unmasked("Walk out and take the mask off")
    ('Take the mask off and climb out', '')
    """
    is_out = False
    for clause in clauses_of(text):
        found = telling("unmasked").search(clause)
        if found is None:
            is_out = is_out or is_told("out_by_then", clause)
            continue
        there = _AND.split(clause[found.end() :], maxsplit=1)[0]  # what is done behind an “and” comes too late
        is_out = is_out or is_told("out_by_then", clause[: found.start()]) or is_told("out_by_then", there)
        if not is_out and not telling("denials").search(clause):
            return clause.strip()
    return ""


@lru_cache(maxsize=TEXTS_KEPT)
def claims_approval(text: str) -> str:
    """Return the words by which an agency is said to have approved something other than a mask, or nothing.

    >>> claims_approval("OSHA has approved this shop"), claims_approval("Masks that NIOSH approved")
    ('OSHA has approved this shop', '')
    """
    for clause in clauses_of(text):
        is_claimed = is_told("agencies", clause) and is_told("approves", clause)
        if is_claimed and not is_told("denials", clause) and not is_told("approved_by_law", clause):
            return clause.strip()
    return ""


def of_a_draft(text: str) -> str:
    """Return the words by which a program calls itself not in force, or nothing.

    >>> of_a_draft("DRAFT - not in force"), of_a_draft("Respiratory protection program")
    ('DRAFT', '')
    """
    found = telling("draft").search(text)
    return found[0] if found else ""


def left_the_firm(text: str) -> str:
    """Return the words by which a name or a job says that somebody left, or nothing.

    >>> left_the_firm("Omar Finch (left 2026-04-30)"), left_the_firm("Left-hand driver")
    ('left 2026-04-30', '')
    """
    for clause in clauses_of(text):
        found = telling("has_left").search(clause)
        if found and not telling("denials").search(clause[: found.start()]):
            return clause[found.start() :].strip()
    return ""


def drawn_from(text: str) -> str:
    """Return the words that put an intake beside something that gives off bad air, or nothing.

    >>> drawn_from("Beside the diesel generator"), drawn_from("On the roof, upwind of the flue; away from the truck")
    ('Beside the diesel generator', '')
    """
    for clause in clauses_of(text):
        is_beside = is_told("beside", clause) and is_told("bad_air", clause)
        if is_beside and not is_told("kept_apart", clause) and not is_told("denials", clause):
            return clause.strip()
    return ""


def found_defect(text: str) -> str:
    """Return the words by which an inspection tells a defect that it found and left, or nothing.

    >>> found_defect("Lens cracked, strap sound"), found_defect("No cracks; leak test passed")
    ('Lens cracked', '')
    >>> found_defect("Strap torn, replaced"), found_defect("Strap torn, lens cleaned")
    ('', 'Strap torn')
    """
    clauses = clauses_of(text)
    for i, clause in enumerate(clauses):
        found = telling("defects").search(clause)
        found = None if found and found[0].lower() != "not sound" and telling("sound").search(clause) else found
        if found is None or telling("denials").search(clause[: found.start()]):
            continue
        following = clauses[i + 1].strip() if i + 1 < len(clauses) else ""
        is_absent = telling("found_none").match(clause[found.end() :].strip()) or telling("found_none").match(following)
        if not is_absent and not telling("put_right").search(clause) and not telling("put_right").match(following):
            return clause.strip()
    return ""


def by_the_senses(text: str) -> bool:
    """Return whether a text rests on nose, eye or silence and on nothing that was found out.

    >>> by_the_senses("Nobody complained"), by_the_senses("Smelled at 2 ppm by the meter")
    (True, False)
    >>> by_the_senses("Nobody measured it"), by_the_senses("Not measured but worked out from the volume")
    (True, False)
    """
    denied = [_UNDONE.search(text[: found.start()]) is not None for found in telling("measured").finditer(text)]
    return all(denied) and (bool(denied) or is_told("senses", text))


def left_to_the_nose(text: str) -> bool:
    """Return whether a change of cartridges waits until somebody notices, with no moment that comes in any case.

    >>> left_to_the_nose("When we smell it"), left_to_the_nose("At noon; at once when anybody smells it")
    (True, False)
    """
    return is_told("by_the_nose", text) and not is_told("by_the_clock", text)


def at_no_hour(text: str) -> str:
    """Return the words by which a change of cartridges comes at no hour of the day, where nothing else comes before.

    >>> at_no_hour("A new pair on payday"), at_no_hour("At the end of the shift; sooner when the foreman says")
    ('payday', '')
    """
    found = telling("at_no_hour").search(text)
    is_sooner = found and (is_told("by_the_shift", text) or is_told("sooner_than_the_shift", text))
    return found[0] if found and not is_sooner else ""


def tells_of_a_ban(text: str) -> bool:
    """Return whether a text on a rule says that it forbids the work, and nothing by which it is let pass.

    >>> [tells_of_a_ban(text) for text in ("Banned; we go on", "Not banned", "Banned at home; we are exempt")]
    [True, False, False]
    """
    if is_told("let_pass", text):
        return False
    found = ((clause, telling("forbidden").search(clause)) for clause in clauses_of(text))
    return any(ban and not telling("denials").search(clause[: ban.start()]) for clause, ban in found)


def clauses_without(name: str, text: str) -> Iterator[str]:
    """Yield the clauses of a text that have no word of a list.

    >>> list(clauses_without("absent", "Sprayed with xylene; no toluene here"))
    ['Sprayed with xylene']
    """
    return (clause for clause in clauses_of(text) if not telling(name).search(clause))


def is_told(name: str, text: str) -> bool:
    """Return whether a text has a word of a list.

    >>> is_told("by_the_nose", "When we smell it"), is_told("by_the_clock", "When we smell it")
    (True, False)
    """
    return telling(name).search(text) is not None


@cache
def telling(name: str) -> Words:
    """Return a list of words."""
    words = (word for group in table_entries("telling_words", name) for word in group["words"])
    return Words(words, _alone) if name == "denials" else Words(words)


def _alone(word: str) -> Pattern:
    return sought(word, is_alone=True)


@cache
def practised() -> Words:
    """Return the words of what is done in any part of the procedures."""
    return Words(word for group in table_entries("telling_words", "practices") for word in group["words"])


def _in_part(name: str, part: str, clause: str, start: int = 0) -> re.Match[str] | None:
    """Return the first word of a part's lists in a clause, but of none whose `unless` stands there too."""
    groups = (words.search(clause, start) for words, unless in _of_part(name, part) if not unless.search(clause))
    return min(filter(None, groups), key=lambda found: found.start(), default=None)


@cache
def _of_part(name: str, part: str) -> tuple[tuple[Words, Words], ...]:
    groups = [group for group in table_entries("telling_words", name) if group["part"] == part]
    plain = [word for group in groups if "unless" not in group for word in group["words"]]
    bound = ((Words(group["words"]), Words(group["unless"])) for group in groups if "unless" in group)
    return ((Words(plain), Words(())), *bound)


@cache
def _names(names: tuple[str, ...]) -> re.Pattern[str] | None:
    """Match whole names, and first names, as they are written."""
    known = {part for name in names for part in (name, name.split()[0]) if len(part) >= _FIRST_NAME}
    return re.compile(rf"\b(?:{'|'.join(map(re.escape, sorted(known, reverse=True)))})\b") if known else None
