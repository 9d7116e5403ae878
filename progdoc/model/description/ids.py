"""Ids that are used twice, and ids that lead nowhere."""

from __future__ import annotations

import difflib
from collections.abc import Iterable, Iterator

from progdoc.core.said import said
from progdoc.model.description.house_rules import HouseRule
from progdoc.model.description.program import Program
from progdoc.model.description.roles import AssignedDuty

__all__ = ["reference_faults", "references"]

_LISTS = (
    *("bodies", "roles", "groups", "house_rules", "policies"),
    *("tasks", "hazards", "masks", "filters", "people", "attachments", "own_sections"),
    *("cylinders", "posts", "calendar"),
)
Fault = tuple[bool, str, str, str]  # used twice?, path, what, fix


def reference_faults(program: Program) -> list[Fault]:
    """Return what is wrong with the ids of a description: (used twice, path, what, fix)."""
    return [*_twice(program), *_nowhere(program)]


def _twice(program: Program) -> Iterator[Fault]:
    lists: list[tuple[str, Iterable[str]]] = [(name, [thing.id for thing in getattr(program, name)]) for name in _LISTS]
    lists.append(("organisation.sites", [s.id for s in program.organisation.sites]))
    lists.append(("procedures.filter_changes.schedules", [s.id for s in program.procedures.filter_changes.schedules]))
    lists.append(("procedures.evaluation.findings", [f.id for f in program.procedures.evaluation.findings]))
    lists.append(("procedures.air_supply.suppliers", [s.id for s in program.procedures.air_supply.suppliers]))
    lists += [(f"masks[{i}].units", [u.id for u in mask.units]) for i, mask in enumerate(program.masks)]
    for name, ids in lists:
        seen: dict[str, int] = {}
        for index, known in enumerate(ids):
            if known in seen:
                what = said(
                    "The id %(id)s is used by entry %(first)s and by entry %(second)s of %(list)s.",
                    id=f"`{known}`",
                    first=seen[known] + 1,
                    second=index + 1,
                    list=f"`{name}`",
                )
                yield True, f"{name}[{index}].id", what, said("Give one of them another id.")
            seen.setdefault(known, index)
    for i, person in enumerate(program.people):
        masks = [issued.mask for issued in person.masks]
        for j, mask in enumerate(masks):
            if mask in masks[:j]:
                what = said("The mask %(mask)s is issued twice to one person.", mask=f"`{mask}`")
                fix = said("Keep one entry for each mask, with the size worn.")
                yield True, f"people[{i}].masks[{j}].mask", what, fix


def _nowhere(program: Program) -> Iterator[Fault]:
    known = {
        name: [thing.id for thing in getattr(program, name)]
        for name in (
            *("bodies", "groups", "tasks", "hazards", "masks", "filters", "people", "attachments"),
            *("posts", "policies"),
        )
    }
    known["organisation.sites"] = [site.id for site in program.organisation.sites]
    sets = {name: frozenset(ids) for name, ids in known.items()}
    for name, path, wanted in references(program):
        if wanted not in sets[name]:
            near = difflib.get_close_matches(wanted, known[name], 1, 0.6)
            hint = said(" Did you mean `%(near)s`?", near=near[0]) if near else ""
            have = (
                said("Known there: %(known)s.", known=", ".join(sorted(known[name])[:12]))
                if known[name]
                else said("%(list)s is empty.", list=f"`{name}`")
            )
            yield (
                False,
                path,
                said("%(id)s is no id of %(list)s.%(hint)s", id=f"`{wanted}`", list=f"`{name}`", hint=hint),
                said(
                    "Write an id that stands under %(list)s, or add an entry there. %(have)s",
                    list=f"`{name}`",
                    have=have,
                ),
            )


def references(program: Program) -> Iterator[tuple[str, str, str]]:
    """Yield every id that names another thing: the list of that thing, where the id stands, the id."""
    for i, task in enumerate(program.tasks):
        for j, site in enumerate(task.sites):
            yield "organisation.sites", f"tasks[{i}].sites[{j}]", site
        for j, use in enumerate(task.masks):
            yield "masks", f"tasks[{i}].masks[{j}].mask", use.mask
            for k, part in enumerate(use.filters):
                yield "filters", f"tasks[{i}].masks[{j}].filters[{k}]", part
            for k, there in enumerate(use.against):
                yield "hazards", f"tasks[{i}].masks[{j}].against[{k}]", there
        for j, step in enumerate(task.steps):
            yield "hazards", f"tasks[{i}].steps[{j}].hazard", step.hazard
            if step.mask:
                yield "masks", f"tasks[{i}].steps[{j}].mask", step.mask
            for k, part in enumerate(step.filters):
                yield "filters", f"tasks[{i}].steps[{j}].filters[{k}]", part
        for j, carried in enumerate(task.escape_masks):
            yield "masks", f"tasks[{i}].escape_masks[{j}]", carried
        for j, other in enumerate(task.never_same_day):
            yield "tasks", f"tasks[{i}].never_same_day[{j}]", other
        for j, doer in enumerate(task.people):
            yield "people", f"tasks[{i}].people[{j}]", doer
    yield from _of_people_and_rules(program)
    for i, policy in enumerate(program.policies):
        for j, place in enumerate(policy.sites):
            yield "organisation.sites", f"policies[{i}].sites[{j}]", place
        for j, bound in enumerate(policy.tasks):
            yield "tasks", f"policies[{i}].tasks[{j}]", bound
        for j, group in enumerate(policy.groups):
            yield "groups", f"policies[{i}].groups[{j}]", group
        for j, mask_id in enumerate(policy.masks):
            yield "masks", f"policies[{i}].masks[{j}]", mask_id
    for i, hazard in enumerate(program.hazards):
        yield "tasks", f"hazards[{i}].task", hazard.task
    for i, mask in enumerate(program.masks):
        for j, part in enumerate(mask.filters):
            yield "filters", f"masks[{i}].filters[{j}]", part
    yield from _of_devices(program)
    for i, person in enumerate(program.people):
        if person.group:
            yield "groups", f"people[{i}].group", person.group
        for j, issued in enumerate(person.masks):
            yield "masks", f"people[{i}].masks[{j}].mask", issued.mask
        for j, given_back in enumerate(person.returned):
            yield "masks", f"people[{i}].returned[{j}].mask", given_back.mask
        for j, test in enumerate(person.fit_tests):
            yield "masks", f"people[{i}].fit_tests[{j}].mask", test.mask
    for i, own in enumerate(program.own_sections):
        for j, figure in enumerate(own.figures):
            yield "attachments", f"own_sections[{i}].figures[{j}].attachment", figure.attachment
    yield from _used_by_procedures(program)


