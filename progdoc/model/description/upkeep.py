"""Upkeep as the firm does it: cleaning, storage, inspection, repair and filter changes."""

from pydantic import Field

from progdoc.model.description.adopting import Inspection, Label, OneOrMore, RepairParagraph, StorageParagraph, adopting
from progdoc.model.description.base import Choice, Described, said
from progdoc.model.description.cartridge_data import ScheduleSource
from progdoc.model.description.clock import ClockTime
from progdoc.model.description.scalars import (
    Duration,
    Id,
    Interval,
    IsoDate,
    Percent,
    Temperature,
    Text,
    YesNo,
)

__all__ = [
    "Basis",
    "Break",
    "CartridgeLoad",
    "Cleaning",
    "CleaningDone",
    "FilterChanged",
    "FilterChanges",
    "Inspecting",
    "ParticulateChanges",
    "PoweredChecks",
    "Repair",
    "Schedule",
    "Storage",
]


class CleaningMethod(Choice):
    PARAGRAPH = "(h)(1)"  # Appendix B-2, and the duties of the paragraph
    APPENDIX_B2 = "appendix-b2"
    MAKER = "maker"
    OWN = "own"


class CleaningStep(Choice):
    """The steps of Appendix B-2 that an own procedure must have too."""

    TAKE_APART = "take-apart"
    WASH = "wash-in-warm-water"
    RINSE = "rinse"
    DISINFECT = "disinfect"
    RINSE_AGAIN = "rinse-again"
    DRY = "dry"
    REASSEMBLE = "reassemble"
    TEST = "test"


class CleanerKind(Choice):
    MILD = "mild-detergent"
    MAKERS = "recommended-by-maker"


class CleaningDone(Described):
    """One cleaning of masks, as it was recorded."""

    date: IsoDate = Field(title="Date", description="When.", examples=["2026-03-02"])
    masks: tuple[Id, ...] = Field(title="Masks", description="The masks' ids.", examples=[["half-mask"]], min_length=1)
    by: Text | None = said("By", "Who cleaned them.", "Jo Marsh")


class Cleaning(Described):
    """Cleaning and disinfecting, 29 CFR 1910.134(h)(1) and Appendix B-2."""

    adopt: CleaningMethod | None = said("Adopt", "(h)(1), appendix-b2, maker or own.", "(h)(1)")
    as_effective: YesNo | None = said(
        "As effective",
        "For maker or own: it cleans and disinfects as well as Appendix B-2, without harm to mask or wearer.",
        "yes",
    )
    evidence: Text | None = said(
        "Evidence", "For maker or own: what shows that it is as effective.", "Maker's manual, chapter 6"
    )
    provided_clean: YesNo | None = said(
        "Provided clean", "Every wearer has a mask that is clean, sanitary and in working order.", "yes"
    )
    by: Text | None = said("By", "Who cleans.", "Each wearer, at the wash stand in the workshop")
    where: Text | None = said("Where", "The place.", "Wash stand in the workshop")
    exclusive_kept_clean: YesNo | None = said(
        "Exclusive masks kept clean",
        "A mask with one wearer is cleaned as often as it takes to keep it sanitary.",
        "yes",
    )
    exclusive: Text | None = said(
        "Exclusive masks", "When a mask with one wearer is cleaned.", "At the end of each day of use"
    )
    between_wearers: YesNo | None = said(
        "Between wearers", "A shared mask is cleaned before another person wears it.", "yes"
    )
    emergency_after_each_use: YesNo | None = said("Emergency masks", "Cleaned after each use.", "yes")
    test_masks_after_each_use: YesNo | None = said(
        "Fit-test masks", "Masks used in fit tests and training are cleaned after each use.", "yes"
    )
    steps: tuple[CleaningStep, ...] = said("Steps", "The steps of an own procedure.", ["wash-in-warm-water"], ())
    agent_is: CleanerKind | None = said("Agent is", "mild-detergent or recommended-by-maker.", "mild-detergent")
    agent: Text | None = said("Agent", "The cleaner used.", "Mild soap of the maker")
    agent_disinfects: YesNo | None = said(
        "Agent disinfects", "The cleaner itself disinfects, and the mask's maker approves it.", "no"
    )
    disinfectant: Text | None = said(
        "Disinfectant",
        "Only if the cleaner does not disinfect.",
        "Bleach solution, 50 ppm chlorine, 2 minutes",
    )
    water_temperature: Temperature | None = said(
        "Water temperature", "The warmest water used; at most 110 F (43 C).", "105 F"
    )
    done: tuple[CleaningDone, ...] = said(
        "Done", "Cleanings that were recorded, newest anywhere.", [{"date": "2026-03-02", "masks": ["half-mask"]}], ()
    )


