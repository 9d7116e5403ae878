"""Single devices: masks with records of their own, air cylinders on them and in reserve, lots of filters, posts.

Nothing of it is asked of a firm that describes none. Of what is described, records and days are judged piece by piece.
"""

from pydantic import Field

from progdoc.model.description.base import Choice, Described, said
from progdoc.model.description.scalars import Count, Id, IsoDate, Percent, Pressure, Text, YesNo

__all__ = [
    "Cylinder",
    "FlowTest",
    "Inspection",
    "InspectionResult",
    "Lot",
    "Material",
    "Post",
    "Repair",
    "SpareCylinder",
    "Unit",
    "Withdrawn",
]


class InspectionResult(Choice):
    """Whether a mask may be worn after it was looked at."""

    SERVICEABLE = "serviceable"
    REPAIRED = "repaired"
    OUT_OF_SERVICE = "out-of-service"


class Material(Choice):
    """What a cylinder is made of."""

    STEEL = "steel"
    ALUMINUM = "aluminum"
    COMPOSITE = "composite"


class Withdrawn(Described):
    """That a mask, one piece of it or a cylinder was taken out of use."""

    since: IsoDate = Field(title="Since", description="From this day on nobody wears it.", examples=["2026-05-04"])
    because: Text = Field(title="Because", description="Why.", examples=["Recalled by the maker: valve seats crack"])


class Inspection(Described):
    """One inspection of one mask or cylinder."""

    date: IsoDate = Field(title="Date", description="When.", examples=["2026-03-02"])
    by: Text | None = said("By", "Who inspected it.", "Jo Marsh")
    result: InspectionResult | None = said(
        "Result", "serviceable, repaired (what was found is put right) or out-of-service.", "serviceable"
    )
    pressure: Percent | None = said(
        "Pressure", "Of a cylinder: its pressure, as a share of what the maker rates it for.", "98 %"
    )
    gauge: Pressure | None = said(
        "Gauge", "What the gauge showed; a share of the pressure that its cylinder is rated for.", "4400 psi"
    )
    findings: Text | None = said("Findings", "What was found.", "In order")
    remedy: Text | None = said("Remedy", "What had to be done, or none.", "none")


class Cylinder(Described):
    """A breathing-air cylinder."""

    id: Id = Field(title="Id", description="A short name that never changes.", examples=["cylinder-1"])
    serial: Text | None = said("Serial", "The number stamped on it.", "C-1187")
    inventory: Text | None = said("Inventory number", "The firm's own number.", "A-0412")
    material: Material | None = said("Material", "steel, aluminum or composite.", "composite")
    rated: Pressure | None = said("Rated pressure", "The pressure of a full charge, by its maker.", "4500 psi")
    purchased: IsoDate | None = said("Purchased", "When it was bought.", "2021-04-12")
    requalified: IsoDate | None = said("Requalified", "Date of the last requalification test.", "2024-05-01")
    requalify_by: IsoDate | None = said("Requalify by", "When the next is due.", "2029-05-01")
    end_of_life: IsoDate | None = said(
        "End of life", "The last day on which it may be used, by its permit or maker.", "2036-04-30"
    )


class SpareCylinder(Cylinder):
    """A cylinder in reserve: it is on no piece, and goes on one in a change."""

    masks: tuple[Id, ...] = said("Masks", "Ids of the masks that it fits.", ["scba"], ())
    post: Id | None = said("Post", "Id of the post or vehicle that carries it.", "engine-1")
    place: Text | None = said("Place", "Where it is kept.", "Rack beside the compressor")
    inspections: tuple[Inspection, ...] = said("Inspections", "What was found, newest anywhere.", [], ())
    withdrawn: Withdrawn | None = said(
        "Withdrawn",
        "Out of use: since when, and why.",
        {"since": "2026-05-04", "because": "Recalled by the maker: neck threads"},
    )


class FlowTest(Described):
    """A test of a set on a bench: flow, pressures and alarm against the maker's figures."""

    date: IsoDate = Field(title="Date", description="When.", examples=["2026-02-10"])
    by: Text | None = said("By", "Who tested.", "The maker's service centre")
    passed: YesNo | None = said("Passed", "Whether it met the maker's figures.", "yes")


class Repair(Described):
    """A repair of one piece. It is out of use from its day until it is done."""

    since: IsoDate = Field(title="Since", description="From this day on it was out of use.", examples=["2026-02-03"])
    what: Text = Field(title="What", description="What was repaired.", examples=["New exhalation valve"])
    by: Text | None = said("By", "Who repaired it.", "Jo Marsh")
    trained: YesNo | None = said("Trained", "Whoever did it was trained for this repair.", "yes")
    done: IsoDate | None = said("Done", "When it was finished; leave out while it lasts.", "2026-02-09")
    tested: IsoDate | None = said("Tested", "When it was shown afterwards to work.", "2026-02-10")


class Unit(Described):
    """One mask of a kind that has records of its own (emergency masks, SCBA)."""

    id: Id = Field(title="Id", description="A short name that never changes.", examples=["scba-1"])
    serial: Text | None = said("Serial", "Serial number or other mark.", "E-04")
    inventory: Text | None = said("Inventory number", "The firm's own number.", "A-0411")
    place: Text | None = said("Place", "Where it is kept.", "Boiler room door")
    post: Id | None = said("Post", "Id of the post or vehicle that it is fixed to.", "engine-1")
    purchased: IsoDate | None = said("Purchased", "When it was bought.", "2021-04-12")
    end_of_life: IsoDate | None = said(
        "End of life", "The last day on which it may be used, by its maker.", "2036-04-30"
    )
    use_by: IsoDate | None = said("Use by", "The day printed on the cartridge or canister that is on it.", "2028-06-30")
    inspections: tuple[Inspection, ...] = said("Inspections", "What was found, newest anywhere.", [], ())
    flow_tests: tuple[FlowTest, ...] = said("Flow tests", "Tests on a bench, newest anywhere.", [], ())
    repairs: tuple[Repair, ...] = said("Repairs", "What was repaired, newest anywhere.", [], ())
    cylinder: Cylinder | None = said("Cylinder", "Its air cylinder.", None)
    withdrawn: Withdrawn | None = said(
        "Withdrawn",
        "This piece is out of use, recalled or worn out: since when, and why. It protects nobody from that day on.",
        {"since": "2026-05-04", "because": "Recalled by the maker: lot 17"},
    )


class Post(Described):
    """A post or vehicle to which masks are fixed: they belong to whoever is there, not to a person."""

    id: Id = Field(title="Id", description="A short name that never changes.", examples=["engine-1"])
    name: Text | None = said("Name", "What people call it.", "Engine 1")
    at_once: Count | None = said("At once", "How many people of it put on a mask at the same time.", "4")
    people: tuple[Id, ...] = said("People", "Ids of those who serve there, in turn or together.", ["jo-marsh"], ())
    cleaned_between: YesNo | None = said(
        "Cleaned between", "Its masks are cleaned and disinfected before another person wears one.", "yes"
    )


class Lot(Described):
    """Filters, cartridges or canisters in stock that carry one lot number."""

    lot: Text = Field(title="Lot", description="The lot number on the box.", examples=["L-2207"])
    pieces: Count | None = said("Pieces", "How many are left.", "24")
    use_by: IsoDate | None = said("Use by", "The day printed on the sealed package.", "2028-06-30")
    place: Text | None = said("Place", "Where they are kept.", "Cabinet in the site office")
