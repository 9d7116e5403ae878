"""The closed list of facts that the catalogue may name to say when a requirement applies.

Each answers true, false, or None where the description does not say; None never passes for false. What a
predicate looks at follows from the subject: for the program all tasks and masks of our people, for a task
its own, for a wearer the tasks that name them.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Any

from progdoc.model.description.breathing_air import AirSource, CompressorAlarm
from progdoc.model.description.masks import Facepiece, Issue, Mask, Mode, Particulate
from progdoc.model.description.upkeep import CleaningMethod
from progdoc.model.description.workplace import DoneBy, Gear, MaskUse, Task, Use, WhyMasks
from progdoc.rules.air.hot_work import asks_for_mask, is_with_beryllium
from progdoc.rules.check_result import person_of
from progdoc.rules.facts import Facts
from progdoc.rules.lookup.cartridges import is_gas_cartridge
from progdoc.rules.lookup.facepieces import NEGATIVE_PRESSURE, SCBA, is_tight_fitting, may_seal
from progdoc.rules.lookup.fit_protocols import fit_protocols, is_quantitative
from progdoc.rules.reading.checks import latest_clearance
from progdoc.rules.reading.in_force_predicates import IN_FORCE_PREDICATES
from progdoc.rules.reading.standard_predicates import STANDARD_PREDICATES
from progdoc.rules.records.fit_checks import newest_test, worn_mask
from progdoc.rules.records.mask_stock import shortage
from progdoc.rules.requirement import Fact, Subject

__all__ = ["PREDICATES", "Fact", "is_atmosphere_supplying", "is_dust_mask"]

_AIRLINE = (Mode.AIRLINE_DEMAND, Mode.AIRLINE_CONTINUOUS_FLOW, Mode.AIRLINE_PRESSURE_DEMAND)
_OFFICIAL_TEXTS = (
    "procedures.medical.questionnaire.attachment",
    "procedures.voluntary_use.appendix_d_attachment",
)
_FAR_FROM_SEAL = {Gear.NONE, Gear.GLOVES, Gear.EAR_PLUGS, Gear.APRON}


def is_atmosphere_supplying(mask: Mask) -> bool | None:
    """Return whether the air comes from elsewhere than the room; None if the description does not say."""
    return None if mask.mode is None else mask.mode in (*_AIRLINE, *SCBA)


def is_dust_mask(mask: Mask) -> bool | None:
    """Return whether the mask is a filtering facepiece; None if the description does not say."""
    return None if mask.facepiece is None else mask.facepiece is Facepiece.FILTERING_FACEPIECE


def _any(answers: Iterable[tuple[str, bool | None]]) -> Fact:
    """Join answers by place: one true is true; else one unknown is unknown; else false."""
    given = list(answers)
    paths = tuple(path for path, _ in given)
    if any(answer is True for _, answer in given):
        return Fact(True, paths)
    ask = tuple(path for path, answer in given if answer is None)
    return Fact(None if ask else False, paths, ask)


def _of_tasks(field: str, test: Callable[[Any], bool]) -> Callable[[Facts, Subject], Fact]:
    def predicate(facts: Facts, subject: Subject) -> Fact:
        def answer(task: Task) -> bool | None:
            value = getattr(task, field)
            return None if value is None else test(value)

        tasks = facts.relevant_to(subject).tasks
        return _any((f"{path}.{field}", answer(t)) for path, t in tasks if t.done_by is DoneBy.OUR_PEOPLE)

    return predicate


def _of_masks(field: str, test: Callable[[Mask], bool | None]) -> Callable[[Facts, Subject], Fact]:
    def predicate(facts: Facts, subject: Subject) -> Fact:
        return _any((f"{path}.{field}", test(m)) for path, m in facts.relevant_to(subject).masks)

    return predicate


def _facepiece_in(*kinds: Facepiece) -> Callable[[Mask], bool | None]:
    return lambda mask: None if mask.facepiece is None else mask.facepiece in kinds


def _mode_in(*modes: Mode) -> Callable[[Facts, Subject], Fact]:
    return _of_masks("mode", lambda mask: None if mask.mode is None else mask.mode in modes)


def _field(path: str, test: Callable[[Any], bool]) -> Callable[[Facts, Subject], Fact]:
    def predicate(facts: Facts, subject: Subject) -> Fact:
        place = subject.path + path if path.startswith(".") else path
        value = facts.value_at(place)
        return Fact(None, (place,), (place,)) if value is None else Fact(test(value), (place,))

    return predicate


def _given(path: str) -> Callable[[Facts, Subject], Fact]:
    def predicate(facts: Facts, subject: Subject) -> Fact:
        place = subject.path + path if path.startswith(".") else path
        return Fact(facts.value_at(place) is not None, (place,))

    return predicate


def _is(wanted: Any) -> Callable[[Any], bool]:
    return lambda value: bool(value == wanted)


def _required_use(facts: Facts, subject: Subject) -> Fact:
    """Somebody asks for a mask, a limit is passed whatever was declared, or a mask is kept for emergencies."""
    if subject.kind not in ("task", "hazard", "mask-use", "escape-mask"):
        kept = [path for path, mask in facts.relevant_to(subject).masks if facts.is_kept(mask)]
        if kept:
            return Fact(True, tuple(f"{path}.emergency" for path in kept))
    tasks = [pair for pair in facts.relevant_to(subject).tasks if pair[1].done_by is DoneBy.OUR_PEOPLE]
    declared = _of_tasks("use", _is(Use.REQUIRED))(facts, subject)
    if any(facts.is_needed(task) for _, task in tasks):
        return Fact(True, declared.paths)
    return declared


def _hot_work(test: Callable[[Task], bool]) -> Callable[[Facts, Subject], Fact]:
    return lambda facts, subject: _any(
        (f"{path}.hot_work", test(task)) for path, task in facts.relevant_to(subject).tasks
    )


def _of_required_masks(test: Callable[[Mask], bool | None]) -> Callable[[Facts, Subject], Fact]:
    """Whether such a mask must be worn in some task, or is kept for an emergency; worn by choice is not meant."""

    def predicate(facts: Facts, subject: Subject) -> Fact:
        relevant = facts.relevant_to(subject)
        answers: list[tuple[str, bool | None]] = []
        for path, mask in relevant.masks:
            is_one = test(mask)
            if facts.is_kept(mask):
                answers.append((f"{path}.facepiece", is_one))
            for place, task in relevant.tasks:
                if task.done_by is not DoneBy.OUR_PEOPLE or all(use.mask != mask.id for use in task.masks):
                    continue
                if facts.is_worn(task):
                    answers.append((f"{path}.facepiece", is_one))
                elif task.use is None and is_one is not False:
                    answers.append((f"{place}.use", None))
        return _any(answers)

    return predicate


def _tests_by(quantitative: bool) -> Callable[[Facts, Subject], Fact]:
    def some(names: Iterable[str]) -> bool:
        return any(name in fit_protocols() and is_quantitative(name) is quantitative for name in names)

    return _field("procedures.fit_testing.protocols", some)


def _fit_tested(facts: Facts, subject: Subject) -> Fact:
    tests = person_of(facts, subject).fit_tests
    return Fact(any(test.date <= facts.as_of for test in tests), (subject.path,))


def _fit_tested_on_this_mask(facts: Facts, subject: Subject) -> Fact:
    person, _, issued = worn_mask(facts, subject)
    return Fact(newest_test(person, issued, facts.as_of) is not None, (subject.path,))


def _recommendation_on_record(facts: Facts, subject: Subject) -> Fact:
    known = latest_clearance(person_of(facts, subject), facts.as_of) is not None
    return Fact(known, (f"{subject.path}.medical",))


def _voluntary_use(facts: Facts, subject: Subject) -> Fact:
    return _of_tasks("use", _is(Use.VOLUNTARY))(facts, subject)


def _voluntary_beyond_dust_masks(facts: Facts, subject: Subject) -> Fact:
    return _any(
        (f"{facts.masks[use.mask][0]}.facepiece", _not(is_dust_mask(facts.masks[use.mask][1])))
        for _, task in facts.relevant_to(subject).tasks
        if task.use is Use.VOLUNTARY
        for use in task.masks
    )


def _not(answer: bool | None) -> bool | None:
    return None if answer is None else not answer


def _both(one: bool | None, other: bool | None) -> bool | None:
    return False if False in (one, other) else None if None in (one, other) else True


def _is_washable(mask: Mask) -> bool | None:
    """Return whether a mask is cleaned and worn again; a dust mask never is."""
    return False if mask.disposable else _not(is_dust_mask(mask))


def _washable_exclusive(mask: Mask) -> bool | None:
    return _both(None if mask.issue is None else mask.issue is Issue.EXCLUSIVE, _is_washable(mask))


def _washable_shared(facts: Facts, subject: Subject) -> Fact:
    """Several people wear a mask: it is said, or there are fewer of them than people who wear them."""

    def test(mask: Mask) -> bool | None:
        said = None if mask.issue is None else mask.issue is Issue.SHARED
        return _both(shortage(facts, mask) is not None or said, _is_washable(mask))

    return _of_masks("issue", test)(facts, subject)


def _carries_air(mask: Mask) -> bool | None:
    """Return whether the wearer carries a cylinder: SCBA, or the auxiliary air of an airline mask."""
    if mask.auxiliary_air:
        return True
    return None if mask.mode is None else mask.mode in SCBA


def _gas_filter(facts: Facts, subject: Subject) -> Fact:
    """A cartridge against gas or vapour is in use."""
    uses = [use for _, task in facts.relevant_to(subject).tasks for use in task.masks]
    found = [facts.filters[f] for use in uses for f in use.filters]
    return _any((f"{path}.gases", is_gas_cartridge(part)) for path, part in found)


def _schedule_of_gas_cartridge(facts: Facts, subject: Subject) -> Fact:
    """The schedule is that of a gas or vapour cartridge: a particle filter needs none, (d)(3)(iv)."""
    plans = facts.description.procedures.filter_changes.schedules
    named = {f"schedules.{plan.id}": facts.filters[plan.filter] for plan in plans if plan.filter in facts.filters}
    found = [named[name] for name in subject.ids if name in named] or list(named.values())
    return _any((f"{path}.gases", is_gas_cartridge(part)) for path, part in found)


def _particulate_filter(facts: Facts, subject: Subject) -> Fact:
    uses = [use for _, task in facts.relevant_to(subject).tasks for use in task.masks]
    return _any((path, found is not None) for use in uses for path, found in _classes(facts, use))


def _classes(facts: Facts, use: MaskUse) -> list[tuple[str, Particulate | None]]:
    """Return the filter classes worn, fitted or built in, each with its place."""
    path, mask = facts.masks[use.mask]
    fitted = [(f"{place}.particulate", part.particulate) for place, part in map(facts.filters.__getitem__, use.filters)]
    return [*fitted, (f"{path}.built_in_filter", mask.built_in_filter)]


def _r_series_in_oil(facts: Facts, subject: Subject) -> Fact:
    """An R-series filter is worn where oil is in the air; open where nobody says whether there is oil."""
    (_, task), (_, mask) = facts.relevant_to(subject).tasks[0], facts.relevant_to(subject).masks[0]
    uses = [use for use in task.masks if use.mask == mask.id]
    is_r = any(found and found.value.startswith("R") for use in uses for _, found in _classes(facts, use))
    return _any((f"{path}.oil", is_r and hazard.oil) for path, hazard in facts.hazards_by_task.get(task.id, ()))


def _immediately_dangerous(facts: Facts, subject: Subject) -> Fact:
    """The air may kill or disable at once: declared, or read from oxygen and level; open while a figure is missing."""
    answers: list[tuple[str, bool | None]] = []
    for path, task in facts.relevant_to(subject).tasks:
        if task.done_by is not DoneBy.OUR_PEOPLE:
            continue
        air = facts.selection.air[task.id]
        answers.append((f"{path}.immediately_dangerous", True if air.is_danger_shown else task.immediately_dangerous))
        answers += [(missing, None) for missing in air.to_find_out]
    return _any(answers)


def _in_use(facts: Facts, subject: Subject) -> Fact:
    return Fact(bool(facts.relevant_to(subject).tasks), (subject.path,))


def _has_source(source: AirSource) -> Callable[[Facts, Subject], Fact]:
    return _field("procedures.air_supply.sources", lambda sources: source in sources)


def _cleaning_not_appendix_b2(facts: Facts, subject: Subject) -> Fact:
    """Another way is followed, or whoever says that it is Appendix B-2's says that it is not as effective."""
    place = "procedures.cleaning.as_effective"
    is_other = _field("procedures.cleaning.adopt", lambda value: value is not CleaningMethod.APPENDIX_B2)
    return Fact(True, (place,)) if facts.value_at(place) is False else is_other(facts, subject)


