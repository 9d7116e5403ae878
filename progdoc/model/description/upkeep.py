"""Upkeep as the firm does it: cleaning, storage, inspection, repair, breathing air and filter changes."""

from __future__ import annotations

from pydantic import Field

from progdoc.model.description.base import Choice, Described, said
from progdoc.model.description.cartridge_data import ScheduleSource
from progdoc.model.description.clock import ClockTime
from progdoc.model.description.scalars import (
    Concentration,
    Duration,
    Id,
    Interval,
    IsoDate,
    Percent,
    Temperature,
    TemperatureDifference,
    Text,
    YesNo,
)

__all__ = [
    "AirSupply",
    "Basis",
    "Break",
    "Cleaning",
    "Compressor",
    "Cylinders",
    "FilterChanges",
    "Inspecting",
    "ParticulateChanges",
    "PoweredChecks",
    "Repair",
    "Schedule",
    "Storage",
]


class CleaningMethod(Choice):
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


class Cleaning(Described):
    """Cleaning and disinfecting, 29 CFR 1910.134(h)(1) and Appendix B-2."""

    adopt: CleaningMethod | None = said("Adopt", "appendix-b2, maker or own.", "appendix-b2")
    evidence: Text | None = said(
        "Evidence", "For maker or own: what shows that it is as effective.", "Maker's manual, chapter 6"
    )
    by: Text | None = said("By", "Who cleans.", "Each wearer, at the wash stand in the workshop")
    where: Text | None = said("Where", "The place.", "Wash stand in the workshop")
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

    where: Text | None = said("Where", "The place.", "Named boxes on the shelf in the site office")
    container: Text | None = said("Container", "What the mask lies in.", "Closed bag in a hard box")
    covered: YesNo | None = said("Covered", "Closed off from dust.", "yes")
    near_solvents: YesNo | None = said("Near solvents", "Are solvents or other chemicals kept there?", "no")
    in_sunlight: YesNo | None = said("In sunlight", "Does the sun reach them?", "no")
    protects_from: tuple[Protects, ...] = said("Protects from", "What it keeps off.", ["dust"], ())
    keeps_shape: YesNo | None = said(
        "Keeps shape", "Facepiece and exhalation valve are not pressed out of shape.", "yes"
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


class Inspecting(Described):
    """Inspection, 29 CFR 1910.134(h)(3)."""

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
    record_kept: Text | None = said(
        "Record kept", "Where the certification of emergency masks is.", "Tag on the compartment"
    )


class Repair(Described):
    """Repair, 29 CFR 1910.134(h)(4)."""

    out_of_service: Text | None = said(
        "Out of service", "What happens at once to a defective mask.", "Red tag, locked drawer in the office"
    )
    by: Text | None = said("By", "Trained person who repairs.", "Jo Marsh, trained by the maker's dealer")
    makers_parts: YesNo | None = said("Maker's parts", "Only the maker's NIOSH-approved parts for that mask.", "yes")
    as_maker_says: YesNo | None = said("As maker says", "Only repairs the maker's instructions allow.", "yes")
    regulators_by: Text | None = said(
        "Regulators by", "Who adjusts valves, regulators, alarms.", "The maker's service centre"
    )
    discarding: Text | None = said(
        "Discarding",
        "How worn-out masks and filters are made unusable.",
        "Straps cut, into the waste for lead",
    )


class Cylinders(Described):
    """Cylinders of breathing air, 29 CFR 1910.134(i)(4)."""

    tested: YesNo | None = said("Tested", "Tested and maintained as 49 CFR part 180 says.", "yes")
    certificate: Text | None = said(
        "Certificate", "The supplier's certificate of analysis.", "With each delivery, in the air folder"
    )
    dew_point: Temperature | None = said("Dew point", "At most -50 F (-45.6 C).", "-60 F")


class CompressorAlarm(Choice):
    CARBON_MONOXIDE = "carbon-monoxide"
    HIGH_TEMPERATURE = "high-temperature"


class Compressor(Described):
    """A compressor for breathing air, 29 CFR 1910.134(i)(5) to (7)."""

    intake: Text | None = said("Intake", "Why no bad air gets in.", "On the roof, upwind of the flue")
    dew_point_below_ambient: TemperatureDifference | None = said(
        "Dew point below ambient", "Degrees below the air outside; at least 10 F.", "10 F"
    )
    beds_and_filters: Text | None = said(
        "Beds and filters", "In-line sorbent beds and filters, changed as the maker says.", "Every 3 months"
    )
    tag_date: IsoDate | None = said("Tag date", "Last change, on the tag at the compressor.", "2026-02-01")
    tag_signed_by: Text | None = said("Tag signed by", "Who signed the tag.", "Ada Brook")
    oil_lubricated: YesNo | None = said("Oil-lubricated", "Is it oil-lubricated?", "no")
    alarms: tuple[CompressorAlarm, ...] = said("Alarms", "Alarms fitted.", ["carbon-monoxide"], ())
    co_checks: Text | None = said("CO checks", "With a temperature alarm alone: how often CO is checked.", "Every hour")


class AirSource(Choice):
    CYLINDERS = "cylinders"
    COMPRESSOR = "compressor"
    OXYGEN = "oxygen"
    LIQUID_AIR = "liquid-air"


class AirSupply(Described):
    """Breathing air, 29 CFR 1910.134(i)."""

    sources: tuple[AirSource, ...] = said("Sources", "Where it comes from.", ["cylinders"], ())
    flow: Text | None = said(
        "Flow",
        "How enough air is made sure for everybody on the line.",
        "Pressure at the manifold 70 psi, hoses up to 100 ft, 2 wearers, as the maker's table says",
    )
    grade: Text | None = said("Grade", "Grade of the air: D or better.", "D")
    oxygen_low: Percent | None = said("Oxygen, lowest", "At least 19.5 %.", "20 %")
    oxygen_high: Percent | None = said("Oxygen, highest", "At most 23.5 %.", "22 %")
    oil: Concentration | None = said("Oil", "At most 5 mg/m3.", "1 mg/m3")
    carbon_monoxide: Concentration | None = said("Carbon monoxide", "At most 10 ppm.", "2 ppm")
    carbon_dioxide: Concentration | None = said("Carbon dioxide", "At most 1000 ppm.", "500 ppm")
    no_odour: YesNo | None = said("No odour", "No noticeable odour.", "yes")
    tested: IsoDate | None = said("Tested", "When the air was last analysed.", "2026-02-01")
    test_interval: Interval | None = said(
        "Test interval", "How often the air is analysed, if an interval is set; the law sets none.", "3 months"
    )
    oxygen_is_medical: YesNo | None = said("Oxygen is medical", "Oxygen meets the pharmacopoeia's requirements.", "yes")
    no_oxygen_after_air: YesNo | None = said(
        "No oxygen after air", "Never oxygen in a mask that held compressed air.", "yes"
    )
    rich_air_only_in_oxygen_gear: YesNo | None = said(
        "Rich air", "Over 23.5 % oxygen only in gear made for oxygen.", "yes"
    )
    cylinders: Cylinders = said("Cylinders", "Cylinders.", {}, Cylinders())
    compressor: Compressor = said("Compressor", "Compressor.", {}, Compressor())
    couplings_differ: YesNo | None = said("Couplings differ", "Breathing-air couplings fit no other gas outlet.", "yes")
    no_other_gas_in_lines: YesNo | None = said(
        "No other gas in lines", "No asphyxiating gas is ever put into the lines.", "yes"
    )
    approved_containers: YesNo | None = said(
        "Approved containers", "Only the maker's approved, marked containers.", "yes"
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


class FilterChanges(Described):
    """Filter and cartridge changes, 29 CFR 1910.134(d)(3)(iii) and (j)."""

    schedules: tuple[Schedule, ...] = said("Schedules", "For gas and vapour cartridges.", [], ())
    shift_starts: ClockTime | None = said("Shift starts", "When the working day begins.", "08:00")
    breaks: tuple[Break, ...] = said(
        "Breaks", "The pauses of the day, for changing cartridges.", [{"name": "lunch break", "at": "12:00"}], ()
    )
    particulate: ParticulateChanges = said("Particulate", "For particulate filters.", {}, ParticulateChanges())
    powered: PoweredChecks = said("Powered", "For powered masks.", {}, PoweredChecks())
