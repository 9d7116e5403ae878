"""Looks at what hangs at hand for getting out, and at who goes back in before the air is known to be clean.

Each check returns the places it read and, for each thing wrong, a place and the words for the placeholders
of the requirement's text.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator

from progdoc.core.said import said, said_join
from progdoc.model.description.emergency_plans import Foreseeable
from progdoc.model.description.masks import Mask
from progdoc.model.description.quantities import in_unit, is_no_time
from progdoc.model.description.words import label_of
from progdoc.model.description.workplace import Task
from progdoc.rules.check_result import CheckResult, person_of, person_path, result_at
from progdoc.rules.facts import Facts
from progdoc.rules.judged.mask_results import EscapeDuty
from progdoc.rules.lookup.answers_said import Said, said_by
from progdoc.rules.lookup.denied_fields import against_no
from progdoc.rules.lookup.facepieces import SCBA, is_tight_fitting
from progdoc.rules.lookup.substances import is_named
from progdoc.rules.lookup.telling_words import goes_in, is_told, stays_in, unmasked
from progdoc.rules.lookup.withdrawal import is_withdrawn
from progdoc.rules.masks.danger import is_made_for_danger
from progdoc.rules.requirement import Subject

__all__ = ["ESCAPE_CHECKS", "usable_escape_masks"]

_FORESEEABLE = "procedures.emergencies.foreseeable"
_SEVERAL = 2  # tasks in masks: with one alone it is clear where an emergency happens


def usable_escape_masks(facts: Facts, task: Task) -> tuple[Mask, ...]:
    """Return the masks at hand in a task that were not withdrawn."""
    named = (facts.masks[mask][1] for mask in dict.fromkeys(task.escape_masks))
    return tuple(mask for mask in named if not is_withdrawn(mask, facts.as_of))


# ---- escape masks at hand -----------------------------------------------------------------------------


def _not_at_hand(facts: Facts, subject: Subject) -> CheckResult:
    """A standard asks for a mask to escape in, and none of its kind hangs at hand."""
    path, task = facts.tasks[subject.ids[0].partition(".")[2]]
    place = f"{path}.escape_masks"
    duties = facts.selection.escape[task.id].duties
    if not duties:
        return CheckResult((place,), nothing=said("No standard asks for a mask to escape in here."))
    faults = tuple(
        (place, {"agent": duty.agent, "kinds": duty.words, "found": _found(facts, task), "citation": duty.citation})
        for duty in duties
        if not duty.served_by
    )
    shown = () if faults else tuple(place for duty in duties for place in _serving(facts, path, task, duty))
    return CheckResult((place,), faults, shown)


def _found(facts: Facts, task: Task) -> str:
    usable = usable_escape_masks(facts, task)
    return (
        said("only %(usable)s hangs at hand", usable=said_join(map(label_of, usable), ", "))
        if usable
        else said("none hangs at hand")
    )


def _serving(facts: Facts, path: str, task: Task, duty: EscapeDuty) -> Iterator[str]:
    """Yield the facts that show a duty kept: the first mask that serves, and what makes it one of the kinds."""
    mask_path, mask = facts.masks[duty.served_by[0]]
    yield f"{path}.escape_masks[{task.escape_masks.index(mask.id)}]"
    yield f"{mask_path}.mode"
    if all(kind.facepieces for kind in duty.kinds if mask.mode in kind.modes):
        yield f"{mask_path}.facepiece"


def _for_other_air(facts: Facts, subject: Subject) -> CheckResult:
    """An escape mask is not approved for escape from the air in which it hangs."""
    found = next(one for one in facts.selection.escape[_id(subject, 0)].masks if one.path == subject.path)
    path, mask = facts.masks[found.mask.id]
    if found.is_silent and mask.escape_only:
        return CheckResult(
            (f"{path}.escape_from",), nothing=said("From which air it is approved to escape is asked first.")
        )
    if found.trouble:
        return CheckResult((subject.path,), ((subject.path, {"trouble": found.trouble}),))
    brings_air = f"{path}.mode" if mask.mode in SCBA else f"{path}.auxiliary_air" if mask.auxiliary_air else ""
    return CheckResult((subject.path,), shown=(subject.path, brings_air or f"{path}.escape_from"))


def _lasts(facts: Facts, subject: Subject) -> CheckResult:
    """An escape mask with air of its own lasts longer than the way out takes."""
    path, task = facts.tasks[_id(subject, 0)]
    place, mask = f"{path}.way_out", facts.masks[_id(subject, 1)][1]
    if not (mask.mode in SCBA or mask.auxiliary_air) or mask.service_time is None:
        return CheckResult((place,), nothing=said("It brings no air of its own, or its rated time is asked elsewhere."))
    if task.way_out is None or is_no_time(task.way_out):  # nobody is out in no time
        return CheckResult((place,), ask=(place,))
    is_long = in_unit(task.way_out, "min") >= in_unit(mask.service_time, "min")
    words = {"rated": mask.service_time.printed, "way_out": task.way_out.printed}
    return result_at(place, words if is_long else None)


def _id(subject: Subject, index: int) -> str:
    return subject.ids[index].partition(".")[2]


def _not_for_wearer(facts: Facts, subject: Subject) -> CheckResult:
    """Of the escape masks of a task, all that seal to the face, none is issued to a wearer who works there."""
    person, path = person_of(facts, subject), person_path(facts, subject)
    issued = [one.mask for one in person.masks]
    faults, shown = [], []
    for _, task in facts.tasks_by_person.get(person.id, ()):
        masks = usable_escape_masks(facts, task)
        loose = next((mask for mask in masks if is_tight_fitting(mask) is False), None)
        own = next((mask for mask in masks if mask.id in issued), None)
        if own is not None:
            shown.append(f"{path}.masks[{issued.index(own.id)}]")
        elif loose is not None:
            shown.append(f"{facts.masks[loose.id][0]}.facepiece")
        elif masks:
            words = {"task": label_of(task), "masks": said_join(map(label_of, masks), ", ")}
            faults.append((f"{path}.masks", words))
    if not faults and not shown:
        return CheckResult((f"{path}.masks",), nothing=said("No escape mask hangs at hand in this wearer's tasks."))
    return CheckResult((f"{path}.masks",), tuple(faults), tuple(dict.fromkeys(shown)))


# ---- going back in ------------------------------------------------------------------------------------


def _emergencies(facts: Facts) -> Iterator[tuple[str, Foreseeable]]:
    for i, emergency in enumerate(facts.description.procedures.emergencies.foreseeable):
        yield f"{_FORESEEABLE}[{i}]", emergency


def _going_in_unsaid(facts: Facts, _subject: Subject) -> CheckResult:
    """Nobody says whether our people go into the air of an emergency before it is known to be clean."""
    told = tuple(_emergencies(facts))
    faults = tuple((f"{path}.going_in", {"what": one.what}) for path, one in told if one.going_in is None)
    return CheckResult((_FORESEEABLE,), faults, tuple(f"{path}.going_in" for path, _ in told))


def _tasks_unsaid(facts: Facts, _subject: Subject) -> CheckResult:
    """An emergency is printed on the page of every task because nobody says in which ones it may happen."""
    with_masks = [task for _, task in facts.our_tasks if task.masks]
    if len(with_masks) < _SEVERAL or not any(_emergencies(facts)):
        return CheckResult((_FORESEEABLE,), nothing=said("There are no several tasks in masks among which to say it."))
    placed = [(f"{path}.{'agents' if one.agents else 'tasks'}", one) for path, one in _emergencies(facts)]
    silent = tuple((place, {"what": one.what}) for place, one in placed if not (one.tasks or one.agents))
    return CheckResult((_FORESEEABLE,), silent, tuple(place for place, one in placed if one.tasks or one.agents))


def _into_unjudged_air(facts: Facts, _subject: Subject) -> CheckResult:
    """Our people go in, in a mask that is not for immediately dangerous air, and nobody has judged that air."""
    faults, shown = [], []
    for path, one in _emergencies(facts):
        told = "" if one.going_in else goes_in(one.crew)
        if not (one.going_in or told):
            continue
        masks, agents = [facts.masks[mask][1] for mask in one.masks], _agents_then(facts, one)
        minutes = facts.law_of().amount("scba-service-time", "min")
        judged_in = next((place for place, task in facts.our_tasks if _is_judged(facts, one, task)), "")
        if masks and all(is_made_for_danger(mask, minutes) for mask in masks):
            shown += [f"{path}.masks[0]", f"{facts.masks[masks[0].id][0]}.mode"]
        elif judged_in:
            air_path = f"{path}.agents[0]" if one.agents else f"{path}.tasks[0]"
            shown += [air_path, f"{path}.masks[0]", f"{judged_in}.emergency_only"]
        else:
            masks_words = (
                said("wearing %(masks)s", masks=said_join(map(label_of, masks), said(" or ")))
                if masks
                else said("and no mask is named")
            )
            if told:
                masks_words = said("%(masks)s, by the words “%(told)s”", masks=masks_words, told=told)
            air = (
                said("with %(agents)s in the air", agents=said_join(agents, ", "))
                if agents
                else said("and nobody says what is in the air")
            )
            faults.append(
                (f"{path}.{'crew' if told else 'going_in'}", {"what": one.what, "masks": masks_words, "air": air})
            )
    nothing = "" if shown else said("Nobody of the firm goes into the air of an emergency.")
    return CheckResult((_FORESEEABLE,), tuple(faults), tuple(dict.fromkeys(shown)), nothing)


def _crew_stays(facts: Facts, _subject: Subject) -> CheckResult:
    """The crew of an emergency works on, or its masks come off, where the air is not known to be clean."""
    faults = []
    for path, one in _emergencies(facts):
        words = unmasked(one.crew) or ("" if one.going_in else stays_in(one.crew))
        if words:
            faults.append((f"{path}.crew", {"text": one.crew, "words": words}))
    return CheckResult((_FORESEEABLE,), tuple(faults), nothing=said("No text lets the crew stay in."))


def _says_nothing(facts: Facts, _subject: Subject) -> CheckResult:
    """An emergency that names nothing that may happen, or nothing that is then done."""
    told = tuple(_emergencies(facts))
    faults = [
        (f"{path}.{field}", {"text": text})
        for path, one in told
        for field, text in (("what", one.what), ("crew", one.crew))
        if said_by(text) is not Said.ANSWER or is_told("nothing_happens", text)
    ]
    return CheckResult((_FORESEEABLE,), tuple(faults), tuple(f"{path}.crew" for path, _ in told))


def _agents_then(facts: Facts, one: Foreseeable) -> tuple[str, ...]:
    """Return what is in the air of an emergency: what it names, and what the air of its tasks holds over its limit."""
    airs = [facts.selection.air[task] for task in one.tasks]
    own = [agent.hazard.agent for air in airs for agent in air.agents if agent.is_over_limit or not one.agents]
    return tuple(dict.fromkeys((*one.agents, *own)))


def _without_emergency(facts: Facts, subject: Subject) -> CheckResult:
    """A confined space is in none of the emergencies, though each of these names its tasks."""
    path, task = facts.tasks[subject.ids[0].partition(".")[2]]
    told = tuple(_emergencies(facts))
    read = (path, *(f"{at}.tasks" for at, _ in told))
    is_named_apart = bool(told) and all(one.tasks for _, one in told)
    if not task.confined_space or _deadly(facts, task) or not is_named_apart:
        return CheckResult(
            read, nothing=said("It is no such space, it is not left out, or its air can kill: then it is judged apart.")
        )
    if any(task.id in one.tasks for _, one in told):
        return CheckResult(read)
    return CheckResult(read, ((path, {"trouble": said("it is a confined space")}),))


def _deadly(facts: Facts, task: Task) -> str:
    """Return why a slip in the air of a task may kill, or nothing."""
    is_permit_space = task.confined_space and task.entry is not None and task.entry.permit_required
    air = facts.selection.air[task.id]
    told = (
        (said("its air is immediately dangerous"), air.is_danger_shown),
        (said("its air is treated as immediately dangerous until it is told"), air.is_immediately_dangerous),
        (said("it is fire-fighting inside a building"), task.structural_fire),
        (said("it is a confined space that needs a permit"), is_permit_space),
        (said("a standard asks for a mask to escape in there"), facts.selection.escape[task.id].duties),
    )
    return next((words for words, holds in told if holds), "")


def _none_foreseen(facts: Facts, subject: Subject) -> CheckResult:
    """No emergency is foreseen for a task whose air can kill: one that names no task was thought of for others."""
    path, task = facts.tasks[subject.ids[0].partition(".")[2]]
    trouble = _deadly(facts, task)
    if not trouble:
        return CheckResult((path, _FORESEEABLE), nothing=said("Nothing of the kind is in its air."))
    told = tuple(_emergencies(facts))
    is_alone = len(facts.our_tasks) == 1  # with one task alone it is clear where an emergency happens
    if any(task.id in one.tasks or (is_alone and not one.tasks) for _, one in told):
        return CheckResult((_FORESEEABLE,))
    found = said("the emergencies that are foreseen do not name it") if told else said("not one emergency is foreseen")
    return CheckResult((path, _FORESEEABLE), ((path, {"trouble": trouble, "found": found}),))


def _space_denied(facts: Facts, subject: Subject) -> CheckResult:
    """A task is said to be no confined space, and more than one thing that the description says of it tells of one."""
    path, task = facts.tasks[subject.ids[0].partition(".")[2]]
    place = f"{path}.confined_space"
    if task.confined_space is not False:
        return CheckResult((place,), nothing=said("Nobody says that it is no confined space."))
    told = tuple(_tells_of_a_space(facts, path, task))
    return result_at(place, {"told": said_join(told, "; ")} if len(told) >= _SEVERAL else None)


def _tells_of_a_space(facts: Facts, path: str, task: Task) -> Iterator[str]:
    """Yield what speaks of a confined space, each ground once: words, an entry, danger, a rescue."""
    texts = [text for at, text in facts.texts_in(path) if not at.startswith(f"{path}.oxygen")]
    if found := next(filter(None, (against_no(text, "confined_space") for text in texts)), ""):
        yield said("its text says “%(found)s”", found=found)
    if task.entry is not None:
        yield said("an entry into it is described")
    if task.immediately_dangerous:
        yield said("its air is said to be immediately dangerous")
    for _, one in _emergencies(facts):
        goes = one.going_in and any(is_made_for_danger(facts.masks[mask][1], 0.0) for mask in one.masks)
        if task.id in one.tasks and (goes or against_no(f"{one.what}; {one.crew}", "confined_space")):
            yield (
                said("of its emergency “%(what)s” is said how somebody is got out", what=one.what)
                if goes
                else said("“%(what)s” may happen in it", what=one.what)
            )
            return


def _is_judged(facts: Facts, one: Foreseeable, task: Task) -> bool:
    """Whether a task describes that work: an emergency's, with all its agents known, in which its masks protect."""
    agents = _agents_then(facts, one)
    if not (task.emergency_only and agents and one.masks):
        return False
    known = [agent for agent in facts.selection.air[task.id].agents if not (agent.is_unknown or agent.undetermined)]
    are_known = all(any(is_named([name], a.hazard.agent, a.substance) for a in known) for name in agents)
    verdicts = [facts.selection.masks.get((task.id, mask)) for mask in one.masks]
    return are_known and all(verdict is not None and verdict.is_adequate for verdict in verdicts)


ESCAPE_CHECKS: dict[str, Callable[[Facts, Subject], CheckResult]] = {
    "escape-mask-at-hand": _not_at_hand,
    "escape-mask-for-this-air": _for_other_air,
    "escape-mask-issued": _not_for_wearer,
    "escape-air-lasts": _lasts,
    "going-in-said": _going_in_unsaid,
    "tasks-of-emergency-said": _tasks_unsaid,
    "crew-leaves-bad-air": _crew_stays,
    "emergency-of-dangerous-task": _without_emergency,
    "emergency-where-air-kills": _none_foreseen,
    "space-not-denied": _space_denied,
    "emergency-says-what-is-done": _says_nothing,
    "unjudged-air-left-alone": _into_unjudged_air,
}
