"""Tasks: the place where hazards, masks and people meet."""

from pydantic import Field

from progdoc.core.said import said as said_message
from progdoc.core.said import said_choice, said_join
from progdoc.model.description.alternatives import ActionStep, Role
from progdoc.model.description.base import Choice, Described, said
from progdoc.model.description.house_rules import Event
from progdoc.model.description.masks import Mask
from progdoc.model.description.scalars import Count, Duration, Flow, Id, IsoDate, Percent, Temperature, Text, YesNo
from progdoc.model.description.special_work import Blasting, Entry, HotWork, ProtectionLevel, Spraying
from progdoc.model.description.words import label_of

__all__ = [
    "Breathing",
    "DoneBy",
    "Effort",
    "Gear",
    "Industry",
    "MaskUse",
    "Oxygen",
    "OxygenShownBy",
    "Task",
    "Use",
    "WhyMasks",
    "label_in",
]


class Industry(Choice):
    """Which table of limits applies."""

    GENERAL = "general"
    CONSTRUCTION = "construction"
    SHIPYARD = "shipyard"


class Use(Choice):
    """Whether a mask must be worn in the task."""

    REQUIRED = "required"
    VOLUNTARY = "voluntary"
    NONE = "none"


class DoneBy(Choice):
    """Who does the task."""

    OUR_PEOPLE = "our-people"
    OTHERS = "others"
    NOBODY = "nobody"


class OthersAre(Choice):
    """Whose people the others are who do a task."""

    ANOTHER_FIRM = "another-firm"
    RESCUE_SERVICE = "rescue-service"
    HIRED_BY_US = "hired-by-us"  # by the day, on loan, unpaid: under our direction
    PEOPLE_OF_OURS = "people-of-ours"


class Effort(Choice):
    """How hard the work is."""

    LIGHT = "light"
    MODERATE = "moderate"
    HEAVY = "heavy"


class WhyMasks(Choice):
    """Why controls alone are not the answer."""

    NOT_FEASIBLE = "controls-not-feasible"
    NOT_ENOUGH = "controls-not-enough"
    BEING_INSTALLED = "controls-being-installed"
    EMERGENCY = "emergency-only"
    WANTED = "wanted-under-the-limit"  # the employer or a maker asks for the mask, though no limit is passed


class Gear(Choice):
    """Other gear worn with the mask; `none` says that somebody looked and there is none."""

    NONE = "none"
    SPECTACLES = "spectacles"
    SAFETY_GLASSES = "safety-glasses"
    GOGGLES = "goggles"
    GAS_PROOF_GOGGLES = "gas-proof-goggles"
    FACE_SHIELD = "face-shield"
    HARD_HAT = "hard-hat"
    EAR_MUFFS = "ear-muffs"
    EAR_PLUGS = "ear-plugs"
    HOOD = "hood"
    COVERALLS = "coveralls"
    APRON = "apron"
    GLOVES = "gloves"
    HARNESS = "harness"


class OxygenShownBy(Choice):
    """How the employer demonstrates what the oxygen of a place can fall to, under all conditions to be foreseen."""

    CONTINUOUS_MONITORING = "continuous-monitoring"
    MEASURED_AT_WORST = "measured-at-worst"
    WORKED_OUT = "worked-out"


class Oxygen(Described):
    """How much oxygen the air of a task holds."""

    lowest: Percent | None = said("Lowest", "The lowest oxygen under all foreseeable conditions.", "20.9 %")
    highest: Percent | None = said("Highest", "The highest oxygen, where more than air holds may come in.", "20.9 %")
    by: Text | None = said("By", "Who measured or judged it.", "Ada Brook, four-gas meter")
    date: IsoDate | None = said("Date", "When.", "2026-02-10")
    shown_by: OxygenShownBy | None = said(
        "Shown by",
        "How it is shown where it may fall below 19.5 %: continuous-monitoring with an alarm, measured-at-worst (under"
        " the worst conditions to be foreseen), or worked-out (from volumes, sources and air changes, by who can).",
        "measured-at-worst",
    )
    by_meter: YesNo | None = said(
        "By meter",
        "Measured with a calibrated direct-reading meter, where people work, before they go in and as it may change.",
        "yes",
    )
    basis: Text | None = said("Basis", "Why it stays so.", "Doors and windows open; no gas, fire or rotting matter.")


