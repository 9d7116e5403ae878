"""Facts about masks and what is fitted to them: what a mask is, how it is issued and cleaned, which filters it has."""

from __future__ import annotations

from collections.abc import Callable

from progdoc.model.description.masks import Facepiece, Issue, Mask, Mode, Particulate
from progdoc.model.description.workplace import DoneBy, MaskUse, Use
from progdoc.rules.facts import Facts
from progdoc.rules.lookup.cartridges import is_gas_cartridge
from progdoc.rules.lookup.facepieces import NEGATIVE_PRESSURE, SCBA, is_tight_fitting, may_seal
from progdoc.rules.reading.asked_of import Predicate, any_of, denied, given, of_masks
from progdoc.rules.records.mask_stock import shortage
from progdoc.rules.requirement import Fact, Subject

__all__ = ["MASK_PREDICATES", "is_atmosphere_supplying", "is_dust_mask"]

_AIRLINE = (Mode.AIRLINE_DEMAND, Mode.AIRLINE_CONTINUOUS_FLOW, Mode.AIRLINE_PRESSURE_DEMAND)


def is_atmosphere_supplying(mask: Mask) -> bool | None:
    """Return whether the air comes from elsewhere than the room; None if the description does not say."""
    return None if mask.mode is None else mask.mode in (*_AIRLINE, *SCBA)


def is_dust_mask(mask: Mask) -> bool | None:
    """Return whether the mask is a filtering facepiece; None if the description does not say."""
    return None if mask.facepiece is None else mask.facepiece is Facepiece.FILTERING_FACEPIECE


def _facepiece_in(*kinds: Facepiece) -> Callable[[Mask], bool | None]:
    return lambda mask: None if mask.facepiece is None else mask.facepiece in kinds


def _mode_in(*modes: Mode) -> Predicate:
    return of_masks("mode", lambda mask: None if mask.mode is None else mask.mode in modes)


def _of_required_masks(test: Callable[[Mask], bool | None]) -> Predicate:
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
        return any_of(answers)

    return predicate


def _voluntary_beyond_dust_masks(facts: Facts, subject: Subject) -> Fact:
    return any_of(
        (f"{facts.masks[use.mask][0]}.facepiece", denied(is_dust_mask(facts.masks[use.mask][1])))
        for _, task in facts.relevant_to(subject).tasks
        if task.use is Use.VOLUNTARY
        for use in task.masks
    )


def _both(one: bool | None, other: bool | None) -> bool | None:
    return False if False in (one, other) else None if None in (one, other) else True


def _is_washable(mask: Mask) -> bool | None:
    """Return whether a mask is cleaned and worn again; a dust mask never is."""
    return False if mask.disposable else denied(is_dust_mask(mask))


def _washable_exclusive(mask: Mask) -> bool | None:
    return _both(None if mask.issue is None else mask.issue is Issue.EXCLUSIVE, _is_washable(mask))


def _washable_shared(facts: Facts, subject: Subject) -> Fact:
    """Several people wear a mask: it is said, or there are fewer of them than people who wear them."""

    def test(mask: Mask) -> bool | None:
        said = None if mask.issue is None else mask.issue is Issue.SHARED
        return _both(shortage(facts, mask) is not None or said, _is_washable(mask))

    return of_masks("issue", test)(facts, subject)


def _carries_air(mask: Mask) -> bool | None:
    """Return whether the wearer carries a cylinder: SCBA, or the auxiliary air of an airline mask."""
    if mask.auxiliary_air:
        return True
    return None if mask.mode is None else mask.mode in SCBA


def _gas_filter(facts: Facts, subject: Subject) -> Fact:
    """A cartridge against gas or vapour is in use; of a filter: whether it is one, whatever is worn beside it."""
    named = {name.partition(".")[2] for name in subject.ids if name.startswith("filters.")}
    uses = [use for _, task in facts.relevant_to(subject).tasks for use in task.masks]
    found = [facts.filters[f] for use in uses for f in use.filters if not named or f in named]
    return any_of((f"{path}.gases", is_gas_cartridge(part)) for path, part in found)


