"""On what a duty about a mask in a task rests, when nothing is found against it: stated facts, or nothing to judge.

A mask is shown to protect by the evidence for every agent of the task, by what the mask is, and, where filters
clean the air, by what they stop. Air that nobody has judged leaves it open.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator

from progdoc.calc.oxygen import OxygenCase
from progdoc.core.late_dataclass import dataclass
from progdoc.core.said import said
from progdoc.model.description.exposure_evidence import Unknown
from progdoc.model.description.masks import Filter, Gas, Mask, Mode
from progdoc.model.description.workplace import Gear, MaskUse
from progdoc.rules.facts import Facts
from progdoc.rules.judged.air_results import Assessment, MaskRules, TaskAir
from progdoc.rules.lookup.cartridges import is_gas_cartridge, needed_cartridge
from progdoc.rules.lookup.facepieces import SCBA, may_seal
from progdoc.rules.lookup.standard_tables import SubstanceStandard, cartridge_rows
from progdoc.rules.masks.danger import is_for_idlh
from progdoc.rules.masks.fittings import SEAL_BREAKERS
from progdoc.rules.masks.standards import HALF, standards_of
from progdoc.rules.outcome import Outcome, all_of
from progdoc.rules.reading.hazard_grounds import Ground
from progdoc.rules.requirement import Subject

__all__ = ["MASK_GROUNDS"]


@dataclass(frozen=True, slots=True)
class _Worn:
    """A mask as it is worn in a task, with the places of all of it."""

    air: TaskAir
    mask: Mask
    mask_path: str
    use: MaskUse
    use_path: str
    fitted: tuple[tuple[str, Filter], ...]

    @property
    def purifies(self) -> bool:
        return self.mask.mode in (None, Mode.AIR_PURIFYING, Mode.POWERED)

    def agents(self, test: Callable[[Assessment], bool]) -> tuple[Assessment, ...]:
        return tuple(agent for agent in self.air.agents if test(agent))


def _of_worn(ground: Callable[[_Worn], Outcome]) -> Ground:
    def found(facts: Facts, subject: Subject) -> Outcome:
        task, mask = (name.partition(".")[2] for name in subject.ids)
        place, described = facts.masks[mask]
        use: MaskUse = facts.value_at(subject.path)
        fitted = tuple(facts.filters[part] for part in use.filters)
        return ground(_Worn(facts.selection.air[task], described, place, use, subject.path, fitted))

    return found


def _said(base: str, thing: object, names: Iterable[str]) -> Outcome:
    """Every named field, stated or asked for."""
    silent = tuple(f"{base}.{name}" for name in names if getattr(thing, name) is None)
    stated = tuple(f"{base}.{name}" for name in names if getattr(thing, name) is not None)
    return Outcome(shown=stated, ask=silent, read=(*stated, *silent))


def _mask(worn: _Worn) -> Outcome:
    return _said(worn.mask_path, worn.mask, ("facepiece", "mode"))


def _air(worn: _Worn) -> Outcome:
    """The evidence for every agent; a mask for the worst air needs none."""
    if is_for_idlh(worn.mask, worn.air):
        return Outcome(shown=(f"{worn.mask_path}.mode",))
    if not worn.air.agents:
        return Outcome(ask=(worn.air.path,))
    unknown = tuple(f"{a.path}.exposure" for a in worn.agents(lambda a: isinstance(a.hazard.exposure, Unknown | None)))
    shown = tuple(f"{agent.path}.exposure" for agent in worn.air.agents)
    return Outcome(ask=unknown, read=shown) if unknown else Outcome(shown=shown, read=shown)


def _danger(worn: _Worn) -> Outcome:
    path = f"{worn.air.path}.immediately_dangerous"
    if worn.air.is_immediately_dangerous:
        return Outcome(shown=(f"{worn.mask_path}.mode",), read=(path,))
    return Outcome(nothing=said("The air is not immediately dangerous."), read=(path,))


def _oxygen_exception(worn: _Worn) -> Outcome:
    path = f"{worn.air.path}.oxygen"
    if worn.air.oxygen is OxygenCase.EXCEPTION:
        return Outcome(shown=(f"{worn.mask_path}.mode",), read=(path,))
    return Outcome(nothing=said("Oxygen is not low within Table II."), read=(path,))


def _enriched(worn: _Worn) -> Outcome:
    if worn.air.needs_enriched_air:
        return Outcome(shown=(f"{worn.mask_path}.enriched_air",) if worn.mask.enriched_air else (worn.air.path,))
    return Outcome(nothing=said("No site lies so high."), read=(f"{worn.air.path}.sites",))


def _escape(worn: _Worn) -> Outcome:
    path = f"{worn.mask_path}.escape_only"
    return Outcome(nothing=said("This is no escape mask."), read=(path,)) if not worn.mask.escape_only else _mask(worn)


def _in_use(worn: _Worn) -> Outcome:
    """Withdrawn from a day to come: until then it is worn."""
    return Outcome(shown=(f"{worn.mask_path}.withdrawn.since",))


def _cleans_air(worn: _Worn) -> Outcome:
    path = f"{worn.mask_path}.mode"
    if worn.purifies:
        return _said(worn.mask_path, worn.mask, ("mode",))
    return Outcome(nothing=said("This mask brings air of its own."), read=(path,))


def _agents(test: Callable[[Assessment], bool], nothing: str) -> Ground:
    """The agents of which something holds; as long as a form is not said, it may."""

    def ground(worn: _Worn) -> Outcome:
        forms = tuple(f"{a.path}.form" for a in worn.agents(test))
        silent = tuple(f"{a.path}.form" for a in worn.agents(lambda a: a.hazard.form is None))
        if silent:
            return Outcome(ask=silent, read=silent)
        return Outcome(shown=forms, nothing="" if forms else nothing, read=forms)

    return _of_worn(ground)


def _particle_filters(worn: _Worn) -> Iterator[str]:
    yield from (f"{path}.particulate" for path, part in worn.fitted if part.particulate is not None)
    if worn.mask.built_in_filter is not None:
        yield f"{worn.mask_path}.built_in_filter"


def _particle_filter(worn: _Worn) -> Outcome:
    shown = tuple(_particle_filters(worn))
    return Outcome(shown=shown, nothing="" if shown else said("No particle filter is worn."), read=(worn.use_path,))


def _gas_parts(worn: _Worn) -> Iterator[str]:
    for path, part in worn.fitted:
        if is_gas_cartridge(part):
            yield f"{path}.{'agents' if part.agents else 'gases'}"


def _is_carbon_monoxide(agent: Assessment) -> bool:
    return agent.substance is not None and needed_cartridge(agent.substance) == Gas.CARBON_MONOXIDE.value


def _gas_cartridge(worn: _Worn) -> Outcome:
    shown = tuple(_gas_parts(worn))
    return Outcome(shown=shown, nothing="" if shown else said("No gas cartridge is worn."), read=(worn.use_path,))


def _stopped_by(parts: Callable[[_Worn], Iterator[str]]) -> Ground:
    """Air of its own, or the filters that stop what is in the air."""

    def ground(worn: _Worn) -> Outcome:
        if not worn.purifies:
            return _said(worn.mask_path, worn.mask, ("mode",))
        shown = tuple(parts(worn))
        return Outcome(shown=shown, ask=() if shown else (f"{worn.use_path}.filters",), read=(worn.use_path,))

    return _of_worn(ground)


def _oil(worn: _Worn) -> Outcome:
    oily = tuple(f"{a.path}.oil" for a in worn.agents(lambda a: a.hazard.oil is True))
    if not oily:
        return Outcome(nothing=said("No oil mist is described in this air."), read=(worn.air.path,))
    return Outcome(shown=(*oily, *_particle_filters(worn)))


def _filters_of_mask(worn: _Worn) -> Outcome:
    if not worn.use.filters:
        return Outcome(nothing=said("No filter is fitted to it."), read=(worn.use_path,))
    return (
        _said(worn.mask_path, worn.mask, ("filters",))
        if worn.mask.filters
        else Outcome(ask=(f"{worn.mask_path}.filters",))
    )


def _gear(worn: _Worn) -> Outcome:
    path, task = worn.air.path, worn.air.task
    if not may_seal(worn.mask):
        return Outcome(nothing=said("This mask has no seal to disturb."), read=(f"{worn.mask_path}.facepiece",))
    if not task.gear:
        return Outcome(ask=(f"{path}.gear",), read=(f"{path}.gear",))
    matters = task.gear_clear_of_seal is False or set(task.gear) & set(SEAL_BREAKERS)
    clear = (f"{path}.gear_clear_of_seal",) if matters else ()
    return Outcome(shown=(f"{path}.gear", *clear), read=(f"{path}.gear", *clear))


def _standard(test: Callable[[SubstanceStandard], bool], fields: tuple[str, ...], nothing: str) -> Ground:
    """The agents with a standard that asks for something of the mask, and what the mask shows of it."""

    def ground(worn: _Worn) -> Outcome:
        bound = worn.agents(lambda a: any(test(rule) for rule in standards_of(a, worn.air.task)))
        if not bound:
            return Outcome(nothing=nothing, read=tuple(f"{a.path}.agent" for a in worn.air.agents))
        return all_of([_said(worn.mask_path, worn.mask, fields), *(Outcome(shown=(f"{a.path}.agent",)) for a in bound)])

    return _of_worn(ground)


def _eyes(worn: _Worn) -> Outcome:
    """A full facepiece, a hood or gas-proof goggles guard the eyes; else it must be known that nothing irritates."""
    facepiece = _said(worn.mask_path, worn.mask, ("facepiece",))
    if worn.mask.facepiece not in HALF:
        return facepiece
    free = worn.agents(lambda agent: not standards_of(agent, worn.air.task))
    if not free:
        return Outcome(
            nothing=said("The standards of these agents say what is asked for the eyes."), read=(worn.air.path,)
        )
    if Gear.GAS_PROOF_GOGGLES in worn.air.task.gear:
        return all_of([facepiece, Outcome(shown=(f"{worn.air.path}.gear",))])
    known = tuple(f"{a.path}.agent" for a in free if a.hazard.irritates_eyes is None and _is_in_table(a))
    stated = tuple(f"{a.path}.irritates_eyes" for a in free if a.hazard.irritates_eyes is not None)
    silent = tuple(f"{a.path}.irritates_eyes" for a in free if a.hazard.irritates_eyes is None and not _is_in_table(a))
    return all_of([facepiece, Outcome(shown=(*known, *stated), ask=silent)])


def _is_in_table(agent: Assessment) -> bool:
    return bool(agent.substance and agent.substance.irritates_eyes)


def _policy(bars: Callable[[MaskRules], object], nothing: str) -> Ground:
    def ground(worn: _Worn) -> Outcome:
        if not bars(worn.air.rules.of(worn.mask)):
            return Outcome(nothing=nothing, read=("policies",))
        return _mask(worn)

    return _of_worn(ground)


def _scba_time(worn: _Worn) -> Outcome:
    path = f"{worn.mask_path}.service_time"
    if worn.mask.mode not in SCBA:
        return Outcome(nothing=said("This is no self-contained set."), read=(f"{worn.mask_path}.mode",))
    if not any(policy.scba_service_time for policy in worn.air.rules.of(worn.mask).policies):
        return Outcome(nothing=said("No policy here asks for a rated time."), read=("policies",))
    return _said(worn.mask_path, worn.mask, ("service_time",)) if worn.mask.service_time else Outcome(ask=(path,))


def _blasting_mask(worn: _Worn) -> Outcome:
    return _said(worn.mask_path, worn.mask, ("mode", "for_blasting"))


MASK_GROUNDS: dict[str, Ground] = {
    "mask": _of_worn(_mask),
    "blasting-mask": _of_worn(_blasting_mask),
    "air": _of_worn(_air),
    "danger": _of_worn(_danger),
    "low-oxygen": _of_worn(_oxygen_exception),
    "great-height": _of_worn(_enriched),
    "escape-mask": _of_worn(_escape),
    "mask-in-use": _of_worn(_in_use),
    "cleans-air": _of_worn(_cleans_air),
    "gas": _agents(lambda a: a.is_gas, said("No gas or vapour is in this air.")),
    "particles": _agents(lambda a: a.hazard.form is not None and a.is_particle, said("No particles are in this air.")),
    "carbon-monoxide": _agents(_is_carbon_monoxide, said("No carbon monoxide is in this air.")),
    "stops-gas": _stopped_by(_gas_parts),
    "stops-particles": _stopped_by(_particle_filters),
    "particle-filter": _of_worn(_particle_filter),
    "gas-cartridge": _of_worn(_gas_cartridge),
    "oil": _of_worn(_oil),
    "filters-of-mask": _of_worn(_filters_of_mask),
    "gear": _of_worn(_gear),
    "eyes": _of_worn(_eyes),
    "standard-bars-filters": _standard(
        lambda rule: rule.air_purifying == "forbidden",
        ("mode",),
        said("No standard of these agents bars filter masks."),
    ),
    "standard-on-dust-masks": _standard(
        lambda rule: rule.filtering_facepiece in ("forbidden", "up-to-5-times"),
        ("facepiece",),
        said("No standard of these agents bars dust masks."),
    ),
    "standard-on-half-masks": _standard(
        lambda rule: rule.half_mask != "allowed",
        ("facepiece",),
        said("No standard of these agents asks for a full facepiece."),
    ),
    "standard-on-irritation": _standard(
        lambda rule: rule.half_mask == "not-if-irritating",
        ("facepiece",),
        said("No standard of these agents asks whether the air irritates."),
    ),
    "standard-on-hepa": _standard(
        lambda rule: rule.particle_filter.startswith("HEPA"),
        ("mode",),
        said("No standard of these agents asks for HEPA."),
    ),
    "standard-on-cartridges": _standard(
        lambda rule: bool(cartridge_rows(rule.agent, rule.industry)),
        ("mode",),
        said("No standard of these agents names kinds of cartridge."),
    ),
    "own-table": _standard(lambda rule: True, ("facepiece", "mode"), said("No agent here has a table of its own.")),
    "policy-on-filters": _policy(lambda rules: rules.least_filters, said("No policy here asks for a class of filter.")),
    "policy-on-scba-time": _of_worn(_scba_time),
    "policy-on-dust-masks": _policy(lambda rules: rules.dust_masks_barred_by, said("No policy here bars dust masks.")),
    "policy-on-masks-by-choice": _policy(
        lambda rules: rules.choice_barred_by, said("No policy here bars masks that nobody requires.")
    ),
    "policy-on-filter-masks": _policy(
        lambda rules: rules.air_purifying_barred_by, said("No policy here bars masks that clean the air.")
    ),
}
