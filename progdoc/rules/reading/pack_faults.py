"""What each fault of a pack of rules is called and why it is refused; and how a fault is worded."""

from __future__ import annotations

import difflib
from collections.abc import Iterable

from progdoc.core.diagnostics import Diagnostic, Location, Severity
from progdoc.model.yaml.yaml_syntax import shown
from progdoc.model.yaml.yaml_values import ShapeError

__all__ = ["PACK_FAULTS", "did_you_mean", "pack_fault", "unreadable", "wrong_shape"]

PACK_FAULTS: dict[str, tuple[str, str]] = {
    "PACK-001": ("rules-not-readable", "Rules that can't be read can't be checked against."),
    "PACK-002": ("rule-key-unknown", "A key that nobody reads would leave a part of the rule out, unseen."),
    "PACK-003": ("rule-incomplete", "A rule without it can't be judged, or can't be explained to whoever breaks it."),
    "PACK-004": ("rule-not-understood", "A rule that can be read in two ways could let something unsafe pass."),
    "PACK-005": ("changed-rule-unknown", "A change needs a rule of an earlier pack to change."),
    "PACK-006": ("rule-code-used-twice", "Two rules with one code can't be told apart in reports."),
    "PACK-007": ("rule-loosens-an-earlier-one", "A local rule may ask for more than the federal law, never for less."),
}

# Faults of the reader that leave the file readable: it could be taken in two ways.
_AMBIGUOUS = ("YAML-022", "YAML-033", "YAML-040", "YAML-042", "YAML-043", "YAML-044", "YAML-045", "YAML-047")
_TORN = range(20, 40)  # YAML-020 to YAML-039: the file stops being YAML, or says something else than it seems to
_FIXES = {  # where the reader's own advice speaks of a description
    "YAML-005": "Check that the right folder is named: rules are short.",
    "YAML-006": "Write its rules under `requirements:` or `changes:`, or delete the file.",
    "YAML-047": "Begin with a name: `pack:` in pack.yaml, `requirements:` or `changes:` in the others.",
    "YAML-050": "Check that the right folder is named: rules are short.",
}


def pack_fault(code: str, place: Location, what: str, fix: str) -> Diagnostic:
    """Return a fault of a pack."""
    name, why = PACK_FAULTS[code]
    return Diagnostic(place, code, name, Severity.INVALID, what, why, fix)


def unreadable(found: Diagnostic) -> Diagnostic:
    """Return what the reader of YAML found, as a fault of a pack."""
    what = f"{found.what[0].upper()}{found.what[1:]}."
    if found.code in _AMBIGUOUS:
        code = "PACK-004"
    else:
        code = "PACK-001"
        if int(found.code.removeprefix("YAML-")) in _TORN:
            what = f"The YAML stops making sense here: {found.what}."
    return pack_fault(code, found.location, what, _FIXES.get(found.code, found.fix))


def wrong_shape(file: str, key: str, wrong: ShapeError) -> Diagnostic:
    """Return the fault of a value that is of another type than its key asks for."""
    node = wrong.node
    place = Location(file, node.line, node.column)
    if isinstance(node.content, str):
        what = f"{shown(f'{key}: {node.content}')} is not {wrong.wanted}."
    else:
        what = f"`{key}` holds {wrong.found}, not {wrong.wanted}."
    return pack_fault("PACK-004", place, what, wrong.fix)


def did_you_mean(word: object, known: Iterable[str]) -> str:
    """Return a question that names the nearest spelling, or nothing."""
    near = difflib.get_close_matches(str(word), list(known), 1, 0.6)
    return f" Did you mean `{near[0]}`?" if near else ""