PREDICATES: dict[str, Callable[[Facts, Subject], Fact]] = {
    "required-use": _required_use,
    "voluntary-use": _voluntary_use,
    "voluntary-beyond-dust-masks": _voluntary_beyond_dust_masks,
    "in-use": _in_use,
    "done-by-our-people": lambda facts, subject: _any(
        (f"{path}.done_by", task.done_by is DoneBy.OUR_PEOPLE) for path, task in facts.relevant_to(subject).tasks
    ),
    "done-by-others": lambda facts, subject: _any(
        (f"{path}.done_by", task.done_by is DoneBy.OTHERS) for path, task in facts.relevant_to(subject).tasks
    ),
    # masks
    "tight-fitting": _of_masks("facepiece", is_tight_fitting),
    "full-facepiece": _of_masks("facepiece", _facepiece_in(Facepiece.FULL_FACEPIECE)),
    "dust-mask": _of_masks("facepiece", is_dust_mask),
    "beyond-dust-masks": _of_masks("facepiece", lambda m: _not(is_dust_mask(m))),
    "hood-or-helmet": _of_masks("facepiece", _facepiece_in(Facepiece.HOOD, Facepiece.HELMET)),
    "air-purifying": _mode_in(Mode.AIR_PURIFYING, Mode.POWERED),
    "negative-pressure": _mode_in(*NEGATIVE_PRESSURE),
    "powered": _mode_in(Mode.POWERED),
    "supplied-air": _of_masks("mode", is_atmosphere_supplying),
    "airline": _mode_in(*_AIRLINE),
    "scba": _mode_in(*SCBA),
    "tested-in-negative-pressure": _of_masks(
        "mode",
        lambda m: None if m.mode is None or m.facepiece is None else m.mode is not Mode.AIR_PURIFYING and may_seal(m),
    ),
    "required-tight-fitting": _of_required_masks(is_tight_fitting),
    "required-full-facepiece": _of_required_masks(_facepiece_in(Facepiece.FULL_FACEPIECE)),
    "required-half-mask": _of_required_masks(
        _facepiece_in(Facepiece.HALF_MASK, Facepiece.QUARTER_MASK, Facepiece.FILTERING_FACEPIECE)
    ),
    "reusable": _of_masks("disposable", lambda m: not m.disposable),
    "exclusive-masks": _of_masks("issue", lambda m: None if m.issue is None else m.issue is Issue.EXCLUSIVE),
    "shared-masks": _of_masks("issue", lambda m: None if m.issue is None else m.issue is Issue.SHARED),
    "emergency-masks": _of_masks("emergency", lambda m: m.emergency),
    "routine-masks": lambda facts, subject: _of_masks("emergency", facts.is_in_routine_use)(facts, subject),
    "escape-only-masks": _of_masks("escape_only", lambda m: m.escape_only),
    "mask-withdrawn": _of_masks("withdrawn", lambda m: m.withdrawn is not None),
    "washable-masks": _of_masks("facepiece", _is_washable),
    "washable-exclusive-masks": _of_masks("issue", _washable_exclusive),
    "washable-shared-masks": _washable_shared,
    "never-cleaned-masks": _of_masks("facepiece", lambda m: _not(_is_washable(m))),
    "washable-emergency-masks": _of_masks("facepiece", lambda m: _both(m.emergency, _is_washable(m))),
    "enriched-air": _of_masks("enriched_air", lambda m: m.enriched_air),
    "carried-air": _of_masks("mode", _carries_air),
    "issue-given": _given(".issue"),
    "stock-told": _of_masks("in_stock", lambda mask: mask.in_stock is not None or bool(mask.units)),
    "gas-cartridge": _gas_filter,
    "schedule-of-gas-cartridge": _schedule_of_gas_cartridge,
    "particulate-filter": _particulate_filter,
    "has-indicator": _given(".esli_for"),
    "r-series-in-oil": _r_series_in_oil,
    # work
    "immediately-dangerous": _immediately_dangerous,
    "structural-fire": _of_tasks("structural_fire", _is(True)),
    "confined-space": _of_tasks("confined_space", _is(True)),
    "hot-work": _given(".hot_work"),
    "hot-work-asks-for-mask": _hot_work(asks_for_mask),
    "hot-work-with-beryllium": _hot_work(is_with_beryllium),
    "other-gear-worn": lambda facts, subject: _any(
        (f"{path}.gear", bool(set(task.gear) - {Gear.NONE})) for path, task in facts.relevant_to(subject).tasks
    ),
    "controls-feasible": _field(".why_masks", lambda value: value is not WhyMasks.NOT_FEASIBLE),
    "gear-near-the-seal": lambda facts, subject: _any(
        (f"{path}.gear", bool(set(task.gear) - _FAR_FROM_SEAL)) for path, task in facts.relevant_to(subject).tasks
    ),
    **STANDARD_PREDICATES,
    **IN_FORCE_PREDICATES,
    # procedures
    "protocols-named": _given("procedures.fit_testing.protocols"),
    "qualitative-tests": _tests_by(quantitative=False),
    "quantitative-tests": _tests_by(quantitative=True),
    "questionnaire-used": _field("procedures.medical.method", _is("questionnaire")),
    "questionnaire-attached": _field("procedures.medical.questionnaire.source", _is("attached")),
    "appendix-d-attached": _field("procedures.voluntary_use.appendix_d", _is("attached")),
    "appendix-d-read-out": _field("procedures.voluntary_use.appendix_d", _is("read-out")),
    "official-text-attached": lambda facts, _subject: Fact(
        any(facts.value_at(path) for path in _OFFICIAL_TEXTS), _OFFICIAL_TEXTS
    ),
    "cleaning-not-appendix-b2": _cleaning_not_appendix_b2,
    "revision-history-told": _given("program.history"),
    "cleaning-is-own": _field("procedures.cleaning.adopt", _is("own")),
    "cleaning-by-maker": _field("procedures.cleaning.adopt", _is("maker")),
    "water-temperature-given": _given("procedures.cleaning.water_temperature"),
    "seal-check-by-maker": _field("procedures.use.seal_check.adopt", _is("maker")),
    "state-plan": _field("program.jurisdiction.authority", _is("state-plan")),
    "findings-recorded": _given("procedures.evaluation.findings"),
    "evaluation-interval-adopted": _given("procedures.evaluation.interval"),
    "voluntary-use-allowed": lambda facts, _subject: Fact(
        facts.description.procedures.voluntary_use.allowed is True, ("procedures.voluntary_use.allowed",)
    ),
    "earlier-training-counted": lambda facts, _subject: Fact(
        facts.description.procedures.training.earlier_only_if_shown is False
        or any(entry.elsewhere for person in facts.description.people for entry in person.training),
        ("people", "procedures.training.earlier_only_if_shown"),
    ),
    "breathing-air": _field("procedures.air_supply.sources", lambda sources: set(sources) != {AirSource.OXYGEN}),
    "liquid-air": _has_source(AirSource.LIQUID_AIR),
    "air-oxygen-given": lambda facts, _subject: Fact(
        facts.description.procedures.air_supply.oxygen_low is not None
        or facts.description.procedures.air_supply.oxygen_high is not None,
        ("procedures.air_supply.oxygen_low", "procedures.air_supply.oxygen_high"),
    ),
    "air-oil-given": _given("procedures.air_supply.oil"),
    "air-carbon-monoxide-given": _given("procedures.air_supply.carbon_monoxide"),
    "air-carbon-dioxide-given": _given("procedures.air_supply.carbon_dioxide"),
    "air-odour-given": _given("procedures.air_supply.no_odour"),
    "compressed-oxygen": _has_source(AirSource.OXYGEN),
    "air-cylinders": _has_source(AirSource.CYLINDERS),
    "compressor": _has_source(AirSource.COMPRESSOR),
    "oil-lubricated": _field("procedures.air_supply.compressor.oil_lubricated", _is(True)),
    "not-oil-lubricated": _field("procedures.air_supply.compressor.oil_lubricated", _is(False)),
    "temperature-alarm-alone": _field(
        "procedures.air_supply.compressor.alarms", lambda alarms: set(alarms) == {CompressorAlarm.HIGH_TEMPERATURE}
    ),
    # records
    "recommendation-on-record": _recommendation_on_record,
    "fit-tested": _fit_tested,
    "fit-tested-on-this-mask": _fit_tested_on_this_mask,
    "wears-spectacles": _field(".spectacles", _is(True)),
    "hair-looked-at": _given(".hair_in_seal"),
}
