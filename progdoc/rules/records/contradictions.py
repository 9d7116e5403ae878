"""Two things that a description says and that can't both be so, or one that can hardly be so at all.

The law does not say how long a shift may be, or that a revision has one date. Which of two is wrong, nobody can tell
from here, so each is a caution that names both.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator

from progdoc.core.numbers import long_date
from progdoc.core.said import said, same
from progdoc.model.description.quantities import in_unit
from progdoc.model.description.words import label_of
from progdoc.model.description.workplace import Task
from progdoc.rules.air.asbestos import is_classed
from progdoc.rules.air.regulated_areas import area_paragraph
from progdoc.rules.check_result import CheckResult, FaultAt, contradicted, person_of, person_path
from progdoc.rules.facts import Facts
from progdoc.rules.judged.air_results import Assessment
from progdoc.rules.judged.published import LimitKind
from progdoc.rules.lookup.likely_figures import deep_bed
from progdoc.rules.lookup.standard_tables import carcinogen
from progdoc.rules.lookup.telling_words import is_told
from progdoc.rules.records.dangling_words import last_day_accepted
from progdoc.rules.records.figure_bounds import figures_out_of_bounds, record_figures
from progdoc.rules.records.piece_numbers import piece_faults
from progdoc.rules.requirement import Subject

__all__ = ["CONTRADICTION_CHECKS"]

# Bounds of what is taken for a slip: our choice, no source.
_HOURS_OF_A_DAY = 24.0
_LONGEST_SHIFT_H = 16.0
_DIGITS_OF_A_PHONE = 5
_PHONES = ("officer.phone", "procedures.medical.professional.phone")


def _dates_of_the_program(facts: Facts, _subject: Subject) -> CheckResult:
    info = facts.description.program
    paths = ("program.revision", "program.effective", "program.history")
    if not info.history:
        return CheckResult(paths, nothing=said("No revision history is told."))
    return contradicted(paths, tuple(_in_history(facts)))


def _in_history(facts: Facts) -> Iterator[FaultAt]:
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
    faults: list[FaultAt] = []
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
    return contradicted(("organisation.employees", "officer.name"), tuple(faults))


def _name_of_somebody_else(facts: Facts, subject: Subject) -> CheckResult:
    person, path = person_of(facts, subject), f"{person_path(facts, subject)}.name"
    same = [other for other in facts.ids_by_name.get(person.name or "", ()) if other != person.id]
    return contradicted((path,), ((path, {"id": same[0]}),) if same else ())


# ---- what is said of an agent that it does not belong to -----------------------------------------------


def _fields_of_agent(facts: Facts, subject: Subject) -> CheckResult:
    task, hazard = (name.partition(".")[2] for name in subject.ids)
    agent = next(a for a in facts.selection.air[task].agents if a.hazard.id == hazard)
    strange = _strange(agent, facts.tasks[task][1])
    faults = tuple((f"{subject.path}.{field}", {"field": field, "why": why}) for field, why in strange)
    return contradicted((subject.path,), faults)


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
        *piece_faults(facts),
    ]
    return contradicted(
        (*_PHONES, "tasks", "hazards", "masks", "cylinders", "filters", "procedures", "organisation.sites", "policies"),
        tuple(faults),
    )


def _phones(facts: Facts) -> Iterator[FaultAt]:
    """A number that is too short to be rung, and is not said to be an extension or a channel."""
    for path in _PHONES:
        number = facts.value_at(path)
        if number and sum(map(str.isdigit, number)) < _DIGITS_OF_A_PHONE and not any(map(str.isalpha, number)):
            told = said(
                "“%(number)s” under `%(path)s` is too short for a telephone number", number=number, path=same(path)
            )
            yield path, {"trouble": said("%(told)s; write the whole, or call it an extension or a channel", told=told)}


def _put_far_off(facts: Facts) -> Iterator[FaultAt]:
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


def _of_cartridges(facts: Facts) -> Iterator[FaultAt]:
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


def _of_task(path: str, task: Task) -> Iterator[FaultAt]:
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


def _twice_on_a_day(facts: Facts) -> Iterator[FaultAt]:
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


CONTRADICTION_CHECKS: dict[str, Callable[[Facts, Subject], CheckResult]] = {
    "program-dates-agree": _dates_of_the_program,
    "firm-agrees-with-itself": _firm,
    "figures-can-be": _figures,
    "record-figures-can-be": record_figures,
    "fields-belong-to-agent": _fields_of_agent,
    "names-tell-people-apart": _name_of_somebody_else,
}
