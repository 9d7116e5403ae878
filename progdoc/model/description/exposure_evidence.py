"""Evidence of exposure: how anybody knows how much of an agent is in the air of a task."""

from typing import Annotated, Literal

from pydantic import Field

from progdoc.model.description.base import Choice, Described, said
from progdoc.model.description.clock import ClockTime
from progdoc.model.description.scalars import Concentration, Duration, Id, IsoDate, Number, Text, YesNo

__all__ = [
    "Averaging",
    "Estimate",
    "Evidence",
    "Fraction",
    "Judgment",
    "LeadTask",
    "ObjectiveData",
    "RestOfShift",
    "Sample",
    "Samples",
    "Setting",
    "SilicaTable1",
    "Smoke",
    "Unknown",
]


class Averaging(Choice):
    """Over which time a level or a limit is averaged."""

    TWA = "TWA"
    STEL = "STEL"
    CEILING = "ceiling"


class Fraction(Choice):
    """Which grains of a dust were sampled, or are limited: all, those that can be breathed in, or the finest."""

    TOTAL = "total"
    RESPIRABLE = "respirable"
    INHALABLE = "inhalable"


class RestOfShift(Choice):
    """What the air was like while nobody sampled."""

    ZERO = "zero"
    SAME = "same"


class Setting(Choice):
    INDOORS = "indoors"
    OUTDOORS = "outdoors"


class Sample(Described):
    """One air sample in the breathing zone."""

    concentration: Concentration = Field(
        title="Concentration",
        description="What the laboratory found, or its detection limit.",
        examples=["0.031 mg/m3"],
    )
    below_detection: YesNo = said("Below detection", "Yes if the figure is the detection limit.", "no", False)
    duration: Duration = Field(title="Duration", description="How long it ran.", examples=["240 min"])
    averaging: Averaging = said(
        "Averaging",
        "TWA: the mean of a shift of 8 h; STEL: of the worst 15 minutes; ceiling: the highest at any moment.",
        "TWA",
        Averaging.TWA,
    )
    fraction: Fraction | None = said("Fraction", "Of a dust: total, respirable or inhalable.", "respirable")
    rest_of_shift: RestOfShift | None = said("Rest of shift", "zero or same: the air outside the sampled time.", "zero")
    date: IsoDate | None = said("Date", "When.", "2026-02-10")
    shift: Text | None = said(
        "Shift",
        "A name for the shift, without a worker's name; samples of one shift are averaged together.",
        "2026-02-10 bench 1",
    )
    method: Text | None = said("Method", "How it was sampled and analysed.", "NIOSH 7500, cyclone at 1.7 L/min")
    by: Text | None = said("By", "Who took it.", "Clearfield Hygiene")


class Samples(Described):
    """What a sampler worn by a worker found, as the laboratory tells it: the strongest evidence."""

    kind: Literal["samples"] = Field(title="Kind", description="samples", examples=["samples"])
    results: tuple[Sample, ...] = Field(
        title="Results",
        description="The samples.",
        examples=[[{"concentration": "0.031 mg/m3", "duration": "240 min", "rest_of_shift": "zero"}]],
        min_length=1,
    )
    short_because: Text | None = said(
        "Short because",
        "Why samples of less than two hours, or of less than most of a shorter task, tell of all of it.",
        "Direct-reading meter on three days, even work from the first minute on, Clearfield Hygiene",
    )


class ObjectiveData(Described):
    """What others measured at the same work, with the same agent and controls; published, or data of the trade."""

    kind: Literal["objective-data"] = Field(title="Kind", description="objective-data", examples=["objective-data"])
    concentration: Concentration = Field(
        title="Concentration", description="The highest level the data support.", examples=["0.02 mg/m3"]
    )
    averaging: Averaging = said(
        "Averaging",
        "TWA: the mean of a shift of 8 h; STEL: of the worst 15 minutes; ceiling: the highest at any moment.",
        "TWA",
        Averaging.TWA,
    )
    fraction: Fraction | None = said("Fraction", "Of a dust: total, respirable or inhalable.", "respirable")
    source: Text = Field(
        title="Source", description="Where the data are from.", examples=["Trade survey 2024, table 3"]
    )
    date: IsoDate | None = said("Date", "Of the data.", "2024-06-01")


