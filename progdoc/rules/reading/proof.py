"""What satisfies a requirement: a closed list of ways to look at the description.

Each gives an `Outcome`: the stated facts that show the duty kept, the faults, or why there is nothing to judge.
A field that is silent is a fault; a field that contradicts the law is a fault that quotes both; a text that holds
the place of an answer, or refuses one, is no answer.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from progdoc.core.said import TEXTS, said, said_join, said_measure, same
from progdoc.model.description.words import as_written
from progdoc.rules.facts import Facts
from progdoc.rules.in_force.law_values import over
from progdoc.rules.lookup.answers_said import Said, answers_by_a_no, asks_for_a_practice, said_by
from progdoc.rules.lookup.empty_shapes import holds_letters, only_a_case
from progdoc.rules.lookup.field_words import answers_another_thing
from progdoc.rules.lookup.promises import one_event
from progdoc.rules.outcome import Fault, Outcome, all_of, any_of
from progdoc.rules.reading.checks import CHECKS
from progdoc.rules.reading.grounds import GROUNDS
from progdoc.rules.requirement import Proof, Requirement, Subject

__all__ = ["PROOFS", "outcome_of"]


def outcome_of(facts: Facts, requirement: Requirement, subject: Subject) -> Outcome:
    """Return what the proof of a requirement comes to for one subject."""
    return _outcome(facts, requirement, subject, requirement.proof)


def _outcome(facts: Facts, requirement: Requirement, subject: Subject, proof: Proof) -> Outcome:
    if proof.kind in ("all", "any"):
        parts = [_outcome(facts, requirement, subject, part) for part in proof.parts]
        return all_of(parts) if proof.kind == "all" else any_of(parts)
    if proof.kind == "check":
        return _checked(facts, subject, proof.value)
    if proof.kind == "reason":
        return _reasoned(facts, requirement, subject, proof)
    path = subject.path + proof.path if proof.path.startswith(".") else proof.path
    value = facts.value_at(path)
    if value is None and proof.kind == "may_say":
        return Outcome(read=(path,))
    if value is None:
        return Outcome(
            faults=(Fault(path, said("nothing is said under `%(path)s`", path=same(path)), is_silent=True),),
            read=(path,),
        )
    detail = PROOFS[proof.kind](value, proof.value) or _no_answer(value, path)
    if detail:
        return Outcome(
            faults=(
                Fault(
                    path,
                    said(
                        "`%(path)s` says “%(value)s”; %(detail)s",
                        path=same(path),
                        value=same(as_written(value)),
                        detail=detail,
                    ),
                ),
            ),
            read=(path,),
        )
    return Outcome(shown=() if proof.kind == "may_say" else (path,), read=(path,))


def _no_answer(value: Any, path: str) -> str:
    """Say why a text, or one in a list, is no answer; other values always are one."""
    texts = [v for v in (value if isinstance(value, tuple) else (value,)) if type(v) in TEXTS]
    kinds = {said_by(text) for text in texts}
    if Said.PLACEHOLDER in kinds or any(holds_letters(text, path) for text in texts):
        return said("that holds the place of an answer")
    if Said.TOO_LITTLE in kinds:
        return said("that says neither who nor where nor how")
    if Said.REFUSAL in kinds and not all(answers_by_a_no(text, path) for text in texts):
        return said("that is a refusal, and the law needs it")
    place = f"{path}[0]" if isinstance(value, tuple) else path
    if texts and all(answers_another_thing(text, place) for text in texts):
        return said("that is no answer to what is asked")
    if path.startswith("procedures.") and any(only_a_case(text, path) for text in texts):
        return said("that names when it would be done, and neither who nor where nor how")
    is_once = asks_for_a_practice(path) and any(map(one_event, texts))
    return said("that happened once, and what is always done is asked") if is_once else ""


def _checked(facts: Facts, subject: Subject, name: str) -> Outcome:
    result = CHECKS[name](facts, subject)
    faults = tuple(Fault(path, words=words) for path, words in result.faults)
    if faults:
        return Outcome(faults=faults, read=result.paths)
    if result.nothing or result.ask:
        return Outcome(nothing=result.nothing, ask=result.ask, read=result.paths)
    shown = result.shown or tuple(path for path in result.paths if facts.is_stated(path))
    return Outcome(shown=shown, nothing="" if shown else said("Nothing of the kind is described."), read=result.paths)


def _reasoned(facts: Facts, requirement: Requirement, subject: Subject, proof: Proof) -> Outcome:
    """What the computations found against a hazard or a mask; with nothing against it, the facts they rest on."""
    reasons = [r for r in facts.reasons(subject) if r.code == requirement.code]
    if reasons:
        return Outcome(faults=tuple(Fault(r.path, words=r.words) for r in reasons), read=(subject.path,))
    grounds = [facts.about(subject, GROUNDS[name]) for name in proof.grounds]
    nothing = next((ground for ground in grounds if ground.nothing), None)
    return nothing or all_of(grounds)


def _given(_value: Any, _wanted: Any) -> str:
    return ""


def _not_refused(value: Any, _wanted: Any) -> str:
    return said("the law needs yes") if value is False else ""


def _yes(value: Any, _wanted: Any) -> str:
    return "" if value is True else said("the law needs yes")


def _no(value: Any, _wanted: Any) -> str:
    return "" if value is False else said("the law needs no")


def _includes(value: Any, wanted: Any) -> str:
    missing = [item for item in wanted if item not in {as_written(v) for v in value}]
    return said("missing: %(missing)s", missing=said_join(map(same, missing), ", ")) if missing else ""


def _one_of(value: Any, wanted: Any) -> str:
    return (
        ""
        if as_written(value) in wanted
        else said("only these do: %(wanted)s", wanted=said_join(map(same, wanted), ", "))
    )


def _at_most(value: Any, wanted: Any) -> str:
    above = over(value, wanted)
    if above is None:
        return said("the law allows at most %(wanted)s: write it in that unit", wanted=said_measure(str(wanted)))
    return said("the law allows at most %(wanted)s", wanted=said_measure(str(wanted))) if above > 0 else ""


def _at_least(value: Any, wanted: Any) -> str:
    above = over(value, wanted)
    if above is None:
        return said("the law needs at least %(wanted)s: write it in that unit", wanted=said_measure(str(wanted)))
    return said("the law needs at least %(wanted)s", wanted=said_measure(str(wanted))) if above < 0 else ""


PROOFS: dict[str, Callable[[Any, Any], str]] = {
    "given": _given,
    "may_say": _not_refused,  # shows nothing; but what is said must answer
    "yes": _yes,
    "no": _no,
    "includes": _includes,
    "one_of": _one_of,
    "at_most": _at_most,
    "at_least": _at_least,
}
