"""What each fact of `predicates` means in words, and the places in the description that decide it.

A duty is said to apply "where …". A place stands for everything below it.
"""

from __future__ import annotations

from collections.abc import Mapping

from progdoc.core.late_dataclass import dataclass
from progdoc.core.said import said, said_join
from progdoc.rules.requirement import Condition

__all__ = ["PREDICATE_WORDS", "PredicateWords", "condition_reads", "condition_words"]


@dataclass(frozen=True, slots=True)
class PredicateWords:
    """A fact in words, and the places that decide it."""

    words: str
    reads: tuple[str, ...]


def _fact(words: str, *reads: str) -> PredicateWords:
    return PredicateWords(said(words), reads)


_WORN = ("tasks[].masks", "tasks[].escape_masks", "tasks[].done_by")  # which masks our people wear
_USED = (
    "tasks[].use",
    "tasks[].done_by",
    "tasks[].masks",
    "masks[].emergency",
    "masks[].escape_only",
    "tasks[].escape_masks",
)
# What decides, whatever was declared, that the air calls for a mask.
_AIR = (
    "hazards",
    "policies",
    "tasks[].duration",
    "tasks[].shift",
    "tasks[].industry",
    "tasks[].oxygen",
    "tasks[].immediately_dangerous",
    "tasks[].structural_fire",
    "tasks[].confined_space",
    "tasks[].sites",
    "organisation.sites[].altitude",
)
_FACE = ("masks[].facepiece", *_USED, *_AIR)

