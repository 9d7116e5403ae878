"""What is stated by adopting a paragraph, as somebody reads it before: the duties that the work here calls for."""

from __future__ import annotations

from collections.abc import Mapping

from progdoc.app.check import Checked
from progdoc.core.late_dataclass import dataclass
from progdoc.core.report import Status
from progdoc.core.said import said
from progdoc.model.description.workplace import DoneBy, Use
from progdoc.rules.adoption import Adoption, adoptions_in
from progdoc.rules.reading.predicate_words import condition_reads
from progdoc.rules.reading.question_list import question_list
from progdoc.rules.requirement import PATHS, Requirement

__all__ = ["Duties", "adopted_by_question", "duties_adopted"]

_OF_MASKS = ("masks", "tasks[].masks")


@dataclass(frozen=True, slots=True)
class Duties:
    """What is stated by adopting a paragraph, in the plain words of the catalogue."""

    asked: tuple[str, ...]  # that the work described here calls for, or may
    once: tuple[str, ...]  # that apply where something holds that is not described yet: no mask, or of no kind
    besides: tuple[str, ...]  # for work that is not done here: stated too, should it ever be
    places: frozenset[str]  # where they are stated


def duties_adopted(checked: Checked, paragraph: str, at: str) -> Duties:
    """Return what is stated by adopting a paragraph at a place: "(g)", "procedures.use.adopt"."""
    known = checked.judged.requirements if checked.judged and paragraph else ()
    adoption = Adoption(at, paragraph)
    stated = {one: values for one in known if (values := adoption.values_of(one))}
    applying = _applying(checked, {one.code for one in stated})
    asked = dict.fromkeys(one.duty for one in stated if one.code in applying)
    others = [one for one in stated if one.duty not in asked]
    waiting = [one for one in others if _waits(checked, one)]
    once = dict.fromkeys(said("Where %(when)s: %(duty)s", when=one.when, duty=one.duty) for one in waiting)
    waited = {one.duty for one in waiting}
    besides = dict.fromkeys(one.duty for one in others if one.duty not in waited)
    return Duties(
        tuple(asked), tuple(once), tuple(besides), frozenset(place for values in stated.values() for place, _ in values)
    )


def _waits(checked: Checked, requirement: Requirement) -> bool:
    """Whether masks decide that a duty does not apply, while a task has none yet or one has no kind."""
    known = checked.loaded.program
    if known is None or not any(place.startswith(_OF_MASKS) for place in condition_reads(requirement.applies)):
        return False
    ours = (task for task in known.tasks if task.done_by is DoneBy.OUR_PEOPLE)
    is_bare = not known.masks or any(not task.masks and task.use is not Use.NONE for task in ours)
    return is_bare or any(mask.facepiece is None or mask.mode is None for mask in known.masks)


def adopted_by_question(checked: Checked) -> Mapping[str, tuple[Adoption, ...]]:
    """Return by the id of a question the paragraphs whose adopting answers it for the work here, or a part of it."""
    if checked.judged is None:
        return {}
    found: dict[str, dict[Adoption, None]] = {}
    adoptions = tuple(adoptions_in(checked.judged.description))
    if not adoptions:
        return {}
    stated = [(one, each, each.values_of(one)) for one in checked.judged.requirements for each in adoptions]
    applying = _applying(checked, {one.code for one, _, values in stated if values})
    for requirement, adoption, values in stated:
        for path, _ in values if requirement.code in applying else ():
            place = PATHS.get(requirement.per, "") + path if path.startswith(".") else path
            if asking := question_list().asking(place):
                found.setdefault(asking.id, {})[adoption] = None
    return {asked: tuple(adopted) for asked, adopted in found.items()}


def _applying(checked: Checked, codes: set[str]) -> set[str]:
    """Return which duties hold for anything here, or may: that one does not apply is known of no other."""
    found = (one.verdict for one in checked.judged.verdicts.alike()) if checked.judged and codes else ()
    return {
        verdict.requirement.code
        for verdict in found
        if verdict.requirement.code in codes and verdict.status is not Status.NOT_APPLICABLE
    }
