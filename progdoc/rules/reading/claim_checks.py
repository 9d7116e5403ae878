"""What the program claims of itself, its people and its work: an approval, a draft, who left, what is still to come."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from datetime import date

from progdoc.core.said import said, said_join
from progdoc.model.description.program import Authority, Program
from progdoc.model.description.quantities import Dimension, Quantity, in_unit
from progdoc.model.description.workplace import DoneBy, Effort, Task
from progdoc.rules.check_result import CheckResult, person_of, person_path
from progdoc.rules.facts import Facts
from progdoc.rules.in_force.states_of_work import enforcing_states
from progdoc.rules.lookup.answers_said import Said, said_by
from progdoc.rules.lookup.languages import brings_a_language, languages_in
from progdoc.rules.lookup.states import (
    EVERYBODY,
    PUBLIC_EMPLOYEES,
    differences_of,
    state_of_address,
    states_in,
    tells_whose_law,
)
from progdoc.rules.lookup.telling_words import claims_approval, clauses_without, is_told, left_the_firm, of_a_draft
from progdoc.rules.lookup.text_intervals import quantities_in
from progdoc.rules.requirement import Subject

__all__ = ["CLAIM_CHECKS"]

_OWN_WORDS = ("program", "organisation", "officer", "own_sections", "definitions", "procedures")

# What tells who is able to do something, and what evidence rests on: of what was done, and not of what will be.
_OF_WHAT_WAS_DONE = re.compile(
    r"(?:officer\.qualifications\[\d+\]|procedures\..*(?:\bby|_by|\.testers_able|\.data|\.source)"
    r"|(?:hazards|filters|masks)\[\d+\].*\.(?:by|basis|guidance|environmental_rule|source|method|shift))"
)
_LONGER_THAN_A_SHIFT = ("day", "week")
_DAY = re.compile(r"\b(?P<year>20\d\d)(?:-(?P<month>\d\d)-(?P<day>\d\d))?(?![\d-])")


def _authority_of_the_state(facts: Facts, _subject: Subject) -> CheckResult:
    """Who enforces is who does so in that state; where it is another, the description says why."""
    place = facts.description.program.jurisdiction
    paths = ("program.jurisdiction.authority", "program.jurisdiction.state", "program.jurisdiction.because")
    entries = enumerate(facts.description.organisation.sites)
    sites = [(f"organisation.sites[{i}].state", site.state) for i, site in entries if site.state]
    unsaid = tuple(_states_of_addresses(facts.description))
    if place.authority is None or (place.state is None and not sites and not unsaid):
        return CheckResult(paths, nothing=said("Authority or state is not said."))
    if tells_whose_law(place.because):
        return CheckResult(paths, shown=paths[-1:])
    found = [(paths[1], _against_the_list(place.authority, place.state))] if place.state else []
    home = set(states_in(place.state or ""))
    for path, state in sites:
        there = set(states_in(state))
        if place.state is None or (there != home and not (there and there < home)):
            trouble = _against_the_list(place.authority, state)
            if not trouble and place.authority is Authority.STATE_PLAN:
                trouble = _of_another_plan(place.state, there - home)
            found.append((path, trouble))
    found += unsaid
    troubles = tuple((path, {"trouble": trouble}) for path, trouble in found if trouble)
    return CheckResult((*paths[:2], *(path for path, _ in sites)), troubles)


def _states_of_addresses(program: Program) -> Iterator[tuple[str, str]]:
    """Yield the sites that lie, by their address, in a state with a plan of its own that nothing else names."""
    named = states_in(program.program.jurisdiction.state or "")
    for i, site in enumerate(program.organisation.sites):
        found = None if site.state else state_of_address(site.address or "") or state_of_address(site.name)
        if found and found[1] == EVERYBODY and found[0] not in named:
            trouble = said(
                "“%(site)s” lies in %(found)s by its address, which enforces by a plan of its own; neither the site "
                "nor the program names that state as the one whose rules hold",
                site=site.name,
                found=found[0],
            )
            yield f"organisation.sites[{i}].state", trouble


def _of_another_plan(named: str | None, others: set[str]) -> str:
    """A site under the plan of a state that the firm does not name: its rules would be nobody's."""
    if not named or not others:
        return ""
    there = said_join(sorted(others), said(" and "))
    return said(
        "a site lies in %(there)s, where another plan enforces than that of “%(named)s”, which alone is named",
        there=there,
        named=named,
    )