PREDICATE_WORDS: Mapping[str, PredicateWords] = {
    "required-use": _fact("our people must wear a mask, or one is kept for emergencies", *_USED, *_AIR),
    "bodies-given": _fact("departments, other firms or clinics are described", "bodies"),
    "roles-given": _fact("roles are described", "roles"),
    "groups-given": _fact("groups of people are described", "groups"),
    "house-rules-given": _fact("rules of the firm's own are described", "house_rules"),
    "voluntary-use": _fact("our people wear masks that nobody requires", "tasks[].use", "tasks[].done_by"),
    "voluntary-beyond-dust-masks": _fact(
        "masks other than dust masks are worn by choice", "tasks[].use", "tasks[].masks", "masks[].facepiece"
    ),
    "in-use": _fact("it is used in a task of our people", *_WORN),
    "policies-given": _fact("the description names policies that bind by now", "policies"),
    "policies-coming": _fact("a policy is dated ahead", "policies[].date"),
    "done-by-our-people": _fact("our own people do the task", "tasks[].done_by"),
    "done-by-others": _fact("the task is left to others", "tasks[].done_by"),
    "tight-fitting": _fact("the mask seals against the face", "masks[].facepiece", *_WORN),
    "full-facepiece": _fact("there is a full facepiece", "masks[].facepiece", *_WORN),
    "dust-mask": _fact("there is a dust mask", "masks[].facepiece", *_WORN),
    "beyond-dust-masks": _fact("there is a mask other than a dust mask", "masks[].facepiece", *_WORN),
    "hood-or-helmet": _fact("there is a hood or a helmet", "masks[].facepiece", *_WORN),
    "air-purifying": _fact("the mask cleans the air of the room", "masks[].mode", *_WORN),
    "negative-pressure": _fact("the wearer's own breath draws the air in", "masks[].mode", *_WORN),
    "powered": _fact("there is a powered mask", "masks[].mode", *_WORN),
    "supplied-air": _fact("the air comes from a hose or a cylinder", "masks[].mode", *_WORN),
    "airline": _fact("there is a mask on a hose", "masks[].mode", *_WORN),
    "scba": _fact("there is SCBA", "masks[].mode", *_WORN),
    "tested-in-negative-pressure": _fact(
        "a tight-fitting mask is powered or supplied with air", "masks[].mode", "masks[].facepiece", *_WORN
    ),
    "required-tight-fitting": _fact("a tight-fitting mask must be worn, or is kept for emergencies", *_FACE),
    "required-full-facepiece": _fact("a full facepiece must be worn, or is kept for emergencies", *_FACE),
    "required-half-mask": _fact("a half mask, quarter mask or dust mask must be worn", *_FACE),
    "reusable": _fact("the mask is worn again", "masks[].disposable", *_WORN),
    "exclusive-masks": _fact("a mask has one wearer", "masks[].issue", *_WORN),
    "shared-masks": _fact("a mask has several wearers", "masks[].issue", *_WORN),
    "emergency-masks": _fact("masks are kept for emergencies", "masks[].emergency"),
    "routine-masks": _fact(
        "masks are in routine use", "masks[].emergency", "masks[].escape_only", "tasks[].emergency_only", *_WORN
    ),
    "escape-only-masks": _fact("masks are kept for escape", "masks[].escape_only"),
    "mask-withdrawn": _fact("a mask is withdrawn", "masks[].withdrawn"),
    "washable-masks": _fact("a mask is cleaned and worn again", "masks[].disposable", "masks[].facepiece", *_WORN),
    "stock-told": _fact("somebody says how many there are of a mask", "masks[].in_stock", "masks[].units"),
    "revision-history-told": _fact("the history of revisions is told", "program.history"),
    "washable-exclusive-masks": _fact(
        "a mask that is cleaned has one wearer", "masks[].issue", "masks[].disposable", "masks[].facepiece", *_WORN
    ),
    "washable-shared-masks": _fact(
        "a mask that is cleaned has several wearers, or more wearers than there are of it",
        "masks[].issue", "masks[].in_stock", "masks[].units", "people[].masks", "masks[].disposable",
        "masks[].facepiece", *_WORN,
    ),
    "never-cleaned-masks": _fact(
        "a mask is not cleaned, but thrown away", "masks[].disposable", "masks[].facepiece", *_WORN
    ),
    "washable-emergency-masks": _fact(
        "an emergency mask is cleaned and kept", "masks[].emergency", "masks[].disposable", "masks[].facepiece"
    ),
    "enriched-air": _fact("the breathing air of a mask carries extra oxygen", "masks[].enriched_air", *_WORN),
    "carried-air": _fact("a wearer carries a cylinder", "masks[].mode", "masks[].auxiliary_air", *_WORN),
    "issue-given": _fact("it is said how many wearers the mask has", "masks[].issue"),
    "gas-cartridge": _fact(
        "a cartridge against gas or vapour is in use", "filters[].gases", "filters[].agents", *_WORN
    ),
    "schedule-of-gas-cartridge": _fact(
        "the schedule is that of a cartridge against gas or vapour",
        "procedures.filter_changes.schedules[].filter", "filters[].gases", "filters[].agents",
    ),
    "particulate-filter": _fact(
        "a filter against particles is in use", "filters[].particulate", "masks[].built_in_filter", *_WORN
    ),
    "has-indicator": _fact("the cartridge has an end-of-service-life indicator", "filters[].esli_for"),
    "r-series-in-oil": _fact(
        "a filter of the R series is worn in oil mist",
        "filters[].particulate", "masks[].built_in_filter", "hazards[].oil", *_WORN,
    ),
    "immediately-dangerous": _fact("the air may kill or disable at once, or nobody knows how bad it is", *_AIR),
    "goes-in-on-own-air": _fact(
        "our people go in on air of their own before it is known that the air is clean",
        "procedures.emergencies.foreseeable", "masks[].mode", "masks[].auxiliary_air",
    ),
    "structural-fire": _fact("a fire is fought inside a building", "tasks[].structural_fire", "tasks[].done_by"),
    "hot-work": _fact("the work is welding, cutting or heating", "tasks[].hot_work"),
    "hot-work-asks-for-mask": _fact("its hot work asks for a mask", "tasks[].hot_work", "tasks[].industry"),
    "hot-work-with-beryllium": _fact(
        "hot work on beryllium is done where it needs local exhaust", "tasks[].hot_work", "tasks[].industry"
    ),
    "wildfire-smoke": _fact("smoke of wildfires is among the hazards", "hazards[].exposure"),
    "blasting": _fact("the work is abrasive blasting, or clearing up after it", "tasks[].blasting"),
    "blasting-clean-up": _fact("it is clearing up after blasting, short or occasional", "tasks[].blasting.work"),
    "blasting-asks-for-helmet": _fact(
        "its blasting asks for a blasting mask", "tasks[].blasting", "tasks[].industry", "hazards"
    ),
    "blasting-bars-dust-masks": _fact(
        "its blasting asks for no blasting mask, but bars filters as lasting protection",
        "tasks[].blasting", "tasks[].industry", "hazards",
    ),
    "fire-brigade": _fact(
        "a fire is fought inside a building, in general industry", "tasks[].structural_fire", "tasks[].industry"
    ),
    "level-of-protection": _fact("a level of protection is set for the task", "tasks[].protection_level"),
    "shipyard-space": _fact(
        "it is a confined space in a shipyard", "tasks[].confined_space", "tasks[].industry"
    ),
    "permit-space": _fact(
        "the work is in a confined space that needs a permit",
        "tasks[].entry", "tasks[].confined_space", "tasks[].industry",
    ),
    "spraying": _fact("paint or the like is sprayed", "tasks[].spraying"),
    "spraying-in-booth": _fact("it is sprayed in a booth", "tasks[].spraying"),
    "spraying-downstream": _fact(
        "the painter stands downstream in a spray booth", "tasks[].spraying", "tasks[].industry"
    ),
    "spraying-downstream-in-construction": _fact(
        "the painter stands downstream in a spray booth, in construction or a shipyard",
        "tasks[].spraying", "tasks[].industry",
    ),
    "confined-space": _fact("the work is in a confined space", "tasks[].confined_space", "tasks[].done_by"),
    "other-gear-worn": _fact("other gear is worn with the mask", "tasks[].gear", *_WORN),
    "controls-feasible": _fact("controls of the air are feasible", "tasks[].why_masks"),
    "gear-near-the-seal": _fact("other gear may touch the seal of the mask", "tasks[].gear", *_WORN),
    "silica-outside-construction": _fact(
        "crystalline silica is in the air of work that is no construction",
        "hazards[].agent", "tasks[].industry", "tasks[].done_by",
    ),
    "silica-table-1-used": _fact("the evidence is a row of Table 1 for silica", "hazards[].exposure"),
    "lead-task-used": _fact("the evidence is a lead task of the law", "hazards[].exposure"),
    "table-limit-passed": _fact(
        "a limit of the law's tables of air contaminants is passed",
        "hazards[].agent", "hazards[].exposure", "tasks[].industry", "tasks[].done_by",
    ),
    "butadiene-in-the-air": _fact("1,3-butadiene is in the air", "hazards[].agent", "tasks[].done_by"),
    "carcinogen-of-the-13": _fact(
        "one of the 13 carcinogens is there", "hazards[].agent", "hazards[].carcinogen", "tasks[].done_by"
    ),
    "asbestos-classed": _fact(
        "there is asbestos, and the work has a class", "hazards[].agent", "tasks[].industry", "tasks[].done_by"
    ),
    "protocols-named": _fact("the program names fit test protocols", "procedures.fit_testing.protocols"),
    "qualitative-tests": _fact("fit is tested by taste, smell or smoke", "procedures.fit_testing.protocols"),
    "quantitative-tests": _fact("fit is measured by an instrument", "procedures.fit_testing.protocols"),
    "questionnaire-used": _fact("the health professional works from the questionnaire", "procedures.medical.method"),
    "questionnaire-attached": _fact("the questionnaire is attached", "procedures.medical.questionnaire.source"),
    "appendix-d-attached": _fact("the text of Appendix D is attached", "procedures.voluntary_use.appendix_d"),
    "appendix-d-read-out": _fact("the text of Appendix D is read out", "procedures.voluntary_use.appendix_d"),
    "official-text-attached": _fact(
        "a text whose content the law binds is attached",
        "procedures.medical.questionnaire.attachment",
        "procedures.voluntary_use.appendix_d_attachment",
    ),
    "cleaning-not-appendix-b2": _fact(
        "cleaning does not follow Appendix B-2, or is said not to be as effective",
        "procedures.cleaning.adopt", "procedures.cleaning.as_effective",
    ),
    "cleaning-is-own": _fact("the firm cleans in a way of its own", "procedures.cleaning.adopt"),
    "cleaning-by-maker": _fact("cleaning follows the maker's instructions", "procedures.cleaning.adopt"),
    "water-temperature-given": _fact("the warmth of the water is stated", "procedures.cleaning.water_temperature"),
    "seal-check-by-maker": _fact("the seal is checked in the maker's way", "procedures.use.seal_check.adopt"),
    "state-plan": _fact("a state plan applies", "program.jurisdiction.authority"),
    "findings-recorded": _fact("findings of an evaluation are recorded", "procedures.evaluation.findings"),
    "evaluation-interval-adopted": _fact(
        "the firm set itself an interval for evaluations", "procedures.evaluation.interval"
    ),
    "only-instruments-count": _fact("somebody lets only quantitative fit tests count", "policies[].quantitative_only"),
    "shaving-asked-for": _fact("somebody wants clean-shaven wearers", "policies[].clean_shaven"),
    "evaluation-asked-for": _fact(
        "somebody beside the firm set an interval for evaluations", "policies[].evaluation_interval"
    ),
    "voluntary-use-allowed": _fact("masks may be worn by choice", "procedures.voluntary_use.allowed"),
    "earlier-training-counted": _fact("training by an earlier employer counts", "people[].training"),
    "breathing-air": _fact("breathing air other than pure oxygen is supplied", "procedures.air_supply.sources"),
    "liquid-air": _fact("liquid air is used", "procedures.air_supply.sources"),
    "air-oxygen-given": _fact(
        "the oxygen of the air was analysed", "procedures.air_supply.oxygen_low", "procedures.air_supply.oxygen_high"
    ),
    "air-oil-given": _fact("the oil in the air was analysed", "procedures.air_supply.oil"),
    "air-carbon-monoxide-given": _fact(
        "the carbon monoxide in the air was analysed", "procedures.air_supply.carbon_monoxide"
    ),
    "air-carbon-dioxide-given": _fact(
        "the carbon dioxide in the air was analysed", "procedures.air_supply.carbon_dioxide"
    ),
    "air-odour-given": _fact("the odour of the air was judged", "procedures.air_supply.no_odour"),
    "compressed-oxygen": _fact("oxygen is used", "procedures.air_supply.sources"),
    "air-cylinders": _fact("air comes from cylinders", "procedures.air_supply.sources"),
    "compressor": _fact("air comes from a compressor", "procedures.air_supply.sources"),
    "oil-lubricated": _fact("the compressor is oil-lubricated", "procedures.air_supply.compressor.oil_lubricated"),
    "not-oil-lubricated": _fact(
        "the compressor is not oil-lubricated", "procedures.air_supply.compressor.oil_lubricated"
    ),
    "temperature-alarm-alone": _fact(
        "the compressor has a high-temperature alarm alone", "procedures.air_supply.compressor.alarms"
    ),
    "recommendation-on-record": _fact("a medical recommendation is on record", "people[].medical"),
    "fit-tested": _fact("the wearer was fit-tested", "people[].fit_tests", "people[].masks"),
    "fit-tested-on-this-mask": _fact(
        "the wearer was fit-tested in this mask and size", "people[].fit_tests", "people[].masks"
    ),
    "wears-spectacles": _fact("the wearer needs glasses", "people[].spectacles"),
    "read-and-signed": _fact("everybody signs to have read each revision", "program.read_and_signed"),
    "readings-recorded": _fact(
        "it is recorded who has read the program", "people[].has_read", "program.read_and_signed"
    ),
    "hair-looked-at": _fact("it is recorded whether hair is under the seal", "people[].hair_in_seal"),
}  # fmt: skip


def condition_words(condition: Condition) -> str:
    """Return when a duty applies, in words; nothing where it always does.

    >>> condition_words(Condition("all", parts=(Condition("fact", "scba"), Condition("fact", "wears-spectacles"))))
    'there is SCBA, and the wearer needs glasses'
    """
    if condition.kind == "fact":
        return PREDICATE_WORDS[condition.name].words
    parts = [condition_words(part) for part in condition.parts]
    if condition.kind == "not":
        return said("it is not so that %(what)s", what=parts[0])
    if condition.kind == "any" and len(parts) > 1:
        return said("at least one holds: %(parts)s", parts=said_join(parts, said("; or ")))
    return said_join(parts, said(", and "))


def condition_reads(condition: Condition) -> tuple[str, ...]:
    """Return the places that decide whether a duty applies."""
    own = PREDICATE_WORDS[condition.name].reads if condition.kind == "fact" else ()
    return tuple(sorted({*own, *(path for part in condition.parts for path in condition_reads(part))}))
