"""Masks and what is screwed or built into them."""

from pydantic import Field

from progdoc.model.description.adopting import OneOrMore
from progdoc.model.description.base import Choice, Described, said
from progdoc.model.description.cartridge_data import Carbon, ServiceData
from progdoc.model.description.devices import Lot, Unit, Withdrawn
from progdoc.model.description.scalars import (
    AgentName,
    Concentration,
    Count,
    Duration,
    Flow,
    Id,
    IsoDate,
    Mass,
    Number,
    Text,
    YesNo,
)

__all__ = [
    "AgentBound",
    "Facepiece",
    "Filter",
    "Gas",
    "HoodReport",
    "Issue",
    "Mask",
    "Mode",
    "Mount",
    "Particulate",
]


class Facepiece(Choice):
    """What touches or covers the face."""

    FILTERING_FACEPIECE = "filtering-facepiece"
    QUARTER_MASK = "quarter-mask"
    HALF_MASK = "half-mask"
    FULL_FACEPIECE = "full-facepiece"
    HOOD = "hood"
    HELMET = "helmet"
    LOOSE_FITTING = "loose-fitting"


class Mode(Choice):
    """Where the air comes from."""

    AIR_PURIFYING = "air-purifying"
    POWERED = "powered"
    AIRLINE_DEMAND = "airline-demand"
    AIRLINE_CONTINUOUS_FLOW = "airline-continuous-flow"
    AIRLINE_PRESSURE_DEMAND = "airline-pressure-demand"
    SCBA_DEMAND = "scba-demand"
    SCBA_PRESSURE_DEMAND = "scba-pressure-demand"


class Issue(Choice):
    """Who wears it."""

    EXCLUSIVE = "exclusive"
    SHARED = "shared"


class HoodReport(Described):
    """The maker's test of a hood or helmet, Table 1, note 4: what was tested, by whom, and what it showed."""

    title: Text | None = said("Title", "Its number or title.", "Workplace study W-12")
    by: Text | None = said("By", "Who tested.", "Northbridge Test House, for the maker")
    date: IsoDate | None = said("Date", "When.", "2024-03-04")
    tested_model: Text | None = said("Tested model", "The model that was tested, as `model` says it.", "A-12")
    factor: Number | None = said("Factor", "The protection factor that the test showed, as the report has it.", "1200")


class Particulate(Choice):
    """Filter class against particles."""

    N95 = "N95"
    N99 = "N99"
    N100 = "N100"
    R95 = "R95"
    R99 = "R99"
    R100 = "R100"
    P95 = "P95"
    P99 = "P99"
    P100 = "P100"
    HEPA = "HEPA"


class Gas(Choice):
    """What a cartridge or canister is approved for."""

    ORGANIC_VAPOUR = "organic-vapour"
    ACID_GAS = "acid-gas"
    AMMONIA = "ammonia"
    FORMALDEHYDE = "formaldehyde"
    MERCURY = "mercury"
    CARBON_MONOXIDE = "carbon-monoxide"
    MULTI_GAS = "multi-gas"


class Mask(Described):
    """A make and model of mask in use at the firm."""

    id: Id = Field(title="Id", description="A short name that never changes.", examples=["half-mask"])
    name: Text | None = said("Name", "What the crew calls it.", "grey half mask")
    make: Text | None = said("Make", "The maker.", "Hallam")
    model: Text | None = said("Model", "The maker's model.", "H-40")
    style: Text | None = said("Style", "The maker's style, if it has several.", "silicone")
    sizes: tuple[Text, ...] = said("Sizes", "Sizes kept in stock.", ["S", "M", "L"], ())
    facepiece: Facepiece | None = said("Facepiece", "What touches or covers the face.", "half-mask")
    mode: Mode | None = said("Mode", "Where the air comes from, as it is used here.", "air-purifying")
    approval: Text | None = said("Approval", "The NIOSH approval number (TC number).", "TC-84A-0000")
    within_approval: YesNo | None = said(
        "Within approval", "Used only as its NIOSH approval and the maker's instructions allow.", "yes"
    )
    weight: Mass | None = said("Weight", "Weight as worn.", "420 g")
    filters: tuple[Id, ...] = said("Filters", "Ids of filters and cartridges that fit it.", ["p100-disc"], ())
    filters_on_label: YesNo | None = said(
        "Filters on label",
        "Whether the approval label of the mask names each of these filters, where maker or number differ.",
        "yes",
    )
    built_in_filter: Particulate | None = said("Built-in filter", "Filter class of a dust mask.", "N95")
    issue: Issue | None = said("Issue", "exclusive (one wearer) or shared.", "exclusive")
    in_stock: Count | None = said("In stock", "How many of them the firm has, all sizes together.", "6")
    disposable: YesNo = said("Disposable", "Thrown away after use.", "no", False)
    emergency: YesNo = said("Emergency", "Kept for emergencies.", "no", False)
    escape_only: YesNo = said("Escape only", "Only for getting out.", "no", False)
    escape_from: OneOrMore[Text] = said(
        "Escape from",
        "The agents from which its approval lets people escape, by name or CAS number.",
        ["methylene chloride"],
        (),
    )
    hood_report: HoodReport | None = said(
        "Hood report",
        "The maker's test of this very hood.",
        {"title": "Workplace study W-12", "by": "Northbridge Test House", "tested_model": "A-12", "factor": "1200"},
    )
    hood_evidence: Text | None = said(
        "Hood evidence",
        "A remark on the maker's evidence. By itself it gives no higher factor: that takes `hood_report`.",
        "Maker's report of 2024-03-04",
    )
    hood_proven: YesNo | None = said(
        "Hood proven",
        "The report named under `hood_report` is at hand, and shows a factor of 1,000 or more for this very hood.",
        "yes",
    )
    auxiliary_air: YesNo = said("Auxiliary air", "An airline mask with its own escape cylinder.", "no", False)
    enriched_air: YesNo = said(
        "Enriched air",
        "Its breathing air carries extra oxygen, for work above 14,000 feet, and its gear is made for that.",
        "no",
        False,
    )
    service_time: Duration | None = said("Service time", "Rated duration of an SCBA.", "30 min")
    service_time_shown_by: str | None = said(
        "Service time shown by",
        "Where the rated time is none of those that 42 CFR 84.53 lists: what shows it.",
        "Approval label on the back plate, and the maker's certificate",
    )
    low_air_alarm: YesNo | None = said(
        "Low-air alarm", "SCBA: it sounds by itself when 20 to 25 % of its rated time are left.", "yes"
    )
    blower_flow: Flow | None = said("Blower flow", "Air through a powered mask.", "180 L/min")
    hepa_egress: YesNo = said(
        "HEPA egress", "An airline mask with HEPA cartridges for getting out, against asbestos.", "no", False
    )
    for_blasting: YesNo | None = said(
        "For blasting", "Approved as an abrasive-blasting respirator: it covers head, neck and shoulders.", "yes"
    )
    lens_kits: YesNo | None = said("Lens kits", "Spectacle kits are provided for a full facepiece.", "yes")
    label_kept: YesNo | None = said(
        "Label kept", "The NIOSH label printed on a dust mask can be read as long as it is worn.", "yes"
    )
    units: tuple[Unit, ...] = said("Units", "Single masks with records of their own.", [], ())
    withdrawn: Withdrawn | None = said(
        "Withdrawn",
        "Out of use: since when, and why. It protects nobody from that day on.",
        {"since": "2026-05-04", "because": "Recalled by the maker: valve seats crack"},
    )


