"""Whether what is worn at work near the face was worn in the fit test too, where that is recorded."""

from __future__ import annotations

from collections.abc import Callable, Iterable

from progdoc.core.said import said, said_choice, said_join
from progdoc.model.description.masks import Mask
from progdoc.model.description.people import FitTest
from progdoc.model.description.workplace import Gear, Task
from progdoc.rules.check_result import CheckResult
from progdoc.rules.facts import Facts
from progdoc.rules.records.fit_checks import of_newest_test
from progdoc.rules.requirement import Subject

__all__ = ["FIT_GEAR_CHECKS", "worn_near"]

# What sits on head or face, where the mask does; gloves, an apron and the like are clear of it.
_NEAR_THE_MASK = frozenset(
    {
        Gear.SPECTACLES,
        Gear.SAFETY_GLASSES,
        Gear.GOGGLES,
        Gear.GAS_PROOF_GOGGLES,
        Gear.FACE_SHIELD,
        Gear.HARD_HAT,
        Gear.EAR_MUFFS,
        Gear.HOOD,
    }
)


def worn_near(tasks: Iterable[Task], mask: str = "") -> dict[Gear, str]:
    """Return what is worn near the face in some tasks, each piece with a task; with one mask, or with whichever."""
    return {
        gear: task.name or task.id
        for task in tasks
        if any(use.mask == mask or not mask for use in task.masks)
        for gear in task.gear
        if gear in _NEAR_THE_MASK
    }


def _worn_in_the_test(facts: Facts, subject: Subject) -> CheckResult:
    """Each piece that is worn with this mask at work near the face was worn in its newest test."""
    mask_id = subject.ids[1].partition(".")[2]
    worn = worn_near((task for _, task in facts.relevant_to(subject).tasks), mask_id)

    def wrong(test: FitTest, _mask: Mask) -> dict[str, str] | None:
        missing = [gear for gear in Gear if gear in worn and gear not in test.gear] if test.gear else []
        words = said_join(
            (said("%(gear)s (“%(worn)s”)", gear=said_choice(gear), worn=worn[gear]) for gear in missing), ", "
        )
        return {"missing": words} if missing else None

    def unrecorded(test: FitTest, _mask: Mask) -> str:
        if not worn:
            return said("No other gear near the face is worn with this mask.")
        return "" if test.gear else said("What else was worn in the test is not recorded.")

    return of_newest_test(wrong, ("gear",), unrecorded)(facts, subject)


FIT_GEAR_CHECKS: dict[str, Callable[[Facts, Subject], CheckResult]] = {"gear-worn-in-the-test": _worn_in_the_test}