class Breathing(Described):
    """How much air a wearer breathes at this work, where it is known better than by the class of effort."""

    rate: Flow = Field(title="Rate", description="Air breathed while working.", examples=["35 L/min"])
    source: Text | None = said(
        "Source", "Who measured it and how, or which table it is from.", "Measured at this work by Clearfield Hygiene"
    )


class MaskUse(Described):
    """A mask as it is worn in this task, with the filters fitted."""

    mask: Id = Field(title="Mask", description="The id of a mask.", examples=["half-mask"])
    filters: tuple[Id, ...] = said("Filters", "Ids of the filters or cartridges fitted.", ["p100-disc"], ())
    when: Text | None = said("When", "Under which condition it is this one and no other.", "By night, vats closed")
    role: Role | None = said(
        "Role", "Who of the crew wears it: entrant, standby, rescuer, operator or helper.", "entrant"
    )
    against: tuple[Id, ...] = said(
        "Against",
        "Ids of the hazards in the air under that condition, if not all of the task's; the mask is judged by these.",
        ["varnish-toluene"],
        (),
    )
    because: Text | None = said(
        "Because",
        "Why the other hazards are not in the air under that condition: who found it, when and by what.",
        "Clearfield Hygiene took samples on 10 March 2026, vats closed: nothing was found",
    )
    found_absent: IsoDate | None = said(
        "Found absent",
        "The day on which it was measured that the other hazards are not in the air under that condition.",
        "2026-03-10",
    )

    @property
    def told_apart(self) -> str:
        """Who wears it and when, where that is said: "standby; by night"."""
        when = f"{self.when[0].lower()}{self.when[1:].rstrip('.')}" if self.when else ""
        return said_join(filter(None, (said_choice(self.role) if self.role else "", when)), "; ")


