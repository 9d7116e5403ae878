"""Whether a rule of a pack asks for no less than the one whose place it takes: compared part by part.

What a rule asks is its proof, of whom it asks it is `applies`. The new proof has to imply each part of the older
one, and the new rule to bind wherever the older one did. A limit that is gone or looser, and a softer weight, are
refused whatever is said about them. Where the two cannot be compared the rule is refused as well, unless it is a
lawful difference that is declared: `differs:` says why, and the annex of every program lists it.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import product
from typing import Any

from progdoc.core.diagnostics import Diagnostic, Severity
from progdoc.model.description.fields import field_at
from progdoc.rules.in_force.law_values import over
from progdoc.rules.lookup.answers_said import Said, said_by
from progdoc.rules.reading.pack import Entry
from progdoc.rules.reading.pack_faults import pack_fault
from progdoc.rules.reading.predicate_words import condition_words
from progdoc.rules.requirement import Condition, Proof, prescribed

__all__ = ["adopting_faults", "implies", "loosening_faults", "words_replaced"]

_LIMITS = ("at_most", "at_least")
_SHOWS_A_VALUE = ("yes", "no", "includes", "one_of", *_LIMITS)  # by which something is given, too
_KEPT = {"per": "program", "scope": "program", "audience": "public"}  # what a rule of the same code keeps
_WORDS = ("name", "who", "duty", "what", "why", "fix", "example")  # what is told of a duty
_FEDERAL = "us-29cfr"  # how the ids of its sources begin
_ALWAYS = Condition("all")
_WORDS_OF_A_REASON = 3  # fewer say nothing
_MOST_FACTS = 12  # 4,096 cases; the widest rule of ours names five


def loosening_faults(entry: Entry, older: Mapping[str, Any]) -> Iterator[Diagnostic]:
    """Return where a rule asks for less than one whose place it takes, and where nobody can tell."""
    keys = entry.keys
    was, now = older.get("severity", "required"), keys.get("severity", "required")
    ranks = list(Severity)
    if was in ranks and now in ranks and ranks.index(now) > ranks.index(was):
        yield _looser(entry, "severity", f"`severity: {now}` is softer than {was}.", f"Write `severity: {was}`.")
    for key, usual in _KEPT.items():
        if (mine := keys.get(key, usual)) != (theirs := older.get(key, usual)):
            what = f"`{key}: {mine}` is not that of the rule whose place it takes, which is {theirs}."
            yield _looser(entry, key, what, f"Write `{key}: {theirs}`, or give the rule a code of its own.")
    reason = keys.get("differs") or ""
    is_declared = len(reason.split()) >= _WORDS_OF_A_REASON and said_by(reason) is Said.ANSWER
    for part in _parts(older["proof"]):
        if implies(keys["proof"], part):
            continue
        if part.kind in _LIMITS:
            yield _limit_lost(entry, part)
        elif _is_worked_out(part) or not is_declared:
            what = f"nothing in the new proof shows what the earlier rule asks for, {_in_words(part)}."
            fix = "Add it to the proof." if _is_worked_out(part) else f"Add it to the proof. {_DECLARE}"
            yield _looser(entry, "proof", what, fix)
    if not _binds_as_widely(keys.get("applies", _ALWAYS), older.get("applies", _ALWAYS)):
        was_for = condition_words(older.get("applies", _ALWAYS)) or "always"
        what = f"the earlier rule binds where this one may not: {was_for}."
        yield _looser(entry, "applies", what, "Join the earlier condition with {any: […]}.")


_DECLARE = "Where the law of the place is another and no less, say why under `differs:`; every program then lists it."


def words_replaced(entry: Entry, older: Mapping[str, Any], is_of_law: bool) -> Iterator[Diagnostic]:
    """Yield each text that is put in the place of an earlier one's, though nothing else is asked.

    A state's pack that ships cites the state's rule for its words; a user's leaves those of a rule `is_of_law` alone.
    """
    keys = entry.keys
    is_federal = all(rule["citation"].startswith(_FEDERAL) for rule in (keys, older))
    if keys["proof"] != older["proof"] or not (is_federal or is_of_law):
        return  # another duty, in words of its own
    for key in _WORDS:
        if keys.get(key) != older.get(key):
            what = f"`{key}` puts other words in the place of those of a rule that asks the same."
            yield _looser(entry, key, what, "Leave the words; say what is local in a rule with a code of its own.")


def adopting_faults(entry: Entry, earlier: Mapping[str, Mapping[str, Any]]) -> Iterator[Diagnostic]:
    """Return what a rule would let a firm state by adopting a paragraph, and the earlier packs would not."""
    asked: dict[str, list[tuple[str, Any]]] = {}
    for older in earlier.values():
        stated = dict(prescribed(older["proof"], older.get("adopting")))
        for path in {part.path for part in older["proof"].singles() if part.path}:
            asked.setdefault(path, []).append((older["code"], stated.get(path)))
    own = earlier.get(entry.keys["code"])
    stated_before = prescribed(own["proof"], own.get("adopting")) if own else ()
    for path, value in prescribed(entry.keys["proof"], entry.keys.get("adopting")):
        if (path, value) in stated_before:
            continue
        others = [code for code, theirs in asked.get(path, ()) if theirs != value and not _is_a_limit(value, theirs)]
        if others:
            what = f"adopting would state `{path}`, which {', '.join(sorted(others))} wants to be said."
            yield _looser(entry, "adopting", what, "Write `adopting: {}`.")


def _is_a_limit(mine: Any, theirs: Any) -> bool:
    """Return whether both state a figure or a list: which of them is stricter, the proofs are compared for."""
    return theirs is not None and not isinstance(theirs, bool) and type(mine) is type(theirs)


def implies(new: Proof, old: Proof) -> bool:
    """Return whether whatever satisfies the one proof satisfies the other.

    >>> given, yes = Proof("given", "procedures.storage.covered"), Proof("yes", "procedures.storage.covered")
    >>> implies(yes, given), implies(given, yes), implies(Proof("all", parts=(given, yes)), yes)
    (True, False, True)
    """
    if old.kind == "all":
        return all(implies(new, part) for part in old.parts)
    if new.kind == "any":
        return all(implies(part, old) for part in new.parts)
    if old.kind == "any" and any(implies(new, part) for part in old.parts):
        return True
    if new.kind == "all":
        return any(implies(part, old) for part in new.parts)
    return old.kind != "any" and _single_implies(new, old)


def _single_implies(new: Proof, old: Proof) -> bool:
    if new == old:
        return True
    if new.kind == old.kind == "reason":
        return new.value == old.value and set(new.grounds) >= set(old.grounds)
    if "check" in (new.kind, old.kind) or "reason" in (new.kind, old.kind) or new.path != old.path:
        return False
    if old.kind == "may_say":
        return new.kind == "given" or new.kind in _SHOWS_A_VALUE
    if old.kind == "given":
        return new.kind in _SHOWS_A_VALUE
    if new.kind != old.kind or new.value is None or old.value is None:
        return False
    if old.kind == "includes":
        return set(new.value) >= set(old.value)
    if old.kind == "one_of":
        return set(new.value) <= set(old.value)
    return not _is_looser(new.path, new.kind, new.value, old.value)


def _is_worked_out(proof: Proof) -> bool:
    """Return whether a proof looks at records or at what was worked out: no custom of a place takes their place."""
    return any(part.kind in ("check", "reason") for part in proof.singles())


def _binds_as_widely(new: Condition, old: Condition) -> bool:
    """Return whether the new condition holds wherever the old one does, whatever the facts."""
    if new == old:
        return True
    names = sorted({*_names(new), *_names(old)})
    if len(names) > _MOST_FACTS:
        return False
    cases = (dict(zip(names, truth, strict=True)) for truth in product((False, True), repeat=len(names)))
    return all(_holds(new, case) for case in cases if _holds(old, case))


def _holds(condition: Condition, case: Mapping[str, bool]) -> bool:
    if condition.kind == "fact":
        return case[condition.name]
    parts = [_holds(part, case) for part in condition.parts]
    if condition.kind == "not":
        return not parts[0]
    return any(parts) if condition.kind == "any" else all(parts)


def _names(condition: Condition) -> Iterator[str]:
    if condition.kind == "fact":
        yield condition.name
    for part in condition.parts:
        yield from _names(part)


def _parts(proof: Proof) -> Sequence[Proof]:
    return [inner for part in proof.parts for inner in _parts(part)] if proof.kind == "all" else [proof]


def _limit_lost(entry: Entry, part: Proof) -> Diagnostic:
    bound = part.kind.replace("_", " ")
    mine = [one.value for one in entry.keys["proof"].singles() if (one.path, one.kind) == (part.path, part.kind)]
    if not mine:
        what = f"the limit on `{part.path}`, {bound} {part.value}, is gone."
        fix = f"Keep `{{path: {part.path}, {part.kind}: {part.value}}}`, or a stricter value."
        return _looser(entry, "proof", what, fix)
    what = f"`{part.path}` {bound} {mine[0]} is looser than {bound} {part.value}."
    return _looser(entry, "proof", what, f"Write {part.value}, or stricter.")


def _looser(entry: Entry, key: str, what: str, fix: str) -> Diagnostic:
    return pack_fault("PACK-007", entry.at(key), f"{entry.keys['code']}: {what}", fix)


def _is_looser(path: str, kind: str, mine: Any, older: Any) -> bool:
    field = field_at(path)
    stated = field.read(str(mine)) if field else None  # nothing where the field can't hold it: 2.5 persons
    above = over(stated, older) if stated is not None else None
    return above is None or (above > 0 if kind == "at_most" else above < 0)


def _in_words(proof: Proof) -> str:
    """Return a proof as it is written."""
    if proof.kind == "any":
        return f"{{any: [{', '.join(map(_in_words, proof.parts))}]}}"
    if proof.kind == "all":
        return f"[{', '.join(map(_in_words, proof.parts))}]"
    if proof.kind == "reason":
        return f"{{reason: {proof.value}, rests_on: [{', '.join(proof.grounds)}]}}"
    if proof.kind == "check":
        return f"{{check: {proof.value}}}"
    if proof.value is None:
        return f"{{{proof.kind}: {proof.path}}}"
    held = f"[{', '.join(proof.value)}]" if isinstance(proof.value, tuple | list) else proof.value
    return f"{{path: {proof.path}, {proof.kind}: {held}}}"
