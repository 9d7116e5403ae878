"""Two things that a description says and that can't both be so, or one that can hardly be so at all.

The law does not say how long a shift may be, or that a revision has one date. Which of two is wrong, nobody can tell
from here, so each is a caution that names both.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator
from math import fsum

from progdoc.core.numbers import counted, long_date
from progdoc.core.said import said, said_join, same
from progdoc.model.description.devices import Cylinder, Unit
from progdoc.model.description.quantities import Quantity, in_unit
from progdoc.model.description.words import label_of
from progdoc.model.description.workplace import Task
from progdoc.rules.air.asbestos import is_classed
from progdoc.rules.air.regulated_areas import area_paragraph
from progdoc.rules.air.same_day import fit_into_a_year, same_weekday
from progdoc.rules.air.surveillance import days_in_year, most_days
from progdoc.rules.check_result import CheckResult, person_of, person_path
from progdoc.rules.facts import Facts
from progdoc.rules.judged.air_results import Assessment
from progdoc.rules.judged.published import LimitKind
from progdoc.rules.lookup.facepieces import SCBA
from progdoc.rules.lookup.likely_figures import deep_bed
from progdoc.rules.lookup.standard_tables import carcinogen
from progdoc.rules.lookup.telling_words import is_told
from progdoc.rules.records.dangling_words import last_day_accepted
from progdoc.rules.records.figure_bounds import figures_out_of_bounds, record_figures
from progdoc.rules.requirement import Subject

__all__ = ["CONTRADICTION_CHECKS"]

# Bounds of what is taken for a slip: our choice, no source.
_DAYS_OF_A_YEAR = 366
_HOURS_OF_A_DAY = 24.0
_LONGEST_SHIFT_H = 16.0
_DIGITS_OF_A_PHONE = 5
_PHONES = ("officer.phone", "procedures.medical.professional.phone")

Fault = tuple[str, dict[str, str]]


def _told(paths: tuple[str, ...], faults: tuple[Fault, ...]) -> CheckResult:
    """That nothing contradicts it shows no fact to be right."""
    return CheckResult(paths, faults, nothing=said("Nothing of it contradicts another."))


def _dates_of_the_program(facts: Facts, _subject: Subject) -> CheckResult:
    info = facts.description.program
    paths = ("program.revision", "program.effective", "program.history")
    if not info.history:
        return CheckResult(paths, nothing=said("No revision history is told."))
    return _told(paths, tuple(_in_history(facts)))


def _in_history(facts: Facts) -> Iterator[Fault]:
    info = facts.description.program
    counted = Counter(entry.revision for entry in info.history)
    for i, entry in enumerate(info.history):
        if counted[entry.revision] > 1:
            yield (
                f"program.history[{i}].revision",
                {"trouble": said("revision %(revision)s has more than one entry", revision=entry.revision)},
            )
    newest = max(info.history, key=lambda entry: entry.date)
    own = next((entry for entry in info.history if entry.revision == info.revision), None)
    if own is None or counted[own.revision] > 1:
        return
    if own.date < newest.date:
        told = said(
            "this is revision %(revision)s, and the newest of the history is %(revisiona)s",
            revision=own.revision,
            revisiona=newest.revision,
        )
        yield "program.revision", {"trouble": said("%(told)s of %(date)s", told=told, date=long_date(newest.date))}
    elif info.effective is not None and info.effective != own.date:
        told = said(
            "the program applies from %(effective)s, and by its history revision %(revision)s",
            effective=long_date(info.effective),
            revision=own.revision,
        )
        yield (
            "program.effective",
            {"trouble": said("%(told)s took effect on %(date)s", told=told, date=long_date(own.date))},
        )


def _firm(facts: Facts, _subject: Subject) -> CheckResult:
    """More people are listed than work for the firm; or another of them made the revision than the officer."""
    program = facts.description
    faults: list[Fault] = []
    employees = program.organisation.employees
    if employees is not None and employees < len(facts.present):
        work = said("person works") if employees == 1 else said("people work")
        told = said(
            "%(employees)s %(work)s for the firm, and %(n)s are listed",
            employees=employees,
            work=work,
            n=len(facts.present),
        )
        faults.append(("organisation.employees", {"trouble": told}))
    named = " ".join((program.officer.name or "", *program.officer.deputies))
    newest = max(program.program.history, key=lambda entry: entry.date, default=None)
    ours = {person.name for person in program.people}
    if newest is not None and program.officer.name and newest.by in ours and newest.by not in named:
        told = said(
            "the officer is %(officer)s, and the newest revision was made by %(by)s",
            officer=program.officer.name,
            by=newest.by,
        )
        faults.append(
            ("officer.name", {"trouble": said("%(told)s, who does not stand in for the officer either", told=told)})
        )
    return _told(("organisation.employees", "officer.name"), tuple(faults))


def _name_of_somebody_else(facts: Facts, subject: Subject) -> CheckResult:
    person, path = person_of(facts, subject), f"{person_path(facts, subject)}.name"
    same = [other for other in facts.ids_by_name.get(person.name or "", ()) if other != person.id]
    return _told((path,), ((path, {"id": same[0]}),) if same else ())


# ---- what is said of an agent that it does not belong to -----------------------------------------------


def _fields_of_agent(facts: Facts, subject: Subject) -> CheckResult:
    task, hazard = (name.partition(".")[2] for name in subject.ids)
    agent = next(a for a in facts.selection.air[task].agents if a.hazard.id == hazard)
    strange = _strange(agent, facts.tasks[task][1])
    faults = tuple((f"{subject.path}.{field}", {"field": field, "why": why}) for field, why in strange)
    return _told((subject.path,), faults)


def _strange(agent: Assessment, task: Task) -> Iterator[tuple[str, str]]:
    hazard, substance = agent.hazard, agent.substance
    if hazard.regulated_area and not area_paragraph(hazard, task, substance):
        yield "regulated_area", said("no standard regulates areas of this agent in this industry")
    if hazard.peaks and not any(limit.kind is LimitKind.PEAK for limit in agent.limits):
        yield "peaks", said("Table Z-2 allows this agent no peaks, or another limit binds here")
    if hazard.asbestos is not None and not is_classed(task, substance):
        yield "asbestos", said("masks go by the class of work with asbestos alone, in construction and shipyards")
    if hazard.carcinogen is not None and (substance is None or carcinogen(substance.id) is None):
        yield "carcinogen", said("it is none of the carcinogens that have one standard together")


# ---- figures that can hardly be -----------------------------------------------------------------------


def _figures(facts: Facts, _subject: Subject) -> CheckResult:
    faults = [fault for path, task in facts.our_tasks for fault in _of_task(path, task)]
    faults += [
        *_put_far_off(facts),
        *_phones(facts),
        *figures_out_of_bounds(facts),
        *_twice_on_a_day(facts),
        *_of_cartridges(facts),
        *_of_pieces(facts),
        *_of_numbers(facts),
    ]
    return _told(
        (*_PHONES, "tasks", "hazards", "masks", "cylinders", "filters", "procedures", "organisation.sites", "policies"),
        tuple(faults),
    )


def _phones(facts: Facts) -> Iterator[Fault]:
    """A number that is too short to be rung, and is not said to be an extension or a channel."""
    for path in _PHONES:
        number = facts.value_at(path)
        if number and sum(map(str.isdigit, number)) < _DIGITS_OF_A_PHONE and not any(map(str.isalpha, number)):
            told = said(
                "“%(number)s” under `%(path)s` is too short for a telephone number", number=number, path=same(path)
            )
            yield path, {"trouble": said("%(told)s; write the whole, or call it an extension or a channel", told=told)}


def _put_far_off(facts: Facts) -> Iterator[Fault]:
    """What an evaluation found is to be mended in years."""
    most = last_day_accepted(facts.as_of)
    for i, found in enumerate(facts.description.procedures.evaluation.findings):
        if found.due is not None and found.done is None and found.due > most:
            told = said(
                "what an evaluation found, “%(what)s”, is to be mended by %(due)s and no sooner",
                what=found.what,
                due=long_date(found.due),
            )
            yield f"procedures.evaluation.findings[{i}].due", {"trouble": told}


def _of_cartridges(facts: Facts) -> Iterator[Fault]:
    """A bed of carbon that no mask carries, and a schedule for what no schedule is held against."""
    for path, part in facts.filters.values():
        told = deep_bed(part.carbon) if part.carbon is not None else ""
        if told:  # a life worked out from it would be too long
            yield f"{path}.carbon.mass", {"trouble": said("%(part)s: %(told)s", part=label_of(part), told=told)}

    for i, plan in enumerate(facts.description.procedures.filter_changes.schedules):
        part = facts.filters[plan.filter][1]
        if not part.gases and not part.agents:
            told = said("a change schedule is written for %(part)s, which stops no gas or vapour", part=label_of(part))
            known = said(
                "when a particle filter is changed is said under its own entry, and no schedule is held against it"
            )
            yield (
                f"procedures.filter_changes.schedules[{i}].filter",
                {"trouble": said("%(told)s; %(known)s", told=told, known=known)},
            )
        texts = (text for text in (plan.change, plan.data, plan.reliance) if text)
        is_of_one_day = plan.reused is False or any(is_told("of_one_day", text) for text in texts)
        if is_of_one_day and plan.after is not None and in_unit(plan.after, "h") > _HOURS_OF_A_DAY:
            told = said(
                "%(after)s in use at most, of a cartridge that is worn on no second day", after=plan.after.printed
            )
            yield f"procedures.filter_changes.schedules[{i}].after", {"trouble": told}


def _of_pieces(facts: Facts) -> Iterator[Fault]:
    """Single masks and cylinders of one number, and a stock that their list does not come to."""
    bottles: dict[str, str] = {}
    yield from _of_kinds(facts)
    for path, mask in facts.masks.values():
        serials: set[str] = set()
        for i, unit in enumerate(mask.units):
            if unit.serial in serials:
                told = said(
                    "%(mask)s: more than one piece is called “%(serial)s”; a record can be of either",
                    mask=label_of(mask),
                    serial=unit.serial,
                )
                yield f"{path}.units[{i}].serial", {"trouble": told}
            serials |= {unit.serial} if unit.serial else set()
            bottle = unit.cylinder.serial if unit.cylinder is not None else None
            if bottle and bottle in bottles:
                told = said(
                    "the cylinder “%(bottle)s” is on two pieces, %(bottles)s and %(serial)s",
                    bottle=bottle,
                    bottles=bottles[bottle],
                    serial=unit.serial or unit.id,
                )
                yield f"{path}.units[{i}].cylinder.serial", {"trouble": told}
            elif bottle:
                bottles[bottle] = unit.serial or unit.id
        has_records = mask.emergency or mask.mode in SCBA or mask.auxiliary_air
        if mask.in_stock is None or not mask.units or mask.in_stock == len(mask.units):
            continue
        if mask.in_stock < len(mask.units) or has_records:
            told = said(
                "%(mask)s: %(in_stock)s in stock, and %(n)s with records of inspection",
                mask=label_of(mask),
                in_stock=mask.in_stock,
                n=len(mask.units),
            )
            yield f"{path}.in_stock", {"trouble": told}


def _of_kinds(facts: Facts) -> Iterator[Fault]:
    """Pieces of two kinds by one maker that have one number, and pieces that were looked at before they were bought."""
    seen: dict[tuple[str, str], str] = {}
    for path, mask in facts.masks.values():
        for i, unit in enumerate(mask.units):
            number = ((mask.make or "").lower(), unit.serial or "")
            if unit.serial and seen.setdefault(number, mask.id) != mask.id:
                other = label_of(facts.masks[seen[number]][1])
                told = said(
                    "“%(serial)s” is a %(mask)s and a %(other)s; a record can be of either",
                    serial=unit.serial,
                    mask=label_of(mask),
                    other=other,
                )
                yield f"{path}.units[{i}].serial", {"trouble": told}
            days = [one.date for one in unit.inspections] + [one.date for one in unit.flow_tests]
            days += [one.since for one in unit.repairs]
            if unit.purchased is not None and days and min(days) < unit.purchased:
                name, bought = (
                    said("%(mask)s %(serial)s", mask=label_of(mask), serial=unit.serial or unit.id),
                    long_date(unit.purchased),
                )
                told = said(
                    "%(name)s was bought on %(bought)s, and has a record of %(days)s",
                    name=name,
                    bought=bought,
                    days=long_date(min(days)),
                )
                yield f"{path}.units[{i}].purchased", {"trouble": told}


def _of_numbers(facts: Facts) -> Iterator[Fault]:
    """Cylinders in reserve that have the number of another cylinder, and inventory numbers that are there twice."""
    pieces = [(f"{path}.units[{i}]", unit) for path, mask in facts.masks.values() for i, unit in enumerate(mask.units)]
    held = [(f"{path}.cylinder", unit.cylinder) for path, unit in pieces if unit.cylinder is not None]
    spares = [(f"cylinders[{i}]", spare) for i, spare in enumerate(facts.description.cylinders)]
    serials = {one.serial for _, one in held if one.serial}
    for path, spare in spares:
        if spare.serial in serials:
            told = said("more than one cylinder is called “%(serial)s”; a record can be of either", serial=spare.serial)
            yield f"{path}.serial", {"trouble": told}
        serials |= {spare.serial} if spare.serial else set()
    numbers: set[str] = set()
    numbered: list[tuple[str, Unit | Cylinder]] = [*pieces, *held, *spares]
    for path, thing in numbered:
        if thing.inventory in numbers:
            told = said(
                "the inventory number “%(inventory)s” is given twice; a record can be of either",
                inventory=thing.inventory,
            )
            yield f"{path}.inventory", {"trouble": told}
        numbers |= {thing.inventory} if thing.inventory else set()


def _of_task(path: str, task: Task) -> Iterator[Fault]:
    name = said("“%(task)s”", task=label_of(task))
    low, high = task.temperature_low, task.temperature_high
    if low and high and in_unit(low, "C") > in_unit(high, "C"):
        told = said(
            "%(name)s: the lowest temperature, %(low)s, is over the highest, %(high)s",
            name=name,
            low=low.printed,
            high=high.printed,
        )
        yield f"{path}.temperature_low", {"trouble": told}
    if task.shift is not None and in_unit(task.shift, "h") >= _LONGEST_SHIFT_H:
        yield (
            f"{path}.shift",
            {
                "trouble": said(
                    "%(name)s: a shift of %(shift)s leaves no time to rest", name=name, shift=task.shift.printed
                )
            },
        )
    if task.duration is None:
        return
    hours = in_unit(task.duration, "h")
    if task.shift is not None and hours > in_unit(task.shift, "h"):
        told = said(
            "%(name)s: %(duration)s at it are more than the shift of %(shift)s",
            name=name,
            duration=task.duration.printed,
            shift=task.shift.printed,
        )
        yield f"{path}.duration", {"trouble": told}
    elif task.shift is None and hours >= _LONGEST_SHIFT_H:
        told = said(
            "%(name)s: %(duration)s at it in a shift leave no time to rest, and no shift is stated",
            name=name,
            duration=task.duration.printed,
        )
        yield f"{path}.duration", {"trouble": told}


def _twice_on_a_day(facts: Facts) -> Iterator[Fault]:
    breaks = facts.description.procedures.filter_changes.breaks
    for what, told in (("name", [one.name for one in breaks]), ("at", [one.at for one in breaks])):
        for i, value in enumerate(told):
            if value in told[:i]:
                stated = (
                    said("the pause “%(value)s” stands there twice", value=value)
                    if what == "name"
                    else said("two pauses begin at %(value)s", value=value)
                )
                yield f"procedures.filter_changes.breaks[{i}].{what}", {"trouble": stated}


def _hours_of_a_wearer(facts: Facts, subject: Subject) -> CheckResult:
    """What somebody does in a year takes more hours than a year has, each task on all the days that are said."""
    tasks = facts.relevant_to(subject).tasks
    paths = tuple(f"{path}.{name}" for path, _ in tasks for name in ("duration", "days_per_year", "frequency"))
    if len(tasks) < 2:
        return CheckResult(paths, nothing=said("No two tasks name this wearer."))
    hours = fsum(_hours_a_year(task) for _, task in tasks)
    of_a_year = _DAYS_OF_A_YEAR * _HOURS_OF_A_DAY
    if hours <= of_a_year:
        return _told(paths, ())
    names = said_join((said("“%(task)s”", task=label_of(task)) for _, task in tasks if _hours_a_year(task)), ", ")
    words = {"tasks": names, "hours": f"{hours:,.0f}", "year": f"{of_a_year:,.0f}"}
    return CheckResult(paths, ((f"{tasks[0][0]}.duration", words),))


def _hours_a_year(task: Task) -> float:
    """The hours of a task in a year; 0 where nobody says on how many days, or for how long."""
    days: float | None = None if task.days_per_year is None else float(task.days_per_year)
    if days is None and task.frequency and not is_told("part_of_the_year", task.frequency):
        found = most_days(task.frequency)
        days = None if found is None else float(found)
    duration: Quantity | None = task.duration
    return 0.0 if days is None or duration is None else days * in_unit(duration, "h")


def _apart_in_a_year(facts: Facts, subject: Subject) -> CheckResult:
    """Two tasks of the same people that are kept apart need no more days together than a year has."""
    path, task = facts.tasks[subject.ids[0].partition(".")[2]]
    place = f"{path}.never_same_day"
    if not task.never_same_day:
        return CheckResult((place,), nothing=said("No task is kept apart from it."))
    others = [facts.tasks[name][1] for name in task.never_same_day if name != task.id]
    clash = next((o for o in others if _share_people(task, o) and not fit_into_a_year(task, o)), None)
    if clash is None:
        return CheckResult((place,))
    weekday = same_weekday(task, clash)
    one, other = days_in_year(task), days_in_year(clash)
    days = said("on %(one)s and %(other)s a year", one=one, other=counted(other or 0, "day"))
    if one is None or other is None:
        days = said("one on all days of the year, the other on days that nobody has counted")
    when = said("both on a %(weekday)s", weekday=weekday.capitalize()) if weekday else days
    return CheckResult((place,), ((place, {"other": clash.name, "when": when}),))


def _share_people(one: Task, other: Task) -> bool:
    return not one.people or not other.people or bool(set(one.people) & set(other.people))


CONTRADICTION_CHECKS: dict[str, Callable[[Facts, Subject], CheckResult]] = {
    "apart-on-days-there-are": _apart_in_a_year,
    "program-dates-agree": _dates_of_the_program,
    "firm-agrees-with-itself": _firm,
    "figures-can-be": _figures,
    "record-figures-can-be": record_figures,
    "fields-belong-to-agent": _fields_of_agent,
    "names-tell-people-apart": _name_of_somebody_else,
    "hours-fit-into-a-year": _hours_of_a_wearer,
}