class Mount(Choice):
    """How what cleans the air sits on the mask."""

    CARTRIDGE = "cartridge"
    CHIN_CANISTER = "chin-canister"
    FRONT_OR_BACK_CANISTER = "front-or-back-canister"


class AgentBound(Described):
    """Up to which concentration a cartridge may be worn against one agent."""

    agent: AgentName = Field(title="Agent", description="Its name or CAS number.", examples=["toluene"])
    most: Concentration = Field(title="Most", description="The highest concentration.", examples=["500 ppm"])
    source: Text | None = said("Source", "Who says so.", "Maker's instructions, edition of March 2026")


class Filter(Described):
    """A filter, cartridge or canister."""

    id: Id = Field(title="Id", description="A short name that never changes.", examples=["p100-disc"])
    name: Text | None = said("Name", "What the crew calls it.", "magenta disc")
    make: Text | None = said("Make", "The maker.", "Hallam")
    model: Text | None = said("Model", "The maker's model.", "HF-100")
    approval: Text | None = said("Approval", "The NIOSH approval number.", "TC-84A-0000")
    particulate: Particulate | None = said("Particulate", "Filter class against particles.", "P100")
    gases: tuple[Gas, ...] = said("Gases", "What it is approved for.", ["organic-vapour"], ())
    agents: tuple[AgentName, ...] = said(
        "Agents", "Agents that the approval or the maker names for it.", ["methylene bisphenyl isocyanate"], ()
    )
    agents_source: Text | None = said(
        "Agents source",
        "Where the approval or the maker names those agents, if the class of the cartridge does not hold them.",
        "Approval label TC-23C-0000, and the maker's guide, edition of March 2026",
    )
    mount: Mount | None = said(
        "Mount",
        "How it sits: a cartridge on the mask, a canister at the chin, or one in front, on the belt or on the back.",
        "cartridge",
    )
    most: Concentration | None = said("Most", "The highest concentration the cartridge may be used in.", "1000 ppm")
    most_for: tuple[AgentBound, ...] = said(
        "Most for",
        "Upper bounds that the maker gives agent by agent.",
        [{"agent": "toluene", "most": "500 ppm", "source": "Maker's instructions, edition of March 2026"}],
        (),
    )
    esli_for: tuple[Text, ...] = said(
        "Indicator for", "Agents for which it has an approved end-of-service-life indicator.", ["mercury"], ()
    )
    esli_suits: YesNo | None = said(
        "Indicator suits", "Whether the indicator suits the conditions at your sites.", "yes"
    )
    carbon: Carbon | None = said("Carbon", "The carbon in it, as the maker gives it.", {"mass": "55 g"})
    service_data: tuple[ServiceData, ...] = said(
        "Service data", "Service lives that the maker or a test gives for it.", [], ()
    )
    label_kept: YesNo | None = said("Label kept", "The NIOSH label and colour code stay on and can be read.", "yes")
    stock: tuple[Lot, ...] = said("Stock", "What is in stock, lot by lot.", [{"lot": "L-2207", "pieces": "24"}], ())
