"""The limits that bind one hazard: the law's for its industry, the firm's own, and those of policies.

An industry that nobody named binds by the limits of all three. A limit that is looser than the law's is
never used. Where the law prints a formula, the firm's worked-out figure stands in for it.
"""

from __future__ import annotations

import re
from dataclasses import replace

from progdoc.core.late_dataclass import dataclass
from progdoc.core.said import said, said_choice, said_join
from progdoc.model.description.exposure_evidence import Averaging, Fraction, Judgment, Smoke, Unknown
from progdoc.model.description.hazards import NO_LIMIT, Form, Hazard, OwnLimit
from progdoc.model.description.policies import PolicyLimit
from progdoc.model.description.quantities import Quantity
from progdoc.model.description.workplace import Industry, Task
from progdoc.rules.judged.published import Limit, LimitKind, Substance
from progdoc.rules.lookup.answers_said import Said, is_declared_unknown, said_by
from progdoc.rules.lookup.conversion import in_limit_unit
from progdoc.rules.lookup.substances import find_substance, limits_for, mistaken_for, near_names
from progdoc.rules.reasons import Reason

__all__ = [
    "FULL_SHIFT_MIN",
    "MINUTES_OF_A_KIND",
    "OWN_LIMIT",
    "PACK_LIMIT",
    "STEL_MIN",
    "Binding",
    "asks_no_more",
    "binding_limits",
    "industries_of",
    "is_alike",
    "stated_limit",
]

OWN_LIMIT = said("the firm's own limit")  # the note of such a limit
PACK_LIMIT = "a limit of a user's pack"  # likewise: nobody but its writer has read it

_CAS = re.compile(r"(?<!\d)\d{2,7}-\d\d-\d(?!\d)")
_FORMS = frozenset(form.value for form in Form)
_KINDS = {Averaging.TWA: LimitKind.TWA, Averaging.STEL: LimitKind.STEL, Averaging.CEILING: LimitKind.CEILING}
FULL_SHIFT_MIN = 480.0  # what "8-hour average" means
STEL_MIN = 15.0  # what "STEL" means
MINUTES_OF_A_KIND = {LimitKind.TWA: FULL_SHIFT_MIN, LimitKind.STEL: STEL_MIN, LimitKind.CEILING: 0.0}


@dataclass(frozen=True, slots=True)
class Binding:
    """The limits in force, what is wrong with how they were stated, and whether that leaves the air unjudged."""

    limits: tuple[Limit, ...]
    reasons: tuple[Reason, ...] = ()
    is_unknown: bool = False


def industries_of(task: Task) -> tuple[str, ...]:
    """Return the industries whose rules bind a task: its own, or all while nobody says which it is."""
    return (task.industry.value,) if task.industry else tuple(industry.value for industry in Industry)


def stated_limit(agent: str, wanted: OwnLimit | PolicyLimit, source: str, note: str) -> Limit:
    """Return a limit that somebody other than the law's tables sets."""
    kind, value = _KINDS[wanted.averaging], wanted.value
    return Limit(
        agent=agent,
        industry="",
        kind=kind,
        value=value.value,
        formula="",
        unit=value.unit,
        minutes=MINUTES_OF_A_KIND[kind],
        per_hours=None,
        fraction=wanted.fraction.value if wanted.fraction else "",
        form="",
        mg_m3_as_printed="",
        is_skin=False,
        condition="",
        citation=source,
        note=note,
    )


def is_alike(wanted: Limit, other: Limit) -> bool:
    """Return whether two limits are of one kind: averaged alike, and of one fraction, where the first names one."""
    is_for_it = not wanted.fraction or wanted.fraction == (other.fraction or Fraction.TOTAL)
    return wanted.kind is other.kind and is_for_it


def binding_limits(
    hazard: Hazard, path: str, task: Task, substance: Substance | None, local: tuple[Limit, ...] = ()
) -> Binding:
    """Return the limits of the law and of the firm for one hazard; a slip in the name is no way around the law's.

    `local` are those of packs; they take the place of federal ones that they are no looser than, and a user's
    pack is not heard with looser ones.
    """
    found = _binding(hazard, path, task, substance, local)
    is_users = any(limit.note == PACK_LIMIT for limit in local)
    if (hazard.limit is None and not is_users) or substance is not None:
        return found
    if slip := mistaken_for(hazard.agent):
        words = {"agent": hazard.agent, "near": said_join(slip, "; ")}
        return replace(found, reasons=(*found.reasons, Reason("EXP-032", f"{path}.agent", words)))
    if trouble := _not_looked_up(hazard):
        reason = Reason("EXP-056", f"{path}.looked_up_as", {"agent": hazard.agent, "trouble": trouble})
        return replace(found, reasons=(*found.reasons, reason), is_unknown=True)
    return found


def _not_looked_up(hazard: Hazard) -> str:
    """Return why it is not shown that the law has no limit for an agent of no table, "" where it is."""
    name = hazard.looked_up_as
    if hazard.law_looked_up is not True or name is None or said_by(name) is not Said.ANSWER:
        return said("nobody says that the law was looked through under its English name and CAS number")
    if _letters(name) == _letters(hazard.agent):
        return said("“%(name)s”, under which it was looked up, is that name again, without a CAS number", name=name)
    known = [find_substance(one) for one in (name, *_CAS.findall(name))]
    held = said_join(dict.fromkeys((*(agent.name for agent in known if agent is not None), *mistaken_for(name))), "; ")
    return (
        said(
            "“%(name)s”, under which it was looked up, names %(held)s, which the law has a limit for",
            name=name,
            held=held,
        )
        if held
        else ""
    )


