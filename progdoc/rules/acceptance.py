"""Which finding an entry under `accepted` covers, and which entries cover none."""

from __future__ import annotations

import json
import re
from collections.abc import Iterable
from dataclasses import replace

from progdoc.core.diagnostics import Diagnostic, Severity
from progdoc.core.numbers import long_date
from progdoc.core.said import first_line, said, same, with_lines
from progdoc.model.description.program import Acceptance
from progdoc.rules.facts import Facts
from progdoc.rules.records.dangling_words import last_day_accepted

__all__ = ["accepted", "idle_acceptances"]

_ACCEPTABLE = (Severity.CAUTION, Severity.ADVICE)
_WORD = re.compile(r"\w+")


def accepted(facts: Facts, diagnostic: Diagnostic) -> Diagnostic:
    """Mark a caution or an advice that somebody answers for; a required finding can't be accepted.

    It is accepted as it stood: the description has no memory, so that an acceptance names the ground of a finding that
    may have several, and the thing where there may be many: what comes in later is looked at for itself. What was
    accepted because something is missing does not cover what is then said against it.
    """
    if diagnostic.severity not in _ACCEPTABLE:
        return diagnostic
    most = last_day_accepted(facts.as_of)
    entries = (one for one in facts.description.accepted if _is_about(one, diagnostic))
    about = [one for one in entries if facts.as_of <= one.until <= most]
    unnamed = bool(diagnostic.subject) and all(entry.subject is None for entry in about)
    for entry in () if unnamed else about:
        if _covers(entry, diagnostic):
            words = said(
                "accepted by %(by)s until %(until)s: %(reason)s",
                by=entry.by,
                until=long_date(entry.until),
                reason=entry.reason,
            )
            return replace(diagnostic, accepted=words)
    if not about:
        return diagnostic
    cure, lines = first_line(diagnostic.fix), diagnostic.fix.partition("\n")[2]
    if unnamed:
        cure = said(
            "%(cure)s Accepted was this for nothing in particular; whoever answers for it here has "
            "`subject: %(subject)s` there.",
            cure=cure,
            subject=same(diagnostic.subject[-1]),
        )
    if all(_plain(entry.ground or "") != _plain(diagnostic.ground) for entry in about):
        typed = (
            same(f"`ground: {json.dumps(diagnostic.ground, ensure_ascii=False)}`")
            if diagnostic.ground
            else said("no `ground`")
        )
        cure = said(
            "%(cure)s Accepted was another ground than this one; whoever answers for this one has %(typed)s there.",
            cure=cure,
            typed=typed,
        )
    return replace(diagnostic, fix=with_lines(cure, lines) if lines else cure)


def idle_acceptances(facts: Facts, found: Iterable[Diagnostic]) -> tuple[int, ...]:
    """Return which entries cover none of the findings, of those that could: the codes, things and days of others are
    told as what they are."""
    soft = [one for one in found if one.severity in _ACCEPTABLE]
    most = last_day_accepted(facts.as_of)
    return tuple(
        i
        for i, entry in enumerate(facts.description.accepted)
        if facts.as_of <= entry.until <= most
        and entry.code in facts.known_codes
        and not any(_is_about(entry, one) and _covers(entry, one) for one in soft)
    )


def _is_about(entry: Acceptance, diagnostic: Diagnostic) -> bool:
    return entry.code == diagnostic.code and (entry.subject is None or entry.subject in diagnostic.subject)


def _covers(entry: Acceptance, diagnostic: Diagnostic) -> bool:
    """Return whether an entry about a finding names the thing, where it is about one, and the ground."""
    return bool(entry.subject or not diagnostic.subject) and _plain(entry.ground or "") == _plain(diagnostic.ground)


def _plain(ground: str) -> tuple[str, ...]:
    return tuple(_WORD.findall(ground.casefold()))
