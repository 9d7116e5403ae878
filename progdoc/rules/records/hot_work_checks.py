"""What is said of hot work, held against its industry's section: what decides, its ventilation, who else is there."""

from __future__ import annotations

from collections.abc import Callable

from progdoc.core.said import said, said_choice
from progdoc.model.description.masks import Mode
from progdoc.model.description.quantities import in_unit
from progdoc.model.description.special_work import HotBystanders, HotMetal, HotPlace, HotVentilation, HotWork
from progdoc.model.description.workplace import Industry, Task
from progdoc.rules.air.declared_work import undescribed
from progdoc.rules.air.hot_work import asks_for_mask, home_of, is_unventilated, toxic_metals
from progdoc.rules.check_result import CheckResult, result_at
from progdoc.rules.facts import Facts
from progdoc.rules.judged.figure_results import Law
from progdoc.rules.lookup.cited import cited
from progdoc.rules.lookup.facepieces import SCBA
from progdoc.rules.requirement import Subject

__all__ = ["HOT_WORK_CHECKS"]

_OWN_AIR = (Mode.AIRLINE_DEMAND, Mode.AIRLINE_CONTINUOUS_FLOW, Mode.AIRLINE_PRESSURE_DEMAND, *SCBA)
_VENTILATED = (HotMetal.ZINC, HotMetal.CHROMIUM, HotMetal.CADMIUM_FILLER)
# Metals for which general industry has no paragraph of its own, so that the size of the room decides, (c)(2)(i).
_BY_ROOM = (HotMetal.OTHER, HotMetal.CHROMIUM, HotMetal.STAINLESS_INERT_GAS)


def _cited(task: Task, about: str) -> dict[str, str]:
    return {"citation": cited(f"hot-work-{home_of(task).value}-{about}")}


def _of_work(check: Callable[[Facts, str, Task, HotWork], CheckResult]) -> Callable[[Facts, Subject], CheckResult]:
    def checked(facts: Facts, subject: Subject) -> CheckResult:
        path, task = facts.tasks[subject.ids[0].partition(".")[2]]
        if task.hot_work is None:
            return CheckResult((f"{path}.hot_work",), nothing=said("It is no hot work."))
        return check(facts, f"{path}.hot_work", task, task.hot_work)

    return checked


def _described(_facts: Facts, path: str, task: Task, work: HotWork) -> CheckResult:
    """Metals, place and ventilation decide in every industry."""
    fields = ("metals", "place", "ventilation")
    words = _cited(task, "facts")
    faults = tuple((f"{path}.{field}", words) for field in fields if not getattr(work, field))
    return CheckResult(tuple(f"{path}.{field}" for field in fields), faults)


def _brings_air(facts: Facts, task: Task) -> bool:
    return any(facts.masks[use.mask][1].mode in _OWN_AIR for use in task.masks)


def _all_bring_air(facts: Facts, task: Task) -> bool:
    return bool(task.masks) and all(facts.masks[use.mask][1].mode in _OWN_AIR for use in task.masks)


def _attended(facts: Facts, path: str, task: Task, work: HotWork) -> CheckResult:
    """Somebody outside: where nothing ventilates; in general industry where welders have air of their own too."""
    read = (f"{path}.attendant", f"{path}.place", f"{path}.ventilation")
    has_air = task.industry is Industry.GENERAL and work.place is HotPlace.CONFINED and _brings_air(facts, task)
    if not (is_unventilated(task) or has_air):
        return CheckResult(read, nothing=said("No confined space asks for somebody outside."))
    fault = None if work.attendant else _cited(task, "attendant")
    return result_at(f"{path}.attendant", fault)


def _exhausted(_facts: Facts, path: str, task: Task, work: HotWork) -> CheckResult:
    """Beryllium has local exhaust as well as airline masks."""
    is_local = work.ventilation is HotVentilation.LOCAL
    return result_at(f"{path}.ventilation", None if is_local else _cited(task, "exhaust"))


def _ventilated(facts: Facts, path: str, task: Task, work: HotWork) -> CheckResult:
    """The ventilation that the metal or the room asks for, masks apart."""
    read = tuple(
        f"{path}.{name}"
        for name in ("ventilation", "metals", "place", "room_per_welder", "ceiling", "obstructed", "flow_per_welder")
    )
    if work.ventilation is None or work.place is None:
        return CheckResult(read, nothing=said("Its place or ventilation is not said; another duty asks for both."))
    if home_of(task) is Industry.GENERAL:
        return _ventilated_in_general(facts, path, task, work, read)
    is_bare = work.ventilation is HotVentilation.NONE and work.place is HotPlace.ENCLOSED
    metal = next((m for m in work.metals if m in _VENTILATED), None)
    if metal is None or work.place is not HotPlace.ENCLOSED:
        return CheckResult(read, nothing=said("This metal in this place asks for no ventilation of its own."))
    words = {
        "because": said("%(named)s in an enclosed space", named=_named(metal)),
        "wanted": said("a fan or a hood that draws the fume off"),
    }
    fault = ((f"{path}.ventilation", {**words, **_cited(task, "fan")}),) if is_bare else ()
    return CheckResult(read, fault)