class Protects(Choice):
    """What storage keeps off the mask."""

    DAMAGE = "damage"
    CONTAMINATION = "contamination"
    DUST = "dust"
    SUNLIGHT = "sunlight"
    TEMPERATURE = "extreme-temperatures"
    MOISTURE = "moisture"
    CHEMICALS = "chemicals"


class Storage(Described):
    """Storage, 29 CFR 1910.134(h)(2)."""

    adopt: OneOrMore[StorageParagraph] = adopting("(h)(2)")
    where: Text | None = said("Where", "The place.", "Named boxes on the shelf in the site office")
    container: Text | None = said("Container", "What the mask lies in.", "Closed bag in a hard box")
    covered: YesNo | None = said("Covered", "Closed off from dust.", "yes")
    near_solvents: YesNo | None = said("Near solvents", "Are solvents or other chemicals kept there?", "no")
    in_sunlight: YesNo | None = said("In sunlight", "Does the sun reach them?", "no")
    protects_from: tuple[Protects, ...] = said("Protects from", "What it keeps off.", ["dust"], ())
    keeps_shape: YesNo | None = said(
        "Keeps shape", "Facepiece and exhalation valve are not pressed out of shape.", "yes"
    )
    emergency_at_hand: YesNo | None = said(
        "Emergency masks at hand", "Emergency masks can be reached from the work area.", "yes"
    )
    emergency_place: Text | None = said("Emergency place", "Where emergency masks are.", "By the boiler room door")
    emergency_marked: YesNo | None = said(
        "Emergency marked", "The compartment or cover says that it holds emergency masks.", "yes"
    )
    emergency_as_maker_says: YesNo | None = said("Emergency as maker says", "Stored as the maker instructs.", "yes")


class InspectWhen(Choice):
    BEFORE_USE = "before-each-use"
    CLEANING = "during-cleaning"


class Checks(Choice):
    """What an inspection looks at."""

    FUNCTION = "function"
    CONNECTIONS = "connections"
    FACEPIECE = "facepiece"
    STRAPS = "straps"
    VALVES = "valves"
    TUBE = "connecting-tube"
    FILTERS = "filters"
    RUBBER = "rubber-pliable-and-sound"


class RecordOn(Choice):
    """Where the record of an emergency mask's last inspection stands."""

    COMPARTMENT = "tag-on-compartment"
    MASK = "tag-on-mask"
    REPORT = "report"


