"""Days in an agent's air, counted, and the examinations that they bring about for those who do the work."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import date

from progdoc.calc.due_dates import due_date, is_overdue
from progdoc.core.late_dataclass import dataclass
from progdoc.core.numbers import counted, long_date
from progdoc.core.said import said, said_join
from progdoc.model.description.people import Person
from progdoc.rules.air.surveillance import (
    Surveillance,
    days_in_year,
    least_days,
    surveillance_rules,
    unread_surveillance,
)
from progdoc.rules.check_result import CheckResult, person_of
from progdoc.rules.facts import Facts
from progdoc.rules.judged.air_results import Assessment
from progdoc.rules.lookup.substances import find_substance
from progdoc.rules.requirement import Subject

__all__ = ["SURVEILLANCE_CHECKS", "Examination", "examinations_of"]


@dataclass(frozen=True, slots=True)
class Examination:
    """The examinations of one wearer that the standard of one agent asks for."""

    agent: str
    rule: Surveillance
    days: int
    last: date | None  # on which one was made or declined
    due: date | None  # until when it counts; None: at once, or not known
    months: int | None  # how soon the last one is repeated


def examinations_of(facts: Facts, person: Person) -> Iterator[Examination]:
    """Yield the examinations of a wearer: the days of all tasks with an agent count together, one above the other."""
    days: dict[Surveillance, int] = {}
    names: dict[Surveillance, str] = {}
    for _, task in facts.tasks_by_person.get(person.id, ()):
        for agent in facts.selection.air[task.id].agents:
            for rule in surveillance_rules(agent):
                days[rule] = days.get(rule, 0) + least_days(task)
                names[rule] = agent.hazard.agent
    begun = {rule: count for rule, count in days.items() if rule.begins_at(count)}
    counted = {(rule.agent, rule.industry) for rule in begun if not rule.is_first}
    for rule, count in begun.items():
        # Whoever is examined again and again has been examined a first time.
        if not rule.is_first or (rule.agent, rule.industry) not in counted:
            days_on_record = _on_record(person, rule.agent, facts.as_of)
            last = max(days_on_record, default=None)
            months = _months_after(rule, days_on_record)
            due = due_date(last, months=months) if last and months else None
            yield Examination(names[rule], rule, count, last, due, months)


def _on_record(person: Person, agent: str, as_of: date) -> list[date]:
    known = (one for one in person.surveillance if one.date <= as_of)
    return [one.date for one in known if (named := find_substance(one.agent)) is not None and named.id == agent]


def _months_after(rule: Surveillance, on_record: list[date]) -> int | None:
    """Return how soon the last one is repeated: sooner as long as the beginning is not over."""
    if rule.first_months is None or rule.first_span_months is None:
        return rule.again_months
    if on_record and max(on_record) < due_date(min(on_record), months=rule.first_span_months):
        return rule.first_months
    return rule.again_months


def _days_known(facts: Facts, subject: Subject) -> CheckResult:
    """Where a standard counts days, somebody says on how many the work is done."""
    path, task = facts.tasks[subject.ids[0].partition(".")[2]]
    agents = facts.selection.air[task.id].agents
    rules = [(one.hazard.agent, rule) for one in agents for rule in surveillance_rules(one) if not rule.is_first]
    places = (f"{path}.days_per_year", f"{path}.frequency")
    if not rules:
        return CheckResult(places, nothing=said("No standard that was read counts days in this air."))
    if days_in_year(task) is not None:
        return CheckResult(places, shown=(places[0] if task.days_per_year is not None else places[1],))
    names, first = said_join(dict.fromkeys((name for name, _ in rules)), ", "), rules[0][1]
    words = {"agent": names, "threshold": first.threshold, "citation": first.citation}
    return CheckResult(places, ((places[0], words),))


def _examined(facts: Facts, subject: Subject) -> CheckResult:
    person = person_of(facts, subject)
    path = f"{subject.path}.surveillance"
    found = tuple(examinations_of(facts, person))
    faults = []
    for one in found:
        if one.last is not None and not (one.due and is_overdue(one.due, facts.as_of)):
            continue
        last = said("none is recorded")
        citation = one.rule.citation
        if one.last is not None and one.due is not None:
            last, citation = (
                said("the last was on %(last)s, due %(due)s", last=long_date(one.last), due=long_date(one.due)),
                one.rule.again_citation,
            )
        faults.append((path, {"asked": _asked(one), "last": last, "citation": citation}))
    nothing = "" if found else said("No standard that was read asks for examinations on so few days.")
    return CheckResult((path,), tuple(faults), (path,) if found else (), nothing)


def _asked(one: Examination) -> str:
    if one.rule.is_first:
        return said(
            "whoever works with %(agent)s is offered a %(what)s, however few the days",
            agent=one.agent,
            what=one.rule.what,
        )
    days = counted(one.days, "day")
    return said(
        "up to %(days)s a year with %(agent)s, %(what)s are due from %(threshold)s on",
        days=days,
        agent=one.agent,
        what=one.rule.whats,
        threshold=one.rule.threshold,
    )


def _asked_about(facts: Facts, subject: Subject) -> CheckResult:
    """Where a standard's medical paragraph was not read, somebody else reads it; a record shows that it was."""
    person = person_of(facts, subject)
    path = f"{subject.path}.surveillance"
    unread: dict[str, tuple[Assessment, str, str]] = {}
    for _, task in facts.tasks_by_person.get(person.id, ()):
        for agent in facts.selection.air[task.id].agents:
            for standard, place in unread_surveillance(agent):
                unread.setdefault(place, (agent, standard, place))
    faults = tuple(
        (path, {"agent": agent.hazard.agent, "look_up": place, "citation": standard})
        for agent, standard, place in unread.values()
        if not _on_record(person, agent.substance.id if agent.substance else "", facts.as_of)
    )
    nothing = "" if unread else said("No standard with a paragraph that was not read governs this work.")
    return CheckResult((path,), faults, (path,) if unread else (), nothing)


SURVEILLANCE_CHECKS: dict[str, Callable[[Facts, Subject], CheckResult]] = {
    "surveillance-days-known": _days_known,
    "surveillance-offered": _examined,
    "unread-surveillance-asked": _asked_about,
}