def _ventilated_in_general(facts: Facts, path: str, task: Task, work: HotWork, read: tuple[str, ...]) -> CheckResult:
    place, is_bare = f"{path}.ventilation", work.ventilation is HotVentilation.NONE
    faults: list[tuple[str, dict[str, str]]] = []

    def found(where: str, because: str, wanted: str, about: str) -> None:
        faults.append((where, {"because": because, "wanted": wanted, **_cited(task, about)}))

    if (
        HotMetal.ZINC in work.metals
        and work.place is HotPlace.ENCLOSED
        and work.ventilation is not HotVentilation.LOCAL
    ):
        found(place, said("zinc indoors"), said("local exhaust"), "zinc")
    if HotMetal.CADMIUM_FILLER in work.metals and work.place is HotPlace.CONFINED and is_bare:
        found(place, said("cadmium filler in a confined space"), "ventilation", "filler")
    if HotMetal.STAINLESS_CUTTING in work.metals and is_bare:
        found(place, said("cutting of stainless steel"), said("mechanical ventilation"), "cutting")
    by_room = work.ventilation is not HotVentilation.LOCAL and not _all_bring_air(facts, task)
    if by_room and work.place is not HotPlace.OPEN_AIR and set(work.metals) & set(_BY_ROOM):
        tight, unsaid = _tight(facts.law_of(task), path, work)
        if tight and is_bare:
            found(place, tight, said("mechanical ventilation"), "room")
        elif tight and work.flow_per_welder is None:
            found(f"{path}.flow_per_welder", tight, said("to be known how much a fan draws off"), "flow")
        elif tight and _is_weak(facts.law_of(task), work):
            found(f"{path}.flow_per_welder", tight, said("a stronger fan"), "flow")
        elif not tight and unsaid:
            found(unsaid, said("a room of which not all is said"), said("its size and what stands in it"), "room")
    return CheckResult(read, tuple(faults))


def _tight(law: Law, path: str, work: HotWork) -> tuple[str, str]:
    """Return what makes the room one that a fan must serve, or else the first thing that nobody said."""
    if work.place is HotPlace.CONFINED:
        return said("a confined space"), ""
    if work.obstructed:
        return said("a room in which air can't cross"), ""
    if work.room_per_welder and in_unit(work.room_per_welder, "ft3") < law.amount("weld-room-volume", "ft3"):
        return said("a room of %(room_per_welder)s for each welder", room_per_welder=work.room_per_welder.printed), ""
    if work.ceiling and in_unit(work.ceiling, "ft") < law.amount("weld-ceiling", "ft"):
        return said("a ceiling at %(ceiling)s", ceiling=work.ceiling.printed), ""
    fields = ("room_per_welder", "ceiling", "obstructed")
    return "", next((f"{path}.{name}" for name in fields if getattr(work, name) is None), "")


def _is_weak(law: Law, work: HotWork) -> bool:
    flow = work.flow_per_welder
    return flow is not None and in_unit(flow, "cfm") < law.amount("weld-air-flow", "cfm")


def _bystanders(_facts: Facts, path: str, task: Task, work: HotWork) -> CheckResult:
    """Others in the same air are protected like those who do the work."""
    place = f"{path}.bystanders"
    toxic = toxic_metals(work)
    if task.industry is Industry.GENERAL:  # the other metals have no such sentence there
        toxic = [metal for metal in toxic if metal in (HotMetal.LEAD, HotMetal.BERYLLIUM)]
    if not (asks_for_mask(task) and toxic):
        return CheckResult((place,), nothing=said("No toxic metal asks for a mask here."))
    is_alike = work.bystanders in (HotBystanders.NONE, HotBystanders.PROTECTED)
    return result_at(place, None if is_alike else _cited(task, "others"))


def _fluorides(_facts: Facts, path: str, _task: Task, work: HotWork) -> CheckResult:
    """Outside confined spaces the need follows from samples."""
    if HotMetal.FLUORIDES not in work.metals or work.place is HotPlace.CONFINED:
        return CheckResult((f"{path}.metals",), nothing=said("No fluorides are freed outside confined spaces."))
    is_shown = work.tested_within_limits is True or work.ventilation is HotVentilation.LOCAL
    shown = (f"{path}.{'tested_within_limits' if work.tested_within_limits else 'ventilation'}",)
    return CheckResult(shown, () if is_shown else ((f"{path}.tested_within_limits", {}),))


def _hazards(facts: Facts, path: str, task: Task, _work: HotWork) -> CheckResult:
    """What the metals free is among the hazards of the task."""
    place = f"{path}.metals"
    found = [one for one in undescribed(task, facts.selection.air[task.id].agents) if one.code == "HOT-007"]
    faults = tuple((place, {"agent": one.what, "because": one.because}) for one in found)
    return CheckResult((place,), faults)


def _space(_facts: Facts, path: str, task: Task, work: HotWork) -> CheckResult:
    """The place of the hot work and the answer on confined spaces are of one mind."""
    place = f"{path}.place"
    if work.place is None or task.confined_space is None:
        return CheckResult((place,), nothing=said("One of the two is not said; another duty asks for it."))
    is_confined = work.place is HotPlace.CONFINED
    if is_confined == task.confined_space:
        return CheckResult((place,))
    return result_at(place, {"place": said_choice(work.place), "said": "no" if is_confined else "a"})


def _named(metal: HotMetal) -> str:
    return metal.value.replace("-", " ")


HOT_WORK_CHECKS: dict[str, Callable[[Facts, Subject], CheckResult]] = {
    "hot-work-described": _of_work(_described),
    "hot-work-attended": _of_work(_attended),
    "beryllium-exhausted": _of_work(_exhausted),
    "hot-work-ventilated": _of_work(_ventilated),
    "bystanders-protected": _of_work(_bystanders),
    "fluorides-judged": _of_work(_fluorides),
    "metals-are-hazards": _of_work(_hazards),
    "hot-place-agrees-with-space": _of_work(_space),
}