def _against_the_list(authority: Authority, state: str) -> str:
    plans = states_in(state)
    if not plans:
        return said("“%(state)s” is no state or territory by the name that the list of plans has", state=state)
    for name, covers in plans.items():
        if authority is Authority.FEDERAL and covers == EVERYBODY:
            return said(
                "federal OSHA is named, and %(name)s has an approved plan of its own, which covers private firms",
                name=name,
            )
        if authority is Authority.STATE_PLAN and covers != EVERYBODY:
            has = said("has one for public employees alone") if covers == PUBLIC_EMPLOYEES else said("has none")
            return said(
                "a state plan is named, and %(name)s %(has)s: private firms stay under federal OSHA", name=name, has=has
            )
    return ""


def _state_rule_compared(facts: Facts, _subject: Subject) -> CheckResult:
    """Somebody has compared the state's rule with the federal one; where nobody has, what is known of it is told."""
    path, place = "program.jurisdiction.compared", facts.description.program.jurisdiction
    if place.compared is not None and said_by(place.compared) is Said.ANSWER:
        return CheckResult((path,), shown=(path,))
    known = said_join(filter(None, map(differences_of, sorted(enforcing_states(facts.description)))), " ")
    return CheckResult((path,), ((path, {"known": known}),))


def _still_to_come(facts: Facts, _subject: Subject) -> CheckResult:
    """No text that tells who is able to, or what was found out, names a day or a year that has not come."""
    texts = [(path, text) for path, text in facts.texts_in("") if _OF_WHAT_WAS_DONE.fullmatch(path)]
    faults = [(path, {"text": text, "found": found}) for path, text in texts if (found := _ahead(text, facts.as_of))]
    return CheckResult(
        tuple(path for path, _ in texts), tuple(faults), nothing=said("No text of what was done names a day to come.")
    )


def _ahead(text: str, as_of: date) -> str:
    """Return the first day or year in a text that has not come, where nothing says until when it counts."""
    for clause in clauses_without("still_counts", text):
        for found in _DAY.finditer(clause):
            year, month, day = found["year"], found["month"] or "01", found["day"] or "01"
            if f"{year}-{month}-{day}" > as_of.isoformat():
                return found[0]
    return ""


def _work_in_words(facts: Facts, subject: Subject) -> CheckResult:
    """The words of a task tell more hours, more heat or harder work than its fields, or that no mask is worn."""
    path, task = facts.tasks[subject.ids[0].partition(".")[2]]
    texts = [
        (f"{path}.{field}", text) for field, text in (("name", task.name), ("description", task.description)) if text
    ]
    faults = [
        (place, {"text": text, "trouble": trouble})
        for place, text in texts
        for trouble in _against_fields(text, task, facts.is_worn(task))
    ]
    return CheckResult(
        tuple(place for place, _ in texts),
        tuple(faults[:1]),
        nothing=said("No text of the task says more than its fields."),
    )


def _against_fields(text: str, task: Task, is_worn: bool) -> Iterator[str]:
    if is_worn and is_told("not_worn", text):
        yield said("no mask is worn, and one is required here")
    clauses = list(clauses_without("not_of_a_shift", text))
    times = [time for time in (task.duration, task.shift) if time]
    for hours in (found for clause in clauses for found in quantities_in(clause, Dimension.DURATION)):
        if hours.unit in _LONGER_THAN_A_SHIFT:
            continue  # how long the whole job lasts
        if times and all(in_unit(hours, "h") > in_unit(time, "h") for time in times):
            yield said(
                "“%(hours)s”, and the task is stated with %(times)s", hours=hours.printed, times=times[0].printed
            )
    yield from _hotter(clauses, task.temperature_high)
    if task.effort in (Effort.LIGHT, Effort.MODERATE) and any(is_told("heavy_work", clause) for clause in clauses):
        yield said("heavy work, and its effort is said to be %(effort)s", effort=task.effort)


def _hotter(clauses: list[str], highest: Quantity | None) -> Iterator[str]:
    for found in (heat for clause in clauses for heat in quantities_in(clause, Dimension.TEMPERATURE)):
        if highest is not None and in_unit(found, "F") > in_unit(highest, "F"):
            yield said(
                "“%(found)s”, and the hottest air is stated with %(highest)s",
                found=found.printed,
                highest=highest.printed,
            )


def _approved_by_an_agency(facts: Facts, _subject: Subject) -> CheckResult:
    """No text says that an agency approved the program, its procedures or its officer: none of them does."""
    texts = [(path, text) for path, text in facts.texts_in("") if path.split(".")[0].split("[")[0] in _OWN_WORDS]
    faults = [(path, {"text": text, "words": words}) for path, text in texts if (words := claims_approval(text))]
    return CheckResult(
        tuple(path for path, _ in texts),
        tuple(faults),
        nothing=said("No text claims that an agency approved the program."),
    )


