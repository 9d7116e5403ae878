"""Hazards: an agent in the air of a task, its limit, and what a standard asks about the work with it."""

from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field

from progdoc.core.said import said as said_message
from progdoc.core.said import same
from progdoc.model.description.base import Choice, Described, said
from progdoc.model.description.exposure_evidence import Averaging, Evidence, Fraction
from progdoc.model.description.scalars import AgentName, Concentration, Duration, Id, IsoDate, Percent, Text, YesNo

__all__ = ["NO_LIMIT", "AsbestosWork", "Form", "Hazard", "OwnLimit", "Peak", "WorkChange"]

NO_LIMIT = "none published"


class Form(Choice):
    """The physical form of the agent in the air."""

    DUST = "dust"
    FUME = "fume"
    MIST = "mist"
    FIBRES = "fibres"
    GAS = "gas"
    VAPOUR = "vapour"
    MIST_AND_VAPOUR = "mist-and-vapour"


class AsbestosWork(Described):
    """The class of asbestos work, which sets masks whatever the level (29 CFR 1926.1101(h), 1915.1001(h))."""

    work_class: Literal["I", "II", "III", "IV"] = Field(
        title="Class",
        description="I, II, III or IV, as the competent person under the standard says.",
        examples=["III"],
    )
    negative_assessment: YesNo | None = said(
        "Negative assessment", "Whether a negative exposure assessment was made for this work.", "yes"
    )
    disturbs_insulation: YesNo | None = said(
        "Disturbs insulation", "Whether thermal insulation or surfacing material is disturbed.", "no"
    )
    wet: YesNo | None = said("Wet", "Classes II and III: the work is done by wet methods.", "yes")
    intact: YesNo | None = said("Intact", "Class II: the material comes off substantially intact.", "yes")
    sloped_roof: YesNo = said("Sloped roof", "Class II or III: roofing comes off a sloped roof.", "no", False)
    among_masks: YesNo | None = said(
        "Among masks", "Class IV: it is done in a regulated area where others must wear masks.", "no"
    )


class CarcinogenWork(Described):
    """How one of the 13 carcinogens of 29 CFR 1910.1003 is worked with, which sets the masks."""

    operation: Literal["isolated", "closed", "handling", "maintenance"] | None = said(
        "Operation",
        "isolated: in a glove box; closed: sealed, all ports shut; handling: transfer, charging, discharging, opening;"
        " maintenance: cleaning up a leak or spill, repair, or any work in direct contact. Open vessels are forbidden.",
        "handling",
    )
    content: Percent | None = said("Content", "How much of it the mixture holds, by weight or volume.", "0.05 %")


class OwnLimit(Described):
    """A limit the firm sets itself, or takes from a source other than the law's tables."""

    value: Concentration = Field(title="Value", description="The limit.", examples=["0.5 ppm"])
    averaging: Averaging = said(
        "Averaging",
        "TWA: the mean of a shift of 8 h; STEL: of the worst 15 minutes; ceiling: the highest at any moment.",
        "TWA",
        Averaging.TWA,
    )
    fraction: Fraction | None = said("Fraction", "Of a dust: total, respirable or inhalable.", "respirable")
    source: Text = Field(title="Source", description="Who publishes it.", examples=["NIOSH REL"])


def _no_limit(value: Any) -> Any:
    if isinstance(value, str) and value != NO_LIMIT:
        raise ValueError(
            said_message(
                "“%(value)s” is not a limit. Write `limit: %(none)s`, or value and source on lines of their own:"
                " `limit: {value: 0.5 ppm, source: NIOSH REL}`",
                value=value,
                none=same(NO_LIMIT),
            )
        )
    return value


class WorkChange(Described):
    """Something that may have changed the air: a tool, a product, a control, a place."""

    date: IsoDate = Field(title="Date", description="Since when.", examples=["2026-08-03"])
    what: Text = Field(title="What", description="What changed.", examples=["Larger grinder, 7 inch disc"])


