"""Smoke of wildfires: whether a reading is told, and whether masks come to the crew as the steps of a state want it."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from progdoc.core.said import said, said_join, same
from progdoc.model.description.exposure_evidence import Smoke
from progdoc.model.description.workplace import Task, Use
from progdoc.rules.air.smoke import is_beyond, is_brief, reaches
from progdoc.rules.check_result import CheckResult
from progdoc.rules.facts import Facts
from progdoc.rules.lookup.answers_said import Said, said_by
from progdoc.rules.requirement import Subject

__all__ = ["SMOKE_CHECKS"]

_Smoky = tuple[str, Task, str, Smoke]  # the place and the task, the place of the reading and the reading


def _of_smoke(check: Callable[[Facts, _Smoky], CheckResult]) -> Callable[[Facts, Subject], CheckResult]:
    """Return a check of a hazard that looks at smoke alone."""

    def looked_at(facts: Facts, subject: Subject) -> CheckResult:
        path, task = facts.tasks[subject.ids[0].partition(".")[2]]
        place, reading = f"{subject.path}.exposure", facts.value_at(f"{subject.path}.exposure")
        if not isinstance(reading, Smoke):
            return CheckResult((place,), nothing=said("It is no smoke."))
        return check(facts, (path, task, place, reading))

    return looked_at


def _reading_told(facts: Facts, smoky: _Smoky) -> CheckResult:
    _, _, place, reading = smoky
    level = said("index and PM2.5") if reading.index is None and reading.pm25 is None else ""
    missing = [level, "" if reading.date else said("the day"), "" if reading.time else said("the hour")]
    words = said_join(filter(None, missing), ", ")
    return CheckResult((place,), ((place, {"missing": words}),) if words else (), shown=(f"{place}.source",))


def _is_named(task: Task) -> bool:
    return task.use in (Use.REQUIRED, Use.VOLUNTARY) and bool(task.masks)


def _mask_at_hand(facts: Facts, smoky: _Smoky) -> CheckResult:
    path, task, place, _ = smoky
    read = (place, f"{path}.use", f"{path}.masks")
    return CheckResult(read, () if _is_named(task) else ((f"{path}.masks", {}),), shown=(f"{path}.use",))


def _steps_kept(facts: Facts, smoky: _Smoky) -> CheckResult:
    """What each step reached asks: masks named for everybody, handed to each, worn under the whole program."""
    path, task, place, reading = smoky
    read = (place, f"{path}.use", f"{path}.masks", _HANDED_OUT)
    if reaches(reading, facts.law_of(task), "smoke-offered") is False:
        return CheckResult(read, nothing=said("The reading lies under the first step that binds there."))
    faults = tuple(_against_steps(facts, smoky))
    return CheckResult(read, faults, shown=(f"{path}.use",))


_HANDED_OUT = "procedures.smoke.handed_out"


def _against_steps(facts: Facts, smoky: _Smoky) -> Iterator[tuple[str, dict[str, str]]]:
    path, task, place, reading = smoky
    law = facts.law_of(task)
    if reaches(reading, law, "smoke-offered") is None:
        yield place, {"found": said("its PM2.5 is not told, by which the steps there go")}
        return
    if reaches(reading, law, "smoke-worn") and not is_brief(reading, law) and task.use is not Use.REQUIRED:
        yield (
            f"{path}.use",
            {
                "found": said(
                    "masks are worn from %(smoke_worn)s on, and the use is not required",
                    smoke_worn=law["smoke-worn"].printed,
                )
            },
        )
    elif not _is_named(task):
        yield (
            f"{path}.masks",
            {
                "found": said(
                    "from %(smoke_offered)s on everybody is offered a mask, and none is named",
                    smoke_offered=law["smoke-offered"].printed,
                )
            },
        )
    if reaches(reading, law, "smoke-handed-out") and not facts.description.procedures.smoke.handed_out:
        step = law["smoke-handed-out"].printed
        yield (
            _HANDED_OUT,
            {"found": said("from %(step)s on masks are handed to each, and that is not settled", step=step)},
        )


def _on_request(facts: Facts, smoky: _Smoky) -> CheckResult:
    path, task, place, reading = smoky
    read, law = (place, f"{path}.use", f"{path}.masks"), facts.law_of(task)
    if not reaches(reading, law, "smoke-on-request") or reaches(reading, law, "smoke-offered"):
        return CheckResult(read, nothing=said("Another step is reached, or none."))
    return CheckResult(read, () if _is_named(task) else ((f"{path}.masks", {}),), shown=(f"{path}.use",))


def _rule_looked_up(facts: Facts, smoky: _Smoky) -> CheckResult:
    """From an index on a state asks for masks by a paragraph that was not read: somebody has looked it up."""
    _, task, place, reading = smoky
    read, law = (place, f"{place}.rule_checked"), facts.law_of(task)
    if law["smoke-index"].value is None:
        return CheckResult(read, nothing=said("No step of an index is set there."))
    if reading.index is not None and reading.index < law.number("smoke-index"):
        return CheckResult(read, nothing=said("The index lies under the one from which the rule binds."))
    if reading.rule_checked and said_by(reading.rule_checked) is Said.ANSWER:
        return CheckResult(read, shown=(read[1],))
    told = (
        said("the index is %(index)s", index=same(f"{reading.index:g}"))
        if reading.index is not None
        else said("the index is not told")
    )
    return CheckResult(read, ((read[1], {"found": told}),))


def _beyond_looked_up(facts: Facts, smoky: _Smoky) -> CheckResult:
    """Above the last step that was read a state asks for more, by a paragraph that was not."""
    _, task, place, reading = smoky
    read = (place, f"{place}.rule_checked")
    if reading.pm25 is None or not is_beyond(reading, facts.law_of(task)):
        return CheckResult(read, nothing=said("The smoke stays within the steps that were read."))
    if reading.rule_checked and said_by(reading.rule_checked) is Said.ANSWER:
        return CheckResult(read, shown=(read[1],))
    return CheckResult(read, ((read[1], {"found": reading.pm25.printed}),))


SMOKE_CHECKS: dict[str, Callable[[Facts, Subject], CheckResult]] = {
    "smoke-reading-told": _of_smoke(_reading_told),
    "smoke-mask-at-hand": _of_smoke(_mask_at_hand),
    "smoke-steps-kept": _of_smoke(_steps_kept),
    "smoke-on-request": _of_smoke(_on_request),
    "smoke-rule-looked-up": _of_smoke(_rule_looked_up),
    "smoke-beyond-looked-up": _of_smoke(_beyond_looked_up),
}