def _schedule_of_gas_cartridge(facts: Facts, subject: Subject) -> Fact:
    """The schedule is that of a gas or vapour cartridge: a particle filter needs none, (d)(3)(iv)."""
    plans = facts.description.procedures.filter_changes.schedules
    named = {f"schedules.{plan.id}": facts.filters[plan.filter] for plan in plans if plan.filter in facts.filters}
    found = [named[name] for name in subject.ids if name in named] or list(named.values())
    return any_of((f"{path}.gases", is_gas_cartridge(part)) for path, part in found)


def _particulate_filter(facts: Facts, subject: Subject) -> Fact:
    uses = [use for _, task in facts.relevant_to(subject).tasks for use in task.masks]
    return any_of((path, found is not None) for use in uses for path, found in _classes(facts, use))


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
    return any_of((f"{path}.oil", is_r and hazard.oil) for path, hazard in facts.hazards_by_task.get(task.id, ()))


MASK_PREDICATES: dict[str, Predicate] = {
    "voluntary-beyond-dust-masks": _voluntary_beyond_dust_masks,
    "tight-fitting": of_masks("facepiece", is_tight_fitting),
    "full-facepiece": of_masks("facepiece", _facepiece_in(Facepiece.FULL_FACEPIECE)),
    "dust-mask": of_masks("facepiece", is_dust_mask),
    "beyond-dust-masks": of_masks("facepiece", lambda m: denied(is_dust_mask(m))),
    "hood-or-helmet": of_masks("facepiece", _facepiece_in(Facepiece.HOOD, Facepiece.HELMET)),
    "air-purifying": _mode_in(Mode.AIR_PURIFYING, Mode.POWERED),
    "negative-pressure": _mode_in(*NEGATIVE_PRESSURE),
    "powered": _mode_in(Mode.POWERED),
    "supplied-air": of_masks("mode", is_atmosphere_supplying),
    "airline": _mode_in(*_AIRLINE),
    "scba": _mode_in(*SCBA),
    "tested-in-negative-pressure": of_masks(
        "mode",
        lambda m: None if m.mode is None or m.facepiece is None else m.mode is not Mode.AIR_PURIFYING and may_seal(m),
    ),
    "required-tight-fitting": _of_required_masks(is_tight_fitting),
    "required-full-facepiece": _of_required_masks(_facepiece_in(Facepiece.FULL_FACEPIECE)),
    "required-half-mask": _of_required_masks(
        _facepiece_in(Facepiece.HALF_MASK, Facepiece.QUARTER_MASK, Facepiece.FILTERING_FACEPIECE)
    ),
    "reusable": of_masks("disposable", lambda m: not m.disposable),
    "exclusive-masks": of_masks("issue", lambda m: None if m.issue is None else m.issue is Issue.EXCLUSIVE),
    "shared-masks": of_masks("issue", lambda m: None if m.issue is None else m.issue is Issue.SHARED),
    "emergency-masks": of_masks("emergency", lambda m: m.emergency),
    "routine-masks": lambda facts, subject: of_masks("emergency", facts.is_in_routine_use)(facts, subject),
    "escape-only-masks": of_masks("escape_only", lambda m: m.escape_only),
    "mask-withdrawn": of_masks("withdrawn", lambda m: m.withdrawn is not None),
    "washable-masks": of_masks("facepiece", _is_washable),
    "washable-exclusive-masks": of_masks("issue", _washable_exclusive),
    "washable-shared-masks": _washable_shared,
    "never-cleaned-masks": of_masks("facepiece", lambda m: denied(_is_washable(m))),
    "washable-emergency-masks": of_masks("facepiece", lambda m: _both(m.emergency, _is_washable(m))),
    "enriched-air": of_masks("enriched_air", lambda m: m.enriched_air),
    "carried-air": of_masks("mode", _carries_air),
    "issue-given": given(".issue"),
    "stock-told": of_masks("in_stock", lambda mask: mask.in_stock is not None or bool(mask.units)),
    "gas-cartridge": _gas_filter,
    "schedule-of-gas-cartridge": _schedule_of_gas_cartridge,
    "particulate-filter": _particulate_filter,
    "has-indicator": given(".esli_for"),
    "r-series-in-oil": _r_series_in_oil,
}