def _of_people_and_rules(program: Program) -> Iterator[tuple[str, str, str]]:
    for i, role in enumerate(program.roles):
        if role.body:
            yield "bodies", f"roles[{i}].body", role.body
        for j, duty in enumerate(role.duties):
            yield from _reach(f"roles[{i}].duties[{j}]", duty)
    for i, group in enumerate(program.groups):
        if group.clinic:
            yield "bodies", f"groups[{i}].clinic", group.clinic
    for i, rule in enumerate(program.house_rules):
        yield from _reach(f"house_rules[{i}]", rule)
    for i, chosen in enumerate(program.procedures.voluntary_use.groups):
        yield "groups", f"procedures.voluntary_use.groups[{i}]", chosen


def _reach(path: str, thing: AssignedDuty | HouseRule) -> Iterator[tuple[str, str, str]]:
    for name in ("groups", "sites", "tasks", "masks"):
        for i, wanted in enumerate(getattr(thing, name)):
            yield "organisation.sites" if name == "sites" else name, f"{path}.{name}[{i}]", wanted


def _of_devices(program: Program) -> Iterator[tuple[str, str, str]]:
    for i, mask in enumerate(program.masks):
        for j, unit in enumerate(mask.units):
            if unit.post is not None:
                yield "posts", f"masks[{i}].units[{j}].post", unit.post
    for i, cylinder in enumerate(program.cylinders):
        if cylinder.post is not None:
            yield "posts", f"cylinders[{i}].post", cylinder.post
        for j, fitting in enumerate(cylinder.masks):
            yield "masks", f"cylinders[{i}].masks[{j}]", fitting
    for i, entry in enumerate(program.calendar):
        if entry.policy is not None:
            yield "policies", f"calendar[{i}].policy", entry.policy
        for j, whom in enumerate(entry.groups):
            yield "groups", f"calendar[{i}].groups[{j}]", whom
        for j, about in enumerate(entry.masks):
            yield "masks", f"calendar[{i}].masks[{j}]", about
        for j, where in enumerate(entry.posts):
            yield "posts", f"calendar[{i}].posts[{j}]", where
    for i, post in enumerate(program.posts):
        for j, serving in enumerate(post.people):
            yield "people", f"posts[{i}].people[{j}]", serving


def _used_by_procedures(program: Program) -> Iterator[tuple[str, str, str]]:
    procedures = program.procedures
    for i, emergency in enumerate(procedures.emergencies.foreseeable):
        for j, task_id in enumerate(emergency.tasks):
            yield "tasks", f"procedures.emergencies.foreseeable[{i}].tasks[{j}]", task_id
        for j, mask in enumerate(emergency.masks):
            yield "masks", f"procedures.emergencies.foreseeable[{i}].masks[{j}]", mask
    for i, schedule in enumerate(procedures.filter_changes.schedules):
        path = f"procedures.filter_changes.schedules[{i}]"
        yield "filters", f"{path}.filter", schedule.filter
        for j, task_id in enumerate(schedule.tasks):
            yield "tasks", f"{path}.tasks[{j}]", task_id
    for i, changed in enumerate(procedures.filter_changes.done):
        yield "filters", f"procedures.filter_changes.done[{i}].filter", changed.filter
        for j, task_id in enumerate(changed.tasks):
            yield "tasks", f"procedures.filter_changes.done[{i}].tasks[{j}]", task_id
    for i, cleaned in enumerate(procedures.cleaning.done):
        for j, mask in enumerate(cleaned.masks):
            yield "masks", f"procedures.cleaning.done[{i}].masks[{j}]", mask
    for i, asked in enumerate(procedures.evaluation.consultations):
        for j, person in enumerate(asked.who):
            yield "people", f"procedures.evaluation.consultations[{i}].who[{j}]", person
    if procedures.medical.questionnaire.attachment:
        yield (
            "attachments",
            "procedures.medical.questionnaire.attachment",
            procedures.medical.questionnaire.attachment,
        )
    if procedures.voluntary_use.appendix_d_attachment:
        yield (
            "attachments",
            "procedures.voluntary_use.appendix_d_attachment",
            procedures.voluntary_use.appendix_d_attachment,
        )