class Inspecting(Described):
    """Inspection, 29 CFR 1910.134(h)(3)."""

    adopt: OneOrMore[Inspection] = adopting("(h)(3)")
    by: Text | None = said("By", "Who inspects.", "Each wearer; the officer checks quarterly")
    when: tuple[InspectWhen, ...] = said("When", "before-each-use, during-cleaning.", ["before-each-use"], ())
    checks: tuple[Checks, ...] = said("Checks", "What is looked at.", ["function"], ())
    emergency_interval: Interval | None = said(
        "Emergency interval", "How often emergency masks are inspected; at most 1 month.", "1 month"
    )
    emergency_before_and_after_use: YesNo | None = said(
        "Emergency before and after use", "Function is checked before and after each use.", "yes"
    )
    emergency_as_maker_says: YesNo | None = said("Emergency as maker says", "Inspected as the maker recommends.", "yes")
    escape_before_carrying_in: YesNo | None = said(
        "Escape masks", "Inspected before they are carried into the workplace.", "yes"
    )
    scba_interval: Interval | None = said("SCBA interval", "At most 1 month.", "1 month")
    cylinders_full: YesNo | None = said("Cylinders full", "Kept fully charged.", "yes")
    recharge_at: Percent | None = said(
        "Recharge at", "Pressure at which cylinders are recharged; at least 90 % of the maker's.", "90 %"
    )
    regulator_and_alarms: YesNo | None = said(
        "Regulator and alarms", "SCBA regulators and warning devices are checked.", "yes"
    )
    flow_test_interval: Interval | None = said(
        "Flow test interval", "How often sets are tested on a bench, by their maker or your own rule.", "12 months"
    )
    flow_test_says: Text | None = said(
        "Flow test says", "Who asks for that interval.", "Maker's manual, edition of 2025"
    )
    record_on: RecordOn | None = said("Record on", "tag-on-compartment, tag-on-mask or report.", "tag-on-compartment")
    record_until_next: YesNo | None = said(
        "Record until the next", "The record of the last inspection stays until the next one.", "yes"
    )
    record_kept: Text | None = said(
        "Record kept", "Where the certification of emergency masks is.", "Tag on the compartment"
    )


class RegulatorsLeftTo(Choice):
    MAKER = "maker"
    TECHNICIAN = "technician-trained-by-maker"


class Repair(Described):
    """Repair, 29 CFR 1910.134(h)(4)."""

    adopt: OneOrMore[RepairParagraph] = adopting("(h)(4)")
    taken_out_at_once: YesNo | None = said(
        "Taken out at once",
        "A mask that fails an inspection or is found defective is taken out of service at once.",
        "yes",
    )
    out_of_service: Text | None = said(
        "Out of service", "What happens at once to a defective mask.", "Red tag, locked drawer in the office"
    )
    only_trained: YesNo | None = said(
        "Only trained people", "Only people trained for it repair or adjust masks.", "yes"
    )
    by: Text | None = said("By", "Trained person who repairs.", "Jo Marsh, trained by the maker's dealer")
    makers_parts: YesNo | None = said("Maker's parts", "Only the maker's NIOSH-approved parts for that mask.", "yes")
    as_maker_says: YesNo | None = said("As maker says", "Only repairs the maker's instructions allow.", "yes")
    regulators_left_to: RegulatorsLeftTo | None = said(
        "Regulators left to",
        "Valves, regulators and alarms are left to: maker, or technician-trained-by-maker.",
        "maker",
    )
    regulators_by: Text | None = said(
        "Regulators by", "Who adjusts valves, regulators, alarms.", "The maker's service centre"
    )
    discarding: Text | None = said(
        "Discarding",
        "How worn-out masks and filters are made unusable.",
        "Straps cut, into the waste for lead",
    )


class Basis(Choice):
    """What a change schedule rests on."""

    INDICATOR = "end-of-service-life-indicator"
    MAKER = "maker-data"
    TEST = "test-data"
    MODEL = "published-model"
    STANDARD = "substance-standard"
    ODOUR = "odour"
    HABIT = "habit"


class Schedule(Described):
    """When a gas or vapour cartridge is changed in which tasks, and what that rests on."""

    id: Id = Field(title="Id", description="A short name that never changes.", examples=["varnish-cartridge"])
    filter: Id = Field(title="Filter", description="The cartridge's id.", examples=["ov-p100"])
    tasks: tuple[Id, ...] = Field(title="Tasks", description="The tasks' ids.", examples=[["varnish"]], min_length=1)
    change: Text | None = said("Change", "When the crew changes it.", "At the lunch break and at the end of the shift")
    after: Duration | None = said("After", "The longest time in use.", "4 h")
    basis: Basis | None = said("Basis", "What the schedule rests on.", "maker-data")
    data: Text | None = said(
        "Data", "The information relied on.", "Maker's service-life sheet SL-7 for toluene at 100 ppm, 8.2 h"
    )
    reliance: Text | None = said(
        "Reliance",
        "Why the data may be relied on here.",
        "Same cartridge; our level, effort and humidity are lower",
    )
    sources: tuple[ScheduleSource, ...] = said(
        "Sources",
        "What the schedule rests on, each with its own evidence; in place of basis, data and reliance.",
        [{"kind": "published-model", "reliance": "Carbon data from the maker"}],
        (),
    )
    fresh_for_each_task: YesNo | None = said(
        "Fresh for each task", "Whether a fresh one is put on for each task, also on the same day.", "yes"
    )
    reused: YesNo | None = said("Reused", "Is a used cartridge put on again on another day?", "no")
    sealed: YesNo | None = said("Sealed", "Is it kept in a sealed bag in between?", "yes")


