"""The aggregate root: everything a user described, and the firm, the officer and the document itself."""

from typing import Annotated

from pydantic import Field, WrapValidator

from progdoc.model.description.base import Choice, Described, said
from progdoc.model.description.calendar_entries import CalendarEntry
from progdoc.model.description.devices import Post, SpareCylinder
from progdoc.model.description.document_control import DocumentControl
from progdoc.model.description.groups import Group
from progdoc.model.description.hazards import Hazard
from progdoc.model.description.house_rules import HouseRule
from progdoc.model.description.masks import Filter, Mask
from progdoc.model.description.own_texts import Definition, OwnSection
from progdoc.model.description.people import Person
from progdoc.model.description.policies import Policy
from progdoc.model.description.procedures import Procedures
from progdoc.model.description.quoted import Quoted
from progdoc.model.description.renewal import RenewalPoint
from progdoc.model.description.roles import Body, Role
from progdoc.model.description.scalars import Altitude, Count, Id, IsoDate, LanguageCode, Text, YesNo
from progdoc.model.description.shared_records import shared_as_read
from progdoc.model.description.workplace import Task

__all__ = [
    "Acceptance",
    "Attachment",
    "Authority",
    "Jurisdiction",
    "Officer",
    "Organisation",
    "Paper",
    "Program",
    "ProgramInfo",
    "ReadTranslation",
    "Revision",
    "Site",
]


class Authority(Choice):
    """Who enforces the standard here."""

    FEDERAL = "federal"
    STATE_PLAN = "state-plan"


class Paper(Choice):
    """The sheet the document is printed on."""

    LETTER = "Letter"
    A4 = "A4"


class FreeOfCharge(Choice):
    """What workers never pay for."""

    MASKS = "masks"
    TRAINING = "training"
    MEDICAL = "medical-evaluations"
    FIT_TESTS = "fit-tests"
    UPKEEP = "maintenance"
    TRAVEL = "travel"
    WAGES = "wages"


class ReadTranslation(Described):
    """Who read the papers in another language before they were used."""

    language: LanguageCode = Field(title="Language", description="The language's code.", examples=["es"])
    by: Text = Field(
        title="By", description="Who read them: somebody fluent who knows the work.", examples=["Ada Brook"]
    )
    date: IsoDate = Field(title="Date", description="When, YYYY-MM-DD.", examples=["2026-03-01"])


class Jurisdiction(Described):
    """Which authority's rules apply."""

    authority: Authority | None = said(
        "Authority", "Who enforces the standard at your sites: federal OSHA or a state plan.", "federal"
    )
    state: Text | None = said(
        "State", "The state in which the work is done; its plan, if a state plan applies.", "Vermont"
    )
    compared: Text | None = said(
        "Compared",
        "Under a state plan: who compared the state's own rule with the federal one, when, and what differs.",
        "Ada Brook on 2026-02-01, with the state's text of 2025: it adds nothing for our work.",
    )
    because: Text | None = said(
        "Because",
        "Why this authority and no other, where it is not the one that most firms of the state have.",
        "All our work is inside the naval base, a federal enclave",
    )


class Revision(Described):
    """One line of the revision history."""

    revision: Text = Field(title="Revision", description="The revision's number.", examples=["2026.1"])
    date: IsoDate = Field(title="Date", description="When it took effect, YYYY-MM-DD.", examples=["2026-03-01"])
    by: Text = Field(title="By", description="Who made it.", examples=["Ada Brook"])
    summary: Text = Field(
        title="Summary", description="What changed, in a line.", examples=["Powered mask added for lead"]
    )


