"""Looks for words that point at nothing: codes and subjects nobody knows, days that have not come, sizes nobody stocks.

Ids that lead nowhere are refused before anything is judged; what is found here can be read, and means nothing, so that
a record is false or a rule binds nobody. Each check returns the places it read and, for each thing wrong, a place and
the words for the placeholders of the requirement's text.
"""

from __future__ import annotations

import difflib
import re
from collections.abc import Callable, Iterable, Iterator
from datetime import date

from progdoc.calc.due_dates import due_date
from progdoc.core.numbers import long_date
from progdoc.core.said import said, said_join, same
from progdoc.model.description.fields import field_at, texts_in
from progdoc.model.description.policies import Policy, PolicyCredit
from progdoc.model.description.words import label_of
from progdoc.rules.check_result import CheckResult, person_of, person_path, result_at
from progdoc.rules.facts import NO_EARLIER, Facts
from progdoc.rules.in_force.policy_reach import binds, is_coming, origin_of
from progdoc.rules.lookup.substances import find_substance, is_named, near_names
from progdoc.rules.lookup.withdrawal import is_withdrawn
from progdoc.rules.requirement import Subject

__all__ = ["ACCEPTED_IS_FOUND", "DANGLING_WORD_CHECKS", "MAY_LIE_AHEAD", "last_day_accepted"]

ACCEPTED_IS_FOUND = "accepted-is-found"  # asked of the findings of all other duties, and so after them
_OFFICER = "officer"  # who is named by the office is named
_ACCEPTED_MONTHS = 12  # our choice: a year from now whoever answers for it looks again

# Days that are set ahead, planned, or announced: of a revision, a rule, a withdrawal, a next date, an end.
MAY_LIE_AHEAD = frozenset(
    {
        "accepted[].until",
        "cylinders[].end_of_life",
        "cylinders[].requalify_by",
        "cylinders[].withdrawn.since",
        "filters[].stock[].use_by",
        "masks[].units[].cylinder.end_of_life",
        "masks[].units[].cylinder.requalify_by",
        "masks[].units[].end_of_life",
        "masks[].units[].use_by",
        "masks[].units[].withdrawn.since",
        "masks[].withdrawn.since",
        "people[].medical[].next_review",
        "people[].left",
        "policies[].date",
        "procedures.evaluation.findings[].due",
        "program.control.next_review",
        "program.effective",
        "program.history[].date",
        "roles[].since",
    }
)
_EVIDENCE_AHEAD = "EXP-026"
_OF_SOMEBODY = re.compile(r"(people\[\d+\]|masks\[\d+\]\.units\[\d+\])")

_WHOSE_AND_WHERE = frozenset({"id", "by", "source", "date", "sites", "tasks", "groups", "agents", "masks"})

Found = tuple[str, dict[str, str]]


def _near(word: str, known: Iterable[str]) -> str:
    near = difflib.get_close_matches(word, list(known), 1, 0.6)
    return said("; did you mean `%(near)s`?", near=same(near[0])) if near else ""


# ---- accepted -----------------------------------------------------------------------------------------


def _unknown_codes(facts: Facts, _subject: Subject) -> CheckResult:
    """A finding is accepted by a code that no finding has."""
    faults = tuple(
        (f"accepted[{i}].code", {"code": entry.code, "hint": _near_code(entry.code, facts.known_codes)})
        for i, entry in enumerate(facts.description.accepted)
        if entry.code not in facts.known_codes
    )
    return CheckResult(("accepted",), faults, nothing=said("Every code that is accepted is one of a finding."))


def _letters(code: str) -> str:
    return re.sub(r"[^A-Z0-9]", "", code.upper())


def last_day_accepted(as_of: date) -> date:
    """Return until when a finding can be put away at the most; an acceptance that runs longer is none."""
    return due_date(as_of, months=_ACCEPTED_MONTHS)


def _accepted_for_long(facts: Facts, _subject: Subject) -> CheckResult:
    """A finding is accepted for so long that it is put away and not answered for."""
    most = last_day_accepted(facts.as_of)
    faults = tuple(
        (f"accepted[{i}].until", {"code": entry.code, "until": long_date(entry.until), "most": long_date(most)})
        for i, entry in enumerate(facts.description.accepted)
        if entry.until > most
    )
    return CheckResult(("accepted",), faults, nothing=said("Nothing is accepted for more than a year."))


