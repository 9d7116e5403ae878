"""Facts about the written procedures: what is adopted, named, attached or given, and which air is supplied."""

from __future__ import annotations

from collections.abc import Iterable

from progdoc.model.description.breathing_air import AirSource, CompressorAlarm
from progdoc.model.description.upkeep import CleaningMethod
from progdoc.rules.facts import Facts
from progdoc.rules.lookup.fit_protocols import fit_protocols, is_quantitative
from progdoc.rules.reading.asked_of import Predicate, at_place, equals, given
from progdoc.rules.records.rescue_checks import rescues
from progdoc.rules.requirement import Fact, Subject

__all__ = ["PROCEDURE_PREDICATES"]

_OFFICIAL_TEXTS = (
    "procedures.medical.questionnaire.attachment",
    "procedures.voluntary_use.appendix_d_attachment",
)


def _tests_by(quantitative: bool) -> Predicate:
    def some(names: Iterable[str]) -> bool:
        return any(name in fit_protocols() and is_quantitative(name) is quantitative for name in names)

    return at_place("procedures.fit_testing.protocols", some)


def _has_source(source: AirSource) -> Predicate:
    return at_place("procedures.air_supply.sources", lambda sources: source in sources)


def _cleaning_not_appendix_b2(facts: Facts, subject: Subject) -> Fact:
    """Another way is followed, or whoever says that it is Appendix B-2's says that it is not as effective."""
    place = "procedures.cleaning.as_effective"
    is_other = at_place("procedures.cleaning.adopt", lambda value: value is not CleaningMethod.APPENDIX_B2)
    return Fact(True, (place,)) if facts.value_at(place) is False else is_other(facts, subject)


def _go_in_on_own_air(facts: Facts, _subject: Subject) -> Fact:
    """People who go into air that nobody judged, on air they carry, go into what the law takes for deadly."""
    place = "procedures.emergencies.foreseeable"
    plans = facts.description.procedures.emergencies.foreseeable
    holds = any(one.going_in and any(rescues(facts.masks[mask][1]) for mask in one.masks) for one in plans)
    return Fact(holds, (place,))


PROCEDURE_PREDICATES: dict[str, Predicate] = {
    "protocols-named": given("procedures.fit_testing.protocols"),
    "qualitative-tests": _tests_by(quantitative=False),
    "quantitative-tests": _tests_by(quantitative=True),
    "goes-in-on-own-air": _go_in_on_own_air,
    **{f"{name}-given": given(name.replace("-", "_")) for name in ("bodies", "roles", "groups", "house-rules")},
    "questionnaire-used": at_place("procedures.medical.method", equals("questionnaire")),
    "questionnaire-attached": at_place("procedures.medical.questionnaire.source", equals("attached")),
    "appendix-d-attached": at_place("procedures.voluntary_use.appendix_d", equals("attached")),
    "appendix-d-read-out": at_place("procedures.voluntary_use.appendix_d", equals("read-out")),
    "official-text-attached": lambda facts, _subject: Fact(
        any(facts.value_at(path) for path in _OFFICIAL_TEXTS), _OFFICIAL_TEXTS
    ),
    "cleaning-not-appendix-b2": _cleaning_not_appendix_b2,
    "revision-history-told": given("program.history"),
    "cleaning-is-own": at_place("procedures.cleaning.adopt", equals("own")),
    "cleaning-by-maker": at_place("procedures.cleaning.adopt", equals("maker")),
    "water-temperature-given": given("procedures.cleaning.water_temperature"),
    "seal-check-by-maker": at_place("procedures.use.seal_check.adopt", equals("maker")),
    "state-plan": at_place("program.jurisdiction.authority", equals("state-plan")),
    "findings-recorded": given("procedures.evaluation.findings"),
    "evaluation-interval-adopted": given("procedures.evaluation.interval"),
    "voluntary-use-allowed": lambda facts, _subject: Fact(
        facts.description.procedures.voluntary_use.allowed is True, ("procedures.voluntary_use.allowed",)
    ),
    "earlier-training-counted": lambda facts, _subject: Fact(
        facts.description.procedures.training.earlier_only_if_shown is False
        or any(entry.elsewhere for person in facts.description.people for entry in person.training),
        ("people", "procedures.training.earlier_only_if_shown"),
    ),
    "breathing-air": at_place("procedures.air_supply.sources", lambda sources: set(sources) != {AirSource.OXYGEN}),
    "liquid-air": _has_source(AirSource.LIQUID_AIR),
    "air-oxygen-given": lambda facts, _subject: Fact(
        facts.description.procedures.air_supply.oxygen_low is not None
        or facts.description.procedures.air_supply.oxygen_high is not None,
        ("procedures.air_supply.oxygen_low", "procedures.air_supply.oxygen_high"),
    ),
    "air-oil-given": given("procedures.air_supply.oil"),
    "air-carbon-monoxide-given": given("procedures.air_supply.carbon_monoxide"),
    "air-carbon-dioxide-given": given("procedures.air_supply.carbon_dioxide"),
    "air-odour-given": given("procedures.air_supply.no_odour"),
    "compressed-oxygen": _has_source(AirSource.OXYGEN),
    "air-cylinders": _has_source(AirSource.CYLINDERS),
    "compressor": _has_source(AirSource.COMPRESSOR),
    "oil-lubricated": at_place("procedures.air_supply.compressor.oil_lubricated", equals(True)),
    "not-oil-lubricated": at_place("procedures.air_supply.compressor.oil_lubricated", equals(False)),
    "temperature-alarm-alone": at_place(
        "procedures.air_supply.compressor.alarms", lambda alarms: set(alarms) == {CompressorAlarm.HIGH_TEMPERATURE}
    ),
}
