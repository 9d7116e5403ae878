"""Looks at groups of people: who is not covered here, and by which way the others come to a mask."""

from __future__ import annotations

from collections.abc import Callable

from progdoc.core.said import said
from progdoc.model.description.groups import Group
from progdoc.model.description.masks import Facepiece
from progdoc.model.description.roles import BodyKind
from progdoc.rules.check_result import CheckResult, person_of, person_path, result_at
from progdoc.rules.facts import Facts
from progdoc.rules.lookup.answers_said import Said, said_by
from progdoc.rules.lookup.facepieces import seals
from progdoc.rules.lookup.telling_words import is_told, telling
from progdoc.rules.records.fit_checks import newest_test
from progdoc.rules.records.wearer_checks import latest_clearance
from progdoc.rules.requirement import Subject

__all__ = ["GROUP_CHECKS"]

_CLINIC = "procedures.medical.professional.name"


def _covered_elsewhere(facts: Facts, _subject: Subject) -> CheckResult:
    """Of a group that this program does not cover it is said whose does."""
    outside = [(f"groups[{i}]", one) for i, one in enumerate(facts.description.groups) if not one.covered]
    faults = [
        (at := f"{path}.covered_by", {"group": one.name, "asks": at})
        for path, one in outside
        if one.covered_by is None or said_by(one.covered_by) is Said.REFUSAL
    ]
    read = tuple(f"{path}.covered_by" for path, _ in outside)
    return CheckResult(read, tuple(faults), nothing="" if outside else said("Every group is covered."))


def _way_to_the_professional(facts: Facts, _subject: Subject) -> CheckResult:
    """Each group that must wear masks has somebody who evaluates it: a clinic of its own, or the one for everybody."""
    program = facts.description
    must = {facts.people[who][1].group for _, task in facts.our_tasks if facts.is_worn(task) for who in task.people}
    asked = [(f"groups[{i}]", one) for i, one in enumerate(program.groups) if one.covered and one.id in must]
    kinds = {body.id: body for body in program.bodies}
    everybody = program.procedures.medical.professional.name
    faults, shown = [], []
    for path, group in asked:
        clinic = kinds[group.clinic] if group.clinic else None
        trouble = ""
        if clinic is not None and clinic.kind is not BodyKind.CLINIC:
            trouble = said("“%(clinic)s” is no clinic", clinic=clinic.name)
        elif clinic is None and not _tells(group.hiring_physical) and not everybody:
            trouble = said("no clinic is named for them, nor for all")
        if trouble:
            at = f"{path}.clinic"
            faults.append((at, {"group": group.name, "trouble": trouble, "asks": at}))
        shown.append(
            f"{path}.clinic" if clinic else f"{path}.hiring_physical" if _tells(group.hiring_physical) else _CLINIC
        )
    read = tuple(f"{path}.clinic" for path, _ in asked)
    return CheckResult(
        read, tuple(faults), tuple(dict.fromkeys(shown)), "" if asked else said("No group of its own must wear a mask.")
    )


def _tells(text: str | None) -> bool:
    return text is not None and said_by(text) is Said.ANSWER


def _group_of(facts: Facts, subject: Subject) -> Group | None:
    wanted = person_of(facts, subject).group
    return next((one for one in facts.description.groups if one.id == wanted), None)


def _named_though_not_covered(facts: Facts, subject: Subject) -> CheckResult:
    """Nobody of a group that this program does not cover is named for work that calls for a mask under it."""
    path, group = f"{person_path(facts, subject)}.group", _group_of(facts, subject)
    if group is None:
        return CheckResult((path,), nothing=said("They belong to no group."))
    task = next((task for _, task in facts.relevant_to(subject).tasks if facts.is_worn(task)), None)
    fault = {"group": group.name, "task": task.name} if task and not group.covered else None
    return result_at(path, fault)


def _choice_of_group(facts: Facts, subject: Subject) -> CheckResult:
    """Where only some groups may wear a mask by choice, whoever is named for such work is of one of them."""
    chosen = facts.description.procedures.voluntary_use.groups
    path, group = f"{person_path(facts, subject)}.group", _group_of(facts, subject)
    tasks = [task for _, task in facts.relevant_to(subject).tasks if facts.selection.air[task.id].is_by_choice]
    if not chosen or not tasks:
        return CheckResult((path,), nothing=said("Everybody may, or they do no such work."))
    fault = {"task": tasks[0].name} if group is None or group.id not in chosen else None
    return CheckResult((path,), ((path, fault),) if fault else (), ("procedures.voluntary_use.groups",))


def _choice_as_promised(facts: Facts, subject: Subject) -> CheckResult:
    """What the firm has promised beyond the law for masks worn by choice is on record: a fit test, a recommendation."""
    promised = facts.description.procedures.voluntary_use
    person, path = person_of(facts, subject), person_path(facts, subject)
    by_choice = {
        use.mask: facts.masks[use.mask][1].facepiece
        for _, task in facts.relevant_to(subject).tasks
        if facts.selection.air[task.id].is_by_choice
        for use in task.masks
    }
    sealing = [one for one in person.masks if (kind := by_choice.get(one.mask)) is not None and seals(kind)]
    dust_masks = [mask for mask, kind in by_choice.items() if kind is Facepiece.FILTERING_FACEPIECE]
    tested = [(f"{path}.fit_tests", one) for one in sealing if promised.fit_tested]
    cleared = [(f"{path}.medical", mask) for mask in dust_masks if promised.medical_for_dust_masks]
    faults = [
        (place, {"mask": one.mask, "missing": said("no fit test")})
        for place, one in tested
        if newest_test(person, one, facts.as_of) is None
    ]
    is_cleared = latest_clearance(person, facts.as_of) is not None
    faults += [
        (place, {"mask": mask, "missing": said("no recommendation")}) for place, mask in cleared if not is_cleared
    ]
    asked = tuple(dict.fromkeys(place for place, _ in (*tested, *cleared)))
    return CheckResult(
        asked, tuple(faults), nothing="" if asked else said("Nothing is promised for what they wear by choice.")
    )


def _nobody_advises(facts: Facts, _subject: Subject) -> CheckResult:
    """No text of a task done with a mask by choice, and none on such masks, advises one."""
    places = ["procedures.voluntary_use"]
    places += [path for path, task in facts.our_tasks if facts.selection.air[task.id].is_by_choice]
    texts = [entry for place in places for entry in facts.texts_in(place) if not entry[0].endswith(".advised_by")]
    faults = [
        (path, {"text": text, "path": path, "words": found[0]})
        for path, text in texts
        if (found := telling("advises").search(text)) and not is_told("denials", text)
    ]
    return CheckResult(tuple(path for path, _ in texts), tuple(faults), nothing=said("No text advises a mask."))


GROUP_CHECKS: dict[str, Callable[[Facts, Subject], CheckResult]] = {
    "group-covered-elsewhere": _covered_elsewhere,
    "group-way-to-professional": _way_to_the_professional,
    "named-though-not-covered": _named_though_not_covered,
    "choice-of-group": _choice_of_group,
    "nobody-advises": _nobody_advises,
    "choice-as-promised": _choice_as_promised,
}
