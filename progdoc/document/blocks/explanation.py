"""What a requirement asks, in words and as pages: the same facts for the terminal and for the browser.

Everything comes from the catalogue, from the model's words for a field, and from the templates that answer.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from functools import cache

from progdoc.core.diagnostics import Audience, Scope, Severity
from progdoc.core.late_dataclass import dataclass
from progdoc.core.numbers import long_date
from progdoc.model.description.fields import every_place, field_at
from progdoc.rules.requirement import PATHS, Proof, Requirement, adopted_values, is_under

__all__ = ["Fact", "facts_of"]

_BLANK = re.compile(r"\{(\w+)\}")  # a word that the judgment fills in
_TOLD_BY_A_FINDING = {
    "`{path}`": "the place that the finding names",
    "{fields_to_write}": "the fields that the finding names",
    "{instead}": "",
    "{do}": "Do as the finding says",
}
_WEIGHT = {
    Severity.REQUIRED: "The law asks for it.",
    Severity.CAUTION: "A caution: it may be unsafe, outdated or contradictory; somebody may answer for it until a"
    " day, under `accepted`, with `code`, `subject`, `reason`, `by` and `until`.",
    Severity.ADVICE: "Good practice; the law does not ask for it.",
}
_HELD_UP = {
    Scope.PROGRAM: "While it is missing, the program is a draft.",
    Scope.RECORD: "While it is missing, it keeps the person or the mask from the task, not the program from issue.",
}
_EACH = {
    "program": "once, for the whole program",
    "task": "for each task",
    "hazard": "for each agent in a task",
    "mask": "for each mask",
    "mask-use": "for each mask in each task",
    "escape-mask": "for each escape mask in each task",
    "filter": "for each filter and cartridge",
    "schedule": "for each change schedule",
    "unit": "for each single mask with a record",
    "spare-cylinder": "for each cylinder in reserve",
    "post": "for each post or vehicle",
    "post-person": "for each person of a post",
    "leaver": "for each person who left",
    "calendar-entry": "for each entry of the calendar",
    "wearer": "for each wearer",
    "worn-mask": "for each wearer and mask",
    "empty-text": "for each text that only holds the place of an answer",
    "empty-text-of-people": "for each text in the records of people that only holds the place of an answer",
}


@dataclass(frozen=True, slots=True)
class Fact:
    """One thing to know of a requirement: a short label, and sentences or a list."""

    label: str
    lines: tuple[str, ...]


def _to_do(fix: str) -> str:
    """Return what to do where no finding has filled in its places.

    >>> _to_do("Write the day under `{path}`.{instead}"), _to_do("Write one of: {known}.")
    ('Write the day under the place that the finding names.', 'Write one of: [known].')
    """
    for blank, words in _TOLD_BY_A_FINDING.items():
        fix = fix.replace(blank, words)
    return _BLANK.sub(lambda found: f"[{found[1].replace('_', ' ')}]", fix) or "Do as the finding says."


def facts_of(requirement: Requirement, answered_by: Mapping[str, tuple[str, ...]]) -> list[Fact]:
    """Return what there is to know of a requirement; `answered_by` tells by code which sections answer it."""
    facts = [
        Fact("Asks", (requirement.duty,)),
        Fact("Who", (_sentence(requirement.who),)),
        Fact("When", (_when(requirement),)),
        Fact("Met by", tuple(proof_words(requirement.proof, requirement))),
        Fact("Adopted by", tuple(_adopted_by(requirement))),
        Fact("Why", (requirement.why,)),
        Fact("Law", requirement.citations),
        Fact("Source", (_source(requirement),)),
        Fact("In force", (_in_force(requirement),)),
        Fact("Weight", (_weight(requirement),)),
        Fact("Answered in", answered_by.get(requirement.code, ())),
        Fact("Looks at", requirement.reads),
        Fact("To do", (_to_do(requirement.fix),)),
    ]
    return [fact for fact in facts if any(fact.lines)]


def _sentence(words: str) -> str:
    return words if words.endswith(".") else f"{words}."


def _when(requirement: Requirement) -> str:
    each = _EACH[requirement.per]
    there = f" Binds work in {requirement.state} alone." if requirement.state else ""
    return f"{f'Where {requirement.when}' if requirement.when else 'Always'}; judged {each}.{there}"


def _source(requirement: Requirement) -> str:
    source = requirement.citation.source
    rules = f"Rules: {requirement.pack.name} {requirement.pack.version}."
    return f"{source.title}. {source.publisher}, {source.edition}. {rules}"


def _in_force(requirement: Requirement) -> str:
    until = requirement.in_force_until
    return f"From {long_date(requirement.in_force_from)}" + (f" until {long_date(until)}." if until else ".")


def _weight(requirement: Requirement) -> str:
    parts = [_WEIGHT[requirement.severity]]
    if requirement.severity is Severity.REQUIRED:
        parts.append(_HELD_UP[requirement.scope])
    if requirement.audience is Audience.RESTRICTED:
        parts.append("The finding names people, so it stands in the restricted report only.")
    return " ".join(parts)


# ---- what states it in one line --------------------------------------------------------------------------


@cache
def _adoptable() -> tuple[tuple[str, str], ...]:
    """Return each group that can adopt, with each paragraph it can adopt."""
    adopts = [place for place in every_place() if place.endswith((".adopt", ".adopt[]"))]
    known = ((place.rpartition(".")[0], field_at(place)) for place in adopts)
    return tuple((group, v) for group, field in known if field for v in field.values if v.startswith("("))


def _adopted_by(requirement: Requirement) -> Iterator[str]:
    """Yield what to adopt, the narrowest paragraph first, and what adopting leaves to be said."""
    stated = [path for path, _ in adopted_values(requirement)]
    if requirement.severity is not Severity.REQUIRED or requirement.per not in ("program", "mask", "filter"):
        return
    left = [proof.path for proof in requirement.proof.singles() if proof.path and proof.path not in stated]
    for group, paragraph in sorted(_adoptable(), key=lambda pair: -len(pair[1])):
        if is_under(requirement, paragraph) and any(path.startswith((f"{group}.", ".")) for path in stated):
            also = f"; {_places(tuple(dict.fromkeys(left)))} stays to be said" if left else ""
            yield f'`adopt: "{paragraph}"` under `{group}` states it{also}.'


# ---- what satisfies -------------------------------------------------------------------------------------


def proof_words(proof: Proof, requirement: Requirement) -> Iterable[str]:
    """Yield what satisfies a requirement, one line a thing to be shown."""
    if proof.kind == "all":
        for part in proof.parts:
            yield from proof_words(part, requirement)
    elif proof.kind == "any":
        ways = ("; and ".join(line.rstrip(".") for line in proof_words(part, requirement)) for part in proof.parts)
        yield f"Either {'; or '.join(ways)}."
    elif proof.kind == "reason":
        yield f"The facts under {_places(requirement.reads)} give no reason against it."
    elif proof.kind == "check":
        yield f"What is recorded under {_places(requirement.reads)} shows it."
    else:
        yield _field_words(proof, PATHS[requirement.per])


def _places(paths: tuple[str, ...]) -> str:
    return ", ".join(f"`{path}`" for path in paths) or "the description"


def _field_words(proof: Proof, base: str) -> str:
    path = base + proof.path if proof.path.startswith(".") else proof.path
    field = field_at(path)
    if field is None:
        return f"`{path}`."
    name = f"`{path}` ({field.title})"
    listed = ", ".join(proof.value) if isinstance(proof.value, tuple) else str(proof.value)
    match proof.kind:
        case "yes" | "no":
            return f"{name} says {proof.kind}: {field.description}"
        case "may_say":
            return f"{name} may be left out; what stands there answers: {_sentence(field.description)}"
        case "includes":
            return f"{name} holds all of: {listed}."
        case "one_of":
            return f"{name} is one of: {listed}."
        case "at_most":
            return f"{name} is at most {listed}."
        case "at_least":
            return f"{name} is at least {listed}."
        case _:
            known = f" One of: {', '.join(field.values)}." if field.values else ""
            return f"{name} is filled in: {_sentence(field.description)}{known}"
