"""Who does what: bodies (departments, other firms, clinics), roles with their holders, and the duties they have.

A duty may be split: each entry names the groups, tasks, sites, masks or devices it is for, and one that names nothing
is for everybody else. A small firm needs none of it: there the `by` of each procedure says who.
"""

from pydantic import Field

from progdoc.model.description.base import Choice, Described, said
from progdoc.model.description.scalars import Id, IsoDate, Text

__all__ = ["AssignedDuty", "Body", "BodyKind", "Duty", "Role"]


class BodyKind(Choice):
    """What a body is to the firm."""

    DEPARTMENT = "department"
    CONTRACTOR = "contractor"
    HOST = "host"
    CLINIC = "clinic"
    SUPPLIER = "supplier"
    LABORATORY = "laboratory"
    RESCUE_SERVICE = "rescue-service"
    UNION = "union"


class Duty(Choice):
    """The parts of a program that somebody has to answer for."""

    ADMINISTRATION = "administration"
    HAZARD_ASSESSMENT = "hazard-assessment"
    SELECTION = "selection"
    MEDICAL = "medical"
    FIT_TESTING = "fit-testing"
    ENFORCEMENT = "enforcement"
    EMERGENCIES = "emergencies"
    CLEANING = "cleaning"
    STORAGE = "storage"
    INSPECTION = "inspection"
    REPAIR = "repair"
    FILTER_CHANGES = "filter-changes"
    AIR_SUPPLY = "air-supply"
    TRAINING = "training"
    VOLUNTARY_USE = "voluntary-use"
    EVALUATION = "evaluation"
    RECORDS = "records"


class Body(Described):
    """A department of the firm, or somebody outside it who has a part in the program."""

    id: Id = Field(title="Id", description="A short name that never changes.", examples=["fire-brigade"])
    name: Text = Field(title="Name", description="What people call it.", examples=["Works fire brigade"])
    kind: BodyKind = Field(
        title="Kind",
        description="department, contractor, host, clinic, supplier, laboratory, rescue-service or union.",
        examples=["department"],
    )
    contact: Text | None = said("Contact", "How it is reached.", "555-0190")
    part: Text | None = said(
        "Part",
        "Its part in this program, where no role tells it: what it does, and under whose rules its people wear masks.",
        "Trains and tests its own people; in our cellars they keep our rules, too",
    )


class AssignedDuty(Described):
    """A duty of a role, for some or, where nothing is named, for everybody and everything nobody else has."""

    duty: Duty = Field(
        title="Duty", description=f"One of: {', '.join(duty.value for duty in Duty)}.", examples=["training"]
    )
    groups: tuple[Id, ...] = said("Groups", "Ids of the groups of people it is for.", ["fire-crew"], ())
    sites: tuple[Id, ...] = said("Sites", "Ids of the sites it is for.", ["mill-street"], ())
    tasks: tuple[Id, ...] = said("Tasks", "Ids of the tasks it is for.", ["scrape-sashes"], ())
    masks: tuple[Id, ...] = said("Masks", "Ids of the masks it is for.", ["half-mask"], ())
    devices: tuple[Text, ...] = said(
        "Devices",
        "What else it is for: ids of posts, single masks or cylinders; or the words the firm has for it.",
        ["Compressor in the cellar"],
        (),
    )

    @property
    def reach(self) -> tuple[tuple[str, frozenset[str]], ...]:
        """Return what it is for: each kind of thing that it names, with the ids."""
        named = {name: frozenset(getattr(self, name)) for name in ("groups", "sites", "tasks", "masks", "devices")}
        return tuple((name, ids) for name, ids in named.items() if ids)


class Role(Described):
    """An office that somebody holds. Fields that ask who may name it by its id or its title."""

    id: Id = Field(title="Id", description="A short name that never changes.", examples=["training-officer"])
    title: Text = Field(title="Title", description="What people call it.", examples=["Training officer"])
    body: Id | None = said("Body", "The id of the body it belongs to.", "fire-brigade")
    holders: tuple[Text, ...] = said(
        "Holders", "Who has it: ids of people, or names of those who wear no mask.", ["jo-marsh"], ()
    )
    deputies: tuple[Text, ...] = said("Deputies", "Who stands in, likewise.", ["Ada Brook"], ())
    since: IsoDate | None = said("Since", "Since when the holders have it.", "2026-03-01")
    duties: tuple[AssignedDuty, ...] = said("Duties", "What the role answers for.", [{"duty": "training"}], ())