def _accepted_by_nobody_known(facts: Facts, _subject: Subject) -> CheckResult:
    """Whoever answers for a finding stands elsewhere in the description too: as one of ours, or as who did a thing."""
    accepted = facts.description.accepted
    if not accepted:
        return CheckResult(("accepted",), nothing=said("Nothing is accepted."))
    others = facts.description.model_copy(update={"accepted": ()})
    stated = "\n".join(text for _, text in texts_in(others)).casefold()
    ours = tuple(name.casefold() for name in facts.names_of_ours)
    faults = tuple(
        (f"accepted[{i}].by", {"code": entry.code, "by": entry.by})
        for i, entry in enumerate(accepted)
        if (by := entry.by.casefold()) not in stated and _OFFICER not in by and not any(name in by for name in ours)
    )
    return CheckResult(("accepted",), faults, nothing=said("Whoever answers for it is told of elsewhere."))


def _accepted_and_not_found(facts: Facts, _subject: Subject) -> CheckResult:
    """An entry that covers no finding today would cover one that comes up tomorrow, which nobody has looked at."""
    accepted = facts.description.accepted
    faults = tuple((f"accepted[{i}].code", {"code": accepted[i].code}) for i in facts.idle_acceptances)
    return CheckResult(("accepted",), faults, nothing=said("Each entry covers a finding."))


def _near_code(code: str, known: Iterable[str]) -> str:
    by_letters = {_letters(one): one for one in known}
    near = by_letters.get(_letters(code))
    if near:
        return said("; did you mean `%(near)s`?", near=same(near))
    return _near(code.upper(), sorted(by_letters.values()))


def _unknown_subjects(facts: Facts, _subject: Subject) -> CheckResult:
    """A finding is accepted for a subject that the description does not hold."""
    known = tuple(_subjects(facts))
    faults = tuple(
        (f"accepted[{i}].subject", {"subject_named": entry.subject, "hint": _near(entry.subject, known)})
        for i, entry in enumerate(facts.description.accepted)
        if entry.subject is not None and entry.subject not in known
    )
    return CheckResult(("accepted",), faults, nothing=said("Every subject that is named there is described."))


def _subjects(facts: Facts) -> Iterator[str]:
    """Yield everything that a finding can be about, as findings name it."""
    of = facts.description
    schedules = of.procedures.filter_changes.schedules
    for kind, things in (("tasks", of.tasks), ("hazards", of.hazards), ("masks", of.masks), ("filters", of.filters)):
        yield from (f"{kind}.{thing.id}" for thing in things)
    yield from (f"people.{person.id}" for person in of.people)
    yield from (f"schedules.{plan.id}" for plan in schedules)
    yield from (f"cylinders.{spare.id}" for spare in of.cylinders)
    yield from (f"posts.{post.id}" for post in of.posts)
    yield from (f"calendar.{entry.id}" for entry in of.calendar)
    yield from (f"units.{unit.id}" for mask in of.masks for unit in mask.units)


# ---- days that have not come --------------------------------------------------------------------------


def _days_ahead(facts: Facts, odd: Iterable[tuple[str, date]]) -> CheckResult:
    days = tuple(odd)
    faults = [
        (
            path,
            {
                "place": path,
                "title": _title(path),
                "date": long_date(day),
                "on": said("this was judged as of %(now)s", now=now),
            },
        )
        for now in (long_date(facts.as_of),)
        for path, day in days
        if day > facts.as_of and not (_may_lie_ahead(path) or _is_told_with_the_air(facts, path))
    ]
    faults += [
        (
            path,
            {"place": path, "title": _title(path), "date": long_date(day), "on": said("nothing that old is on record")},
        )
        for path, day in days
        if day < NO_EARLIER and not _may_lie_ahead(path)
    ]
    return CheckResult((), tuple(faults), nothing=said("No day of something done lies ahead, or too far back."))


def _may_lie_ahead(path: str) -> bool:
    return re.sub(r"\[\d+\]", "[]", path) in MAY_LIE_AHEAD


def _is_told_with_the_air(facts: Facts, path: str) -> bool:
    """Evidence from days to come leaves the air of our people's tasks unjudged, which is told there."""
    found = re.match(r"hazards\[(\d+)\]\.exposure\.", path)
    if found is None:
        return False
    hazard = facts.description.hazards[int(found[1])]
    reasons = facts.selection.reasons.get((f"tasks.{hazard.task}", f"hazards.{hazard.id}"), ())
    return any(reason.code == _EVIDENCE_AHEAD for reason in reasons)


def _title(path: str) -> str:
    field = field_at(re.sub(r"\[\d+\]", "[]", path))
    return field.title.lower() if field else path


def _ahead_in_program(facts: Facts, _subject: Subject) -> CheckResult:
    every = (one for days in facts.odd_days.values() for one in days)
    return _days_ahead(facts, (one for one in every if _OF_SOMEBODY.match(one[0]) is None))


