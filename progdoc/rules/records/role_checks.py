"""Looks at roles and bodies: duties that nobody has, that two have, or whose holder nobody knows."""

from __future__ import annotations

import difflib
from collections.abc import Callable, Iterable, Iterator

from progdoc.core.said import said, said_choice, said_join, same
from progdoc.model.description.program import Program
from progdoc.model.description.roles import BodyKind, Duty, Role
from progdoc.model.description.typed_text import ID
from progdoc.rules.check_result import CheckResult
from progdoc.rules.facts import Facts
from progdoc.rules.lookup.answers_said import Said, said_by
from progdoc.rules.requirement import Subject
from progdoc.rules.roles.role_duties import split_faults

__all__ = ["ROLE_CHECKS"]

_ALWAYS = (Duty.ADMINISTRATION, Duty.EMERGENCIES)  # they can't wait until somebody is back; our own reading
_HAS_A_PART = (BodyKind.CONTRACTOR, BodyKind.HOST)


def _roles(program: Program) -> Iterator[tuple[str, Role]]:
    return ((f"roles[{i}]", role) for i, role in enumerate(program.roles))


def _holder_named(facts: Facts, _subject: Subject) -> CheckResult:
    """A role with duties has a holder; one of a body outside the firm is held by whom that body sends."""
    program = facts.description
    outside = {body.id for body in program.bodies if body.kind is not BodyKind.DEPARTMENT}
    asked = [(path, role) for path, role in _roles(program) if role.duties and role.body not in outside]
    faults = [(f"{path}.holders", {"role": role.title}) for path, role in asked if not _some(role.holders)]
    return CheckResult(
        tuple(f"{path}.holders" for path, _ in asked),
        tuple(faults),
        nothing="" if asked else said("No role has a duty."),
    )


def _some(names: Iterable[str]) -> list[str]:
    return [name for name in names if said_by(name) is Said.ANSWER]


def _holder_known(facts: Facts, _subject: Subject) -> CheckResult:
    """A holder or deputy is one of the people by id, or is called by a name; an id of nobody is a slip, or has left."""
    faults = []
    gone = {
        name
        for person in facts.description.people
        if person.left is not None and person.left <= facts.as_of
        for name in (person.id, person.name)
    }
    titles = {name.casefold() for role in facts.description.roles for name in (role.id, role.title)}
    for path, role in _roles(facts.description):
        for field in ("holders", "deputies"):
            for i, one in enumerate(getattr(role, field)):
                if one.casefold() in titles:
                    faults.append(
                        (
                            f"{path}.{field}[{i}]",
                            {"holder": one, "role": role.title, "hint": said(", which is a role and nobody")},
                        )
                    )
                elif one in gone:
                    faults.append(
                        (f"{path}.{field}[{i}]", {"holder": one, "role": role.title, "hint": said("; they left")})
                    )
                elif ID.fullmatch(one) and one not in facts.people:
                    near = difflib.get_close_matches(one, list(facts.people), 1, 0.6)
                    known = said(" Did you mean `%(near)s`?", near=same(near[0])) if near else ""
                    hint = said(", and nobody under `people` has that id.%(known)s", known=known)
                    faults.append((f"{path}.{field}[{i}]", {"holder": one, "role": role.title, "hint": hint}))
    return CheckResult(("roles",), tuple(faults), ("roles",))


def _left_to_nobody(facts: Facts, _subject: Subject) -> CheckResult:
    return _split(facts, lambda titles: not titles)


def _held_twice(facts: Facts, _subject: Subject) -> CheckResult:
    return _split(facts, lambda titles: len(titles) > 1)


def _split(facts: Facts, is_wrong: Callable[[tuple[str, ...]], bool]) -> CheckResult:
    faults = [
        (path, {"duty": said_choice(duty), "whom": whom, "roles": said_join(titles, said(" and "))})
        for duty in Duty
        for path, whom, titles in split_faults(facts.description, duty)
        if is_wrong(titles)
    ]
    return CheckResult(("roles",), tuple(faults), ("roles",))


def _always_covered(facts: Facts, _subject: Subject) -> CheckResult:
    """Who runs the program or leads in an emergency has a deputy; two holders stand in for each other."""
    asked = [
        (path, role, one.duty) for path, role in _roles(facts.description) for one in role.duties if one.duty in _ALWAYS
    ]
    officer = facts.description.officer
    faults = [
        (f"{path}.deputies", {"role": role.title, "duty": duty.value})
        for path, role, duty in asked
        if not set(role.deputies) - set(role.holders)
        and len(set(role.holders)) < 2
        and not (duty is Duty.ADMINISTRATION and officer.deputies)
    ]
    read = tuple(f"{path}.{field}" for path, _, _ in asked for field in ("deputies", "holders"))
    shown = tuple(
        f"{path}.deputies" if role.deputies else "officer.deputies" if len(role.holders) < 2 else f"{path}.holders"
        for path, role, _ in asked
    )
    faults_once = tuple(dict(faults).items())
    return CheckResult(read, faults_once, shown, "" if asked else said("No role has such a duty."))


def _part_told(facts: Facts, _subject: Subject) -> CheckResult:
    """What a contractor or a host has to do with the program is said, or told by a role."""
    bodies = [(f"bodies[{i}]", body) for i, body in enumerate(facts.description.bodies) if body.kind in _HAS_A_PART]
    having = {role.body for role in facts.description.roles if role.duties}
    faults = [
        (f"{path}.part", {"body": body.name, "kind": body.kind.value})
        for path, body in bodies
        if body.part is None and body.id not in having
    ]
    read = tuple(f"{path}.part" for path, _ in bodies)
    shown = tuple(f"{path}.part" if body.part else f"{path}.kind" for path, body in bodies)
    return CheckResult(read, tuple(faults), shown, "" if bodies else said("No contractor and no host is described."))


ROLE_CHECKS: dict[str, Callable[[Facts, Subject], CheckResult]] = {
    "role-has-holder": _holder_named,
    "holders-known": _holder_known,
    "duty-left-to-nobody": _left_to_nobody,
    "duty-held-twice": _held_twice,
    "always-covered": _always_covered,
    "body-part-told": _part_told,
}
