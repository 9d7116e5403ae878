"""What is wrong with a rule of a user's pack: names that lead nowhere, values no field can hold, looser limits."""

from __future__ import annotations

import re
import string
from collections.abc import Iterator, Mapping
from typing import Any

from progdoc.core.diagnostics import Audience, Diagnostic, Scope, Severity
from progdoc.model.description.fields import Field, field_at
from progdoc.model.description.quantities import alike, in_unit, is_comparable
from progdoc.rules.reading.checks import CHECKS
from progdoc.rules.reading.pack import Entry, did_you_mean, pack_fault
from progdoc.rules.reading.predicates import PREDICATES
from progdoc.rules.reading.proof import PROOFS
from progdoc.rules.requirement import PATHS
from progdoc.rules.subjects import SUBJECTS

__all__ = ["loosening_faults", "rule_faults"]

_CODE = re.compile(r"[A-Z]{3}-[0-9]{3}")
_NAME = re.compile(r"[a-z0-9]+(-[a-z0-9]+)*")
_LIMITS = ("at_most", "at_least")
_CLOSED = {
    "per": tuple(SUBJECTS),
    "severity": tuple(s.value for s in Severity if s is not Severity.INVALID),
    "scope": tuple(Scope),
    "audience": tuple(Audience),
}


def rule_faults(entry: Entry, written: Mapping[str, Mapping[str, Any]]) -> Iterator[Diagnostic]:
    """Return why a rule can't be used. The texts of `written`, the earlier rules, tell which words a check fills in."""
    keys, code = entry.keys, entry.keys["code"]

    def fault(what: str, fix: str) -> Diagnostic:
        return pack_fault("PACK-004", entry.place, f"{code}: {what}", fix)

    if not _CODE.fullmatch(str(code)):
        yield fault("a code is three capitals, a hyphen and three digits.", "Write for example VTX-001.")
    if not _NAME.fullmatch(str(keys["name"])):
        yield fault(f"“{keys['name']}” is no name.", "Write small words joined by hyphens, like fit-test-overdue.")
    for key, known in _CLOSED.items():
        if key in keys and keys[key] not in known:
            yield fault(f"`{key}: {keys[key]}` is not known.", f"Write one of: {', '.join(known)}.")
    for name in _names(keys.get("applies", [])):
        if name not in PREDICATES:
            what = f"`{name}` is no fact that rules may name.{did_you_mean(name, PREDICATES)}"
            yield fault(what, f"Name one of: {', '.join(sorted(PREDICATES))}.")
    for path in keys.get("reads", ()):
        if field_at(str(path)) is None:
            yield fault(f"the description has no `{path}`.", "Look for the place in `progdoc schema`.")
    per = keys.get("per", "program")
    for what, fix in _proof_faults(keys["proof"], PATHS.get(per, ""), code in written):
        yield fault(what, fix)
    looks = set(_looks(code, keys["proof"]))
    words = {"subject", "path"}.union(
        *(_placeholders(older) for other, older in written.items() if looks & set(_looks(other, older["proof"])))
    )
    for word in sorted(_placeholders(keys) - words):
        yield fault(f"nothing fills in {{{word}}}.", f"Use {', '.join(f'{{{w}}}' for w in sorted(words))}, or none.")


def loosening_faults(entry: Entry, written: Mapping[str, Mapping[str, Any]]) -> Iterator[Diagnostic]:
    """Return where a rule asks for less than the one whose place it takes, as far as its fields show."""
    older = written.get(entry.keys["code"])
    if older is None:
        return
    was, now = older.get("severity", "required"), entry.keys.get("severity", "required")
    ranks = list(Severity)
    if was in ranks and now in ranks and ranks.index(now) > ranks.index(was):
        yield _looser(entry, f"`severity: {now}` is softer than {was}.", f"Write `severity: {was}`.")
    limits = {(path, kind): value for path, kind, value in _limits(entry.keys["proof"])}
    for path, kind, value in _limits(older["proof"]):
        mine = limits.get((path, kind))
        bound = kind.replace("_", " ")
        if mine is None:
            what = f"the limit on `{path}`, {bound} {value}, is gone."
            yield _looser(entry, what, f"Keep `{{path: {path}, {kind}: {value}}}`, or a stricter value.")
        elif _is_looser(path, kind, mine, value):
            what = f"`{path}` {bound} {mine} is looser than {bound} {value}."
            yield _looser(entry, what, f"Write {value}, or stricter.")