def _ahead_in_record(facts: Facts, subject: Subject) -> CheckResult:
    """A record of one wearer, or of one mask, is dated after the day of judging."""
    days = facts.odd_days.get(subject.path.partition(".")[0], ())
    return _days_ahead(facts, (one for one in days if one[0].startswith(f"{subject.path}.")))


# ---- sizes and masks ----------------------------------------------------------------------------------


def _size_not_stocked(facts: Facts, subject: Subject) -> CheckResult:
    """A wearer wears a size that the mask is not kept in."""
    person = person_of(facts, subject)
    mask_path, mask = facts.masks[subject.ids[1].partition(".")[2]]
    size = next(one.size for one in person.masks if one.mask == mask.id)
    place = f"{subject.path}.size"
    if size is None or not mask.sizes:
        return CheckResult((place,), nothing=said("The size, or the sizes kept in stock, are not said."))
    if size in mask.sizes:
        return CheckResult((place,), shown=(place, f"{mask_path}.sizes[{mask.sizes.index(size)}]"))
    alike = next((known for known in mask.sizes if known.casefold() == size.casefold()), "")
    hint = said("; did you mean `%(alike)s`?", alike=same(alike)) if alike else ""
    words = {"size": size, "sizes": said_join(mask.sizes, ", "), "hint": hint, "mask": mask.id}
    return CheckResult((place,), ((place, words),))


def _tested_mask_not_issued(facts: Facts, subject: Subject) -> CheckResult:
    """The newest fit tests of a wearer were done in a mask that they do not have; an older one may be history."""
    person, path = person_of(facts, subject), f"{person_path(facts, subject)}.fit_tests"
    issued = [one.mask for one in person.masks]
    tests = [(i, test) for i, test in enumerate(person.fit_tests) if test.date <= facts.as_of]
    newest_own = max((test.date for _, test in tests if test.mask in issued), default=date.min)
    faults = tuple(
        (
            f"{path}[{i}].mask",
            {"mask": test.mask, "tested": long_date(test.date), "issued": said_join(issued, ", ") or "none"},
        )
        for i, test in tests
        if test.mask not in issued
        and test.date > newest_own
        and not is_withdrawn(facts.masks[test.mask][1], facts.as_of)
    )
    return CheckResult((path,), faults, nothing=said("No later test was done in a mask that is not issued."))


def _mask_for_no_task(facts: Facts, subject: Subject) -> CheckResult:
    """A wearer has a mask for everyday work and is named for no task: nothing of them is held against any work."""
    person, path = person_of(facts, subject), f"{person_path(facts, subject)}.masks"
    everyday = [facts.masks[own.mask][1] for own in person.masks]
    everyday = [mask for mask in everyday if not mask.emergency and not mask.escape_only]
    tasks = [task for _, task in facts.our_tasks]
    if not everyday or not tasks or any(not task.people for task in tasks):  # a task that names nobody may be theirs
        return CheckResult(
            (path,), nothing=said("They have no mask for everyday work, or a task does not say who does it.")
        )
    words = {"masks": said_join(map(label_of, everyday), ", ")}
    return result_at(path, None if facts.tasks_by_person.get(person.id) else words)


# ---- policies -----------------------------------------------------------------------------------------


def _policy_agents(facts: Facts, _subject: Subject) -> CheckResult:
    """A policy names an agent that is no hazard of the firm and stands in no table."""
    named = [hazard.agent for hazard in facts.description.hazards]
    faults = tuple(
        (
            f"policies[{i}].agents[{j}]",
            {"policy": policy.id, "agent": agent, "hint": _near_agent(agent, named), "citation": origin_of(policy)},
        )
        for i, policy in enumerate(facts.description.policies)
        for j, agent in enumerate(policy.agents)
        if find_substance(agent) is None and not is_named(named, agent, None)
    )
    return CheckResult(("policies",), faults, nothing=said("No policy names an agent that nobody knows."))


def _near_agent(agent: str, named: list[str]) -> str:
    lower = {name.casefold(): name for name in named}
    close = difflib.get_close_matches(agent.casefold(), lower, 1, 0.6)
    near = [lower[close[0]]] if close else list(near_names(agent, 1))
    return said("; did you mean `%(near)s`?", near=same(near[0])) if near else ""