class ProgramInfo(Described):
    """The document: its title, revision and dates."""

    title: Text | None = said("Title", "The title on the cover.", "Respiratory Protection Program")
    revision: Text | None = said("Revision", "The number of this revision.", "2026.1")
    effective: IsoDate | None = said("Effective date", "From when this revision applies.", "2026-03-01")
    covers_everybody: YesNo | None = said(
        "Covers everybody", "The program covers everybody who has to wear a mask.", "yes"
    )
    scope: Text | None = said(
        "Scope",
        "Which people, sites and work the program covers.",
        "All field and workshop work of the firm.",
    )
    jurisdiction: Jurisdiction = said("Jurisdiction", "Which authority applies.", {}, Jurisdiction)
    kept_up_to_date: YesNo | None = said(
        "Kept up to date",
        "It is brought up to date when the work changes in a way that touches the use of masks.",
        "yes",
    )
    updates: Text | None = said(
        "Updates",
        "Who updates the program, and on what occasion.",
        "The officer revises it before any new task, agent or mask is used on site.",
    )
    read_and_signed: YesNo | None = said(
        "Read and signed",
        "Everybody who wears a mask signs to have read each revision, by the day from which it applies.",
        "yes",
    )
    control: DocumentControl = said("Control", "How the document is kept.", {}, DocumentControl)
    history: tuple[Revision, ...] = said("Revision history", "One entry for each revision.", [], ())
    paper: Paper = said("Paper", "Letter or A4.", "Letter", Paper.LETTER)
    languages: tuple[LanguageCode, ...] = said(
        "Languages",
        "In which languages all papers are made, by their codes; English and those of your people always are.",
        ["en", "es"],
        (),
    )
    translations_read: tuple[ReadTranslation, ...] = said(
        "Translations read",
        "Who read the papers in another language before they were used, and when. Until then each of them asks for it.",
        [{"language": "es", "by": "Ada Brook", "date": "2026-03-01"}],
        (),
    )
    citations: YesNo = said(
        "Citations", "Print the paragraph of law behind each passage, in small brackets.", "yes", True
    )
    look: Text | None = said(
        "Look",
        "The folder beside the description that holds the look of your documents: mark, colours, styles.",
        "look",
    )


class Site(Described):
    """A place of work."""

    id: Id = Field(title="Id", description="A short name that never changes.", examples=["mill-street"])
    name: Text = Field(title="Name", description="What people call it.", examples=["Mill Street chapel"])
    address: Text | None = said("Address", "Where it is.", "4 Mill Street, Northbridge")
    state: Text | None = said("State", "The state it lies in, where that is not the firm's.", "California")
    altitude: Altitude | None = said("Altitude", "Height above sea level; matters where oxygen is short.", "600 ft")


class Organisation(Described):
    """The employer."""

    name: Text | None = said("Name", "The employer's name.", "Brook & Lintel Restoration")
    trade: Text | None = said("Trade", "What the firm does.", "Restoration of heritage buildings")
    address: Text | None = said("Address", "Head office.", "12 Quarry Lane, Northbridge")
    employees: Count | None = said("Employees", "How many people work for the firm.", "9")
    free_of_charge: tuple[FreeOfCharge, ...] = said(
        "Free of charge",
        "What the firm pays for: masks, training, medical-evaluations; where a state asks for it, all the others too.",
        ["masks", "training", "medical-evaluations"],
        (),
    )
    sites: tuple[Site, ...] = said("Sites", "Where the work is done.", [], ())


class Officer(Described):
    """The law's program administrator."""

    name: Text | None = said("Name", "Who runs the program.", "Ada Brook")
    title: Text | None = said("Title", "Their position in the firm.", "Site manager")
    phone: Text | None = said("Phone", "How workers reach them.", "555-0142")
    qualifications: tuple[Text, ...] = said(
        "Qualifications",
        "Training or experience that matches the program.",
        ["Two-day course for respiratory protection administrators, 2025-01-20"],
        (),
    )
    authority: Text | None = said(
        "Authority", "What the officer may decide.", "Stops any task when a mask is missing or wrong."
    )
    makes_evaluations: YesNo | None = said(
        "Makes evaluations", "Whether the officer carries out the program evaluations.", "yes"
    )
    deputies: tuple[Text, ...] = said("Deputies", "Who stands in.", ["Jo Marsh, foreman"], ())


