"""Whether a rescue can be carried out: sound sets for all at once, and people whom their clearance lets go in.

A set that failed its last inspection, or of which nobody says whether it may be worn, is none; who is not cleared for
emergencies can stand outside and call, and no more.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable

from progdoc.core.said import said, said_join
from progdoc.model.description.emergency_plans import RetrievalBy, RetrievalPart
from progdoc.model.description.masks import Issue, Mask, Mode
from progdoc.model.description.people import MedicalLimit, Person, Recommendation
from progdoc.rules.check_result import CheckResult, result_at
from progdoc.rules.facts import Facts
from progdoc.rules.in_force.figures import charge_needed
from progdoc.rules.lookup.answers_said import Said, said_by
from progdoc.rules.lookup.clauses import clauses_of
from progdoc.rules.lookup.medical_limits import Purpose, bars
from progdoc.rules.lookup.telling_words import telling
from progdoc.rules.lookup.unit_state import sound_pieces
from progdoc.rules.lookup.withdrawal import is_withdrawn
from progdoc.rules.records.wearer_checks import latest_clearance
from progdoc.rules.requirement import Subject

__all__ = ["RESCUE_CHECKS", "people_at_once", "rescues", "stand_by"]

_IDLH = "procedures.emergencies.idlh"


def rescues(mask: Mask) -> bool:
    """Whether it is of the kinds that whoever stands by has: positive pressure, with air that is carried."""
    is_own_air = mask.mode is Mode.SCBA_PRESSURE_DEMAND or (
        mask.mode is Mode.AIRLINE_PRESSURE_DEMAND and bool(mask.auxiliary_air)
    )
    return is_own_air and not mask.escape_only


def stand_by(facts: Facts) -> int:
    """Return how many stand outside: as said, and no fewer than the law has; more where a building burns."""
    law, plans = facts.law_of(), facts.description.procedures.emergencies
    outside = max(law.number("standby-persons"), plans.idlh.standby or 0)
    if any(task.structural_fire for _, task in facts.our_tasks):
        outside = max(outside, law.number("fire-outside"), plans.fire.outside or 0)
    return int(outside)


def people_at_once(facts: Facts) -> int:
    """Return how many go in and stay outside together: one and the standby; in a burning building two and two."""
    law, plans = facts.law_of(), facts.description.procedures.emergencies
    standby = max(law.number("standby-persons"), plans.idlh.standby or 0)
    needed = int(max(1, plans.idlh.inside or 0) + standby)
    if any(task.structural_fire for _, task in facts.our_tasks):
        inside = max(law.number("fire-inside"), plans.fire.inside or 0)
        needed = max(needed, int(inside + max(law.number("fire-outside"), plans.fire.outside or 0)))
    return needed


# ---- sets ---------------------------------------------------------------------------------------------


def _enough_sound_sets(facts: Facts, _subject: Subject) -> CheckResult:
    """As many sets as people inside and outside at once passed their last inspection."""
    masks = [
        (path, mask) for path, mask in facts.masks.values() if rescues(mask) and not is_withdrawn(mask, facts.as_of)
    ]
    numbers: set[str] = set()  # a cylinder in two sets fills one of them
    counted = [(path, mask, _pieces(facts, mask, numbers)) for path, mask in masks]
    sound = sum(pieces[0] for _, _, pieces in counted)
    unsaid = [f"{path}.{'units' if mask.units else 'in_stock'}" for path, mask, pieces in counted if pieces[1] != 0]
    needed, place = people_at_once(facts), masks[0][0] if masks else "masks"
    read = (f"{_IDLH}.standby", f"{_IDLH}.inside", *(f"{path}.units" for path, _ in masks))
    if sound < needed:
        # What nobody counts may be enough; what was counted and is too little is not.
        if any(pieces[1] is None for _, _, pieces in counted):
            return CheckResult(read, ask=tuple(unsaid))
        return CheckResult(read, ((place, {"found": str(sound), "needed": str(needed)}),))
    if not facts.description.procedures.emergencies.idlh.inside and sound < _most_at_once(facts):  # nobody says nobody
        return CheckResult(read, ask=(f"{_IDLH}.inside",))
    return CheckResult(read, shown=tuple(f"{path}.{'units' if m.units else 'in_stock'}" for path, m in masks))


def _pieces(facts: Facts, mask: Mask, numbers: set[str]) -> tuple[int, int | None]:
    """Return how many may be worn and of how many more that is not said: None where nobody counts them."""
    counted = sound_pieces(mask, facts.as_of, numbers, charge_needed(facts.rules, mask))
    if counted is not None:
        return counted
    issued = [person for _, person in facts.present if any(own.mask == mask.id for own in person.masks)]
    return (len(issued), 0) if mask.issue is Issue.EXCLUSIVE and issued else (0, None)


def _most_at_once(facts: Facts) -> int:
    """Return how many are there at most, where nobody says how many go in: all who are named, and who stands by."""
    named = {person for _, task in facts.our_tasks for person in task.people if _is_deadly(facts, task.id)}
    if not named:
        return 0
    return min(len(facts.present), len(named) + stand_by(facts))


def _is_deadly(facts: Facts, task: str) -> bool:
    return facts.selection.air[task].is_immediately_dangerous


def _enough_to_escape(facts: Facts, subject: Subject) -> CheckResult:
    """Of the masks at hand to get out in, where they are counted, as many are sound as people are there at once."""
    path, task = facts.tasks[subject.ids[0].partition(".")[2]]
    place = f"{path}.escape_masks"
    masks = [facts.masks[mask][1] for mask in dict.fromkeys(task.escape_masks)]
    numbers: set[str] = set()
    counted = [
        sound_pieces(mask, facts.as_of, numbers, charge_needed(facts.rules, mask))
        for mask in masks
        if not is_withdrawn(mask, facts.as_of)
    ]
    known = [pieces for pieces in counted if pieces is not None]
    named = len(set(task.people))
    inside = facts.description.procedures.emergencies.idlh.inside if _is_deadly(facts, task.id) else None
    needed = min(named, int(inside)) if inside else named
    if not needed or not known or len(known) < len(counted):
        return CheckResult(
            (place, f"{path}.people"), nothing=said("Nobody counts them, or nobody is named who works there.")
        )
    found = sum(sound + unsaid for sound, unsaid in known)
    return result_at(place, {"found": str(found), "needed": str(needed)} if found < needed else None)


# ---- people -------------------------------------------------------------------------------------------


def _enough_cleared(facts: Facts, _subject: Subject) -> CheckResult:
    """Of those who have a set, as many as are to stand by may put it on for a rescue."""
    place = f"{_IDLH}.standby"
    have_one = [(person, own) for _, person in facts.present if (own := _sets_of(facts, person))]
    read = ("people", place)
    if not have_one:
        return CheckResult(read, nothing=said("Nobody has a mask to rescue in, which is told elsewhere."))
    barred = [person for person, own in have_one if _is_barred(facts, person, own)]
    left, needed = len(have_one) - len(barred), stand_by(facts)
    if left < needed and barred:
        return CheckResult(read, ((place, {"needed": str(needed)}),))
    return CheckResult(read, shown=("people",))


def _sets_of(facts: Facts, person: Person) -> list[Mask]:
    own = (facts.masks[issued.mask][1] for issued in person.masks)
    return [mask for mask in own if rescues(mask)]


def _is_barred(facts: Facts, person: Person, own: Iterable[Mask]) -> bool:
    """Whether the newest recommendation keeps somebody from a rescue, which is heavy work as well as an emergency."""
    entry = latest_clearance(person, facts.as_of)
    if entry is None:
        return False  # that there is none is a finding about the person
    if entry.recommendation is Recommendation.NOT_CLEARED or MedicalLimit.LIGHT_WORK_ONLY in entry.limits:
        return True
    return all(any(bars(limit, mask, Purpose.EMERGENCY) for limit in entry.limits) for mask in own)


# ---- gear ---------------------------------------------------------------------------------------------


def _gear_is_whole(facts: Facts, _subject: Subject) -> CheckResult:
    """Retrieval gear has a harness, a line, and something outside that holds or draws it; an equal means is named."""
    plan, place = facts.description.procedures.emergencies.idlh, f"{_IDLH}.retrieval_with"
    if plan.retrieval_by is RetrievalBy.EQUAL:
        named = f"{_IDLH}.retrieval"
        is_named = plan.retrieval is not None and said_by(plan.retrieval) is Said.ANSWER
        return result_at(named, None if is_named else {"means": said("equal means"), "missing": said("what that is")})
    if plan.retrieval_by is None:
        return CheckResult((place,), nothing=said("No retrieval gear is named, which is asked elsewhere."))
    denied = {part for part in RetrievalPart if lacks_part(plan.retrieval or "", part)}
    found = set(plan.retrieval_with) - denied
    missing = [part.value for part in (RetrievalPart.HARNESS, RetrievalPart.LINE) if part not in found]
    if not {RetrievalPart.WINCH, RetrievalPart.FIXED_POINT} & found:
        missing.append(said("winch or fixed point"))
    place = f"{_IDLH}.retrieval" if denied & set(plan.retrieval_with) else place
    return result_at(place, {"means": said("retrieval gear"), "missing": said_join(missing, ", ")} if missing else None)


def lacks_part(text: str, part: RetrievalPart) -> bool:
    """Return whether a text says that there is no such part: what a list has beside it then counts for none.

    >>> lacks_part("By hand, without a line", RetrievalPart.LINE), lacks_part("Winch, no steps", RetrievalPart.WINCH)
    (True, False)
    >>> lacks_part("Nobody goes in without a harness", RetrievalPart.HARNESS)
    False
    """
    words = telling(f"retrieval_{part.name.lower()}")
    named = ((clause, found.start()) for clause in clauses_of(text) if (found := words.search(clause)))
    return any(_denials_in(clause[:end]) % 2 == 1 for clause, end in named)  # two of them affirm


def _denials_in(words: str) -> int:
    return sum(1 for name in ("denials", "lacking") for _ in telling(name).finditer(words))


RESCUE_CHECKS: dict[str, Callable[[Facts, Subject], CheckResult]] = {
    "enough-to-escape": _enough_to_escape,
    "enough-sound-sets": _enough_sound_sets,
    "enough-cleared-to-rescue": _enough_cleared,
    "retrieval-gear-is-whole": _gear_is_whole,
}