class SilicaTable1(Described):
    """Silica in construction alone: a row of Table 1 of 29 CFR 1926.1153(c)(1) in full use, water or suction too."""

    kind: Literal["silica-table-1"] = Field(title="Kind", description="silica-table-1", examples=["silica-table-1"])
    row: Text = Field(title="Row", description="The row, i to xviii.", examples=["xi"])
    option: Number | None = said("Option", "The control option, where the row has several.", "1")
    place: Setting = Field(title="Place", description="indoors or outdoors.", examples=["indoors"])
    controls_in_place: tuple[Id, ...] = said(
        "Controls in place", "Ids of the row's controls that are fully in place.", ["shroud"], ()
    )
    confirmed_by: Text | None = said("Confirmed by", "Who checks the controls.", "Jo Marsh")
    date: IsoDate | None = said("Date", "When they were last checked.", "2026-02-10")


class LeadTask(Described):
    """Lead in construction alone: a task for which 29 CFR 1926.62(d)(2) assumes a level until the air is assessed."""

    kind: Literal["lead-task"] = Field(title="Kind", description="lead-task", examples=["lead-task"])
    group: Literal["i", "ii", "iii", "iv"] = Field(
        title="Group", description="The sub-paragraph of (d)(2): i, ii, iii or iv.", examples=["i"]
    )
    task: Text = Field(
        title="Task",
        description="Which listed task it is; of several, such as scraping and sanding, one of the highest group.",
        examples=["manual scraping"],
    )


class Estimate(Described):
    """What somebody who is named reckons the level to be, with the reasons."""

    kind: Literal["estimate"] = Field(title="Kind", description="estimate", examples=["estimate"])
    concentration: Concentration = Field(
        title="Concentration", description="The highest level to expect.", examples=["20 ppm"]
    )
    averaging: Averaging = said(
        "Averaging",
        "TWA: the mean of a shift of 8 h; STEL: of the worst 15 minutes; ceiling: the highest at any moment.",
        "TWA",
        Averaging.TWA,
    )
    fraction: Fraction | None = said("Fraction", "Of a dust: total, respirable or inhalable.", "respirable")
    by: Text = Field(title="By", description="Who made it.", examples=["Clearfield Hygiene"])
    basis: Text = Field(title="Basis", description="From what.", examples=["Volume used, room air changes"])
    date: IsoDate | None = said("Date", "When.", "2026-02-10")


class Judgment(Described):
    """A competent person's written judgment, for an agent that has no limit or cannot be measured."""

    kind: Literal["judgment"] = Field(title="Kind", description="judgment", examples=["judgment"])
    by: Text = Field(title="By", description="The competent person.", examples=["Clearfield Hygiene"])
    guidance: Text = Field(
        title="Guidance",
        description="The published guidance, physician or maker relied on.",
        examples=["NIOSH 2005-109, table 1"],
    )
    needed_apf: Number = Field(
        title="Needed APF", description="The protection factor judged to be enough.", examples=["10"]
    )
    date: IsoDate | None = said("Date", "When.", "2026-02-10")


class Smoke(Described):
    """Smoke of wildfires: a reading of the air of the day, by which states and crews go."""

    kind: Literal["smoke"] = Field(title="Kind", description="smoke", examples=["smoke"])
    index: Number | None = said("Index", "The current air quality index (AQI) for PM2.5, as published.", "164")
    pm25: Concentration | None = said("PM2.5", "The current PM2.5 of the air.", "77 ug/m3")
    source: Text = Field(
        title="Source", description="Who published or measured it.", examples=["Air agency, monitor at Northbridge"]
    )
    date: IsoDate | None = said("Date", "Of the reading.", "2026-08-14")
    time: ClockTime | None = said("Time", "Of the reading.", "06:45")
    minutes_exposed: Number | None = said(
        "Minutes exposed", "How long somebody is out in it in 24 hours, where that is short.", "10"
    )
    rule_checked: Text | None = said(
        "Rule checked",
        "What was found when the state's own rule for such smoke was looked up, and by whom.",
        "Read on 3 August 2026 by Jo Marsh: masks are offered to everybody outdoors",
    )


class Unknown(Described):
    """Nobody knows. The law then treats the air as immediately dangerous; a hygienist can find out, and others may."""

    kind: Literal["unknown"] = Field(title="Kind", description="unknown", examples=["unknown"])
    because: Text | None = said(
        "Because",
        "Why it can be neither measured nor estimated; said, it declares the air immediately dangerous. Sampling still "
        "to come is no reason: the point stays open until there is a measurement or an estimate.",
        "Drums without labels; nobody opens one before the fire service has been",
    )


Evidence = Annotated[
    Samples | ObjectiveData | SilicaTable1 | LeadTask | Estimate | Judgment | Smoke | Unknown,
    Field(discriminator="kind"),
]
