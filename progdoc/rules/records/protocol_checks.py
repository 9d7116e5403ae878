"""Looks at the fit-test protocols that a program names: which are accepted, and which suit a mask."""

from __future__ import annotations

import difflib
from collections.abc import Callable, Collection

from progdoc.core.said import said, said_choice, said_join, same
from progdoc.model.description.masks import Mask
from progdoc.rules.check_result import CheckResult, result_at
from progdoc.rules.facts import Facts
from progdoc.rules.lookup.fit_protocols import fit_protocols
from progdoc.rules.requirement import Subject

__all__ = ["PROTOCOL_CHECKS", "kind_words", "protocols_for"]

_PROTOCOLS = "procedures.fit_testing.protocols"


def protocols_for(mask: Mask, among: Collection[str]) -> list[str]:
    """Return the protocols that work on a mask; all of them where its kind is not known."""
    every = {name: entry["masks"] for name, entry in fit_protocols().items() if name in among}
    return [name for name, masks in every.items() if mask.facepiece is None or mask.facepiece.value in masks]


def kind_words(mask: Mask) -> str:
    return said_choice(mask.facepiece) if mask.facepiece else said("mask")


def _unknown_protocols(facts: Facts, _subject: Subject) -> CheckResult:
    known = list(fit_protocols())
    faults = []
    for i, name in enumerate(facts.description.procedures.fit_testing.protocols):
        if name not in known:
            near = difflib.get_close_matches(name, known, 1, 0.6)
            words = {"protocol": name, "known": said_join(map(same, near or known), ", ")}
            faults.append((f"{_PROTOCOLS}[{i}]", words))
    return CheckResult((_PROTOCOLS,), tuple(faults))


def _no_protocol_for_mask(facts: Facts, subject: Subject) -> CheckResult:
    mask = facts.masks[subject.ids[0].partition(".")[2]][1]
    if protocols_for(mask, facts.description.procedures.fit_testing.protocols):
        return CheckResult((_PROTOCOLS,))
    known = said_join(map(same, protocols_for(mask, fit_protocols())), ", ")
    return result_at(_PROTOCOLS, {"kind": kind_words(mask), "known": known})


PROTOCOL_CHECKS: dict[str, Callable[[Facts, Subject], CheckResult]] = {
    "named-protocols-accepted": _unknown_protocols,
    "some-protocol-suits-mask": _no_protocol_for_mask,
}