class Attachment(Described):
    """A file that belongs to the program and goes into the package unchanged."""

    id: Id = Field(title="Id", description="A short name that never changes.", examples=["appendix-d"])
    title: Text = Field(
        title="Title", description="What it is.", examples=["29 CFR 1910.134 Appendix D, official text"]
    )
    file: Text = Field(title="File", description="The file beside the description.", examples=["appendix-d.pdf"])
    date: IsoDate | None = said("Date", "The date of the text or of the copy.", "2026-01-12")


class Acceptance(Described):
    """A caution or an advice that somebody answers for, until a date. A required finding can't be accepted."""

    code: Text = Field(title="Code", description="The finding's code.", examples=["EXP-020"])
    subject: Text | None = said(
        "Subject",
        "The one thing it is accepted for. Without it, it covers what is said of the program as a whole, and no thing.",
        "hazards.sash-lead",
    )
    ground: Quoted | None = said(
        "Ground",
        "What the finding rests on, as it says; the acceptance ends where the ground is another.",
        "no report of the maker's test is described",
    )
    reason: Text = Field(
        title="Reason", description="Why it may stand.", examples=["Sampling is booked for 2026-04-14"]
    )
    by: Text = Field(title="By", description="Who answers for it.", examples=["Ada Brook"])
    until: IsoDate = Field(title="Until", description="When it comes back, within a year.", examples=["2026-06-30"])


class Program(Described):
    """A whole description, in one file or many."""

    format: Count = Field(title="Format", description="The version of this format: 1.", examples=["1"])
    program: ProgramInfo = said("Program", "The document.", {}, ProgramInfo)
    organisation: Organisation = said("Organisation", "The employer.", {}, Organisation)
    officer: Officer = said("Officer", "Who runs the program.", {}, Officer)
    bodies: tuple[Body, ...] = said("Bodies", "Departments, and others who have a part in the program.", [], ())
    roles: tuple[Role, ...] = said("Roles", "Who holds which office, and what it answers for.", [], ())
    groups: tuple[Group, ...] = said("Groups", "Groups of people by their status.", [], ())
    policies: tuple[Policy, ...] = said("Policies", "Stricter rules of clients, hosts or the firm.", [], ())
    house_rules: tuple[HouseRule, ...] = said(
        "House rules", "What is forbidden, allowed or taken for granted here.", [], ()
    )
    tasks: tuple[Task, ...] = said("Tasks", "The work that may need a mask.", [], ())
    hazards: tuple[Hazard, ...] = said("Hazards", "What is in the air of each task.", [], ())
    masks: tuple[Mask, ...] = said("Masks", "The masks the firm uses.", [], ())
    filters: tuple[Filter, ...] = said("Filters", "Filters, cartridges and canisters.", [], ())
    cylinders: tuple[SpareCylinder, ...] = said("Cylinders", "Air cylinders in reserve, on no mask.", [], ())
    posts: tuple[Post, ...] = said("Posts", "Posts and vehicles to which masks are fixed.", [], ())
    calendar: tuple[CalendarEntry, ...] = said("Calendar", "What comes round by a policy or practice.", [], ())
    procedures: Procedures = said("Procedures", "How things are done here.", {}, Procedures)
    people: Annotated[tuple[Person, ...], WrapValidator(shared_as_read)] = said(
        "People", "Who wears masks, and their records.", [], ()
    )
    attachments: tuple[Attachment, ...] = said("Attachments", "Files that go into the package.", [], ())
    own_sections: tuple[OwnSection, ...] = said("Own sections", "The firm's own text.", [], ())
    definitions: tuple[Definition, ...] = said("Definitions", "Words that the firm uses in a sense of its own.", [], ())
    accepted: tuple[Acceptance, ...] = said("Accepted", "Cautions somebody answers for.", [], ())
    renewal: tuple[RenewalPoint, ...] = said(
        "Renewal", "What a renewal still asks or has still to enter; take out what is settled.", [], ()
    )
