"""What the program claims of itself and of its people: that an agency approved it, that it is a draft, who left."""

from __future__ import annotations

from collections.abc import Callable

from progdoc.rules.check_result import CheckResult, person_of, person_path
from progdoc.rules.facts import Facts
from progdoc.rules.lookup.telling_words import claims_approval, left_the_firm, of_a_draft
from progdoc.rules.requirement import Subject

__all__ = ["CLAIM_CHECKS"]

_OWN_WORDS = ("program", "organisation", "officer", "own_sections", "procedures")


def _approved_by_an_agency(facts: Facts, _subject: Subject) -> CheckResult:
    """No text says that an agency approved the program, its procedures or its officer: none of them does."""
    texts = [(path, text) for path, text in facts.texts_in("") if path.split(".")[0].split("[")[0] in _OWN_WORDS]
    faults = [(path, {"text": text, "words": words}) for path, text in texts if (words := claims_approval(text))]
    return CheckResult(
        tuple(path for path, _ in texts), tuple(faults), nothing="No text claims that an agency approved the program."
    )


def _calls_itself_a_draft(facts: Facts, _subject: Subject) -> CheckResult:
    """Neither the title nor the newest entry of the history says that the program is not in force."""
    program = facts.description.program
    texts = [("program.title", program.title)] if program.title else []
    if program.history:
        last = len(program.history) - 1
        texts.append((f"program.history[{last}].summary", program.history[last].summary))
    faults = [(path, {"text": text, "words": words}) for path, text in texts if (words := of_a_draft(text))]
    return CheckResult(
        tuple(path for path, _ in texts), tuple(faults), nothing="The program does not call itself a draft."
    )


def _left(facts: Facts, subject: Subject) -> CheckResult:
    """Neither name nor job says of somebody who is listed that they left."""
    person, path = person_of(facts, subject), person_path(facts, subject)
    texts = [(f"{path}.{field}", text) for field, text in (("name", person.name), ("job", person.job)) if text]
    faults = [(place, {"words": words}) for place, text in texts if (words := left_the_firm(text))]
    return CheckResult(tuple(place for place, _ in texts), tuple(faults), nothing="Nothing says that this person left.")


CLAIM_CHECKS: dict[str, Callable[[Facts, Subject], CheckResult]] = {
    "no-approval-claimed": _approved_by_an_agency,
    "no-draft-in-words": _calls_itself_a_draft,
    "person-still-there": _left,
}