def _calls_itself_a_draft(facts: Facts, _subject: Subject) -> CheckResult:
    """Neither the title nor the newest entry of the history says that the program is not in force."""
    program = facts.description.program
    texts = [("program.title", program.title)] if program.title else []
    entries = [(entry.date, i, entry.summary) for i, entry in enumerate(program.history)]  # whichever comes first
    texts += [(f"program.history[{i}].summary", summary) for _, i, summary in sorted(entries)[-1:]]
    faults = [(path, {"text": text, "words": words}) for path, text in texts if (words := of_a_draft(text))]
    return CheckResult(
        tuple(path for path, _ in texts), tuple(faults), nothing=said("The program does not call itself a draft.")
    )


def _left(facts: Facts, subject: Subject) -> CheckResult:
    """Neither name nor job says of somebody who is listed that they left."""
    person, path = person_of(facts, subject), person_path(facts, subject)
    texts = [(f"{path}.{field}", text) for field, text in (("name", person.name), ("job", person.job)) if text]
    faults = [(place, {"words": words}) for place, text in texts if (words := left_the_firm(text))]
    return CheckResult(
        tuple(place for place, _ in texts), tuple(faults), nothing=said("Nothing says that this person left.")
    )


def _may_judge_health(facts: Facts, _subject: Subject) -> CheckResult:
    """Whoever evaluates wearers is named by a trade whose licence need not let them."""
    path, name = "procedures.medical.professional.name", facts.description.procedures.medical.professional.name
    is_open = name is not None and is_told("no_health_judge", name) and not is_told("licensed", name)
    faults = ((path, {"text": name or ""}),) if is_open else ()
    return CheckResult((path,), faults, nothing=said("No trade is named that need not be let judge health."))


def _others_in_bad_air(facts: Facts, subject: Subject) -> CheckResult:
    """Others are named for a task that our people do, or are said to wear no mask where the air calls for one."""
    path, task = facts.tasks[subject.ids[0].partition(".")[2]]
    place, trouble = f"{path}.others", ""
    is_told_of = task.others is not None and said_by(task.others) not in (Said.REFUSAL, Said.PLACEHOLDER)
    if task.others is not None and is_told_of and not is_told("nobody_else", task.others):
        if task.done_by is DoneBy.OUR_PEOPLE:
            trouble = said("our people do the task: nothing judges the air for these")
        elif facts.is_needed(task) and (is_told("unmasked", task.others) or is_told("not_worn", task.others)):
            trouble = said("its air calls for a mask")
    faults = ((place, {"text": task.others or "", "trouble": trouble}),) if trouble else ()
    return CheckResult(
        (place, f"{path}.done_by"), faults, nothing=said("Nobody is said to stand in its air without a mask.")
    )


_UNDERSTOOD = {
    "procedures.training.understandable": said("the training"),
    "procedures.medical.understood": said("the questionnaire"),
}


def _language_of_the_wearer(facts: Facts, subject: Subject) -> CheckResult:
    """Where a record names the language of a wearer and the program names languages, one of them is the same."""
    person, path = person_of(facts, subject), person_path(facts, subject)
    spoken = {name for entry in person.training for name in languages_in(entry.language or "")}
    if not spoken:
        return CheckResult((f"{path}.training",), nothing=said("No record names a language."))
    texts = [(place, text, about) for place, about in _UNDERSTOOD.items() if (text := facts.value_at(place))]
    faults = tuple(
        (place, {"language": said_join(sorted(spoken), said(" and ")), "text": text, "about": about})
        for place, text, about in texts
        if (named := languages_in(text)) and not named & spoken and not brings_a_language(text)
    )
    return CheckResult(
        (f"{path}.training", *_UNDERSTOOD), faults, nothing=said("No language stands against that of a record.")
    )


CLAIM_CHECKS: dict[str, Callable[[Facts, Subject], CheckResult]] = {
    "authority-of-the-state": _authority_of_the_state,
    "state-rule-compared": _state_rule_compared,
    "language-of-the-wearer": _language_of_the_wearer,
    "no-approval-claimed": _approved_by_an_agency,
    "no-draft-in-words": _calls_itself_a_draft,
    "person-still-there": _left,
    "nothing-still-to-come": _still_to_come,
    "work-as-its-fields-say": _work_in_words,
    "professional-may-judge": _may_judge_health,
    "others-not-in-bad-air": _others_in_bad_air,
}