def _policy_matches_nothing(facts: Facts, _subject: Subject) -> CheckResult:
    """A policy names a task, a place or a kind of mask that nothing of the firm's matches."""
    faults = [
        (place, {"policy": policy.id, "trouble": trouble, "citation": origin_of(policy)})
        for i, policy in enumerate(facts.description.policies)
        for place, trouble in (
            *_nobody_of_group(facts, policy, f"policies[{i}]"),
            *_asks_nothing(facts, policy, f"policies[{i}]"),
            *_reach(facts, policy, f"policies[{i}]"),
            *_credits(facts, policy, f"policies[{i}]"),
        )
    ]
    return CheckResult(("policies",), tuple(faults), nothing=said("Whatever policies name is there."))


def _nobody_of_group(facts: Facts, policy: Policy, path: str) -> Iterator[tuple[str, str]]:
    """A policy names a group of which nobody does any of the work that it names."""
    crews = [facts.groups_by_task[t.id] for _, t in facts.our_tasks if not policy.tasks or t.id in policy.tasks]
    for j, group in enumerate(policy.groups):
        if not any(group in crew for crew in crews):
            yield f"{path}.groups[{j}]", said("nobody of the group `%(name)s` does any of the work", name=group)


def _asks_nothing(facts: Facts, policy: Policy, path: str) -> Iterator[tuple[str, str]]:
    """A policy of which nothing is said but who wants it and where: what it asks was left out.

    One that is still to come, or whose groups do no work, is told of elsewhere.
    """
    if is_coming(policy, facts.as_of) or any(_nobody_of_group(facts, policy, path)):
        return
    asked = set(type(policy).model_fields) - _WHOSE_AND_WHERE
    if all(getattr(policy, name) in (None, ()) for name in asked):
        yield path, said("nothing stands in it that anybody could keep")


def _reach(facts: Facts, policy: Policy, path: str) -> Iterator[tuple[str, str]]:
    ours = [task for _, task in facts.our_tasks]
    anywhere = policy.model_copy(update={"masks": ()})
    held = [task for task in ours if binds(anywhere, task)]
    for j, name in enumerate(policy.tasks):
        if all(task.id != name for task in ours):
            yield f"{path}.tasks[{j}]", said("our people do not do the task `%(name)s`", name=same(name))
        elif all(task.id != name for task in held):
            yield (
                f"{path}.tasks[{j}]",
                said("the task `%(name)s` is done at none of the sites that it names", name=same(name)),
            )
    for j, site in enumerate(policy.sites):
        alone = anywhere.model_copy(update={"sites": (site,)})
        if not any(binds(alone, task) for task in ours):
            yield (
                f"{path}.sites[{j}]",
                said("at the site `%(site)s` our people do none of the work that it could bind", site=same(site)),
            )
    if policy.dust_masks is False or policy.air_purifying is False or policy.least_filter:
        return  # kept also by nobody wearing the masks that it bars
    used = {mask for task in held for mask in (*(use.mask for use in task.masks), *task.escape_masks)}
    for j, mask in enumerate(policy.masks):
        if mask not in used and not facts.is_kept(facts.masks[mask][1]):
            yield (
                f"{path}.masks[{j}]",
                said("the mask `%(mask)s` is worn in none of the work that it could bind", mask=same(mask)),
            )


def _credits(facts: Facts, policy: Policy, path: str) -> Iterator[tuple[str, str]]:
    for j, one in enumerate(policy.protection_credits):
        if not any(_may_be_of(one, mask.facepiece, mask.mode) for _, mask in facts.masks.values()):
            kind = said_join((value.replace("-", " ") for value in (one.facepiece, one.mode) if value), ", ")
            yield f"{path}.protection_credits[{j}]", said("the firm has no mask of the kind: %(kind)s", kind=kind)


def _may_be_of(one: PolicyCredit, facepiece: object, mode: object) -> bool:
    is_mode = one.mode is None or mode is None or one.mode is mode
    return is_mode and (facepiece is None or one.facepiece is facepiece)


DANGLING_WORD_CHECKS: dict[str, Callable[[Facts, Subject], CheckResult]] = {
    "accepted-codes-known": _unknown_codes,
    "accepted-for-a-year": _accepted_for_long,
    "accepted-by-somebody-known": _accepted_by_nobody_known,
    ACCEPTED_IS_FOUND: _accepted_and_not_found,
    "accepted-subjects-known": _unknown_subjects,
    "program-days-past": _ahead_in_program,
    "wearer-days-past": _ahead_in_record,
    "unit-days-past": _ahead_in_record,
    "size-in-stock": _size_not_stocked,
    "issued-mask-has-a-task": _mask_for_no_task,
    "tested-mask-issued": _tested_mask_not_issued,
    "policy-agents-known": _policy_agents,
    "policies-match": _policy_matches_nothing,
}
