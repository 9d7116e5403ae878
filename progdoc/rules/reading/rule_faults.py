"""What is wrong with a rule of a user's pack: names that lead nowhere, values no field can hold."""

from __future__ import annotations

import re
import string
from collections.abc import Iterator, Mapping
from typing import Any

from progdoc.core.diagnostics import Audience, Diagnostic, Scope, Severity
from progdoc.model.description.fields import Field, field_at, is_one_value
from progdoc.model.description.quantities import Quantity
from progdoc.rules.reading.checks import CHECKS
from progdoc.rules.reading.conditions import OF_ONE_THING
from progdoc.rules.reading.grounds import GROUNDS
from progdoc.rules.reading.pack import Entry
from progdoc.rules.reading.pack_faults import did_you_mean, pack_fault
from progdoc.rules.reading.predicates import PREDICATES
from progdoc.rules.reading.proof import PROOFS
from progdoc.rules.requirement import BARS, PATHS, Condition, Proof
from progdoc.rules.subjects import SUBJECTS

__all__ = ["rule_faults"]

_CODE = re.compile(r"[A-Z]{3}-[0-9]{3}")
_NAME = re.compile(r"[a-z0-9]+(-[a-z0-9]+)*")
_LIMITS = ("at_most", "at_least")
_COMPARED = ("includes", "one_of", *_LIMITS)  # proofs that hold a field against a value; the others look at it alone
_EVERYWHERE = Condition("all")
_CLOSED = {
    "per": tuple(SUBJECTS),
    "severity": tuple(s.value for s in Severity if s is not Severity.INVALID),
    "scope": tuple(Scope),
    "audience": tuple(Audience),
    "bars": tuple(BARS),
}


def rule_faults(entry: Entry, written: Mapping[str, Mapping[str, Any]]) -> Iterator[Diagnostic]:
    """Return why a rule can't be used. The texts of `written`, the earlier rules, tell which words a check fills in."""
    keys, code, per = entry.keys, entry.keys["code"], entry.keys.get("per", "program")

    def fault(key: str, what: str, fix: str) -> Diagnostic:
        return pack_fault("PACK-004", entry.at(key), f"{code}: {what}", fix)

    if not _CODE.fullmatch(code):
        yield fault("code", "a code is three capitals, a hyphen and three digits.", "Write for example VTX-001.")
    if not _NAME.fullmatch(keys["name"]):
        yield fault("name", f"“{keys['name']}” is no name.", "Write small words joined by hyphens: fit-test-overdue.")
    for key, known in _CLOSED.items():
        if key in keys and keys[key] not in known:
            yield fault(key, f"`{key}: {keys[key]}` is not known.", f"Write one of: {', '.join(known)}.")
    for name in _names(keys.get("applies", _EVERYWHERE)):
        if name not in PREDICATES:
            what = f"`{name}` is no fact that rules may name.{did_you_mean(name, PREDICATES)}"
            yield fault("applies", what, f"Name one of: {', '.join(sorted(PREDICATES))}.")
        elif OF_ONE_THING.get(name, per) != per:
            yield fault(
                "applies", f"`{name}` is no fact of a {per}.", f"Write `per: {OF_ONE_THING[name]}`, or leave it out."
            )
    for path in (*keys.get("reads", ()), *(path for path, _ in keys.get("adopting") or ())):
        if field_at(path) is None:
            yield fault("reads", f"the description has no `{path}`.", "Look for the place in `progdoc schema`.")
    for what, fix in _proof_faults(keys["proof"], PATHS.get(per, ""), code in written):
        yield fault("proof", what, fix)
    looks = set(_looks(code, keys["proof"]))
    words = {"subject", "path"}
    for other, older in written.items():
        if shared := looks & set(_looks(other, older["proof"])):
            words |= _placeholders(older)
            if (meant := older.get("per", "program")) != per:
                what = f"{', '.join(sorted(shared))} looks at each {meant}, not at each {per}."
                yield fault("per", what, f"Write `per: {meant}`.")
    for key in ("what", "fix"):
        for word in sorted(_words_in(keys[key]) - words):
            yield fault(
                key, f"nothing fills in {{{word}}}.", f"Use {', '.join(f'{{{w}}}' for w in sorted(words))}, or none."
            )


