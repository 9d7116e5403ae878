"""Who has which duty, for whom: how it is split, who is left out or has two, and how that is said.

What is narrower wins: who names the fire crew and a site has it there, who names the crew alone everywhere else, and
who names nothing has the rest.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from itertools import product

from progdoc.core.late_dataclass import dataclass
from progdoc.core.said import said, said_join
from progdoc.model.description.program import Program
from progdoc.model.description.roles import AssignedDuty, Duty, Role
from progdoc.model.description.words import label_of
from progdoc.model.description.workplace import DoneBy

__all__ = ["REST", "Held", "duty_words", "held", "holders_in_words", "name_of", "reach_in_words", "split_faults"]

REST = said("everybody else")
_OF_DEVICES = (Duty.AIR_SUPPLY, Duty.INSPECTION, Duty.REPAIR, Duty.STORAGE, Duty.CLEANING)  # may be of devices alone


@dataclass(frozen=True, slots=True)
class Held:
    """One duty of one role, and where it stands."""

    path: str
    role: Role
    entry: AssignedDuty


def held(program: Program, duty: Duty) -> tuple[Held, ...]:
    """Return who has a duty, in the order of the description."""
    return tuple(
        Held(f"roles[{i}].duties[{j}]", role, entry)
        for i, role in enumerate(program.roles)
        for j, entry in enumerate(role.duties)
        if entry.duty is duty
    )


def name_of(program: Program, holder: str) -> str:
    """Return the name of a holder, who is named by id or in words."""
    return next((label_of(person) for person in program.people if person.id == holder), holder)


def holders_in_words(program: Program, role: Role) -> str:
    """Return a role with its holders and deputies: "Training officer (Ana Reyes; standing in: Tom Vale)"."""
    holders = said_join((name_of(program, one) for one in role.holders), ", ")
    deputies = said_join((name_of(program, one) for one in role.deputies), ", ")
    body = next((body.name for body in program.bodies if body.id == role.body), "")
    inside = said_join(
        filter(None, (holders or body, said("standing in: %(deputies)s", deputies=deputies) if deputies else "")), "; "
    )
    return said("%(title)s (%(inside)s)", title=role.title, inside=inside) if inside else role.title


def reach_in_words(program: Program, entry: AssignedDuty) -> str:
    """Return for whom or what a duty is: names of groups, sites, tasks, masks, and devices; nothing: everybody else."""
    names = _names(program)
    told = [names[name].get(one, one) for name, _ in entry.reach for one in getattr(entry, name)]
    return said_join(told, ", ")


def duty_words(program: Program, duty: Duty) -> str:
    """Return who has a duty in one line; split, for whom each: "fire crew: …; everybody else: …". Nobody: nothing."""
    entries = sorted(held(program, duty), key=lambda one: not one.entry.reach)
    told = [(reach_in_words(program, one.entry), holders_in_words(program, one.role)) for one in entries]
    if not any(reach for reach, _ in told):
        return said_join(dict.fromkeys((who for _, who in told)), "; ")
    return said_join((said("%(reach)s: %(who)s", reach=reach or REST, who=who) for reach, who in told), "; ")


def split_faults(program: Program, duty: Duty) -> Iterator[tuple[str, str, tuple[str, ...]]]:
    """Yield what nobody has of a duty, or two have: a place, what it is, and the titles of those who have it."""
    entries = held(program, duty)
    kinds = tuple(dict.fromkeys(name for one in entries for name, _ in one.entry.reach))
    if entries and all("devices" in dict(one.entry.reach) for one in entries) and duty not in _OF_DEVICES:
        yield entries[-1].path, REST, ()
        return
    listed = set(_all_of(program, "devices"))
    named = {device for one in entries for device in one.entry.devices}
    if not entries or not named <= listed:  # of devices in words there is no list to hold it against
        return
    seen: set[tuple[str, ...]] = set()
    for things in product(*(_classes(program, kind, entries) for kind in kinds)):
        where = dict(zip(kinds, things, strict=True))
        having = _narrowest(one for one in entries if _is_for(one.entry, where))
        titles = tuple(dict.fromkeys(one.role.title for one in having))
        if len(titles) == 1 or titles in seen:
            continue
        seen.add(titles)
        names = _names(program)
        words = said_join((names[kind].get(one, REST) for kind, one in where.items()), ", ") or "all"
        yield (having[-1] if having else entries[-1]).path, words, titles


def _is_for(entry: AssignedDuty, where: Mapping[str, str]) -> bool:
    return all(where[name] in ids for name, ids in entry.reach)


def _narrowest(entries: Iterator[Held]) -> list[Held]:
    found = list(entries)
    most = max((len(one.entry.reach) for one in found), default=0)
    return [one for one in found if len(one.entry.reach) == most]


def _classes(program: Program, kind: str, entries: tuple[Held, ...]) -> list[str]:
    """Return one thing of a kind for all that the same entries name: what is true of one is true of all of them."""
    first: dict[tuple[bool, ...], str] = {}
    for thing in _all_of(program, kind):
        first.setdefault(tuple(thing in dict(one.entry.reach).get(kind, ()) for one in entries), thing)
    return list(first.values())


def _all_of(program: Program, kind: str) -> list[str]:
    """Return the ids of all to whom a duty can be owed; people of no group are one more, as a nameless id."""
    match kind:
        case "groups":
            some = [group.id for group in program.groups if group.covered]
            return [*some, ""] if any(person.group is None for person in program.people) else some
        case "sites":
            return [site.id for site in program.organisation.sites]
        case "tasks":
            return [task.id for task in program.tasks if task.done_by is DoneBy.OUR_PEOPLE]
        case "devices":
            return list(_device_names(program))
        case _:
            return [mask.id for mask in program.masks]


def _names(program: Program) -> Mapping[str, Mapping[str, str]]:
    return {
        "groups": {group.id: group.name for group in program.groups},
        "sites": {site.id: site.name for site in program.organisation.sites},
        "tasks": {task.id: label_of(task) for task in program.tasks},
        "masks": {mask.id: label_of(mask) for mask in program.masks},
        "devices": _device_names(program),
    }


def _device_names(program: Program) -> dict[str, str]:
    """Return what posts, single masks and cylinders in reserve are called, by id."""
    names = {post.id: label_of(post) for post in program.posts}
    for mask in program.masks:
        names |= {
            unit.id: said("%(mask)s %(serial)s", mask=label_of(mask), serial=unit.serial or unit.id)
            for unit in mask.units
        }
    return names | {one.id: said("cylinder %(serial)s", serial=one.serial or one.id) for one in program.cylinders}
