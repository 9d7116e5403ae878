"""Who goes in and who stays outside: whether they exist, whose people they are, and whether the air of a space is read.

A standby, a contractor and a space without a permit are easily written down. Each is held here against what else the
description says: the people of the firm, their masks, the air.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable

from progdoc.calc.due_dates import due_date, is_overdue
from progdoc.core.numbers import long_date
from progdoc.core.said import said, same
from progdoc.model.description.quantities import Quantity
from progdoc.model.description.words import label_of
from progdoc.model.description.workplace import Oxygen, Task
from progdoc.rules.air.declared_work import most_oxygen
from progdoc.rules.air.evidence import OLD_MONTHS
from progdoc.rules.check_result import CheckResult, result_at
from progdoc.rules.facts import Facts
from progdoc.rules.judged.air_results import Assessment
from progdoc.rules.lookup.conversion import in_limit_unit
from progdoc.rules.lookup.telling_words import is_told
from progdoc.rules.records.rescue_checks import people_at_once, rescues
from progdoc.rules.requirement import Subject

__all__ = ["ENTRY_CHECKS", "oxygen_to_show"]

_OVER = 1.0 + 1e-9  # what binary arithmetic adds to a level just at its limit
_A_NAME = re.compile(r"\b[A-Z]")  # what is left of a text that names somebody


def _task(facts: Facts, subject: Subject) -> tuple[str, Task]:
    return facts.tasks[subject.ids[0].partition(".")[2]]


# ---- a space that is said to need no permit -----------------------------------------------------------


def _needs_no_permit(facts: Facts, subject: Subject) -> CheckResult:
    """A space whose air may kill, or holds too little or too much oxygen, is one that needs a permit."""
    return _without_permit(facts, subject, _deadly_air(facts, _task(facts, subject)[1]))


def _no_limit_is_passed(facts: Facts, subject: Subject) -> CheckResult:
    """Over a limit it may be one, too: what harms at once makes it so, what harms over years alone does not."""
    _, task = _task(facts, subject)
    if _deadly_air(facts, task):
        return _without_permit(facts, subject, "")
    return _without_permit(facts, subject, _passed_limit(facts, task))


def _without_permit(facts: Facts, subject: Subject, trouble: str) -> CheckResult:
    path, task = _task(facts, subject)
    place = f"{path}.entry.permit_required"
    if task.entry is None or task.entry.permit_required is None:
        return CheckResult((place,), nothing=said("Whether it needs a permit is asked elsewhere."))
    return result_at(place, {"trouble": trouble} if trouble and not task.entry.permit_required else None)


def _settled_in_bad_air(facts: Facts, subject: Subject) -> CheckResult:
    """Whether a space needs a permit is said at least where its air is bad: silence there is no judgment."""
    path, task = _task(facts, subject)
    place = f"{path}.entry.permit_required"
    if task.entry is not None and task.entry.permit_required is not None:
        return CheckResult((place,), shown=(place,))
    trouble = _deadly_air(facts, task) or _passed_limit(facts, task)
    if not trouble:
        return CheckResult((place,), nothing=said("Its air is not shown to be bad."))
    return CheckResult((place,), ((place, {"trouble": trouble}),))


def _passed_limit(facts: Facts, task: Task) -> str:
    """Return which agent passes a limit in the air of a space: a gas, which harms at once, by its level at the work."""
    agents = facts.selection.air[task.id].agents
    over = next((one for one in agents if any(ratio.value > _OVER for ratio in one.ratios)), None)
    if over is not None:
        return said("%(agent)s is over a limit in it", agent=over.hazard.agent)
    peak = next((one for one in agents if one.is_gas and _is_passed_at_work(one)), None)
    return (
        said("%(agent)s is over a limit in it while people work, if not over the shift", agent=peak.hazard.agent)
        if peak
        else ""
    )


def _is_passed_at_work(agent: Assessment) -> bool:
    level = agent.during_task
    if level is None:
        return False
    found = Quantity(level, agent.unit, "")
    levels = ((in_limit_unit(found, limit.unit, agent.substance), limit.value) for limit in agent.limits)
    return any(here is not None and most is not None and here > most * _OVER for here, most in levels)


def _deadly_air(facts: Facts, task: Task) -> str:
    air, law = facts.selection.air[task.id], facts.law_of(task)
    most, least = most_oxygen(task), task.oxygen.lowest if task.oxygen else None
    if least is not None and least.value < law.amount("least-oxygen", "%"):
        return said("its air may hold %(least)s %% oxygen", least=same(f"{least.value:g}"))
    if most is not None and most.value > law.amount("enriched-air", "%"):
        return said("its air may hold %(most)s %% oxygen", most=same(f"{most.value:g}"))
    return said("its air is immediately dangerous") if air.is_danger_shown and not air.danger_set_by else ""


def _oxygen_shown_lately(facts: Facts, subject: Subject) -> CheckResult:
    """Where air may run short, what was measured is looked at again like any other evidence of the air."""
    path, task = _task(facts, subject)
    place = f"{path}.oxygen.date"
    shown = oxygen_to_show(facts, task)
    if shown is None:
        return CheckResult((place,), nothing=said("No oxygen is told of air that may run short."))
    if shown.date is None:
        return result_at(place, {"last_date": said("no stated day")})
    is_old = is_overdue(due_date(shown.date, months=OLD_MONTHS), facts.as_of)
    return result_at(place, {"last_date": long_date(shown.date)} if is_old else None)


def _oxygen_by_meter(facts: Facts, subject: Subject) -> CheckResult:
    """The oxygen that is stated of a confined space was read from a calibrated meter."""
    path, task = _task(facts, subject)
    place, told = f"{path}.oxygen.by_meter", task.oxygen
    if told is None or told.lowest is None:
        return CheckResult((place,), nothing=said("No oxygen is stated, and the air then counts as deadly."))
    return result_at(place, None if told.by_meter else {"lowest": told.lowest.printed})


def oxygen_to_show(facts: Facts, task: Task) -> Oxygen | None:
    """Return what is told of the oxygen of a task, where air may run short: it grows old there."""
    told = task.oxygen
    if told is None or told.lowest is None:
        return None
    is_short = told.lowest.value < facts.law_of(task).amount("least-oxygen", "%")
    return told if task.confined_space or is_short else None


# ---- people who stand by ------------------------------------------------------------------------------

_STANDBY = "procedures.emergencies.idlh.standby"


def _enough_people(facts: Facts, _subject: Subject) -> CheckResult:
    """As many people as go in and stand by at the least work for the firm."""
    known = len(facts.present)
    stated = facts.description.organisation.employees
    paths = ("people", "organisation.employees", _STANDBY)
    if not known:
        return CheckResult(paths, nothing=said("Nobody is described, which is asked elsewhere."))
    return _enough(facts, paths, known if stated is None else min(known, int(stated)))


def _enough_sets(facts: Facts, _subject: Subject) -> CheckResult:
    """As many of them have a mask in which the others can be got out, and of those whom a deadly task names as well."""
    masks = facts.masks
    has_one = {one.id for _, one in facts.present if any(rescues(masks[m.mask][1]) for m in one.masks)}
    paths = ("people", "masks", _STANDBY)
    if not facts.present:
        return CheckResult(paths, nothing=said("Nobody is described, which is asked elsewhere."))
    found = _enough(facts, paths, len(has_one), {"where": ""})
    if found.faults:
        return found
    needed = people_at_once(facts)
    # Whoever stands by is there: where a task names people, whoever watches over them is among them.
    faults = tuple(
        (
            f"{path}.people",
            {
                "found": str(there),
                "needed": str(needed),
                "where": said(" of those named in “%(task)s”", task=label_of(task)),
            },
        )
        for path, task in facts.our_tasks
        if task.people and facts.selection.air[task.id].is_immediately_dangerous
        if (there := len(has_one.intersection(task.people))) < needed
    )
    return CheckResult(paths, faults, shown=paths[:1])


def _enough(facts: Facts, paths: tuple[str, ...], found: int, words: dict[str, str] | None = None) -> CheckResult:
    needed = people_at_once(facts)
    faults = ((_STANDBY, {"found": str(found), "needed": str(needed), **(words or {})}),) if found < needed else ()
    return CheckResult(paths, faults, shown=paths[:1])


# ---- others who are none ------------------------------------------------------------------------------


def _are_others(facts: Facts, subject: Subject) -> CheckResult:
    """Those to whom work is left are neither the firm, nor one of its people, nor whoever turns up."""
    path, task = _task(facts, subject)
    place = f"{path}.others"
    if task.others is None:
        return CheckResult((place,), nothing=said("To whom it is left is asked elsewhere."))
    about = facts.description
    deputies = (text.partition(",")[0] for text in about.officer.deputies)
    people = [name for name in (about.officer.name, *deputies, *(one.name for one in about.people)) if name]
    rest = _without(task.others, filter(None, (*people, about.organisation.name)))
    is_own = rest != task.others and not _A_NAME.search(rest)
    is_by_first_name = task.others.casefold() in {name.split()[0].casefold() for name in people}
    if is_own or is_by_first_name or is_told("own_crew", task.others):
        return result_at(
            place, {"others": task.others, "trouble": said("that is the firm itself, or one of its people")}
        )
    is_anybody = is_told("anybody", task.others) and not _A_NAME.search(task.others[1:])
    return result_at(place, {"others": task.others, "trouble": said("that names nobody")} if is_anybody else None)


def _without(text: str, names: Iterable[str]) -> str:
    found = "|".join(re.escape(name) for name in sorted(names, key=len, reverse=True))
    return re.sub(rf"(?<!\w)(?:{found})(?!\w)", " ", text, flags=re.IGNORECASE) if found else text


ENTRY_CHECKS: dict[str, Callable[[Facts, Subject], CheckResult]] = {
    "no-permit-for-deadly-air": _needs_no_permit,
    "no-permit-over-a-limit": _no_limit_is_passed,
    "permit-settled-in-bad-air": _settled_in_bad_air,
    "oxygen-shown-lately": _oxygen_shown_lately,
    "oxygen-by-meter": _oxygen_by_meter,
    "enough-people-to-stand-by": _enough_people,
    "enough-sets-to-stand-by": _enough_sets,
    "others-are-others": _are_others,
}
