"""Breathing air as the firm has it: its source, what is in it, cylinders, compressor and lines."""

from progdoc.model.description.adopting import AirParagraph, OneOrMore, adopting
from progdoc.model.description.air_suppliers import AirSupplier
from progdoc.model.description.base import Choice, Described, said
from progdoc.model.description.scalars import (
    Concentration,
    Duration,
    Interval,
    IsoDate,
    Length,
    Percent,
    Temperature,
    TemperatureDifference,
    Text,
    YesNo,
)

__all__ = ["AirSource", "AirSupply", "Compressor", "Cylinders"]


class Cylinders(Described):
    """Cylinders of breathing air, 29 CFR 1910.134(i)(4)."""

    tested: YesNo | None = said("Tested", "Tested and maintained as 49 CFR part 180 says.", "yes")
    certified: YesNo | None = said("Certified", "The supplier certifies that purchased air is of Grade D.", "yes")
    certificate: Text | None = said(
        "Certificate", "The supplier's certificate of analysis.", "With each delivery, in the air folder"
    )
    dew_point: Temperature | None = said("Dew point", "At most -50 F (-45.6 C).", "-60 F")


class CompressorAlarm(Choice):
    CARBON_MONOXIDE = "carbon-monoxide"
    HIGH_TEMPERATURE = "high-temperature"


class Compressor(Described):
    """A compressor for breathing air, 29 CFR 1910.134(i)(5) to (7)."""

    intake_clean: YesNo | None = said("Intake clean", "Built and placed so that no contaminated air gets in.", "yes")
    intake: Text | None = said("Intake", "Why no bad air gets in.", "On the roof, upwind of the flue")
    dew_point_below_ambient: TemperatureDifference | None = said(
        "Dew point below ambient", "Degrees below the air outside; at least 10 F.", "10 F"
    )
    beds_kept_up: YesNo | None = said(
        "Beds kept up",
        "In-line sorbent beds and filters clean the air, and are maintained and renewed as their maker instructs.",
        "yes",
    )
    beds_and_filters: Text | None = said(
        "Beds and filters", "In-line sorbent beds and filters, changed as the maker says.", "Every 3 months"
    )
    tag_date: IsoDate | None = said("Tag date", "Last change, on the tag at the compressor.", "2026-02-01")
    tag_signed_by: Text | None = said("Tag signed by", "Who signed the tag.", "Ada Brook")
    oil_lubricated: YesNo | None = said("Oil-lubricated", "Is it oil-lubricated?", "no")
    alarms: tuple[CompressorAlarm, ...] = said("Alarms", "Alarms fitted.", ["carbon-monoxide"], ())
    co_kept_low: YesNo | None = said(
        "CO kept low", "Carbon monoxide is measured so often that it stays at or under 10 ppm.", "yes"
    )
    co_every: Duration | None = said("CO every", "How often CO is read while the compressor runs.", "15 min")
    co_checks: Text | None = said("CO checks", "With a temperature alarm alone: how often CO is checked.", "Every hour")


class AirSource(Choice):
    CYLINDERS = "cylinders"
    COMPRESSOR = "compressor"
    OXYGEN = "oxygen"
    LIQUID_AIR = "liquid-air"


class AirSupply(Described):
    """Breathing air, 29 CFR 1910.134(i)."""

    adopt: OneOrMore[AirParagraph] = adopting("(i)")
    sources: tuple[AirSource, ...] = said("Sources", "Where it comes from.", ["cylinders"], ())
    flow_as_maker_says: YesNo | None = said(
        "Flow as maker says",
        "Are pressure, hoses and the number of wearers on the supply, or the cylinders of sets, what the maker of the"
        " mask asks for?",
        "yes",
    )
    flow: Text | None = said(
        "Flow",
        "How enough air is made sure for everybody on the line.",
        "Pressure at the manifold 70 psi, hoses up to 100 ft, 2 wearers, as the maker's table says",
    )
    hose_length: Length | None = said("Hose length", "The longest hose in use, couplings and all.", "100 ft")
    hose_most: Length | None = said(
        "Longest hose allowed", "The longest that the approval label or the maker's instructions allow.", "300 ft"
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
    suppliers: tuple[AirSupplier, ...] = said(
        "Suppliers", "Who delivers air, where there are several: what is asked of air is asked of each.", [], ()
    )
    cylinders: Cylinders = said("Cylinders", "Cylinders.", {}, Cylinders)
    compressor: Compressor = said("Compressor", "Compressor.", {}, Compressor)
    couplings_differ: YesNo | None = said("Couplings differ", "Breathing-air couplings fit no other gas outlet.", "yes")
    no_other_gas_in_lines: YesNo | None = said(
        "No other gas in lines", "No asphyxiating gas is ever put into the lines.", "yes"
    )
    approved_containers: YesNo | None = said(
        "Approved containers", "Only the maker's approved, marked containers.", "yes"
    )