def _looser(entry: Entry, what: str, fix: str) -> Diagnostic:
    return pack_fault("PACK-007", entry.place, f"{entry.keys['code']}: {what}", fix)


def _is_looser(path: str, kind: str, mine: Any, older: Any) -> bool:
    field = field_at(path)
    read = field.read(str(mine)) if field else None
    if read is None or isinstance(read, int | float):
        over = float(mine) - float(older)
    else:
        limit = alike(str(older), read)
        if not is_comparable(read, limit):
            return True
        over = in_unit(read, limit.unit) - limit.value
    return over > 0 if kind == "at_most" else over < 0


def _names(form: Any) -> Iterator[str]:
    """Yield every fact that a condition names."""
    if isinstance(form, dict):
        for kind, inner in form.items():
            if kind in ("all", "any", "not"):
                yield from _names(inner)
            else:
                yield str(kind)
    elif isinstance(form, list):
        for part in form:
            yield from _names(part)
    else:
        yield str(form)


def _parts(form: Any) -> Iterator[dict[Any, Any]]:
    """Yield the single proofs of a proof."""
    if isinstance(form, list):
        for part in form:
            yield from _parts(part)
    elif isinstance(form, dict) and len(form) == 1 and next(iter(form)) in ("all", "any"):
        yield from _parts(next(iter(form.values())))
    elif isinstance(form, dict):
        yield form
    else:
        yield {str(form): None}


def _looks(code: str, form: Any) -> list[str]:
    """Return the checks of a proof, and the code itself where the choice of masks finds it."""
    return [str(part.get("check", code)) for part in _parts(form) if "check" in part or "reason" in part]


def _limits(form: Any) -> list[tuple[str, str, Any]]:
    return [(p["path"], kind, p[kind]) for p in _parts(form) for kind in _LIMITS if kind in p and "path" in p]


def _placeholders(keys: Mapping[str, Any]) -> set[str]:
    texts = (str(keys.get("what", "")), str(keys.get("fix", "")))
    try:
        return {name for text in texts for _, name, _, _ in string.Formatter().parse(text) if name is not None}
    except ValueError:
        return {"…"}


def _proof_faults(form: Any, base: str, is_known: bool) -> Iterator[tuple[str, str]]:
    for part in _parts(form):
        named = {{True: "yes", False: "no"}.get(key, key): value for key, value in part.items()}
        if "check" in named or "reason" in named:
            yield from _check_faults(named, is_known)
            continue
        kind = next((key for key in named if key in PROOFS), None)
        if kind is None or len(named) > 2:
            what = f"{{{', '.join(map(str, named))}}} is no proof."
            yield what, f"Write one of: {', '.join(PROOFS)}, check, all, any; `progdoc/catalogue/README.md` shows each."
            continue
        path = str(named.get("path", named[kind]))
        field = field_at(base + path if path.startswith(".") else path)
        if field is None:
            yield f"the description has no `{path}`.", "Look for the place in `progdoc schema`."
        elif "path" in named:
            yield from _value_faults(path, field, kind, named[kind])


def _check_faults(named: Mapping[str, Any], is_known: bool) -> Iterator[tuple[str, str]]:
    check = named.get("check")
    if check is not None and check not in CHECKS:
        hint = did_you_mean(check, CHECKS)
        yield f"there is no check `{check}`.{hint}", f"Name one of: {', '.join(sorted(CHECKS))}."
    if "reason" in named and not is_known:
        yield "what the choice of masks finds has codes of its own.", "Change such a rule's words; add none."


def _value_faults(path: str, field: Field, kind: str, wanted: Any) -> Iterator[tuple[str, str]]:
    if kind in ("includes", "one_of"):
        values = wanted if isinstance(wanted, list) else [wanted]
        for value in values if field.values else ():
            if str(value) not in field.values:
                hint = did_you_mean(value, field.values)
                yield f"`{path}` never holds `{value}`.{hint}", f"Write one of: {', '.join(field.values)}."
    elif kind in _LIMITS and (why := field.refusal(str(wanted))):
        yield f"`{path}` can't be compared with `{wanted}`: {why.rstrip('.')}.", "Write it as the field is written."
