"""What is known of a gas or vapour cartridge and of how long it lasts: carbon, maker's and test data, sources.

Each source of a change schedule has its own evidence fields; several may stand side by side. Habit and smell
are no sources and have no place here. Carbon that nobody described stays empty: what is assumed in its place
is the rules' business, and printed as assumed.
"""

from typing import Annotated, Literal

from pydantic import Field

from progdoc.model.description.base import Described, said
from progdoc.model.description.scalars import (
    AgentName,
    Area,
    Concentration,
    Count,
    Density,
    Duration,
    Flow,
    Humidity,
    IsoDate,
    Mass,
    Temperature,
    Text,
    VolumePerMass,
)

__all__ = ["Carbon", "Indicator", "ModelUse", "ScheduleSource", "ServiceData", "StandardRule"]


class Carbon(Described):
    """The carbon of one cartridge, as its maker gives it."""

    mass: Mass | None = said("Mass", "Mass of carbon in one cartridge.", "55 g")
    bed_area: Area | None = said("Bed area", "Area that the air goes through, of one cartridge.", "52 cm2")
    density: Density | None = said("Density", "Density of the packed bed.", "0.44 g/cm3")
    micropore_volume: VolumePerMass | None = said("Micropore volume", "Of the carbon.", "0.454 cm3/g")
    cartridges: Count | None = said("Cartridges", "How many share the air on one mask.", "2")
    source: Text | None = said("Source", "Who says so.", "Maker's technical sheet of 2026-01-12")


class ServiceData(Described):
    """How long a cartridge lasted: a figure of the maker, or of a test in a laboratory or at work."""

    kind: Literal["maker-data", "test-data"] = Field(
        title="Kind", description="maker-data or test-data", examples=["maker-data"]
    )
    agents: tuple[AgentName, ...] = Field(
        title="Agents", description="The vapours it was found for, all together.", examples=[["toluene"]], min_length=1
    )
    concentration: Concentration = Field(
        title="Concentration", description="Of all these agents together.", examples=["500 ppm"]
    )
    life: Duration = Field(title="Life", description="Service life found.", examples=["5 h"])
    flow: Flow | None = said("Flow", "Air through the mask in the test.", "40 L/min")
    humidity: Humidity | None = said("Humidity", "Of the air in the test.", "65 %")
    temperature: Temperature | None = said("Temperature", "Of the air in the test.", "77 F")
    source: Text | None = said("Source", "Document, edition, or report.", "Maker's service-life sheet SL-7, March 2026")
    date: IsoDate | None = said("Date", "Of the figure.", "2026-03-01")
    reliance: Text | None = said(
        "Reliance", "Why it may be relied on here.", "Same cartridge; our level, effort and humidity are lower"
    )


class Indicator(Described):
    """The cartridge's own approved end-of-service-life indicator."""

    kind: Literal["end-of-service-life-indicator"] = Field(
        title="Kind", description="end-of-service-life-indicator", examples=["end-of-service-life-indicator"]
    )
    approval: Text | None = said("Approval", "The approval that names the indicator.", "TC-14G-0000")
    shows: Text | None = said(
        "Shows", "What the wearer sees, and where.", "Patch in the window turns from blue to grey"
    )
    read_when: Text | None = said(
        "Read when", "When the wearer looks at it.", "Before entry and every quarter of an hour"
    )


class ModelUse(Described):
    """The published model, as progdoc computes it for each task."""

    kind: Literal["published-model"] = Field(title="Kind", description="published-model", examples=["published-model"])
    reliance: Text | None = said(
        "Reliance",
        "Why an estimate may be relied on here.",
        "Carbon data from the maker; solvents that boil above 65 °C; a safety factor of 1.5",
    )


class StandardRule(Described):
    """A rule of a substance standard; it bounds every other source from above."""

    kind: Literal["substance-standard"] = Field(
        title="Kind", description="substance-standard", examples=["substance-standard"]
    )
    paragraph: Text | None = said("Paragraph", "The standard and its paragraph.", "29 CFR 1910.1028(g)(2)(ii)")
    most: Duration | None = said("Most", "The longest time it allows.", "8 h")
    is_shown_by: Text | None = said("Shown by", "How the crew keeps to it.", "Date and hour written on the cartridge")


ScheduleSource = Annotated[ServiceData | Indicator | ModelUse | StandardRule, Field(discriminator="kind")]