class Task(Described):
    """A piece of work that may need a mask."""

    id: Id = Field(title="Id", description="A short name that never changes.", examples=["scrape-sashes"])
    name: Text = Field(title="Name", description="What the crew calls it.", examples=["Scraping sash windows"])
    description: Text | None = said(
        "Description", "What is done, with what.", "Old paint is scraped and sanded by hand."
    )
    sites: tuple[Id, ...] = said("Sites", "Ids of the sites.", ["mill-street"], ())
    industry: Industry | None = said(
        "Industry", "Which limits apply: general, construction or shipyard.", "construction"
    )
    use: Use | None = said("Use", "Is a mask required, voluntary or not used?", "required")
    required_by: Text | None = said(
        "Required by", "Who asks for the mask if no limit is passed.", "The client's site rules"
    )
    advised_by: Text | None = said(
        "Advised by",
        "Who advises a mask where none is required: then it is a required one, as OSHA wrote on 14 July 2009.",
        "The data sheet, and the foreman with it",
    )
    events: tuple[Event, ...] = said(
        "Events", "What it answers: fire, alarm, spill, rescue or wildfire-smoke.", ["alarm"], ()
    )
    done_by: DoneBy = said("Done by", "our-people, others or nobody.", "our-people", DoneBy.OUR_PEOPLE)
    others: Text | None = said(
        "Others", "Who does it if our people don't.", "Deepwell Access, confined-space contractor"
    )
    others_are: OthersAre | None = said(
        "Others are", "Another firm, a rescue service, people hired by us, or people of ours.", "another-firm"
    )
    duration: Duration | None = said("Duration", "Time at it in a shift.", "3 h")
    shift: Duration | None = said("Shift", "Length of the working day, if it is not 8 hours.", "10 h")
    frequency: Text | None = said("Frequency", "How often.", "Two or three days a week")
    days_per_year: Count | None = said(
        "Days per year", "On how many days of a year one person does it, at the most.", "120"
    )
    never_same_day: tuple[Id, ...] = said(
        "Never on the same day",
        "Ids of tasks that nobody does on the day on which they do this one, as the firm has arranged it.",
        ["varnish"],
        (),
    )
    effort: Effort | None = said("Effort", "light, moderate or heavy.", "moderate")
    breathing: Breathing | None = said(
        "Breathing",
        "The air breathed at this work, for the life of cartridges, where it is known better than by the effort.",
        {"rate": "35 L/min", "source": "Measured at this work by Clearfield Hygiene"},
    )
    temperature_low: Temperature | None = said("Lowest temperature", "Coldest air at work.", "40 F")
    temperature_high: Temperature | None = said("Highest temperature", "Hottest air at work.", "95 F")
    humidity_high: Percent | None = said("Highest humidity", "Dampest air at work.", "70 %")
    gear: tuple[Gear, ...] = said("Other gear", "What else is worn; or: none.", ["safety-glasses"], ())
    gear_clear_of_seal: YesNo | None = said(
        "Gear clear of the seal", "Whether the other gear stays off the seal of the mask.", "yes"
    )
    controls: tuple[Text, ...] = said(
        "Controls", "What keeps the air clean before any mask.", ["Shrouded grinder with HEPA vacuum"], ()
    )
    why_masks: WhyMasks | None = said("Why masks", "Why controls alone do not do.", "controls-not-enough")
    confined_space: YesNo | None = said("Confined space", "Is it a crypt, tank, pit, duct or the like?", "no")
    oxygen: Oxygen | None = said("Oxygen", "How much oxygen there is.", {"lowest": "20.9 %"})
    immediately_dangerous: YesNo | None = said(
        "Immediately dangerous", "Yes if the air may kill or disable at once (IDLH).", "no"
    )
    structural_fire: YesNo = said("Structural fire", "Is it fire-fighting inside a building?", "no", False)
    hot_work: HotWork | None = said(
        "Hot work", "Only for welding, cutting or heating.", {"metals": ["lead"], "place": "open-air"}
    )
    blasting: Blasting | None = said(
        "Abrasive blasting",
        "Only where an abrasive is blown, washed or thrown at a surface, or its dust is cleared away.",
        {"work": "blasting", "place": "outside"},
    )
    spraying: Spraying | None = said("Spray finishing", "Only where paint or the like is sprayed.", {"place": "booth"})
    entry: Entry | None = said(
        "Entry", "For a confined space: whether it needs a permit, and how it is entered.", {"permit_required": "yes"}
    )
    protection_level: ProtectionLevel | None = said(
        "Protection level", "At hazardous waste or spills: A, B, C or D of 29 CFR 1910.120, Appendix B.", "C"
    )
    emergency_only: YesNo = said("Emergency only", "Yes if the mask is worn only in an emergency.", "no", False)
    masks: tuple[MaskUse, ...] = said("Masks", "The masks allowed for it.", [{"mask": "half-mask"}], ())
    steps: tuple[ActionStep, ...] = said("Steps", "What is done from which reading on, the lowest first.", [], ())
    escape_masks: tuple[Id, ...] = said(
        "Escape masks",
        "Ids of the masks that hang at hand, or on the belt, for getting out only; nobody wears one at work.",
        ["escape-hood"],
        (),
    )
    way_out: Duration | None = said(
        "Way out", "How long it takes to get out to clean air in an escape mask, from the farthest place.", "3 min"
    )
    turn: Duration | None = said(
        "Turn",
        "With air from a cylinder: the longest time at a stretch, ways in and out included, if the task takes longer.",
        "20 min",
    )
    people: tuple[Id, ...] = said("People", "Ids of the people who do it.", ["jo-marsh"], ())


def label_in(task: Task, mask: Mask) -> str:
    """Return a mask as people call it, with who wears it in a task and when, where that is not everybody, always."""
    told = [use.told_apart for use in task.masks if use.mask == mask.id]
    if not told or not all(told):
        return label_of(mask)
    return said_join((label_of(mask), " (", said_join(told, said_message(" or ")), ")"), "")