def _names(condition: Condition) -> Iterator[str]:
    """Yield every fact that a condition names."""
    if condition.kind == "fact":
        yield condition.name
    for part in condition.parts:
        yield from _names(part)


def _looks(code: str, proof: Proof) -> list[str]:
    """Return the checks of a proof, and the code itself where the choice of masks finds it."""
    parts = [part for part in proof.singles() if part.kind in ("check", "reason")]
    return [part.value if part.kind == "check" else code for part in parts]


def _placeholders(keys: Mapping[str, Any]) -> set[str]:
    return _words_in(keys["what"]) | _words_in(keys["fix"])


def _words_in(text: str) -> set[str]:
    return {name for _, name, _, _ in string.Formatter().parse(text) if name is not None}


def _proof_faults(proof: Proof, base: str, is_known: bool) -> Iterator[tuple[str, str]]:
    for part in proof.singles():
        if part.kind in ("check", "reason"):
            yield from _look_faults(part, is_known)
        elif part.kind not in PROOFS or (part.value is not None) is not (part.kind in _COMPARED):
            named = f"{part.kind}: {part.path}" if part.value is None else f"path: {part.path}, {part.kind}: …"
            what = f"{{{named}}} is no proof."
            yield what, f"Write one of: {', '.join(PROOFS)}, check, all, any; `progdoc/catalogue/README.md` shows each."
        else:
            path = base + part.path if part.path.startswith(".") else part.path
            field = field_at(path) if base or not part.path.startswith(".") else None
            if field is None:
                yield f"the description has no `{part.path}`.", "Look for the place in `progdoc schema`."
            elif "[" in part.path or not is_one_value(path):
                what = f"`{part.path}` leads to many values, or is not there in every description."
                yield what, "Say what is judged with `per`, and begin the path with a dot."
            else:
                yield from _value_faults(part, field)


def _look_faults(proof: Proof, is_known: bool) -> Iterator[tuple[str, str]]:
    if proof.kind == "reason":
        if not is_known:
            yield "what the choice of masks finds has codes of its own.", "Change such a rule's words; add none."
        for name in proof.grounds:
            if name not in GROUNDS:
                hint = did_you_mean(name, GROUNDS)
                yield f"there is no ground `{name}`.{hint}", f"Name one of: {', '.join(sorted(GROUNDS))}."
    elif proof.value not in CHECKS:
        hint = did_you_mean(proof.value, CHECKS)
        yield f"there is no check `{proof.value}`.{hint}", f"Name one of: {', '.join(sorted(CHECKS))}."


def _value_faults(proof: Proof, field: Field) -> Iterator[tuple[str, str]]:
    path, kind, wanted = proof.path, proof.kind, proof.value
    if kind == "includes" and not field.is_list:
        yield f"`{path}` holds one value, not a list.", "Write one_of in place of includes."
    elif kind in ("includes", "one_of"):
        for value in wanted if field.values else ():
            if value not in field.values:
                hint = did_you_mean(value, field.values)
                yield f"`{path}` never holds `{value}`.{hint}", f"Write one of: {', '.join(field.values)}."
    elif kind in _LIMITS:
        if why := field.refusal(wanted):
            yield f"`{path}` can't be compared with `{wanted}`: {why.rstrip('.')}.", "Write it as the field is written."
        elif not isinstance(read := field.read(wanted), int | float | Quantity) or isinstance(read, bool):
            yield f"`{path}` holds no number.", "Limit a number or a quantity, or look at the field with one_of."
    elif kind in ("yes", "no") and not isinstance(field.read(kind), bool):
        yield f"`{path}` holds no yes or no.", "Look at it with given, or with one_of."