def _letters(text: str) -> str:
    return "".join(filter(str.isalnum, text.casefold()))


def _binding(hazard: Hazard, path: str, task: Task, substance: Substance | None, local: tuple[Limit, ...]) -> Binding:
    form = hazard.form.value if hazard.form else ""
    legal: tuple[Limit, ...] = ()
    if substance is not None:
        for industry in industries_of(task):
            legal += tuple(limit for limit in limits_for(substance, industry, form) if limit not in legal)
    idle = [one for one in local if one.note == PACK_LIMIT and any(asks_no_more(one, law, substance) for law in legal)]
    local = tuple(one for one in local if one not in idle)
    instead = tuple(one for one in local if any(_stands_in(one, limit, substance) for limit in legal))
    kept = (limit for limit in legal if not any(_stands_in(one, limit, substance) for one in instead))
    legal = (*instead, *kept, *(one for one in local if one not in instead))
    own = hazard.limit
    is_judged = isinstance(hazard.exposure, Judgment | Smoke)
    if isinstance(own, OwnLimit):
        return _with_own(own, legal, hazard, path, substance)
    if own == NO_LIMIT and legal:
        words = {"own": NO_LIMIT, "legal": legal[0].in_words}
        return _judged(legal, is_judged, path, Reason("EXP-011", f"{path}.limit", words))
    if own == NO_LIMIT:
        if is_judged or isinstance(hazard.exposure, Unknown | None):
            return Binding(())
        return Binding((), (Reason("EXP-004", f"{path}.exposure"),), is_unknown=True)
    if not legal and (is_declared_unknown(hazard.exposure) or isinstance(hazard.exposure, Smoke)):
        return Binding(())
    if not legal:
        near = near_names(hazard.agent) if substance is None else ()
        words = {
            "none": _none_known(hazard, task, substance),
            "near": said(" Did you mean: %(near)s?", near=said_join(near, "; ")) if near else "",
        }
        return Binding((), (Reason("EXP-003", f"{path}.agent", words),), is_unknown=True)
    return _judged(legal, is_judged, path)


def _stands_in(local: Limit, federal: Limit, substance: Substance | None) -> bool:
    """Return whether a pack's limit takes the place of a federal one: of its kind and fraction, and no looser."""
    if federal.value is None or local.value is None or not is_alike(federal, local) or not is_alike(local, federal):
        return False
    value = in_limit_unit(Quantity(local.value, local.unit, ""), federal.unit, substance)
    return value is not None and value <= federal.value


def asks_no_more(local: Limit, federal: Limit, substance: Substance | None) -> bool:
    """Return whether a federal limit binds whoever keeps it as much as a pack's does, or can't be compared with it.

    A limit for all of a dust is kept by each fraction of it, too.
    """
    fractions = (local.fraction or Fraction.TOTAL, Fraction.TOTAL)
    if federal.value is None or local.value is None or local.kind is not federal.kind:
        return False
    value = in_limit_unit(Quantity(local.value, local.unit, ""), federal.unit, substance)
    return (federal.fraction or Fraction.TOTAL) in fractions and (value is None or value > federal.value)


def _none_known(hazard: Hazard, task: Task, substance: Substance | None) -> str:
    """Say that no limit is known; or, where the tables have one for another form, for which."""
    known = [one for name in industries_of(task) for one in limits_for(substance, name)] if substance else []
    forms = sorted({form for limit in known for form in limit.form.split(";") if form in _FORMS})
    if not known or not forms or hazard.form is None:
        if substance is not None:
            return said("no table here has a limit for it in this industry.")
        return said("no limit is known under this name for this industry.")
    return said(
        "the limits under this name for this industry are for %(forms)s, and none is printed for %(form)s.",
        forms=said_join(forms, said(" and ")),
        form=said_choice(hazard.form),
    )


def _judged(limits: tuple[Limit, ...], is_judged: bool, path: str, *reasons: Reason) -> Binding:
    """A judgment stands where no limit is published; against a limit it says nothing."""
    if not is_judged:
        return Binding(limits, reasons)
    words = {"legal": limits[0].in_words}
    return Binding(limits, (*reasons, Reason("EXP-024", f"{path}.exposure", words)), is_unknown=True)


def _with_own(
    own: OwnLimit, legal: tuple[Limit, ...], hazard: Hazard, path: str, substance: Substance | None
) -> Binding:
    if own.value.value <= 0.0:
        return Binding(
            legal, (Reason("EXP-022", f"{path}.limit.value", {"found": own.value.printed}),), is_unknown=True
        )
    name = substance.id if substance else hazard.agent
    mine = stated_limit(name, own, own.source, OWN_LIMIT)
    is_judged = isinstance(hazard.exposure, Judgment | Smoke)
    for limit in legal:
        value = in_limit_unit(own.value, limit.unit, substance)
        if is_alike(mine, limit) and limit.value is not None and value is not None and value > limit.value:
            words = {"own": own.value.printed, "legal": limit.in_words}
            return _judged(legal, is_judged, path, Reason("EXP-011", f"{path}.limit.value", words))
    kept = tuple(limit for limit in legal if limit.value is not None or limit.kind is not mine.kind)
    return _judged((mine, *kept), is_judged, path)
