"""What the firm forbids, allows or takes for granted, by event, place, thing or reading; when a mask may come off."""

from pydantic import Field

from progdoc.model.description.base import Choice, Described, said
from progdoc.model.description.scalars import Id, Number, Text

__all__ = ["Act", "Event", "HouseRule", "RuleKind"]


class RuleKind(Choice):
    PROHIBITED = "prohibited"
    PERMITTED = "permitted"
    PRESUMED = "presumed"


class Act(Choice):
    """What a rule is about."""

    WEARING = "wearing-the-mask"
    TAKING_OFF = "taking-the-mask-off"
    CONTACT_LENSES = "contact-lenses"
    EATING_OR_DRINKING = "eating-or-drinking"
    SMOKING = "smoking"
    ENTERING = "entering"
    DANGEROUS_AIR = "immediately-dangerous-air"
    OTHER = "other"


class Event(Choice):
    """When a rule holds."""

    FIRE = "fire"
    ALARM = "alarm"
    SPILL = "spill"
    RESCUE = "rescue"
    WILDFIRE_SMOKE = "wildfire-smoke"


class HouseRule(Described):
    """One rule. Where it names no task, site, mask or event, it holds at all of them."""

    id: Id = Field(title="Id", description="A short name that never changes.", examples=["no-dust-masks-in-fires"])
    rule: RuleKind = Field(title="Rule", description="prohibited, permitted or presumed.", examples=["prohibited"])
    act: Act = Field(
        title="Act",
        description=f"What it is about: {', '.join(act.value for act in Act)}.",
        examples=["wearing-the-mask"],
    )
    says: Text = Field(title="Says", description="The rule in a sentence.", examples=["No dust mask is worn in a fire"])
    events: tuple[Event, ...] = said(
        "Events", "When it holds: fire, alarm, spill, rescue or wildfire-smoke.", ["fire"], ()
    )
    reading: Text | None = said(
        "Reading", "The reading from which on it holds, with its unit and meter.", "Air-quality index over 150"
    )
    index: Number | None = said(
        "Index", "The air quality index (AQI) from over which on it holds, as published for smoke.", "150"
    )
    sites: tuple[Id, ...] = said("Sites", "Ids of the sites it holds at.", ["mill-street"], ())
    tasks: tuple[Id, ...] = said("Tasks", "Ids of the tasks it holds in.", ["scrape-sashes"], ())
    groups: tuple[Id, ...] = said("Groups", "Ids of the groups of people it holds for.", ["volunteers"], ())
    masks: tuple[Id, ...] = said("Masks", "Ids of the masks it is about.", ["dust-mask"], ())
    by: Text | None = said("By", "Who set it.", "The host's fire marshal")
    source: Text | None = said("Source", "Where it is written.", "Site rules 2026, section 7")