class Break(Described):
    """A pause of the working day, when a cartridge can be changed."""

    name: Text = Field(title="Name", description="What the crew calls it.", examples=["lunch break"])
    at: ClockTime = Field(title="At", description="When it begins.", examples=["12:00"])


class ChangeParticulateWhen(Choice):
    HARDER = "breathing-gets-harder"
    DAMAGED = "damaged"
    SOILED = "soiled"
    WET = "wet"
    END_OF_SHIFT = "end-of-shift"
    MAKERS_LIMIT = "makers-limit"


class ParticulateChanges(Described):
    """When particulate filters are changed."""

    when: tuple[ChangeParticulateWhen, ...] = said("When", "What calls for a new filter.", ["damaged"], ())
    by: Text | None = said("By", "Who changes them.", "The wearer, outside the work area")


class PoweredChecks(Described):
    """What is looked at before a powered mask is worn."""

    flow_checked: YesNo | None = said(
        "Flow checked", "The blower's flow is measured with the maker's gauge before each use.", "yes"
    )
    battery: Text | None = said("Battery", "How it is made sure that it lasts.", "Charged overnight; spare on the cart")
    filter_load: Text | None = said(
        "Filter load", "When a loaded filter is changed.", "When the gauge stays under its mark with a full battery"
    )


class CartridgeLoad(Choice):
    """By which level in the air the life of a cartridge is reckoned."""

    AVERAGE = "average"
    HIGHEST = "highest"


class FilterChanged(Described):
    """One change of filters or cartridges, as it was recorded."""

    date: IsoDate = Field(title="Date", description="When.", examples=["2026-03-02"])
    filter: Id = Field(title="Filter", description="The filter's or cartridge's id.", examples=["ov-p100"])
    tasks: tuple[Id, ...] = said("Tasks", "The tasks in which it was worn.", ["varnish"], ())
    by: Text | None = said("By", "Who changed it.", "Jo Marsh")
    because: Text | None = said("Because", "What called for it.", "As scheduled")


class FilterChanges(Described):
    """Filter and cartridge changes, 29 CFR 1910.134(d)(3)(iii) and (j)."""

    adopt: OneOrMore[Label] = adopting("(j)")
    schedules: tuple[Schedule, ...] = said("Schedules", "For gas and vapour cartridges.", [], ())
    shift_starts: ClockTime | None = said("Shift starts", "When the working day begins.", "08:00")
    breaks: tuple[Break, ...] = said(
        "Breaks", "The pauses of the day, for changing cartridges.", [{"name": "lunch break", "at": "12:00"}], ()
    )
    load: CartridgeLoad | None = said(
        "Load",
        "The level by which the life of a cartridge is reckoned: average (time-weighted, while the work is done; so"
        " where nothing is said) or highest (the highest of all samples).",
        "average",
    )
    particulate: ParticulateChanges = said("Particulate", "For particulate filters.", {}, ParticulateChanges)
    powered: PoweredChecks = said("Powered", "For powered masks.", {}, PoweredChecks)
    done: tuple[FilterChanged, ...] = said(
        "Done", "Changes that were recorded, newest anywhere.", [{"date": "2026-03-02", "filter": "ov-p100"}], ()
    )