class Peak(Described):
    """How far and how long the air passes an acceptable ceiling of Table Z-2 of 29 CFR 1910.1000."""

    concentration: Concentration = Field(title="Concentration", description="The highest it got.", examples=["400 ppm"])
    duration: Duration = Field(
        title="Duration",
        description="How long it was over the ceiling within the span, all such times together.",
        examples=["8 min"],
    )
    span: Duration = Field(title="Span", description="Within how long: the shift, or some hours.", examples=["8 h"])
    otherwise_none: YesNo | None = said(
        "Otherwise none",
        "Whether there is no other measurable exposure in the shift, where the table allows a peak only then.",
        "yes",
    )
    date: IsoDate | None = said("Date", "When it was measured.", "2026-02-10")
    how: Text | None = said("How", "How it was found, and by whom.", "Direct-reading meter, Clearfield Hygiene")


class Hazard(Described):
    """One agent in the air of one task."""

    id: Id = Field(title="Id", description="A short name that never changes.", examples=["sash-lead"])
    task: Id = Field(title="Task", description="The task's id.", examples=["scrape-sashes"])
    agent: AgentName = Field(
        title="Agent", description="Name, synonym or CAS number of what is in the air.", examples=["lead"]
    )
    form: Form | None = said("Form", "dust, fume, mist, fibres, gas, vapour or mist-and-vapour.", "dust")
    source: Text | None = said("Source", "What it comes from.", "Old paint on the sashes")
    limit: Annotated[
        Literal["none published"] | OwnLimit | None,
        BeforeValidator(_no_limit),
    ] = said("Limit", "Leave out to use the law's table; your own stricter limit; or: none published.", NO_LIMIT)
    law_looked_up: YesNo | None = said(
        "Law looked up",
        "For an agent that no table here knows: were the law's tables and substance standards looked through under its"
        " English name and CAS number, and is there no limit for it?",
        "yes",
    )
    looked_up_as: Text | None = said(
        "Looked up as",
        "That name and number, as the safety data sheet has them; what has none, by what it is.",
        "hide glue, CAS 9000-70-8",
    )
    irritates_eyes: YesNo | None = said("Irritates eyes", "At the level of use, eyes or skin.", "no")
    oil: YesNo | None = said("Oil", "Is oil mist in the air?", "no")
    exposure: Evidence | None = said("Exposure", "How much is in the air, and how that is known.", {"kind": "unknown"})
    regulated_area: YesNo | None = said(
        "Regulated area", "Whether it is done in an area that is regulated under the agent's standard.", "no"
    )
    peaks: tuple[Peak, ...] = said(
        "Peaks",
        "General industry: times over an acceptable ceiling of Table Z-2, which that table allows to some height and"
        " for some minutes.",
        [{"concentration": "400 ppm", "duration": "8 min", "span": "8 h"}],
        (),
    )
    asbestos: AsbestosWork | None = said(
        "Asbestos", "For asbestos in construction and shipyards: the class of work.", {"work_class": "III"}
    )
    carcinogen: CarcinogenWork | None = said(
        "Carcinogen", "For one of the 13 carcinogens of 29 CFR 1910.1003: the work.", {"operation": "handling"}
    )
    changes: tuple[WorkChange, ...] = said(
        "Changes",
        "What changed in the work since, that may have changed the air.",
        [{"date": "2026-08-03", "what": "Larger grinder, 7 inch disc"}],
        (),
    )
    rule_checked: Text | None = said(
        "Rule checked",
        "Where a state's own rule may bind this work and is not held here: what was found in it, and by whom.",
        "Jo Marsh read 8 CCR 5204: natural slate, under its share of silica",
    )
    environmental_rule: Text | None = said(
        "Environmental rule",
        "Where the environmental agency has a rule for the agent: what was found when it was checked, and by whom.",
        "Read on 2 March 2026 by Jo Marsh: our stripper holds none of it since",
    )
    acts_elsewhere: Text | None = said(
        "Acts elsewhere",
        "A reason to leave it out of the mixture sum.",
        "Acts on the blood, not as a solvent",
    )
